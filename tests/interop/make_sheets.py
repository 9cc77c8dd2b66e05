"""Writes one table as xlsx, xls, ods and csv by programs that have nothing to do with rimsieve.

    python make_sheets.py FOLDER

Makes in FOLDER:
    openpyxl.xlsx  by openpyxl; the formulas have no stored result
    xlwt.xls       by xlwt
    odfpy.ods      by odfpy
    plain.csv, semicolon.csv, utf16.txt   by Python's own csv module
    office.xlsx, office.xls, office.ods   by LibreOffice from openpyxl.xlsx, with results calculated
    binary.xlsb    by the record writer below, as no library writes this format
    filled_down.xls  by LibreOffice; one formula in A1, A2 and A4
    lines.csv      by hand: blank lines, line ends within quotation marks, ragged rows
    lines.xlsx     by LibreOffice from lines.csv: the row numbers a person sees
    odd.xlsx       by hand: cells out of order, in the last corner and of kinds that few programs write
    twice.xlsx     by hand: one cell given twice
    chart.xlsx     by openpyxl; its second tab is a chart
    locked.ods     by hand: a part marked as encrypted
    expected.tsv   what was written: tab, address, kind, origin, text

Set-up: pip install openpyxl xlwt odfpy; a LibreOffice with its spreadsheet part (soffice on the search path).
"""

import csv
import datetime
import pathlib
import shutil
import struct
import subprocess
import sys
import zipfile

import odf.opendocument
import odf.style
import odf.table
import odf.text
import openpyxl
import xlwt

# The table, from C4 on. The heading words and the parts are invented. No formula equals its upper neighbor, as
# LibreOffice would store the two as one in xls; filled_down.xls shows what comes of that.
TOP, LEFT = 4, 3
DATE = datetime.date(2026, 12, 6)
ROWS = [
    ["SKU", "Pattern", "Bore", "Offset", "Seen", "Sum", "Fault"],
    ["NF-K7-1785", "6x130", 84.1, 38, DATE, "=2+3", "=1/0"],
    ["NF-K7-1786", " 6x130 ", 84.5, -12, DATE, "=40+4.5", "=5/0"],
    [],
    ["Ø 17\" Größe; x", "6,130", 0.05, 1250, DATE, "=2+3", "=1/0"],
]
RESULTS = {"=2+3": 5, "=40+4.5": 44.5, "=1/0": "#DIV/0!", "=5/0": "#DIV/0!"}
HIDDEN_TAB, HIDDEN_AT, HIDDEN_TEXT = "Old list", (2, 28), "withdrawn"  # AB2
SHOWN_TAB = "Wheels"


def letters(column):
    text = ""
    while column:
        column, rest = divmod(column - 1, 26)
        text = chr(ord("A") + rest) + text
    return text


def cells():
    """Yields row, column (both from 1) and content for each cell of the shown tab."""
    for r, row in enumerate(ROWS):
        for c, content in enumerate(row):
            yield TOP + r, LEFT + c, content


