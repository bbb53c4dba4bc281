//! A drawn time line of one portrait: its clues, the lives of those thought of, and what comes of it. [SVG 1.1]

use super::PortraitWeighing;
use super::dates::DateResult;
use crate::record::Collection;
use crate::record::Day;
use crate::record::Sitter;
use maud::Markup;
use maud::html;
use std::collections::BTreeSet;

/// One line of the drawing.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Bar {
    label: String,
    first: Option<Day>,
    last: Option<Day>,
    look: Look,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Look {
    Result,
    Hard,
    Soft,
    Life,
}

impl Look {
    /// Thickness of the bar, and how dark it is.
    const fn drawn(self) -> (i64, &'static str) {
        match self {
            Self::Result => (12, "0.9"),
            Self::Hard => (8, "0.6"),
            Self::Soft => (8, "0.3"),
            Self::Life => (3, "0.6"),
        }
    }
}

/// Width of the drawing, of its column of labels, and the height of a line, in units of the drawing.
const WIDTH: i64 = 960;
const LABELS: i64 = 380;
const LINE: i64 = 22;
/// The longest label in characters.
const LONGEST_LABEL: usize = 56;
/// Years left free on both sides, so that open ends can be seen.
const MARGIN_YEARS: i64 = 5;

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
    let height = count.saturating_add(2).saturating_mul(LINE);
    let label = format!("Time line of {}, {first} to {last}", weighed.number);
    Some(html! {
        svg class="timeline" viewBox={ "0 0 " (WIDTH) " " (height) } width="100%" role="img" aria-label=(label) xmlns="http://www.w3.org/2000/svg" font-size="13" fill="currentColor" {
            @for year in scale.marks() {
                line x1=(scale.at_year(year)) x2=(scale.at_year(year)) y1="0" y2=(height.saturating_sub(LINE)) stroke="currentColor" stroke-opacity="0.2" {}
                text x=(scale.at_year(year)) y=(height.saturating_sub(6)) text-anchor="middle" fill-opacity="0.7" { (year) }
            }
            @for (row, bar) in (0_i64..).zip(&bars) { (drawn(bar, row, &scale)) }
        }
    })
}

fn drawn(bar: &Bar, row: i64, scale: &Scale) -> Markup {
    let top = row.saturating_mul(LINE);
    let (thickness, opacity) = bar.look.drawn();
    let left = bar.first.map_or(LABELS, |day| scale.at(day));
    let right = bar.last.map_or(WIDTH, |day| scale.at(day.next()));
    let width = right.saturating_sub(left).max(3);
    let middle = top.saturating_add(LINE.div_euclid(2));
    let y = middle.saturating_sub(thickness.div_euclid(2));
    let open = match (bar.first, bar.last) {
        (None, None) => "any time".to_owned(),
        (first, last) => {
            let year = |day: Option<Day>| {
                day.map_or_else(|| "open".to_owned(), |day| day.year().to_string())
            };
            format!("{} to {}", year(first), year(last))
        }
    };
    html! {
        g {
            title { (bar.label) ", " (open) }
            text x=(LABELS.saturating_sub(10)) y=(middle.saturating_add(4)) text-anchor="end" { (cut(&bar.label)) }
            rect x=(left) y=(y) width=(width) height=(thickness) fill-opacity=(opacity) {}
        }
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
    for clue in &result.used {
        bars.push(Bar {
            label: clue.what.clone(),
            first: clue.earliest,
            last: clue.latest,
            look: if clue.hard { Look::Hard } else { Look::Soft },
        });
    }
    if result.estimate.is_some() {
        bars.push(Bar {
            label: format!("{name}: {}", result.in_words),
            first: result.estimate_range.earliest,
            last: result.estimate_range.latest,
            look: Look::Result,
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
                first: born,
                last: died,
                look: Look::Life,
            })
        })
        .collect()
}

/// Where years stand.
struct Scale {
    first: i64,
    last: i64,
}

impl Scale {
    fn at(&self, day: Day) -> i64 {
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
        let room = WIDTH.saturating_sub(LABELS);
        let offset = months.saturating_mul(room).div_euclid(span);
        LABELS.saturating_add(offset.clamp(0, room))
    }

    fn at_year(&self, year: i64) -> i64 {
        self.at(Day::first_of_year(year))
    }

    /// Years that are written under the drawing, at most a dozen.
    fn marks(&self) -> Vec<i64> {
        let span = self.last.saturating_sub(self.first).max(1);
        let step = [5, 10, 20, 50, 100, 200, 500, 1000]
            .into_iter()
            .find(|step| span.div_euclid(*step) < 12)
            .unwrap_or(span);
        let begin = self.first.div_euclid(step).saturating_add(1);
        (begin..)
            .map(|count| count.saturating_mul(step))
            .take_while(|year| *year <= self.last)
            .take(24)
            .collect()
    }
}
