"""Checks published lists by programs that have nothing to do with rimsieve.

    python published.py manifest FOLDER     every file has the sum and size that the manifest states
    python published.py workbooks FOLDER    openpyxl and LibreOffice read the same parts and figures as the JSON has
    python published.py pages FOLDER        each page's policy names the very style and script in it, and allows no more;
                                            what is told of the pages is printed as JSON
    python published.py lists FOLDER        the CSV and the JSON tell of the same parts

Set-up: pip install openpyxl; a LibreOffice with its spreadsheet part (soffice on the search path).
"""

import base64
import csv
import hashlib
import json
import pathlib
import subprocess
import sys
import tempfile
from html.parser import HTMLParser


def vans(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    return [van["van"] for van in manifest["vans"]]


def listed(folder, van):
    return json.loads((folder / f"{van}.json").read_text())


def manifest(folder):
    told = json.loads((folder / "manifest.json").read_text())
    assert told["format"] == "rimsieve.manifest/1"
    names = {path.name for path in folder.iterdir()} - {"manifest.json"}
    assert set(told["files"]) == names, (sorted(told["files"]), sorted(names))
    for name, entry in told["files"].items():
        content = (folder / name).read_bytes()
        assert entry["sha256"] == hashlib.sha256(content).hexdigest(), name
        assert entry["bytes"] == len(content), name


def workbooks(folder):
    import openpyxl

    with tempfile.TemporaryDirectory() as made:
        made = pathlib.Path(made)
        for van in vans(folder):
            path = folder / f"{van}.xlsx"
            parts = listed(folder, van)["parts"]
            book = openpyxl.load_workbook(path)
            assert [book[name].freeze_panes for name in ("Wheels", "Tires")] == ["B2", "B2"]
            check_book(book, parts, van)
            command = ["soffice", f"-env:UserInstallation=file://{made}/profile", "--headless", "--convert-to", "xlsx"]
            done = subprocess.run(command + ["--outdir", made, path], capture_output=True, text=True)
            assert done.returncode == 0 and (made / path.name).exists(), done.stderr
            check_book(openpyxl.load_workbook(made / path.name), parts, van)


def check_book(book, parts, van):
    assert book.sheetnames == ["Wheels", "Tires", "Work", "Cautions"], book.sheetnames
    for name, kind in [("Wheels", "wheel"), ("Tires", "tire")]:
        sheet = book[name]
        headings = [cell.value for cell in sheet[1]]
        at = {heading: place for place, heading in enumerate(headings)}
        rows = list(sheet.iter_rows(min_row=2))
        wanted = [part for part in parts if part["kind"] == kind]
        assert len(rows) == len(wanted), (van, name, len(rows), len(wanted))
        for row, part in zip(rows, wanted):
            def cell(heading):
                return row[at[heading]].value
            assert not any(found.data_type == "f" for found in row), part["sku"]
            for heading, key in [("Part number", "sku"), ("Supplier", "supplier"), ("Name", "name"), ("Description", "description")]:
                assert (cell(heading) or "") == part[key], (heading, cell(heading), part[key])
            facts = part["facts"]
            figures = {"Rim diameter (in)": "rim_diameter"}
            if kind == "wheel":
                figures |= {"Rim width (in)": "rim_width", "Offset (mm)": "offset", "Center bore (mm)": "center_bore"}
                figures |= {"Load rating (kg)": "load_rating", "Weight (kg)": "weight"}
            else:
                figures |= {"Speed (km/h)": "speed_symbol", "Overall diameter (mm)": "overall_diameter"}
            for heading, fact in figures.items():
                found = cell(heading)
                if fact in facts:
                    assert isinstance(found, (int, float)), (heading, found)
                    assert abs(found - facts[fact]["value"]) < 0.0051, (heading, found, facts[fact])
                    assert facts[fact]["unit"] in heading, (heading, facts[fact])
                else:
                    assert found is None, (heading, found)
            price = part.get("price", {})
            if "amount" in price:
                assert abs(cell("Price") - float(price["amount"])) < 1e-9
                assert cell("Currency") == price.get("currency")
            else:
                assert (cell("Price") or "") == price.get("text", "")
            room = (cell("Room to spare, with the work done") or "").split("\n")
            assert set(room) - {""} <= {margin["says"] for margin in part["margins"]}, room
            assert len(room) >= sum("to spare" in margin["says"] for margin in part["margins"]), room
            assert (cell("Work it needs") or "") == "\n".join(work["name"] for work in part["work"])
            if part["work"]:
                assert abs(cell("Work, cost for a set") - float(part["work_cost"])) < 1e-9
            # What is not known stands there together, in one line.
            cautions, unknown = (cell("Cautions") or "").split("\n"), ": not known, have"
            for caution in part["cautions"]:
                said = caution["says"]
                assert said in cautions or any(said.split(unknown)[0] in line for line in cautions if unknown in line), said
            assert len(cautions) <= max(1, len(part["cautions"])), cautions
    used = {work["name"] for part in parts for work in part["work"]}
    assert {row[0].value for row in book["Work"].iter_rows(min_row=2)} == used
    cautions = " ".join(str(row[0].value) for row in book["Cautions"].iter_rows() if row[0].value)
    assert "qualified fitter" in cautions and "local law" in cautions


class Page(HTMLParser):
    """What stands in a page, as any reader of HTML finds it."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.elements = []
        self.policy = None
        self.inline = {"style": [], "script": [], "data": []}
        self.inside = None
        self.text = []
        self.headings = []

    def handle_starttag(self, tag, attributes):
        attributes = dict(attributes)
        self.elements.append((tag, attributes))
        if tag == "meta" and attributes.get("http-equiv") == "Content-Security-Policy":
            assert self.policy is None
            self.policy = attributes["content"]
        if tag in ("style", "script"):
            self.inside = "data" if attributes.get("type") == "application/ld+json" else tag
        if tag in ("h1", "h2", "h3", "h4"):
            self.headings.append(int(tag[1]))

    def handle_endtag(self, tag):
        if tag in ("style", "script"):
            self.inside = None

    def handle_data(self, data):
        if self.inside:
            self.inline[self.inside].append(data)
        else:
            self.text.append(data)


def read(path):
    page = Page()
    page.feed(path.read_text())
    page.close()
    return page


def pages(folder):
    told = {}
    for path in sorted(folder.glob("*.html")):
        page = read(path)
        policy = dict(part.split(" ", 1) for part in page.policy.split("; "))
        assert policy.pop("default-src") == "'none'" and policy.pop("base-uri") == "'none'" and policy.pop("form-action") == "'none'"
        for kind in ("style", "script"):
            sums = ["'sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode() + "'" for text in page.inline[kind]]
            assert policy.pop(f"{kind}-src", "") == " ".join(sums), (path.name, kind)
        assert set(policy) <= {"img-src"} and policy.get("img-src", "https:") == "https:", policy
        links, images = [], []
        for tag, attributes in page.elements:
            # What a policy of sums forbids, and what would load something.
            assert "style" not in attributes and not any(name.startswith("on") for name in attributes), (tag, attributes)
            assert tag not in ("link", "iframe", "object", "embed", "base", "audio", "video", "source"), tag
            assert not (tag == "script" and "src" in attributes)
            if tag == "img":
                assert attributes["src"].startswith("https://") and attributes["alt"]
                images.append(attributes["src"])
            if tag == "a" and ":" in attributes["href"]:
                assert attributes["href"].lower().startswith(("http://", "https://")), attributes
                assert attributes["rel"] == "noopener nofollow"
                links.append(attributes["href"])
        ids = [attributes["id"] for _, attributes in page.elements if "id" in attributes]
        assert len(ids) == len(set(ids)), "one name, one element"
        labels = {attributes["for"] for tag, attributes in page.elements if tag == "label"}
        fields = {attributes["id"] for tag, attributes in page.elements if tag in ("input", "select")}
        assert labels == fields, (labels, fields)
        assert page.headings[0] == 1 and page.headings.count(1) == 1
        assert all(later <= earlier + 1 for earlier, later in zip(page.headings, page.headings[1:])), "headings in order"
        assert [attributes.get("lang") for tag, attributes in page.elements if tag == "html"] == ["en"]
        text = " ".join(" ".join(page.text).split())
        assert "qualified fitter" in text, path.name
        told[path.name] = {
            "entries": [attributes for tag, attributes in page.elements if tag == "li" and attributes.get("class") == "entry"],
            "elements": sorted({tag for tag, _ in page.elements}),
            "links": links,
            "images": images,
            "times": [attributes["datetime"] for tag, attributes in page.elements if tag == "time"],
            "text": text,
            "data": [json.loads(data) for data in page.inline["data"]],
        }
    print(json.dumps(told))


def lists(folder):
    for van in vans(folder):
        told = listed(folder, van)
        assert told["format"] == "rimsieve.list/1" and told["van"]["id"] == van and "qualified fitter" in told["cautions"]
        with open(folder / f"{van}.csv", newline="") as file:
            rows = list(csv.DictReader(file))
        assert len(rows) == len(told["parts"])
        for row, part in zip(rows, told["parts"]):
            assert row["van"] == van
            for key in ("verdict", "kind", "supplier", "sku", "name", "description"):
                assert row[key].lstrip("'") == part[key].lstrip("'"), (row[key], part[key])
            assert row["work"] == "; ".join(work["name"] for work in part["work"])
            assert row["work_cost"] == part.get("work_cost", "")
            assert row["margins"] == "; ".join(margin["says"] for margin in part["margins"])
            assert not any(text[:1] in ("=", "@", "+", "\t", "\r", "\n") for text in row.values())
            figures = ("offset_mm", "price_amount", "work_cost")
            assert not any(text[:1] == "-" for name, text in row.items() if name not in figures)


if __name__ == "__main__":
    {"manifest": manifest, "workbooks": workbooks, "pages": pages, "lists": lists}[sys.argv[1]](pathlib.Path(sys.argv[2]))
