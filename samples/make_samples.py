#!/usr/bin/env python3
"""Writes the sample sheets, their twins, the shop folder's sheets and vans, and the truth tables from the
lists below.

One list per kind holds the truth about every part; the untidy sheet and the clean truth table are both
written from it, so that they cannot drift apart. Nothing is random and no clock is read: the same bytes
come out each time. Needs xlsxwriter (any 3.x), because it can store a formula's cached value.

    python3 samples/make_samples.py [FOLDER]     (samples/ itself, if no folder is given)
"""

import csv
import datetime
import io
import pathlib
import sys
from decimal import ROUND_HALF_UP, Decimal

import xlsxwriter

HERE = pathlib.Path(__file__).resolve().parent
MISSING = "missing"

# Kilograms for the load indices used below (handbook load_index.csv).
KG = {
    97: 730, 98: 750, 100: 800, 101: 825, 102: 850, 103: 875, 104: 900, 105: 925, 106: 950, 107: 975, 108: 1000,
    109: 1030, 110: 1060, 111: 1090, 112: 1120, 113: 1150, 114: 1180, 115: 1215, 116: 1250, 117: 1285, 118: 1320,
    119: 1360, 120: 1400, 121: 1450, 122: 1500, 123: 1550, 124: 1600, 125: 1650, 126: 1700, 127: 1750, 128: 1800,
    129: 1850,
}  # fmt: skip


def pounds(kg):
    """Whole pounds, as a sidewall prints them."""
    return int((Decimal(kg) / Decimal("0.45359237")).quantize(Decimal(1), ROUND_HALF_UP))


# ---------------------------------------------------------------- wheels

SUPPLIER = {"SK": "Skarnwell Forge", "PW": "Pellowick Alloys", "DH": "Durnhaugh Rim Co."}


def wheel(sku, name, rim, bolts, offset, bore, load, seat, *, bs="", hole="", beadlock="", marks="", tab="Price list",
          show=None, defects=""):
    """One wheel. Values carry their units; '' means the supplier leaves the cell empty.

    `show` replaces what the untidy sheet prints for a field; `defects` names what is deliberately wrong.
    """
    return {
        "supplier": SUPPLIER[sku[:2]], "sku": sku, "name": name,
        "rim_diameter": rim.split("x")[0] + " in", "rim_width": rim.split("x")[1] + " in",
        "bolt_patterns": bolts, "offset": offset, "backspacing": bs, "center_bore": bore, "load_rating": load,
        "seat": seat, "bolt_hole": hole, "beadlock": beadlock, "markings": marks,
        "defects": defects, "_tab": tab, "_show": show or {},
    }  # fmt: skip


P, Q = "6x130 mm", "6x205 mm"
B84, B161 = "84.1 mm", "161.1 mm"
J, R = "JWL-T / SAE J2530", "UN R124"
CLOSE, HIDDEN = "Closeouts", "Discontinued"
BALL, CONE = "ball R14", "cone 60"

