//! Writes kithbag's verdicts on dates for the outside check `tests/outside/check_edtf.py`, which compares them with those of an
//! independent library. Runs only when `KITHBAG_OUTSIDE` is set; the verdicts themselves are tested in `src/record/date/tests`.

use kithbag::record::Bound;
use kithbag::record::Edtf;

const LISTS: [&str; 2] = [
    include_str!("../src/record/date/tests/loc_examples.tsv"),
    include_str!("../src/record/date/tests/forbidden.tsv"),
];

#[test]
fn verdicts_are_written_for_the_outside_check() {
    if std::env::var_os("KITHBAG_OUTSIDE").is_none() {
        println!("not run: KITHBAG_OUTSIDE is not set");
        return;
    }
    let of_list = |(list, column): (&'static str, usize)| {
        list.lines()
            .skip(1)
            .map(move |line| line.split('\t').nth(column).unwrap())
    };
    let verdicts: Vec<serde_json::Value> = LISTS
        .into_iter()
        .zip([2, 0])
        .flat_map(of_list)
        .map(|text| {
            let date = Edtf::parse(text).ok();
            let day = |bound: Bound| bound.day().map(|day| day.to_string());
            serde_json::json!({
                "text": text,
                "valid": date.is_some(),
                "earliest": date.as_ref().and_then(|date| day(date.bounds().0)),
                "latest": date.as_ref().and_then(|date| day(date.bounds().1)),
            })
        })
        .collect();
    assert_eq!(verdicts.len(), 104);
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/outside");
    std::fs::create_dir_all(&folder).unwrap();
    let text = serde_json::to_string_pretty(&verdicts).unwrap();
    std::fs::write(folder.join("edtf.json"), text).unwrap();
}
