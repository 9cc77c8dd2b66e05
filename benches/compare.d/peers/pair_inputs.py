#!/usr/bin/env python3
"""pair_inputs.py VANS.json WHEELS.csv TIRES.csv N OUTDIR   The first N accepted wheels and tires of the first van: normalized, as
OUTDIR/ok_wheels_N.csv and OUTDIR/ok_tires_N.csv; and in the supplier's own rows, as OUTDIR/pair_wheels_N.csv and OUTDIR/pair_tires_N.csv."""
import csv
import sys
import polars as pl
import polars_vet as pv
from common import load_vans

van = load_vans(sys.argv[1])[0]
n, out = int(sys.argv[4]), sys.argv[5]
for kind, path, make, checks, cols in (
        ("wheels", sys.argv[2], pv.wheels, pv.wheel_checks, ["rim_diameter", "rim_width", "offset", "load"]),
        ("tires", sys.argv[3], pv.tires, pv.tire_checks, ["rim_diameter", "section_width", "overall_diameter", "load"])):
    norm = make(pv.read(path)).collect()
    ok = pv.judge(norm.lazy(), van, kind, checks(van)).collect()["verdict"] == "accepted"
    price = pl.read_csv(path, infer_schema=False, columns=["Price (USD)"]).to_series().str.extract(r"^\$?(\d[\d,]*\.\d+)$", 1).str.replace_all(",", "").cast(float).fill_null(300.0)
    df = norm.with_columns(price=price).filter(ok).select("sku", *cols, "price").with_row_index("id", 1)
    print(kind, df.height, "accepted")
    assert df.height >= n
    df = df.head(n)
    df.write_csv(f"{out}/ok_{kind}_{n}.csv")
    wanted = set(df["sku"])
    with open(path, newline="", encoding="utf-8") as given, open(f"{out}/pair_{kind}_{n}.csv", "w", newline="", encoding="utf-8") as kept:
        rows = csv.reader(given)
        write = csv.writer(kept).writerow
        write(next(rows))
        for row in rows:
            if row[0] in wanted:
                write(row)
