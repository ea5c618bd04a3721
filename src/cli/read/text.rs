//! What a file holds, as text for people.

use std::fmt::Write as _;

use super::job::Filled;
use crate::cli::calc::Captured;
use crate::cli::one_line;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::log_key::LogWindow;
use crate::import::fill::Z95;
use crate::import::look::{Known, Mapped};
use crate::import::moments::Summary;
use crate::import::put::Asked;
use crate::import::steady::{SHORTEST, Window};
use crate::import::{Capture, Channel, Flaws, Import, Log, Look};
use crate::units::Unit;

/// Everything about a file.
pub(super) fn file(
    name: &str,
    read: &Import,
    worked: Option<&Captured>,
    filled: Option<&Filled>,
) -> String {
    let mut out = String::new();
    match read {
        Import::Log(log) => {
            add(
                &mut out,
                &format!("{}: a log of {} rows", one_line(name), log.rows),
            );
            out.push_str(&look(&log.look));
            remarks(&mut out, &log.flaws);
            windows(&mut out, log);
        }
        Import::Capture(capture) => {
            let points = capture.points.len();
            add(
                &mut out,
                &format!("{}: {} of {points} points", one_line(name), kind(capture)),
            );
            out.push_str(&look(&capture.look));
            remarks(&mut out, &capture.flaws);
            self::capture(&mut out, capture, worked);
        }
    }
    if let Some(filled) = filled {
        out.push('\n');
        out.push_str(&self::filled(filled));
    }
    out
}

/// What a capture is called.
fn kind(capture: &Capture) -> &'static str {
    if capture.is_timed() {
        "a capture"
    } else {
        "a table of a sweep"
    }
}

/// Writing to a String cannot fail.
fn add(out: &mut String, line: &str) {
    let _ = writeln!(out, "{}", line.trim_end());
}

/// How the file is written and what its columns are taken for.
pub(super) fn look(look: &Look) -> String {
    let mut out = String::new();
    add(&mut out, &format!("{}", look.dialect));
    out.push('\n');
    let row = |mapped: &Mapped| {
        let unit = match (
            mapped.unit,
            mapped.clock,
            mapped.holds.and_then(Channel::dimension),
        ) {
            (_, true, _) => "clock",
            (Some(unit), ..) if mapped.holds.is_some() => unit.name(),
            (None, _, Some(_)) => "?",
            _ => "",
        };
        [
            one_line(&mapped.column.name),
            mapped.holds.map_or("-", Channel::word).to_owned(),
            unit.to_owned(),
            because(mapped),
        ]
    };
    let head = ["column", "taken for", "unit", "because"].map(str::to_owned);
    let rows: Vec<[String; 4]> = [head]
        .into_iter()
        .chain(look.columns.iter().map(row))
        .collect();
    out.push_str(&table(&rows));
    if look.mapping_fits_none {
        add(&mut out, FITS_NONE);
    } else if !look.mapping_lacks.is_empty() {
        let lacks: Vec<String> = look
            .mapping_lacks
            .iter()
            .map(|name| format!("\"{}\"", one_line(name)))
            .collect();
        add(
            &mut out,
            &format!(
                "note: the mapping also speaks of {}, which this file does not have",
                lacks.join(", ")
            ),
        );
    }
    out
}

/// Said where a mapping was given for a file of another tool.
const FITS_NONE: &str = "note: the mapping names none of these columns, so it says nothing here; look whether it was \
                         kept for another tool's files";

fn because(mapped: &Mapped) -> String {
    match mapped.known {
        Known::Told => "told".to_owned(),
        Known::Mapping => "mapping".to_owned(),
        Known::Guessed(words) => format!("\"{}\"", words.join(" ")),
        Known::Not => String::new(),
        Known::Double(word) => format!("another column holds {word}"),
    }
}

/// Rows in columns.
fn table<const N: usize>(rows: &[[String; N]]) -> String {
    let wide = |at: usize| {
        let widths = rows.iter().map(|row| row[at].chars().count());
        widths.max().unwrap_or(0)
    };
    let mut out = String::new();
    for row in rows {
        let mut line = String::from(" ");
        for (at, cell) in row.iter().enumerate() {
            let pad = wide(at) - cell.chars().count() + 2;
            line.push_str(cell);
            line.push_str(&" ".repeat(pad));
        }
        add(&mut out, &line);
    }
    out
}

fn remarks(out: &mut String, flaws: &Flaws) {
    for remark in flaws.remarks() {
        add(out, &format!("note: {}", one_line(&remark)));
    }
}

fn windows(out: &mut String, log: &Log) {
    for kind in LogWindow::ALL {
        out.push('\n');
        match log.best(kind) {
            Some(window) => self::window(out, window),
            None => add(
                out,
                &format!(
                    "{}: nothing that holds for {SHORTEST:.0} s or more",
                    kind.name()
                ),
            ),
        }
        let of_kind = log
            .windows
            .iter()
            .filter(|window| window.kind == kind)
            .count();
        if of_kind > 1 {
            add(out, &format!("  ({} more, shorter)", of_kind - 1));
        }
    }
    let tally = log.tally;
    let reasons = [
        (tally.cold, "cold, or not known to be warm"),
        (
            tally.open,
            "in open loop, or not known to be in closed loop",
        ),
        (tally.moving, "moving"),
        (tally.purging, "with the purge open"),
        (tally.elsewhere, "at other speeds"),
        (
            tally.impossible,
            "with a speed, an airflow or an absolute pressure below zero",
        ),
        (tally.timeless, "without a time"),
    ];
    let said: Vec<String> = reasons
        .iter()
        .filter(|(rows, _)| *rows > 0)
        .map(|(rows, why)| format!("{rows} {why}"))
        .collect();
    if !said.is_empty() {
        out.push('\n');
        add(out, &format!("rows that do not count: {}", said.join("; ")));
    }
    if tally.impossible > 0 && log.look.column(Channel::Manifold).is_some() {
        add(
            out,
            "note: manifold pressure is taken as absolute; where its column holds vacuum or boost, say that it holds nothing: --column \"NAME=nothing\"",
        );
    }
    if tally.back_in_time > 0 {
        add(
            out,
            &format!("note: the time jumps back {} times", tally.back_in_time),
        );
    }
}

