//! Checksums: which algorithms, their values, and reading bytes once for several of them.

mod in_step;
mod lane;
mod portion;
mod read_buffer;
mod sha256;
mod sha512;

pub use in_step::Intake;
pub use in_step::Room;
pub use in_step::in_step;
pub use in_step::try_in_step;
pub use portion::Portion;
pub use portion::update_portions;
pub use read_buffer::ReadBuffer;

use schemars::JsonSchema;
use serde::Deserialize;
use serde::Serialize;
use sha2::Digest as _;
use std::fmt;
use std::io;

/// A checksum algorithm that kithbag can work out.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
#[serde(rename_all = "lowercase")]
pub enum Algorithm {
    /// MD5 [RFC1321]: only for bags that others made, or when asked for.
    Md5,
    /// SHA-1 [FIPS180-4]: only for bags that others made, or when asked for.
    Sha1,
    /// SHA-224 [FIPS180-4].
    Sha224,
    /// SHA-256 [FIPS180-4].
    Sha256,
    /// SHA-384 [FIPS180-4].
    Sha384,
    /// SHA-512 [FIPS180-4]: the default of RFC 8493 section 2.4.
    Sha512,
}

impl Algorithm {
    /// Every algorithm, weakest first.
    pub const ALL: [Self; 6] = [
        Self::Md5,
        Self::Sha1,
        Self::Sha224,
        Self::Sha256,
        Self::Sha384,
        Self::Sha512,
    ];

    /// Returns the name as bag manifests spell it: lower case, letters and digits only. [RFC8493 2.4]
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Md5 => "md5",
            Self::Sha1 => "sha1",
            Self::Sha224 => "sha224",
            Self::Sha256 => "sha256",
            Self::Sha384 => "sha384",
            Self::Sha512 => "sha512",
        }
    }

    /// Finds an algorithm by name; case, hyphens and underscores do not count.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        let plain: String = name
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .collect::<String>()
            .to_ascii_lowercase();
        Self::ALL
            .into_iter()
            .find(|algorithm| algorithm.name() == plain)
    }

    /// Returns the number of hexadecimal digits of a value.
    #[must_use]
    pub const fn hex_length(self) -> usize {
        match self {
            Self::Md5 => 32,
            Self::Sha1 => 40,
            Self::Sha224 => 56,
            Self::Sha256 => 64,
            Self::Sha384 => 96,
            Self::Sha512 => 128,
        }
    }
}

impl fmt::Display for Algorithm {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.name())
    }
}

/// A checksum: the algorithm and its value in lower-case hexadecimal.
#[derive(
    Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema,
)]
pub struct Digest {
    algorithm: Algorithm,
    hex: String,
}

impl Digest {
    /// Reads a value; the case of the hexadecimal digits does not count. [RFC8493 2.1.3]
    #[must_use]
    pub fn from_hex(algorithm: Algorithm, hex: &str) -> Option<Self> {
        let sound =
            hex.len() == algorithm.hex_length() && hex.bytes().all(|byte| byte.is_ascii_hexdigit());
        sound.then(|| Self {
            algorithm,
            hex: hex.to_ascii_lowercase(),
        })
    }

    /// Works out the checksum of some bytes.
    #[must_use]
    pub fn of(algorithm: Algorithm, bytes: &[u8]) -> Self {
        let mut running = Running::new(algorithm);
        running.update(bytes);
        running.finish()
    }

    /// Returns the algorithm.
    #[must_use]
    pub const fn algorithm(&self) -> Algorithm {
        self.algorithm
    }

    /// Returns the value in lower-case hexadecimal.
    #[must_use]
    pub fn hex(&self) -> &str {
        &self.hex
    }

    /// Returns the value in groups of eight digits, for reading aloud from paper.
    #[must_use]
    pub fn in_groups(&self) -> String {
        let groups: Vec<String> = self
            .hex
            .as_bytes()
            .chunks(8)
            .map(|group| String::from_utf8_lossy(group).into_owned())
            .collect();
        groups.join(" ")
    }
}

impl fmt::Display for Digest {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(&self.hex)
    }
}

/// A checksum that is being worked out.
#[derive(Debug, Clone)]
pub struct Running {
    algorithm: Algorithm,
    state: State,
}

#[derive(Debug, Clone)]
enum State {
    Md5(md5::Md5),
    Sha1(sha1::Sha1),
    Sha224(sha2::Sha224),
    Sha256(sha256::Lane),
    Sha384(sha2::Sha384),
    Sha512(sha512::Lane),
}