def write_openpyxl(path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = SHOWN_TAB
    for row, column, content in cells():
        sheet.cell(row, column, content)
        if content == DATE:
            sheet.cell(row, column).number_format = "d-mmm"
    hidden = book.create_sheet(HIDDEN_TAB)
    hidden.sheet_state = "hidden"
    hidden.cell(*HIDDEN_AT, HIDDEN_TEXT)
    book.save(path)


def write_filled_down(path):
    book = openpyxl.Workbook()
    for row in (1, 2, 4):
        book.active.cell(row, 1, "=2+3")
    book.save(path)


def write_xlwt(path):
    book = xlwt.Workbook()
    sheet = book.add_sheet(SHOWN_TAB)
    dated = xlwt.easyxf(num_format_str="D-MMM")
    for row, column, content in cells():
        if content == DATE:
            sheet.write(row - 1, column - 1, content, dated)
        elif isinstance(content, str) and content.startswith("="):
            sheet.write(row - 1, column - 1, xlwt.Formula(content[1:]))
        else:
            sheet.write(row - 1, column - 1, content)
    hidden = book.add_sheet(HIDDEN_TAB)
    hidden.visibility = 1
    hidden.write(HIDDEN_AT[0] - 1, HIDDEN_AT[1] - 1, HIDDEN_TEXT)
    book.save(str(path))


def write_odfpy(path):
    document = odf.opendocument.OpenDocumentSpreadsheet()
    unseen = odf.style.Style(name="unseen", family="table")
    unseen.addElement(odf.style.TableProperties(display="false"))
    document.automaticstyles.addElement(unseen)

    def cell(content):
        if content == DATE:
            return odf.table.TableCell(valuetype="date", datevalue=DATE.isoformat())
        if isinstance(content, str) and content.startswith("="):
            formula, result = "of:" + content, RESULTS[content]
            if isinstance(result, str):
                made = odf.table.TableCell(valuetype="string", stringvalue=result, formula=formula)
                made.addElement(odf.text.P(text=result))
                return made
            return odf.table.TableCell(valuetype="float", value=str(result), formula=formula)
        if isinstance(content, str):
            made = odf.table.TableCell(valuetype="string", stringvalue=content)
            made.addElement(odf.text.P(text=content))
            return made
        return odf.table.TableCell(valuetype="float", value=str(content))

    def table(name, rows, top, left, **more):
        made = odf.table.Table(name=name, **more)
        made.addElement(odf.table.TableColumn())
        # Empty rows and columns in front are written as one repeated, as office programs do.
        if top > 1:
            empty = odf.table.TableRow(numberrowsrepeated=top - 1)
            empty.addElement(odf.table.TableCell())
            made.addElement(empty)
        for row in rows:
            line = odf.table.TableRow()
            if left > 1:
                line.addElement(odf.table.TableCell(numbercolumnsrepeated=left - 1))
            for content in row:
                line.addElement(cell(content))
            made.addElement(line)
        document.spreadsheet.addElement(made)

    table(SHOWN_TAB, ROWS, TOP, LEFT)
    table(HIDDEN_TAB, [[HIDDEN_TEXT]], *HIDDEN_AT, stylename=unseen)
    document.save(str(path))


def shown(content):
    """The text of a content once results are calculated."""
    content = RESULTS.get(content, content) if isinstance(content, str) else content
    return content.isoformat() if content == DATE else str(content)


def write_csv(path, delimiter, encoding, line_end):
    with open(path, "w", encoding=encoding, newline="") as file:
        writer = csv.writer(file, delimiter=delimiter, lineterminator=line_end)
        writer.writerows([[]] * (TOP - 1))
        for row in ROWS:
            writer.writerow([""] * (LEFT - 1) + [shown(content) for content in row] if row else [])


def write_xlsb(path, tabs=None):
    """The few records of MS-XLSB (section numbers from that document) that a table needs; a tab is its state (1 is
    hidden), its name, and row, column and content of each cell. Without tabs it is the table of this file."""
    tabs = tabs or [(0, SHOWN_TAB, cells()), (1, HIDDEN_TAB, [(*HIDDEN_AT, HIDDEN_TEXT)])]

    def record(kind, data=b""):
        # 2.1.4: kind and length are numbers of seven bits to the byte, the lowest first.
        out = bytearray()
        if kind < 0x80:
            out.append(kind)
        else:
            out += bytes([kind & 0x7F | 0x80, kind >> 7])
        length = len(data)
        while True:
            out.append(length & 0x7F | (0x80 if length > 0x7F else 0))
            length >>= 7
            if not length:
                return bytes(out) + data

    def text(content):
        return struct.pack("<I", len(content)) + content.encode("utf-16-le")

    # 2.5.97: tokens for small whole numbers (0x1E), for doubles (0x1F) and for the operators + and /.
    whole = lambda number: struct.pack("<BH", 0x1E, number)
    tokens = {
        "=2+3": whole(2) + whole(3) + b"\x03",
        "=40+4.5": whole(40) + struct.pack("<Bd", 0x1F, 4.5) + b"\x03",
        "=1/0": whole(1) + whole(0) + b"\x06",
        "=5/0": whole(5) + whole(0) + b"\x06",
    }

    def formula(content):
        return struct.pack("<HI", 0, len(tokens[content])) + tokens[content] + struct.pack("<I", 0)

    def cell(column, content):
        place = struct.pack("<I", column - 1)
        plain, dated = place + struct.pack("<I", 0), place + struct.pack("<I", 1)
        if content == DATE:
            return record(0x0005, dated + struct.pack("<d", (DATE - datetime.date(1899, 12, 30)).days))
        if isinstance(content, str) and content.startswith("="):
            if isinstance(RESULTS[content], str):
                return record(0x000B, plain + b"\x07" + formula(content))  # BrtFmlaError
            return record(0x0009, plain + struct.pack("<d", RESULTS[content]) + formula(content))
        if isinstance(content, str):
            return record(0x0006, plain + text(content))  # BrtCellSt
        if isinstance(content, int):
            return record(0x0002, plain + struct.pack("<i", content << 2 | 2))  # BrtCellRk
        return record(0x0005, plain + struct.pack("<d", content))  # BrtCellReal

    def sheet(placed):
        out = record(0x0081) + record(0x0094, struct.pack("<4I", 0, 99, 0, 99)) + record(0x0091)
        row = 0
        for at, column, content in placed:
            if at != row:
                out += record(0x0000, struct.pack("<I", at - 1) + bytes(13))
                row = at
            out += cell(column, content)
        return out + record(0x0092) + record(0x0082)

    def bundle(number, state, name):
        return record(0x009C, struct.pack("<II", state, number) + text(f"rId{number}") + text(name))

    bundles = b"".join(bundle(number, state, name) for number, (state, name, _) in enumerate(tabs, 1))
    workbook = record(0x0083) + record(0x0099, bytes(8) + text("")) + record(0x008F)
    workbook += bundles + record(0x0090) + record(0x0084)
    xf = lambda number_format: record(0x002F, struct.pack("<HH", 0, number_format) + bytes(12))
    styles = record(0x0116) + record(0x0269, struct.pack("<I", 2)) + xf(0) + xf(16) + record(0x026A) + record(0x0117)

    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006"
    links = lambda wanted: f'<?xml version="1.0"?><Relationships xmlns="{package}/relationships">' + "".join(
        f'<Relationship Id="{name}" Type="{relation}/{kind}" Target="{target}"/>' for name, kind, target in wanted
    ) + "</Relationships>"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(
            "[Content_Types].xml",
            f'<?xml version="1.0"?><Types xmlns="{package}/content-types">'
            '<Default Extension="bin" ContentType="application/vnd.ms-excel.sheet.binary.macroEnabled.main"/>'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/></Types>',
        )
        archive.writestr("_rels/.rels", links([("rId1", "officeDocument", "xl/workbook.bin")]))
        parts = [(f"rId{number}", "worksheet", f"worksheets/sheet{number}.bin") for number in range(1, len(tabs) + 1)]
        parts.append((f"rId{len(tabs) + 1}", "styles", "styles.bin"))
        archive.writestr("xl/_rels/workbook.bin.rels", links(parts))
        archive.writestr("xl/workbook.bin", workbook)
        archive.writestr("xl/styles.bin", styles)
        for number, (_, _, placed) in enumerate(tabs, 1):
            archive.writestr(f"xl/worksheets/sheet{number}.bin", sheet(placed))


def write_by_hand(path, rows):
    """An xlsx whose only tab holds the given <row> elements."""
    main = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
    relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
    package = "http://schemas.openxmlformats.org/package/2006/relationships"
    parts = {
        "[Content_Types].xml": "<Types/>",
        "_rels/.rels": f'<Relationships xmlns="{package}">'
        f'<Relationship Id="rId1" Type="{relation}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{package}">'
        f'<Relationship Id="rId1" Type="{relation}/worksheet" Target="worksheets/sheet1.xml"/>'
        f'<Relationship Id="rId2" Type="{relation}/styles" Target="styles.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{main}" xmlns:r="{relation}">'
        '<sheets><sheet name="Odd" sheetId="1" r:id="rId1"/></sheets></workbook>',
        # Number formats 14, 46 and 22: a date, a length of time, a date with its time (ECMA-376, 18.8.30).
        "xl/styles.xml": f'<styleSheet xmlns="{main}"><cellXfs count="4"><xf numFmtId="0"/><xf numFmtId="14"/>'
        '<xf numFmtId="46"/><xf numFmtId="22"/></cellXfs></styleSheet>',
        "xl/worksheets/sheet1.xml": f'<worksheet xmlns="{main}"><sheetData>{rows}</sheetData></worksheet>',
    }
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(name, '<?xml version="1.0" encoding="UTF-8"?>' + text)


def write_odd(path):
    write_by_hand(
        path,
        '<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
        '<row r="3"><c r="B3" t="e"><f>A1#</f><v>#SPILL!</v></c><c r="A3" t="e"><v>#CALC!</v></c>'
        '<c r="C3" t="e"><v>#REF!</v></c></row>'
        '<row r="2"><c r="A2" t="b"><v>1</v></c><c r="B2" t="b"><f>1&gt;2</f><v>0</v></c>'
        '<c r="C2" t="inlineStr"><is><r><t>6x</t></r><r><t>130</t></r></is></c>'
        '<c r="D2" t="str"><f>"ET"&amp;38</f><v>ET38</v></c><c r="E2" t="str"><f>""</f><v></v></c>'
        '<c r="F2" t="inlineStr"><is><t xml:space="preserve"> &#160; </t></is></c><c r="G2" s="1"/></row>'
        '<row r="4"><c r="A4" s="1"><v>46362</v></c><c r="B4" s="2"><v>1.5</v></c><c r="C4" s="3"><v>46362.75</v></c>'
        '<c r="D4" s="1"><v>-12</v></c><c r="E4" t="d"><v>2026-12-06T00:00:00</v></c>'
        '<c r="F4"><v>1E-7</v></c><c r="G4"><v>84.100000000000009</v></c><c r="H4"><v>1E21</v></c></row>',
    )


def write_chart(path):
    book = openpyxl.Workbook()
    book.active.title = "Wheels"
    book.active["B2"] = 38
    book.create_chartsheet("Sales")
    book.save(path)


def write_locked(path):
    manifest = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{manifest}"><manifest:file-entry manifest:full-path="content.xml">'
            "<manifest:encryption-data/></manifest:file-entry></manifest:manifest>",
        )
        archive.writestr("content.xml", b"locked")


