//! Editions: what the package is that this one supersedes, and what changed since.

use crate::catalogue::json;
use crate::catalogue::json::JsonFault;
use crate::concern::ConcernList;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::format::bagit::TagEncoding;
use crate::format::bagit::Version;
use crate::format::bagit::bag_info;
use crate::format::bagit::manifest;
use crate::format::bagit::profile;
use crate::record::Audience;
use crate::record::Collection;
use crate::record::Edition;
use crate::record::Person;
use crate::record::audience;
use crate::record::audience::Terms;
use crate::record::edition;
use crate::record::edition::Change;
use crate::record::edition::ChangeKind;
use crate::store::Holding;
use crate::store::StoreError;
use crate::store::holding;
use std::io;
use std::io::Read;
use std::path::Path;

/// Where a package keeps its record.
const RECORD: &str = "data/catalogue/record.json";

/// The label in `bag-info.txt` under which a package says who it is for. Labels of one's own are allowed. [RFC8493 2.2.2]
pub(super) const AUDIENCE_LABEL: &str = profile::AUDIENCE_LABEL;

/// The label under which it says which edition it is.
const EDITION_LABEL: &str = "Kithbag-Edition";

/// The label under which it names each package that it supersedes, with its seal.
const SUPERSEDES_LABEL: &str = "Kithbag-Supersedes";

/// Longest file that is read whole: the record of a hundred thousand portraits is shorter.
const LONGEST: u64 = 1 << 30;

/// A package that is to be superseded.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// Its name.
    pub package: String,
    /// The day of its making, year-month-day.
    pub made_on: String,
    /// Who it is for, where it says so.
    pub audience: Option<String>,
    /// SHA-256 of its `manifest-sha256.txt`, hexadecimal.
    pub sha256: String,
    /// The program that made it and its version, where it says so.
    pub tool: Option<String>,
    /// Its record.
    pub record: Collection,
}

/// Why a package cannot be superseded.
#[derive(Debug, thiserror::Error)]
pub enum EditionError {
    /// The disk refused.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// It lacks what kithbag puts into every package.
    #[error("the package {package} has no {file}: kithbag cannot tell what changed since")]
    Lacking {
        /// The package.
        package: String,
        /// What is not there.
        file: &'static str,
    },
    /// Its record is not what its manifest says.
    #[error("the record in {package} is not the one that its manifest lists")]
    OtherRecord {
        /// The package.
        package: String,
    },
    /// Its record cannot be read.
    #[error("the record in {package} cannot be read")]
    Record {
        /// The package.
        package: String,
        /// Why not.
        source: JsonFault,
    },
    /// It was made for somebody else, who was told other things.
    #[error(
        "the package {package} was made for another audience ({found}); this one would be for {wanted}"
    )]
    OtherAudience {
        /// The package.
        package: String,
        /// Who it was made for.
        found: String,
        /// Who the new one is for.
        wanted: &'static str,
    },
    /// It has no portrait in common with the collection.
    #[error(
        "no portrait in {package} has a number of this collection's: it is no earlier edition of it"
    )]
    OtherCollection {
        /// The package.
        package: String,
    },
}

/// Reads what must be known of a package to supersede it. Whether it is sound must have been found out before, by an audit.
///
/// # Errors
/// As [`EditionError`] says.
pub fn read_earlier(path: &Path) -> Result<Earlier, EditionError> {
    let holding = holding::open(path)?;
    let package = holding.name().to_owned();
    let list = read(&*holding, "manifest-sha256.txt")?;
    let bytes = read(&*holding, RECORD)?;
    let mut ignored = ConcernList::default();
    let manifest = manifest::read(
        &*list,
        "manifest-sha256.txt",
        Version::V1_0,
        TagEncoding::UTF_8,
        &mut ignored,
    )
    .map_err(|source| unread(&*holding, "manifest-sha256.txt", source))?;
    if manifest.digest_of(RECORD) != Some(Digest::of(Algorithm::Sha256, &bytes)) {
        return Err(EditionError::OtherRecord { package });
    }
    let record = json::read(&bytes).map_err(|source| EditionError::Record {
        package: package.clone(),
        source,
    })?;
    let info = read(&*holding, "bag-info.txt")?;
    let info = String::from_utf8_lossy(&info);
    let info = bag_info::read(&info, "bag-info.txt", Version::V1_0, &mut ignored);
    let value = |label: &str| info.value(label).map(str::to_owned);
    Ok(Earlier {
        package: value("Internal-Sender-Identifier").unwrap_or(package),
        made_on: value("Bagging-Date").unwrap_or_default(),
        audience: value(AUDIENCE_LABEL),
        tool: value("Bag-Software-Agent"),
        sha256: Digest::of(Algorithm::Sha256, &list).hex().to_owned(),
        record,
    })
}

fn read(holding: &dyn Holding, file: &'static str) -> Result<Vec<u8>, EditionError> {
    let lacking = || EditionError::Lacking {
        package: holding.name().to_owned(),
        file,
    };
    let position = holding.position(file).ok_or_else(lacking)?;
    let mut bytes = Vec::new();
    holding
        .open(position)?
        .take(LONGEST)
        .read_to_end(&mut bytes)
        .map_err(|source| unread(holding, file, source))?;
    Ok(bytes)
}

