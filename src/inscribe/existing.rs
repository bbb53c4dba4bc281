//! What is in a file already before it is described.

use crate::format::container::Anatomy;
use crate::format::container::UndoNote;
use crate::format::xmp;
use crate::format::xmp::PacketError;

/// What is in a file already.
#[derive(Debug, Default)]
pub(super) struct Existing {
    /// The packet.
    pub(super) packet: Option<String>,
    /// The private facts that the packet holds.
    pub(super) private: Vec<String>,
    /// How an earlier inscription of ours is undone.
    pub(super) note: Option<UndoNote>,
}

impl Existing {
    /// Reads what is in a file already.
    pub(super) fn of(anatomy: &Anatomy) -> Result<Self, PacketError> {
        let Some(packet) = &anatomy.packet else {
            return Ok(Self::default());
        };
        let text = xmp::screen(packet)?.into_owned();
        let embedded = xmp::read(&text)?;
        Ok(Self {
            private: embedded.private_found,
            note: embedded.undo.as_deref().and_then(UndoNote::parse),
            packet: Some(text),
        })
    }
}
