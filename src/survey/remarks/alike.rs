//! Finding fingerprints that differ in few bits, without comparing each with each.
//!
//! Two numbers of 64 bits that differ in at most ten have a quarter of 16 bits in which they differ in at most two. So it is enough
//! to look, for each quarter, at those of which that quarter is one of 137 values.

use crate::format::viewing::PERHAPS_THE_SAME;
use crate::format::viewing::distance;

/// The quarters of a fingerprint.
const QUARTERS: u32 = 4;

/// How many values a quarter has.
const VALUES: usize = 1 << 16;

/// In how many bits the likest quarter of two fingerprints differs at most.
const NEAR: u32 = PERHAPS_THE_SAME / QUARTERS;

/// Tells the places of each two that are [`PERHAPS_THE_SAME`], the earlier one first, each pair once and in no order. Of many
/// pictures that are all alike there are too many pairs to gather.
pub(super) fn each_pair(fingerprints: &[u64], mut tell: impl FnMut(usize, usize)) {
    let near: Vec<usize> = (0..VALUES)
        .filter(|bits| bits.count_ones() <= NEAR)
        .collect();
    for part in 0..QUARTERS {
        let mut by_value: Vec<Vec<usize>> = vec![Vec::new(); VALUES];
        for (place, fingerprint) in fingerprints.iter().enumerate() {
            let value = quarter(*fingerprint, part);
            let others = near.iter().filter_map(|bits| by_value.get(value ^ bits));
            for other in others.flatten() {
                let is_new = fingerprints.get(*other).is_some_and(|other| {
                    distance(*other, *fingerprint) <= PERHAPS_THE_SAME
                        && !(0..part).any(|earlier| is_near(*other, *fingerprint, earlier))
                });
                if is_new {
                    tell(*other, place);
                }
            }
            if let Some(own) = by_value.get_mut(value) {
                own.push(place);
            }
        }
    }
}

/// Tells whether two are met by this quarter.
fn is_near(one: u64, other: u64, part: u32) -> bool {
    quarter(one ^ other, part).count_ones() <= NEAR
}

fn quarter(fingerprint: u64, part: u32) -> usize {
    let bits = fingerprint.wrapping_shr(part.saturating_mul(16)) & 0xFFFF;
    usize::try_from(bits).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    fn pairs(fingerprints: &[u64]) -> BTreeSet<(usize, usize)> {
        let mut found = BTreeSet::new();
        each_pair(fingerprints, |one, other| {
            assert!(found.insert((one, other)), "told twice");
        });
        found
    }

    proptest! {
        /// Comparing each with each finds the same. Most are made from few, with some bits turned.
        #[test]
        fn each_with_each_finds_the_same(
            made in prop::collection::vec((0_usize..4, any::<u64>(), any::<u64>()), 0..60),
            first in any::<[u64; 4]>(),
        ) {
            let turned = |(from, one, other): (usize, u64, u64)| first[from] ^ (one & other & one.rotate_left(7));
            let all: Vec<u64> = made.into_iter().map(turned).collect();
            let mut expected = BTreeSet::new();
            for (place, one) in all.iter().enumerate() {
                for (earlier, two) in all.iter().enumerate().take(place) {
                    if distance(*one, *two) <= PERHAPS_THE_SAME {
                        expected.insert((earlier, place));
                    }
                }
            }
            prop_assert_eq!(pairs(&all), expected);
        }
    }

    /// Ten bits turned are found wherever they are, eleven are not.
    #[test]
    fn the_last_bit_counts() {
        let one = 0x0123_4567_89ab_cdef_u64;
        for step in 1..=6_u32 {
            for turn in 0..64 {
                let bits = |count: u32| {
                    (0..count).fold(0_u64, |bits, bit| {
                        bits | 1_u64.rotate_left(turn + bit * step)
                    })
                };
                let ten = bits(PERHAPS_THE_SAME);
                assert_eq!(ten.count_ones(), PERHAPS_THE_SAME);
                assert_eq!(pairs(&[one, one ^ ten]).len(), 1, "{step} {turn}");
                let eleven = bits(PERHAPS_THE_SAME + 1);
                assert!(pairs(&[one, one ^ eleven]).is_empty(), "{step} {turn}");
            }
        }
    }
}