WHEELS = [
    "16 INCH",
    wheel("SK-1601", "Skelver", "16x6.5", P, "60 mm", B84, "2800 lb", BALL, marks=J, hole="15 mm"),
    wheel("PW-1602", "Quabbet", "16x7", P, "55 mm", B84, "2756 lb", BALL, marks=J),
    wheel("DH-1603", "Norrup", "16x6", P, "62 mm", B84, "1250 kg", BALL, marks=R),
    wheel("SK-1604", "Skelver", "16x7", P, "50 mm", B84, "2950 lb", "cone", marks=J),
    wheel("SK-1605", "Skelver", "16x7", P, "45 mm", "78.1 mm", "2950 lb", BALL, marks=J),
    wheel("PW-1606", "Quabbet", "16x7", P, "68 mm", "106.1 mm", "3000 lb", CONE, marks=J),
    wheel("PW-1607", "Quabbet", "16x8", "6x139.7 mm", "20 mm", "106.1 mm", "2650 lb", CONE, marks="JWL"),
    wheel("DH-1608", "Norrup", "16x6.5", P, "54 mm", B84, MISSING, BALL, marks=R, defects="load_rating=missing"),
    wheel("SK-4601", "Hobwick Twin", "16x5.5", Q, "115 mm", B161, "1000 kg", "flat", marks=R),
    wheel("SK-4602", "Hobwick Twin", "16x6", Q, "117 mm", B161, "2315 lb", "flat", marks=J),
    wheel("SK-4603", "Hobwick Twin", "16x6", Q, "117 mm", B161, "2315 lb", CONE, marks=J),
    wheel("SK-4604", "Hobwick Wide", "16x6", Q, "112 mm", "170.1 mm", "2315 lb", "flat", marks=J),
    wheel("SK-4605", "Hobwick Wide", "16x6.5", Q, "112 mm", B161, MISSING, "flat", marks=J,
          defects="load_rating=missing"),
    wheel("SK-4606", "Hobwick Wide", "16x6", Q, "115 mm", B161, "2400 lb", "flat", bs="7.10 in", marks=J,
          defects="offset=contradicted:offset-vs-backspacing; backspacing=contradicted:offset-vs-backspacing"),
    wheel("SK-4607", "Hobwick Wide", "16x6", Q, "90 mm", B161, "2400 lb", "flat", marks=J),
    wheel("SK-4608", "Hobwick Twin", "16x5.5", Q, "115 mm", B161, "2315 lb", BALL, marks=J),
    wheel("DH-4621", "Drasket", "16x5.5", Q, "125 mm", B161, "1050 kg", "flat", marks=R),
    wheel("DH-4622", "Drasket", "16x6", "6x8.07 in", "118 mm", "6.343 in", "1050 kg", "flat", marks=R),
    wheel("DH-4623", "Drasket", "16x6", Q, "118 mm", B161, "940 kg", CONE, marks=R),
    wheel("DH-4624", "Drasket", "16x6", Q, "118 mm", "166.1 mm", "1050 kg", CONE, marks=R),
    wheel("DH-4625", "Drasket", "16x6", Q, "118 mm", B161, "1050 kg", MISSING, marks=R, defects="seat=missing"),
    "17 INCH",
    wheel("SK-1701", "Skelver", "17x8", P, "45 mm", B84, "2756 lb", BALL, bs="6.27 in", marks=J),
    wheel("SK-1702", "Skelver", "17x7.5", P, "50 mm", B84, "1250 kg", BALL, marks=J, hole="15.5 mm"),
    wheel("SK-1703", "Skelver", "17x8.5", P, "38 mm", B84, "3200 lb", CONE, marks=J),
    wheel("SK-1704", "Skelver", "17x8.5", P, "38 mm", "106.1 mm", "3200 lb", CONE, marks=J),
    wheel("SK-1705", "Skelver", "17x8.5", P, "42 mm", "93.1 mm", "3200 lb", BALL, marks=J),
    wheel("SK-1706", "Skelver", "17x8.5", P, "44 mm", B84, "3200 lb", MISSING, marks=J, defects="seat=missing"),
    wheel("SK-1707", "Skelver", "17x8.5", "contradicted:date-for-text", "44 mm", B84, "3200 lb", BALL, marks=J,
          show={"bolt_patterns": datetime.date(2012, 6, 5)}, defects="bolt_patterns=contradicted:date-for-text"),
    wheel("SK-1708", "Skelver", "17x8.5", P, "44 mm", B84, "unreadable", BALL, marks=J,
          show={"load_rating": "#N/A"}, defects="load_rating=unreadable"),
    wheel("SK-1709", "Skelver", "17x8.5", P, "45 mm", B84, "3200 lb", BALL, bs="5.60 in", marks=J,
          defects="offset=contradicted:offset-vs-backspacing; backspacing=contradicted:offset-vs-backspacing"),
    wheel("SK-1710", "Skelver", "17x8", P, "40 mm", B84, "2200 lb", BALL, marks=J),
    wheel("SK-1711", "Skelver", "17x8", P, "25 mm", B84, "2800 lb", BALL, marks=J),
    wheel("SK-1712", "Skelver", "17x8", P, "45 mm", B84, "2800 lb", "ball R13", marks=J),
    wheel("SK-1713", "Skelver", "17x8", P, "58 mm", B84, "2800 lb", CONE, marks=J),
    "repeat-heading",
    wheel("PW-2101", "Tarnuck", "17x8.5", "6x130 mm|6x139.7 mm", "38 mm", "84.2 mm", "3000 lb", BALL, marks=J),
    wheel("PW-2102", "Tarnuck", "17x7.5", "6x5.12 in", "48 mm", "3.311 in", "2900 lb", BALL, marks=J),
    wheel("PW-2103", "Tarnuck", "17x8", P, "75 mm", B84, "3000 lb", CONE, marks=J),
    wheel("PW-2104", "Tarnuck", "17x8", P, "80 mm", B84, "3000 lb", CONE, marks=J),
    wheel("PW-2105", "Tarnuck", "17x8", P, "75 mm", B84, "3000 lb", BALL, marks=J),
    wheel("PW-2106", "Tarnuck", "17x8", P, "90 mm", B84, "3000 lb", CONE, marks=J),
    wheel("PW-2107", "Tarnuck", "17x8", P, "45 mm", "841 mm", "3000 lb", BALL, marks=J,
          defects="center_bore=contradicted:value-out-of-range"),
    wheel("PW-2108", "Tarnuck", "17x8", P, "45 mm", B84, "3000 lb", "ball", marks=J, defects="seat=no radius"),
    wheel("PW-2109", "Tarnuck", "17x8", P, "45 mm", B84, "3000 lb", BALL, marks=J,
          defects="offset=contradicted:sku-repeated"),
    wheel("PW-2109", "Tarnuck", "17x8", P, "50 mm", B84, "3000 lb", BALL, marks=J,
          defects="offset=contradicted:sku-repeated"),
    wheel("PW-2110", "Tarnuck", "17x8", P, "45 mm", "106.1 mm", MISSING, BALL, marks=J,
          defects="load_rating=missing"),
    wheel("PW-2111", "Brindolex Lock", "17x8.5", P, "40 mm", B84, "3400 lb", BALL, beadlock="yes"),
    wheel("PW-2112", "Tarnuck", "17x8", P, "45 mm", B84, "3000 lb", BALL, hole="14.0 mm", marks=J),
    wheel("PW-2113", "Tarnuck", "17x8", P, "45 mm", "85.0 mm", "3000 lb", BALL, marks=J),
    wheel("PW-2114", "Tarnuck", "17x8", P, "45 mm", B84, "3000 lb", "cone 90", marks=J),
    wheel("PW-2115", "Tarnuck", "17x8", "8x165.1 mm", "0 mm", "121.3 mm", "3640 lb", CONE, marks=J),
    wheel("PW-2116", "Tarnuck", "17x9", "5x127 mm|5x139.7 mm", "-12 mm", "87.1 mm", "2500 lb", CONE, marks="JWL"),
    wheel("PW-4611", "Hexnick Duo", "17x6.5", Q, "108 mm", B161, "2400 lb", "flat", marks=J),
    wheel("PW-4612", "Hexnick Duo", "17x6", Q, "120 mm", "161.2 mm", "2400 lb", "flat", marks=J),
    wheel("PW-4613", "Hexnick Duo", "17x6", Q, "120 mm", B161, "2400 lb", "shank", marks=J),
    wheel("PW-4614", "Hexnick Duo", "17x6", Q, "120 mm", B161, "2060 lb", "flat", marks=J),
    wheel("PW-4615", "Hexnick Duo", "17x6", Q, "unreadable", B161, "2400 lb", "flat", marks=J,
          show={"offset": "TBA"}, defects="offset=unreadable"),
    wheel("PW-4616", "Hexnick Duo", "17x6", MISSING, "120 mm", B161, "2400 lb", "flat", marks=J,
          defects="bolt_patterns=missing"),
    wheel("PW-4617", "Hexnick Duo", "17x6", Q, "120 mm", B161, "1950 lb", "flat", marks=J),
    wheel("PW-4618", "Hexnick Duo", "17x6", Q, "120 mm", "160.0 mm", "2400 lb", "flat", marks=J),
    wheel("DH-3102", "Norrup", "17x8", P, "46 mm", B84, "2677 lb", BALL, marks=R),
    wheel("DH-3103", "Norrup", "17x8", P, "46 mm", B84, "2676 lb", BALL, marks=R),
    wheel("DH-3104", "Norrup", "17x8.5", P, MISSING, B84, "1450 kg", CONE, bs="6.53 in", marks=R),
    wheel("DH-3105", "Norrup", "17x8.5", P, "45 mm", B84, "1450 kg", CONE, bs="7.40 in", marks=R,
          defects="offset=contradicted:offset-vs-backspacing; backspacing=contradicted:offset-vs-backspacing"),
    "18 INCH",
    wheel("PW-1801", "Tarnuck", "18x8.5", P, "42 mm", "84.2 mm", "3200 lb", BALL, marks=J),
    wheel("DH-1802", "Norrup", "18x9", P, "30 mm", B84, "1450 kg", BALL, marks=R),
    wheel("DH-1803", "Norrup", "18x9", "6x130 mm|6x139.7 mm", "35 mm", "106.1 mm", "1450 kg", CONE, marks=R),
    wheel("PW-2001", "Tarnuck", "20x9", P, "35 mm", B84, "3200 lb", BALL, marks=J),
    # Second tab: the unit of a load stands in the cell, and in two rows nowhere.
    wheel("DH-3111", "Wrostle", "17x7.5", P, "52 mm", "110.1 mm", "2900 lb", BALL, tab=CLOSE),
    wheel("DH-3112", "Wrostle", "17x7.5", P, "52 mm", B84, "contradicted:unit-not-stated", BALL, tab=CLOSE,
          show={"load_rating": 1350}, defects="load_rating=contradicted:unit-not-stated"),
    wheel("DH-3113", "Wrostle", "16x6.5", P, "52 mm", B84, "1320 kg", BALL, tab=CLOSE),
    wheel("DH-3113", "Wrostle", "16x6.5", P, "52 mm", B84, "1320 kg", BALL, tab=CLOSE,
          defects="row=identical repeat"),
    wheel("DH-3114", "Wrostle", "16x6.5", P, "52 mm", B84, "1320 kg", "flat", tab=CLOSE),
    wheel("DH-4626", "Drasket", "16x6", Q, "118 mm", B161, "contradicted:unit-not-stated", "flat", tab=CLOSE,
          show={"load_rating": 1000}, defects="load_rating=contradicted:unit-not-stated"),
    wheel("DH-4627", "Drasket", "16x7", Q, "118 mm", B161, "1000 kg", "flat", tab=CLOSE),
    # Third tab, hidden by the supplier.
    wheel("DH-3121", "Ockle", "16x6.5", P, "58 mm", B84, "1250 kg", BALL, tab=HIDDEN),
    wheel("DH-3122", "Ockle", "16x6.5", P, "58 mm", B84, "900 kg", MISSING, tab=HIDDEN, defects="seat=missing"),
    wheel("DH-4628", "Ockle", "16x6", Q, "110 mm", "180.0 mm", "1000 kg", "flat", tab=HIDDEN),
    wheel("DH-4629", "Ockle", "16x6", Q, "110 mm", B161, "1000 kg", "flat", tab=HIDDEN),
]

