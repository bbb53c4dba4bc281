//! Rebuilds rows of the catalogue from the records that described copies carry.
//!
//! Each copy carries the excerpt of one portrait. Excerpts are laid upon each other; what the catalogue, or an earlier file in the
//! order of names, says already is never changed, and where two say different things a concern tells so.

use super::grouping::natural_key;
use super::seen::FileSeen;
use super::seen::Survey;
use crate::catalogue::columns;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::record::About;
use crate::record::Answer;
use crate::record::Collection;
use crate::record::CopyKind;
use crate::record::PortraitNumber;
use crate::record::Scan;
use std::collections::BTreeSet;

/// Adds the rows that the records of stray described copies hold.
pub(super) fn merge(
    survey: &mut Survey,
    strays: &[&FileSeen],
    records: &std::collections::BTreeMap<String, Collection>,
) {
    let known: BTreeSet<PortraitNumber> = survey
        .collection
        .portraits
        .iter()
        .map(|portrait| portrait.number.clone())
        .collect();
    let mut ordered: Vec<&FileSeen> = strays.to_vec();
    ordered.sort_by_cached_key(|seen| natural_key(&seen.file));
    for seen in ordered {
        let Some(excerpt) = records.get(&seen.file) else {
            continue;
        };
        let mut laying = Laying {
            collection: &mut survey.collection,
            concerns: &mut survey.concerns,
            file: &seen.file,
            known: &known,
        };
        laying.lay(excerpt);
        let scan = excerpt.scans.first().cloned().unwrap_or_default();
        survey.collection.scans.push(found_again(scan, seen));
        survey.rebuilt_scans = survey.rebuilt_scans.saturating_add(1);
    }
    if survey.rebuilt_scans > 0 {
        survey.concerns.note(
            "rebuilt-from-copies",
            Place::unknown(),
            format!(
                "Rows that come out of the records inside described copies: {}.",
                survey.rebuilt_scans
            ),
            "Look them over. Receivers of packages stand in no copy and have to be filled in again.",
        );
    }
}

/// Returns the row of a scan as its record has it, with the name and the facts of the file that is here now.
fn found_again(mut scan: Scan, seen: &FileSeen) -> Scan {
    let was = std::mem::replace(&mut scan.file, seen.file.clone());
    if scan.camera_name.is_blank() && !was.is_empty() && was != seen.file {
        let name = was.rsplit('/').next().unwrap_or(&was).to_owned();
        scan.camera_name = Answer::Given(name);
    }
    if matches!(
        scan.copy_kind,
        Answer::Blank | Answer::Given(CopyKind::Untouched)
    ) {
        scan.copy_kind = Answer::Given(CopyKind::Described);
    }
    let true_ppi = scan.facts.true_ppi;
    scan.facts = seen.facts();
    scan.facts.true_ppi = true_ppi;
    scan.row = crate::record::Row(None);
    scan
}

/// One excerpt being laid upon the collection.
struct Laying<'a> {
    collection: &'a mut Collection,
    concerns: &'a mut ConcernList,
    file: &'a str,
    /// Portraits that were in the catalogue before; their rows are the person's.
    known: &'a BTreeSet<PortraitNumber>,
}

