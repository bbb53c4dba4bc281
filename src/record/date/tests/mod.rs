//! EDTF against the examples of its specification, against strings that it forbids, and against itself.

mod exchange;
mod laws;

use super::Bound;
use super::DateEntry;
use super::DateFault;
use super::Day;
use super::Edtf;
use super::Estimated;
use super::Precision;

/// The 64 examples of the specification (Library of Congress, 4 February 2019, example corrected 6 August 2019): level,
/// feature, string, first day, last day. The days were computed by hand from the specification's own notes.
const LOC_EXAMPLES: &str = include_str!("loc_examples.tsv");

/// Strings that the specification's rules forbid, with the character at which reading stops (counted from 1). Two of them are
/// forbidden where the specification is silent; see the conformance statement.
const FORBIDDEN: &str = include_str!("forbidden.tsv");

/// Returns each forbidden string and the character at which reading it stops.
fn forbidden() -> Vec<(&'static str, usize)> {
    FORBIDDEN
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            (cells[0], cells[1].parse().unwrap())
        })
        .collect()
}

fn parsed(text: &str) -> Edtf {
    Edtf::parse(text).unwrap_or_else(|fault| panic!("{text}: {fault}"))
}

fn day(text: &str) -> Bound {
    Bound::Day(Day::from_iso(text).unwrap_or_else(|| panic!("{text}")))
}

/// Returns level, string, first and last day of each example.
pub(super) fn loc_examples() -> Vec<(u8, &'static str, &'static str, &'static str)> {
    LOC_EXAMPLES
        .lines()
        .skip(1)
        .map(|line| {
            let cells: Vec<&str> = line.split('\t').collect();
            (cells[0].parse().unwrap(), cells[2], cells[3], cells[4])
        })
        .collect()
}

#[test]
fn the_64_examples_of_the_specification_have_their_bounds() {
    let examples = loc_examples();
    assert_eq!(examples.len(), 64);
    let bound = |text: &str| match text {
        "" => None,
        "-inf" | "+inf" => Some(Bound::Open),
        "unknown" => Some(Bound::Unknown),
        text => Some(day(text)),
    };
    for (level, text, first, last) in examples {
        let date = parsed(text);
        let (earliest, latest) = date.bounds();
        if let Some(wanted) = bound(first) {
            assert_eq!(earliest, wanted, "{text}");
        }
        if let Some(wanted) = bound(last) {
            assert_eq!(latest, wanted, "{text}");
        }
        assert_eq!(date.as_str(), text);
        assert!(date.level() <= level, "{text}: level {}", date.level());
    }
}

#[test]
fn large_years_are_counted() {
    let year = |text: &str| parsed(text).bounds().0.day().unwrap().year();
    // [EDTF level 2 exponential year: "Y-17E7" is the year -170000000]
    assert_eq!(year("Y-17E7"), -170_000_000);
    assert_eq!(year("Y170000002"), 170_000_002);
    let span = |text: &str| {
        let (first, last) = parsed(text).bounds();
        (first.day().unwrap().year(), last.day().unwrap().year())
    };
    assert_eq!(span("Y171010000S3"), (171_000_000, 171_999_999));
    assert_eq!(span("Y3388E2S3"), (338_000, 338_999));
    assert_eq!(span("-1985"), (-1985, -1985));
    assert_eq!(span("-20XX"), (-2099, -2000));
    assert_eq!(span("-000X"), (-9, -1));
    assert_eq!(
        parsed("Y1E4000000000").bounds(),
        (Bound::Unknown, Bound::Unknown)
    );
    assert_eq!(
        parsed("Y9223372036854775807").bounds(),
        (Bound::Unknown, Bound::Unknown)
    );
}

#[test]
fn every_forbidden_string_is_refused_at_its_place() {
    assert_eq!(forbidden().len(), 40);
    for (text, position) in forbidden() {
        let fault = Edtf::parse(text).expect_err(text);
        assert_eq!(fault.position, position, "{text}: {fault}");
        assert!(!fault.why.is_empty());
    }
}

#[test]
fn level_2_is_told_from_level_1() {
    for text in [
        "2019-XX-09",
        "20XX-07",
        "201X-XX",
        "2019?-08-08",
        "2001-25",
        "[..1984]",
        "156X-12-25",
        "1950S2",
    ] {
        assert_eq!(parsed(text).level(), 2, "{text}");
    }
    for text in [
        "201X",
        "20XX",
        "201X?",
        "2004-XX",
        "1985-04-XX",
        "1985-XX-XX",
        "2001-21",
        "1984?",
        "2004-06-11%",
        "1985/..",
        "/1985",
        "-1985",
    ] {
        assert_eq!(parsed(text).level(), 1, "{text}");
    }
    for text in ["1985", "1985-04-12", "1964/2008", "1985-04-12T23:20:30Z"] {
        assert_eq!(parsed(text).level(), 0, "{text}");
    }
}