# Some makers say that a rim has no beadlock, some leave the cell empty. A repeated SKU must not differ in this.
for _w in WHEELS:
    if isinstance(_w, dict) and _w["_tab"] == "Price list" and not _w["beadlock"] and int(_w["sku"][-1]) % 2:
        _w["beadlock"] = "no"

SEAT_WORDS = {
    "ball R14": ["Ball R14", "R14 ball seat", "Ball R14", "Radius R14"],
    "ball R13": ["Ball R13"],
    "ball": ["Ball seat"],
    "cone 60": ["Conical 60°", "60° cone", "60 deg conical", "Conical 60°"],
    "cone 90": ["Conical 90°"],
    "cone": ["Conical"],
    "flat": ["Flat", "Flat w/ washer", "Flat seat"],
    "shank": ["Mag shank"],
    MISSING: [""],
}


def number(text):
    return Decimal(text.split(" ")[0])


def show_rim(w, n):
    d, b = number(w["rim_diameter"]), number(w["rim_width"])
    return [f"{d}x{b}", f"{b}Jx{d}H2", f"{d} X {str(b).replace('.', ',')}", f"{d} x {b}", f"{b}Jx{d}"][n % 5]


def show_bolts(text, n):
    if text == MISSING:
        return ""
    patterns = []
    for one in text.split("|"):
        figures, unit = one.split(" ")
        count, circle = figures.split("x")
        if unit == "in":
            patterns.append(f'{count}x{circle}"')
        elif "|" in text:
            patterns.append(figures)
        else:
            patterns.append([figures, f"{count}-{circle}", f"{count}/{circle}", f"{circle}x{count}", f"{count} X {circle}"][n % 5])
    return "/".join(patterns)


def show_offset(text, n):
    if text == MISSING:
        return ""
    mm = int(number(text))
    if mm == 0:
        return "S0"
    if mm < 0:
        return str(mm)
    return [f"ET{mm}", f"+{mm}", f"{mm}mm", mm, f"ET {mm}"][n % 5]


def show_bore(text, n):
    if text.endswith(" in"):
        return text.split(" ")[0] + '"'
    mm = number(text)
    return [float(mm), float(mm), f"{mm} mm"][n % 3]


def show_load(text, n):
    """Pounds stand bare under a heading that says lb; kilograms say so in the cell."""
    if text == MISSING:
        return ""
    value, unit = text.split(" ")
    if unit == "kg":
        return [f"{value} kg", f"{value}kg"][n % 2]
    return [int(value), f"{int(value):,}", f"{int(value):,} lb", int(value), f"{value} lbs"][n % 5]


def bare(text):
    return "" if text in ("", MISSING) else float(number(text))


WHEEL_HEADINGS = ["Supplier", "Part No.", "Style", "Size", "Bolt Pattern", "Offset", "Back Spacing (in)",
                  "Center Bore (mm)", "Load Rating (lb)", "Lug Seat", "Bolt Hole (mm)", "Beadlock", "Markings",
                  "Wt (lb)", "MSRP", "Dealer"]  # fmt: skip


def price_of(w):
    return 118 + 9 * int(number(w["rim_width"]) * 2) + (11 * len(w["name"])) % 40


