//! Before a package leaves the house: everything about people who may be living that is about to leave, as a list that a person
//! answers. Nothing but an answered list, or a collection in which nothing waits for an answer, lets a package be made.

mod captions;
mod hidden;
mod list;
mod settle;

use super::PackError;
use super::naming::package_name;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::crew;
use crate::progress::Progress;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Scan;
use crate::record::audience;
use crate::record::audience::Decisions;
use crate::record::audience::FileKind;
use crate::record::audience::Leaving;
use crate::record::audience::LeavingKind;
use crate::record::audience::Seeker;
use crate::record::audience::Terms;
use crate::store;
use crate::store::StoreError;
use crate::store::staging;
use crate::weigh::SoundCatalogue;
use captions::Captions;
use hidden::Needles;
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::path::Path;
use std::path::PathBuf;

/// For whom, when, and who counts as alive.
#[derive(Debug, Clone, Copy)]
pub struct ReviewOptions {
    /// Who gets the package.
    pub audience: Audience,
    /// The day that counts as today.
    pub as_of: Date,
    /// For how many years after a birth somebody whose death is not known counts as alive.
    pub living_years: i64,
    /// How many threads may work.
    pub threads: usize,
}

/// Everything about people who may be living that would leave.
#[derive(Debug, Clone)]
pub struct Review {
    options: ReviewOptions,
    listed: Vec<Leaving>,
    concerns: ConcernList,
    name: String,
}

/// The proof that nothing waits for a person's decision, and what was decided. Only [`Review::settle`] can make one; packing takes
/// nothing else.
#[derive(Debug, Clone)]
pub struct Cleared {
    pub(super) audience: Audience,
    pub(super) living_years: i64,
    pub(super) decisions: Decisions,
}

impl Cleared {
    /// Returns the terms under which the record leaves. `today` is the day that counts as today, year-month-day.
    pub(super) const fn terms<'a>(&'a self, today: &'a str) -> Terms<'a> {
        Terms {
            audience: self.audience,
            today,
            living_years: self.living_years,
            decisions: &self.decisions,
        }
    }
}

/// Looks through everything that would leave: the record, the names of the files, and the words that other programs wrote into
/// the scans.
///
/// # Errors
/// Gives the disk's error when a scan cannot be read.
pub fn review(
    sound: &SoundCatalogue,
    root: &Path,
    options: &ReviewOptions,
    progress: &dyn Progress,
) -> Result<Review, PackError> {
    let today = options.as_of.to_string();
    let decisions = Decisions::default();
    let terms = Terms {
        audience: options.audience,
        today: &today,
        living_years: options.living_years,
        decisions: &decisions,
    };
    let outgoing = audience::outgoing(sound.collection(), &terms);
    let folder = store::folder_name(root);
    let folder = folder.as_deref().unwrap_or("collection");
    let mut review = Review {
        options: *options,
        listed: outgoing.listed,
        concerns: ConcernList::default(),
        name: package_name(folder, options.audience, &today),
    };
    if options.audience != Audience::Keeping {
        let seeker = &outgoing.seeker;
        review.look_at_name(seeker, folder, "The name of the collection's folder", None);
        review.look_at_scans(seeker, &outgoing.collection, root, progress)?;
    }
    Ok(review)
}

impl Review {
    /// Returns everything that is listed.
    #[must_use]
    pub fn listed(&self) -> &[Leaving] {
        &self.listed
    }

    /// Returns what was noticed on the way.
    #[must_use]
    pub const fn concerns(&self) -> &ConcernList {
        &self.concerns
    }

    /// Writes the list beside the place of the package, with the answers of an older list where the words are the same. A list that
    /// is there already is never replaced: a person may have filled it.
    ///
    /// # Errors
    /// Gives the disk's error.
    pub fn write_list(&self, into: &Path, older: Option<&[u8]>) -> Result<PathBuf, PackError> {
        let known = older.map(settle::answers).unwrap_or_default();
        let bytes = list::write(&self.listed, &known);
        for count in 1_u32.. {
            let number = if count == 1 {
                String::new()
            } else {
                format!("-{count}")
            };
            let path = into.join(format!("{}-living{number}.csv", self.name));
            if !store::exists(&path) {
                staging::write_new(&path, &bytes)?;
                return Ok(path);
            }
            if store::source::read_all(&path)? == bytes {
                return Ok(path);
            }
        }
        Err(PackError::Store(StoreError::TargetExists {
            path: into.to_owned(),
        }))
    }

    fn look_at_name(&mut self, seeker: &Seeker, name: &str, place: &str, scan: Option<&Scan>) {
        let (about, never) = seeker.meant(name, true);
        if about.is_empty() {
            return;
        }
        let place = place.to_owned();
        let mut leaving = self.leaving(LeavingKind::FileName, about, place, name);
        leaving.may_leave = !never;
        leaving.scan = scan.map(|scan| scan.file.clone());
        self.listed.push(leaving);
    }

