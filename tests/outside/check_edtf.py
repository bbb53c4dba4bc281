"""Compares kithbag's verdicts on dates with those of an independent EDTF library (PyPI `edtf`).

Reads target/outside/edtf.json, which `KITHBAG_OUTSIDE=1 cargo test --test edtf_verdicts` writes: the 64 examples of the
specification and the strings that it forbids. Every difference has to stand in one of the two tables below with its
reason; a difference that is not there fails, and so does a reason that no longer has a difference.
"""

import contextlib
import io
import json
import sys

from edtf import parse_edtf

LENIENT = "the library is lenient here; the specification's form has no blank"
# Strings on whose validity the two disagree, and why kithbag is right by the specification (LoC, 4 February 2019).
VERDICTS = {
    "1984-1X": "an example of the specification itself (level 2, unspecified digit); the library cannot read it",
    "1984 ?": LENIENT,
    " 1863-03-29": LENIENT,
    "[1667, 1668]": LENIENT,
    "2012-24/2012-21": "winter before spring of one year: an interval that ends before it begins",
    "2005/2004": "an interval that ends before it begins",
    "[1672..1670]": "a range that ends before it begins",
    "../..": "the specification is silent; kithbag refuses what says nothing",
    "15X1-02-29": "no year 15X1 is a leap year: no such day",
    "1950S0": "no significant digit is no estimate",
    "1950S5": "a year of four digits has no five significant ones",
}
UNKNOWN_END = "the library gives an unknown end ten years by its own default; kithbag says unknown"
SIGNIFICANT = "the library ignores the significant digits in its strict bounds"
# Strings whose first or last day differs, and why.
BOUNDS = {
    "1985-04-12T23:20:30-04": "that moment is on 13 April in Universal Time; kithbag takes both days in, the library the local one",
    "2001-21": "the specification gives seasons no months; the library takes March to May, kithbag the year",
    "1985-04-12/": UNKNOWN_END,
    "1985-04/": UNKNOWN_END,
    "1985/": UNKNOWN_END,
    "/1985-04-12": UNKNOWN_END,
    "/1985-04": UNKNOWN_END,
    "/1985": UNKNOWN_END,
    "1950S2": SIGNIFICANT,
    "Y171010000S3": SIGNIFICANT,
    "Y3388E2S3": SIGNIFICANT,
}


def day(moment):
    if moment is None or isinstance(moment, float):
        return None
    return f"{moment.tm_year:04d}-{moment.tm_mon:02d}-{moment.tm_mday:02d}"


def theirs(text):
    """Returns None if the library refuses the text, otherwise its first and last day."""
    try:
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            read = parse_edtf(text)
    except Exception:
        return None
    return day(read.lower_strict()), day(read.upper_strict())


def main():
    with open("target/outside/edtf.json", encoding="utf-8") as file:
        ours = json.load(file)
    if len(ours) != 104:
        sys.exit(f"expected 104 verdicts, found {len(ours)}")
    faults, verdicts, bounds, same = [], set(), set(), 0
    for one in ours:
        text, other = one["text"], theirs(one["text"])
        if one["valid"] != (other is not None):
            verdicts.add(text)
            if text not in VERDICTS:
                faults.append(f"{text!r}: kithbag says valid={one['valid']}, the library says otherwise")
        elif other is not None and other != (one["earliest"], one["latest"]):
            bounds.add(text)
            if text not in BOUNDS:
                faults.append(f"{text!r}: kithbag {one['earliest']} to {one['latest']}, the library {other[0]} to {other[1]}")
        else:
            same += 1
    for text in sorted(set(VERDICTS) - verdicts) + sorted(set(BOUNDS) - bounds):
        faults.append(f"{text!r}: a difference is explained that is not there")
    if faults:
        sys.exit("\n".join(faults))
    print(f"dates: {len(ours)} strings, {same} the same, {len(verdicts)} verdicts and {len(bounds)} bounds differ, each explained")


if __name__ == "__main__":
    main()
