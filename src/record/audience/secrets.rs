//! What texts are searched for: names of people who are not to be named, receivers, contacts, prices and storage places.

use super::Terms;
use super::contacts;
use super::fields;
use super::people::Guard;
use super::search;
use super::search::Found;
use super::search::Searcher;
use crate::record::Collection;
use crate::record::Person;
use crate::record::PersonNumber;
use crate::record::ReceiverKind;
use crate::record::YesNo;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::ops::Range;

/// What stands where something was taken out.
pub(super) const HELD_BACK: &str = "[held back]";

/// What stands for a person who is related to somebody in the catalogue.
const DESCENDANT: &str = "a descendant";

/// What stands for any other person.
const SOMEBODY: &str = "somebody not named here";

/// Shortest value that is searched for, in characters: shorter ones would mask ordinary words.
const SHORTEST_VALUE: usize = 4;

/// Shortest piece of an address that is searched for, in letters.
const SHORTEST_PIECE: usize = 6;

/// Whom or what some words mean.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Whose {
    /// Somebody who is never named to this audience.
    Never(String),
    /// Somebody who agreed, by number.
    Asked(String),
    /// A way to reach somebody.
    Contact(&'static str),
    /// A value that the table keeps at home.
    Value,
}

/// What some words mean, and what stands in their place when they are taken out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Meaning {
    pub(super) whose: Whose,
    pub(super) stand_in: &'static str,
}

/// Finds in texts what must not leave without a decision.
#[derive(Debug, Clone, Default)]
pub struct Seeker {
    searcher: Searcher<Meaning>,
    keeper: Vec<String>,
    nameable: BTreeSet<Vec<String>>,
    /// A contact that may be given on.
    shown_contact: String,
    names: Vec<SoughtName>,
}

/// A whole name that is searched for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SoughtName {
    /// The name as the catalogue has it.
    pub name: String,
    /// Whose it is, by number.
    pub whose: String,
    /// Whether they are never named to this audience.
    pub is_never: bool,
}

impl Seeker {
    /// Returns what is to be searched for in everything that an audience gets.
    pub(super) fn new(
        collection: &Collection,
        guards: &BTreeMap<PersonNumber, Guard>,
        terms: &Terms<'_>,
    ) -> Self {
        let about = &collection.about;
        let nameable: Vec<&Person> = collection
            .people
            .iter()
            .filter(|person| !guards.contains_key(&person.number))
            .collect();
        let keeper = plain(about.kept_by.text().unwrap_or_default());
        let may_show = match about.contact_may_be_shown.given() {
            Some(YesNo::Yes) => true,
            Some(YesNo::No) => false,
            None => fields::rule_of("about", "contact")
                .is_some_and(|rule| rule.gets.includes(terms.audience)),
        };
        let shown_contact = about.contact.text().filter(|_| may_show);
        let mut seeker = Self {
            searcher: Searcher::default(),
            nameable: nameable
                .iter()
                .flat_map(|one| names(one))
                .map(|name| plain(&name))
                .collect(),
            keeper,
            shown_contact: shown_contact.unwrap_or_default().to_owned(),
            names: Vec::new(),
        };
        let parts: BTreeSet<String> = seeker
            .nameable
            .iter()
            .flatten()
            .chain(&seeker.keeper)
            .cloned()
            .collect();
        seeker.add_people(collection, guards, &parts);
        seeker.add_receivers(collection, &parts);
        seeker.add_contacts(collection, may_show);
        seeker.add_values(collection);
        seeker
    }

    fn add_people(
        &mut self,
        collection: &Collection,
        guards: &BTreeMap<PersonNumber, Guard>,
        free: &BTreeSet<String>,
    ) {
        let families = Families::of(&collection.people);
        for person in &collection.people {
            let number = person.number.to_string();
            let whose = match guards.get(&person.number) {
                None => continue,
                Some(Guard::Never(_)) => Whose::Never(number),
                Some(Guard::Asked) => Whose::Asked(number),
            };
            let meaning = Meaning {
                stand_in: families.stand_in(person),
                whose,
            };
            for name in names(person) {
                let is_the_sender =
                    matches!(meaning.whose, Whose::Asked(_)) && plain(&name) == self.keeper;
                if !is_the_sender {
                    self.seek(&name, &meaning.whose);
                    self.searcher
                        .add_name(&name, &meaning, |part| free.contains(part));
                }
            }
        }
    }

