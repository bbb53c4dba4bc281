//! Who gets which field: one line for each part of the record and level. A field that has no line here keeps a test from passing.

use super::table::Gets;

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record;

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
