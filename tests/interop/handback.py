"""Makes sheets as suppliers do, and checks what rimsieve hands back by programs that have nothing to do with it.

    python handback.py make FOLDER             rich.xlsx, writer.xlsx, prefixed.xlsx, list.ods
    python handback.py check BEFORE AFTER      AFTER is BEFORE with columns added and nothing else lost
    python handback.py opens FILE...           openpyxl and LibreOffice open it; no cell but BEFORE's is a formula
    python handback.py fill QUESTIONS OUT SKU/FACT=ANSWER...
    python handback.py list QUESTIONS          SKU, fact, the fact's cell, a line each

Set-up: pip install openpyxl xlsxwriter; a LibreOffice with its spreadsheet part (soffice on the search path).
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as tree
import zipfile

import openpyxl
import xlsxwriter
from openpyxl.chart import BarChart, Reference
from openpyxl.comments import Comment
from openpyxl.formatting.rule import CellIsRule
from openpyxl.styles import Font, PatternFill, Protection
from openpyxl.workbook.defined_name import DefinedName
from openpyxl.worksheet.datavalidation import DataValidation

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
HEADINGS = ["Supplier", "SKU", "Style", "Size", "Bolt Pattern", "Offset (mm)", "Center Bore (mm)", "Load Rating (kg)", "Lug Seat", "Markings"]
# Invented parts. The third states no load, the fourth another bolt circle, the fifth a seat that work cures.
PARTS = [
    ["Northfell", "NF-1", "Plain", "16x6.5", "6x130", 55, 84.1, 1250, "ball R14", "JWL-T"],
    ["Northfell", "NF-2", "=1+1", "16x6.5", "6x130", 55, 84.1, 1250, "ball R14", "JWL-T"],
    ["Northfell", "NF-3", "<b>&\"Bold\"</b>", "16x6.5", "6x130", 55, 84.1, None, "ball R14", "JWL-T"],
    ["Northfell", "NF-4", "Plain", "16x6.5", "6x139.7", 55, 106.1, 1250, "ball R14", "JWL-T"],
    ["Northfell", "NF-5", "Plain", "16x6.5", "6x130", 55, 84.1, 1250, "cone 60", "JWL-T"],
    ["Northfell", "NF-6", "Plain", "16x6.5", "6x130", "ask us", 84.1, 1250, "ball R14", "JWL-T"],
]


def make(folder):
    rich(folder / "rich.xlsx")
    writer(folder / "writer.xlsx")
    prefixed(folder / "rich.xlsx", folder / "prefixed.xlsx")
    subprocess.run(["soffice", "--headless", "--convert-to", "ods", "--outdir", folder, folder / "writer.xlsx"], check=True, capture_output=True)
    (folder / "writer.ods").rename(folder / "list.ods")


def rich(path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Wheels"
    sheet["A1"] = "Northfell price list"
    sheet.merge_cells("A1:F1")
    for column, text in enumerate(HEADINGS, 1):
        sheet.cell(3, column, text).font = Font(bold=True, italic=True)
    for row, part in enumerate(PARTS, 4):
        for column, content in enumerate(part, 1):
            cell = sheet.cell(row, column)
            cell.value = content
            if isinstance(content, str):
                cell.data_type = "s"
            if column == 8:
                cell.number_format = '0" kg"'
                cell.fill = PatternFill("solid", fgColor="FFEEEEEE")
                cell.protection = Protection(locked=False)
    sheet["H6"].comment = Comment("to be measured", "Northfell")
    sheet["A12"] = "Sum"
    sheet["H12"] = "=SUM(H4:H9)"
    choice = DataValidation(type="list", formula1='"ball R14,cone 60"')
    choice.add("I4:I9")
    sheet.add_data_validation(choice)
    sheet.conditional_formatting.add("H4:H9", CellIsRule(operator="lessThan", formula=["1000"], fill=PatternFill(bgColor="FFFF0000")))
    chart = BarChart()
    chart.add_data(Reference(sheet, min_col=8, min_row=3, max_row=9), titles_from_data=True)
    sheet.add_chart(chart, "A14")
    # Suppliers hide the columns that they do not use, to the last.
    sheet.column_dimensions["K"].min = 11
    sheet.column_dimensions["K"].max = 16384
    sheet.column_dimensions["K"].hidden = True
    sheet.column_dimensions["C"].width = 21
    terms = book.create_sheet("Terms & notes")
    terms["A1"] = "Delivery within three weeks"
    hidden = book.create_sheet("Old")
    hidden.sheet_state = "hidden"
    hidden["B2"] = "withdrawn"
    book.defined_names["loads"] = DefinedName("loads", attr_text="Wheels!$H$4:$H$9")
    book.save(path)


def writer(path):
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("List")
    for column, text in enumerate(HEADINGS):
        sheet.write_string(2, column + 1, text)
    for row, part in enumerate(PARTS, 3):
        for column, content in enumerate(part, 1):
            if isinstance(content, str):
                sheet.write_string(row, column, content)
            elif content is not None:
                sheet.write_number(row, column, content)
    sheet.autofilter(2, 1, 8, 10)
    sheet.freeze_panes(3, 2)
    sheet.protect()
    book.close()


def prefixed(source, path):
    """The same workbook, its parts written with a prefix on every name, as some programs do."""
    tree.register_namespace("x", MAIN.strip("{}"))
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            if name.startswith("xl/worksheets/sheet") or name in ("xl/workbook.xml", "xl/styles.xml") or "comments/" in name:
                data = tree.tostring(tree.fromstring(data), encoding="UTF-8", xml_declaration=True)
                assert b"<x:" in data, name
            new.writestr(name, data)


def content(path):
    with zipfile.ZipFile(path) as file:
        assert file.testzip() is None
        return {name: file.read(name) for name in file.namelist()}


def check(before_path, after_path):
    before, after = content(before_path), content(after_path)
    assert set(before) <= set(after), set(before) - set(after)
    sheets = [name for name in before if name.startswith("xl/worksheets/sheet")]
    held = sheets[:1]  # only the first tab holds parts
    allowed = {"[Content_Types].xml", "xl/workbook.xml", "xl/styles.xml", "xl/_rels/workbook.xml.rels", *held}
    for name in before:
        if name in allowed or "comments/" in name or name.endswith(".vml") or name == "xl/worksheets/_rels/sheet1.xml.rels":
            continue
        assert before[name] == after[name], f"{name} changed"
    formats_before, formats_after = (tree.fromstring(parts["xl/styles.xml"]).find(MAIN + "cellXfs") for parts in (before, after))
    for old, new in zip(formats_before, formats_after):
        assert tree.tostring(old) == tree.tostring(new), "a format changed its number"
    changed = {"formats": 0, "added": 0}
    for name in [*held, "xl/styles.xml", "xl/workbook.xml", "[Content_Types].xml", *(n for n in before if "comments/" in n)]:
        same(name, tree.fromstring(before[name]), tree.fromstring(after[name]), formats_before, formats_after, changed)
    assert changed["formats"] >= 2 and changed["added"] > 20, changed
    cells(before_path, after_path)
    opens(after_path, before_path)


def same(path, old, new, formats_before, formats_after, changed):
    """Every element of old stands in new, in order and with its attributes; new ones stand between."""
    assert old.tag == new.tag and (old.text or "") == (new.text or ""), path
    local = old.tag.rsplit("}")[-1]
    free = {"row": {"spans"}, "dimension": {"ref"}, "sheetView": {"topLeftCell"}, "fonts": {"count"}, "fills": {"count"}, "cellXfs": {"count"}, "col": {"max"}}
    held = dict(old.attrib)
    if local == "c":
        held.setdefault("s", "0")  # a cell without a format has the first
    assert set(new.attrib) <= set(held), path
    for key, value in held.items():
        if key in free.get(local, ()):
            continue
        if local == "c" and key == "s" and new.get("s", "0") != value:
            was, now = formats_before[int(value)], formats_after[int(new.get("s"))]
            for attribute in ("numFmtId", "fontId", "borderId", "xfId"):
                assert was.get(attribute) == now.get(attribute), path
            assert [tree.tostring(child) for child in was] == [tree.tostring(child) for child in now], path
            changed["formats"] += 1
            continue
        assert new.get(key, "0" if key == "s" else None) == value, f"{path}: {key} was {value}"
    rest = iter(new)
    for child in old:
        where = f"{path}/{child.tag.rsplit('}')[-1]}"
        if child.tag == MAIN + "col" and int(child.get("min")) > len(HEADINGS):
            continue  # a setting that reaches over our columns; openpyxl is asked below
        for other in rest:
            if other.tag == child.tag and all(other.get(key) == child.get(key) for key in ("r", "name", "Id", "PartName", "Extension", "ref") if child.get(key) and child.tag != MAIN + "dimension"):
                same(where, child, other, formats_before, formats_after, changed)
                break
            changed["added"] += 1
        else:
            raise AssertionError(f"{where} is lost: {child.attrib}")
    changed["added"] += sum(1 for _ in rest)


def cells(before_path, after_path):
    before, after = openpyxl.load_workbook(before_path), openpyxl.load_workbook(after_path)
    assert after.sheetnames[:-1] == before.sheetnames and after.sheetnames[-1] == "rimsieve summary"
    assert set(before.defined_names) == set(after.defined_names)
    for old in before.worksheets:
        new = after[old.title]
        assert old.sheet_state == new.sheet_state and str(old.merged_cells) == str(new.merged_cells)
        assert len(old._charts) == len(new._charts)
        assert old.protection.sheet == new.protection.sheet
        assert [str(one.sqref) + one.formula1 for one in old.data_validations.dataValidation] == [str(one.sqref) + one.formula1 for one in new.data_validations.dataValidation]
        assert [str(one.sqref) for one in old.conditional_formatting] == [str(one.sqref) for one in new.conditional_formatting]
        for row in old.iter_rows():
            for cell in row:
                other = new[cell.coordinate]
                assert cell.value == other.value and cell.data_type == other.data_type, cell.coordinate
                assert cell.number_format == other.number_format and repr(cell.font) == repr(other.font), cell.coordinate
                assert repr(cell.protection) == repr(other.protection), cell.coordinate
                if cell.comment:
                    assert other.comment.text.startswith(cell.comment.text), other.comment.text
    first = after.worksheets[0]
    assert first.freeze_panes and first.auto_filter.ref
    added = [cell for row in first.iter_rows() for cell in row if str(cell.value).startswith("rimsieve verdict: ")]
    assert added and not first.column_dimensions[added[0].column_letter].hidden
    by_value = {cell.value: cell for row in first.iter_rows() for cell in row}
    for sku, offset, words in [("NF-3", 6, "load rating"), ("NF-4", 3, "bolt pattern"), ("NF-6", 4, "offset")]:
        cell = first.cell(by_value[sku].row, by_value[sku].column + offset)
        assert cell.comment and words in cell.comment.text, (sku, cell.coordinate, cell.comment)
        assert cell.fill.fill_type == "solid", cell.coordinate


def opens(path, before=None):
    book = openpyxl.load_workbook(path)
    known = {(s.title, c.coordinate) for s in openpyxl.load_workbook(before) for row in s for c in row if c.data_type == "f"} if before else set()
    formulas = {(s.title, c.coordinate) for s in book for row in s for c in row if c.data_type == "f"}
    assert formulas == known, formulas
    with tempfile.TemporaryDirectory() as folder:
        for form in ("pdf", "csv", "xlsx:Calc MS Excel 2007 XML"):
            done = subprocess.run(["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", form, "--outdir", folder, path], capture_output=True, text=True)
            made = pathlib.Path(folder) / (pathlib.Path(path).stem + "." + form.split(":")[0])
            assert done.returncode == 0 and "rror" not in done.stderr and made.stat().st_size > 0, done
        again = openpyxl.load_workbook(pathlib.Path(folder) / pathlib.Path(path).name)
        assert again.sheetnames == book.sheetnames
        count = lambda book: sum(1 for s in book for row in s for c in row if c.comment)
        assert count(again) == count(book), (count(again), count(book))


def questions(path):
    book = openpyxl.load_workbook(path)
    sheet = book["Questions"]
    key = next(cell for row in sheet for cell in row if cell.value == "rimsieve.questions/1")
    answer = next(cell for row in sheet for cell in row if cell.value == "Your answer")
    assert sheet.column_dimensions[key.column_letter].hidden and sheet.protection.sheet
    assert sheet.freeze_panes == f"A{key.row + 1}"
    for row in range(key.row + 1, sheet.max_row + 1):
        if sheet.cell(row, key.column).value:
            cell = sheet.cell(row, answer.column)
            assert cell.value is None and not cell.protection.locked and sheet.cell(row, 2).protection.locked
            yield book, json.loads(sheet.cell(row, key.column).value), cell


def fill(path, out, answers):
    answers = dict(answer.split("=", 1) for answer in answers)
    for book, key, cell in questions(path):
        text = answers.pop(f"{key['sku']}/{key['fact']}", None)
        if text is not None:
            cell.value = text
            cell.data_type = "s"
            print(key["sku"], key["fact"], cell.coordinate)
    assert not answers, f"not asked: {answers}"
    book.save(out)


if __name__ == "__main__":
    command, *rest = sys.argv[1:]
    if command == "make":
        make(pathlib.Path(rest[0]))
    elif command == "check":
        check(*rest)
    elif command == "opens":
        for path in rest:
            opens(path)
    elif command == "fill":
        fill(rest[0], rest[1], rest[2:])
    elif command == "list":
        for _, key, cell in questions(rest[0]):
            print(key["sku"], key["fact"], cell.coordinate, sep="\t")
