//! The second level: when a file is not as it was, is its picture?

use super::known::Known;
use crate::store::holding::ReadSeek;
use crate::verdict::FileVerdict;

/// What is said of a file that is not as listed.
#[derive(Debug)]
pub(super) struct Judged {
    pub(super) verdict: FileVerdict,
    pub(super) portrait: Option<String>,
    pub(super) view: Option<String>,
    pub(super) detail: Option<String>,
}

pub(super) fn judge(_reader: &mut Box<dyn ReadSeek>, _path: &str, _known: &Known) -> Judged {
    Judged {
        verdict: FileVerdict::Changed,
        portrait: None,
        view: None,
        detail: None,
    }
}
