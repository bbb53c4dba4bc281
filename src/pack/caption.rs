//! What stands under a captioned copy, from the record as its audience may see it.

use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::viewing::Caption;
use crate::format::viewing::can_be_lettered;
use crate::inscribe::InscribedFile;
use crate::record::Portrait;
use crate::record::PortraitKind;
use crate::record::Register;
use crate::record::View;
use crate::record::wording;

/// What a caption says of a picture that is not the portrait as it was found.
const ALTERED: &str = "altered, not evidence";

/// Returns the caption of a described copy, if it shows the portrait's face side: that is what people send each other. Backs and
/// labels carry words of their own.
pub(super) fn caption_for(
    record: &Register<'_>,
    file: &InscribedFile,
    concerns: &mut ConcernList,
) -> Option<Caption> {
    let portrait = record.portrait(file.portrait.as_str())?;
    let scan = record.scan(&file.scan);
    let altered =
        file.view == Some(View::AlteredCopy) || scan.is_some_and(|scan| scan.is_altered());
    if !(altered || shows_the_sitter(file.view)) {
        return None;
    }
    let who = who(record, portrait);
    let caption = if can_be_lettered(&who) {
        Caption {
            who,
            facts: facts(portrait, file, true),
            warning: None,
        }
    } else {
        concerns.warning(
            "caption-without-name",
            Place::file(file.scan.clone()).of_portrait(&file.portrait),
            "The name is written in letters that the font for captions does not have, so the captioned copy shows only the number.",
            "Nothing is lost: record, page and described copy hold the name. To have it under the picture too, write it in Latin, Greek or Cyrillic letters beside the other.",
        );
        Caption {
            who: number(portrait, file),
            facts: facts(portrait, file, false),
            warning: None,
        }
    };
    Some(Caption {
        warning: altered.then(|| ALTERED.to_owned()),
        ..caption
    })
}

const fn shows_the_sitter(view: Option<View>) -> bool {
    match view {
        None | Some(View::Front | View::FrameFront | View::Detail | View::AlteredCopy) => true,
        Some(View::Back | View::FrameBack | View::Label | View::Edge) => false,
    }
}

fn who(record: &Register<'_>, portrait: &Portrait) -> String {
    if portrait.kind.given() == Some(&PortraitKind::Paper) {
        return "Paper that came with the portraits".to_owned();
    }
    wording::naming(record, portrait).words()
}

/// Returns the object's number, or, where the font lacks its letters, the name of its files, which is plain everywhere.
fn number(portrait: &Portrait, file: &InscribedFile) -> String {
    let number = format!("no. {}", portrait.number);
    if can_be_lettered(&number) {
        number
    } else {
        file.name.clone()
    }
}

fn facts(portrait: &Portrait, file: &InscribedFile, with_number: bool) -> String {
    let number = with_number.then(|| number(portrait, file));
    let view = file.view.map(|view| view.word().to_owned());
    let parts: Vec<String> = [wording::shown_date(portrait), number, view]
        .into_iter()
        .flatten()
        .collect();
    parts.join(" · ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::Answer;
    use crate::record::Audience;
    use crate::record::Certainty;
    use crate::record::Claim;
    use crate::record::Collection;
    use crate::record::DateEntry;
    use crate::record::Living;
    use crate::record::Person;
    use crate::record::Sitter;
    use crate::record::audience;

    fn text(words: &str) -> Answer<String> {
        Answer::Given(words.to_owned())
    }

    fn collection(name: &str, certainty: Certainty) -> Collection {
        let mut portrait = Portrait {
            number: "A-001".into(),
            shows: text("woman at a table"),
            ..Portrait::default()
        };
        portrait.dates.print = DateEntry::read("1890/1905").map_or(Answer::Blank, Answer::Given);
        Collection {
            portraits: vec![portrait],
            people: vec![Person {
                number: "P1".into(),
                name: text(name),
                ..Person::default()
            }],
            claims: vec![Claim {
                portrait: "A-001".into(),
                sitter: Sitter::Person("P1".into()),
                certainty: Answer::Given(certainty),
                ..Claim::default()
            }],
            ..Collection::default()
        }
    }

    fn file(view: View) -> InscribedFile {
        InscribedFile {
            scan: "one.jpg".to_owned(),
            portrait: "A-001".into(),
            view: Some(view),
            name: "A-001-front".to_owned(),
            path: "data/portraits/A-001/A-001-front.jpg".to_owned(),
            bytes: 1,
            source_sha256: crate::fixity::Digest::of(crate::fixity::Algorithm::Sha256, b""),
            digests: Vec::new(),
            picture_digest: None,
            removed: Vec::new(),
            sidecar: false,
            conflicts: Vec::new(),
        }
    }

    fn words(collection: &Collection, view: View) -> Option<Caption> {
        let record = Register::of(collection);
        caption_for(&record, &file(view), &mut ConcernList::default())
    }

    #[test]
    fn a_name_stands_alone_only_when_it_is_proved() {
        let who = |certainty| {
            let caption = words(&collection("Cora Lunt", certainty), View::Front);
            caption.expect("a caption").who
        };
        assert_eq!(who(Certainty::Proved), "Cora Lunt");
        assert_eq!(who(Certainty::Probable), "Probably Cora Lunt");
        for less in [
            Certainty::Possible,
            Certainty::Suggested,
            Certainty::Doubtful,
            Certainty::RuledOut,
        ] {
            assert_eq!(who(less), "Unidentified woman");
        }
    }

    #[test]
    fn date_number_and_view_stand_below() {
        let caption = words(&collection("Cora Lunt", Certainty::Proved), View::Front);
        let facts = caption.expect("a caption").facts;
        assert_eq!(facts, "from 1890 to 1905 · no. A-001 · front");
    }

    #[test]
    fn an_altered_copy_says_so_and_a_back_has_no_caption() {
        let collection = collection("Cora Lunt", Certainty::Proved);
        let warning = |view| words(&collection, view).map(|one| one.warning);
        assert_eq!(warning(View::AlteredCopy), Some(Some(ALTERED.to_owned())));
        assert_eq!(warning(View::Front), Some(None));
        assert_eq!(warning(View::Back), None);
    }

    #[test]
    fn other_letters_leave_the_number_and_a_concern() {
        let mut concerns = ConcernList::default();
        let collection = collection("山田花子", Certainty::Proved);
        let record = Register::of(&collection);
        let caption = caption_for(&record, &file(View::Front), &mut concerns);
        let caption = caption.expect("a caption");
        assert_eq!(caption.who, "no. A-001");
        assert_eq!(caption.facts, "from 1890 to 1905 · front");
        let noticed = concerns.worst_first();
        assert_eq!(noticed.len(), 1);
        assert_eq!(noticed[0].code, "caption-without-name");
    }

    #[test]
    fn a_withheld_name_is_in_no_caption() {
        let mut collection = collection("Cora Lunt", Certainty::Proved);
        collection.people[0].living = Answer::Given(Living::Yes);
        let filtered = audience::for_audience(&collection, Audience::Public, "2026-11-25");
        let caption = words(&filtered.collection, View::Front);
        assert!(!format!("{caption:?}").contains("Cora"), "{caption:?}");
        assert!(caption.is_none_or(|one| one.who.starts_with("Unidentified")));
    }
}
