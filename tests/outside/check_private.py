#!/usr/bin/env python3
"""Searches every byte of a package for texts that must not be in it, in UTF-8, UTF-16 and Latin-1, also inside zip members.

Usage: check_private.py PACKAGE TEXT...        (a text that begins with hex: stands for bytes)
Exit status 1 when one is found.
"""
import io
import pathlib
import sys
import zipfile


def forms(text):
    if text.startswith("hex:"):
        return {bytes.fromhex(text[4:])}
    made = set()
    for encoding in ("utf-8", "utf-16-le", "utf-16-be", "latin-1"):
        try:
            made.add(text.encode(encoding))
            made.add(text.lower().encode(encoding))
        except UnicodeEncodeError:
            pass
    return made


def members(name, data):
    yield name, data
    if data[:4] == b"PK\x03\x04":
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for member in archive.namelist():
                yield from members(f"{name}!{member}", archive.read(member))


def main(package, texts):
    package = pathlib.Path(package)
    files = [package] if package.is_file() else sorted(path for path in package.rglob("*") if path.is_file())
    found = looked = 0
    for path in files:
        for name, data in members(str(path), path.read_bytes()):
            looked += 1
            lowered = data.lower()
            for text in texts:
                if any(form in data or form in lowered for form in forms(text)):
                    print(f"{text!r} is in {name}")
                    found += 1
    print(f"{looked} files and members searched for {len(texts)} texts, {found} found")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], sys.argv[2:]))
