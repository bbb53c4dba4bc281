//! The only code that touches the disk.
//!
//! Three promises are kept here and nowhere else: originals are opened read-only and never otherwise; every new file is
//! written beside its target, forced to the disk and moved into place by one rename; and no disk error leaves without the
//! path and the act that failed.

mod behind;
mod error;
mod folder_holding;
mod forcing;
pub mod holding;
pub mod ledger;
pub mod packages;
mod past_memory;
mod seeking;
mod single_file;
pub mod source;
mod staged_file;
pub mod staging;
mod steady;
pub mod tree;
mod window;
mod zip_holding;
pub mod zip_reread;
pub mod zip_writer;

pub use error::DiskErrors;
pub use error::StoreError;
pub use holding::Holding;
pub use seeking::seeks_freely;
pub use source::SourceFile;
pub use source::exists;
pub use source::folder_name;
pub use source::is_folder;
pub use source::open;
pub use source::open_again;
pub use source::read_all;
pub use source::read_limited;
