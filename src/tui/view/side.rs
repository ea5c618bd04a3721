//! The side column of wide screens: what is known by now, at a glance.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::sheet::Sheet;
use crate::engine::{judge, shown};
use crate::rules::suggest;
use crate::tui::model::{Model, OpenJob};
use crate::tui::theme::Role;

/// Draws the column.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    let Some(open) = &model.open else {
        return;
    };
    for row in 0..area.height {
        canvas.put(area, 0, row, "│", Role::Muted);
    }
    let inner = Rect {
        x: area.x + 2,
        width: area.width.saturating_sub(2),
        ..area
    };
    let mut sheet = Sheet::new(inner.width);
    complaint(&mut sheet, open);
    worked(&mut sheet, open);
    findings(&mut sheet, open);
    repairs(&mut sheet, open);
    readings(&mut sheet, open);
    sheet.draw_beside(canvas, inner, open.beside);
}

/// Columns for names: most of what fits beside a value with its range.
fn names(sheet: &Sheet) -> usize {
    (sheet.columns() / 2).max(16)
}

fn heading(sheet: &mut Sheet, text: &str) {
    if sheet.height() > 0 {
        sheet.blank();
    }
    sheet.text(Role::Strong, text);
}

fn complaint(sheet: &mut Sheet, open: &OpenJob) {
    let Some(opening) = &open.job.opening else {
        return;
    };
    heading(sheet, "Complaint");
    sheet.text(Role::Plain, &opening.complaint);
    let codes = open
        .job
        .codes
        .as_ref()
        .map_or(&opening.codes, |codes| &codes.stored);
    if !codes.is_empty() {
        sheet.text(Role::Plain, &codes.join(" "));
    }
}

/// The latest reading of each id, in this test and, beside it, in the one before the repair.
fn readings(sheet: &mut Sheet, open: &OpenJob) {
    let job = &open.job;
    let test = job.test_number();
    let before = |id: &str| job.latest(id, test.checked_sub(1)?);
    let mut ids: Vec<&str> = Vec::new();
    for taken in &job.readings {
        let counts = taken.test == test || taken.test + 1 == test;
        if counts && !ids.contains(&taken.reading.as_str()) {
            ids.push(&taken.reading);
        }
    }
    if ids.is_empty() {
        return;
    }
    let title = if test > 1 {
        "Read now (before the repair)"
    } else {
        "Read so far"
    };
    heading(sheet, title);
    for id in ids {
        let now = match job.latest(id, test) {
            Some(now) if now.was_corrected() => {
                format!("{} (corrected)", shown::answer(&now.value))
            }
            Some(now) => shown::answer(&now.value),
            None => "-".to_owned(),
        };
        let before =
            before(id).map_or_else(String::new, |t| format!("  ({})", shown::answer(&t.value)));
        sheet.pair(
            &id.replace('-', " "),
            &format!("{now}{before}"),
            names(sheet),
        );
    }
}

fn worked(sheet: &mut Sheet, open: &OpenJob) {
    let (Some(run), Some(picture)) = (open.job.run(), judge::picture_now(&open.job)) else {
        return;
    };
    let values: Vec<(&str, String)> = run
        .flow
        .worked
        .iter()
        .filter_map(|work| {
            Some((
                work.name.as_str(),
                suggest::value(&run.flow, &work.id, &picture)?,
            ))
        })
        .collect();
    if !values.is_empty() {
        heading(sheet, "Worked out (95 % range)");
    }
    for (name, value) in values {
        sheet.pair(name, &value, names(sheet));
    }
}

fn findings(sheet: &mut Sheet, open: &OpenJob) {
    if !open.job.findings.is_empty() {
        heading(sheet, "Found");
    }
    for found in &open.job.findings {
        sheet.hanging(
            "- ",
            "  ",
            Role::Plain,
            &format!("{}: {}", found.place, found.note),
        );
    }
}

fn repairs(sheet: &mut Sheet, open: &OpenJob) {
    let done: Vec<_> = open
        .job
        .repairs
        .iter()
        .filter_map(|r| Some((&r.name, r.done.as_ref()?)))
        .collect();
    if !done.is_empty() {
        heading(sheet, "Repaired");
    }
    for (name, (work, _)) in done {
        sheet.hanging("- ", "  ", Role::Plain, &format!("{name}: {work}"));
    }
}
