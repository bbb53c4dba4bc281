"""Opens a drafted workbook with openpyxl, which knows nothing of kithbag, and checks what a person relies on.

Usage: check_workbook.py WORKBOOK SCANS PORTRAITS PICTURES
The numbers are what the collection holds. Prints counts; ends with 1 at the first failure.
"""

import sys

import openpyxl

SHEETS = [
    "Read me first",
    "Collection",
    "Portraits",
    "Scans",
    "Words found",
    "People",
    "Who is it",
    "Clues",
    "How it came",
    "Makers' addresses",
    "Rights",
    "Receivers",
]
# Sheet, heading, and words that its list must offer.
LISTS = [
    ("Portraits", "Glass", ["none", "flat", "convex", "broken", "nk", "na"]),
    ("Portraits", "What it is *", ["large crayon portrait", "carte-de-visite", "cabinet card"]),
    ("Scans", "View *", ["front", "back", "frame front", "altered copy"]),
    ("Who is it", "How sure *", ["proved", "probable", "possible", "suggested", "doubtful", "ruled out"]),
]
EMPTY_ROWS = 200


def fail(message):
    print(f"check_workbook: {message}", file=sys.stderr)
    sys.exit(1)


def require(condition, message):
    if not condition:
        fail(message)


def headings(sheet):
    return {cell.value: cell.column for cell in sheet[1] if cell.value is not None}


def check_lists(book):
    counted = 0
    for sheet in book.worksheets[1:]:
        for rule in sheet.data_validations.dataValidation:
            require(rule.type == "list", f"{sheet.title}: a rule that is no list")
            require(not rule.showErrorMessage, f"{sheet.title}: a list forbids other words")
            counted += 1
    for name, heading, words in LISTS:
        sheet = book[name]
        require(heading in headings(sheet), f"{name}: no heading {heading}")
        letter = openpyxl.utils.get_column_letter(headings(sheet)[heading])
        rules = [
            rule
            for rule in sheet.data_validations.dataValidation
            if f"{letter}2" in rule.sqref and f"{letter}5000" in rule.sqref
        ]
        require(len(rules) == 1, f"{name}, {heading}: {len(rules)} lists instead of one")
        offered = rules[0].formula1.strip('"').split(",")
        for word in words:
            require(word in offered, f"{name}, {heading}: the list does not offer {word}")
    return counted


def check_text(book):
    counted = 0
    for sheet in book.worksheets[1:]:
        for row in sheet.iter_rows():
            for cell in row:
                require(cell.number_format == "@", f"{sheet.title}!{cell.coordinate} is not formatted as text")
                require(cell.data_type in ("s", "n"), f"{sheet.title}!{cell.coordinate} is {cell.data_type}")
                require(cell.value is None or isinstance(cell.value, str), f"{sheet.title}!{cell.coordinate} is no text")
                counted += 1
    return counted


def main():
    path, scans, portraits, pictures = sys.argv[1], *map(int, sys.argv[2:5])
    book = openpyxl.load_workbook(path)
    require(book.sheetnames == SHEETS, f"the sheets are {book.sheetnames}")
    for sheet in book.worksheets[1:]:
        require(sheet.freeze_panes == "B2", f"{sheet.title}: frozen at {sheet.freeze_panes}")
        require(sheet.max_row > EMPTY_ROWS, f"{sheet.title}: too few rows are formatted")
        for cell in sheet[1]:
            require(cell.value and cell.font.bold and cell.alignment.wrap_text, f"{sheet.title}!{cell.coordinate}: no heading")
            require(cell.comment is not None, f"{sheet.title}!{cell.coordinate}: no note")
            width = sheet.column_dimensions[openpyxl.utils.get_column_letter(cell.column)].width
            require(3 < width < 95, f"{sheet.title}!{cell.coordinate}: width {width}")
    filled = lambda sheet: sum(1 for row in sheet.iter_rows(min_row=2, max_col=1) if row[0].value)
    require(filled(book["Scans"]) == scans, f"{filled(book['Scans'])} scans instead of {scans}")
    require(filled(book["Portraits"]) == portraits, f"{filled(book['Portraits'])} portraits instead of {portraits}")
    images = {sheet.title: len(sheet._images) for sheet in book.worksheets if sheet._images}
    require(images == {"Portraits": pictures}, f"pictures: {images}")
    for image in book["Portraits"]._images:
        row = image.anchor._from.row + 1
        height = book["Portraits"].row_dimensions[row].height
        require(image.anchor._from.col == 0, "a picture does not stand in the first column")
        require(image.anchor.to.row + 1 == row, f"the picture of row {row} is higher than its row ({height})")
        require(image.anchor.to.col == 0, f"the picture of row {row} is wider than its column")
    guide = "\n".join(str(cell.value) for row in book["Read me first"].iter_rows() for cell in row if cell.value)
    for words in ("nk", "na", "Portraits", "Who is it", "kithbag survey"):
        require(words in guide, f"the first sheet does not speak of {words}")
    lists, cells = check_lists(book), check_text(book)
    print(
        f"workbook: {len(book.sheetnames)} sheets, {lists} lists, {cells} cells all text, "
        f"{scans} scans, {portraits} portraits, {sum(images.values())} pictures"
    )


main()
