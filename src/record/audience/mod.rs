//! What leaves the house: the record as one audience gets it, and the list of what was held back.
//!
//! Three steps, in this order: whole portraits, scans and people that an audience does not get; fields by the table; then every
//! text is searched for what must not leave, since people write names and telephone numbers into free text. What is found there
//! about people who may be living is first put on a list that a person answers ([`outgoing`]).

mod contacts;
mod decisions;
mod fields;
mod living;
mod people;
mod rows;
mod search;
mod secrets;
mod table;
mod text;

pub use decisions::Decision;
pub use decisions::Decisions;
pub use decisions::Leaving;
pub use decisions::LeavingKind;
pub use fields::RULES;
pub use fields::Rule;
pub use fields::rule_of;
pub use living::LIVING_YEARS;
pub use living::is_presumed_living;
pub use secrets::Seeker;
pub use secrets::SoughtName;
pub use table::AUDIENCES;
pub use table::AudienceRule;
pub use table::FILES;
pub use table::FileKind;
pub use table::Gets;
pub use table::as_markdown;
pub use table::audience_rule;
pub use table::gets_files;

use super::Audience;
use super::Collection;
use super::Person;
use super::YesNo;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;
use text::Reviewer;

/// Under which terms a record leaves.
#[derive(Debug, Clone, Copy)]
pub struct Terms<'a> {
    /// Who gets it.
    pub audience: Audience,
    /// The day that counts as today, year-month-day.
    pub today: &'a str,
    /// For how many years after a birth somebody whose death is not known counts as alive: [`LIVING_YEARS`].
    pub living_years: i64,
    /// What a person decided about things that concern people who may be living.
    pub decisions: &'a Decisions,
}

/// The record as one audience gets it.
#[derive(Debug, Clone, PartialEq)]
pub struct Filtered {
    /// The record without what is held back.
    pub collection: Collection,
    /// What was held back.
    pub withheld: Vec<Withheld>,
}

/// One thing that was held back, told without telling it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
pub struct Withheld {
    /// What, in plain words, for example "what it cost".
    pub what: String,
    /// Whose: a portrait's or lot's number where there is one.
    pub of: String,
    /// Why.
    pub why: String,
    /// How many times.
    pub times: u32,
}

/// Returns the record as an audience gets it when nobody has decided anything. `today` is the day that counts as today,
/// year-month-day.
#[must_use]
pub fn for_audience(collection: &Collection, audience: Audience, today: &str) -> Filtered {
    let decisions = Decisions::default();
    let terms = Terms {
        audience,
        today,
        living_years: LIVING_YEARS,
        decisions: &decisions,
    };
    under(collection, &terms)
}

/// Returns the record as it leaves under these terms.
#[must_use]
pub fn under(collection: &Collection, terms: &Terms<'_>) -> Filtered {
    let mut list = HeldBack::default();
    if terms.audience == Audience::Keeping {
        return Filtered {
            collection: collection.clone(),
            withheld: Vec::new(),
        };
    }
    let guards = people::guards(collection, terms);
    let mut left = rows::without_held_rows(collection, terms, &mut list);
    people::hide(&mut left, &people::hidden(&guards, terms), &mut list);
    let left = by_table(left, terms.audience, &mut list);
    let seeker = Seeker::new(collection, &guards, terms);
    let reviewer = Reviewer {
        seeker: &seeker,
        terms,
    };
    let collection = reviewer.mask(&left, &mut list);
    Filtered {
        collection,
        withheld: list.into_list(),
    }
}

/// What would leave, before anybody has decided anything.
#[derive(Debug, Clone, Default)]
pub struct Outgoing {
    /// Everything about people who may be living that the record itself would carry out of the house.
    pub listed: Vec<Leaving>,
    /// Finds the same people in words of others.
    pub seeker: Seeker,
    /// The record without what the audience never gets, its texts as they are.
    pub collection: Collection,
}

/// Returns what would leave under these terms if every decision were yes. For own storage nothing has to be looked at.
#[must_use]
pub fn outgoing(collection: &Collection, terms: &Terms<'_>) -> Outgoing {
    if terms.audience == Audience::Keeping {
        return Outgoing::default();
    }
    let guards = people::guards(collection, terms);
    let mut unheard = HeldBack::default();
    let mut left = rows::without_held_rows(collection, terms, &mut unheard);
    people::hide(&mut left, &people::always_hidden(&guards), &mut unheard);
    let left = by_table(left, terms.audience, &mut unheard);
    let seeker = Seeker::new(collection, &guards, terms);
    let reviewer = Reviewer {
        seeker: &seeker,
        terms,
    };
    let asked = left
        .people
        .iter()
        .filter(|person| guards.contains_key(&person.number));
    let mut listed: Vec<Leaving> = asked
        .map(|person| {
            let consent = collection
                .person(&person.number)
                .and_then(|own| own.consent.text());
            row_of(person, consent, terms.audience)
        })
        .collect();
    listed.extend(reviewer.list(&left));
    Outgoing {
        listed,
        seeker,
        collection: left,
    }
}

