//! Who gets what: the one table of audiences, files and fields. An audience or a field that has no line here keeps a test from
//! passing. README.md shows the same table; a test compares them.

use crate::record::Audience;
use crate::record::ShowTo;

/// How far something may go. Ordered: whoever gets things of one level gets everything of the levels behind it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gets {
    /// Own storage alone.
    Home,
    /// An archive too.
    Archive,
    /// Relatives too.
    Relatives,
    /// Everybody.
    Everybody,
}

impl Gets {
    /// Tells whether an audience gets things of this level.
    #[must_use]
    pub fn includes(self, audience: Audience) -> bool {
        audience_rule(audience).is_some_and(|rule| self >= rule.level)
    }
}

/// One line of the table of audiences.
#[derive(Debug, Clone, Copy)]
pub struct AudienceRule {
    /// The audience.
    pub audience: Audience,
    /// The narrowest level that it gets.
    pub level: Gets,
    /// Which "show to" it takes for a portrait or person to be in its packages.
    pub shown: ShowTo,
    /// Who it is, in words that stand behind "for".
    pub words: &'static str,
    /// What its packages are, for people who choose.
    pub about: &'static str,
}

const fn audience(
    audience: Audience,
    level: Gets,
    shown: ShowTo,
    words: &'static str,
    about: &'static str,
) -> AudienceRule {
    AudienceRule {
        audience,
        level,
        shown,
        words,
        about,
    }
}

/// The table of audiences.
#[rustfmt::skip]
pub const AUDIENCES: &[AudienceRule] = &[
    audience(Audience::Keeping, Gets::Home, ShowTo::Nobody, "keeping", "Your own storage: everything, the untouched originals too"),
    audience(Audience::Archive, Gets::Archive, ShowTo::Archive, "an archive", "A donation to an archive: the originals too, private facts held back"),
    audience(Audience::Family, Gets::Relatives, ShowTo::Family, "the family", "Relatives: described copies, private facts held back"),
    audience(Audience::Public, Gets::Everybody, ShowTo::Public, "the public", "Anybody"),
];

/// Returns the line of an audience. One that has none gets nothing; a test keeps that from being.
#[must_use]
pub fn audience_rule(audience: Audience) -> Option<&'static AudienceRule> {
    AUDIENCES.iter().find(|rule| rule.audience == audience)
}

/// What a package is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// Scans as they came.
    Original,
    /// Copies with their record inside.
    Described,
    /// Pictures for looking at.
    Viewing,
    /// Altered and computer-made versions.
    Altered,
    /// Portraits whose hold has not ended.
    Held,
    /// Places, serial numbers and other private facts inside copies.
    PrivateFacts,
    /// Labels for folders and boxes.
    Labels,
}

/// The table of files: what, how far it goes, and what people call it.
pub const FILES: &[(FileKind, Gets, &str)] = &[
    (FileKind::Original, Gets::Archive, "untouched originals"),
    (FileKind::Described, Gets::Everybody, "described copies"),
    (
        FileKind::Viewing,
        Gets::Everybody,
        "pictures for looking at",
    ),
    (
        FileKind::Altered,
        Gets::Relatives,
        "altered and computer-made versions, labelled as such",
    ),
    (
        FileKind::Held,
        Gets::Archive,
        "portraits held back until a day that has not come",
    ),
    (
        FileKind::PrivateFacts,
        Gets::Home,
        "GPS, serial numbers, owners' names and maker's notes inside copies",
    ),
    (
        FileKind::Labels,
        Gets::Archive,
        "labels for folders and boxes",
    ),
];

/// Tells whether an audience gets files of a kind.
#[must_use]
pub fn gets_files(kind: FileKind, audience: Audience) -> bool {
    FILES
        .iter()
        .any(|(known, gets, _)| *known == kind && gets.includes(audience))
}

