//! A screen as lines, for those that are read and left again: the record, the reasons.

use crate::tui::model::Model;
use crate::tui::view;

/// Columns of such a screen: below those from which on a second column is drawn.
const COLUMNS: u16 = 100;

/// What is on screen, from its first line to its last, without the head and the keys.
pub fn lines(model: &Model) -> Vec<String> {
    let mut wide = model.clone();
    wide.size = (COLUMNS, model.size.1);
    let text = view::plain(&wide);
    let lines = text.lines().skip(1).filter(|line| !line.trim().is_empty());
    let lines = lines.map(|line| line.strip_prefix(' ').unwrap_or(line).to_owned());
    lines.collect()
}
