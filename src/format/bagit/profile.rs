//! BagIt Profiles 1.x: what a receiver asks of the bags that it takes, and whether a bag meets it.

use super::bag_info::BagInfo;
use super::version::Version;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::fixity::Algorithm;
use crate::record::Audience;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The label in `bag-info.txt` that says for whom a package is.
pub const AUDIENCE_LABEL: &str = "Kithbag-Audience";

/// A profile that kithbag's own packages for one audience meet.
#[derive(Debug, Clone, Copy)]
pub struct OwnProfile {
    /// The audience.
    pub audience: Audience,
    /// What names it, in a package's `BagIt-Profile-Identifier`. It is a name and no address: nothing is ever fetched.
    pub identifier: &'static str,
    /// The name of its file.
    pub file_name: &'static str,
    /// The profile itself.
    pub text: &'static str,
}

/// The profiles, one for each audience.
pub const OWN: &[OwnProfile] = &[
    OwnProfile {
        audience: Audience::Keeping,
        identifier: "urn:uuid:b6c5fbc7-2c57-5603-b335-b0f79fddd9cd",
        file_name: "package-profile-keeping.json",
        text: include_str!("../../../schemas/package-profile-keeping.json"),
    },
    OwnProfile {
        audience: Audience::Archive,
        identifier: "urn:uuid:d3d841cc-5f3d-5087-b6fd-66d1442cbcf7",
        file_name: "package-profile-archive.json",
        text: include_str!("../../../schemas/package-profile-archive.json"),
    },
    OwnProfile {
        audience: Audience::Family,
        identifier: "urn:uuid:67810e36-171d-5757-ac16-eaf24af64673",
        file_name: "package-profile-family.json",
        text: include_str!("../../../schemas/package-profile-family.json"),
    },
    OwnProfile {
        audience: Audience::Public,
        identifier: "urn:uuid:c1c641eb-0290-5f08-9ebc-ebbba7e5ce94",
        file_name: "package-profile-public.json",
        text: include_str!("../../../schemas/package-profile-public.json"),
    },
];

/// Returns the profile that packages for an audience meet.
#[must_use]
pub fn own(audience: Audience) -> Option<&'static OwnProfile> {
    OWN.iter().find(|profile| profile.audience == audience)
}

/// Tells whether a bag says of itself that it is one of kithbag's own packages.
#[must_use]
pub fn is_own(info: &BagInfo) -> bool {
    let mut stated = info.values("BagIt-Profile-Identifier");
    stated.any(|one| OWN.iter().any(|profile| profile.identifier == one))
}

/// A profile, as its JSON has it. Keys that are not known are passed over.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(rename_all = "PascalCase", default)]
pub struct Profile {
    /// What the profile says of itself.
    #[serde(rename = "BagIt-Profile-Info")]
    pub info: BTreeMap<String, serde_json::Value>,
    /// What `bag-info.txt` has to say.
    #[serde(rename = "Bag-Info")]
    pub bag_info: BTreeMap<String, Tag>,
    /// Payload manifests that have to be there.
    #[serde(rename = "Manifests-Required")]
    pub manifests_required: Vec<String>,
    /// Payload manifests that may be there; all when absent.
    #[serde(rename = "Manifests-Allowed")]
    pub manifests_allowed: Option<Vec<String>>,
    /// Tag manifests that have to be there.
    #[serde(rename = "Tag-Manifests-Required")]
    pub tag_manifests_required: Vec<String>,
    /// Tag manifests that may be there; all when absent.
    #[serde(rename = "Tag-Manifests-Allowed")]
    pub tag_manifests_allowed: Option<Vec<String>>,
    /// Tag files that have to be there.
    #[serde(rename = "Tag-Files-Required")]
    pub tag_files_required: Vec<String>,
    /// Patterns of tag files that may be there; all when absent.
    #[serde(rename = "Tag-Files-Allowed")]
    pub tag_files_allowed: Option<Vec<String>>,
    /// Whether files may be left to be fetched; yes when absent.
    #[serde(rename = "Allow-Fetch.txt")]
    pub allow_fetch: Option<bool>,
    /// Whether the bag comes as one file.
    pub serialization: Serialization,
    /// Media types of that one file.
    #[serde(rename = "Accept-Serialization")]
    pub accept_serialization: Vec<String>,
    /// Versions of BagIt.
    #[serde(rename = "Accept-BagIt-Version")]
    pub accept_version: Vec<String>,
}

