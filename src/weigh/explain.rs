//! One portrait's reasoning on one screen.

use super::PortraitWeighing;
use super::Weighing;
use super::candidate::Candidate;
use super::dates::DateResult;
use super::shown::ScanAppearance;
use crate::record::PortraitNumber;
use crate::record::caution::Circumstances;
use crate::record::caution::GENERAL;
use crate::record::caution::cautions_in;
use schemars::JsonSchema;
use serde::Serialize;
use std::fmt::Write;

/// The reasoning about one portrait.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Explanation {
    /// The portrait.
    pub number: PortraitNumber,
    /// The text, lines of plain words.
    pub text: String,
}

impl Weighing {
    /// Explains one portrait: dates and what set them, candidates, ties, cautions, what would help. Nothing if there is no such
    /// portrait.
    #[must_use]
    pub fn explain(&self, number: &PortraitNumber) -> Option<Explanation> {
        let weighed = self.portrait(number)?;
        let mut text = String::new();
        line(&mut text, "", &weighed.line());
        let dates = [
            ("Sitting", &weighed.dates.sitting),
            ("This print", &weighed.dates.print),
            ("Framed or written on", &weighed.dates.framed),
        ];
        for (name, result) in dates {
            if let Some(result) = result {
                date(&mut text, name, result);
            }
        }
        if let Some(stay) = &weighed.dates.stay {
            let outer = match (stay.absent_before, stay.absent_after) {
                (None, None) => "no directory was searched before or after".to_owned(),
                (before, after) => format!(
                    "outer {} to {}",
                    before.map_or_else(|| "not known".to_owned(), |year| year.to_string()),
                    after.map_or_else(|| "not known".to_owned(), |year| year.to_string())
                ),
            };
            line(
                &mut text,
                "",
                &format!(
                    "Maker: {} at {}, listed {} to {} ({outer})",
                    stay.maker, stay.address, stay.firm.0, stay.firm.1
                ),
            );
        }
        if let Some(narrow) = &weighed.dates.would_narrow {
            line(&mut text, "", &format!("To narrow the dates: {narrow}"));
        }
        for candidate in &weighed.candidates {
            explain_candidate(&mut text, candidate);
        }
        rest(&mut text, weighed);
        self.concerns_and_cautions(&mut text, number);
        Some(Explanation {
            number: number.clone(),
            text,
        })
    }

    fn concerns_and_cautions(&self, text: &mut String, number: &PortraitNumber) {
        for concern in self.concerns.worst_first() {
            let here = concern.place.portrait.as_deref() == Some(number.as_str());
            if here && concern.severity > crate::concern::Severity::Note {
                line(
                    text,
                    "",
                    &format!("{}: {} {}", concern.severity, concern.what, concern.remedy),
                );
            }
        }
        let Some(portrait) = self.collection().portrait(number) else {
            return;
        };
        let circumstances = Circumstances {
            year: i32::try_from(self.as_of.year()).ok(),
            ..Circumstances::default()
        };
        let cautions = cautions_in(self.collection(), portrait, &circumstances);
        for caution in &cautions {
            line(
                text,
                "",
                &format!("Caution, {}: {}", caution.about, caution.text),
            );
        }
        if !cautions.is_empty() {
            line(text, "", GENERAL);
        }
    }
}

fn line(text: &mut String, indent: &str, words: &str) {
    // Writing to a String cannot fail.
    let _ = writeln!(text, "{indent}{words}");
}

