//! A drawn time line of one portrait: its clues, the lives of those thought of, and what comes of it. [SVG 1.1]
//!
//! Places along the years are percentages and everything else has a fixed size, so that the letters stay as large on a telephone as
//! on a wide screen. The label of a bar stands above it and never beside it.

use super::PortraitWeighing;
use super::dates::DateResult;
use super::interval::Range;
use crate::record::Collection;
use crate::record::Day;
use crate::record::Sitter;
use maud::Markup;
use maud::html;
use std::collections::BTreeSet;
use std::fmt;

/// One line of the drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Bar {
    label: String,
    /// Its ends in figures, with "about" where that was written.
    years: String,
    first: Option<Day>,
    last: Option<Day>,
    look: Look,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Result,
    Hard,
    Soft,
    SetAside,
    Life,
}

impl Look {
    /// The class that the page's style colours.
    const fn class(self) -> &'static str {
        match self {
            Self::Result => "result",
            Self::Hard => "hard",
            Self::Soft => "soft",
            Self::SetAside => "aside",
            Self::Life => "life",
        }
    }

    /// Thickness of the bar, how dark it is, and the line round it: also without a style sheet the kinds are told apart.
    const fn drawn(self) -> (i64, &'static str, &'static str) {
        match self {
            Self::Result => (12, "1", "none"),
            Self::Hard => (8, "0.6", "none"),
            Self::Soft => (8, "0.3", "none"),
            Self::SetAside => (8, "0", "4 3"),
            Self::Life => (3, "0.7", "none"),
        }
    }
}

/// Heights in pixels: of the years above and below, of a line, of its letters, and of the middle of its bar.
const YEARS: i64 = 24;
const LINE: i64 = 38;
const LETTERS: i64 = 15;
const MIDDLE: i64 = 26;
/// The longest label in characters; all of it stands in the list below the drawing.
const LONGEST_LABEL: usize = 40;
/// Years left free on both sides, so that open ends can be seen.
const MARGIN_YEARS: i64 = 5;
/// Most years that are written: more would touch each other on a telephone.
const MOST_MARKS: i64 = 7;

/// Returns the drawing, or nothing if no clue has a date.
pub(super) fn draw(collection: &Collection, weighed: &PortraitWeighing) -> Option<Markup> {
    let bars = bars(collection, weighed);
    let days: Vec<Day> = bars
        .iter()
        .flat_map(|bar| [bar.first, bar.last])
        .flatten()
        .collect();
    let first = days.iter().min()?.year().saturating_sub(MARGIN_YEARS);
    let last = days.iter().max()?.year().saturating_add(MARGIN_YEARS);
    let scale = Scale { first, last };
    let count = i64::try_from(bars.len()).ok()?;
    let bottom = count.saturating_mul(LINE).saturating_add(YEARS);
    let height = bottom.saturating_add(YEARS);
    let label = format!("Time line of {}, {first} to {last}", weighed.number);
    Some(html! {
        svg class="timeline" width="100%" height=(height) role="img" aria-label=(label) xmlns="http://www.w3.org/2000/svg" font-size="14" fill="currentColor" {
            @for year in scale.marks() {
                line x1=(scale.at_year(year)) x2=(scale.at_year(year)) y1=(YEARS) y2=(bottom) stroke="currentColor" stroke-opacity="0.18" {}
                @for y in [YEARS.saturating_sub(8), height.saturating_sub(8)] {
                    text x=(scale.at_year(year)) y=(y) text-anchor="middle" font-size="13" fill-opacity="0.75" { (year) }
                }
            }
            @for (row, bar) in (0_i64..).zip(&bars) { (drawn(bar, row, &scale)) }
        }
    })
}

fn drawn(bar: &Bar, row: i64, scale: &Scale) -> Markup {
    let top = row.saturating_mul(LINE).saturating_add(YEARS);
    let (thickness, opacity, dashes) = bar.look.drawn();
    let left = bar.first.map_or(Percent(0), |day| scale.at(day));
    let right = bar.last.map_or(Percent::ALL, |day| scale.at(day.next()));
    let width = Percent(right.0.saturating_sub(left.0).max(Percent::LEAST));
    let y = top
        .saturating_add(MIDDLE)
        .saturating_sub(thickness.div_euclid(2));
    html! {
        g class=(bar.look.class()) {
            title { (bar.label) ", " (open(bar)) }
            text x="0" y=(top.saturating_add(LETTERS)) font-weight=[(bar.look == Look::Result).then_some("bold")] {
                (bar.years) tspan font-weight="normal" { " · " } (cut(&bar.label))
            }
            rect x=(left) y=(y) width=(width) height=(thickness) fill-opacity=(opacity) stroke=[(dashes != "none").then_some("currentColor")] stroke-dasharray=[(dashes != "none").then_some(dashes)] {}
        }
    }
}

/// The ends of a bar in words.
fn open(bar: &Bar) -> String {
    let year =
        |day: Option<Day>| day.map_or_else(|| "open".to_owned(), |day| day.year().to_string());
    match (bar.first, bar.last) {
        (None, None) => "any time".to_owned(),
        (first, last) => format!("{} to {}", year(first), year(last)),
    }
}