/// What a profile asks of one label of `bag-info.txt`.
#[derive(Debug, Clone, Deserialize)]
#[serde(default)]
pub struct Tag {
    /// Whether it has to be there.
    pub required: bool,
    /// The values that it may have; any when empty.
    pub values: Vec<String>,
    /// Whether it may stand more than once.
    pub repeatable: bool,
}

impl Default for Tag {
    fn default() -> Self {
        Self {
            required: false,
            values: Vec::new(),
            repeatable: true,
        }
    }
}

/// Whether a bag comes as one file.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Serialization {
    /// As a folder only.
    Forbidden,
    /// As one file only.
    Required,
    /// Either way.
    #[default]
    Optional,
}

/// What is to be known of a bag to compare it with a profile.
#[derive(Debug, Clone)]
pub struct Subject<'a> {
    /// The version that it declares.
    pub version: Version,
    /// What it says of itself.
    pub info: &'a BagInfo,
    /// The algorithms of its payload manifests, as their names have them.
    pub manifests: Vec<String>,
    /// The algorithms of its tag manifests.
    pub tag_manifests: Vec<String>,
    /// The paths of all files outside `data/`.
    pub tag_files: Vec<String>,
    /// Whether it has a `fetch.txt`.
    pub has_fetch: bool,
    /// Whether it is a zip file.
    pub is_zip: bool,
}

/// Media types under which zip files are known.
const ZIP_TYPES: [&str; 3] = [
    "application/zip",
    "application/x-zip",
    "application/x-zip-compressed",
];

/// Reads a profile.
///
/// # Errors
/// Gives the reader's reason when it is no profile in JSON.
pub fn read(json: &[u8]) -> Result<Profile, serde_json::Error> {
    serde_json::from_slice(json.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(json))
}

/// Compares a bag with a profile; each thing that is not met is a concern of severity stop.
#[must_use]
pub fn check(profile: &Profile, subject: &Subject<'_>) -> ConcernList {
    let mut concerns = ConcernList::default();
    check_form(profile, subject, &mut concerns);
    check_info(profile, subject.info, &mut concerns);
    let kinds = [
        (
            "payload manifest",
            &profile.manifests_required,
            &profile.manifests_allowed,
            &subject.manifests,
        ),
        (
            "tag manifest",
            &profile.tag_manifests_required,
            &profile.tag_manifests_allowed,
            &subject.tag_manifests,
        ),
    ];
    for (kind, required, allowed, present) in kinds {
        check_algorithms(kind, required, allowed.as_deref(), present, &mut concerns);
    }
    check_tag_files(profile, subject, &mut concerns);
    if profile.allow_fetch == Some(false) && subject.has_fetch {
        unmet(
            &mut concerns,
            "it leaves files to be fetched, which the profile does not allow",
        );
    }
    concerns
}

fn check_form(profile: &Profile, subject: &Subject<'_>, concerns: &mut ConcernList) {
    let version = subject.version.to_string();
    if !profile.accept_version.contains(&version) {
        unmet(
            concerns,
            &format!("the profile does not take BagIt version {version}"),
        );
    }
    match profile.serialization {
        Serialization::Forbidden if subject.is_zip => {
            unmet(
                concerns,
                "the profile takes folders only, and this is one zip file",
            );
        }
        Serialization::Required if !subject.is_zip => {
            unmet(
                concerns,
                "the profile takes single files only, and this is a folder",
            );
        }
        _ => {}
    }
    let takes_zip = profile
        .accept_serialization
        .iter()
        .any(|kind| ZIP_TYPES.contains(&kind.as_str()));
    if subject.is_zip && !takes_zip && profile.serialization != Serialization::Forbidden {
        unmet(concerns, "the profile does not take zip files");
    }
}

fn check_info(profile: &Profile, info: &BagInfo, concerns: &mut ConcernList) {
    for (label, tag) in &profile.bag_info {
        let values: Vec<&str> = info.values(label).collect();
        if tag.required && values.is_empty() {
            unmet(concerns, &format!("bag-info.txt does not state “{label}”"));
        }
        if !tag.repeatable && values.len() > 1 {
            unmet(
                concerns,
                &format!("bag-info.txt states “{label}” more than once"),
            );
        }
        for value in values {
            if !tag.values.is_empty() && !tag.values.iter().any(|one| one == value) {
                let what = format!("the profile does not take “{value}” for “{label}”");
                unmet(concerns, &what);
            }
        }
    }
}

