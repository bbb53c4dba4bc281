//! Captions of the older kind, which some viewers still prefer. [IPTC-NAA Information Interchange Model 4.2]
//!
//! Only read: what stands there stays as it is, and is reported where it differs from the record.

/// What an IIM block says, as far as viewers show it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Caption {
    /// Object name. [IIM 2:05]
    pub title: Option<String>,
    /// Caption/abstract. [IIM 2:120]
    pub description: Option<String>,
    /// Keywords. [IIM 2:25]
    pub keywords: Vec<String>,
    /// By-line. [IIM 2:80]
    pub creators: Vec<String>,
    /// Date created as `1998-10-07`, `1998-10` or `1998`. [IIM 2:55]
    pub date_created: Option<String>,
    /// Copyright notice. [IIM 2:116]
    pub copyright: Option<String>,
    /// Where the block could not be read further, counted in bytes from its start.
    pub damaged_at: Option<usize>,
}

impl Caption {
    /// Tells whether nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// One dataset: record, number, value.
struct Dataset<'a> {
    record: u8,
    number: u8,
    value: &'a [u8],
}

/// Reads a run of datasets. Whatever stands before a damaged one is returned.
#[must_use]
pub fn read(bytes: &[u8]) -> Caption {
    let (datasets, damaged_at) = datasets(bytes);
    let is_utf8 = datasets
        .iter()
        .any(|one| (one.record, one.number) == (1, 90) && one.value == UTF8);
    let mut caption = Caption {
        damaged_at,
        ..Caption::default()
    };
    for dataset in datasets.iter().filter(|dataset| dataset.record == 2) {
        let Some(text) = decode(dataset.value, is_utf8) else {
            continue;
        };
        match dataset.number {
            5 => caption.title = caption.title.or(Some(text)),
            25 => caption.keywords.push(text),
            55 => caption.date_created = caption.date_created.or_else(|| date(&text)),
            80 => caption.creators.push(text),
            116 => caption.copyright = caption.copyright.or(Some(text)),
            120 => caption.description = caption.description.or(Some(text)),
            _ => {}
        }
    }
    caption
}

/// The escape sequence that announces UTF-8 in dataset 1:90. [IIM 1:90; ISO/IEC 2022]
const UTF8: &[u8] = b"\x1B%G";
/// Every dataset begins with this byte. [IIM 1.5]
const TAG_MARKER: u8 = 0x1C;

fn datasets(bytes: &[u8]) -> (Vec<Dataset<'_>>, Option<usize>) {
    let mut found = Vec::new();
    let mut rest = bytes;
    loop {
        // Programs pad the block with zeros to an even length.
        if rest.iter().all(|byte| *byte == 0) {
            return (found, None);
        }
        match dataset(rest) {
            Some((one, after)) => {
                found.push(one);
                rest = after;
            }
            None => return (found, Some(bytes.len().saturating_sub(rest.len()))),
        }
    }
}

fn dataset(bytes: &[u8]) -> Option<(Dataset<'_>, &[u8])> {
    let (head, rest) = bytes.split_first_chunk::<5>()?;
    let [TAG_MARKER, record, number, high, low] = *head else {
        return None;
    };
    let (length, rest) = if high & 0x80 == 0 {
        (usize::from(u16::from_be_bytes([high, low])), rest)
    } else {
        extended_length(u16::from_be_bytes([high & 0x7F, low]), rest)?
    };
    let (value, after) = rest.split_at_checked(length)?;
    let one = Dataset {
        record,
        number,
        value,
    };
    Some((one, after))
}

/// Values of more than 32,767 bytes give the number of bytes of their length first. [IIM 1.6]
fn extended_length(count: u16, rest: &[u8]) -> Option<(usize, &[u8])> {
    let (bytes, after) = rest.split_at_checked(usize::from(count))?;
    let length = bytes.iter().try_fold(0_usize, |length, byte| {
        length.checked_mul(256)?.checked_add(usize::from(*byte))
    })?;
    Some((length, after))
}

