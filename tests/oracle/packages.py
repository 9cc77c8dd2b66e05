#!/usr/bin/env python3
"""Wheel and tire packages worked out a second time, to hold `rimsieve pair` against.

Like `oracle.py`, whose part rules, facts and search over work it uses: it follows the contract and the handbook's
tables (`tests/handbook/*.csv`) and shares nothing with rimsieve. Quantities are `pint`'s, over decimals; money is decimal.

    python3 tests/oracle/packages.py        # rewrites expected_packages*.csv and packages/sheets

Two catalogs: the samples (`samples/truth`), and an invented one made for what the samples lack (`packages/truth`, as
plain sheets for the program in `packages/sheets`; `packages/vans`), judged on 2 March 2026.

What follows which lines of the contract ("Packages, exactly", unless said otherwise):

* `tire_figures`    - "Measuring rim", "Section on the measuring rim"; the rim-width range, each end by itself.
* `measure`         - "Section on this rim", "Half width", "Changes", "Capacity of an axle", "Pressure".
* `reference`       - "P_ref for LT ... For C ...".
* `pressure`        - "P = P_ref x (L / L_max)^(1/n)", the 1 kg, the least pressure of 240 kPa.
* `package_rules`   - "Shipped rules", rows on `package`.
* `cautions`        - the same table's rows that caution; "Derived cautions".
* `Van.package`     - "one search over work"; "a contradicted part makes the package unproven at best".
* `shopping`        - "Shopping list"; `total` and `set_price`.
* `best_first`      - "Best first".

In the output `reasons` and `missing` are rules (or sense checks) before any work, each after whose it is; `cautions` are
those that count when packages are ordered, `not_stated` those about facts that the sheet does not state. Facts are
taken with the work done, in mm, kg, kPa and %. Empty means unknown, or absent.
"""

import csv
import datetime
import functools
import io
import pathlib
import re
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Decimal
from typing import NamedTuple

import oracle
import pint
from oracle import HERE, SAMPLES, k_and, stated

HANDBOOK = HERE.parent / "handbook"
INVENTED = HERE / "packages"
AS_OF = datetime.date(2026, 3, 2)

UNITS = pint.UnitRegistry(non_int_type=Decimal)
Q = UNITS.Quantity
MM, KG, KPA, PERCENT = (UNITS.Unit(name) for name in ("mm", "kg", "kPa", "percent"))

HALF = Decimal("0.5")
BOTH_FLANGES = Q(Decimal("25.4"), MM)  # handbook section 6: 12.7 mm each, common practice
SLOPE = Decimal("0.4")  # handbook section 2: section width gained by rim width
# Handbook section 2: aspect from which a band begins, K of the measuring rim, K1 of the theoretical rim.
BANDS = [(75, "0.70", "0.70"), (60, "0.75", "0.70"), (50, "0.80", "0.70"), (45, "0.85", "0.85"), (40, "0.90", "0.85")]
EXPONENT = {"LT": Decimal("0.70"), "C": Decimal("0.80")}
LEAST_PRESSURE = Q(Decimal(240), KPA)
VALVE_PRESSURE = Q(Decimal(475), KPA)
ROUNDING = Q(Decimal(1), KG)  # between pounds and kilograms
LEAST_TURNS = 7
# Handbook section 11: the reference pressure belongs to the service description.
C_REFERENCE = {("225/75R16C", 116, 114): 475, ("225/75R16C", 118, 116): 525, ("225/75R16C", 121, 120): 575}
LOAD_MARKS = ("SAE J2530", "JWL-T", "UN R124")


class Unset:
    """The value of an empty cell, as against None, where a cell holds nothing usable."""


UNSET = Unset()


class Price(NamedTuple):
    amount: Decimal
    currency: str


# ------------------------------------------------------------ the handbook's tables


def table(name):
    with open(HANDBOOK / name, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(file))


