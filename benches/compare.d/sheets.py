#!/usr/bin/env python3
"""Deterministic generator of messy supplier sheets of wheels and tires.

    sheets.py wheels N out.csv|out.xlsx [--seed S] [--unit lb|kg] [--different]
    sheets.py tires  N out.csv|out.xlsx [--seed S] [--unit lb|kg] [--different]

Same arguments, same bytes (csv). The first k rows of a sheet of N rows are the sheet of k rows.
csv: UTF-8, CRLF records, minimal quoting, a few quoted newlines. xlsx (N <= 200000): plain numbers are number cells,
everything else is shared strings. --unit is the unit named in the heading of the load column; single cells may name
another. All brands and models are invented. ~3 % of the data cells are blank and ~1 % garbage.
--different: no two cells of a column hold the same text, but for names of suppliers, finishes, seats, threads and yes or no;
tire designations, of which there are only so many, are spaced out differently. 3 % blank, no garbage, csv only.
"""
import argparse, csv, random, re, sys
from bisect import bisect
from itertools import accumulate

GARBAGE = ["N/A", "n/a", "TBD", "-", "call", "#REF!", "#N/A", "see notes", "??", "1O5", "17x", "x130", "various", ".", "TBA 2Q"]
NOTES = ["", "", "", "", "", "", "", "", "Ships in 2 boxes", "Cap included, lugs extra", "Discontinued, last stock",
         'Fits "long" studs only', "Hub rings sold separately", "New for this season; limited run",
         "Call for lead time, 4-6 wks", "Oversize freight", "line one\nline two"]


class Pick:
    """Weighted choice that costs one random() and one bisect."""
    def __init__(self, pairs):
        self.v = [p[0] for p in pairs]
        self.cum = list(accumulate(p[1] for p in pairs))
    def __call__(self, r):
        return self.v[bisect(self.cum, r.random() * self.cum[-1])]


def num(x, nd=2):
    """Shortest plain text: 17 -> '17', 8.5 -> '8.5'."""
    s = f"{x:.{nd}f}"
    return s.rstrip("0").rstrip(".") if "." in s else s


def thousands(x):
    return f"{x:,}"


# ---------------------------------------------------------------- wheels
W_SUPPLIERS = Pick([("Vorrindel", 14), ("Kalvorq Forge", 13), ("Tessaquil", 12), ("Ummerick Alloys", 10), ("Brelvonk", 10),
                    ("Yarrowhex", 9), ("Pellitrax", 9), ("Orvandyne", 9), ("Quibblex Off-Road", 8), ("Zundergarth", 6)])
W_MODELS = ["Marrow", "Tangent", "Grist", "Halyard", "Ferrule", "Ostler", "Burdock", "Cairnstep", "Plinth", "Wicket",
            "Saddleback", "Corbel", "Thrum", "Lintel", "Gudgeon", "Spindrift", "Anvilhead", "Brackish", "Culvert", "Dray"]
W_FINISH = ["Matte Black", "Gloss Black", "Satin Bronze", "Machined, Clear Coat", "Gunmetal", "Matte Gray w/ Black Lip",
            "Polished", "Silver", "Desert Sand", "Flat Olive"]
