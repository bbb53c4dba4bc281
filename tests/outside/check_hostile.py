#!/usr/bin/env python3
"""Gives the program damaged files and packets made to do harm, one process each, and measures it from outside.

Usage: check_hostile.py KITHBAG FOLDER... --work WORK       (FOLDER: files to damage; one named "broken" is taken as it is)
600 files are cut, have bits flipped or a huge number put in, the same way each time; then come bombs in packets. Each run must end
by itself within a second and 64 MB, leave the original alone, and either refuse with the place or write a copy whose pixels another
decoder sees unchanged.
"""
import base64
import json
import pathlib
import random
import shutil
import struct
import subprocess
import sys
import zlib

import check_embedding
import check_pixels
import draw_matrix
import picture_digest
from PIL import Image, PngImagePlugin

# A damaged header may claim any size; the decoder refuses twice as many pixels as this.
Image.MAX_IMAGE_PIXELS = 5_000_000
# Texts in PNG files are no concern of the pixels.
PngImagePlugin.MAX_TEXT_CHUNK = PngImagePlugin.MAX_TEXT_MEMORY = 1 << 30

SECONDS, MEGABYTES = 1.0, 64
HUGE = (b"\xff\xff\xff\xff", b"\x7f\xff\xff\xff", b"\x80\0\0\0", b"\xff\xff\xff\x7f")


def damaged(data, chance):
    kind = chance.randrange(3)
    if kind == 0:
        return data[:chance.randrange(len(data))]
    data = bytearray(data)
    if kind == 1:
        for _ in range(chance.randint(1, 8)):
            at = chance.randrange(min(len(data), chance.choice((200, len(data)))))
            data[at] ^= 1 << chance.randrange(8)
    else:
        at = chance.randrange(len(data) - 4)
        data[at:at + 4] = chance.choice(HUGE)
    return bytes(data)


def bombs():
    """Packets, by what they do."""
    def nested(opening, closing, times):
        return draw_matrix.packet(opening * times + "x" + closing * times)

    entities = '<!ENTITY e0 "ha">' + "".join(f'<!ENTITY e{level} "{f"&e{level - 1};" * 10}">' for level in range(1, 9))
    yield "nested entities", f"<!DOCTYPE x [{entities}]>".encode() + draw_matrix.packet("<odd:p>&e8;</odd:p>", wrap=False)
    yield "50,000 nested structs", nested('<odd:s rdf:parseType="Resource">', "</odd:s>", 50_000)
    yield "10,000 nested structs", nested('<odd:s rdf:parseType="Resource">', "</odd:s>", 10_000)
    yield "100,000 properties", draw_matrix.packet("".join(f"<odd:p{number}>x</odd:p{number}>" for number in range(100_000)))
    yield "20,000 nested bags", nested("<odd:b><rdf:Bag><rdf:li>", "</rdf:li></rdf:Bag></odd:b>", 20_000)
    yield "50,000 attributes", draw_matrix.packet("<odd:p" + "".join(f' odd:a{number}="x"' for number in range(50_000)) + "/>")
    yield "a million comments", draw_matrix.packet("<!-- -->" * 1_000_000)
    yield "bad UTF-8", draw_matrix.packet("<odd:p>\u00e4</odd:p>").replace(b"\xc3\xa4", b"\xe4\xff")
    yield "not closed", nested("<odd:s>", "", 40_000)
    packed = base64.b64encode(zlib.compress(bytes(15 << 20), 9)).decode()
    note = json.dumps({"undo": 1, "length": 9, "sha256": "0" * 64, "blanked": [], "edits": [[at, 1, packed] for at in range(40)], "pad": ""})
    space = f'xmlns:kb="{check_embedding.KB}"'
    yield "a note about undoing that unpacks to 600 MiB", draw_matrix.packet(f"<kb:recordVersion {space}>1</kb:recordVersion><kb:undo {space}>{note}</kb:undo>")
    yield "almost three MiB of blanks", draw_matrix.packet(" " * ((3 << 20) - 4000))
    yield "sixteen MiB of blanks", draw_matrix.packet(" " * (16 << 20))


def around(name, packet):
    """A bomb in each container."""
    png = next(data for known, data in draw_matrix.pngs() if known == "rgb")
    text = b"XML:com.adobe.xmp\0"
    yield f"{name}, PNG", ".png", draw_matrix.behind_header(png, draw_matrix.chunk(b"iTXt", text + b"\0\0\0\0" + packet))
    yield f"{name}, PNG, packed", ".png", draw_matrix.behind_header(png, draw_matrix.chunk(b"iTXt", text + b"\1\0\0\0" + zlib.compress(packet)))
    yield f"{name}, TIFF", ".tif", draw_matrix.with_packet_tiff(packet)
    yield f"{name}, JPEG", ".jpg", draw_matrix.with_packet_jpeg(packet)


