//! The file itself: rights, credit, how it was scanned, and its identifiers.

use super::Subject;
use super::object;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::xmp::Capture;
use crate::format::xmp::PacketContext;
use crate::format::xmp::value::ArrayKind;
use crate::format::xmp::value::Property;
use crate::format::xmp::value::Value;
use crate::format::xmp::vocabulary::DC;
use crate::format::xmp::vocabulary::IPTC;
use crate::format::xmp::vocabulary::MANAGEMENT;
use crate::format::xmp::vocabulary::Name;
use crate::format::xmp::vocabulary::PHOTOSHOP;
use crate::format::xmp::vocabulary::REFERENCE;
use crate::format::xmp::vocabulary::RIGHTS;
use crate::format::xmp::vocabulary::XMP;
use crate::record::PortraitKind;
use crate::record::rights_statement;

/// IPTC's list of how pictures come to be. [IPTC `NewsCodes`, digitalsourcetype]
const SOURCE_TYPES: &str = "http://cv.iptc.org/newscodes/digitalsourcetype/";

pub(super) fn properties(
    subject: &Subject<'_>,
    context: &PacketContext,
    record: &str,
) -> Vec<Property> {
    let mut properties = rights(subject);
    let about = &subject.collection.about;
    let scanned = subject.scan.made_on.given().and_then(object::plain_date);
    let source_type =
        source_type(subject, context.capture).map(|term| format!("{SOURCE_TYPES}{term}"));
    let open = |name, value: Option<&str>| {
        let passed = value.and_then(|value| subject.guard.pass(value));
        passed.and_then(|value| Property::text(name, value))
    };
    properties.extend(
        [
            open(DC.name("format"), context.media_type.as_deref()),
            open(PHOTOSHOP.name("CaptionWriter"), about.kept_by.text()),
            open(XMP.name("CreateDate"), scanned),
            open(IPTC.name("DigitalSourceType"), source_type.as_deref()),
            contributor(subject),
        ]
        .into_iter()
        .flatten(),
    );
    properties.extend(identifiers(context, record));
    properties
}