fn check_algorithms(
    kind: &str,
    required: &[String],
    allowed: Option<&[String]>,
    present: &[String],
    concerns: &mut ConcernList,
) {
    let same = |a: &str, b: &str| match (Algorithm::named(a), Algorithm::named(b)) {
        (Some(a), Some(b)) => a == b,
        _ => a.eq_ignore_ascii_case(b),
    };
    for one in required {
        if !present.iter().any(|name| same(name, one)) {
            unmet(concerns, &format!("there is no {kind} for {one}"));
        }
    }
    for name in present {
        if allowed.is_some_and(|allowed| !allowed.iter().any(|one| same(name, one))) {
            unmet(
                concerns,
                &format!("the profile does not take a {kind} for {name}"),
            );
        }
    }
}

fn check_tag_files(profile: &Profile, subject: &Subject<'_>, concerns: &mut ConcernList) {
    for one in &profile.tag_files_required {
        if !subject.tag_files.iter().any(|path| path == one) {
            unmet(concerns, &format!("the tag file “{one}” is not there"));
        }
    }
    let Some(allowed) = &profile.tag_files_allowed else {
        return;
    };
    for path in &subject.tag_files {
        // The files that make a bag are always allowed.
        let is_own = !matches!(
            super::layout::Part::of(path, subject.version),
            super::layout::Part::OtherTag
        );
        if !is_own && !allowed.iter().any(|pattern| matches(pattern, path)) {
            unmet(
                concerns,
                &format!("the profile does not take the tag file “{path}”"),
            );
        }
    }
}

fn unmet(concerns: &mut ConcernList, what: &str) {
    concerns.stop(
        "bag-profile-unmet",
        Place::unknown(),
        format!("The bag does not meet the profile: {what}."),
        "Ask the receiver, or make the package anew as the profile asks.",
    );
}

