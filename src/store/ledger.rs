//! The ledger: a file to which lines are added and from which none is ever taken.

use super::error::DiskErrors;
use super::error::StoreError;
use std::fs::OpenOptions;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::io::Write;
use std::path::Path;

/// Longest ledger that is read: a million lines.
const LONGEST: u64 = 512 * 1024 * 1024;

/// Returns the text of a ledger; that of one that is not there yet is empty. Bytes that are no text are replaced.
///
/// # Errors
/// Gives the path when it cannot be read.
pub fn read(path: &Path) -> Result<String, StoreError> {
    if !super::source::exists(path) {
        return Ok(String::new());
    }
    let bytes = super::source::read_limited(path, LONGEST)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

/// Adds lines to a ledger, making it when it is not there, and forces them to the disk. A line that was cut off by a crash is ended
/// first, so that only that line is lost.
///
/// # Errors
/// Gives the path when it cannot be written.
pub fn append(path: &Path, lines: &[String]) -> Result<(), StoreError> {
    let mut file = OpenOptions::new()
        .read(true)
        .append(true)
        .create(true)
        .open(path)
        .while_doing("write", path)?;
    let mut text = String::new();
    if !ends_well(&mut file).while_doing("read", path)? {
        text.push('\n');
    }
    for line in lines {
        text.push_str(line);
        text.push('\n');
    }
    file.write_all(text.as_bytes()).while_doing("write", path)?;
    file.sync_data().while_doing("write", path)
}

fn ends_well(file: &mut std::fs::File) -> std::io::Result<bool> {
    if file.seek(SeekFrom::End(0))? == 0 {
        return Ok(true);
    }
    file.seek(SeekFrom::End(-1))?;
    let mut last = [0];
    file.read_exact(&mut last)?;
    Ok(last == *b"\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_only_ever_added() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.jsonl");
        assert_eq!(read(&path).unwrap(), "");
        append(&path, &["one".into(), "two".into()]).unwrap();
        append(&path, &["three".into()]).unwrap();
        assert_eq!(read(&path).unwrap(), "one\ntwo\nthree\n");
    }

    #[test]
    fn a_line_that_was_cut_off_spoils_no_other() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("ledger.jsonl");
        std::fs::write(&path, "one\n{\"cut").unwrap();
        append(&path, &["three".into()]).unwrap();
        assert_eq!(read(&path).unwrap(), "one\n{\"cut\nthree\n");
    }
}
