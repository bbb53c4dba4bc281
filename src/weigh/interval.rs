//! Weighs intervals of days: what must be, what is likely, and what has to be set aside.
//!
//! Hard clues are intersected; if nothing is left, the two that disagree are named and nothing is estimated. Soft clues then
//! narrow the range, the strongest kind first (see [`Weight`]): a clue that misses what stronger clues leave is set aside and
//! named. Among clues of one kind, those are kept on which the greatest number agree; if two such groups are equally large,
//! neither is used. The order of rows plays no part.
//!
//! A soft clue never widens what hard clues leave, and it narrows the estimate wherever it fits. It can move or widen the estimate in one
//! way only: by contradicting clues that are no stronger, which then are set aside and named. It could not be otherwise: of two clues
//! that share no day one must give way, and which one must not depend on which was written down first.

use crate::record::Bound;
use crate::record::Day;
use crate::record::Edtf;
use crate::record::Estimated;
use schemars::JsonSchema;
use serde::Serialize;
use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::collections::HashMap;

/// How much a soft clue weighs. Ordered from the kind that is set aside last to the kind that is set aside first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Weight {
    /// The maker's address in directories.
    Address,
    /// A document.
    Document,
    /// The object itself: stamp, process, format, maker's imprint.
    Object,
    /// Details of mount and card.
    Mount,
    /// Words on the object.
    Words,
    /// Clothes and hair.
    Dress,
    /// Family talk, likeness, how things were found, and words written long after.
    Talk,
}

impl Weight {
    /// Every kind, strongest first.
    pub const ALL: [Self; 7] = [
        Self::Address,
        Self::Document,
        Self::Object,
        Self::Mount,
        Self::Words,
        Self::Dress,
        Self::Talk,
    ];

    /// Returns the kind in plain words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Address => "the maker’s address",
            Self::Document => "documents",
            Self::Object => "the object itself",
            Self::Mount => "details of the mount",
            Self::Words => "words on it",
            Self::Dress => "clothes",
            Self::Talk => "family talk and later words",
        }
    }
}

/// One interval that speaks of a date.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct DateClue {
    /// What it is, for example "clue C-03: stamp cancelled Oct 3 1865".
    pub what: String,
    /// Where it was published or found.
    pub source: Cow<'static, str>,
    /// The earliest day it allows.
    pub earliest: Option<Day>,
    /// The latest day it allows.
    pub latest: Option<Day>,
    /// The year that was written with "about" for the earliest day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about_earliest: Option<i64>,
    /// The year that was written with "about" for the latest day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub about_latest: Option<i64>,
    /// Whether it cannot be otherwise.
    pub hard: bool,
    /// How much it weighs if it is soft.
    pub weight: Weight,
    /// What to bear in mind with it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub caveat: Option<Cow<'static, str>>,
}

impl DateClue {
    /// Returns a clue with the bounds of a date, widened where it says "about".
    #[must_use]
    pub fn dated(
        what: String,
        source: Cow<'static, str>,
        date: &Edtf,
        hard: bool,
        weight: Weight,
    ) -> Self {
        let (earliest, latest) = date.generous_bounds();
        let (stated_earliest, stated_latest) = date.bounds();
        let (about_earliest, about_latest) = date.about_ends();
        let whole = |about: bool, bound: Bound, ends: fn(Day) -> bool| {
            bound.day().filter(|day| about && ends(*day)).map(Day::year)
        };
        Self {
            what,
            source,
            earliest: earliest.day(),
            latest: latest.day(),
            about_earliest: whole(about_earliest, stated_earliest, Day::begins_year),
            about_latest: whole(about_latest, stated_latest, Day::ends_year),
            hard,
            weight,
            caveat: None,
        }
    }

    /// Returns the interval as a date, or "open" if it has no end at all.
    #[must_use]
    pub fn range_in_words(&self) -> String {
        self.range()
            .in_words()
            .unwrap_or_else(|| "any time".to_owned())
    }

    pub(super) const fn range(&self) -> Range {
        Range {
            earliest: self.earliest,
            latest: self.latest,
            about_earliest: self.about_earliest,
            about_latest: self.about_latest,
        }
    }
}

/// How many different ranges a thread keeps in mind.
const MOST_SAID: usize = 4_096;

thread_local! {
    /// Ranges as dates and in words: many portraits share them, and writing one is far dearer than finding it again.
    static SAID_BEFORE: RefCell<HashMap<Range, Option<(Edtf, String)>>> = RefCell::default();
}

