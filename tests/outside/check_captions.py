"""Reads the captions of a package with other eyes: every name that could stand under a picture is drawn by FreeType (in Pillow), and
the one that fits the strip best must be the one that the record allows by the rule for names, worked out here anew from record.json.

usage: check_captions.py PACKAGE [MUST-BE-READ…]
"""

import json
import pathlib
import re
import sys

import numpy
from PIL import Image, ImageDraw, ImageFont

FONT = pathlib.Path(__file__).parents[2] / "src/format/viewing/font/DejaVuSans-subset.ttf"
PAPER, INK = 243, 28  # Green of paper and ink.
SEEN = ["man", "woman", "boy", "girl", "child", "baby", "couple", "family", "group", "men", "women", "boys", "girls", "children"]


def given(answer):
    return answer.get("given") if isinstance(answer, dict) else None


def allowed_name(record, number):
    """Proved: the bare name. Probable: with the word. Anything less: unidentified, with what can be seen."""
    portrait = next(one for one in record["portraits"] if one["number"] == number)
    people = {one["number"]: given(one.get("name")) for one in record.get("people", [])}
    names, proved, unnamed = [], True, None
    for claim in record.get("claims", []):
        if claim["portrait"] != number or given(claim.get("standing")) == "withdrawn":
            continue
        sitter = claim.get("sitter") if isinstance(claim.get("sitter"), dict) else {}
        name = people.get(sitter.get("person"))
        unnamed = unnamed or sitter.get("unnamed")
        sure = given(claim.get("certainty"))
        if name and sure in ("proved", "probable"):
            names.append(name if sure == "proved" else f"probably {name}")
            proved = proved and sure == "proved"
    if given(portrait.get("kind")) == "paper":
        return "Paper that came with the portraits"
    if names:
        text = " and ".join(names)
        return text if proved else text[0].upper() + text[1:]
    for text in (given(portrait.get("shows")), unnamed):
        for word in re.findall(r"[^\W\d_]+", (text or "").lower()):
            if word in SEEN:
                return f"Unidentified {word}"
    return "Unidentified sitter"


def drawn(text, em, width, height):
    """A line as FreeType draws it, letter by letter at exact places, large and then reduced, so that no hint moves a stroke."""
    large = 4
    exact = ImageFont.truetype(str(FONT), 2048, layout_engine=ImageFont.Layout.BASIC)
    font = ImageFont.truetype(str(FONT), em * large, layout_engine=ImageFont.Layout.BASIC)
    sheet = Image.new("L", (width * large, height * large), 0)
    brush, left = ImageDraw.Draw(sheet), float(em)
    for letter in text:
        brush.text((left * large, em * large), letter, fill=255, font=font, anchor="ls")
        left += exact.getlength(letter) * em / 2048
    return numpy.asarray(sheet.reduce(large), dtype=float) / 255, left


def likeness(one, other):
    return float((one * other).sum() / max(1e-9, numpy.sqrt((one**2).sum() * (other**2).sum())))


def main():
    package = pathlib.Path(sys.argv[1])
    record = json.loads((package / "data/catalogue/record.json").read_text(encoding="utf-8"))
    numbers = sorted((one["number"] for one in record["portraits"]), key=len, reverse=True)
    names = [given(one.get("name")) for one in record.get("people", []) if given(one.get("name"))]
    could_be = {f"Unidentified {word}" for word in SEEN + ["sitter", "paper"]} | {"Paper that came with the portraits"}
    could_be |= set(names) | {f"Probably {name}" for name in names}
    could_be |= {allowed_name(record, number) for number in numbers}
    read, faults = [], []
    for file in sorted((package / "data/viewing/captioned").glob("*.jpg")):
        number = next(one for one in numbers if file.name.startswith(f"{one}-"))
        with Image.open(file.parents[1] / file.name) as plain, Image.open(file) as captioned:
            width, height = plain.size
            em = max(16, max(width, height) // 36)
            beside = (captioned.width - width) // 2
            part = captioned.convert("RGB").crop((beside, 0, beside + width, height))
            apart = numpy.abs(numpy.asarray(part, dtype=float) - numpy.asarray(plain.convert("RGB"), dtype=float)).mean()
            top = height + em * 3 // 5
            strip = captioned.convert("RGB").crop((0, top, captioned.width, top + em * 27 // 20))
        dots = numpy.clip((PAPER - numpy.asarray(strip, dtype=float)[:, :, 1]) / (PAPER - INK), 0, 1)
        scores = {}
        for text in could_be:
            line, end = drawn(text, em, strip.width, strip.height)
            if end < strip.width:
                scores[text] = likeness(dots, line)
        best = max(scores, key=scores.get)
        wanted = allowed_name(record, number)
        read.append(best)
        print(f"  {file.name}: “{best}” ({scores[best]:.3f}); the picture above it differs by {apart:.2f} of 255")
        if best != wanted or scores[best] < 0.95:
            faults.append(f"{file.name}: “{wanted}” should stand there")
        if apart > 1.5:
            faults.append(f"{file.name}: the picture is not the viewing picture")
    faults += [f"nowhere read: {name}" for name in sys.argv[2:] if name not in read]
    if not read:
        faults.append("there is no captioned copy")
    print(f"{package.name}: {len(read)} captions read by FreeType, {len(faults)} wrong")
    sys.exit("\n".join(faults) if faults else 0)


main()
