//! kithbag: puts what is known about old portraits inside their scans, packs them with checksums, and proves years later
//! that nothing changed.
//!
//! Layers; uses go down only, and `tests/architecture.rs` keeps it so:
//!
//! ```text
//! cli                                              speaks to the person; exit codes
//! survey catalogue weigh inscribe pack audit mend  the stages
//! store                                            the only code that touches the disk
//! format                                           one folder per outside standard: bytes in, values out
//! record concern fixity portable_path progress     the trade's words; no disk, no clock
//! ```

pub mod audit;
pub mod catalogue;
pub mod cli;
pub mod concern;
pub mod counting;
pub mod crew;
pub mod fixity;
pub mod format;
pub mod inscribe;
pub mod mend;
pub mod pack;
pub mod portable_path;
pub mod progress;
pub mod record;
pub mod store;
pub mod survey;
pub mod verdict;
pub mod weigh;
