#!/usr/bin/env python3
"""A second, plain implementation of the contract, to hold rimsieve's verdicts against.

It reads only the hand-kept truth tables (`samples/truth/*.csv`) and the van files; never the untidy sheets,
never rimsieve. It favors being read over being fast: every set of works is tried. Arithmetic is decimal.

    python3 tests/oracle/oracle.py          # rewrites the expected_*.csv files beside this file

What follows which lines of the contract:

* `sense_checks`      - "Sense checks": offset-vs-backspacing, load-index-vs-load, diameter-vs-size, rim-vs-size,
                        sku-repeated, value-out-of-range; unit-not-stated and date-for-text stand in the truth table
                        as states, for they are about how a cell is written.
* `wheel_facts`       - "Facts", last paragraph: an offset from back spacing and width where none is stated.
* `tire_facts`        - "Shipped rules": overall diameter (stated, else designation), section (stated, else nominal),
                        a load (the index's kilograms, else printed), service, a ply rating for a load range.
* `wheel_rules`       - "Shipped rules", rows on `wheel`.
* `tire_rules`        - "Shipped rules", rows on `tire`. tire-age needs --as-of and is not run here.
* `same_seat`         - row `lug-seat`: kind and size compared separately; a bare cone is 60 degrees.
* `apply_works`       - "Work": sets first, then raises and lowers, then shifts.
* `allowed`           - "Work": asks, excludes, requires, works that never combine.
* `cheapest_cure`     - "Work": none superfluous; exact cost, then fewer works, then file order.
* `settle`            - "vet --format jsonl", the paragraph on verdicts, and "a contradiction makes ... at best unproven".

A cell of the truth table is `missing`, `unreadable`, `contradicted:<check>` or a value with its unit. The column
`defects` repeats what was broken on purpose; `check_defects` stops the run if the computed checks differ from it.
The output has, beside the verdict: `failing`, the rules that fail before any work; `unknown`, the rules unknown
before any work (those whose unknown is only a caution left out); `work`, the works of the cure in file order;
`checks`, the sense checks that contradict something in the row.
"""

import ast
import csv
import itertools
import pathlib
import re
import tomllib
from decimal import ROUND_HALF_UP, Decimal

HERE = pathlib.Path(__file__).resolve().parent
SAMPLES = HERE.parent.parent / "samples"

INCH = Decimal("25.4")
POUND = Decimal("0.45359237")
MPH = Decimal("1.609344")
UNIT = {"mm": 1, "in": INCH, "kg": 1, "lb": POUND, "km/h": 1, "mph": MPH, "%": Decimal("0.01"), "kPa": 1, "psi": Decimal("6.894757")}
ONE_KG = 1

# UN R30 rim codes to millimeters (handbook section 1).
RIM_MM = {12: 305, 13: 330, 14: 356, 15: 381, 16: 406, 17: 432, 18: 457, 19: 483, 20: 508, 21: 533, 22: 559}
# Load indices to kilograms, French order of 24 October 1994, Annex II (handbook load_index.csv), from 80.
INDEX_KG = dict(enumerate(
    [450, 462, 475, 487, 500, 515, 530, 545, 560, 580, 600, 615, 630, 650, 670, 690, 710, 730, 750, 775, 800, 825, 850, 875,
     900, 925, 950, 975, 1000, 1030, 1060, 1090, 1120, 1150, 1180, 1215, 1250, 1285, 1320, 1360, 1400, 1450, 1500, 1550,
     1600, 1650, 1700, 1750, 1800, 1850, 1900, 1950, 2000], 80))  # fmt: skip
# Speed symbols to km/h, the same order, Annex I (handbook speed_symbol.csv).
SYMBOL_KMH = {"J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160, "R": 170, "S": 180, "T": 190, "U": 200,
              "H": 210, "V": 240, "W": 270, "Y": 300}  # fmt: skip
PLY_RANGE = {6: "C", 8: "D", 10: "E", 12: "F", 14: "G"}
RANGES = "ABCDEFGHJLMN"
# Sizes without an aspect ratio: published overall diameter (handbook tyre_dimensions.csv).
TABLE_DIAMETER = {"195R14C": 666, "195R15C": 690, "205R16C": 736, "215R16C": 750}

ROAD_PACKS = {"us-road", "unece-road"}


# ------------------------------------------------------------ values


def quantity(text):
    """'2756 lb' -> kilograms, '6.5 in' -> millimeters, '3 %' -> 0.03."""
    number, unit = text.split(" ")
    return Decimal(number) * UNIT[unit]


