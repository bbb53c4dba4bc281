//! START-HERE.txt: the same in plain text, for computers on which nothing else opens.

use super::FindingAid;
use super::closing::COMMANDS;
use super::closing::LOOKING_IS_SAFE;
use super::closing::other_files_of;
use super::closing::sentence_case;
use super::heading;
use super::labels::LABELS_FILE;
use super::shell::printable;
use super::size_in_words;
use super::who;
use crate::record::Answer;
use crate::record::Claim;
use crate::record::DateEntry;
use crate::record::Portrait;
use crate::record::caution;
use crate::record::wording;
use unicode_normalization::UnicodeNormalization;

/// The widest line, in characters.
const WIDTH: usize = 76;

/// Returns START-HERE.txt: UTF-8 with a byte order mark and CRLF line ends, which the oldest Windows editors read too.
#[must_use]
pub fn start_here_text(aid: &FindingAid<'_>) -> String {
    let mut page = Page::new();
    opening(&mut page, aid);
    if aid.can_be_checked() {
        checking(&mut page, aid);
    }
    page.heading("THE PORTRAITS");
    for portrait in &aid.collection().portraits {
        one_portrait(&mut page, aid, portrait);
    }
    ending(&mut page, aid);
    page.text
}

fn opening(page: &mut Page, aid: &FindingAid<'_>) {
    let about = &aid.collection().about;
    page.line(aid.title());
    page.line(&"=".repeat(aid.title().chars().count().clamp(1, WIDTH)));
    page.blank();
    if let Some(story) = about.story.text() {
        page.text("", story);
        page.blank();
    }
    if !aid.parts.is_empty() {
        aid.parts.iter().for_each(|line| page.text("", line));
        page.blank();
    }
    page.text("", "This folder holds scans of old portraits together with everything that is known and believed about them. START-HERE.html shows the same with the pictures: open it by double click. Nothing here needs a special program or the internet. If this folder came as a zip file, unpack it first.");
    page.blank();
    page.text("Made on: ", &aid.made_on_in_words());
    page.answer("Kept by: ", &about.kept_by);
    page.answer("To reach them: ", &about.contact);
    page.text("Holds: ", &aid.holds());
    if aid.can_be_checked() {
        page.text("Seal: ", &aid.seal.in_groups());
        page.text("", "(SHA-256 of manifest-sha256.txt; it should be the same on the paper that came with this folder, and on every copy.)");
    }
    page.blank();
    page.text("", LOOKING_IS_SAFE);
}

fn checking(page: &mut Page, aid: &FindingAid<'_>) {
    page.heading("IS EVERYTHING STILL HERE, AND UNCHANGED?");
    page.text("", "START-HERE.html can check this folder by itself. Or use what is already on every computer:");
    for (system, how, command) in COMMANDS {
        page.blank();
        page.text("", &format!("{system}. {how}"));
        page.line(&format!("    {command}"));
    }
    page.blank();
    page.text("", "The same commands with tagmanifest-sha256.txt check the other files. The checksum of manifest-sha256.txt must be the seal:");
    page.line(&format!("    {}", aid.seal.hex()));
    page.blank();
    page.text("", "A check finds damage, loss and change. It cannot find out who made the folder; only a seal that is kept elsewhere shows that.");
}

fn one_portrait(page: &mut Page, aid: &FindingAid<'_>, portrait: &Portrait) {
    let title = format!("{}  {}", portrait.number, heading(aid, portrait));
    page.blank();
    page.line(&title);
    page.line(&"-".repeat(title.chars().count().clamp(1, WIDTH)));
    what(page, portrait);
    for claim in who::held_claims(aid, portrait) {
        claim_lines(page, aid, claim);
    }
    for claim in who::withdrawn_claims(aid, portrait) {
        let why = claim
            .withdrawn_why
            .text()
            .unwrap_or("when and why was not written down");
        let name = who::sitter_text(aid, claim);
        page.text(
            "  Given up: ",
            &format!("no longer thought to be {name} ({why})"),
        );
    }
    words(page, aid, portrait);
    dates(page, aid, portrait);
    maker_and_state(page, aid, portrait);
    let cautions = caution::cautions_in(aid.record, portrait, &aid.circumstances());
    for one in cautions {
        page.text(&format!("  Take care ({}): ", one.about), one.text);
    }
    pictures(page, aid, portrait);
    page.text("  Cite as: ", &aid.citation(portrait));
}

