//! The outer form of a packet: its wrapper and the blanks that leave room for the next edit. [ISO16684-1 7.3]

/// Blanks after the text of a packet, in bytes, so that other programs can add a little without moving anything.
pub(super) const PADDING: usize = 2048;

/// The end of a packet that may be written to.
const TRAILER: &str = "<?xpacket end=\"w\"?>";
/// The beginning: the byte order mark and an identifier that is the same in all packets.
const HEADER: &str = "<?xpacket begin=\"\u{feff}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n";

/// Returns a packet with its wrapper, without padding.
pub(super) fn wrapped(text: &str) -> String {
    let trimmed = text.trim_end();
    if trimmed.starts_with("<?xpacket") && trimmed.ends_with("?>") {
        trimmed.to_owned()
    } else {
        format!("{HEADER}{trimmed}\n{TRAILER}")
    }
}

/// Returns a wrapped packet with blanks before its trailer, so that it has `length` bytes.
pub(super) fn padded(packet: &str, length: usize) -> Vec<u8> {
    /// Blanks in one line.
    const LINE: usize = 100;
    let at = packet
        .rfind("<?xpacket")
        .filter(|at| *at > 0)
        .unwrap_or(packet.len());
    let (body, trailer) = packet.split_at_checked(at).unwrap_or((packet, ""));
    let missing = length.saturating_sub(packet.len());
    let mut bytes = body.as_bytes().to_vec();
    bytes.extend((1..=missing).map(|count| {
        if count == missing || count.is_multiple_of(LINE) {
            b'\n'
        } else {
            b' '
        }
    }));
    bytes.extend_from_slice(trailer.as_bytes());
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn padding_goes_before_the_trailer_and_makes_the_length() {
        let packet = wrapped("<x/>");
        let padded = padded(&packet, packet.len() + 300);
        assert_eq!(padded.len(), packet.len() + 300);
        assert!(padded.ends_with(TRAILER.as_bytes()));
        assert_eq!(wrapped(&packet), packet);
    }
}
