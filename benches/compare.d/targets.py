"""What the project set itself: each row with what it must and aims to be, worked out from the medians of the cases."""
from dataclasses import dataclass
from typing import Callable

PEERS = ("polars", "duckdb", "pandas")


@dataclass
class Target:
    case: str
    what: str
    must: float
    aim: float | None
    unit: str
    at_least: bool                # whether more is better
    needs: tuple                  # the cases it is worked out from
    got: Callable

    def meets(self, value, limit):
        return value >= limit if self.at_least else value <= limit

    def judged(self, value):
        if self.aim is not None and self.meets(value, self.aim):
            return "aim met"
        if self.meets(value, self.must):
            return "met"
        return "MISSED"


def fastest(case):
    return min(case[peer].wall for peer in PEERS if peer in case)


def ahead(name, label, must, aim, tool="rimsieve"):
    return Target(label, "fastest peer's time / ours", must, aim, "x", True, (name,), lambda m: fastest(m[name]) / m[name][tool].wall)


def over(name, label, what, must, aim, tool, floor, measure):
    of = lambda m, t: getattr(m[name][t], measure)
    return Target(label, what, must, aim, "x", False, (name,), lambda m: of(m, tool) / of(m, floor))


def growth(m):
    return (m["csv-1M"]["rimsieve"].cpu / m["rows 1M"]) / (m["csv-100k"]["rimsieve"].cpu / m["rows 100k"])


def a_van_more(m):
    first, all_eight = m["csv-1M"]["rimsieve"].cpu, m["csv-1M-8-vans"]["rimsieve"].cpu
    return (all_eight - first) / 7 / first


def saved(name):
    wall = lambda m, n: m[name][f"rimsieve --threads {n}"].wall
    return lambda m: 100 * (1 - wall(m, 2) / wall(m, 1))


def peak(*names):
    return lambda m: max(m[name]["rimsieve"].peak for name in names)


R = "csv records, 1 thread"
TARGETS = [
    ahead("csv-200", "200 rows, 1 van", 40, 80),
    Target("200 rows, 1 van", "processor time", 4, None, "ms", False, ("csv-200",), lambda m: 1000 * m["csv-200"]["rimsieve"].cpu),
    ahead("csv-10k", "10k rows, 1 van", 20, 35),
    ahead("csv-10k-8-vans", "10k rows, 8 vans", 13, 20),
    ahead("csv-100k", "100k rows, 1 van", 7, 12),
    ahead("csv-100k-8-vans", "100k rows, 8 vans", 7, 10),
    ahead("csv-1M", "1M rows, 1 van", 5, 8),
    over("csv-1M", "1M rows, 1 van", "processor time / bare csv records", 3, None, "rimsieve", R, "cpu"),
    ahead("csv-1M-8-vans", "1M rows, 8 vans", 5, 8),
    over("csv-1M-8-vans", "1M rows, 8 vans", "time / `cp` of what it wrote", 1.4, None, "rimsieve", "cp of its list", "wall"),
    Target("memory, 1M rows", "peak, 1 van", 64, 32, "MiB", False, ("csv-1M",), peak("csv-1M")),
    Target("memory, 1M rows", "peak, 8 vans", 64, 32, "MiB", False, ("csv-1M-8-vans",), peak("csv-1M-8-vans")),
    Target("memory, 1M rows", "peak, no two texts alike", 64, 32, "MiB", False, ("all-different",), peak("all-different")),
    Target("memory, flat in rows", "peak at 1M / at 100k, 1 van", 1.25, None, "x", False, ("csv-1M", "csv-100k"),
           lambda m: peak("csv-1M")(m) / peak("csv-100k")(m)),
    ahead("xlsx-100k", "xlsx, 100k rows", 2.5, None),
    over("xlsx-100k", "xlsx, 100k rows", "processor time / bare calamine range", 1.15, None, "rimsieve", "calamine range, 1 thread", "cpu"),
    over("xlsx-100k-one-sheet", "xlsx, one sheet of 50k", "time / bare calamine range", 1.1, 0.5, "rimsieve", "calamine range, 1 thread", "wall"),
    ahead("pair-10k", "`pair`, 10k x 10k accepted", 50, 90, "rimsieve pair"),
    Target("`pair`, 10k x 10k accepted", "time beyond reading both sheets / that of reading them", 1, None, "x", False, ("pair-10k",),
           lambda m: m["pair-10k"]["rimsieve pair"].wall / m["pair-10k"]["rimsieve survey"].wall - 1),
    Target("`pair`, 10k x 10k accepted", "peak", 64, None, "MiB", False, ("pair-10k",), lambda m: m["pair-10k"]["rimsieve pair"].peak),
    Target("second core, 1M rows", "time saved, two sheets", 40, 45, "%", True, ("second-core",), saved("second-core")),
    Target("second core, 1M rows", "time saved, one sheet", 40, 45, "%", True, ("second-core-one-sheet",), saved("second-core-one-sheet")),
    Target("growth", "processor time a row, 1M / 100k", 1.1, None, "x", False, ("csv-1M", "csv-100k"), growth),
    Target("growth", "processor time of a van more / of the first, 1M", 0.2, None, "x", False, ("csv-1M", "csv-1M-8-vans"), a_van_more),
    Target("growth", "processor time, 500 rules / those shipped, 100k", 8, None, "x", False, ("many-rules",),
           lambda m: m["many-rules"]["rimsieve, 500 rules"].cpu / m["many-rules"]["rimsieve, shipped rules"].cpu),
    ahead("all-different", "1M rows, no two texts alike", 2.5, 4),
]
