//! What stands around every screen: the head, the line about what just happened, the keys.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width};
use crate::tui::keys::{self, Row};
use crate::tui::message::{Act, Message};
use crate::tui::model::{Model, Screen};
use crate::tui::theme::Role;

/// Draws the frame; returns the area that is left for the screen itself.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) -> Rect {
    head(model, canvas, area);
    let bottom = area.height - 1;
    notice(
        model,
        canvas,
        Rect {
            y: area.y + bottom - 1,
            height: 1,
            ..area
        },
    );
    foot(
        model,
        canvas,
        Rect {
            y: area.y + bottom,
            height: 1,
            ..area
        },
    );
    Rect {
        x: area.x + 1,
        y: area.y + 1,
        width: area.width - 2,
        height: area.height - 3,
    }
}

fn head(model: &Model, canvas: &mut Canvas, area: Rect) {
    canvas.tint(area, 0, Role::Focus);
    let left = match (&model.open, model.screen) {
        (Some(open), Screen::Walk | Screen::Record(_)) => {
            let opening = open.job.opening.clone().unwrap_or_default();
            let bay = if opening.bay.is_empty() {
                String::new()
            } else {
                format!("bay {}", opening.bay)
            };
            let words = [
                format!("Job {}", open.number),
                opening.vehicle.plate,
                opening.vehicle.model,
                bay,
            ];
            words
                .into_iter()
                .filter(|word| !word.is_empty())
                .collect::<Vec<_>>()
                .join(" · ")
        }
        _ => "ruleout · jobs".to_owned(),
    };
    let flow = match (&model.open, model.screen) {
        (Some(open), Screen::Walk | Screen::Record(_)) => {
            open.job.run().map(|run| run.flow.title.clone())
        }
        _ => None,
    };
    let right = flow.unwrap_or_else(|| model.who.clone());
    let end = canvas.put(area, 1, 0, &left, Role::Focus);
    let start = area
        .width
        .saturating_sub(u16::try_from(width(&right)).unwrap_or(area.width) + 1);
    if start > end + 2 {
        canvas.put(area, start, 0, &right, Role::Focus);
    }
}

fn notice(model: &Model, canvas: &mut Canvas, area: Rect) {
    if let Some(notice) = &model.notice {
        let mark = match notice.role {
            Role::Fail => "!! ",
            Role::Caution => "! ",
            _ => "- ",
        };
        let column = canvas.put(area, 1, 0, mark, notice.role);
        canvas.put(area, column, 0, &notice.text, notice.role);
    }
}

/// As many of the keys as fit, by their rank; help always. Digits that pick come first.
fn foot(model: &Model, canvas: &mut Canvas, area: Rect) {
    let context = model.context();
    let mut rows: Vec<(&Row, String)> = keys::available(model)
        .filter(|row| row.foot > 0)
        .filter_map(|row| Some((row, keys::name(row.keys_in(context).next()?))))
        .collect();
    rows.sort_by_key(|(row, _)| row.foot);
    let digits = if context.picks() {
        keys::DIGITS
    } else {
        ("", "")
    };
    let mut column = 1;
    if !digits.0.is_empty() {
        column = canvas.put(area, column, 0, digits.0, Role::Key);
        column = canvas.put(area, column + 1, 0, digits.1, Role::Plain) + 2;
    }
    let room = usize::from(area.width.saturating_sub(column)) + 1;
    let length = |(row, key): &(&Row, String)| width(key) + 1 + row.words.len() + 2;
    while rows.iter().map(length).sum::<usize>() > room {
        let spare = rows
            .iter()
            .rposition(|(row, _)| !matches!(row.act, Act::Help | Act::More | Act::Accept));
        match spare {
            Some(spare) => rows.remove(spare),
            None => break,
        };
    }
    for (row, key) in rows {
        let from = column;
        column = canvas.put(area, column, 0, &key, Role::Key);
        column = canvas.put(area, column + 1, 0, row.words, Role::Plain);
        let hit = Rect {
            x: area.x + from,
            width: column.saturating_sub(from),
            ..area
        };
        canvas.hit(hit, Message::Do(row.act));
        column += 2;
    }
}
