//! Our own block: what no standard has a place for, and the whole record, so that a stray scan can rebuild its rows.

use super::Subject;
use crate::format::xmp::PacketContext;
use crate::format::xmp::PacketError;
use crate::format::xmp::value::ArrayKind;
use crate::format::xmp::value::Property;
use crate::format::xmp::value::Value;
use crate::format::xmp::value::is_xml;
use crate::format::xmp::vocabulary::KITHBAG;
use crate::format::xmp::vocabulary::own;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::Lookup;
use crate::record::RECORD_VERSION;
use crate::record::Sitter;
use crate::record::Transcription;
use crate::record::wording;

pub(super) fn properties(
    subject: &Subject<'_>,
    context: &PacketContext,
    record: &str,
) -> Vec<Property> {
    let portrait = subject.portrait;
    let claims: Vec<&Claim> = subject.collection.claims_about(&portrait.number).collect();
    let words = subject.collection.words_on(&portrait.number);
    let sitting = portrait
        .dates
        .sitting
        .given()
        .map(|date| date.edtf.as_str());
    let digest = context
        .picture_digest
        .as_ref()
        .map(|digest| format!("{}:{}", digest.algorithm(), digest.hex()));
    let text = |name, value: Option<&str>| value.and_then(|value| Property::text(name, value));
    [
        Property::text(own::RECORD_VERSION, &RECORD_VERSION.to_string()),
        text(own::CERTAINTY, Some(surest(&claims))),
        Property::texts(own::BASIS, ArrayKind::Seq, basis(subject, &claims)),
        Property::values(
            own::CANDIDATES,
            ArrayKind::Bag,
            claims.iter().filter_map(|claim| candidate(subject, claim)),
        ),
        Property::values(
            own::INSCRIPTIONS,
            ArrayKind::Seq,
            words.filter_map(inscription),
        ),
        text(own::MAKER_NUMBER, portrait.maker.number.text()),
        text(
            own::SCAN_ROLE,
            subject.scan.view.given().map(|view| view.word()),
        ),
        text(own::SITTING_DATE, sitting),
        text(own::PICTURE_DIGEST, digest.as_deref()),
        text(
            own::SOURCE_SHA256,
            context.source_sha256.as_ref().map(|one| one.hex()),
        ),
        text(own::UNDO, context.undo.as_deref()),
        text(own::WRITTEN_BY, Some(&context.tool)),
        Property::text(own::RECORD, record),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Returns the record as JSON in which every character is one that XML can hold: the others are written as `\uXXXX`, which JSON
/// reads back as the same text. [RFC 8259 7]
///
/// # Errors
/// It cannot be written as JSON.
pub(super) fn json(excerpt: &Collection) -> Result<String, PacketError> {
    let plain = serde_json::to_string(excerpt).map_err(|error| PacketError::Record {
        why: error.to_string(),
    })?;
    // JSON's own signs are ASCII, so these characters can only stand within texts.
    let mut out = String::with_capacity(plain.len());
    for one in plain.chars() {
        if is_xml(one) && !one.is_control() {
            out.push(one);
        } else {
            out.push_str(&format!("\\u{:04x}", u32::from(one)));
        }
    }
    Ok(out)
}

fn surest(claims: &[&Claim]) -> &'static str {
    let held = claims.iter().filter(|claim| !claim.is_withdrawn());
    let surest: Option<&Certainty> = held.filter_map(|claim| claim.certainty.given()).min();
    wording::certainty_word(&Answer::from(surest.copied()))
}

/// Reasons for what is said in the open: the proved and probable claims, the maker, the dates.
fn basis(subject: &Subject<'_>, claims: &[&Claim]) -> Vec<String> {
    let certain = |claim: &&&Claim| {
        !claim.is_withdrawn()
            && matches!(
                claim.certainty.given(),
                Some(Certainty::Proved | Certainty::Probable)
            )
    };
    let reasons = claims.iter().filter(certain).flat_map(|claim| {
        claim
            .reasons_for
            .iter()
            .map(|reason| format!("sitter: {reason}"))
    });
    let maker = subject
        .portrait
        .maker
        .basis
        .text()
        .map(|why| format!("maker: {why}"));
    let dates = subject
        .portrait
        .dates
        .basis
        .text()
        .map(|why| format!("dates: {why}"));
    reasons.chain(maker).chain(dates).collect()
}

/// One person whom the portrait might show, with reasons on both sides beside the name.
fn candidate(subject: &Subject<'_>, claim: &Claim) -> Option<Value> {
    let person = subject.collection.claimed(claim);
    let name = match &claim.sitter {
        Sitter::NotSaid => return None,
        Sitter::Unnamed(words) => words.as_str(),
        Sitter::Person(number) => person
            .and_then(|person| person.name.text())
            .unwrap_or(number.as_str()),
    };
    let text = |local, value: Option<&str>| {
        value.and_then(|value| Property::text(KITHBAG.name(local), value))
    };
    let texts =
        |local, values: &[String]| Property::texts(KITHBAG.name(local), ArrayKind::Seq, values);
    let born = person
        .and_then(|person| person.born.given())
        .map(|date| date.edtf.as_str());
    let died = person
        .and_then(|person| person.died.given())
        .map(|date| date.edtf.as_str());
    let fields = [
        text("name", Some(name)),
        text("certainty", Some(wording::certainty_word(&claim.certainty))),
        text("birthEDTF", born),
        text("deathEDTF", died),
        text("face", claim.face.text()),
        texts("reasonsFor", &claim.reasons_for),
        texts("reasonsAgainst", &claim.reasons_against),
        texts("rivals", &claim.rivals),
        text(
            "standing",
            Some(if claim.is_withdrawn() {
                "withdrawn"
            } else {
                "held"
            }),
        ),
    ];
    Some(Value::Structure(fields.into_iter().flatten().collect()))
}

/// Words found, exactly as written.
fn inscription(words: &Transcription) -> Option<Value> {
    let text = |local, value: Option<&str>| {
        value.and_then(|value| Property::text(KITHBAG.name(local), value))
    };
    let fields = [
        Some(text("text", words.text.text())?),
        text("side", words.side.given().map(|side| side.word())),
        text("position", words.position.text()),
        text("writtenIn", words.written_in.given().map(|one| one.word())),
        text("hand", words.hand.text()),
    ];
    Some(Value::Structure(fields.into_iter().flatten().collect()))
}
