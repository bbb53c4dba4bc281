//! The giver's worksheet: the questions that archives ask before they take a gift, with what the catalogue knows already. It is no
//! deed and no contract. [Society of American Archivists, "A Guide to Deeds of Gift"; CLIR Publication 159, "Born Digital" (2013)]

use super::Shipment;
use crate::format::paper::Paper;
use crate::record::Answer;
use crate::record::Collection;
use crate::record::Lot;
use crate::record::Mould;
use crate::record::ReceiverKind;
use crate::record::Register;
use crate::record::Rights;
use crate::record::caution;
use crate::record::caution::Act;
use crate::record::wording;
use std::collections::BTreeMap;

/// Returns the worksheet for a gift to an archive. `collection` is what the archive may see.
pub(super) fn worksheet(shipment: &Shipment<'_>) -> Paper {
    let mut paper = Paper::new("Worksheet for the giver");
    introduction(&mut paper);
    people(&mut paper, shipment);
    offer(&mut paper, shipment);
    custody(&mut paper, shipment.shown);
    rights(&mut paper, shipment.shown);
    limits(&mut paper, shipment.shown);
    afterwards(&mut paper, shipment.shown);
    for_the_archive(&mut paper);
    paper.text(format!(
        "This sheet transfers nothing and promises nothing. {}",
        caution::GENERAL
    ));
    paper
}

fn introduction(paper: &mut Paper) {
    for one in caution::all().iter().filter(|one| one.id == "L5") {
        paper.text(one.text);
    }
    paper.text("Below are the questions that archives usually ask. What the catalogue knows stands there already; please correct it by hand where it is wrong. A lawyer can tell you what you may give and what you keep.");
}

fn people(paper: &mut Paper, shipment: &Shipment<'_>) {
    let about = &shipment.shown.about;
    let archives: Vec<String> = shipment
        .whole
        .receivers
        .iter()
        .filter(|one| one.kind.given() == Some(&ReceiverKind::Archive))
        .filter_map(|one| one.name.text().map(str::to_owned))
        .collect();
    paper.heading("1. Who gives, who receives");
    paper.question("Who gives?", given(about.kept_by.text()), 1);
    paper.question("How can you be reached?", given(about.contact.text()), 1);
    paper.question("Which archive is asked?", archives, 1);
    paper.question("With whom there did you speak, and when?", Vec::new(), 1);
    paper.question(
        "Does anybody else own a part, or have a say (brothers and sisters, cousins, a society)? Do they agree?",
        Vec::new(),
        2,
    );
}

fn offer(paper: &mut Paper, shipment: &Shipment<'_>) {
    paper.heading("2. What is offered");
    paper.question(
        "What is it, in two sentences, and why does it belong in this archive?",
        given(shipment.shown.about.story.text()),
        2,
    );
    paper.fact("In the package", shipment.holds());
    paper.text("The things:");
    let record = Register::of(shipment.shown);
    for portrait in &shipment.shown.portraits {
        let kind = portrait.kind.given().map_or("thing", |kind| kind.word());
        let caption = wording::caption(&record, portrait);
        let shows = portrait.shows.text().map(|shows| format!(" ({shows})"));
        let shows = shows.unwrap_or_default();
        let mould = match portrait.mould.given() {
            None | Some(Mould::Absent) => "",
            Some(_) => " — MOULD: tell the archive before it comes into the house",
        };
        paper.point(format!(
            "{}: {kind}{shows}. {caption}{mould}",
            portrait.number
        ));
    }
    paper.question(
        "Are the things themselves given, or only the pictures of them?",
        Vec::new(),
        1,
    );
    paper.question("What has to stay together?", together(shipment.shown), 1);
    paper.text("What was done to the files: the scans lie untouched below data/originals. The copies below data/portraits have the same picture, bit for bit, and the record inside. data/log/events.json lists every step.");
}

fn together(collection: &Collection) -> Vec<String> {
    let ties = collection.portraits.iter().flat_map(|portrait| {
        portrait
            .belongs_with
            .iter()
            .map(move |tie| format!("{} and {}", portrait.number, tie.portrait))
    });
    ties.collect()
}

fn custody(paper: &mut Paper, collection: &Collection) {
    paper.heading("3. How you came to have it");
    if collection.lots.is_empty() {
        paper.question("How, from whom and when did it come to you?", Vec::new(), 2);
    }
    for lot in &collection.lots {
        paper.question(
            format!(
                "Lot {}: how, from whom and when did it come to you? Who had it before?",
                lot.number
            ),
            came(lot),
            1,
        );
        paper.question(
            "May you give it on? Was anything promised?",
            [lot.may_give_on.text(), lot.promises.text()]
                .into_iter()
                .flatten()
                .map(str::to_owned)
                .collect(),
            1,
        );
    }
    paper.question(
        "Do you have a bill, a letter or a will that shows it?",
        Vec::new(),
        1,
    );
}