def write_wheel_sheet(path):
    book = xlsxwriter.Workbook(path)
    book.set_properties({"title": "Wheel list", "created": datetime.datetime(2024, 3, 4)})
    bold = book.add_format({"bold": True})
    day = book.add_format({"num_format": "d-mmm-yy"})
    money = book.add_format({"num_format": "0.00"})
    main, close, gone = (book.add_worksheet(name) for name in ("Price list", CLOSE, HIDDEN))
    gone.hide()

    def put(sheet, row, column, value, n):
        if isinstance(value, datetime.date):
            sheet.write_datetime(row, column, datetime.datetime(value.year, value.month, value.day), day)
        elif value == "#N/A":
            sheet.write_formula(row, column, "=NA()", None, "#N/A")
        elif value != "":
            sheet.write(row, column, value)

    def facts(w, n, loads_labelled):
        shown = {
            "size": show_rim(w, n), "bolt_patterns": None, "offset": None, "backspacing": bare(w["backspacing"]),
            "center_bore": show_bore(w["center_bore"], n), "load_rating": None,
            "seat": SEAT_WORDS[w["seat"]][n % len(SEAT_WORDS[w["seat"]])], "bolt_hole": bare(w["bolt_hole"]),
            "beadlock": w["beadlock"].capitalize(), "markings": w["markings"],
        }  # fmt: skip
        for field, spell in (("bolt_patterns", show_bolts), ("offset", show_offset), ("load_rating", show_load)):
            if field not in w["_show"]:
                shown[field] = spell(w[field], n)
        if not loads_labelled and "load_rating" not in w["_show"] and w["load_rating"] != MISSING:
            shown["load_rating"] = w["load_rating"]
        shown.update(w["_show"])
        return shown

    # The main tab starts in column B and under a title block.
    main.write("B1", "Regional wheel list, heavy vans", bold)
    main.write("B2", "Three makers, one list. Prices per wheel, ex works. Loads in pounds unless the cell says otherwise.")
    main.write("H3", "valid until revoked")
    row, first = 4, 1

    def heading():
        for i, text in enumerate(WHEEL_HEADINGS):
            main.write(row, first + i, text, bold)

    heading()
    row += 1
    n = 0
    first_part = None
    for w in WHEELS:
        if isinstance(w, str):
            if w == "repeat-heading":
                row += 1
                heading()
            else:
                main.write(row, first, w, bold)
            row += 1
            continue
        if w["_tab"] != "Price list":
            continue
        s = facts(w, n, True)
        if n % 11 == 7:
            row += 1  # a blank row here and there
        first_part = first_part if first_part is not None else row
        cells = [w["supplier"], w["sku"], w["name"], s["size"], s["bolt_patterns"], s["offset"], s["backspacing"],
                 s["center_bore"], s["load_rating"], s["seat"], s["bolt_hole"], s["beadlock"], s["markings"]]  # fmt: skip
        for i, value in enumerate(cells):
            if i == 8 and isinstance(value, int) and n % 7 == 3:
                # A rating that the supplier works out from kilograms, with its cached result.
                kg = int(Decimal(value) * Decimal("0.45359237"))
                rest = value - pounds(kg)
                main.write_formula(row, first + i, f"=ROUND({kg}/0.45359237,0)+{rest}", None, value)
            else:
                put(main, row, first + i, value, n)
        main.write(row, first + 13, 24 + n % 9)
        main.write(row, first + 14, price_of(w), money)
        cell = f"P{row + 1}"
        main.write_formula(row, first + 15, f"=ROUND({cell}*0.7,2)", money, float(Decimal(price_of(w)) * Decimal("0.7")))
        w["_row"] = row + 1
        row += 1
        n += 1
    main.write(row, first + 2, "Subtotal, styles listed", bold)
    main.write_formula(row, first + 14, f"=SUM(P{first_part + 1}:P{row})", money,
                       sum(price_of(w) for w in WHEELS if isinstance(w, dict) and w["_tab"] == "Price list"))  # fmt: skip
    row += 2
    main.write(row, first, "Notes: ratings are per wheel. Hardware is not included. Twin wheels are sold in pairs.")
    main.write(row + 1, first, "Errors and omissions excepted.")

    # The second tab has a heading of two rows, the second one with units; the load has none.
    close.write("A1", "CLOSEOUTS while they last", bold)
    for i, (top, below) in enumerate([("Supplier", ""), ("SKU", ""), ("Style", ""), ("Size", ""), ("Bolt Pattern", ""),
                                      ("Offset", "(mm)"), ("Center Bore", "(mm)"), ("Load Rating", ""), ("Lug Seat", ""),
                                      ("Price", "(USD)")]):  # fmt: skip
        close.write(2, i, top, bold)
        if below:
            close.write(3, i, below, bold)
    row = 4
    for n, w in enumerate(w for w in WHEELS if isinstance(w, dict) and w["_tab"] == CLOSE):
        # The identical repeat must be spelled the same in every cell.
        s = facts(w, 3 if w["sku"] == "DH-3113" else n, False)
        for i, value in enumerate([w["supplier"], w["sku"], w["name"], s["size"], s["bolt_patterns"], s["offset"],
                                   s["center_bore"], s["load_rating"], s["seat"], price_of(w) - 30]):  # fmt: skip
            put(close, row, i, value, n)
        w["_row"] = row + 1
        row += 1

    # The hidden tab is an older and tidier list, in metric units.
    for i, text in enumerate(["Supplier", "SKU", "Style", "Rim Diameter (in)", "Rim Width (in)", "Bolt Pattern",
                              "Offset (mm)", "Center Bore (mm)", "Load Rating (kg)", "Lug Seat"]):  # fmt: skip
        gone.write(0, i, text, bold)
    row = 1
    for n, w in enumerate(w for w in WHEELS if isinstance(w, dict) and w["_tab"] == HIDDEN):
        for i, value in enumerate([w["supplier"], w["sku"], w["name"], bare(w["rim_diameter"]), bare(w["rim_width"]),
                                   show_bolts(w["bolt_patterns"], 0), bare(w["offset"]), bare(w["center_bore"]),
                                   bare(w["load_rating"]), SEAT_WORDS[w["seat"]][0]]):  # fmt: skip
            put(gone, row, i, value, n)
        w["_row"] = row + 1
        row += 1
    book.close()


# ---------------------------------------------------------------- tires

TIRE_SUPPLIER = {"OB": "Ombrick Rubber", "TH": "Threlby Tread", "VM": "Vossmarrow Tire"}


def tire(sku, tread, size, service, *, lr="", ply="", single="table", dual="table", od="", section="", rim="", snow="",
         date="", psi="", style=0, show=None, defects=""):
    """One tire. `service` is '121/119R'; a printed load 'table' is the index's own, in whole pounds."""
    indices, symbol = (service[:-1], service[-1]) if service and service[-1].isalpha() else (service, "")
    li, _, li2 = indices.partition("/")
    if single == "table":
        single = f"{pounds(KG[int(li)])} lb" if li else ""
    if dual == "table":
        dual = f"{pounds(KG[int(li2)])} lb" if li2 else ""
    return {
        "supplier": TIRE_SUPPLIER[sku[:2]], "sku": sku, "name": tread, "size": size, "load_index": li,
        "load_index_dual": li2, "speed_symbol": symbol, "load_range": lr, "ply_rating": ply, "load_single": single,
        "load_dual": dual, "overall_diameter": od, "section_width": section, "rim_diameter": rim, "snow_mark": snow,
        "date_code": date, "max_pressure": psi, "defects": defects, "_style": style, "_show": show or {},
    }  # fmt: skip


