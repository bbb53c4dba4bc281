//! The encodings of family tree files: UTF-8, UTF-16, Windows, and the library encoding that was the rule before.
//! [GEDCOM 7.0 1.1; GEDCOM 5.5.1 chapter 3; ANSI/NISO Z39.47]

use unicode_normalization::UnicodeNormalization as _;

/// Returns the text of a file: by its byte order mark, else by what its head says of itself, else as UTF-8 or Western.
pub(super) fn decode(bytes: &[u8]) -> String {
    if let Some((encoding, mark)) = encoding_rs::Encoding::for_bom(bytes) {
        let rest = bytes.get(mark..).unwrap_or_default();
        return encoding.decode_without_bom_handling(rest).0.into_owned();
    }
    match bytes {
        [0, b'0', ..] => return encoding_rs::UTF_16BE.decode(bytes).0.into_owned(),
        [b'0', 0, ..] => return encoding_rs::UTF_16LE.decode(bytes).0.into_owned(),
        _ => {}
    }
    match declared(bytes).as_deref() {
        Some("ANSEL") if std::str::from_utf8(bytes).is_err() => ansel(bytes),
        _ => std::str::from_utf8(bytes).map_or_else(
            |_| encoding_rs::WINDOWS_1252.decode(bytes).0.into_owned(),
            str::to_owned,
        ),
    }
}

/// Reads what the head says in `1 CHAR`.
fn declared(bytes: &[u8]) -> Option<String> {
    bytes
        .split(|byte| *byte == b'\n' || *byte == b'\r')
        .take(200)
        .find_map(|line| {
            let line = std::str::from_utf8(line).ok()?;
            let name = line.trim().strip_prefix("1 CHAR ")?;
            Some(name.trim().to_uppercase())
        })
}

/// Reads the library encoding: accents stand before their letter there, and after it in Unicode.
fn ansel(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(bytes.len());
    let mut accents: Vec<char> = Vec::new();
    for byte in bytes {
        if let Some(accent) = accent(*byte) {
            accents.push(accent);
            continue;
        }
        out.push(letter(*byte));
        out.extend(accents.drain(..).rev());
    }
    out.nfc().collect()
}

/// Letters above ASCII. [ANSI/NISO Z39.47 table 2; 0xCF as GEDCOM 5.5.1 appendix C adds it]
fn letter(byte: u8) -> char {
    match byte {
        0x00..=0x7F => char::from(byte),
        0xA1 => 'Ł',
        0xA2 => 'Ø',
        0xA3 => 'Đ',
        0xA4 => 'Þ',
        0xA5 => 'Æ',
        0xA6 => 'Œ',
        0xA7 => 'ʹ',
        0xA8 => '·',
        0xA9 => '♭',
        0xAA => '®',
        0xAB => '±',
        0xAC => 'Ơ',
        0xAD => 'Ư',
        0xAE => 'ʼ',
        0xB0 => 'ʻ',
        0xB1 => 'ł',
        0xB2 => 'ø',
        0xB3 => 'đ',
        0xB4 => 'þ',
        0xB5 => 'æ',
        0xB6 => 'œ',
        0xB7 => 'ʺ',
        0xB8 => 'ı',
        0xB9 => '£',
        0xBA => 'ð',
        0xBC => 'ơ',
        0xBD => 'ư',
        0xC0 => '°',
        0xC1 => 'ℓ',
        0xC2 => '℗',
        0xC3 => '©',
        0xC4 => '♯',
        0xC5 => '¿',
        0xC6 => '¡',
        0xCF => 'ß',
        _ => '\u{FFFD}',
    }
}

/// Accents. [ANSI/NISO Z39.47 table 3]
const fn accent(byte: u8) -> Option<char> {
    Some(match byte {
        0xE0 => '\u{309}',
        0xE1 => '\u{300}',
        0xE2 => '\u{301}',
        0xE3 => '\u{302}',
        0xE4 => '\u{303}',
        0xE5 => '\u{304}',
        0xE6 => '\u{306}',
        0xE7 => '\u{307}',
        0xE8 => '\u{308}',
        0xE9 => '\u{30C}',
        0xEA => '\u{30A}',
        0xEB => '\u{FE20}',
        0xEC => '\u{FE21}',
        0xED => '\u{315}',
        0xEE => '\u{30B}',
        0xEF => '\u{310}',
        0xF0 => '\u{327}',
        0xF1 => '\u{328}',
        0xF2 => '\u{323}',
        0xF3 => '\u{324}',
        0xF4 => '\u{325}',
        0xF5 => '\u{333}',
        0xF6 => '\u{332}',
        0xF7 => '\u{326}',
        0xF8 => '\u{31C}',
        0xF9 => '\u{32E}',
        0xFA => '\u{FE22}',
        0xFB => '\u{FE23}',
        0xFE => '\u{313}',
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn accents_come_before_their_letter_in_the_library_encoding() {
        let bytes = b"0 HEAD\n1 CHAR ANSEL\n1 NAME Andr\xE2e /M\xE8uller \xB2 \xCF/";
        assert!(decode(bytes).ends_with("1 NAME André /Müller ø ß/"));
    }

    #[test]
    fn every_other_encoding_is_known() {
        let text = "0 HEAD\n1 NAME Кора André";
        let wide =
            |order: fn(u16) -> [u8; 2]| text.encode_utf16().flat_map(order).collect::<Vec<u8>>();
        assert_eq!(decode(text.as_bytes()), text);
        assert_eq!(decode(&[b"\xEF\xBB\xBF", text.as_bytes()].concat()), text);
        assert_eq!(
            decode(&[b"\xFF\xFE".to_vec(), wide(u16::to_le_bytes)].concat()),
            text
        );
        assert_eq!(decode(&wide(u16::to_le_bytes)), text);
        assert_eq!(decode(&wide(u16::to_be_bytes)), text);
        assert_eq!(decode(b"0 HEAD\n1 NAME Andr\xE9"), "0 HEAD\n1 NAME André");
    }
}
