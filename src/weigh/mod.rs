//! Weigh: checks the catalogue against itself and weighs the evidence of dates and sitters.
//!
//! Weighing computes, compares and asks; it never decides who somebody is, never raises a certainty, and never changes a cell.
//! It is a pure function of the record, the day that counts as today, and the list of files found. The work grows in line with
//! the number of rows.

mod ages;
mod candidate;
mod cautions;
mod cell;
mod certainty;
mod clue_table;
mod date_concerns;
mod dates;
mod directory;
mod evidence;
mod explain;
mod interval;
mod maker_number;
mod page;
mod pictures;
mod portrait;
mod references;
mod required;
mod rights;
pub mod schemas;
mod shared;
mod shown;
mod sound;
#[cfg(test)]
mod tests;
mod ties;
mod timeline;
mod words;

pub use ages::Ages;
pub use ages::AgesWhen;
pub use ages::Contradiction;
pub use candidate::Candidate;
pub use cautions::CalledCaution;
pub use clue_table::SIZE_TOLERANCE_MM;
pub use dates::DateResult;
pub use dates::Dates;
pub use directory::Stay;
pub use explain::Explanation;
pub use interval::Conflict;
pub use interval::DateClue;
pub use interval::SetAside;
pub use interval::Weight;
pub use page::PagePicture;
pub use pictures::ScanMeasure;
pub use pictures::true_ppi;

pub use portrait::PortraitWeighing;
pub use rights::NOT_EVALUATED;
pub use rights::RightsHint;
pub use shared::Shared;
pub use shown::AlreadySaid;
pub use shown::ScanAppearance;
pub use sound::SoundCatalogue;
pub use ties::Tie;
pub use ties::TieKind;

use crate::concern::ConcernList;
use crate::crew;
use crate::format::appearance::Inside;
use crate::record::Collection;
use crate::record::Day;
use crate::record::Excerpts;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use date_concerns::Caveats;
use evidence::Evidence;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;
use ties::Ties;

/// What weighing needs to know beside the catalogue.
#[derive(Debug, Clone, Copy)]
pub struct WeighOptions<'a> {
    /// The day that counts as today.
    pub as_of: Day,
    /// The picture files found in the collection, or nothing if nobody looked.
    pub files: Option<&'a [FoundFile]>,
    /// What the scans' files say already, by file, or nothing if nobody looked.
    pub inside: Option<&'a BTreeMap<String, Inside>>,
    /// How many portraits are weighed at once. The result is the same for any number.
    pub threads: usize,
}

impl WeighOptions<'_> {
    /// Returns options for a day, without a list of files.
    #[must_use]
    pub const fn as_of(day: Day) -> Self {
        Self {
            as_of: day,
            files: None,
            inside: None,
            threads: 1,
        }
    }
}

/// A picture file that was found in the collection.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct FoundFile {
    /// Where it is, relative to the collection, `/` between folders.
    pub path: String,
}

impl FoundFile {
    /// Returns a file at this path.
    #[must_use]
    pub fn at(path: impl Into<String>) -> Self {
        Self { path: path.into() }
    }
}

/// What comes of weighing: one entry for each portrait in the order of the sheet, and everything noticed.
#[derive(Debug, Clone, Serialize, JsonSchema)]
pub struct Weighing {
    /// The day that counted as today.
    pub as_of: Day,
    /// The portraits.
    pub portraits: Vec<PortraitWeighing>,
    /// Everything noticed, in the order of the sheets.
    pub concerns: ConcernList,
    #[serde(skip)]
    collection: Collection,
}

impl Weighing {
    /// Returns the record that was weighed.
    #[must_use]
    pub const fn collection(&self) -> &Collection {
        &self.collection
    }

    /// Returns what was found about one portrait.
    #[must_use]
    pub fn portrait(&self, number: &PortraitNumber) -> Option<&PortraitWeighing> {
        self.portraits.iter().find(|one| &one.number == number)
    }
}

/// Checks a collection and weighs its evidence.
#[must_use]
pub fn weigh(collection: &Collection, options: &WeighOptions<'_>) -> Weighing {
    weigh_owned(collection.clone(), options)
}

/// Does the same as [`weigh`] with a collection that nobody else needs, without copying it.
#[must_use]
pub fn weigh_owned(collection: Collection, options: &WeighOptions<'_>) -> Weighing {
    let (portraits, concerns) = weigh_rows(&collection, options);
    Weighing {
        as_of: options.as_of,
        portraits,
        concerns,
        collection,
    }
}

fn weigh_rows(
    collection: &Collection,
    options: &WeighOptions<'_>,
) -> (Vec<PortraitWeighing>, ConcernList) {
    let register = Register::of(collection);
    let evidence = Evidence::of(&register);
    let rights = portrait::rights_by_target(collection);
    let inside = options
        .inside
        .map(|inside| (inside, Excerpts::of(collection)));
    let weigh_one = |portrait: &Portrait, concerns: &mut ConcernList| {
        let weighed = portrait::weigh(&evidence, portrait, &rights, options.as_of, concerns);
        let shown = inside.as_ref().map_or_else(Vec::new, |(inside, record)| {
            let scans = register.scans_of(&portrait.number);
            shown::check(record, portrait, scans, inside, concerns)
        });
        PortraitWeighing { shown, ..weighed }
    };
    let blocks: Vec<&[Portrait]> = collection.portraits.chunks(BLOCK).collect();
    let weigh_blocks = || {
        crew::share(&blocks, options.threads, |block| {
            let mut concerns = ConcernList::default();
            let weigh = |portrait| weigh_one(portrait, &mut concerns);
            let weighed: Vec<PortraitWeighing> = block.iter().map(weigh).collect();
            (weighed, concerns)
        })
    };
    let look_across = || across(&evidence, options.files);
    let (blocks, (mut concerns, mut ties)) = if options.threads <= 1 || blocks.len() <= 1 {
        (weigh_blocks(), look_across())
    } else {
        crew::both(weigh_blocks, look_across)
    };
    let mut portraits = Vec::with_capacity(collection.portraits.len());
    for (weighed, noticed) in blocks {
        portraits.extend(weighed);
        concerns.extend(noticed);
    }
    let mut caveats = Caveats::default();
    for (portrait, weighed) in collection.portraits.iter().zip(&mut portraits) {
        // Of two portraits with one number, the first has the ties.
        weighed.ties = ties.remove(portrait.number.as_str()).unwrap_or_default();
        caveats.collect(portrait, weighed);
    }
    caveats.say(&mut concerns);
    portrait::living(&register, options.as_of, &mut concerns);
    (portraits, concerns)
}

/// Looks at what no portrait shows alone: rows that name each other, cells to fill, files, ties.
fn across(evidence: &Evidence<'_>, files: Option<&[FoundFile]>) -> (ConcernList, Ties) {
    let register = evidence.register;
    let mut concerns = ConcernList::default();
    references::check(register, &mut concerns);
    required::check_rest(register, files, &mut concerns);
    required::altered_evidence(evidence, &mut concerns);
    let ties = ties::find(register, &mut concerns);
    for words in &register.collection().words {
        words::check(words, &mut concerns);
    }
    (concerns, ties)
}

/// How many portraits a thread weighs before it looks for more.
const BLOCK: usize = 128;