/// The ends of a range as short as can be.
fn years(range: Range) -> String {
    let end = |about: Option<i64>, day: Option<Day>| match (about, day) {
        (Some(year), _) => Some(format!("about {year}")),
        (None, day) => day.map(|day| day.year().to_string()),
    };
    let first = end(range.about_earliest, range.earliest);
    let last = end(range.about_latest, range.latest);
    match (first, last) {
        (None, None) => "any time".to_owned(),
        (Some(first), None) => format!("{first} or later"),
        (None, Some(last)) => format!("{last} or earlier"),
        (Some(first), Some(last)) if first == last => first,
        (Some(first), Some(last)) => format!("{first}–{last}"),
    }
}

fn cut(label: &str) -> String {
    if label.chars().count() <= LONGEST_LABEL {
        return label.to_owned();
    }
    let kept: String = label.chars().take(LONGEST_LABEL).collect();
    format!("{}…", kept.trim_end())
}

fn bars(collection: &Collection, weighed: &PortraitWeighing) -> Vec<Bar> {
    let mut bars = Vec::new();
    let dates = [
        ("Sitting", &weighed.dates.sitting),
        ("This print", &weighed.dates.print),
        ("Framed or written on", &weighed.dates.framed),
    ];
    for (name, result) in dates {
        if let Some(result) = result {
            of_result(name, result, &mut bars);
        }
    }
    bars.extend(lives(collection, weighed));
    bars
}

fn of_result(name: &str, result: &DateResult, bars: &mut Vec<Bar>) {
    if result.estimate.is_some() {
        bars.push(Bar {
            label: name.to_owned(),
            years: years(result.estimate_range),
            first: result.estimate_range.earliest,
            last: result.estimate_range.latest,
            look: Look::Result,
        });
    }
    for clue in &result.used {
        bars.push(Bar {
            label: clue.what.clone(),
            years: years(clue.range()),
            first: clue.earliest,
            last: clue.latest,
            look: if clue.hard { Look::Hard } else { Look::Soft },
        });
    }
    for aside in &result.set_aside {
        bars.push(Bar {
            label: format!("set aside: {}", aside.what),
            years: aside.range.clone(),
            first: aside.earliest,
            last: aside.latest,
            look: Look::SetAside,
        });
    }
}

/// The lives of those whom a claim still names.
fn lives(collection: &Collection, weighed: &PortraitWeighing) -> Vec<Bar> {
    let mut seen = BTreeSet::new();
    collection
        .claims_about(&weighed.number)
        .filter(|claim| !claim.is_withdrawn())
        .filter_map(|claim| match &claim.sitter {
            Sitter::Person(number) => collection.person(number),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        })
        .filter(|person| seen.insert(person.number.clone()))
        .filter_map(|person| {
            let born = person
                .born
                .given()
                .and_then(|date| date.edtf.bounds().0.day());
            let died = person
                .died
                .given()
                .and_then(|date| date.edtf.bounds().1.day());
            (born.is_some() || died.is_some()).then(|| Bar {
                label: format!("life of {}", person.name.text().unwrap_or("this person")),
                years: years(Range {
                    earliest: born,
                    latest: died,
                    ..Range::default()
                }),
                first: born,
                last: died,
                look: Look::Life,
            })
        })
        .collect()
}

/// A place along the drawing, in hundredths of a percent of its width.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Percent(i64);

impl Percent {
    const ALL: Self = Self(10_000);
    /// The narrowest bar: a single day is to be seen.
    const LEAST: i64 = 40;
}

impl fmt::Display for Percent {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{}.{:02}%",
            self.0.div_euclid(100),
            self.0.rem_euclid(100)
        )
    }
}

/// Where years stand.
struct Scale {
    first: i64,
    last: i64,
}

impl Scale {
    fn at(&self, day: Day) -> Percent {
        let months = day
            .year()
            .saturating_sub(self.first)
            .saturating_mul(12)
            .saturating_add(i64::from(day.month()))
            .saturating_sub(1);
        let span = self
            .last
            .saturating_sub(self.first)
            .saturating_mul(12)
            .max(1);
        let offset = months.saturating_mul(Percent::ALL.0).div_euclid(span);
        Percent(offset.clamp(0, Percent::ALL.0))
    }

    fn at_year(&self, year: i64) -> Percent {
        self.at(Day::first_of_year(year))
    }

    /// Round years that are written above and below; none so near an edge that its figures would be cut off.
    fn marks(&self) -> Vec<i64> {
        const EDGE: i64 = 600;
        let span = self.last.saturating_sub(self.first).max(1);
        let step = [5, 10, 20, 25, 50, 100, 200, 500, 1000]
            .into_iter()
            .find(|step| span.div_euclid(*step) < MOST_MARKS)
            .unwrap_or(span);
        let begin = self.first.div_euclid(step).saturating_add(1);
        (begin..)
            .map(|count| count.saturating_mul(step))
            .take_while(|year| *year <= self.last)
            .filter(|year| {
                (EDGE..=Percent::ALL.0.saturating_sub(EDGE)).contains(&self.at_year(*year).0)
            })
            .take(24)
            .collect()
    }
}
