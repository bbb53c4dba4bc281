//! Searching every text for what must not leave: people write names, telephone numbers and addresses into free text.

use super::HeldBack;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PersonNumber;
use serde_json::Value;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// What stands where something was taken out.
const MASK: &str = "[held back]";

/// Shortest name that is searched for, in characters: shorter ones would mask ordinary words.
const SHORTEST_NAME: usize = 4;

/// Fewest digits that make a telephone number.
const SHORTEST_TELEPHONE: usize = 9;

/// Words that must not stand in any text, longest first.
#[derive(Debug, Default)]
pub(super) struct Secrets {
    words: Vec<String>,
}

/// Collects what must not stand in any text: the names of guarded people, and values that the table holds back.
pub(super) fn secrets(
    collection: &Collection,
    guarded: &BTreeMap<PersonNumber, &'static str>,
    audience: Audience,
) -> Secrets {
    let mut words = BTreeSet::new();
    for person in collection
        .people
        .iter()
        .filter(|person| guarded.contains_key(&person.number))
    {
        words.extend(names(person));
    }
    if audience != Audience::Archive {
        words.extend(
            collection
                .receivers
                .iter()
                .filter_map(|receiver| receiver.name.text())
                .map(str::to_owned),
        );
    }
    for lot in &collection.lots {
        words.extend(
            [lot.price.text(), lot.giver_contact.text()]
                .into_iter()
                .flatten()
                .map(str::to_owned),
        );
    }
    words.extend(
        collection
            .portraits
            .iter()
            .filter_map(|portrait| portrait.storage.text())
            .map(str::to_owned),
    );
    let may_show_contact = audience == Audience::Archive
        || collection.about.contact_may_be_shown.given() == Some(&crate::record::YesNo::Yes);
    if !may_show_contact {
        words.extend(collection.about.contact.text().map(str::to_owned));
    }
    let mut words: Vec<String> = words
        .into_iter()
        .map(|word| word.trim().to_owned())
        .filter(|word| word.chars().count() >= SHORTEST_NAME)
        .collect();
    words.sort_by_key(|word| std::cmp::Reverse(word.chars().count()));
    Secrets { words }
}

/// A guarded person's names, and each in the order "Family, Given" as well.
fn names(person: &Person) -> Vec<String> {
    let all = person
        .name
        .text()
        .into_iter()
        .map(str::to_owned)
        .chain(person.other_names.iter().cloned());
    let mut found = Vec::new();
    for name in all {
        if let Some((given, family)) = name.rsplit_once(' ') {
            found.push(format!("{family}, {given}"));
        }
        found.push(name);
    }
    found
}

/// Masks secrets in every text of the record.
pub(super) fn mask(collection: Collection, secrets: &Secrets, list: &mut HeldBack) -> Collection {
    let Ok(mut value) = serde_json::to_value(&collection) else {
        return Collection::default();
    };
    mask_value(&mut value, secrets, list, "", "");
    // The JSON came from this very type; only texts changed. Numbers and vocabulary words are never masked.
    serde_json::from_value(value).unwrap_or_default()
}

fn mask_value(value: &mut Value, secrets: &Secrets, list: &mut HeldBack, of: &str, field: &str) {
    match value {
        Value::String(text) if !is_fixed(field) => {
            if let Some(masked) = masked(text, secrets) {
                list.add(
                    of,
                    "words in a text",
                    "they name somebody or something that is held back",
                );
                *text = masked;
            }
        }
        Value::Array(values) => values
            .iter_mut()
            .for_each(|one| mask_value(one, secrets, list, of, field)),
        Value::Object(fields) => {
            let own = fields
                .get("number")
                .or_else(|| fields.get("portrait"))
                .and_then(Value::as_str)
                .map(str::to_owned);
            let of = own.as_deref().unwrap_or(of).to_owned();
            for (key, one) in fields.iter_mut() {
                let name = if key == "given" { field } else { key.as_str() };
                mask_value(one, secrets, list, &of, name);
            }
        }
        _ => {}
    }
}

/// Fields that are never free text: identifiers, dates in EDTF, digests, file names that lead to the scans.
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
    )
}

/// Returns the text with secrets masked, when it holds any.
fn masked(text: &str, secrets: &Secrets) -> Option<String> {
    // Addresses first: a name inside one must not tear it apart.
    let mut result = mask_contacts(text);
    for word in &secrets.words {
        result = replace_ignoring_case(&result, word);
    }
    (result != text).then_some(result)
}

fn replace_ignoring_case(text: &str, word: &str) -> String {
    let (lower, wanted) = (text.to_lowercase(), word.to_lowercase());
    // Lower case may have another length in rare scripts; then positions do not match and only the exact form is searched.
    if lower.len() != text.len() {
        return text.replace(word, MASK);
    }
    let mut result = String::new();
    let mut rest = 0;
    while let Some(found) = lower.get(rest..).and_then(|tail| tail.find(&wanted)) {
        let start = rest.saturating_add(found);
        result.push_str(text.get(rest..start).unwrap_or_default());
        result.push_str(MASK);
        rest = start.saturating_add(wanted.len());
    }
    result.push_str(text.get(rest..).unwrap_or_default());
    result
}

/// Masks e-mail addresses and telephone numbers, word by word.
fn mask_contacts(text: &str) -> String {
    let is_address = |word: &str| {
        word.split_once('@')
            .is_some_and(|(left, right)| !left.is_empty() && right.contains('.'))
    };
    if !text.contains('@') && digits(text) < SHORTEST_TELEPHONE {
        return text.to_owned();
    }
    let with_addresses: Vec<&str> = text
        .split(' ')
        .map(|word| if is_address(word) { MASK } else { word })
        .collect();
    mask_telephones(&with_addresses.join(" "))
}

fn digits(text: &str) -> usize {
    text.chars().filter(char::is_ascii_digit).count()
}

/// A run of digits, blanks, hyphens, dots, brackets and a plus sign with enough digits in it is a telephone number, unless it holds
/// a year range or a day.
fn mask_telephones(text: &str) -> String {
    let mut result = String::new();
    let mut run = String::new();
    for character in text.chars().chain(std::iter::once('\0')) {
        if character.is_ascii_digit()
            || matches!(character, ' ' | '-' | '.' | '(' | ')' | '+' | '/')
        {
            run.push(character);
            continue;
        }
        result.push_str(&settled(&run));
        run.clear();
        if character != '\0' {
            result.push(character);
        }
    }
    result
}

fn settled(run: &str) -> String {
    let has_year = run
        .split(|c: char| !c.is_ascii_digit())
        .any(|part| part.len() == 4 && matches!(part.get(..2), Some("17" | "18" | "19" | "20")));
    let is_telephone = digits(run) >= SHORTEST_TELEPHONE
        && (!has_year || run.contains('+') || run.trim_start().starts_with('0'));
    if !is_telephone {
        return run.to_owned();
    }
    let leading: String = run.chars().take_while(|c| *c == ' ').collect();
    let trailing: String = run.chars().rev().take_while(|c| *c == ' ').collect();
    format!("{leading}{MASK}{trailing}")
}

#[cfg(test)]
pub(super) fn mask_contacts_for_tests(text: &str) -> String {
    mask_contacts(text)
}