fn window(out: &mut String, window: &Window) {
    let (first, last) = window.rows;
    add(
        out,
        &format!(
            "{}: lines {first} to {last}, {:.0} s",
            window.name(),
            window.length()
        ),
    );
    let head = ["", "mean", "+-", "spread", "values"].map(str::to_owned);
    let rows: Vec<[String; 5]> = std::iter::once(head)
        .chain(
            window
                .values
                .iter()
                .map(|(channel, summary)| value(*channel, summary)),
        )
        .collect();
    out.push_str(&table(&rows));
    for channel in window.dead() {
        add(
            out,
            &format!(
                " note: {} is 0 throughout while the engine runs: nothing is behind that column",
                channel.word()
            ),
        );
    }
    if window.warmth_unknown {
        add(
            out,
            " note: the log has no coolant temperature; whether the engine was warm is not known",
        );
    }
    if window.loop_unknown {
        add(
            out,
            " note: the log does not say whether fuelling was in closed loop",
        );
    }
}

fn value(channel: Channel, summary: &Summary) -> [String; 5] {
    let unit = unit(channel);
    [
        channel.word().to_owned(),
        unit.show(summary.mean),
        unit.show_step(Z95 * summary.standard_error),
        unit.show_step(summary.deviation),
        summary.count.to_string(),
    ]
}

/// The unit that the trade reads a quantity in.
pub(super) fn unit(channel: Channel) -> Unit {
    let name = match channel {
        Channel::Speed => "rpm",
        Channel::Airflow => "g/s",
        Channel::Manifold | Channel::Pressure => "kPa",
        Channel::Coolant => "C",
        Channel::Time => "s",
        Channel::Signal => "V",
        _ => "%",
    };
    Unit::parse(name).unwrap_or_else(|_| Unit::default_for(crate::units::Dimension::Ratio))
}

fn capture(out: &mut String, capture: &Capture, worked: Option<&Captured>) {
    let (first, last) = capture.rows;
    let ends = capture.points.first().zip(capture.points.last());
    let length = ends.map_or(0.0, |(first, last)| last.time - first.time);
    out.push('\n');
    let seconds = unit(Channel::Time).show(length);
    let seconds = if capture.is_timed() {
        format!(", {seconds}")
    } else {
        String::new()
    };
    add(out, &format!("lines {first} to {last}{seconds}"));
    match worked {
        Some(worked) => {
            add(out, &format!("{}:", worked.name()));
            out.push_str(&worked.text());
        }
        None if capture.look.column(Channel::Pressure).is_some() => {
            add(
                out,
                "fewer than two steps are held in it: hold each pressure for some seconds",
            );
        }
        None => add(
            out,
            "for the ripple of the manifold pressure say --cylinders and --speed",
        ),
    }
}

/// What would be filled, before it is.
pub(super) fn would_fill(filled: &Filled) -> String {
    let mut out = String::new();
    add(
        &mut out,
        &format!(
            "would be filled into job {}, {}:",
            filled.job,
            one_line(&filled.flow)
        ),
    );
    readings(&mut out, filled);
    out
}

fn filled(filled: &Filled) -> String {
    let mut out = String::new();
    let n = filled.put.filled.len();
    let what = if n == 1 { "reading" } else { "readings" };
    add(
        &mut out,
        &format!(
            "job {}, {}: {n} {what} filled",
            filled.job,
            one_line(&filled.flow)
        ),
    );
    readings(&mut out, filled);
    out
}

fn readings(out: &mut String, filled: &Filled) {
    if filled.put.filled.is_empty() && filled.put.left_out.is_empty() {
        add(
            out,
            " nothing in it is asked for now; what was read in this test stays as it is",
        );
    }
    let rows: Vec<[String; 4]> = filled
        .put
        .filled
        .iter()
        .map(|(reading, asked)| {
            let (first, last) = reading.rows;
            let later = if *asked == Asked::Later {
                "a later step offers it"
            } else {
                ""
            };
            [
                reading.reading.replace('-', " "),
                shown::answer(&reading.value),
                half_width(&reading.value, reading.half_width, (first, last)),
                later.to_owned(),
            ]
        })
        .collect();
    out.push_str(&table(&rows));
    for left in &filled.put.left_out {
        add(
            out,
            &format!(
                " not filled: {}: {}",
                left.reading.replace('-', " "),
                one_line(&left.why)
            ),
        );
    }
    for note in &filled.put.notes {
        add(out, &format!(" note: {note}"));
    }
    if filled.put.warmth_is_missing {
        add(out, " if the engine was warm, say --warm");
    }
}

fn half_width(value: &Answer, half: Option<f64>, (first, last): (u64, u64)) -> String {
    let lines = format!("lines {first} to {last}");
    match (value, half) {
        (Answer::Quantity(quantity), Some(half)) => {
            format!("+- {}, {lines}", quantity.unit().show_step(half))
        }
        _ => lines,
    }
}
