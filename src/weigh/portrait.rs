//! One portrait, weighed.

use super::candidate;
use super::candidate::Candidate;
use super::cell::cell;
use super::certainty;
use super::date_concerns;
use super::dates::DateResult;
use super::dates::Dates;
use super::dates::weigh_dates;
use super::evidence::Evidence;
use super::pictures;
use super::pictures::ScanMeasure;
use super::required;
use super::rights;
use super::rights::RightsHint;
use super::shown::ScanAppearance;
use super::ties::Tie;
use super::words;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Collection;
use crate::record::Day;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Rights;
use crate::record::WrittenIn;
use crate::record::caution::Circumstances;
use crate::record::caution::may_be_living;
use crate::record::wording;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What was found about one portrait.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct PortraitWeighing {
    /// Its number.
    pub number: PortraitNumber,
    /// Who it shows, as may be said in titles and captions.
    pub who: String,
    /// The best certainty of a claim that is still held, or "not said".
    pub certainty: String,
    /// When, in words: what the person gave, or else what the clues say.
    pub when: String,
    /// The dates that follow from the clues.
    pub dates: Dates,
    /// Everybody who was thought of, withdrawn ideas included, in the order of the sheet.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub candidates: Vec<Candidate>,
    /// What ties it to other portraits.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub ties: Vec<Tie>,
    /// How finely its scans show it.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub scans: Vec<ScanMeasure>,
    /// What ordinary viewers will show of its scans, if the files were looked at.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub shown: Vec<ScanAppearance>,
    /// What is missing, in plain words.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub missing: Vec<String>,
    /// A worksheet of copyright terms; decides nothing.
    pub rights: RightsHint,
}

impl PortraitWeighing {
    /// Returns what the ranges of dates rest on, a sentence each, for the page of a package. Clues are named by number only: their
    /// words may name a candidate, or be held back.
    #[must_use]
    pub fn date_lines(&self) -> Vec<String> {
        let three = [
            ("The sitting", &self.dates.sitting),
            ("This print", &self.dates.print),
            ("Framing or writing", &self.dates.framed),
        ];
        let mut lines = Vec::new();
        for (name, result) in three {
            let Some(result) = result.as_ref().filter(|result| result.estimate.is_some()) else {
                continue;
            };
            let mut line = format!("{name}, by the clues: {}", result.in_words);
            for (end, set_by) in [
                ("earliest", &result.earliest_set_by),
                ("latest", &result.latest_set_by),
            ] {
                if !set_by.is_empty() {
                    let named: Vec<&str> = set_by.iter().map(|what| by_number(what)).collect();
                    line.push_str(&format!("; {end} by {}", named.join(" and ")));
                }
            }
            line.push('.');
            lines.push(line);
            let aside: Vec<&str> = result
                .set_aside
                .iter()
                .map(|aside| by_number(&aside.what))
                .collect();
            if !aside.is_empty() {
                lines.push(format!("{name}: set aside {}.", aside.join(" and ")));
            }
        }
        lines
    }

    /// Returns one line: number, who and how sure, when, what is missing.
    #[must_use]
    pub fn line(&self) -> String {
        let missing = if self.missing.is_empty() {
            String::new()
        } else {
            format!(" — missing: {}", self.missing.join(", "))
        };
        format!(
            "{}: {} ({}), {}{missing}",
            self.number, self.who, self.certainty, self.when
        )
    }
}

/// Weighs one portrait. Its ties are found elsewhere.
pub(super) fn weigh(
    evidence: &Evidence<'_>,
    portrait: &Portrait,
    rights_of: &BTreeMap<&str, &Rights>,
    as_of: Day,
    concerns: &mut ConcernList,
) -> PortraitWeighing {
    let register = evidence.register;
    let missing = required::check_portrait(evidence, portrait, concerns);
    let lacking = certainty::check(evidence, portrait, concerns);
    let dates = weigh_dates(portrait, evidence.about(portrait));
    date_concerns::check(portrait, &dates, concerns);
    let candidates: Vec<Candidate> = register
        .claims_about(&portrait.number)
        .iter()
        .copied()
        .zip(lacking)
        .map(|claim| candidate::weigh(register, portrait, claim, &dates, concerns))
        .collect();
    printed_ages(register, portrait, &dates, concerns);
    let scans = pictures::check(register, portrait, concerns);
    let claims = register.claims_about(&portrait.number);
    let naming = wording::naming(register, portrait);
    let best: Option<Certainty> = claims
        .iter()
        .filter(|claim| !claim.is_withdrawn())
        .filter_map(|claim| claim.certainty.given().copied())
        .min();
    let lot = portrait.lot.text_of();
    let rights = rights_of
        .get(portrait.number.as_str())
        .or_else(|| rights_of.get(lot))
        .or_else(|| rights_of.get("all"));
    PortraitWeighing {
        number: portrait.number.clone(),
        who: naming.words(),
        certainty: best.map_or("not said", Certainty::word).to_owned(),
        when: when(portrait, &dates),
        rights: rights::hint(portrait, rights.copied(), &dates, as_of),
        dates,
        candidates,
        ties: Vec::new(),
        scans,
        shown: Vec::new(),
        missing,
    }
}

