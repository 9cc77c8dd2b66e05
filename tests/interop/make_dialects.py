"""Writes wheels as suppliers who send workbooks would.

    python make_dialects.py FOLDER < WHEELS

WHEELS is a JSON list of wheels: sku, width and diameter in inches, circle, offset and bore in millimeters, load in
kilograms, seat (ball, cone or flat); offset, load and seat may be null. Makes in FOLDER:
    logo.xlsx    by xlsxwriter, in German: a picture and titles, merged headings over two rows, a hidden column, a sum
    tabs.xlsx    by openpyxl: terms, then a tab for each rim diameter; units in number formats, some numbers as text
    old.xls      by xlwt: headings cut over two rows, a title before each rim diameter, an old list on a hidden tab
    office.ods   by odfpy, in French: a hidden first tab, figures as numbers
    binary.xlsb  by the record writer of make_sheets.py, in Spanish

Set-up: pip install openpyxl xlsxwriter xlwt odfpy
"""

import base64
import io
import itertools
import json
import pathlib
import sys

import odf.opendocument
import odf.style
import odf.table
import odf.text
import openpyxl
import xlsxwriter
import xlwt

from make_sheets import write_xlsb

# One dot.
PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII="
)


def figure(number, mark="."):
    return f"{number:g}".replace(".", mark)


def logo(path, wheels):
    book = xlsxwriter.Workbook(path)
    sheet = book.add_worksheet("Preisliste")
    sheet.insert_image(0, 0, "logo.png", {"image_data": io.BytesIO(PICTURE)})
    sheet.merge_range(0, 2, 0, 8, "Northfell Räder für Kastenwagen")
    sheet.merge_range(1, 2, 1, 8, "Preisliste, gültig bis auf Widerruf")
    for column, heading in [(0, "Artikelnummer"), (5, "Einpresstiefe (mm)"), (6, "Traglast (kg)"), (7, "Bolzensitz"), (8, "EK-Preis")]:
        sheet.merge_range(3, column, 4, column, heading)
    sheet.merge_range(3, 1, 3, 2, "Felge")
    sheet.write_row(4, 1, ["Durchmesser (Zoll)", "Breite (Zoll)"])
    sheet.merge_range(3, 3, 3, 4, "Anschluss")
    sheet.write_row(4, 3, ["Lochkreis", "Mittenloch (mm)"])
    sheet.set_column(8, 8, None, None, {"hidden": True})
    seats = {"ball": "Kugelbund R14", "cone": "Kegelbund 60°", "flat": "Flachbund", None: None}
    for row, wheel in enumerate(wheels, 5):
        pattern = f"6x{figure(wheel['circle'], ',')}"
        cells = [wheel["sku"], wheel["diameter"], wheel["width"], pattern, wheel["bore"], wheel["offset"], wheel["load"], seats[wheel["seat"]], 100]
        sheet.write_row(row, 0, cells)
    last = 5 + len(wheels)
    sheet.write(last, 0, "Summe")
    sheet.write_formula(last, 8, f"=SUM(I6:I{last})", None, 100 * len(wheels))
    sheet.write(last + 2, 0, "Alle Angaben ohne Gewähr.")
    book.close()


def tabs(path, wheels):
    book = openpyxl.Workbook()
    book.active.title = "Terms"
    book.active["A1"] = "Delivery within three weeks."
    headings = ["Part No.", "Wheel Size", "PCD", "Offset", "Hub Bore", "Load Rating", "Lug Seat"]
    formats = {4: '"ET"0', 5: '0.0" mm"', 6: '#,##0" kg"'}
    seats = {"ball": "Ball R14", "cone": "60° cone", "flat": "flat", None: None}
    for diameter in sorted({wheel["diameter"] for wheel in wheels}):
        sheet = book.create_sheet(f"{diameter} inch")
        sheet["B2"] = f"{diameter} inch wheels"
        for column, heading in enumerate(headings, 2):
            sheet.cell(4, column, heading)
        own = [wheel for wheel in wheels if wheel["diameter"] == diameter]
        for row, wheel in enumerate(own, 5):
            size = f"{diameter}x{figure(wheel['width'])}"
            cells = [wheel["sku"], size, f"6x{figure(wheel['circle'])}", wheel["offset"], wheel["bore"], wheel["load"], seats[wheel["seat"]]]
            for column, content in enumerate(cells, 1):
                # Every other row was pasted from a text, so its figures are text, with their units.
                if row % 2 and column in formats and content is not None:
                    content = {4: f"ET{content}", 5: f"{figure(content)} mm", 6: f"{content:,.0f} kg"}.get(column)
                sheet.cell(row, column + 1, content).number_format = formats.get(column, "General")
    book.save(path)


