use super::*;
use crate::catalogue::columns::PORTRAITS;

fn column(heading: &str) -> &'static Column {
    PORTRAITS
        .columns
        .iter()
        .find(|column| column.heading == heading)
        .expect("a column")
}

fn codes(heading: &str, text: &str, kind: Kind) -> Vec<&'static str> {
    let cell = Cell {
        text: text.to_owned(),
        kind,
    };
    inspect(column(heading), &cell)
        .iter()
        .map(|damage| damage.code)
        .collect()
}

fn remedy(heading: &str, text: &str, kind: Kind) -> String {
    let cell = Cell {
        text: text.to_owned(),
        kind,
    };
    inspect(column(heading), &cell)
        .first()
        .expect("a damage")
        .remedy
        .clone()
}

#[test]
fn a_number_that_became_a_day_in_june() {
    for text in [
        "18-Jun", "Jun-18", "18/Jun", "18 jun", "18-Juin", "18-juin", "18. Jun", "18.Jun",
        "18-giu", "18-cze", "18 juni", "Jun.-18", "18-June",
    ] {
        assert_eq!(codes("Number on it", text, Kind::Text), ["became-a-date"]);
        assert!(remedy("Number on it", text, Kind::Text).contains("“6-18”"));
    }
    assert_eq!(
        codes("Number on it", "2026-06-18", Kind::Date),
        ["became-a-date"]
    );
    assert!(remedy("Number on it", "2026-06-18", Kind::Date).contains("“6-18”"));
    for text in [
        "6-18",
        "no. 6-18",
        "18-June Street",
        "Jun",
        "-",
        "Jun-Jul",
        "18-Jun-Jul",
        "June 1902",
        "18-Juno",
        "1.2",
    ] {
        assert!(codes("Number on it", text, Kind::Text).is_empty(), "{text}");
    }
    assert!(codes("Sitting made", "Jun 1902", Kind::Text).is_empty());
}

#[test]
fn a_number_that_became_an_exponent() {
    for text in ["1.90E+03", "1,90E+03", "2E+05"] {
        assert_eq!(
            codes("Number on it", text, Kind::Text),
            ["became-an-exponent"]
        );
    }
    assert!(remedy("Number on it", "1.90E+03", Kind::Text).contains("1900"));
    for text in ["E+03", "12E+03", "1.9E3", "one E+03", "1.90E+0003"] {
        assert!(codes("Number on it", text, Kind::Text).is_empty(), "{text}");
    }
}

// Serial numbers as in [ECMA-376 part 1, 18.17.4.1]; 25569 is 1 January 1970, 45943 is 13 October 2025.
#[test]
fn a_date_that_became_a_serial_number() {
    assert_eq!(date_of_serial(25_569).as_deref(), Some("1970-01-01"));
    assert_eq!(date_of_serial(45_943).as_deref(), Some("2025-10-13"));
    for kind in [Kind::Number, Kind::Text] {
        assert_eq!(codes("Opened on", "46095", kind), ["serial-number"]);
        assert!(remedy("Opened on", "46095", kind).contains("2026-03-14"));
        assert!(codes("Opened on", "1895", kind).is_empty());
    }
    assert!(codes("Number on it", "46095", Kind::Number).is_empty());
}

#[test]
fn a_month_that_became_its_first_day() {
    assert_eq!(
        codes("Opened on", "1905-05-01", Kind::Date),
        ["date-cell-first-of-month"]
    );
    assert!(codes("Opened on", "1905-05-02", Kind::Date).is_empty());
}

#[test]
fn the_first_two_months_of_1900_are_asked_about() {
    // A workbook that LibreOffice 7.4 saved holds 15 January 1900 as 16, which by ECMA-376 is the 16th; from March on both agree.
    for text in ["1900-01-01", "1900-01-16", "1900-02-28"] {
        assert_eq!(
            codes("Opened on", text, Kind::Date),
            ["date-cell-early-1900"]
        );
    }
    assert!(codes("Opened on", "1900-03-02", Kind::Date).is_empty());
    assert!(codes("Opened on", "1900-01-15", Kind::Text).is_empty());
}

#[test]
fn letters_opened_with_the_wrong_encoding() {
    for (text, right) in [
        ("ZoÃ«", "Zoë"),
        ("Ã…ngstrÃ¶m", "Ångström"),
        ("the maker’s ZoÃ«", "the maker’s Zoë"),
        ("itâ€™s", "it’s"),
    ] {
        assert_eq!(
            codes("Notes", text, Kind::Text),
            ["garbled-letters"],
            "{text}"
        );
        assert!(remedy("Notes", text, Kind::Text).contains(right));
    }
    for text in ["Zoë", "Ångström’s", "São João", "½ in × 3", "Ærø", "日本"] {
        assert!(codes("Notes", text, Kind::Text).is_empty(), "{text}");
    }
    assert_eq!(codes("Notes", "Zo\u{FFFD}", Kind::Text), ["broken-letters"]);
}

#[test]
fn errors_hidden_signs_and_blanks() {
    assert_eq!(codes("Notes", "#REF!", Kind::Text), ["spreadsheet-error"]);
    assert_eq!(codes("Notes", "#NAME?", Kind::Error), ["spreadsheet-error"]);
    assert!(codes("Notes", "see #REF! there", Kind::Text).is_empty());
    assert_eq!(
        codes("Notes", "abc\u{202E}def", Kind::Text),
        ["hidden-characters"]
    );
    assert_eq!(
        codes("Notes", "abc\u{7}def", Kind::Text),
        ["hidden-characters"]
    );
    assert!(codes("Notes", "two\r\nlines\tand a tab", Kind::Text).is_empty());
    assert_eq!(
        codes("Portrait no.", "A-001 ", Kind::Text),
        ["outer-blanks"]
    );
    assert_eq!(
        codes("Notes", "'=x", Kind::Text),
        ["apostrophe-before-sign"]
    );
    assert!(codes("Notes", "'tis", Kind::Text).is_empty());
    assert_eq!(
        codes("Notes", "1234567890123456", Kind::Number),
        ["digits-lost"]
    );
}

#[test]
fn numbers_that_lost_their_zeros() {
    assert_eq!(
        lost_zeros(&["007", "8", "12", "113", "A-1"]),
        [(1, "008".to_owned()), (2, "012".to_owned())]
    );
    assert!(lost_zeros(&["7", "8", "12"]).is_empty());
    assert!(lost_zeros(&["007", "0008", "9"]).is_empty());
    assert!(lost_zeros(&[]).is_empty());
}