/// A range of days with the years that were written with "about".
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Hash)]
pub(super) struct Range {
    pub(super) earliest: Option<Day>,
    pub(super) latest: Option<Day>,
    pub(super) about_earliest: Option<i64>,
    pub(super) about_latest: Option<i64>,
}

impl Range {
    pub(super) fn is_empty(self) -> bool {
        matches!((self.earliest, self.latest), (Some(earliest), Some(latest)) if earliest > latest)
    }

    /// Returns the earliest day as it was written, without what "about" allows before it.
    pub(super) fn stated_earliest(self) -> Option<Day> {
        self.about_earliest
            .map(Day::first_of_year)
            .or(self.earliest)
    }

    /// Returns the latest day as it was written, without what "about" allows after it.
    pub(super) fn stated_latest(self) -> Option<Day> {
        self.about_latest.map(Day::last_of_year).or(self.latest)
    }

    pub(super) const fn is_open(self) -> bool {
        self.earliest.is_none() && self.latest.is_none()
    }

    /// Returns the part that a clue leaves.
    pub(super) fn narrowed(self, clue: &DateClue) -> Self {
        self.from(clue.earliest, clue.about_earliest)
            .until(clue.latest, clue.about_latest)
    }

    /// Returns the part from a day on.
    pub(super) fn from(self, earliest: Option<Day>, about: Option<i64>) -> Self {
        match (self.earliest, earliest) {
            (Some(mine), Some(other)) if other <= mine => self,
            (_, None) => self,
            (_, Some(_)) => Self {
                earliest,
                about_earliest: about,
                ..self
            },
        }
    }

    /// Returns the part until a day.
    pub(super) fn until(self, latest: Option<Day>, about: Option<i64>) -> Self {
        match (self.latest, latest) {
            (Some(mine), Some(other)) if other >= mine => self,
            (_, None) => self,
            (_, Some(_)) => Self {
                latest,
                about_latest: about,
                ..self
            },
        }
    }

    /// Returns the range as a date.
    pub(super) fn edtf(self) -> Option<Edtf> {
        self.said(|date, _| date.clone())
    }

    /// Returns the range as a date in plain English.
    pub(super) fn in_words(self) -> Option<String> {
        self.said(|_, words| words.to_owned())
    }

    fn said<T>(self, take: impl Fn(&Edtf, &str) -> T) -> Option<T> {
        SAID_BEFORE.with_borrow_mut(|known| {
            if known.len() >= MOST_SAID {
                known.clear();
            }
            let said = known.entry(self).or_insert_with(|| {
                let date = self.written()?;
                let words = date.in_words();
                Some((date, words))
            });
            said.as_ref().map(|(date, words)| take(date, words))
        })
    }

    /// Writes the range as a date. A year that was written with "about" is written so again where the range is of whole years
    /// and that year is within it; otherwise the widened day is written.
    fn written(self) -> Option<Edtf> {
        let exact = || {
            let bound = |day: Option<Day>| day.map_or(Bound::Open, Bound::Day);
            Edtf::between(bound(self.earliest), bound(self.latest))
        };
        let within = |year: &i64| {
            self.earliest.is_none_or(|day| day.year() <= *year)
                && self.latest.is_none_or(|day| *year <= day.year())
        };
        let about_earliest = self.about_earliest.filter(within);
        let about_latest = self.about_latest.filter(within);
        if about_earliest.is_none() && about_latest.is_none() {
            return exact();
        }
        let earliest = about_earliest.map(Day::first_of_year).or(self.earliest);
        let latest = about_latest.map(Day::last_of_year).or(self.latest);
        let bound = |day: Option<Day>| day.map_or(Bound::Open, Bound::Day);
        let about = Estimated {
            earliest: about_earliest.is_some(),
            latest: about_latest.is_some(),
        };
        Edtf::between_about(bound(earliest), bound(latest), about).or_else(exact)
    }
}

/// A clue that was not used, and why.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct SetAside {
    /// The clue.
    pub what: String,
    /// The range it gives, in words.
    pub range: String,
    /// The earliest day it gives.
    pub earliest: Option<Day>,
    /// The latest day it gives.
    pub latest: Option<Day>,
    /// Why it was not used.
    pub why: Cow<'static, str>,
    /// Whether even the hard clues exclude it.
    pub against_limits: bool,
}

/// The two clues that cannot both be right.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, JsonSchema)]
pub struct Conflict {
    /// The one that says "not before".
    pub not_before: String,
    /// The one that says "not after".
    pub not_after: String,
}

/// What comes of weighing clues.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Weighed {
    /// What hard clues leave.
    pub(super) limits: Range,
    /// What soft clues leave of that.
    pub(super) estimate: Range,
    pub(super) conflict: Option<Conflict>,
    pub(super) set_aside: Vec<SetAside>,
    pub(super) used: Vec<DateClue>,
}

