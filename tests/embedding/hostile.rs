//! Files and packets that are damaged or made to do harm: refused with the place, or described without harm, and always at once.

use super::describe;
use super::drawn;
use super::drawn::Tiff;
use super::real::real_files;
use super::record;
use super::undo;
use kithbag::format::container::ContainerError;
use kithbag::format::container::SpliceError;
use kithbag::format::container::examine;
use kithbag::format::container::picture_digest;
use std::io;
use std::io::Cursor;
use std::io::Read;
use std::io::Seek;
use std::io::SeekFrom;
use std::time::Duration;
use std::time::Instant;

/// The longest that any one file may take.
const PATIENCE: Duration = Duration::from_secs(1);

/// What became of hostile files.
#[derive(Debug, Default)]
struct Counts {
    refused: usize,
    described: usize,
}

impl Counts {
    /// Describes a file; either it is refused and the place is told, or nothing is harmed.
    fn try_to_describe(&mut self, name: &str, original: &[u8]) {
        for drop_private in [false, true] {
            let begun = Instant::now();
            let described = describe(original, &record("hostile"), drop_private);
            let took = begun.elapsed();
            assert!(took < PATIENCE, "{name}: {took:?}");
            match described {
                Err(error) => {
                    assert!(tells_a_place(&error, original), "{name}: {error:?}");
                    self.refused += 1;
                }
                Ok((copy, done)) => {
                    let after = examine(&mut Cursor::new(&copy))
                        .unwrap_or_else(|error| panic!("{name}: {error}"));
                    let found = picture_digest(&mut Cursor::new(&copy), &after).unwrap();
                    assert_eq!(found, done.picture_digest, "{name}");
                    let back = undo(&copy).unwrap_or_else(|error| panic!("{name}: {error}"));
                    assert!(
                        !done.can_be_undone || back == original,
                        "{name}: undone bytes differ"
                    );
                    self.described += 1;
                }
            }
        }
    }
}

/// What is wrong with a packet is told by its place within the packet, and beside it where the packet begins.
fn tells_a_place(error: &SpliceError<kithbag::format::xmp::PacketError>, original: &[u8]) -> bool {
    match error {
        SpliceError::Container(fault) => fault.offset().is_some(),
        SpliceError::Compose(_) => examine(&mut Cursor::new(original))
            .unwrap()
            .packet_at()
            .is_some(),
        SpliceError::Write(_) | SpliceError::ReadBack(_) | SpliceError::Differs { .. } => false,
    }
}

/// Numbers that look like chance and are the same each time.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) as usize % end.max(1)
    }
}

/// Cuts, flips bits, or puts a huge number somewhere.
fn corrupted(original: &[u8], chance: &mut Chance) -> Vec<u8> {
    let mut bytes = original.to_vec();
    match chance.below(3) {
        0 => bytes.truncate(chance.below(original.len())),
        1 => {
            for _ in 0..=chance.below(8) {
                // Half of them where headers are.
                let reach = if chance.below(2) == 0 {
                    200
                } else {
                    bytes.len()
                };
                let at = chance.below(reach.min(bytes.len()));
                bytes[at] ^= 1 << chance.below(8);
            }
        }
        _ => {
            const HUGE: [u32; 4] = [0xffff_ffff, 0x7fff_ffff, 0x8000_0000, 0xffff_fff0];
            let huge = HUGE[chance.below(4)].to_be_bytes();
            let at = chance.below(bytes.len().saturating_sub(4));
            bytes[at..at + 4].copy_from_slice(&huge);
        }
    }
    bytes
}

#[test]
fn six_hundred_corruptions_are_refused_or_harmless() {
    let files = drawn::files();
    let mut chance = Chance(0x6b69_7468);
    let mut counts = Counts::default();
    for number in 0..600 {
        let (name, original) = &files[number % files.len()];
        let other = corrupted(original, &mut chance);
        counts.try_to_describe(&format!("{name}, corruption {number}"), &other);
    }
    println!("600 corruptions, each for two audiences: {counts:?}");
    assert!(counts.refused > 100 && counts.described > 100, "{counts:?}");
}

