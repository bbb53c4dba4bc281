#!/usr/bin/env python3
"""Compares described copies with their originals byte by byte, with walkers, decoders and RDF readers that know nothing of kithbag.

Usage: check_embedding.py fill COLLECTION                       writes hostile texts into the drafted catalogue
       check_embedding.py COLLECTION COPIES SET.json BACK UNDONE.json
Prints counts; exit status 1 when anything was harmed, or when fewer than 99 in 100 files that can carry a record do.
"""
import collections
import csv
import hashlib
import json
import pathlib
import struct
import sys
import warnings
import zlib

import rdflib

import check_labels
import check_pixels
import picture_digest

warnings.filterwarnings("ignore")
rdflib.logger.setLevel("CRITICAL")
# Latin, Cyrillic, Hebrew, CJK beyond the BMP, and what XML must escape.
SHOWS = 'woman <with> & "brooch" Größe Женщина אישה 𠮷野家'
TITLE = '«Привет» & <שלום> "𠮷"'
XMP, EXTENSION = b"http://ns.adobe.com/xap/1.0/\0", b"http://ns.adobe.com/xmp/extension/\0"
NOTE = rdflib.URIRef("http://ns.adobe.com/xmp/note/HasExtendedXMP")
KB = "urn:uuid:1ddee593-4a8b-42de-9da0-0cbc379c4381#"


def fill(collection):
    path = pathlib.Path(collection) / "catalogue/portraits.csv"
    rows = list(csv.reader(path.open(encoding="utf-8-sig", newline="")))
    shows, title = rows[0].index("What it shows"), rows[0].index("Title printed on it")
    for row in rows[1:]:
        row[shows], row[title] = SHOWS, TITLE
    with path.open("w", encoding="utf-8-sig", newline="") as file:
        csv.writer(file, quoting=csv.QUOTE_ALL).writerows(rows)


def jpeg_parts(data):
    """Every segment before the first scan with the fill bytes before it, and all the rest as one part."""
    at, parts = 2, [("SOI", data[:2])]
    while True:
        start = at
        while data[start] != 0xFF or data[start + 1] in (0, 0xFF):
            start += 1
        if data[start + 1] == 0xDA:
            return parts + [("rest", data[at:])]
        end = start + 2 + struct.unpack_from(">H", data, start + 2)[0]
        parts.append((f"{data[start + 1]:02x}", data[at:start], data[start:end]))
        at = end


def jpeg(data):
    kept, standard, extended = [], None, {}
    parts = jpeg_parts(data)
    for part in parts:
        body = part[-1][4:]
        if part[0] == "e1" and body.startswith(XMP):
            standard = body[len(XMP):]
    for part in parts:
        body = part[-1][4:]
        if part[0] == "e1" and body.startswith(EXTENSION) and standard and body[len(EXTENSION):][:32] in standard:
            body = body[len(EXTENSION):]
            extended[struct.unpack_from(">I", body, 36)[0]] = body[40:]
        elif part[0] == "e2" and body.startswith(b"MPF\0"):
            kept.append((part[0], part[1], without_positions(part[2])))
        elif not (part[0] == "e1" and body.startswith(XMP)):
            kept.append(part)
    long = b"".join(extended[at] for at in sorted(extended))
    if KB.encode() in (standard or b"") + long and long:
        assert hashlib.md5(long).hexdigest().upper().encode() in standard.upper(), "the name of the extended packet is not its MD5"
    return kept, [standard, long] if standard else []


def without_positions(segment):
    """Sizes and offsets of an index of further pictures may change: nothing else in it. [CIPA DC-007 5.2.3.3]"""
    data, base = bytearray(segment), 8
    order = "<" if data[base:base + 2] == b"II" else ">"
    at = base + struct.unpack_from(order + "I", data, base + 4)[0]
    for index in range(struct.unpack_from(order + "H", data, at)[0]):
        tag, _, count, value = struct.unpack_from(order + "HHII", data, at + 2 + 12 * index)
        if tag == 0xB002:
            for entry in range(base + value, base + value + count, 16):
                data[entry + 4:entry + 12] = bytes(8)
    return bytes(data)