def stated(cell):
    """True where the truth table holds a value and not a state."""
    return cell not in ("missing", "unreadable") and not cell.startswith("contradicted:")


def plain(cell):
    return quantity(cell) if stated(cell) else None


def k_not(a):
    return None if a is None else not a


def k_and(*parts):
    """Kleene: false wins, then unknown."""
    if any(p is False for p in parts):
        return False
    return None if any(p is None for p in parts) else True


def at_least(a, b):
    return None if a is None or b is None else a >= b


def at_most(a, b):
    return at_least(b, a)


def inside(value, window):
    return k_and(at_least(value, window[0]), at_most(value, window[1]))


# ------------------------------------------------------------ the van


def flatten(table, path, into):
    for key, value in table.items():
        if isinstance(value, dict):
            flatten(value, f"{path}.{key}", into)
        elif isinstance(value, list) and key not in ("packs", "tire_service"):
            into[f"{path}.{key}"] = [quantity(v) for v in value]
        elif isinstance(value, str) and re.fullmatch(r"-?[\d.]+ (mm|in|kg|lb|km/h|mph|%|kPa|psi)", value):
            into[f"{path}.{key}"] = quantity(value)
        else:
            into[f"{path}.{key}"] = value
    return into


def load_van(path):
    with open(path, "rb") as file:
        data = tomllib.load(file)
    return flatten(data["van"], "van", {}), data.get("work", [])


# ------------------------------------------------------------ tire designations


def designation(size):
    """(diameter, nominal section, service by the designation alone, rim code) of a clean designation."""
    metric = re.fullmatch(r"(LT|P)?(\d{3})/(\d{2})R(\d{2})(C)?", size)
    if metric:
        lt, section, aspect, rim, c = metric.groups()
        height = (Decimal(section) * Decimal(aspect) / 100).quantize(Decimal(1), ROUND_HALF_UP)
        service = "LT" if lt == "LT" else "C" if c else "passenger"
        return RIM_MM[int(rim)] + 2 * height, Decimal(section), service, int(rim)
    flotation = re.fullmatch(r"([\d.]+)x([\d.]+)R(\d{2})LT", size)
    if flotation:
        diameter, section, rim = flotation.groups()
        return Decimal(diameter) * INCH, Decimal(section) * INCH, "LT", int(rim)
    bare = re.fullmatch(r"([\d.]+)R(\d{2})C", size)
    number, rim = bare.groups()
    section = Decimal(number) * INCH if "." in number else Decimal(number)
    table = TABLE_DIAMETER.get(size)
    return None if table is None else Decimal(table), section, "C", int(rim)


# ------------------------------------------------------------ sense checks

NO_FACT = {"sheet", "tab", "row", "supplier", "sku", "name", "price", "defects"}


def sense_checks(row, rows):
    """The fields of this row that contradict something: field -> check."""
    bad = {f: c.split(":")[1] for f, c in row.items() if c.startswith("contradicted:")}

    def both(check, *fields):
        for field in fields:
            bad.setdefault(field, check)

    if row["_kind"] == "wheel":
        offset, spacing, width = plain(row["offset"]), plain(row["backspacing"]), plain(row["rim_width"])
        if None not in (offset, spacing, width) and abs((width + INCH) / 2 + offset - spacing) > Decimal("6.5"):
            both("offset-vs-backspacing", "offset", "backspacing")
        for field, low, high in (("center_bore", 40, 200), ("offset", -150, 150), ("load_rating", 200, 5000)):
            value = plain(row[field])
            if value is not None and not low <= value <= high:
                both("value-out-of-range", field)
    else:
        for index, load in (("load_index", "load_single"), ("load_index_dual", "load_dual")):
            if stated(row[index]) and stated(row[load]):
                kg = Decimal(INDEX_KG[int(row[index])])
                if abs(quantity(row[load]) - kg) > kg * Decimal("0.02"):
                    both("load-index-vs-load", index, load)
        diameter, _, _, rim = designation(row["size"])
        printed = plain(row["overall_diameter"])
        if printed is not None and diameter is not None and abs(printed - diameter) > diameter * Decimal("0.02"):
            both("diameter-vs-size", "overall_diameter")
        if stated(row["rim_diameter"]) and quantity(row["rim_diameter"]) != rim * INCH:
            both("rim-vs-size", "size", "rim_diameter")
    for other in rows:
        if other is not row and (other["supplier"], other["sku"]) == (row["supplier"], row["sku"]):
            for field in row.keys() - NO_FACT - {"_kind"}:
                if other[field] != row[field]:
                    both("sku-repeated", field)
    return bad


