//! What a package holds while it is being written: every file with its checksums, worked out from the bytes as they pass.

use super::PackError;
use super::follow::Following;
use crate::fixity::Algorithm;
use crate::fixity::Digest;
use crate::fixity::READ_BUFFER;
use crate::fixity::ReadBuffer;
use crate::fixity::Running;
use crate::portable_path::PortablePath;
use crate::store;
use crate::store::staging::StagedFile;
use crate::store::staging::Staging;
use crate::store::zip_writer::ZipPackage;
use std::collections::BTreeMap;
use std::io;
use std::io::Read;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::MutexGuard;
use std::sync::PoisonError;

/// Collects the files of a package. Several threads may add at once; the list is always in the order of the names.
#[derive(Debug)]
pub(super) struct Contents<'a> {
    staging: &'a Staging,
    /// The folder of this package within the staging folder, with its slash; empty when it is the staging folder itself.
    folder: String,
    algorithms: &'a [Algorithm],
    files: Files,
    /// The zip into which originals go straight, where there is one.
    zip: Mutex<Option<Zipping>>,
}

/// One file of a package.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Packed {
    /// One checksum per algorithm, in the order asked for.
    pub(super) digests: Vec<Digest>,
    /// Length in bytes.
    pub(super) bytes: u64,
    /// Whether it went straight into the zip and is not in the staging folder.
    pub(super) is_direct: bool,
}

impl Packed {
    /// Returns the checksum of this algorithm.
    pub(super) fn digest(&self, algorithm: Algorithm) -> Option<&Digest> {
        self.digests
            .iter()
            .find(|digest| digest.algorithm() == algorithm)
    }
}

/// A zip that is being written, and what reads it back meanwhile.
#[derive(Debug)]
pub(super) struct Zipping {
    pub(super) zip: ZipPackage,
    pub(super) following: Following,
}

/// The list of files, shared with whoever looks at it, so that a hundred thousand files are not listed twice.
#[derive(Debug, Clone, Default)]
pub(super) struct Files(Arc<Mutex<Arc<BTreeMap<String, Packed>>>>);

impl Files {
    fn list(&self) -> Arc<BTreeMap<String, Packed>> {
        Arc::clone(&locked(&self.0))
    }

    fn add(&self, path: &str, packed: Packed) {
        Arc::make_mut(&mut locked(&self.0)).insert(path.to_owned(), packed);
    }

    /// Returns the checksum of a file.
    pub(super) fn digest(&self, path: &str, algorithm: Algorithm) -> Option<Digest> {
        let files = locked(&self.0);
        files.get(path)?.digest(algorithm).cloned()
    }
}

impl<'a> Contents<'a> {
    pub(super) fn new(staging: &'a Staging, algorithms: &'a [Algorithm]) -> Self {
        Self {
            staging,
            folder: String::new(),
            algorithms,
            files: Files::default(),
            zip: Mutex::new(None),
        }
    }

    /// Begins the zip into which originals go straight.
    pub(super) fn begin_zip(&self, path: &Path, name: &str) -> Result<(), PackError> {
        let zipping = self.zipping(path, name)?;
        *locked(&self.zip) = Some(zipping);
        Ok(())
    }

    fn zipping(&self, path: &Path, name: &str) -> Result<Zipping, PackError> {
        let zip = ZipPackage::beside(path, name)?;
        let following = Following::begin(&zip, self.files.clone(), self.algorithms)?;
        Ok(Zipping { zip, following })
    }

    /// Tells whether originals go straight into a zip.
    pub(super) fn has_zip(&self) -> bool {
        locked(&self.zip).is_some()
    }

    /// Returns the zip, as far as it was written, or begins it.
    pub(super) fn take_zip(&self, path: &Path, name: &str) -> Result<Zipping, PackError> {
        let begun = locked(&self.zip).take();
        begun.map_or_else(|| self.zipping(path, name), Ok)
    }

    /// Writes into the zip.
    pub(super) fn with_zip(
        &self,
        write: impl FnOnce(&mut ZipPackage) -> Result<Packed, PackError>,
    ) -> Result<Packed, PackError> {
        match locked(&self.zip).as_mut() {
            Some(zipping) => write(&mut zipping.zip),
            None => Err(PackError::write(
                self.staging.folder(),
                io::Error::other("no zip was begun"),
            )),
        }
    }

