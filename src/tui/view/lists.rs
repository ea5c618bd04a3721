//! Numbered lists that lie over the screen.

use ratatui::layout::Rect;

use super::canvas::{Canvas, split};
use super::sheet::Sheet;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Item, ListKind, Model, items, subject};
use crate::tui::theme::Role;

/// Draws a list.
pub fn draw(model: &Model, kind: ListKind, at: Option<usize>, canvas: &mut Canvas, area: Rect) {
    let mut head = Sheet::new(area.width);
    head.text(Role::Strong, kind.title());
    if let Some(subject) = subject(model, kind) {
        head.text(Role::Plain, &subject);
    }
    if !kind.lead().is_empty() {
        head.text(Role::Muted, kind.lead());
    }
    head.blank();
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let mut sheet = Sheet::new(area.width);
    let items = items(model, kind);
    if items.is_empty() {
        sheet.text(Role::Plain, "There is nothing to pick here.");
    }
    add(&mut sheet, &items, at);
    sheet.draw(canvas, rest);
}

/// Adds items to a sheet. A click picks; a click on the picked one accepts.
pub fn add(sheet: &mut Sheet, items: &[Item], at: Option<usize>) {
    for (n, item) in items.iter().enumerate() {
        let picked = at == Some(n);
        let message = if picked {
            Message::Do(Act::Accept)
        } else {
            Message::Pick(n)
        };
        sheet.item(n + 1, picked, &item.label, &item.detail, &message);
    }
}
