//! How long work tells whoever is watching how far it is. The library knows no terminal.

/// Hears of progress. The program draws a bar from it; tests and `--quiet` use [`Silent`].
pub trait Progress: Sync {
    /// Begins a piece of work: `what` in plain words ("Reading scans"), `total` in bytes or files, 0 when unknown.
    fn begin(&self, what: &str, total: u64);
    /// Says that `amount` more of the total is done.
    fn advance(&self, amount: u64);
    /// Ends the piece of work that was begun last.
    fn end(&self);
}

/// Says nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Silent;

impl Progress for Silent {
    fn begin(&self, _what: &str, _total: u64) {}
    fn advance(&self, _amount: u64) {}
    fn end(&self) {}
}
