//! The package described for programs: RO-Crate 1.2 metadata, flattened JSON-LD, with `data/` as the crate's root.

use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Collection;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Sitter;
use crate::record::View;
use crate::record::wording;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeSet;

/// The name that the file must have in the crate's root. [RO-Crate 1.2, "RO-Crate Metadata Document"]
pub const FILE: &str = "ro-crate-metadata.json";

const CONTEXT: &str = "https://w3id.org/ro/crate/1.2/context";
const PROFILE: &str = "https://w3id.org/ro/crate/1.2";

/// The statement where nobody has judged. [rightsstatements.org 1.0, CNE]
const NOT_EVALUATED: &str = "http://rightsstatements.org/vocab/CNE/1.0/";

/// What the description is made from.
#[derive(Debug, Clone, Copy)]
pub struct Crate<'a> {
    /// The record, as the audience may see it.
    pub collection: &'a Collection,
    /// The name of the package.
    pub name: &'a str,
    /// The day of making, year-month-day.
    pub made_on: &'a str,
    /// The program and its version.
    pub tool: &'a str,
    /// Every file of the payload but this one.
    pub files: &'a [CrateFile],
}

/// One file of the payload.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CrateFile {
    /// Its path below `data/`.
    pub path: String,
    /// Its length in bytes.
    pub bytes: u64,
    /// SHA-256 in hexadecimal.
    pub sha256: String,
    /// What it is, a few plain words.
    pub about: String,
    /// The portrait that it shows.
    pub portrait: Option<PortraitNumber>,
    /// The view that it shows.
    pub view: Option<View>,
    /// The path of the file that it was made from, when that is in the package.
    pub made_from: Option<String>,
}

/// Writes the description. The same input gives the same bytes.
///
/// # Errors
/// Gives an error only when the JSON cannot be written, which would be a fault of kithbag's own.
pub fn write(input: &Crate<'_>) -> Result<String, serde_json::Error> {
    let mut graph = vec![descriptor(), root(input)];
    graph.push(json!({ "@id": "#kithbag", "@type": "SoftwareApplication", "name": input.tool, "softwareVersion": input.tool }));
    graph.push(packing(input));
    graph.extend(input.files.iter().map(file));
    graph.extend(
        input
            .collection
            .portraits
            .iter()
            .map(|portrait| described(input, portrait)),
    );
    graph.extend(named_people(input.collection).map(person));
    let mut text = serde_json::to_string_pretty(&json!({ "@context": CONTEXT, "@graph": graph }))?;
    text.push('\n');
    Ok(text)
}

fn descriptor() -> Value {
    json!({ "@id": FILE, "@type": "CreativeWork", "conformsTo": { "@id": PROFILE }, "about": { "@id": "./" } })
}

fn root(input: &Crate<'_>) -> Value {
    let about = &input.collection.about;
    let title = about.title.text().unwrap_or(input.name);
    let count = input.collection.portraits.len();
    let told = about.story.text().map_or_else(
        || format!("{count} portraits with what is known and believed about them."),
        str::to_owned,
    );
    json!({
        "@id": "./",
        "@type": "Dataset",
        "name": title,
        "description": told,
        "datePublished": input.made_on,
        "license": { "@id": NOT_EVALUATED },
        "identifier": input.name,
        "hasPart": input.files.iter().map(|one| reference(&address(&one.path))).collect::<Vec<Value>>(),
        "mentions": input.collection.portraits.iter().map(|one| reference(&portrait_id(&one.number))).collect::<Vec<Value>>(),
    })
}

fn packing(input: &Crate<'_>) -> Value {
    json!({
        "@id": "#packing",
        "@type": "CreateAction",
        "name": "The package was made",
        "endTime": input.made_on,
        "instrument": { "@id": "#kithbag" },
        "object": { "@id": "./" },
        "result": { "@id": "./" },
        "actionStatus": "http://schema.org/CompletedActionStatus",
    })
}

fn file(one: &CrateFile) -> Value {
    let is_picture = media_type(&one.path).starts_with("image/");
    let kind = if is_picture {
        json!(["File", "ImageObject"])
    } else {
        json!("File")
    };
    let mut value = json!({
        "@id": address(&one.path),
        "@type": kind,
        "name": one.path.rsplit('/').next().unwrap_or(&one.path),
        "description": one.about,
        "encodingFormat": media_type(&one.path),
        "contentSize": one.bytes.to_string(),
        "sha256": one.sha256,
    });
    if let Value::Object(fields) = &mut value {
        if let Some(portrait) = &one.portrait {
            fields.insert(
                "exampleOfWork".to_owned(),
                reference(&portrait_id(portrait)),
            );
        }
        if let Some(view) = one.view {
            fields.insert("keywords".to_owned(), json!(view.word()));
        }
        if let Some(from) = &one.made_from {
            fields.insert("isBasedOn".to_owned(), reference(&address(from)));
        }
    }
    value
}