/// A clue of the sheet without its words.
fn by_number(what: &str) -> &str {
    if what.starts_with("clue ") {
        what.split(':').next().unwrap_or(what)
    } else {
        what
    }
}

/// The text of a number, or nothing.
trait TextOf {
    fn text_of(&self) -> &str;
}

impl TextOf for Answer<crate::record::LotNumber> {
    fn text_of(&self) -> &str {
        self.given().map_or("", crate::record::LotNumber::as_str)
    }
}

/// Returns the first row of rights for each number, lower-case "all" included.
pub(super) fn rights_by_target(collection: &Collection) -> BTreeMap<&str, &Rights> {
    let mut found = BTreeMap::new();
    for rights in &collection.rights {
        if let Some(target) = rights.applies_to.text() {
            let target = target.trim();
            let target = if target.eq_ignore_ascii_case("all") {
                "all"
            } else {
                target
            };
            found.entry(target).or_insert(rights);
        }
    }
    found
}

fn when(portrait: &Portrait, dates: &Dates) -> String {
    if let Some(stated) = wording::shown_date(portrait) {
        return stated;
    }
    let weighed = |result: &Option<Box<DateResult>>| {
        result
            .as_ref()
            .filter(|result| result.estimate.is_some() || result.conflict.is_some())
            .map(|result| result.in_words.clone())
    };
    weighed(&dates.print)
        .map(|words| format!("by the clues: {words}"))
        .or_else(|| weighed(&dates.sitting).map(|words| format!("by the clues: sitting {words}")))
        .unwrap_or_else(|| "date not known".to_owned())
}

/// Printed words such as "Departed 4 May 1893, aged 71 y. 2 m." against the people thought of.
fn printed_ages(
    register: &Register<'_>,
    portrait: &Portrait,
    dates: &Dates,
    concerns: &mut ConcernList,
) {
    for words in register.words_on(&portrait.number) {
        let Some(age) = words.text.text().and_then(words::printed_age) else {
            continue;
        };
        if words.written_in.given() == Some(&WrittenIn::Print) {
            older_than_its_words(portrait, dates, age.died, concerns);
        }
        let birth = age
            .birth()
            .map_or_else(String::new, |birth| birth.in_words());
        let place =
            cell(&columns::WORDS, words.row, "The words exactly").of_portrait(&portrait.number);
        let mut people: Vec<(&str, bool)> = register
            .held_names(&portrait.number)
            .filter_map(|(_, person)| {
                let (first, last) = person.born.given()?.edtf.generous_bounds();
                let agrees =
                    first.day()? <= age.latest_birth && age.earliest_birth <= last.day()?;
                Some((person.number.as_str(), agrees))
            })
            .collect();
        people.sort_unstable();
        people.dedup();
        let said: Vec<String> = people
            .iter()
            .map(|(number, agrees)| {
                let verb = if *agrees {
                    "agrees with"
                } else {
                    "does not agree with"
                };
                format!("this {verb} the birth of {number}")
            })
            .collect();
        let said = if said.is_empty() {
            String::new()
        } else {
            format!("; {}", said.join(", "))
        };
        let what = format!(
            "The death on {} at the age given points to a birth in {birth}{said}.",
            age.died
        );
        let remedy = "A printed card is somebody’s account, not first-hand: look for the record of birth or death.";
        if people.iter().any(|(_, agrees)| !agrees) {
            concerns.question("printed-age", place, what, remedy);
        } else {
            concerns.note("printed-age", place, what, remedy);
        }
    }
}

/// Words that were printed after a day, on a print that by the clues could be older. They may have been printed on it later, so it asks.
fn older_than_its_words(portrait: &Portrait, dates: &Dates, died: Day, concerns: &mut ConcernList) {
    let Some(print) = dates.print.as_deref().filter(|one| one.conflict.is_none()) else {
        return;
    };
    if print
        .estimate_range
        .earliest
        .is_some_and(|earliest| died <= earliest)
    {
        return;
    }
    concerns.question(
        "print-older-than-its-words",
        cell(&columns::PORTRAITS, portrait.row, "This print made").of_portrait(&portrait.number),
        format!(
            "The words printed on it tell of a death on {died}, so they were printed then or later; by the clues this print could be older ({}).",
            print.in_words
        ),
        format!("If words and picture were printed together, add a hard clue to this print in “Clues”, with the date {died}/.. (that day or later)."),
    );
}

/// Living people whom the catalogue names without a recorded consent.
pub(super) fn living(register: &Register<'_>, as_of: Day, concerns: &mut ConcernList) {
    let circumstances = Circumstances {
        year: i32::try_from(as_of.year()).ok(),
        ..Circumstances::default()
    };
    let mut told: BTreeSet<&str> = BTreeSet::new();
    for person in &register.collection().people {
        let blank_row = person.name.is_blank() && person.born.is_blank();
        if blank_row
            || !may_be_living(person, &circumstances)
            || !told.insert(person.number.as_str())
        {
            continue;
        }
        if !person.consent.is_given() {
            concerns.note(
                "may-be-living",
                cell(&columns::PEOPLE, person.row, "Consent on file?"),
                format!("{} may be alive, and no consent is recorded.", person.number),
                "Ask in writing before naming them; until then they are left out of what leaves the house. Fill in “Died” if they are dead.",
            );
        }
    }
}
