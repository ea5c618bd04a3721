//! What stands around every screen: the head, the line about what just happened, the keys.

use ratatui::layout::Rect;

use super::canvas::{Canvas, shortened, width, wrap};
use crate::tui::keys::{self, Row};
use crate::tui::message::{Act, Message};
use crate::tui::model::{Model, Notice, Screen};
use crate::tui::theme::Role;

/// The area that the frame leaves for the screen itself.
pub fn body(area: Rect) -> Rect {
    Rect {
        x: area.x + 1,
        y: area.y + 1,
        width: area.width.saturating_sub(2),
        height: area.height.saturating_sub(3),
    }
}

/// Draws the head and the keys.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    head(model, canvas, area);
    let foot_row = Rect {
        y: area.y + area.height - 1,
        height: 1,
        ..area
    };
    foot(model, canvas, foot_row);
}

fn head(model: &Model, canvas: &mut Canvas, area: Rect) {
    canvas.tint(area, 0, Role::Focus);
    let (left, flow) = words(model);
    let switch = if model.mouse { "mouse on" } else { "mouse off" };
    // The switch has its place at every size: whoever cannot mark text must see why.
    let room = usize::from(area.width).saturating_sub(width(switch) + 2);
    let (left, right) = match flow {
        Some(title) => side_by_side(&left, &title, room),
        None => (left, model.who.clone()),
    };
    let end = canvas.put(area, 1, 0, &left, Role::Focus);
    let from_right = |text: &str| {
        let room = u16::try_from(width(text)).unwrap_or(area.width);
        area.width.saturating_sub(room + 1)
    };
    let both = format!("{right}  {switch}");
    if from_right(&both) > end + 2 {
        canvas.put(area, from_right(&both), 0, &both, Role::Focus);
        // The same place switches it off by a click; on again it goes by its key.
        let x = area.x + from_right(switch);
        let row = Rect {
            x,
            width: area.right().saturating_sub(x),
            height: 1,
            ..area
        };
        canvas.hit(row, Message::Do(Act::Mouse));
    } else if from_right(&right) > end + 2 {
        canvas.put(area, from_right(&right), 0, &right, Role::Focus);
    }
}

/// What stands in the head: the job or the board, and the title of the flow that is walked.
fn words(model: &Model) -> (String, Option<String>) {
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
        _ if model.practice => "ruleout · exercises".to_owned(),
        _ => "ruleout · jobs".to_owned(),
    };
    let left = super::practice::marked(model, left);
    let flow = match (&model.open, model.screen) {
        (Some(open), Screen::Walk | Screen::Record(_)) => {
            open.job.run().map(|run| model.shelf.title_of(&run.flow))
        }
        _ => None,
    };
    (left, flow)
}

/// The head in one line, as long as it is: for a text that is copied or read aloud.
pub fn title(model: &Model) -> String {
    let (left, flow) = words(model);
    let words = std::iter::once(left).chain(flow);
    words.collect::<Vec<_>>().join("   ")
}

/// A flow's title is never left out for a long car: so large a part of the row is kept for it, in fifths.
const TITLE: usize = 2;

/// The car and the flow's title in one row, each shortened where both are too long for it.
fn side_by_side(car: &str, title: &str, columns: usize) -> (String, String) {
    // One column at either edge, and three between.
    let room = columns.saturating_sub(5);
    let car = shortened(
        car,
        room.saturating_sub(width(title).min(columns * TITLE / 5)),
    );
    let title = shortened(title, room.saturating_sub(width(&car)));
    (car, title)
}

/// The mark before a notice.
fn mark(notice: &Notice) -> &'static str {
    match notice.role {
        Role::Fail => "!! ",
        Role::Caution => "! ",
        // What fills the row needs no mark.
        Role::Focus => "",
        _ => "- ",
    }
}

/// A notice in lines, as many as may stand on a screen.
fn notice_lines(notice: &Notice, area: Rect) -> Vec<String> {
    let room = usize::from(area.width).saturating_sub(2 + width(mark(notice)));
    let mut lines = wrap(&notice.text, room);
    lines.truncate(usize::from(area.height / 3).max(1));
    lines
}

/// What a notice that is longer than its own row leaves of the screen's area.
pub fn above_notice(model: &Model, area: Rect) -> Rect {
    let body = body(area);
    let lines = model.notice.as_ref().map(|n| notice_lines(n, area).len());
    let more = lines.unwrap_or(0).saturating_sub(1);
    Rect {
        height: body
            .height
            .saturating_sub(u16::try_from(more).unwrap_or(u16::MAX)),
        ..body
    }
}

/// The line about what just happened, above the keys. A long one takes the rows above it too:
/// what it says is more urgent than what it covers.
pub fn notice(model: &Model, canvas: &mut Canvas, area: Rect) {
    let Some(notice) = &model.notice else {
        return;
    };
    let mark = mark(notice);
    let lines = notice_lines(notice, area);
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX);
    let top = area.y + area.height.saturating_sub(rows + 1);
    for (n, line) in (0..rows).zip(&lines) {
        let row = Rect {
            y: top + n,
            height: 1,
            ..area
        };
        canvas.clear(row);
        if notice.role == Role::Focus {
            canvas.tint(row, 0, Role::Focus);
        }
        let column = if n == 0 {
            canvas.put(row, 1, 0, mark, notice.role)
        } else {
            1 + u16::try_from(width(mark)).unwrap_or(0)
        };
        canvas.put(row, column, 0, line, notice.role);
    }
}

/// As many of the keys as fit in whole words, by their rank; always those that have the rest.
/// What picks comes first.
fn foot(model: &Model, canvas: &mut Canvas, area: Rect) {
    let context = model.context();
    let mut hints: Vec<(&Row, String)> = keys::in_footer(model)
        .filter_map(|row| {
            let own = model.keys.in_context(row, context);
            // Where a question mark would be typed, another key explains.
            let typed = |key: &&crate::tui::input::Press| {
                context.types() && !model.field_is_empty() && key.is_typed()
            };
            let key = own.iter().find(|key| !typed(key)).copied()?;
            Some((row, keys::name(key)))
        })
        .collect();
    hints.sort_by_key(|(row, _)| row.foot);
    let digits = keys::digits(model);
    let first = digits
        .as_ref()
        .map_or(0, |(key, word)| width(key) + width(word) + 3);
    let room = usize::from(area.width.saturating_sub(2));
    let length = |(row, key): &(&Row, String)| width(key) + 1 + width(row.words_in(model)) + 2;
    while first + hints.iter().map(length).sum::<usize>() > room + 2 {
        let spare = hints
            .iter()
            .rposition(|(row, _)| !matches!(row.act, Act::Help | Act::More | Act::Accept));
        match spare {
            Some(spare) => hints.remove(spare),
            None => break,
        };
    }
    let mut column = 1;
    if let Some((key, word)) = &digits {
        column = canvas.put(area, column, 0, key, Role::Key);
        column = canvas.put(area, column + 1, 0, word, Role::Plain) + 2;
    }
    for (row, key) in &hints {
        column = hint(
            canvas,
            area,
            column,
            (row.act_in(model), row.words_in(model), key),
        );
    }
}

/// One key with its word; where the next one begins.
fn hint(canvas: &mut Canvas, area: Rect, from: u16, (act, words, key): (Act, &str, &str)) -> u16 {
    let after = canvas.put(area, from, 0, key, Role::Key);
    let end = canvas.put(area, after + 1, 0, words, Role::Plain);
    let hit = Rect {
        x: area.x + from,
        width: end.saturating_sub(from),
        ..area
    };
    canvas.hit(hit, Message::Do(act));
    end + 2
}
