# Described copies of the real images and of one drawn file of every variant: compared byte by byte with walkers, decoders and RDF
# readers that know nothing of kithbag, and given back.
set -euo pipefail
work="$OUT/embedding"
mkdir -p "$work/collection"
cp -r "$KITHBAG_SHARED/data/images/ordinary" "$work/collection/real"
chmod -R u+w "$work/collection/real"
"$PYTHON" tests/outside/draw_matrix.py "$work/collection/matrix"
"$KITHBAG" survey "$work/collection" --sheets csv --as-of 2026-11-25 --quiet > "$work/survey.txt"
"$PYTHON" tests/outside/check_embedding.py fill "$work/collection"
originals() { (cd "$work/collection" && find real matrix refused -type f -print0 | sort -z | xargs -0 sha256sum | sha256sum); }
before=$(originals)
"$KITHBAG" inscribe "$work/collection" --into "$work/copies" --json --quiet > "$work/set.json"
find "$work/copies" -type f ! -name '*.xmp' -print0 | sort -z |
  xargs -0 "$KITHBAG" inscribe --undo --into "$work/back" --json --quiet > "$work/undone.json"
"$PYTHON" tests/outside/check_embedding.py "$work/collection" "$work/copies" "$work/set.json" "$work/back" "$work/undone.json"
[ "$before" = "$(originals)" ] || { echo "an original was changed" >&2; exit 1; }
echo "all originals unchanged"
# What kithbag reads from Exif, IPTC-IIM and XMP, side by side with Pillow.
"$KITHBAG" weigh "$work/collection" --json --quiet --as-of 2026-11-25 > "$work/weighed.json"
"$PYTHON" tests/outside/check_reading.py "$work/collection" "$work/weighed.json"
