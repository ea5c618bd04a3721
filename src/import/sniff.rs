//! Finding out how a file is written, from its first lines.
//!
//! Every separator is tried with every decimal mark. The pair under which the most columns hold
//! nothing but numbers, in rows of one length, is how the file is written. A file that is written
//! in a way that no pair explains is refused with its line rather than read wrongly.

use std::rc::Rc;

use super::clock::clock;
use super::dialect::{Decimal, Dialect, Separator};
use super::encoding::{Encoding, words_of};
use super::error::ImportError;
use super::header::{inside_brackets, unit};
use super::number::{self, Cell};
use super::split::{Part, Splitter};

/// Rows that are looked at.
const SAMPLE: usize = 200;
/// Names are looked for among so many first rows; what comes before them are remarks.
const HEAD_ROWS: usize = 60;
/// A column is one of numbers if so many of its cells are.
const MOSTLY: f64 = 0.9;

/// How the file is written, and what the search came by.
#[derive(Clone, Debug)]
pub(super) struct Sniffed {
    pub(super) dialect: Dialect,
    pub(super) names: Vec<String>,
    pub(super) units: Option<Vec<String>>,
    /// How many columns there are.
    pub(super) columns: usize,
    /// Where the first row of values begins, in bytes.
    pub(super) start: usize,
    /// For each column, whether its cells are clock times.
    pub(super) clocks: Vec<bool>,
}

/// A record of the sample.
struct Record {
    line: u64,
    start: usize,
    cells: Vec<String>,
}

/// One way of reading the sample.
struct Trial {
    separator: Separator,
    decimal: Decimal,
    records: Rc<[Record]>,
    columns: usize,
    /// Columns of numbers.
    numeric: usize,
    score: f64,
}

/// Finds out how a file is written. `head` is its beginning; `whole` says that it is all of it.
pub(super) fn sniff(
    head: &[u8],
    whole: bool,
    separator: Option<Separator>,
    decimal: Option<Decimal>,
) -> Result<Sniffed, ImportError> {
    let (text, byte_order_mark) = text_of(head)?;
    let skipped = head.len() - text.len();
    let mut best: Option<Trial> = None;
    let mut lines = 0;
    for candidate in Separator::ALL {
        if separator.is_some_and(|wanted| wanted != candidate) {
            continue;
        }
        let records = records(text, whole, candidate);
        lines = lines.max(records.last().map_or(0, |record| record.line));
        for mark in Decimal::ALL {
            if decimal.is_some_and(|wanted| wanted != mark) {
                continue;
            }
            let trial = trial(&records, candidate, mark);
            if let Some(trial) = trial
                && best.as_ref().is_none_or(|best| trial.score > best.score)
            {
                best = Some(trial);
            }
        }
    }
    let best = best.ok_or(ImportError::NotATable { lines })?;
    let carriage_return = text.windows(2).any(|pair| pair == b"\r\n");
    finish(&best, skipped, byte_order_mark, carriage_return)
}

/// The text after its byte order mark.
fn text_of(head: &[u8]) -> Result<(&[u8], bool), ImportError> {
    let (text, marked) = match head.strip_prefix(b"\xef\xbb\xbf") {
        Some(text) => (text, true),
        None => (head, false),
    };
    if text.iter().all(u8::is_ascii_whitespace) {
        return Err(ImportError::Empty);
    }
    if let Some(at) = text.iter().position(|byte| *byte == 0) {
        let line = 1 + super::split::lines_in(text, at);
        return Err(ImportError::NotText { line });
    }
    Ok((text, marked))
}

fn records(text: &[u8], whole: bool, separator: Separator) -> Rc<[Record]> {
    let mut splitter = Splitter::new(separator);
    let mut records = Vec::new();
    let (mut at, mut line) = (0, 1);
    while records.len() < SAMPLE {
        let blank = super::split::blank_lines(&text[at..]);
        line += super::split::lines_in(&text[at..], blank);
        at += blank;
        let Part::Record(taken) = splitter.record(&text[at..], whole) else {
            break;
        };
        let cells = splitter
            .cells()
            .map(|cell| words_of(cell).into_owned())
            .collect();
        records.push(Record {
            line,
            start: at,
            cells,
        });
        line += super::split::lines_in(&text[at..], taken);
        at += taken;
    }
    records.into()
}

fn trial(records: &Rc<[Record]>, separator: Separator, decimal: Decimal) -> Option<Trial> {
    let columns = usual_length(records)?;
    if columns < 2 {
        return None;
    }
    let first = first_values(records, columns, decimal);
    let rows: Vec<&Record> = records[first..]
        .iter()
        .filter(|record| record.cells.len() == columns)
        .collect();
    let numeric = (0..columns)
        .filter(|column| is_numeric(&rows, *column, decimal))
        .count();
    let of_one_length = rows.len() as f64 / (records.len() - first).max(1) as f64;
    // Two columns are the least from which anything follows: a time and a value.
    (numeric >= 2).then(|| Trial {
        separator,
        decimal,
        records: Rc::clone(records),
        columns,
        numeric,
        score: of_one_length * numeric as f64 / columns as f64,
    })
}

/// The number of cells that most rows have; the larger of two that are as frequent.
fn usual_length(records: &[Record]) -> Option<usize> {
    let mut counts = std::collections::BTreeMap::new();
    for record in records {
        *counts.entry(record.cells.len()).or_insert(0_usize) += 1;
    }
    counts
        .into_iter()
        .max_by_key(|(_, count)| *count)
        .map(|(length, _)| length)
}

fn says_number(cell: &str, decimal: Decimal) -> bool {
    matches!(number::read(cell.as_bytes(), decimal), Cell::Number(_))
        || clock(cell.as_bytes(), decimal).is_some()
}

