//! What of the record goes into which standard field. The rule of names holds throughout: a bare name only for a proved sitter,
//! a probable one with "probably", nobody else outside our own block.

mod file;
mod guard;
mod guards;
mod object;
mod own_block;
mod people;
mod words;

pub use guard::Guard;
pub use guards::Guards;
pub use guards::PortraitGuard;

use super::PacketContext;
use super::PacketError;
use super::value::Property;
use crate::record::Collection;
use crate::record::Portrait;
use crate::record::Scan;
use crate::record::View;

/// The one portrait and scan that a packet speaks of.
struct Subject<'a> {
    collection: &'a Collection,
    portrait: &'a Portrait,
    scan: &'a Scan,
    guard: Guard,
}

impl<'a> Subject<'a> {
    fn of(excerpt: &'a Collection) -> Result<Self, PacketError> {
        let ([portrait], [scan]) = (excerpt.portraits.as_slice(), excerpt.scans.as_slice()) else {
            return Err(PacketError::NotOnePortrait {
                portraits: excerpt.portraits.len(),
                scans: excerpt.scans.len(),
            });
        };
        Ok(Self {
            collection: excerpt,
            portrait,
            scan,
            guard: Guard::of(excerpt, &portrait.number),
        })
    }

    /// Tells whether the sitter can be seen in this scan.
    fn shows_the_sitter(&self) -> bool {
        matches!(
            self.scan.view.given(),
            None | Some(View::Front | View::FrameFront | View::AlteredCopy)
        )
    }
}

/// Returns all properties that the excerpt's one portrait and scan give, standard ones first, our own block last.
///
/// # Errors
/// The excerpt is not of one portrait and one scan, or cannot be written as JSON.
pub(super) fn properties(
    excerpt: &Collection,
    context: &PacketContext,
) -> Result<Vec<Property>, PacketError> {
    let subject = Subject::of(excerpt)?;
    let record = own_block::json(excerpt)?;
    let mut properties = words::properties(&subject);
    properties.extend(people::properties(&subject));
    properties.extend(object::properties(&subject));
    properties.extend(file::properties(&subject, context, &record));
    properties.extend(own_block::properties(&subject, context, &record));
    Ok(properties)
}
