//! Numbers and names that identify things, one type each.

use super::macros::identifier;

/// What all numbers and names that identify things have in common.
pub trait Identifier: Sized {
    /// Takes the text as it is written, without outer blanks.
    fn new(text: &str) -> Self;

    /// Returns the text.
    fn as_str(&self) -> &str;
}

identifier! {
    /// A portrait's number, for example `A-001`: never contains a name that can go stale.
    PortraitNumber
}
identifier! {
    /// A person's number in the People sheet.
    PersonNumber
}
identifier! {
    /// A lot's number: the things that came together.
    LotNumber
}
identifier! {
    /// A clue's number.
    ClueNumber
}
identifier! {
    /// A receiver's number.
    ReceiverNumber
}
