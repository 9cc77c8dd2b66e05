"""The cases: which commands are run in turn, and on what. Each takes its sheets from `Data`, which makes those that are not there yet."""
import json, os, subprocess, sys
from dataclasses import dataclass

from measure import Tool

HERE = os.path.dirname(os.path.abspath(__file__))
PEERS = ("polars", "duckdb", "pandas")


@dataclass(frozen=True)
class Sizes:
    """Rows by what the targets call them; `quick` runs take a tenth of those above the smallest."""
    divisor: int

    def rows(self, said):
        n = {"200": 200, "10k": 10_000, "100k": 100_000, "1M": 1_000_000}[said]
        return n if n == 200 else n // self.divisor


class Data:
    """Sheets, van files and rule files in a folder of the work folder."""
    def __init__(self, folder, say):
        self.folder, self.say = folder, say
        os.makedirs(folder, exist_ok=True)
        with open(f"{HERE}/peers/vans.json", encoding="utf-8") as f:
            vans = json.load(f)
        for n in (1, 8):
            with open(f"{folder}/vans{n}.json", "w", encoding="utf-8") as f:
                json.dump(vans[:n], f)
        self.van = vans[0]

    def made(self, name, make):
        """The path of a file; `make(path)` writes it where it is not there yet."""
        path = f"{self.folder}/{name}"
        if not os.path.exists(path):
            self.say(f"making {name}")
            # A run that is broken off leaves no half of a sheet behind.
            stem, ending = os.path.splitext(path)
            make(f"{stem}.part{ending}")
            os.rename(f"{stem}.part{ending}", path)
        return path

    def sheet(self, kind, n, ending="csv", *options):
        marks = "".join(o.strip("-") if o.startswith("--") else f"-{o}" for o in options)
        make = lambda path: subprocess.run([sys.executable, f"{HERE}/sheets.py", kind, str(n), path, *options], check=True)
        return self.made(f"{kind}_{n}{'_' + marks if marks else ''}.{ending}", make)

    def pair(self, rows, ending="csv", *options):
        return [self.sheet(kind, rows // 2, ending, *options) for kind in ("wheels", "tires")]

    def accepted(self, n):
        """The first n accepted wheels and tires: normalized for the peers, as suppliers' rows for rimsieve."""
        names = [f"{what}_{kind}_{n}.csv" for what in ("ok", "pair") for kind in ("wheels", "tires")]
        if not all(os.path.exists(f"{self.folder}/{name}") for name in names):
            # About one wheel in sixty and one tire in eight is accepted.
            given = [self.sheet("wheels", 100 * n, "csv", "--seed", "2"), self.sheet("tires", 20 * n, "csv", "--seed", "2")]
            self.say(f"making the {n} accepted wheels and tires")
            subprocess.run([sys.executable, f"{HERE}/peers/pair_inputs.py", f"{self.folder}/vans1.json", *given, str(n), self.folder],
                           check=True, stdout=subprocess.DEVNULL)
        return [f"{self.folder}/{name}" for name in names]

    def rules(self, count):
        """A folder of `count` rules that mostly hold, each with a witness of each kind, as shipped rules have them."""
        return self.made(f"rules_{count}", lambda path: write_rules(path, count))


# What generated rules ask: subject, fact, how it is compared, the first limit, the step, what passes and what fails.
ASKED = [
    ("wheel", "load_rating", ">=", 300, 2, "kg", 5000, 100), ("wheel", "offset", ">=", -140, 0.5, "mm", 80, -149),
    ("wheel", "center_bore", ">=", 41, 0.2, "mm", 190, 40), ("wheel", "rim_width", "<=", 14, -0.02, "in", 5, 15),
    ("tire", "section_width", "<=", 420, -0.5, "mm", 150, 450), ("tire", "overall_diameter", "<=", 1200, -1, "mm", 500, 1300),
    ("tire", "load_single", ">=", 200, 2, "kg", 5000, 100), ("tire", "max_pressure", ">=", 100, 0.5, "kPa", 900, 50),
]


def write_rules(folder, count):
    os.makedirs(folder, exist_ok=True)
    with open(f"{folder}/many.toml", "w", encoding="utf-8") as f:
        for at in range(count):
            on, fact, compared, first, step, unit, passes, fails = ASKED[at % len(ASKED)]
            limit = round(first + step * (at // len(ASKED)), 3)
            f.write(f'[[rule]]\nname = "{fact.replace("_", "-")}-{at}"\non = "{on}"\ndemand = "{on}.{fact} {compared} {limit} {unit}"\n'
                    f'says = "{{{on}.{fact}}} is not what rule {at} asks"\nbasis = "made up, to measure with"\n')
            for gives, value in (("pass", passes), ("fail", fails)):
                f.write(f'[[rule.witness]]\ngives = "{gives}"\n{on} = {{ {fact} = "{value} {unit}" }}\n')
            f.write('[[rule.witness]]\ngives = "unknown"\n\n')


class Cases:
    def __init__(self, data, sizes, rimsieve, floor, out, count_rules):
        self.data, self.sizes, self.rimsieve, self.floor, self.out = data, sizes, rimsieve, floor, out
        self.count_rules = count_rules
        self.one_van, self.all_vans = f"{HERE}/vans/{data.van['id']}.toml", f"{HERE}/vans"

    def peer(self, name, vans, sheets, lines):
        folder = f"{self.out}/{name}"
        return Tool([sys.executable, f"{HERE}/peers/{name}_vet.py", f"{self.data.folder}/vans{vans}.json", *sheets, folder],
                    leaves=[f"{folder}/accepted.csv", f"{folder}/rejected.csv"], lines=lines + 2)

    def vet(self, vans, sheets, lines, *options):
        van = self.one_van if vans == 1 else self.all_vans
        return Tool([self.rimsieve, "vet", *sheets, "--van", van, "--format", "csv", *options], out=f"{self.out}/rimsieve.csv", lines=lines + 1)

    def bare(self, what, *paths):
        return Tool([self.floor, what, *paths])

    def sheets_to_list(self, said, vans):
        rows = self.sizes.rows(said)
        sheets = self.data.pair(rows)
        tools = {name: self.peer(name, vans, sheets, rows * vans) for name in PEERS}
        tools["rimsieve"] = self.vet(vans, sheets, rows * vans)
        tools["cp of its list"] = Tool(["cp", f"{self.out}/rimsieve.csv", f"{self.out}/copy.csv"], leaves=[f"{self.out}/copy.csv"])
        tools["csv records, 1 thread"] = self.bare("csv", *sheets)
        tools["csv records, 2 threads"] = self.bare("csv2", *sheets)
        tools["wc -l"] = Tool(["wc", "-l", *sheets])
        return tools

    def threads(self, sheets, lines):
        return {f"rimsieve --threads {n}": self.vet(1, sheets, lines, "--threads", str(n)) for n in (1, 2)}

    def second_core(self):
        rows = self.sizes.rows("1M")
        return self.threads(self.data.pair(rows), rows)

    def second_core_one_sheet(self):
        rows = self.sizes.rows("1M")
        return self.threads([self.data.sheet("wheels", rows, "csv", "--seed", "2")], rows)

    def workbooks(self):
        rows = self.sizes.rows("100k")
        sheets = self.data.pair(rows, "xlsx")
        tools = {name: self.peer(name, 1, sheets, rows) for name in PEERS}
        tools["rimsieve"] = self.vet(1, sheets, rows)
        tools["calamine range, 1 thread"] = self.bare("xlsx", *sheets)
        tools["calamine range, 2 threads"] = self.bare("xlsx2", *sheets)
        tools["calamine cells, 1 thread"] = self.bare("xlsxcells", *sheets)
        return tools

    def one_workbook(self):
        n = self.sizes.rows("100k") // 2
        sheet = self.data.sheet("wheels", n, "xlsx")
        return {"rimsieve": self.vet(1, [sheet], n), "calamine range, 1 thread": self.bare("xlsx", sheet)}

    def packages(self):
        n = self.sizes.rows("10k")
        *normalized, wheels, tires = self.data.accepted(n)
        v = self.data.van
        p = v["pair"]
        asked = [max(v["front_axle_kg"], v["rear_axle_kg"]) / 2, p["inboard_max_mm"], p["outboard_max_mm"], p["overall_diameter_target_mm"], p["outboard_target_mm"]]
        found = lambda name: f"{self.out}/pairs_{name}.csv"
        tools = {name: Tool([sys.executable, f"{HERE}/peers/{name}_pairs.py", f"{self.data.folder}/vans1.json", *normalized, found(name)],
                           leaves=[found(name)], lines=1001, alike="pairs")
                 for name in ("polars", "duckdb")}
        tools["double loop, 1 thread"] = Tool([self.floor, "pairs", *map(str, asked), *normalized, found("loop")], leaves=[found("loop")], lines=1001, alike="pairs")
        tools["rimsieve pair"] = Tool([self.rimsieve, "pair", wheels, tires, "--van", self.one_van, "--format", "jsonl"], out=f"{self.out}/packages.jsonl", lines=20)
        tools["rimsieve survey"] = Tool([self.rimsieve, "survey", wheels, tires], out=f"{self.out}/survey.txt")
        return tools

    def all_different(self):
        rows = self.sizes.rows("1M")
        sheets = self.data.pair(rows, "csv", "--different")
        return {**{name: self.peer(name, 1, sheets, rows) for name in PEERS}, "rimsieve": self.vet(1, sheets, rows)}

    def many_rules(self):
        rows = self.sizes.rows("100k")
        sheets = self.data.pair(rows)
        more = self.data.rules(500 - self.count_rules)
        return {"rimsieve, shipped rules": self.vet(1, sheets, rows), "rimsieve, 500 rules": self.vet(1, sheets, rows, "--rules", more)}

    def all(self):
        """Name -> (commands, rounds, rounds of a quick run)."""
        listed = lambda said, vans: lambda: self.sheets_to_list(said, vans)
        return {
            "csv-200": (listed("200", 1), 21, 5), "csv-10k": (listed("10k", 1), 9, 3), "csv-10k-8-vans": (listed("10k", 8), 9, 3),
            "csv-100k": (listed("100k", 1), 7, 2), "csv-100k-8-vans": (listed("100k", 8), 5, 2),
            "csv-1M": (listed("1M", 1), 5, 2), "csv-1M-8-vans": (listed("1M", 8), 3, 1),
            "xlsx-100k": (self.workbooks, 5, 2), "xlsx-100k-one-sheet": (self.one_workbook, 5, 2),
            "pair-10k": (self.packages, 7, 2), "second-core": (self.second_core, 5, 2), "second-core-one-sheet": (self.second_core_one_sheet, 5, 2),
            "all-different": (self.all_different, 5, 2), "many-rules": (self.many_rules, 5, 2),
        }