fn date(text: &mut String, name: &str, result: &DateResult) {
    let edtf = result
        .estimate
        .as_ref()
        .map_or_else(String::new, |date| format!("  {date}"));
    line(text, "", &format!("{name}: {}{edtf}", result.in_words));
    if let Some(conflict) = &result.conflict {
        line(text, "  ", &format!("not before: {}", conflict.not_before));
        line(text, "  ", &format!("not after:  {}", conflict.not_after));
    }
    if let Some(limits) = &result.limits {
        line(
            text,
            "  ",
            &format!("certain limits: {}", limits.in_words()),
        );
    }
    if !result.earliest_set_by.is_empty() {
        line(
            text,
            "  ",
            &format!("earliest set by {}", result.earliest_set_by.join("; ")),
        );
    }
    if !result.latest_set_by.is_empty() {
        line(
            text,
            "  ",
            &format!("latest set by {}", result.latest_set_by.join("; ")),
        );
    }
    for clue in &result.used {
        let strength = if clue.hard {
            "hard"
        } else {
            clue.weight.words()
        };
        line(
            text,
            "  ",
            &format!(
                "clue: {}, {} [{strength}; {}]",
                clue.what,
                clue.range_in_words(),
                clue.source
            ),
        );
    }
    for aside in &result.set_aside {
        line(
            text,
            "  ",
            &format!("set aside: {} ({}): {}", aside.what, aside.range, aside.why),
        );
    }
    for remark in &result.remarks {
        line(text, "  ", &format!("mind: {remark}"));
    }
}

fn explain_candidate(text: &mut String, candidate: &Candidate) {
    let name = candidate.name.as_deref().unwrap_or("");
    let face = candidate
        .face
        .as_ref()
        .map_or_else(String::new, |face| format!(", face: {face}"));
    let withdrawn = if candidate.withdrawn {
        ", withdrawn"
    } else {
        ""
    };
    line(
        text,
        "",
        &format!(
            "Candidate {} {name} ({}{withdrawn}{face})",
            candidate.who, candidate.certainty
        ),
    );
    for ages in &candidate.ages {
        line(text, "  ", &ages.words());
    }
    if let Some(sitting) = &candidate.sitting {
        line(
            text,
            "  ",
            &format!("sitting if so: {}", sitting.in_words()),
        );
    }
    for remark in &candidate.remarks {
        line(text, "  ", remark);
    }
    let lists = [
        ("for", &candidate.reasons_for),
        ("against", &candidate.reasons_against),
        ("missing for this certainty", &candidate.lacking),
    ];
    for (heading, items) in lists {
        for item in items {
            line(text, "  ", &format!("{heading}: {item}"));
        }
    }
    for contradiction in &candidate.contradictions {
        line(text, "  ", &contradiction.what);
    }
    if let Some(settle) = &candidate.would_settle {
        line(text, "  ", &format!("would settle it: {settle}"));
    }
}

fn rest(text: &mut String, weighed: &PortraitWeighing) {
    for tie in &weighed.ties {
        let more = tie.others.saturating_sub(tie.portraits.len());
        let more = if more > 0 {
            format!(" and {more} more")
        } else {
            String::new()
        };
        line(
            text,
            "",
            &format!(
                "Tie, {}: {}{more} ({})",
                tie.kind.words(),
                tie.portraits.join(", "),
                tie.reason
            ),
        );
    }
    for scan in &weighed.scans {
        line(
            text,
            "",
            &format!(
                "Scan {}: {} pixels per inch, {}",
                scan.file, scan.true_ppi, scan.in_words
            ),
        );
    }
    for seen in &weighed.shown {
        appearance(text, seen);
    }
    let rights = &weighed.rights;
    if let Some(said) = &rights.said_of_publication {
        line(text, "", &format!("Published, says the sheet: {said}"));
    }
    line(
        text,
        "",
        &format!(
            "Copyright: {}. If never published: {}. If published then: {}. {}",
            rights.statement, rights.if_unpublished, rights.if_published, rights.note
        ),
    );
}

fn appearance(text: &mut String, seen: &ScanAppearance) {
    line(text, "", &format!("Viewers will show of {}:", seen.file));
    for (name, shown) in seen.lines() {
        line(text, "  ", &format!("{name}: {shown}"));
    }
    for disagreement in &seen.disagreements {
        line(text, "  ", disagreement);
    }
}
