//! Writes GEDCOM 7.0, and the list of what goes into the GEDZIP beside it. [GEDCOM 7.0 3; GEDZIP 4.1]

use super::lines::Structure;
use super::lines::to_text;
use super::living::without_living;
use crate::format::xmp::Guards;
use crate::format::xmp::PortraitGuard;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::DateEntry;
use crate::record::FaceRegion;
use crate::record::Living;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitNumber;
use crate::record::Register;
use crate::record::Sitter;
use crate::record::View;
use crate::record::wording;
use std::collections::HashMap;
use std::collections::HashSet;

/// The name that the list must have in a GEDZIP. [GEDCOM 7.0 4.1]
pub const LIST_NAME: &str = "gedcom.ged";

/// A picture that may go into the family tree.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FamilyPicture {
    /// The file that is copied in: a path that the caller understands.
    pub source: String,
    /// Its name in the GEDZIP, without folder: ASCII, never a person's name.
    pub name: String,
    /// The portrait that it shows.
    pub portrait: PortraitNumber,
    /// The view that it shows.
    pub view: Option<View>,
    /// The media type, for example "image/jpeg".
    pub media_type: String,
    /// Width and height in pixels; without them no face can be marked.
    pub pixels: Option<(u32, u32)>,
    /// Whether the picture is a version changed by hand or by a program: such a one is never linked.
    pub is_altered: bool,
}

/// What the list says about itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GedzipContext<'a> {
    /// The day of making, year-month-day; its year counts as today for the question who lives.
    pub made_on: &'a str,
    /// The version of the program.
    pub version: &'a str,
}

/// A list and the files that belong beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gedzip {
    /// The content of [`LIST_NAME`], UTF-8.
    pub list: String,
    /// The pictures, in the order of the list.
    pub entries: Vec<GedzipEntry>,
    /// How many proved sitters stand in it.
    pub people: usize,
    /// How many proved sitters were left out because they may be living.
    pub left_out_living: usize,
}

/// One picture in a GEDZIP.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GedzipEntry {
    /// Its name in the zip, not percent-escaped. Pictures are stored uncompressed.
    pub name: String,
    /// The file that is copied in.
    pub source: String,
}

/// Writes the proved sitters of a collection with their pictures. The collection is what the audience may see; people who may
/// be living are left out whatever the audience.
#[must_use]
pub fn write(
    collection: &Collection,
    pictures: &[FamilyPicture],
    context: &GedzipContext<'_>,
) -> Gedzip {
    let whole = Register::of(collection);
    let deceased = without_living(&whole, context.made_on);
    let deceased = Register::of(&deceased);
    let guards = Guards::of(&deceased);
    let mut shown: Vec<Picture<'_>> = Vec::new();
    for picture in pictures.iter().filter(|picture| !picture.is_altered) {
        let portrait = deceased.portrait(picture.portrait.as_str());
        let Some(portrait) = portrait.filter(|one| belongs(&whole, &deceased, one)) else {
            continue;
        };
        shown.push(Picture {
            xref: format!("O{}", shown.len().saturating_add(1)),
            picture,
            portrait,
            record: &deceased,
            guard: guards.guard(&portrait.number),
        });
    }
    let sitters = proved_people(&deceased);
    let left_out = proved_people(&whole).len().saturating_sub(sitters.len());
    let links = links(&shown);
    let mut records = vec![head(context)];
    for (number, person) in (1_usize..).zip(&sitters) {
        let links = links.get(person.number.as_str());
        let links = links.into_iter().flatten();
        let links = links.map(|(picture, claim)| picture.link(claim));
        records.push(individual(number, person).with_all(links));
    }
    records.extend(shown.iter().map(Picture::record));
    records.push(Structure::new("TRLR", ""));
    Gedzip {
        list: to_text(&records),
        entries: shown.iter().map(Picture::entry).collect(),
        people: sitters.len(),
        left_out_living: left_out,
    }
}

/// A picture belongs into the tree if somebody is its proved or probable sitter, and nobody who may be living might be.
fn belongs(whole: &Register<'_>, deceased: &Register<'_>, portrait: &Portrait) -> bool {
    let is_sure = |claim: &Claim| {
        matches!(
            claim.certainty.given(),
            Some(Certainty::Proved | Certainty::Probable)
        )
    };
    let mut named = deceased.held_names(&portrait.number);
    let names_somebody = named.any(|(claim, _)| is_sure(claim));
    names_somebody && held(deceased, portrait).eq(held(whole, portrait))
}

