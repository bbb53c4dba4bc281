//! The studio: everything that the sample scans are drawn with. Pure: no clock, no disk, no system mathematics.

pub mod arithmetic;
pub mod canvas;
pub mod cards;
pub mod child;
pub mod codec;
pub mod crayon;
pub mod dress;
pub mod figure;
pub mod framing;
pub mod head;
pub mod lettering;
pub mod noise;
pub mod ravelock;
pub mod solid;
pub mod surface;
pub mod tillyard;
pub mod trevanick;

/// The collections, by folder, with their files and how each is drawn.
pub const COLLECTIONS: &[(&str, &[(&str, trevanick::Drawing)])] = &[
    ("trevanick-pair", trevanick::FILES),
    ("tillyard-box", tillyard::FILES),
    ("ravelock-gift", ravelock::FILES),
];
