//! Proved sitters, and where their faces are.

use super::Subject;
use crate::format::xmp::value::ArrayKind;
use crate::format::xmp::value::Property;
use crate::format::xmp::value::Value;
use crate::format::xmp::vocabulary::AREA;
use crate::format::xmp::vocabulary::DIMENSIONS;
use crate::format::xmp::vocabulary::IPTC;
use crate::format::xmp::vocabulary::REGIONS;
use crate::format::xmp::vocabulary::XMP;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::FaceRegion;
use crate::record::Lookup;
use crate::record::Person;
use crate::record::View;

/// "A living or dead human". [IPTC `NewsCodes`, imageregiontype]
const HUMAN: &str = "http://cv.iptc.org/newscodes/imageregiontype/human";
/// The region that matters most. [IPTC `NewsCodes`, imageregionrole]
const MAIN_SUBJECT: &str = "http://cv.iptc.org/newscodes/imageregionrole/mainSubjectArea";

pub(super) fn properties(subject: &Subject<'_>) -> Vec<Property> {
    let mut properties = Vec::new();
    if subject.shows_the_sitter() {
        let people: Vec<(&str, &Person)> = proved(subject).collect();
        let names = people.iter().map(|(name, _)| *name);
        properties.extend(Property::texts(
            IPTC.name("PersonInImage"),
            ArrayKind::Bag,
            names,
        ));
        let details = people.iter().map(|(name, person)| details(name, person));
        properties.extend(Property::values(
            IPTC.name("PersonInImageWDetails"),
            ArrayKind::Bag,
            details,
        ));
    }
    properties.extend(regions(subject));
    properties
}

/// Returns the proved sitters with their names, in the order of the claims, each once.
pub(super) fn proved<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = (&'a str, &'a Person)> {
    let mut seen: Vec<&Person> = Vec::new();
    subject
        .collection
        .claims_about(&subject.portrait.number)
        .filter_map(|claim| proved_person(subject, claim))
        .filter(move |(_, person)| {
            let is_new = !seen.iter().any(|known| known.number == person.number);
            seen.push(person);
            is_new
        })
}

fn proved_person<'a>(subject: &'a Subject<'_>, claim: &Claim) -> Option<(&'a str, &'a Person)> {
    let is_proved = !claim.is_withdrawn() && claim.certainty.given() == Some(&Certainty::Proved);
    let person = subject.collection.claimed(claim).filter(|_| is_proved)?;
    Some((person.name.text()?, person))
}

fn details(name: &str, person: &Person) -> Value {
    let name = Property::alternatives(IPTC.name("PersonName"), name);
    let description = Property::alternatives(IPTC.name("PersonDescription"), &life(person));
    Value::Structure(name.into_iter().chain(description).collect())
}

/// No standard field holds birth and death, so they stand in the person's description in words.
fn life(person: &Person) -> String {
    let born = person
        .born
        .given()
        .map(|date| format!("born {}", date.edtf.in_words()));
    let died = person
        .died
        .given()
        .map(|date| format!("died {}", date.edtf.in_words()));
    let parts: Vec<String> = born.into_iter().chain(died).collect();
    parts.join(", ")
}

/// Faces are marked on the picture itself, so only a plain front scan carries them.
fn regions(subject: &Subject<'_>) -> Vec<Property> {
    if subject.scan.view.given() != Some(&View::Front) || subject.scan.is_altered() {
        return Vec::new();
    }
    let faces: Vec<Face<'_>> = subject
        .collection
        .claims_about(&subject.portrait.number)
        .filter(|claim| !claim.is_withdrawn())
        .filter_map(|claim| {
            let region = FaceRegion::parse(claim.face_region.text()?)?;
            let person = proved_person(subject, claim);
            Some(Face { region, person })
        })
        .fold(Vec::new(), one_for_each_place);
    let iptc = Property::values(
        IPTC.name("ImageRegion"),
        ArrayKind::Bag,
        (1_usize..)
            .zip(&faces)
            .map(|(number, face)| face.as_iptc(number)),
    );
    let mwg = as_mwg(subject, &faces);
    iptc.into_iter().chain(mwg).collect()
}