#[test]
fn every_beginning_of_an_example_is_read_or_refused_but_never_changed() {
    for (_, text, _, _) in loc_examples() {
        for end in 0..text.len() {
            let cut = &text[..end];
            match Edtf::parse(cut) {
                Ok(date) => assert_eq!(date.0.expression.to_string(), cut),
                Err(DateFault { position, .. }) => {
                    assert!(position >= 1 && position <= end + 1, "{cut}: {position}");
                }
            }
        }
    }
}

#[test]
fn about_is_widened_by_the_declared_policy_only_for_weighing() {
    let generous = |text: &str| parsed(text).generous_bounds();
    assert_eq!(
        parsed("1895~").bounds(),
        (day("1895-01-01"), day("1895-12-31"))
    );
    assert_eq!(generous("1895~"), (day("1890-01-01"), day("1900-12-31")));
    assert_eq!(generous("1895-05~"), (day("1894-12-01"), day("1895-10-31")));
    assert_eq!(
        generous("1895-05-03~"),
        (day("1895-04-28"), day("1895-05-08"))
    );
    assert_eq!(generous("184X~"), (day("1835-01-01"), day("1854-12-31")));
    assert_eq!(
        generous("[1890~..1900]"),
        (day("1885-01-01"), day("1900-12-31"))
    );
    assert_eq!(generous("1895?"), (day("1895-01-01"), day("1895-12-31")));
}

#[test]
fn a_range_of_days_becomes_the_shortest_honest_date() {
    let open = Bound::Open;
    let made = |first: Bound, last: Bound| Edtf::between(first, last).map(|date| date.to_string());
    let some = |text: &str| Some(text.to_owned());
    assert_eq!(
        made(day("1868-01-01"), day("1870-12-31")),
        some("[1868..1870]")
    );
    assert_eq!(made(day("1868-01-01"), day("1868-12-31")), some("1868"));
    assert_eq!(
        made(day("1864-08-01"), day("1866-08-31")),
        some("[1864-08..1866-08]")
    );
    assert_eq!(
        made(day("1866-01-01"), day("1866-08-31")),
        some("[1866-01..1866-08]")
    );
    assert_eq!(
        made(day("1865-10-03"), day("1865-10-03")),
        some("1865-10-03")
    );
    assert_eq!(
        made(day("1865-10-03"), day("1865-12-31")),
        some("[1865-10-03..1865-12-31]")
    );
    assert_eq!(made(day("1890-01-01"), day("1899-12-31")), some("189X"));
    assert_eq!(made(open, day("1884-12-31")), some("[..1884]"));
    assert_eq!(made(day("1857-01-01"), open), some("[1857..]"));
    assert_eq!(made(open, open), None);
    assert_eq!(made(day("1885-01-01"), day("1884-01-01")), None);
    let about = Estimated {
        earliest: true,
        latest: false,
    };
    let estimated = Edtf::between_about(day("1840-01-01"), day("1851-12-31"), about);
    assert_eq!(estimated.unwrap().as_str(), "[1840~..1851]");
    assert_eq!(
        Edtf::between_about(day("1840-02-01"), day("1851-12-31"), about),
        None
    );
}

#[test]
fn exactness_and_precision() {
    for text in ["1895", "1895-05", "1895-05-03", "1985-04-12T23:20:30Z"] {
        assert!(parsed(text).is_exact(), "{text}");
        assert!(!parsed(text).asks_for_basis(), "{text}");
    }
    // [DCRM(G): a conjecture asks for its basis]
    for text in [
        "1895~",
        "1895?",
        "189X",
        "[1890..1900]",
        "[..1900]",
        "1895-XX",
        "1890/..",
        "1890~/1900",
    ] {
        assert!(!parsed(text).is_exact(), "{text}");
        assert!(parsed(text).asks_for_basis(), "{text}");
    }
    assert!(!parsed("1890/1900").asks_for_basis());
    assert_eq!(parsed("189X").precision(), Precision::Years);
    assert_eq!(parsed("1895~").precision(), Precision::Year);
    assert_eq!(parsed("2001-21").precision(), Precision::PartOfYear);
    assert!(parsed("2004-06~-11").qualification().approximate);
    assert!(!parsed("2004-06~-11").qualification().uncertain);
    assert!(parsed("1984%").qualification().uncertain);
}

