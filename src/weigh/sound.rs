//! The proof that a catalogue was weighed and that nothing in it keeps a package from being made.

use super::Weighing;
use crate::concern::ConcernList;
use crate::record::Collection;
use crate::record::Day;

/// A record that was weighed and has no concern of severity stop. Only [`Weighing::sound`] can make one; inscribing and packing
/// take nothing else.
#[derive(Debug, Clone)]
pub struct SoundCatalogue {
    weighing: Weighing,
}

impl Weighing {
    /// Returns the proof that nothing stops the work.
    ///
    /// # Errors
    /// Returns everything noticed if anything of it stops the work.
    pub fn sound(self) -> Result<SoundCatalogue, ConcernList> {
        if self.concerns.has_stop() {
            Err(self.concerns)
        } else {
            Ok(SoundCatalogue { weighing: self })
        }
    }
}

impl SoundCatalogue {
    /// Returns the record.
    #[must_use]
    pub const fn collection(&self) -> &Collection {
        self.weighing.collection()
    }

    /// Returns what weighing found.
    #[must_use]
    pub const fn weighing(&self) -> &Weighing {
        &self.weighing
    }

    /// Returns everything noticed.
    #[must_use]
    pub const fn concerns(&self) -> &ConcernList {
        &self.weighing.concerns
    }

    /// Returns the day that counted as today.
    #[must_use]
    pub const fn as_of(&self) -> Day {
        self.weighing.as_of
    }
}