RIM_RANGE = {row["tyre_size"]: row for row in table("rim_width_range.csv")}
# Two rows of one size: the one seen comes first and is taken.
DIMENSIONS = {row["designation"]: row for row in reversed(table("tire_dimensions.csv"))}
LT_REFERENCE = {
    row["load_range"]: Q(Decimal(row["lt_metric_kpa_at_max_load"]), KPA)
    for row in table("load_range.csv")
    if len(row["load_range"]) == 1 and row["lt_metric_kpa_at_max_load"]
}


def inches(text):
    return Q(Decimal(text), "inch").to(MM)


# ------------------------------------------------------------ unknowns


def known(function, *values):
    """`function` of the values, or None where one of them is."""
    return None if any(v is None for v in values) else function(*values)


def at_most(a, b):
    return known(lambda a, b: a <= b, a, b)


def cell(row, bad, field):
    """The quantity a cell states, UNSET where it is empty, None where it holds nothing usable."""
    text = row.get(field, "missing")
    if text == "missing":
        return UNSET
    if field in bad or not stated(text):
        return None
    number, unit = text.split(" ")
    return Q(Decimal(number), unit)


def otherwise(value, fallback):
    return fallback() if value is UNSET else value


def plain(value, unit):
    """The decimal that `oracle.py` reckons with."""
    return None if value is UNSET or value is None else value.to(unit).magnitude


# ------------------------------------------------------------ a tire's own figures


class Size(NamedTuple):
    text: str
    nominal: pint.Quantity
    aspect: int | None
    flotation: bool

    @classmethod
    def of(cls, text):
        aspect = re.search(r"/(\d{2})R", text)
        return cls(text, Q(oracle.designation(text)[1], MM), int(aspect[1]) if aspect else None, "x" in text)

    def band(self):
        """K and K1; an aspect between two bands takes the lower one."""
        return next(((Decimal(k), Decimal(k1)) for least, k, k1 in BANDS if self.aspect >= least), None)


def measuring_rim(size):
    """By the handbook's table, else by its formula."""
    for listed in (DIMENSIONS, RIM_RANGE):
        if size.text in listed:
            return inches(listed[size.text]["measuring_rim_width_in"])
    band = size.band() if size.aspect else None
    if band is None:
        return None
    return inches((band[0] * size.nominal.to("inch").magnitude * 2).quantize(Decimal(1), ROUND_HALF_UP) * HALF)


def section_at(size, rim):
    """Section width on the measuring rim where none is stated."""
    if size.aspect:
        band = size.band()
        return known(lambda rim, band: size.nominal + SLOPE * (rim - band[1] * size.nominal), rim, band)
    published = DIMENSIONS.get(size.text)
    return Q(Decimal(published["section_width_mm"]), MM) if published else size.nominal


def tire_figures(row, bad):
    size = Size.of(row["size"]) if stated(row["size"]) and "size" not in bad else None
    rim = otherwise(cell(row, bad, "measuring_rim"), lambda: known(measuring_rim, size))
    section = otherwise(cell(row, bad, "section_width"), lambda: known(lambda s: section_at(s, rim), size))
    listed = RIM_RANGE.get(size.text) if size else None
    ends = {
        end: otherwise(cell(row, bad, f"rim_width_{end}"), lambda end=end: listed and inches(listed[f"{end}_rim_width_in"]))
        for end in ("min", "max")
    }
    code = oracle.designation(size.text)[3] if size else None
    return {
        "tire.size": size,
        "tire.rim_diameter": plain(otherwise(cell(row, bad, "rim_diameter"), lambda: known(inches, code)), MM),
        "tire.measuring_rim": plain(rim, MM),
        "tire.measured_section": plain(section, MM),
        "tire.rim_width_min": plain(ends["min"], MM),
        "tire.rim_width_max": plain(ends["max"], MM),
        "tire.max_pressure": plain(cell(row, bad, "max_pressure"), KPA),
        "tire.reference": plain(reference(row, bad, size), KPA),
    }


