//! Survey: looks at a collection and drafts or refreshes its catalogue.

pub mod grouping;
mod pictures;

pub use pictures::picture_files;
