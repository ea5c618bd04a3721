//! Practice on the screens: the mark on every one of them, and the debrief.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::sheet::Sheet;
use crate::engine::shown;
use crate::practice::people::{Words, lines, plot};
use crate::practice::start::MARK;
use crate::tui::clean::clean;
use crate::tui::model::{Model, Screen};
use crate::tui::theme::Role;

/// The head's words with the mark of practice before them, and the simulated clock behind.
pub fn marked(model: &Model, head: String) -> String {
    let bay = model.open.as_ref().and_then(|open| open.bay.as_ref());
    match (bay, model.screen) {
        (Some(bay), Screen::Walk | Screen::Record(_)) => {
            let number = model.open.as_ref().map_or(0, |open| open.number);
            format!("{MARK} {number} · {}", shown::minutes(bay.minutes))
        }
        _ if model.practice => format!("{MARK} · {head}"),
        _ => head,
    }
}

/// What stands on the walk of an exercise that is over.
pub fn ended(sheet: &mut Sheet) {
    sheet.text(Role::Strong, "The exercise is over.");
    sheet.text(
        Role::Plain,
        "There is no car, no customer and no page for one; the debrief says what it came to.",
    );
}

/// Draws the debrief, and what this person has practised so far.
pub fn debrief(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width);
    let bay = model.open.as_ref().and_then(|open| open.bay.as_ref());
    let lines = bay.and_then(|bay| {
        Some(
            bay.debrief
                .as_ref()?
                .lines(sheet.columns().saturating_sub(2)),
        )
    });
    add(&mut sheet, lines.unwrap_or_default());
    let own = model.history.iter().filter(|r| r.who == model.who);
    let scores: Vec<(u32, u32)> = own.map(|r| (r.got, r.of)).collect();
    if !scores.is_empty() {
        sheet.blank();
        sheet.text(
            Role::Strong,
            &format!("Your exercises so far, {}", clean(&model.who)),
        );
        for row in plot(&scores) {
            sheet.text(Role::Plain, &row);
        }
    }
    sheet.draw_scrolled(canvas, area, scroll);
}

/// Draws who has practised what.
pub fn people(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width);
    sheet.text(Role::Strong, "Who has practised what");
    sheet.blank();
    let words = Words {
        flow: &|id| {
            let flow = model.shelf.find(id);
            flow.map_or_else(|| id.replace('-', " "), |s| model.shelf.title_of(&s.flow))
        },
        day: &|at| {
            let day = at.with_timezone(&model.zone);
            day.format("%-d %b %Y").to_string()
        },
    };
    add(&mut sheet, lines(&model.history, &words));
    sheet.draw_scrolled(canvas, area, scroll);
}

/// Adds lines: what is not indented is a heading.
fn add(sheet: &mut Sheet, lines: Vec<String>) {
    for line in lines {
        let line = clean(&line);
        let indent = line.len() - line.trim_start().len();
        let role = if indent == 0 {
            Role::Strong
        } else {
            Role::Plain
        };
        if line.trim().is_empty() {
            sheet.blank();
        } else {
            let before = " ".repeat(indent);
            sheet.hanging(&before, &format!("{before}  "), role, line.trim_start());
        }
    }
}
