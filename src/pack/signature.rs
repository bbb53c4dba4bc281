//! Signing: a signature beside each payload manifest, a text that says how to check it, and a signature of the receipt.
//!
//! The payload manifests are signed, and the signatures are listed in the tag manifests like every other file. The receipt names the
//! checksum of every manifest, and its signature so reaches the whole package.

use super::PackError;
use super::contents::Contents;
use crate::format::ssh_signature::ENDING;
use crate::format::ssh_signature::NAMESPACE;
use crate::format::ssh_signature::Signer;

/// The text that says how the signatures are checked.
const EXPLAINED: &str = "SIGNED.txt";

/// Writes the signature of one manifest beside it.
pub(super) fn beside(
    contents: &Contents<'_>,
    signer: &Signer,
    manifest: &str,
    text: &str,
) -> Result<(), PackError> {
    let signature = signer.sign(text.as_bytes())?;
    contents.write(&format!("{manifest}{ENDING}"), signature.as_bytes())
}

/// Writes the text that says what was signed, by which key, and how anybody checks it.
pub(super) fn explained(
    contents: &Contents<'_>,
    signer: &Signer,
    manifests: &[String],
) -> Result<(), PackError> {
    let text = words(signer, manifests)?;
    contents.write(EXPLAINED, text.as_bytes())
}

fn words(signer: &Signer, manifests: &[String]) -> Result<String, PackError> {
    let key = signer.public_key()?;
    let fingerprint = signer.fingerprint();
    let manifest = manifests.first().map_or("", String::as_str);
    let signed = manifests.join(" and ");
    Ok(format!(
        "This package is signed\n\n\
The lists of files in this folder were signed with a secret key:\n\n    \
{signed}\n\n\
The signatures stand beside them in files ending in {ENDING}.\n\n\
The key's fingerprint:\n\n    {fingerprint}\n\n\
A signature shows that the lists are as they were when somebody with that key\n\
signed them. It does not show who that is. Ask the giver, by telephone or in a\n\
letter, to read you the fingerprint of their key; never trust the one written\n\
here alone, since whoever makes a false package writes a false fingerprint too.\n\n\
To check it, on any computer with OpenSSH 8.1 or later:\n\n\
1. Write a text file \"signers\" beside this folder, not in it, with one line: the\n   \
word giver, a space, and the public key that the giver sent you. The key of\n   \
this package is\n\n\
giver {key}\n\n\
2. In this folder, type\n\n\
ssh-keygen -Y verify -f ../signers -I giver -n {NAMESPACE} -s {manifest}{ENDING} < {manifest}\n\n   \
(PowerShell knows no \"<\": use the Command Prompt there.) The answer begins\n   \
with: Good \"{NAMESPACE}\" signature.\n\n\
3. Then check the files against the list, as START-HERE.txt says.\n"
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_text_tells_key_command_and_limit() {
        let signer = Signer::read(include_bytes!("../format/ssh_signature/plain-key")).unwrap();
        let text = words(&signer, &["manifest-sha256.txt".to_owned()]).unwrap();
        assert!(text.contains(&signer.fingerprint()));
        assert!(text.contains("-s manifest-sha256.txt.sig < manifest-sha256.txt"));
        assert!(text.contains("It does not show who that is."));
        assert!(text.contains("\ngiver ssh-ed25519 AAAA"));
    }
}
