//! Which container a file is, told by its content, never by its name.

use super::source::Order;

/// A kind of picture file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// JPEG. [ITU-T T.81]
    Jpeg,
    /// TIFF. [TIFF 6.0]
    Tiff,
    /// TIFF with 64-bit positions.
    BigTiff,
    /// PNG, still or animated. [PNG Third Edition]
    Png,
    /// WebP. [RFC9649]
    WebP,
    /// HEIF or HEIC. [ISO23008-12]
    Heif,
    /// AVIF.
    Avif,
    /// JPEG 2000. [ITU-T T.800]
    Jpeg2000,
    /// DNG.
    Dng,
    /// Another camera raw file.
    Raw,
    /// PSD.
    Psd,
    /// GIF.
    Gif,
    /// PDF. [ISO32000-1]
    Pdf,
    /// BMP.
    Bmp,
}

impl Kind {
    /// Returns the name that people use.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Jpeg => "JPEG",
            Self::Tiff => "TIFF",
            Self::BigTiff => "BigTIFF",
            Self::Png => "PNG",
            Self::WebP => "WebP",
            Self::Heif => "HEIC/HEIF",
            Self::Avif => "AVIF",
            Self::Jpeg2000 => "JPEG 2000",
            Self::Dng => "DNG",
            Self::Raw => "camera raw",
            Self::Psd => "PSD",
            Self::Gif => "GIF",
            Self::Pdf => "PDF",
            Self::Bmp => "BMP",
        }
    }

    /// Returns the usual ending of a file name, without the dot.
    #[must_use]
    pub const fn extension(self) -> &'static str {
        match self {
            Self::Jpeg => "jpg",
            Self::Tiff | Self::BigTiff => "tif",
            Self::Png => "png",
            Self::WebP => "webp",
            Self::Heif => "heic",
            Self::Avif => "avif",
            Self::Jpeg2000 => "jp2",
            Self::Dng => "dng",
            Self::Raw => "raw",
            Self::Psd => "psd",
            Self::Gif => "gif",
            Self::Pdf => "pdf",
            Self::Bmp => "bmp",
        }
    }

    /// Tells whether kithbag can write a record into this kind of file.
    #[must_use]
    pub const fn can_be_described(self) -> bool {
        self.why_not().is_none()
    }

    /// Returns why kithbag does not write into this kind of file, as a sentence; nothing for those it writes into.
    #[must_use]
    pub const fn why_not(self) -> Option<&'static str> {
        match self {
            Self::Jpeg | Self::Tiff | Self::BigTiff | Self::Png | Self::WebP => None,
            Self::Heif | Self::Avif => Some(
                "HEIC, HEIF and AVIF files point to their picture by position, and adding words would move it",
            ),
            Self::Jpeg2000 => Some("kithbag does not yet write into JPEG 2000 files"),
            Self::Dng | Self::Raw => Some(
                "camera raw files hold what only their maker can read, and adding words could harm it",
            ),
            Self::Psd => Some("PSD files are working files of a program, not scans"),
            Self::Gif => Some("GIF files have no agreed place for a whole record"),
            Self::Pdf => Some("PDF files are documents, not pictures"),
            Self::Bmp => Some("BMP files have no place for words"),
        }
    }
}

/// Tells by the first bytes which kind of picture file this is. Give it the first 64 KiB, or the whole file if it is shorter.
#[must_use]
pub fn sniff(head: &[u8]) -> Option<Kind> {
    by_signature(head)
        .or_else(|| tiff_family(head))
        .or_else(|| media_family(head))
}

fn by_signature(head: &[u8]) -> Option<Kind> {
    const SIGNATURES: [(&[u8], Kind); 14] = [
        (b"\xff\xd8\xff", Kind::Jpeg), // SOI and the next marker. [T81 B.1.1]
        (b"\x89PNG\r\n\x1a\n", Kind::Png), // [PNG3 5.2]
        (b"GIF87a", Kind::Gif),
        (b"GIF89a", Kind::Gif),
        (b"8BPS\0", Kind::Psd),
        (b"%PDF-", Kind::Pdf),                         // [ISO32000-1 7.5.2]
        (b"\0\0\0\x0cjP  \r\n\x87\n", Kind::Jpeg2000), // [T800 I.5.1]
        (b"\xff\x4f\xff\x51", Kind::Jpeg2000),         // SOC and SIZ. [T800 A.4.1]
        (b"FUJIFILMCCD-RAW", Kind::Raw),
        (b"FOVb", Kind::Raw),
        (b"\0MRM", Kind::Raw),
        (b"IIRO", Kind::Raw),
        (b"IIRS", Kind::Raw),
        (b"MMOR", Kind::Raw),
    ];
    if head.starts_with(b"RIFF") && head.get(8..12) == Some(b"WEBP") {
        return Some(Kind::WebP); // [RFC9649 2.4]
    }
    if is_bmp(head) {
        return Some(Kind::Bmp);
    }
    SIGNATURES
        .iter()
        .find(|(signature, _)| head.starts_with(signature))
        .map(|(_, kind)| *kind)
}