# bolt pattern -> (weight, inch spellings, bores, offsets lo/hi, diameters, load lb lo/hi)
PATTERNS = {
    (6, 130.0): (12, ["5.12"], [84.1, 84.1, 84.1, 84.2, 87.1, 78.1, 110.0], (10, 65), [16, 16, 17, 17, 17, 18, 18, 20], (2200, 3900)),
    (6, 139.7): (22, ["5.5", "5.50"], [106.1, 106.1, 108.0, 110.0, 78.1, 100.3], (-18, 35), [15, 16, 17, 17, 18, 18, 20, 22], (2000, 3600)),
    (5, 114.3): (14, ["4.5", "4.50"], [73.1, 72.6, 67.1, 66.1, 60.1], (15, 50), [15, 16, 17, 18, 19, 20], (1450, 2300)),
    (5, 127.0): (10, ["5", "5.0", "5.00"], [71.5, 78.1, 83.1], (-12, 45), [15, 17, 17, 18, 20], (1900, 2800)),
    (5, 139.7): (6, ["5.5", "5.50"], [77.8, 87.1, 108.0], (-12, 30), [15, 16, 17, 18, 20], (1900, 2900)),
    (8, 165.1): (9, ["6.5", "6.50"], [117.0, 121.3, 125.1], (-24, 50), [16, 17, 18, 20, 22], (3000, 4500)),
    (8, 170.0): (5, [], [125.0, 125.1, 130.8], (-24, 50), [17, 18, 20, 22], (3000, 4500)),
    (5, 120.0): (8, ["4.72"], [65.1, 72.6, 74.1], (15, 55), [16, 17, 18, 19, 20], (1600, 2700)),
    (5, 160.0): (5, ["6.3", "6.30"], [65.1, 65.1, 65.1, 74.1], (38, 68), [16, 16, 17, 18], (2100, 3300)),
    (6, 135.0): (5, [], [87.1, 87.1, 106.1], (-12, 44), [17, 18, 20, 22], (2200, 3300)),
    (5, 130.0): (4, ["5.12"], [71.6, 78.1, 84.1, 89.1], (20, 65), [15, 16, 17, 18, 20], (1700, 3000)),
}
W_PATTERN = Pick([(k, v[0]) for k, v in PATTERNS.items()])
BOLT_FMT = Pick([("{c}x{d}", 42), ("{c}-{d}", 14), ("{c}X{d}", 9), ("{c} x {d}", 9), ("{c}x{d}mm", 6), ("{c}x{d1}", 6),
                 ("{c}×{d}", 3), ("{c}*{d}", 1), ("inch", 10)])
SIZE_FMT = Pick([("{d}x{w}", 50), ("{d} x {w}", 14), ("{d}X{w}", 10), ("{d}x{w}J", 7), ("{w}x{d}", 5), ('{d}"x{w}"', 4),
                 ("{d}×{w}", 4), ("{d1}x{w2}", 6)])
OFF_FMT = Pick([("{p}", 26), ("{s}", 26), ("ET{p}", 22), ("{s}mm", 10), ("et {p}", 4), ("{s} mm", 6), ("uni", 3), ("{p}.0", 3)])
BORE_FMT = Pick([("{}", 70), ("{} mm", 10), ("{}mm", 12), ("two", 8)])
SEATS = Pick([("Conical", 22), ("60° Cone", 12), ("conical seat", 10), ("Taper 60", 6), ("Acorn", 10), ("ACORN / CONE", 3),
              ("Ball", 8), ("Ball R14", 7), ("Radius 13", 4), ("spherical", 3), ("Flat", 6), ("Mag w/ washer", 4), ("flat seat", 3)])
SEATS_BY = {  # a little correlation between pattern and seat
    (5, 120.0): Pick([("Ball R13", 15), ("Conical", 55), ("60° Cone", 20), ("Radius 13", 10)]),
    (6, 130.0): Pick([("Ball R14", 18), ("Ball", 9), ("Radius 14", 4), ("Conical", 34), ("60° Cone", 20), ("Acorn", 10), ("Flat", 5)]),
    (5, 160.0): Pick([("Flat", 12), ("Mag w/ washer", 8), ("Conical", 50), ("60° Cone", 30)]),
}
WIDTHS = Pick([(6.5, 6), (7.0, 14), (7.5, 12), (8.0, 20), (8.5, 22), (9.0, 16), (9.5, 4), (10.0, 5), (12.0, 1)])
LOAD_FMT = Pick([("plain", 52), ("sep", 26), ("unit", 8), ("sepunit", 6), ("other", 6), ("hash", 2)])
DUAL = {(5, 114.3): (5, 120.0), (6, 139.7): (6, 135.0), (5, 127.0): (5, 139.7), (6, 130.0): (6, 139.7), (8, 165.1): (8, 170.0)}
THREADS = ["M12x1.5", "M14x1.5", "14x1.5", "M14 x 2.0", "1/2-20", "M12x1.25", "9/16-18"]
LB = 0.45359237


