//! The command line: the only code that speaks to the person.

pub mod bar;
pub mod exit;
pub mod failure;
pub mod terminal;