    fn look_at_scans(
        &mut self,
        seeker: &Seeker,
        going: &Collection,
        root: &Path,
        progress: &dyn Progress,
    ) -> Result<(), PackError> {
        let takes_originals = audience::gets_files(FileKind::Original, self.options.audience);
        let scans: Vec<&Scan> = going
            .scans
            .iter()
            .filter(|scan| takes_originals || scan.portrait.is_given())
            .collect();
        let count = u64::try_from(scans.len()).unwrap_or_default();
        let needles = Needles::new(seeker.names().iter().map(|one| one.name.as_str()));
        progress.begin("Looking for names in the scans", count);
        let read = crew::share(&scans, self.options.threads, |scan| {
            let captions = captions::read(&root.join(&scan.file), &needles);
            progress.advance(1);
            captions
        });
        progress.end();
        for (scan, captions) in scans.into_iter().zip(read) {
            self.look_at_name(seeker, &scan.file, "The name of a scan's file", Some(scan));
            self.look_at_captions(seeker, scan, &captions?);
        }
        Ok(())
    }

    fn look_at_captions(&mut self, seeker: &Seeker, scan: &Scan, captions: &Captions) {
        let takes_originals = audience::gets_files(FileKind::Original, self.options.audience);
        if takes_originals && !captions.was_looked_into {
            self.concerns.warning(
                "words-not-searched",
                Place::file(scan.file.clone()),
                "This original goes to the archive as it is, and kithbag cannot look into a file of this kind for words about living people.",
                "Look at its description with a picture program before you hand the package over.",
            );
        }
        if takes_originals && !captions.private.is_empty() {
            self.tell_of_original(scan, &captions.private);
        }
        for (place, text) in &captions.texts {
            self.look_at_caption(seeker, scan, place, text, text);
        }
        self.look_at_bytes(seeker, scan, captions);
        let own = captions.own_record.as_deref().filter(|_| takes_originals);
        if let Some(own) = own {
            let told = "a whole record, with people who may not be named to this audience";
            self.look_at_caption(
                seeker,
                scan,
                "the record that kithbag wrote into it",
                own,
                told,
            );
        }
    }

    /// An archive is given originals untouched, as donors are asked; the giver must know what they hold before they leave.
    fn tell_of_original(&mut self, scan: &Scan, private: &BTreeSet<String>) {
        let held: Vec<&str> = private.iter().map(String::as_str).collect();
        let mut place = Place::file(scan.file.clone());
        place.portrait = scan.portrait.given().map(ToString::to_string);
        self.concerns.warning(
            "private-facts-in-original",
            place,
            format!("The untouched original goes to the archive too, and holds: {}.", held.join(", ")),
            "Ask the archive whether it wants originals that hold this, before you hand the package over.",
        );
    }

    /// Names that stand in the file's bytes and were not met in a place that was read.
    fn look_at_bytes(&mut self, seeker: &Seeker, scan: &Scan, captions: &Captions) {
        let is_met = |whose: &String| {
            let texts = captions.texts.iter().map(|(_, text)| text);
            let mut met = texts
                .chain(&captions.own_record)
                .map(|text| seeker.meant(text, false).0);
            met.any(|about| about.contains(whose))
        };
        let names = captions
            .hidden
            .iter()
            .filter_map(|index| seeker.names().get(*index));
        for sought in names.filter(|one| !is_met(&one.whose)) {
            let place = format!("Somewhere in the bytes of {}", scan.file);
            let about = vec![sought.whose.clone()];
            let mut leaving = self.leaving(LeavingKind::Caption, about, place, &sought.name);
            leaving.may_leave = !sought.is_never;
            leaving.scan = Some(scan.file.clone());
            self.listed.push(leaving);
        }
    }

    fn look_at_caption(
        &mut self,
        seeker: &Seeker,
        scan: &Scan,
        place: &str,
        text: &str,
        told: &str,
    ) {
        let (about, never) = seeker.meant(text, false);
        if about.is_empty() {
            return;
        }
        let place = format!("Inside {}: {place}", scan.file);
        let mut leaving = self.leaving(LeavingKind::Caption, about, place, told);
        leaving.may_leave = !never;
        leaving.scan = Some(scan.file.clone());
        self.listed.push(leaving);
    }

    /// Words in files and their names are somebody else's or cannot be taken out, so a person always decides.
    fn leaving(
        &self,
        kind: LeavingKind,
        about: Vec<String>,
        place: String,
        words: &str,
    ) -> Leaving {
        let mut leaving = Leaving::new(self.options.audience, kind, about, place, words.to_owned());
        leaving.must_be_decided = true;
        leaving
    }
}
