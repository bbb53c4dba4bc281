"""Reads a package with Python's own library alone: hashlib, zipfile. Every file against every manifest, folder and zip alike.

usage: check_package.py NAME.zip FOLDER   (the folder holds the same package)
"""

import hashlib
import pathlib
import re
import sys
import zipfile


def manifests(files):
    """Yields the algorithm, whether it is a tag manifest, and the listed digests of each manifest. [RFC8493 2.1.3, 2.2.1]"""
    for path in files:
        named = re.fullmatch(r"(tag)?manifest-([a-z0-9]+)\.txt", path)
        if named:
            lines = files[path].decode("utf-8").splitlines()
            listed = {}
            for line in lines:
                digest, name = line.split(None, 1)
                name = re.sub("%0A", "\n", re.sub("%0D", "\r", name)).replace("%25", "%")
                assert name not in listed, name
                listed[name] = digest
            yield named.group(2), bool(named.group(1)), listed


def check(files):
    payload = {path for path in files if path.startswith("data/")}
    tags = {path for path in files if path not in payload and not path.startswith("tagmanifest-")}
    seen = 0
    for algorithm, is_tag, listed in manifests(files):
        assert set(listed) == (tags if is_tag else payload), (algorithm, is_tag)
        for path, digest in listed.items():
            assert hashlib.new(algorithm, files[path]).hexdigest() == digest, path
        seen += 1
    info = files["bag-info.txt"].decode("utf-8")
    oxum = re.search(r"^Payload-Oxum: (\d+)\.(\d+)$", info, re.M)
    assert int(oxum.group(1)) == sum(len(files[path]) for path in payload)
    assert int(oxum.group(2)) == len(payload)
    return seen


def main():
    zip_path, folder = map(pathlib.Path, sys.argv[1:])
    on_disk = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file()
    }
    with zipfile.ZipFile(zip_path) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        assert len(names) == len(set(names))
        assert {name.split("/", 1)[0] for name in names} == {folder.name}
        for entry in archive.infolist():
            assert entry.flag_bits & ~0x800 == 0, (entry.filename, entry.flag_bits)
            assert entry.date_time == (1980, 1, 1, 0, 0, 0), entry.filename
        in_zip = {name.split("/", 1)[1]: archive.read(name) for name in names}
    assert in_zip == on_disk
    seen = check(on_disk)
    print(f"{folder.name}: {len(on_disk)} files, {seen} manifests, folder and zip alike (hashlib, zipfile)")


main()
