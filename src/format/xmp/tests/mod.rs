//! What the tests of packets share: one small record, one context, one way to look at a packet.

mod merging;
mod readers;
mod record;

use super::*;
use crate::fixity::Algorithm;
use crate::record::Answer;
use crate::record::Certainty;
use crate::record::Claim;
use crate::record::Collection;
use crate::record::DateEntry;
use crate::record::Medium;
use crate::record::Person;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Scan;
use crate::record::Side;
use crate::record::Sitter;
use crate::record::Transcription;
use crate::record::View;
use std::collections::BTreeSet;

fn given(text: &str) -> Answer<String> {
    Answer::Given(text.to_owned())
}

fn person(number: &str, name: &str) -> Person {
    Person {
        number: number.into(),
        name: given(name),
        ..Person::default()
    }
}

fn claim(number: &str, certainty: Certainty) -> Claim {
    Claim {
        portrait: "A-001".into(),
        sitter: Sitter::Person(number.into()),
        certainty: Answer::Given(certainty),
        reasons_for: vec!["named on the back".to_owned()],
        ..Claim::default()
    }
}

fn date(text: &str) -> Answer<DateEntry> {
    Answer::Given(DateEntry::read(text).unwrap())
}

/// One portrait with one sitter of this certainty, one front scan, words on the back.
fn excerpt(name: &str, certainty: Certainty) -> Collection {
    let mut portrait = Portrait {
        number: "A-001".into(),
        kind: Answer::Given(PortraitKind::LargeCrayon),
        shows: given("woman in a dark dress"),
        media: Answer::Given(vec![Medium::Photograph, Medium::Charcoal]),
        ..Portrait::default()
    };
    portrait.maker.as_printed = given("Trevanick & Sons <Art> \"Co.\"");
    portrait.maker.number = given("No. 4417");
    portrait.dates.sitting = date("1884-05");
    let mut scan = Scan {
        file: "scans/A-001-front.jpg".to_owned(),
        portrait: Answer::Given("A-001".into()),
        view: Answer::Given(View::Front),
        made_on: date("2026-03-02"),
        ..Scan::default()
    };
    scan.facts.width = Some(4000);
    scan.facts.height = Some(6000);
    let mut claim = claim("P-1", certainty);
    claim.face_region = given("0.25, 0.1, 0.5, 0.6");
    Collection {
        record_version: 1,
        portraits: vec![portrait],
        scans: vec![scan],
        words: vec![Transcription {
            portrait: "A-001".into(),
            side: Answer::Given(Side::Back),
            text: given("4417\nfinish by Xmas"),
            ..Transcription::default()
        }],
        people: vec![person("P-1", name)],
        claims: vec![claim],
        ..Collection::default()
    }
}

fn context() -> PacketContext {
    PacketContext {
        picture_digest: Some(Digest::of(Algorithm::Sha256, b"picture")),
        source_sha256: Some(Digest::of(Algorithm::Sha256, b"source")),
        undo: Some("{\"cut\":[[20,4000]]}".to_owned()),
        tool: "kithbag 0.1.0".to_owned(),
        media_type: Some("image/jpeg".to_owned()),
        ..PacketContext::default()
    }
}

fn written(existing: Option<&str>, excerpt: &Collection) -> Written {
    write(existing, excerpt, &context()).unwrap()
}

fn read_back(packet: &str) -> Embedded {
    read(&screen(packet.as_bytes()).unwrap()).unwrap()
}

/// Every single text outside our own namespace, by path.
fn foreign_leaves(packet: &str) -> BTreeSet<(String, String)> {
    texts_of_others(packet).unwrap().into_iter().collect()
}

fn packet_of(inside: &str) -> String {
    format!(
        "<x:xmpmeta xmlns:x=\"adobe:ns:meta/\" x:xmptk=\"other\">\n <rdf:RDF \
         xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n  {inside}\n </rdf:RDF>\n</x:xmpmeta>"
    )
}