fn what(page: &mut Page, portrait: &Portrait) {
    page.answer("  What it is: ", &portrait.kind);
    page.answer("  What it shows: ", &portrait.shows);
    page.answer("  Title printed on it: ", &portrait.title_as_printed);
}

fn claim_lines(page: &mut Page, aid: &FindingAid<'_>, claim: &Claim) {
    let lives = aid.record.claimed(claim).and_then(who::lives_text);
    let name = who::sitter_text(aid, claim);
    let certainty = wording::certainty_word(&claim.certainty);
    let named = match lives {
        Some(lives) => format!("{certainty}: {name}, {lives}"),
        None => format!("{certainty}: {name}"),
    };
    page.text("  Who: ", &named);
    page.answer("    Face: ", &claim.face);
    for (word, reasons, clues) in [
        ("    For: ", &claim.reasons_for, &claim.clues_for),
        (
            "    Against: ",
            &claim.reasons_against,
            &claim.clues_against,
        ),
    ] {
        for reason in reasons {
            page.text(word, reason);
        }
        for number in clues {
            if let Some(clue) = aid.record.clue(number.as_str()) {
                let source = clue.source.text().map(|source| format!(" — {source}"));
                let says = clue.says.text().unwrap_or("a clue without words");
                page.text(word, &format!("{says}{}", source.unwrap_or_default()));
            }
        }
    }
    if !claim.rivals.is_empty() {
        page.text("    Others it could be: ", &claim.rivals.join("; "));
    }
    page.answer("    What would settle it: ", &claim.would_settle);
    page.answer("    Said by: ", &claim.said_by);
}

fn words(page: &mut Page, aid: &FindingAid<'_>, portrait: &Portrait) {
    for one in aid.record.words_on(&portrait.number) {
        let side = one
            .side
            .given()
            .map_or("where is not said", |side| side.word());
        let written = one.written_in.given().map(|one| format!(", {one}"));
        page.text(
            "  Words found on it, exactly: ",
            &format!("{side}{}", written.unwrap_or_default()),
        );
        for line in one.text.text().unwrap_or("(not written down)").lines() {
            page.line(&format!("    | {line}"));
        }
        page.answer("    Read as: ", &one.reading);
    }
}

fn dates(page: &mut Page, aid: &FindingAid<'_>, portrait: &Portrait) {
    let dates = &portrait.dates;
    page.text("  Sitter sat: ", &date_words(&dates.sitting));
    page.text("  This print made: ", &date_words(&dates.print));
    page.text("  Framed or written on: ", &date_words(&dates.framed));
    page.answer("  Why those dates: ", &dates.basis);
    for line in aid.weighing.get(&portrait.number).into_iter().flatten() {
        page.text("    ", line);
    }
}

fn date_words(date: &Answer<DateEntry>) -> String {
    match date {
        Answer::Given(entry) => entry.edtf.in_words(),
        Answer::NotKnown => "not known".to_owned(),
        Answer::DoesNotApply => "does not apply".to_owned(),
        Answer::Blank => "not looked at yet".to_owned(),
    }
}

