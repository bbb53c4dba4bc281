#!/usr/bin/env bash
# The captions of packages, read by FreeType: under each picture stands the name that the record allows, and no other. The sample
# names nobody; in the copy of it whose claim was raised to "proved" (step 40) that name must be read.
set -euo pipefail
day=2026-11-25
for audience in keeping archive family public; do
  "$PYTHON" tests/outside/check_captions.py "$OUT/first/trevanick-pair-$audience-$day"
done
"$PYTHON" tests/outside/check_captions.py "$OUT/proved/pair-family-$day" "Edwin Marrack"