impl Running {
    /// Begins a checksum.
    #[must_use]
    pub fn new(algorithm: Algorithm) -> Self {
        let state = match algorithm {
            Algorithm::Md5 => State::Md5(md5::Md5::new()),
            Algorithm::Sha1 => State::Sha1(sha1::Sha1::new()),
            Algorithm::Sha224 => State::Sha224(sha2::Sha224::new()),
            Algorithm::Sha256 => State::Sha256(sha256::Lane::new()),
            Algorithm::Sha384 => State::Sha384(sha2::Sha384::new()),
            Algorithm::Sha512 => State::Sha512(sha512::Lane::new()),
        };
        Self { algorithm, state }
    }

    /// Returns the algorithm.
    #[must_use]
    pub const fn algorithm(&self) -> Algorithm {
        self.algorithm
    }

    /// Takes in more bytes; how they are cut does not matter.
    pub fn update(&mut self, bytes: &[u8]) {
        match &mut self.state {
            State::Md5(state) => state.update(bytes),
            State::Sha1(state) => state.update(bytes),
            State::Sha224(state) => state.update(bytes),
            State::Sha256(lane) => lane.update(bytes),
            State::Sha384(state) => state.update(bytes),
            State::Sha512(lane) => lane.update(bytes),
        }
    }

    /// Returns the checksum of all bytes taken in.
    #[must_use]
    pub fn finish(self) -> Digest {
        let hex = match self.state {
            State::Md5(state) => hexadecimal(&state.finalize()),
            State::Sha1(state) => hexadecimal(&state.finalize()),
            State::Sha224(state) => hexadecimal(&state.finalize()),
            State::Sha256(lane) => lane.finish(),
            State::Sha384(state) => hexadecimal(&state.finalize()),
            State::Sha512(lane) => lane.finish(),
        };
        Digest {
            algorithm: self.algorithm,
            hex,
        }
    }
}

/// Returns how many of so many files one thread should read in step: several, where their checksums gain by it on this processor and there
/// are enough for all threads, else one. Never more than `at_most`.
#[must_use]
pub fn files_in_step(
    count: usize,
    threads: usize,
    algorithms: &[Algorithm],
    at_most: usize,
) -> usize {
    let gain = |algorithm: &Algorithm| match algorithm {
        Algorithm::Sha256 => sha256::at_once(),
        Algorithm::Sha512 => sha512::at_once(),
        _ => 1,
    };
    let most = algorithms.iter().map(gain).max().unwrap_or(1).min(at_most);
    let are_enough = |files: &usize| count >= threads.saturating_mul(*files);
    [sha256::WIDTH, sha512::LANES, sha256::IN_TURN]
        .into_iter()
        .filter(|files| *files <= most)
        .find(are_enough)
        .unwrap_or(1)
}

/// Tells whether several SHA-256 should share one of few threads on this processor.
#[must_use]
pub fn sha256_goes_in_turn() -> bool {
    sha256::goes_in_turn()
}

/// Takes in more bytes of several files, each with its checksums; those of SHA-256 are worked out together, and those of SHA-512.
pub fn update_several<'a>(several: impl IntoIterator<Item = (&'a mut [Running], &'a [u8])>) {
    let mut sha256 = Vec::with_capacity(sha256::WIDTH);
    let mut sha512 = Vec::with_capacity(sha512::LANES);
    for (running, bytes) in several {
        for one in running {
            match one {
                Running {
                    state: State::Sha256(lane),
                    ..
                } => sha256.push((lane, bytes)),
                Running {
                    state: State::Sha512(lane),
                    ..
                } => sha512.push((lane, bytes)),
                other => other.update(bytes),
            }
        }
    }
    sha256::update(sha256);
    sha512::update(sha512);
}

/// Size of the buffer in which files are read, in bytes. Measured: flat from 64 KiB on.
pub const READ_BUFFER: usize = 256 * 1024;

/// Returns the size of a buffer for a file of this length: a little more than a small file, so that one read shows its end.
#[must_use]
pub fn buffer_for(length: u64) -> usize {
    let length = usize::try_from(length).unwrap_or(usize::MAX);
    length.saturating_add(1).min(READ_BUFFER)
}

