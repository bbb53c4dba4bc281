use super::*;
use crate::concern::ConcernList;
use crate::concern::Severity;
use crate::format::bagit::TagEncoding;
use crate::format::bagit::Version;
use crate::portable_path::PortablePath;
use std::io;
use std::io::Read;

const A: &str = "49afbd86a1ca9f34b677a3f09655eae9";
const B: &str = "408ad21d50cef31da4df6d9ed81b01a7";

fn parse(name: &str, version: &str, text: &[u8]) -> (Manifest, Vec<String>) {
    let mut concerns = ConcernList::default();
    let version = Version::parse(version).unwrap();
    let manifest = read(text, name, version, TagEncoding::UTF_8, &mut concerns).unwrap();
    let codes = concerns.iter().map(|one| one.code.to_string()).collect();
    (manifest, codes)
}

fn payload(version: &str, text: &str) -> (Vec<String>, Vec<String>) {
    let (manifest, codes) = parse("manifest-md5.txt", version, text.as_bytes());
    (manifest.paths().map(str::to_owned).collect(), codes)
}

/// The manifest of RFC 8493 section 4.1.
#[test]
fn published_example() {
    let text = format!("{A} data/27613-h/images/q172.png\n{B} data/27613-h/images/q172.txt\n");
    let (manifest, codes) = parse("manifest-md5.txt", "1.0", text.as_bytes());
    assert!(codes.is_empty());
    assert_eq!(manifest.algorithm(), Some(Algorithm::Md5));
    let digest = manifest.digest_of("data/27613-h/images/q172.txt").unwrap();
    assert_eq!(digest.hex(), B);
    assert!(manifest.digest_of("data/27613-h/images/q173.txt").is_none());
    assert!(!manifest.is_empty());
    assert_eq!(manifest.path(0), Some("data/27613-h/images/q172.png"));
    assert_eq!(manifest.path(1), Some("data/27613-h/images/q172.txt"));
    assert_eq!(manifest.path(2), None);
}

#[test]
fn every_line_end_and_any_blanks() {
    for end in ["\n", "\r", "\r\n"] {
        let text = format!("{A} \t data/a b{end}{}\tdata/c{end}", B.to_uppercase());
        let (paths, codes) = payload("1.0", &text);
        assert!(codes.is_empty(), "{end:?}");
        assert_eq!(paths, ["data/a b", "data/c"]);
    }
}

/// Only `%0A`, `%0D` and `%25` mean anything, and only from version 1.0 on.
#[test]
fn per_cent_signs_by_version() {
    let text = format!("{A}  data/a%0ab%0D%25c\n");
    assert_eq!(
        payload("1.0", &text),
        (vec!["data/a\nb\r%c".into()], vec![])
    );
    assert_eq!(payload("0.97", &text).0, ["data/a%0ab%0D%25c"]);
    let text = format!("{A}  data/%7Edir\n");
    assert_eq!(
        payload("1.0", &text),
        (
            vec!["data/%7Edir".into()],
            vec!["bag-percent-not-encoded".into()]
        )
    );
    assert_eq!(payload("0.97", &text), (vec!["data/%7Edir".into()], vec![]));
}

#[test]
fn a_leading_dot_is_dropped_in_drafts_only() {
    let text = format!("{A}  ./data/a\n");
    assert_eq!(payload("0.97", &text), (vec!["data/a".into()], vec![]));
    assert_eq!(
        payload("1.0", &text),
        (vec![], vec!["bag-path-outside-payload".into()])
    );
}

#[test]
fn marks_of_checksum_commands_are_told() {
    let text = format!("{A} *data/a\n");
    let told = vec!["bag-checksum-marker".to_owned()];
    assert_eq!(payload("1.0", &text), (vec!["data/a".into()], told.clone()));
    let text = format!("\\{A}  data/a\\nb\\\\c\n");
    assert_eq!(payload("1.0", &text), (vec!["data/a\nb\\c".into()], told));
}

#[test]
fn a_file_listed_twice() {
    let same = format!("{A} data/a\n{A} data/a\n");
    let different = format!("{A} data/a\n{B} data/a\n");
    let severity = |version: &str, text: &str| {
        let mut concerns = ConcernList::default();
        let version = Version::parse(version).unwrap();
        let bytes = text.as_bytes();
        read(
            bytes,
            "manifest-md5.txt",
            version,
            TagEncoding::UTF_8,
            &mut concerns,
        )
        .unwrap();
        assert_eq!(concerns.len(), 1);
        assert!(concerns.has("bag-path-twice"));
        concerns.worst_first()[0].severity
    };
    assert_eq!(severity("0.97", &same), Severity::Warning);
    assert_eq!(severity("1.0", &same), Severity::Stop);
    assert_eq!(severity("0.97", &different), Severity::Stop);
    assert_eq!(severity("1.0", &different), Severity::Stop);
}

