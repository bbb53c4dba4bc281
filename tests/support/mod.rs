//! What several tests need: bags built on the spot, damage done to them, and their audit.

#![allow(
    dead_code,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may fail loudly, and not every test uses every part"
)]

use kithbag::audit;
use kithbag::audit::AuditOptions;
use kithbag::audit::AuditReport;
use kithbag::fixity::Algorithm;
use kithbag::fixity::Digest;
use kithbag::portable_path::PortablePath;
use kithbag::progress::Silent;
use kithbag::store::zip_writer::Keep;
use kithbag::store::zip_writer::ZipPackage;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::path::PathBuf;
use std::process::Command;
use std::process::Output;

/// Runs the program with these words and without colours.
pub(crate) fn program(words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_kithbag"))
        .args(words)
        .env("NO_COLOR", "1")
        .output()
        .unwrap()
}

/// Where the material lies that is shared with other projects, when it is there.
pub(crate) fn shared(path: &str) -> Option<PathBuf> {
    let Some(root) = std::env::var_os("KITHBAG_SHARED") else {
        println!("not run: KITHBAG_SHARED is not set");
        return None;
    };
    let full = Path::new(&root).join(path);
    assert!(full.exists(), "{} is not there", full.display());
    Some(full)
}

/// A bag that is being built in memory. Manifests are worked out when it is written, unless a test sets them.
#[derive(Debug, Clone)]
pub(crate) struct Bag {
    pub(crate) version: &'static str,
    pub(crate) algorithms: Vec<Algorithm>,
    /// Payload and tag files by path; those set here are never worked out.
    pub(crate) files: Vec<(String, Vec<u8>)>,
    pub(crate) with_tag_manifests: bool,
}

impl Bag {
    /// A small sound bag: two files, SHA-256 and SHA-512.
    pub(crate) fn sound() -> Self {
        let mut bag = Self {
            version: "1.0",
            algorithms: vec![Algorithm::Sha256, Algorithm::Sha512],
            files: Vec::new(),
            with_tag_manifests: true,
        };
        bag.set("data/a.txt", "hello\n");
        bag.set("data/b/c.txt", "");
        bag.set("bag-info.txt", "Payload-Oxum: 6.2\n");
        bag
    }

    pub(crate) fn version(mut self, version: &'static str) -> Self {
        self.version = version;
        self
    }

    pub(crate) fn algorithms(mut self, algorithms: &[Algorithm]) -> Self {
        self.algorithms = algorithms.to_vec();
        self
    }

    pub(crate) fn set(&mut self, path: &str, bytes: impl AsRef<[u8]>) -> &mut Self {
        self.files.retain(|(name, _)| name != path);
        self.files.push((path.to_owned(), bytes.as_ref().to_vec()));
        self
    }

    pub(crate) fn with(mut self, path: &str, bytes: impl AsRef<[u8]>) -> Self {
        self.set(path, bytes);
        self
    }

    pub(crate) fn without(mut self, path: &str) -> Self {
        self.files.retain(|(name, _)| name != path);
        self
    }

    fn get(&self, path: &str) -> Option<&[u8]> {
        let found = self.files.iter().find(|(name, _)| name == path);
        found.map(|(_, bytes)| &**bytes)
    }

    /// The manifest of one algorithm, as it ought to be.
    pub(crate) fn manifest(&self, algorithm: Algorithm) -> String {
        self.list(algorithm, |path| path.starts_with("data/"))
    }

    fn list(&self, algorithm: Algorithm, wanted: impl Fn(&str) -> bool) -> String {
        let mut lines = String::new();
        let mut files: Vec<&(String, Vec<u8>)> = self.files.iter().collect();
        files.sort();
        for (path, bytes) in files.into_iter().filter(|(path, _)| wanted(path)) {
            let path = if self.version == "1.0" {
                path.replace('%', "%25")
                    .replace('\n', "%0A")
                    .replace('\r', "%0D")
            } else {
                path.clone()
            };
            writeln!(lines, "{}  {path}", Digest::of(algorithm, bytes)).unwrap();
        }
        lines
    }

