//! Survey: looks at a collection and drafts or refreshes its catalogue.

pub mod grouping;
mod picture_files;

pub use picture_files::picture_files;
