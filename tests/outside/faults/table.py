"""Breaks kithbag on purpose and prints a table: which fault, how it was made, how often, and what was lost.

    python3 tests/outside/faults/table.py PATH-TO-KITHBAG [--part NAME…] [--step N]

Needs Linux, strace (its fault injection makes single system calls fail, or kills the program at them), coreutils, unzip, a C compiler
(for a clock that goes backwards) and the right to mount in a namespace of its own (for a disk that cannot be written).
A system call counts once in each thread: "the third write" is the third of whichever thread comes to it first.
--step N tries every Nth system call only; --part runs some parts of the table only.

Faults that this machine cannot make are rows that say "not tried", and the run ends with 3.
After every try these hold, or the run ends with 1 and says what was lost:
- every file of the collection has the bytes that it had;
- under a final name stands nothing, or a whole package: sha256sum -c passes for payload and tag files, or unzip -t for a zip;
- a failed call that mattered is told by exit code 3, never 0 (unless what was written is whole) and never a panic (70, 101);
- the same command works afterwards, once what it names as left over was taken away.
"""

import argparse
import os
import random
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from clocks import clocks
from shop import DAY, LARGE, Loss, Shop, not_tried, row, tree, tried
from sources import sources

VERBS = ["survey, new catalogue", "survey, one scan more", "inscribe", "pack", "pack --zip"]
CHANGING = ["mkdir", "openat", "write", "fchmod", "fdatasync", "fsync", "syncfs", "renameat2", "renameat", "ftruncate", "unlink", "unlinkat", "pwrite64"]
# Every other call of Linux by which a program could change a disk: the table is not whole once one of them is used.
OTHER_CHANGING = [
    "rename", "link", "linkat", "symlink", "symlinkat", "mkdirat", "rmdir", "creat", "open", "openat2", "truncate", "fallocate", "writev",
    "pwritev", "pwritev2", "copy_file_range", "sendfile", "splice", "msync", "chmod", "fchmodat", "chown", "fchown", "fchownat", "utimensat",
    "setxattr", "fsetxattr", "mknod", "mknodat", "sync_file_range", "io_uring_enter",
]


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
        while tries < max(1, 20 // step):
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


def no_other_calls(shop, verb):
    """Nothing changes the disk by a call that is not tried."""
    shop.fresh(verb)
    shop.log.unlink(missing_ok=True)
    command = ["strace", "-f", "-qq", "-o", str(shop.log), "-e", f"trace={','.join(OTHER_CHANGING)}"]
    subprocess.run([*command, shop.kithbag, *shop.words(verb), "--as-of", DAY, "--quiet"], capture_output=True, check=True, timeout=300)
    called = [line for line in shop.log.read_text(errors="replace").splitlines() if "(" in line and not only_reads(line)]
    if called:
        raise Loss(f"{verb}: not tried: {called[:3]}")


def only_reads(line):
    """Whether a file is opened to be read and nothing else: the manager of memory asks the system for its settings this way."""
    return " open(" in f" {line.split(maxsplit=1)[-1]}" and "O_RDONLY" in line and "O_CREAT" not in line and "O_TRUNC" not in line


def injected(shop, step):
    missing = []
    for verb in VERBS:
        no_other_calls(shop, verb)
        for what, fault, calls in [
            ("signal=KILL", "killed", CHANGING),
            ("error=ENOSPC", "disk full", ["write", "pwrite64", "mkdir", "fdatasync", "fsync", "syncfs", "renameat2", "renameat"]),
            ("error=EIO", "disk fails", ["write", "pwrite64", "fdatasync", "fsync", "syncfs", "renameat2", "renameat", "read"]),
            ("error=EACCES", "permission denied", ["openat", "mkdir", "renameat2", "renameat", "unlinkat"]),
        ]:
            missing += at_calls(shop, verb, what, fault, calls, step)
    return missing


def large(shop, step):
    """Large files are written another way: past the system's memory, and as ever where the disk refuses that."""
    missing = []
    shop = Shop(shop.kithbag, shop.collection.parent / "large", with_large_scan=True)
    for verb in ["inscribe" + LARGE, "pack" + LARGE, "pack --zip" + LARGE]:
        no_other_calls(shop, verb)
        if not any(at.stat().st_size > 5_000_000 for at in shop.into.rglob("*") if at.is_file()):
            raise Loss(f"{verb}: nothing large was written, so nothing would be tried")
        writing = ["write", "pwrite64", "fdatasync", "fsync", "syncfs"]
        for what, fault in [("signal=KILL", "killed"), ("error=ENOSPC", "disk full"), ("error=EIO", "disk fails")]:
            missing += at_calls(shop, verb, what, fault, writing, step)
        # A described copy is read while it is written, and so goes through the system's memory.
        if not verb.startswith("inscribe"):
            missing += at_calls(shop, verb, "error=EINVAL", "disk refuses what goes past the system's memory", ["pwrite64"], step)
    return missing


def at_calls(shop, verb, what, fault, calls, step):
    counts = {call: at_every_call(shop, verb, call, what, wide(call, step)) for call in calls}
    told = ", ".join(f"{call} {count}" for call, count in counts.items() if count)
    which = at_which(step) if {"openat", "read"} & set(counts) else at_which(step).split(" (")[0]
    if not told:
        return [not_tried(f"{verb}: {fault}", f"strace {which}", f"{', '.join(calls)}: never called")]
    row(f"{verb}: {fault}", f"strace {which}: {told}", sum(counts.values()))
    return []


def at_which(step):
    return "at each (openat, read: at every 7th)" if step == 1 else f"at one in {step} (openat, read: one in {step * 7})"


def wide(call, step):
    """Opening and reading are done hundreds of times before anything is written, by the loader among others."""
    return step * 7 if call in ("openat", "read") else step


def moments(shop, step):
    """Two hundred in all."""
    for verb in VERBS:
        row(f"{verb}: killed", "SIGKILL at a random moment", at_random_moments(shop, verb, max(1, 40 // step)))


PARTS = {"injected": injected, "moments": moments, "resumed": resumed, "sources": sources, "clocks": clocks, "large": large}


def main():
    reader = argparse.ArgumentParser()
    reader.add_argument("kithbag")
    reader.add_argument("--part", choices=PARTS, nargs="+", default=list(PARTS))
    reader.add_argument("--step", type=int, default=1)
    asked = reader.parse_args()
    print("| fault | how | tries | lost |\n|---|---|---|---|", flush=True)
    not_tried = []
    for name, part in PARTS.items():
        if name in asked.part:
            with tempfile.TemporaryDirectory() as root:
                try:
                    not_tried += part(Shop(os.path.abspath(asked.kithbag), Path(root)), asked.step) or []
                except Loss as loss:
                    sys.exit(f"LOST: {loss}")
    if not_tried:
        print(f"NOT TRIED, so the table is not whole: {'; '.join(not_tried)}", file=sys.stderr)
        sys.exit(3)


if __name__ == "__main__":
    main()
