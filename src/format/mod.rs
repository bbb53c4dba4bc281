//! Outside standards and forms for people, one folder each: bytes in, values out. Nothing here touches a disk or a clock.

pub mod appearance;
pub mod bagit;
pub mod container;
pub mod exif;
pub mod gedcom;
pub mod iim;
pub mod page;
pub mod paper;
pub mod premis;
pub mod ro_crate;
pub mod sheet;
pub mod ssh_signature;
pub mod viewing;
pub mod xmp;
pub mod zip_directory;