impl Laying<'_> {
    fn lay(&mut self, excerpt: &Collection) {
        self.lay_about(&excerpt.about);
        let Some(number) = excerpt
            .portraits
            .first()
            .map(|portrait| portrait.number.clone())
        else {
            return;
        };
        let first_of_portrait = self.collection.portrait(&number).is_none();
        self.lay_keyed(excerpt);
        if !self.known.contains(&number) {
            self.lay_unkeyed(excerpt, &number, first_of_portrait);
        }
    }

    fn lay_about(&mut self, about: &About) {
        if *about == About::default() || self.collection.about == *about {
            return;
        }
        if self.collection.about == About::default() {
            self.collection.about = about.clone();
        } else {
            self.disagree(columns::COLLECTION.name, "the whole collection");
        }
    }

    fn lay_keyed(&mut self, excerpt: &Collection) {
        let mut differing: Vec<(&str, String)> = Vec::new();
        {
            let all = &mut *self.collection;
            let portraits = columns::PORTRAITS.name;
            lay_rows(
                &mut all.portraits,
                &excerpt.portraits,
                |row| row.number.to_string(),
                portraits,
                &mut differing,
            );
            let people = columns::PEOPLE.name;
            lay_rows(
                &mut all.people,
                &excerpt.people,
                |row| row.number.to_string(),
                people,
                &mut differing,
            );
            let clues = columns::CLUES.name;
            lay_rows(
                &mut all.clues,
                &excerpt.clues,
                |row| row.number.to_string(),
                clues,
                &mut differing,
            );
            let lots = columns::LOTS.name;
            lay_rows(
                &mut all.lots,
                &excerpt.lots,
                |row| row.number.to_string(),
                lots,
                &mut differing,
            );
            add_missing(&mut all.listings, &excerpt.listings);
            add_missing(&mut all.rights, &excerpt.rights);
        }
        for (sheet, number) in differing {
            self.disagree(sheet, &number);
        }
    }

    /// Words and claims have no number; all those of a portrait go together.
    fn lay_unkeyed(&mut self, excerpt: &Collection, number: &PortraitNumber, first: bool) {
        let words: Vec<_> = self.collection.words_on(number).cloned().collect();
        let claims: Vec<_> = self.collection.claims_about(number).cloned().collect();
        if !first && words != excerpt.words {
            self.disagree(columns::WORDS.name, number.as_str());
        }
        if !first && claims != excerpt.claims {
            self.disagree(columns::CLAIMS.name, number.as_str());
        }
        if first {
            // Two equal rows are two rows: the person wrote them so.
            self.collection.words.extend(excerpt.words.iter().cloned());
            self.collection
                .claims
                .extend(excerpt.claims.iter().cloned());
        } else {
            add_missing(&mut self.collection.words, &excerpt.words);
            add_missing(&mut self.collection.claims, &excerpt.claims);
        }
    }

    fn disagree(&mut self, sheet: &str, number: &str) {
        let mut place = Place::file(self.file);
        place.sheet = Some(sheet.to_owned());
        self.concerns.warning(
            "records-disagree",
            place,
            format!("The record in this file says something else about {number} than what is known already; that was kept."),
            "The copies may be of different editions. Look at this file’s own words and correct the sheet by hand if they are newer.",
        );
    }
}

