# The forms that archives and families load, read by other programs: GEDZIP, RO-Crate, event log, record; and a second edition.
set -euo pipefail
first=2026-11-25 second=2027-03-01
mkdir -p "$OUT/forms"
cp -r samples/trevanick-pair "$OUT/forms/pair"
"$KITHBAG" pack "$OUT/forms/pair" --for family --into "$OUT/forms" --as-of "$first" --quiet
"$PYTHON" tests/outside/check_forms.py "$OUT/forms/pair-family-$first"
# One claim raised, with the place of the face.
claims="$OUT/forms/pair/catalogue/who-is-it.csv"
sed -i 's/"A-001","only one","","P-01","possible"/"A-001","only one","0.25, 0.2, 0.5, 0.4","P-01","proved"/' "$claims"
sed -i '0,/"A-002","only one",""/s//"A-002","only one","0.1, 0.05, 0.3, 0.25"/' "$claims"
"$KITHBAG" pack "$OUT/forms/pair" --for family --into "$OUT/forms" --as-of "$second" --supersedes "$OUT/forms/pair-family-$first" --quiet
package="$OUT/forms/pair-family-$second"
"$PYTHON" tests/outside/check_forms.py "$package" "Edwin Marrack" | tee "$OUT/forms/told"
grep -q " 1 faces" "$OUT/forms/told"
"$PYTHON" tests/outside/check_regions.py "$package" A-001 0.25 0.2 0.5 0.4 "Edwin Marrack"
"$PYTHON" tests/outside/check_regions.py "$package" A-002 0.1 0.05 0.3 0.25
grep -q "$(sha256sum "$OUT/forms/pair-family-$first/manifest-sha256.txt" | cut -d' ' -f1)" "$package/bag-info.txt"
"$PYTHON" "$KITHBAG_SHARED/tools/check-ro-crate" "$package/data" > "$OUT/forms/crate.log" || { cat "$OUT/forms/crate.log"; exit 1; }
echo "the crate passes the validator's required checks"
# The validator must be able to refuse.
cp -r "$package/data" "$OUT/forms/undated"
sed -i '/"datePublished"/d' "$OUT/forms/undated/ro-crate-metadata.json"
if "$PYTHON" "$KITHBAG_SHARED/tools/check-ro-crate" "$OUT/forms/undated" > /dev/null; then
  echo "the validator passes a crate without a date" >&2
  exit 1
fi
echo "the validator refuses a crate without a date"
