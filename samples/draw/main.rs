//! Draws the sample collections.

fn main() {}