def reference(row, bad, size):
    """The pressure at which the tire carries its rating."""
    facts = oracle.tire_facts(row, bad)
    service = facts["tire.service"]

    def by_table():
        if service == "LT" and size:
            widest = inches("11.5") if size.flotation else Q(Decimal(295), MM)
            return LT_REFERENCE.get(facts["tire.load_range"]) if size.nominal <= widest else None
        if service == "C" and size and all(stated(row[f]) and f not in bad for f in ("load_index", "load_index_dual")):
            figure = C_REFERENCE.get((size.text, int(row["load_index"]), int(row["load_index_dual"])))
            return known(lambda kpa: Q(Decimal(kpa), KPA), figure)
        return None

    return otherwise(cell(row, bad, "max_pressure"), by_table) if service in EXPONENT else None


# ------------------------------------------------------------ a package's facts


def pressure(load, rating, at_rating, exponent):
    """What a tire needs under `load`; None beyond its rating."""
    if load >= rating:
        return at_rating if load - rating <= ROUNDING else None
    share = (load / rating).to("").magnitude
    return max(at_rating * share ** (1 / exponent), LEAST_PRESSURE)


def half_width(section, rim_width):
    return known(lambda s, w: max(s, w + BOTH_FLANGES) * HALF, section, rim_width)


def on_rim(section, measured_on, rim_width):
    return known(lambda s, m, w: s + SLOPE * (w - m), section, measured_on, rim_width)


@functools.cache
def stock(wheel, tire):
    """Diameter, offset, outboard and inboard reach of the stock wheel under the stock tire."""
    width, _, offset = re.fullmatch(r"([\d.]+)x(\d+) ET(-?\d+)", wheel).groups()
    size = Size.of(tire.split(" ")[0])
    rim, offset = measuring_rim(size), Q(Decimal(offset), MM)
    half = half_width(on_rim(section_at(size, rim), rim, inches(width)), inches(width))
    return Q(oracle.designation(size.text)[0], MM), offset, half - offset, half + offset


def measure(f, packs):
    """The package's facts under the facts `f`; None where unknown."""

    def quantity(name, unit):
        return known(lambda value: Q(value, unit), f.get(name))

    width, offset = quantity("wheel.rim_width", MM), quantity("wheel.offset", MM)
    diameter = quantity("tire.overall_diameter", MM)
    was_diameter, was_offset, was_outboard, was_inboard = stock(f["van.stock.wheel"], f["van.stock.tire"])
    section = on_rim(quantity("tire.measured_section", MM), quantity("tire.measuring_rim", MM), width)
    half = half_width(section, width)
    outboard, inboard = known(lambda h, o: h - o, half, offset), known(lambda h, o: h + o, half, offset)
    facts = {
        "section_on_rim": section,
        "overall_diameter": diameter,
        "outboard_reach": outboard,
        "inboard_reach": inboard,
        "outboard_change": known(lambda o: o - was_outboard, outboard),
        "inboard_change": known(lambda i: i - was_inboard, inboard),
        "track_change": known(lambda o: -2 * (o - was_offset), offset),
        "ride_height_change": known(lambda d: (d - was_diameter) * HALF, diameter),
        "road_speed_error": known(lambda d: ((d - was_diameter) / was_diameter).to(PERCENT), diameter),
    }
    service, rating = f["tire.service"], quantity("wheel.load_rating", KG)
    for axle in ("front", "rear"):
        wheels, axle_load = f[f"van.{axle}.wheels"], quantity(f"van.{axle}.axle_load", KG)
        tire_load = quantity("tire.single" if wheels == 2 else "tire.dual", KG)
        if service == "passenger" and "us-road" in packs:
            tire_load = known(lambda load: load / Decimal("1.10"), tire_load)
        counted = None if service is None and "us-road" in packs else tire_load
        facts["capacity_" + axle] = known(lambda t, w, n=wheels: n * min(t, w), counted, rating)
        at_rating = quantity("tire.reference", KPA)
        for name, exponent in (("pressure_", EXPONENT.get(service)), ("cautious_", Decimal(1))):
            facts[name + axle] = known(pressure, axle_load / wheels, tire_load, at_rating, exponent)
    return facts


