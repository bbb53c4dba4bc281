//! Draws the sample collections: `cargo run --release --example draw-samples [FOLDER]`, where FOLDER is `samples` unless said.
//!
//! Every run draws the same bytes. Only the pictures are drawn; the catalogues beside them were written by hand.

#![allow(
    clippy::print_stdout,
    clippy::as_conversions,
    clippy::arithmetic_side_effects,
    clippy::indexing_slicing,
    missing_docs,
    unreachable_pub,
    reason = "a drawing program computes with pixels and says what it writes; it never meets anybody's data"
)]

mod studio;

use std::fs;
use std::path::PathBuf;

fn main() -> Result<(), studio::codec::Fault> {
    let root = std::env::args_os()
        .nth(1)
        .map_or_else(|| PathBuf::from("samples"), PathBuf::from);
    for (collection, files) in studio::COLLECTIONS {
        for (name, draw) in *files {
            let path = root.join(collection).join(name);
            if let Some(folder) = path.parent() {
                fs::create_dir_all(folder)?;
            }
            let bytes = draw()?;
            println!("{} ({} kB)", path.display(), bytes.len() / 1000);
            fs::write(path, bytes)?;
        }
    }
    Ok(())
}
