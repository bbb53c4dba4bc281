//! The plan: which lists hold, what they ask for, and from where each file can be had.
//!
//! Tag manifests are vouched for by nothing, so every version of them that any copy has is tried. A damaged one asks for checksums
//! that no file has, and drops out by itself; one that was cut short asks for less than another and gives way to that.

use super::CannotBeHad;
use super::MendError;
use super::stock::Place;
use super::stock::Stock;
use crate::audit::tag_files::is_payload;
use crate::concern::ConcernList;
use crate::fixity::Digest;
use crate::format::bagit::Declaration;
use crate::format::bagit::Manifest;
use crate::format::bagit::Part;
use crate::format::bagit::TagEncoding;
use crate::format::bagit::Version;
use crate::format::bagit::declaration;
use crate::format::bagit::layout::is_litter;
use crate::format::bagit::manifest;
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::collections::BTreeSet;

/// Combinations of tag manifests that are tried; copies beyond this many are damaged beyond reason.
const MOST_TRIED: usize = 256;

/// What a package needs and where it is.
#[derive(Debug, Default)]
pub(super) struct Plan {
    /// The places of each file, by its path in the new package; the first is taken unless it cannot be read.
    pub(super) files: BTreeMap<String, Vec<Place>>,
    /// The checksums that each file has to have.
    pub(super) digests: BTreeMap<String, Vec<Digest>>,
    pub(super) cannot_be_had: Vec<CannotBeHad>,
    pub(super) left_out: Vec<String>,
}

/// Chooses the lists that hold and plans by them.
pub(super) fn choose(stock: &Stock) -> Result<Plan, MendError> {
    let roots = roots(stock);
    if roots.is_empty() {
        return Err(MendError::NoManifest);
    }
    let mut plans: Vec<Plan> = combinations(stock, &roots)
        .into_iter()
        .filter_map(|combination| plan(stock, &combination))
        .collect();
    // What can be rebuilt, and asks for most, comes first.
    plans.sort_by_key(|plan| {
        let asked: usize = plan.digests.values().map(Vec::len).sum();
        (plan.cannot_be_had.len(), Reverse(asked))
    });
    let mut plans = plans.into_iter();
    let Some(mut best) = plans.next() else {
        return Err(MendError::NoManifest);
    };
    if best.cannot_be_had.is_empty() {
        for other in plans.filter(|other| other.cannot_be_had.is_empty()) {
            if let Some(path) = contradiction(&best, &other) {
                return Err(MendError::DifferentPackages { path });
            }
        }
    }
    best.cannot_be_had.sort();
    take_unlisted(stock, &mut best);
    Ok(best)
}

/// The lists from which everything else follows: the tag manifests, or the payload manifests of a bag without any.
fn roots(stock: &Stock) -> Vec<String> {
    let of = |tag: bool| -> Vec<String> {
        stock
            .tag_paths()
            .into_iter()
            .filter(|path| match Part::of(path, Version::V1_0) {
                Part::TagManifest { .. } => tag,
                Part::PayloadManifest { .. } => !tag,
                _ => false,
            })
            .map(str::to_owned)
            .collect()
    };
    let tag_manifests = of(true);
    if tag_manifests.is_empty() {
        of(false)
    } else {
        tag_manifests
    }
}

type Combination<'a> = Vec<(&'a str, Place)>;

fn combinations<'a>(stock: &Stock, roots: &'a [String]) -> Vec<Combination<'a>> {
    let mut all: Vec<Combination<'a>> = vec![Vec::new()];
    for path in roots {
        let variants = stock.variants(path);
        all = all
            .iter()
            .flat_map(|before| {
                variants.iter().map(move |place| {
                    let mut combination = before.clone();
                    combination.push((path.as_str(), *place));
                    combination
                })
            })
            .take(MOST_TRIED)
            .collect();
    }
    all
}

