//! Letters that were stored as UTF-8 and read as Windows-1252, put right.

use encoding_rs::WINDOWS_1252;
use std::borrow::Cow;

/// Reads every run of letters beyond ASCII as if its bytes were UTF-8; gives nothing when no run is.
pub(super) fn mend(text: &str) -> Option<String> {
    let mut mended = String::with_capacity(text.len());
    let mut run = String::new();
    let mut changed = false;
    for c in text.chars().chain(std::iter::once('\0')) {
        if !c.is_ascii() {
            run.push(c);
            continue;
        }
        if !run.is_empty() {
            match mend_run(&run) {
                Some(right) => {
                    mended.push_str(&right);
                    changed = true;
                }
                None => mended.push_str(&run),
            }
            run.clear();
        }
        mended.push(c);
    }
    mended.pop();
    changed.then_some(mended)
}

fn mend_run(run: &str) -> Option<String> {
    let (bytes, _, has_other_letters) = WINDOWS_1252.encode(run);
    if has_other_letters {
        return None;
    }
    match bytes {
        Cow::Owned(bytes) => String::from_utf8(bytes).ok(),
        Cow::Borrowed(_) => None,
    }
}