def check_defects(row, bad):
    marked = {}
    for item in filter(None, row["defects"].split("; ")):
        field, state = item.split("=")
        if state.startswith("contradicted:"):
            marked[field] = state.split(":")[1]
        elif state in ("missing", "unreadable") and field in row:
            assert row[field] == state, (row["sku"], item)
    assert marked == bad, f"{row['sku']}: marked {marked}, computed {bad}"


# ------------------------------------------------------------ facts


def wheel_facts(row, bad):
    def usable(field):
        return stated(row[field]) and field not in bad

    facts = {}
    for field in ("rim_diameter", "rim_width", "offset", "backspacing", "center_bore", "load_rating", "bolt_hole"):
        facts["wheel." + field] = quantity(row[field]) if usable(field) else None
    if row["offset"] == "missing" and facts["wheel.backspacing"] is not None and facts["wheel.rim_width"] is not None:
        facts["wheel.offset"] = facts["wheel.backspacing"] - (facts["wheel.rim_width"] + INCH) / 2
    for field in ("seat", "beadlock", "markings"):
        facts["wheel." + field] = row[field] if usable(field) else None
    drillings = None
    if usable("bolt_patterns"):
        drillings = []
        for one in row["bolt_patterns"].split("|"):
            figures, unit = one.split(" ")
            count, circle = figures.split("x")
            drillings.append((int(count), Decimal(circle) * UNIT[unit]))
    facts["wheel.bolt_patterns"] = drillings
    return facts


def tire_facts(row, bad):
    def usable(field):
        return stated(row[field]) and field not in bad

    facts = {}
    by_size, nominal, service, _ = designation(row["size"]) if usable("size") else (None, None, None, None)
    # Both diameters are unusable where they contradict each other.
    if "overall_diameter" in bad:
        facts["tire.overall_diameter"] = None
    elif row["overall_diameter"] == "missing":
        facts["tire.overall_diameter"] = by_size
    else:
        facts["tire.overall_diameter"] = plain(row["overall_diameter"])
    facts["tire.section_width"] = nominal if row["section_width"] == "missing" else plain(row["section_width"])
    if service == "passenger" and stated(row["load_index_dual"]):
        service = None  # two indices without LT or C
    facts["tire.service"] = service
    for name, index, load in (("single", "load_index", "load_single"), ("dual", "load_index_dual", "load_dual")):
        if usable(index):
            kg = Decimal(INDEX_KG[int(row[index])])
        elif row[index] == "missing" and usable(load):
            kg = quantity(row[load])
        else:
            kg = None
        facts["tire." + name] = kg
    facts["tire.speed"] = SYMBOL_KMH[row["speed_symbol"]] if usable("speed_symbol") else None
    if usable("load_range"):
        facts["tire.load_range"] = row["load_range"]
    elif row["load_range"] == "missing" and usable("ply_rating"):
        facts["tire.load_range"] = PLY_RANGE[int(row["ply_rating"])]
    else:
        facts["tire.load_range"] = None
    facts["tire.snow_mark"] = {"yes": True, "no": False}[row["snow_mark"]] if usable("snow_mark") else None
    return facts


# ------------------------------------------------------------ rules

UNKNOWN_IS_CAUTION = {"bolt-hole", "beadlock"}


def split_seat(text):
    kind, _, size = text.partition(" ")
    if kind == "cone" and not size:
        size = "60"
    return kind, size or None


def same_seat(wheel, hub):
    if wheel is None or hub is None:
        return None
    (kind, size), (hub_kind, hub_size) = split_seat(wheel), split_seat(hub)
    if kind != hub_kind:
        return False
    if kind in ("flat", "shank"):
        return True
    return None if size is None or hub_size is None else size == hub_size


def pattern_fits(drillings, hub):
    if drillings is None:
        return None
    count, circle = hub.split("x")
    return any(n == int(count) and abs(c - Decimal(circle)) <= Decimal("0.15") for n, c in drillings)


