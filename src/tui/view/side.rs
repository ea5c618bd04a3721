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
    readings(&mut sheet, open);
    worked(&mut sheet, open);
    findings(&mut sheet, open);
    repairs(&mut sheet, open);
    sheet.draw_from_top(canvas, inner);
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

/// The latest reading of each id in this test, with that of the test before beside it.
fn readings(sheet: &mut Sheet, open: &OpenJob) {
    let job = &open.job;
    let test = job.test_number();
    let mut ids: Vec<&str> = Vec::new();
    for taken in job.readings.iter().filter(|taken| taken.test == test) {
        if !ids.contains(&taken.reading.as_str()) {
            ids.push(&taken.reading);
        }
    }
    if ids.is_empty() {
        return;
    }
    heading(
        sheet,
        if test > 1 {
            "Read in this test (before the repair)"
        } else {
            "Read so far"
        },
    );
    for id in ids {
        let Some(now) = job.latest(id, test) else {
            continue;
        };
        let before = test.checked_sub(1).and_then(|test| job.latest(id, test));
        let before = before
            .map(|taken| format!("  ({})", shown::answer(&taken.value)))
            .unwrap_or_default();
        let mark = if now.before.is_empty() {
            ""
        } else {
            " (corrected)"
        };
        let value = format!("{}{mark}{before}", shown::answer(&now.value));
        sheet.pair(&id.replace('-', " "), &value, 18);
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
        sheet.pair(name, &value, 18);
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
