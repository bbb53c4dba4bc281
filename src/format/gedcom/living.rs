//! People who may be living stand in no family tree, whatever the audience.

use crate::record::Collection;
use crate::record::Person;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Sitter;
use crate::record::audience::is_presumed_living;
use std::collections::BTreeSet;

/// What a claim says instead of the number of somebody who may be living.
const UNNAMED: &str = "person who may be living";

/// Returns the portraits that somebody who may be living sat for, or might have: a claim says so that is not withdrawn, however
/// unsure it is. Asked of the whole record, since an audience's own no longer says whom it leaves out.
#[must_use]
pub fn portraits_of_the_living(collection: &Collection, day: &str) -> BTreeSet<PortraitNumber> {
    let year = year_of(day);
    let record = Register::of(collection);
    collection
        .claims
        .iter()
        .filter(|claim| !claim.is_withdrawn())
        .filter(|claim| {
            let person = record.claimed(claim);
            person.is_some_and(|person| is_presumed_living(&record, person, year))
        })
        .map(|claim| claim.portrait.clone())
        .collect()
}

/// Takes people who may be living out of all claims; their rows stay, so that their names are guarded against.
pub(super) fn without_living(record: &Register<'_>, day: &str) -> Collection {
    let year = year_of(day);
    let is_living = |person: &Person| is_presumed_living(record, person, year);
    let mut deceased = record.collection().clone();
    for claim in &mut deceased.claims {
        if record.claimed(claim).is_some_and(is_living) {
            claim.sitter = Sitter::Unnamed(UNNAMED.to_owned());
        }
    }
    deceased
}

fn year_of(day: &str) -> i64 {
    day.get(..4)
        .and_then(|year| year.parse().ok())
        .unwrap_or(9999)
}
