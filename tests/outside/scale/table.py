"""Measures every stage on collections of 1,000, 10,000 and 100,000 scans and prints a table.

    python3 tests/outside/scale/table.py PATH-TO-KITHBAG FOLDER [--scans 1000,10000]

FOLDER holds the collections (left there for the next run) and the packages (taken away). Processor and waiting time in seconds,
memory at most in megabytes, and the goal for it: 64 MB and 200 bytes a file. The last columns compare with the smallest
collection, by scan: 1.00 is linear. The collections are drawn by another process, since a process begins with the memory of the
one that starts it counted as its own.
"""

import argparse
import os
import shutil
import subprocess
import sys
import time
from pathlib import Path

DAY = "2026-11-25"


def measured(command, said):
    begin = [(os.POSIX_SPAWN_OPEN, 1, said, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), (os.POSIX_SPAWN_DUP2, 1, 2)]
    start = time.monotonic()
    child = os.posix_spawn(command[0], command, os.environ, file_actions=begin)
    _, status, used = os.wait4(child, 0)
    code = os.waitstatus_to_exitcode(status)
    if code != 0:
        sys.exit(f"exit {code} of {command}: {Path(said).read_text(errors='replace')[-2000:]}")
    return used.ru_utime + used.ru_stime, time.monotonic() - start, used.ru_maxrss / 1024


def stages(kithbag, collection, into):
    """Name, and the command; in their order, each on what the one before left."""
    words = lambda *more: [kithbag, *map(str, more), "--as-of", DAY, "--quiet"]
    workbook = collection.parent / (collection.name + "-bare")
    yield "survey, new workbook", words("survey", workbook)
    yield "survey again", words("survey", workbook)
    yield "survey, filled sheets", words("survey", collection)
    yield "survey again, filled sheets", words("survey", collection)
    yield "weigh", words("weigh", collection)
    pack = words("pack", collection, "--for", "keeping", "--into", into)
    yield "pack", pack
    # Sees that the same package stands there already, and writes nothing.
    yield "pack again", pack
    yield "audit", words("audit", into / f"{collection.name}-keeping-{DAY}")


def fresh(collection):
    """As it was drawn: without what an earlier survey wrote."""
    (collection / ".kithbag-cache").unlink(missing_ok=True)
    (collection / "catalogue" / "scans.csv").unlink(missing_ok=True)
    for at in collection.glob("catalogue*"):
        if at.name != "catalogue":
            shutil.rmtree(at)


def bare(collection):
    """The same scans without a catalogue; the same files under second names, so that they cost no space."""
    beside = collection.parent / (collection.name + "-bare")
    shutil.rmtree(beside, ignore_errors=True)
    subprocess.run(["cp", "-al", str(collection), str(beside)], check=True)
    shutil.rmtree(beside / "catalogue")
    return beside


def main():
    reader = argparse.ArgumentParser()
    reader.add_argument("kithbag")
    reader.add_argument("folder", type=Path)
    reader.add_argument("--scans", default="1000,10000,100000")
    reader.add_argument("--only", default="", help="stages whose names begin so, with commas between")
    asked = reader.parse_args()
    print("| scans | stage | CPU s | wall s | MB | goal MB | CPU a scan | wall a scan |\n|---|---|---|---|---|---|---|---|", flush=True)
    first = {}
    for scans in map(int, asked.scans.split(",")):
        collection = asked.folder / f"collection-{scans}"
        into = asked.folder / "into"
        shutil.rmtree(into, ignore_errors=True)
        if not collection.exists():
            drawer = Path(__file__).with_name("collection.py")
            subprocess.run([sys.executable, str(drawer), str(scans), str(collection)], check=True)
        fresh(collection)
        beside = bare(collection)
        # What was just drawn must not be written back while something is measured.
        os.sync()
        for name, command in stages(os.path.abspath(asked.kithbag), collection, into):
            if not name.startswith(tuple(asked.only.split(","))):
                continue
            cpu, wall, memory = measured(command, str(asked.folder / "said"))
            base = first.setdefault(name, (scans, cpu, wall))
            ratios = [(now / scans) / (then / base[0]) if then else 0 for now, then in [(cpu, base[1]), (wall, base[2])]]
            goal = 64 + 200 * scans / 1024 / 1024
            print(f"| {scans} | {name} | {cpu:.2f} | {wall:.2f} | {memory:.0f} | {goal:.0f} | {ratios[0]:.2f} | {ratios[1]:.2f} |", flush=True)
        shutil.rmtree(into, ignore_errors=True)
        shutil.rmtree(beside, ignore_errors=True)


if __name__ == "__main__":
    main()
