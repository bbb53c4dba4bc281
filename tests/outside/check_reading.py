#!/usr/bin/env python3
"""Compares what kithbag reads from Exif, IPTC-IIM and XMP of a collection with what Pillow reads.

Usage: check_reading.py COLLECTION WEIGHED.json        (the collection surveyed with --sheets csv, and `weigh --json` of it)
Prints for each field how many files agree; exit status 1 when any differs.
"""
import collections
import csv
import json
import logging
import pathlib
import sys
import warnings

from PIL import Image, IptcImagePlugin

import check_embedding

logging.disable(logging.CRITICAL)
warnings.filterwarnings("ignore")
EXIF, IIM, XMP = "the camera's own notes (Exif)", "an older caption (IPTC-IIM)", "the description (XMP)"
DC = "http://purl.org/dc/elements/1.1/"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"


def text_of(value):
    """Texts end at a zero byte and blanks say nothing; old cameras write Latin letters where ASCII is asked for."""
    if isinstance(value, bytes):
        try:
            value = value.decode("utf-8")
        except UnicodeDecodeError:
            value = value.decode("latin-1")
    text = str(value or "").split("\0")[0].strip()
    try:
        return text.encode("latin-1").decode("utf-8")
    except UnicodeError:
        return text


def said_by_exif(image):
    block = image.getexif()
    inner = block.get_ifd(0x8769)
    for what, tag in (("description", 270), ("maker", 315), ("rights", 33432)):
        yield what, text_of(block.get(tag))
    for what, tag in (("title", 40091), ("description", 40092), ("maker", 40093), ("tag", 40094), ("description", 40095)):
        value = block.get(tag)
        # The older field of two goes first.
        if value and not (tag == 40093 and text_of(block.get(315))):
            data = value if isinstance(value, bytes) else bytes(value)
            yield from ((what, one.strip()) for one in data.decode("utf-16-le", "replace").split("\0")[0].split(";" if what == "tag" else "\0"))
    comment = inner.get(37510) or b""
    if isinstance(comment, bytes) and comment[:8] in (b"ASCII\0\0\0", b"UNICODE\0", bytes(8)):
        plain = comment[8:].decode(("utf-16-be" if comment[8:9] == b"\0" else "utf-16-le") if comment[:1] == b"U" else "latin-1", "replace")
        yield "comment", text_of(plain)
    date = text_of(inner.get(36867))[:10].replace(":", "-")
    # Cameras without a clock write blanks or zeros.
    yield "date", date if date.strip("0- ") else ""
    made, model = text_of(block.get(271)), text_of(block.get(272))
    yield "camera", f"{made}|{model}" if made or model else ""


def said_by_iim(image):
    found = IptcImagePlugin.getiptcinfo(image) or {}
    for what, number in (("title", 5), ("description", 120), ("tag", 25), ("maker", 80), ("rights", 116)):
        values = found.get((2, number), [])
        for value in values if isinstance(values, list) else [values]:
            yield what, text_of(value)


def said_by_xmp(path):
    harm_free, packets, _ = check_embedding.compare(path.read_bytes(), path.read_bytes())
    for path_of, in ((one,) for one in check_embedding.facts(packets)):
        for what, name in (("title", "title"), ("description", "description"), ("tag", "subject"), ("maker", "creator"), ("rights", "rights")):
            if path_of[1] == DC + name and (len(path_of) == 3 or path_of[2].startswith(RDF + "_")):
                first = len(path_of) == 3 or path_of[2] == RDF + "_1" or what in ("tag", "maker")
                if first:
                    yield what, str(check_embedding.rdflib.util.from_n3(path_of[-1])).strip()


def main(collection, weighed):
    collection, agree, differ = pathlib.Path(collection), collections.Counter(), []
    scans = {row["File name now *"]: row for row in csv.DictReader((collection / "catalogue/scans.csv").open(encoding="utf-8-sig"))}
    shown = {one["file"]: one for portrait in json.loads(pathlib.Path(weighed).read_text())["weighing"]["portraits"] for one in portrait.get("shown", [])}
    for name, row in scans.items():
        path = collection / name
        if path.parent.name == "refused":
            continue
        try:
            image = Image.open(path)
        except OSError:
            agree["not opened by Pillow"] += 1
            continue
        theirs = {EXIF: list(said_by_exif(image)), IIM: list(said_by_iim(image)), XMP: list(said_by_xmp(path))}
        ours = collections.defaultdict(list)
        for one in shown.get(name, {}).get("already", []):
            ours[one["place"]].append((one["what"], one["text"]))
        if row["Pixels wide"]:
            note(agree, differ, name, "size", f"{row['Pixels wide']} {row['Pixels high']}", f"{image.width} {image.height}")
        for place, said in theirs.items():
            for what, text in said:
                if not text:
                    continue
                if what == "camera":
                    made, model = text.split("|")
                    note(agree, differ, name, "camera", row["Made with"], row["Made with"] if all(part in row["Made with"] for part in (model or made,)) else text)
                    continue
                what = "description" if what == "comment" else what
                mine = [one for kind, one in ours[place] if kind == what]
                everywhere = [one for said in ours.values() for kind, one in said if kind == what] if what == "tag" else mine
                match = any(text == one or what == "maker" and text in one.split("; ") or what == "date" and one.startswith(text) for one in everywhere)
                note(agree, differ, name, f"{place}: {what}", text if match else mine, text)
            known = {text for _, text in said}
            for kind, one in ours[place]:
                if kind != "date" and not (one in known or all(part in known for part in one.split("; "))):
                    note(agree, differ, name, f"{place}: only here", one, None)
    for what, count in sorted(agree.items()):
        print(f"{count:5}  {what}")
    for one in differ:
        print("DIFFERS:", *one)
    return 1 if differ or sum(agree.values()) < 200 else 0


def note(agree, differ, name, what, ours, theirs):
    if ours == theirs:
        agree[what] += 1
    else:
        differ.append((name, what, repr(ours), repr(theirs)))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
