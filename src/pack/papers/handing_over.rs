//! The papers that go with a package: the receipt that the receiver signs and sends back, and a short letter to a descendant.

use super::Shipment;
use crate::counting::counted;
use crate::fixity::Algorithm;
use crate::format::paper::Paper;
use crate::record::Collection;
use crate::record::PortraitKind;
use crate::record::YesNo;
use crate::record::caution;
use crate::record::caution::Act;
use std::collections::BTreeSet;

/// What stands where the sender has to write.
const NAME: &str = "[your name]";

/// Returns the receipt for the receiver: what came, how to check it, room to say so.
pub(super) fn transfer_receipt(shipment: &Shipment<'_>) -> Paper {
    let mut paper = Paper::new("Receipt for the receiver");
    paper.text("Please keep one copy of this sheet and send the other one back, so that the sender knows that everything came. It says what arrived and no more: it gives away no property, no copyright and no permission.");
    paper.heading("What was sent");
    paper.fact("Package", shipment.name);
    if let Some(edition) = shipment.shown.editions.last() {
        paper.fact("Edition", edition.number.to_string());
    }
    paper.fact("Made on", shipment.made_on);
    paper.fact("Holds", shipment.holds());
    paper.known("Sent by", shipment.shown.about.kept_by.text());
    paper.heading("Is it whole?");
    paper.text("These are the checksums of the lists of files. If they are the same at your end, the lists are the ones that were sent, and the lists vouch for every file. START-HERE.html says how to check, in a few words for every system.");
    let seals = shipment.seals.iter();
    for (file, digest) in seals.filter(|(_, one)| one.algorithm() == Algorithm::Sha256) {
        paper.fact(format!("{file} (SHA-256)"), digest.in_groups());
    }
    paper.heading("For the receiver to fill in");
    paper
        .blank("Received by")
        .blank("Received on")
        .blank("Checked (yes or no; how)")
        .blank("Kept at")
        .blank("Your own number for it")
        .blank("What was missing or damaged")
        .blank("Name, by your own hand, and date");
    paper
}

/// Returns the letter to a descendant, under a note for the sender. It names no sitter, no address, no price and nobody living but the
/// sender.
pub(super) fn letter(shipment: &Shipment<'_>) -> Paper {
    let mut paper = Paper::new("A letter that can go with the package");
    for one in caution::cautions_before(Act::WriteToHeir) {
        paper.text(format!("For the sender: {}", one.text));
    }
    paper.text("Change what does not fit, fill in what stands in square brackets, and cut off everything above the line.");
    paper.cut();
    let about = &shipment.shown.about;
    let sender = about.kept_by.text().unwrap_or(NAME);
    paper.text("[Place and date]");
    paper.text("Dear [name],");
    paper.text(format!("my name is {sender}. I look after some old portraits, and I believe that they may have to do with your family. {}", what_i_have(shipment.shown)));
    paper.text(how_they_came(shipment.shown));
    paper.text("With this letter comes a package of pictures of them. Open START-HERE.html in it by double click: it shows every portrait, front and back, the words on it, and what is known. Where a name is not certain, it says so; please pass the words “probably” and “unidentified” on together with the picture.");
    paper.text("The package costs nothing and you need not do anything for it. I ask you for nothing: no money, no papers, nothing about your family and above all nothing about people who are living. If you see a mistake, or know more and would like to tell it, I shall be glad to hear it. If you would rather not be written to, leave this letter unanswered or just say no, and I shall not write again.");
    paper.text("You may wonder whether this letter is what it says. Please ask [the library, society or archive that knows you, with the address that stands in the telephone book].");
    paper.text(format!("With kind regards, {sender}"));
    paper.text(reached(shipment.shown));
    paper
}

fn what_i_have(collection: &Collection) -> String {
    let kinds: BTreeSet<&str> = collection
        .portraits
        .iter()
        .filter_map(|portrait| portrait.kind.given().copied())
        .filter(|kind| *kind != PortraitKind::Other)
        .map(PortraitKind::word)
        .collect();
    let kinds: Vec<&str> = kinds.into_iter().collect();
    let number = u64::try_from(collection.portraits.len()).unwrap_or(u64::MAX);
    let number = counted(number, "of them", "of them");
    if kinds.is_empty() {
        format!("There are {number}.")
    } else {
        format!("There are {number}; of these kinds: {}.", kinds.join(", "))
    }
}

/// How they came, without from whom and for how much.
fn how_they_came(collection: &Collection) -> String {
    let ways: Vec<String> = collection
        .lots
        .iter()
        .filter_map(|lot| {
            let how = lot.how.given()?.word();
            let when = lot.date.given().map(|date| date.edtf.in_words());
            Some(when.map_or_else(|| how.to_owned(), |when| format!("{how}, {when}")))
        })
        .collect();
    if ways.is_empty() {
        "How they came to me: [say it in one sentence].".to_owned()
    } else {
        format!("How they came to me: {}.", ways.join("; "))
    }
}

fn reached(collection: &Collection) -> String {
    let about = &collection.about;
    let shown = about.contact_may_be_shown.given() == Some(&YesNo::Yes);
    match about.contact.text().filter(|_| shown) {
        Some(contact) => contact.to_owned(),
        None => "[how you can be reached]".to_owned(),
    }
}
