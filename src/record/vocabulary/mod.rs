//! The closed vocabularies of the record: the words that a sheet offers in its drop-down lists.

mod custody;
mod evidence;
mod object;

pub use custody::Acquisition;
pub use custody::Audience;
pub use custody::IfNotWanted;
pub use custody::ReceiverKind;
pub use custody::SensitiveSubject;
pub use custody::ShowTo;
pub use evidence::Certainty;
pub use evidence::ClueKind;
pub use evidence::DateTarget;
pub use evidence::Hardness;
pub use evidence::Living;
pub use evidence::SeenAs;
pub use evidence::Speaks;
pub use evidence::Standing;
pub use evidence::WhoKnew;
pub use object::CopyKind;
pub use object::Frame;
pub use object::Glass;
pub use object::GlassContact;
pub use object::MakerRole;
pub use object::Measured;
pub use object::Medium;
pub use object::Mould;
pub use object::PortraitKind;
pub use object::Side;
pub use object::Unit;
pub use object::View;
pub use object::WrittenIn;
pub use object::YesNo;

/// What all closed vocabularies have in common.
pub trait Vocabulary: Copy + 'static {
    /// Every word, in the order in which a sheet offers them.
    const WORDS: &'static [&'static str];

    /// Finds the entry that a person means.
    fn from_word(text: &str) -> Option<Self>;

    /// Returns the word as people read and write it.
    fn word(self) -> &'static str;
}