#[test]
fn plain_words_are_read_as_edtf() {
    for (typed, edtf) in [
        ("c. 1895", "1895~"),
        ("c1895", "1895~"),
        ("Ca. 1895", "1895~"),
        ("about 1895", "1895~"),
        ("1890s", "189X"),
        ("the 1890s", "189X"),
        ("c. 1890s", "189X~"),
        ("before 1901", "[..1900]"),
        ("before May 1893", "[..1893-04]"),
        ("before 3 May 1893", "[..1893-05-02]"),
        ("after 1880", "[1881..]"),
        ("by 1900", "[..1900]"),
        ("1900 or earlier", "[..1900]"),
        ("1880 or later", "[1880..]"),
        ("not before 1880", "[1880..]"),
        ("between 1890 and 1900", "[1890..1900]"),
        ("between c. 1890 and c. 1905", "[1890~..1905~]"),
        ("between May 1890 and 1891", "[1890-05..1891-12]"),
        ("from 1890 to 1900", "1890/1900"),
        ("from 1890 on", "1890/.."),
        ("1890 or 1891", "[1890,1891]"),
        ("1890, 1891 or 1893", "[1890,1891,1893]"),
        ("summer 1902", "1902-22"),
        ("Fall of 1902", "1902-23"),
        ("early 1890s", "[1890..1893]"),
        ("mid-1890s", "[1893..1896]"),
        ("late 1890s", "[1896..1899]"),
        ("19th century", "18XX"),
        ("late 19th century", "[1866..1899]"),
        ("3 May 1893", "1893-05-03"),
        ("3rd of May, 1893", "1893-05-03"),
        ("May 3, 1893", "1893-05-03"),
        ("Oct 3 1865", "1865-10-03"),
        ("4 Sept. 1893", "1893-09-04"),
        ("May 1893", "1893-05"),
        ("1893?", "1893?"),
        ("1893 (?)", "1893?"),
        ("probably 1893", "1893?"),
        ("c. 1893?", "1893%"),
        ("23/5/1893", "1893-05-23"),
        ("5.23.1893", "1893-05-23"),
        ("[ca. 1840]", "1840~"),
        ("[189-?]", "189X?"),
        ("ABT 1862", "1862~"),
        ("BET 1890 AND 1900", "[1890..1900]"),
        ("about 1893-05", "1893-05~"),
        ("1890~/1905~", "1890~/1905~"),
        ("  1893 ", "1893"),
    ] {
        let entry = DateEntry::read(typed).unwrap_or_else(|fault| panic!("{typed}: {fault}"));
        assert_eq!(entry.edtf.as_str(), edtf, "{typed}");
        assert_eq!(entry.typed, typed);
    }
}

#[test]
fn what_can_mean_two_things_is_asked_back() {
    for (typed, position, says) in [
        ("1890-1900", 5, "“between 1890 and 1900”"),
        ("1890–1900", 5, "“from 1890 to 1900”"),
        ("c. 1890 to 1900", 9, "“from 1890 to 1900”"),
        ("1893-94", 5, "“between 1893 and 1894”"),
        ("3/5/1893", 1, "“3 May 1893” or “5 March 1893”"),
        ("1900s", 1, "190X"),
        ("unknown", 1, "nk"),
    ] {
        let fault = DateEntry::read(typed).expect_err(typed);
        assert_eq!(fault.position, position, "{typed}: {fault}");
        assert!(fault.why.contains(says), "{typed}: {fault}");
    }
}

#[test]
fn what_cannot_be_read_is_refused_at_its_place() {
    for (typed, position) in [
        ("", 1),
        ("when Mother was young", 1),
        ("  whenever", 3),
        ("31 April 1893", 1),
        ("between 1890", 13),
        ("from 1890", 10),
        ("May", 4),
        ("18-Jun", 4),
        ("93", 1),
        ("1985-13", 6),
        ("1890 approximately by guess", 6),
        ("early 1893", 7),
        ("between 1900 and 1890", 1),
        ("١٨٩٣", 1),
    ] {
        let fault = DateEntry::read(typed).expect_err(typed);
        assert_eq!(fault.position, position, "{typed}: {fault}");
    }
}

#[test]
fn a_saved_date_is_checked_when_it_is_read_back() {
    let date: Edtf = serde_json::from_str("\"[1868..1870]\"").unwrap();
    assert_eq!(serde_json::to_string(&date).unwrap(), "\"[1868..1870]\"");
    assert!(serde_json::from_str::<Edtf>("\"1985-13\"").is_err());
    let entry = DateEntry::read("c. 1895").unwrap();
    let json = serde_json::to_string(&entry).unwrap();
    assert_eq!(json, r#"{"edtf":"1895~","typed":"c. 1895"}"#);
    assert_eq!(serde_json::from_str::<DateEntry>(&json).unwrap(), entry);
}