/// Everybody gets it.
const ALL: Gets = Gets::Everybody;
/// Own storage, an archive and relatives.
const NOT_PUBLIC: Gets = Gets::Relatives;
/// Own storage and an archive.
const ARCHIVE: Gets = Gets::Archive;
/// Own storage alone.
const HOME: Gets = Gets::Home;

/// One line of the table: the part of the record, its fields, who gets them, and what the sender is told is held back.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// The part, as a path in the record's JSON.
    pub part: &'static str,
    /// The fields.
    pub fields: &'static [&'static str],
    /// Who gets them.
    pub gets: Gets,
    /// What is held back, in plain words; empty where everybody gets it.
    pub called: &'static str,
}

const fn rule(
    part: &'static str,
    gets: Gets,
    called: &'static str,
    fields: &'static [&'static str],
) -> Rule {
    Rule {
        part,
        fields,
        gets,
        called,
    }
}

/// The table.
pub const RULES: &[Rule] = &[
    rule(
        "about",
        ALL,
        "",
        &["title", "kept_by", "contact_may_be_shown", "story"],
    ),
    rule("about", ARCHIVE, "how to reach the keeper", &["contact"]),
    rule(
        "about",
        ARCHIVE,
        "who carries on after the keeper",
        &["successor"],
    ),
    rule("about", HOME, "columns of your own", &["extra"]),
    rule(
        "portraits",
        ALL,
        "",
        &[
            "number",
            "kind",
            "shows",
            "title_as_printed",
            "lot",
            "size",
            "shape",
            "media",
            "backing",
            "bowed",
            "glass",
            "glass_touching",
            "frame",
            "maker",
            "condition",
            "brown_spots",
            "mould",
            "loose_surface",
            "brittle",
            "opened",
            "opened_on",
            "found_inside",
            "dates",
            "belongs_with",
            "copy_of",
            "no_back_because",
            "not_scanned_because",
            "sensitive",
            "show_to",
        ],
    ),
    rule(
        "portraits",
        NOT_PUBLIC,
        "where the original is now",
        &["original_now_at"],
    ),
    rule("portraits", HOME, "where it is stored", &["storage"]),
    rule("portraits", ARCHIVE, "your notes", &["notes"]),
    rule("portraits", HOME, "columns of your own", &["extra"]),
    rule(
        "portraits.size",
        ALL,
        "",
        &["height", "width", "unit", "measured"],
    ),
    rule(
        "portraits.maker",
        ALL,
        "",
        &[
            "as_printed",
            "place_as_printed",
            "address_as_printed",
            "name",
            "role",
            "certainty",
            "basis",
            "number",
            "number_place",
        ],
    ),
    rule(
        "portraits.dates",
        ALL,
        "",
        &["sitting", "print", "framed", "basis"],
    ),
    rule("portraits.belongs_with", ALL, "", &["portrait", "reason"]),
    rule(
        "scans",
        ALL,
        "",
        &[
            "file",
            "portrait",
            "view",
            "made_on",
            "made_with",
            "through_glass",
            "lighting",
            "card_in_view",
            "ppi_set",
            "copy_kind",
            "altered_how",
            "altered_on",
            "altered_from",
            "facts",
        ],
    ),
    rule(
        "scans",
        NOT_PUBLIC,
        "who made the scan",
        &["made_by", "altered_by"],
    ),
    rule(
        "scans",
        ARCHIVE,
        "the file's name in the camera",
        &["camera_name"],
    ),
    rule("scans", HOME, "columns of your own", &["extra"]),
    rule(
        "scans.facts",
        ALL,
        "",
        &[
            "format",
            "width",
            "height",
            "colour",
            "true_ppi",
            "bytes",
            "sha256",
            "picture_digest",
            "private_found",
        ],
    ),
    rule(
        "words",
        ALL,
        "",
        &[
            "portrait",
            "side",
            "position",
            "text",
            "written_in",
            "hand",
            "same_hand_as",
            "reading",
        ],
    ),
    rule("words", HOME, "columns of your own", &["extra"]),
    rule(
        "people",
        ALL,
        "",
        &[
            "number",
            "name",
            "other_names",
            "born",
            "born_at",
            "died",
            "died_at",
            "living",
            "show_to",
        ],
    ),
    rule(
        "people",
        NOT_PUBLIC,
        "marriages and parents",
        &["married", "parents"],
    ),
    rule(
        "people",
        NOT_PUBLIC,
        "where it was looked",
        &["where_we_looked"],
    ),
    rule("people", ARCHIVE, "what somebody agreed to", &["consent"]),
    rule("people", HOME, "columns of your own", &["extra"]),
    rule(
        "claims",
        ALL,
        "",
        &[
            "portrait",
            "face",
            "face_region",
            "sitter",
            "certainty",
            "reasons_for",
            "reasons_against",
            "clues_for",
            "clues_against",
            "rivals",
            "would_settle",
            "said_on",
            "standing",
            "withdrawn_why",
        ],
    ),
    rule("claims", NOT_PUBLIC, "who made a claim", &["said_by"]),
    rule("claims", HOME, "columns of your own", &["extra"]),
    rule(
        "clues",
        ALL,
        "",
        &[
            "number",
            "portraits",
            "persons",
            "kind",
            "says",
            "source",
            "seen_as",
            "who_knew",
            "speaks",
            "points_to",
            "points_against",
            "date",
            "date_target",
            "hardness",
            "seen_on",
        ],
    ),
    rule("clues", NOT_PUBLIC, "who saw a clue", &["seen_by"]),
    rule("clues", HOME, "columns of your own", &["extra"]),
    rule(
        "lots",
        ALL,
        "",
        &[
            "number",
            "how",
            "date",
            "earlier_owners",
            "came_with",
            "private",
        ],
    ),
    rule("lots", NOT_PUBLIC, "from whom it came", &["from"]),
    rule("lots", HOME, "what it cost", &["price"]),
    rule("lots", HOME, "the receipt", &["receipt_file"]),
    rule("lots", ARCHIVE, "what the seller said", &["seller_said"]),
    rule(
        "lots",
        ARCHIVE,
        "what was promised and may be given on",
        &["may_give_on", "promises"],
    ),
    rule("lots", HOME, "how to reach the giver", &["giver_contact"]),
    rule("lots", HOME, "columns of your own", &["extra"]),
    rule(
        "listings",
        ALL,
        "",
        &["maker", "address", "town", "year", "listed", "source"],
    ),
    rule("listings", HOME, "columns of your own", &["extra"]),
    rule(
        "rights",
        ALL,
        "",
        &[
            "applies_to",
            "maker_known",
            "maker_died",
            "published",
            "statement",
            "worked_out_on",
            "worked_out_why",
            "receiver_may",
            "hold_until",
            "credit_line",
        ],
    ),
    rule(
        "rights",
        NOT_PUBLIC,
        "who worked out the rights",
        &["worked_out_by"],
    ),
    rule(
        "rights",
        ARCHIVE,
        "the giver's terms",
        &[
            "giver_owns_picture",
            "giver_owns_copyright",
            "hold_reason",
            "if_not_wanted",
            "their_accession_number",
        ],
    ),
    rule("rights", HOME, "columns of your own", &["extra"]),
    rule(
        "receivers",
        HOME,
        "who else receives a package",
        &[
            "number",
            "name",
            "kind",
            "adult",
            "told_living_names",
            "sent_what",
            "sent_on",
            "sent_how",
            "receipt_back",
            "extra",
        ],
    ),
    rule(
        "editions",
        ALL,
        "",
        &["number", "package", "made_on", "sha256", "changes"],
    ),
    rule("editions.changes", ALL, "", &["portrait", "kind", "what"]),
];