/// The default is "copyright not evaluated": nobody has looked, and the file says so.
fn rights(subject: &Subject<'_>) -> Vec<Property> {
    let rights = rights_statement::rights_of(subject.collection, subject.portrait);
    let marked =
        rights_statement::is_in_copyright(rights).map(|yes| if yes { "True" } else { "False" });
    let address = rights_statement::address(rights);
    let open = |name, value: Option<&str>| {
        let passed = value.and_then(|value| subject.guard.pass(value));
        passed.and_then(|value| Property::text(name, value))
    };
    let words = |name, value: Option<&str>| {
        let passed = value.and_then(|value| subject.guard.pass(value));
        passed.and_then(|value| Property::alternatives(name, value))
    };
    [
        words(DC.name("rights"), Some(&rights_statement::notice(rights))),
        open(RIGHTS.name("WebStatement"), address.as_deref()),
        open(RIGHTS.name("Marked"), marked),
        words(
            RIGHTS.name("UsageTerms"),
            rights.and_then(|rights| rights.receiver_may.text()),
        ),
        open(
            PHOTOSHOP.name("Credit"),
            rights.and_then(|rights| rights.credit_line.text()),
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Says only what is known. A picture changed by a program is told from one changed by hand by the person's own words.
fn source_type(subject: &Subject<'_>, capture: Capture) -> Option<&'static str> {
    if subject.scan.is_altered() {
        let how = subject
            .scan
            .altered_how
            .text()
            .unwrap_or_default()
            .to_lowercase();
        let words: Vec<&str> = how.split(|one: char| !one.is_alphanumeric()).collect();
        let by_program = words.contains(&"ai")
            || ["enhanc", "upscal", "generat", "neural", "app"]
                .iter()
                .any(|part| words.iter().any(|word| word.starts_with(part)));
        return Some(if by_program {
            "algorithmicallyEnhanced"
        } else {
            "humanEdits"
        });
    }
    match capture {
        Capture::Print => return Some("print"),
        Capture::Negative => return Some("negativeFilm"),
        Capture::Camera => return Some("digitalCapture"),
        Capture::Unknown => {}
    }
    let with = subject
        .scan
        .made_with
        .text()
        .unwrap_or_default()
        .to_lowercase();
    if with.contains("scan") || with.contains("flatbed") {
        let is_negative = subject.portrait.kind.given() == Some(&PortraitKind::Negative);
        return Some(if is_negative { "negativeFilm" } else { "print" });
    }
    let by_camera = ["phone", "camera", "dslr"]
        .iter()
        .any(|word| with.contains(word));
    by_camera.then_some("digitalCapture")
}

/// Who scanned or photographed the thing; the maker of the picture is the maker of the original.
fn contributor(subject: &Subject<'_>) -> Option<Property> {
    let name = subject
        .scan
        .made_by
        .text()
        .and_then(|name| subject.guard.pass(name))?;
    let name = Property::alternatives(IPTC.name("Name"), name)?;
    let role = Property::texts(IPTC.name("Role"), ArrayKind::Bag, ["made the scan"]);
    let entity = Value::Structure(std::iter::once(name).chain(role).collect());
    Property::values(IPTC.name("Contributor"), ArrayKind::Bag, [entity])
}

/// Identifiers come from digests, so that the same input gives the same packet: the document is its picture, the original
/// is its bytes, the instance is both with what is said here. [ISO 16684-1 8.6]
fn identifiers(context: &PacketContext, record: &str) -> Vec<Property> {
    let document = context
        .picture_digest
        .as_ref()
        .map(|one| uuid("document", one.hex()));
    let original = context
        .source_sha256
        .as_ref()
        .map(|one| uuid("original", one.hex()));
    let instance = context.source_sha256.as_ref().map(|one| {
        uuid(
            "instance",
            &format!("{} {} {record}", one.hex(), context.tool),
        )
    });
    let text = |name: Name, value: &Option<String>| {
        value.as_ref().and_then(|value| Property::text(name, value))
    };
    let derived = original.as_ref().map(|original| {
        let fields = ["documentID", "originalDocumentID"]
            .into_iter()
            .filter_map(|local| Property::text(REFERENCE.name(local), original));
        Property::new(
            MANAGEMENT.name("DerivedFrom"),
            Value::Structure(fields.collect()),
        )
    });
    [
        text(MANAGEMENT.name("DocumentID"), &document),
        text(MANAGEMENT.name("InstanceID"), &instance),
        text(MANAGEMENT.name("OriginalDocumentID"), &original),
        derived,
        text(IPTC.name("DigImageGUID"), &document),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Makes a UUID of version 8 from a SHA-256: its first 128 bits, six of them replaced by version and variant. [RFC 9562 5.8]
fn uuid(purpose: &str, text: &str) -> String {
    let digest = Digest::of(Algorithm::Sha256, format!("{purpose} {text}").as_bytes());
    let mut out = String::from("urn:uuid:");
    for (position, digit) in digest.hex().chars().take(32).enumerate() {
        if matches!(position, 8 | 12 | 16 | 20) {
            out.push('-');
        }
        out.push(match (position, digit) {
            (12, _) => '8',
            (16, '0' | '4' | '8' | 'c') => '8',
            (16, '1' | '5' | '9' | 'd') => '9',
            (16, '2' | '6' | 'a' | 'e') => 'a',
            (16, _) => 'b',
            (_, digit) => digit,
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_are_well_formed_and_always_the_same() {
        let one = uuid("document", "abc");
        assert_eq!(one, uuid("document", "abc"));
        assert_ne!(one, uuid("original", "abc"));
        assert_eq!(one.len(), "urn:uuid:".len() + 36);
        let digits: Vec<char> = one.trim_start_matches("urn:uuid:").chars().collect();
        assert_eq!(digits[14], '8');
        assert!("89ab".contains(digits[19]));
        assert!([8, 13, 18, 23].iter().all(|place| digits[*place] == '-'));
    }
}