/// "BM" alone is two letters of any text: the reserved field must be zero and the inner header of a known size.
fn is_bmp(head: &[u8]) -> bool {
    let inner = Order::Little.at(head, 14, 4);
    head.starts_with(b"BM")
        && head.get(6..10) == Some(&[0; 4])
        && inner.is_some_and(|size| (12..=124).contains(&size))
}

fn tiff_family(head: &[u8]) -> Option<Kind> {
    let order = match head.get(..2)? {
        b"II" => Order::Little,
        b"MM" => Order::Big,
        _ => return None,
    };
    match order.at(head, 2, 2)? {
        42 if head.get(8..10) == Some(b"CR") => Some(Kind::Raw),
        42 => Some(if has_dng_version(head, order) {
            Kind::Dng
        } else {
            Kind::Tiff
        }),
        43 => Some(Kind::BigTiff),
        0x55 => Some(Kind::Raw),
        _ if head.get(6..14) == Some(b"HEAPCCDR") => Some(Kind::Raw),
        _ => None,
    }
}

/// Looks for the tag `DNGVersion` in the first directory, as far as it is within the head. [DNG 1.4]
fn has_dng_version(head: &[u8], order: Order) -> bool {
    let directory = order
        .at(head, 4, 4)
        .and_then(|at| usize::try_from(at).ok())
        .and_then(|at| head.get(at..));
    let Some(directory) = directory else {
        return false;
    };
    let count = order.at(directory, 0, 2).unwrap_or(0);
    let entries = directory.get(2..).unwrap_or_default().chunks_exact(12);
    entries
        .take(usize::try_from(count).unwrap_or(0))
        .any(|entry| order.at(entry, 0, 2) == Some(super::tiff::DNG_VERSION))
}

/// ISO base media files: the brands of the first box tell. [ISO14496-12 4.3]
fn media_family(head: &[u8]) -> Option<Kind> {
    if head.get(4..8) != Some(b"ftyp") {
        return None;
    }
    let size = usize::try_from(Order::Big.at(head, 0, 4)?).ok()?;
    let brands: Vec<&[u8]> = head
        .get(8..size.min(head.len()))?
        .chunks_exact(4)
        .take(64)
        .collect();
    let has = |names: &[&[u8; 4]]| {
        brands
            .iter()
            .any(|brand| names.iter().any(|name| brand == name))
    };
    if has(&[b"crx "]) {
        Some(Kind::Raw)
    } else if has(&[b"avif", b"avis"]) {
        Some(Kind::Avif)
    } else if has(&[
        b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1",
    ]) {
        Some(Kind::Heif)
    } else if has(&[b"jp2 ", b"jpx ", b"jpm "]) {
        Some(Kind::Jpeg2000)
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signatures_of_every_kind() {
        let cases: [(&[u8], Kind); 15] = [
            (b"\xff\xd8\xff\xe0", Kind::Jpeg),
            (b"II*\0\x08\0\0\0", Kind::Tiff),
            (b"MM\0*\0\0\0\x08", Kind::Tiff),
            (b"II+\0\x08\0\0\0", Kind::BigTiff),
            (b"\x89PNG\r\n\x1a\n", Kind::Png),
            (b"RIFF\0\0\0\0WEBPVP8 ", Kind::WebP),
            (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", Kind::Heif),
            (b"\0\0\0\x18ftypmif1\0\0\0\0mif1avif", Kind::Avif),
            (b"\0\0\0\x0cjP  \r\n\x87\n", Kind::Jpeg2000),
            (b"II*\0\x10\0\0\0CR\x02\0", Kind::Raw),
            (b"8BPS\0\x01", Kind::Psd),
            (b"GIF89a", Kind::Gif),
            (b"%PDF-1.7", Kind::Pdf),
            (b"BM\0\0\0\0\0\0\0\0\x36\0\0\0\x28\0\0\0", Kind::Bmp),
            (
                b"II*\0\x08\0\0\0\x01\0\x12\xc6\x01\0\x04\0\0\0\x01\x04\0\0\0\0\0\0",
                Kind::Dng,
            ),
        ];
        for (head, kind) in cases {
            assert_eq!(sniff(head), Some(kind), "{}", kind.name());
        }
    }

    #[test]
    fn what_is_no_picture_is_not_taken_for_one() {
        for head in [
            &b""[..],
            b"I",
            b"BM, he wrote",
            b"PK\x03\x04",
            b"RIFF\0\0\0\0WAVE",
            b"\0\0\0\x18ftypisom\0\0\0\0",
            b"II",
            b"\xff\xd8",
        ] {
            assert_eq!(sniff(head), None, "{head:?}");
        }
    }

    #[test]
    fn a_kind_either_can_be_described_or_says_why_not() {
        for kind in [Kind::Jpeg, Kind::Tiff, Kind::BigTiff, Kind::Png, Kind::WebP] {
            assert!(kind.can_be_described());
        }
        for kind in [
            Kind::Heif,
            Kind::Avif,
            Kind::Jpeg2000,
            Kind::Dng,
            Kind::Raw,
            Kind::Psd,
            Kind::Gif,
            Kind::Pdf,
            Kind::Bmp,
        ] {
            assert!(!kind.can_be_described() && kind.why_not().is_some());
        }
    }
}