/// Reads until the buffer is full or the end is reached; a buffer that is not full shows the end.
///
/// # Errors
/// Gives the reader's error.
pub fn fill(reader: &mut dyn io::Read, buffer: &mut [u8]) -> io::Result<usize> {
    let mut filled = 0_usize;
    while let Some(rest) = buffer.get_mut(filled..).filter(|rest| !rest.is_empty()) {
        match reader.read(rest) {
            Ok(0) => break,
            Ok(count) => filled = filled.saturating_add(count),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    Ok(filled)
}

/// Reads everything once and returns one checksum per algorithm, in their order, and the number of bytes.
///
/// # Errors
/// Gives the reader's error.
pub fn digest_all(
    reader: impl io::Read,
    algorithms: &[Algorithm],
) -> io::Result<(Vec<Digest>, u64)> {
    digest_all_of(reader, algorithms, u64::MAX)
}

/// Does the same for a reader whose length is known: a small one needs only a small buffer. Should it be longer than it seemed, the
/// rest is read all the same.
///
/// # Errors
/// Gives the reader's error.
pub fn digest_all_of(
    mut reader: impl io::Read,
    algorithms: &[Algorithm],
    expected: u64,
) -> io::Result<(Vec<Digest>, u64)> {
    let mut running: Vec<Running> = algorithms.iter().copied().map(Running::new).collect();
    let mut buffer = ReadBuffer::of(buffer_for(expected));
    let mut length = 0_u64;
    loop {
        let count = fill(&mut reader, &mut buffer)?;
        let read = buffer.get(..count).unwrap_or_default();
        running.iter_mut().for_each(|one| one.update(read));
        length = length.saturating_add(u64::try_from(count).unwrap_or(u64::MAX));
        if count < buffer.len() {
            break;
        }
    }
    Ok((running.into_iter().map(Running::finish).collect(), length))
}

/// Writes bytes as lower-case hexadecimal digits.
#[must_use]
pub fn hexadecimal(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len().saturating_mul(2));
    let halves = bytes.iter().flat_map(|byte| [byte >> 4, byte & 0x0f]);
    text.extend(halves.filter_map(|half| char::from_digit(u32::from(half), 16)));
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4 and RFC 1321 test vectors for "abc"; empty SHA-256 and SHA-512 from the same documents.
    #[test]
    fn published_vectors() {
        let expected = [
            (Algorithm::Md5, "900150983cd24fb0d6963f7d28e17f72"),
            (Algorithm::Sha1, "a9993e364706816aba3e25717850c26c9cd0d89d"),
            (
                Algorithm::Sha224,
                "23097d223405d8228642a477bda255b32aadbce4bda0b3f7e36c9da7",
            ),
            (
                Algorithm::Sha256,
                "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
            ),
        ];
        for (algorithm, hex) in expected {
            assert_eq!(Digest::of(algorithm, b"abc").hex(), hex);
        }
        assert_eq!(
            Digest::of(Algorithm::Sha512, b"").hex(),
            "cf83e1357eefb8bdf1542850d66d8007d620e4050b5715dc83f4a921d36ce9ce47d0d13c5d85f2b0ff8318d2877eec2f63b931bd47417a81a538327af927da3e"
        );
    }

    #[test]
    fn chunking_does_not_matter() {
        let bytes: Vec<u8> = (0..=255_u8).cycle().take(1000).collect();
        let whole = Digest::of(Algorithm::Sha256, &bytes);
        for size in [1, 7, 63, 64, 65, 999] {
            let mut running = Running::new(Algorithm::Sha256);
            bytes.chunks(size).for_each(|chunk| running.update(chunk));
            assert_eq!(running.finish(), whole);
        }
    }

    #[test]
    fn files_in_step_leave_no_thread_idle() {
        let both = [Algorithm::Sha256, Algorithm::Sha512];
        for (count, threads) in
            (0..40).flat_map(|count| (1..5).map(move |threads| (count, threads)))
        {
            let files = files_in_step(count, threads, &both, 8);
            assert!(
                files == 1 || count >= threads * files,
                "{count} on {threads}"
            );
            assert_eq!(files_in_step(count, threads, &both, 1), 1);
            assert_eq!(files_in_step(count, threads, &[Algorithm::Md5], 8), 1);
        }
        let plenty = |algorithm| files_in_step(40, 2, &[algorithm], 8);
        assert_eq!(plenty(Algorithm::Sha256), sha256::at_once());
        assert_eq!(plenty(Algorithm::Sha512), sha512::at_once());
    }

    #[test]
    fn values_of_wrong_length_are_refused() {
        assert!(Digest::from_hex(Algorithm::Sha256, "ab").is_none());
        assert!(Digest::from_hex(Algorithm::Md5, &"g".repeat(32)).is_none());
        assert!(Digest::from_hex(Algorithm::Md5, &"A".repeat(32)).is_some());
    }
}
