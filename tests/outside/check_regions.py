#!/usr/bin/env python3
"""Reads the places of faces in the described copies of a package with Pillow and rdflib, in both forms that readers know.

Usage: check_regions.py PACKAGE PORTRAIT LEFT TOP WIDTH HEIGHT [name]
IPTC counts to the upper left corner, MWG to the centre; the name stands there only when the sitter is proved.
[IPTC Photo Metadata Standard 2025.1, Image Region; Metadata Working Group, Guidelines for Handling Image Metadata 2.0, 5.9]
"""
import pathlib
import sys

import rdflib
from PIL import Image

from check_labels import graph_of, packet

IPTC = rdflib.Namespace("http://iptc.org/std/Iptc4xmpExt/2008-02-29/")
MWG = rdflib.Namespace("http://www.metadataworkinggroup.com/schemas/regions/")
AREA = rdflib.Namespace("http://ns.adobe.com/xmp/sType/Area#")
SIZE = rdflib.Namespace("http://ns.adobe.com/xap/1.0/sType/Dimensions#")


def only(values):
    values = list(values)
    assert len(values) == 1, values
    return values[0]


def items(graph, array):
    """The members of an array, in whatever container it is written."""
    return [value for name, value in graph.predicate_objects(array)
            if str(name).startswith("http://www.w3.org/1999/02/22-rdf-syntax-ns#_")]


def numbers(graph, node, names):
    return [float(only(graph.objects(node, name))) for name in names]


def close(found, wanted):
    return all(abs(one - other) < 1e-6 for one, other in zip(found, wanted, strict=True))


def check(path, place, name):
    graph = graph_of(packet(path))
    left, top, width, height = place
    region = only(items(graph, only(graph.objects(None, IPTC.ImageRegion))))
    boundary = only(graph.objects(region, IPTC.RegionBoundary))
    assert str(only(graph.objects(boundary, IPTC.rbShape))) == "rectangle"
    assert str(only(graph.objects(boundary, IPTC.rbUnit))) == "relative"
    found = numbers(graph, boundary, [IPTC.rbX, IPTC.rbY, IPTC.rbW, IPTC.rbH])
    assert close(found, place), found
    regions = only(graph.objects(None, MWG.Regions))
    applied = only(graph.objects(regions, MWG.AppliedToDimensions))
    with Image.open(path) as image:
        assert numbers(graph, applied, [SIZE.w, SIZE.h]) == list(image.size), path
    face = only(items(graph, only(graph.objects(regions, MWG.RegionList))))
    assert str(only(graph.objects(face, MWG.Type))) == "Face"
    area = only(graph.objects(face, MWG.Area))
    assert str(only(graph.objects(area, AREA.unit))) == "normalized"
    found = numbers(graph, area, [AREA.x, AREA.y, AREA.w, AREA.h])
    assert close(found, [left + width / 2, top + height / 2, width, height]), found
    names = [str(one) for one in graph.objects(face, MWG.Name)]
    names += [str(text) for array in graph.objects(region, IPTC.Name) for text in items(graph, array)]
    assert names == ([name, name] if name else []), (path, names)


def main(package, portrait, *rest):
    place, name = [float(one) for one in rest[:4]], (rest[4:] or (None,))[0]
    fronts = [path for path in sorted(pathlib.Path(package, "data/portraits", portrait).iterdir()) if path.stem.endswith("-front")]
    assert fronts
    for path in fronts:
        check(path, place, name)
    print(f"{portrait}: the face stands in {len(fronts)} front by corner and by centre, named {name or 'nobody'}")


if __name__ == "__main__":
    main(*sys.argv[1:])
