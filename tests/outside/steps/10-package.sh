# The sample packed for each audience, as folder and zip: stock checksum commands, audit, sameness, no coordinates.
set -euo pipefail
day=2026-11-25
sample=samples/trevanick-pair
# Packs into two folders at the same time: one alone leaves a processor idle for much of it.
twice() {
  "$KITHBAG" pack "$sample" --into "$OUT/first" --as-of "$day" --quiet "$@" &
  local first=$!
  "$KITHBAG" pack "$sample" --into "$OUT/second" --as-of "$day" --quiet "$@"
  wait "$first"
}
for audience in keeping archive family public; do
  twice --for "$audience"
  twice --for "$audience" --zip
  name="trevanick-pair-$audience-$day"
  diff -r "$OUT/first/$name" "$OUT/second/$name"
  cmp "$OUT/first/$name.zip" "$OUT/second/$name.zip"
  unzip -tqq "$OUT/first/$name.zip"
  (cd "$OUT/first/$name" &&
    sha256sum --quiet -c manifest-sha256.txt && sha512sum --quiet -c manifest-sha512.txt &&
    sha256sum --quiet -c tagmanifest-sha256.txt && sha512sum --quiet -c tagmanifest-sha512.txt)
  "$PYTHON" tests/outside/check_package.py "$OUT/first/$name.zip" "$OUT/first/$name"
  for page in START-HERE.html START-HERE.txt LABELS.html; do grep -q "  $page$" "$OUT/first/$name/tagmanifest-sha256.txt"; done
  if grep -q tagmanifest "$OUT/first/$name"/tagmanifest-*.txt || find "$OUT/first/$name/data" -name '*.html' ! -name rights.html | grep -q .; then
    echo "a tag manifest lists itself, or a page other than the rights worksheet lies in the payload" >&2
    exit 1
  fi
  "$KITHBAG" audit "$OUT/first/$name" "$OUT/first/$name.zip" --quiet
  echo "$audience: folder and zip the same twice over, four manifests, unzip and audit agree"
done

# Cut into parts: each part checked as above, and together they hold the pictures of the whole.
"$KITHBAG" pack "$sample" --for family --into "$OUT/folders" --as-of "$day" --quiet --split-at 3MB
"$KITHBAG" pack "$sample" --for family --into "$OUT/zips" --as-of "$day" --quiet --split-at 3MB --zip
name="trevanick-pair-family-$day"
parts=0
for part in "$OUT/folders/$name"/*/; do
  part=$(basename "$part")
  unzip -tqq "$OUT/zips/$name/$part.zip"
  "$PYTHON" tests/outside/check_package.py "$OUT/zips/$name/$part.zip" "$OUT/folders/$name/$part"
  (cd "$OUT/folders/$name/$part" &&
    sha256sum --quiet -c manifest-sha256.txt && sha512sum --quiet -c manifest-sha512.txt &&
    sha256sum --quiet -c tagmanifest-sha256.txt && sha512sum --quiet -c tagmanifest-sha512.txt)
  parts=$((parts + 1))
done
[ "$parts" -gt 1 ]
pictures() { (cd "$1" && find . -path '*/portraits/*' -type f -o -path '*/viewing/*' -type f | sed 's,.*/data/,data/,' | sort); }
diff <(pictures "$OUT/first/$name") <(pictures "$OUT/folders/$name")
"$KITHBAG" audit "$OUT/folders/$name" "$OUT/zips/$name" --quiet
echo "$parts parts: manifests, unzip, Python and audit agree; together they hold every picture of the whole once"

# The commands that README and START-HERE.txt print for this platform, taken from there.
for page in README.md "$OUT/first/$name/START-HERE.txt"; do
  command=$(grep -o 'sha256sum --quiet -c manifest-sha256.txt' "$page" | head -1)
  (cd "$OUT/first/$name" && [ -z "$($command 2>&1)" ] && ${command/manifest/tagmanifest})
  cp -r "$OUT/first/$name" "$OUT/damaged"
  printf x >> "$OUT/damaged/data/rights.txt"
  (cd "$OUT/damaged" && ! $command >/dev/null 2>&1)
  rm -r "$OUT/damaged"
done
if command -v shasum >/dev/null; then (cd "$OUT/first/$name" && shasum -a 256 -c manifest-sha256.txt >/dev/null); fi
echo "the stock command of README.md and START-HERE.txt is silent on a sound package and fails on a damaged one"

git diff --exit-code --stat -- samples
echo "the samples themselves were not changed"
