//! The board: every open job in two rows, where it stands and since when.

use ratatui::layout::Rect;

use super::canvas::{Canvas, cut, width};
use super::sheet::{Part, Sheet};
use super::times;
use crate::job::store::{JobLine, JobState};
use crate::tui::message::{Act, Message};
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// Draws the board.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    let board = &model.board;
    let shown = board.shown();
    let mut top = Sheet::new(area.width);
    let searched = !board.query.value().trim().is_empty();
    if board.searching || searched {
        let before = vec![Part::new(Role::Muted, "Search all jobs ")];
        let found = format!(" {} found", shown.len());
        top.field(
            before,
            &board.query,
            40,
            board.searching,
            vec![Part::new(Role::Muted, found)],
        );
        top.hit_from(0, &Message::Do(Act::Search));
    } else {
        let what = if board.closed {
            "All jobs"
        } else {
            "Open jobs"
        };
        top.row(vec![
            Part::new(Role::Strong, what),
            Part::new(Role::Muted, format!("  {}", shown.len())),
        ]);
    }
    top.blank();
    let head = Rect {
        height: top.height().min(area.height),
        ..area
    };
    top.draw(canvas, head);
    let rest = Rect {
        y: area.y + head.height,
        height: area.height - head.height,
        ..area
    };
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
        let (label, detail) = (label(line, rest.width), detail(model, line));
        sheet.item(n + 1, picked, &label, &detail, &message);
    }
    sheet.draw(canvas, rest);
}

/// Number, plate, model and complaint on one row.
fn label(line: &JobLine, columns: u16) -> String {
    let wide = columns > 100;
    let (plate, model) = if wide { (12, 30) } else { (10, 20) };
    let head = format!(
        "{:<8} {} {} ",
        format!("Job {}", line.number),
        padded(&line.plate, plate),
        padded(&line.model, model),
    );
    let room = usize::from(columns).saturating_sub(width(&head) + 6);
    format!("{head}{}", cut(&line.complaint, room))
}

fn padded(text: &str, columns: usize) -> String {
    let text = cut(text, columns);
    let pad = columns.saturating_sub(width(&text));
    format!("{text}{}", " ".repeat(pad))
}

/// Where it stands, since when, and its codes.
fn detail(model: &Model, line: &JobLine) -> String {
    let mut words = Vec::new();
    if line.state == JobState::HandedOver {
        words.push("handed over".to_owned());
    } else {
        words.push(stands_at(model, line));
    }
    if !line.bay.is_empty() {
        words.push(format!("bay {}", line.bay));
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
    words.join(" · ")
}

fn stands_at(model: &Model, line: &JobLine) -> String {
    let Some(id) = &line.flow else {
        return "no flow begun".to_owned();
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
    let from = sheet.height();
    sheet.row(vec![
        Part::new(Role::Key, "n"),
        Part::new(Role::Plain, "  A car has come in: open a job for it."),
    ]);
    sheet.hit_from(from, &Message::Do(Act::NewJob));
    sheet.row(vec![Part::new(
        Role::Plain,
        "   Only looking? Leave, and start `ruleout demo`: jobs to try things on.",
    )]);
    let from = sheet.height();
    sheet.row(vec![
        Part::new(Role::Key, "?"),
        Part::new(Role::Plain, "  What the keys do, here and on every screen."),
    ]);
    sheet.hit_from(from, &Message::Do(Act::Help));
}