fn described(input: &Crate<'_>, portrait: &Portrait) -> Value {
    let collection = input.collection;
    let files: Vec<Value> = input
        .files
        .iter()
        .filter(|one| one.portrait.as_ref() == Some(&portrait.number))
        .map(|one| reference(&address(&one.path)))
        .collect();
    let mut value = json!({
        "@id": portrait_id(&portrait.number),
        "@type": ["VisualArtwork", "ArchiveComponent", "RepositoryObject"],
        "name": wording::title(collection, portrait),
        "description": wording::caption(collection, portrait),
        "identifier": portrait.number.as_str(),
        "hasFile": files,
    });
    let Value::Object(fields) = &mut value else {
        return value;
    };
    let mut text = |name: &str, value: Option<String>| {
        if let Some(value) = value {
            fields.insert(name.to_owned(), Value::String(value));
        }
    };
    text("artform", portrait.kind.given().map(ToString::to_string));
    text(
        "artMedium",
        portrait.media.given().map(|media| {
            media
                .iter()
                .map(|one| one.word())
                .collect::<Vec<&str>>()
                .join(", ")
        }),
    );
    text("artworkSurface", portrait.backing.text().map(str::to_owned));
    text(
        "dateCreated",
        portrait
            .dates
            .print
            .given()
            .map(|date| date.edtf.to_string()),
    );
    // "about" is for proved sitters alone: a probable one stands in the title with its word.
    let proved: Vec<Value> = proved_people(collection, &portrait.number)
        .map(|person| reference(&person_id(person)))
        .collect();
    if !proved.is_empty() {
        fields.insert("about".to_owned(), Value::Array(proved));
    }
    value
}

fn proved_people<'a>(
    collection: &'a Collection,
    number: &'a PortraitNumber,
) -> impl Iterator<Item = &'a Person> {
    collection
        .claims_about(number)
        .filter(|claim| {
            !claim.is_withdrawn() && claim.certainty == Answer::Given(Certainty::Proved)
        })
        .filter_map(move |claim| match &claim.sitter {
            Sitter::Person(person) => collection.person(person),
            Sitter::NotSaid | Sitter::Unnamed(_) => None,
        })
}

fn named_people(collection: &Collection) -> impl Iterator<Item = &Person> {
    let named: BTreeSet<&str> = collection
        .portraits
        .iter()
        .flat_map(|portrait| proved_people(collection, &portrait.number))
        .map(|person| person.number.as_str())
        .collect();
    collection
        .people
        .iter()
        .filter(move |person| named.contains(person.number.as_str()))
}

fn person(person: &Person) -> Value {
    let mut value = json!({ "@id": person_id(person), "@type": "Person", "name": person.name.text().unwrap_or_default(), "identifier": person.number.as_str() });
    if let Value::Object(fields) = &mut value {
        for (name, date) in [("birthDate", &person.born), ("deathDate", &person.died)] {
            if let Some(date) = date.given() {
                fields.insert(name.to_owned(), Value::String(date.edtf.to_string()));
            }
        }
    }
    value
}

fn portrait_id(number: &PortraitNumber) -> String {
    format!("#portrait-{}", address(number.as_str()))
}

fn person_id(person: &Person) -> String {
    format!("#person-{}", address(person.number.as_str()))
}

fn reference(id: &str) -> Value {
    json!({ "@id": id })
}

/// Returns a path as the address of an entity: everything but unreserved characters and slashes percent-encoded. [RFC3986 2.3]
fn address(path: &str) -> String {
    let mut address = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~' | b'/') {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

/// Returns the media type by a file's ending.
#[must_use]
pub fn media_type(path: &str) -> &'static str {
    match path
        .rsplit('.')
        .next()
        .unwrap_or_default()
        .to_ascii_lowercase()
        .as_str()
    {
        "jpg" | "jpeg" => "image/jpeg",
        "tif" | "tiff" => "image/tiff",
        "png" => "image/png",
        "webp" => "image/webp",
        "heic" => "image/heic",
        "avif" => "image/avif",
        "gif" => "image/gif",
        "pdf" => "application/pdf",
        "json" => "application/json",
        "csv" => "text/csv",
        "html" => "text/html",
        "xmp" => "application/rdf+xml",
        "txt" | "md" => "text/plain",
        "gdz" | "zip" => "application/zip",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_crate_must_have_is_there() {
        let collection = Collection {
            portraits: vec![Portrait {
                number: "A 1".into(),
                ..Portrait::default()
            }],
            ..Collection::default()
        };
        let files = [CrateFile {
            path: "portraits/A 1/front.tif".to_owned(),
            bytes: 3,
            sha256: "00".repeat(32),
            about: "described copy".to_owned(),
            portrait: Some("A 1".into()),
            view: Some(View::Front),
            made_from: None,
        }];
        let input = Crate {
            collection: &collection,
            name: "box-family",
            made_on: "2026-11-25",
            tool: "kithbag",
            files: &files,
        };
        let value: Value = serde_json::from_str(&write(&input).unwrap()).unwrap();
        assert_eq!(value["@context"], CONTEXT);
        let graph = value["@graph"].as_array().unwrap();
        let root = graph.iter().find(|one| one["@id"] == "./").unwrap();
        for needed in ["name", "description", "datePublished", "license", "hasPart"] {
            assert!(!root[needed].is_null(), "{needed}");
        }
        assert_eq!(root["hasPart"][0]["@id"], "portraits/A%201/front.tif");
        let mut ids: Vec<&str> = graph
            .iter()
            .map(|one| one["@id"].as_str().unwrap())
            .collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "two entities with one name");
    }
}
