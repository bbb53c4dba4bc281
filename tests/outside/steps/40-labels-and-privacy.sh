# What other programs read in the copies of the sample, and that nothing private left: GPS as stored (second fractions in both byte
# orders) and as text, serial number, price, storage place, the living descendant, in every byte of the outgoing packages.
set -euo pipefail
day=2026-11-25
"$PYTHON" tests/outside/check_labels.py "$OUT/first/trevanick-pair-keeping-$day"
# Nobody is proved in the sample. With one claim raised in a copy of it, that sitter must be read back, and nobody else.
mkdir -p "$OUT/proved"
cp -r samples/trevanick-pair "$OUT/proved/pair"
sed -i '0,/"possible"/s//"proved"/' "$OUT/proved/pair/catalogue/who-is-it.csv"
"$KITHBAG" pack "$OUT/proved/pair" --for family --into "$OUT/proved" --as-of "$day" --quiet
"$PYTHON" tests/outside/check_labels.py "$OUT/proved/pair-family-$day" | tee "$OUT/proved/read"
grep -q "Edwin Marrack" "$OUT/proved/read"
for audience in family public archive; do
  package="$OUT/first/trevanick-pair-$audience-$day"
  "$PYTHON" tests/outside/check_labels.py "$package"
  private=("Rosalind Keverne" "Keverne")
  if [ "$audience" != archive ]; then
    # An archive gets the originals untouched, as donors are asked; the sender is told what they hold.
    private+=("PX7-00418-INVENTED" "49.189847" "13.618942" "hex:2909000064000000" "hex:0000092900000064" "hex:3303000064000000" "hex:0000033300000064")
  fi
  "$PYTHON" tests/outside/check_private.py "$package" "${private[@]}"
done
"$PYTHON" tests/outside/check_private.py "$OUT/first/trevanick-pair-family-$day.zip" "PX7-00418-INVENTED" "hex:2909000064000000" "hex:0000092900000064"
# The check itself must be able to find: the keeping package holds all of it.
if "$PYTHON" tests/outside/check_private.py "$OUT/first/trevanick-pair-keeping-$day" "PX7-00418-INVENTED" > /dev/null; then
  echo "the search finds nothing even where it must" >&2
  exit 1
fi
