"""Writes workbooks that are broken, dishonest or full of what a reader may overlook, by programs and by hand.

    python make_hostile.py FOLDER

Makes in FOLDER:
    small.xlsx, small.xls, small.ods, small.xlsb   the table of make_sheets.py, to be mutated
    noted.xlsx     by openpyxl: hidden rows and columns, merged regions, units that stand only in number formats
    noted.ods      by odfpy: hidden rows and columns, a merged region
    merged.xls     by xlwt: a merged region
    stray.xlsx     by hand: a cell and one in the last corner, XFD1048576
    stray.xls      by xlwt: the same, IV65536
    wrong_sum.xlsx a worksheet whose last byte, after the last cell, was changed behind the checksum's back
    renamed.xlsx   a worksheet with another name in front of it than in the directory
    two_parts.xlsx two worksheets of one name
    lying.xlsx     a worksheet that unpacks to more than the directory says
    strings.xlsx, styles.xlsx, node.xlsx, cells.xlsx   small files that unpack to hundreds of megabytes of,
                   in turn, shared texts, styles, one text and cells
    deep.xlsx      a directory that declares 4 GiB

Set-up: pip install openpyxl xlwt odfpy.
"""

import pathlib
import struct
import sys
import warnings
import zipfile

import make_sheets
import odf.opendocument
import odf.table
import odf.text
import openpyxl
import xlwt

SHEET = "xl/worksheets/sheet1.xml"
MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def write_noted(path):
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["List 7", None, None, None, None, None])
    sheet.append(["SKU", "Offset", "Load", "Price", "Rebate", "Pattern"])
    sheet.append(["NF-1", 38, 1120, 129, 0.05, make_sheets.DATE])
    sheet.append(["NF-2", 45, 1250, 139, 0.1, make_sheets.DATE])
    formats = [None, '"ET"0', '0" kg"', '#,##0.00\\ [$€-407]', "0%", "d-mmm"]
    for row in (3, 4):
        for column, code in enumerate(formats, 1):
            if code:
                sheet.cell(row, column).number_format = code
    sheet.merge_cells("A1:F1")
    sheet.row_dimensions[4].hidden = True
    sheet.row_dimensions[5].hidden = True
    sheet.row_dimensions[9].hidden = True
    sheet.column_dimensions["E"].hidden = True
    book.create_sheet("Plain").append(["NF-3", 38])
    book.save(path)


def write_merged(path):
    book = xlwt.Workbook()
    sheet = book.add_sheet("Wheels")
    sheet.write_merge(1, 2, 1, 3, "List 7")
    sheet.write(3, 1, "SKU")
    book.save(str(path))


def write_noted_ods(path):
    table, text = odf.table, odf.text
    document = odf.opendocument.OpenDocumentSpreadsheet()
    made = table.Table(name="Wheels")
    made.addElement(table.TableColumn(numbercolumnsrepeated=2))
    made.addElement(table.TableColumn(visibility="collapse"))
    made.addElement(table.TableColumn(numbercolumnsrepeated=3))

    def row(cells, **more):
        line = table.TableRow(**more)
        for content, about in cells:
            cell = table.TableCell(valuetype="string", **about)
            cell.addElement(text.P(text=content))
            line.addElement(cell)
            for _ in range(int(about.get("numbercolumnsspanned", 1)) - 1):
                line.addElement(table.CoveredTableCell())
        made.addElement(line)

    row([("x", {}), ("List 7", {"numbercolumnsspanned": 3, "numberrowsspanned": 1}), ("y", {})])
    row([("NF-1", {}), ("38", {})])
    row([("NF-2", {}), ("45", {})], numberrowsrepeated=2, visibility="collapse")
    row([("NF-3", {}), ("45", {})], visibility="filter")
    row([("NF-4", {}), ("45", {})])
    document.spreadsheet.addElement(made)
    document.save(str(path))


def write_stray_xls(path):
    book = xlwt.Workbook()
    sheet = book.add_sheet("Wheels")
    sheet.write(0, 0, "SKU")
    sheet.write(65535, 255, "x")
    book.save(str(path))


