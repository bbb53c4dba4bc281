# The sample packed for each audience, as folder and zip: stock checksum commands, audit, sameness, no coordinates.
set -euo pipefail
day=2026-11-25
sample=samples/trevanick-pair
for audience in keeping archive family public; do
  "$KITHBAG" pack "$sample" --for "$audience" --into "$OUT/first" --as-of "$day" --quiet
  "$KITHBAG" pack "$sample" --for "$audience" --into "$OUT/second" --as-of "$day" --quiet
  "$KITHBAG" pack "$sample" --for "$audience" --into "$OUT/first" --as-of "$day" --quiet --zip
  "$KITHBAG" pack "$sample" --for "$audience" --into "$OUT/second" --as-of "$day" --quiet --zip
  name="trevanick-pair-$audience-$day"
  diff -r "$OUT/first/$name" "$OUT/second/$name"
  cmp "$OUT/first/$name.zip" "$OUT/second/$name.zip"
  unzip -tqq "$OUT/first/$name.zip"
  (cd "$OUT/first/$name" &&
    sha256sum --quiet -c manifest-sha256.txt && sha512sum --quiet -c manifest-sha512.txt &&
    sha256sum --quiet -c tagmanifest-sha256.txt && sha512sum --quiet -c tagmanifest-sha512.txt)
  "$KITHBAG" audit "$OUT/first/$name" "$OUT/first/$name.zip" --quiet
  echo "$audience: folder and zip the same twice over, four manifests, unzip and audit agree"
done
git diff --exit-code --stat -- samples
echo "the samples themselves were not changed"