#[test]
fn each_refusal() {
    let cases = [
        ("data/a", "bag-manifest-line"),
        (A, "bag-manifest-line"),
        ("zz data/a", "bag-manifest-line"),
        ("49af data/a", "bag-manifest-line"),
        (&format!("{A} data/a/"), "bag-manifest-line"),
    ];
    for (line, code) in cases {
        assert_eq!(payload("1.0", line), (vec![], vec![code.into()]), "{line}");
    }
    let cases = [
        ("README", "bag-path-outside-payload"),
        ("database/a", "bag-path-outside-payload"),
        ("../../../README.md", "bag-path-unsafe"),
        ("/tmp/foo", "bag-path-unsafe"),
        ("~/foo", "bag-path-unsafe"),
        ("~root/foo", "bag-path-unsafe"),
        ("C:\\Windows\\foo", "bag-path-unsafe"),
        ("%HomeDrive%\\foo", "bag-path-unsafe"),
        ("\\\\?\\UNC\\server\\foo", "bag-path-unsafe"),
        ("data/..\\..\\foo", "bag-path-unsafe"),
    ];
    for (path, code) in cases {
        for version in ["0.97", "1.0"] {
            let (paths, codes) = payload(version, &format!("{A}  {path}"));
            assert!(paths.is_empty(), "{path}");
            assert!(codes.contains(&code.to_owned()), "{path}");
        }
    }
}

#[test]
fn tag_manifests_list_neither_payload_nor_tag_manifests() {
    let tag = |path: &str| {
        let text = format!("{A}  {path}\n");
        parse("tagmanifest-md5.txt", "1.0", text.as_bytes()).1
    };
    assert!(tag("manifest-md5.txt").is_empty());
    assert_eq!(tag("data/a"), ["bag-path-in-payload"]);
    assert_eq!(tag("tagmanifest-sha1.txt"), ["bag-tag-manifest-listed"]);
}

#[test]
fn an_unknown_algorithm_still_lists_names() {
    let (manifest, codes) = parse("manifest-whirl9.txt", "1.0", b"abcd  data/a\n");
    assert!(codes.is_empty());
    assert_eq!(manifest.algorithm(), None);
    assert_eq!(manifest.paths().collect::<Vec<_>>(), ["data/a"]);
    assert_eq!(manifest.digest(0), None);
    // Whatever the algorithm, a checksum is whole bytes.
    let (manifest, codes) = parse("manifest-whirl9.txt", "1.0", b"abc  data/a\n");
    assert_eq!(
        (manifest.len(), codes),
        (0, vec!["bag-manifest-line".to_owned()])
    );
}

#[test]
fn a_byte_order_mark() {
    let text = format!("\u{feff}{A}  data/a\n");
    assert_eq!(
        payload("1.0", &text),
        (vec!["data/a".into()], vec!["bag-byte-order-mark".into()])
    );
}

#[test]
fn rubbish_is_told_in_sum() {
    let (manifest, codes) = parse("manifest-md5.txt", "1.0", &b"x\n".repeat(100_000));
    assert!(manifest.is_empty());
    assert!(codes.len() < 50);
    assert_eq!(codes.last().unwrap(), "bag-manifest-more");
}

/// A line of rubbish is quoted up to its hundred and twentieth letter, without signs that would move a terminal's cursor.
#[test]
fn a_quoted_line_is_short_and_plain() {
    let quoted = |line: &str| {
        let mut concerns = ConcernList::default();
        let (bytes, version) = (line.as_bytes(), Version::V1_0);
        let encoding = TagEncoding::UTF_8;
        read(bytes, "manifest-md5.txt", version, encoding, &mut concerns).unwrap();
        let what = &concerns.worst_first()[0].what;
        let (_, rest) = what.split_once('“').unwrap();
        rest.split_once('”').unwrap().0.to_owned()
    };
    assert_eq!(quoted("x\u{1b}é"), "x\u{fffd}é");
    for length in [119, 120] {
        assert_eq!(quoted(&"é".repeat(length)), "é".repeat(length));
    }
    for length in [121, 122] {
        let cut = format!("{}…", "é".repeat(120));
        assert_eq!(quoted(&"é".repeat(length)), cut);
    }
}

