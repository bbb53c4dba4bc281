//! Survey: looks at a collection and drafts or refreshes its catalogue.

pub mod grouping;
