"""Licences, sources and doubled versions of everything that is built in, by what cargo says of each crate and the lists of
`.deny.toml`.

    cargo metadata --format-version 1 --locked | python3 check_supply.py .deny.toml

Known holes need the advisory database, which cargo-deny fetches; where that cannot be, this says so.
"""

import json
import re
import subprocess
import sys
import tomllib
from collections import defaultdict

REGISTRY = "registry+https://github.com/rust-lang/crates.io-index"


def allowed(expression, licences):
    """Whether a choice of the allowed licences satisfies an SPDX expression; `/` is an old form of OR."""
    # A licence with an exception is another licence; none is allowed by name.
    expression = re.sub(r"\S+ WITH [^\s()]+", "EXCEPTION", expression)
    words = re.findall(r"[()]|[^\s()/]+|/", expression)
    python = []
    for word in words:
        if word in "()":
            python.append(word)
        elif word in ("AND", "OR", "/"):
            python.append("and" if word == "AND" else "or")
        else:
            python.append(str(word in licences))
    return eval(" ".join(python))  # Only True, False, and, or and brackets are left.


def built_in(metadata):
    """Everything that is built into the program or builds it, on any system; what only the tests use is not."""
    nodes = {one["id"]: one for one in metadata["resolve"]["nodes"]}
    found, waiting = set(), [metadata["resolve"]["root"]]
    while waiting:
        here = waiting.pop()
        for one in nodes[here]["deps"]:
            if one["pkg"] not in found and any(kind["kind"] != "dev" for kind in one["dep_kinds"]):
                found.add(one["pkg"])
                waiting.append(one["pkg"])
    return [one for one in metadata["packages"] if one["id"] in found]


def main():
    lists = tomllib.load(open(sys.argv[1], "rb"))
    licences = set(lists["licenses"]["allow"])
    skipped = [one["crate"] for one in lists["bans"]["skip"]]
    crates = built_in(json.load(sys.stdin))
    faults = []
    versions = defaultdict(set)
    for one in crates:
        name = f"{one['name']} {one['version']}"
        versions[one["name"]].add(one["version"])
        if not one["license"] or not allowed(one["license"], licences):
            faults.append(f"{name}: licence {one['license']}")
        if one["source"] != REGISTRY:
            faults.append(f"{name}: from {one['source']}")
    used = set()
    for name, found in versions.items():
        left = set(found)
        for entry in skipped:
            crate, _, version = entry.partition("@")
            for one in found if crate == name else ():
                if one == version or one.startswith(version + "."):
                    left.discard(one)
                    used.add(entry)
        if len(left) > 1:
            faults.append(f"{name}: doubled, {', '.join(sorted(left))}")
    faults += [f"{entry} stands in the list and is nowhere" for entry in skipped if entry not in used]
    if faults or len(crates) < 50:
        sys.exit("\n".join(faults) or f"only {len(crates)} crates")
    assert not allowed("GPL-3.0-only", licences) and not allowed("MIT AND GPL-3.0-only", licences)
    print(f"{len(crates)} crates: licences, sources and versions are as .deny.toml allows")
    try:
        advisories = subprocess.run(
            ["cargo", "deny", "--config", sys.argv[1], "check", "advisories"], capture_output=True, text=True, timeout=120
        )
    except (OSError, subprocess.TimeoutExpired):
        advisories = None
    if advisories and advisories.returncode == 0:
        print("no known hole in any of them")
    elif advisories and "error[" in advisories.stderr:
        sys.exit(advisories.stderr)
    else:
        print("ADVISORIES WERE NOT CHECKED HERE: cargo-deny or its database cannot be reached")


main()
