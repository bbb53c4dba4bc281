//! Going through every text that an audience would get: what a person has to look at, and what is taken out.

use super::HeldBack;
use super::Terms;
use super::decisions::Leaving;
use super::decisions::LeavingKind;
use super::living;
use super::people;
use super::search::Found;
use super::secrets;
use super::secrets::HELD_BACK;
use super::secrets::Meaning;
use super::secrets::Seeker;
use super::secrets::Whose;
use crate::record::Collection;
use crate::record::DateEntry;
use serde_json::Map;
use serde_json::Value;

/// Fields that hold the name of somebody who did the work, and the field that says when.
const CREDITS: [(&str, &str, &str, &str); 6] = [
    ("about", "successor", "", "who carries on"),
    ("scans", "made_by", "made_on", "who made a scan"),
    ("scans", "altered_by", "altered_on", "who altered a picture"),
    ("claims", "said_by", "said_on", "who made a claim"),
    ("clues", "seen_by", "seen_on", "who saw a clue"),
    (
        "rights",
        "worked_out_by",
        "worked_out_on",
        "who worked out rights",
    ),
];

/// A text and where it stands.
pub(super) struct Standing<'a> {
    part: &'a str,
    of: &'a str,
    field: &'a str,
    fields: Option<&'a Map<String, Value>>,
}

/// What is to become of a text.
enum Fate {
    /// It leaves as it is.
    Leaves,
    /// What was found is taken out.
    Masked(String),
}

/// Goes through the texts of a record.
pub(super) struct Reviewer<'a> {
    pub(super) seeker: &'a Seeker,
    pub(super) terms: &'a Terms<'a>,
}

impl Reviewer<'_> {
    /// Returns everything in the texts that a person has to look at, each once.
    pub(super) fn list(&self, collection: &Collection) -> Vec<Leaving> {
        let mut listed: Vec<Leaving> = Vec::new();
        let mut known = std::collections::BTreeSet::new();
        let _ = each_text(collection, &mut |standing, text| {
            let (leaving, _) = self.look(standing, text)?;
            if let Some(leaving) = leaving
                && known.insert(leaving.code.clone())
            {
                listed.push(leaving);
            }
            None
        });
        listed
    }

    /// Returns the record with everything taken out that nobody let go.
    pub(super) fn mask(&self, collection: &Collection, list: &mut HeldBack) -> Collection {
        each_text(collection, &mut |standing, text| {
            let (leaving, found) = self.look(standing, text)?;
            match self.fate(standing, text, leaving.as_ref(), &found) {
                Fate::Leaves => None,
                Fate::Masked(masked) => {
                    list.add(
                        standing.of,
                        &format!("words under “{}”", plain_field(standing.field)),
                        "they name somebody or something that is held back",
                    );
                    Some(masked)
                }
            }
        })
    }

    /// Returns what a person has to look at in a text, when there is anything, and what was found in it.
    fn look(
        &self,
        standing: &Standing<'_>,
        text: &str,
    ) -> Option<(Option<Leaving>, Vec<Found<Meaning>>)> {
        let found = self.seeker.find(text, false);
        if found.is_empty() {
            let what = self.credit(standing, text)?;
            let leaving = self.leaving(LeavingKind::Credit, vec![], what.to_owned(), text);
            return Some((Some(leaving), found));
        }
        let about = secrets::told(&found);
        if about.is_empty() || is_one_name(text, &found) {
            return Some((None, found));
        }
        let never = found
            .iter()
            .any(|one| matches!(one.meaning.whose, Whose::Never(_)));
        let asked_only = found
            .iter()
            .all(|one| matches!(one.meaning.whose, Whose::Asked(_) | Whose::Value));
        let place = format!(
            "{}, {}{}",
            part_in_words(standing.part),
            if standing.of.is_empty() {
                String::new()
            } else {
                format!("{}, ", standing.of)
            },
            plain_field(standing.field)
        );
        let mut leaving = self.leaving(LeavingKind::Words, about, place, text);
        leaving.must_be_decided = !asked_only;
        leaving.may_leave = !never;
        Some((Some(leaving), found))
    }

    fn leaving(&self, kind: LeavingKind, about: Vec<String>, place: String, text: &str) -> Leaving {
        Leaving::new(self.terms.audience, kind, about, place, text.to_owned())
    }

    fn fate(
        &self,
        standing: &Standing<'_>,
        text: &str,
        leaving: Option<&Leaving>,
        found: &[Found<Meaning>],
    ) -> Fate {
        let decided = leaving.and_then(|leaving| {
            let decision = self.terms.decisions.on(&leaving.code)?;
            leaving.takes(decision).then_some(decision)
        });
        let follows = !found.is_empty()
            && found.iter().all(|one| match &one.meaning.whose {
                Whose::Asked(number) => self.terms.decisions.lets_go(number),
                Whose::Value => true,
                Whose::Never(_) | Whose::Contact(_) => false,
            });
        let lets_go = decided.map_or(follows, |decision| decision.lets_go());
        let hits: Vec<&Found<Meaning>> = found
            .iter()
            .filter(|one| !lets_go || one.meaning.whose == Whose::Value)
            .collect();
        if hits.is_empty() && (lets_go || !found.is_empty()) {
            return Fate::Leaves;
        }
        if hits.is_empty() {
            // The name of somebody who did the work: the whole text is the name.
            debug_assert!(self.credit(standing, text).is_some());
            return Fate::Masked(HELD_BACK.to_owned());
        }
        Fate::Masked(without(text, &hits))
    }

    /// Returns what the name of somebody who did the work is called, when they may be living and are not the sender.
    fn credit(&self, standing: &Standing<'_>, text: &str) -> Option<&'static str> {
        let (_, _, when, what) = CREDITS
            .iter()
            .find(|(part, field, _, _)| *part == standing.part && *field == standing.field)?;
        let year = people::year_of(self.terms.today);
        let is_past = standing
            .fields
            .and_then(|fields| fields.get(*when)?.get("given")?.get("edtf")?.as_str())
            .and_then(|edtf| DateEntry::read(edtf).ok())
            .is_some_and(|date| living::is_long_past(&date, year, self.terms.living_years));
        (!is_past && !self.seeker.is_open(text)).then_some(what)
    }
}

