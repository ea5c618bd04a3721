//! The picker of files: a folder at the left, what the file under the cursor holds at the right.

use ratatui::layout::Rect;

use super::canvas::{Canvas, cut, split, width};
use super::sheet::Sheet;
use super::times;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::log_key::LogWindow;
use crate::import::fill::Filled;
use crate::import::put::{Asked, Put};
use crate::import::{Import, Log};
use crate::rules::advice::figures::share_bar;
use crate::tui::clean::clean;
use crate::tui::message::{Act, Message};
use crate::tui::model::{FileEntry, Files, Model, Preview};
use crate::tui::theme::Role;
use crate::units::preferred;

/// Columns of an entry beside its name and its date.
const BESIDE: usize = 3;

/// Draws the picker.
pub fn draw(model: &Model, files: &Files, canvas: &mut Canvas, area: Rect) {
    let head = head(files, area.width);
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let left = rest.width * 9 / 20;
    let list = Rect {
        width: left.saturating_sub(2),
        ..rest
    };
    entries(model, files, canvas, list);
    let preview = Rect {
        x: rest.x + left,
        width: rest.width - left,
        ..rest
    };
    self::preview(model, files, preview.width).draw(canvas, preview);
}

fn head(files: &Files, columns: u16) -> Sheet {
    let mut sheet = Sheet::new(columns);
    sheet.text(Role::Strong, "Fill readings from a log or a capture");
    let path = files.folder.path.display().to_string();
    sheet.text(Role::Muted, &front_cut(&path, usize::from(columns)));
    if !files.filter.value().is_empty() {
        let before = vec![super::sheet::Part::new(Role::Plain, "only ")];
        sheet.field(before, &files.filter, 30, true, Vec::new());
    }
    sheet.blank();
    sheet
}

/// The end of a path tells more than its beginning.
fn front_cut(text: &str, room: usize) -> String {
    let mut rest = text;
    while width(rest) > room.saturating_sub(1) && !rest.is_empty() {
        rest = &rest[rest.chars().next().map_or(1, char::len_utf8)..];
    }
    if rest.len() == text.len() {
        text.to_owned()
    } else {
        format!("…{rest}")
    }
}

fn entries(model: &Model, files: &Files, canvas: &mut Canvas, area: Rect) {
    let listed = files.listed();
    if let Some(error) = &files.folder.error {
        canvas.put(area, 0, 0, error, Role::Caution);
    } else if listed.is_empty() {
        canvas.put(area, 0, 0, "Nothing of this name here.", Role::Plain);
    }
    let dates = listed.iter().map(|entry| width(&date(model, entry)));
    let dates = dates.max().unwrap_or(0);
    // Two names that are cut alike cannot be told apart; the day can be done without.
    let names = listed.iter().map(|entry| width(&name(entry)));
    let fit = names.max().unwrap_or(0) + dates + BESIDE <= usize::from(area.width);
    let dates = if fit { dates } else { 0 };
    let rows = usize::from(area.height);
    let first = (files.at + 1).saturating_sub(rows);
    for (row, (n, entry)) in (0..area.height).zip(listed.iter().enumerate().skip(first)) {
        let picked = n == files.at;
        let role = if picked { Role::Focus } else { Role::Plain };
        if picked {
            canvas.tint(area, row, role);
        }
        let line = line(model, entry, picked, usize::from(area.width), dates);
        canvas.put(area, 0, row, &line, role);
        let message = if picked {
            Message::Do(Act::Accept)
        } else {
            Message::Pick(n)
        };
        canvas.hit(Rect::new(area.x, area.y + row, area.width, 1), message);
    }
    let edge = area.width.saturating_sub(1);
    if first > 0 {
        canvas.put(area, edge, 0, "↑", Role::Key);
    }
    if listed.len() > first + rows {
        canvas.put(area, edge, area.height.saturating_sub(1), "↓", Role::Key);
    }
}

/// One entry: its name, and when it was changed, in a column of so many letters.
fn line(model: &Model, entry: &FileEntry, picked: bool, columns: usize, dates: usize) -> String {
    let mark = if picked { "> " } else { "  " };
    let slash = if entry.folder { "/" } else { "" };
    let room = columns.saturating_sub(dates + BESIDE);
    let name = format!(
        "{}{slash}",
        cut(&name(entry), room.saturating_sub(slash.len()))
    );
    if dates == 0 {
        return format!("{mark}{name}");
    }
    let date = date(model, entry);
    let pad = " ".repeat(room.saturating_sub(width(&name)));
    format!("{mark}{name}{pad} {date:>dates$}")
}

/// Controls are gone before the width is counted, or the dates would not stand in a column.
fn name(entry: &FileEntry) -> String {
    clean(&entry.name)
}

fn date(model: &Model, entry: &FileEntry) -> String {
    let changed = entry.changed;
    changed.map_or_else(String::new, |at| times::at(at, model.now, model.zone))
}

