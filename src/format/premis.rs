//! The event log in the terms of PREMIS 3: event types and outcomes by the published lists.

use crate::record::Event;
use serde::Serialize;
use serde::Serializer;
use serde_json::Value;
use serde_json::json;

/// Event types of the Library of Congress's list. [PREMIS 3, eventType]
const EVENT_TYPE: &str = "http://id.loc.gov/vocabulary/preservation/eventType/";

/// Outcomes of the same service. [PREMIS 3, eventOutcome]
const EVENT_OUTCOME: &str = "http://id.loc.gov/vocabulary/preservation/eventOutcome/";

/// Returns the address of an event type.
#[must_use]
pub fn event_type(event: &Event) -> Option<String> {
    event
        .kind
        .map(|kind| format!("{EVENT_TYPE}{}", kind.word()))
}

/// Writes the log. Events stand in the order given and are numbered from 1; times are days, since the hour is nobody's business and
/// the same input must give the same bytes.
///
/// # Errors
/// Gives an error only when the JSON cannot be written, which would be a fault of kithbag's own.
pub fn write(events: &[Event]) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(&Document {
        about: "What was done to each file of this package, in the terms of PREMIS 3 (https://www.loc.gov/standards/premis/).",
        events: Numbered(events),
    })?;
    text.push('\n');
    Ok(text)
}

#[derive(Serialize)]
struct Document<'a> {
    about: &'static str,
    events: Numbered<'a>,
}

/// Events that are made and written one by one: all of them at once would take some five kilobytes each.
struct Numbered<'a>(&'a [Event]);

impl Serialize for Numbered<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let numbered = self.0.iter().zip(1_u32..);
        serializer.collect_seq(numbered.map(|(event, number)| one(event, number)))
    }
}

fn one(event: &Event, number: u32) -> Value {
    let mut value = json!({
        "eventIdentifier": { "eventIdentifierType": "number in this log", "eventIdentifierValue": number.to_string() },
        "eventType": event_type(event),
        "eventDateTime": event.on,
        "eventDetail": event.detail,
        "eventOutcome": format!("{EVENT_OUTCOME}{}", if event.succeeded { "suc" } else { "fai" }),
        "linkingAgentIdentifier": [{ "linkingAgentIdentifierType": "program and version", "linkingAgentIdentifierValue": event.by }],
        "linkingObjectIdentifier": event.files.iter()
            .map(|file| json!({ "linkingObjectIdentifierType": "path in this package", "linkingObjectIdentifierValue": file }))
            .collect::<Vec<Value>>(),
    });
    let digests = [
        ("sha256Before", &event.sha256_before),
        ("sha256After", &event.sha256_after),
        ("pictureDigest", &event.picture_digest),
    ];
    for (name, digest) in digests {
        if let (Some(hex), Value::Object(fields)) = (digest, &mut value) {
            fields.insert(name.to_owned(), Value::String(hex.clone()));
        }
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::EventKind;

    /// Codes and addresses as in the published list of preservation event types.
    #[test]
    fn event_types_are_those_of_the_published_list() {
        let published = [
            "ima", "ing", "cre", "rep", "fil", "mem", "red", "mig", "mes", "fix", "for", "pac",
            "val",
        ];
        for kind in EventKind::ALL {
            assert!(published.contains(&kind.word()), "{kind}");
        }
        let event = Event {
            kind: Some(EventKind::FixityCheck),
            on: "2026-11-25".to_owned(),
            succeeded: true,
            ..Event::default()
        };
        let text = write(&[event]).unwrap();
        assert!(text.contains("http://id.loc.gov/vocabulary/preservation/eventType/fix"));
        assert!(text.contains("http://id.loc.gov/vocabulary/preservation/eventOutcome/suc"));
    }
}
