#!/usr/bin/env python3
"""Reads the forms in a package that other programs load: GEDZIP, RO-Crate, event log, record. None of the readers knows of kithbag.

Usage: check_forms.py PACKAGE [proved sitter]...
The family tree must hold exactly the sitters named, and must not be there when none is named.
"""
import copy
import hashlib
import io
import json
import os
import pathlib
import sys
import urllib.parse
import zipfile

import gedcom7
import jsonschema
import rdflib
from PIL import Image

HERE = pathlib.Path(__file__).parent
SCHEMA = rdflib.Namespace("http://schema.org/")


def children(structure, tag):
    return [child for child in structure.children if child.tag == tag]


def check_tree(package, sitters):
    """The GEDZIP by the gedcom7 package; what that does not check (cardinality, files, crops) is checked here."""
    path = package / "data/family/family.gdz"
    if not sitters:
        assert not path.exists(), "a family tree without sitters"
        return "no family tree, as nobody is proved"
    with zipfile.ZipFile(path) as tree:
        assert tree.testzip() is None
        names = tree.namelist()
        assert names.count("gedcom.ged") == 1
        text = tree.read("gedcom.ged").decode("utf-8-sig")
        records = gedcom7.loads(text)
        errors = gedcom7.validate(records)
        assert errors == [], errors
        # The smallest file that the standard allows. [FamilySearch GEDCOM.io testfiles, minimal70.ged]
        assert records[0].tag == "HEAD" and records[-1].tag == "TRLR"
        (form,) = children(records[0], "GEDC")
        assert [child.text for child in children(form, "VERS")] == ["7.0"]
        objects = {record.xref: record for record in records if record.tag == "OBJE"}
        listed = set()
        sizes = {}
        for xref, record in objects.items():
            (file,) = children(record, "FILE")
            (media,) = children(file, "FORM")
            name = urllib.parse.unquote(file.text)
            info = tree.getinfo(name)
            assert info.compress_type == zipfile.ZIP_STORED, name
            with Image.open(io.BytesIO(tree.read(name))) as picture:
                picture.load()
                assert Image.MIME[picture.format] == media.text, name
                assert not picture.getexif(), f"{name} carries Exif"
                sizes[xref] = picture.size
            listed.add(name)
        assert listed == set(names) - {"gedcom.ged"}, (listed, names)
        individuals = [record for record in records if record.tag == "INDI"]
        found = sorted(child.text for record in individuals for child in children(record, "NAME")[:1])
        assert found == sorted(sitters), (found, sitters)
        crops = 0
        for record in individuals:
            links = children(record, "OBJE")
            assert links, "a sitter without a picture"
            for link in links:
                width, height = sizes[link.pointer]
                for crop in children(link, "CROP"):
                    part = {child.tag: int(child.text) for child in crop.children}
                    assert 0 <= part["LEFT"] and part["LEFT"] + part["WIDTH"] <= width, part
                    assert 0 <= part["TOP"] and part["TOP"] + part["HEIGHT"] <= height, part
                    crops += 1
    return f"family tree: {len(individuals)} sitters, {len(objects)} pictures, {crops} faces"


def check_events(package):
    """Every event type is one of the published list, which lies beside this check."""
    lines = (HERE / "premis-event-types.txt").read_text(encoding="utf-8").splitlines()
    codes = {line.split()[0] for line in lines if line and not line.startswith("#")}
    assert len(codes) == 50, len(codes)
    log = json.loads((package / "data/log/events.json").read_text(encoding="utf-8"))
    prefix = "http://id.loc.gov/vocabulary/preservation/eventType/"
    for event in log["events"]:
        assert event["eventType"].startswith(prefix) and event["eventType"][len(prefix):] in codes, event
        assert event["eventOutcome"] == "http://id.loc.gov/vocabulary/preservation/eventOutcome/suc", event
        assert event["eventDateTime"] and event["eventIdentifier"]["eventIdentifierValue"], event
        for one in event["linkingObjectIdentifier"]:
            assert (package / one["linkingObjectIdentifierValue"]).is_file(), one
    return f"{len(log['events'])} events"


def check_record(package):
    """The record by the schema beside it; a record with a wrong word in it must be refused, or the schema would say nothing."""
    folder = package / "data/catalogue"
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    schema = json.loads((folder / "record.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    validator.validate(record)
    wrong = copy.deepcopy(record)
    wrong["portraits"][0]["kind"] = {"given": "no such kind"}
    assert not validator.is_valid(wrong)
    return f"{len(record['portraits'])} portraits in the record"


def check_crate(package):
    """The crate as linked data: rdflib with the published context, which comes from beside the project and not from a network."""
    root = package / "data"
    document = json.loads((root / "ro-crate-metadata.json").read_text(encoding="utf-8"))
    assert document["@context"] == "https://w3id.org/ro/crate/1.2/context"
    shared = pathlib.Path(os.environ["KITHBAG_SHARED"])
    context = json.loads((shared / "data/ro-crate/context-1.2.jsonld").read_text(encoding="utf-8"))
    document["@context"] = context["@context"]
    graph = rdflib.Graph()
    graph.parse(data=json.dumps(document), format="json-ld", publicID="file:///crate/")
    crate = rdflib.URIRef("file:///crate/")
    for needed in ("name", "description", "datePublished", "license"):
        assert len(list(graph.objects(crate, SCHEMA[needed]))) == 1, needed
    listed = {}
    for part in graph.objects(crate, SCHEMA.hasPart):
        name = urllib.parse.unquote(str(part).removeprefix("file:///crate/"))
        bytes_ = (root / name).read_bytes()
        assert str(graph.value(part, SCHEMA.contentSize)) == str(len(bytes_)), name
        assert str(graph.value(part, SCHEMA.sha256)) == hashlib.sha256(bytes_).hexdigest(), name
        listed[name] = part
    there = {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()}
    assert set(listed) == there - {"ro-crate-metadata.json"}, set(listed) ^ there
    return f"{len(listed)} files in the crate, {len(graph)} statements"


def main(package, sitters):
    package = pathlib.Path(package)
    told = [check_tree(package, sitters), check_events(package), check_record(package), check_crate(package)]
    print(f"{package.name}: " + "; ".join(told))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2:])
