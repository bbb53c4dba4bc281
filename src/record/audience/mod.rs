//! What leaves the house: the record as one audience gets it, and the list of what was held back.
//!
//! Three steps, in this order: whole portraits, scans and people that an audience does not get; fields by the table; then every
//! text is searched for what must not leave, since people write names and telephone numbers into free text.

mod living;
mod people;
mod rows;
mod table;
mod text;

pub use living::LIVING_YEARS;
pub use living::is_presumed_living;
pub use table::Gets;
pub use table::RULES;
pub use table::Rule;
pub use table::rule_of;

use super::Audience;
use super::Collection;
use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use serde_json::Value;
use std::collections::BTreeMap;

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

/// Returns the record as an audience gets it. `year` is the year that counts as today, `today` the same as year-month-day.
#[must_use]
pub fn for_audience(collection: &Collection, audience: Audience, today: &str) -> Filtered {
    let mut list = HeldBack::default();
    if audience == Audience::Keeping {
        return Filtered {
            collection: collection.clone(),
            withheld: Vec::new(),
        };
    }
    let guarded = people::guarded(collection, audience, today);
    let mut left = rows::without_held_rows(collection, audience, today, &mut list);
    people::hide(&mut left, &guarded, &mut list);
    let left = by_table(left, audience, &mut list);
    let collection = text::mask(
        left,
        &text::secrets(collection, &guarded, audience),
        &mut list,
    );
    Filtered {
        collection,
        withheld: list.into_list(),
    }
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
    if collection.about.contact_may_be_shown.given() == Some(&super::YesNo::Yes)
        && let Some(Value::Object(about)) = parts.get_mut("about")
        && let Ok(contact) = serde_json::to_value(&collection.about.contact)
    {
        about.insert("contact".to_owned(), contact);
    }
    // The JSON came from this very type, with fewer fields, all of which have defaults.
    serde_json::from_value(Value::Object(parts)).unwrap_or_default()
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
        fields.remove(&field);
        list.add(&of, called, "it is not meant for this audience");
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
