"""The collection itself is odd, or fails, or changes while it is read."""

import os
import shutil
import subprocess
import sys
import time

from shop import DAY, Loss, Shop, digests, not_tried, remove, row, tree, tried


def sources(shop, step):
    """The collection itself is odd, or fails while it is read."""
    scan = shop.collection / "A-001 front.jpg"
    row("pack: original opened for writing", "strace of every open below the collection", opened_read_only(shop))
    for error in ["EIO", "ENOENT", "EACCES"]:
        call = "read" if error == "EIO" else "openat"
        tries = 0
        while tried(shop, "pack", lambda: on_path(shop, scan, f"{call}:error={error}:when={tries * step + 1}"), killed=False):
            tries += 1
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
    return read_only(shop)


def read_only(shop):
    """The collection lies on a disk that refuses every writing: what only reads works as ever, what writes into it says so."""
    fault, how = "a collection that cannot be written", "mounted read-only in a namespace of its own"
    shop.fresh()
    shop.run(shop.words("pack"), check=True)
    writable = tree(shop.into / f"collection-keeping-{DAY}")
    probe = ["sh", "-c", f"! touch '{shop.collection}/probe' 2>/dev/null && test -r '{shop.collection}/catalogue.xlsx'"]
    if subprocess.run([*mounted(shop), *probe], capture_output=True).returncode != 0:
        return [not_tried(fault, how, "mounting was refused")]
    tries = 0
    for verb, code in READ_ONLY.items():
        shop.fresh(verb)
        before = tree(shop.collection)
        words = shop.words(verb) if verb != "weigh" else ["weigh", str(shop.collection)]
        done = subprocess.run([*mounted(shop), shop.kithbag, *words, "--as-of", DAY, "--quiet"], capture_output=True, text=True, timeout=120)
        if done.returncode != code:
            raise Loss(f"{verb}, {how}: exit {done.returncode}: {done.stderr[-600:]}")
        if code == 3 and str(shop.collection) not in done.stderr:
            raise Loss(f"{verb}, {how}: the place was not named: {done.stderr[-600:]}")
        if tree(shop.collection) != before:
            raise Loss(f"{verb}, {how}: the collection changed")
        shop.whole()
        if verb == "pack" and tree(shop.into / f"collection-keeping-{DAY}") != writable:
            raise Loss(f"{verb}, {how}: another package than from a disk that can be written")
        tries += 1
    row(f"survey, weigh, inscribe, pack, pack --zip: {fault}", how, tries)
    return []


# What a verb answers there: a survey cannot leave its catalogue, everything else writes elsewhere.
READ_ONLY = {"survey, new catalogue": 3, "survey, one scan more": 3, "weigh": 0, "inscribe": 0, "pack": 0, "pack --zip": 0}


def mounted(shop):
    """What runs a command that sees the collection read-only; nobody else sees it so."""
    folder = str(shop.collection)
    script = 'mount --bind "$0" "$0" && mount -o remount,bind,ro "$0" && exec "$@"'
    return ["unshare", "--map-root-user", "--mount", "sh", "-c", script, folder]


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