fn maker_and_state(page: &mut Page, aid: &FindingAid<'_>, portrait: &Portrait) {
    page.answer("  Maker, as printed: ", &portrait.maker.as_printed);
    page.answer("  Place, as printed: ", &portrait.maker.place_as_printed);
    page.answer("  Number on it: ", &portrait.maker.number);
    page.answer("  Condition: ", &portrait.condition);
    if let Some(lot) = portrait
        .lot
        .given()
        .and_then(|lot| aid.record.lot(lot.as_str()))
    {
        let how = lot.how.given().map(|how| how.word()).unwrap_or("came");
        let from = lot.from.text().map(|from| format!(", from {from}"));
        let date = lot
            .date
            .given()
            .map(|date| format!(", {}", date.edtf.in_words()));
        page.text(
            "  How it came: ",
            &format!(
                "{how}{}{}",
                from.unwrap_or_default(),
                date.unwrap_or_default()
            ),
        );
    }
    page.answer("  The object is now with: ", &portrait.original_now_at);
}

fn pictures(page: &mut Page, aid: &FindingAid<'_>, portrait: &Portrait) {
    for file in aid.holdings.files_of(&portrait.number) {
        page.line(&format!(
            "  File: {} ({})",
            file.path,
            size_in_words(file.bytes)
        ));
    }
}

fn ending(page: &mut Page, aid: &FindingAid<'_>) {
    page.heading("WHAT IS NOT IN THIS PACKAGE");
    if aid.withheld.is_empty() {
        page.text("", "Nothing was held back.");
    } else {
        page.text(
            "",
            "These things exist, and were held back from this package on purpose:",
        );
        for one in aid.withheld {
            page.text("  - ", one);
        }
    }
    page.heading("PLEASE KEEP IN MIND");
    for one in caution::collection_cautions(aid.collection(), &aid.circumstances()) {
        page.text(&format!("  {}. ", sentence_case(one.about)), one.text);
    }
    page.text("", caution::GENERAL);
    if aid.can_be_checked() {
        page.heading("LABELS FOR FOLDERS AND BOXES");
        page.text("", &format!("{LABELS_FILE} is a sheet of labels to print and cut apart, with a few words for each portrait to copy in soft pencil."));
    }
    if !aid.history.is_empty() {
        page.heading("EDITIONS");
        aid.history.iter().for_each(|line| page.text("  - ", line));
    }
    let others = other_files_of(aid);
    if !others.is_empty() {
        page.heading("WHAT ELSE IS IN IT");
        for (path, about) in others {
            page.text("  - ", &format!("{path}: {about}"));
        }
    }
}

/// Lines of plain text.
#[derive(Debug)]
struct Page {
    text: String,
}

impl Page {
    fn new() -> Self {
        Self {
            text: String::from("\u{feff}"),
        }
    }

    fn line(&mut self, text: &str) {
        let plain = printable(text).replace('\n', " ");
        let plain: String = plain.nfc().collect();
        self.text.push_str(plain.trim_end());
        self.blank();
    }

    fn blank(&mut self) {
        self.text.push_str("\r\n");
    }

    fn heading(&mut self, words: &str) {
        self.blank();
        self.blank();
        self.line(words);
        self.line(&"=".repeat(words.chars().count()));
    }

    fn answer<T: std::fmt::Display>(&mut self, lead: &str, answer: &Answer<T>) {
        match answer {
            Answer::Given(value) => self.text(lead, &value.to_string()),
            Answer::NotKnown => self.text(lead, "not known"),
            Answer::Blank | Answer::DoesNotApply => {}
        }
    }

    /// Adds a paragraph, broken between words; the lines after the first are indented by two more than the lead is.
    fn text(&mut self, lead: &str, text: &str) {
        let margin = lead.chars().take_while(|one| *one == ' ').count();
        let indent = if lead.is_empty() {
            0
        } else {
            margin.saturating_add(2)
        };
        let mut line = lead.to_owned();
        let mut is_fresh = true;
        for word in text.split_whitespace() {
            let length = line.chars().count().saturating_add(word.chars().count());
            if !is_fresh && length >= WIDTH {
                self.line(&line);
                line = " ".repeat(indent);
                is_fresh = true;
            }
            if !is_fresh {
                line.push(' ');
            }
            line.push_str(word);
            is_fresh = false;
        }
        self.line(&line);
    }
}
