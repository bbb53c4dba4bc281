"""Clocks that cannot be trusted: put back between two commands, going backwards during one, files from the future."""

import hashlib
import os
import shutil
import subprocess
from pathlib import Path

from shop import DAY, Loss, not_tried, row, tree

# Before any of it was made, long before, and after: what a clock says that was put back, or never set, or is ahead.
OTHER_DAYS = ["2026-11-24", "1970-01-01", "2099-12-31"]
TIMES = {"long ago": 0, "in the future": 4_000_000_000, "before 1970": -86_400}


def clocks(shop, step):
    row("survey, pack, audit: each under another clock", f"--as-of {', '.join(OTHER_DAYS)} after {DAY}", put_back(shop))
    row("audit of a damaged package under another clock", f"--as-of {', '.join(OTHER_DAYS)}: must not be called sound", damaged(shop))
    row("a ledger whose lines are not in the order of their days", f"audit --ledger as of {DAY}, then as of {', '.join(OTHER_DAYS)}", ledger(shop))
    row("an edition of another day than the one it follows", f"pack --supersedes as of {', '.join(OTHER_DAYS)}", editions(shop))
    row("a scan changes, and its time goes backwards or ahead", f"same length, its time {', '.join(TIMES)}; pack, survey and pack anew", times(shop))
    return backwards(shop)


def package(shop, day):
    return shop.into / f"collection-keeping-{day}"


def sound(shop, day, where, *more):
    done = shop.run(["audit", str(where), *more], as_of=day)
    if done.returncode != 0:
        raise Loss(f"audit as of {day}: exit {done.returncode}: {done.stdout[-300:]}{done.stderr[-300:]}")


def put_back(shop):
    """The survey is of DAY already, as the shop was made."""
    tries = 0
    for packed in OTHER_DAYS:
        shop.fresh()
        for verb in ["pack", "pack --zip"]:
            shop.run(shop.words(verb), check=True, as_of=packed)
        shop.whole()
        for audited in [DAY, *OTHER_DAYS]:
            for where in [package(shop, packed), package(shop, packed).with_name(package(shop, packed).name + ".zip")]:
                sound(shop, audited, where)
                tries += 1
        shop.run(shop.words("survey"), check=True, as_of=packed)
        shop.check("survey", shop.run(shop.words("survey"), as_of=DAY), killed=False)
        tries += 2
    return tries


def damaged(shop):
    shop.fresh()
    shop.run(shop.words("pack"), check=True)
    scan = next(package(shop, DAY).rglob("originals/**/*.jpg"))
    os.chmod(scan, 0o644)
    bytes_ = scan.read_bytes()
    scan.write_bytes(bytes_[:-40] + bytes(40))
    # As a thief of evidence would: the time of change is put back to what it was.
    os.utime(scan, (0, 0))
    for day in OTHER_DAYS:
        done = shop.run(["audit", str(package(shop, DAY))], as_of=day)
        if done.returncode != 1 or scan.name not in done.stdout + done.stderr:
            raise Loss(f"audit of a damaged package as of {day}: exit {done.returncode}: {done.stdout[-300:]}")
    return len(OTHER_DAYS)


def ledger(shop):
    shop.fresh()
    shop.run(shop.words("pack"), check=True)
    kept = shop.into / "audits.jsonl"
    sound(shop, DAY, package(shop, DAY), "--ledger", str(kept))
    for count, day in enumerate(OTHER_DAYS, 2):
        before = kept.read_bytes()
        sound(shop, day, package(shop, DAY), "--ledger", str(kept))
        after = kept.read_bytes()
        if not after.startswith(before) or after.count(b"\n") != before.count(b"\n") + 1 or day.encode() not in after[len(before):]:
            raise Loss(f"ledger, line {count}: earlier lines changed, or the new one is missing")
    return len(OTHER_DAYS)


def editions(shop):
    for day in OTHER_DAYS:
        shop.fresh()
        shop.run(shop.words("pack"), check=True)
        first = tree(package(shop, DAY))
        shop.run([*shop.words("pack"), "--supersedes", str(package(shop, DAY))], check=True, as_of=day)
        shop.whole()
        sound(shop, DAY, package(shop, day))
        if tree(package(shop, DAY)) != first:
            raise Loss(f"an edition as of {day}: the earlier one changed")
    return len(OTHER_DAYS)


