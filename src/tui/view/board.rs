//! The board: every open job in two rows, where it stands and since when.

use ratatui::layout::Rect;

use super::canvas::{Canvas, cut, split, width};
use super::sheet::{Part, Sheet};
use super::times;
use crate::job::store::{JobLine, JobState};
use crate::tui::clean::clean;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Board, Model};
use crate::tui::theme::Role;
use crate::tui::update::flows::doubtful;

/// Draws the board.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    let board = &model.board;
    let shown = board.shown();
    let mut head = head(board, shown.len(), area.width);
    if let Some(doubtful) = doubtful(&model.shelf) {
        head.text(Role::Caution, &format!("! {doubtful}"));
        head.blank();
    }
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let mut sheet = Sheet::new(area.width);
    if shown.is_empty() {
        empty(model, &mut sheet);
    }
    for (n, line) in shown.iter().enumerate() {
        let picked = n == board.at;
        let message = if picked {
            Message::Do(Act::Accept)
        } else {
            Message::Pick(n)
        };
        let (label, detail) = (label(line), detail(model, line, rest.width));
        sheet.item(n + 1, picked, &label, &detail, &message);
    }
    sheet.draw(canvas, rest);
}

/// The search line, or what is shown.
fn head(board: &Board, count: usize, columns: u16) -> Sheet {
    let mut top = Sheet::new(columns);
    if board.searching || !board.query.value().trim().is_empty() {
        let before = vec![Part::new(Role::Muted, "Search all jobs ")];
        let found = vec![Part::new(Role::Muted, format!(" {count} found"))];
        top.field(before, &board.query, 40, board.searching, found);
        top.hit_from(0, &Message::Do(Act::Search));
    } else {
        let what = if board.shows_all() && count > 0 {
            "All jobs"
        } else {
            "Open jobs"
        };
        top.row(vec![
            Part::new(Role::Strong, what),
            Part::new(Role::Muted, format!("  {count}")),
        ]);
    }
    top.blank();
    top
}

/// Number, plate and car.
fn label(line: &JobLine) -> String {
    let number = format!("Job {}", line.number);
    let bay = if line.bay.is_empty() {
        String::new()
    } else {
        format!("  bay {}", line.bay)
    };
    format!(
        "{number:<8} {}  {}{bay}",
        padded(&line.plate, 10),
        line.model
    )
}

fn padded(text: &str, columns: usize) -> String {
    let text = cut(text, columns);
    let pad = columns.saturating_sub(width(&text));
    format!("{text}{}", " ".repeat(pad))
}

/// The complaint on one row; on the next where it stands, since when, and its codes.
fn detail(model: &Model, line: &JobLine, columns: u16) -> String {
    let room = usize::from(columns).saturating_sub(8);
    let complaint = cut(&clean(&line.complaint), room);
    let mut words = Vec::new();
    if line.state == JobState::HandedOver {
        words.push("handed over".to_owned());
    } else {
        words.push(stands_at(model, line));
    }
    let since = format!(
        "{} ({})",
        times::ago(line.last, model.now),
        times::at(line.last, model.now, model.zone)
    );
    words.push(since);
    if !line.codes.is_empty() {
        words.push(line.codes.join(" "));
    }
    format!("\"{complaint}\"\n{}", words.join(" · "))
}

/// Where a job stands, in words.
pub fn stands_at(model: &Model, line: &JobLine) -> String {
    let Some(id) = &line.flow else {
        return "no flow is being walked".to_owned();
    };
    let Some(shelved) = model.shelf.find(id) else {
        return id.replace('-', " ");
    };
    let flow = &shelved.flow;
    let step = match &line.step {
        Some(step) => flow
            .step(step)
            .map_or_else(|| step.replace('-', " "), |step| step.title.clone()),
        None => flow
            .steps
            .first()
            .map(|step| step.title.clone())
            .unwrap_or_default(),
    };
    format!("{}: {step}", flow.title)
}

fn empty(model: &Model, sheet: &mut Sheet) {
    if !model.board.asked {
        sheet.text(Role::Muted, "Reading the jobs ...");
        return;
    }
    if !model.board.query.value().trim().is_empty() {
        sheet.text(
            Role::Plain,
            "No job has all of these words. Esc shows the open jobs again.",
        );
        return;
    }
    let keys = [
        (
            "n",
            "A car has come in: open a job for it.",
            Some(Act::NewJob),
        ),
        (
            " ",
            "Only looking? Leave, and start `ruleout demo`: jobs to try things on.",
            None,
        ),
        (
            "?",
            "What the keys do, here and on every screen.",
            Some(Act::Help),
        ),
    ];
    for (key, words, act) in keys {
        let from = sheet.height();
        sheet.hanging(&format!("{key}  "), "   ", Role::Plain, words);
        if let Some(act) = act {
            sheet.hit_from(from, &Message::Do(act));
        }
    }
}