def png(data):
    at, kept, packets = 8, [], []
    while at < len(data):
        size = struct.unpack_from(">I", data, at)[0]
        name, body, whole = data[at + 4:at + 8], data[at + 8:at + 8 + size], data[at:at + 12 + size]
        assert struct.unpack(">I", whole[-4:])[0] == zlib.crc32(whole[4:-4]) or KB.encode() not in whole, "a checksum of ours is wrong"
        if name == b"iTXt" and body.startswith(b"XML:com.adobe.xmp\0"):
            text = body[18:][2:].split(b"\0", 2)[2]
            packets.append(zlib.decompress(text) if body[18] else text)
        else:
            kept.append((name, whole))
        at += 12 + size
        if name == b"IEND":
            break
    return kept + [("trailer", data[at:])], packets[:1]


def webp(data):
    end, at, kept, packets = 8 + struct.unpack_from("<I", data, 4)[0], 12, [], []
    while at < end:
        name, size = data[at:at + 4], struct.unpack_from("<I", data, at + 4)[0]
        body = data[at + 8:at + 8 + size]
        if name == b"XMP ":
            packets.append(body)
        elif name == b"VP8X":
            # Without other parts this header holds nothing: flags of what is there, and the size that the picture has itself.
            flags = body[0] & ~0x04
            if flags & ~0x10:
                kept.append((name, bytes([flags]) + body[1:]))
        else:
            kept.append((name, data[at:at + 8 + size + size % 2]))
        at += 8 + size + size % 2
    return kept + [("trailer", data[end:])], packets


def tiff_directory(data):
    order, big = "<" if data[:1] == b"I" else ">", 43 in data[2:4]
    number, width = order + "IQ"[big], 8 if big else 4
    at = struct.unpack_from(number, data, width)[0]
    count, first, step = struct.unpack_from(order + "HQ"[big], data, at)[0], at + (8 if big else 2), 4 + 2 * width
    entries = [data[first + step * index:first + step * (index + 1)] for index in range(count)]
    tags = [struct.unpack_from(order + "H", entry)[0] for entry in entries]
    packets = []
    if 700 in tags:
        size, value = struct.unpack_from(number + number[1:], entries[tags.index(700)], 4)
        packets = [data[value:value + size]]
    kept = [entry for tag, entry in zip(tags, entries) if tag != 700]
    return [*kept, data[first + step * count:][:width]], packets, slice(width, 2 * width)


def tiff_harm(before, after):
    """The copy must begin with the whole original, but for the position of its first directory."""
    old, packets, place = tiff_directory(before)
    new, new_packets, _ = tiff_directory(after)
    start = bytearray(after[:len(before)])
    start[place] = before[place]
    harm = [] if bytes(start) == before else ["bytes before the old end changed"]
    return harm + ([] if old == new else ["entries of the first directory changed"]), packets, new_packets


def compare(before, after):
    """Returns what was harmed, and the packets before and after."""
    walker = {b"\xff\xd8": jpeg, b"\x89P": png, b"RI": webp}.get(before[:2])
    if walker is None:
        return tiff_harm(before, after)
    (old, packets), (new, new_packets) = walker(before), walker(after)
    harm = [] if old == new else [f"parts changed: {[one[0] for one in old if one not in new]} {[one[0] for one in new if one not in old]}"]
    return harm, packets, new_packets


def facts(packets):
    """All that packets say: every path from the file to a text, with the text; names of blank nodes do not count."""
    graph = rdflib.Graph()
    for text in filter(None, packets):
        graph.parse(data=check_text(text), format="xml", publicID="file:///scan")
    said = collections.Counter()

    def walk(node, path):
        for _, predicate, value in graph.triples((node, None, None)):
            if predicate == NOTE:
                continue
            if isinstance(value, rdflib.BNode):
                walk(value, (*path, str(predicate)))
            else:
                said[(*path, str(predicate), value.n3())] += 1

    for subject in set(graph.subjects()):
        if not isinstance(subject, rdflib.BNode):
            walk(subject, (str(subject),))
    return said


def check_text(data):
    text = data.decode("utf-8-sig" if data[:2] not in (b"\xff\xfe", b"\xfe\xff") else "utf-16").strip("\0")
    return text[text.index("<rdf:RDF"):text.index("</rdf:RDF>") + len("</rdf:RDF>")]