def rewrite(source, target, change=lambda name, data: data, more=()):
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as new:
        for name in old.namelist():
            new.writestr(name, change(name, old.read(name)))
        for name, data in more:
            new.writestr(name, data)


def directory_entry(data, name):
    """Where the directory of an archive has the entry of a part."""
    at = data.rfind(b"PK\x05\x06")
    at = struct.unpack_from("<I", data, at + 16)[0]
    while data[at : at + 4] == b"PK\x01\x02":
        length, extra, comment = struct.unpack_from("<3H", data, at + 28)
        if data[at + 46 : at + 46 + length] == name.encode():
            return at
        at += 46 + length + extra + comment
    raise KeyError(name)


def patched(source, target, name, patch):
    data = bytearray(source.read_bytes())
    entry = directory_entry(data, name)
    patch(data, entry, struct.unpack_from("<I", data, entry + 42)[0])
    target.write_bytes(data)


def wrong_sum(data, entry, _):
    data[entry + 16] ^= 1


def renamed(data, _, local):
    place = local + 30 + len(SHEET) - len("1.xml")
    assert data[place : place + 1] == b"1"
    data[place : place + 1] = b"7"


def lying(data, entry, local):
    for place in (entry + 24, local + 22):
        struct.pack_into("<I", data, place, 60)


def deep(data, entry, local):
    for place in (entry + 24, local + 22):
        struct.pack_into("<I", data, place, 0xFFFFFFF0)


def write_bombs(folder, plain):
    size = 300 << 20

    def filled(start, unit, end):
        return start + unit * (size // len(unit)) + end

    def only(part, data):
        return lambda name, old: data if name == part else old

    sheet = f'<worksheet xmlns="{MAIN}"><sheetData>'.encode()
    end = b"</sheetData></worksheet>"
    row = b"<row>" + b"<c><v>1</v></c>" * 200 + b"</row>"
    rewrite(plain, folder / "cells.xlsx", only(SHEET, filled(sheet, row, end)))
    cell = b'<row><c t="inlineStr"><is><t>'
    rewrite(plain, folder / "node.xlsx", only(SHEET, filled(sheet + cell, b"xxxxxxxxxx", b"</t></is></c></row>" + end)))
    styles = f'<styleSheet xmlns="{MAIN}"><cellXfs>'.encode()
    rewrite(plain, folder / "styles.xlsx", only("xl/styles.xml", filled(styles, b"<xf/>", b"</cellXfs></styleSheet>")))
    strings = f'<sst xmlns="{MAIN}">'.encode()
    texts = filled(strings, b"<si><t>x</t></si>", b"</sst>")
    rewrite(plain, folder / "strings.xlsx", more=[("xl/sharedStrings.xml", texts)])


def main():
    folder = pathlib.Path(sys.argv[1])
    make_sheets.write_openpyxl(folder / "small.xlsx")
    make_sheets.write_xlwt(folder / "small.xls")
    make_sheets.write_odfpy(folder / "small.ods")
    make_sheets.write_xlsb(folder / "small.xlsb")
    make_sheets.write_locked(folder / "locked.ods")
    write_noted(folder / "noted.xlsx")
    write_merged(folder / "merged.xls")
    write_noted_ods(folder / "noted.ods")
    write_stray_xls(folder / "stray.xls")
    plain = folder / "plain.xlsx"
    make_sheets.write_by_hand(plain, '<row r="1"><c r="A1"><v>38</v></c><c r="B1"><v>45</v></c></row>')
    make_sheets.write_by_hand(
        folder / "stray.xlsx",
        '<row r="1"><c r="A1"><v>38</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>',
    )
    patched(plain, folder / "wrong_sum.xlsx", SHEET, wrong_sum)
    patched(plain, folder / "renamed.xlsx", SHEET, renamed)
    patched(plain, folder / "lying.xlsx", SHEET, lying)
    patched(plain, folder / "deep.xlsx", SHEET, deep)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(plain) as archive:
            rewrite(plain, folder / "two_parts.xlsx", more=[(SHEET, archive.read(SHEET))])
    write_bombs(folder, plain)


if __name__ == "__main__":
    main()
