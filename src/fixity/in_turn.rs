//! SHA-256 of two or three messages at once: a few rounds of each, in turn. [FIPS180-4 6.2]
//!
//! Where a processor has instructions for SHA-256, each of them waits for the one before of the same message; those for other messages fill
//! the time. A fourth message would find no free registers.

#[cfg(target_arch = "x86_64")]
mod instructions;

use multiversion::multiversion;
use multiversion::target::match_target;
use sha2::block_api::compress256;

/// Bytes of a block. [FIPS180-4 1, figure 1]
const BLOCK: usize = 64;

/// A SHA-256 that can be worked out in turn with another.
pub(super) type Lane = super::lane::Lane<u32, BLOCK>;

/// Tells whether this processor has instructions for SHA-256, so that several may share one thread and lose little by it.
#[must_use]
#[multiversion(targets("x86_64+sha+sse2+sse4.1+ssse3"))]
pub(super) fn is_worthwhile() -> bool {
    match_target! {
        "x86_64+sha+sse2+sse4.1+ssse3" => true,
        _ => false,
    }
}

/// Takes in more bytes for each of several, two or three in turn.
pub(super) fn update<'a>(lanes: Vec<(&'a mut Lane, &'a [u8])>) {
    let mut lanes = lanes.into_iter();
    while let Some(first) = lanes.next() {
        let Some(second) = lanes.next() else {
            return first.0.update(first.1);
        };
        let third = if lanes.len() == 1 { lanes.next() } else { None };
        match third {
            Some(third) => in_turn([first, second, third]),
            None => in_turn([first, second]),
        }
    }
}

fn in_turn<const N: usize>(lanes: [(&mut Lane, &[u8]); N]) {
    let begun = lanes.map(|(lane, bytes)| {
        let (blocks, rest) = lane.begin(bytes);
        (lane, blocks, rest)
    });
    let common = begun.iter().map(|(_, blocks, _)| blocks.len()).min();
    let common = common.unwrap_or(0);
    let pieces = begun
        .each_ref()
        .map(|(_, blocks, _)| blocks.split_at_checked(common).unwrap_or_default());
    let mut states = begun.each_ref().map(|(lane, ..)| lane.state());
    compress(&mut states, pieces.map(|(alike, _)| alike));
    for (((lane, _, rest), (_, longer)), state) in begun.into_iter().zip(pieces).zip(states) {
        *lane.state_mut() = state;
        lane.compress(longer);
        lane.wait(rest);
    }
}

/// Works blocks of each message into its state, as many of each. This function is there twice: with the instructions and without; the
/// processor is asked which it is to be.
#[multiversion(targets("x86_64+sha+sse2+sse4.1+ssse3"))]
fn compress<const N: usize>(states: &mut [[u32; 8]; N], blocks: [&[[u8; BLOCK]]; N]) {
    match_target! {
        "x86_64+sha+sse2+sse4.1+ssse3" => instructions::compress(states, blocks),
        _ => block_by_block(states, blocks),
    }
}

/// The library's own way, one block of each message in turn: other kinds of processors have such instructions too.
fn block_by_block<const N: usize>(states: &mut [[u32; 8]; N], blocks: [&[[u8; BLOCK]]; N]) {
    let mut blocks = blocks.map(<[_]>::iter);
    loop {
        for (state, blocks) in states.iter_mut().zip(&mut blocks) {
            let Some(block) = blocks.next() else { return };
            compress256(state, std::slice::from_ref(block));
        }
    }
}

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
            messages in prop::collection::vec(prop::collection::vec(any::<u8>(), 0..900), 1..6),
            steps in prop::collection::vec(1_usize..400, 6),
        ) {
            let mut lanes = vec![Lane::new(); messages.len()];
            let mut left: Vec<&[u8]> = messages.iter().map(Vec::as_slice).collect();
            while left.iter().any(|rest| !rest.is_empty()) {
                let pieces = left.iter_mut().zip(&steps).map(|(rest, step)| {
                    let (piece, after) = rest.split_at((*step).min(rest.len()));
                    *rest = after;
                    piece
                });
                update(lanes.iter_mut().zip(pieces).collect());
            }
            for (lane, message) in lanes.into_iter().zip(&messages) {
                prop_assert_eq!(lane.finish(), hexadecimal(&sha2::Sha256::digest(message)));
            }
        }
    }
}
