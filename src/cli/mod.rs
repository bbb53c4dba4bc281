//! The command line: the only code that speaks to the person.
