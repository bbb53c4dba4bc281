//! Image files as containers: which bytes are picture, which are metadata, and how to add a packet without touching the picture.
//!
//! One file per container, all of one shape: `examine` reads headers and tables and tells where everything is; `edits` says
//! which bytes to put in for a packet. What the metadata means is no matter of this module.

mod anatomy;
mod basics;
mod edit;
mod error;
mod extended;
mod ifd;
mod image_resource;
mod inflate;
mod jpeg;
mod kind;
mod packet;
mod picture;
mod png;
mod private;
mod source;
mod splice;
mod tiff;
mod undo;
mod webp;

pub use anatomy::Anatomy;
pub use anatomy::Colour;
pub use anatomy::Resolution;
pub use error::ContainerError;
pub use error::Refusal;
pub use kind::Kind;
pub use kind::sniff;
pub use picture::picture_digest;
pub use private::Private;
pub use private::PrivateFact;
pub use source::Range;
pub use splice::Compose;
pub use splice::Inscription;
pub use splice::SpliceError;
pub use splice::SpliceOptions;
pub use splice::SplicedCopy;
pub use splice::Target;
pub use splice::source_digest;
pub use splice::splice;
pub use undo::UndoNote;
pub use undo::Undone;

use source::Flow;
use source::Source;
use std::io::Read;
use std::io::Seek;

/// How many bytes from the beginning tell the kind of a file.
pub const HEAD_LENGTH: usize = 64 * 1024;

/// Reads headers and tables of a picture file and tells what is in it. Never holds a picture in memory.
///
/// # Errors
/// - [`ContainerError::Read`] when the bytes cannot be fetched.
/// - [`ContainerError::Format`] when the file is damaged, cut short, or no picture.
/// - [`ContainerError::Unsupported`] for a kind of file that kithbag does not look into.
/// - [`ContainerError::Limit`] when the file asks for more than kithbag allows.
pub fn examine<R: Read + Seek>(reader: &mut R) -> Result<Anatomy, ContainerError> {
    let mut source = Source::new(reader)?;
    let head = source.peek(0, HEAD_LENGTH)?;
    let Some(kind) = sniff(&head) else {
        return Err(error::broken(
            0,
            "this is no kind of picture that kithbag knows",
        ));
    };
    if let Some(why) = kind.why_not() {
        return Err(ContainerError::Unsupported { offset: 0, why });
    }
    match kind {
        Kind::Jpeg => jpeg::examine(&mut source),
        Kind::Png => png::examine(&mut source),
        Kind::WebP => webp::examine(&mut source),
        _ => tiff::examine(&mut source),
    }
}

/// Notes what follows the end of a picture.
fn note_trailer<R: Read + Seek>(
    source: &mut Source<'_, R>,
    end: u64,
    anatomy: &mut Anatomy,
) -> Result<(), ContainerError> {
    let trailer = Range::new(end, source.length().saturating_sub(end));
    if trailer.length == 0 {
        return Ok(());
    }
    let mut blank = true;
    source.run(trailer, |_, bytes| {
        blank = bytes.iter().all(|byte| *byte == 0);
        if blank { Flow::On } else { Flow::Stop }
    })?;
    anatomy.trailer = Some(trailer);
    if !blank {
        anatomy.private.push(Private {
            fact: PrivateFact::Trailer,
            ranges: vec![trailer],
        });
    }
    Ok(())
}
