//! What is said about copyright, in the published statements, and which row of the Rights sheet applies.
//! [RightsStatements.org 1.0; rightsstatements.org/page/1.0]

use super::Lookup;
use super::Portrait;
use super::Rights;
use super::macros::vocabulary;

vocabulary! {
    /// One of the twelve published statements.
    RightsStatement {
        /// In copyright.
        InCopyright = "In Copyright" | "inc" | "in copyright",
        /// An orphan work of the European directive 2012/28, which does not cover photographs.
        OrphanWork = "In Copyright - EU Orphan Work" | "inc-ow-eu" | "in copyright - eu orphan work",
        /// In copyright, education permitted.
        Educational = "In Copyright - Educational Use Permitted" | "inc-edu" | "in copyright - educational use permitted",
        /// In copyright, use without trade permitted.
        NonCommercial = "In Copyright - Non-Commercial Use Permitted" | "inc-nc" | "in copyright - non-commercial use permitted",
        /// In copyright, and the holder cannot be found after a search.
        Unlocatable = "In Copyright - Rights-holder(s) Unlocatable or Unidentifiable" | "inc-ruu" | "in copyright - rights-holder(s) unlocatable or unidentifiable",
        /// Out of copyright, bound by a contract.
        ContractualRestrictions = "No Copyright - Contractual Restrictions" | "noc-cr" | "no copyright - contractual restrictions",
        /// Out of copyright, use without trade only.
        NonCommercialOnly = "No Copyright - Non-Commercial Use Only" | "noc-nc" | "no copyright - non-commercial use only",
        /// Out of copyright, bound by another law.
        OtherRestrictions = "No Copyright - Other Known Legal Restrictions" | "noc-oklr" | "no copyright - other known legal restrictions",
        /// Out of copyright in the United States.
        NoCopyrightUnitedStates = "No Copyright - United States" | "noc-us" | "no copyright - united states",
        /// Nobody has looked: the default.
        NotEvaluated = "Copyright Not Evaluated" | "cne" | "copyright not evaluated" | "not evaluated",
        /// Somebody has looked and could not tell.
        Undetermined = "Copyright Undetermined" | "und" | "copyright undetermined" | "undetermined",
        /// Probably no longer in copyright.
        NoKnownCopyright = "No Known Copyright" | "nkc" | "no known copyright",
    }
}

impl RightsStatement {
    /// Returns the short name that ends the address.
    #[must_use]
    pub const fn id(self) -> &'static str {
        match self {
            Self::InCopyright => "InC",
            Self::OrphanWork => "InC-OW-EU",
            Self::Educational => "InC-EDU",
            Self::NonCommercial => "InC-NC",
            Self::Unlocatable => "InC-RUU",
            Self::ContractualRestrictions => "NoC-CR",
            Self::NonCommercialOnly => "NoC-NC",
            Self::OtherRestrictions => "NoC-OKLR",
            Self::NoCopyrightUnitedStates => "NoC-US",
            Self::NotEvaluated => "CNE",
            Self::Undetermined => "UND",
            Self::NoKnownCopyright => "NKC",
        }
    }

    /// Returns in one plain sentence what the statement means. The page at its address says it in full.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::InCopyright => "It is protected by copyright.",
            Self::OrphanWork => "It is an orphan work under the law of the European Union.",
            Self::Educational => {
                "It is protected by copyright; use for teaching and study is allowed."
            }
            Self::NonCommercial => {
                "It is protected by copyright; use that is not for trade is allowed."
            }
            Self::Unlocatable => {
                "It is protected by copyright, and its owner could not be found by a search."
            }
            Self::ContractualRestrictions => {
                "It is not protected by copyright; an agreement limits its use."
            }
            Self::NonCommercialOnly => {
                "It is not protected by copyright; an agreement allows only use that is not for trade."
            }
            Self::OtherRestrictions => {
                "It is not protected by copyright; other laws limit its use."
            }
            Self::NoCopyrightUnitedStates => {
                "It is not protected by copyright in the United States."
            }
            Self::NotEvaluated => "Nobody has yet worked out whether it is protected by copyright.",
            Self::Undetermined => {
                "Somebody tried to work out whether it is protected by copyright and could not."
            }
            Self::NoKnownCopyright => {
                "It is believed not to be protected by copyright; that is not certain."
            }
        }
    }

    /// Returns the address that identifies the statement: `http`, with a slash at the end. [RightsStatements.org data model 1.0]
    #[must_use]
    pub fn uri(self) -> String {
        format!("http://rightsstatements.org/vocab/{}/1.0/", self.id())
    }

    /// Finds the statement that a person means: its name, its short name, or its address in any spelling.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        let lower = text.trim().to_lowercase();
        let tail = lower
            .strip_prefix("https://")
            .or_else(|| lower.strip_prefix("http://"))
            .and_then(|rest| {
                rest.trim_start_matches("www.")
                    .strip_prefix("rightsstatements.org/")
            });
        match tail {
            Some(tail) => {
                let id = tail.split('/').nth(1)?;
                Self::ALL
                    .iter()
                    .find(|one| one.id().eq_ignore_ascii_case(id))
                    .copied()
            }
            None => Self::from_word(text),
        }
    }

    /// Tells whether the work is said to be in copyright; nothing where the statement leaves it open.
    #[must_use]
    pub const fn is_in_copyright(self) -> Option<bool> {
        match self {
            Self::InCopyright
            | Self::OrphanWork
            | Self::Educational
            | Self::NonCommercial
            | Self::Unlocatable => Some(true),
            Self::NoCopyrightUnitedStates
            | Self::ContractualRestrictions
            | Self::NonCommercialOnly
            | Self::OtherRestrictions => Some(false),
            Self::NotEvaluated | Self::Undetermined | Self::NoKnownCopyright => None,
        }
    }
}

