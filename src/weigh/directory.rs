//! What directories say of a maker's address: in which years the maker was surely there, and between which editions that
//! do not list the maker the stay must lie.

use super::cell::plain_name;
use super::interval::DateClue;
use super::interval::Weight;
use super::shared::Shared;
use crate::record::Day;
use crate::record::Listing;
use crate::record::Portrait;
use crate::record::YesNo;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// A maker's years at an address.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stay {
    /// The maker as listed.
    pub maker: String,
    /// The address as listed, or "any address" where the object names none.
    pub address: String,
    /// The first and the last directory year that lists the maker there.
    pub firm: (i64, i64),
    /// The last year before in whose directory the maker is missing.
    pub absent_before: Option<i64>,
    /// The first year after in whose directory the maker is missing.
    pub absent_after: Option<i64>,
    /// Years between in whose directories the maker is missing.
    pub gaps: Vec<i64>,
    /// The directories, as the sheet names them.
    pub sources: Vec<String>,
}

/// All stays with the clues that they give, by maker and by address, which is nothing for any address.
#[derive(Debug, Default)]
pub(super) struct Directory {
    stays: BTreeMap<String, BTreeMap<Option<String>, Known>>,
}

/// A stay with the clues that it gives.
type Known = (Shared<Stay>, Vec<DateClue>);

/// The listings under way, by maker and address.
#[derive(Debug, Default)]
struct Listings {
    at_address: BTreeMap<(String, String), Years>,
    anywhere: BTreeMap<String, Years>,
}

#[derive(Debug, Default)]
struct Years {
    maker: String,
    address: String,
    listed: BTreeSet<i64>,
    missing: BTreeSet<i64>,
    sources: BTreeSet<String>,
}

impl Directory {
    pub(super) fn of(listings: &[Listing]) -> Self {
        let mut found = Listings::default();
        for listing in listings {
            found.add(listing);
        }
        // A maker who moved is missing at the old address in the years of the new one, but not missing from the town.
        for years in found.anywhere.values_mut() {
            let listed = &years.listed;
            years.missing.retain(|year| !listed.contains(year));
        }
        let anywhere = found.anywhere.into_iter();
        let at_address = found.at_address.into_iter();
        let all = anywhere
            .map(|(maker, years)| (maker, None, years))
            .chain(at_address.map(|((maker, address), years)| (maker, Some(address), years)));
        let mut directory = Self::default();
        for (maker, address, years) in all {
            if let Some(stay) = years.stay() {
                let clues = stay.clues();
                let of_maker = directory.stays.entry(maker).or_default();
                of_maker.insert(address, (Shared::new(stay), clues));
            }
        }
        directory
    }

    /// Returns the stay that a portrait's imprint names, and its clues: maker and address, or the maker alone if no address is printed.
    pub(super) fn stay(&self, portrait: &Portrait) -> Option<&Known> {
        let maker = portrait
            .maker
            .as_printed
            .text()
            .or_else(|| portrait.maker.name.text())?;
        let of_maker = self.stays.get(&plain_name(maker))?;
        of_maker.get(&portrait.maker.address_as_printed.text().map(plain_name))
    }
}

impl Listings {
    fn add(&mut self, listing: &Listing) {
        let (Some(maker), Some(year), Some(listed)) = (
            listing.maker.text(),
            listing.year.text().and_then(directory_year),
            listing.listed.given(),
        ) else {
            return;
        };
        let address = listing.address.text().unwrap_or_default();
        let key = (plain_name(maker), plain_name(address));
        let anywhere = self.anywhere.entry(key.0.clone()).or_default();
        anywhere.add(maker, "any address", year, *listed, listing);
        let here = self.at_address.entry(key).or_default();
        here.add(maker, address, year, *listed, listing);
    }
}

impl Years {
    fn add(&mut self, maker: &str, address: &str, year: i64, listed: YesNo, listing: &Listing) {
        if self.maker.is_empty() {
            maker.clone_into(&mut self.maker);
            address.clone_into(&mut self.address);
        }
        match listed {
            YesNo::Yes => self.listed.insert(year),
            YesNo::No => self.missing.insert(year),
        };
        self.sources
            .extend(listing.source.text().map(str::to_owned));
    }

    fn stay(&self) -> Option<Stay> {
        let first = *self.listed.first()?;
        let last = *self.listed.last()?;
        Some(Stay {
            maker: self.maker.clone(),
            address: self.address.clone(),
            firm: (first, last),
            absent_before: self.missing.range(..first).next_back().copied(),
            absent_after: self.missing.range(last.saturating_add(1)..).next().copied(),
            gaps: self.missing.range(first..=last).copied().collect(),
            sources: self.sources.iter().cloned().collect(),
        })
    }
}

impl Stay {
    /// Returns the two clues of a stay: the years in which the maker is listed, and the outer years.
    pub(super) fn clues(&self) -> Vec<DateClue> {
        let source: Cow<'static, str> = if self.sources.is_empty() {
            Cow::Borrowed("sheet “Makers’ addresses”")
        } else {
            Cow::Owned(named(&self.sources))
        };
        let clue = |what: String, years: (Option<i64>, Option<i64>), hard| DateClue {
            what,
            source: source.clone(),
            earliest: years.0.map(Day::first_of_year),
            latest: years.1.map(Day::last_of_year),
            about_earliest: None,
            about_latest: None,
            hard,
            weight: Weight::Address,
            caveat: Some(Cow::Borrowed(
                "A directory can lag behind by a year, and mounts with an old address were used up.",
            )),
        };
        let where_listed = format!("{} at {}", self.maker, self.address);
        let mut clues = vec![clue(
            format!("directories that list {where_listed}"),
            (Some(self.firm.0), Some(self.firm.1)),
            false,
        )];
        if self.absent_before.is_some() || self.absent_after.is_some() {
            clues.push(clue(
                format!("directories that no longer or not yet list {where_listed}"),
                (self.absent_before, self.absent_after),
                true,
            ));
        }
        clues
    }
}

/// Names the sources; of many the first and the last, and how many stand between.
fn named(sources: &[String]) -> String {
    const MOST: usize = 4;
    match sources {
        [first, between @ .., last] if sources.len() > MOST => {
            format!("{first}; {} more; {last}", between.len())
        }
        all => all.join("; "),
    }
}

/// Reads the year of a directory: "1868", or "1868-69" as its first year.
fn directory_year(text: &str) -> Option<i64> {
    let digits: String = text
        .trim()
        .chars()
        .take_while(char::is_ascii_digit)
        .collect();
    (digits.len() == 4).then(|| digits.parse().ok()).flatten()
}
