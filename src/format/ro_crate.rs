//! The package described for programs: RO-Crate 1.2 metadata, flattened JSON-LD, with `data/` as the crate's root.

use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Collection;
use crate::record::Lookup;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Rights;
use crate::record::RightsStatement;
use crate::record::View;
use crate::record::rights_statement;
use crate::record::wording;
use serde::Serialize;
use serde::Serializer;
use serde::ser::SerializeSeq as _;
use serde_json::Value;
use serde_json::json;
use std::collections::BTreeMap;
use std::collections::BTreeSet;
use std::collections::HashMap;

/// The name that the file must have in the crate's root. [RO-Crate 1.2, "RO-Crate Metadata Document"]
pub const FILE: &str = "ro-crate-metadata.json";

const CONTEXT: &str = "https://w3id.org/ro/crate/1.2/context";
const PROFILE: &str = "https://w3id.org/ro/crate/1.2";

/// What a program must have and kithbag has none of: an address in the web. This name is its own for good. [RFC 9562]
const PROGRAM: &str = "urn:uuid:1ddee593-4a8b-42de-9da0-0cbc379c4381";

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
    pub about: &'static str,
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
    let mut text = serde_json::to_string_pretty(&Document {
        context: CONTEXT,
        graph: Graph {
            input,
            record: &Register::of(input.collection),
        },
    })?;
    text.push('\n');
    Ok(text)
}

#[derive(Serialize)]
struct Document<'a> {
    #[serde(rename = "@context")]
    context: &'static str,
    #[serde(rename = "@graph")]
    graph: Graph<'a>,
}

/// Everything that is described, made and written one by one: all of it at once would take a kilobyte a file.
struct Graph<'a> {
    input: &'a Crate<'a>,
    record: &'a Register<'a>,
}

impl Serialize for Graph<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Self { input, record } = *self;
        let mut files: HashMap<&PortraitNumber, Vec<&CrateFile>> = HashMap::new();
        for one in input.files {
            if let Some(number) = &one.portrait {
                files.entry(number).or_default().push(one);
            }
        }
        let portraits = input.collection.portraits.iter().map(|portrait| {
            let own = files.get(&portrait.number).into_iter().flatten();
            let own = own.map(|one| reference(&address(&one.path))).collect();
            described(record, portrait, own)
        });
        let rest = [program(input), packing(input), name_of_package(input)]
            .into_iter()
            .chain(statements(record))
            .chain(input.files.iter().map(file))
            .chain(portraits)
            .chain(named_people(record).map(person));
        let mut graph = serializer.serialize_seq(None)?;
        graph.serialize_element(&descriptor())?;
        graph.serialize_element(&root(input))?;
        for value in rest {
            graph.serialize_element(&value)?;
        }
        graph.end()
    }
}

fn descriptor() -> Value {
    json!({ "@id": FILE, "@type": "CreativeWork", "conformsTo": { "@id": PROFILE }, "about": { "@id": "./" } })
}

/// The package as a whole, its properties in the order of their names.
#[derive(Serialize)]
struct Root<'a, P: Serialize, M: Serialize> {
    #[serde(rename = "@id")]
    id: &'static str,
    #[serde(rename = "@type")]
    kind: &'static str,
    #[serde(rename = "datePublished")]
    date_published: &'a str,
    description: String,
    #[serde(rename = "hasPart")]
    has_part: P,
    identifier: Value,
    license: Value,
    mentions: M,
    name: &'a str,
}

/// Values that are made one by one as they are written.
struct Each<I>(I);

impl<I: Iterator<Item = Value> + Clone> Serialize for Each<I> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(self.0.clone())
    }
}

fn root<'a>(input: &'a Crate<'a>) -> impl Serialize + 'a {
    let about = &input.collection.about;
    let count = input.collection.portraits.len();
    let told = about.story.text().map_or_else(
        || format!("{count} portraits with what is known and believed about them."),
        str::to_owned,
    );
    let files = input.files.iter();
    let portraits = input.collection.portraits.iter();
    let license = address_of_rights(input.collection.rights_in(Rights::ALL));
    Root {
        id: "./",
        kind: "Dataset",
        date_published: input.made_on,
        description: told,
        has_part: Each(files.map(|one| reference(&address(&one.path)))),
        identifier: reference("#package-name"),
        license: reference(&license),
        mentions: Each(
            std::iter::once("#packing".to_owned())
                .chain(portraits.map(|one| portrait_id(&one.number)))
                .map(|id| reference(&id)),
        ),
        name: about.title.text().unwrap_or(input.name),
    }
}