fn unread(holding: &dyn Holding, file: &str, source: io::Error) -> StoreError {
    StoreError::Disk {
        act: "read",
        path: holding.location().join(file),
        source,
    }
}

/// Makes sure that the earlier package is one of the same collection for the same audience.
pub(super) fn confirm(
    earlier: &Earlier,
    collection: &Collection,
    audience: Audience,
) -> Result<(), EditionError> {
    let package = earlier.package.clone();
    match &earlier.audience {
        Some(found) if found != audience.word() => {
            return Err(EditionError::OtherAudience {
                package,
                found: found.clone(),
                wanted: audience.word(),
            });
        }
        _ => {}
    }
    let is_known = |one: &crate::record::Portrait| collection.portrait(&one.number).is_some();
    if earlier.record.portraits.iter().any(is_known) || collection.portraits.is_empty() {
        Ok(())
    } else {
        Err(EditionError::OtherCollection { package })
    }
}

/// Returns the editions as the new package tells of them: those that the earlier one knew, itself, and the new one with what
/// changed. Everything of the earlier record is held back first by the rules of today: somebody who was named then may not be
/// named now.
pub(super) fn editions(
    earlier: &Earlier,
    whole: &Collection,
    shown: &Collection,
    terms: &Terms<'_>,
    name: &str,
) -> Vec<Edition> {
    let day = terms.today.to_owned();
    let before = by_rules_of_today(&earlier.record, whole);
    let before = audience::under(&before, terms).collection;
    let mut editions = before.editions.clone();
    if editions.is_empty() {
        editions.push(Edition {
            number: 1,
            ..Edition::default()
        });
    }
    if let Some(last) = editions.last_mut() {
        last.package.clone_from(&earlier.package);
        last.made_on.clone_from(&earlier.made_on);
        last.sha256 = Some(earlier.sha256.clone());
    }
    let number = editions.last().map_or(1, |last| last.number);
    editions.push(Edition {
        number: number.saturating_add(1),
        package: name.to_owned(),
        made_on: day,
        sha256: None,
        changes: changes(earlier, &before, shown),
    });
    editions
}

/// What changed, and which portraits are gone: those too that the rules of today take out of the earlier record, by number alone.
fn changes(earlier: &Earlier, before: &Collection, shown: &Collection) -> Vec<Change> {
    let mut changes = edition::changes(before, shown);
    for portrait in &earlier.record.portraits {
        let number = &portrait.number;
        if before.portrait(number).is_none() && shown.portrait(number).is_none() {
            changes.push(Change {
                portrait: number.clone(),
                kind: Some(ChangeKind::PortraitRemoved),
                what: format!("Portrait {number} is no longer in the package."),
            });
        }
    }
    edition::sort(&mut changes);
    changes
}

/// Puts into an earlier record what decides today who and what is held back: the people as they are known now, receivers, and
/// what is private in lots, portraits and the collection's description.
fn by_rules_of_today(earlier: &Collection, now: &Collection) -> Collection {
    let mut merged = earlier.clone();
    let gone = |person: &&Person| now.person(&person.number).is_none();
    merged.people = now
        .people
        .iter()
        .chain(earlier.people.iter().filter(gone))
        .cloned()
        .collect();
    merged.receivers.clone_from(&now.receivers);
    merged.about.clone_from(&now.about);
    merged.lots.retain(|lot| now.lot(&lot.number).is_none());
    merged.lots.extend(now.lots.iter().cloned());
    for portrait in &mut merged.portraits {
        if let Some(known) = now.portrait(&portrait.number) {
            portrait.storage.clone_from(&known.storage);
        }
    }
    merged
}

/// Returns what the page tells of editions, one line each, latest first.
pub(super) fn lines(editions: &[Edition]) -> Vec<String> {
    let mut lines = Vec::new();
    for edition in editions.iter().rev() {
        let seal = edition
            .sha256
            .as_ref()
            .map_or_else(String::new, |seal| format!(" (seal {seal})"));
        let itself = if edition.sha256.is_none() {
            "this package"
        } else {
            edition.package.as_str()
        };
        lines.push(format!(
            "Edition {}, {}: {itself}{seal}",
            edition.number, edition.made_on
        ));
        let told = edition.changes.iter().map(|change| {
            format!(
                "Edition {}, {}: {}",
                edition.number, change.portrait, change.what
            )
        });
        lines.extend(told);
        if edition.changes.is_empty() && edition.number > 1 {
            lines.push(format!("Edition {}: nothing changed.", edition.number));
        }
    }
    lines
}

/// Returns what `bag-info.txt` tells of editions: the own number, then the chain of seals, latest first.
pub(super) fn elements(editions: &[Edition]) -> Vec<(&'static str, String)> {
    let own = editions
        .last()
        .map(|own| (EDITION_LABEL, own.number.to_string()));
    let earlier = editions.iter().rev().filter_map(|edition| {
        let seal = edition.sha256.as_ref()?;
        let told = format!("{} manifest-sha256.txt {seal}", edition.package);
        Some((SUPERSEDES_LABEL, told))
    });
    own.into_iter().chain(earlier).collect()
}