/// However much was told before, that the bag is not sound must not go under in it.
#[test]
fn the_first_fault_that_stops_is_always_told() {
    let (_, codes) = parse(
        "manifest-md5.txt",
        "1.0",
        &[&b"\n".repeat(200)[..], b"x\n"].concat(),
    );
    assert!(codes.contains(&"bag-manifest-line".to_owned()), "{codes:?}");
    assert!(codes.len() < 50);
}

/// Longer than what is read at once, so that pieces end within lines.
#[test]
fn lines_that_end_in_cr_alone_are_put_together_from_pieces() {
    let lines: Vec<String> = (0..3_000)
        .map(|number| format!("{A}  data/{number:04}-{}", "x".repeat(number % 37)))
        .collect();
    for end in ["", "\r"] {
        let text = lines.join("\r") + end;
        let (manifest, codes) = parse("manifest-md5.txt", "1.0", text.as_bytes());
        assert_eq!(codes, Vec::<String>::new());
        assert_eq!(manifest.len(), 3_000);
        let longest = format!("data/0036-{}", "x".repeat(36));
        assert!(manifest.position(&longest).is_some());
    }
}

#[test]
fn other_encodings_are_read_whole_and_what_means_nothing_is_told() {
    let codes = |encoding: &str, text: &[u8]| {
        let mut concerns = ConcernList::default();
        let encoding = TagEncoding::named(encoding).unwrap();
        let read = read(
            text,
            "manifest-md5.txt",
            Version::V1_0,
            encoding,
            &mut concerns,
        );
        let paths = read.unwrap().paths().map(str::to_owned).collect::<Vec<_>>();
        let codes = concerns.iter().map(|one| one.code.to_string());
        (paths, codes.collect::<Vec<_>>())
    };
    let line = [A.as_bytes(), b"  data/Zo\xEB\n"].concat();
    assert_eq!(
        codes("ISO-8859-1", &line),
        (vec!["data/Zo\u{eb}".to_owned()], vec![])
    );
    let told = (vec![], vec!["bag-tag-file-undecodable".to_owned()]);
    assert_eq!(codes("UTF-8", &line), told);
    assert_eq!(codes("US-ASCII", &line), told);
}

/// Reading must not depend on how the bytes arrive.
#[test]
fn one_byte_at_a_time() {
    struct Slow<'a>(&'a [u8]);
    impl Read for Slow<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.0.len().min(1).min(buffer.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }
    let text = format!("{A} data/a\r\n{B} data/b\r\n");
    let mut concerns = ConcernList::default();
    let manifest = read(
        Slow(text.as_bytes()),
        "manifest-md5.txt",
        Version::V1_0,
        TagEncoding::UTF_8,
        &mut concerns,
    )
    .unwrap();
    assert!(concerns.is_empty());
    assert_eq!(manifest.len(), 2);
}

/// Cut at every byte: a cut line is a fault, or lists a shorter name; never more than was there.
#[test]
fn cut_at_every_byte() {
    let text = format!("{A}  data/a\n{B}  data/b\n");
    for length in 0..text.len() {
        let (manifest, codes) = parse("manifest-md5.txt", "1.0", &text.as_bytes()[..length]);
        assert!(manifest.len() + codes.len() <= 2, "{length}");
        assert!(manifest.digest_of("data/b").is_none() || length >= text.len() - 1);
    }
}

#[test]
fn what_is_written_is_read_back() {
    let paths: Vec<PortablePath> = ["data/b", "data/100%", "data/a"]
        .iter()
        .map(|path| PortablePath::new(path).unwrap())
        .collect();
    let digest = Digest::of(Algorithm::Sha256, b"hello\n");
    let text = write(paths.iter().map(|path| (path, &digest)));
    assert!(text.starts_with(&format!("{digest}  data/100%25\n{digest}  data/a\n")));
    let (manifest, codes) = parse("manifest-sha256.txt", "1.0", text.as_bytes());
    assert!(codes.is_empty());
    let read: Vec<&str> = manifest.paths().collect();
    assert_eq!(read, ["data/100%", "data/a", "data/b"]);
    assert_eq!(manifest.digest(2), Some(digest));
}

#[test]
fn names_and_paths_as_they_are_written() {
    assert_eq!(file_name(Algorithm::Sha256), "manifest-sha256.txt");
    assert_eq!(tag_file_name(Algorithm::Md5), "tagmanifest-md5.txt");
    assert_eq!(encode_path("data/a b"), "data/a b");
    assert_eq!(encode_path("data/1%\r\n"), "data/1%25%0D%0A");
}
