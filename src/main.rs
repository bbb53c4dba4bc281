//! The kithbag program.

fn main() {}