/// A program must have a name, an address and a version. [RO-Crate 1.2, "Provenance of entities"]
fn program(input: &Crate<'_>) -> Value {
    let version = input.tool.rsplit(' ').next().unwrap_or(input.tool);
    json!({ "@id": "#kithbag", "@type": "SoftwareApplication", "name": input.tool, "url": PROGRAM, "version": version, "softwareVersion": version })
}

fn name_of_package(input: &Crate<'_>) -> Value {
    json!({ "@id": "#package-name", "@type": "PropertyValue", "name": "Name of the package", "propertyID": "name of the package", "value": input.name })
}

/// The address of what is said; "not evaluated" where somebody used words of their own.
fn address_of_rights(rights: Option<&Rights>) -> String {
    rights_statement::address(rights).unwrap_or_else(|| RightsStatement::NotEvaluated.uri())
}

/// Every statement that the crate refers to, with its name and what it means.
fn statements(record: &Register<'_>) -> Vec<Value> {
    let portraits = record.collection().portraits.iter();
    let of_portraits = portraits.map(|portrait| rights_statement::rights_of(record, portrait));
    let used: BTreeMap<String, String> = of_portraits
        .chain([record.rights_in(Rights::ALL)])
        .map(|rights| (address_of_rights(rights), rights_statement::notice(rights)))
        .collect();
    used.into_iter()
        .map(|(address, own)| {
            let published = RightsStatement::read(&address);
            let name = published.map_or(own, |one| one.word().to_owned());
            let about = published.map_or(
                "What the keeper of the collection says of rights.",
                RightsStatement::meaning,
            );
            json!({ "@id": address, "@type": "CreativeWork", "name": name, "description": about })
        })
        .collect()
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

fn described(record: &Register<'_>, portrait: &Portrait, files: Vec<Value>) -> Value {
    let mut value = json!({
        "@id": portrait_id(&portrait.number),
        "@type": ["VisualArtwork", "ArchiveComponent", "RepositoryObject"],
        "name": wording::title(record, portrait),
        "description": wording::caption(record, portrait),
        "identifier": portrait.number.as_str(),
    });
    let Value::Object(fields) = &mut value else {
        return value;
    };
    if let Some(files) = one_or_many(files) {
        fields.insert("hasFile".to_owned(), files);
    }
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
    let rights = rights_statement::rights_of(record, portrait);
    fields.insert("license".to_owned(), reference(&address_of_rights(rights)));
    // "about" is for proved sitters alone: a probable one stands in the title with its word.
    let proved: Vec<Value> = proved_people(record, &portrait.number)
        .map(|person| reference(&person_id(person)))
        .collect();
    if let Some(about) = one_or_many(proved) {
        fields.insert("about".to_owned(), about);
    }
    value
}

/// A single value stands by itself. [RO-Crate 1.2, "RO-Crate JSON-LD"]
fn one_or_many(mut values: Vec<Value>) -> Option<Value> {
    match values.len() {
        0 | 1 => values.pop(),
        _ => Some(Value::Array(values)),
    }
}

fn proved_people<'a>(
    record: &Register<'a>,
    number: &PortraitNumber,
) -> impl Iterator<Item = &'a Person> {
    let named = record.held_names(number);
    named
        .filter(|(claim, _)| claim.certainty == Answer::Given(Certainty::Proved))
        .map(|(_, person)| person)
}

fn named_people<'a>(record: &Register<'a>) -> impl Iterator<Item = &'a Person> {
    let portraits = record.collection().portraits.iter();
    let named: BTreeSet<&str> = portraits
        .flat_map(|portrait| proved_people(record, &portrait.number))
        .map(|person| person.number.as_str())
        .collect();
    let people = record.collection().people.iter();
    people.filter(move |person| named.contains(person.number.as_str()))
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
        // [FamilySearch GEDCOM 7.0 4.1]
        "gdz" => "application/vnd.familysearch.gedcom+zip",
        "zip" => "application/zip",
        _ => "application/octet-stream",
    }
}

#[cfg(test)]
mod tests;
