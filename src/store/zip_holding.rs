//! A package that is one zip file, read in place: nothing is unpacked.

use super::error::DiskErrors;
use super::error::StoreError;
use super::holding::Entry;
use super::holding::Holding;
use super::holding::ReadSeek;
use super::window::Window;
use crate::concern::ConcernList;
use crate::concern::Place;
use crate::format::bagit::layout::is_litter;
use crate::format::zip_directory;
use crate::format::zip_directory::Method;
use crate::portable_path;
use flate2::read::DeflateDecoder;
use std::fs::File;
use std::io;
use std::io::BufReader;
use std::io::Read;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;

/// An entry that swells more than this when read, and to more than [`BOMB_LENGTH`], was made to fill disks. Sheets and pages
/// reach about 1 : 20.
const BOMB_RATIO: u64 = 200;
const BOMB_LENGTH: u64 = 64 * 1024 * 1024;

/// A zip file as a holding.
#[derive(Debug)]
pub(super) struct ZipHolding {
    path: PathBuf,
    file: Arc<File>,
    name: String,
    entries: Vec<Entry>,
    /// For each of `entries`, what the zip's directory says; its name is no longer needed and empty.
    kept: Vec<zip_directory::Entry>,
    /// The folder at the top with its slash, or nothing.
    top: String,
    has_payload_folder: bool,
    concerns: ConcernList,
}

impl ZipHolding {
    pub(super) fn open(path: &Path) -> Result<Self, StoreError> {
        let source = super::source::open(path)?;
        drop(source);
        let mut file = File::open(path).while_doing("read", path)?;
        let listed = zip_directory::read(&mut file)
            .map_err(into_io)
            .while_doing("read", path)?;
        let mut concerns = ConcernList::default();
        let top = top_folder(&listed, &mut concerns);
        let name = match top.strip_suffix('/') {
            Some(name) => name.to_owned(),
            None => path.file_stem().map_or_else(
                || "package".to_owned(),
                |stem| stem.to_string_lossy().into_owned(),
            ),
        };
        let mut holding = Self {
            path: path.to_owned(),
            file: Arc::new(file),
            name,
            entries: Vec::new(),
            kept: Vec::new(),
            top,
            has_payload_folder: false,
            concerns,
        };
        holding.take_all(listed);
        Ok(holding)
    }

    fn take_all(&mut self, listed: Vec<zip_directory::Entry>) {
        let mut taken: Vec<(Box<str>, zip_directory::Entry)> = Vec::new();
        for mut entry in listed {
            let name = std::mem::take(&mut entry.name);
            if self.refuses(&name, &entry) {
                continue;
            }
            let Some(path) = name.strip_prefix(&self.top) else {
                continue;
            };
            self.has_payload_folder |= path.starts_with("data/");
            if !path.is_empty() && !path.ends_with('/') {
                let path = path.into();
                entry.name = name;
                taken.push((path, entry));
            }
        }
        taken.sort_by(|a, b| a.0.cmp(&b.0));
        self.tell_twice(&taken);
        taken.dedup_by(|later, first| later.0 == first.0);
        for (path, entry) in taken {
            self.entries.push(Entry { path });
            self.kept.push(entry);
        }
    }

    /// Tells of an entry that is never opened.
    fn refuses(&mut self, name: &str, entry: &zip_directory::Entry) -> bool {
        let swells = entry.length > BOMB_LENGTH
            && entry.length / BOMB_RATIO > entry.kept
            && entry.method != Method::Stored;
        let (code, what) = if let Some(why) = portable_path::leads_out(name) {
            (
                "zip-name-leads-out",
                format!("The name of this entry {why}."),
            )
        } else if entry.is_encrypted {
            ("zip-encrypted", "This entry needs a password.".to_owned())
        } else if entry.is_link {
            (
                "link-leads-out",
                "This entry is a link to another place.".to_owned(),
            )
        } else if swells {
            (
                "zip-bomb",
                format!(
                    "This entry would swell from {} to {} bytes, as in files made to do harm.",
                    entry.kept, entry.length
                ),
            )
        } else if let Method::Other(number) = entry.method {
            (
                "zip-method",
                format!("This entry is packed in a way that is not read here (number {number})."),
            )
        } else if entry.name_is_doubtful {
            (
                "name-not-unicode",
                "The name of this entry is in an alphabet that the zip does not tell.".to_owned(),
            )
        } else {
            return false;
        };
        self.concerns.stop(
            code,
            Place::file(name.to_owned()),
            format!("{what} It was not opened."),
            "Do not unpack this zip. Ask whoever sent it to make it anew, or take another copy.",
        );
        true
    }

    fn tell_twice(&mut self, sorted: &[(Box<str>, zip_directory::Entry)]) {
        for pair in sorted.windows(2) {
            if let [(first, _), (second, _)] = pair
                && first == second
            {
                self.concerns.stop(
                    "zip-name-twice",
                    Place::file(second.to_string()),
                    "The zip has two entries of this name; programs differ in which one they take.",
                    "Do not unpack this zip. Ask whoever sent it to make it anew, or take another copy.",
                );
            }
        }
    }

