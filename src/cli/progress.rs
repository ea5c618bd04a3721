//! How far long work is, on stderr: a bar where somebody can see it, else a line now and then, so that
//! a log or a slow link shows that it goes on. Work that is done before anybody wonders shows neither.

use std::io::{IsTerminal, Write, stderr};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use indicatif::{ProgressBar, ProgressStyle};

/// Before this nobody wonders.
const PATIENCE: Duration = Duration::from_secs(2);
/// Between two lines.
const BETWEEN: Duration = Duration::from_secs(10);

/// Work on so many things of one kind.
pub struct Progress {
    what: &'static str,
    count: usize,
    state: Mutex<State>,
}

struct State {
    done: usize,
    begun: Instant,
    /// When the next line is due.
    next: Instant,
    bar: Option<ProgressBar>,
}

impl Progress {
    /// Begins work on so many things: "taking jobs in".
    pub fn over(count: usize, what: &'static str) -> Self {
        let begun = Instant::now();
        Self {
            what,
            count,
            state: Mutex::new(State {
                done: 0,
                begun,
                next: begun + BETWEEN,
                bar: None,
            }),
        }
    }

    /// One more is done.
    pub fn inc(&self) {
        let Ok(mut state) = self.state.lock() else {
            return;
        };
        state.done += 1;
        let now = Instant::now();
        if stderr().is_terminal() {
            if state.bar.is_none() && now.duration_since(state.begun) >= PATIENCE {
                state.bar = Some(self.bar());
            }
            if let Some(bar) = &state.bar {
                bar.set_position(state.done as u64);
            }
        } else if now >= state.next && state.done < self.count {
            state.next = now + BETWEEN;
            let _ = writeln!(stderr(), "{}: {} of {}", self.what, state.done, self.count);
        }
    }

    /// Says something without the bar in its way.
    pub fn suspend(&self, say: impl FnOnce()) {
        match self.state.lock() {
            Ok(state) => match &state.bar {
                Some(bar) => bar.suspend(say),
                None => say(),
            },
            Err(_) => say(),
        }
    }

    fn bar(&self) -> ProgressBar {
        let bar = ProgressBar::new(self.count as u64);
        let style = ProgressStyle::with_template("{msg} {wide_bar} {pos} of {len}, {eta} left");
        if let Ok(style) = style {
            bar.set_style(style.progress_chars("=> "));
        }
        bar.set_message(self.what);
        bar
    }
}

impl Drop for Progress {
    /// The bar goes, so that it leaves nothing beside the result.
    fn drop(&mut self) {
        if let Ok(state) = self.state.get_mut()
            && let Some(bar) = state.bar.take()
        {
            bar.finish_and_clear();
        }
    }
}
