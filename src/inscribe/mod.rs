//! Inscribe: writes described copies.
//!
//! An original is opened read-only and copied once, with its record put in on the way. The copy is then read back: its picture
//! must be the original's, bit for bit, and its record must be the one that was meant. Whatever is not fully understood is refused
//! with the reason, and its record goes into a file beside it.

mod naming;
mod set;

pub use naming::Named;
pub use naming::name_scans;
pub use set::InscribeError;
pub use set::InscribeOptions;
pub use set::InscribedFile;
pub use set::InscribedSet;
