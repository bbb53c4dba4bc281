"""Helps to send a catalogue through a real spreadsheet program and back.

Usage: spreadsheet.py join FOLDER OUT.xlsx     one workbook of the CSV or XLSX files of a folder, cells as they are there
       spreadsheet.py split FOLDER BOOK INTO   the files `BOOK-Sheet.csv` of a folder as the CSV files of a catalogue
       spreadsheet.py told NAME FOLDER CONCERN...
       spreadsheet.py same NAME FIRST SECOND [CONCERN...] [differs:PATH...]
FIRST and SECOND are folders with weigh.json and survey.json, as `--json` printed them. Both records and both weighings must be the
same but for the values at PATH and the way in which numbers are written. Each CONCERN, `code:sheet:row:column`, must be told of the catalogue, and nothing else.
"""

import csv
import json
import pathlib
import shutil
import sys
from fractions import Fraction

import openpyxl

SHEETS = {
    "collection": "Collection",
    "portraits": "Portraits",
    "scans": "Scans",
    "words-found": "Words found",
    "people": "People",
    "who-is-it": "Who is it",
    "clues": "Clues",
    "how-it-came": "How it came",
    "makers-addresses": "Makers' addresses",
    "rights": "Rights",
    "receivers": "Receivers",
}


def join(folder, out):
    book = openpyxl.Workbook()
    book.remove(book.active)
    cells = 0
    for stem, name in SHEETS.items():
        sheet = book.create_sheet(name)
        for row, column, cell in cells_of(pathlib.Path(folder), stem):
            target = sheet.cell(row, column)
            if isinstance(cell, str):
                target.value, target.data_type = cell, "s"
            else:
                target.value, target.data_type = cell.value, cell.data_type
                target.number_format = cell.number_format
            cells += 1
    book.save(out)
    print(f"{out}: {len(SHEETS)} sheets, {cells} cells")


def cells_of(folder, stem):
    """Gives row, column and text, or the cell of a workbook with its type."""
    typed = folder / f"{stem}.xlsx"
    if typed.exists():
        for row in openpyxl.load_workbook(typed).active.iter_rows():
            yield from ((cell.row, cell.column, cell) for cell in row if cell.value is not None)
        return
    with (folder / f"{stem}.csv").open(encoding="utf-8-sig", newline="") as file:
        for number, row in enumerate(csv.reader(file), 1):
            yield from ((number, column, text) for column, text in enumerate(row, 1) if text)


def split(folder, book, into):
    pathlib.Path(into).mkdir(parents=True)
    found = 0
    for stem, name in SHEETS.items():
        shutil.copy(pathlib.Path(folder) / f"{book}-{name}.csv", pathlib.Path(into) / f"{stem}.csv")
        found += 1
    print(f"{into}: {found} files")


def read(folder, name):
    return json.loads((pathlib.Path(folder) / name).read_text(encoding="utf-8"))


def place_of(concern):
    place = concern.get("place", {})
    return ":".join([concern["code"], *(str(place.get(key, "")) for key in ("sheet", "row", "column"))])


def leaves(value, path=""):
    """Every value of a document by its path."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, f"{path}.{key}")
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from leaves(inner, f"{path}[{index}]")
    else:
        yield path, value


def number(value):
    """The number that a text such as `2 1/2` or `18.00` writes, or else the value: a spreadsheet keeps numbers, not how they are written."""
    try:
        return sum(Fraction(part) for part in value.split()) if value.strip() else value
    except (AttributeError, ValueError, ZeroDivisionError):
        return value


def told(name, folder, *wanted):
    found = [place_of(concern) for concern in read(folder, "weigh.json")["catalogue"]]
    if sorted(found) != sorted(wanted):
        sys.exit(f"{name}: told {found}, expected {list(wanted)}")
    print(f"{name}: {len(found)} concerns with sheet, row and column as expected")


def same(name, first, second, *wanted):
    allowed = [item.removeprefix("differs:") for item in wanted if item.startswith("differs:")]
    told(name, second, *(item for item in wanted if not item.startswith("differs:")))
    compared = 0
    for document, part in [("survey.json", "collection"), ("weigh.json", "weighing")]:
        one, other = (dict(leaves(read(folder, document)[part])) for folder in (first, second))
        differing = [path for path in one.keys() | other.keys() if number(one.get(path)) != number(other.get(path))]
        unexpected = [path for path in differing if path not in allowed]
        if unexpected or not one:
            lines = [f"{path}: {one.get(path)!r} became {other.get(path)!r}" for path in sorted(unexpected)]
            sys.exit(f"{name}, {part}: {len(unexpected)} differ\n" + "\n".join(lines[:20]))
        compared += len(one)
    print(f"{name}: {compared} values of record and weighing compared, {len(allowed)} of them may differ")


if __name__ == "__main__":
    {"join": join, "split": split, "told": told, "same": same}[sys.argv[1]](*sys.argv[2:])
