# The drafted workbook in openpyxl: sheets, lists, frozen headings, text cells, pictures; drafted twice with the same bytes.
set -euo pipefail
for round in first second; do
  mkdir -p "$OUT/workbook/$round"
  cp -r samples/trevanick-pair "$OUT/workbook/$round/"
  rm -rf "$OUT/workbook/$round"/trevanick-pair/catalogue*
  "$KITHBAG" survey "$OUT/workbook/$round/trevanick-pair" --as-of 2026-11-25 --quiet
done
cmp "$OUT/workbook/first/trevanick-pair/catalogue.xlsx" "$OUT/workbook/second/trevanick-pair/catalogue.xlsx"
"$PYTHON" tests/outside/check_workbook.py "$OUT/workbook/first/trevanick-pair/catalogue.xlsx" 8 3 3
