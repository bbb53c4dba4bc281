# Real camera and test images: drafted, packed for keeping, audited; pixels compared by other decoders.
set -euo pipefail
mkdir -p "$OUT/ordinary"
cp -r "$KITHBAG_SHARED/data/images/ordinary/." "$OUT/ordinary/"
chmod -R u+w "$OUT/ordinary"
before=$(cd "$OUT/ordinary" && find . -type f -print0 | sort -z | xargs -0 sha256sum | sha256sum)
"$KITHBAG" survey "$OUT/ordinary" --as-of 2026-11-25 --quiet
"$KITHBAG" pack "$OUT/ordinary" --for keeping --into "$OUT/real" --as-of 2026-11-25 --quiet
"$KITHBAG" audit "$OUT/real/ordinary-keeping-2026-11-25" --quiet
"$PYTHON" tests/outside/check_pixels.py "$OUT/real/ordinary-keeping-2026-11-25"
after=$(cd "$OUT/ordinary" && find . -type f ! -name 'catalogue*' ! -name .kithbag-cache -print0 | sort -z | xargs -0 sha256sum | sha256sum)
[ "$before" = "$after" ] || { echo "an original was changed" >&2; exit 1; }
echo "all originals unchanged"