struct Face<'a> {
    region: FaceRegion,
    person: Option<(&'a str, &'a Person)>,
}

/// Rival claims about one face give one region; a proved one names it.
fn one_for_each_place<'a>(mut faces: Vec<Face<'a>>, face: Face<'a>) -> Vec<Face<'a>> {
    match faces.iter_mut().find(|known| known.region == face.region) {
        Some(known) => known.person = known.person.or(face.person),
        None => faces.push(face),
    }
    faces
}

impl Face<'_> {
    /// IPTC counts from the top left corner of the region. [IPTC Extension 1.9, `RegionBoundary`]
    fn as_iptc(&self, number: usize) -> Value {
        let place = &self.region;
        let field = |local, text: &str| Property::text(IPTC.name(local), text);
        let boundary: Vec<Property> = [
            field("rbShape", "rectangle"),
            field("rbUnit", "relative"),
            field("rbX", &decimal(place.left)),
            field("rbY", &decimal(place.top)),
            field("rbW", &decimal(place.width)),
            field("rbH", &decimal(place.height)),
        ]
        .into_iter()
        .flatten()
        .collect();
        let mut fields = vec![Property::new(
            IPTC.name("RegionBoundary"),
            Value::Structure(boundary),
        )];
        fields.extend(field("rId", &format!("face-{number}")));
        fields.extend(
            self.person
                .and_then(|(name, _)| Property::alternatives(IPTC.name("Name"), name)),
        );
        let term = |local, address: &str| {
            let identifier = Property::texts(XMP.name("Identifier"), ArrayKind::Bag, [address]);
            let entity = Value::Structure(identifier.into_iter().collect());
            Property::values(IPTC.name(local), ArrayKind::Bag, [entity])
        };
        fields.extend(term("rCtype", HUMAN));
        fields.extend(term("rRole", MAIN_SUBJECT));
        fields.extend(self.person.and_then(|(name, person)| {
            let value = details(name, person);
            Property::values(IPTC.name("PersonInImageWDetails"), ArrayKind::Bag, [value])
        }));
        Value::Structure(fields)
    }

    /// MWG counts to the centre of the region. [MWG 2.0 5.9.2]
    fn as_mwg(&self) -> Value {
        let place = &self.region;
        let field = |local, text: &str| Property::text(AREA.name(local), text);
        let area: Vec<Property> = [
            field("x", &decimal(place.left + place.width / 2.0)),
            field("y", &decimal(place.top + place.height / 2.0)),
            field("w", &decimal(place.width)),
            field("h", &decimal(place.height)),
            field("unit", "normalized"),
        ]
        .into_iter()
        .flatten()
        .collect();
        let mut fields = vec![Property::new(REGIONS.name("Area"), Value::Structure(area))];
        fields.extend(Property::text(REGIONS.name("Type"), "Face"));
        fields.extend(
            self.person
                .and_then(|(name, _)| Property::text(REGIONS.name("Name"), name)),
        );
        Value::Structure(fields)
    }
}

/// MWG wants the size of the picture beside the regions, so that a later crop can be noticed; without it nothing is said.
fn as_mwg(subject: &Subject<'_>, faces: &[Face<'_>]) -> Option<Property> {
    let (width, height) = (subject.scan.facts.width?, subject.scan.facts.height?);
    let list = Property::values(
        REGIONS.name("RegionList"),
        ArrayKind::Bag,
        faces.iter().map(Face::as_mwg),
    )?;
    let field = |local, text: &str| Property::text(DIMENSIONS.name(local), text);
    let dimensions: Vec<Property> = [
        field("w", &width.to_string()),
        field("h", &height.to_string()),
        field("unit", "pixel"),
    ]
    .into_iter()
    .flatten()
    .collect();
    Some(Property::new(
        REGIONS.name("Regions"),
        Value::Structure(vec![
            Property::new(
                REGIONS.name("AppliedToDimensions"),
                Value::Structure(dimensions),
            ),
            list,
        ]),
    ))
}

/// Four decimals are finer than a pixel of any scan's face; trailing zeros are left out.
fn decimal(number: f64) -> String {
    let text = format!("{number:.4}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short.is_empty() {
        "0".to_owned()
    } else {
        short.to_owned()
    }
}
