//! The files that are measured on: many small ones, few large ones, with contents that no disk can pack or join.

use kithbag::fixity::Algorithm;
use kithbag::fixity::digest_all;
use kithbag::format::bagit::declaration;
use kithbag::format::bagit::manifest;
use kithbag::portable_path::PortablePath;
use std::fs;
use std::fs::File;
use std::io::BufWriter;
use std::io::Write;
use std::path::Path;
use std::path::PathBuf;

/// All data sets.
pub(crate) struct Sets {
    /// A: few large files.
    pub(crate) large: Set,
    /// C: many small files.
    pub(crate) small: Set,
    /// A tenth of C.
    pub(crate) tenth: Set,
    /// A8: eight of A.
    pub(crate) eight: Set,
    /// C20: a fifth of C.
    pub(crate) fifth: Set,
    /// C20 once more, in memory.
    pub(crate) fifth_in_memory: Option<Set>,
}

/// One data set: a folder of files, and bags that hold them by hard links.
pub(crate) struct Set {
    folder: PathBuf,
}

impl Sets {
    /// Makes the data sets at a scale, or takes those that a run before left in the same folder.
    pub(crate) fn make(work: &Path, memory: Option<&Path>, scale: f64) -> Self {
        let large = (150_000_000.0 * scale) as u64;
        let small = (100_000.0 * scale) as u64;
        Self {
            large: Set::make(&work.join(format!("large-{large}")), 20, large),
            small: Set::make(&work.join(format!("small-{small}")), small, 8192),
            tenth: Set::make(
                &work.join(format!("small-{}", small / 10)),
                small / 10,
                8192,
            ),
            eight: Set::make(&work.join(format!("eight-{large}")), 8, large),
            fifth: Set::make(&work.join(format!("small-{}", small / 5)), small / 5, 8192),
            fifth_in_memory: memory.map(|memory| Set::make(&memory.join("small"), small / 5, 8192)),
        }
    }
}

impl Set {
    fn make(folder: &Path, count: u64, length: u64) -> Self {
        let done = folder.join("done");
        if !done.exists() {
            let _ = fs::remove_dir_all(folder);
            for number in 0..count {
                let path = folder.join("files").join(below(number));
                fs::create_dir_all(path.parent().unwrap()).unwrap();
                write(&path, number, length);
            }
            fs::write(done, "").unwrap();
        }
        Self {
            folder: folder.to_owned(),
        }
    }

    /// Returns the folder of the files.
    pub(crate) fn files(&self) -> PathBuf {
        self.folder.join("files")
    }

    /// Returns a bag of the files with manifests of these algorithms.
    pub(crate) fn bag(&self, algorithms: &[Algorithm]) -> PathBuf {
        let names: Vec<&str> = algorithms.iter().map(|one| one.name()).collect();
        let bag = self.folder.join(format!("bag-{}", names.join("-")));
        if bag.join(declaration::FILE).exists() {
            return bag;
        }
        let _ = fs::remove_dir_all(&bag);
        let mut lists = vec![Vec::new(); algorithms.len()];
        let mut tags = vec![Vec::new(); algorithms.len()];
        for path in files(&self.folder.join("files")) {
            let name = path.strip_prefix(self.folder.join("files")).unwrap();
            let name = format!("data/{}", name.to_str().unwrap());
            let target = bag.join(&name);
            fs::create_dir_all(target.parent().unwrap()).unwrap();
            fs::hard_link(&path, target).unwrap();
            list(&path, &name, algorithms, &mut lists);
        }
        for (algorithm, entries) in algorithms.iter().zip(&lists) {
            let name = manifest::file_name(*algorithm);
            let text = manifest::write(entries.iter().map(|(path, digest)| (path, digest)));
            fs::write(bag.join(&name), text).unwrap();
            list(&bag.join(&name), &name, algorithms, &mut tags);
        }
        fs::write(bag.join(declaration::FILE), declaration::TEXT).unwrap();
        list(
            &bag.join(declaration::FILE),
            declaration::FILE,
            algorithms,
            &mut tags,
        );
        for (algorithm, entries) in algorithms.iter().zip(&tags) {
            let text = manifest::write(entries.iter().map(|(path, digest)| (path, digest)));
            fs::write(bag.join(manifest::tag_file_name(*algorithm)), text).unwrap();
        }
        bag
    }
}

type Entry = (PortablePath, kithbag::fixity::Digest);

fn list(path: &Path, name: &str, algorithms: &[Algorithm], lists: &mut [Vec<Entry>]) {
    let (digests, _) = digest_all(File::open(path).unwrap(), algorithms).unwrap();
    for (entries, digest) in lists.iter_mut().zip(digests) {
        entries.push((PortablePath::new(name).unwrap(), digest));
    }
}

/// A hundred files in a folder.
fn below(number: u64) -> String {
    format!("{:04}/{number:06}.bin", number / 100)
}

/// Writes numbers that look like chance and are the same each time. [Steele, Lea, Flood, "Fast splittable generators", 2014]
fn write(path: &Path, seed: u64, length: u64) {
    let mut file = BufWriter::with_capacity(1 << 20, File::create(path).unwrap());
    let mut state = seed.wrapping_mul(0x2545_F491_4F6C_DD1D);
    for _ in 0..length / 8 {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = state;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        file.write_all(&(mixed ^ (mixed >> 31)).to_le_bytes())
            .unwrap();
    }
    file.flush().unwrap();
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(files(&path));
        } else {
            found.push(path);
        }
    }
    found.sort();
    found
}
