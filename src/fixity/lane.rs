//! One SHA-256 or SHA-512 whose blocks can be worked out together with those of others: what its library keeps to itself. [FIPS180-4]

use super::hexadecimal;
use std::cmp::Reverse;
use std::fmt;

/// Whether our own code is optimised. A build for development optimises only libraries; there theirs is always the faster way.
pub(super) const IS_OPTIMISED: bool = !cfg!(debug_assertions);

/// The word of a checksum with blocks of so many bytes.
pub(super) trait Word<const BLOCK: usize>: Copy + 'static {
    /// The first state. [FIPS180-4 5.3.3, 5.3.5]
    const FIRST: [Self; 8];

    /// Bytes of a last block that the length of the message takes. [FIPS180-4 5.1]
    const LENGTH: usize;

    /// Works blocks into a state.
    fn compress(state: &mut [Self; 8], blocks: &[[u8; BLOCK]]);

    /// Adds the word to bytes, the highest byte first.
    fn put(self, bytes: &mut Vec<u8>);
}

/// A checksum that can be worked out beside others.
#[derive(Clone)]
pub(super) struct Lane<W, const BLOCK: usize> {
    state: [W; 8],
    /// Bytes that wait for a whole block.
    waiting: Vec<u8>,
    /// Bytes taken in.
    length: u128,
}

impl<W, const BLOCK: usize> fmt::Debug for Lane<W, BLOCK> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter
            .debug_struct("Lane")
            .field("length", &self.length)
            .finish_non_exhaustive()
    }
}

impl<W: Word<BLOCK>, const BLOCK: usize> Lane<W, BLOCK> {
    pub(super) fn new() -> Self {
        Self {
            state: W::FIRST,
            waiting: Vec::with_capacity(BLOCK),
            length: 0,
        }
    }

    /// Tells whether no bytes wait for the rest of their block.
    const fn is_at_block(&self) -> bool {
        self.waiting.is_empty()
    }

    /// Takes in more bytes; how they are cut does not matter.
    pub(super) fn update(&mut self, bytes: &[u8]) {
        let (blocks, rest) = self.begin(bytes);
        self.compress(blocks);
        self.wait(rest);
    }

    /// Works in whole blocks.
    #[inline]
    fn compress(&mut self, blocks: &[[u8; BLOCK]]) {
        W::compress(&mut self.state, blocks);
    }

    /// Counts bytes, works in what completes the block that waits, and returns the whole blocks that follow, which must be worked in next,
    /// and the rest, which must then wait.
    fn begin<'b>(&mut self, bytes: &'b [u8]) -> (&'b [[u8; BLOCK]], &'b [u8]) {
        self.count(bytes);
        let mut bytes = bytes;
        if !self.is_at_block() {
            let room = BLOCK.saturating_sub(self.waiting.len()).min(bytes.len());
            let (first, rest) = bytes.split_at_checked(room).unwrap_or_default();
            self.waiting.extend_from_slice(first);
            bytes = rest;
            let (block, _) = self.waiting.as_chunks();
            W::compress(&mut self.state, block);
            if !block.is_empty() {
                self.waiting.clear();
            }
        }
        bytes.as_chunks()
    }

    /// Keeps bytes that are less than a block.
    fn wait(&mut self, rest: &[u8]) {
        self.waiting.extend_from_slice(rest);
    }

    fn count(&mut self, bytes: &[u8]) {
        let length = u128::try_from(bytes.len()).unwrap_or(u128::MAX);
        self.length = self.length.saturating_add(length);
    }

    /// Returns the checksum in lower-case hexadecimal.
    pub(super) fn finish(mut self) -> String {
        // A one, as many zeros as make the last block whole, and the length in bits. [FIPS180-4 5.1]
        self.waiting.push(0x80);
        let used = self.waiting.len().saturating_add(W::LENGTH);
        let whole = used.next_multiple_of(BLOCK).saturating_sub(W::LENGTH);
        self.waiting.resize(whole, 0);
        let bits = self.length.saturating_mul(8).to_be_bytes();
        let (_, length) = bits
            .split_at_checked(bits.len().saturating_sub(W::LENGTH))
            .unwrap_or_default();
        self.waiting.extend_from_slice(length);
        let (blocks, _) = self.waiting.as_chunks();
        W::compress(&mut self.state, blocks);
        let mut bytes = Vec::new();
        self.state.into_iter().for_each(|word| word.put(&mut bytes));
        hexadecimal(&bytes)
    }
}

