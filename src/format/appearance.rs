//! What somebody sees who opens a scan in an ordinary viewer, and where older captions in the file say something else than
//! the record. Reported, never mended: the older words are somebody's testimony too.

use super::exif::CaptureFacts;
use super::iim::Caption;
use super::xmp::Embedded;

/// Where a viewer takes a text from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Origin {
    /// The camera's block.
    Exif,
    /// The older caption block of news agencies.
    Iim,
    /// The newer description block, in which the record stands too.
    Xmp,
}

impl Origin {
    /// Returns the place in plain words.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Exif => "the camera's own notes (Exif)",
            Self::Iim => "an older caption (IPTC-IIM)",
            Self::Xmp => "the description (XMP)",
        }
    }
}

/// What a file says already, before a record is put into it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Inside {
    /// The camera's block.
    pub exif: Option<CaptureFacts>,
    /// The older caption block.
    pub caption: Option<Caption>,
    /// The packet as text that was looked over.
    pub packet: Option<String>,
}

/// A text and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shown {
    /// The text.
    pub text: String,
    /// Where it stands.
    pub origin: Origin,
}

/// What an ordinary viewer shows of a file.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Appearance {
    /// The title.
    pub title: Option<Shown>,
    /// The description.
    pub description: Option<Shown>,
    /// Tags, each once.
    pub tags: Vec<Shown>,
    /// Who made it.
    pub creator: Option<Shown>,
    /// The date by which pictures are sorted.
    pub date: Option<Shown>,
    /// Where two places in the file differ: some viewers show the one, some the other.
    pub differences: Vec<Difference>,
}

/// Two places in one file that say different things.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Difference {
    /// What they speak of: "title", "description", "maker", "date", "rights".
    pub what: &'static str,
    /// What most viewers show.
    pub first: Shown,
    /// What others show.
    pub other: Shown,
}

impl Difference {
    /// Returns the difference in one plain sentence.
    #[must_use]
    pub fn in_words(&self) -> String {
        format!(
            "The {} is “{}” in {}, but “{}” in {}: some viewers show the one, some the other.",
            self.what,
            in_short(&self.first.text),
            self.first.origin.words(),
            in_short(&self.other.text),
            self.other.origin.words()
        )
    }
}

/// The beginning is enough to know a text by.
fn in_short(text: &str) -> String {
    const LONGEST: usize = 100;
    let mut short: String = text.chars().take(LONGEST).collect();
    if short.len() < text.len() {
        short.push('…');
    }
    short
}

/// Returns every text of a file by which it is shown or found, with what it speaks of, in the order in which viewers look.
#[must_use]
pub fn all_that_is_said(
    exif: Option<&CaptureFacts>,
    caption: Option<&Caption>,
    packet: Option<&Embedded>,
) -> Vec<(&'static str, Shown)> {
    let places = Places {
        exif,
        caption,
        packet,
    };
    let all = [
        ("title", places.titles()),
        ("description", places.descriptions()),
        ("maker", places.creators()),
        ("rights", places.rights()),
        ("date", places.dates()),
        ("tag", places.tags()),
    ];
    all.into_iter()
        .flat_map(|(what, said)| said.into_iter().map(move |shown| (what, shown)))
        .collect()
}

