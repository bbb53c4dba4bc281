//! Writing manifests in the one form that every checker reads, `sha256sum -c` and its like included.

use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::portable_path::PortablePath;
use std::borrow::Cow;
use std::fmt::Write as _;

/// Returns the name of a payload manifest, for example `manifest-sha256.txt`.
#[must_use]
pub fn file_name(algorithm: Algorithm) -> String {
    format!("manifest-{algorithm}.txt")
}

/// Returns the name of a tag manifest, for example `tagmanifest-sha256.txt`.
#[must_use]
pub fn tag_file_name(algorithm: Algorithm) -> String {
    format!("tagmanifest-{algorithm}.txt")
}

/// Writes a manifest: one line per file in the order of the paths, LF at the end of each, two blanks between.
#[must_use]
pub fn write<'a>(entries: impl IntoIterator<Item = (&'a PortablePath, &'a Digest)>) -> String {
    let mut sorted: Vec<(&PortablePath, &Digest)> = entries.into_iter().collect();
    sorted.sort();
    sorted
        .into_iter()
        .fold(String::new(), |mut text, (path, digest)| {
            // Writing to a String cannot fail.
            let _ = writeln!(text, "{digest}  {}", encoded(path.as_str()));
            text
        })
}

/// Encodes LF, CR and `%`, and nothing else. // [RFC8493 2.1.3]
#[must_use]
pub fn encode_path(path: &str) -> String {
    encoded(path).into_owned()
}

fn encoded(path: &str) -> Cow<'_, str> {
    if !path.contains(['%', '\n', '\r']) {
        return Cow::Borrowed(path);
    }
    let encoded = path
        .replace('%', "%25")
        .replace('\n', "%0A")
        .replace('\r', "%0D");
    Cow::Owned(encoded)
}