# ------------------------------------------------------------ rules on packages


def package_rules(f, m):
    """rule -> True, False or None (unknown). Rules whose limit the van does not state are left out."""

    def quantity(name, unit=MM):
        return known(lambda value: Q(value, unit), f.get(name))

    width = quantity("wheel.rim_width")
    rules = {
        "rim-match": known(lambda w, t: w == t, quantity("wheel.rim_diameter"), quantity("tire.rim_diameter")),
        "rim-width-range": k_and(at_most(quantity("tire.rim_width_min"), width), at_most(width, quantity("tire.rim_width_max"))),
    }
    for side in ("outboard", "inboard"):
        if f"van.room.{side}_reach" in f:
            rules[f"{side}-reach"] = at_most(m[f"{side}_reach"], quantity(f"van.room.{side}_reach"))
    twin = 4 in (f["van.front.wheels"], f["van.rear.wheels"])
    if twin and "van.room.dual_gap" in f:
        apart = known(lambda offset: 2 * offset, quantity("wheel.offset"))
        rules["dual-spacing"] = at_most(known(lambda s, g: s + g, m["section_on_rim"], quantity("van.room.dual_gap")), apart)
    if f["tire.service"] != "passenger":
        rules["pressure-ceiling"] = k_and(*(
            at_most(m["pressure_" + axle], quantity(part + ".max_pressure", KPA))
            for axle in ("front", "rear") for part in ("tire", "wheel")
        ))  # fmt: skip
    if "van.hub.fastener_shank" in f:
        pitch = Q(Decimal(f["van.hub.thread"].split("x")[1]), MM)
        turns = known(lambda s, p: ((s - p) / pitch).to("").magnitude, quantity("van.hub.fastener_shank"), quantity("wheel.pad_thickness"))
        rules["thread-engagement"] = known(lambda t: t >= LEAST_TURNS, turns)
    return rules


UNKNOWN_IS_CAUTION = {"pressure-ceiling", "thread-engagement"}


def monday(code):
    """The Monday of a date code's week: 3619 is week 36 of 2019 (49 CFR 574.5(b)(3))."""
    return datetime.date.fromisocalendar(2000 + int(code[2:]), int(code[:2]), 1)


def cautions(f, m, rules, packs, as_of):
    """The rules that caution, and those that caution only because a fact is not stated."""

    def quantity(name, unit=MM):
        return known(lambda value: Q(value, unit), f.get(name))

    holds = {rule: None for rule in ("bolt-hole", "beadlock", "pressure-ceiling", "thread-engagement") if rules.get(rule, True) is None}
    if packs & oracle.ROAD_PACKS:
        holds["wheel-marking"] = known(lambda text: any(mark in text for mark in LOAD_MARKS), f["wheel.markings"])
    if as_of:
        oldest = as_of.replace(year=as_of.year - 5)
        holds["tire-age"] = known(lambda code: monday(code) >= oldest, f["tire.date_code"])
    diameter = m["overall_diameter"]
    limits = [quantity("van.room." + name) for name in ("tire_diameter", "spare_diameter") if "van.room." + name in f]
    if "van.room.spare_diameter" in f:
        holds["spare-carrier"] = at_most(diameter, quantity("van.room.spare_diameter"))
    if f["tire.diameter_by_size"] and limits:
        # Traction patterns run 6 mm larger than the designation (handbook section 1).
        close = Q(Decimal(6), MM)
        holds["diameter-margin"] = known(lambda d: not any(d <= limit < d + close for limit in limits), diameter)
    holds["track-wider"] = at_most(m["track_change"], Q(Decimal(50), MM))
    holds["ride-height"] = at_most(m["ride_height_change"], Q(Decimal(25), MM))
    if "unece-road" in packs:
        holds["speed-reading"] = at_most(m["road_speed_error"], Q(Decimal(0), PERCENT))
    reserve = Decimal("1.05")
    holds["load-reserve"] = k_and(*(
        at_most(quantity(f"van.{axle}.axle_load", KG) * reserve, m["capacity_" + axle]) for axle in ("front", "rear")
    ))  # fmt: skip
    counted = [rule for rule, held in holds.items() if held is False]
    unstated = [rule for rule, held in holds.items() if held is None]
    if f["tire.service"] == "passenger":
        counted.append("passenger-pressure")
    else:
        holds["valve-pressure"] = k_and(*(at_most(m["pressure_" + axle], VALVE_PRESSURE) for axle in ("front", "rear")))
        {True: [], False: counted, None: unstated}[holds["valve-pressure"]].append("valve-pressure")
        # The cautious bound above a stated maximum: a caution beside the one on maxima not stated.
        maxima = [quantity(part + ".max_pressure", KPA) for part in ("tire", "wheel")]
        if any(at_most(m["cautious_" + axle], most) is False for axle in ("front", "rear") for most in maxima):
            counted.append("pressure-ceiling")
    return sorted(counted), sorted(unstated)


