//! `bag-info.txt`: what the bag says of itself, in lines of "label: value". [RFC8493 2.2.2]

use super::lines;
use super::oxum::Oxum;
use super::version::Version;
use crate::concern::Concern;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::concern::Severity;

/// Longest line that is written before a value is folded. // [RFC8493 2.2.2]
const LINE_LENGTH: usize = 79;

/// Labels that should stand once at most. // [RFC8493 2.2.2]
const ONCE: [&str; 6] = [
    "Bagging-Date",
    "Bag-Size",
    "Bag-Group-Identifier",
    "Bag-Count",
    // What the drafts up to 0.95 called the first two.
    "Packing-Date",
    "Package-Size",
];

/// The elements in the order in which they stand.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BagInfo {
    elements: Vec<Element>,
}

/// One element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Element {
    /// The label as written.
    pub label: String,
    /// The value, folded lines joined by one blank.
    pub value: String,
    /// The line on which it begins.
    pub row: Option<u32>,
}

impl BagInfo {
    /// Returns all elements, in their order.
    #[must_use]
    pub fn elements(&self) -> &[Element] {
        &self.elements
    }

    /// Returns the values of a label, in their order; the case of labels does not count.
    pub fn values<'a>(&'a self, label: &'a str) -> impl Iterator<Item = &'a str> {
        self.elements
            .iter()
            .filter(move |one| one.label.eq_ignore_ascii_case(label))
            .map(|one| one.value.as_str())
    }

    /// Returns the first value of a label.
    #[must_use]
    pub fn value(&self, label: &str) -> Option<&str> {
        self.elements
            .iter()
            .find(|one| one.label.eq_ignore_ascii_case(label))
            .map(|one| one.value.as_str())
    }

    /// Returns how much the payload should hold, when that is stated in the right form.
    #[must_use]
    pub fn oxum(&self) -> Option<Oxum> {
        self.value("Payload-Oxum").and_then(Oxum::parse)
    }
}

/// Reads the text of `bag-info.txt`, or of `package-info.txt` in old bags.
pub fn read(text: &str, file: &str, version: Version, concerns: &mut ConcernList) -> BagInfo {
    let mut info = BagInfo::default();
    for (index, line) in lines::lines(text).enumerate() {
        let row = lines::number(index);
        if line.starts_with([' ', '\t']) {
            match info.elements.last_mut() {
                Some(element) => fold_in(element, line),
                None => malformed(
                    concerns,
                    file,
                    row,
                    "It begins with a blank but continues nothing.",
                ),
            }
        } else if let Some((label, rest)) = line.split_once(':') {
            check_form(label, rest, version, file, row, concerns);
            info.elements.push(Element {
                label: label.trim().to_owned(),
                value: rest.trim().to_owned(),
                row,
            });
        } else if !line.is_empty() {
            malformed(concerns, file, row, "It has no colon after its label.");
        }
    }
    check_oxum(&info, file, concerns);
    check_values(&info, file, concerns);
    info
}

fn fold_in(element: &mut Element, line: &str) {
    if !element.value.is_empty() {
        element.value.push(' ');
    }
    element.value.push_str(line.trim());
}

/// From version 1.0 on, a label has no outer blanks and its colon is followed by a blank. // [RFC8493 2.2.2]
fn check_form(
    label: &str,
    rest: &str,
    version: Version,
    file: &str,
    row: Option<u32>,
    concerns: &mut ConcernList,
) {
    if label.trim().is_empty() {
        malformed(concerns, file, row, "It has no label before its colon.");
    } else if version.is_strict() && label != label.trim() {
        malformed(concerns, file, row, "It has a blank before its colon.");
    } else if version.is_strict() && !rest.is_empty() && !rest.starts_with([' ', '\t']) {
        malformed(concerns, file, row, "It has no blank after its colon.");
    }
}

