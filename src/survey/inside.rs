//! What scans say already: read from their headers alone.

use crate::crew;
use crate::format::appearance::Inside;
use crate::format::container;
use crate::format::exif;
use crate::format::iim;
use crate::format::xmp;
use crate::store;
use std::collections::BTreeMap;
use std::path::Path;

/// Reads what each of these files of a collection says. Files that cannot be read or that get no record inside are left out: a
/// survey tells why. At most `threads` files are read at once.
#[must_use]
pub fn inside(root: &Path, files: &[String], threads: usize) -> BTreeMap<String, Inside> {
    let read = |file: &String| Some((file.clone(), inside_one(&root.join(file))?));
    let found = crew::share(files, threads, read);
    found.into_iter().flatten().collect()
}

fn inside_one(path: &Path) -> Option<Inside> {
    let mut source = store::open(path).ok()?;
    let anatomy = container::examine(&mut source).ok()?;
    if anatomy.refusal.is_some() {
        return None;
    }
    let packet = match anatomy.packet.as_deref().map(xmp::screen) {
        None => None,
        Some(Ok(text)) => Some(text.into_owned()),
        // With a packet that cannot be read, nothing is written into the file either.
        Some(Err(_)) => return None,
    };
    Some(Inside {
        exif: anatomy.exif.as_deref().map(exif::capture_facts),
        caption: anatomy.iim.as_deref().map(iim::read),
        packet,
    })
}
