//! What the script needs: the checksums of the payload, as JSON that no text can break out of.

use super::FindingAid;
use maud::Markup;
use maud::PreEscaped;
use maud::html;
use serde_json::Value;
use serde_json::json;

/// Returns the data of the page. Not run as a script, and holds nothing that the manifest does not hold too.
pub(super) fn island(aid: &FindingAid<'_>) -> Markup {
    let text = escaped(&data(aid).to_string());
    html! {
        script id="package-data" type="application/json" { (PreEscaped(text)) }
    }
}

fn data(aid: &FindingAid<'_>) -> Value {
    let files: Vec<Value> = aid
        .payload
        .iter()
        .map(|file| {
            json!([
                file.path,
                file.sha256.hex(),
                file.bytes,
                file.portrait
                    .as_ref()
                    .map(|number| number.as_str())
                    .unwrap_or_default(),
                file.view.map(|view| view.word()).unwrap_or_default(),
            ])
        })
        .collect();
    json!({
        "package": aid.package,
        "made": aid.made_on_in_words(),
        "seal": aid.seal.hex(),
        "files": files,
    })
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

    #[test]
    fn nothing_ends_the_element() {
        let text = json!(["</script><!--", "\u{2028}&"]).to_string();
        let safe = escaped(&text);
        assert!(!safe.contains(['<', '>', '&', '\u{2028}']));
        let back: Value = serde_json::from_str(&safe).expect("still JSON");
        assert_eq!(back, json!(["</script><!--", "\u{2028}&"]));
    }
}
