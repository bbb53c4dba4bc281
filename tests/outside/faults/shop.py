"""The collection that faults are tried on, and what must hold after every try; the head of `table.py` says it in words."""

import hashlib
import os
import random
import shutil
import struct
import subprocess
from pathlib import Path

DAY = "2026-11-25"
LARGE = ", a large scan"
SAMPLE = Path(__file__).resolve().parents[3] / "samples" / "trevanick-pair"


def digests(folder):
    """The collection is flat: what lies deeper was put there by a try."""
    found = {}
    for at in sorted(folder.iterdir()):
        if at.is_file() and not at.is_symlink() and ".kithbag" not in at.name:
            found[at.name] = hashlib.sha256(at.read_bytes()).hexdigest()
    return found


def remove(at):
    """Also folders deeper than Python follows."""
    subprocess.run([b"rm", b"-rf", b"--", os.fsencode(at)], check=True)


def large_scan(at):
    """A grey TIFF of noise, 3000 by 2500, in one strip: large files are written another way than small ones. [TIFF 6.0 section 2]"""
    width, height, ends = 3000, 2500, 8
    values = {256: width, 257: height, 258: 8, 259: 1, 262: 1, 273: ends, 277: 1, 278: height, 279: width * height}
    picture = random.Random(3).randbytes(width * height)
    fields = b"".join(struct.pack("<HHII", tag, 4, 1, value) for tag, value in values.items())
    at.write_bytes(struct.pack("<2sHI", b"II", 42, ends + len(picture)) + picture + struct.pack("<H", len(values)) + fields + bytes(4))


class Loss(Exception):
    """Something was lost, or a fault was not told."""


