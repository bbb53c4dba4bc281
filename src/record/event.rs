//! Events: what was done to which file, when, by what, with which outcome.

use super::macros::record_part;
use super::macros::vocabulary;

vocabulary! {
    /// What kind of act an event was, by the code of the published list of preservation event types.
    /// [PREMIS 3, <http://id.loc.gov/vocabulary/preservation/eventType/>]
    EventKind {
        /// A scan was made of the object.
        Imaging = "ima",
        /// A file was taken in.
        Ingestion = "ing",
        /// A file was made.
        Creation = "cre",
        /// A file was copied.
        Replication = "rep",
        /// A file got another name.
        FilenameChange = "fil",
        /// Metadata was written into a copy.
        MetadataModification = "mem",
        /// Private facts were taken out of a copy.
        Redaction = "red",
        /// A version in another form was made.
        Migration = "mig",
        /// A checksum was worked out.
        MessageDigestCalculation = "mes",
        /// A checksum was compared.
        FixityCheck = "fix",
        /// The format was found out.
        FormatIdentification = "for",
        /// The package was made.
        Packing = "pac",
        /// Something was checked against its rules.
        Validation = "val",
    }
}

record_part! {
    /// One thing that was done.
    Event {
        /// What kind of act.
        kind: Option<EventKind>,
        /// The day, as year-month-day.
        on: String,
        /// The program and its version, or a person.
        by: String,
        /// The file or files that it was done to or that came out of it, as they lie in the package.
        files: Vec<String>,
        /// What was done, a plain sentence.
        detail: String,
        /// Whether it succeeded.
        succeeded: bool,
        /// SHA-256 of the file before, hexadecimal.
        sha256_before: Option<String>,
        /// SHA-256 of the file after, hexadecimal.
        sha256_after: Option<String>,
        /// Picture digest, the same before and after, hexadecimal.
        picture_digest: Option<String>,
    }
}