fn held<'a>(record: &Register<'a>, portrait: &Portrait) -> impl Iterator<Item = &'a Claim> {
    let claims = record.claims_about(&portrait.number).iter().copied();
    claims.filter(|claim| !claim.is_withdrawn())
}

fn is_proof(claim: &Claim) -> bool {
    !claim.is_withdrawn() && claim.certainty.given() == Some(&Certainty::Proved)
}

/// Returns the people with a name of whom some claim is proved, in the order of the sheet.
fn proved_people<'a>(record: &Register<'a>) -> Vec<&'a Person> {
    let people = record.collection().people.iter();
    people
        .filter(|person| person.name.is_given())
        .filter(|person| {
            let claims = record.claims_naming(&person.number);
            claims.iter().copied().any(is_proof)
        })
        .collect()
}

/// Returns for each person who is proved the pictures of them, each with the first claim that says so.
fn links<'p>(shown: &'p [Picture<'p>]) -> HashMap<&'p str, Vec<(&'p Picture<'p>, &'p Claim)>> {
    let mut links: HashMap<&str, Vec<(&Picture<'_>, &Claim)>> = HashMap::new();
    for picture in shown {
        let mut seen = HashSet::new();
        for claim in picture.record.claims_about(&picture.portrait.number) {
            if let Sitter::Person(number) = &claim.sitter
                && is_proof(claim)
                && seen.insert(number)
            {
                let of_person = links.entry(number.as_str()).or_default();
                of_person.push((picture, claim));
            }
        }
    }
    links
}

fn head(context: &GedzipContext<'_>) -> Structure {
    let source = Structure::new("SOUR", "kithbag")
        .with(Structure::new("VERS", context.version))
        .with(Structure::new("NAME", "kithbag"));
    Structure::new("HEAD", "")
        .with(Structure::new("GEDC", "").with(Structure::new("VERS", "7.0")))
        .with(source)
        .with_all(day(context.made_on).map(|day| Structure::new("DATE", &day)))
        .with(Structure::new(
            "NOTE",
            "Only sitters whose identity is proved are listed and linked to their pictures. What is only believed stands in the notes of the pictures, marked as such. People who may be living are left out.",
        ))
}

fn day(iso: &str) -> Option<String> {
    let entry = DateEntry::read(iso).ok()?;
    Some(entry.edtf.to_gedcom().value).filter(|value| !value.is_empty())
}

fn individual(number: usize, person: &Person) -> Structure {
    let other_names = person
        .other_names
        .iter()
        .map(|name| name_of(name).with(Structure::new("TYPE", "AKA")));
    let is_dead = person.living.given() == Some(&Living::No);
    Structure::record(&format!("I{number}"), "INDI")
        .with_all(person.name.text().map(name_of))
        .with_all(other_names)
        .with_all(event(
            "BIRT",
            person.born.given(),
            person.born_at.text(),
            false,
        ))
        .with_all(event(
            "DEAT",
            person.died.given(),
            person.died_at.text(),
            is_dead,
        ))
        .with_all(reference(person.number.as_str(), "number in the catalogue"))
}

/// The surname is not marked: the catalogue does not say which part it is. A slash would mark one.
fn name_of(name: &str) -> Structure {
    let words: Vec<&str> = name
        .split(|one: char| one.is_whitespace() || one == '/')
        .filter(|word| !word.is_empty())
        .collect();
    Structure::new("NAME", &words.join(" "))
}

/// An event without date and place is only said to have happened, and only if it has. [GEDCOM 7.0 3.3.2 `DEAT Y`]
fn event(
    tag: &str,
    date: Option<&DateEntry>,
    place: Option<&str>,
    has_happened: bool,
) -> Option<Structure> {
    let details: Vec<Structure> = date
        .map(dated)
        .into_iter()
        .chain(place.map(|place| Structure::new("PLAC", place)))
        .collect();
    if details.is_empty() {
        return has_happened.then(|| Structure::new(tag, "Y"));
    }
    Some(Structure::new(tag, "").with_all(details))
}

fn dated(entry: &DateEntry) -> Structure {
    let said = entry.edtf.to_gedcom();
    Structure::new("DATE", &said.value)
        .with_all(said.phrase.map(|phrase| Structure::new("PHRASE", &phrase)))
}

fn reference(number: &str, kind: &str) -> Option<Structure> {
    (!number.is_empty()).then(|| Structure::new("REFN", number).with(Structure::new("TYPE", kind)))
}

/// A picture with its record's identifier, and what may be said of it.
struct Picture<'a> {
    xref: String,
    picture: &'a FamilyPicture,
    portrait: &'a Portrait,
    record: &'a Register<'a>,
    guard: PortraitGuard<'a>,
}

impl Picture<'_> {
    fn name(&self) -> String {
        format!("media/{}", self.picture.name)
    }

    fn entry(&self) -> GedzipEntry {
        GedzipEntry {
            name: self.name(),
            source: self.picture.source.clone(),
        }
    }

    fn record(&self) -> Structure {
        let file = Structure::new("FILE", &percent_escaped(&self.name()))
            .with(
                Structure::new("FORM", &self.picture.media_type)
                    .with(Structure::new("MEDI", "PHOTO")),
            )
            .with(Structure::new("TITL", &self.title()));
        Structure::record(&self.xref, "OBJE")
            .with(file)
            .with_all(reference(
                self.portrait.number.as_str(),
                "number of the portrait",
            ))
            .with(Structure::new("NOTE", &self.note()))
    }

    fn title(&self) -> String {
        let mut title = wording::title(self.record, self.portrait);
        if !self.guard.names_nobody(&title) {
            let without_print = Portrait {
                title_as_printed: crate::record::Answer::Blank,
                ..self.portrait.clone()
            };
            title = wording::title(self.record, &without_print);
        }
        match self.picture.view {
            None | Some(View::Front) => title,
            Some(view) => format!("{title} ({view})"),
        }
    }

    /// Who it shows, how sure, and why; reasons that name somebody who may not be named are left out.
    fn note(&self) -> String {
        let mut lines = vec![format!("{}.", wording::caption(self.record, self.portrait))];
        for (claim, person) in self.record.held_names(&self.portrait.number) {
            let Some(name) = person.name.text() else {
                continue;
            };
            let said = match claim.certainty.given() {
                Some(Certainty::Proved) => format!("Proved: {name}."),
                Some(Certainty::Probable) => format!("Not proved: probably {name}."),
                _ => continue,
            };
            let reasons: Vec<&str> = claim
                .reasons_for
                .iter()
                .filter_map(|reason| self.guard.pass(reason))
                .collect();
            lines.push(if reasons.is_empty() {
                said
            } else {
                format!("{said} Because: {}", reasons.join("; "))
            });
        }
        lines.join("\n")
    }

    fn link(&self, claim: &Claim) -> Structure {
        Structure::new("OBJE", &format!("@{}@", self.xref))
            .with_all(self.crop(claim))
            .with(Structure::new("TITL", &self.title()))
    }

    /// Whole pixels from the upper left corner, within the picture. [GEDCOM 7.0 3.3.2 `CROP`]
    fn crop(&self, claim: &Claim) -> Option<Structure> {
        let (width, height) = self.picture.pixels?;
        let region = FaceRegion::parse(claim.face_region.text()?)?;
        if self.picture.view != Some(View::Front) {
            return None;
        }
        let left = part_of(width, region.left);
        let top = part_of(height, region.top);
        let wide = part_of(width, region.width).min(width.saturating_sub(left));
        let high = part_of(height, region.height).min(height.saturating_sub(top));
        let field = |tag, value: u32| Structure::new(tag, &value.to_string());
        (wide > 0 && high > 0).then(|| {
            Structure::new("CROP", "")
                .with(field("TOP", top))
                .with(field("LEFT", left))
                .with(field("HEIGHT", high))
                .with(field("WIDTH", wide))
        })
    }
}

/// Returns a part of a length in whole pixels. The number is found by halving, because a decimal number has no lossless way
/// back to a whole one.
fn part_of(length: u32, part: f64) -> u32 {
    let wanted = f64::from(length) * part;
    let (mut low, mut high) = (0_u32, length);
    while low < high {
        let middle = low.saturating_add(high.saturating_sub(low).div_ceil(2));
        if f64::from(middle) <= wanted + 0.5 {
            low = middle;
        } else {
            high = middle.saturating_sub(1);
        }
    }
    low
}

/// Everything but unreserved characters and `/` is escaped. [RFC 3986 2.3; GEDCOM 7.0 2.10]
fn percent_escaped(path: &str) -> String {
    let mut out = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

#[cfg(test)]
mod tests;