#[test]
fn every_cut_of_every_drawn_file_is_refused_or_harmless() {
    let mut counts = Counts::default();
    for (name, original) in drawn::files() {
        for length in (0..original.len()).step_by(97) {
            counts.try_to_describe(
                &format!("{name}, first {length} bytes"),
                &original[..length],
            );
        }
    }
    println!("cuts: {counts:?}");
}

#[test]
fn broken_files_are_refused_or_harmless() {
    let mut counts = Counts::default();
    for (name, original) in real_files("broken") {
        counts.try_to_describe(&name, &original);
    }
    println!("broken files, each for two audiences: {counts:?}");
}

/// Packets that are known to stop, crash or fill readers of XML and RDF.
fn bombs() -> Vec<(&'static str, Vec<u8>)> {
    let entities: String = (1..9)
        .map(|level| {
            format!(
                "<!ENTITY e{level} \"{}\">",
                format!("&e{};", level - 1).repeat(10)
            )
        })
        .collect();
    let nested = |open: &str, close: &str, times| {
        drawn::packet(&format!("{}x{}", open.repeat(times), close.repeat(times)))
    };
    let many: String = (0..100_000)
        .map(|number| format!("<odd:p{number}>x</odd:p{number}>"))
        .collect();
    let attributes: String = (0..50_000)
        .map(|number| format!(" odd:a{number}=\"x\""))
        .collect();
    let spaces: String = (0..50_000)
        .map(|number| format!(" xmlns:n{number}=\"urn:n{number}\""))
        .collect();
    let wide: Vec<u8> = nested("<odd:s rdf:parseType=\"Resource\">", "</odd:s>", 5_000)
        .encode_utf16()
        .flat_map(u16::to_be_bytes)
        .collect();
    let mut bad = drawn::packet("<odd:p>x</odd:p>").into_bytes();
    let at = bad.len() - 60;
    bad[at] = 0xff;
    vec![
        (
            "nested entities",
            format!(
                "<!DOCTYPE x [<!ENTITY e0 \"ha\">{entities}]>{}",
                drawn::packet("<odd:p>&e8;</odd:p>")
            )
            .into_bytes(),
        ),
        (
            "outer entity",
            format!(
                "<!DOCTYPE x [<!ENTITY e SYSTEM \"file:///etc/hostname\">]>{}",
                drawn::packet("<odd:p>&e;</odd:p>")
            )
            .into_bytes(),
        ),
        (
            "50,000 nested structs",
            nested("<odd:s rdf:parseType=\"Resource\">", "</odd:s>", 50_000).into_bytes(),
        ),
        (
            "20,000 nested bags",
            nested(
                "<odd:b><rdf:Bag><rdf:li>",
                "</rdf:li></rdf:Bag></odd:b>",
                20_000,
            )
            .into_bytes(),
        ),
        ("100,000 properties", drawn::packet(&many).into_bytes()),
        (
            "50,000 attributes",
            drawn::packet(&format!("<odd:p{attributes}/>")).into_bytes(),
        ),
        (
            "50,000 namespaces",
            drawn::packet(&format!("<odd:p{spaces}/>")).into_bytes(),
        ),
        (
            "a million comments",
            drawn::packet(&"<!-- -->".repeat(1_000_000)).into_bytes(),
        ),
        ("bad UTF-8", bad),
        ("UTF-16, nested", [vec![0xfe, 0xff], wide].concat()),
        ("cut off", drawn::packet("").into_bytes()[..200].to_vec()),
        ("not closed", nested("<odd:s>", "", 40_000).into_bytes()),
        (
            "seventeen MiB of blanks",
            drawn::packet(&" ".repeat(17 << 20)).into_bytes(),
        ),
    ]
}

#[test]
fn packet_bombs_are_refused_in_every_container() {
    let mut counts = Counts::default();
    for (name, bomb) in bombs() {
        let tiff = Tiff {
            packet: Some(bomb.clone()),
            ..Tiff::default()
        };
        counts.try_to_describe(&format!("{name}, TIFF"), &tiff.bytes());
        counts.try_to_describe(&format!("{name}, PNG"), &drawn::packet_png(&bomb));
        counts.try_to_describe(&format!("{name}, WebP"), &drawn::packet_webp(&bomb));
        let jpeg = if bomb.len() < 65_000 {
            drawn::with_segments(&drawn::segment(0xe1, &[drawn::XMP_SEGMENT, &bomb]))
        } else {
            drawn::with_segments(&drawn::parts(&bomb, 65_000))
        };
        counts.try_to_describe(&format!("{name}, JPEG"), &jpeg);
    }
    println!(
        "{} bombs in four containers, each for two audiences: {counts:?}",
        bombs().len()
    );
    assert_eq!(counts.described, 0);
}