    /// All files, those worked out included.
    pub(crate) fn complete(&self) -> Vec<(String, Vec<u8>)> {
        let mut bag = self.clone();
        let mut offer = |path: String, text: String| {
            if bag.get(&path).is_none() {
                bag.set(&path, text);
            }
        };
        offer(
            "bagit.txt".to_owned(),
            format!(
                "BagIt-Version: {}\nTag-File-Character-Encoding: UTF-8\n",
                self.version
            ),
        );
        for algorithm in &self.algorithms {
            offer(
                format!("manifest-{algorithm}.txt"),
                self.manifest(*algorithm),
            );
        }
        if self.with_tag_manifests {
            let before = bag.clone();
            for algorithm in &self.algorithms {
                let path = format!("tagmanifest-{algorithm}.txt");
                let is_tag =
                    |path: &str| !path.starts_with("data/") && !path.starts_with("tagmanifest-");
                if bag.get(&path).is_none() {
                    // Tag files of tests need no encoding of their names.
                    bag.set(&path, before.list(*algorithm, is_tag));
                }
            }
        }
        bag.files
    }

    /// Writes the bag as a folder.
    pub(crate) fn write(&self, root: &Path) {
        fs::create_dir_all(root.join("data")).unwrap();
        for (path, bytes) in self.complete() {
            let full = root.join(path);
            fs::create_dir_all(full.parent().unwrap()).unwrap();
            fs::write(full, bytes).unwrap();
        }
    }

    /// Audits the bag as a folder and as a zip, which must come to the same, and returns the folder's report.
    pub(crate) fn audit(&self) -> AuditReport {
        let scratch = tempfile::tempdir().unwrap();
        let root = scratch.path().join("bag");
        self.write(&root);
        audit_both(&root)
    }
}

pub(crate) fn run(path: &Path) -> AuditReport {
    run_with(
        path,
        &AuditOptions {
            threads: 2,
            ..AuditOptions::default()
        },
    )
}

pub(crate) fn run_with(path: &Path, options: &AuditOptions<'_>) -> AuditReport {
    audit::audit(path, options, &Silent).unwrap()
}

/// Audits a folder and a zip of it; both must come to the same.
pub(crate) fn audit_both(root: &Path) -> AuditReport {
    let scratch = tempfile::tempdir().unwrap();
    let zip = scratch.path().join("bag.zip");
    zip_folder(root, &zip);
    let from_zip = run(&zip);
    let from_folder = run(root);
    let told = |report: &AuditReport| {
        let files: Vec<String> = report
            .files
            .iter()
            .map(|file| format!("{} {}", file.path, file.verdict))
            .collect();
        (
            report.outcome,
            report.complete,
            report.valid,
            files,
            codes(report),
        )
    };
    assert_eq!(told(&from_folder), told(&from_zip), "{}", root.display());
    from_folder
}

/// The codes of all concerns that are not mere notes, sorted, each once.
pub(crate) fn codes(report: &AuditReport) -> Vec<String> {
    let worth = report
        .concerns
        .iter()
        .filter(|one| one.severity > kithbag::concern::Severity::Note);
    let mut codes: Vec<String> = worth.map(|one| one.code.to_string()).collect();
    codes.sort();
    codes.dedup();
    codes
}

/// Path and verdict of every finding.
pub(crate) fn verdicts(report: &AuditReport) -> Vec<(&str, &str)> {
    report
        .files
        .iter()
        .map(|file| (&*file.path, file.verdict.words()))
        .collect()
}

/// Writes a folder as a zip with the folder's name at its top.
pub(crate) fn zip_folder(root: &Path, target: &Path) {
    let top = root.file_name().unwrap().to_str().unwrap();
    let mut package = ZipPackage::beside(target, top).unwrap();
    for (index, path) in paths(root).iter().enumerate() {
        let bytes = fs::read(root.join(path)).unwrap();
        let keep = if index % 2 == 0 {
            Keep::Stored
        } else {
            Keep::Deflated
        };
        match PortablePath::new(path) {
            Ok(portable) => package.write(&portable, &bytes, keep).unwrap(),
            Err(error) => panic!("{path}: {error}"),
        }
    }
    package.commit().unwrap();
}

/// The paths of all files below a folder.
pub(crate) fn paths(root: &Path) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders = vec![root.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let below = path.strip_prefix(root).unwrap();
                found.push(below.to_str().unwrap().to_owned());
            }
        }
    }
    found.sort();
    found
}

/// Copies a folder.
pub(crate) fn copy_folder(from: &Path, to: &Path) {
    for path in paths(from) {
        let target = to.join(&path);
        fs::create_dir_all(target.parent().unwrap()).unwrap();
        fs::copy(from.join(&path), target).unwrap();
    }
}