/// Returns the row of the Rights sheet that applies to a portrait: its own, else its lot's, else the one for all.
#[must_use]
pub fn rights_of<'a>(record: &'a impl Lookup, portrait: &Portrait) -> Option<&'a Rights> {
    let lot = || record.rights_in(portrait.lot.given()?.as_str());
    record
        .rights_in(portrait.number.as_str())
        .or_else(lot)
        .or_else(|| record.rights_in(Rights::ALL))
}

/// Returns the published statement: "copyright not evaluated" where nobody has said anything, nothing where somebody has used
/// words of their own.
#[must_use]
pub fn statement(rights: Option<&Rights>) -> Option<RightsStatement> {
    match rights.and_then(|rights| rights.statement.text()) {
        None => Some(RightsStatement::NotEvaluated),
        Some(text) => RightsStatement::read(text),
    }
}

/// Returns the address of the statement: a published one's, or the address that the person gave.
#[must_use]
pub fn address(rights: Option<&Rights>) -> Option<String> {
    if let Some(statement) = statement(rights) {
        return Some(statement.uri());
    }
    let text = rights?.statement.text()?.trim();
    let is_address = text.starts_with("http://") || text.starts_with("https://");
    is_address.then(|| text.to_owned())
}

/// Returns the statement in words that a viewer can show.
#[must_use]
pub fn notice(rights: Option<&Rights>) -> String {
    match statement(rights) {
        Some(statement) => statement.word().to_owned(),
        None => rights
            .and_then(|rights| rights.statement.text())
            .unwrap_or_default()
            .trim()
            .to_owned(),
    }
}

/// Tells whether the work is said to be in copyright; nothing where that is open.
#[must_use]
pub fn is_in_copyright(rights: Option<&Rights>) -> Option<bool> {
    statement(rights).and_then(RightsStatement::is_in_copyright)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::Collection;

    #[test]
    fn every_statement_is_found_by_name_short_name_and_address() {
        for one in RightsStatement::ALL {
            for text in [
                one.word().to_owned(),
                one.word().to_uppercase(),
                one.id().to_owned(),
                one.uri(),
                one.uri().replace("http:", "https:"),
                format!(
                    "https://rightsstatements.org/page/{}/1.0/?language=en",
                    one.id()
                ),
            ] {
                assert_eq!(RightsStatement::read(&text), Some(*one), "{text}");
            }
        }
        assert_eq!(RightsStatement::read("public domain"), None);
    }

    #[test]
    fn the_nearest_row_applies() {
        let row = |applies: &str, statement: &str| Rights {
            applies_to: Answer::Given(applies.to_owned()),
            statement: Answer::Given(statement.to_owned()),
            ..Rights::default()
        };
        let collection = Collection {
            rights: vec![row("All", "UND"), row("L-1", "InC"), row("A-001", "NKC")],
            ..Collection::default()
        };
        let portrait = |number: &str, lot: &str| Portrait {
            number: number.into(),
            lot: Answer::Given(lot.into()),
            ..Portrait::default()
        };
        let said = |number: &str, lot: &str| notice(rights_of(&collection, &portrait(number, lot)));
        assert_eq!(said("A-001", "L-1"), "No Known Copyright");
        assert_eq!(said("A-002", "L-1"), "In Copyright");
        assert_eq!(said("A-003", "L-2"), "Copyright Undetermined");
    }

    #[test]
    fn nothing_said_means_not_evaluated_and_own_words_stay() {
        assert_eq!(
            address(None).unwrap(),
            "http://rightsstatements.org/vocab/CNE/1.0/"
        );
        let own = |text: &str| Rights {
            statement: Answer::Given(text.to_owned()),
            ..Rights::default()
        };
        let licence = "https://creativecommons.org/licenses/by/4.0/";
        assert_eq!(address(Some(&own(licence))).unwrap(), licence);
        assert_eq!(address(Some(&own("ask us"))), None);
        assert_eq!(notice(Some(&own("ask us"))), "ask us");
        assert_eq!(is_in_copyright(Some(&own("InC-NC"))), Some(true));
        assert_eq!(is_in_copyright(None), None);
    }
}