    /// Relatives who receive a package live. Archives and societies do not.
    fn add_receivers(&mut self, collection: &Collection, free: &BTreeSet<String>) {
        let known: BTreeSet<Vec<String>> = collection
            .people
            .iter()
            .flat_map(names)
            .map(|name| plain(&name))
            .collect();
        for receiver in &collection.receivers {
            let is_a_body = matches!(
                receiver.kind.given(),
                Some(ReceiverKind::Archive | ReceiverKind::Public)
            );
            let Some(name) = receiver.name.text().filter(|_| !is_a_body) else {
                continue;
            };
            let words = plain(name);
            if known.contains(&words) || words == self.keeper {
                continue;
            }
            let meaning = Meaning {
                whose: Whose::Never(receiver.number.to_string()),
                stand_in: SOMEBODY,
            };
            self.seek(name, &meaning.whose);
            self.searcher
                .add_name(name, &meaning, |part| free.contains(part));
        }
    }

    /// A name that somebody who may be named has too tells nothing by itself.
    fn seek(&mut self, name: &str, whose: &Whose) {
        let (number, is_never) = match whose {
            Whose::Never(number) => (number, true),
            Whose::Asked(number) => (number, false),
            Whose::Contact(_) | Whose::Value => return,
        };
        if !self.is_open(name) {
            self.names.push(SoughtName {
                name: name.to_owned(),
                whose: number.clone(),
                is_never,
            });
        }
    }

    /// Returns the whole names that are searched for.
    #[must_use]
    pub fn names(&self) -> &[SoughtName] {
        &self.names
    }

    /// Givers' addresses, and the keeper's own unless it may be shown. A place that the story tells anyway is none.
    fn add_contacts(&mut self, collection: &Collection, may_show: bool) {
        let about = &collection.about;
        let told = |piece: &str| {
            let open = [about.story.text(), about.title.text()];
            let from = collection.lots.iter().map(|lot| lot.from.text());
            open.into_iter()
                .chain(from)
                .flatten()
                .any(|text| text.contains(piece))
        };
        let own = about.contact.text().filter(|_| !may_show);
        let givers = collection
            .lots
            .iter()
            .filter_map(|lot| lot.giver_contact.text());
        let meaning = Meaning {
            whose: Whose::Contact("an address"),
            stand_in: HELD_BACK,
        };
        for piece in own.into_iter().chain(givers).flat_map(pieces) {
            if piece.chars().any(|one| one.is_ascii_digit()) || !told(piece) {
                self.searcher.add_text(piece, &meaning);
            }
        }
    }

    fn add_values(&mut self, collection: &Collection) {
        let prices = collection.lots.iter().filter_map(|lot| lot.price.text());
        let places = collection
            .portraits
            .iter()
            .filter_map(|portrait| portrait.storage.text());
        let values: BTreeSet<&str> = prices.chain(places).map(str::trim).collect();
        let meaning = Meaning {
            whose: Whose::Value,
            stand_in: HELD_BACK,
        };
        for value in values {
            let is_telling =
                value.contains(|one: char| one.is_whitespace() || one.is_ascii_digit());
            if is_telling && value.chars().count() >= SHORTEST_VALUE {
                self.searcher.add_text(value, &meaning);
            }
        }
    }