fn is_numeric(rows: &[&Record], column: usize, decimal: Decimal) -> bool {
    let cells = rows.iter().map(|row| row.cells[column].trim());
    let there: Vec<&str> = cells
        .filter(|cell| !number::is_missing(cell.as_bytes()))
        .collect();
    let numbers = there
        .iter()
        .filter(|cell| says_number(cell, decimal))
        .count();
    // In a short table one cell that cannot be read is more than its share; it is named when the rows are read.
    let all_but_one = numbers >= 3 && numbers + 1 == there.len();
    !there.is_empty() && (all_but_one || numbers as f64 >= MOSTLY * there.len() as f64)
}

/// The row after the last one, near the top, that has words and no number.
fn first_values(records: &[Record], columns: usize, decimal: Decimal) -> usize {
    let looks_like_names = |record: &Record| {
        // The last of them may be left out, or a separator may stand after it.
        let close = record.cells.len() + 1 >= columns;
        let words = record
            .cells
            .iter()
            .filter(|cell| !number::is_missing(cell.trim().as_bytes()));
        let none = !record.cells.iter().any(|cell| says_number(cell, decimal));
        close && none && words.count() >= 2
    };
    records
        .iter()
        .take(HEAD_ROWS)
        .rposition(looks_like_names)
        .map_or_else(
            || first_of_length(records, columns, decimal),
            |last| last + 1,
        )
}

/// Without any names: the first row of the usual length that has a number.
fn first_of_length(records: &[Record], columns: usize, decimal: Decimal) -> usize {
    records
        .iter()
        .position(|record| {
            record.cells.len() == columns
                && record.cells.iter().any(|cell| says_number(cell, decimal))
        })
        .unwrap_or(0)
}

fn finish(
    best: &Trial,
    skipped: usize,
    byte_order_mark: bool,
    carriage_return: bool,
) -> Result<Sniffed, ImportError> {
    let first = first_values(&best.records, best.columns, best.decimal);
    let head = &best.records[..first];
    let (names, units) = match head {
        [.., names, units] if is_units(units, names) => (Some(names), Some(units)),
        [.., names] if names.cells.len() > 1 => (Some(names), None),
        _ => (None, None),
    };
    let columns = best.columns;
    if let Some(names) = names {
        let written = without_last_blank(&names.cells);
        let fits =
            written == columns || (written + 1 == columns && last_column_is_blank(best, first));
        if !fits {
            return Err(ImportError::Header {
                line: names.line,
                names: written,
                cells: columns,
            });
        }
    }
    let Some(begin) = best.records.get(first) else {
        let lines = best.records.last().map_or(0, |record| record.line);
        return Err(ImportError::NotATable { lines });
    };
    let rows: Vec<&Record> = best.records[first..]
        .iter()
        .filter(|record| record.cells.len() == best.columns)
        .collect();
    let clocks = (0..columns)
        .map(|column| rows.iter().any(|row| is_clock(row, column, best.decimal)))
        .collect();
    Ok(Sniffed {
        dialect: Dialect {
            separator: best.separator,
            decimal: best.decimal,
            // The source knows better.
            encoding: Encoding::Utf8,
            byte_order_mark,
            carriage_return,
            names_line: names.map(|record| record.line),
            units_line: units.map(|record| record.line),
            first_line: begin.line,
            why: why(best, rows.len()),
        },
        names: names.map(|record| record.cells.clone()).unwrap_or_default(),
        units: units.map(|record| record.cells.clone()),
        columns,
        start: skipped + begin.start,
        clocks,
    })
}

fn is_clock(row: &Record, column: usize, decimal: Decimal) -> bool {
    row.cells
        .get(column)
        .is_some_and(|cell| clock(cell.as_bytes(), decimal).is_some())
}

fn without_last_blank(cells: &[String]) -> usize {
    match cells {
        [rest @ .., last] if last.trim().is_empty() => rest.len(),
        all => all.len(),
    }
}

fn last_column_is_blank(trial: &Trial, first: usize) -> bool {
    trial.records[first..]
        .iter()
        .filter_map(|record| record.cells.get(trial.columns - 1))
        .all(|cell| cell.trim().is_empty())
}

/// Whether a row below the names holds units: each cell a unit or nothing, one at least known, or
/// most of them in brackets.
fn is_units(row: &Record, names: &Record) -> bool {
    if names.cells.len() < 2 {
        return false;
    }
    let cells: Vec<&str> = row.cells.iter().map(|cell| cell.trim()).collect();
    let said = cells
        .iter()
        .filter(|cell| !number::is_missing(cell.as_bytes()))
        .count();
    let known = cells
        .iter()
        .filter(|cell| unit(inside_brackets(cell).unwrap_or(cell)).is_some())
        .count();
    let in_brackets = cells
        .iter()
        .filter(|cell| inside_brackets(cell).is_some())
        .count();
    known >= 1 && (known * 2 >= said || in_brackets == said)
}

/// What speaks for this way of reading, in a sentence.
fn why(best: &Trial, rows: usize) -> String {
    let separator = best.separator.word();
    let lead = format!(
        "with a {separator} between cells, {rows} of the first rows have {} cells and {} columns \
         hold numbers",
        best.columns, best.numeric
    );
    let decimals = best
        .records
        .iter()
        .flat_map(|record| &record.cells)
        .filter(|cell| cell.contains(char::from(best.decimal.byte())))
        .find(|cell| says_number(cell, best.decimal));
    match decimals {
        Some(cell) => format!("{lead}, such as {}", cell.trim()),
        None => format!("{lead}, none with decimals so far"),
    }
}
