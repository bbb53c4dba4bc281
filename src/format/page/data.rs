//! What the script needs: the checksums of the payload, as JSON that no text can break out of.

use super::FindingAid;
use super::PayloadFile;
use crate::format::bagit::layout::LITTER_FILES;
use crate::format::bagit::layout::LITTER_FOLDERS;
use crate::format::bagit::layout::LITTER_STARTS;
use crate::record::PortraitNumber;
use crate::record::View;
use crate::verdict::FileVerdict;
use crate::verdict::Outcome;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD_NO_PAD;
use maud::Markup;
use maud::PreEscaped;
use maud::html;
use serde::Serialize;
use serde::Serializer;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeMap;
use std::collections::HashMap;

/// Returns the data of the page. Not run as a script, and holds nothing that the manifest does not hold too.
pub(super) fn island(aid: &FindingAid<'_>) -> Markup {
    let text = escaped(&data(aid));
    html! {
        script id="package-data" type="application/json" { (PreEscaped(text)) }
    }
}

/// What the script needs, in the order of the names.
#[derive(Serialize)]
struct Data<'a> {
    files: Files<'a>,
    litter: Value,
    outcomes: BTreeMap<String, &'static str>,
    seal: &'a str,
    views: Vec<&'static str>,
    words: BTreeMap<String, [&'static str; 2]>,
}

/// The lines of all files, each made when it is written: all of them at once would take half a kilobyte a file.
struct Files<'a>(&'a FindingAid<'a>);

impl Serialize for Files<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let portraits = self.0.collection().portraits.iter().enumerate();
        let places: HashMap<&PortraitNumber, usize> = portraits
            .map(|(position, portrait)| (&portrait.number, position))
            .collect();
        let mut before = "";
        serializer.collect_seq(self.0.holdings.payload().iter().map(|file| {
            let place = file.portrait.as_ref().and_then(|number| places.get(number));
            let line = line(file, before, place.copied());
            before = below_payload(file);
            line
        }))
    }
}

fn data(aid: &FindingAid<'_>) -> String {
    let data = Data {
        files: Files(aid),
        litter: json!({
            "files": LITTER_FILES,
            "folders": LITTER_FOLDERS,
            "starts": LITTER_STARTS,
        }),
        outcomes: outcomes(),
        seal: aid.seal.hex(),
        views: View::ALL.iter().map(|view| view.word()).collect(),
        words: words(),
    };
    // Nothing in it can fail to be JSON: text, numbers, and names as keys.
    serde_json::to_string(&data).unwrap_or_default()
}

/// Returns what the script needs to know of a file, in few letters, since a page may list thousands: how many letters its path
/// shares with the one before, the rest of it, its checksum, its length, and what it shows, if anything.
fn line(file: &PayloadFile, before: &str, place: Option<usize>) -> Value {
    let path = below_payload(file);
    let shared = shared_letters(before, path);
    let rest = path.get(shared..).unwrap_or(path);
    let sum = STANDARD_NO_PAD.encode(bytes_of(file.sha256.hex()));
    let view = View::ALL.iter().position(|view| Some(*view) == file.view);
    match (place, view) {
        (None, None) => json!([shared, rest, sum, file.bytes]),
        (place, None) => json!([shared, rest, sum, file.bytes, place]),
        (place, view) => json!([shared, rest, sum, file.bytes, place, view]),
    }
}

fn bytes_of(hex: &str) -> Vec<u8> {
    let pairs = (0..hex.len()).step_by(2);
    pairs
        .filter_map(|at| u8::from_str_radix(hex.get(at..at.saturating_add(2))?, 16).ok())
        .collect()
}

fn below_payload(file: &PayloadFile) -> &str {
    file.path.strip_prefix("data/").unwrap_or(&file.path)
}

/// Only plain letters count, of which script and program have the same number.
fn shared_letters(one: &str, other: &str) -> usize {
    one.bytes()
        .zip(other.bytes())
        .take_while(|(one, other)| one == other && one.is_ascii())
        .count()
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
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
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
    fn a_line_holds_what_is_new_in_it() {
        let file = |path: &str, portrait: Option<&str>| PayloadFile {
            path: path.to_owned(),
            sha256: Digest::of(Algorithm::Sha256, b"abc"),
            bytes: 3,
            portrait: portrait.map(Into::into),
            view: portrait.map(|_| View::Front),
        };
        // FIPS 180-4's value for "abc", in base64.
        let sum = "ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0";
        let first = line(&file("data/log/events.json", None), "", None);
        assert_eq!(first, json!([0, "log/events.json", sum, 3]));
        let shown = file("data/viewing/A-1-front.jpg", Some("A-1"));
        let second = line(&shown, "viewing/A-1-back.jpg", Some(7));
        assert_eq!(second, json!([12, "front.jpg", sum, 3, 7, 0]));
        assert_eq!(shared_letters("Zoë", "Zoë"), 2);
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