/// Returns the rule of a field.
#[must_use]
pub fn rule_of(part: &str, field: &str) -> Option<&'static Rule> {
    RULES
        .iter()
        .find(|rule| rule.part == part && rule.fields.contains(&field))
}

/// Returns the tables as they stand in README.md.
#[must_use]
pub fn as_markdown() -> String {
    let marks = |gets: Gets| -> String {
        AUDIENCES
            .iter()
            .map(|rule| {
                if gets.includes(rule.audience) {
                    " yes |"
                } else {
                    " – |"
                }
            })
            .collect()
    };
    let mut text = String::from("| what |");
    for rule in AUDIENCES {
        text.push_str(&format!(" {} |", rule.audience));
    }
    text.push_str("\n|---|");
    text.push_str(&"---|".repeat(AUDIENCES.len()));
    text.push('\n');
    for (_, gets, called) in FILES {
        text.push_str(&format!("| {called} |{}\n", marks(*gets)));
    }
    for rule in RULES {
        let fields: Vec<String> = rule
            .fields
            .iter()
            .map(|field| field.replace('_', " "))
            .collect();
        let lead = if rule.called.is_empty() {
            String::new()
        } else {
            format!("{}: ", rule.called)
        };
        text.push_str(&format!(
            "| **{}** {lead}{} |{}\n",
            rule.part.replace('.', ", "),
            fields.join(", "),
            marks(rule.gets)
        ));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record;

    #[test]
    fn every_audience_has_one_line_and_own_storage_gets_everything() {
        for audience in Audience::ALL {
            let lines = AUDIENCES.iter().filter(|rule| rule.audience == *audience);
            assert_eq!(lines.count(), 1, "{audience}");
        }
        assert!(
            RULES
                .iter()
                .all(|rule| rule.gets.includes(Audience::Keeping))
        );
        for (kind, _, called) in FILES {
            assert!(gets_files(*kind, Audience::Keeping), "{called}");
        }
    }

    /// The README shows what the program does. To write it anew, put what this test prints between the two marks.
    #[test]
    fn the_readme_shows_these_tables() {
        let readme = include_str!("../../../README.md");
        let begin = "<!-- who gets what: begin -->\n";
        let shown = readme
            .split_once(begin)
            .and_then(|(_, rest)| rest.split_once("<!-- who gets what: end -->"))
            .map(|(shown, _)| shown);
        assert_eq!(shown, Some(as_markdown().as_str()));
    }

    #[test]
    fn every_field_of_the_record_has_exactly_one_rule() {
        let parts: &[(&str, &[&str])] = &[
            ("about", record::About::FIELDS),
            ("portraits", record::Portrait::FIELDS),
            ("portraits.size", record::Size::FIELDS),
            ("portraits.maker", record::Maker::FIELDS),
            ("portraits.dates", record::PortraitDates::FIELDS),
            ("portraits.belongs_with", record::BelongsWith::FIELDS),
            ("scans", record::Scan::FIELDS),
            ("scans.facts", record::ScanFacts::FIELDS),
            ("words", record::Transcription::FIELDS),
            ("people", record::Person::FIELDS),
            ("claims", record::Claim::FIELDS),
            ("clues", record::Clue::FIELDS),
            ("lots", record::Lot::FIELDS),
            ("listings", record::Listing::FIELDS),
            ("rights", record::Rights::FIELDS),
            ("receivers", record::Receiver::FIELDS),
            ("editions", record::Edition::FIELDS),
            ("editions.changes", record::edition::Change::FIELDS),
        ];
        for (part, fields) in parts {
            for field in *fields {
                // The row serves messages and is never written.
                let count = RULES
                    .iter()
                    .filter(|rule| rule.part == *part && rule.fields.contains(field))
                    .count();
                assert_eq!(count, usize::from(*field != "row"), "{part}: {field}");
            }
        }
        let named: usize = RULES.iter().map(|rule| rule.fields.len()).sum();
        let known: usize = parts
            .iter()
            .map(|(_, fields)| fields.iter().filter(|field| **field != "row").count())
            .sum();
        assert_eq!(named, known, "a rule names a field that is not there");
    }
}
