//! The plain papers of a package: what is known of rights, and what was held back. UTF-8 with a mark at the start and CRLF, so
//! that the oldest text programs show them right.

use super::PackOptions;
use super::tags::audience_words;
use crate::record::Collection;
use crate::record::Portrait;
use crate::record::Rights;
use crate::record::audience::Withheld;

/// The statement where nobody has judged. [rightsstatements.org 1.0, CNE]
const NOT_EVALUATED: &str = "Copyright not evaluated (http://rightsstatements.org/vocab/CNE/1.0/)";

const NO_ADVICE: &str = "This is general caution, not treatment, medical or legal advice.";

/// Writes `rights.txt`.
pub(super) fn rights(collection: &Collection) -> String {
    let mut lines = vec![
        "Rights in these portraits".to_owned(),
        String::new(),
        "Owning a portrait does not mean owning its copyright; that starts with the photographer.".to_owned(),
        "What stands here is what the keeper of the collection worked out, no more. Rules differ by country.".to_owned(),
        "Ask an archive or a lawyer before publishing or selling.".to_owned(),
        String::new(),
    ];
    for portrait in &collection.portraits {
        lines.extend(rights_of(collection, portrait));
    }
    lines.push(NO_ADVICE.to_owned());
    as_paper(&lines)
}

fn rights_of(collection: &Collection, portrait: &Portrait) -> Vec<String> {
    let found = rights_for(collection, portrait);
    let statement = found
        .and_then(|rights| rights.statement.text())
        .unwrap_or(NOT_EVALUATED);
    let mut lines = vec![portrait.number.to_string(), format!("    {statement}")];
    if let Some(rights) = found {
        let mut fact = |label: &str, value: Option<&str>| {
            lines.extend(value.map(|value| format!("    {label}: {value}")));
        };
        fact("Worked out by", rights.worked_out_by.text());
        fact(
            "Worked out on",
            rights.worked_out_on.given().map(|date| date.typed.as_str()),
        );
        fact("Because", rights.worked_out_why.text());
        fact("You may", rights.receiver_may.text());
        fact(
            "Held back until",
            rights.hold_until.given().map(|date| date.typed.as_str()),
        );
        fact("Credit line", rights.credit_line.text());
    }
    lines.push(String::new());
    lines
}

/// Returns the row about a portrait: its own, else its lot's, else the one for everything.
fn rights_for<'a>(collection: &'a Collection, portrait: &Portrait) -> Option<&'a Rights> {
    let lot = portrait.lot.given().map(|lot| lot.as_str());
    let own = Some(portrait.number.as_str());
    let row_for = |wanted: Option<&str>| {
        wanted.and_then(|wanted| {
            collection
                .rights
                .iter()
                .find(|rights| rights.applies_to.text().map(str::trim) == Some(wanted))
        })
    };
    row_for(own)
        .or_else(|| row_for(lot))
        .or_else(|| row_for(Some("all")))
}

/// Writes `withheld.txt`: what was held back for this audience, without saying the thing itself.
pub(super) fn withheld(
    options: &PackOptions,
    withheld: &[Withheld],
    from_files: &[String],
) -> String {
    let mut lines = vec![
        format!("What was held back from this package for {}", audience_words(options.audience)),
        String::new(),
        "The sender keeps a full package. Ask the sender if you need something that is listed here.".to_owned(),
        String::new(),
    ];
    lines.extend(withheld_lines(withheld));
    if !from_files.is_empty() {
        lines.push(String::new());
        lines.push("Taken out of the described copies (the pictures are unchanged):".to_owned());
        lines.extend(from_files.iter().map(|line| format!("    {line}")));
    }
    if withheld.is_empty() && from_files.is_empty() {
        lines.push("Nothing.".to_owned());
    }
    as_paper(&lines)
}

/// Returns what was held back, one plain line each.
pub(super) fn withheld_lines(withheld: &[Withheld]) -> Vec<String> {
    let line = |one: &Withheld| {
        let of = if one.of.is_empty() {
            String::new()
        } else {
            format!("{}: ", one.of)
        };
        let times = if one.times > 1 {
            format!(" ({} times)", one.times)
        } else {
            String::new()
        };
        format!("{of}{}{times}, since {}", one.what, one.why)
    };
    withheld.iter().map(line).collect()
}

fn as_paper(lines: &[String]) -> String {
    let mut text = String::from("\u{feff}");
    for line in lines {
        text.push_str(line);
        text.push_str("\r\n");
    }
    text
}
