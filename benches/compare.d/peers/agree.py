#!/usr/bin/env python3
"""agree.py PEER_DIR RIMSIEVE.csv   How far does rimsieve's list agree with a peer's, part by part and van by van? Prints how often each pair
of verdicts came up. Exit 1 where a pair has no reason in how the two jobs differ (README.md, "Where rimsieve does more"):
a part that the peer rejects and rimsieve lists, but for a tire that only its pressure or rim diameter stops; or one that the peer
accepts and rimsieve rejects, but for a wheel that only its bore, too large for the pilot, or its ball seat of another radius stops."""
import collections, csv, re, sys

STRICTER = re.compile(r"bore .* leaves the wheel loose on .*|seat ball R\d+ does not suit the van's ball R\d+ .*")

peer = {}
for name in ("accepted", "rejected"):
    with open(f"{sys.argv[1]}/{name}.csv", newline="", encoding="utf-8") as f:
        for r in csv.DictReader(f):
            peer[r["vehicle"], r["sku"]] = r["verdict"], r["reasons"]
met, odd = collections.Counter(), []
with open(sys.argv[2], newline="", encoding="utf-8") as f:
    for r in csv.DictReader(f):
        verdict, reasons = peer.pop((r["van"], r["sku"]))
        met[r["kind"], verdict, r["verdict"]] += 1
        listed = r["verdict"] in ("fits", "fits-with-work")
        if verdict == "rejected" and listed:
            failing = [p for p in reasons.split("; ") if "can't tell" not in p]
            fine = r["kind"] == "tire" and all(p.startswith(("pressure ", "rim_diameter ")) for p in failing)
        elif verdict == "accepted" and r["verdict"] == "rejected":
            fine = r["kind"] == "wheel" and all(STRICTER.fullmatch(p) for p in r["reasons"].split("; "))
        else:
            fine = True
        if not fine:
            odd.append((r["van"], r["sku"], verdict, reasons, r["verdict"], r["reasons"]))
print("| kind | peers | rimsieve | parts |\n| --- | --- | --- | ---: |")
for (kind, verdict, own), n in sorted(met.items()):
    print(f"| {kind} | {verdict} | {own} | {n} |")
for o in odd[:5]:
    print("no reason for", *o, file=sys.stderr)
if peer:
    print(f"{len(peer)} lines of the peer have no line of rimsieve's", file=sys.stderr)
sys.exit(bool(odd or peer))
