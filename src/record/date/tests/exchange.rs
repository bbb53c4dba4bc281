//! Dates in words, in GEDCOM 7 and in XMP.

use super::parsed;

#[test]
fn dates_in_words() {
    for (text, words) in [
        ("1895", "1895"),
        ("1893-05", "May 1893"),
        ("1893-05-03", "3 May 1893"),
        ("1895~", "about 1895"),
        ("1895?", "1895, uncertain"),
        ("1895%", "about 1895, uncertain"),
        ("189X", "the 1890s"),
        ("189X?", "the 1890s, uncertain"),
        ("184X~", "about the 1840s"),
        ("18XX", "between 1800 and 1899"),
        ("XXXX", "an unknown year"),
        ("2004-XX", "an unknown month of 2004"),
        ("1985-04-XX", "an unknown day of April 1985"),
        ("1985-XX-XX", "an unknown day of 1985"),
        ("156X-12-25", "25 December in the 1560s"),
        (
            "XXXX-12-XX",
            "an unknown day of December of an unknown year",
        ),
        ("1984-1X", "October, November or December 1984"),
        ("[1890..1900]", "between 1890 and 1900"),
        ("[1890~..1905~]", "between about 1890 and about 1905"),
        ("[..1900]", "1900 or earlier"),
        ("[1857..]", "1857 or later"),
        ("[1890,1891]", "1890 or 1891"),
        ("{1960,1961-12}", "1960 and December 1961"),
        (
            "[1667,1668,1670..1672]",
            "1667, 1668 or between 1670 and 1672",
        ),
        ("1890/1900", "from 1890 to 1900"),
        ("1985/..", "from 1985 on"),
        ("../1985", "until 1985"),
        ("1985/", "from 1985, its end not known"),
        ("/1985", "until 1985, its beginning not known"),
        ("1902-22", "summer 1902"),
        ("2001-34", "second quarter of 2001"),
        ("2004?-06-11", "11 June 2004 (year uncertain)"),
        (
            "2004-06~-11",
            "11 June 2004 (year approximate, month approximate)",
        ),
        (
            "?2004-06-~11",
            "11 June 2004 (year uncertain, day approximate)",
        ),
        (
            "1950S2",
            "1950 in its first 2 digits (between 1900 and 1999)",
        ),
        ("-0043", "44 BC"),
        ("0000", "1 BC"),
        (
            "1985-04-12T23:20:30Z",
            "12 April 1985 at 23:20:30 Universal Time",
        ),
    ] {
        assert_eq!(parsed(text).in_words(), words, "{text}");
    }
}

#[test]
fn every_example_of_the_specification_has_words() {
    for (_, text, _, _) in super::loc_examples() {
        let words = parsed(text).in_words();
        assert!(
            !words.is_empty() && !words.contains("  "),
            "{text}: {words}"
        );
    }
}

#[test]
fn dates_in_gedcom_7() {
    // The forms of GEDCOM 7.0 2.3; the wordings of approximate dates follow g7:enumset and the note on BEF and AFT.
    for (text, value, phrase) in [
        ("1895", "1895", None),
        ("1893-05-03", "3 MAY 1893", None),
        ("1895~", "ABT 1895", None),
        ("1895?", "EST 1895", Some("1895, uncertain")),
        ("1895%", "ABT 1895", Some("about 1895, uncertain")),
        ("[1890..1900]", "BET 1890 AND 1900", None),
        (
            "[1890~..1905~]",
            "BET 1890 AND 1905",
            Some("between about 1890 and about 1905"),
        ),
        ("189X", "BET 1890 AND 1899", None),
        ("1890/1900", "FROM 1890 TO 1900", None),
        ("1890/..", "FROM 1890", None),
        ("../1900", "TO 1900", None),
        ("[..1900]", "BEF 1901", Some("1900 or earlier")),
        ("[..1900-06]", "BEF JUL 1900", Some("June 1900 or earlier")),
        ("[1880..]", "AFT 1879", Some("1880 or later")),
        ("[1890,1891]", "BET 1890 AND 1891", Some("1890 or 1891")),
        ("1902-22", "1902", Some("summer 1902")),
        (
            "2001-34",
            "BET APR 2001 AND JUN 2001",
            Some("second quarter of 2001"),
        ),
        ("2004-XX", "2004", Some("an unknown month of 2004")),
        ("{1960,1961-12}", "", Some("1960 and December 1961")),
        ("-0043", "44 BCE", None),
        (
            "1985-04-12T23:20:30Z",
            "12 APR 1985",
            Some("12 April 1985 at 23:20:30 Universal Time"),
        ),
    ] {
        let date = parsed(text).to_gedcom();
        assert_eq!(date.value, value, "{text}");
        assert_eq!(date.phrase.as_deref(), phrase, "{text}");
    }
}

#[test]
fn dates_in_xmp_only_where_xmp_can_say_them() {
    for text in [
        "1895",
        "1890-05",
        "1890-05-02",
        "1985-04-12T23:20:30Z",
        "1985-04-12T23:20:30",
    ] {
        assert_eq!(parsed(text).to_xmp().as_deref(), Some(text));
    }
    assert_eq!(
        parsed("1985-04-12T23:20:30-04").to_xmp().as_deref(),
        Some("1985-04-12T23:20:30-04:00")
    );
    for text in [
        "1890~",
        "1890?",
        "189X",
        "1885/1900",
        "[1880..1900]",
        "1890-XX",
        "1902-22",
        "0000",
        "-1985",
        "Y17E7",
    ] {
        assert_eq!(parsed(text).to_xmp(), None, "{text}");
    }
}