fn came(lot: &Lot) -> Vec<String> {
    let how = lot.how.given().map(|how| how.word().to_owned());
    let from = lot.from.text().map(|from| format!("from: {from}"));
    let when = lot.date.given().map(|date| date.edtf.in_words());
    let before = (!lot.earlier_owners.is_empty())
        .then(|| format!("before, oldest first: {}", lot.earlier_owners.join("; ")));
    [how, from, when, before].into_iter().flatten().collect()
}

fn rights(paper: &mut Paper, collection: &Collection) {
    paper.heading("4. Copyright");
    paper.text("Owning a picture and owning its copyright are two things. The package has a worksheet about this: data/rights.txt.");
    paper.question(
        "Do you own the pictures?",
        by_item(collection, |one| answered(&one.giver_owns_picture)),
        1,
    );
    paper.question(
        "Do you own the copyright, in all or in some?",
        by_item(collection, |one| answered(&one.giver_owns_copyright)),
        1,
    );
    paper.question(
        "If you own copyright: do you keep it, share it or give it to the archive? For now or at your death?",
        Vec::new(),
        1,
    );
    paper.question(
        "What may the archive do: show, lend, copy, put on a website, allow others to print?",
        by_item(collection, |one| one.receiver_may.text().map(str::to_owned)),
        2,
    );
    paper.question(
        "How are you to be named beside the pictures?",
        by_item(collection, |one| one.credit_line.text().map(str::to_owned)),
        1,
    );
}

fn limits(paper: &mut Paper, collection: &Collection) {
    paper.heading("5. What is to stay closed for a time");
    paper.question(
        "Which things, until which day, and why? Who may see them before?",
        by_item(collection, |one| {
            let until = one.hold_until.given()?.edtf.in_words();
            let why = one
                .hold_reason
                .text()
                .map(|why| format!(", because: {why}"));
            Some(format!("until {until}{}", why.unwrap_or_default()))
        }),
        1,
    );
    paper.question(
        "Are living people shown or named? Were they asked, and what did they say?",
        Vec::new(),
        2,
    );
    paper.question(
        "Is anything in it that could hurt somebody (letters, illness, quarrels, addresses)?",
        Vec::new(),
        1,
    );
}

fn afterwards(paper: &mut Paper, collection: &Collection) {
    paper.heading("6. Afterwards");
    paper.question(
        "If the archive does not keep something: give it back, pass it on, or throw it away?",
        by_item(collection, |one| {
            one.if_not_wanted.given().map(|what| what.word().to_owned())
        }),
        1,
    );
    paper.question(
        "May the archive pick out single things, or all or nothing?",
        Vec::new(),
        1,
    );
    paper.question(
        "Is more to come? Will you give towards the cost of keeping it?",
        Vec::new(),
        1,
    );
    paper.question(
        "Who is to be asked when you cannot be?",
        given(collection.about.successor.text()),
        1,
    );
    for one in caution::cautions_before(Act::AskValue) {
        paper.text(one.text);
    }
}

fn for_the_archive(paper: &mut Paper) {
    paper.heading("For the archive to fill in");
    paper
        .blank("Accession number")
        .blank("Number of the deed of gift")
        .blank("Taken in by, on");
}

/// Answers of the Rights sheet, those that are the same told once: "C-01, C-02: yes".
fn by_item(collection: &Collection, answer: impl Fn(&Rights) -> Option<String>) -> Vec<String> {
    let mut same: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    for one in &collection.rights {
        if let Some(said) = answer(one) {
            let what = one.applies_to.text().unwrap_or("not said of what").trim();
            same.entry(said).or_default().push(what);
        }
    }
    same.into_iter()
        .map(|(said, things)| format!("{}: {said}", things.join(", ")))
        .collect()
}

fn answered(answer: &Answer<crate::record::YesNo>) -> Option<String> {
    match answer {
        Answer::Given(answer) => Some(answer.word().to_owned()),
        Answer::NotKnown => Some("not known".to_owned()),
        Answer::DoesNotApply | Answer::Blank => None,
    }
}

fn given(text: Option<&str>) -> Vec<String> {
    text.map(str::to_owned).into_iter().collect()
}
