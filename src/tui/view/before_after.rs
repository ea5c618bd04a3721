//! Readings before and after the repairs, side by side, with a small mark of where they went.

use super::canvas::width;
use super::sheet::{Part, Sheet};
use crate::engine::job::Job;
use crate::engine::{covered, shown};
use crate::flow::answer::Answer;
use crate::tui::theme::Role;

/// Heights of a mark, the lowest first.
const MARKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// One reading in the tests in which it was taken.
pub struct Compared {
    name: String,
    before: String,
    after: String,
    /// A bar a test, and a word for it.
    trend: Option<(String, &'static str)>,
}

/// The readings that were taken alike in more than one test, in the order in which they were taken
/// first.
pub fn rows(job: &Job) -> Vec<Compared> {
    let tests = job.test_number();
    let mut ids: Vec<&str> = Vec::new();
    for taken in &job.readings {
        if !ids.contains(&taken.reading.as_str()) {
            ids.push(&taken.reading);
        }
    }
    let row = |id: &&str| {
        let flow = job.runs.iter().map(|run| &run.flow);
        let flow = flow.into_iter().find(|flow| flow.reading(id).is_some());
        let last = (1..=tests)
            .rev()
            .find(|test| job.latest(id, *test).is_some())?;
        let alike = |test: &u32| flow.is_none_or(|flow| covered::alike(job, flow, id, *test, last));
        let all: Vec<&Answer> = (1..=last)
            .filter(alike)
            .filter_map(|test| job.latest(id, test))
            .map(|taken| &taken.value)
            .collect();
        let [first, .., last] = &all[..] else {
            return None;
        };
        Some(Compared {
            name: id.replace('-', " "),
            before: shown::answer(first),
            after: shown::answer(last),
            trend: trend(&all),
        })
    };
    ids.iter().filter_map(row).collect()
}

/// Bars and a word, where all are quantities of one kind.
fn trend(all: &[&Answer]) -> Option<(String, &'static str)> {
    let mut values = Vec::new();
    for answer in all {
        let Answer::Quantity(q) = answer else {
            return None;
        };
        values.push(q.si());
    }
    let (first, last) = (values.first()?, values.last()?);
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let bars = values.iter().map(|value| {
        let part = if high > low {
            (value - low) / (high - low)
        } else {
            0.5
        };
        let steps = [0.06, 0.19, 0.31, 0.44, 0.56, 0.69, 0.81];
        MARKS[steps.iter().filter(|step| part > **step).count()]
    });
    let word = if last > first {
        "up"
    } else if last < first {
        "down"
    } else {
        "same"
    };
    Some((bars.collect(), word))
}

/// Adds the table.
pub fn add(sheet: &mut Sheet, rows: &[Compared]) {
    sheet.text(Role::Strong, "Before the repair, and after");
    let widest = |of: fn(&Compared) -> &str, most: usize| {
        rows.iter()
            .map(|row| width(of(row)))
            .max()
            .unwrap_or(0)
            .min(most)
    };
    let names = widest(|row| &row.name, sheet.columns() / 3);
    let before = widest(|row| &row.before, sheet.columns() / 4);
    let after = widest(|row| &row.after, sheet.columns() / 4);
    let fits = |row: &Compared| {
        width(&row.name) <= names && width(&row.before) <= before && width(&row.after) <= after
    };
    for row in rows {
        let trend = row.trend.as_ref();
        let marks = trend.map_or_else(String::new, |(bars, word)| format!("{bars} {word}"));
        if fits(row) {
            let pad = |text: &str, columns: usize| {
                format!(
                    "{text}{}",
                    " ".repeat(columns.saturating_sub(width(text)) + 2)
                )
            };
            sheet.row(vec![
                Part::new(Role::Muted, pad(&row.name, names)),
                Part::new(Role::Plain, pad(&row.before, before)),
                Part::new(Role::Strong, pad(&row.after, after)),
                Part::new(Role::Key, marks),
            ]);
        } else {
            // Words take the rows that they need.
            let text = format!("{}: {} -> {} {marks}", row.name, row.before, row.after);
            sheet.hanging("", "  ", Role::Plain, text.trim_end());
        }
    }
}