def collection(folder, name, data):
    shutil.rmtree(folder, ignore_errors=True)
    (folder / "in/catalogue").mkdir(parents=True)
    (folder / "in" / name).write_bytes(data)
    (folder / "in/catalogue/portraits.csv").write_text("Portrait no. *\nA-1\n")
    (folder / "in/catalogue/scans.csv").write_text(f"File name now *,Portrait no. *,View *\n{name},A-1,front\n")


def run(measurer, program, folder):
    """Runs the program and returns exit status, processor seconds and megabytes, and what it said."""
    command = [program, "inscribe", str(folder / "in"), "--into", str(folder / "out"), "--as-of", "2026-11-25", "--json"]
    measurer.stdin.write(json.dumps([["/bin/sh", "-c", 'ulimit -t 20; exec "$@"', "sh", *command], str(folder / "said")]) + "\n")
    measurer.stdin.flush()
    return *json.loads(measurer.stdout.readline()), (folder / "said").read_text(errors="replace")


def faults(measurer, program, folder, ending, data, worst):
    name = "scan" + ending
    collection(folder, name, data)
    # Processor time, since other work on the same machine must not decide.
    code, seconds, megabytes, said = run(measurer, program, folder)
    worst["seconds"], worst["megabytes"] = max(worst["seconds"], seconds), max(worst["megabytes"], megabytes)
    if code not in (0, 1):
        yield f"exit status {code}: {said[-300:]}"
        return
    if seconds > SECONDS or megabytes > MEGABYTES:
        yield f"{seconds:.2f} s, {megabytes:.1f} MB"
    original = folder / "in" / name
    if original.read_bytes() != data:
        yield "the original was changed"
    written = [path for path in (folder / "out").rglob("*") if path.is_file()]
    if len(written) != 1:
        yield f"{written} written: {said[-300:]}"
    elif written[0].suffix == ".xmp":
        worst["refused"] += 1
        if '"offset"' not in said:
            yield f"the refusal names no place: {said[-300:]}"
    else:
        worst["described"] += 1
        yield from harm(original, written[0])


def harm(original, copy):
    before, after = original.read_bytes(), copy.read_bytes()
    if picture_digest.picture_digest(before) != picture_digest.picture_digest(after):
        yield "the picture digest changed"
    try:
        changed = check_embedding.compare(before, after)[0]
    except (struct.error, IndexError, ValueError, zlib.error):
        changed = []  # the walker of the check needs a whole file; digest and pixels are compared all the same
    if changed:
        yield "other parts changed"
    if outcome(original) != outcome(copy):
        yield "pixels changed"


def outcome(path):
    """The decoder's pixels, or how it fails."""
    try:
        return check_pixels.pillow_pixels(path)
    except Exception as fault:
        return type(fault).__name__


def main(program, folders, work):
    work, chance = pathlib.Path(work), random.Random(1895)
    worst = {"seconds": 0.0, "megabytes": 0.0, "refused": 0, "described": 0}
    files = sorted((path for folder in folders for path in pathlib.Path(folder).iterdir()), key=lambda path: path.name)
    sound = [path for path in files if path.parent.name != "broken"]
    broken = [path for path in files if path.parent.name == "broken"]
    chance.shuffle(sound)
    measurer = subprocess.Popen([sys.executable, "-S", pathlib.Path(__file__).parent / "measure.py"], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
    wrong = tried = 0
    tries = [(f"{path.name}, damage {number}", path.suffix.lower(), damaged(path.read_bytes(), chance))
             for number, path in ((number, sound[number % len(sound)]) for number in range(600))]
    tries += [(path.name, path.suffix.lower(), path.read_bytes()) for path in broken]
    profile = b"x\0\0" + zlib.compress(bytes(200 << 20), 9)
    tries.append(("a profile that unpacks to 200 MiB", ".png", draw_matrix.behind_header(draw_matrix.interlaced(8, 2, 3), draw_matrix.chunk(b"iCCP", profile))))
    tries += [one for name, packet in bombs() for one in around(name, packet)]
    for name, ending, data in tries:
        tried += 1
        for fault in faults(measurer, program, work, ending, data, worst):
            wrong += 1
            print(f"{name}: {fault}")
    measurer.stdin.close()
    measurer.wait()
    print(f"{tried} hostile files: 600 damaged, {len(broken)} broken, {tried - 600 - len(broken)} bombs; "
          f"{worst['refused']} refused with the place, {worst['described']} described without harm")
    print(f"at most {worst['seconds']:.2f} s of processor time and {worst['megabytes']:.1f} MB resident; {wrong} faults")
    return 1 if wrong else 0


if __name__ == "__main__":
    at = sys.argv.index("--work")
    sys.exit(main(sys.argv[1], sys.argv[2:at], sys.argv[at + 1]))