class Shop:
    """One collection, and a place for what is made of it."""

    def __init__(self, kithbag, root, with_large_scan=False):
        self.kithbag = kithbag
        self.collection = root / "collection"
        self.into = root / "into"
        self.log = root / "strace"
        self.struck = 0
        self.collection.mkdir(parents=True)
        # The two smallest scans of the sample: what is tried is the order of the writing, not the size of the pictures.
        *smallest, self.more = sorted(SAMPLE.rglob("*.jpg"), key=lambda at: (at.stat().st_size, at.name))[:3]
        for at, name in zip(smallest, ["A-001 front.jpg", "A-001 back.jpg"]):
            shutil.copy(at, self.collection / name)
        if with_large_scan:
            large_scan(self.collection / "A-001 detail.tif")
        self.run(["survey", str(self.collection)], check=True)
        self.catalogue = (self.collection / "catalogue.xlsx").read_bytes()
        self.before = digests(self.collection)

    def words(self, verb):
        into = str(self.into)
        return {
            "pack": ["pack", str(self.collection), "--for", "keeping", "--into", into],
            "pack --zip": ["pack", str(self.collection), "--for", "keeping", "--into", into, "--zip"],
            "inscribe": ["inscribe", str(self.collection), "--into", f"{into}/copies"],
        }.get(verb.removesuffix(LARGE), ["survey", str(self.collection)])

    def run(self, words, check=False, as_of=DAY):
        done = subprocess.run([self.kithbag, *words, "--as-of", as_of, "--quiet"], capture_output=True, text=True, timeout=120)
        if check and done.returncode != 0:
            raise Loss(f"exit {done.returncode} of {words}: {done.stderr}")
        return done

    def under_strace(self, words, inject):
        self.log.unlink(missing_ok=True)
        command = ["strace", "-f", "-qq", "-o", str(self.log), "-e", f"trace={inject.split(':')[0]}", "-e", f"inject={inject}"]
        done = subprocess.run([*command, self.kithbag, *words, "--as-of", DAY, "--quiet"], capture_output=True, text=True, timeout=300)
        text = self.log.read_text(errors="replace")
        self.struck = text.count("INJECTED")
        return done, self.struck > 0 or "killed by SIGKILL" in text

    def fresh(self, verb=""):
        """As it was before the first try: with a catalogue, except where it is to be drafted, and one more scan where it is to
        be added to."""
        shutil.rmtree(self.into, ignore_errors=True)
        for at in self.collection.iterdir():
            if at.name not in self.before:
                remove(at)
        catalogue = self.collection / "catalogue.xlsx"
        catalogue.write_bytes(self.catalogue)
        if verb == "survey, new catalogue":
            catalogue.unlink()
        if verb == "survey, one scan more":
            shutil.copy(self.more, self.collection / "A-001 label.jpg")

    def whole(self):
        """Everything under a final name is whole."""
        for at in sorted(self.into.glob("*")) if self.into.exists() else []:
            if at.name.startswith("."):
                continue
            if at.suffix == ".zip":
                stock(["unzip", "-tqq", str(at)], at)
            elif at.is_dir() and "keeping" in at.name:
                for manifest in ["manifest-sha256.txt", "tagmanifest-sha256.txt", "manifest-sha512.txt"]:
                    program = "sha512sum" if "512" in manifest else "sha256sum"
                    stock([program, "--quiet", "--strict", "-c", manifest], at, cwd=at)
            elif at.is_file() and at.stat().st_size == 0:
                raise Loss(f"{at.name} is empty")

    def check(self, verb, done, killed):
        self.whole()
        now = digests(self.collection)
        for name, digest in self.before.items():
            # A refreshed catalogue may be new, if the earlier one is kept beside it.
            may_change = verb == "survey, one scan more" and name.startswith("catalogue") and digest in now.values()
            may_be_missing = verb == "survey, new catalogue" and name.startswith("catalogue")
            if now.get(name) != digest and not may_change and not may_be_missing:
                raise Loss(f"{name} is not what it was")
        # Whatever stands there as a catalogue, or as an earlier state of one, is a whole workbook.
        for at in self.collection.glob("[!.]*.xlsx"):
            stock(["unzip", "-tqq", str(at)], at.name)
        if killed or "error while loading shared libraries" in done.stderr:
            return
        if done.returncode not in (0, 3):
            raise Loss(f"exit code {done.returncode}: {done.stderr[-600:]}")
        left = [at.name for at in self.into.glob(".*")] if self.into.exists() else []
        if done.returncode == 3 and left and self.struck < 2:
            raise Loss(f"left over after a failure: {left}")
        # A call counts in each thread, so the same fault can strike again while things are cleared away.
        if done.returncode == 3 and left and left[0] not in self.run(self.words(verb)).stderr:
            raise Loss(f"left over and not named: {left}")
        if done.returncode == 0 and verb.startswith("pack") and not list(self.into.glob("*keeping*")):
            raise Loss("exit code 0 without a package")

    def again(self, verb):
        """The same command works once the leftovers are taken away."""
        if verb.startswith("pack") and any(not at.name.startswith(".") and "receipt" not in at.name for at in self.into.glob("*")):
            return
        for at in self.into.glob(".*") if self.into.exists() else []:
            remove(at)
        for at in self.into.glob("*receipt*") if self.into.exists() else []:
            raise Loss(f"{at.name} without its package")
        if verb.startswith("inscribe"):
            shutil.rmtree(self.into / "copies", ignore_errors=True)
        self.run(self.words(verb), check=True)
        self.whole()
        if verb.startswith("survey"):
            stock(["unzip", "-tqq", str(self.collection / "catalogue.xlsx")], "the catalogue")


def stock(command, at, cwd=None):
    done = subprocess.run(command, capture_output=True, text=True, cwd=cwd)
    if done.returncode != 0:
        raise Loss(f"{at} is not whole: {' '.join(command[:2])}: {done.stdout[-300:]}{done.stderr[-300:]}")


def tried(shop, verb, run, killed):
    shop.fresh(verb)
    done, hit = run()
    if hit:
        shop.check(verb, done, killed)
        shop.again(verb)
    return hit


def tree(at):
    if at.is_file():
        return at.read_bytes()
    return {str(one.relative_to(at)): one.read_bytes() for one in at.rglob("*") if one.is_file()}


def row(fault, how, tries):
    print(f"| {fault} | {how} | {tries} | nothing |", flush=True)


def not_tried(fault, how, why):
    """A row that nobody can take for a passed one; gives the fault, so that the run can end with it."""
    print(f"| {fault} | {how} | NOT TRIED: {why} | not known |", flush=True)
    return fault
