//! SHA-256 of one message or of several at once, in the way that is fastest on this processor. [FIPS180-4 6.2]
//!
//! Where a processor has instructions for SHA-256, each of them waits for the one before of the same message; those for other messages fill
//! the time. A fourth message would find no free registers. Where it has none, wide registers make up for much of it. Anywhere else the
//! library does it, a block of each message in turn.

#[cfg(target_arch = "x86_64")]
mod eight_wide;
#[cfg(target_arch = "x86_64")]
mod in_turn;

use super::lane;
use super::lane::IS_OPTIMISED;
use super::lane::Together;
use super::lane::Word;
use multiversion::multiversion;
use multiversion::target::match_target;
use sha2::block_api::compress256;

/// Bytes of a block. [FIPS180-4 1, figure 1]
type Block = [u8; 64];

/// A SHA-256 that can be worked out beside others.
pub(super) type Lane = lane::Lane<u32, 64>;

/// What has been worked out of a message so far. [FIPS180-4 6.2.1]
type State = [u32; 8];

/// How several messages are worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Way {
    /// Two or three in turn, with the processor's own instructions.
    InTurn,
    /// Up to eight, in wide registers.
    EightWide,
    /// Two or three in turn, a block of each, by the library.
    Library,
}

/// Asks the processor. This function is there once for each kind of processor, and so are those below that look like it.
#[multiversion(targets("x86_64+sha+sse2+sse4.1+ssse3", "x86_64+avx+avx2+bmi1+bmi2"))]
fn way() -> Way {
    match_target! {
        "x86_64+sha+sse2+sse4.1+ssse3" => Way::InTurn,
        "x86_64+avx+avx2+bmi1+bmi2" => Way::EightWide,
        _ => Way::Library,
    }
}

/// Tells whether this processor has instructions for SHA-256, so that several may share one thread and lose little by it.
#[must_use]
pub(super) fn goes_in_turn() -> bool {
    way() == Way::InTurn
}

/// Returns how many this processor works out at once much faster than one after the other.
#[must_use]
pub(super) fn at_once() -> usize {
    match way() {
        Way::InTurn => IN_TURN,
        Way::EightWide => WIDTH,
        Way::Library => 1,
    }
}

/// So many at most are worked out at once in wide registers.
pub(super) const WIDTH: usize = 8;

/// So many at least are worked out at once in wide registers; for two, each by itself is faster.
const WIDE_FROM: usize = 3;

/// So many at most are worked out in turn.
pub(super) const IN_TURN: usize = 3;

/// Takes in more bytes for each of several.
pub(super) fn update<'a>(lanes: impl IntoIterator<Item = (&'a mut Lane, &'a [u8])>) {
    let way = if IS_OPTIMISED { way() } else { Way::Library };
    lane::update_together(lanes, &way);
}

impl Together<u32, 64> for Way {
    fn count(&self, left: usize) -> usize {
        match (self, left) {
            (Self::EightWide, WIDTH..) => WIDTH,
            (Self::EightWide, WIDE_FROM..) => left,
            (Self::EightWide, _) => 1,
            // Two and two rather than three and one.
            (_, 4) => 2,
            (_, _) => left.min(IN_TURN),
        }
    }

    fn compress(&self, states: &mut [State], blocks: &[&[Block]]) {
        match self {
            Self::Library => block_by_block(states, blocks),
            Self::InTurn | Self::EightWide => compress_several(states, blocks),
        }
    }
}

/// Works blocks of one message into its state.
#[multiversion(targets("x86_64+sha+sse2+sse4.1+ssse3", "x86_64+avx+avx2+bmi1+bmi2"))]
fn compress(state: &mut State, blocks: &[Block]) {
    match_target! {
        "x86_64+sha+sse2+sse4.1+ssse3" => compress256(state, blocks),
        "x86_64+avx+avx2+bmi1+bmi2" => eight_wide::compress_one(state, blocks),
        _ => compress256(state, blocks),
    }
}

/// Works blocks of each of several messages into its state, as many of each.
#[multiversion(targets("x86_64+sha+sse2+sse4.1+ssse3", "x86_64+avx+avx2+bmi1+bmi2"))]
fn compress_several(states: &mut [State], blocks: &[&[Block]]) {
    match_target! {
        "x86_64+sha+sse2+sse4.1+ssse3" => in_turn::compress(states, blocks),
        "x86_64+avx+avx2+bmi1+bmi2" => eight_wide::compress(states, blocks),
        _ => block_by_block(states, blocks),
    }
}

/// The library's own way, one block of each message in turn: other kinds of processors have instructions for it too.
fn block_by_block(states: &mut [State], blocks: &[&[Block]]) {
    let mut left: Vec<_> = blocks.iter().map(|blocks| blocks.iter()).collect();
    loop {
        for (state, blocks) in states.iter_mut().zip(&mut left) {
            let Some(block) = blocks.next() else { return };
            compress256(state, std::slice::from_ref(block));
        }
    }
}

impl Word<64> for u32 {
    const FIRST: State = [
        0x6a09_e667,
        0xbb67_ae85,
        0x3c6e_f372,
        0xa54f_f53a,
        0x510e_527f,
        0x9b05_688c,
        0x1f83_d9ab,
        0x5be0_cd19,
    ];
    const LENGTH: usize = 8;

    fn compress(state: &mut State, blocks: &[Block]) {
        if IS_OPTIMISED {
            compress(state, blocks);
        } else {
            compress256(state, blocks);
        }
    }

    fn put(self, bytes: &mut Vec<u8>) {
        bytes.extend(self.to_be_bytes());
    }
}