KER, WEN, PLO, ICK, THR = "Kerbule Van", "Wendlow HT", "Plomrack AT", "Icklesome Winter", "Thruskin MT"
DVS = "overall_diameter=contradicted:diameter-vs-size"
TIRES = [
    # euro-metric C
    tire("OB-1001", KER, "235/65R16C", "121/119R", psi="83 psi", date="1924", rim="16 in"),
    tire("OB-1002", KER, "235/65R16C", "115/113R", psi="69 psi", date="2024", style=1, rim="16 in"),
    tire("OB-1003", KER, "215/75R16C", "116/114R", psi="69 psi", style=2, od="728 mm"),
    tire("OB-1004", KER, "215/75R16C", "113/111R", psi="69 psi", style=3, ply="8"),
    tire("OB-1005", KER, "205/75R16C", "113/111R", psi="69 psi", date="0324"),
    tire("OB-1006", KER, "205/75R16C", "110/108R", psi="65 psi", style=1, od="714 mm"),
    tire("OB-1007", KER, "195/75R16C", "107/105R", psi="69 psi", style=2),
    tire("OB-1008", KER, "195/75R16C", "110/108T", psi="69 psi", style=4),
    tire("OB-1009", KER, "225/75R16C", "121/120R", psi="83 psi", date="3023"),
    tire("OB-1010", KER, "225/75R16C", "118/116R", psi="76 psi", style=1, od="744 mm"),
    tire("OB-1011", KER, "225/65R16C", "112/110R", psi="69 psi", style=2),
    tire("OB-1012", KER, "215/65R16C", "109/107T", psi="69 psi", style=1),
    tire("OB-1013", KER, "195/65R16C", "104/102T", psi="69 psi"),
    tire("OB-1014", KER, "235/60R17C", "117/115R", psi="76 psi", style=1, snow="no"),
    tire("OB-1015", KER, "225/55R17C", "109/107H", psi="69 psi", style=4),
    tire("OB-1016", KER, "265/70R17C", "121/118S", psi="80 psi", style=2, section="272 mm"),
    tire("OB-1017", KER, "225/70R15C", "112/110S", psi="65 psi", style=1),
    tire("OB-1018", KER, "205R16C", "110/108R", psi="65 psi"),
    tire("OB-1019", KER, "195R15C", "106/104Q", psi="65 psi", style=1),
    tire("OB-1020", "Kerbule Cargo", "7.00R16C", "117/116N", psi="80 psi"),
    tire("OB-1021", "Kerbule Cargo", "7.50R16C", "121/120L", psi="90 psi", style=1),
    tire("OB-1022", ICK, "235/65R16C", "121/119R", snow="yes", psi="83 psi", date="3124"),
    tire("OB-1023", ICK, "215/75R16C", "116/114Q", snow="yes", psi="69 psi", style=1, date="3124"),
    tire("OB-1024", ICK, "205/75R16C", "110/108R", snow="yes", psi="65 psi", style=4),
    tire("OB-1025", ICK, "225/75R16C", "121/120R", snow="yes", psi="83 psi", style=2),
    tire("OB-1026", ICK, "235/60R17C", "117/115T", snow="yes", psi="76 psi"),
    tire("OB-1027", ICK, "225/65R16C", "112/110T", snow="yes", psi="69 psi", style=1),
    tire("OB-1028", KER, "215/60R17C", "109/107T", psi="69 psi", style=1),
    # euro-metric C with something wrong
    tire("OB-1101", KER, "235/65R16C", "121/119R", single="2950 lb", psi="83 psi", style=1,
         defects="load_index=contradicted:load-index-vs-load; load_single=contradicted:load-index-vs-load"),
    tire("OB-1102", KER, "215/75R16C", "116/114R", dual="2866 lb", psi="69 psi", style=1,
         defects="load_index_dual=contradicted:load-index-vs-load; load_dual=contradicted:load-index-vs-load"),
    tire("OB-1103", KER, "235/65R16C", "115/113R", od="742 mm", psi="69 psi", style=1, defects=DVS),
    tire("OB-1104", KER, "205/75R16C", "110/108R", od="690 mm", psi="65 psi", style=2, defects=DVS),
    tire("OB-1105", KER, "235/65R16C", "121/119R", rim="17 in", od="712 mm", section="240 mm", style=1,
         defects="size=contradicted:rim-vs-size; rim_diameter=contradicted:rim-vs-size"),
    tire("OB-1106", KER, "205/75R16C", "113/111R", rim="15 in", od="714 mm", section="203 mm", style=1,
         defects="size=contradicted:rim-vs-size; rim_diameter=contradicted:rim-vs-size"),
    tire("OB-1107", KER, "215/75R16C", "116/114", psi="69 psi", style=1, defects="speed_symbol=missing"),
    tire("OB-1108", KER, "225/75R16C", "121/120", psi="83 psi", style=1, defects="speed_symbol=missing"),
    tire("OB-1109", KER, "235/65R16C", "121/119R", psi="83 psi", style=1, defects="speed_symbol=contradicted:sku-repeated"),
    tire("OB-1109", KER, "235/65R16C", "121/119Q", psi="83 psi", style=1, defects="speed_symbol=contradicted:sku-repeated"),
    tire("OB-1110", KER, "205/75R16C", "", single="2337 lb", dual="2205 lb", psi="65 psi", style=1,
         defects="load_index=missing; load_index_dual=missing; speed_symbol=missing"),
    tire("OB-1111", KER, "235/65R16C", "115R", psi="69 psi", style=1, defects="load_index_dual=missing; load_dual=missing"),
    tire("OB-1112", KER, "205/75R16C", "110R", psi="65 psi", style=1, defects="load_index_dual=missing; load_dual=missing"),
    "heading",
    # LT
    tire("TH-2001", WEN, "LT225/75R16", "115/112R", lr="E", psi="80 psi", date="2224"),
    tire("TH-2002", WEN, "LT215/85R16", "115/112Q", lr="E", psi="80 psi", style=1),
    tire("TH-2003", WEN, "LT245/75R16", "120/116S", lr="E", psi="80 psi", style=2, od="774 mm"),
    tire("TH-2004", WEN, "LT235/85R16", "120/116R", lr="E", psi="80 psi", style=3),
    tire("TH-2005", WEN, "LT265/75R16", "123/120R", lr="E", psi="80 psi"),
    tire("TH-2006", WEN, "LT265/70R17", "121/118S", lr="E", psi="80 psi", snow="yes"),
    tire("TH-2007", WEN, "LT245/75R17", "121/118S", lr="E", psi="80 psi", style=4),
    tire("TH-2008", WEN, "LT245/70R17", "119/116S", lr="E", psi="80 psi", style=1, od="776 mm", rim="17 in"),
    tire("TH-2009", WEN, "LT235/80R17", "120/117R", lr="E", psi="80 psi", style=3),
    tire("TH-2010", WEN, "LT275/65R18", "123/120S", lr="E", psi="80 psi", style=1),
    tire("TH-2011", WEN, "LT275/65R20", "126/123S", lr="E", psi="80 psi", style=4),
    tire("TH-2012", PLO, "LT255/85R16", "123/120Q", lr="E", psi="80 psi", style=1),
    tire("TH-2013", PLO, "LT285/70R17", "121/118Q", lr="E", psi="80 psi"),
    tire("TH-2014", PLO, "LT225/75R16", "110/107Q", lr="D", psi="65 psi", style=1),
    tire("TH-2015", PLO, "LT245/75R16", "108/104Q", lr="C", psi="50 psi"),
    tire("TH-2016", PLO, "LT265/75R16", "116/113Q", lr="D", psi="65 psi", style=1),
    tire("TH-2017", PLO, "LT245/75R16", "120/116S", lr="", ply="10", psi="80 psi", style=3),
    tire("TH-2018", PLO, "LT265/65R17", "120/117S", lr="E", psi="80 psi", style=1, section="265 mm"),
    tire("TH-2019", ICK, "LT225/75R16", "115/112R", lr="E", snow="yes", psi="80 psi", style=3),
    tire("TH-2020", ICK, "LT215/85R16", "115/112Q", lr="E", snow="yes", psi="80 psi"),
    tire("TH-2101", PLO, "LT245/75R16", "120/116S", lr="", psi="80 psi", style=1, defects="load_range=missing"),
    tire("TH-2102", PLO, "LT225/75R16", "115/112Q", lr="", psi="80 psi", style=1, defects="load_range=missing"),
    tire("TH-2103", PLO, "LT265/70R17", "121/118S", lr="E", od="833 mm", psi="80 psi", style=1, defects=DVS),
    tire("TH-2104", PLO, "LT225/75R16", "115/112R", lr="E", dual="2310 lb", psi="80 psi", style=1,
         defects="load_index_dual=contradicted:load-index-vs-load; load_dual=contradicted:load-index-vs-load"),
    # flotation
    tire("VM-3001", THR, "35x12.50R17LT", "121Q", lr="E", psi="65 psi", style=0),
    tire("VM-3002", THR, "37x12.50R18LT", "128Q", lr="E", psi="65 psi", style=5),
    tire("VM-3003", THR, "31x10.50R15LT", "109Q", lr="C", psi="50 psi", style=1),
    tire("VM-3004", THR, "30x9.50R15LT", "104Q", lr="C", psi="50 psi", style=1),
    # passenger, and metric sizes that do not say what they are
    tire("VM-4001", "Dappit Touring", "235/65R16", "107H", style=0),
    tire("VM-4002", "Dappit Touring", "265/70R17", "115T", style=0, show={"size": "265/70R17 115T XL"}),
    tire("VM-4003", "Dappit Touring", "235/55R18", "104V", style=1, show={"service": "104/V"}),
    tire("VM-4004", "Dappit Touring", "215/65R16", "98H", style=1, psi="44 psi"),
    tire("VM-4005", "Dappit Touring", "245/70R16", "111T", style=1, show={"service": "111T XL"}),
    tire("VM-4101", "Dappit Haul", "235/65R16", "121/119R", style=1, defects="service=missing"),
    tire("VM-4102", "Dappit Haul", "205/75R16", "113/111R", style=1, defects="service=missing"),
    tire("VM-4103", "Dappit Haul", "215/75R16", "116/114R", style=1, defects="service=missing"),
]

