//! Namespaces and property names, each under the standard that defines it.

use std::borrow::Cow;

/// A namespace of properties: its address, and the prefix under which we write it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Namespace {
    /// The address that identifies it.
    pub(super) uri: &'static str,
    /// The prefix that we write; readers go by the address alone.
    pub(super) prefix: &'static str,
}

/// A property's full name: the address of its namespace and its name there.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Name {
    /// The address of the namespace.
    pub(super) uri: Cow<'static, str>,
    /// The name within it.
    pub(super) local: Cow<'static, str>,
}

impl Namespace {
    const fn new(prefix: &'static str, uri: &'static str) -> Self {
        Self { uri, prefix }
    }

    /// Returns a name of this namespace.
    pub(super) const fn name(&self, local: &'static str) -> Name {
        Name {
            uri: Cow::Borrowed(self.uri),
            local: Cow::Borrowed(local),
        }
    }

    /// Tells whether a name belongs to this namespace.
    pub(super) fn owns(&self, name: &Name) -> bool {
        name.uri == self.uri
    }
}

impl Name {
    /// Returns the namespace if it is one that we write.
    pub(super) fn namespace(&self) -> Option<&'static Namespace> {
        WRITTEN.iter().find(|one| one.owns(self))
    }

    /// Returns the name with our prefix, or with the address in braces where we have none.
    pub(super) fn qualified(&self) -> String {
        match self.namespace() {
            Some(namespace) => format!("{}:{}", namespace.prefix, self.local),
            None => format!("{{{}}}{}", self.uri, self.local),
        }
    }
}

/// XML itself. [XML Names 1.0, 3]
pub(super) const XML: Namespace = Namespace::new("xml", "http://www.w3.org/XML/1998/namespace");
/// RDF. [RDF/XML 2014, 2; ISO 16684-1 7]
pub(super) const RDF: Namespace =
    Namespace::new("rdf", "http://www.w3.org/1999/02/22-rdf-syntax-ns#");
/// The wrapper of a packet. [ISO 16684-1 7.3.3]
pub(super) const META: Namespace = Namespace::new("x", "adobe:ns:meta/");
/// Dublin Core. [ISO 16684-1 8.3]
pub(super) const DC: Namespace = Namespace::new("dc", "http://purl.org/dc/elements/1.1/");
/// DCMI Metadata Terms.
pub(super) const DCTERMS: Namespace = Namespace::new("dcterms", "http://purl.org/dc/terms/");
/// Basic properties of a file. [ISO 16684-1 8.4]
pub(super) const XMP: Namespace = Namespace::new("xmp", "http://ns.adobe.com/xap/1.0/");
/// Rights. [ISO 16684-1 8.5]
pub(super) const RIGHTS: Namespace =
    Namespace::new("xmpRights", "http://ns.adobe.com/xap/1.0/rights/");
/// Versions and derivation of a file. [ISO 16684-1 8.6]
pub(super) const MANAGEMENT: Namespace = Namespace::new("xmpMM", "http://ns.adobe.com/xap/1.0/mm/");
/// Reference to another file. [ISO 16684-1 8.2.2.9]
pub(super) const REFERENCE: Namespace =
    Namespace::new("stRef", "http://ns.adobe.com/xap/1.0/sType/ResourceRef#");
/// Dimensions. [ISO 16684-1, MWG 2.0 5.9]
pub(super) const DIMENSIONS: Namespace =
    Namespace::new("stDim", "http://ns.adobe.com/xap/1.0/sType/Dimensions#");
/// Credit, caption writer, date of what is shown. [IPTC Core 1.5]
pub(super) const PHOTOSHOP: Namespace =
    Namespace::new("photoshop", "http://ns.adobe.com/photoshop/1.0/");
/// IPTC Core. [IPTC Core 1.5]
pub(super) const IPTC_CORE: Namespace = Namespace::new(
    "Iptc4xmpCore",
    "http://iptc.org/std/Iptc4xmpCore/1.0/xmlns/",
);
/// IPTC Extension. [IPTC Extension 1.9]
pub(super) const IPTC: Namespace =
    Namespace::new("Iptc4xmpExt", "http://iptc.org/std/Iptc4xmpExt/2008-02-29/");
/// Face regions. [MWG 2.0 5.9]
pub(super) const REGIONS: Namespace = Namespace::new(
    "mwg-rs",
    "http://www.metadataworkinggroup.com/schemas/regions/",
);
/// Areas of a picture. [MWG 2.0 5.9]
pub(super) const AREA: Namespace = Namespace::new("stArea", "http://ns.adobe.com/xmp/sType/Area#");
/// Our own block: what no standard has a place for. The address is a fixed UUID (RFC 9562): nobody else can come to
/// own it, and it needs no domain that somebody must keep paying for.
pub(super) const KITHBAG: Namespace =
    Namespace::new("kb", "urn:uuid:1ddee593-4a8b-42de-9da0-0cbc379c4381#");

/// Every namespace in which we write properties.
pub(super) const WRITTEN: [Namespace; 15] = [
    DC, DCTERMS, XMP, RIGHTS, MANAGEMENT, REFERENCE, DIMENSIONS, PHOTOSHOP, IPTC_CORE, IPTC,
    REGIONS, AREA, KITHBAG, RDF, XML,
];

/// Names of our own block.
pub(super) mod own {
    use super::KITHBAG;
    use super::Name;

    /// Text: the version of the record's form.
    pub(in crate::format::xmp) const RECORD_VERSION: Name = KITHBAG.name("recordVersion");
    /// Text: the certainty of the surest claim about the sitter.
    pub(in crate::format::xmp) const CERTAINTY: Name = KITHBAG.name("certainty");
    /// Seq of Text: why, in the person's words.
    pub(in crate::format::xmp) const BASIS: Name = KITHBAG.name("basis");
    /// Bag of structures: everybody whom the portrait might show.
    pub(in crate::format::xmp) const CANDIDATES: Name = KITHBAG.name("candidates");
    /// Seq of structures: words found, exactly as written.
    pub(in crate::format::xmp) const INSCRIPTIONS: Name = KITHBAG.name("inscriptions");
    /// Text: the maker's order or negative number.
    pub(in crate::format::xmp) const MAKER_NUMBER: Name = KITHBAG.name("makerNumber");
    /// Text: which view of the object the scan shows.
    pub(in crate::format::xmp) const SCAN_ROLE: Name = KITHBAG.name("scanRole");
    /// Text: when the sitter sat, in EDTF, which no date field of XMP may hold.
    pub(in crate::format::xmp) const SITTING_DATE: Name = KITHBAG.name("sittingDateEDTF");
    /// Text: the algorithm and value of the picture digest.
    pub(in crate::format::xmp) const PICTURE_DIGEST: Name = KITHBAG.name("pictureDigest");
    /// Text: SHA-256 of the original file.
    pub(in crate::format::xmp) const SOURCE_SHA256: Name = KITHBAG.name("sourceSHA256");
    /// Text: what must be taken out again to get the original's bytes back.
    pub(in crate::format::xmp) const UNDO: Name = KITHBAG.name("undo");
    /// Text: the program that wrote the block.
    pub(in crate::format::xmp) const WRITTEN_BY: Name = KITHBAG.name("writtenBy");
    /// Text: the whole record of this portrait and scan, as JSON.
    pub(in crate::format::xmp) const RECORD: Name = KITHBAG.name("record");
    /// Bag of Text: which values outside the block are ours, so that they can be replaced without touching others.
    pub(in crate::format::xmp) const OWNED: Name = KITHBAG.name("owned");
}
