#!/usr/bin/env python3
"""Draws one file of every variant of every container that kithbag writes into, with other people's encoders where there is one
and byte by byte where there is none.  Usage: draw_matrix.py FOLDER

Pictures are ramps with a little noise that is the same each time; what stands in them is invented.
"""
import hashlib
import io
import pathlib
import struct
import sys
import zlib

import imagecodecs
import numpy
import tifffile
from PIL import Image, ImageCms, TiffImagePlugin

PROFILE = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
PLACE = {1: "N", 2: (47.0, 29.0, 53.25), 3: "W", 4: (8.0, 33.0, 4.5)}
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"


def noise(height, width, channels, kind=numpy.uint8, seed=7):
    ramp = numpy.arange(height * width * channels, dtype=numpy.uint64).reshape(height, width, channels)
    mixed = (ramp * 2654435761 + seed * 40503) % 4294967296
    top = numpy.iinfo(kind).max
    plain = (ramp * top // ramp.size + mixed % (top // 16 + 1)) % (top + 1)
    return numpy.squeeze(plain.astype(kind))


def picture(mode="RGB", seed=7, size=(61, 47)):
    channels = len(Image.new(mode, (1, 1)).getbands())
    return Image.frombytes(mode, size, noise(size[1], size[0], channels, seed=seed).tobytes())


def exif(thumbnail=None):
    """Camera, owner, serial number, place, maker's notes, odd text; and a thumbnail in a directory of its own."""
    block = Image.Exif()
    block[0x010E], block[0x010F], block[0x0110] = "SCAN 0007", "Invented Cameras", "Box II"
    block[0x0131], block[0x0132], block[0x013B] = "drawn", "2021:03:04 05:06:07", "Ottilie Brandt"
    block[0x8298] = "(c) Ottilie Brandt"
    block[0x9C9B] = "Großvater?".encode("utf-16-le") + b"\0\0"
    inner = block.get_ifd(0x8769)
    inner[0x9003], inner[0xA430], inner[0xA431] = "2021:03:04 05:06:07", "Ottilie Brandt", "SN-0042"
    inner[0x927C] = b"INVENTED\0" + bytes(range(251))
    block.get_ifd(0x8825).update(PLACE)
    data = block.tobytes()[6:]
    if thumbnail is None:
        return data
    # A second directory behind everything, as cameras write it. [CIPA DC-008 4.5.1]
    order = "<" if data[:2] == b"II" else ">"
    first = struct.unpack_from(order + "I", data, 4)[0]
    next_at = first + 2 + 12 * struct.unpack_from(order + "H", data, first)[0]
    at = len(data) + len(data) % 2
    stored = at + 2 + 3 * 12 + 4
    entries = [(0x0103, 3, 1, 6), (0x0201, 4, 1, stored), (0x0202, 4, 1, len(thumbnail))]
    table = struct.pack(order + "H", 3)
    for tag, form, count, value in entries:
        field = struct.pack(order + ("HH" if form == 3 else "I"), *((value, 0) if form == 3 else (value,)))
        table += struct.pack(order + "HHI", tag, form, count) + field
    data = data[:next_at] + struct.pack(order + "I", at) + data[next_at + 4:]
    return data.ljust(at, b"\0") + table + bytes(4) + thumbnail


def iim(title):
    """Caption blocks of news agencies inside image resources. [IPTC-IIM 4.2; 8BIM 0x0404]"""
    def field(number, text):
        data = text.encode()
        return struct.pack(">BBBH", 0x1C, 2, number, len(data)) + data
    block = b"\x1c\x01\x5a\0\x03\x1b%G" + field(5, title) + field(25, "attic") + field(25, "Mützen") + field(120, "From the attic, unsorted")
    block += b"\0" * (len(block) % 2)
    return b"Photoshop 3.0\0" + b"8BIM\x03\xed\0\0\0\0\0\x10" + bytes(16) + b"8BIM\x04\x04\0\0" + struct.pack(">I", len(block)) + block


def packet(extra="", wrap=True):
    """A stranger's packet: attributes and elements, arrays, a structure, languages, a property of no known namespace."""
    text = f"""<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="{RDF}">
 <rdf:Description rdf:about="" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:dc="http://purl.org/dc/elements/1.1/"
   xmlns:tiff="http://ns.adobe.com/tiff/1.0/" xmlns:exif="http://ns.adobe.com/exif/1.0/" xmlns:odd="urn:example:odd"
   xmp:CreatorTool="Drawing &amp; more" xmp:Rating="3" tiff:Software="drawn" exif:DateTimeDigitized="2021-03-04T05:06:07">
  <dc:title><rdf:Alt><rdf:li xml:lang="x-default">Grandfather &lt;1890?&gt;</rdf:li><rdf:li xml:lang="zh-Hant">祖父 𠮷</rdf:li></rdf:Alt></dc:title>
  <dc:subject><rdf:Bag><rdf:li>attic</rdf:li><rdf:li>שלום</rdf:li></rdf:Bag></dc:subject>
  <odd:thing rdf:parseType="Resource"><odd:part>one</odd:part><odd:part2 rdf:parseType="Resource"><odd:deep>two</odd:deep></odd:part2></odd:thing>
  {extra}
 </rdf:Description></rdf:RDF></x:xmpmeta>"""
    if wrap:
        text = f'<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>{text}{" " * 200}<?xpacket end="w"?>'
    return text.encode()


def segment(marker, data):
    return struct.pack(">BBH", 0xFF, marker, len(data) + 2) + data


def with_segments(jpeg, *segments):
    """Puts segments behind SOI and JFIF."""
    at = 2
    while jpeg[at + 1] == 0xE0:
        at += 2 + struct.unpack_from(">H", jpeg, at + 2)[0]
    return jpeg[:at] + b"".join(segments) + jpeg[at:]


def extended(pieces=65_000, size=150_000):
    """A packet in several segments, with its name in the standard part."""
    words = " ".join(f"word{number}" for number in range(size // 9))
    space = 'xmlns:odd="urn:example:odd"'
    rest = f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="{RDF}"><rdf:Description rdf:about="" {space}><odd:long>{words}</odd:long></rdf:Description></rdf:RDF></x:xmpmeta>'
    return extended_parts(rest.encode(), pieces)


def extended_parts(rest, pieces):
    """[XMP part 3, 1.1.3.1]"""
    name = hashlib.md5(rest).hexdigest().upper()
    note = f'<xmpNote:HasExtendedXMP xmlns:xmpNote="http://ns.adobe.com/xmp/note/">{name}</xmpNote:HasExtendedXMP>'
    head = b"http://ns.adobe.com/xmp/extension/\0" + name.encode()
    parts = [segment(0xE1, head + struct.pack(">II", len(rest), at) + rest[at:at + pieces]) for at in range(0, len(rest), pieces)]
    return [segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + packet(note))] + parts


def with_packet_jpeg(data, pieces=65_000):
    """A packet in one segment, or as the extended part of another if it is too long for one."""
    stream = io.BytesIO()
    picture().save(stream, "JPEG")
    if len(data) <= pieces:
        return with_segments(stream.getvalue(), segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + data))
    return with_segments(stream.getvalue(), *extended_parts(data, pieces))


def jpegs():
    def saved(mode="RGB", seed=7, **options):
        stream = io.BytesIO()
        picture(mode, seed).save(stream, "JPEG", **options)
        return stream.getvalue()

    plain, small = saved(quality=90), io.BytesIO()
    picture().resize((32, 24)).save(small, "JPEG")
    block = segment(0xE1, b"Exif\0\0" + exif(small.getvalue()))
    xmp = segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + packet())
    yield "baseline", plain
    yield "progressive", saved(progressive=True)
    yield "restart-markers", saved(restart_marker_blocks=3)
    yield "grey", saved("L")
    yield "cmyk", saved("CMYK", quality=90)
    yield "rgb-unturned", saved(keep_rgb=True)
    yield "comment", saved(comment=b"found in the attic")
    yield "12-bit", imagecodecs.jpeg8_encode(noise(47, 61, 3, numpy.uint16) >> 4, bitspersample=12, level=90)
    yield "no-jfif", plain[:2] + plain[4 + struct.unpack_from(">H", plain, 4)[0]:]
    yield "exif-thumbnail-iim-icc", with_segments(saved(icc_profile=PROFILE), block, segment(0xED, iim("Grandpa?")))
    yield "exif-xmp-iim", with_segments(plain, block, xmp, segment(0xED, iim("Grandpa?")))
    yield "xmp", with_segments(plain, xmp)
    yield "xmp-no-wrapper", with_segments(plain, segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0" + packet(wrap=False)))
    yield "xmp-extended", with_segments(plain, block, *extended())
    yield "xmp-extended-many", with_segments(plain, *extended(9_000, 60_000))
    yield "unknown-segments", with_segments(plain, segment(0xE4, b"made up" * 40), segment(0xEF, b"\0" * 8), b"\xff\xff" + segment(0xFE, b"fill bytes before me"))
    yield "after-eoi", plain + b"a second film or sound " * 99
    yield "after-eoi-jpeg", with_segments(plain, xmp) + saved(seed=9)
    stream = io.BytesIO()
    picture().save(stream, "MPO", save_all=True, append_images=[picture(seed=8), picture(seed=9)])
    yield "mpf", stream.getvalue()
    stream = io.BytesIO()
    picture().save(stream, "MPO", save_all=True, append_images=[picture(seed=8)], exif=b"Exif\0\0" + exif())
    yield "mpf-exif-xmp", with_segments(stream.getvalue(), xmp)


def plain_tiff(bits, big, order, photometric=1, samples=1, strips=3):
    """A TIFF of any depth, byte by byte. [TIFF6 2; BigTIFF]"""
    width, height = 40, 30
    row = (width * samples * bits + 7) // 8
    data = noise(height, row, 1, seed=bits).tobytes()
    per = -(-height // strips)
    parts = [data[at * row:(at + per) * row] for at in range(0, height, per)]
    number, count, step = (order + "Q", order + "Q", 20) if big else (order + "I", order + "H", 12)
    room = struct.calcsize(number)
    start = 16 if big else 8
    offsets = [start + sum(map(len, parts[:index])) for index in range(len(parts))]
    values = {256: [width], 257: [height], 258: [bits] * samples, 259: [1], 262: [photometric], 273: offsets, 277: [samples],
              278: [per], 279: [len(part) for part in parts], 284: [1]}
    if photometric == 3:
        values[320] = [value for channel in range(3) for value in range(channel, 65_536, -(-65_536 // 2 ** bits))][:3 * 2 ** bits]
    body, at = b"".join(parts), start + len(data)
    table, extra, base = b"", b"", at + at % 2
    extra_at = base + struct.calcsize(count) + len(values) * step + room
    for tag, value in sorted(values.items()):
        wide = tag in (273, 279)
        field = struct.pack(order + ("I" if wide else "H") * len(value), *value)
        if len(field) > room:
            field, extra = struct.pack(number, extra_at + len(extra)), extra + field + b"\0" * (len(field) % 2)
        table += struct.pack(order + "HH", tag, 4 if wide else 3) + struct.pack(number, len(value)) + field.ljust(room, b"\0")
    head = (b"II" if order == "<" else b"MM") + struct.pack(order + "H", 43 if big else 42)
    head += struct.pack(order + "HHQ", 8, 0, base) if big else struct.pack(order + "I", base)
    return head + body.ljust(base - start, b"\0") + struct.pack(count, len(values)) + table + bytes(room) + extra


def with_packet_tiff(data):
    stream = io.BytesIO()
    tifffile.imwrite(stream, noise(47, 61, 1), metadata=None, extratags=[(700, 1, None, data, True)])
    return stream.getvalue()


def tiffs():
    def written(data, **options):
        stream = io.BytesIO()
        tifffile.imwrite(stream, data, metadata=None, software="drawn", **options)
        return stream.getvalue()

    for big in (False, True):
        for order, letters in (("<", "ii"), (">", "mm")):
            def name(text):
                return f"{'big-' if big else ''}{letters}-{text}"

            shape = {"byteorder": order, "bigtiff": big}
            for bits in (1, 2, 4, 8, 12, 16):
                yield name(f"{bits}-bit"), plain_tiff(bits, big, order)
            yield name("white-is-zero"), plain_tiff(1, big, order, photometric=0)
            yield name("palette-4-bit"), plain_tiff(4, big, order, photometric=3)
            yield name("strips-rgb"), written(noise(47, 61, 3), photometric="rgb", rowsperstrip=8, **shape)
            yield name("strips-rgb-16"), written(noise(47, 61, 3, numpy.uint16), photometric="rgb", rowsperstrip=5, **shape)
            yield name("tiles-rgb"), written(noise(47, 61, 3), photometric="rgb", tile=(16, 16), **shape)
            yield name("tiles-deflate-16"), written(noise(47, 61, 1, numpy.uint16), tile=(16, 32), compression="zlib", predictor=True, **shape)
            yield name("lzw"), written(noise(47, 61, 3), photometric="rgb", compression="lzw", predictor=True, **shape)
            yield name("deflate"), written(noise(47, 61, 3), photometric="rgb", compression="zlib", **shape)
            yield name("packbits"), written(noise(47, 61, 1), compression="packbits", **shape)
            yield name("jpeg-tiles"), written(noise(64, 64, 3), photometric="ycbcr", tile=(32, 32), compression="jpeg", **shape)
            yield name("cmyk"), written(noise(47, 61, 4), photometric="separated", **shape)
            yield name("planar"), written(numpy.moveaxis(noise(47, 61, 3), 2, 0).copy(), photometric="rgb", planarconfig="separate", **shape)
            yield name("float"), written(noise(47, 61, 1).astype(numpy.float32) / 255, **shape)
            yield name("icc-xmp"), written(noise(47, 61, 3), photometric="rgb", iccprofile=PROFILE,
                                           extratags=[(700, 1, None, packet(), True), (33723, 7, None, iim("Grandpa?")[54:], True)], **shape)
            stream = io.BytesIO()
            with tifffile.TiffWriter(stream, **shape) as writer:
                for seed in (1, 2, 3):
                    writer.write(noise(40, 50, 3, seed=seed), photometric="rgb", metadata=None, compression="lzw" if seed == 2 else None)
            yield name("three-pages"), stream.getvalue()
            stream = io.BytesIO()
            with tifffile.TiffWriter(stream, **shape) as writer:
                writer.write(noise(64, 64, 3), photometric="rgb", subifds=2, metadata=None)
                writer.write(noise(32, 32, 3), photometric="rgb", subfiletype=1, metadata=None)
                writer.write(noise(16, 16, 3), photometric="rgb", subfiletype=1, metadata=None)
                writer.write(noise(20, 20, 3, seed=3), photometric="rgb", metadata=None)
            yield name("sub-directories"), stream.getvalue()
    for way in ("group4", "group3"):
        stream = io.BytesIO()
        picture("L").convert("1").save(stream, "TIFF", compression=way)
        yield way, stream.getvalue()
    stream, tags = io.BytesIO(), TiffImagePlugin.ImageFileDirectory_v2()
    tags[270], tags[315], tags[700] = "SCAN 0007", "Ottilie Brandt", packet()
    picture().save(stream, "TIFF", tiffinfo=tags, dpi=(600, 600), exif=Image.Exif())
    yield "captioned", stream.getvalue()


def chunk(name, data):
    return struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))


def interlaced(bits, kind, channels, width=21, height=17):
    """Adam7 in seven passes, without filters. [PNG3 8.1]"""
    passes = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))
    rows = b""
    for left, top, across, down in passes:
        columns = len(range(left, width, across))
        length = (columns * channels * bits + 7) // 8
        for row in range(top, height, down) if columns else ():
            rows += b"\0" + bytes((row * 7 + place * 13) & 0xFF for place in range(length))
    head = struct.pack(">IIBBBBB", width, height, bits, kind, 0, 0, 1)
    palette = [chunk(b"PLTE", bytes(range(256)) * 3)] if kind == 3 else []
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + b"".join(palette) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


def behind_header(png, *chunks):
    return png[:33] + b"".join(chunks) + png[33:]


def pngs():
    def saved(image, **options):
        stream = io.BytesIO()
        image.save(stream, "PNG", **options)
        return stream.getvalue()

    plain = saved(picture())
    text = b"XML:com.adobe.xmp\0"
    for mode in ("L", "LA", "RGB", "RGBA"):
        yield mode.lower(), saved(picture(mode))
    for bits in (1, 2, 4, 8):
        yield f"palette-{bits}", saved(picture().quantize(2 ** bits), bits=bits)
    yield "palette-transparent", saved(picture().quantize(16), transparency=bytes([0, 128, 255]))
    yield "1-bit", saved(picture("L").convert("1"))
    yield "16-bit-grey", imagecodecs.png_encode(noise(47, 61, 1, numpy.uint16))
    yield "16-bit-rgb", imagecodecs.png_encode(noise(47, 61, 3, numpy.uint16))
    yield "16-bit-rgba", imagecodecs.png_encode(noise(47, 61, 4, numpy.uint16))
    for bits, kind, channels in ((1, 0, 1), (8, 0, 1), (16, 0, 1), (8, 2, 3), (16, 2, 3), (8, 3, 1), (8, 6, 4), (16, 6, 4)):
        yield f"interlaced-{kind}-{bits}", interlaced(bits, kind, channels)
    frames = [picture(seed=seed) for seed in (1, 2, 3)]
    yield "animated", saved(frames[0], save_all=True, append_images=frames[1:], duration=80)
    yield "animated-not-shown-first", saved(frames[0], save_all=True, default_image=True, append_images=frames[1:], duration=80)
    yield "exif-icc-text", saved(picture(), icc_profile=PROFILE, exif=exif(), dpi=(300, 300))
    yield "xmp", behind_header(plain, chunk(b"iTXt", text + b"\0\0\0\0" + packet()))
    yield "xmp-compressed", behind_header(plain, chunk(b"iTXt", text + b"\1\0\0\0" + zlib.compress(packet())))
    yield "xmp-behind", plain[:-12] + chunk(b"iTXt", text + b"\0\0\0\0" + packet()) + plain[-12:]
    yield "texts", behind_header(plain, chunk(b"tEXt", b"Title\0Gro\xdfvater"), chunk(b"zTXt", b"Comment\0\0" + zlib.compress(b"attic")), chunk(b"tIME", bytes(7)))
    yield "private-chunk", behind_header(plain, chunk(b"abCd", b"made up"))
    yield "after-end", plain + b"and more"


def webps():
    def saved(image, **options):
        stream = io.BytesIO()
        image.save(stream, "WEBP", **options)
        return stream.getvalue()

    frames = [picture("RGBA", seed) for seed in (1, 2, 3)]
    yield "lossy", saved(picture(), quality=70)
    yield "lossless", saved(picture(), lossless=True)
    yield "lossy-alpha", saved(picture("RGBA"), quality=70)
    yield "lossless-alpha", saved(picture("RGBA"), lossless=True)
    yield "odd-size", saved(picture(size=(1, 1)), lossless=True)
    yield "animated-lossy", saved(frames[0], save_all=True, append_images=frames[1:], duration=80, quality=70)
    yield "animated-lossless", saved(frames[0], save_all=True, append_images=frames[1:], duration=80, lossless=True)
    yield "exif-icc-xmp", saved(picture(), exif=b"Exif\0\0" + exif(), icc_profile=PROFILE, xmp=packet())
    yield "exif-bare", saved(picture(), exif=exif())
    yield "xmp", saved(picture(), lossless=True, xmp=packet())
    plain = saved(picture(), lossless=True)
    yield "after-end", plain + b"more words behind the end"


def refused():
    """Kinds that get their record in a file beside them, drawn whole where there is an encoder and by their beginning where not."""
    for name, form in (("gif", "GIF"), ("bmp", "BMP"), ("avif", "AVIF"), ("jp2", "JPEG2000")):
        stream = io.BytesIO()
        picture().save(stream, form)
        yield f"still.{name}", stream.getvalue()
    stream = io.BytesIO()
    tifffile.imwrite(stream, noise(47, 61, 1), metadata=None, extratags=[(50706, 1, 4, bytes([1, 4, 0, 0]), True)])
    yield "negative.dng", stream.getvalue()
    yield "named-as-jpeg.jpg", stream.getvalue()
    stream = io.BytesIO()
    tifffile.imwrite(stream, noise(48, 64, 1), metadata=None, photometric="cfa", extratags=[(33421, 3, 2, (2, 2), True), (33422, 1, 4, b"\0\1\1\2", True)])
    yield "mosaic.tif", stream.getvalue()
    yield "layers.psd", b"8BPS\0\1" + bytes(6) + struct.pack(">HIIHH", 3, 4, 4, 8, 3) + bytes(12) + struct.pack(">H", 0) + bytes(48)


def main(folder):
    folder, drawn = pathlib.Path(folder), 0
    folder.mkdir(parents=True, exist_ok=True)
    beside = folder.with_name("refused")
    beside.mkdir(exist_ok=True)
    for name, data in refused():
        (beside / name).write_bytes(data)
    for ending, files in (("jpg", jpegs()), ("tif", tiffs()), ("png", pngs()), ("webp", webps())):
        for name, data in files:
            (folder / f"{ending}-{name}.{ending}").write_bytes(data)
            drawn += 1
    print(f"{drawn} variants drawn, and {len(list(beside.iterdir()))} files of kinds that are refused")


if __name__ == "__main__":
    main(sys.argv[1])
