//! The walk: phase ribbon on top, the instruction below it, then what is asked or suggested; on a
//! wide screen what is known by now at the side.

use ratatui::layout::Rect;

use super::canvas::{self, Canvas, width};
use super::sheet::Sheet;
use super::{answers, beside, clock, complaint, hold, side, step, ways};
use crate::engine::standing::Standing;
use crate::flow::model::{Phase, PromptKind};
use crate::tui::keys::Context;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// From this many columns on there is a side column.
const WIDE: u16 = 108;
/// The widest column that is still read easily.
const READABLE: u16 = 100;

/// Draws the walk.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    if let Standing::Stopped(stop) = model.standing() {
        ways::stopped(model, stop, canvas, area);
        return;
    }
    ribbon(model, canvas, area);
    let (main, beside) = split(body(model, area));
    match beside {
        Some(beside) => side::draw(model, canvas, beside),
        None if phase(model).is_some() => complaint::row(model, canvas, lower(area)),
        None => {}
    }
    let below = match model.context() {
        Context::Ways => ways::sheet(model, main.width),
        Context::Caution => step::accept_caution(model, main.width),
        Context::Brief => step::go_on(main.width, model.asked().is_some()),
        _ => question(model, main),
    };
    match model.going() {
        // While a hold runs, how it goes takes the room of what was read before.
        Some((hold, going)) if main.height > below.height() + 8 => {
            let (top, rest) = split_off(main, below.height());
            hold::draw(model, &hold, &going, canvas, top);
            rule(canvas, rest);
            below.draw(canvas, lower(rest));
        }
        _ => stack(model, canvas, main, &step::text(model, main), &below),
    }
    if model.context() == Context::Value {
        typed_large(model, canvas, main);
    }
}

/// An area without its last rows, and those with the line above them.
fn split_off(area: Rect, rows: u16) -> (Rect, Rect) {
    canvas::split(area, area.height.saturating_sub(rows + 1))
}

fn rule(canvas: &mut Canvas, area: Rect) {
    let rule = "─".repeat(usize::from(area.width));
    canvas.put(area, 0, 0, &rule, Role::Muted);
}

/// What is below the line.
fn lower(area: Rect) -> Rect {
    canvas::split(area, 1).1
}

/// What is typed off a gauge in large digits, to the right of its field, where nothing else stands.
fn typed_large(model: &Model, canvas: &mut Canvas, area: Rect) {
    let (Some(open), Some(cursor)) = (&model.open, canvas.drawn.cursor) else {
        return;
    };
    let text = open.entry.text.value().trim();
    let asked = model.asked().map(|asked| &asked.prompt.kind);
    let Some(PromptKind::Quantity(_)) = asked.filter(|_| clock::is_large(text)) else {
        return;
    };
    let columns = clock::columns(text);
    let large = Rect {
        x: area.right().saturating_sub(columns + 1),
        y: cursor.y,
        width: columns,
        height: clock::rows(canvas.theme.ascii),
    };
    // A word that ends right beside them would be read as one with the digits.
    let free = Rect {
        x: large.x.saturating_sub(2),
        width: large.width + 2,
        ..large
    };
    if area.intersection(free) == free && canvas.is_empty(free) {
        clock::draw(canvas, large, text, Role::Strong);
    }
}

/// What is below the ribbon.
fn body(model: &Model, area: Rect) -> Rect {
    let above = if phase(model).is_some() { 2 } else { 1 };
    Rect {
        y: area.y + above,
        height: area.height.saturating_sub(above),
        ..area
    }
}

/// The question, or what the readings come to.
fn question(model: &Model, main: Rect) -> Sheet {
    if model.asked().is_some() {
        answers::question(model, main)
    } else {
        answers::judged(model, main)
    }
}

/// Whether a step's text and what is asked below it fit into an area without scrolling.
pub fn step_fits(model: &Model, area: Rect) -> bool {
    let (main, _) = split(body(model, area));
    let above = step::text(model, main);
    let needed = above.sheet.height().max(above.least) + 1 + question(model, main).height();
    needed <= main.height
}

fn split(body: Rect) -> (Rect, Option<Rect>) {
    if body.width < WIDE {
        return (body, None);
    }
    let beside = (body.width * 2 / 5).min(72);
    let main = (body.width - beside - 2).min(READABLE);
    let x = body.x + body.width - beside;
    (
        Rect {
            width: main,
            ..body
        },
        Some(Rect {
            x,
            width: beside,
            ..body
        }),
    )
}

/// The text above takes what it needs; where both do not fit, what is asked keeps its room and the
/// text is scrolled.
fn stack(model: &Model, canvas: &mut Canvas, area: Rect, above: &step::Above, below: &Sheet) {
    // A step that does not fit beside its question was shown by itself before.
    let least = above
        .sheet
        .height()
        .min(if model.is_on_step() { 2 } else { 5 });
    let asked = below.height().min(area.height.saturating_sub(least + 1));
    let room = area
        .height
        .saturating_sub(asked + 1)
        .min(above.sheet.height().max(above.least));
    let top = Rect {
        height: room,
        ..area
    };
    let scroll = model.open.as_ref().map_or(0, |open| open.scroll);
    above.draw(canvas, top, scroll);
    let line = area.y + room;
    if room > 0 {
        let rule = "─".repeat(usize::from(area.width));
        let row = Rect {
            y: line,
            height: 1,
            ..area
        };
        canvas.put(row, 0, 0, &rule, Role::Muted);
    }
    let from = line + u16::from(room > 0);
    let rest = Rect {
        y: from,
        height: area.bottom().saturating_sub(from),
        ..area
    };
    below.draw(canvas, rest);
    // One row stays free between what is asked and the line.
    beside::draw_line(model, canvas, rest, below.height() + 1);
}

/// The phase in which the walk stands.
fn phase(model: &Model) -> Option<Phase> {
    match model.standing() {
        Standing::Repair { .. } => Some(Phase::Repair),
        _ => model
            .open
            .as_ref()
            .and_then(|open| open.job.run()?.step().map(|step| step.phase)),
    }
}

/// The phases, the present one in brackets; where there is too little room, only how far it is.
fn ribbon(model: &Model, canvas: &mut Canvas, area: Rect) {
    let Some(now) = phase(model) else {
        return;
    };
    let all: usize = Phase::ALL.iter().map(|phase| width(phase.word()) + 2).sum();
    if all > usize::from(area.width) {
        let at = Phase::ALL.iter().take_while(|phase| **phase != now).count() + 1;
        let column = canvas.put(area, 0, 0, &format!("[{}]", now.word()), Role::Strong);
        let place = format!("  phase {at} of {}", Phase::ALL.len());
        canvas.put(area, column, 0, &place, Role::Muted);
        return;
    }
    let mut column = 0;
    for phase in Phase::ALL {
        let (text, role) = if phase == now {
            (format!("[{}]", phase.word()), Role::Strong)
        } else {
            (format!(" {} ", phase.word()), Role::Muted)
        };
        column = canvas.put(area, column, 0, &text, role);
    }
}