/// Adds rows whose number is new; notes those whose number is there with another content.
fn lay_rows<T: Clone + PartialEq>(
    rows: &mut Vec<T>,
    new: &[T],
    number: impl Fn(&T) -> String,
    sheet: &'static str,
    differing: &mut Vec<(&'static str, String)>,
) {
    for row in new {
        match rows.iter().find(|one| number(one) == number(row)) {
            None => rows.push(row.clone()),
            Some(there) if there == row => {}
            Some(_) => differing.push((sheet, number(row))),
        }
    }
}

fn add_missing<T: Clone + PartialEq>(rows: &mut Vec<T>, new: &[T]) {
    for row in new {
        if !rows.contains(row) {
            rows.push(row.clone());
        }
    }
}

/// Puts the rows of a new catalogue in the order of their numbers; what has none keeps the order in which it was met.
pub(super) fn put_in_order(collection: &mut Collection) {
    let key = |number: &str| natural_key(number);
    collection
        .portraits
        .sort_by_cached_key(|row| key(row.number.as_str()));
    collection
        .people
        .sort_by_cached_key(|row| key(row.number.as_str()));
    collection
        .clues
        .sort_by_cached_key(|row| key(row.number.as_str()));
    collection
        .lots
        .sort_by_cached_key(|row| key(row.number.as_str()));
    collection
        .words
        .sort_by_cached_key(|row| key(row.portrait.as_str()));
    collection
        .claims
        .sort_by_cached_key(|row| key(row.portrait.as_str()));
    collection.scans.sort_by_cached_key(|row| {
        let portrait = row.portrait.given().map_or("", PortraitNumber::as_str);
        (key(portrait), row.view.given().copied(), key(&row.file))
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Claim;
    use crate::record::Person;
    use crate::record::Portrait;
    use crate::record::Sitter;
    use std::collections::BTreeMap;

    fn whole() -> Collection {
        let portrait = |number: &str| Portrait {
            number: number.into(),
            ..Portrait::default()
        };
        let claim = |portrait: &str, person: &str| Claim {
            portrait: portrait.into(),
            sitter: Sitter::Person(person.into()),
            ..Claim::default()
        };
        let scan = |file: &str, portrait: &str| Scan {
            file: file.to_owned(),
            portrait: Answer::Given(portrait.into()),
            ..Scan::default()
        };
        let person = |number: &str, name: &str| Person {
            number: number.into(),
            name: Answer::Given(name.to_owned()),
            ..Person::default()
        };
        Collection {
            portraits: vec![portrait("A-001"), portrait("A-002")],
            scans: vec![
                scan("x/1.jpg", "A-001"),
                scan("x/2.jpg", "A-001"),
                scan("x/3.jpg", "A-002"),
            ],
            people: vec![person("P1", "Edwin"), person("P2", "Enoch")],
            claims: vec![
                claim("A-001", "P1"),
                claim("A-001", "P2"),
                claim("A-002", "P2"),
            ],
            ..Collection::default()
        }
    }

    fn merged(records: &BTreeMap<String, Collection>, start: Collection) -> Survey {
        let seen: Vec<FileSeen> = records
            .keys()
            .map(|file| FileSeen {
                file: file.clone(),
                is_described: true,
                ..FileSeen::default()
            })
            .collect();
        let strays: Vec<&FileSeen> = seen.iter().collect();
        let mut survey = Survey {
            collection: start,
            ..Survey::default()
        };
        merge(&mut survey, &strays, records);
        put_in_order(&mut survey.collection);
        survey
    }

    fn excerpts(whole: &Collection) -> BTreeMap<String, Collection> {
        whole
            .scans
            .iter()
            .map(|scan| {
                let excerpt = whole.excerpt(scan.portrait.given().unwrap(), Some(scan));
                (scan.file.clone(), excerpt)
            })
            .collect()
    }

    #[test]
    fn excerpts_give_back_the_whole() {
        let whole = whole();
        let mut survey = merged(&excerpts(&whole), Collection::default());
        assert_eq!(survey.rebuilt_scans, 3);
        assert!(!survey.concerns.has("records-disagree"));
        for scan in &mut survey.collection.scans {
            scan.facts = crate::record::ScanFacts::default();
            scan.copy_kind = Answer::Blank;
        }
        assert_eq!(survey.collection, whole);
    }

    #[test]
    fn what_two_files_say_differently_is_told_and_the_first_is_kept() {
        let whole = whole();
        let mut records = excerpts(&whole);
        let second = records.get_mut("x/2.jpg").unwrap();
        second.people[0].name = Answer::Given("Edwin the younger".to_owned());
        second.claims.pop();
        let survey = merged(&records, Collection::default());
        let told: Vec<_> = survey
            .concerns
            .iter()
            .filter(|concern| concern.code == "records-disagree")
            .map(|concern| {
                (
                    concern.place.file.clone().unwrap(),
                    concern.place.sheet.clone().unwrap(),
                )
            })
            .collect();
        assert_eq!(
            told,
            [
                ("x/2.jpg".to_owned(), columns::PEOPLE.name.to_owned()),
                ("x/2.jpg".to_owned(), columns::CLAIMS.name.to_owned()),
            ]
        );
        assert_eq!(survey.collection.people, whole.people);
        assert_eq!(survey.collection.claims, whole.claims);
    }

    #[test]
    fn a_portrait_of_the_catalogue_keeps_its_rows() {
        let whole = whole();
        let mut start = whole.clone();
        start.scans.clear();
        start.claims.clear();
        let survey = merged(&excerpts(&whole), start);
        assert!(survey.collection.claims.is_empty());
        assert_eq!(survey.collection.scans.len(), 3);
    }
}