# ------------------------------------------------------------ money


def price_of(text):
    """'189.00 USD' or '189.00'; None where there is no price."""
    if not stated(text):
        return None
    amount, _, currency = text.partition(" ")
    return Price(Decimal(amount), currency)


def cents(amount):
    return "" if amount is None else str(amount.quantize(Decimal("0.01"), ROUND_HALF_EVEN))


# ------------------------------------------------------------ parts and vans


class Part(NamedTuple):
    row: dict
    facts: dict
    bad: dict
    order: int

    def name(self):
        return self.row["supplier"], self.row["sku"]


def wheel_part(row, bad, order):
    facts = oracle.wheel_facts(row, bad)
    facts["wheel.max_pressure"] = plain(cell(row, bad, "max_pressure"), KPA)
    facts["wheel.pad_thickness"] = plain(cell(row, bad, "pad_thickness"), MM)
    return Part(row, facts, bad, order)


def tire_part(row, bad, order):
    facts = {**oracle.tire_facts(row, bad), **tire_figures(row, bad)}
    facts["tire.date_code"] = row["date_code"] if stated(row["date_code"]) and "date_code" not in bad else None
    facts["tire.diameter_by_size"] = row["overall_diameter"] == "missing" and "overall_diameter" not in bad
    return Part(row, facts, bad, order)


def parts(rows, make):
    found = []
    for order, row in enumerate(rows):
        bad = oracle.sense_checks(row, rows)
        found.append(make(row, bad, order))
    return found


# How a cell is read, not a contradiction: the rule that lacks the fact is listed instead.
READINGS = {"unit-not-stated", "date-for-text"}


