//! What the car came with: a row below the phases on a small screen, and a page of its own.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width};
use super::sheet::Sheet;
use crate::engine::job::Job;
use crate::engine::shown;
use crate::tui::clean::clean;
use crate::tui::keys;
use crate::tui::message::Act;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// Codes as they were saved from the car; as the job was opened with before that, and where none are left, as after a
/// repair: what the car came with stays what it came with.
fn codes(job: &Job) -> &[String] {
    let opened = job.opening.as_ref().map_or(&[][..], |o| &o.codes);
    let saved = job.codes.as_ref().map(|codes| &codes.stored[..]);
    saved.filter(|codes| !codes.is_empty()).unwrap_or(opened)
}

/// Draws the complaint and the codes in one row; where they do not fit, as many words as do, and the key that shows all.
pub fn row(model: &Model, canvas: &mut Canvas, area: Rect) {
    let Some(job) = model.open.as_ref().map(|open| &open.job) else {
        return;
    };
    let complaint = job.opening.as_ref().map(|o| clean(&o.complaint));
    let complaint = complaint.unwrap_or_default();
    let complaint = complaint.trim();
    let mut words = clean(&codes(job).join(" "));
    if !complaint.is_empty() {
        words = format!("\"{complaint}\" {words}");
    }
    let key = keys::shown(model, Act::Complaint, model.context_below());
    let words = fitted(&words, &key, usize::from(area.width));
    canvas.put(area, 0, 0, &words, Role::Muted);
}

/// A text in so many columns, cut between words.
fn fitted(text: &str, key: &str, room: usize) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let whole = words.join(" ");
    if width(&whole) <= room {
        return whole;
    }
    let more = format!(" ... ({key})");
    let left = room.saturating_sub(width(&more));
    let mut out = String::new();
    for word in words {
        if width(&out) + 1 + width(word) > left {
            break;
        }
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    out + &more
}

/// Draws all that the car came with, and what is known of it by now.
pub fn draw(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width);
    sheet.text(Role::Strong, "What the car came with");
    sheet.blank();
    if let Some(job) = model.open.as_ref().map(|open| &open.job) {
        opened_with(&mut sheet, job);
        known(&mut sheet, job);
    }
    sheet.draw_scrolled(canvas, area, scroll);
}

fn line(sheet: &mut Sheet, label: &str, text: &str) {
    if !text.trim().is_empty() {
        sheet.labelled(Role::Strong, label, &clean(text));
    }
}

fn opened_with(sheet: &mut Sheet, job: &Job) {
    if let Some(opening) = &job.opening {
        let vehicle = &opening.vehicle;
        let car = [vehicle.plate.as_str(), vehicle.model.as_str()];
        line(sheet, "Car:", car.join(" ").trim());
        line(sheet, "Complaint:", &opening.complaint);
        line(sheet, "Symptoms:", &opening.symptoms.join(", "));
    }
    let opened = job.opening.as_ref().map_or(&[][..], |o| &o.codes);
    let saved = job.codes.as_ref().map(|codes| &codes.stored[..]);
    if saved.is_none_or(|codes| codes != opened) {
        line(sheet, "Came with:", &opened.join(", "));
    }
    if let Some(codes) = &job.codes {
        let none = codes.stored.is_empty();
        let stored = codes.stored.join(", ");
        line(sheet, "Stored:", if none { "none" } else { &stored });
        line(sheet, "Pending:", &codes.pending.join(", "));
        line(sheet, "Freeze frame:", &codes.freeze_frame);
        line(sheet, "Readiness:", &codes.readiness);
    }
}

fn known(sheet: &mut Sheet, job: &Job) {
    if job.facts.is_empty() {
        return;
    }
    sheet.blank();
    sheet.text(Role::Strong, "Known of it");
    for (id, value) in &job.facts {
        let words = format!("{}: {}", id.replace('-', " "), shown::answer(value));
        sheet.hanging("  ", "    ", Role::Plain, &clean(&words));
    }
}
