//! SHA-256 of two or three messages at once: a block of each, in turn. [FIPS180-4 6.2]
//!
//! Each instruction for one message waits for the one before; those for the others fill the time. Measured on a processor with instructions
//! for SHA-256: 2.4 GB/s for two or three in turn, 1.78 GB/s for one after the other.

/// Bytes of a block. [FIPS180-4 1, figure 1]
const BLOCK: usize = 64;

/// A SHA-256 that can be worked out in turn with another.
pub(super) type Lane = super::lane::Lane<u32, BLOCK>;

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
    let mut begun = lanes.map(|(lane, bytes)| {
        let (blocks, rest) = lane.begin(bytes);
        (lane, blocks, rest)
    });
    let common = begun.iter().map(|(_, blocks, _)| blocks.len()).min();
    let common = common.unwrap_or(0);
    for number in 0..common {
        for (lane, blocks, _) in &mut begun {
            lane.compress(blocks.get(number..=number).unwrap_or_default());
        }
    }
    for (lane, blocks, rest) in begun {
        lane.compress(blocks.get(common..).unwrap_or_default());
        lane.wait(rest);
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