    fn stretch(&self, position: usize) -> Result<(&zip_directory::Entry, Window), StoreError> {
        let inside = || self.inside(position);
        let entry = self
            .kept
            .get(position)
            .ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
            .while_doing("read", &inside())?;
        let mut headers = Window::new(Arc::clone(&self.file), 0, u64::MAX);
        let start = zip_directory::data_start(&mut headers, entry)
            .map_err(into_io)
            .while_doing("read", &inside())?;
        let window = Window::new(Arc::clone(&self.file), start, entry.kept);
        Ok((entry, window))
    }

    /// Returns a path that names the zip and the entry in it.
    fn inside(&self, position: usize) -> PathBuf {
        let entry = self.entries.get(position).map_or("", |entry| &entry.path);
        self.path.join(entry)
    }
}

/// Finds the one folder at the top. Litter beside it does not count.
fn top_folder(listed: &[zip_directory::Entry], concerns: &mut ConcernList) -> String {
    let mut names = listed
        .iter()
        .map(|entry| &*entry.name)
        .filter(|name| !is_litter(name));
    let first = names.clone().next().unwrap_or_default();
    let top = first.split_once('/').map(|(top, _)| format!("{top}/"));
    if let Some(top) = top
        && names.all(|name| name.starts_with(&top))
    {
        return top;
    }
    concerns.warning(
        "zip-without-top-folder",
        Place::unknown(),
        "The zip does not hold one single folder, so that unpacking it strews files about.",
        "Unpack it into an empty folder of its own.",
    );
    String::new()
}

pub(super) fn into_io(fault: zip_directory::ZipFault) -> io::Error {
    match fault {
        zip_directory::ZipFault::Io(error) => error,
        other => io::Error::new(io::ErrorKind::InvalidData, other),
    }
}

impl Holding for ZipHolding {
    fn name(&self) -> &str {
        &self.name
    }

    fn location(&self) -> &Path {
        &self.path
    }

    fn is_zip(&self) -> bool {
        true
    }

    fn entries(&self) -> &[Entry] {
        &self.entries
    }

    fn has_payload_folder(&self) -> bool {
        self.has_payload_folder
    }

    fn concerns(&self) -> &ConcernList {
        &self.concerns
    }

    fn open(&self, position: usize) -> Result<Box<dyn Read + Send>, StoreError> {
        let (entry, window) = self.stretch(position)?;
        if entry.method == Method::Stored {
            return Ok(Box::new(window));
        }
        Ok(Box::new(Exactly {
            inner: inflate(window),
            left: entry.length,
        }))
    }

    fn open_anywhere(&self, position: usize) -> Result<Box<dyn ReadSeek>, StoreError> {
        let (entry, window) = self.stretch(position)?;
        if entry.method == Method::Stored {
            return Ok(Box::new(window));
        }
        let inside = self.inside(position);
        let mut unpacked = tempfile::tempfile().while_doing("write", &inside)?;
        let mut reader = Exactly {
            inner: inflate(window),
            left: entry.length,
        };
        io::copy(&mut reader, &mut unpacked).while_doing("read", &inside)?;
        io::Seek::rewind(&mut unpacked).while_doing("read", &inside)?;
        Ok(Box::new(unpacked))
    }

    fn length(&self, position: usize) -> Result<u64, StoreError> {
        let inside = || self.inside(position);
        self.kept
            .get(position)
            .map(|entry| entry.length)
            .ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
            .while_doing("read", &inside())
    }

    fn stated_crc(&self, position: usize) -> Option<u32> {
        self.kept.get(position).map(|entry| entry.crc)
    }
}

fn inflate(window: Window) -> DeflateDecoder<BufReader<Window>> {
    DeflateDecoder::new(BufReader::with_capacity(64 * 1024, window))
}

/// Gives an error as soon as an entry is longer or shorter than the zip's directory says.
struct Exactly<R> {
    inner: R,
    left: u64,
}