/// Weighs clues that speak of one date.
pub(super) fn weigh(mut clues: Vec<DateClue>) -> Weighed {
    clues.sort_unstable();
    clues.dedup();
    let (hard, soft): (Vec<DateClue>, Vec<DateClue>) =
        clues.into_iter().partition(|clue| clue.hard);
    let limits = hard
        .iter()
        .fold(Range::default(), |range, clue| range.narrowed(clue));
    let mut weighed = Weighed {
        limits,
        estimate: limits,
        ..Weighed::default()
    };
    if limits.is_empty() {
        weighed.conflict = conflict(&hard, limits);
        weighed.used = hard;
        return weighed;
    }
    weighed.used = hard;
    let mut tiers: BTreeMap<Weight, Vec<DateClue>> = BTreeMap::new();
    for clue in soft {
        tiers.entry(clue.weight).or_default().push(clue);
    }
    for tier in tiers.into_values() {
        narrow(&mut weighed, tier);
    }
    weighed.set_aside.sort();
    weighed
}

fn conflict(hard: &[DateClue], limits: Range) -> Option<Conflict> {
    let not_before = hard
        .iter()
        .find(|clue| clue.earliest.is_some() && clue.earliest == limits.earliest)?;
    let not_after = hard
        .iter()
        .find(|clue| clue.latest.is_some() && clue.latest == limits.latest)?;
    Some(Conflict {
        not_before: format!("{} ({})", not_before.what, not_before.range_in_words()),
        not_after: format!("{} ({})", not_after.what, not_after.range_in_words()),
    })
}

/// Narrows the estimate by clues of one weight.
fn narrow(weighed: &mut Weighed, tier: Vec<DateClue>) {
    let before = weighed.estimate;
    let (fitting, missing): (Vec<DateClue>, Vec<DateClue>) = tier
        .into_iter()
        .partition(|clue| !before.narrowed(clue).is_empty());
    for clue in missing {
        let against_limits = weighed.limits.narrowed(&clue).is_empty();
        let why = if against_limits {
            "hard clues leave no room for it"
        } else {
            "stronger clues leave no room for it"
        };
        weighed.set_aside.push(set_aside(clue, why, against_limits));
    }
    let (first_best, last_best, undecided) = deepest(&fitting, before);
    for clue in fitting {
        let start = before.narrowed(&clue);
        let kept = start.earliest.unwrap_or(DAWN) <= first_best
            && start.latest.is_none_or(|latest| latest >= last_best);
        if kept {
            weighed.estimate = weighed.estimate.narrowed(&clue);
            weighed.used.push(clue);
        } else {
            let why = if undecided {
                "equally strong clues disagree with it"
            } else {
                "more clues of the same kind agree on another time"
            };
            weighed.set_aside.push(set_aside(clue, why, false));
        }
    }
}

fn set_aside(clue: DateClue, why: &'static str, against_limits: bool) -> SetAside {
    SetAside {
        range: clue.range_in_words(),
        earliest: clue.earliest,
        latest: clue.latest,
        what: clue.what,
        why: Cow::Borrowed(why),
        against_limits,
    }
}

/// A day before all portraits, for ranges that are open towards the past.
const DAWN: Day = Day::first_of_year(-9999);

/// Finds the days on which most clues agree: the first and the last such beginning, and whether there are several.
fn deepest(clues: &[DateClue], within: Range) -> (Day, Day, bool) {
    let mut starts: Vec<Day> = Vec::with_capacity(clues.len());
    let mut ends: Vec<Day> = Vec::with_capacity(clues.len());
    for clue in clues {
        let part = within.narrowed(clue);
        starts.push(part.earliest.unwrap_or(DAWN));
        ends.extend(part.latest);
    }
    starts.sort_unstable();
    ends.sort_unstable();
    let mut ended = ends.iter().peekable();
    let mut closed = 0_usize;
    let (mut most, mut first_best, mut last_best) = (0_usize, DAWN, DAWN);
    for (index, start) in starts.iter().enumerate() {
        while ended.next_if(|end| *end < start).is_some() {
            closed = closed.saturating_add(1);
        }
        let last_of_equal = starts.get(index.saturating_add(1)) != Some(start);
        if !last_of_equal {
            continue;
        }
        let depth = index.saturating_add(1).saturating_sub(closed);
        if depth > most {
            (most, first_best, last_best) = (depth, *start, *start);
        } else if depth == most {
            last_best = *start;
        }
    }
    (first_best, last_best, first_best != last_best)
}
