//! What one step of a pass gives to each of several checksums.

use super::Running;
use super::update_several;

/// Bytes for one checksum, in pieces that follow each other.
#[derive(Debug)]
pub struct Portion<'a> {
    /// The checksum.
    pub running: &'a mut Running,
    /// Its bytes, in their order.
    pub pieces: Vec<&'a [u8]>,
}

/// Takes in portions of different checksums; those of one kind are worked out together, as far as their pieces go.
pub fn update_portions(mut portions: Vec<Portion<'_>>) {
    let mut left: Vec<_> = portions.iter_mut().map(Left::of).collect();
    loop {
        let shortest = left
            .iter()
            .map(|one| one.piece.len())
            .filter(|length| *length > 0);
        let Some(common) = shortest.min() else { break };
        update_several(left.iter_mut().map(|one| one.take(common)));
    }
}

/// What is left of a portion.
struct Left<'p, 'a> {
    running: &'p mut Running,
    pieces: std::slice::Iter<'p, &'a [u8]>,
    piece: &'a [u8],
}

impl<'p, 'a> Left<'p, 'a> {
    fn of(portion: &'p mut Portion<'a>) -> Self {
        let mut left = Self {
            running: portion.running,
            pieces: portion.pieces.iter(),
            piece: &[],
        };
        left.take(0);
        left
    }

    /// Returns so many bytes of the piece in hand, or all that there are, and takes the next piece in hand after the last byte.
    fn take(&mut self, count: usize) -> (&mut [Running], &'a [u8]) {
        let count = count.min(self.piece.len());
        let (taken, rest) = self.piece.split_at_checked(count).unwrap_or_default();
        self.piece = rest;
        while self.piece.is_empty()
            && let Some(next) = self.pieces.next()
        {
            self.piece = next;
        }
        (std::slice::from_mut(self.running), taken)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixity::Algorithm;
    use crate::fixity::Digest;
    use proptest::prelude::*;

    proptest! {
        /// However the bytes of each are cut, every checksum is that of its bytes in their order.
        #[test]
        fn each_gets_its_own_bytes_in_order(
            messages in prop::collection::vec(prop::collection::vec(prop::collection::vec(any::<u8>(), 0..300), 0..5), 1..5),
        ) {
            let algorithms = [Algorithm::Sha256, Algorithm::Sha512, Algorithm::Sha256, Algorithm::Md5, Algorithm::Sha256];
            let begun = algorithms.iter().copied().map(Running::new);
            let mut running: Vec<Running> = begun.take(messages.len()).collect();
            let portions = running.iter_mut().zip(&messages).map(|(running, pieces)| Portion {
                running,
                pieces: pieces.iter().map(Vec::as_slice).collect(),
            });
            update_portions(portions.collect());
            for (running, pieces) in running.into_iter().zip(&messages) {
                let digest = running.finish();
                prop_assert_eq!(&digest, &Digest::of(digest.algorithm(), &pieces.concat()));
            }
        }
    }
}
