#!/usr/bin/env python3
"""Answers the list of people who may be living as a careful giver does: yes where somebody agreed, else no.

Usage: answer_list.py LIST ANSWERED        Python's own CSV reader and writer, so that the list is read by a second program.
"""
import csv
import sys

with open(sys.argv[1], encoding="utf-8-sig", newline="") as source:
    rows = list(csv.reader(source))
for row in rows[1:]:
    row[0] = "yes" if row[1].startswith("yes / no") and "not them" not in row[1] else "no"
with open(sys.argv[2], "w", encoding="utf-8", newline="") as target:
    csv.writer(target, delimiter=";").writerows(rows)
print(f"{len(rows) - 1} things answered")