/// Compares a path with a pattern in which `*` stands for any characters and `?` for one. // [BagIt Profiles 1.3.0, fnmatch]
fn matches(pattern: &str, path: &str) -> bool {
    let pattern: Vec<char> = pattern.chars().collect();
    let path: Vec<char> = path.chars().collect();
    let mut reached = vec![false; path.len().saturating_add(1)];
    if let Some(start) = reached.first_mut() {
        *start = true;
    }
    for symbol in pattern {
        let mut next = vec![false; reached.len()];
        let mut any_before = false;
        for (position, slot) in next.iter_mut().enumerate() {
            let here = reached.get(position).copied().unwrap_or_default();
            any_before |= here;
            let before = position.checked_sub(1);
            let previous = before
                .and_then(|one| reached.get(one).copied())
                .unwrap_or_default();
            let letter = before.and_then(|one| path.get(one).copied());
            *slot = match symbol {
                '*' => any_before,
                '?' => previous,
                other => previous && letter == Some(other),
            };
        }
        reached = next;
    }
    reached.last().copied().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    const PROFILE: &str = r#"{
        "BagIt-Profile-Info": {"Version": "1.0"},
        "Bag-Info": {
            "Bagging-Date": {"required": true, "repeatable": false},
            "Audience": {"values": ["archive", "family"]}
        },
        "Manifests-Required": ["sha256"],
        "Manifests-Allowed": ["sha256", "sha512"],
        "Tag-Manifests-Required": ["sha256"],
        "Tag-Files-Required": ["START-HERE.txt"],
        "Tag-Files-Allowed": ["START-HERE.*"],
        "Allow-Fetch.txt": false,
        "Serialization": "optional",
        "Accept-Serialization": ["application/zip"],
        "Accept-BagIt-Version": ["1.0"]
    }"#;

    fn info(text: &str) -> BagInfo {
        let mut concerns = ConcernList::default();
        crate::format::bagit::bag_info::read(text, "bag-info.txt", Version::V1_0, &mut concerns)
    }

    fn subject(info: &BagInfo) -> Subject<'_> {
        Subject {
            version: Version::V1_0,
            info,
            manifests: vec!["sha256".into()],
            tag_manifests: vec!["sha256".into()],
            tag_files: vec!["bagit.txt".into(), "START-HERE.txt".into()],
            has_fetch: false,
            is_zip: true,
        }
    }

    fn faults(subject: &Subject<'_>) -> usize {
        let profile = read(PROFILE.as_bytes()).unwrap();
        let concerns = check(&profile, subject);
        assert!(concerns.iter().all(|one| one.code == "bag-profile-unmet"));
        concerns.len()
    }

    #[test]
    fn a_bag_that_meets_it() {
        let info = info("Bagging-Date: 2026-11-25\nAudience: family\n");
        assert_eq!(faults(&subject(&info)), 0);
    }

    #[test]
    fn each_thing_unmet() {
        let sound = info("Bagging-Date: 2026-11-25\n");
        let change = |change: &dyn Fn(&mut Subject<'_>)| {
            let mut changed = subject(&sound);
            change(&mut changed);
            faults(&changed)
        };
        assert_eq!(change(&|one| one.version = Version::V0_97), 1);
        assert_eq!(change(&|one| one.manifests = vec!["sha512".into()]), 1);
        assert_eq!(change(&|one| one.manifests.push("md5".into())), 1);
        assert_eq!(change(&|one| one.manifests = vec!["SHA-256".into()]), 0);
        assert_eq!(change(&|one| one.tag_manifests.clear()), 1);
        assert_eq!(change(&|one| one.tag_files.truncate(1)), 1);
        assert_eq!(change(&|one| one.tag_files.push("x/y.xml".into())), 1);
        assert_eq!(change(&|one| one.has_fetch = true), 1);
        for text in [
            "Audience: family\n",
            "Bagging-Date: 2026-11-25\nBagging-Date: 2026-11-26\n",
            "Bagging-Date: 2026-11-25\nAudience: everybody\n",
        ] {
            assert_eq!(faults(&subject(&info(text))), 1, "{text}");
        }
    }

    #[test]
    fn one_file_or_a_folder() {
        let sound = info("Bagging-Date: 2026-11-25\n");
        let mut profile = read(PROFILE.as_bytes()).unwrap();
        let mut subject = subject(&sound);
        profile.serialization = Serialization::Forbidden;
        assert_eq!(check(&profile, &subject).len(), 1);
        subject.is_zip = false;
        assert_eq!(check(&profile, &subject).len(), 0);
        profile.serialization = Serialization::Required;
        assert_eq!(check(&profile, &subject).len(), 1);
        subject.is_zip = true;
        assert_eq!(check(&profile, &subject).len(), 0);
        // One thing is told once: a zip of a kind that is not taken, or no zip at all.
        profile.accept_serialization.clear();
        for one in [
            Serialization::Required,
            Serialization::Optional,
            Serialization::Forbidden,
        ] {
            profile.serialization = one;
            assert_eq!(check(&profile, &subject).len(), 1);
        }
    }

    #[test]
    fn every_audience_has_a_profile_that_takes_its_packages_alone() {
        for audience in Audience::ALL {
            let own = own(*audience).unwrap();
            let profile = read(own.text.as_bytes()).unwrap();
            let named = profile.info.get("BagIt-Profile-Identifier").unwrap();
            assert_eq!(named, own.identifier);
            let text = |word: &str| {
                format!(
                    "External-Description: x
External-Identifier: x
{AUDIENCE_LABEL}: {word}
Bagging-Date: 2026-11-25
Bag-Size: 6 bytes
Payload-Oxum: 6.1
Bag-Software-Agent: x
BagIt-Profile-Identifier: {}
",
                    own.identifier
                )
            };
            for other in Audience::ALL {
                let info = info(&text(other.word()));
                let mut subject = subject(&info);
                subject.tag_files.push("START-HERE.html".into());
                let faults = check(&profile, &subject).len();
                assert_eq!(faults, usize::from(other != audience), "{audience} {other}");
            }
        }
    }

    #[test]
    fn patterns() {
        assert!(matches("START-HERE.*", "START-HERE.html"));
        assert!(matches("*", "a/b"));
        assert!(matches("a?c", "abc"));
        assert!(!matches("a?c", "ac"));
        assert!(!matches("START-HERE.txt", "start-here.txt"));
        assert!(matches("*a*a*", "banana"));
    }
}
