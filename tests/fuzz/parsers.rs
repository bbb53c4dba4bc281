//! One coverage-guided target for every parser; `KITHBAG_PROPERTY` says which. `tests/fuzz/run` runs them all.

#![no_main]

mod properties;

use libfuzzer_sys::fuzz_target;
use std::sync::LazyLock;

static PROPERTY: LazyLock<properties::Property> = LazyLock::new(|| {
    let name = std::env::var("KITHBAG_PROPERTY").expect("KITHBAG_PROPERTY names a parser");
    *properties::ALL
        .iter()
        .find(|one| one.0 == name)
        .expect("a parser of properties.rs")
});

fuzz_target!(|bytes: &[u8]| (PROPERTY.1)(bytes));