def main(collection, copies, told, back, undone):
    collection, copies, back = map(pathlib.Path, (collection, copies, back))
    told = json.loads(pathlib.Path(told).read_text(encoding="utf-8"))
    undone = {one["copy"]: one for one in json.loads(pathlib.Path(undone).read_text(encoding="utf-8"))}
    counts, harmed, refused = collections.Counter(), [], []
    for file in told["files"]:
        original = collection / file["scan"]
        copy = copies / file["path"]
        ending = original.suffix.lower().lstrip(".")
        before = original.read_bytes()
        if before[4:8] == b"ftyp" or original.parent.name == "refused":
            harm = beside(file, copy, told["concerns"])
            counts["files of kinds that are refused: reason told, record beside them"] += not harm
            harmed += [(file["scan"], "refused", one) for one in harm]
            continue
        counts["files that can carry a record"] += 1
        if file["sidecar"]:
            refused.append(file["scan"])
            continue
        counts[f"described: {'tif' if ending == 'tiff' else ending}"] += 1
        after = copy.read_bytes()
        for name, harm in checks(before, after, original, copy, file, undone[str(copy)], back):
            counts[name] += not harm
            harmed += [(file["scan"], name, one) for one in harm]
    for name, count in sorted(counts.items()):
        print(f"{count:5}  {name}")
    for one in refused:
        print("refused:", one)
    for one in harmed:
        print("HARMED:", *one)
    able = counts["files that can carry a record"]
    accepted = able - len(refused)
    print(f"{accepted} of {able} accepted ({100 * accepted / able:.1f} in 100), {len(harmed)} harmed")
    return 1 if harmed or accepted * 100 < able * 99 else 0


def checks(before, after, original, copy, file, undone, back):
    """Yields the name of each check, with what is wrong."""
    harm, old, new = compare(before, after)
    if not old:
        # The comparison must be able to find: one bit of what stood at the old end.
        at = len(before) - 14 if before[:2] in (b"II", b"MM") else after.rindex(before[-14:])
        other = after[:at] + bytes([after[at] ^ 1]) + after[at + 1:]
        yield "one flipped bit noticed", [] if compare(before, other)[0] else ["the comparison sees nothing"]
    yield "every other segment, chunk, tag and byte the same", harm
    digests = {picture_digest.picture_digest(before), picture_digest.picture_digest(after), file["picture_digest"]["hex"]}
    yield "picture digest recomputed, of original and copy", [] if len(digests) == 1 else digests
    first, second = check_pixels.pixels(original), check_pixels.pixels(copy)
    if first is None and second is None:
        yield "pictures that no decoder here reads, before and after", []
    else:
        yield "decoded pixels the same", [] if first == second else ["pixels differ"]
    said = facts(new)
    if old:
        lost = facts(old) - said
        yield "packets of others: every triple kept", list(lost)
    texts = [path[-1] for path in said]
    record = json.loads(next(rdflib.util.from_n3(path[-1]) for path in said if path[-2] == KB + "record"))
    portrait = record["portraits"][0]
    same = portrait["shows"]["given"] == SHOWS and portrait["title_as_printed"]["given"] == TITLE
    shown = any(SHOWS in str(rdflib.util.from_n3(text)) for text in texts if text.startswith('"') and not text.startswith('"{'))
    yield "our texts read back, in the record and in the caption", [] if same and shown else [texts]
    yield "given back with the same SHA-256", [] if is_original(before, undone, back) else [undone]
    try:
        found = check_labels.packet(copy)
    except Exception:  # Pillow does not open every kind of TIFF
        yield "packets that Pillow does not open", []
    else:
        yield "packet found by Pillow", [] if KB in found else ["Pillow does not find our packet"]


def beside(file, copy, concerns):
    """The record lies in a file of its own, and the reason is told."""
    if not file["sidecar"] or copy.suffix != ".xmp":
        return ["described"]
    why = [one["what"] for one in concerns if one["code"] == "cannot-be-inscribed" and one["place"].get("file") == file["scan"]]
    texts = [path[-1] for path in facts([copy.read_bytes()])]
    shown = any(SHOWS in str(rdflib.util.from_n3(text)) for text in texts if text.startswith('"'))
    return ([] if len(why) == 1 else [f"reasons: {why}"]) + ([] if shown else ["our texts are not in it"])


def is_original(before, undone, back):
    return undone["original"] and hashlib.sha256((back / undone["original"]).read_bytes()).digest() == hashlib.sha256(before).digest()


if __name__ == "__main__":
    sys.exit(fill(sys.argv[2]) if sys.argv[1] == "fill" else main(*sys.argv[1:]))