fn check_oxum(info: &BagInfo, file: &str, concerns: &mut ConcernList) {
    let stated: Vec<&Element> = info
        .elements
        .iter()
        .filter(|one| one.label.eq_ignore_ascii_case("Payload-Oxum"))
        .collect();
    if let Some(second) = stated.get(1) {
        concerns.stop(
            "bag-oxum-twice",
            Place::file(file).row(second.row),
            "The count of the payload (Payload-Oxum) stands there twice.",
            "Take this file from another copy of the bag.",
        );
    }
    for element in stated {
        if Oxum::parse(&element.value).is_none() {
            concerns.stop(
                "bag-oxum-malformed",
                Place::file(file).row(element.row),
                format!(
                    "The count of the payload (Payload-Oxum) is “{}”, which is not bytes, a dot, and files.",
                    element.value
                ),
                "Take this file from another copy of the bag.",
            );
        }
    }
}

fn check_values(info: &BagInfo, file: &str, concerns: &mut ConcernList) {
    for label in ONCE {
        let times = info.values(label).count();
        if times > 1 {
            concerns.warning(
                "bag-info-repeated",
                Place::file(file),
                format!("“{label}” stands there {times} times; it should stand once."),
                "Nothing needs to be done; a bag made anew should state it once.",
            );
        }
    }
    for date in info.values("Bagging-Date") {
        if !is_date(date) {
            concerns.warning(
                "bag-info-date",
                Place::file(file),
                format!(
                    "The day on which the bag was made is “{date}”, which is not year-month-day."
                ),
                "Nothing needs to be done; a bag made anew should write it as in 2026-11-25.",
            );
        }
    }
}

fn is_date(text: &str) -> bool {
    let shape: String = text
        .chars()
        .map(|c| if c.is_ascii_digit() { '9' } else { c })
        .collect();
    shape == "9999-99-99"
}

fn malformed(concerns: &mut ConcernList, file: &str, row: Option<u32>, what: &str) {
    concerns.push(Concern::new(
        "bag-info-line",
        Severity::Stop,
        Place::file(file).row(row),
        format!("This line does not keep to its form. {what}"),
        "Take this file from another copy of the bag.",
    ));
}

