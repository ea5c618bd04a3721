//! Drawing: from the model to cells, and to the areas that can be clicked. Changes nothing; what
//! it finds out (areas, how far a text can be scrolled) it returns.

pub(super) mod answers;
mod before_after;
mod beside;
pub(super) mod board;
pub mod canvas;
pub(super) mod clock;
mod complaint;
mod evidence;
pub(super) mod files;
mod form;
mod frame;
pub(super) mod help;
mod hold;
mod lists;
mod map;
mod plain;
mod plot;
mod practice;
mod record;
pub(super) mod sheet;
mod side;
pub(super) mod step;
pub(super) mod times;
pub(super) mod values;
mod walk;
pub(super) mod ways;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::model::{Model, Over, Screen};
use super::theme::Role;
use crate::units::preferred;
use canvas::{Canvas, Drawn};

/// Below this many columns and rows there is only a notice.
pub const SMALLEST: (u16, u16) = (60, 20);

pub use plain::text as plain;

/// Draws everything, values in the units that people want to read.
pub fn draw(model: &Model, buffer: &mut Buffer) -> Drawn {
    let drawn = preferred::showing(&model.settings.units, || everything(model, buffer));
    if model.theme.ascii {
        canvas::spell_in_ascii(buffer);
    }
    drawn
}

fn everything(model: &Model, buffer: &mut Buffer) -> Drawn {
    let area = buffer.area;
    buffer.set_style(area, model.theme.ground());
    let mut canvas = Canvas::new(buffer, model.theme);
    if !has_room((area.width, area.height)) {
        too_small(&mut canvas, area);
        return canvas.drawn;
    }
    let body = frame::body(area);
    frame::draw(model, &mut canvas, area);
    match model.overs.last() {
        Some(Over::Form(form)) => form::draw(form, &mut canvas, body),
        Some(Over::List { kind, at }) => lists::draw(model, *kind, *at, &mut canvas, body),
        Some(Over::Help(context, scroll)) => {
            help::draw(model, *context, *scroll, &mut canvas, body);
        }
        Some(Over::Files(picker)) => files::draw(model, picker, &mut canvas, body),
        Some(Over::Why(scroll)) => help::why(model, *scroll, &mut canvas, body),
        Some(Over::Plain(text, scroll)) => plain::draw(text, *scroll, &mut canvas, body),
        Some(Over::Debrief(scroll)) => practice::debrief(model, *scroll, &mut canvas, body),
        Some(Over::People(scroll)) => practice::people(model, *scroll, &mut canvas, body),
        Some(Over::Complaint(scroll)) => complaint::draw(model, *scroll, &mut canvas, body),
        Some(Over::Evidence(looked)) => evidence::draw(model, looked, &mut canvas, body),
        None => match model.screen {
            Screen::Board => board::draw(model, &mut canvas, body),
            Screen::Record(scroll) => record::draw(model, scroll, &mut canvas, body),
            // What can be picked stays in sight: the text above it gives way to a long notice.
            Screen::Walk => walk::draw(model, &mut canvas, frame::above_notice(model, area)),
        },
    }
    frame::notice(model, &mut canvas, area);
    canvas.drawn
}

/// Whether a screen of so many columns and rows shows anything but that it is too small.
pub fn has_room((columns, rows): (u16, u16)) -> bool {
    columns >= SMALLEST.0 && rows >= SMALLEST.1
}

/// Whether the step that is walked and what is asked below it fit on the screen together.
pub fn step_fits(model: &Model) -> bool {
    let (columns, rows) = model.size;
    !has_room(model.size) || walk::step_fits(model, frame::body(Rect::new(0, 0, columns, rows)))
}

/// The row from which on the map of the flow is shown first.
pub fn here_on_map(model: &Model) -> u16 {
    let run = model.open.as_ref().and_then(|open| open.job.run());
    let columns = frame::body(Rect::new(0, 0, model.size.0, model.size.1)).width;
    run.map_or(0, |run| map::here(run, columns.saturating_sub(2)))
}

fn too_small(canvas: &mut Canvas, area: Rect) {
    let (columns, rows) = SMALLEST;
    let lines = [
        "ruleout needs more room:".to_owned(),
        format!("{columns} x {rows} at least,"),
        format!("here are {} x {}.", area.width, area.height),
        "Nothing is lost.".to_owned(),
        "Ctrl-C leaves.".to_owned(),
    ];
    for (row, line) in (0..).zip(&lines) {
        canvas.put(area, 0, row, line, Role::Plain);
    }
}
