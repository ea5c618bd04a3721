//! The first line of a list or of a set of keys that begins in another column than all that follow.
//!
//! The parser takes the first for the measure, and stumbles over the second, which is right. Where those below agree
//! with the second, the first is at fault.

use super::{Slip, Spot};

/// A line with words on it.
struct Line<'t> {
    /// Its number, from 1.
    number: usize,
    /// Byte offset of its beginning.
    start: usize,
    text: &'t str,
}

impl Line<'_> {
    fn words(&self) -> &str {
        self.text.trim()
    }

    /// The column in which it begins, from 1.
    fn column(&self) -> usize {
        self.text.len() - self.text.trim_start().len() + 1
    }

    fn is_item(&self) -> bool {
        self.words().starts_with("- ")
    }

    /// Whether it names what stands below it.
    fn is_heading(&self) -> bool {
        let words = self.words().split(" #").next().unwrap_or_default();
        words.trim_end().ends_with(':')
    }
}

/// A first item, or a first key, that is not in line with those below it.
pub(super) fn first_item(spot: &Spot) -> Option<Slip> {
    if !spot.says(&[
        "did not find expected '-'",
        "did not find expected key",
        "mapping values are not allowed",
        "did not find expected <document start>",
        "simple key expected",
    ]) {
        return None;
    }
    let lines = lines(spot.text);
    let here = lines
        .iter()
        .position(|line| line.start == spot.line_start)?;
    no_hyphen_on_the_first(&lines, here)
        .or_else(|| hyphen_on_the_first(&lines, here))
        .or_else(|| beside(&lines, here))
        .or_else(|| above_its_keys(&lines, here))
}

/// Headings below which keys stand, and no list.
const NO_LISTS: [&str; 6] = [
    "vehicle:",
    "gauges:",
    "readings:",
    "worked:",
    "healthy:",
    "causes:",
];

/// The first of a set of keys begins with a hyphen, and the one that was stumbled over does not.
fn hyphen_on_the_first(lines: &[Line], here: usize) -> Option<Slip> {
    let column = lines[here].column();
    if lines[here].is_item() {
        return None;
    }
    let heading = (0..here).rev().find(|n| lines[*n].column() < column)?;
    let first = &lines[heading + 1];
    let heading = lines[heading].words();
    let is_set = NO_LISTS.iter().any(|set| heading.starts_with(set));
    if !is_set || !first.is_item() || first.column() != column {
        return None;
    }
    let start = first.start + column - 1;
    let key = first.words().trim_start_matches("- ");
    Some(Slip {
        start,
        end: start + first.words().len(),
        message: format!(
            "this line begins with a hyphen, and what stands under `{}` is no list",
            heading.split(':').next().unwrap_or_default()
        ),
        help: format!("take the hyphen off, and begin in column {column} with {key}")
            .chars()
            .take(120)
            .collect(),
    })
}

/// The first item of a list has no hyphen, and the next one, which was stumbled over, begins with the same key.
fn no_hyphen_on_the_first(lines: &[Line], here: usize) -> Option<Slip> {
    let next = &lines[here];
    let column = next.column();
    let heading = (0..here).rev().find(|n| lines[*n].column() < column)?;
    let first = &lines[heading + 1];
    let key = |words: &str| words.split(':').next().map(str::to_owned);
    let same = key(first.words()) == key(next.words().trim_start_matches("- "));
    let stands_alone = heading + 1 < here && lines[heading].is_heading() && !first.is_item();
    let in_line = first.column() == column || first.column() == column + 2;
    if !next.is_item() || !same || !stands_alone || !in_line {
        return None;
    }
    let start = first.start + first.column() - 1;
    Some(Slip {
        start,
        end: start + first.words().len(),
        message: "this item begins without its hyphen".to_owned(),
        help: format!(
            "write - {}, with the hyphen in column {column}, as in line {}",
            first.words(),
            next.number
        )
        .chars()
        .take(120)
        .collect(),
    })
}

fn lines(text: &str) -> Vec<Line<'_>> {
    let mut start = 0;
    let mut all = Vec::new();
    for (n, text) in text.split('\n').enumerate() {
        let line = Line {
            number: n + 1,
            start,
            text: text.trim_end_matches('\r'),
        };
        start += text.len() + 1;
        if !line.words().is_empty() && !line.words().starts_with('#') {
            all.push(line);
        }
    }
    all
}

/// The line that was stumbled over is of one kind with the first of its set, and in line with those below.
fn beside(lines: &[Line], here: usize) -> Option<Slip> {
    let line = &lines[here];
    let (column, item) = (line.column(), line.is_item());
    let outer = (0..here).rev().find(|n| lines[*n].column() < column)?;
    // To the left of its neighbours, the first is what looks like the outer line.
    let first = if lines[outer].is_item() && item {
        outer
    } else {
        outer + 1
    };
    let heading = first.checked_sub(1)?;
    let begins = &lines[first];
    let same_kind = begins.is_item() == item && begins.column() != column;
    let is_first = lines[heading].is_heading() && lines[heading].column() < column;
    if first >= here || !same_kind || !is_first {
        return None;
    }
    let alone = if item {
        let mut between = lines[first + 1..here].iter();
        !between.any(|other| other.is_item() && other.column() == begins.column())
    } else {
        // Its own keys are not indented further than it.
        begins.is_heading() && lines[first + 1].column() == begins.column()
    };
    let mut below = lines[here + 1..]
        .iter()
        .take_while(|other| other.column() >= column);
    let agrees = below.any(|other| other.column() == column && other.is_item() == item);
    let more = first + 1 < here && lines[first + 1].column() > begins.column();
    (alone && agrees).then(|| slip(begins, column, line.number, more))
}

/// The line that was stumbled over is a key of the first item, and that item is not in line with the next.
fn above_its_keys(lines: &[Line], here: usize) -> Option<Slip> {
    let column = lines[here].column();
    let wanted = column.checked_sub(2)?;
    if lines[here].is_item() || lines[here].column() < 3 {
        return None;
    }
    let first = (0..here).rev().find(|n| lines[*n].is_item())?;
    let heading = first.checked_sub(1)?;
    let begins = &lines[first];
    let is_first = lines[heading].is_heading() && lines[heading].column() <= wanted;
    if begins.column() == wanted || !is_first {
        return None;
    }
    let mut below = lines[here + 1..]
        .iter()
        .take_while(|other| other.column() >= wanted);
    let next = below.find(|other| other.is_item() && other.column() <= column)?;
    (next.column() == wanted).then(|| slip(begins, wanted, next.number, true))
}

/// `more`: other lines belong to it.
fn slip(first: &Line, column: usize, like: usize, more: bool) -> Slip {
    let begins = first.column();
    let start = first.start + begins - 1;
    Slip {
        start,
        end: start + first.words().len(),
        message: format!(
            "this line begins in column {begins}, and those like it below begin in column {column}"
        ),
        help: format!(
            "begin it in column {column} (after {} spaces), as in line {like}{}",
            column - 1,
            if more {
                ", and move what belongs to it with it"
            } else {
                ""
            }
        ),
    }
}