class Van:
    def __init__(self, path, as_of):
        self.facts, self.works = oracle.load_van(path)
        self.packs = set(self.facts.get("van.packs", []))
        self.as_of = as_of
        self.set = self.facts["van.front.wheels"] + self.facts["van.rear.wheels"] + 1
        self.twin = self.set > 5
        self.touched = sorted({fact for work in self.works for key in ("sets", "raises", "lowers", "shifts") for fact in work.get(key, {})})
        self.judged = {}

    def part_rules(self, kind, part, f):
        """A part's rules under facts changed by work; judged once for each change of facts."""
        key = (kind, part.order, *(f.get(name) for name in self.touched))
        if key not in self.judged:
            rules_of = oracle.wheel_rules if kind == "wheel" else oracle.tire_rules
            self.judged[key] = rules_of(f, self.packs)
        return self.judged[key]

    def outcome(self, wheel, tire, before, f):
        """The rules that fail and those unknown, each after whose it is; all of them on the facts before any work."""
        failing, unknown = [], []
        for kind, part in (("wheel", wheel), ("tire", tire)):
            fails, unknowns = oracle.sort_out(self.part_rules(kind, part, f))
            failing += [f"{kind}:{rule}" for rule in fails]
            unknown += [f"{kind}:{rule}" for rule in unknowns]
        if failing and f is not before:
            return failing, unknown  # no cure, whatever the package's own rules say
        rules = package_rules(f, measure(f, self.packs))
        failing += sorted(f"package:{rule}" for rule, held in rules.items() if held is False)
        unknown += sorted(f"package:{rule}" for rule, held in rules.items() if held is None and rule not in UNKNOWN_IS_CAUTION)
        return failing, unknown

    def package(self, wheel, tire):
        """One line of the output, or None where the pair is rejected."""
        facts = {**self.facts, **wheel.facts, **tire.facts}
        works = [w for w in self.works if "asks" not in w or oracle.evaluate(w["asks"], facts) is True]
        contradicted = bool(wheel.bad or tire.bad)
        verdict, failing, unknown, names = oracle.settle(lambda f: self.outcome(wheel, tire, facts, f), facts, works, contradicted)
        if verdict == "rejected":
            return None
        chosen = [w for w in self.works if w["name"] in names]
        checks = [
            f"{kind}:{check}"
            for kind, part in (("wheel", wheel), ("tire", tire))
            for check in sorted(set(part.bad.values()) - READINGS)
        ]
        after = oracle.apply_works(facts, chosen)
        m = measure(after, self.packs)
        rules = {**self.part_rules("wheel", wheel, after), **self.part_rules("tire", tire, after), **package_rules(after, m)}
        counted, unstated = cautions(after, m, rules, self.packs, self.as_of)
        return Package(self, wheel, tire, verdict, chosen, failing, unknown + checks, counted, unstated, m)


class Package(NamedTuple):
    van: Van
    wheel: Part
    tire: Part
    verdict: str
    works: list
    reasons: list
    missing: list
    cautions: list
    not_stated: list
    facts: dict

    def work_cost(self):
        return sum((Decimal(work["costs"]) for work in self.works), Decimal(0))

    def set_price(self):
        wheel, tire = (price_of(part.row["price"]) for part in (self.wheel, self.tire))
        if wheel is None or tire is None or wheel.currency != tire.currency:
            return None
        return self.van.set * (wheel.amount + tire.amount)

    def total(self):
        return known(lambda price: price + self.work_cost(), self.set_price())

    def missing_price(self):
        wheel, tire = (price_of(part.row["price"]) for part in (self.wheel, self.tire))
        absent = [name for name, price in (("wheel", wheel), ("tire", tire)) if price is None]
        return "+".join(absent) or ("currency" if wheel.currency != tire.currency else "")


def best_first(package):
    error, total = package.facts["road_speed_error"], package.total()
    return (
        ["fits", "fits-with-work", "unproven"].index(package.verdict),
        len(package.cautions),
        (error is None, abs(error.magnitude) if error is not None else 0),
        (total is None, total or 0),
        package.wheel.name(),
        package.tire.name(),
        package.wheel.order,
        package.tire.order,
    )


def shopping(package):
    """'5 x SK-1601 at 272.00 = 1360.00; ...; 30 x lug bolt; cone-seat lug bolts for 38.00'."""
    lines = []
    for part in (package.wheel, package.tire):
        price = price_of(part.row["price"])
        count = package.van.set
        money = f" at {cents(price.amount)} = {cents(count * price.amount)}" if price else ""
        lines.append(f"{count} x {part.row['sku']}{money}")
    needs = {}
    for work in package.works:
        for need in work.get("needs", []):
            count = need["count"] * (package.van.set if need["per"] == "wheel" else 1)
            needs[need["item"]] = needs.get(need["item"], 0) + count
    lines += [f"{count} x {item}" for item, count in needs.items()]
    lines += [f"{work['name']} for {cents(Decimal(work['costs']))}" for work in package.works]
    return "; ".join(lines)


def sensors(van):
    """Pressure sensors to buy or reuse: wheels on the road, and the spare unless an axle is twin."""
    return (van.set - 1 if van.twin else van.set) if van.facts.get("van.sensors") else ""


