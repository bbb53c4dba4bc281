//! A paper as a page that opens by double click and prints on the papers of both sides of the ocean.

use super::Paper;
use super::Part;
use crate::format::page::styled;
use maud::Markup;
use maud::html;

/// Sheets of paper: one column, black lines to write on.
const STYLE: &str = include_str!("paper.css");

/// Returns a paper as a page of one file, without a script.
#[must_use]
pub fn page(paper: &Paper) -> String {
    let body = html! {
        main.paper id="main" {
            h1 { (said(&paper.title)) }
            @for part in &paper.parts { (one(part)) }
        }
    };
    styled(&paper.title, STYLE, &body)
}

fn one(part: &Part) -> Markup {
    match part {
        Part::Heading(words) => html! { h2 { (said(words)) } },
        Part::Text(words) => html! { p { (said(words)) } },
        Part::Point(words) => html! { p.point { (said(words)) } },
        Part::Fact(what, says) => html! { p.fact { b { (said(what)) ":" } " " (said(says)) } },
        Part::Question {
            asked,
            known,
            lines,
        } => html! {
            div.question {
                p { b { (said(asked)) } }
                @for line in known { p.known { (said(line)) } }
                @for _ in 0..*lines { div.room {} }
            }
        },
        Part::Blank(what) => html! { p.blank { span { (said(what)) ":" } span.room {} } },
        Part::Cut => html! { hr; },
    }
}

fn said(text: &str) -> Markup {
    let shown: String = text
        .chars()
        .map(|one| if one.is_control() { ' ' } else { one })
        .collect();
    html! { bdi { (shown) } }
}