/// Returns what an ordinary viewer shows. The newer block goes first, then the older caption, then the camera's, as most
/// viewers do (common practice; the guidelines of the Metadata Working Group 2.0, 4, ask readers for the same order unless an
/// older program changed the caption last).
#[must_use]
pub fn what_others_see(
    exif: Option<&CaptureFacts>,
    caption: Option<&Caption>,
    packet: Option<&Embedded>,
) -> Appearance {
    let places = Places {
        exif,
        caption,
        packet,
    };
    let mut appearance = Appearance {
        tags: places.tags(),
        ..Appearance::default()
    };
    let mut settle = |what, said: Vec<Shown>| {
        let mut said = said.into_iter();
        let first = said.next()?;
        for other in said {
            let known = |one: &Difference| one.what == what && one.other.text == other.text;
            if !is_same(what, &first.text, &other.text) && !appearance.differences.iter().any(known)
            {
                let first = first.clone();
                appearance
                    .differences
                    .push(Difference { what, first, other });
            }
        }
        Some(first)
    };
    let title = settle("title", places.titles());
    let description = settle("description", places.descriptions());
    let creator = settle("maker", places.creators());
    settle("rights", places.rights());
    let date = settle("date", places.dates());
    Appearance {
        title,
        description,
        creator,
        date,
        ..appearance
    }
}

struct Places<'a> {
    exif: Option<&'a CaptureFacts>,
    caption: Option<&'a Caption>,
    packet: Option<&'a Embedded>,
}

impl Places<'_> {
    fn titles(&self) -> Vec<Shown> {
        self.said(
            |packet| packet.title.as_deref(),
            |caption| caption.title.as_deref(),
            |exif| exif.xp_title.as_deref(),
        )
    }

    fn descriptions(&self) -> Vec<Shown> {
        let mut said = self.said(
            |packet| packet.description.as_deref(),
            |caption| caption.description.as_deref(),
            |exif| exif.image_description.as_deref(),
        );
        let comments = self
            .exif
            .into_iter()
            .flat_map(|exif| [&exif.user_comment, &exif.xp_comment, &exif.xp_subject]);
        said.extend(comments.flatten().map(|text| shown(text, Origin::Exif)));
        said
    }

    fn creators(&self) -> Vec<Shown> {
        let all = |names: &[String], origin| {
            (!names.is_empty()).then(|| shown(&names.join("; "), origin))
        };
        let packet = self
            .packet
            .and_then(|packet| all(&packet.creators, Origin::Xmp));
        let caption = self
            .caption
            .and_then(|caption| all(&caption.creators, Origin::Iim));
        let exif = self
            .exif
            .and_then(|exif| exif.artist.as_ref().or(exif.xp_author.as_ref()))
            .map(|artist| shown(artist, Origin::Exif));
        packet.into_iter().chain(caption).chain(exif).collect()
    }

    fn rights(&self) -> Vec<Shown> {
        self.said(
            |packet| packet.rights.as_deref(),
            |caption| caption.copyright.as_deref(),
            |exif| exif.copyright.as_deref(),
        )
    }

    /// The camera's moment goes first: viewers sort by it, even where it is only the moment of the scan.
    fn dates(&self) -> Vec<Shown> {
        let exif = self.exif.and_then(|exif| exif.taken_on.as_ref());
        let packet = self.packet.and_then(|packet| packet.date_created.as_ref());
        let caption = self
            .caption
            .and_then(|caption| caption.date_created.as_ref());
        let said = [
            exif.map(|date| shown(date, Origin::Exif)),
            packet.map(|date| shown(date, Origin::Xmp)),
            caption.map(|date| shown(date, Origin::Iim)),
        ];
        said.into_iter().flatten().collect()
    }

    fn tags(&self) -> Vec<Shown> {
        let packet = self.packet.into_iter().flat_map(|packet| &packet.subjects);
        let caption = self
            .caption
            .into_iter()
            .flat_map(|caption| &caption.keywords);
        let exif = self.exif.into_iter().flat_map(|exif| &exif.xp_keywords);
        let all = packet
            .map(|text| shown(text, Origin::Xmp))
            .chain(caption.map(|text| shown(text, Origin::Iim)))
            .chain(exif.map(|text| shown(text, Origin::Exif)));
        all.fold(Vec::new(), |mut tags: Vec<Shown>, tag| {
            if !tags.iter().any(|known| known.text == tag.text) {
                tags.push(tag);
            }
            tags
        })
    }

    fn said(
        &self,
        packet: impl FnOnce(&Embedded) -> Option<&str>,
        caption: impl FnOnce(&Caption) -> Option<&str>,
        exif: impl FnOnce(&CaptureFacts) -> Option<&str>,
    ) -> Vec<Shown> {
        let said = [
            (self.packet.and_then(packet), Origin::Xmp),
            (self.caption.and_then(caption), Origin::Iim),
            (self.exif.and_then(exif), Origin::Exif),
        ];
        said.into_iter()
            .filter_map(|(text, origin)| Some(shown(text?, origin)))
            .collect()
    }
}

