//! A screen as lines, for those that are read and left again: the record, the reasons.

use crate::tui::model::{Model, Over, Page};
use crate::tui::view;

/// Columns of such a screen: below those from which on a second column is drawn.
const COLUMNS: u16 = 100;

/// What is on screen, from its first line to its last, without the head and the keys; of the evidence causes
/// and next step one after the other, since nothing turns pages in lines. The map of the flow is for the eye.
pub fn lines(model: &Model) -> Vec<String> {
    let mut wide = model.clone();
    wide.size = (COLUMNS, model.size.1);
    if !matches!(wide.overs.last(), Some(Over::Evidence(_))) {
        return drawn(&wide);
    }
    let read = Page::ALL.into_iter().filter(|page| *page != Page::Map);
    let pages = read.flat_map(|page| {
        if let Some(Over::Evidence(looked)) = wide.overs.last_mut() {
            looked.page = page;
        }
        drawn(&wide)
    });
    pages.collect()
}

fn drawn(model: &Model) -> Vec<String> {
    let text = view::plain(model);
    let lines = text.lines().skip(1).filter(|line| !line.trim().is_empty());
    let lines = lines.map(|line| line.strip_prefix(' ').unwrap_or(line).to_owned());
    lines.collect()
}
