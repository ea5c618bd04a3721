//! A screen as plain text: every row of it, those below the edge too, without the keys. To be
//! copied, saved, or read by a screen reader.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::sheet::Sheet;
use crate::tui::model::{Model, Over, Screen};
use crate::tui::theme::{Role, Theme};

/// Rows that a screen may have in all; a longer record is cut.
const MOST_ROWS: u16 = 3_000;

/// The screen as text.
pub fn text(model: &Model) -> String {
    let mut whole = model.clone();
    whole.notice = None;
    whole.theme = Theme::new(false);
    whole.theme.ascii = model.theme.ascii;
    // What is scrolled is read from its beginning.
    if let Some(scroll) = whole.scroll_mut() {
        *scroll = 0;
    }
    if let Screen::Record(scroll) = &mut whole.screen {
        *scroll = 0;
    }
    let columns = model.size.0.clamp(super::SMALLEST.0, 200);
    let rows = match (whole.overs.last(), whole.screen) {
        // A plot fills whatever room there is: it is as tall as on the screen.
        (None, _) if model.going().is_some() => model.size.1.max(super::SMALLEST.1),
        (None | Some(Over::Help(..) | Over::Why(_)), _) => MOST_ROWS,
        _ => 200,
    };
    whole.size = (columns, rows);
    let mut buffer = Buffer::empty(Rect::new(0, 0, columns, rows));
    super::draw(&whole, &mut buffer);
    let cells = usize::from(columns);
    let mut lines: Vec<String> = buffer.content.chunks(cells).map(row).collect();
    // The keys are no part of what there is to read, nor is the switch of the mouse; the head stands whole.
    lines.pop();
    if let Some(head) = lines.first_mut() {
        *head = format!(" {}", super::frame::title(model));
    }
    let blank = lines
        .iter()
        .rev()
        .take_while(|line| line.is_empty())
        .count();
    lines.truncate(lines.len() - blank);
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

fn row(cells: &[ratatui::buffer::Cell]) -> String {
    let row: String = cells.iter().map(ratatui::buffer::Cell::symbol).collect();
    row.trim_end().to_owned()
}

/// Draws the text over the whole screen.
pub fn draw(text: &str, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width);
    for line in text.lines() {
        sheet.text(Role::Plain, line.strip_prefix(' ').unwrap_or(line));
    }
    sheet.draw_scrolled(canvas, area, scroll);
}
