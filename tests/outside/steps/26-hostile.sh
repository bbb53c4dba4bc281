# Damaged files and packets made to do harm, one process each, measured from outside: time, memory, originals, pixels.
set -euo pipefail
mkdir -p "$OUT/hostile"
"$PYTHON" tests/outside/check_hostile.py "$KITHBAG" "$OUT/embedding/collection/matrix" "$KITHBAG_SHARED/data/images/ordinary" \
  "$KITHBAG_SHARED/data/images/broken" --work "$OUT/hostile/work" > "$OUT/hostile/told" 2> "$OUT/hostile/decoders" ||
  { cat "$OUT/hostile/decoders" "$OUT/hostile/told" >&2; exit 1; }
# Decoders complain about damaged pictures by themselves; what counts is what the check says.
tail -n 2 "$OUT/hostile/told"
