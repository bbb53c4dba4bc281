//! BagIt (RFC 8493, and the drafts 0.93 to 0.97 before it): bytes of tag files in, values and concerns out.
//!
//! What a bag breaks of a MUST is a concern of severity stop: the bag is then not valid. What it breaks of a SHOULD is a
//! warning. The one deliberate looseness is that labels of `bagit.txt` are compared without regard to case, because RFC 8493
//! itself writes `BagIt-version` in its examples and its grammar's literals are case-insensitive.

pub mod bag_info;
pub mod declaration;
pub mod encoding;
pub mod fetch;
pub mod layout;
mod lines;
pub mod manifest;
pub mod oxum;
pub mod profile;
pub mod receipt;
mod version;

pub use declaration::Declaration;
pub use encoding::TagEncoding;
pub use layout::Part;
pub use manifest::Manifest;
pub use oxum::Oxum;
pub use version::Version;