    pub(super) const fn algorithms(&self) -> &'a [Algorithm] {
        self.algorithms
    }

    /// Begins a package in a folder within the same staging folder.
    pub(super) fn of_part(&self, name: &str) -> Self {
        Self {
            folder: format!("{name}/"),
            ..Self::new(self.staging, self.algorithms)
        }
    }

    /// Moves a file from another package within the same staging folder to this one; it is not written again.
    pub(super) fn take_over(
        &self,
        other: &Self,
        path: &str,
        packed: Packed,
    ) -> Result<(), PackError> {
        self.staging
            .move_file(&other.staged(path)?, &self.staged(path)?)?;
        self.add(path, packed);
        Ok(())
    }

    /// Writes one file from memory.
    pub(super) fn write(&self, path: &str, bytes: &[u8]) -> Result<(), PackError> {
        let mut file = self.begin(path, 0)?;
        file.write_all(bytes)?;
        file.finish()
    }

    /// Takes in a file that was written into the staging folder by other means: it is read for its checksums.
    pub(super) fn take_in(&self, path: &PortablePath) -> Result<(), PackError> {
        let place = self.place_of(path);
        let mut file = store::open(&place)?;
        let mut running: Vec<Running> = self.algorithms.iter().copied().map(Running::new).collect();
        let mut bytes = 0_u64;
        let mut buffer = ReadBuffer::of(READ_BUFFER);
        loop {
            let count = file
                .read(&mut buffer)
                .map_err(|error| PackError::read(&place, error))?;
            if count == 0 {
                break;
            }
            let read = buffer.get(..count).unwrap_or_default();
            running.iter_mut().for_each(|one| one.update(read));
            bytes = bytes.saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
        }
        let digests = running.into_iter().map(Running::finish).collect();
        self.adopt(path.as_str(), digests, bytes);
        Ok(())
    }

    /// Forces everything that was written to the disk.
    pub(super) fn force(&self) -> Result<(), PackError> {
        Ok(self.staging.force()?)
    }

    /// Tells whether the files can be read here and there at no loss.
    pub(super) fn seek_freely(&self) -> bool {
        store::seeks_freely(self.staging.folder())
    }

    /// Returns the place for a file that is written by other means.
    pub(super) fn make_way(&self, path: &PortablePath) -> Result<PathBuf, PackError> {
        Ok(self.staging.make_way(path)?)
    }

    /// Returns where a file is until the package gets its name.
    pub(super) fn place_of(&self, path: &PortablePath) -> PathBuf {
        self.staging.folder().join(format!("{}{path}", self.folder))
    }

    /// Returns a path in the package as one in the staging folder.
    fn staged(&self, path: &str) -> Result<PortablePath, PackError> {
        let name = |path: &str| {
            PortablePath::new(path).map_err(|why| PackError::Name {
                name: path.to_owned(),
                why,
            })
        };
        if self.folder.is_empty() {
            return name(path);
        }
        name(path)?;
        name(&format!("{}{path}", self.folder))
    }

    /// Takes in a file that another stage wrote into the staging folder.
    pub(super) fn adopt(&self, path: &str, digests: Vec<Digest>, bytes: u64) {
        self.add(
            path,
            Packed {
                digests,
                bytes,
                is_direct: false,
            },
        );
    }

    /// Returns the files so far, by name. Let go of it before more are added, or the whole list is copied.
    pub(super) fn files(&self) -> Arc<BTreeMap<String, Packed>> {
        self.files.list()
    }

    /// Begins a file with the rights of an original, or with those that new files have for 0.
    pub(super) fn begin(&self, path: &str, mode: u32) -> Result<Writing<'_, 'a>, PackError> {
        let staged = self.staging.create_as(&self.staged(path)?, mode)?;
        Ok(Writing {
            contents: self,
            path: path.to_owned(),
            staged,
            running: self.algorithms.iter().copied().map(Running::new).collect(),
            bytes: 0,
        })
    }

    /// Takes in a file that was written.
    pub(super) fn add(&self, path: &str, packed: Packed) {
        self.files.add(path, packed);
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A file that is being written into a package.
pub(super) struct Writing<'c, 'a> {
    contents: &'c Contents<'a>,
    path: String,
    staged: StagedFile,
    pub(super) running: Vec<Running>,
    bytes: u64,
}

impl Writing<'_, '_> {
    fn write_all(&mut self, bytes: &[u8]) -> Result<(), PackError> {
        self.write_only(bytes)?;
        self.running.iter_mut().for_each(|one| one.update(bytes));
        Ok(())
    }

    /// Writes bytes whose checksums are worked out by the caller.
    pub(super) fn write_only(&mut self, bytes: &[u8]) -> Result<(), PackError> {
        self.staged
            .write_all(bytes)
            .map_err(|error| PackError::write(self.staged.path(), error))?;
        self.bytes = self
            .bytes
            .saturating_add(u64::try_from(bytes.len()).unwrap_or(u64::MAX));
        Ok(())
    }

    pub(super) fn finish(self) -> Result<(), PackError> {
        self.staged.finish()?;
        let digests = self.running.into_iter().map(Running::finish).collect();
        self.contents.add(
            &self.path,
            Packed {
                digests,
                bytes: self.bytes,
                is_direct: false,
            },
        );
        Ok(())
    }
}
