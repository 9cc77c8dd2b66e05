#!/usr/bin/env python3
"""Run by `benches/compare`, which see."""
import argparse, datetime, hashlib, json, os, platform, re, shutil, subprocess, sys

import measure, tables
from cases import HERE, Cases, Data, Sizes
from targets import TARGETS

ROOT = os.path.dirname(os.path.dirname(HERE))


def say(text):
    print(f"  {text}", file=sys.stderr, flush=True)


def said_by(*command):
    return subprocess.run(command, capture_output=True, text=True, cwd=ROOT).stdout.strip()


def cargo_build(folder, target):
    command = ["cargo", "build", "--release", "--locked", "--quiet", "--manifest-path", f"{folder}/Cargo.toml"]
    if target:
        command += ["--target-dir", target]
    subprocess.run(command, check=True)
    kept = said_by("cargo", "metadata", "--no-deps", "--format-version", "1", "--manifest-path", f"{folder}/Cargo.toml")
    return f"{target or json.loads(kept)['target_directory']}/release"


def shipped_rules():
    """How many rules on parts are shipped; sense checks, which look at rows, left out."""
    n = 0
    for file in sorted(os.listdir(f"{ROOT}/rules")):
        if file.endswith(".toml"):
            with open(f"{ROOT}/rules/{file}", encoding="utf-8") as f:
                for rule in f.read().split("[[rule]]")[1:]:
                    n += bool(re.search(r'^on\s*=\s*"(wheel|tire)"', rule, re.M)) and file != "sense.toml"
    return n


def machine():
    kept = {}
    for line in open("/proc/cpuinfo"):
        name, _, value = line.partition(":")
        kept[name.strip()] = value.strip()
    memory = int(open("/proc/meminfo").readline().split()[1]) / 2**20
    return f"{len(os.sched_getaffinity(0))} cores of {kept.get('model name', platform.machine())}, {memory:.0f} GiB, {platform.system()} {platform.release()}"


def versions():
    with open(f"{HERE}/requirements.txt") as f:
        python = [line.strip().replace("==", " ") for line in f if "==" in line]
    with open(f"{HERE}/floor/Cargo.lock") as f:
        locked = dict(re.findall(r'name = "(calamine|csv)"\nversion = "([^"]+)"', f.read()))
    changed = " with uncommitted changes" if said_by("git", "status", "--porcelain", "--untracked-files=no") else ""
    return [f"rimsieve {said_by('git', 'rev-parse', '--short', 'HEAD')}{changed}", said_by("rustc", "--version"),
            *(f"crate {name} {version}" for name, version in locked.items()), f"Python {platform.python_version()}", *python]


def output_folder(asked, work):
    if asked:
        return asked
    # Memory-backed, where there is one, so that no disk is timed.
    shared = "/dev/shm"
    if os.access(shared, os.W_OK) and shutil.disk_usage(shared).free > 8 << 30:
        return f"{shared}/rimsieve-compare-{os.getpid()}"
    return f"{work}/out"


def agreement(cases, floor, out):
    """Runs one peer and rimsieve on the same sheets, and lays their verdicts side by side."""
    tools = cases.sheets_to_list("10k", 8)
    for name in ("polars", "duckdb", "pandas", "rimsieve"):
        measure.once(floor, tools[name], out)
    same = subprocess.run([sys.executable, f"{HERE}/peers/check.py", *(f"{out}/{peer}" for peer in ("polars", "duckdb", "pandas"))],
                          capture_output=True, text=True)
    met = subprocess.run([sys.executable, f"{HERE}/peers/agree.py", f"{out}/polars", f"{out}/rimsieve.csv"], capture_output=True, text=True)
    if same.returncode or met.returncode:
        raise measure.Failed(f"verdicts differ without a reason\n{same.stdout if same.returncode else ''}{met.stdout}{met.stderr}")
    return met.stdout.strip()