impl<R: Read> Read for Exactly<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if buffer.is_empty() {
            return Ok(0);
        }
        let count = self.inner.read(buffer)?;
        let after = self
            .left
            .checked_sub(u64::try_from(count).unwrap_or(u64::MAX));
        match after {
            Some(left) if count > 0 || left == 0 => {
                self.left = left;
                Ok(count)
            }
            _ => Err(io::Error::new(
                io::ErrorKind::InvalidData,
                "the entry is not as long as the zip says",
            )),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;
    use std::io::Write as _;
    use zip::CompressionMethod;
    use zip::ZipWriter;
    use zip::write::SimpleFileOptions;

    struct Sample {
        folder: tempfile::TempDir,
        bytes: Vec<u8>,
    }

    impl Sample {
        fn new(entries: &[(&str, &[u8])]) -> Self {
            let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
            for (index, (name, bytes)) in entries.iter().enumerate() {
                let method = [CompressionMethod::Stored, CompressionMethod::Deflated][index % 2];
                let options = SimpleFileOptions::default().compression_method(method);
                writer.start_file(*name, options).unwrap();
                writer.write_all(bytes).unwrap();
            }
            Self {
                folder: tempfile::tempdir().unwrap(),
                bytes: writer.finish().unwrap().into_inner(),
            }
        }

        /// Replaces every occurrence of some bytes by others of the same length.
        #[expect(clippy::arithmetic_side_effects, reason = "a test may fail loudly")]
        fn replace(mut self, old: &[u8], new: &[u8]) -> Self {
            assert_eq!(old.len(), new.len());
            for start in 0..=self.bytes.len() - old.len() {
                if self.bytes[start..].starts_with(old) {
                    self.bytes[start..start + new.len()].copy_from_slice(new);
                }
            }
            self
        }

        fn open(&self) -> Result<ZipHolding, StoreError> {
            let path = self.folder.path().join("sample.zip");
            std::fs::write(&path, &self.bytes).unwrap();
            ZipHolding::open(&path)
        }
    }

    #[test]
    fn stored_and_deflated_entries_read_alike() {
        let sample = Sample::new(&[("bag/bagit.txt", b"stored"), ("bag/data/a", b"deflated")]);
        let holding = sample.open().unwrap();
        assert_eq!(holding.name(), "bag");
        assert!(holding.has_payload_folder() && holding.concerns().is_empty());
        for (path, expected) in [("bagit.txt", "stored"), ("data/a", "deflated")] {
            let position = holding.position(path).unwrap();
            let mut text = String::new();
            holding
                .open(position)
                .unwrap()
                .read_to_string(&mut text)
                .unwrap();
            assert_eq!(text, expected);
            text.clear();
            let mut anywhere = holding.open_anywhere(position).unwrap();
            anywhere.seek(io::SeekFrom::Start(2)).unwrap();
            anywhere.read_to_string(&mut text).unwrap();
            assert_eq!(text, &expected[2..]);
            assert_eq!(
                holding.stated_crc(position),
                Some(crc32fast::hash(expected.as_bytes()))
            );
        }
    }

    #[test]
    fn names_that_climb_out_are_not_opened() {
        for name in ["bag/../../etc/x", "bag/..\\..\\etc\\xy"] {
            let sample = Sample::new(&[("bag/bagit.txt", b"a"), (name, b"b")]);
            let holding = sample.open().unwrap();
            assert!(holding.concerns().has("zip-name-leads-out"), "{name}");
            assert_eq!(holding.entries().len(), 1);
        }
    }

    #[test]
    fn two_entries_of_one_name_are_told() {
        let sample = Sample::new(&[("bag/a", b"1"), ("bag/b", b"2")]).replace(b"bag/b", b"bag/a");
        let holding = sample.open().unwrap();
        assert!(holding.concerns().has("zip-name-twice"));
    }

    #[test]
    fn an_entry_that_swells_beyond_reason_is_not_opened() {
        let zeros = vec![0; usize::try_from(BOMB_LENGTH).unwrap() + 1];
        let sample = Sample::new(&[("bag/bagit.txt", b"a"), ("bag/zeros", &zeros)]);
        let holding = sample.open().unwrap();
        assert!(holding.concerns().has("zip-bomb"));
        assert_eq!(holding.entries().len(), 1);
    }

    #[test]
    fn a_length_that_lies_is_an_error() {
        let sample = Sample::new(&[("bag/bagit.txt", b"a"), ("bag/b", b"0123456789")]);
        // The length stands behind the length as kept in both headers.
        let position = sample.open().unwrap().position("b").unwrap();
        for lie in [9_u32, 11] {
            let honest = 10_u32.to_le_bytes();
            let lying = Sample {
                folder: tempfile::tempdir().unwrap(),
                bytes: sample.bytes.clone(),
            }
            .replace(&honest, &lie.to_le_bytes());
            let holding = lying.open().unwrap();
            let mut bytes = Vec::new();
            assert!(
                holding
                    .open(position)
                    .unwrap()
                    .read_to_end(&mut bytes)
                    .is_err()
            );
            assert!(holding.open_anywhere(position).is_err());
        }
    }

    #[test]
    fn no_single_folder_at_the_top() {
        let sample = Sample::new(&[("bagit.txt", b"a"), ("data/b", b"b")]);
        let holding = sample.open().unwrap();
        assert!(holding.concerns().has("zip-without-top-folder"));
        assert_eq!(holding.name(), "sample");
        assert!(holding.position("data/b").is_some());
        let beside = Sample::new(&[("__MACOSX/._a", b"x"), ("bag/data/b", b"b")]);
        assert_eq!(beside.open().unwrap().name(), "bag");
    }
}
