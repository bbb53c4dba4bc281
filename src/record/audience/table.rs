//! Who gets what: the tables of audiences and files; that of fields is [`super::fields`]. An audience that has no line here keeps a
//! test from passing. README.md shows the same tables; a test compares them.

use super::fields::RULES;
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
];

/// Tells whether an audience gets files of a kind.
#[must_use]
pub fn gets_files(kind: FileKind, audience: Audience) -> bool {
    FILES
        .iter()
        .any(|(known, gets, _)| *known == kind && gets.includes(audience))
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
}
