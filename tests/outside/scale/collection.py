"""Draws a collection of any number of scans, each of them a different picture, five of each portrait.

    python3 tests/outside/scale/collection.py SCANS FOLDER

Four of five are JPEG files of some 8 KB with dots per inch and the facts a camera writes, the fifth is a TIFF. Folders of
1,000. The catalogue has every portrait, with one person, one clue and one claim each, two of five of them proved; its sheet
"Scans" is for `survey` to write. The same number gives the same files. Nobody in it ever lived.
"""

import csv
import random
import sys
from multiprocessing import Pool
from pathlib import Path

from PIL import Image

VIEWS = ["front", "back", "detail", "label", "frame front"]
FIRST = ["Edith", "Silas", "Morwenna", "Jabez", "Honor", "Digory", "Loveday", "Enoch", "Tamsin", "Obed"]
SURE = ["proved", "possible", "probable", "possible", "proved"]
LAST = ["Marrack", "Tillyard", "Pascoe", "Trewin", "Ravelock", "Hocking", "Bolitho", "Nance", "Kitto", "Sparke"]


def number(portrait):
    return f"A-{portrait:05}"


def name(person):
    """One of ten thousand."""
    first, second, third, last = (person // 10**at % 10 for at in range(4))
    return f"{FIRST[first]} {FIRST[second]} {LAST[third]} {LAST[last]}"


def folder_of(portrait):
    return f"box {portrait // 200 + 1:03}"


def draw(job):
    """A soft picture of its own, with the grain of paper over it."""
    root, portrait = job
    dice = random.Random(portrait)
    for at, view in enumerate(VIEWS):
        soft = Image.frombytes("L", (9, 12), dice.randbytes(9 * 12)).resize((180, 240), Image.Resampling.BICUBIC)
        grain = Image.frombytes("L", (90, 120), dice.randbytes(90 * 120)).resize((180, 240), Image.Resampling.BILINEAR)
        picture = Image.blend(soft, grain, 0.15)
        stem = Path(root) / folder_of(portrait) / f"{number(portrait)} {view}"
        if at == 4:
            picture.resize((90, 120)).save(f"{stem}.tif", dpi=(600, 600))
            continue
        facts = Image.Exif()
        facts[0x010F] = "Lantern"
        facts[0x0110] = "Flatbed 3"
        facts[0x0132] = "2026:03:14 10:00:00"
        tinted = Image.merge("RGB", (picture, picture.point(lambda one: one * 9 // 10), picture.point(lambda one: one * 7 // 10)))
        tinted.save(f"{stem}.jpg", quality=70, dpi=(600, 600), exif=facts)


def sheet(folder, name, headings, rows):
    with open(folder / f"{name}.csv", "w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file, quoting=csv.QUOTE_ALL)
        writer.writerow(headings)
        writer.writerows(rows)


def catalogue(folder, portraits):
    """As a person would have filled it."""
    folder.mkdir()
    count = range(1, portraits + 1)
    sheet(folder, "collection", ["Name of the collection", "Kept by"], [["The long shelf", "Wilmot Sparke"]])
    sheet(
        folder,
        "portraits",
        ["Portrait no.", "What it is", "What it shows", "Lot no.", "Height", "Width", "Units", "What was measured", "Sitting made"],
        ([number(one), "cabinet card", "one sitter, half length", "L-01", "165", "108", "mm", "mount", f"{1860 + one % 50}~"] for one in count),
    )
    sheet(
        folder,
        "people",
        ["Person no.", "Name as best known", "Born", "Died", "Living?"],
        ([f"P-{one:05}", name(one), str(1830 + one % 50), str(1911 + one % 30), "no"] for one in count),
    )
    sheet(
        folder,
        "clues",
        ["Clue no.", "About portrait", "About person", "Kind of clue", "What it says", "Where it comes from", "Seen as"],
        ([f"C-{one:05}", number(one), f"P-{one:05}", "words on it", f"The name, in pencil, and {one}", f"Back of {number(one)}", "the thing itself"] for one in count),
    )
    sheet(
        folder,
        "who-is-it",
        ["Portrait no.", "Person no. or unknown man", "How sure", "Reasons for", "Clues for", "What would settle it", "Said by", "Said on"],
        ([number(one), f"P-{one:05}", SURE[one % len(SURE)], "The name is written on the back", f"C-{one:05}", "Another picture", "Wilmot Sparke", "2026-03-20"] for one in count),
    )
    sheet(
        folder,
        "how-it-came",
        ["Lot no.", "How", "From whom or where", "Date", "May we give it on?", "Private?"],
        [["L-01", "given", "The trustees of Trevanick chapel", "2026-03-14", "yes", "no"]],
    )
    sheet(
        folder,
        "rights",
        ["Applies to", "Maker known?", "Giver owns picture?", "What the receiver may do"],
        [["all", "nk", "yes", "Look, and print for the family"]],
    )


def main():
    scans, root = int(sys.argv[1]), Path(sys.argv[2])
    portraits = scans // len(VIEWS)
    root.mkdir(parents=True)
    for portrait in range(1, portraits + 1):
        (root / folder_of(portrait)).mkdir(exist_ok=True)
    with Pool() as pool:
        for _ in pool.imap_unordered(draw, ((str(root), one) for one in range(1, portraits + 1)), chunksize=50):
            pass
    catalogue(root / "catalogue", portraits)


if __name__ == "__main__":
    main()