def write_expected(path):
    with open(path, "w", encoding="utf-8", newline="\n") as file:
        for row, column, content in cells():
            origin = "Typed"
            if content == DATE:
                kind = "Date"
            elif isinstance(content, str) and content.startswith("="):
                origin = "Formula"
                kind = "Error" if isinstance(RESULTS[content], str) else "Number"
            else:
                kind = "Text" if isinstance(content, str) else "Number"
            print(SHOWN_TAB, f"{letters(column)}{row}", kind, origin, shown(content), sep="\t", file=file)
        at = f"{letters(HIDDEN_AT[1])}{HIDDEN_AT[0]}"
        print(HIDDEN_TAB, at, "Text", "Typed", HIDDEN_TEXT, sep="\t", file=file)


def convert(office, source, target):
    # A profile of its own, so that an office already open on the desk neither hinders nor is changed.
    folder = source.parent
    made = folder / "converted"
    profile = (folder / "profile").resolve().as_uri()
    run = [office, "--headless", f"-env:UserInstallation={profile}", "--convert-to", target.suffix[1:]]
    subprocess.run([*run, "--outdir", made, source], check=True, stdout=subprocess.DEVNULL)
    (made / f"{source.stem}{target.suffix}").rename(target)


def main():
    folder = pathlib.Path(sys.argv[1])
    write_expected(folder / "expected.tsv")
    write_openpyxl(folder / "openpyxl.xlsx")
    write_xlwt(folder / "xlwt.xls")
    write_odfpy(folder / "odfpy.ods")
    write_odd(folder / "odd.xlsx")
    write_by_hand(folder / "twice.xlsx", '<row r="4"><c r="C4"><v>38</v></c><c r="C4"><v>45</v></c></row>')
    write_chart(folder / "chart.xlsx")
    write_locked(folder / "locked.ods")
    write_xlsb(folder / "binary.xlsb")
    write_csv(folder / "plain.csv", ",", "utf-8", "\n")
    write_csv(folder / "semicolon.csv", ";", "windows-1252", "\r\n")
    write_csv(folder / "utf16.txt", "\t", "utf-16", "\r\n")
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if not office:
        sys.exit("soffice was not found: install LibreOffice with its spreadsheet part (apt: libreoffice-calc)")
    for suffix in ("xlsx", "xls", "ods"):
        convert(office, folder / "openpyxl.xlsx", folder / f"office.{suffix}")
    lines = '\r\n\r\nSKU,Note\r\n\r\nA,"two\nlines"\r\n,,\r\nB,x,17" rim,"a ""b"" c"\r\n\r\n\r\n"C",,y'
    (folder / "lines.csv").write_text(lines, encoding="utf-8", newline="")
    convert(office, folder / "lines.csv", folder / "lines.xlsx")
    write_filled_down(folder / "filled_down.xlsx")
    convert(office, folder / "filled_down.xlsx", folder / "filled_down.xls")
    shutil.rmtree(folder / "profile")


if __name__ == "__main__":
    main()
