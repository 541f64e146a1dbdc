#!/usr/bin/python3
"""Makes the files of this folder: one manifest in the forms that programs give it.

They were made with LibreOffice 7.4.7, openpyxl 3.0.9, Python 3.11, Gnumeric's ssconvert
1.12.55 and excelize 2.11.1 (excelize.go), and are committed: no test runs this script.
"""
import csv
import datetime
import json
import os
import pathlib
import subprocess
import tempfile

import openpyxl
from openpyxl.utils.datetime import CALENDAR_MAC_1904

ENGLISH = ["date", "variety", "stock", "grafts", "source", "tray", "stem (mm)", "grafter", "label wrap", "note"]
GERMAN = ["Datum", "Sorte", "Unterlage", "Veredelungen", "Herkunft", "je Kiste", "Durchmesser (mm)", "Veredler", "label wrap", "Bemerkung"]
ROWS = [
    ["2026-12-01", "Ämter Kompass", "Marlpit Hedge", 1025, "House bed 2", 25, 7.5, "IV", "flag", "cut at noon; keep cool, damp"],
    ["2026-12-01", "Étrier d'Orée", "Fen Hedge", 60, "House bed 2", 30, 8, "IV", "flag", 'with "two" eyes'],
    ["2026-12-13", "Märzgrün Zirkel", "Marlpit Hedge", 40, "Süd 4", None, 7.5, "JÖ", "loop", "first line\nsecond line"],
    ["2026-12-13", "Ñu Ladder", "Fen Hedge", 120, None, 60, None, None, None, None],
    ["2027-01-04", "Œuvre Dial", "Dial Stock", 2400, "Süd 4", 48, 12.5, "JÖ", "band", '"soft", tender; 100 % ripe'],
    ["2027-01-04", "Größe Sieben", "Dial Stock", 8, None, None, None, None, None, "café"],
    ["2027-02-28", "Ångström Hinge", "Fen Hedge", 35, "Hof à côté", 35, 6.25, "IV", None, None],
    ["2027-02-28", "Çurve Tally", "Marlpit Hedge", 1000, "House bed 2", 100, 9, "IV", "flag", None],
]


def table(headings=ENGLISH, above=(), between=0, change=lambda column, value: value):
    """Returns a workbook with the manifest, as openpyxl writes it."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Grafts"
    for row in above:
        sheet.append(row)
    sheet.append(headings)
    for row in ROWS:
        for _ in range(between):
            sheet.append([])
        cells = [datetime.date.fromisoformat(row[0])] + row[1:]
        sheet.append([None if cell is None else change(column, cell) for column, cell in zip(ENGLISH, cells)])
    for row in sheet.iter_rows():
        for cell in row:
            if isinstance(cell.value, datetime.date):
                cell.number_format = "mm-dd-yy"  # which stands for the date of each country
            elif isinstance(cell.value, int):
                cell.number_format = "#,##0"
    return book


class Office:
    """LibreOffice under the settings of a country."""

    def __init__(self, locale):
        self.locale, self.profile = locale, tempfile.TemporaryDirectory()
        settings = pathlib.Path(self.profile.name, "user", "registrymodifications.xcu")
        settings.parent.mkdir()
        settings.write_text(f'''<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{locale}</value></prop></item>
</oor:items>''')

    def convert(self, book, to, name):
        with tempfile.TemporaryDirectory() as folder:
            source, made = pathlib.Path(folder, "source.xlsx"), pathlib.Path(folder, "made")
            book.save(source)
            subprocess.run(["soffice", f"-env:UserInstallation=file://{self.profile.name}", "--headless", "--convert-to", to,
                            "--outdir", made, source], check=True, capture_output=True)
            (file,) = made.iterdir()
            pathlib.Path(name).write_bytes(file.read_bytes())

    def csv(self, book, separator, charset, name):
        """The tokens are those of 'Filter Options' in its help: cells as shown."""
        to = f"csv:Text - txt - csv (StarCalc):{ord(separator)},34,{charset},1,,0,false,true,true"
        self.convert(book, to, f"office-{self.locale}-{name}.csv")


def office():
    utf8, windows, macintosh, utf16 = 76, 1, 2, 65535
    english, german, french = Office("en-US"), Office("de-DE"), Office("fr-FR")
    english.csv(table(), ",", utf8, "comma-utf8")
    english.csv(table(), ",", windows, "comma-windows")
    english.csv(table(), "\t", utf16, "tab-utf16")
    german.csv(table(GERMAN), ";", utf8, "semicolon-utf8")
    german.csv(table(GERMAN), ";", windows, "semicolon-windows")
    french.csv(table(), ";", utf8, "semicolon-utf8")
    french.csv(table(), ";", macintosh, "semicolon-macintosh")
    french.csv(table(above=[["Greffes de l'hiver"], []]), ";", windows, "semicolon-windows-title")
    english.convert(table(), "xlsx", "office-en-US.xlsx")
    german.convert(table(GERMAN), "xlsx", "office-de-DE.xlsx")
    english.convert(table(change=formula), "xlsx", "office-formulas.xlsx")
    english.convert(table(), "ods", "office.ods")
    english.convert(table(), "xls", "office.xls")


def formula(column, value):
    return f"=ROUND({value}*2/2,0)" if column == "grafts" else value


def by_openpyxl():
    table().save("openpyxl.xlsx")
    from1904 = table()
    from1904.epoch = CALENDAR_MAC_1904
    from1904.save("openpyxl-1904.xlsx")
    dates = lambda write: lambda column, value: write(value) if column == "date" else value
    table(change=dates(lambda d: d.strftime("%d.%m.%Y"))).save("openpyxl-dates-german-text.xlsx")
    table(change=dates(lambda d: f"{d.day} {d:%b %Y}")).save("openpyxl-dates-in-words.xlsx")
    table(change=dates(lambda d: f"{min(d.day, 12):02}/{d.month:02}/{d.year}")).save("openpyxl-dates-undecided.xlsx")
    table(change=lambda column, value: {"grafts": "{:,}", "tray": "{}", "stem (mm)": "{} mm"}.get(column, "{}").format(value)
          if column != "date" else value).save("openpyxl-numbers-text.xlsx")
    table(above=[["Winter grafts"], ["House 2 “north”", None, 3], []], between=1).save("openpyxl-title-blank-rows.xlsx")
    table(change=formula).save("openpyxl-formulas.xlsx")
    tabs = table()
    tabs.create_sheet("Notes", 0).append(["nothing to graft"])
    tabs.save("openpyxl-second-tab.xlsx")
    hidden = table()
    for row in (4, 5):
        hidden.active.row_dimensions[row].hidden = True
    hidden.save("openpyxl-hidden-rows.xlsx")


def gnumeric():
    with tempfile.TemporaryDirectory() as folder:
        source = os.path.join(folder, "source.xlsx")
        table().save(source)
        for name, *options in [("gnumeric.xlsx",), ("gnumeric.csv",),
                               ("gnumeric-latin1.txt", "-O", "separator=; format=preserve charset=ISO-8859-15 quoting-mode=always")]:
            subprocess.run(["ssconvert", *options, source, name], check=True, capture_output=True)


def by_python():
    with open("python-utf8-mark.csv", "w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file).writerows([ENGLISH] + ROWS)


def main():
    os.chdir(pathlib.Path(__file__).parent)
    office()
    by_openpyxl()
    by_python()
    gnumeric()
    subprocess.run(["go", "run", "excelize.go"], input=json.dumps([ENGLISH] + ROWS), text=True, check=True)


main()
