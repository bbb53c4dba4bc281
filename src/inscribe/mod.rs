//! Inscribe: writes described copies.
//!
//! An original is opened read-only and copied once, with its record put in on the way. The copy is then read back: its picture
//! must be the original's, bit for bit, and its record must be the one that was meant. Whatever is not fully understood is refused
//! with the reason, and its record goes into a file beside it.

mod all;
mod beside;
mod confirm;
mod describe;
mod existing;
mod naming;
mod set;
mod small_pictures;
mod undo;

pub use all::inscribe_all;
pub use naming::Named;
pub use naming::name_scans;
pub use set::InscribeError;
pub use set::InscribeOptions;
pub use set::InscribedFile;
pub use set::InscribedSet;
pub use undo::Undone;
pub use undo::undo_all;