def wheel_rules(f, packs):
    """rule -> True, False or None (unknown). A rule whose van limit is not stated is left out."""
    corner = max(f["van.front.axle_load"] / f["van.front.wheels"], f["van.rear.axle_load"] / f["van.rear.wheels"])
    pilot, bore = f["van.hub.pilot"], f["wheel.center_bore"]
    thread = Decimal(re.match(r"M(\d+)x", f["van.hub.thread"]).group(1))
    rules = {
        "bolt-pattern": pattern_fits(f["wheel.bolt_patterns"], f["van.hub.bolt_pattern"]),
        "center-bore": at_least(bore, pilot - Decimal("0.05")),
        "hub-centric": at_most(bore, pilot + Decimal("0.2")),
        "corner-load": at_least(f["wheel.load_rating"], corner - ONE_KG),
        "lug-seat": same_seat(f["wheel.seat"], f["van.hub.seat"]),
        "bolt-hole": at_least(f["wheel.bolt_hole"], thread + Decimal("0.3")),
    }
    for rule, room, fact in (("offset-window", "offset", "offset"), ("rim-diameter", "rim_diameter", "rim_diameter"),
                             ("rim-width", "rim_width", "rim_width")):  # fmt: skip
        if "van.room." + room in f:
            rules[rule] = inside(f["wheel." + fact], f["van.room." + room])
    if packs & ROAD_PACKS:
        rules["beadlock"] = None if f["wheel.beadlock"] is None else f["wheel.beadlock"] != "yes"
        # wheel-marking fails and is unknown as a caution only: it never touches a verdict.
    return rules


def carried(f, derate):
    """Kleene: every axle carried, single load on two wheels, dual on four, less 1 kg."""
    parts = []
    for axle in ("front", "rear"):
        wheels = f[f"van.{axle}.wheels"]
        load = f["tire.single"] if wheels == 2 else f["tire.dual"]
        need = f[f"van.{axle}.axle_load"] / wheels - ONE_KG
        parts.append(None if load is None else load / derate >= need)
    return k_and(*parts)


def tire_rules(f, packs):
    rules = {"tire-load": carried(f, 1)}
    diameter, service = f["tire.overall_diameter"], f["tire.service"]
    if "van.room.tire_diameter" in f:
        rules["tire-diameter"] = at_most(diameter, f["van.room.tire_diameter"])
    if "van.room.tire_section" in f:
        rules["tire-section"] = at_most(f["tire.section_width"], f["van.room.tire_section"])
    if "us-road" in packs and service in ("passenger", None):
        rules["passenger-derate"] = carried(f, Decimal("1.10")) if service else None
    if "van.room.tire_service" in f:
        rules["tire-service"] = None if service is None else service in f["van.room.tire_service"]
    if "van.room.load_range" in f and service in ("LT", None):
        letter = f["tire.load_range"]
        least = RANGES.index(f["van.room.load_range"])
        rules["load-range"] = None if service is None or letter is None else RANGES.index(letter) >= least
    rules["speed-symbol"] = at_least(f["tire.speed"], f["van.top_speed"])
    if "van.room.road_speed" in f:
        stock = designation(f["van.stock.tire"].split(" ")[0])[0]
        limit = f["van.room.road_speed"] * stock
        rules["road-speed"] = None if diameter is None else abs(diameter - stock) <= limit
    # spare-carrier and tire-age are cautions only.
    if "winter" in packs:
        rules["snow-mark"] = f["tire.snow_mark"]
    return rules


# ------------------------------------------------------------ work


def evaluate(expression, facts):
    """An `asks`, read through Python's own grammar once quantities are made numbers."""
    text = re.sub(r"(\d+(?:\.\d+)?)\s*(mm|in|kg|lb|km/h|mph|%)(?!\w)", lambda m: f"({m[1]!r}, {m[2]!r})", expression)

    def value(node):
        if isinstance(node, ast.Tuple):
            number, unit = (ast.literal_eval(e) for e in node.elts)
            return Decimal(number) * UNIT[unit]
        if isinstance(node, (ast.Name, ast.Attribute)):
            return facts.get(ast.unparse(node))
        if isinstance(node, ast.BinOp):
            left, right = value(node.left), value(node.right)
            if left is None or right is None:
                return None
            return left + right if isinstance(node.op, ast.Add) else left - right
        if isinstance(node, ast.Compare):
            left, right = value(node.left), value(node.comparators[0])
            test = {ast.GtE: "__ge__", ast.LtE: "__le__", ast.Gt: "__gt__", ast.Lt: "__lt__", ast.Eq: "__eq__", ast.NotEq: "__ne__"}
            return None if left is None or right is None else getattr(left, test[type(node.ops[0])])(right)
        if isinstance(node, ast.BoolOp):
            parts = [value(v) for v in node.values]
            return k_and(*parts) if isinstance(node.op, ast.And) else k_not(k_and(*(k_not(p) for p in parts)))
        if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
            return k_not(value(node.operand))
        raise ValueError(f"not understood: {expression}")

    return value(ast.parse(text, mode="eval").body)


def changed(text):
    return quantity(text) if re.fullmatch(r"-?[\d.]+ (mm|in|kg|lb|km/h|mph|%)", text) else text