# ------------------------------------------------------------ the output

SUFFIX = {MM: "mm", KG: "kg", KPA: "kpa", PERCENT: "percent"}
FIGURES = [
    ("section_on_rim", MM), ("overall_diameter", MM), ("outboard_reach", MM), ("inboard_reach", MM), ("outboard_change", MM),
    ("inboard_change", MM), ("track_change", MM), ("ride_height_change", MM), ("road_speed_error", PERCENT),
    ("capacity_front", KG), ("capacity_rear", KG), ("pressure_front", KPA), ("cautious_front", KPA), ("pressure_rear", KPA),
    ("cautious_rear", KPA),
]  # fmt: skip
HEADINGS = [
    "van", "wheel", "wheel_sheet", "wheel_tab", "wheel_row", "tire", "tire_sheet", "tire_row", "verdict", "work", "cost", "reasons",
    "missing", "cautions", "not_stated", *(f"{name}_{SUFFIX[unit]}" for name, unit in FIGURES), "class", "shopping", "sensors",
    "set_price", "total", "missing_price",
]  # fmt: skip


def figure(value, unit):
    return "" if value is None else str(value.to(unit).magnitude.quantize(Decimal("0.001"), ROUND_HALF_EVEN))


def line(package):
    wheel, tire = package.wheel.row, package.tire.row
    service = package.tire.facts["tire.service"]
    return [
        package.van.facts["van.id"], wheel["sku"], wheel["sheet"], wheel["tab"], wheel["row"], tire["sku"], tire["sheet"], tire["row"],
        package.verdict, "; ".join(work["name"] for work in package.works), cents(package.work_cost()), "; ".join(package.reasons),
        "; ".join(package.missing), "; ".join(package.cautions), "; ".join(package.not_stated),
        *(figure(package.facts[name], unit) for name, unit in FIGURES), service or "", shopping(package),
        sensors(package.van), cents(package.set_price()), cents(package.total()), package.missing_price(),
    ]  # fmt: skip


def packages(van, wheels, tires):
    """All listed packages of a van, best first."""
    equal = [
        (wheel, tire)
        for wheel in wheels
        for tire in tires
        if wheel.facts["wheel.rim_diameter"] is not None and wheel.facts["wheel.rim_diameter"] == tire.facts["tire.rim_diameter"]
    ]
    return sorted((p for p in (van.package(wheel, tire) for wheel, tire in equal) if p), key=best_first)


def expected(vans, wheel_rows, tire_rows, as_of):
    wheels, tires = parts(wheel_rows, wheel_part), parts(tire_rows, tire_part)
    lines = []
    for path in sorted(vans.glob("*.toml")):
        lines += [line(package) for package in packages(Van(path, as_of), wheels, tires)]
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(HEADINGS)
    out.writerows(lines)
    return text.getvalue()


# ------------------------------------------------------------ the samples

# What the sample sheets print but the truth table does not state, or states in other words: prices, and inches of
# two decimals, taken from the cell that the truth table points at.
PRINTED = {"price": ("MSRP", "Price", "Price\n(USD)"), "overall_diameter": ("O.D. (in)",), "section_width": ("Section (in)",)}


def sample_cells():
    """(sheet, tab) -> rows of text, counted as a spreadsheet shows them, from 1."""
    import openpyxl

    book = openpyxl.load_workbook(SAMPLES / "sheets" / "wheels.xlsx", data_only=True)
    tabs = {("wheels.xlsx", tab.title): [[c for c in row] for row in tab.iter_rows(values_only=True)] for tab in book}
    with open(SAMPLES / "sheets" / "tires.csv", newline="", encoding="utf-8-sig") as file:
        tabs["tires.csv", ""] = list(csv.reader(file, delimiter=";"))
    return tabs