fn shown(text: &str, origin: Origin) -> Shown {
    Shown {
        text: text.trim().to_owned(),
        origin,
    }
}

/// A shorter date that begins the longer one agrees with it; older captions are cut at a fixed length, so their beginning
/// is enough. [IIM 2:05 64 bytes, 2:120 2000 bytes]
fn is_same(what: &str, one: &str, other: &str) -> bool {
    let begins = |long: &str, short: &str| long.starts_with(short);
    match what {
        "date" => begins(one, other) || begins(other, one),
        "title" if other.len() >= 60 => begins(one, other) || one == other,
        "description" if other.len() >= 1990 => begins(one, other) || one == other,
        _ => one == other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn packet() -> Embedded {
        Embedded {
            title: Some("[Portrait of an unidentified man]".to_owned()),
            description: Some("Front of A-001.".to_owned()),
            subjects: vec!["portrait".to_owned(), "chalk".to_owned()],
            date_created: Some("1884-05".to_owned()),
            ..Embedded::default()
        }
    }

    #[test]
    fn the_packet_is_shown_and_older_captions_are_reported() {
        let caption = Caption {
            title: Some("Grandpa?".to_owned()),
            keywords: vec!["attic".to_owned(), "chalk".to_owned()],
            ..Caption::default()
        };
        let exif = CaptureFacts {
            image_description: Some("SCAN 0001".to_owned()),
            user_comment: Some("SCAN 0001".to_owned()),
            taken_on: Some("2026-03-02T10:00:00".to_owned()),
            ..CaptureFacts::default()
        };
        let seen = what_others_see(Some(&exif), Some(&caption), Some(&packet()));
        assert_eq!(seen.title.unwrap().origin, Origin::Xmp);
        assert_eq!(seen.date.unwrap().text, "2026-03-02T10:00:00");
        let tags: Vec<&str> = seen.tags.iter().map(|tag| tag.text.as_str()).collect();
        assert_eq!(tags, ["portrait", "chalk", "attic"]);
        let told: Vec<(&str, Origin)> = seen
            .differences
            .iter()
            .map(|one| (one.what, one.other.origin))
            .collect();
        assert_eq!(
            told,
            [
                ("title", Origin::Iim),
                ("description", Origin::Exif),
                ("date", Origin::Xmp)
            ]
        );
    }

    #[test]
    fn what_agrees_is_not_reported() {
        let exif = CaptureFacts {
            image_description: Some("Front of A-001. ".to_owned()),
            taken_on: Some("1884-05-02T10:00:00".to_owned()),
            ..CaptureFacts::default()
        };
        let seen = what_others_see(Some(&exif), None, Some(&packet()));
        assert_eq!(seen.differences, Vec::new());
    }

    #[test]
    fn an_older_caption_cut_at_its_length_agrees() {
        let long = "x".repeat(100);
        let packet = Embedded {
            title: Some(long.clone()),
            ..Embedded::default()
        };
        let caption = Caption {
            title: Some(long.get(..64).unwrap().to_owned()),
            ..Caption::default()
        };
        let seen = what_others_see(None, Some(&caption), Some(&packet));
        assert_eq!(seen.differences, Vec::new());
    }

    #[test]
    fn nothing_shows_nothing() {
        assert_eq!(what_others_see(None, None, None), Appearance::default());
    }
}
