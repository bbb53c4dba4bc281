#!/usr/bin/env python3
"""Searches every byte of a package for texts that must not be in it: UTF-8, UTF-16 in both orders and Latin-1, in any case;
inside zips, spreadsheets and family files; in deflated chunks of PNG files; in base64; in what Pillow and the XML reader make of Exif
and XMP; in the names of files.

Usage: check_private.py PACKAGE TEXT...        (a text that begins with hex: stands for bytes)
       check_private.py --self-test
Exit status 1 when one is found.
"""
import base64
import html
import io
import pathlib
import re
import struct
import sys
import tempfile
import zipfile
import zlib

RUN = re.compile(rb"[A-Za-z0-9+/]{24,}")
DEEPEST = 4


def forms(text):
    if text.startswith("hex:"):
        return {bytes.fromhex(text[4:]).lower()}
    made = set()
    for encoding in ("utf-8", "utf-16-le", "utf-16-be", "latin-1"):
        try:
            # The bytes are compared with capitals of ASCII made small; other letters are tried both ways.
            made.update(way.encode(encoding).lower() for way in (text.lower(), text.upper(), text))
        except UnicodeEncodeError:
            pass
    return made


def png_chunks(data):
    """Deflated text and profiles. [PNG3 11.3.2.3, 11.3.3]"""
    at = 8
    while at + 12 <= len(data):
        (length,) = struct.unpack(">I", data[at : at + 4])
        kind, content = data[at + 4 : at + 8], data[at + 8 : at + 8 + length]
        if kind in (b"zTXt", b"iTXt", b"iCCP"):
            for start in (place for place, byte in enumerate(content) if byte == 0x78):
                try:
                    yield kind.decode(), zlib.decompressobj().decompress(content[start:])
                except zlib.error:
                    pass
        at += 12 + length


def exif_texts(data):
    """What a picture library reads: texts joined from wherever they are stored, names of serial numbers and places included."""
    from PIL import Image

    try:
        with Image.open(io.BytesIO(data)) as picture:
            exif = picture.getexif()
            values = [value for part in (exif, exif.get_ifd(0x8769), exif.get_ifd(0x8825)) for value in part.values()]
            values += [value for value in picture.info.values() if isinstance(value, (str, bytes))]
    except Exception:
        return
    for value in values:
        yield value if isinstance(value, bytes) else str(value).encode("utf-8", "replace")


def members(name, data, depth=0):
    yield name, data
    if depth >= DEEPEST:
        return
    if data[:4] == b"PK\x03\x04":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for member in archive.namelist():
                yield f"{name}!name", member.encode("utf-8", "replace")
                yield from members(f"{name}!{member}", archive.read(member), depth + 1)
    if data[:8] == b"\x89PNG\r\n\x1a\n":
        for kind, inflated in png_chunks(data):
            yield from members(f"{name}!{kind}", inflated, depth + 1)
    if data[:3] == b"\xff\xd8\xff" or data[:4] in (b"II*\0", b"MM\0*", b"\x89PNG", b"RIFF"):
        for text in exif_texts(data):
            yield f"{name}!Exif", text
    if b"<" in data and b"&" in data:
        yield f"{name}!entities", html.unescape(data.decode("utf-8", "replace")).encode("utf-8", "replace")
    if b"\\u" in data:
        plain = re.sub(rb"\\u([0-9a-fA-F]{4})", lambda one: chr(int(one[1], 16)).encode("utf-8", "replace"), data)
        yield f"{name}!JSON escapes", plain
    for run in RUN.findall(data):
        for shift in range(4):
            shifted = run[shift:]
            whole = shifted[: len(shifted) - (len(shifted) % 4 == 1)]
            decoded = base64.b64decode(whole + b"=" * (-len(whole) % 4))
            # A level deeper for each base64, so that random letters do not go on for ever.
            yield from members(f"{name}!base64", decoded, depth + 2)


def search(package, texts):
    package = pathlib.Path(package)
    paths = [package] if package.is_file() else sorted(package.rglob("*"))
    wanted = {text: forms(text) for text in texts}
    found = looked = 0
    for path in paths:
        every = [("the name of a file", str(path.relative_to(package) if path != package else path.name).encode())]
        if path.is_file():
            every += members(str(path), path.read_bytes())
        for name, data in every:
            looked += 1
            lowered = data.lower()
            for text, ways in wanted.items():
                if any(way in lowered for way in ways):
                    print(f"{text!r} is in {name}")
                    found += 1
    print(f"{looked} files and members searched for {len(texts)} texts, {found} found")
    return found


def self_test():
    """Hides one text in every way that is claimed above; each must be found."""
    from PIL import Image
    from PIL.PngImagePlugin import PngInfo

    secret = "Zoë Hidden 4711"
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        ways = {
            "utf8.txt": secret.encode(),
            "upper.txt": secret.upper().encode(),
            "little.bin": b"x" + secret.encode("utf-16-le"),
            "big.bin": b"x" + secret.encode("utf-16-be"),
            "latin.bin": secret.encode("latin-1"),
            "page.html": f"<p>&amp; {''.join(f'&#{ord(one)};' for one in secret)}</p>".encode(),
            "record.json": ('"' + "".join(f"\\u{ord(one):04x}" for one in secret) + '"').encode(),
            "base64.txt": base64.b64encode(b"some words before it, " + secret.encode()),
        }
        packed = io.BytesIO()
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("xl/sharedStrings.xml", f"<t>{secret}</t>")
        ways["sheet.xlsx"] = packed.getvalue()
        outer = io.BytesIO()
        with zipfile.ZipFile(outer, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("family.gdz", packed.getvalue())
        ways["package.zip"] = outer.getvalue()
        for form in ("zTXt", "iTXt"):
            info = PngInfo()
            if form == "zTXt":
                info.add_text("Comment", secret, zip=True)
            else:
                info.add_itxt("Comment", secret, zip=True)
            picture = io.BytesIO()
            Image.new("L", (4, 4)).save(picture, "PNG", pnginfo=info)
            ways[f"{form}.png"] = picture.getvalue()
        exif = Image.Exif()
        exif[0x9C9B] = secret.encode("utf-16-le")
        exif[0x013B] = secret
        picture = io.BytesIO()
        Image.new("L", (4, 4)).save(picture, "JPEG", exif=exif)
        ways["exif.jpg"] = picture.getvalue()
        for name, data in ways.items():
            place = folder / name
            place.mkdir()
            (place / name).write_bytes(data)
            if not search(place, [secret]):
                print(f"not found: {name}", file=sys.stderr)
                return 1
            if search(place, ["Zoë Absent 4711"]):
                return 1
    print(f"{len(ways)} ways of hiding, each found")
    return 0


if __name__ == "__main__":
    if sys.argv[1:] == ["--self-test"]:
        sys.exit(self_test())
    sys.exit(1 if search(sys.argv[1], sys.argv[2:]) else 0)