def sample_rows(kind, tabs):
    rows = oracle.read_truth(SAMPLES / "truth" / f"{kind}s.csv", kind)
    for row in rows:
        cells = tabs[row["sheet"], row["tab"]]
        row["price"] = "missing"
        for heading in cells[: int(row["row"]) - 1]:
            for field, words in PRINTED.items():
                for column in (i for i, text in enumerate(heading) if text in words):
                    text = str(cells[int(row["row"]) - 1][column] or "").rstrip('"')
                    if not text:
                        continue
                    if field == "price":
                        row["price"] = text + (" USD" if row["tab"] == "Closeouts" else "")
                    elif stated(row[field]):
                        row[field] = text + " in"
    return rows


def expected_samples():
    tabs = sample_cells()
    return expected(SAMPLES / "vans", sample_rows("wheel", tabs), sample_rows("tire", tabs), None)


# ------------------------------------------------------------ the invented catalog

SHEETS = {
    "wheel": {
        "supplier": "Supplier", "sku": "SKU", "name": "Style", "rim_diameter": "Rim Diameter (in)", "rim_width": "Rim Width (in)",
        "bolt_patterns": "Bolt Pattern", "offset": "Offset (mm)", "backspacing": "Back Spacing (in)",
        "center_bore": "Center Bore (mm)", "load_rating": "Load Rating (kg)", "seat": "Lug Seat", "bolt_hole": "Bolt Hole (mm)",
        "pad_thickness": "Pad Thickness (mm)", "max_pressure": "Max Pressure (kPa)", "beadlock": "Beadlock",
        "markings": "Markings", "price": "Price",
    },
    "tire": {
        "supplier": "Supplier", "sku": "SKU", "name": "Tread", "size": "Size", "service": "Service Description",
        "load_range": "Load Range", "ply_rating": "Ply Rating", "load_single": "Max Load Single (kg)",
        "load_dual": "Max Load Dual (kg)", "overall_diameter": "Overall Diameter (mm)", "section_width": "Section Width (mm)",
        "rim_diameter": "Rim Diameter (in)", "rim_width_min": "Min Rim Width (in)", "rim_width_max": "Max Rim Width (in)",
        "measuring_rim": "Measuring Rim (in)", "snow_mark": "3PMSF", "date_code": "DOT", "max_pressure": "Max Pressure (psi)",
        "price": "Price",
    },
}  # fmt: skip


def sheet_cell(row, field, heading):
    """The cell as the invented supplier prints it: bare under a heading that names the unit."""
    if field == "service":
        indices = "/".join(row[f] for f in ("load_index", "load_index_dual") if stated(row[f]))
        return indices + (row["speed_symbol"] if stated(row["speed_symbol"]) else "")
    text = row[field]
    if text == "missing":
        return ""
    if text == "unreadable":
        return "see drawing"
    unit = re.search(r"\((\w+)\)", heading)
    if unit:
        number, its = text.split(" ")
        assert its == unit[1], (row["sku"], field, text)
        return number
    return text.removesuffix(" mm")


def plain_sheet(kind):
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(SHEETS[kind].values())
    for row in oracle.read_truth(INVENTED / "truth" / f"{kind}s.csv", kind):
        out.writerow(sheet_cell(row, field, heading) for field, heading in SHEETS[kind].items())
    return text.getvalue()


def expected_invented():
    rows = {}
    for kind in SHEETS:
        rows[kind] = oracle.read_truth(INVENTED / "truth" / f"{kind}s.csv", kind)
        for number, row in enumerate(rows[kind], 2):
            row.update(sheet=f"{kind}s.csv", tab="", row=str(number))
    return expected(INVENTED / "vans", rows["wheel"], rows["tire"], AS_OF)


def outputs():
    """Every file this program writes, with its text."""
    files = {INVENTED / "sheets" / f"{kind}s.csv": plain_sheet(kind) for kind in SHEETS}
    files[HERE / "expected_packages.csv"] = expected_samples()
    files[HERE / "expected_packages_invented.csv"] = expected_invented()
    return files


def main():
    for path, text in outputs().items():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
