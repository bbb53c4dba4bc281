"""Breaks kithbag on purpose and prints a table: which fault, how it was made, how often, and what was lost.

    python3 tests/outside/faults/table.py PATH-TO-KITHBAG [--part NAME] [--step N]

Needs Linux, strace (its fault injection makes single system calls fail, or kills the program at them), coreutils, unzip.
A system call counts once in each thread: "the third write" is the third of whichever thread comes to it first.
--step N tries every Nth system call only; --part runs one part of the table.

After every try these hold, or the run ends with 1 and says what was lost:
- every file of the collection has the bytes that it had;
- under a final name stands nothing, or a whole package: sha256sum -c passes for payload and tag files, or unzip -t for a zip;
- a failed call that mattered is told by exit code 3, never 0 (unless what was written is whole) and never a panic (70, 101);
- the same command works afterwards, once what it names as left over was taken away.
"""

import argparse
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

DAY = "2026-11-25"
VERBS = ["survey, new catalogue", "survey, one scan more", "inscribe", "pack", "pack --zip"]
CHANGING = ["mkdir", "openat", "write", "fchmod", "fdatasync", "fsync", "syncfs", "renameat2", "renameat", "ftruncate", "unlink", "unlinkat"]
# Every other call of Linux by which a program could change a disk: the table is not whole once one of them is used.
OTHER_CHANGING = [
    "rename", "link", "linkat", "symlink", "symlinkat", "mkdirat", "rmdir", "creat", "open", "openat2", "truncate", "fallocate", "pwrite64", "writev",
    "pwritev", "pwritev2", "copy_file_range", "sendfile", "splice", "msync", "chmod", "fchmodat", "chown", "fchown", "fchownat", "utimensat",
    "setxattr", "fsetxattr", "mknod", "mknodat", "sync_file_range", "io_uring_enter",
]
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


class Loss(Exception):
    """Something was lost, or a fault was not told."""


class Shop:
    """One collection, and a place for what is made of it."""

    def __init__(self, kithbag, root):
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
        self.run(["survey", str(self.collection)], check=True)
        self.catalogue = (self.collection / "catalogue.xlsx").read_bytes()
        self.before = digests(self.collection)

    def words(self, verb):
        into = str(self.into)
        return {
            "pack": ["pack", str(self.collection), "--for", "keeping", "--into", into],
            "pack --zip": ["pack", str(self.collection), "--for", "keeping", "--into", into, "--zip"],
            "inscribe": ["inscribe", str(self.collection), "--into", f"{into}/copies"],
        }.get(verb, ["survey", str(self.collection)])

    def run(self, words, check=False):
        done = subprocess.run([self.kithbag, *words, "--as-of", DAY, "--quiet"], capture_output=True, text=True, timeout=120)
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
        if verb == "inscribe":
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


def at_every_call(shop, verb, call, what, step):
    """Tries the fault at the first, second, third … such call until a run has no more of them."""
    killed = what.startswith("signal")
    tries, number = 0, 1
    while True:
        inject = f"{call}:{what}:when={number}"
        try:
            hit = tried(shop, verb, lambda: shop.under_strace(shop.words(verb), inject), killed)
        except Loss as loss:
            raise Loss(f"{verb}, {inject}: {loss}") from loss
        if not hit:
            return tries
        tries += 1
        number += step