TIRE_HEADINGS = ["Supplier", "Item", "Tread", "Size", "Service Desc.", "LR", "Ply", "Max Load Single (lb)",
                 "Max Load Dual (lb)", "O.D. (in)", "Section (in)", "Rim", "3PMSF", "DOT", "Max PSI", "MSRP"]  # fmt: skip


def inches(text, places):
    return str((number(text) / Decimal("25.4")).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)) if text else ""


def show_size(t):
    """The size cell and the service cell, in one of the notations suppliers use."""
    size, style = t["size"], t["_style"]
    indices = t["load_index"] + ("/" + t["load_index_dual"] if t["load_index_dual"] else "")
    service = indices + t["speed_symbol"]
    if size.startswith("LT"):
        return [
            (f"{size}/{t['load_range']} {service}", ""),
            (size, service),
            (f"{size.split('R')[0]} R{size.split('R')[1]} {service}", ""),
            (f"{size} {service}", ""),
            (f"{size} {service}".replace("/", " "), ""),
        ][style]  # fmt: skip
    if "x" in size:
        if style == 5:
            return size.replace("x", "×"), service
        return [(f"{size} {service} {t['load_range']}", ""), (size, service)][style]
    spaced = size.replace("R", " R").removesuffix("C")
    ply = f" {t['ply_rating']}PR" if t["ply_rating"] else ""
    return [
        (f"{size} {service}".strip(), ""),
        (size, service),
        (f"{spaced}C", service),
        (f"{size}{ply} {service}", ""),
        (size.lower(), service),
    ][style]


def write_tire_sheet(path):
    out = io.StringIO()
    out.write("Ebberdale tender: tires for the bookmobiles;;;;;;;;;;;;;;;\r\n")
    out.write("Three makers on one list, loads in pounds, pressures in psi;;;;;;;;;;;;;;;\r\n")
    out.write(";;;;;;;;;;;;;;;\r\n")
    row = 3
    out.write(";".join(TIRE_HEADINGS) + "\r\n")
    row += 1
    for n, t in enumerate(TIRES):
        row += 1
        if isinstance(t, str):
            out.write(";".join(TIRE_HEADINGS) + "\r\n")
            continue
        size, service = show_size(t)
        size, service = t["_show"].get("size", size), t["_show"].get("service", service)
        od = inches(t["overall_diameter"], 2)
        if t["sku"] == "TH-2003":
            od += '"'  # an odd inch mark, as typed
        loads = []
        for at, text in enumerate((t["load_single"], t["load_dual"])):
            if not text:
                loads.append("")
            elif n % 9 == 4:
                loads.append(f"{text.split(' ')[0]} lb")
            else:
                pounds_text = text.split(" ")[0]
                loads.append(f"{int(pounds_text):,}" if (n + at) % 5 == 0 else pounds_text)
        in_size = size.endswith("PR") or "PR " in size
        letter_in_size = t["size"].startswith("LT") and t["_style"] == 0 or "x" in t["size"] and t["_style"] == 0
        cells = [
            t["supplier"], t["sku"], t["name"], size, service, "" if letter_in_size else t["load_range"],
            "" if in_size else t["ply_rating"], *loads, od, inches(t["section_width"], 2),
            t["rim_diameter"].split(" ")[0], {"yes": ["Yes", "Y", "x"][n % 3], "no": "No", "": ""}[t["snow_mark"]],
            t["date_code"], t["max_pressure"].split(" ")[0], f"{129 + (7 * n) % 110}.00",
        ]  # fmt: skip
        out.write(";".join(cells) + "\r\n")
        t["_row"] = row
        if n == 28:
            out.write(";;;;;;;;;;;;;;;\r\n")
            row += 1
    out.write(";;;;;;;;;;;;;;;\r\n")
    out.write("Notes: DOT is week and year. Twin loads are per tire. Winter treads on order only.;;;;;;;;;;;;;;;\r\n")
    path.write_bytes(b"\xef\xbb\xbf" + out.getvalue().encode("utf-8"))


# ---------------------------------------------------------------- twins: one truth, two lands

