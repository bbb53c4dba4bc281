#!/usr/bin/env python3
"""Reads the labels in the described copies of a package with Pillow and rdflib, which know nothing of kithbag.

Usage: check_labels.py PACKAGE
Every copy must have a title, a description and a certainty; a person may stand in a person field only when proved.
"""
import json
import pathlib
import sys
import warnings

import rdflib
from PIL import Image

warnings.filterwarnings("ignore")
DC = rdflib.Namespace("http://purl.org/dc/elements/1.1/")
IPTC = rdflib.Namespace("http://iptc.org/std/Iptc4xmpExt/2008-02-29/")
KB = rdflib.Namespace("urn:uuid:1ddee593-4a8b-42de-9da0-0cbc379c4381#")


def packet(path):
    """Returns the packet as Pillow finds it: JPEG and WebP `xmp`, PNG text, TIFF tag 700."""
    with Image.open(path) as image:
        found = image.info.get("xmp") or image.info.get("XML:com.adobe.xmp")
        if found is None and hasattr(image, "tag_v2"):
            found = image.tag_v2.get(700)
    return found if isinstance(found, str) else found.decode("utf-8")


def graph_of(text):
    start, end = text.index("<rdf:RDF"), text.index("</rdf:RDF>") + len("</rdf:RDF>")
    graph = rdflib.Graph()
    graph.parse(data=text[start:end], format="xml", publicID="file:///scan")
    return graph


def values(graph, property_name):
    """Returns the texts of a property, whether it stands alone or in an array."""
    texts = []
    for value in graph.objects(None, property_name):
        if isinstance(value, rdflib.Literal):
            texts.append(str(value))
        else:
            texts.extend(str(item) for item in graph.objects(value) if isinstance(item, rdflib.Literal))
    return texts


def main(package):
    package = pathlib.Path(package)
    record = json.loads((package / "data/catalogue/record.json").read_text(encoding="utf-8"))
    people = {person["number"]: person.get("name", {}).get("given") for person in record.get("people", [])}
    proved = {people.get(claim["sitter"]["person"]) for claim in record.get("claims", [])
              if claim.get("certainty", {}).get("given") == "proved" and "person" in claim.get("sitter", {})}
    seen, named = 0, set()
    for path in sorted((package / "data/portraits").rglob("*")):
        if path.is_dir() or path.suffix == ".xmp":
            continue
        graph = graph_of(packet(path))
        title, description = values(graph, DC.title), values(graph, DC.description)
        certainty, persons = values(graph, KB.certainty), values(graph, IPTC.PersonInImage)
        assert title and description and certainty, (path, title, description, certainty)
        assert set(persons) <= proved, (path, persons)
        named.update(persons)
        for name in filter(None, people.values()):
            if name not in proved:
                assert not any(name in text and "probably" not in text.lower() for text in title + description), (path, name)
        seen += 1
    assert named == proved, ("a proved sitter is in no person field", proved - named)
    print(f"{seen} labels read by Pillow and rdflib: title, description and certainty in each, persons only where proved: {sorted(named) or 'nobody'}")
    return 0 if seen else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
