//! The form that family tree programs exchange: `FamilySearch` GEDCOM 7.0 is written, alone or with its pictures (GEDZIP); 7.0 and
//! 5.5.1 are read for the people in them.
//!
//! Written are only proved sitters who are not presumed living, linked to their pictures. A probable name stands in a note, with
//! the word "probably"; lesser candidates stand nowhere.

mod dates;
mod encoding;
mod lines;
mod living;
mod people;
mod read;
mod write;

pub use living::portraits_of_the_living;
pub use read::FamilyTree;
pub use read::GedcomFault;
pub use read::TreeFault;
pub use read::read;
pub use write::FamilyPicture;
pub use write::Gedzip;
pub use write::GedzipContext;
pub use write::GedzipEntry;
pub use write::LIST_NAME;
pub use write::write;