def bolt_text(r, c, d, inch):
    f = BOLT_FMT(r)
    if f == "inch":
        if not inch:
            f = "{c}x{d}"
        else:
            return f"{c}x{r.choice(inch)}" if r.random() < 0.8 else f"{c}-{r.choice(inch)}"
    return f.format(c=c, d=num(d), d1=f"{d:.1f}")


def load_text(r, lb, unit):
    """lb is a whole number of pounds; the heading's unit is `unit`."""
    f = LOAD_FMT(r)
    kg = int(round(lb * LB / 5) * 5)
    own, other = ((lb, "lb"), (kg, "kg")) if unit == "lb" else ((kg, "kg"), (lb, "lb"))
    n, u = own
    if f == "plain": return str(n)
    if f == "sep": return thousands(n)
    if f == "unit": return f"{n} {u}" if r.random() < 0.5 else f"{n}{u}s"
    if f == "sepunit": return f"{thousands(n)} {u}"
    if f == "hash": return f"{lb}#"
    return f"{other[0]} {other[1]}"


def wheel_rows(n, r, unit):
    yield ["SKU", "Supplier", "Model", "Finish", "Size", "Bolt Pattern", "Offset (mm)", "Backspacing (in)", "Center Bore (mm)",
           f"Load Rating ({unit})", "Seat", "Lug Hole (mm)", "Thread", "Beadlock", "Weight (lb)", "Price (USD)", "Barcode",
           "Stock", "Notes"]
    rand, choice, randint = r.random, r.choice, r.randint
    for i in range(1, n + 1):
        sup = W_SUPPLIERS(r)
        pat = W_PATTERN(r)
        _, inch, bores, (olo, ohi), dias, (llo, lhi) = PATTERNS[pat]
        dia, w = choice(dias), WIDTHS(r)
        off = randint(olo, ohi)
        bore = choice(bores)
        lb = randint(llo // 25, lhi // 25) * 25
        size = SIZE_FMT(r).format(d=dia, w=num(w), d1=f"{dia}.0", w2=f"{w:.2f}")
        bolts = bolt_text(r, *pat, inch)
        if rand() < 0.03 and pat in DUAL:
            p2 = DUAL[pat]
            bolts = f"{pat[0]}x{num(pat[1])}/{p2[0]}x{num(p2[1])}"
        elif rand() < 0.005:
            bolts = "BLANK"
        f = OFF_FMT(r)
        offs = (f"−{-off}" if off < 0 else f"+{off}") if f == "uni" else f.format(p=off, s=f"{off:+d}")
        b = BORE_FMT(r)
        bt = f"{bore:.2f}" if b == "two" else b.format(num(bore))
        seat = SEATS_BY.get(pat, SEATS)(r)
        price = randint(9000, 68000) / 100
        row = [f"{sup[:3].upper()}-{dia}{int(w * 10)}-{i:07d}", sup, choice(W_MODELS), choice(W_FINISH), size, bolts, offs,
               f"{(w + 1) / 2 + off / 25.4:.2f}", bt, load_text(r, lb, unit), seat, f"{choice((14.5, 15.0, 15.5, 16.0))}",
               choice(THREADS), "Y" if rand() < 0.06 else "N", f"{18 + dia * 0.6 + rand() * 12:.1f}",
               f"${price:,.2f}" if rand() < 0.5 else f"{price:.2f}", f"{4000000000000 + i * 7919}",
               f"{randint(0, 1800):,}", choice(NOTES)]
        for c in range(3, 18):
            x = rand()
            if x < 0.03: row[c] = ""
            elif x < 0.04: row[c] = choice(GARBAGE)
        yield row


# ---------------------------------------------------------------- tires
T_SUPPLIERS = Pick([("Murndale", 14), ("Torvaxi", 13), ("Grelth", 12), ("Hesperwick", 11), ("Rolunda", 11), ("Skarvell", 10),
                    ("Nubriq", 10), ("Plaxorn", 10), ("Ebbertoft", 9)])
T_MODELS = ["Ridgeway AT", "Millrace HT", "Scree MT", "Tarn AT Plus", "Causeway Van", "Fellside AW", "Drover AT", "Sleet WT",
            "Quarryman MT", "Longhaul HT", "Moorgrip AT", "Packhorse LT"]
# kind, width mm (or OD in), aspect (or width in), rim, [li, dual], load range, speeds, psi
METRIC = []
for w, a in [(185, 75), (195, 70), (205, 65), (205, 75), (215, 65), (215, 75), (225, 60), (225, 65), (225, 70), (225, 75), (235, 65), (235, 75),
             (235, 80), (245, 65), (245, 70), (245, 75), (255, 65), (255, 70), (255, 75), (265, 60), (265, 65), (265, 70), (265, 75),
             (275, 60), (275, 65), (275, 70), (285, 65), (285, 70), (285, 75), (295, 70), (305, 65), (315, 70)]:
    for rim in (15, 16, 17, 18, 20):
        METRIC.append((w, a, rim))
FLOT = [(od, wd, rim) for od, wd in [(30, 9.5), (31, 10.5), (32, 11.5), (33, 10.5), (33, 12.5), (35, 11.5), (35, 12.5), (37, 12.5), (37, 13.5)]
        for rim in (15, 16, 17, 18, 20)]
T_KIND = Pick([("LT", 40), ("P", 28), ("C", 20), ("F", 12)])
SPEED = {"LT": ["Q", "R", "R", "S", "S", "T"], "P": ["S", "T", "T", "H", "V"], "C": ["N", "Q", "R", "R", "S", "T"], "F": ["N", "Q", "Q", "R", "S"]}
RANGE = {"LT": ["C", "D", "E", "E", "E", "F"], "P": ["SL", "SL", "XL"], "C": ["C", "D", "E"], "F": ["C", "D", "E", "E", "F"]}
PSI = {"C": 50, "D": 65, "E": 80, "F": 95, "SL": 44, "XL": 50}
PLY = {"C": 6, "D": 8, "E": 10, "F": 12, "SL": 4, "XL": 4}
LI_KG = dict(zip(range(60, 131), [
    250, 257, 265, 272, 280, 290, 300, 307, 315, 325, 335, 345, 355, 365, 375, 387, 400, 412, 425, 437, 450, 462, 475, 487, 500, 515,
    530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775, 800, 825, 850, 875, 900, 925, 950, 975, 1000, 1030, 1060,
    1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, 1400, 1450, 1500, 1550, 1600, 1650, 1700, 1750, 1800, 1850, 1900]))
T_SIZE = Pick([("a", 52), ("b", 14), ("c", 12), ("d", 8), ("e", 8), ("bare", 6)])
IN_FMT = Pick([("{i}", 66), ("{i} in", 8), ('{i}"', 14), ("{m} mm", 8), ("{m}mm", 4)])
PSI_FMT = Pick([("{p}", 72), ("{p} psi", 14), ("{p}psi", 4), ("{k} kPa", 6), ("{b:.1f} bar", 4)])


def tire_size(r, kind, a, b, rim, li, sp, lr):
    f = T_SIZE(r)
    dual = f"{li}/{li - 3}" if kind in ("LT", "C") or (kind == "F" and r.random() < 0.5) else f"{li}"
    if kind == "F":
        w = f"{b:.2f}"
        return {"a": f"{a}x{w}R{rim}LT {dual}{sp} {lr}", "b": f"{a}X{num(b)}R{rim} {dual}{sp}", "c": f"{a}x{w}R{rim}LT/{lr} {dual}{sp}",
                "d": f"{a} x {w} R{rim} {dual} {sp} {lr}", "e": f"{a}x{w}r{rim}lt {dual}{sp.lower()}", "bare": f"{a}x{w}R{rim}LT"}[f]
    pre = {"LT": "LT", "P": "P" if r.random() < 0.4 else "", "C": ""}[kind]
    suf = "C" if kind == "C" else ""
    rng = "" if kind in ("P", "C") else f" {lr}"
    return {"a": f"{pre}{a}/{b}R{rim}{suf} {dual}{sp}{rng}", "b": f"{pre}{a}/{b} R{rim}{suf} {dual}{sp}",
            "c": f"{pre}{a}/{b}R{rim}{suf}{'/' + lr if rng else ''} {dual}{sp}", "d": f"{pre} {a}/{b} R{rim}{suf} {dual} {sp}{rng}",
            "e": f"{pre}{a}/{b}r{rim}{suf} {dual}{sp}".lower(), "bare": f"{pre}{a}/{b}R{rim}{suf}"}[f].strip()


def tire_rows(n, r, unit):
    yield ["SKU", "Supplier", "Model", "Size", "Overall Diameter (in)", "Section Width (in)", f"Max Load ({unit})", "Max Pressure (psi)",
           "Ply", "3PMSF", "Tread Type", "Tread Depth (32nds)", "Approved Rim (in)", "Weight (lb)", "Price (USD)", "Barcode", "Stock", "Notes"]
    rand, choice, randint = r.random, r.choice, r.randint
    for i in range(1, n + 1):
        sup, kind = T_SUPPLIERS(r), T_KIND(r)
        lr = choice(RANGE[kind])
        if kind == "F":
            a, b, rim = choice(FLOT)
            od, sw = a - 0.2 + rand() * 0.2, b
        else:
            a, b, rim = choice(METRIC)
            od, sw = rim + 2 * a * b / 2540 + rand() * 0.2 - 0.1, a / 25.4 + rand() * 0.3
        base = 82 + (sw * od - 150) * 0.17
        li = int(base + PSI[lr] * 0.16) + randint(-1, 2)
        li = max(80, min(130, li))
        sp = choice(SPEED[kind])
        kg = LI_KG[li]
        psi = PSI[lr] - (randint(0, 1) * 5 if kind == "LT" else 0)
        price = randint(7800, 62000) / 100
        lo = round((sw * 0.68) * 2) / 2
        row = [f"{sup[:3].upper()}T-{rim}-{i:07d}", sup, choice(T_MODELS), tire_size(r, kind, a, b, rim, li, sp, lr),
               IN_FMT(r).format(i=f"{od:.1f}", m=round(od * 25.4)), IN_FMT(r).format(i=f"{sw:.1f}", m=round(sw * 25.4)),
               load_text(r, int(round(kg / LB / 5)) * 5, unit), PSI_FMT(r).format(p=psi, k=round(psi * 6.894757), b=psi * 0.06894757),
               choice((f"{PLY[lr]}PR", f"{lr} ({PLY[lr]})", str(PLY[lr]))), "Y" if rand() < 0.35 else "N",
               choice(("A/T", "M/T", "H/T", "A/W", "Winter")), str(randint(9, 20)), f"{lo:.1f}-{lo + 2:.1f}",
               f"{24 + (od - 24) * 2.2 + rand() * 8:.1f}", f"${price:,.2f}" if rand() < 0.5 else f"{price:.2f}",
               f"{5000000000000 + i * 7919}", f"{randint(0, 1800):,}", choice(NOTES)]
        for c in range(3, 17):
            x = rand()
            if x < 0.03: row[c] = ""
            elif x < 0.04: row[c] = choice(GARBAGE)
        yield row


# ---------------------------------------------------------------- no two texts alike
def blanked(row, r, first, last):
    for c in range(first, last):
        if r.random() < 0.03: row[c] = ""
    return row


def different_wheels(n, r, unit):
    yield next(wheel_rows(0, r, unit))
    choice, randint = r.choice, r.randint
    for i in range(1, n + 1):
        x = i / n  # what tells a figure from the same figure on another row; below the least step between figures
        sup, pat = W_SUPPLIERS(r), W_PATTERN(r)
        _, _, bores, (olo, ohi), dias, (llo, lhi) = PATTERNS[pat]
        dia, w, off = choice(dias), WIDTHS(r) + x * 0.05, randint(olo, ohi) + x * 0.5
        lb = randint(llo // 25, lhi // 25) * 25 + x * 20
        load = f"{lb:.6f}" if unit == "lb" else f"{lb * LB:.6f}"
        yield blanked([f"{sup[:3].upper()}-{dia}-{i:07d}", sup, f"{choice(W_MODELS)} {i}", choice(W_FINISH), f"{dia}x{w:.8f}",
                       f"{pat[0]}x{pat[1] + x * 0.04:.8f}", f"{off:.7f}", f"{(w + 1) / 2 + off / 25.4:.8f}", f"{choice(bores) + x * 0.09:.8f}",
                       load, SEATS_BY.get(pat, SEATS)(r), f"{choice((14.5, 15.0, 15.5, 16.0)) + x * 0.4:.7f}", choice(THREADS),
                       "Y" if r.random() < 0.06 else "N", f"{18 + dia * 0.6 + x * 12:.7f}", f"{90 + i / 100:.2f}",
                       f"{4000000000000 + i * 7919}", f"{i}", f"lot {i}"], r, 3, 18)


def different_tires(n, r, unit):
    yield next(tire_rows(0, r, unit))
    choice, randint = r.choice, r.randint
    for i in range(1, n + 1):
        x = i / n
        sup, kind = T_SUPPLIERS(r), choice(("LT", "P", "C"))
        lr = choice(RANGE[kind])
        a, b, rim = choice(METRIC)
        od, sw = rim + 2 * a * b / 2540, a / 25.4
        li = max(80, min(130, int(82 + (sw * od - 150) * 0.17 + PSI[lr] * 0.16) + randint(-1, 2)))
        pre, suf = {"LT": ("LT", ""), "P": ("P", ""), "C": ("", "C")}[kind]
        index = f"{li}" if kind == "P" else f"{li}/{li - 3}"
        # 24 ^ 4 ways to space one designation out: far more than rows
        gaps = [" " * (i // 24 ** k % 24) for k in range(4)]
        size = f"{pre}{a}/{b}{gaps[0]}R{rim}{suf} {gaps[1]}{index}{gaps[2]}{choice(SPEED[kind])}" + (f" {gaps[3]}{lr}" if kind == "LT" else "")
        kg = LI_KG[li] + x * 4
        yield blanked([f"{sup[:3].upper()}T-{rim}-{i:07d}", sup, f"{choice(T_MODELS)} {i}", size, f"{od + x * 0.09:.8f}", f"{sw + x * 0.3:.8f}",
                       f"{kg / LB if unit == 'lb' else kg:.7f}", f"{PSI[lr] + x * 0.9:.7f}", f"{PLY[lr]}PR", "Y" if r.random() < 0.35 else "N",
                       choice(("A/T", "M/T", "H/T", "A/W", "Winter")), f"{randint(9, 20) + x * 0.9:.7f}", f"{round(sw * 1.36) / 2:.1f}",
                       f"{24 + (od - 24) * 2.2 + x * 8:.7f}", f"{78 + i / 100:.2f}", f"{5000000000000 + i * 7919}", f"{i}", f"lot {i}"], r, 3, 17)


PLAIN = re.compile(r"[+-]?\d+(?:\.\d+)?\Z")


def main():
    ap = argparse.ArgumentParser()
    ap.add_argument("kind", choices=["wheels", "tires"])
    ap.add_argument("n", type=int)
    ap.add_argument("out")
    ap.add_argument("--seed", default="1")
    ap.add_argument("--unit", choices=["lb", "kg"], default=None)
    ap.add_argument("--different", action="store_true")
    a = ap.parse_args()
    unit = a.unit or "lb"
    r = random.Random(f"{a.kind}/{a.seed}")
    makers = (different_wheels, different_tires) if a.different else (wheel_rows, tire_rows)
    rows = makers[a.kind == "tires"](a.n, r, unit)
    if a.out.endswith(".xlsx"):
        if a.n > 200_000:
            sys.exit("xlsx: at most 200000 rows")
        import datetime, xlsxwriter
        wb = xlsxwriter.Workbook(a.out, {"strings_to_numbers": False, "strings_to_formulas": False, "strings_to_urls": False})
        wb.set_properties({"created": datetime.datetime(2024, 1, 1)})
        ws = wb.add_worksheet("Sheet1")
        for y, row in enumerate(rows):
            for x, cell in enumerate(row):
                if cell == "":
                    continue
                if y and x > 2 and PLAIN.match(cell):
                    ws.write_number(y, x, float(cell))
                else:
                    ws.write_string(y, x, cell)
        wb.close()
    else:
        with open(a.out, "w", newline="", encoding="utf-8") as f:
            csv.writer(f).writerows(rows)


if __name__ == "__main__":
    main()
