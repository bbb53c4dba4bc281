//! The receipt: a short text to print and keep apart from the package, by which anybody can tell years later that it is the same.

use super::oxum::Oxum;
use crate::counting::counted;
use crate::fixity::Digest;

/// What a receipt says.
#[derive(Debug, Clone)]
pub struct Receipt<'a> {
    /// The name of the package.
    pub package: &'a str,
    /// The day on which it was made, year-month-day.
    pub made_on: &'a str,
    /// How much it holds.
    pub payload: Oxum,
    /// The name of each manifest and the checksum of the manifest file itself.
    pub manifests: &'a [(String, Digest)],
}

/// Writes the receipt. Checksums stand in groups of eight, so that they can be read aloud or compared with a finger on the paper.
#[must_use]
pub fn write(receipt: &Receipt<'_>) -> String {
    let mut text = format!(
        "Receipt\n\nPackage:  {}\nMade on:  {}\nHolds:    {} in {}\n\n",
        receipt.package,
        receipt.made_on,
        counted(receipt.payload.files, "file", "files"),
        counted(receipt.payload.bytes, "byte", "bytes"),
    );
    text.push_str(
        "Print this sheet or copy it by hand, and keep it apart from the package. If the checksums below\nare still the same, the lists of files are the same, and the lists vouch for every file.\n",
    );
    for (name, digest) in receipt.manifests {
        text.push_str(&format!("\n{name} ({})\n", spoken(digest)));
        let groups = digest.in_groups();
        let words: Vec<&str> = groups.split(' ').collect();
        for row in words.chunks(4) {
            text.push_str(&format!("    {}\n", row.join(" ")));
        }
    }
    text
}

fn spoken(digest: &Digest) -> String {
    digest
        .algorithm()
        .name()
        .to_ascii_uppercase()
        .replace("SHA", "SHA-")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;

    #[test]
    fn a_receipt_reads_like_this() {
        let manifests = [(
            "manifest-sha256.txt".to_owned(),
            Digest::of(Algorithm::Sha256, b""),
        )];
        let text = write(&Receipt {
            package: "trevanick-family",
            made_on: "2026-11-25",
            payload: Oxum {
                bytes: 1_234_567,
                files: 1,
            },
            manifests: &manifests,
        });
        assert!(text.contains("Holds:    1 file in 1,234,567 bytes\n"));
        assert!(text.contains(
            "manifest-sha256.txt (SHA-256)\n    e3b0c442 98fc1c14 9afbf4c8 996fb924\n    27ae41e4 649b934c a495991b 7852b855\n"
        ));
    }
}
