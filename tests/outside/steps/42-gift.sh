# A gift to a society, with copies for relatives who refused or are under age: packed for three audiences with the list of living people
# answered by another program, then every byte of every package searched, folder and zip, by Python and Pillow.
set -euo pipefail
day=2026-11-25
"$PYTHON" tests/outside/check_private.py --self-test | tail -n 1
for audience in archive family public; do
  name="ravelock-gift-$audience-$day"
  "$KITHBAG" pack samples/ravelock-gift --for "$audience" --into "$OUT/gift-looked" --as-of "$day" --quiet > "$OUT/gift-$audience.txt" || true
  answers=()
  if [ -e "$OUT/gift-looked/$name-living.csv" ]; then
    "$PYTHON" tests/outside/answer_list.py "$OUT/gift-looked/$name-living.csv" "$OUT/gift-$audience.csv"
    answers=(--yes-living "$OUT/gift-$audience.csv")
  fi
  "$KITHBAG" pack samples/ravelock-gift --for "$audience" --into "$OUT/gift" --as-of "$day" --quiet "${answers[@]}" > /dev/null
  "$KITHBAG" pack samples/ravelock-gift --for "$audience" --into "$OUT/gift" --as-of "$day" --quiet --zip "${answers[@]}" > /dev/null
  private=("Saskia" "Venn" "Odo Venn" "Odo is nine" "Sallow Lane" "Marguerite" "Aldous" "01632 960155" "Mill House" "Bureau, second drawer")
  if [ "$audience" != archive ]; then
    # An archive gets the originals untouched, as donors are asked; the giver is told what they hold.
    private+=("imogen.ravelock@mail.example" "PX4-77120-INVENTED" "47.875297" "14.148783"
      "hex:00000c2300000064" "hex:230c000064000000" "hex:000015ba00000064" "hex:ba15000064000000")
  fi
  if [ "$audience" = public ]; then private+=("Imogen" "Piers"); fi
  "$PYTHON" tests/outside/check_private.py "$OUT/gift/$name" "${private[@]}"
  "$PYTHON" tests/outside/check_private.py "$OUT/gift/$name.zip" "${private[@]}"
  "$KITHBAG" audit "$OUT/gift/$name" "$OUT/gift/$name.zip" --quiet
done
# The search must be able to find: the package for own keeping holds all of it.
"$KITHBAG" pack samples/ravelock-gift --for keeping --into "$OUT/gift" --as-of "$day" --quiet > /dev/null
for text in "Saskia" "Sallow Lane" "Marguerite" "01632 960155" "PX4-77120-INVENTED" "Bureau, second drawer" "hex:00000c2300000064"; do
  if "$PYTHON" tests/outside/check_private.py "$OUT/gift/ravelock-gift-keeping-$day" "$text" > /dev/null; then
    echo "the search does not find “$text” even where it must be" >&2
    exit 1
  fi
done
