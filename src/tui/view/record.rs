//! The record: everything that happened on the job, in order, in words.

use ratatui::layout::Rect;

use super::canvas::{Canvas, split, width};
use super::sheet::Sheet;
use super::{before_after, times};
use crate::engine::event::{Event, What};
use crate::engine::job::Job;
use crate::engine::words;
use crate::tui::model::Model;
use crate::tui::theme::Role;
use crate::units::preferred;

/// From this many columns on, before and after stand beside the events.
const WIDE: u16 = 110;

/// Draws the record.
pub fn draw(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let Some(open) = &model.open else {
        return;
    };
    let mut head = Sheet::new(area.width);
    let count = open.events.len();
    let names = names(&open.events);
    let title = format!("Record: {count} events, the latest at the end");
    let named = names.iter().map(|(who, short)| format!("{short} {who}"));
    let all: Vec<String> = std::iter::once(title).chain(named).collect();
    head.text(Role::Strong, &all.join("   "));
    head.blank();
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let compared = before_after::rows(&open.job);
    let beside = rest.width >= WIDE && !compared.is_empty();
    let (rest, right) = if beside {
        let columns = (rest.width / 3).min(60);
        let left = Rect {
            width: rest.width - columns - 2,
            ..rest
        };
        let x = rest.x + rest.width - columns;
        (
            left,
            Some(Rect {
                x,
                width: columns,
                ..rest
            }),
        )
    } else {
        (rest, None)
    };
    let mut sheet = Sheet::new(rest.width.saturating_sub(2));
    let mut day = None;
    for event in &open.events {
        let local = event.at.with_timezone(&model.zone);
        if day != Some(local.date_naive()) {
            day = Some(local.date_naive());
            sheet.text(Role::Strong, &local.format("%A %d %B %Y").to_string());
        }
        entry(&mut sheet, model, &open.job, event, &names);
    }
    match right {
        Some(right) => {
            let mut table = Sheet::new(right.width);
            before_after::add(&mut table, &compared);
            table.draw(canvas, right);
        }
        None if !compared.is_empty() => {
            sheet.blank();
            before_after::add(&mut sheet, &compared);
        }
        None => {}
    }
    sheet.draw_scrolled(canvas, rest, scroll);
}

/// Everybody who wrote in the record, each with the letters that stand for them on its lines.
fn names(events: &[Event]) -> Vec<(&str, String)> {
    let mut names: Vec<(&str, String)> = Vec::new();
    for event in events {
        if names.iter().any(|(who, _)| *who == event.who) {
            continue;
        }
        let first = |word: &str| word.chars().next();
        let letters: String = event
            .who
            .split_whitespace()
            .filter_map(first)
            .take(3)
            .collect();
        let letters = letters.to_uppercase();
        // Two of the same letters are told apart by a number.
        let same =
            |(_, short): &&(&str, String)| short.trim_end_matches(char::is_numeric) == letters;
        let short = match names.iter().filter(same).count() {
            0 => letters,
            n => format!("{letters}{}", n + 1),
        };
        names.push((&event.who, short));
    }
    names
}

/// One event, with the letters of whoever did it.
fn entry(sheet: &mut Sheet, model: &Model, job: &Job, event: &Event, names: &[(&str, String)]) {
    let time = times::at(event.at, event.at, model.zone);
    let who = names.iter().find(|(who, _)| *who == event.who);
    let who = who.map_or("", |(_, short)| short.as_str());
    let column = names
        .iter()
        .map(|(_, short)| width(short))
        .max()
        .unwrap_or(0);
    let pad = " ".repeat(column.saturating_sub(width(who)));
    let head = format!("{time} {:>4} {who}{pad}  ", event.seq);
    let indent = " ".repeat(width(&head));
    let text = preferred::as_written_first(|| words::event(event, job));
    sheet.hanging(&head, &indent, role(&event.what), &text);
    for misfit in job.misfits.iter().filter(|m| m.seq == event.seq) {
        let text = format!("! changed nothing: {}", misfit.why);
        sheet.hanging(&indent, &indent, Role::Caution, &text);
    }
}

fn role(what: &What) -> Role {
    match what {
        What::LimitPassed { .. } => Role::Fail,
        What::ReadingCorrected { .. } | What::RepairCorrected { .. } | What::StepSkipped { .. } => {
            Role::Caution
        }
        What::OutcomeTaken(_) | What::RepairDone { .. } | What::FlowBegun { .. } => Role::Strong,
        What::WentBack | What::WentForward | What::CautionAccepted { .. } => Role::Muted,
        _ => Role::Plain,
    }
}
