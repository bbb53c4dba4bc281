# Catalogues through LibreOffice and back: XLSX to ODS to XLSX, to CSV and back, and CSV opened as a person does, with dates and numbers.
# Each must read as the same record, or tell what the spreadsheet did, with sheet, row and column.
set -euo pipefail
if ! command -v soffice >/dev/null; then
  echo "not run: no soffice. Catalogues were not sent through a spreadsheet program."
  exit 0
fi
here="$OUT/spreadsheet" tool=tests/outside/spreadsheet.py
mkdir -p "$here"
office() { # FORM FOLDER FILE...
  local form="$1" into="$2"; shift 2
  timeout 180 soffice --headless "-env:UserInstallation=file://$here/profile" --infilter="${infilter:-}" \
    --convert-to "$form" --outdir "$into" "$@" >>"$here/soffice.log" 2>&1
  [ "$(find "$into" -type f | wc -l)" -ge $# ] || { echo "soffice wrote too little: see $here/soffice.log" >&2; exit 1; }
}
read_all() { # FOLDER...: what kithbag says of each
  local folder
  for folder in "$@"; do
    for verb in weigh survey; do
      "$KITHBAG" "$verb" "$here/$folder" --json --as-of 2026-11-26 --quiet >"$here/$folder/$verb.json" || [ $? -eq 1 ]
    done
  done
}
put() { mkdir -p "$here/$2"; cp "$here/$1" "$here/$2/catalogue.${1##*.}"; }
same() { "$PYTHON" "$tool" same "$@"; }
utf8_csv='CSV:44,34,76,1' all_sheets='csv:Text - txt - csv (StarCalc):44,34,76,1,,0,false,true,false,false,false,-1'
soffice --version | head -1

# The sample's sheets as they are, as LibreOffice takes the cells of a CSV file for days and numbers, and with two texts in them that it
# takes for days; and the workbook that survey drafts, with its lists and pictures.
mkdir -p "$here/sheets" "$here/draft"
cp -r samples/tillyard-box/catalogue "$here/sheets/"
"$PYTHON" "$tool" join samples/tillyard-box/catalogue "$here/plain.xlsx"
infilter="$utf8_csv" office xlsx "$here/typed-box" samples/tillyard-box/catalogue/*.csv
"$PYTHON" "$tool" join "$here/typed-box" "$here/typed.xlsx"
cp -r samples/tillyard-box/catalogue "$here/hurt-sheets"
sed -i 's/"no. 4471","back, lower right, in ink"/"6\/18","back, lower right, in ink"/' "$here/hurt-sheets/portraits.csv"
sed -i 's/"1822-03"/"March 1822"/' "$here/hurt-sheets/people.csv"
infilter="$utf8_csv" office xlsx "$here/typed-hurt" "$here"/hurt-sheets/*.csv
"$PYTHON" "$tool" join "$here/typed-hurt" "$here/hurt.xlsx"
cp -r samples/trevanick-pair "$here/pair"
mv "$here/pair/catalogue" "$here/pair-sheets"
"$KITHBAG" survey "$here/pair" --as-of 2026-11-26 --quiet
cp "$here/pair/catalogue.xlsx" "$here/draft.xlsx"

books="plain typed hurt draft"
office ods "$here/ods" "$here"/{plain,typed,hurt,draft}.xlsx
office xlsx "$here/xlsx" "$here"/ods/*.ods
office "$all_sheets" "$here/csv" "$here/xlsx/plain.xlsx"
"$PYTHON" "$tool" split "$here/csv" plain "$here/csv-again/catalogue"
for form in ods xlsx; do
  for book in $books; do put "$form/$book.$form" "$book-$form"; done
done
for book in $books; do put "$book.xlsx" "$book"; done
read_all sheets csv-again {plain,typed,hurt,draft}{,-ods,-xlsx}

for form in plain plain-ods plain-xlsx csv-again; do same "$form" "$here/sheets" "$here/$form"; done
for form in draft-ods draft-xlsx; do same "$form" "$here/draft" "$here/$form"; done
for form in hurt hurt-ods hurt-xlsx; do
  "$PYTHON" "$tool" told "$form" "$here/$form" "became-a-date:Words found:5:The words exactly" \
    "became-a-date:Portraits:5:Number on it" "became-a-date:Portraits:6:Number on it" "date-cell-first-of-month:People:3:Born"
done
# "Oct 3 1865" is a day to a spreadsheet, and 2 1/2 and 18.00 are numbers.
for form in typed typed-ods typed-xlsx; do
  same "$form" "$here/sheets" "$here/$form" "became-a-date:Words found:5:The words exactly" \
    "differs:.words[3].text.given"
done