/// What the file under the cursor holds, and what it would fill.
pub fn preview(model: &Model, files: &Files, columns: u16) -> Sheet {
    let mut sheet = Sheet::new(columns);
    if let (Some((name, _)), Some(_)) = (&files.mapping, &files.path) {
        sheet.text(
            Role::Muted,
            &format!("columns as in the mapping \"{name}\""),
        );
        match files.look.as_deref() {
            Some(look) if look.mapping_fits_none => {
                let why = "it names none of these columns: was it kept for another tool's files?";
                sheet.hanging("! ", "  ", Role::Caution, why);
            }
            Some(look) if !look.mapping_lacks.is_empty() => {
                let lacks = look.mapping_lacks.join(", ");
                let why = format!("this file lacks its {}", clean(&lacks));
                sheet.hanging("! ", "  ", Role::Caution, &why);
            }
            _ => {}
        }
    }
    match &files.preview {
        Preview::None => match files.picked() {
            Some(entry) if entry.folder => sheet.text(Role::Muted, "Enter opens the folder."),
            Some(_) => sheet.text(Role::Muted, "A large file. Enter reads it."),
            None => {}
        },
        Preview::Reading(percent) => {
            let bar = share_bar(f64::from(*percent) / 100.0);
            sheet.text(Role::Strong, &format!("Reading it  {bar} {percent} %"));
        }
        Preview::Wrong(why) => sheet.hanging("! ", "  ", Role::Caution, why),
        Preview::Unasked(unasked) => {
            sheet.text(Role::Strong, "Some units are not known:");
            for one in unasked {
                let text = format!("\"{}\" ({})", one.column, one.channel.word());
                sheet.hanging("  ", "  ", Role::Plain, &text);
            }
            sheet.text(Role::Plain, "Enter asks for them.");
        }
        Preview::Read(read) => {
            held(&mut sheet, read);
            match model.would_fill(files) {
                Ok(put) => would_fill(&mut sheet, &put),
                Err(why) => sheet.hanging("! ", "  ", Role::Caution, &why),
            }
        }
    }
    sheet
}

fn held(sheet: &mut Sheet, read: &Import) {
    match read {
        Import::Log(log) => {
            sheet.text(Role::Strong, &format!("A log of {} rows", log.rows));
            for kind in LogWindow::ALL {
                sheet.text(Role::Muted, &window(log, kind));
            }
        }
        Import::Capture(capture) => {
            let points = capture.points.len();
            let what = if capture.is_timed() {
                "capture"
            } else {
                "table of a sweep"
            };
            sheet.text(Role::Strong, &format!("A {what} of {points} points"));
        }
    }
    let flaws = match read {
        Import::Log(log) => &log.flaws,
        Import::Capture(capture) => &capture.flaws,
    };
    for remark in flaws.remarks() {
        sheet.hanging("! ", "  ", Role::Caution, &clean(&remark));
    }
    sheet.blank();
}

fn window(log: &Log, kind: LogWindow) -> String {
    match log.best(kind) {
        Some(window) => {
            let (first, last) = window.rows;
            let length = window.length();
            let dead = window.dead().fold(String::new(), |said, channel| {
                said + "; " + channel.word() + " is 0 throughout"
            });
            let name = window.name();
            format!("{name}: {length:.0} s, lines {first} to {last}{dead}")
        }
        None if log.tally.purging > 0 => format!(
            "{}: nothing that holds; the purge was open in {} rows",
            kind.name(),
            log.tally.purging
        ),
        None => format!("{}: nothing that holds", kind.name()),
    }
}

fn would_fill(sheet: &mut Sheet, put: &Put) {
    if put.filled.is_empty() {
        sheet.text(Role::Caution, "Nothing can be filled in now.");
    }
    let mut before = None;
    for (filled, asked) in &put.filled {
        let (first, last) = filled.rows;
        let now = Some((*asked, filled.rows));
        if now != before {
            let what = match asked {
                Asked::Now => "Enter fills in",
                Asked::Later => "and for a later step",
            };
            sheet.text(
                Role::Pass,
                &format!("{what}, from lines {first} to {last}:"),
            );
            before = now;
        }
        let name = filled.reading.replace('-', " ");
        sheet.pair(&name, &value(filled), 18);
    }
    for note in &put.notes {
        sheet.hanging("- ", "  ", Role::Caution, note);
    }
    for left in &put.left_out {
        let text = format!("{}: {}", left.reading.replace('-', " "), left.why);
        sheet.hanging("- ", "  ", Role::Muted, &text);
    }
}

/// A value with how well its mean is known; the unit is said once.
fn value(filled: &Filled) -> String {
    let value = shown::answer(&filled.value);
    match (&filled.value, filled.half_width) {
        (Answer::Quantity(quantity), Some(half)) => {
            let half = preferred::shown_unit(quantity.unit()).show_step(half);
            let number = half.split(' ').next().unwrap_or_default();
            format!("{value} +- {number}")
        }
        _ => value,
    }
}