TWIN_WHEELS = [
    wheel(sku, "Yarrowmoot", rim, bolts, offset, bore, load, seat)
    for sku, rim, bolts, offset, bore, load, seat in [
        ("SK-T01", "16x6.5", P, "60 mm", B84, "1250 kg", BALL),
        ("SK-T02", "17x8.5", P, "45 mm", B84, "1450 kg", BALL),
        ("SK-T03", "17x7.5", P, "50 mm", B84, "1300 kg", BALL),
        ("SK-T04", "18x8.5", P, "40 mm", B84, "1500 kg", BALL),
        ("SK-T05", "17x8.5", P, "38 mm", B84, "1450 kg", CONE),
        ("SK-T06", "17x8.5", P, "38 mm", "106.1 mm", "1450 kg", CONE),
        ("SK-T07", "16x7", P, "55 mm", "93.1 mm", "1250 kg", BALL),
        ("SK-T08", "17x8", P, "75 mm", B84, "1300 kg", CONE),
        ("SK-T09", "17x8", P, "75 mm", B84, "1300 kg", BALL),
        ("SK-T10", "17x8", P, "45 mm", B84, "1000 kg", BALL),
        ("SK-T11", "17x8", P, "20 mm", B84, "1300 kg", BALL),
        ("SK-T12", "17x8", P, "45 mm", "78.1 mm", "1300 kg", BALL),
        ("SK-T13", "17x8", P, "45 mm", B84, MISSING, BALL),
        ("SK-T14", "17x8", P, "45 mm", B84, "1300 kg", MISSING),
        ("SK-T15", "17x8.5", "6x139.7 mm", "20 mm", "106.1 mm", "1300 kg", CONE),
        ("SK-T16", "20x9", P, "35 mm", B84, "1450 kg", BALL),
        ("PW-T17", "16x5.5", Q, "115 mm", B161, "1000 kg", "flat"),
        ("PW-T18", "16x6", Q, "118 mm", B161, "1050 kg", "flat"),
        ("PW-T19", "17x6.5", Q, "110 mm", B161, "1100 kg", "flat"),
        ("PW-T20", "16x6", Q, "118 mm", B161, "1050 kg", CONE),
        ("PW-T21", "16x6", Q, "118 mm", "166.1 mm", "1050 kg", "flat"),
        ("PW-T22", "16x6", Q, "118 mm", B161, "940 kg", "flat"),
        ("PW-T23", "16x6", Q, "118 mm", B161, "850 kg", "flat"),
        ("PW-T24", "16x6", Q, "118 mm", B161, "1050 kg", MISSING),
        ("PW-T25", "16x6", Q, "90 mm", B161, "1050 kg", "flat"),
    ]
]
TWIN_TIRES = [
    tire(sku, "Mimwick", size, service, lr=lr, od=od, snow=snow)
    for sku, size, service, lr, od, snow in [
        ("OB-T01", "235/65R16C", "121/119R", "", "712 mm", "no"),
        ("OB-T02", "235/65R16C", "115/113R", "", "", "yes"),
        ("OB-T03", "215/75R16C", "116/114R", "", "728 mm", "no"),
        ("OB-T04", "205/75R16C", "113/111R", "", "714 mm", "no"),
        ("OB-T05", "205/75R16C", "110/108R", "", "", "yes"),
        ("OB-T06", "195/75R16C", "107/105R", "", "698 mm", "no"),
        ("OB-T07", "225/75R16C", "121/120R", "", "744 mm", "no"),
        ("OB-T08", "225/65R16C", "112/110R", "", "698 mm", "no"),
        ("OB-T09", "195/65R16C", "104/102T", "", "660 mm", "no"),
        ("OB-T10", "235/60R17C", "117/115R", "", "714 mm", "no"),
        ("OB-T11", "265/70R17C", "121/118S", "", "804 mm", "no"),
        ("OB-T12", "225/75R16C", "121/120", "", "744 mm", ""),
        ("OB-T13", "205/75R16C", "110/108", "", "714 mm", ""),
        ("OB-T14", "215/75R16C", "116/114L", "", "728 mm", "no"),
        ("TH-T15", "LT225/75R16", "115/112R", "E", "744 mm", "yes"),
        ("TH-T16", "LT245/75R16", "120/116S", "E", "774 mm", "no"),
        ("TH-T17", "LT265/70R17", "121/118S", "E", "804 mm", "no"),
        ("TH-T18", "LT215/85R16", "115/112Q", "E", "772 mm", "no"),
        ("TH-T19", "LT285/70R17", "121/118Q", "E", "", "no"),
        ("TH-T20", "LT225/75R16", "115/112R", "", "744 mm", ""),
        ("TH-T21", "LT245/75R16", "108/104Q", "C", "774 mm", "no"),
        ("VM-T22", "35x12.50R17LT", "121Q", "E", "", "no"),
        ("VM-T23", "235/65R16", "107H", "", "712 mm", "no"),
        ("VM-T24", "235/65R16", "121/119R", "", "712 mm", "no"),
        ("VM-T25", "265/70R17", "115T", "", "804 mm", ""),
    ]
]
GERMAN_SEATS = {"ball R14": "Kugelbund R14", "cone 60": "Kegelbund 60°", "flat": "Flachbund", MISSING: ""}
US_SEATS = {"ball R14": "Ball R14", "cone 60": "Conical 60°", "flat": "Flat", MISSING: ""}


def comma(text, places=1):
    return str(number(text).quantize(Decimal(1).scaleb(-places))).replace(".", ",")


def write_us_twins(folder):
    with open(folder / "us-wheels.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["Supplier", "Part Number", "Style", "Wheel Size", "Bolt Pattern", "Offset (mm)", "Center Bore (in)",
                      "Load Rating (lb)", "Lug Seat"])  # fmt: skip
        for w in TWIN_WHEELS:
            count, circle = w["bolt_patterns"].split(" ")[0].split("x")
            out.writerow([
                w["supplier"], w["sku"], w["name"], f"{number(w['rim_diameter'])}x{number(w['rim_width'])}",
                f'{count}x{inches(circle, 3)}"', f"+{number(w['offset'])}", inches(w["center_bore"], 3),
                "" if w["load_rating"] == MISSING else f"{pounds(number(w['load_rating'])):,}", US_SEATS[w["seat"]],
            ])  # fmt: skip
    with open(folder / "us-tires.csv", "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(["Supplier", "Part Number", "Tread", "Tire Size", "Service Description", "Load Range",
                      "Max Load Single (lb)", "Max Load Dual (lb)", "Overall Diameter (in)", "3PMSF"])  # fmt: skip
        for t in TWIN_TIRES:
            out.writerow([
                t["supplier"], t["sku"], t["name"], t["size"], show_service(t), t["load_range"],
                t["load_single"].split(" ")[0], t["load_dual"].split(" ")[0], inches(t["overall_diameter"], 2),
                {"yes": "Yes", "no": "No", "": ""}[t["snow_mark"]],
            ])  # fmt: skip


def show_service(t):
    return t["load_index"] + ("/" + t["load_index_dual"] if t["load_index_dual"] else "") + t["speed_symbol"]


