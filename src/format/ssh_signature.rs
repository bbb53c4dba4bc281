//! Signatures by SSH keys, in the open form that stock `ssh-keygen -Y sign` writes and `ssh-keygen -Y verify` checks.
//! [PROTOCOL.sshsig, OpenSSH 8.1 and later]
//!
//! A signature shows that whoever had the secret key agreed to exactly these bytes. Whose key it is, a signature cannot show.

use ssh_key::Algorithm;
use ssh_key::EcdsaCurve;
use ssh_key::HashAlg;
use ssh_key::LineEnding;
use ssh_key::PrivateKey;
use ssh_key::PublicKey;
use ssh_key::SshSig;
use std::fmt;

/// What the signed bytes are, as both sides have to say: the word that OpenSSH's manual proposes for files.
/// [ssh-keygen(1), -Y sign]
pub const NAMESPACE: &str = "file";

/// The ending that `ssh-keygen -Y sign` gives a signature beside the signed file. [ssh-keygen(1), -Y sign]
pub const ENDING: &str = ".sig";

/// A secret key that signs.
#[derive(Clone)]
pub struct Signer {
    key: PrivateKey,
}

/// Why a key cannot sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum KeyFault {
    /// The file holds no SSH key.
    #[error("it is not a secret SSH key")]
    NotAKey,
    /// The key is locked.
    #[error("it is locked by a pass phrase, which kithbag does not ask for")]
    Locked,
    /// A kind of key that is not handled here.
    #[error(
        "it is a kind of key that kithbag does not sign with (it knows ed25519 and ecdsa-sha2-nistp256)"
    )]
    Kind,
    /// The key did not sign.
    #[error("it refused to sign")]
    Refused,
}

/// What a signature says when it fits.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Signed {
    /// The fingerprint of the key, as `ssh-keygen -l` shows it.
    pub fingerprint: String,
}

/// Why a signature proves nothing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum SignatureFault {
    /// The file is no signature.
    #[error("it is not a signature, or was damaged")]
    Unreadable,
    /// The signature is of other bytes.
    #[error("it is the signature of something else")]
    Other,
    /// A kind of key that is not handled here.
    #[error("it was made by a kind of key that kithbag does not know; ssh-keygen may know it")]
    Kind,
}

impl Signer {
    /// Reads a secret key in OpenSSH's own form.
    ///
    /// # Errors
    /// Says why the key cannot sign.
    pub fn read(text: &[u8]) -> Result<Self, KeyFault> {
        let key = PrivateKey::from_openssh(text).map_err(|_| KeyFault::NotAKey)?;
        if key.is_encrypted() {
            return Err(KeyFault::Locked);
        }
        if is_known(&key.algorithm()) {
            Ok(Self { key })
        } else {
            Err(KeyFault::Kind)
        }
    }

    /// Signs these bytes. The same key and bytes give the same signature.
    ///
    /// # Errors
    /// Says that the key refused.
    pub fn sign(&self, bytes: &[u8]) -> Result<String, KeyFault> {
        let signature = self
            .key
            .sign(NAMESPACE, HashAlg::Sha512, bytes)
            .map_err(|_| KeyFault::Refused)?;
        signature
            .to_pem(LineEnding::LF)
            .map_err(|_| KeyFault::Refused)
    }

    /// Returns the fingerprint, as `ssh-keygen -l` shows it.
    #[must_use]
    pub fn fingerprint(&self) -> String {
        self.key.fingerprint(HashAlg::Sha256).to_string()
    }

    /// Returns the public key as one line without a comment: comments hold names of people and computers.
    ///
    /// # Errors
    /// Says that the key cannot be written.
    pub fn public_key(&self) -> Result<String, KeyFault> {
        let public = PublicKey::from(self.key.public_key().key_data().clone());
        public.to_openssh().map_err(|_| KeyFault::Refused)
    }
}

impl fmt::Debug for Signer {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "Signer({})", self.fingerprint())
    }
}

/// Checks that a signature is of these bytes, by the key that it names itself.
///
/// # Errors
/// Says why the signature proves nothing.
pub fn check(signature: &[u8], bytes: &[u8]) -> Result<Signed, SignatureFault> {
    let signature = SshSig::from_pem(signature).map_err(|_| SignatureFault::Unreadable)?;
    if !is_known(&signature.algorithm()) {
        return Err(SignatureFault::Kind);
    }
    let key = PublicKey::from(signature.public_key().clone());
    key.verify(NAMESPACE, bytes, &signature)
        .map_err(|_| SignatureFault::Other)?;
    Ok(Signed {
        fingerprint: key.fingerprint(HashAlg::Sha256).to_string(),
    })
}

const fn is_known(algorithm: &Algorithm) -> bool {
    matches!(
        algorithm,
        Algorithm::Ed25519
            | Algorithm::Ecdsa {
                curve: EcdsaCurve::NistP256
            }
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keys made by `ssh-keygen` (OpenSSH 9.2) for these tests alone.
    const PLAIN: &[u8] = include_bytes!("ssh_signature/plain-key");
    const LOCKED: &[u8] = include_bytes!("ssh_signature/locked-key");
    /// `printf 'hello\n' | ssh-keygen -Y sign -f plain-key -n file`
    const STOCK: &[u8] = include_bytes!("ssh_signature/hello.sig");

    #[test]
    fn a_stock_signature_fits_and_ours_is_the_same() {
        let signer = Signer::read(PLAIN).unwrap();
        let signed = check(STOCK, b"hello\n").unwrap();
        assert_eq!(signed.fingerprint, signer.fingerprint());
        assert_eq!(signer.sign(b"hello\n").unwrap().as_bytes(), STOCK);
    }

    #[test]
    fn another_text_does_not_fit() {
        assert_eq!(check(STOCK, b"hello"), Err(SignatureFault::Other));
        assert_eq!(
            check(b"-----BEGIN", b"hello"),
            Err(SignatureFault::Unreadable)
        );
    }

    #[test]
    fn every_flipped_byte_of_a_signature_is_noticed() {
        for at in 0..STOCK.len() {
            let mut harmed = STOCK.to_vec();
            harmed[at] ^= 0x01;
            let verdict = check(&harmed, b"hello\n");
            assert!(verdict.is_err() || decodes_alike(&harmed), "byte {at}");
        }
    }

    /// The last characters of a base64 text hold bits that mean nothing, and line ends may differ.
    fn decodes_alike(harmed: &[u8]) -> bool {
        SshSig::from_pem(harmed).is_ok_and(|read| Ok(read) == SshSig::from_pem(STOCK))
    }

    #[test]
    fn keys_that_cannot_sign_say_why() {
        assert_eq!(Signer::read(LOCKED).unwrap_err(), KeyFault::Locked);
        assert_eq!(Signer::read(b"hello").unwrap_err(), KeyFault::NotAKey);
    }

    #[test]
    fn the_public_key_names_nobody() {
        let line = Signer::read(PLAIN).unwrap().public_key().unwrap();
        assert!(line.starts_with("ssh-ed25519 AAAA") && line.split(' ').count() == 2);
        assert!(!format!("{:?}", Signer::read(PLAIN).unwrap()).contains("PRIVATE"));
    }
}
