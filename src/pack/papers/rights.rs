//! The rights worksheet: what the keeper says of rights, and the facts set out in both branches of the law of the United States,
//! as information only.

use crate::format::paper::Paper;
use crate::record::Answer;
use crate::record::Collection;
use crate::record::DateEntry;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Rights;
use crate::record::RightsStatement;
use crate::record::caution;
use crate::record::rights_statement;
use crate::record::wording;
use crate::weigh::PortraitWeighing;
use crate::weigh::RightsHint;
use crate::weigh::Weighing;
use std::collections::HashMap;

/// Years that terms run, each with the case that it holds for. [17 USC 302(a), 302(c), 304]
const AFTER_PUBLICATION: i64 = 95;
const AFTER_DEATH: i64 = 70;
const AFTER_MAKING: i64 = 120;

/// Returns the worksheet, worked out for a year. `weighing` is of the same collection.
pub(in crate::pack) fn worksheet(collection: &Collection, weighing: &Weighing, year: i64) -> Paper {
    let mut paper = Paper::new("Rights in these portraits");
    introduction(&mut paper, year);
    let record = Register::of(collection);
    let weighed = weighing.portraits.iter();
    let weighed: HashMap<&PortraitNumber, &PortraitWeighing> =
        weighed.map(|one| (&one.number, one)).collect();
    for portrait in &collection.portraits {
        about(&mut paper, &record, portrait);
        if let Some(weighed) = weighed.get(&portrait.number) {
            branches(&mut paper, &weighed.rights);
        }
    }
    paper.heading("Where to ask");
    paper.text(format!(
        "An archive, or a lawyer who knows the law of copyright. {}",
        caution::GENERAL
    ));
    paper
}

fn introduction(paper: &mut Paper, year: i64) {
    for one in caution::all()
        .iter()
        .filter(|one| matches!(one.id, "L1" | "L2"))
    {
        paper.text(one.text);
    }
    paper.text(format!(
        "For each portrait there stands first what the keeper of the collection says. Below it are the facts, and what they would mean in the United States of America, worked out for the year {year} as information only. Whether a portrait that was handed to its sitter counts as published is not settled. So both cases are given each time, and none is chosen."
    ));
    paper.text(format!(
        "In {year} these terms have ended in the United States (they move on every 1 January):"
    ));
    let before = |years: i64| year.saturating_sub(years);
    paper
        .point(format!("Published before {}.", before(AFTER_PUBLICATION)))
        .point(format!("Never published, and the maker died before {}.", before(AFTER_DEATH)))
        .point(format!("Never published, the maker or the day of the maker’s death not known, and made before {}.", before(AFTER_MAKING)));
    paper.text("Published later, but before 1978: 95 years, and only if the picture carried a notice of copyright and, before 1964, was renewed. Made before 1978 and first published from 1978 to 2002: at least to the end of 2047. All terms run to the end of a year.");
}

fn about(paper: &mut Paper, record: &Register<'_>, portrait: &Portrait) {
    let rights = rights_statement::rights_of(record, portrait);
    paper.heading(format!(
        "{} — {}",
        portrait.number,
        wording::title(record, portrait)
    ));
    stated(paper, rights);
    if let Some(rights) = rights {
        judged(paper, rights);
    }
    facts(paper, portrait, rights);
}

/// Both cases, always.
fn branches(paper: &mut Paper, hint: &RightsHint) {
    paper
        .fact(
            "If it was never published, copyright",
            hint.if_unpublished.as_str(),
        )
        .fact(
            "If it was published soon after it was made, copyright",
            hint.if_published.as_str(),
        );
}

/// The statement by its name and address; words of somebody's own stay as they are.
fn stated(paper: &mut Paper, rights: Option<&Rights>) {
    let Some(statement) = rights_statement::statement(rights) else {
        paper.fact("The keeper says", rights_statement::notice(rights));
        return;
    };
    paper.fact(
        "Statement",
        format!("{} ({})", statement.word(), statement.uri()),
    );
    paper.fact("That means", RightsStatement::meaning(statement));
}

fn judged(paper: &mut Paper, rights: &Rights) {
    paper
        .known("Worked out by", rights.worked_out_by.text())
        .known("Worked out on", typed(&rights.worked_out_on))
        .known("Because", rights.worked_out_why.text())
        .known("You may", rights.receiver_may.text())
        .known("Held back until", typed(&rights.hold_until))
        .known("Credit line", rights.credit_line.text());
}

fn facts(paper: &mut Paper, portrait: &Portrait, rights: Option<&Rights>) {
    let printed = portrait.maker.as_printed.text();
    let maker = rights
        .and_then(|rights| in_words(&rights.maker_known))
        .or_else(|| printed.map(str::to_owned))
        .unwrap_or_else(|| "not looked at yet".to_owned());
    paper.fact("Maker", maker);
    paper.known(
        "Maker died",
        rights.and_then(|rights| typed(&rights.maker_died)),
    );
    let made = wording::shown_date(portrait).unwrap_or_else(|| "not known".to_owned());
    paper.fact("Made", made);
    let published = rights
        .and_then(|rights| in_words(&rights.published))
        .unwrap_or_else(|| "not looked at yet".to_owned());
    paper.fact("Published", published);
}

fn in_words(answer: &Answer<String>) -> Option<String> {
    match answer {
        Answer::Given(text) if text.trim().eq_ignore_ascii_case("no") => {
            Some("not known".to_owned())
        }
        Answer::Given(text) => Some(text.clone()),
        Answer::NotKnown => Some("not known".to_owned()),
        Answer::DoesNotApply => Some("does not apply".to_owned()),
        Answer::Blank => None,
    }
}

fn typed(date: &Answer<DateEntry>) -> Option<&str> {
    date.given().map(|date| date.typed.as_str())
}