def at_random_moments(shop, verb, count, seed=1):
    shop.fresh(verb)
    start = time.monotonic()
    shop.run(shop.words(verb), check=True)
    length = time.monotonic() - start
    dice = random.Random(seed)
    tries = 0
    while tries < count:
        shop.fresh(verb)
        run = subprocess.Popen([shop.kithbag, *shop.words(verb), "--as-of", DAY, "--quiet"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(dice.uniform(0, length))
        run.send_signal(signal.SIGKILL)
        run.wait()
        shop.check(verb, run, killed=True)
        shop.again(verb)
        tries += 1
    return tries


def resumed(shop, step):
    """Killed at a random moment, then taken up: the package is the same as one that was never interrupted."""
    for verb, at in [("pack", "collection-keeping-" + DAY), ("pack --zip", f"collection-keeping-{DAY}.zip"), ("inscribe", "copies")]:
        shop.fresh()
        start = time.monotonic()
        shop.run(shop.words(verb), check=True)
        length = time.monotonic() - start
        whole = tree(shop.into / at)
        dice = random.Random(2)
        tries = taken_up = 0
        while tries < max(1, 60 // step):
            shop.fresh()
            run = subprocess.Popen([shop.kithbag, *shop.words(verb), "--as-of", DAY, "--quiet"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            time.sleep(dice.uniform(0.3, 1) * length)
            run.send_signal(signal.SIGKILL)
            run.wait()
            left = shop.into.exists() and any(shop.into.glob(".*"))
            stood = (shop.into / at).exists()
            if not stood:
                if left and shop.run(shop.words(verb)).returncode != 3:
                    raise Loss(f"{verb}: what was left over was not named")
                shop.run([*shop.words(verb), "--resume"], check=True)
            if tree(shop.into / at) != whole:
                raise Loss(f"{verb} --resume: not the same as without interruption")
            # A run that is killed after its last rename leaves what it would have cleared away; the package is whole.
            if not stood and any(shop.into.glob(".*")):
                raise Loss(f"{verb} --resume: left over: {[one.name for one in shop.into.glob('.*')]}")
            tries += 1
            taken_up += bool(left)
        row(f"{verb} --resume", f"SIGKILL at a random moment, then taken up ({taken_up} had left something)", tries)


def tree(at):
    if at.is_file():
        return at.read_bytes()
    return {str(one.relative_to(at)): one.read_bytes() for one in at.rglob("*") if one.is_file()}


def row(fault, how, tries):
    print(f"| {fault} | {how} | {tries} | nothing |", flush=True)


def no_other_calls(shop, verb):
    """Nothing changes the disk by a call that is not tried."""
    shop.fresh(verb)
    shop.log.unlink(missing_ok=True)
    command = ["strace", "-f", "-qq", "-o", str(shop.log), "-e", f"trace={','.join(OTHER_CHANGING)}"]
    subprocess.run([*command, shop.kithbag, *shop.words(verb), "--as-of", DAY, "--quiet"], capture_output=True, check=True, timeout=300)
    called = [line for line in shop.log.read_text(errors="replace").splitlines() if "(" in line]
    if called:
        raise Loss(f"{verb}: not tried: {called[:3]}")


def injected(shop, step):
    for verb in VERBS:
        no_other_calls(shop, verb)
        for what, fault, calls in [
            ("signal=KILL", "killed", CHANGING),
            ("error=ENOSPC", "disk full", ["write", "mkdir", "fdatasync", "fsync", "syncfs", "renameat2", "renameat"]),
            ("error=EIO", "disk fails", ["write", "fdatasync", "fsync", "syncfs", "renameat2", "renameat", "read"]),
            ("error=EACCES", "permission denied", ["openat", "mkdir", "renameat2", "renameat", "unlinkat"]),
        ]:
            counts = {call: at_every_call(shop, verb, call, what, wide(call, step)) for call in calls}
            told = ", ".join(f"{call} {count}" for call, count in counts.items() if count)
            row(f"{verb}: {fault}", f"strace at each: {told}", sum(counts.values()))


def wide(call, step):
    """Opening and reading are done hundreds of times before anything is written, by the loader among others."""
    return step * 7 if call in ("openat", "read") else step


def moments(shop, step):
    for verb in VERBS:
        row(f"{verb}: killed", "SIGKILL at a random moment", at_random_moments(shop, verb, max(1, 200 // step)))


def sources(shop, step):
    """The collection itself is odd, or fails while it is read."""
    scan = shop.collection / "A-001 front.jpg"
    row("pack: original opened for writing", "strace of every open below the collection", opened_read_only(shop))
    for error in ["EIO", "ENOENT", "EACCES"]:
        call = "read" if error == "EIO" else "openat"
        tries = 0
        while tried(shop, "pack", lambda: on_path(shop, scan, f"{call}:error={error}:when={tries + 1}"), killed=False):
            tries += step
        row(f"pack: scan gives {error}", f"strace at each {call} of one scan", tries)
    row("pack: scan changes while it is read", "other bytes written into it while a read waits", changed_meanwhile(shop, scan))
    for name, make in ODD.items():
        shop.fresh()
        make(shop.collection)
        for verb in ["survey", "pack"]:
            done = shop.run(shop.words(verb))
            if done.returncode not in (0, 1, 3):
                raise Loss(f"{verb} with {name}: exit {done.returncode}: {done.stderr[-500:]}")
            shop.whole()
            now = digests(shop.collection)
            changed = [at for at, digest in shop.before.items() if at.endswith(".jpg") and now.get(at) != digest]
            if changed:
                raise Loss(f"{verb} with {name}: changed: {changed}")
        remove(shop.collection)
        again = Shop(shop.kithbag, shop.collection.parent / name.replace(" ", "-"))
        shop.collection, shop.into, shop.before = again.collection, again.into, again.before
        row(f"survey, pack: {name}", "made in the collection", 2)


def on_path(shop, path, inject):
    shop.log.unlink(missing_ok=True)
    command = ["strace", "-f", "-qq", "-o", str(shop.log), "-P", str(path), "-e", f"inject={inject}"]
    done = subprocess.run([*command, shop.kithbag, *shop.words("pack"), "--as-of", DAY, "--quiet"], capture_output=True, text=True, timeout=300)
    return done, "INJECTED" in shop.log.read_text(errors="replace")


def opened_read_only(shop):
    shop.fresh()
    shop.log.unlink(missing_ok=True)
    command = ["strace", "-f", "-qq", "-o", str(shop.log), "-e", "trace=openat,open,creat,truncate"]
    subprocess.run([*command, shop.kithbag, *shop.words("pack"), "--as-of", DAY, "--quiet"], capture_output=True, check=True, timeout=300)
    opens = [line for line in shop.log.read_text(errors="replace").splitlines() if str(shop.collection) in line]
    wrong = [line for line in opens if "O_RDONLY" not in line or "O_TRUNC" in line]
    if wrong or not opens:
        raise Loss(f"opened for writing: {wrong[:3]} of {len(opens)}")
    return len(opens)


def changed_meanwhile(shop, scan):
    """Each read of the scan waits a while in one run; the scan is changed during the wait."""
    kept = scan.read_bytes()
    tries = 0
    for number in range(1, 40):
        shop.fresh()
        shop.log.unlink(missing_ok=True)
        inject = f"read:delay_enter=700000:when={number}"
        command = ["strace", "-f", "-qq", "-o", str(shop.log), "-P", str(scan), "-e", f"inject={inject}"]
        run = subprocess.Popen([*command, shop.kithbag, *shop.words("pack"), "--as-of", DAY, "--quiet"], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
        waiting = wait_for_delay(shop.log, run)
        if waiting:
            scan.write_bytes(kept[:-40] + bytes(40))
        said = run.communicate(timeout=300)
        scan.write_bytes(kept)
        if not waiting:
            break
        tries += 1
        shop.whole()
        if run.returncode == 0:
            told = "chang" in (said[0] + said[1])
            packed = [at for at in shop.into.rglob("originals/**/*") if at.is_file() and at.suffix == ".jpg"]
            mixed = [at.name for at in packed if at.read_bytes() not in (kept, kept[:-40] + bytes(40)) and "front" in at.name]
            if mixed and not told:
                raise Loss(f"read {number}: a mixture was packed: {mixed}")
    return tries


def wait_for_delay(log, run):
    while run.poll() is None:
        if log.exists() and "DELAYED" in log.read_text(errors="replace") or open_call(log):
            return True
        time.sleep(0.01)
    return False


def open_call(log):
    """A call that waits stands in the log without its end."""
    text = log.read_text(errors="replace") if log.exists() else ""
    return text.rstrip(" ").endswith("read(") or (text and not text.endswith("\n"))


def deep(folder):
    code = "import os\nfor n in range(4000):\n os.mkdir('d')\n os.chdir('d')\n"
    subprocess.run([sys.executable, "-c", code], cwd=folder, check=True)


def twins(one, other):
    def make(folder):
        for name in (one, other):
            shutil.copy(folder / "A-001 front.jpg", folder / name)
    return make


def loop(folder):
    os.symlink("..", folder / "round")
    os.symlink("self.jpg", folder / "self.jpg")


def special(folder):
    os.mkfifo(folder / "pipe.jpg")
    os.symlink("/dev/zero", folder / "endless.jpg")


ODD = {
    "symbolic link loops": loop,
    "a pipe and a device": special,
    "a name that is not UTF-8": lambda folder: shutil.copy(folder / "A-001 front.jpg", os.fsencode(folder) + b"/A-00\xff front.jpg"),
    "names that differ by case": twins("B-1 front.jpg", "b-1 FRONT.jpg"),
    "names that differ by composition": twins("Zo\u00eb.jpg", "Zoe\u0308.jpg"),
    "folders 4000 deep": deep,
}

PARTS = {"injected": injected, "moments": moments, "resumed": resumed, "sources": sources}


def main():
    reader = argparse.ArgumentParser()
    reader.add_argument("kithbag")
    reader.add_argument("--part", choices=PARTS)
    reader.add_argument("--step", type=int, default=1)
    asked = reader.parse_args()
    print("| fault | how | tries | lost |\n|---|---|---|---|", flush=True)
    for name, part in PARTS.items():
        if asked.part in (None, name):
            with tempfile.TemporaryDirectory() as root:
                try:
                    part(Shop(os.path.abspath(asked.kithbag), Path(root)), asked.step)
                except Loss as loss:
                    sys.exit(f"LOST: {loss}")


if __name__ == "__main__":
    main()