/// A person who agreed: their row, and their name wherever it stands. What they agreed to stands beside it for whoever decides.
fn row_of(person: &Person, consent: Option<&str>, audience: Audience) -> Leaving {
    let mut words = vec![person.name.text().unwrap_or("no name").to_owned()];
    words.extend(person.other_names.iter().cloned());
    let mut add = |label: &str, value: Option<&str>| {
        words.extend(value.map(|value| format!("{label} {value}")));
    };
    add("born", person.born.given().map(|date| date.typed.as_str()));
    add("at", person.born_at.text());
    add("married", person.married.text());
    add("parents", person.parents.text());
    add("on file:", consent);
    Leaving::new(
        audience,
        LeavingKind::Person,
        vec![person.number.to_string()],
        format!(
            "People, {}, the whole row, and the name in every text",
            person.number
        ),
        words.join("; "),
    )
}

/// Collects what is held back; the same thing twice is counted.
#[derive(Debug, Default)]
struct HeldBack {
    counts: BTreeMap<(String, String, String), u32>,
}

impl HeldBack {
    fn add(&mut self, of: &str, what: &str, why: &str) {
        let count = self
            .counts
            .entry((of.to_owned(), what.to_owned(), why.to_owned()))
            .or_default();
        *count = count.saturating_add(1);
    }

    /// Adds what is one thing however many fields it has.
    fn add_once(&mut self, of: &str, what: &str, why: &str) {
        let key = (of.to_owned(), what.to_owned(), why.to_owned());
        self.counts.insert(key, 1);
    }

    fn into_list(self) -> Vec<Withheld> {
        self.counts
            .into_iter()
            .map(|((of, what, why), times)| Withheld {
                what,
                of,
                why,
                times,
            })
            .collect()
    }
}

/// Removes the fields that the table gives to others only. Works on the record's JSON, so that a new field needs a line in the
/// table and nothing here.
fn by_table(collection: Collection, audience: Audience, list: &mut HeldBack) -> Collection {
    let Ok(Value::Object(mut parts)) = serde_json::to_value(&collection) else {
        return Collection::default();
    };
    let shown_contact = contact_as_wished(&collection, &mut parts, list);
    for (part, value) in &mut parts {
        match value {
            Value::Array(rows) => {
                for row in rows.iter_mut() {
                    filter(part, row, audience, list);
                }
                rows.retain(|row| row.as_object().is_none_or(|fields| !fields.is_empty()));
            }
            Value::Object(_) => filter(part, value, audience, list),
            _ => {}
        }
    }
    if let (Some(contact), Some(Value::Object(about))) = (shown_contact, parts.get_mut("about")) {
        about.insert("contact".to_owned(), contact);
    }
    // The JSON came from this very type, with fewer fields, all of which have defaults.
    serde_json::from_value(Value::Object(parts)).unwrap_or_default()
}

/// The keeper's own word on their contact goes before the table, both ways: it is taken out of what the table is asked about, and
/// returned when it is to be shown.
fn contact_as_wished(
    collection: &Collection,
    parts: &mut serde_json::Map<String, Value>,
    list: &mut HeldBack,
) -> Option<Value> {
    let wish = collection.about.contact_may_be_shown.given()?;
    let contact = parts.get_mut("about")?.as_object_mut()?.remove("contact")?;
    match wish {
        YesNo::Yes => Some(contact),
        YesNo::No => {
            if tells_something(&contact) {
                list.add(
                    "",
                    "how to reach the keeper",
                    "the keeper does not want it shown",
                );
            }
            None
        }
    }
}

fn filter(part: &str, row: &mut Value, audience: Audience, list: &mut HeldBack) {
    let of = name_of(row);
    let Value::Object(fields) = row else { return };
    let held: Vec<(String, &str)> = fields
        .keys()
        .filter_map(|field| match rule_of(part, field) {
            Some(rule) if rule.gets.includes(audience) => None,
            Some(rule) => Some((field.clone(), rule.called)),
            // A field without a rule never leaves.
            None => Some((field.clone(), "a field without a rule")),
        })
        .collect();
    for (field, called) in held {
        let removed = fields.remove(&field);
        if removed.is_some_and(|value| tells_something(&value)) {
            list.add_once(&of, called, "it is not meant for this audience");
        }
    }
    for (field, value) in fields {
        match value {
            Value::Object(_) if rule_parts(part, field) => {
                filter(&format!("{part}.{field}"), value, audience, list);
            }
            Value::Array(rows) if rule_parts(part, field) => {
                rows.iter_mut()
                    .for_each(|row| filter(&format!("{part}.{field}"), row, audience, list));
            }
            _ => {}
        }
    }
}

/// "Does not apply" and "not known" are words by themselves; whatever else there is tells something.
fn tells_something(value: &Value) -> bool {
    !matches!(
        value.as_str(),
        Some("does not apply" | "not known" | "not looked at yet")
    )
}

/// Tells whether a field has fields of its own in the table.
fn rule_parts(part: &str, field: &str) -> bool {
    RULES.iter().any(|rule| {
        rule.part
            .strip_prefix(part)
            .and_then(|rest| rest.strip_prefix('.'))
            == Some(field)
    })
}

/// Returns the number by which a row is called in the list: never a name.
fn name_of(row: &Value) -> String {
    let text = |field: &str| {
        row.get(field).and_then(|value| {
            value
                .as_str()
                .or_else(|| value.get("given").and_then(Value::as_str))
        })
    };
    text("number")
        .or_else(|| text("portrait"))
        .or_else(|| text("applies_to"))
        .unwrap_or_default()
        .to_owned()
}

#[cfg(test)]
mod tests;