#[test]
fn a_small_chunk_that_unpacks_to_much_is_refused() {
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
    io::copy(&mut io::repeat(b' ').take(100 << 20), &mut packer).unwrap();
    let content = [
        b"XML:com.adobe.xmp\0\x01\0\0\0",
        &packer.finish().unwrap()[..],
    ]
    .concat();
    let mut counts = Counts::default();
    counts.try_to_describe(
        "100 MiB of blanks",
        &drawn::with_chunk(&drawn::files()[5].1, b"iTXt", &content),
    );
    assert_eq!(counts.described, 0);
}

#[test]
fn a_strip_past_the_end_or_over_the_header_is_refused() {
    for (big, little) in [(false, true), (false, false), (true, true), (true, false)] {
        let drawn = |shift| {
            Tiff {
                big,
                little,
                shift,
                ..Tiff::default()
            }
            .bytes()
        };
        let sound = drawn(0);
        assert!(describe(&sound, &record("n"), false).is_ok());
        let header = if big { 16 } else { 8 };
        let over = -(15 * 40) - header + 4;
        let past = i64::try_from(sound.len()).unwrap() - header - 2 * 15 * 40 + 1;
        for shift in [over, past, i64::from(i32::MAX)] {
            let refused = describe(&drawn(shift), &record("n"), false).unwrap_err();
            assert!(
                matches!(
                    refused,
                    SpliceError::Container(ContainerError::Unsupported { .. })
                ),
                "{shift}: {refused:?}"
            );
            assert!(refused.to_string().contains("byte"), "{refused}");
        }
    }
}

/// Only header and first directory move when a packet is put in: whatever else is counted must not hang on them.
#[test]
fn a_directory_below_that_is_the_first_or_lies_over_the_header_is_refused() {
    let drawn = |below| {
        Tiff {
            below,
            pages: 2,
            ..Tiff::default()
        }
        .bytes()
    };
    let sound = drawn(Some(0));
    assert!(describe(&sound, &record("n"), false).is_ok());
    let first = u32::from_le_bytes([sound[4], sound[5], sound[6], sound[7]]);
    for below in [first, 2, 6] {
        let refused = describe(&drawn(Some(below)), &record("n"), false).unwrap_err();
        assert!(tells_a_place(&refused, &[]), "{below}: {refused:?}");
    }
}

/// A file with a beginning and zeros behind it, as long as is wanted.
struct Sparse {
    head: Vec<u8>,
    length: u64,
    at: u64,
}

impl Read for Sparse {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let left = usize::try_from(self.length.saturating_sub(self.at)).unwrap();
        let count = left.min(buffer.len());
        for (index, byte) in buffer[..count].iter_mut().enumerate() {
            let at = usize::try_from(self.at).unwrap() + index;
            *byte = self.head.get(at).copied().unwrap_or(0);
        }
        self.at += count as u64;
        Ok(count)
    }
}

impl Seek for Sparse {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.at = match to {
            SeekFrom::Start(at) => at,
            SeekFrom::End(by) => self.length.checked_add_signed(by).unwrap(),
            SeekFrom::Current(by) => self.at.checked_add_signed(by).unwrap(),
        };
        Ok(self.at)
    }
}

#[test]
fn a_classic_tiff_that_would_pass_four_gibibytes_is_refused_before_anything_is_written() {
    let mut file = Sparse {
        head: Tiff::default().bytes(),
        length: 4_294_967_000,
        at: 0,
    };
    let anatomy = examine(&mut file).unwrap();
    let refused = super::describe_with(&mut file, &anatomy, None, &record("n"), false).unwrap_err();
    let SpliceError::Container(ContainerError::Limit { allowed, found, .. }) = refused else {
        panic!("{refused:?}");
    };
    assert_eq!(allowed, u64::from(u32::MAX));
    assert!(found > allowed);
}