def times(shop):
    """A changed scan is never taken for the old one by the memory of a survey or of a package, whichever way its time went."""
    scan = shop.collection / "A-001 front.jpg"
    kept = scan.read_bytes()
    # In the midst of the coded picture, which stays one that can be read.
    middle = len(kept) // 2
    changed = kept[:middle] + bytes(40) + kept[middle + 40:]
    for name, seconds in TIMES.items():
        shop.fresh()
        shop.run(shop.words("survey"), check=True)
        shop.run(shop.words("pack"), check=True)
        scan.write_bytes(changed)
        os.utime(scan, (seconds, seconds))
        again = shop.run(shop.words("pack"))
        seen = shop.run([*shop.words("survey"), "--json"]).stdout
        shutil.rmtree(shop.into)
        anew = shop.run(shop.words("pack"))
        packed = [at.read_bytes() for at in shop.into.rglob("originals/**/*front*.jpg")]
        shop.whole()
        scan.write_bytes(kept)
        if again.returncode != 3:
            raise Loss(f"a scan whose time is {name}: the earlier package was taken for that of the changed scan: {again.stdout[-300:]}")
        if hashlib.sha256(changed).hexdigest() not in seen:
            raise Loss(f"a scan whose time is {name}: the survey did not look again")
        if anew.returncode != 0 or packed != [changed]:
            raise Loss(f"a scan whose time is {name}: exit {anew.returncode}, or old bytes were packed: {anew.stderr[-300:]}")
    return len(TIMES)


CLOCK = r"""
/* Whoever asks this process's clock for the time of day gets it 40 days earlier each time. The calls that were answered are counted in a file. */
#define _GNU_SOURCE
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

static atomic_long asked;

static long earlier(void) { return 40L * 86400L * atomic_fetch_add(&asked, 1); }

int clock_gettime(clockid_t clock, struct timespec *now) {
  int failed = syscall(SYS_clock_gettime, clock, now);
  if (!failed && (clock == CLOCK_REALTIME || clock == CLOCK_REALTIME_COARSE)) now->tv_sec -= earlier();
  return failed;
}
int gettimeofday(struct timeval *now, void *zone) {
  int failed = syscall(SYS_gettimeofday, now, zone);
  if (!failed) now->tv_sec -= earlier();
  return failed;
}
time_t time(time_t *room) {
  struct timespec now;
  clock_gettime(CLOCK_REALTIME, &now);
  if (room) *room = now.tv_sec;
  return now.tv_sec;
}
__attribute__((destructor)) static void told(void) {
  FILE *file = fopen(getenv("ASKED_FOR_TIME"), "w");
  if (file) { fprintf(file, "%ld", atomic_load(&asked)); fclose(file); }
}
"""


def backwards(shop):
    """During a run, without --as-of: strace cannot do this, since the clock is read without a system call."""
    fault, how = "a clock that goes backwards during a run", "every answer of the clock 40 days before the last"
    root = shop.collection.parent
    (root / "clock.c").write_text(CLOCK)
    library = root / "clock.so"
    if not shutil.which("cc") or subprocess.run(["cc", "-shared", "-fPIC", "-O1", "-o", library, root / "clock.c"]).returncode != 0:
        return [not_tried(fault, how, "no C compiler")]
    tries = asked = 0
    for verb in ["survey, new catalogue", "survey, one scan more", "inscribe", "pack", "pack --zip"]:
        shop.fresh(verb)
        told = root / "asked"
        told.unlink(missing_ok=True)
        under = {**os.environ, "LD_PRELOAD": str(library), "ASKED_FOR_TIME": str(told)}
        done = subprocess.run([shop.kithbag, *shop.words(verb), "--quiet"], capture_output=True, text=True, timeout=120, env=under)
        if done.returncode != 0:
            raise Loss(f"{verb}, {fault}: exit {done.returncode}: {done.stderr[-600:]}")
        count = int(told.read_text())
        if count == 0:
            raise Loss(f"{verb}, {fault}: the clock that was put under it was never asked")
        shop.check(verb, done, killed=False)
        same_as_of_one_day(shop, verb)
        tries += 1
        asked += count
    row(fault, f"{how} (a library put before the system's; asked {asked} times)", tries)
    return []


def same_as_of_one_day(shop, verb):
    """What was packed is what one day alone would have given: the clock was asked for the day once, and never trusted again."""
    if not verb.startswith("pack"):
        return
    made = next(at for at in shop.into.iterdir() if "receipt" not in at.name and not at.name.startswith("."))
    day = Path(made.name.removesuffix(".zip")).name[-10:]
    first = tree(made)
    shutil.rmtree(shop.into)
    shop.run(shop.words(verb), check=True, as_of=day)
    if tree(made) != first:
        raise Loss(f"{verb}: another package than one as of {day}")
