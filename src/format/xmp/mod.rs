//! XMP packets [ISO 16684-1:2019]: what is written into each described copy, and what is read from any scan.
//!
//! A packet of others is never written anew: ours is put into its text, and every value that is not ours stays. Packets
//! of strangers are looked over by [`screen()`] before anything else reads them.

mod edits;
mod mapping;
mod merge;
mod packet;
mod private;
mod rdf;
mod read;
mod screen;
mod serialise;
mod toolkit;
mod value;
mod vocabulary;

#[cfg(test)]
mod tests;

pub use mapping::Guard;
pub use mapping::Guards;
pub use mapping::PortraitGuard;
pub use packet::draft;
pub use packet::write;
pub use read::Embedded;
pub use read::read;
pub use read::texts_of_others;
pub use screen::PacketFault;
pub use screen::screen;
pub use toolkit::ToolkitFault;

use crate::fixity::Digest;

/// The address of the namespace of our own block.
pub const OWN_NAMESPACE: &str = vocabulary::KITHBAG.uri;

/// How the picture came into the computer. [IPTC `NewsCodes`, digitalsourcetype]
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Capture {
    /// Not known. Nothing is said in the file unless the record says it.
    #[default]
    Unknown,
    /// A print, drawing or card was scanned.
    Print,
    /// A negative was scanned.
    Negative,
    /// A camera or telephone photographed the thing.
    Camera,
}

/// What a packet says beyond the record.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PacketContext {
    /// How the picture came into the computer.
    pub capture: Capture,
    /// The picture digest.
    pub picture_digest: Option<Digest>,
    /// SHA-256 of the original file.
    pub source_sha256: Option<Digest>,
    /// What gives the original's bytes back, in the container's own words.
    pub undo: Option<String>,
    /// The program and its version, for example "kithbag 0.1.0".
    pub tool: String,
    /// Whether private facts are cut out of what others wrote into the packet.
    pub drop_private: bool,
    /// The media type of the file, for example "image/jpeg".
    pub media_type: Option<String>,
}

/// A packet ready to be put into a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The packet with its wrapper, without padding.
    pub packet: String,
    /// Where others had said something else.
    pub conflicts: Vec<Conflict>,
    /// The private facts that were cut out, in plain words, each once.
    pub removed_private: Vec<String>,
}

/// Something that the file already says otherwise than the record. Theirs is never overwritten.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conflict {
    /// The property, for example `dc:title`.
    pub property: String,
    /// What the file said and still says.
    pub theirs: String,
    /// What the record says.
    pub ours: String,
    /// Whether ours stands beside theirs, as a second language; otherwise it stands only in our own block.
    pub ours_stands_beside: bool,
}

impl Conflict {
    /// Returns the property in plain words.
    #[must_use]
    pub fn plain_name(&self) -> &str {
        match self.property.as_str() {
            "dc:title" => "title",
            "dc:description" => "description",
            "dc:creator" => "maker",
            "dc:rights" | "xmpRights:UsageTerms" => "rights",
            "dc:identifier" => "number",
            "dc:source" => "source",
            "dc:format" => "kind of file",
            "dcterms:created" | "photoshop:DateCreated" => "date",
            "photoshop:Credit" => "credit line",
            "photoshop:CaptionWriter" => "who described it",
            "xmpRights:WebStatement" | "xmpRights:Marked" => "rights statement",
            "Iptc4xmpExt:DigitalSourceType" => "how it was scanned",
            "mwg-rs:Regions" => "faces marked",
            other => other,
        }
    }

    /// Returns the conflict in one plain sentence.
    #[must_use]
    pub fn in_words(&self) -> String {
        let kept = if self.ours_stands_beside {
            "both now stand in the copy, theirs first"
        } else {
            "theirs stays; ours is in the record inside the copy"
        };
        format!(
            "The {} in the file was “{}”; the catalogue says “{}”: {kept}.",
            self.plain_name(),
            self.theirs,
            self.ours
        )
    }
}

/// Why no packet could be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PacketError {
    /// The packet in the file cannot be merged with.
    #[error(transparent)]
    Existing(#[from] PacketFault),
    /// There is not exactly one portrait to write about.
    #[error("the excerpt holds {portraits} portraits and {scans} scans, not one of each")]
    NotOnePortrait {
        /// How many portraits.
        portraits: usize,
        /// How many scans.
        scans: usize,
    },
    /// The record cannot be written as JSON.
    #[error("the record cannot be written as JSON: {why}")]
    Record {
        /// What the writer says.
        why: String,
    },
    /// The second opinion does not agree; a fault of ours.
    #[error(transparent)]
    SecondOpinion(#[from] ToolkitFault),
    /// What was written does not read back as the record; a fault of ours.
    #[error("the packet does not read back as the record that was written")]
    ReadBack,
}