/// The first 32 bits of the fractional parts of the cube roots of the first 64 primes, four and sixteen together. [FIPS180-4 4.2.2]
#[cfg(target_arch = "x86_64")]
const CONSTANTS: [[[u32; 4]; 4]; 4] = [
    [
        [0x428a_2f98, 0x7137_4491, 0xb5c0_fbcf, 0xe9b5_dba5],
        [0x3956_c25b, 0x59f1_11f1, 0x923f_82a4, 0xab1c_5ed5],
        [0xd807_aa98, 0x1283_5b01, 0x2431_85be, 0x550c_7dc3],
        [0x72be_5d74, 0x80de_b1fe, 0x9bdc_06a7, 0xc19b_f174],
    ],
    [
        [0xe49b_69c1, 0xefbe_4786, 0x0fc1_9dc6, 0x240c_a1cc],
        [0x2de9_2c6f, 0x4a74_84aa, 0x5cb0_a9dc, 0x76f9_88da],
        [0x983e_5152, 0xa831_c66d, 0xb003_27c8, 0xbf59_7fc7],
        [0xc6e0_0bf3, 0xd5a7_9147, 0x06ca_6351, 0x1429_2967],
    ],
    [
        [0x27b7_0a85, 0x2e1b_2138, 0x4d2c_6dfc, 0x5338_0d13],
        [0x650a_7354, 0x766a_0abb, 0x81c2_c92e, 0x9272_2c85],
        [0xa2bf_e8a1, 0xa81a_664b, 0xc24b_8b70, 0xc76c_51a3],
        [0xd192_e819, 0xd699_0624, 0xf40e_3585, 0x106a_a070],
    ],
    [
        [0x19a4_c116, 0x1e37_6c08, 0x2748_774c, 0x34b0_bcb5],
        [0x391c_0cb3, 0x4ed8_aa4a, 0x5b9c_ca4f, 0x682e_6ff3],
        [0x748f_82ee, 0x78a5_636f, 0x84c8_7814, 0x8cc7_0208],
        [0x90be_fffa, 0xa450_6ceb, 0xbef9_a3f7, 0xc671_78f2],
    ],
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::hexadecimal;
    use proptest::prelude::*;
    use sha2::Digest as _;

    proptest! {
        /// However long the messages are, however they are cut, and however many there are, the library's own SHA-256 agrees.
        #[test]
        fn the_library_agrees(
            messages in prop::collection::vec(prop::collection::vec(any::<u8>(), 0..900), 1..20),
            steps in prop::collection::vec(1_usize..400, 20),
        ) {
            let mut lanes = vec![Lane::new(); messages.len()];
            let mut left: Vec<&[u8]> = messages.iter().map(Vec::as_slice).collect();
            while left.iter().any(|rest| !rest.is_empty()) {
                let pieces = left.iter_mut().zip(&steps).map(|(rest, step)| {
                    let (piece, after) = rest.split_at((*step).min(rest.len()));
                    *rest = after;
                    piece
                });
                update(lanes.iter_mut().zip(pieces));
            }
            for (lane, message) in lanes.into_iter().zip(&messages) {
                prop_assert_eq!(lane.finish(), hexadecimal(&sha2::Sha256::digest(message)));
            }
        }

        /// Each way that this processor has, by itself and whatever the build, agrees with the library.
        #[test]
        fn every_way_agrees(
            messages in prop::collection::vec(prop::collection::vec(any::<[u8; 32]>(), 40), 1..=WIDTH),
        ) {
            let messages: Vec<Vec<Block>> = messages
                .iter()
                .map(|halves| halves.as_flattened().as_chunks().0.to_vec())
                .collect();
            let blocks: Vec<&[Block]> = messages.iter().map(Vec::as_slice).collect();
            let mut expected = vec![u32::FIRST; messages.len()];
            for (state, blocks) in expected.iter_mut().zip(&blocks) {
                compress256(state, blocks);
            }
            for way in ways() {
                let mut states = vec![u32::FIRST; messages.len()];
                way(&mut states, &blocks);
                prop_assert_eq!(&states, &expected);
            }
        }
    }

    type Compress = fn(&mut [State], &[&[Block]]);

    fn ways() -> Vec<Compress> {
        let mut ways: Vec<Compress> = vec![block_by_block, compress_several, |states, blocks| {
            for (state, blocks) in states.iter_mut().zip(blocks) {
                compress(state, blocks);
            }
        }];
        ways.extend(wide_ways());
        ways
    }

    #[multiversion(targets("x86_64+avx+avx2+bmi1+bmi2"))]
    fn wide_ways() -> Vec<Compress> {
        match_target! {
            "x86_64+avx+avx2+bmi1+bmi2" => vec![wide, wide_one],
            _ => Vec::new(),
        }
    }

    #[multiversion(targets("x86_64+avx+avx2+bmi1+bmi2"))]
    fn wide(states: &mut [State], blocks: &[&[Block]]) {
        match_target! {
            "x86_64+avx+avx2+bmi1+bmi2" => eight_wide::compress(states, blocks),
            _ => block_by_block(states, blocks),
        }
    }

    #[multiversion(targets("x86_64+avx+avx2+bmi1+bmi2"))]
    fn wide_one(states: &mut [State], blocks: &[&[Block]]) {
        for (state, blocks) in states.iter_mut().zip(blocks) {
            match_target! {
                "x86_64+avx+avx2+bmi1+bmi2" => eight_wide::compress_one(state, blocks),
                _ => compress256(state, blocks),
            }
        }
    }
}
