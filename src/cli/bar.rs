//! A progress bar: nothing for the first moments, only on a terminal, always on standard error.

use crate::progress::Progress;
use crate::progress::Silent;
use indicatif::ProgressBar;
use indicatif::ProgressDrawTarget;
use indicatif::ProgressStyle;
use std::io::IsTerminal;
use std::sync::Mutex;

/// Times a second that the bar is drawn at most.
const REDRAWS_PER_SECOND: u8 = 12;

/// Returns what hears of progress: a bar on a terminal, silence elsewhere.
#[must_use]
pub(super) fn progress(quiet: bool) -> Box<dyn Progress> {
    if quiet || !std::io::stderr().is_terminal() {
        Box::new(Silent)
    } else {
        Box::new(Bar::default())
    }
}

#[derive(Debug, Default)]
struct Bar {
    current: Mutex<Option<ProgressBar>>,
}

impl Bar {
    fn with(&self, act: impl FnOnce(&mut Option<ProgressBar>)) {
        if let Ok(mut current) = self.current.lock() {
            act(&mut current);
        }
    }
}

impl Progress for Bar {
    fn begin(&self, what: &str, total: u64) {
        let template = "{msg:<28} {wide_bar} {percent:>3}%  about {eta} left";
        let style =
            ProgressStyle::with_template(template).unwrap_or_else(|_| ProgressStyle::default_bar());
        let bar = ProgressBar::with_draw_target(
            Some(total),
            ProgressDrawTarget::stderr_with_hz(REDRAWS_PER_SECOND),
        );
        bar.set_style(style.progress_chars("━━ "));
        bar.set_message(what.to_owned());
        self.with(|current| *current = Some(bar));
    }

    fn advance(&self, amount: u64) {
        self.with(|current| {
            if let Some(bar) = current {
                bar.inc(amount);
            }
        });
    }

    fn end(&self) {
        self.with(|current| {
            if let Some(bar) = current.take() {
                bar.finish_and_clear();
            }
        });
    }
}