/// Tells whether a text is one person's name and nothing else: then nothing hints at them once it is taken out.
fn is_one_name(text: &str, found: &[Found<Meaning>]) -> bool {
    let whole = text.trim();
    found.iter().any(|one| {
        matches!(one.meaning.whose, Whose::Never(_) | Whose::Asked(_))
            && text.get(one.range.clone()) == Some(whole)
    })
}

/// Returns a text without what was found in it; what overlaps is one.
fn without(text: &str, found: &[&Found<Meaning>]) -> String {
    let mut result = String::new();
    let mut done = 0;
    let mut rest = found.iter().peekable();
    while let Some(first) = rest.next() {
        let mut end = first.range.end;
        while let Some(next) = rest.next_if(|next| next.range.start <= end) {
            end = end.max(next.range.end);
        }
        if end <= done {
            continue;
        }
        result.push_str(text.get(done..first.range.start).unwrap_or_default());
        result.push_str(first.meaning.stand_in);
        done = end;
    }
    result.push_str(text.get(done..).unwrap_or_default());
    result
}

/// Goes through every text of a record that may hold anything; what `change` returns stands in the text's place.
fn each_text(
    collection: &Collection,
    change: &mut dyn FnMut(&Standing<'_>, &str) -> Option<String>,
) -> Collection {
    let Ok(Value::Object(mut parts)) = serde_json::to_value(collection) else {
        return Collection::default();
    };
    for (part, value) in &mut parts {
        walk(value, part, "", "", None, change);
    }
    // The JSON came from this very type; only texts changed. Numbers and vocabulary words are never changed.
    serde_json::from_value(Value::Object(parts)).unwrap_or_default()
}

fn walk(
    value: &mut Value,
    part: &str,
    of: &str,
    field: &str,
    fields: Option<&Map<String, Value>>,
    change: &mut dyn FnMut(&Standing<'_>, &str) -> Option<String>,
) {
    match value {
        Value::String(text) if !is_fixed(field) => {
            let standing = Standing {
                part,
                of,
                field,
                fields,
            };
            if let Some(changed) = change(&standing, text) {
                *text = changed;
            }
        }
        Value::Array(values) => values
            .iter_mut()
            .for_each(|one| walk(one, part, of, field, fields, change)),
        Value::Object(own) => {
            let number = own
                .get("number")
                .filter(|number| number.is_string())
                .or_else(|| own.get("portrait"))
                .map(|number| number.get("given").unwrap_or(number))
                .and_then(Value::as_str)
                .map(str::to_owned);
            let of = number.as_deref().unwrap_or(of).to_owned();
            // Dates beside a text are looked at, so the walk goes over a copy of what stands around it.
            let around = own.clone();
            for (key, one) in own.iter_mut() {
                let (name, fields) = if key == "given" {
                    (field, fields)
                } else {
                    (key.as_str(), Some(&around))
                };
                walk(one, part, &of, name, fields, change);
            }
        }
        _ => {}
    }
}

/// Fields that are never free text: identifiers, dates in EDTF, digests; names of files, which are looked at one by one.
fn is_fixed(field: &str) -> bool {
    matches!(
        field,
        "number"
            | "kind"
            | "contact"
            | "portrait"
            | "portraits"
            | "persons"
            | "person"
            | "lot"
            | "edtf"
            | "sha256"
            | "picture_digest"
            | "file"
            | "altered_from"
            | "copy_of"
            | "clues_for"
            | "clues_against"
            | "applies_to"
            | "receipt_file"
            | "record_version"
    )
}

fn part_in_words(part: &str) -> &str {
    match part {
        "about" => "Collection",
        "portraits" => "Portraits",
        "scans" => "Scans",
        "words" => "Words found",
        "people" => "People",
        "claims" => "Who is it",
        "clues" => "Clues",
        "lots" => "How it came",
        "listings" => "Makers' addresses",
        "rights" => "Rights",
        "editions" => "Editions",
        other => other,
    }
}

fn plain_field(field: &str) -> String {
    field.replace('_', " ")
}