def old(path, wheels):
    book = xlwt.Workbook()
    sheet = book.add_sheet("Wheels")
    for column, (above, below) in enumerate([("Item", "Number"), ("Wheel", "Size"), ("Bolt", "Pattern"), ("Offset", "mm"), ("Hub", "Bore (mm)"), ("Max", "Load (kg)"), ("Lug", "Seat")]):
        sheet.write(0, column, above)
        sheet.write(1, column, below)
    seats = {"ball": "BALL R14", "cone": "CONICAL 60", "flat": "FLAT", None: None}
    row = 2
    for diameter, own in itertools.groupby(wheels, lambda wheel: wheel["diameter"]):
        sheet.write(row, 0, f"{diameter} INCH")
        row += 1
        for wheel in own:
            size = f"{figure(wheel['width'])}X{wheel['diameter']}"
            cells = [wheel["sku"], size, f"6-{figure(wheel['circle'])}", wheel["offset"], wheel["bore"], wheel["load"], seats[wheel["seat"]]]
            for column, content in enumerate(cells):
                if content is not None:
                    sheet.write(row, column, content)
            row += 1
    hidden = book.add_sheet("Old list")
    hidden.visibility = 1
    hidden.write(0, 0, "withdrawn")
    book.save(str(path))


def office(path, wheels):
    document = odf.opendocument.OpenDocumentSpreadsheet()
    unseen = odf.style.Style(name="unseen", family="table")
    unseen.addElement(odf.style.TableProperties(display="false"))
    document.automaticstyles.addElement(unseen)

    def cell(content):
        if content is None:
            return odf.table.TableCell()
        if isinstance(content, str):
            made = odf.table.TableCell(valuetype="string")
            made.addElement(odf.text.P(text=content))
        else:
            made = odf.table.TableCell(valuetype="float", value=str(content))
            made.addElement(odf.text.P(text=figure(content, ",")))
        return made

    def table(name, rows, **more):
        made = odf.table.Table(name=name, **more)
        made.addElement(odf.table.TableColumn())
        for row in rows:
            line = odf.table.TableRow()
            for content in row:
                line.addElement(cell(content))
            made.addElement(line)
        document.spreadsheet.addElement(made)

    table("Interne", [["Marges"], ["à revoir"]], stylename=unseen)
    seats = {"ball": "sphérique R14", "cone": "conique 60°", "flat": "plate", None: None}
    headings = ["Réf", "Diamètre jante", "Largeur jante", "Entraxe", "Déport (mm)", "Alésage (mm)", "Charge (kg)", "Portée"]
    rows = [
        [wheel["sku"], wheel["diameter"], wheel["width"], f"6 x {figure(wheel['circle'], ',')}", wheel["offset"], wheel["bore"], wheel["load"], seats[wheel["seat"]]]
        for wheel in wheels
    ]
    table("Jantes", [["Jantes pour fourgons"], [None], headings, *rows])
    document.save(str(path))


def binary(path, wheels):
    seats = {"ball": "esférico R14", "cone": "cónico 60°", "flat": "plano", None: None}
    rows = [["Código", "Medida llanta", "PCD", "ET (mm)", "Buje (mm)", "Carga (kg)", "Asiento"]]
    for wheel in wheels:
        size = f"{figure(wheel['width'], ',')}x{wheel['diameter']}"
        rows.append([wheel["sku"], size, f"6x{figure(wheel['circle'], ',')}", wheel["offset"], wheel["bore"], wheel["load"], seats[wheel["seat"]]])
    placed = [(r, c, content) for r, row in enumerate(rows, 2) for c, content in enumerate(row, 1) if content is not None]
    write_xlsb(path, [(0, "Llantas", placed)])


def main():
    folder = pathlib.Path(sys.argv[1])
    wheels = json.load(sys.stdin)
    logo(folder / "logo.xlsx", wheels)
    tabs(folder / "tabs.xlsx", wheels)
    old(folder / "old.xls", wheels)
    office(folder / "office.ods", wheels)
    binary(folder / "binary.xlsb", wheels)


if __name__ == "__main__":
    main()