def apply_works(facts, works):
    after = dict(facts)
    for work in works:
        for fact, text in work.get("sets", {}).items():
            after[fact] = changed(text)
    for key, pick in (("raises", max), ("lowers", min)):
        for work in works:
            for fact, text in work.get(key, {}).items():
                if after.get(fact) is not None:
                    after[fact] = pick(after[fact], quantity(text))
    for work in works:
        for fact, text in work.get("shifts", {}).items():
            if after.get(fact) is not None:
                after[fact] += quantity(text)
    return after


def allowed(works, facts):
    names = {w["name"] for w in works}
    for work in works:
        if "asks" in work and evaluate(work["asks"], facts) is not True:
            return False
        if names & set(work.get("excludes", [])) or not set(work.get("requires", [])) <= names:
            return False
    for one, two in itertools.combinations(works, 2):
        sets_one, sets_two = one.get("sets", {}), two.get("sets", {})
        if any(sets_one[f] != sets_two[f] for f in sets_one.keys() & sets_two.keys()):
            return False
        shifted = one.get("shifts", {}).keys() & two.get("shifts", {}).keys()
        if any(f.startswith(("wheel.", "tire.")) for f in shifted):
            return False
    return True


def cheapest_cure(works, facts, cured):
    """The cheapest set of works for which `cured(facts after)` holds, none of them superfluous; None if none."""
    cures = []
    for size in range(1, len(works) + 1):
        for chosen in itertools.combinations(range(len(works)), size):
            if any(set(c) < set(chosen) for c in cures):
                continue
            some = [works[i] for i in chosen]
            if allowed(some, facts) and cured(apply_works(facts, some)):
                cures.append(chosen)
    cures.sort(key=lambda c: (sum(Decimal(works[i]["costs"]) for i in c), len(c), c))
    return [works[i]["name"] for i in cures[0]] if cures else None


def settle(outcome, facts, works, contradicted):
    """(verdict, failing, unknown, work); `outcome` names what fails and what is unknown under given facts."""
    failing, unknown = outcome(facts)
    if not failing:
        return ("unproven" if unknown or contradicted else "fits"), failing, unknown, []
    if not contradicted:
        cure = cheapest_cure(works, facts, lambda f: outcome(f) == ([], []))
        if cure:
            return "fits-with-work", failing, unknown, cure
    cure = cheapest_cure(works, facts, lambda f: not outcome(f)[0])
    return ("unproven", failing, unknown, cure) if cure else ("rejected", failing, unknown, [])


def sort_out(rules):
    """The names of the rules that fail, and of those unknown that matter to a verdict."""
    failing = sorted(r for r, o in rules.items() if o is False)
    unknown = sorted(r for r, o in rules.items() if o is None and r not in UNKNOWN_IS_CAUTION)
    return failing, unknown


def judge(kind, part, van, works, packs, contradicted):
    rules_of = wheel_rules if kind == "wheel" else tire_rules
    return settle(lambda f: sort_out(rules_of(f, packs)), {**van, **part}, works, contradicted)


# ------------------------------------------------------------ run


def read_truth(path, kind):
    with open(path, newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    for row in rows:
        row["_kind"] = kind
    return rows


def expected(prefix, extra_packs=frozenset()):
    lines = []
    for path in sorted((SAMPLES / "vans").glob("*.toml")):
        van, works = load_van(path)
        packs = set(van.get("van.packs", [])) | extra_packs
        for kind, facts_of in (("wheel", wheel_facts), ("tire", tire_facts)):
            rows = read_truth(SAMPLES / "truth" / f"{prefix}{kind}s.csv", kind)
            for row in rows:
                bad = sense_checks(row, rows)
                check_defects(row, bad)
                verdict, failing, unknown, cure = judge(kind, facts_of(row, bad), van, works, packs, bool(bad))
                lines.append([van["van.id"], kind, row["supplier"], row["sku"], verdict, "+".join(failing), "+".join(unknown),
                              "+".join(cure), "+".join(sorted(set(bad.values()))), row["sheet"], row["tab"], row["row"]])  # fmt: skip
    return lines


def main():
    for name, prefix, packs in (("verdicts", "", frozenset()), ("winter", "", frozenset({"winter"})), ("twins", "twin_", frozenset())):
        lines = expected(prefix, packs)
        with open(HERE / f"expected_{name}.csv", "w", newline="", encoding="utf-8") as file:
            out = csv.writer(file, lineterminator="\n")
            out.writerow(["van", "kind", "supplier", "sku", "verdict", "failing", "unknown", "work", "checks", "sheet", "tab", "row"])
            out.writerows(lines)


if __name__ == "__main__":
    main()
