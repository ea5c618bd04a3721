//! A line that begins one column beside where it should.
//!
//! The parser stumbles over it, or over what comes below, in words about brackets, texts or values. That it is the
//! column is told by trying: with this one line moved by one column, to where more lines begin, the whole text reads.

use super::marks::is_key;
use super::{Slip, Spot};
use crate::flow::load::keys;
use crate::flow::node::reads;

/// So many lines above the one that was stumbled over are looked at.
const ABOVE: usize = 3;
/// And so many from there on: a text that goes on in the next line is named by its beginning.
const FROM_HERE: usize = 2;

/// A line with words on it.
struct Line<'t> {
    /// Its number, from 1.
    number: usize,
    start: usize,
    text: &'t str,
}

impl Line<'_> {
    /// The column in which it begins, from 1.
    fn column(&self) -> usize {
        self.text.len() - self.text.trim_start().len() + 1
    }

    /// What begins here: an item of a list, a key within a part, a part of the flow; or none of them, such as an id.
    fn kind(&self) -> [bool; 3] {
        let words = self.text.trim_start();
        let key = words.split(':').next().unwrap_or_default();
        let of_flow = keys::FLOW.names().contains(&key);
        [words.starts_with("- "), is_key(key), of_flow]
    }

    fn is_words(&self) -> bool {
        let words = self.text.trim();
        !words.is_empty() && !words.starts_with('#') && !words.starts_with('\u{feff}')
    }
}

pub(super) fn one_column(spot: &Spot) -> Option<Slip> {
    let lines = lines(spot.text);
    let here = lines
        .iter()
        .position(|line| line.start >= spot.line_start)
        .unwrap_or(lines.len());
    let near = here.saturating_sub(ABOVE)..(here + FROM_HERE).min(lines.len());
    let begin = |column: usize| lines.iter().filter(|line| line.column() == column).count();
    let like = |n: usize, to: usize| {
        let mut above = lines[..n].iter().rev();
        let beside = above.find(|line| line.column() == to);
        beside.is_some_and(|beside| beside.kind() == lines[n].kind())
    };
    let mut tries: Vec<(bool, usize, &Line, usize)> = near
        .flat_map(|n| [lines[n].column() - 1, lines[n].column() + 1].map(|to| (n, to)))
        .filter(|(n, to)| begin(*to) > begin(lines[*n].column()))
        .map(|(n, to)| (like(n, to), n.abs_diff(here), &lines[n], to))
        .collect();
    // First where its like stands above, then where most lines begin; among those the line nearest to the place.
    tries.sort_by_key(|(like, away, _, to)| (!*like, std::cmp::Reverse(begin(*to)), *away));
    let (_, _, line, to) = tries
        .into_iter()
        .find(|(.., line, to)| reads(&moved(spot.text, line, *to)))?;
    // Behind its hyphen an item begins where the keys below it do.
    let begins = |other: &Line| match (other.kind()[0], line.kind()[0]) {
        (true, false) => other.column() + 2,
        _ => other.column(),
    };
    let above = |other: &&Line| begins(other) == to && other.start < line.start;
    let beside = lines.iter().rev().find(above).map(|other| other.number);
    Some(slip(line, to, beside))
}

fn lines(text: &str) -> Vec<Line<'_>> {
    let mut start = 0;
    let mut all = Vec::new();
    for (n, text) in text.split_inclusive('\n').enumerate() {
        let line = Line {
            number: n + 1,
            start,
            text: text.trim_end(),
        };
        start += text.len();
        if line.is_words() {
            all.push(line);
        }
    }
    all
}

/// The text with a line moved to a column.
fn moved(text: &str, line: &Line, to: usize) -> String {
    let begins = line.start + line.column() - 1;
    let (before, after) = (text.get(..line.start), text.get(begins..));
    let blanks = " ".repeat(to.saturating_sub(1));
    format!(
        "{}{blanks}{}",
        before.unwrap_or_default(),
        after.unwrap_or_default()
    )
}

fn slip(line: &Line, to: usize, beside: Option<usize>) -> Slip {
    let column = line.column();
    let start = line.start + column - 1;
    let side = if to < column { "right" } else { "left" };
    let after = match to {
        1 => "without a blank before it".to_owned(),
        _ => format!("after {} spaces", to - 1),
    };
    let beside = beside.map(|line| format!(", as in line {line}"));
    let help = format!(
        "begin it in column {to} ({after}){}",
        beside.unwrap_or_default()
    );
    Slip {
        start,
        end: line.start + line.text.len(),
        message: format!("this line begins one column too far to the {side}"),
        help,
    }
}
