#!/usr/bin/env python3
"""Decodes every described copy of a package and its original with libraries that know nothing of kithbag, and compares pixels.

Usage: check_pixels.py PACKAGE        (a package for keeping: it holds originals and copies)
Prints counts; exit status 1 when a picture differs or fewer than 95 in 100 pairs could be decoded.
"""
import hashlib
import json
import pathlib
import sys

import numpy
import tifffile
from PIL import Image, ImageSequence

Image.MAX_IMAGE_PIXELS = None


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def pillow_pixels(path):
    with Image.open(path) as image:
        return [numpy.asarray(frame).tobytes() for frame in ImageSequence.Iterator(image)], image.mode, image.size


def tiff_pixels(path):
    with tifffile.TiffFile(path) as tiff:
        return [page.asarray().tobytes() for page in tiff.pages], None, None


def pixels(path):
    for decode in (pillow_pixels, tiff_pixels):
        try:
            return decode(path)
        except Exception:  # the next decoder may know the format
            continue
    return None


def main(package):
    package = pathlib.Path(package)
    originals = {digest(path): path for path in (package / "data/originals").rglob("*") if path.is_file()}
    events = json.loads((package / "data/log/events.json").read_text(encoding="utf-8"))["events"]
    same = undecodable = sidecars = 0
    for event in events:
        if not event["eventType"].endswith("/mem"):
            continue
        copy = package / event["linkingObjectIdentifier"][0]["linkingObjectIdentifierValue"]
        if copy.suffix == ".xmp":
            sidecars += 1
            continue
        original = originals[event["sha256Before"]]
        assert digest(copy) == event["sha256After"], copy
        before, after = pixels(original), pixels(copy)
        if before is None and after is None:
            undecodable += 1
            print("no decoder here reads", original.name)
            continue
        assert before == after, f"pixels differ: {original} {copy}"
        same += 1
    print(f"{same} pairs with identical pixels, {undecodable} that no decoder here reads, {sidecars} with a file beside them")
    return 0 if same >= 19 * undecodable and same > 0 else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
