//! A bar for long work, on stderr and only where somebody can see it.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// Fewer files than this are done before anybody wonders.
const FEW: usize = 20;

/// A bar over so many files; hidden where there are few, and where stderr is no terminal. It goes
/// when it is dropped, so that it leaves nothing beside the result.
pub fn over_files(count: usize, what: &'static str) -> ProgressBar {
    if count < FEW {
        return ProgressBar::hidden();
    }
    let bar =
        ProgressBar::with_draw_target(Some(count as u64), ProgressDrawTarget::stderr_with_hz(10));
    let style = ProgressStyle::with_template("{msg} {wide_bar} {pos} of {len}, {eta} left");
    if let Ok(style) = style {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.set_message(what);
    bar
}
