//! The handover page: what was complained of, tested, judged, repaired and proved on one job.
//!
//! A job and its events become a [`Page`](page::Page), plain data in the order in which a customer
//! reads it, and the page becomes Markdown or one self-contained HTML file. Pure: no file, no
//! clock (the time at which it is made is passed in). It quotes what the engine worked out and
//! computes no physics of its own.

/// Writes to a text, which cannot fail.
macro_rules! put {
    ($out:expr, $($arg:tt)*) => {{
        use std::fmt::Write as _;
        let _ = $out.write_fmt(format_args!($($arg)*));
    }};
}

mod case;
mod complaint;
mod found;
mod html;
mod judged;
mod limits;
mod markdown;
mod measured;
mod mended;
mod open;
pub mod page;
mod result;
mod text;
mod walked;

use chrono::{DateTime, FixedOffset};

use crate::engine::event::Event;
use crate::engine::job::Job;
use case::Case;
use page::Page;

pub use html::html;
pub use markdown::markdown;

/// What the page says about itself.
#[derive(Clone, Debug)]
pub struct Made {
    /// When it is made; all its times are written for this zone.
    pub at: DateTime<FixedOffset>,
    /// What the job is called, such as "job 12".
    pub job: String,
    /// The workshop's name, if it is to stand on the page.
    pub workshop: Option<String>,
}

/// Makes the page of a job. `job` is what its `events` fold into.
pub fn page(job: &Job, events: &[Event], made: &Made) -> Page {
    let case = Case { job, events, made };
    let sections = [
        result::section(&case),
        complaint::section(&case),
        judged::section(&case),
        mended::section(&case),
        found::section(&case),
        measured::section(&case),
        walked::section(&case),
        complaint::vehicle(&case),
        open::corrections(&case),
        open::ruled_out(&case),
        open::not_tested(&case),
        limits::cautions(&case),
        limits::limits(&case),
    ];
    Page {
        title: "Test report".to_owned(),
        workshop: made.workshop.clone().unwrap_or_default(),
        head: complaint::head(&case),
        sections: sections.into_iter().flatten().collect(),
        sign: vec!["Technician".to_owned(), "Customer".to_owned()],
        foot: case.foot(),
    }
}