/// How checksums of one kind are worked out together.
pub(super) trait Together<W, const BLOCK: usize> {
    /// Returns how many of so many, one at least, are worked out together next.
    fn count(&self, left: usize) -> usize;

    /// Works blocks of each of so many messages into its state, as many of each.
    fn compress(&self, states: &mut [[W; 8]], blocks: &[&[[u8; BLOCK]]]);
}

/// Takes in more bytes for each of several. The longest go first, so that as few as can be are left to be worked out alone.
pub(super) fn update_together<'a, W: Word<BLOCK>, const BLOCK: usize>(
    lanes: impl IntoIterator<Item = (&'a mut Lane<W, BLOCK>, &'a [u8])>,
    together: &impl Together<W, BLOCK>,
) {
    let mut left: Vec<_> = lanes
        .into_iter()
        .map(|(lane, bytes)| Begun::new(lane, bytes))
        .collect();
    loop {
        left.retain_mut(Begun::goes_on);
        if left.is_empty() {
            return;
        }
        left.sort_by_key(|one| Reverse(one.blocks.len()));
        let count = together.count(left.len()).clamp(1, left.len());
        let (some, _) = left.split_at_mut_checked(count).unwrap_or_default();
        compress_common(some, together);
    }
}

/// Works in as many blocks of each as there are of the shortest.
fn compress_common<W: Word<BLOCK>, const BLOCK: usize>(
    some: &mut [Begun<'_, W, BLOCK>],
    together: &impl Together<W, BLOCK>,
) {
    let common = some.iter().map(|one| one.blocks.len()).min();
    let common = common.unwrap_or_default();
    if let [one] = some {
        let blocks = one.take(common);
        return one.lane.compress(blocks);
    }
    let mut states: Vec<[W; 8]> = some.iter().map(|one| one.lane.state).collect();
    let blocks: Vec<_> = some.iter_mut().map(|one| one.take(common)).collect();
    together.compress(&mut states, &blocks);
    for (one, state) in some.iter_mut().zip(states) {
        one.lane.state = state;
    }
}

/// A checksum with the bytes that it has still to take in.
struct Begun<'a, W, const BLOCK: usize> {
    lane: &'a mut Lane<W, BLOCK>,
    blocks: &'a [[u8; BLOCK]],
    rest: &'a [u8],
}

impl<'a, W: Word<BLOCK>, const BLOCK: usize> Begun<'a, W, BLOCK> {
    fn new(lane: &'a mut Lane<W, BLOCK>, bytes: &'a [u8]) -> Self {
        let (blocks, rest) = lane.begin(bytes);
        Self { lane, blocks, rest }
    }

    fn take(&mut self, count: usize) -> &'a [[u8; BLOCK]] {
        let (taken, left) = self.blocks.split_at_checked(count).unwrap_or_default();
        self.blocks = left;
        taken
    }

    /// Tells whether whole blocks are left; if not, keeps what is less.
    fn goes_on(&mut self) -> bool {
        let goes_on = !self.blocks.is_empty();
        if !goes_on {
            self.lane.wait(self.rest);
        }
        goes_on
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// FIPS 180-4's examples, as NIST publishes them: "abc", and the one of two blocks.
    #[test]
    fn published_vectors() {
        let mut lane = Lane::<u64, 128>::new();
        lane.update(b"abc");
        assert_eq!(
            lane.finish(),
            "ddaf35a193617abacc417349ae20413112e6fa4e89a97ea20a9eeee64b55d39a2192992a274fc1a836ba3c23a3feebbd454d4423643ce80e2a9ac94fa54ca49f"
        );
        let mut lane = Lane::<u64, 128>::new();
        lane.update(b"abcdefghbcdefghicdefghijdefghijkefghijklfghijklmghijklmnhijklmnoijklmnopjklmnopqklmnopqrlmnopqrsmnopqrstnopqrstu");
        assert_eq!(
            lane.finish(),
            "8e959b75dae313da8cf4f72814fc143f8f7779c6eb9f7fa17299aeadb6889018501d289e4900f7e4331b99dec4b5433ac7d329eeb6dd26545e96e55b874be909"
        );
    }

    /// The same of SHA-256.
    #[test]
    fn published_vectors_of_sha256() {
        let mut lane = Lane::<u32, 64>::new();
        lane.update(b"abc");
        assert_eq!(
            lane.finish(),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
        );
        let mut lane = Lane::<u32, 64>::new();
        lane.update(b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq");
        assert_eq!(
            lane.finish(),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
        );
    }
}
