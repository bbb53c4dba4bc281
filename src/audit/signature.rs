//! Signatures beside manifests: whether each is of the manifest as it is now, and by which key.

use super::tag_files;
use super::tag_files::is_payload;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::ssh_signature;
use crate::format::ssh_signature::ENDING;
use crate::format::ssh_signature::SignatureFault;
use crate::store::Holding;

/// Checks every signature that stands beside a manifest. That there is none is no concern.
pub(super) fn check(holding: &dyn Holding, concerns: &mut ConcernList) {
    for entry in holding.entries() {
        let signed = entry.path.strip_suffix(ENDING);
        if let Some(signed) = signed.filter(|signed| is_manifest(signed)) {
            check_one(holding, &entry.path, signed, concerns);
        }
    }
}

fn is_manifest(path: &str) -> bool {
    !is_payload(path) && super::bag::own_algorithm(path).is_some()
}

fn check_one(holding: &dyn Holding, signature: &str, signed: &str, concerns: &mut ConcernList) {
    let Some(proof) = tag_files::bytes(holding, signature, concerns) else {
        return;
    };
    if holding.position(signed).is_none() {
        return concerns.stop(
            "signature-without-list",
            Place::file(signature),
            format!("This is the signature of {signed}, which is not there."),
            "Take the missing file from another copy of the package.",
        );
    }
    let Some(bytes) = tag_files::bytes(holding, signed, concerns) else {
        return;
    };
    match ssh_signature::check(&proof, &bytes) {
        Ok(good) => concerns.note(
            "signed",
            Place::file(signed),
            format!("It is as it was when it was signed with the key {}.", good.fingerprint),
            "Whose key that is, nobody can read from it: ask the giver, by telephone or letter, for the fingerprint of their key.",
        ),
        Err(SignatureFault::Kind) => concerns.warning(
            "signature-not-checked",
            Place::file(signature),
            format!("The signature was not checked: {}.", SignatureFault::Kind),
            "Check it with ssh-keygen -Y verify.",
        ),
        Err(fault) => concerns.stop(
            "signature-does-not-fit",
            Place::file(signature),
            format!("The signature does not fit {signed}: {fault}."),
            "Somebody changed the list of files or the signature after signing. Compare with another copy, and ask the giver.",
        ),
    }
}
