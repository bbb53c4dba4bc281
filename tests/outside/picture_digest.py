#!/usr/bin/env python3
"""Works out picture digests as schemas/PICTURE-DIGEST.md defines them, without kithbag.  Usage: picture_digest.py FILE..."""
import hashlib, re, struct, sys
TAGS = [256, 257, 258, 259, 262, 266, 277, 278, 279, 284, 292, 293, 317, 320, 322, 323, 325, 332, 334, 338, 339, 347, 512, 514, 515, 529, 530, 531, 532]
NAMES = [b"VP8X", b"VP8 ", b"VP8L", b"ALPH", b"ANIM", b"ANMF", b"IHDR", b"PLTE", b"tRNS", b"IDAT", b"acTL", b"fcTL", b"fdAT"]
FORMS = {1: "B", 2: "B", 3: "H", 4: "I", 5: "II", 6: "B", 7: "B", 8: "H", 9: "I", 10: "II", 11: "I", 12: "Q", 13: "I", 16: "Q", 17: "Q", 18: "Q"}
def jpeg(data, at=2, parts=(), coded=False, jfif=False, unturned=False, channels=0):
    while found := re.compile(rb"\xff+[\xc0-\xcf\xd9-\xef\xfe]|\Z" if coded else rb"\xff[^\0\xff]").search(data, at):
        parts += (data[at:found.start()],) if coded else ()
        if found.group()[-1:] in (b"", b"\xd9"): break
        start, marker, size = found.end() - 2, found.group()[-1], 2 + int.from_bytes(data[found.end():found.end() + 2], "big")
        if size < 4 or start + size > len(data): parts += (data[start:],); break
        body, frame = data[start + 4:start + size], marker in {*range(0xc0, 0xd0)} - {0xc4, 0xc8, 0xcc} and not channels
        adobe, channels = marker == 0xee and body[:5] == b"Adobe", body[5] if frame else channels
        if not coded: jfif, unturned = jfif or marker == 0xe0 and body[:5] == b"JFIF\0", unturned or adobe and body[11:12] == b"\0" or frame and body[6::3] == b"RGB"
        if adobe or 0xc0 <= marker <= 0xcf or 0xda <= marker <= 0xdf: parts += (data[start:start + size],)
        at, coded = start + size, coded or marker == 0xda
    return (b"JFIF" if jfif and unturned and channels == 3 else b"") + b"".join(parts)
def png(data, at=8, parts=b"", name=b""):
    while name != b"IEND":
        name, start, at = data[at + 4:at + 8], at, at + 12 + int.from_bytes(data[at:at + 4], "big")
        parts += data[start:at] if name in NAMES else b""
    return parts
def webp(data, at=12, parts=()):
    while at < 8 + int.from_bytes(data[4:8], "little"):
        size = 8 + int.from_bytes(data[at + 4:at + 8], "little")
        at, parts = at + size + size % 2, (*parts, data[at:at + size])
    canvas = any(part[:4] in (b"ALPH", b"ANIM", b"ANMF") for part in parts)
    return b"".join((bytes([part[8] & 0x12]) + part[12:18]) * canvas if part[:4] == b"VP8X" else part for part in parts if part[:4] in NAMES)
def tiff(data, at=None, seen=()):
    order, big, width, parts = "<" if data[:1] == b"I" else ">", 43 in data[2:4], 8 if 43 in data[2:4] else 4, b""
    number, at = order + "IQ"[big], struct.unpack_from(order + "IQ"[big], data, width)[0] if at is None else at
    while at and at not in seen:
        (count,), first, step, tags, seen = struct.unpack_from(order + "HQ"[big], data, at), at + (8 if big else 2), 4 + 2 * width, {}, seen or set(); seen.add(at)
        for place in range(first, first + count * step, step):
            (tag, form), (many,) = struct.unpack_from(order + "HH", data, place), struct.unpack_from(number, data, place + 4)
            values, where = order + FORMS.get(form, "") * many, place + 4 + width
            where = where if struct.calcsize(values) <= width else struct.unpack_from(number, data, where)[0]
            tags.setdefault(tag, struct.unpack_from(values, data, where))
        parts += b"directory\n" + b"".join(b"%d=%s\n" % (tag, ",".join(map(str, tags[tag])).encode()) for tag in TAGS if tag in tags)
        parts += b"".join(data[o:o + n] for one, many in ((273, 279), (324, 325), (513, 514)) for o, n in zip(tags.get(one, ()), tags.get(many, ())))
        parts += b"".join(tiff(data, below, seen) for below in tags.get(330, ()))
        at = struct.unpack_from(number, data, first + count * step)[0]
    return parts
def picture_digest(data): return hashlib.sha256({b"\xff\xd8": jpeg, b"\x89P": png, b"RI": webp}.get(data[:2], tiff)(data)).hexdigest()
if __name__ == "__main__": [print(picture_digest(open(name, "rb").read()), "", name) for name in sys.argv[1:]]