/// Without an announcement the encoding is whatever the writer's system used: UTF-8 if it reads as that, else Western.
fn decode(value: &[u8], is_utf8: bool) -> Option<String> {
    let text = match std::str::from_utf8(value) {
        Ok(text) => text.to_owned(),
        Err(_) if is_utf8 => String::from_utf8_lossy(value).into_owned(),
        Err(_) => encoding_rs::WINDOWS_1252
            .decode_without_bom_handling(value)
            .0
            .into_owned(),
    };
    let text = text.trim_matches(|one: char| one.is_whitespace() || one == '\0');
    (!text.is_empty()).then(|| text.to_owned())
}

/// Reads CCYYMMDD; unknown parts are zeros. [IIM 2:55]
fn date(text: &str) -> Option<String> {
    if text.len() != 8 || !text.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let (year, rest) = text.split_at(4);
    let (month, day) = rest.split_at(2);
    match (year, month, day) {
        ("0000", _, _) => None,
        (_, "00", _) => Some(year.to_owned()),
        (_, _, "00") => Some(format!("{year}-{month}")),
        _ => Some(format!("{year}-{month}-{day}")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn dataset(record: u8, number: u8, value: &[u8]) -> Vec<u8> {
        let length = u16::try_from(value.len()).unwrap().to_be_bytes();
        [&[TAG_MARKER, record, number], length.as_slice(), value].concat()
    }

    fn whole() -> Vec<u8> {
        [
            dataset(1, 90, UTF8),
            dataset(2, 5, "Кора".as_bytes()),
            dataset(2, 25, b"attic"),
            dataset(2, 25, b"chalk"),
            dataset(2, 55, b"18840500"),
            dataset(2, 80, b"Uncle Zeb"),
            dataset(2, 116, b"(c)"),
            dataset(2, 120, b" two\nlines "),
        ]
        .concat()
    }

    #[test]
    fn all_datasets_are_read() {
        let caption = read(&[whole(), vec![0]].concat());
        assert_eq!(caption.title.as_deref(), Some("Кора"));
        assert_eq!(caption.keywords, ["attic", "chalk"]);
        assert_eq!(caption.date_created.as_deref(), Some("1884-05"));
        assert_eq!(caption.creators, ["Uncle Zeb"]);
        assert_eq!(caption.copyright.as_deref(), Some("(c)"));
        assert_eq!(caption.description.as_deref(), Some("two\nlines"));
        assert_eq!(caption.damaged_at, None);
    }

    #[test]
    fn western_text_is_read_where_nothing_is_announced() {
        assert_eq!(
            read(&dataset(2, 80, b"W\xF6rdehoff")).creators,
            ["Wördehoff"]
        );
    }

    #[test]
    fn long_values_give_the_length_of_their_length() {
        let value = vec![b'x'; 40_000];
        let bytes = [
            &[TAG_MARKER, 2, 120, 0x80, 4, 0, 0, 0x9C, 0x40],
            value.as_slice(),
        ]
        .concat();
        assert_eq!(read(&bytes).description.unwrap().len(), 40_000);
        let endless = [TAG_MARKER, 2, 120, 0xFF, 0xFF, 1];
        assert_eq!(read(&endless).damaged_at, Some(0));
    }

    #[test]
    fn cut_at_every_byte_keeps_what_stands_before() {
        let whole = whole();
        for length in 1..whole.len() {
            let caption = read(whole.get(..length).unwrap());
            assert!(
                caption.damaged_at.is_some() || whole.get(length) == Some(&TAG_MARKER),
                "{length}"
            );
        }
        let most = read(whole.get(..whole.len().saturating_sub(1)).unwrap());
        assert_eq!(most.creators, ["Uncle Zeb"]);
        assert_eq!(most.description, None);
    }
}