/// Plans by one combination of roots; nothing when one of them is no sound list.
fn plan(stock: &Stock, roots: &[(&str, Place)]) -> Option<Plan> {
    let mut plan = Plan::default();
    for (path, place) in roots {
        plan.files.insert((*path).to_owned(), vec![*place]);
        plan.digests
            .insert((*path).to_owned(), stock.digests_at(*place).to_vec());
    }
    // The declaration decides how lists are read, and is itself listed by the tag manifests; these are plain enough in most bags
    // to be read before it is known.
    let tag_lists = read_lists(
        stock,
        roots,
        Declaration {
            version: Version::V1_0,
            encoding: TagEncoding::UTF_8,
        },
    );
    let declared = declaration_of(stock, tag_lists.as_deref());
    let lists = read_lists(stock, roots, declared)?;
    ask(stock, &mut plan, &lists);
    let manifests: Vec<(String, Place)> = plan
        .files
        .iter()
        .filter(|(path, _)| {
            let is_root = roots.iter().any(|(root, _)| root == path);
            !is_root
                && matches!(
                    Part::of(path, declared.version),
                    Part::PayloadManifest { .. }
                )
        })
        .filter_map(|(path, places)| Some((path.clone(), *places.first()?)))
        .collect();
    let manifests: Vec<(&str, Place)> = manifests
        .iter()
        .map(|(path, place)| (path.as_str(), *place))
        .collect();
    let lists = read_lists(stock, &manifests, declared)?;
    ask(stock, &mut plan, &lists);
    Some(plan)
}

fn declaration_of(stock: &Stock, lists: Option<&[Manifest]>) -> Declaration {
    let listed: Vec<Digest> = lists
        .into_iter()
        .flatten()
        .filter_map(|list| list.digest_of(declaration::FILE))
        .collect();
    let place = stock
        .with_all(&listed)
        .first()
        .copied()
        .or_else(|| stock.variants(declaration::FILE).first().copied());
    let bytes = place.and_then(|place| stock.bytes(place));
    bytes.map_or_else(Declaration::default, |bytes| {
        declaration::read(&bytes, &mut ConcernList::default())
    })
}

/// Reads lists from their places; nothing when one breaks a rule, since then it is damaged.
fn read_lists(
    stock: &Stock,
    lists: &[(&str, Place)],
    declared: Declaration,
) -> Option<Vec<Manifest>> {
    lists
        .iter()
        .map(|(path, place)| {
            let reader = stock.holding(*place)?.open(place.position).ok()?;
            let mut concerns = ConcernList::default();
            let list = manifest::read(
                reader,
                path,
                declared.version,
                declared.encoding,
                &mut concerns,
            );
            list.ok().filter(|_| !concerns.has_stop())
        })
        .collect()
}

/// Adds what lists ask for: each file by all checksums that any of them has.
fn ask(stock: &Stock, plan: &mut Plan, lists: &[Manifest]) {
    let mut wanted: BTreeMap<&str, Vec<Digest>> = BTreeMap::new();
    for list in lists {
        for (position, path) in list.paths().enumerate() {
            let digests = wanted.entry(path).or_default();
            digests.extend(list.digest(position));
        }
    }
    for (path, digests) in wanted {
        let places = stock.with_all(&digests);
        if places.is_empty() {
            plan.cannot_be_had.push(CannotBeHad {
                path: path.to_owned(),
                why: why(stock, path, &digests).to_owned(),
            });
        } else {
            plan.files.insert(path.to_owned(), places);
        }
        plan.digests.insert(path.to_owned(), digests);
    }
}

fn why(stock: &Stock, path: &str, digests: &[Digest]) -> &'static str {
    if digests.is_empty() {
        "its checksums are of a kind that is not known here"
    } else if stock.variants(path).is_empty() {
        "no copy has it, or it cannot be read in any"
    } else {
        "it was changed in every copy that has it"
    }
}

/// Returns a path for which no file would do for both plans. A plan that merely asks for less does not contradict.
fn contradiction(best: &Plan, other: &Plan) -> Option<String> {
    let differs = |(path, places): &(&String, &Vec<Place>)| {
        // Tag manifests of two plans differ by themselves; what they say of other files counts.
        let is_root = matches!(Part::of(path, Version::V1_0), Part::TagManifest { .. });
        let chosen = best.files.get(*path).filter(|_| !is_root);
        chosen.is_some_and(|chosen| !chosen.iter().any(|place| places.contains(place)))
    };
    other
        .files
        .iter()
        .find(differs)
        .map(|(path, _)| path.clone())
}

/// Tag files that no list names are taken when all copies that have them agree; nothing vouches for them otherwise.
fn take_unlisted(stock: &Stock, plan: &mut Plan) {
    let unlisted: BTreeSet<&str> = stock
        .tag_paths()
        .into_iter()
        .filter(|path| !plan.digests.contains_key(*path) && !is_litter(path) && !is_payload(path))
        .collect();
    for path in unlisted {
        match stock.variants(path).as_slice() {
            [place] => {
                plan.files.insert(path.to_owned(), vec![*place]);
                plan.digests
                    .insert(path.to_owned(), stock.digests_at(*place).to_vec());
            }
            _ => plan.left_out.push(path.to_owned()),
        }
    }
}
