//! What the script needs: the checksums of the payload, as JSON that no text can break out of.

use super::FindingAid;
use crate::format::bagit::layout::LITTER_FILES;
use crate::format::bagit::layout::LITTER_FOLDERS;
use crate::format::bagit::layout::LITTER_STARTS;
use crate::record::PortraitNumber;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use maud::Markup;
use maud::PreEscaped;
use maud::html;
use serde::Serialize;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeMap;

/// Returns the data of the page. Not run as a script, and holds nothing that the manifest does not hold too.
pub(super) fn island(aid: &FindingAid<'_>) -> Markup {
    let text = escaped(&data(aid).to_string());
    html! {
        script id="package-data" type="application/json" { (PreEscaped(text)) }
    }
}

fn data(aid: &FindingAid<'_>) -> Value {
    let places: BTreeMap<&PortraitNumber, usize> = aid
        .collection
        .portraits
        .iter()
        .enumerate()
        .map(|(position, portrait)| (&portrait.number, position))
        .collect();
    let files: Vec<Value> = aid
        .payload
        .iter()
        .map(|file| {
            json!([
                file.path.strip_prefix("data/").unwrap_or(&file.path),
                file.sha256.hex(),
                file.bytes,
                file.portrait.as_ref().and_then(|number| places.get(number)),
                file.view.map(|view| view.word()),
            ])
        })
        .collect();
    json!({
        "seal": aid.seal.hex(),
        "files": files,
        "words": words(),
        "outcomes": outcomes(),
        "litter": {
            "files": LITTER_FILES,
            "folders": LITTER_FOLDERS,
            "starts": LITTER_STARTS,
        },
    })
}

/// The words of every verdict about a file, from the one list that `audit` uses too.
fn words() -> BTreeMap<String, [&'static str; 2]> {
    FileVerdict::ALL
        .into_iter()
        .filter_map(|one| Some((name(one)?, [one.words(), one.explained()])))
        .collect()
}

/// The words of every outcome that the page can come to.
fn outcomes() -> BTreeMap<String, &'static str> {
    [
        Outcome::Sound,
        Outcome::CannotTell,
        Outcome::NotInOrder,
        Outcome::Damaged,
    ]
    .into_iter()
    .filter_map(|one| Some((name(one)?, one.words())))
    .collect()
}

/// Returns the name of a verdict as it stands in JSON.
fn name(verdict: impl Serialize) -> Option<String> {
    let value = serde_json::to_value(verdict).ok()?;
    value.as_str().map(str::to_owned)
}

/// Returns JSON in which nothing can end the element that holds it. [HTML 4.12.1.3]
fn escaped(json: &str) -> String {
    json.replace('<', "\\u003c")
        .replace('>', "\\u003e")
        .replace('&', "\\u0026")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::format::page::SCRIPT;

    #[test]
    fn every_verdict_of_the_script_has_its_words() {
        let (words, outcomes) = (words(), outcomes());
        for name in [
            "missing",
            "changed",
            "renamed",
            "unreadable",
            "not-listed",
            "litter",
        ] {
            assert!(words.contains_key(name), "{name}");
            assert!(SCRIPT.contains(&format!("\"{name}\"")), "{name}");
        }
        for name in ["sound", "cannot-tell", "not-in-order", "damaged"] {
            assert!(outcomes.contains_key(name), "{name}");
        }
        let script = crate::format::page::lean(SCRIPT);
        assert!(script.len() <= 25_000, "{}", script.len());
    }

    #[test]
    fn nothing_ends_the_element() {
        let text = json!(["</script><!--", "\u{2028}&"]).to_string();
        let safe = escaped(&text);
        assert!(!safe.contains(['<', '>', '&', '\u{2028}']));
        let back: Value = serde_json::from_str(&safe).expect("still JSON");
        assert_eq!(back, json!(["</script><!--", "\u{2028}&"]));
    }
}