    /// Returns everything in a text that must not leave without a decision. `is_loose` is for names of files.
    pub(super) fn find(&self, text: &str, is_loose: bool) -> Vec<Found<Meaning>> {
        let mut found = self.searcher.find(text, is_loose);
        let names_somebody = found
            .iter()
            .any(|one| matches!(one.meaning.whose, Whose::Never(_) | Whose::Asked(_)));
        let mut contact = |ranges: Vec<Range<usize>>, what: &'static str| {
            let new = ranges
                .into_iter()
                .filter(|range| !self.is_shown(text, range));
            found.extend(new.map(|range| Found {
                range,
                meaning: Meaning {
                    whose: Whose::Contact(what),
                    stand_in: HELD_BACK,
                },
            }));
        };
        contact(contacts::mail_addresses(text), "an e-mail address");
        contact(contacts::telephones(text), "a telephone number");
        if names_somebody {
            contact(contacts::streets(text), "an address");
        }
        found.sort_by_key(|one| (one.range.start, one.range.end));
        found
    }

    fn is_shown(&self, text: &str, range: &Range<usize>) -> bool {
        let words = text.get(range.clone()).unwrap_or_default();
        !words.is_empty() && self.shown_contact.contains(words)
    }

    /// Tells whether a text is the name of the keeper, who sends the package, or of somebody who may be named.
    pub(super) fn is_open(&self, text: &str) -> bool {
        let words = plain(text);
        words == self.keeper || self.nameable.contains(&words)
    }

    /// Returns whom or what words of others mean, each once, and whether somebody is among them who is never named.
    #[must_use]
    pub fn meant(&self, text: &str, is_loose: bool) -> (Vec<String>, bool) {
        let found = self.find(text, is_loose);
        let is_never = found
            .iter()
            .any(|one| matches!(one.meaning.whose, Whose::Never(_)));
        (told(&found), is_never)
    }
}

/// Returns whom or what was found, each once; values that are simply held back are not told.
pub(super) fn told(found: &[Found<Meaning>]) -> Vec<String> {
    let told: BTreeSet<String> = found
        .iter()
        .filter_map(|one| match &one.meaning.whose {
            Whose::Never(number) | Whose::Asked(number) => Some(number.clone()),
            Whose::Contact(what) => Some((*what).to_owned()),
            Whose::Value => None,
        })
        .collect();
    told.into_iter().collect()
}

fn names(person: &Person) -> Vec<String> {
    let first = person.name.text().map(str::to_owned);
    first
        .into_iter()
        .chain(person.other_names.iter().cloned())
        .collect()
}

/// The words of a name, for comparing.
fn plain(name: &str) -> Vec<String> {
    search::words(name)
        .into_iter()
        .map(|word| word.folded)
        .collect()
}

/// Who bears which family name, by the last words of all their names.
struct Families<'a>(BTreeMap<String, BTreeSet<&'a PersonNumber>>);

impl<'a> Families<'a> {
    fn of(people: &'a [Person]) -> Self {
        let mut bearers: BTreeMap<String, BTreeSet<&PersonNumber>> = BTreeMap::new();
        for person in people {
            for family in family_names(person) {
                bearers.entry(family).or_default().insert(&person.number);
            }
        }
        Self(bearers)
    }

    /// "A descendant" where the sheet gives parents or somebody else has the same family name; else no kinship is claimed.
    fn stand_in(&self, person: &Person) -> &'static str {
        let shares = |family: String| {
            let bearers = self.0.get(&family).into_iter().flatten();
            bearers.into_iter().any(|one| **one != person.number)
        };
        if person.parents.is_given() || family_names(person).any(shares) {
            DESCENDANT
        } else {
            SOMEBODY
        }
    }
}

fn family_names(person: &Person) -> impl Iterator<Item = String> {
    let names = names(person).into_iter();
    names.filter_map(|name| plain(&name).pop())
}

/// The pieces of an address that tell something: not a town alone, not what is found as a number or mail address anyway.
fn pieces(contact: &str) -> impl Iterator<Item = &str> {
    contact
        .split([';', ',', '\n'])
        .map(str::trim)
        .filter(|piece| {
            piece.contains(char::is_whitespace)
                && piece.chars().count() >= SHORTEST_PIECE
                && contacts::mail_addresses(piece).is_empty()
                && contacts::telephones(piece).is_empty()
        })
}