/// Writes elements in their order. Long values are folded at blanks so that no line passes 79 characters where that can be;
/// line ends inside a value become folds.
#[must_use]
pub fn write(elements: &[(&str, &str)]) -> String {
    let mut text = String::new();
    for (label, value) in elements {
        let mut line = format!("{label}:");
        for paragraph in value.lines() {
            for word in paragraph.split(' ') {
                let length = line.chars().count().saturating_add(word.chars().count());
                // A fold begins with a blank, and so may not come before the first word of a value.
                let is_first = line.strip_suffix(':') == Some(*label);
                if length >= LINE_LENGTH && !is_first {
                    text.push_str(&line);
                    text.push('\n');
                    line = " ".to_owned();
                }
                line.push(' ');
                line.push_str(word);
            }
        }
        text.push_str(&line);
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parse(version: &str, text: &str) -> (BagInfo, Vec<String>) {
        let mut concerns = ConcernList::default();
        let version = Version::parse(version).unwrap();
        let info = read(text, "bag-info.txt", version, &mut concerns);
        let codes = concerns.iter().map(|one| one.code.to_string()).collect();
        (info, codes)
    }

    #[test]
    fn order_repetition_and_case() {
        let text = "Contact-Email: a@x.example\ncontact-name: One\nContact-Email: b@x.example\n";
        let (info, codes) = parse("1.0", text);
        assert!(codes.is_empty());
        let emails: Vec<&str> = info.values("contact-email").collect();
        assert_eq!(emails, ["a@x.example", "b@x.example"]);
        assert_eq!(info.value("Contact-Name"), Some("One"));
        assert_eq!(info.elements().len(), 3);
    }

    #[test]
    fn folded_lines_are_joined_by_one_blank() {
        let text = "External-Description: Uncompressed greyscale TIFF images from the\r\n         Yoshimuri papers collection.\r\n";
        let (info, codes) = parse("1.0", text);
        assert!(codes.is_empty());
        assert_eq!(
            info.value("External-Description"),
            Some("Uncompressed greyscale TIFF images from the Yoshimuri papers collection.")
        );
    }

    #[test]
    fn loose_colons_in_drafts_only() {
        let text = "A: 1\nB:   2\nC : 3\nD    :   4\nE:5\n";
        let (info, codes) = parse("0.97", text);
        assert!(codes.is_empty());
        let values: Vec<&str> = info.elements().iter().map(|one| &*one.value).collect();
        assert_eq!(values, ["1", "2", "3", "4", "5"]);
        assert_eq!(parse("1.0", text).1, ["bag-info-line"; 3]);
    }

    #[test]
    fn each_refusal() {
        let cases = [
            ("no colon here\n", "bag-info-line"),
            (" continues nothing\n", "bag-info-line"),
            (": no label\n", "bag-info-line"),
            ("Payload-Oxum: 12\n", "bag-oxum-malformed"),
            ("Payload-Oxum: 1.2\npayload-oxum: 1.2\n", "bag-oxum-twice"),
            ("Bagging-Date: 1 May 2026\n", "bag-info-date"),
            ("Bag-Size: 1 GB\nBag-Size: 1 GB\n", "bag-info-repeated"),
        ];
        for (text, code) in cases {
            assert_eq!(parse("1.0", text).1, [code], "{text}");
        }
    }

    #[test]
    fn a_day_is_year_month_day_and_rows_are_told_as_people_count() {
        for day in ["2026-11-25", "0001-01-01"] {
            let (_, codes) = parse("1.0", &format!("Bagging-Date: {day}\n"));
            assert!(codes.is_empty(), "{day}");
        }
        for day in ["2026-11", "26-11-25", "2026/11/25"] {
            let (_, codes) = parse("1.0", &format!("Bagging-Date: {day}\n"));
            assert!(!codes.is_empty(), "{day}");
        }
        let mut concerns = ConcernList::default();
        read(
            "A: 1\nB: 2\nC\n",
            "bag-info.txt",
            Version::V1_0,
            &mut concerns,
        );
        let rows: Vec<Option<u32>> = concerns.iter().map(|one| one.place.row).collect();
        assert_eq!(rows, [Some(3)]);
    }

    /// Lines are folded at the last blank before the 79th character; a value that cannot be broken stays beside its label.
    #[test]
    fn long_values_are_folded_at_blanks() {
        let (long, short) = ("x".repeat(90), "y".repeat(70));
        for (value, expected) in [
            ("short".to_owned(), "Note: short\n".to_owned()),
            (long.clone(), format!("Note: {long}\n")),
            (format!("{short} ab"), format!("Note: {short} ab\n")),
            (format!("{short} abcd"), format!("Note: {short}\n  abcd\n")),
            (
                format!("{short} end: {long}"),
                format!("Note: {short}\n  end:\n  {long}\n"),
            ),
            (format!("a: {long}"), format!("Note: a:\n  {long}\n")),
        ] {
            assert_eq!(write(&[("Note", &value)]), expected);
        }
    }

    #[test]
    fn what_is_written_is_read_back() {
        let long = "word ".repeat(60);
        let elements = [
            ("External-Description", long.trim()),
            ("Contact-Name", "Zoë Trevanick"),
            ("Note", "first line\nsecond line"),
            ("Unbreakable", &"x".repeat(200)),
        ];
        let text = write(&elements);
        let (info, codes) = parse("1.0", &text);
        assert!(codes.is_empty());
        for (label, value) in elements {
            assert_eq!(info.value(label), Some(&*value.replace('\n', " ")));
        }
        let unbreakable = |line: &str| line.contains(&"x".repeat(200));
        assert!(
            text.lines()
                .all(|line| line.len() <= 79 || unbreakable(line))
        );
    }
}
