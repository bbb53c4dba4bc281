//! The object that was scanned: the portrait as a made thing.

use super::Subject;
use super::words;
use crate::format::xmp::value::ArrayKind;
use crate::format::xmp::value::Property;
use crate::format::xmp::value::Value;
use crate::format::xmp::vocabulary::DC;
use crate::format::xmp::vocabulary::DCTERMS;
use crate::format::xmp::vocabulary::IPTC;
use crate::format::xmp::vocabulary::PHOTOSHOP;
use crate::record::Certainty;
use crate::record::DateEntry;
use crate::record::Size;
use crate::record::rights_statement;

pub(super) fn properties(subject: &Subject<'_>) -> Vec<Property> {
    let portrait = subject.portrait;
    let sitting = portrait.dates.sitting.given().and_then(plain_date);
    let created = portrait.dates.print.given().map(|date| date.edtf.as_str());
    let collection = subject.collection.about.title.text();
    let source = collection.map_or_else(
        || portrait.number.to_string(),
        |title| format!("{} of the collection “{title}”", portrait.number),
    );
    let text = |name, value: Option<&str>| value.and_then(|value| Property::text(name, value));
    [
        Property::texts(DC.name("creator"), ArrayKind::Seq, maker(subject)),
        Property::text(DC.name("identifier"), portrait.number.as_str()),
        text(DC.name("source"), subject.guard.pass(&source)),
        text(DCTERMS.name("created"), created),
        text(DCTERMS.name("medium"), medium(subject).as_deref()),
        text(DCTERMS.name("extent"), extent(&portrait.size).as_deref()),
        text(DCTERMS.name("provenance"), provenance(subject).as_deref()),
        // IPTC: the date of what is shown, not of the copy; unknown parts are left off, never guessed. [FHMWG 3.1.3]
        text(PHOTOSHOP.name("DateCreated"), sitting),
        Some(Property::new(
            IPTC.name("ArtworkOrObject"),
            Value::Array(ArrayKind::Bag, vec![artwork(subject).into()]),
        )),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn artwork(subject: &Subject<'_>) -> Value {
    let portrait = subject.portrait;
    let print = portrait.dates.print.given();
    let about = &subject.collection.about;
    let holder = portrait.original_now_at.text().or(about.title.text());
    let rights = rights_statement::rights_of(subject.collection, portrait);
    let elsewhere = rights.and_then(|rights| rights.their_accession_number.text());
    let notice = rights_statement::notice(rights);
    let text = |local, value: Option<&str>| {
        let passed = value.and_then(|value| subject.guard.pass(value));
        passed.and_then(|value| Property::text(IPTC.name(local), value))
    };
    let words = |local, value: Option<&str>| {
        let passed = value.and_then(|value| subject.guard.pass(value));
        passed.and_then(|value| Property::alternatives(IPTC.name(local), value))
    };
    let fields = [
        words("AOTitle", Some(&words::object_title(subject))),
        Property::texts(IPTC.name("AOCreator"), ArrayKind::Seq, maker(subject)),
        words(
            "AOContributionDescription",
            contribution(subject).as_deref(),
        ),
        text(
            "AOCircaDateCreated",
            print.map(|date| date.edtf.in_words()).as_deref(),
        ),
        text("AODateCreated", print.and_then(plain_date)),
        words(
            "AOPhysicalDescription",
            physical_description(subject).as_deref(),
        ),
        text("AOSource", holder),
        text(
            "AOSourceInvNo",
            Some(elsewhere.unwrap_or(portrait.number.as_str())),
        ),
        text("AOCopyrightNotice", Some(&notice)),
    ];
    Value::Structure(fields.into_iter().flatten().collect())
}

/// Returns the maker as may be said in the open: who it is if proved, "probably" who if probable, else what is printed on it.
fn maker(subject: &Subject<'_>) -> Option<String> {
    let maker = &subject.portrait.maker;
    let concluded = maker
        .name
        .text()
        .and_then(|name| match maker.certainty.given() {
            Some(Certainty::Proved) => Some(name.to_owned()),
            Some(Certainty::Probable) => Some(format!("probably {name}")),
            _ => None,
        });
    concluded
        .or_else(|| maker.as_printed.text().map(str::to_owned))
        .filter(|name| subject.guard.names_nobody(name))
}

/// Returns the words about the maker for the description.
pub(super) fn maker_sentence(subject: &Subject<'_>) -> Option<String> {
    let printed = &subject.portrait.maker;
    let name = maker(subject)?;
    if Some(name.as_str()) != printed.as_printed.text() {
        return Some(format!("Maker: {name}"));
    }
    let place: Vec<&str> = [
        printed.address_as_printed.text(),
        printed.place_as_printed.text(),
    ]
    .into_iter()
    .flatten()
    .collect();
    let words = std::iter::once(name.as_str())
        .chain(place)
        .collect::<Vec<&str>>();
    Some(format!("Maker as printed: “{}”", words.join(", ")))
        .filter(|text| subject.guard.names_nobody(text))
}

fn contribution(subject: &Subject<'_>) -> Option<String> {
    let maker = &subject.portrait.maker;
    let role = maker.role.given().map(ToString::to_string);
    let place = maker
        .place_as_printed
        .text()
        .map(|place| format!("at {place} as printed"));
    let parts: Vec<String> = role.into_iter().chain(place).collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn medium(subject: &Subject<'_>) -> Option<String> {
    let portrait = subject.portrait;
    let media: Vec<String> = portrait
        .media
        .given()
        .into_iter()
        .flatten()
        .map(ToString::to_string)
        .collect();
    let media = media.join(" and ");
    let words = match (media.is_empty(), portrait.backing.text()) {
        (true, None) => return None,
        (true, Some(backing)) => format!("on {backing}"),
        (false, None) => media,
        (false, Some(backing)) => format!("{media} on {backing}"),
    };
    subject.guard.names_nobody(&words).then_some(words)
}

/// Height before width, metric first. [CCO 3]
fn extent(size: &Size) -> Option<String> {
    let (height, width) = size.in_millimetres()?;
    let measured = size
        .measured
        .given()
        .map_or_else(String::new, |what| format!(" ({what})"));
    Some(format!(
        "{:.1} × {:.1} cm, {:.1} × {:.1} in, height × width{measured}",
        height / 10.0,
        width / 10.0,
        height / 25.4,
        width / 25.4
    ))
}

fn physical_description(subject: &Subject<'_>) -> Option<String> {
    let kind = subject
        .portrait
        .kind
        .given()
        .map(|kind| format!("1 {kind}"));
    let parts: Vec<String> = [kind, medium(subject), extent(&subject.portrait.size)]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| parts.join("; "))
}

/// How the thing came, without price and without the giver's contact, which have no field here.
fn provenance(subject: &Subject<'_>) -> Option<String> {
    let lot = subject.collection.lot(subject.portrait.lot.given()?)?;
    let owners = (!lot.earlier_owners.is_empty())
        .then(|| format!("earlier owners: {}", lot.earlier_owners.join(", then ")));
    let mut came: Vec<String> = lot
        .how
        .given()
        .map(ToString::to_string)
        .into_iter()
        .collect();
    came.extend(lot.from.text().map(|from| format!("from {from}")));
    came.extend(lot.date.given().map(|date| date.edtf.in_words()));
    let came = (!came.is_empty()).then(|| came.join(", "));
    let parts: Vec<String> = owners.into_iter().chain(came).collect();
    let words = parts.join("; ");
    (!words.is_empty() && subject.guard.names_nobody(&words)).then_some(words)
}

/// Returns a date that XMP's date fields may hold: a year, a month or a day, without any doubt. [ISO 16684-1 8.2.1.2]
pub(super) fn plain_date(date: &DateEntry) -> Option<&str> {
    let text = date.edtf.as_str();
    let parts: Vec<&str> = text.split('-').collect();
    let lengths: Vec<usize> = parts.iter().map(|part| part.len()).collect();
    let is_shaped = matches!(lengths.as_slice(), [4] | [4, 2] | [4, 2, 2]);
    let is_numeric = parts
        .iter()
        .all(|part| part.bytes().all(|byte| byte.is_ascii_digit()));
    // EDTF writes seasons as months from 21 on. [LoC EDTF level 1]
    let is_month = parts.get(1).is_none_or(|month| *month <= "12");
    (is_shaped && is_numeric && is_month).then_some(text)
}
