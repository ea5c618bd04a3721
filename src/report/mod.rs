//! What leaves the workshop on paper: the report for the customer, the report for the workshop, the
//! work order for parts, and a label.
//!
//! A job and its events become a [`Page`](page::Page), plain data in the order in which somebody
//! reads it, and the page becomes Markdown, one self-contained HTML file with SVG charts, or a JSON
//! object. Pure: no file, no clock (the time at which it is made is passed in). It quotes what the
//! engine worked out and computes no physics of its own.

/// Writes to a text, which cannot fail.
macro_rules! put {
    ($out:expr, $($arg:tt)*) => {{
        use std::fmt::Write as _;
        let _ = $out.write_fmt(format_args!($($arg)*));
    }};
}

mod case;
pub mod chart;
mod codes_back;
mod complaint;
mod customer;
pub mod edition;
mod evidence;
mod found;
mod html;
mod json;
mod judged;
mod label;
mod limits;
mod markdown;
mod measured;
mod mended;
mod off_again;
mod open;
pub mod page;
mod parts;
mod plain;
mod result;
mod road;
mod safety;
mod searched;
mod sheet;
mod text;
mod timeline;
mod unmended;
mod walked;

use chrono::{DateTime, FixedOffset};

use crate::engine::event::Event;
use crate::engine::job::Job;
use crate::rules::advice::Lesson;
use crate::rules::evidence::simulated::Simulated;
use crate::settings::Settings;
use case::{Case, Pictures};
use edition::Edition;
use page::{Block, Page, Section};

pub use html::html;
pub use markdown::markdown;
pub use searched::asks_for_smoke;
pub use sheet::Sheet;

/// What the page says about itself.
#[derive(Clone, Debug)]
pub struct Made {
    /// When it is made; all its times are written for this zone.
    pub at: DateTime<FixedOffset>,
    /// What the job is called, such as "job 12".
    pub job: String,
    /// The workshop's name, if it is to stand on the page.
    pub workshop: Option<String>,
    /// How a customer reaches it.
    pub reached: Reached,
}

/// How the workshop is reached, as it wrote it; empty texts where it did not say.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reached {
    /// Its telephone number.
    pub telephone: String,
    /// When somebody is there.
    pub hours: String,
}

impl Reached {
    /// As the settings say.
    pub fn of(settings: &Settings) -> Self {
        Self {
            telephone: settings.telephone.clone(),
            hours: settings.hours.clone(),
        }
    }

    /// A line for each thing that is known.
    fn lines(&self) -> Vec<String> {
        let all = [("Telephone", &self.telephone), ("Open", &self.hours)];
        let known = all.into_iter().filter(|(_, said)| !said.trim().is_empty());
        known
            .map(|(name, said)| format!("{name}: {said}"))
            .collect()
    }
}

/// What the printed evidence rests on beside the words and odds of the flows' authors: with what the screens have, it is
/// that of the screens.
#[derive(Clone, Copy, Debug, Default)]
pub struct RestsOn<'a> {
    /// Simulated cars of the job's flows.
    pub cars: Option<&'a Simulated>,
    /// What the workshop's own closed jobs teach, this job left out.
    pub own_jobs: &'a [Lesson],
}

/// Makes the page of a job for somebody. `job` is what its `events` fold into.
pub fn page(job: &Job, events: &[Event], made: &Made, edition: Edition, rests_on: RestsOn) -> Page {
    let pictures = Pictures::default();
    page_of(
        &Case {
            job,
            events,
            made,
            pictures: &pictures,
            rests_on,
        },
        edition,
    )
}

fn page_of(case: &Case, edition: Edition) -> Page {
    let mut page = match edition {
        Edition::Customer => customer::page(case),
        Edition::Workshop => workshop(case),
        Edition::Parts => parts::page(case),
        Edition::Label => label::page(case),
    };
    // A page of a car that is not there must never be taken for one of a car that is.
    if case.is_practice() {
        page.title = format!("Practice, no real car: {}", page.title);
        page.foot = format!("Practice, no real car. {}", page.foot);
    }
    page
}

/// The report as a JSON object: the page, and what it was made of as data. Its layout stands in the
/// head of `report/json.rs`.
pub fn json(
    job: &Job,
    events: &[Event],
    made: &Made,
    edition: Edition,
    rests_on: RestsOn,
) -> String {
    let pictures = Pictures::default();
    let case = Case {
        job,
        events,
        made,
        pictures: &pictures,
        rests_on,
    };
    json::text(&case, &page_of(&case, edition))
}

/// The workshop edition: everything.
fn workshop(case: &Case) -> Page {
    let sections = [
        result::section(case),
        complaint::section(case),
        judged::section(case),
        mended::section(case),
        off_again::section(case),
        found::section(case),
        charts(case),
        measured::section(case),
        walked::section(case),
        walked::against_section(case),
        evidence::section(case),
        complaint::vehicle(case),
        open::corrections(case),
        open::ruled_out(case),
        open::not_tested(case),
        limits::cautions(case),
        limits::limits(case),
        timeline::section(case),
    ];
    Page {
        edition: Edition::Workshop,
        title: "Test report".to_owned(),
        workshop: case.made.workshop.clone().unwrap_or_default(),
        reached: Vec::new(),
        head: complaint::head(case),
        sections: sections.into_iter().flatten().collect(),
        sign: vec!["Technician".to_owned(), "Customer".to_owned()],
        foot: case.foot(),
    }
}

/// Every chart that the job gives.
fn charts(case: &Case) -> Option<Section> {
    const BARS: usize = 12;
    let mut figures = chart::before_after(case, BARS, false);
    figures.extend(chart::curves(case));
    let blocks = if figures.is_empty() {
        Vec::new()
    } else {
        vec![Block::Charts(figures)]
    };
    Section::of("Charts", blocks)
}
