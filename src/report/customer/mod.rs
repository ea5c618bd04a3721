//! The customer edition: one or two pages that somebody who never opened a bonnet understands.
//!
//! Sentences before tables, the few numbers that carry the judgement with their ranges, charts with
//! a line on how to read them, and everything that was not tested, not proved or declined.

mod after;
mod dangers;
mod found;
mod lamp;
mod open;
mod reason;
mod seen;
mod tested;
mod words;

pub use dangers::dangers_in_short;
pub use open::items as open_items;

use super::case::Case;
use super::edition::Edition;
use super::page::{Block, Page, Section};
use super::{complaint, limits, mended, result, searched};

/// The page.
pub fn page(case: &Case) -> Page {
    let sections = [
        result::plainly(case),
        dangers::warning(case),
        told(case),
        tested::section(case),
        found::section(case),
        mended::plainly(case, lamp::item(case)),
        after::section(case),
        open::section(case),
    ];
    let mut sections: Vec<Section> = sections.into_iter().flatten().collect();
    let words = words::section(&sections, searched::smoke_was_used(case));
    sections.extend(words);
    sections.extend(limits::plainly(case));
    Page {
        edition: Edition::Customer,
        title: "Test report".to_owned(),
        workshop: case.made.workshop.clone().unwrap_or_default(),
        reached: case.made.reached.lines(),
        head: complaint::head(case),
        sections,
        // Nobody signs for a car that stays.
        sign: if case.job.handed_over.is_some() {
            vec!["Technician".to_owned(), "Customer".to_owned()]
        } else {
            Vec::new()
        },
        foot: case.foot(),
    }
}

/// The complaint in the customer's words.
fn told(case: &Case) -> Option<Section> {
    let opening = case.job.opening.as_ref()?;
    if opening.complaint.trim().is_empty() {
        return None;
    }
    Section::of(
        "What you told us",
        vec![Block::Quote(opening.complaint.clone())],
    )
}