def write_german_twins(path):
    book = xlsxwriter.Workbook(path)
    book.set_properties({"title": "Preisliste", "created": datetime.datetime(2024, 3, 4)})
    bold = book.add_format({"bold": True})
    rims, tires = book.add_worksheet("Felgen"), book.add_worksheet("Reifen")
    rims.write(0, 0, "Preisliste Felgen für schwere Transporter", bold)
    for i, text in enumerate(["Lieferant", "Artikelnummer", "Bezeichnung", "Felgengröße", "Lochkreis", "Einpresstiefe",
                              "Mittenloch", "Traglast", "Bolzensitz"]):  # fmt: skip
        rims.write(2, i, text, bold)
    for n, w in enumerate(TWIN_WHEELS):
        kg = "" if w["load_rating"] == MISSING else int(number(w["load_rating"]))
        load = kg if kg == "" else (f"{kg // 1000}.{kg % 1000:03d} kg" if kg >= 1000 and n % 2 else f"{kg} kg")
        cells = [
            w["supplier"], w["sku"], w["name"], f"{str(number(w['rim_width'])).replace('.', ',')}Jx{number(w['rim_diameter'])}",
            w["bolt_patterns"].split(" ")[0].replace(".", ","), f"ET {number(w['offset'])}", comma(w["center_bore"]) + " mm",
            load, GERMAN_SEATS[w["seat"]],
        ]  # fmt: skip
        for i, value in enumerate(cells):
            if value != "":
                rims.write_string(3 + n, i, value)
    tires.write(0, 0, "Preisliste Reifen", bold)
    for i, text in enumerate(["Lieferant", "Artikelnummer", "Profil", "Reifengröße", "Last-/Geschwindigkeitsindex",
                              "Load Range", "Tragfähigkeit einzeln (kg)", "Tragfähigkeit zwilling (kg)",
                              "Außendurchmesser (mm)", "Schneeflockensymbol"]):  # fmt: skip
        tires.write(2, i, text, bold)
    for n, t in enumerate(TWIN_TIRES):
        single = KG[int(t["load_index"])]
        dual = KG[int(t["load_index_dual"])] if t["load_index_dual"] else ""
        od = comma(t["overall_diameter"]) if t["overall_diameter"] else ""
        size = t["size"].replace(".", ",") if "x" in t["size"] else t["size"]
        cells = [t["supplier"], t["sku"], t["name"], size, show_service(t), t["load_range"], single, dual, od,
                 {"yes": "ja", "no": "nein", "": ""}[t["snow_mark"]]]  # fmt: skip
        for i, value in enumerate(cells):
            if value != "":
                tires.write(3 + n, i, value)
    book.close()


# ---------------------------------------------------------------- the shop folder

# A supplier's own words for seats; the shop's profile tells what they mean.
SKARNWELL_SEATS = {"ball R14": "K14", "cone 60": "Z60", MISSING: ""}


def write_shop(folder):
    """The twins once more, as three suppliers would send them, and the vans with a line for editors."""
    (folder / "sheets").mkdir(parents=True, exist_ok=True)
    (folder / "vans").mkdir(exist_ok=True)
    price = 179

    def table(name, delimiter, heading, rows):
        with open(folder / "sheets" / name, "w", newline="", encoding="utf-8") as file:
            out = csv.writer(file, delimiter=delimiter, lineterminator="\n")
            out.writerow(heading)
            out.writerows(rows)

    def rows(parts, prefixes, cells, mark="."):
        priced = ((part, f"{price + 3 * n}{mark}00") for n, part in enumerate(parts))
        return [[*cells(part), amount] for part, amount in priced if part["sku"][:2] in prefixes]

    # No unit stands beside the loads.
    table("skarnwell.csv", ";",
          ["Artikelnummer", "Bezeichnung", "Felgengröße", "Lochkreis", "Einpresstiefe", "Mittenloch", "Traglast",
           "Bolzensitz", "Preis EUR"],
          rows(TWIN_WHEELS, ["SK"], lambda w: [
              w["sku"], w["name"], f"{comma(w['rim_width'])}Jx{number(w['rim_diameter'])}",
              w["bolt_patterns"].split(" ")[0].replace(".", ","), f"ET{number(w['offset'])}",
              comma(w["center_bore"]) + " mm", "" if w["load_rating"] == MISSING else number(w["load_rating"]),
              SKARNWELL_SEATS[w["seat"]]], mark=","))  # fmt: skip
    table("pellowick.csv", ",",
          ["Supplier", "Part Number", "Style", "Wheel Size", "Bolt Pattern", "Offset (mm)", "Center Bore (mm)",
           "Load Rating (kg)", "Lug Seat", "Price EUR"],
          rows(TWIN_WHEELS, ["PW"], lambda w: [
              w["supplier"], w["sku"], w["name"], f"{number(w['rim_diameter'])}x{number(w['rim_width'])}",
              w["bolt_patterns"].split(" ")[0], number(w["offset"]), number(w["center_bore"]),
              number(w["load_rating"]), US_SEATS[w["seat"]]]))  # fmt: skip
    table("tires.csv", ",",
          ["Supplier", "Part Number", "Tread", "Tire Size", "Service Description", "Load Range",
           "Overall Diameter (mm)", "3PMSF", "Price EUR"],
          rows(TWIN_TIRES, ["OB", "TH", "VM"], lambda t: [
              t["supplier"], t["sku"], t["name"], t["size"], show_service(t), t["load_range"],
              number(t["overall_diameter"]) if t["overall_diameter"] else "",
              {"yes": "Yes", "no": "No", "": ""}[t["snow_mark"]]]))  # fmt: skip
    for van in sorted((HERE / "vans").glob("*.toml")):
        text = "#:schema ../schemas/van.json\n" + van.read_text(encoding="utf-8")
        (folder / "vans" / van.name).write_text(text, encoding="utf-8", newline="\n")


# ---------------------------------------------------------------- truth tables


def write_truth(path, parts, sheet, tab):
    fields = [f for f in parts[0] if not f.startswith("_")]
    with open(path, "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["sheet", "tab", "row", *fields])
        for part in parts:
            where = [sheet, part.get("_tab", tab) if tab is None else tab, part.get("_row", "")]
            out.writerow([*where, *(part[f] if part[f] != "" else MISSING if f != "defects" else "" for f in fields)])


def main():
    here = pathlib.Path(sys.argv[1]) if len(sys.argv) > 1 else HERE
    for folder in ("sheets", "twins", "truth"):
        (here / folder).mkdir(parents=True, exist_ok=True)
    write_wheel_sheet(here / "sheets" / "wheels.xlsx")
    write_tire_sheet(here / "sheets" / "tires.csv")
    write_us_twins(here / "twins")
    write_german_twins(here / "twins" / "german.xlsx")
    write_shop(here / "shop")
    truth = here / "truth"
    write_truth(truth / "wheels.csv", [w for w in WHEELS if isinstance(w, dict)], "wheels.xlsx", None)
    write_truth(truth / "tires.csv", [t for t in TIRES if isinstance(t, dict)], "tires.csv", "")
    write_truth(truth / "twin_wheels.csv", TWIN_WHEELS, "", "")
    write_truth(truth / "twin_tires.csv", TWIN_TIRES, "", "")


if __name__ == "__main__":
    main()
