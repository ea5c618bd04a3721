//! What is wrong with a text that is no YAML, in words for somebody who never programmed.
//!
//! The YAML library knows *that* it stumbled and where it lay then, which is often a line or two
//! below the slip, and says so in the words of its own parser. Here the lines around that place are
//! looked at for the slips that people make: a tab, a forgotten colon, a bracket or quote that is
//! never closed, a line that is indented unlike its neighbours. Nothing here parses YAML; each slip is a
//! rule of [`slips`] or [`keys`].

mod bracketed_range;
mod first;
mod first_item;
mod keys;
mod lookalikes;
mod marks;
mod one_column;
mod slips;
mod within_braces;

use super::finding::{Finding, code};
use super::place::Place;
use bracketed_range::bracketed_range;
use first::{bullet, character, sign_first};
use keys::{
    joined_by_a_word, left_over, no_braces, no_colon_before_brace, no_colon_in_the_first,
    words_at_the_top,
};
use marks::{after_bracket, comma, glued_remark, hyphen, quote_from_above, sign_within_brackets};
pub(super) use slips::quoted;
use slips::{
    bracket, indentation, no_blank, no_colon, quote, second_colon, second_document, tab, twice,
};
use within_braces::{hyphen_first, no_colon_above, no_colon_in_front, no_comma_behind};

/// What was diagnosed: from which byte to which, what it is, and what to write instead.
struct Slip {
    start: usize,
    end: usize,
    message: String,
    help: String,
}

/// The text that was stumbled over.
#[derive(Clone, Copy)]
struct Spot<'t> {
    text: &'t str,
    /// Byte offset of the place that the library names.
    at: usize,
    /// Byte offset of the beginning of its line.
    line_start: usize,
    /// The line, without its end.
    line: &'t str,
    /// The library's words.
    said: &'t str,
}

/// Words a syntax error. `line` and `column` (from 1, in characters) are where the library stood.
pub(super) fn finding(text: &str, line: usize, column: usize, said: &str) -> Finding {
    let spot = spot(text, line, column, said);
    let rules: [fn(&Spot) -> Option<Slip>; 33] = [
        tab,
        bracketed_range,
        bullet,
        sign_first,
        lookalikes::blank,
        lookalikes::behind_colon,
        twice,
        glued_remark,
        quote_from_above,
        quote,
        hyphen,
        first_item::first_item,
        one_column::one_column,
        no_colon_in_front,
        no_comma_behind,
        hyphen_first,
        no_colon_above,
        comma,
        joined_by_a_word,
        no_colon_before_brace,
        no_braces,
        bracket,
        left_over,
        no_colon_in_the_first,
        words_at_the_top,
        second_colon,
        lookalikes::colon,
        no_colon,
        no_blank,
        after_bracket,
        indentation,
        character,
        second_document,
    ];
    let hidden = sign_within_brackets(&spot);
    let code = if hidden.is_some() {
        code::HIDDEN_WORDS
    } else {
        code::NOT_YAML
    };
    let slip = hidden
        .or_else(|| rules.iter().find_map(|rule| rule(&spot)))
        .unwrap_or_else(|| unknown(&spot));
    Finding::error(
        code,
        place(text, slip.start, slip.end),
        slip.message,
        slip.help,
    )
}

/// The place of a stretch of a text, its column counted in characters.
pub(super) fn place(text: &str, start: usize, end: usize) -> Place {
    let start = floor(text, start.min(text.len()));
    let before = text.get(..start).unwrap_or_default();
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    Place {
        line: before.matches('\n').count() + 1,
        column: before
            .get(line_start..)
            .unwrap_or_default()
            .trim_start_matches('\u{feff}')
            .chars()
            .count()
            + 1,
        start,
        end: floor(text, end.clamp(start, text.len())),
    }
}

fn floor(text: &str, mut at: usize) -> usize {
    while !text.is_char_boundary(at) {
        at -= 1;
    }
    at
}

fn spot<'t>(text: &'t str, line: usize, column: usize, said: &'t str) -> Spot<'t> {
    let mut line_start = 0;
    for _ in 1..line {
        match text.get(line_start..).and_then(|rest| rest.find('\n')) {
            Some(end) => line_start += end + 1,
            None => break,
        }
    }
    let rest = text.get(line_start..).unwrap_or_default();
    let whole = rest.split('\n').next().unwrap_or_default();
    let line = whole.trim_end_matches('\r');
    let offset = line
        .char_indices()
        .nth(column.saturating_sub(1))
        .map_or(line.len(), |(at, _)| at);
    Spot {
        text,
        at: line_start + offset,
        line_start,
        line,
        said,
    }
}

impl<'t> Spot<'t> {
    /// The line from its first letter to its last.
    fn words(&self) -> (usize, usize) {
        let start = self.line_start + (self.line.len() - self.line.trim_start().len());
        (start, start + self.line.trim().len())
    }

    /// The whole line as the place of a slip.
    fn whole_line(&self, message: impl Into<String>, help: impl Into<String>) -> Slip {
        let (start, end) = self.words();
        Slip {
            start,
            end: end.max(start),
            message: message.into(),
            help: help.into(),
        }
    }

    fn says(&self, any: &[&str]) -> bool {
        any.iter().any(|words| self.said.contains(words))
    }

    /// What stands on the line before a second value where one was to be; nothing where it is another mistake.
    fn before_second_value(&self) -> Option<&'t str> {
        let says = self.says(&[
            "mapping values are not allowed",
            "did not find expected ',' or '}'",
            "did not find expected ',' or ']'",
        ]);
        says.then(|| self.text.get(self.line_start..self.at))
            .flatten()
    }
}

fn unknown(spot: &Spot) -> Slip {
    let (_, end) = spot.words();
    Slip {
        start: spot.at,
        end: end.max(spot.at),
        message: format!("this cannot be read: {}", spot.said),
        help: "look here and in the line above for a missing colon, quotation mark or bracket, \
               or a line that begins in the wrong column"
            .to_owned(),
    }
}
