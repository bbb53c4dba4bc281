//! Unpacking deflated pieces of strangers' files within a limit.

use flate2::read::ZlibDecoder;
use std::io;
use std::io::Read;

/// Unpacks a piece. What unpacks to more than `limit` bytes is counted and never held, and memory is taken once, for as much as there is: growing
/// would hold a piece several times over.
///
/// Returns nothing if there is more, or if it is damaged.
pub(super) fn inflated(deflated: &[u8], limit: u64) -> Option<Vec<u8>> {
    let unpacking = || ZlibDecoder::new(deflated).take(limit.saturating_add(1));
    let length = io::copy(&mut unpacking(), &mut io::sink()).ok()?;
    if length > limit {
        return None;
    }
    let mut bytes = Vec::with_capacity(usize::try_from(length).ok()?);
    unpacking().read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::Compression;
    use flate2::read::ZlibEncoder;

    #[test]
    fn a_piece_is_unpacked_up_to_its_limit() {
        let mut deflated = Vec::new();
        ZlibEncoder::new([7_u8; 5000].as_slice(), Compression::best())
            .read_to_end(&mut deflated)
            .unwrap();
        assert_eq!(inflated(&deflated, 5000).unwrap(), [7; 5000]);
        assert_eq!(inflated(&deflated, 5000).unwrap().capacity(), 5000);
        assert_eq!(inflated(&deflated, 4999), None);
        deflated.truncate(deflated.len() / 2);
        assert_eq!(inflated(&deflated, 5000), None);
    }
}