def main():
    ap = argparse.ArgumentParser(prog="benches/compare", description="rimsieve against the same job written with general-purpose tools, and "
                                 "against what no tool can avoid; prints a table of the project's targets")
    ap.add_argument("--quick", action="store_true", help="sizes above 200 rows are a tenth, and few rounds: whether all runs, not how fast")
    ap.add_argument("--only", nargs="+", metavar="CASE", help="only these cases; --list names them")
    ap.add_argument("--list", action="store_true", help="name the cases, and end")
    ap.add_argument("--rounds", type=int, metavar="N", help="counted runs of each command")
    ap.add_argument("--record", action="store_true", help="write benches/RESULTS.md")
    ap.add_argument("--work", required=True, help=argparse.SUPPRESS)
    ap.add_argument("--out", metavar="DIR", help="where commands write; memory-backed, if not given and there is room")
    a = ap.parse_args()
    if a.record and (a.quick or a.only):
        ap.error("only a whole run is recorded")
    with open(f"{HERE}/sheets.py", "rb") as made, open(f"{HERE}/cases.py", "rb") as cases:
        mark = hashlib.sha256(made.read() + cases.read()).hexdigest()[:8]
    data = Data(f"{a.work}/data-{mark}", say)
    sizes = Sizes(10 if a.quick else 1)
    listed = Cases(data, sizes, "rimsieve", "floor", "out", shipped_rules()).all()
    if a.list:
        print("\n".join(listed))
        return
    for name in a.only or ():
        if name not in listed:
            ap.error(f"no case is called {name}; there are: {', '.join(listed)}")
    say("building rimsieve and the floors")
    rimsieve = f"{cargo_build(ROOT, None)}/rimsieve"
    floor = f"{cargo_build(f'{HERE}/floor', f'{a.work}/floor')}/rimsieve-floor"
    out = os.path.abspath(output_folder(a.out, a.work))
    os.makedirs(out, exist_ok=True)
    cases = Cases(data, sizes, rimsieve, floor, out, shipped_rules())
    medians, shown = {"rows 1M": sizes.rows("1M"), "rows 100k": sizes.rows("100k")}, []
    try:
        say("agreement of verdicts")
        agreed = agreement(cases, floor, out)
        with open(f"{a.work}/runs.jsonl", "w") as kept:
            for name, (tools, rounds, quick) in cases.all().items():
                if a.only and name not in a.only:
                    continue
                say(name)
                tools = tools()
                keep = ("rimsieve",) if "cp of its list" in tools else ()
                runs = measure.in_turn(floor, tools, a.rounds or (quick if a.quick else rounds), out, say, keep)
                for tool, taken in runs.items():
                    for run in taken:
                        kept.write(json.dumps({"case": name, "tool": tool, **vars(run)}) + "\n")
                medians[name] = {tool: measure.Median.of(taken, tools[tool].written) for tool, taken in runs.items()}
                shown.append(tables.of_case(name, tools, medians[name]))
                print(f"\n{shown[-1]}", flush=True)
    finally:
        if not a.out:
            shutil.rmtree(out, ignore_errors=True)
    others = sorted(m.others for name, case in medians.items() if isinstance(case, dict) for m in case.values())
    busy = f"Other processes had {100 * others[len(others) // 2]:.0f} % of one core in the median run, and {100 * others[-1]:.0f} % in the busiest."
    kept = tables.of_targets(TARGETS, medians, a.quick)
    size = "**Quick: sizes above 200 rows are a tenth, so no target is judged by this.**\n\n" if a.quick else ""
    about = (f"{size}{datetime.date.today()}, {machine()}. {busy}\n\nVersions: {', '.join(versions())}.")
    print(f"\n{about}\n\n{kept}")
    if a.record:
        with open(f"{HERE}/results.md", encoding="utf-8") as f:
            text = f.read()
        for hole, filling in (("ABOUT", about), ("TARGETS", kept), ("AGREED", agreed), ("CASES", "\n\n".join(shown))):
            text = text.replace(f"<!-- {hole} -->", filling)
        with open(f"{ROOT}/benches/RESULTS.md", "w", encoding="utf-8") as f:
            f.write(text)
        say("written: benches/RESULTS.md")


try:
    main()
except measure.Failed as failed:
    sys.exit(f"compare: {failed}")
except subprocess.CalledProcessError as failed:
    sys.exit(f"compare: {failed}")
except KeyboardInterrupt:
    sys.exit(130)
