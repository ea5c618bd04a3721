//! What is wrong with a text that is no YAML, in words for somebody who never programmed.
//!
//! The YAML library knows *that* it stumbled and where it lay then, which is often a line or two
//! below the slip, and says so in the words of its own parser. Here the lines around that place are
//! looked at for the slips that people make: a tab, a forgotten colon, a bracket or quote that is
//! never closed, a line that is indented unlike its neighbours. Nothing here parses YAML.

use super::finding::{Finding, code};
use super::place::Place;

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
    let rules: [fn(&Spot) -> Option<Slip>; 10] = [
        tab,
        twice,
        quote,
        bracket,
        second_colon,
        no_colon,
        no_blank,
        indentation,
        character,
        second_document,
    ];
    let slip = rules
        .iter()
        .find_map(|rule| rule(&spot))
        .unwrap_or_else(|| unknown(&spot));
    Finding::error(
        code::NOT_YAML,
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

impl Spot<'_> {
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
}

fn tab(spot: &Spot) -> Option<Slip> {
    // A text that a tab interrupts is named by its beginning: the tab may stand in the next line.
    let next = spot.line_start + spot.line.len();
    let next = next + spot.text.get(next..)?.find('\n').map_or(0, |at| at + 1);
    let lines = [spot.line_start, next];
    let lines = lines.iter().take(if spot.says(&["tab"]) { 2 } else { 1 });
    let start = lines.copied().find_map(|start| {
        let line = spot.text.get(start..)?.split('\n').next()?;
        let indent = line.len() - line.trim_start().len();
        Some(start + line.get(..indent)?.find('\t')?)
    })?;
    Some(Slip {
        start,
        end: start + 1,
        message: "this line is indented with a tab".to_owned(),
        help: "delete it and use spaces, as many as in the lines beside it".to_owned(),
    })
}

fn twice(spot: &Spot) -> Option<Slip> {
    let (_, rest) = spot.said.split_once("duplicate mapping key")?;
    let key = rest.split('`').nth(1).unwrap_or_default();
    let end = spot.at + key.len();
    Some(Slip {
        start: spot.at,
        end,
        message: format!("the key `{key}` stands here a second time"),
        help: "each key may stand once in its set: rename this one, or delete one of the two"
            .to_owned(),
    })
}

fn quote(spot: &Spot) -> Option<Slip> {
    if spot.says(&["unclosed quote"]) {
        return Some(Slip {
            start: spot.at,
            end: spot.line_start + spot.line.len(),
            message: "this quotation mark is never closed".to_owned(),
            help: "end the text with the same mark".to_owned(),
        });
    }
    if !spot.says(&["trailing content after"]) {
        return None;
    }
    Some(Slip {
        start: spot.at,
        end: spot.line_start + spot.line.len(),
        message: "the quoted text has ended, and more follows".to_owned(),
        help: "put the whole text between two \" marks; inside it an apostrophe is free, and a \" is written \\\""
            .to_owned(),
    })
}

/// Brackets open before a byte offset, innermost last, quoted texts and comments left out.
fn open_brackets(text: &str, until: usize) -> Vec<(usize, char)> {
    let mut open = Vec::new();
    let mut quoted: Option<char> = None;
    let mut comment = false;
    let mut before = '\n';
    for (at, c) in text.char_indices().take_while(|(at, _)| *at < until) {
        match (quoted, c) {
            _ if comment => comment = c != '\n',
            (Some(mark), _) if c == mark => quoted = None,
            // Inside a word these are an apostrophe, an inch, or a number sign.
            (None, '"' | '\'') if !before.is_alphanumeric() => quoted = Some(c),
            (None, '#') if before.is_whitespace() => comment = true,
            (None, '[' | '{') => open.push((at, c)),
            (None, ']' | '}') => drop(open.pop()),
            (Some(_) | None, _) => {}
        }
        before = c;
    }
    open
}

fn bracket(spot: &Spot) -> Option<Slip> {
    let one = |start: usize, message: &str, help: &str| {
        Some(Slip {
            start,
            end: start + 1,
            message: message.to_owned(),
            help: help.to_owned(),
        })
    };
    if spot.says(&["misplaced bracket"]) {
        return one(
            spot.at,
            "this bracket closes nothing",
            "delete it, or add the one that opens; each [ wants a ] and each { wants a }",
        );
    }
    if spot.says(&["mismatched bracket"]) {
        return one(
            spot.at,
            "this bracket is closed by one of the other kind",
            "close [ with ] and { with }; the one opened last is closed first",
        );
    }
    if !spot.says(&[
        "flow mapping",
        "flow sequence",
        "only valid inside a block",
        "illegal placement",
        "unclosed bracket",
    ]) {
        return None;
    }
    let line_end = spot.line_start + spot.line.len();
    let still_open = open_brackets(spot.text, line_end);
    let (start, c) = *open_brackets(spot.text, spot.at).last()?;
    // Closed further along its line: then it is what stands inside that does not fit.
    if !still_open.contains(&(start, c)) {
        return None;
    }
    let help = if c == '[' {
        "add the ] where its list ends"
    } else {
        "add the } where its keys end"
    };
    one(start, "this bracket is never closed", help)
}

/// A text with a colon in it that is not in quotes, or a line indented below one that already has
/// its value: both read as a second value.
fn second_colon(spot: &Spot) -> Option<Slip> {
    if !spot.says(&[
        "mapping values are not allowed",
        "did not find expected ',' or '}'",
        "did not find expected ',' or ']'",
    ]) {
        return None;
    }
    let before = spot.text.get(spot.line_start..spot.at)?;
    let Some((head, _)) = before.rsplit_once(": ") else {
        return Some(spot.whole_line(
            "this line is indented more than the one above, which has its value already",
            "begin it in the same column as the line above",
        ));
    };
    let start = spot.line_start + head.len() + 2;
    let rest = spot.text.get(start..spot.line_start + spot.line.len())?;
    let value = rest
        .split([',', '}'])
        .next()
        .filter(|_| before.contains('{'))
        .unwrap_or(rest)
        .trim_end();
    Some(Slip {
        start,
        end: start + value.len(),
        message: "this text has a colon in it, so it must stand in quotes".to_owned(),
        help: format!("write {}", quoted(value)),
    })
}

/// A text in the marks that it does not hold itself.
fn quoted(value: &str) -> String {
    if value.contains('"') {
        format!("'{}'", value.replace('\'', "''"))
    } else {
        format!("\"{value}\"")
    }
}

fn no_colon(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["simple key expected"]) {
        return None;
    }
    let words = spot.line.trim().trim_start_matches("- ");
    if let Some((key, value)) = words.split_once(':')
        && !value.starts_with(' ')
        && !key.contains(' ')
    {
        return Some(spot.whole_line(
            format!("there is no blank after the colon of `{key}`"),
            format!("write {key}: {value}"),
        ));
    }
    let help = match words.split_once(' ') {
        Some((key, value)) => format!(
            "write {key}: {}; or, if it belongs to the text above, indent it more than that text's key",
            value.trim_start_matches(['=', ' '])
        ),
        None => format!("write {words}: with its value after it"),
    };
    Some(spot.whole_line("there is no colon in this line", help))
}

fn no_blank(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["may not precede any of"]) {
        return None;
    }
    Some(Slip {
        start: spot.at,
        end: spot.at + 1,
        message: "there is no blank after this colon".to_owned(),
        help: "put one blank between the colon and the value".to_owned(),
    })
}

fn indentation(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["did not find expected '-'", "did not find expected key"]) {
        return None;
    }
    let words = spot.line.trim_start();
    if let Some(rest) = words.strip_prefix('-')
        && !rest.starts_with(' ')
    {
        return Some(spot.whole_line(
            "there is no blank after the hyphen",
            format!("write - {rest}"),
        ));
    }
    let column = spot.line.len() - words.len() + 1;
    if !words.starts_with("- ")
        && let Some(line) = items_above(spot, column)
    {
        let head = words
            .split_once(": ")
            .map_or(words.trim_end(), |(key, _)| key);
        let head = head.trim_end_matches(':');
        return Some(spot.whole_line(
            format!("this line has no hyphen, and the one like it in line {line} has"),
            format!(
                "begin it with a hyphen, as - {head}: ...; or take the hyphens off its neighbours, where no list is meant"
            ),
        ));
    }
    let help = match neighbour(spot, words.starts_with("- "), column) {
        Some((wanted, line)) => format!(
            "begin it in column {wanted} (after {} spaces), as in line {line}",
            wanted - 1
        ),
        None => "lines of one set begin in the same column".to_owned(),
    };
    Some(spot.whole_line(
        "this line begins in another column than its neighbours above",
        help,
    ))
}

/// The line above in which an item of a list begins in this very column, with nothing to the left of
/// it between.
fn items_above(spot: &Spot, column: usize) -> Option<usize> {
    let above = spot.text.get(..spot.line_start)?;
    let lines: Vec<&str> = above.lines().collect();
    for (n, line) in lines.iter().enumerate().rev() {
        let words = line.trim_start();
        if words.is_empty() || words.starts_with('#') {
            continue;
        }
        let begins = line.len() - words.len() + 1;
        if begins == column && words.starts_with("- ") {
            return Some(n + 1);
        }
        if begins <= column {
            return None;
        }
    }
    None
}

/// The column nearest to this one in which a line of the same kind begins above, and that line.
fn neighbour(spot: &Spot, hyphen: bool, column: usize) -> Option<(usize, usize)> {
    let above = spot.text.get(..spot.line_start)?;
    above
        .lines()
        .enumerate()
        .filter_map(|(n, line)| {
            let words = line.trim_start();
            let begins = line.len() - words.len() + 1;
            if words.is_empty() || words.starts_with('#') {
                return None;
            }
            let item = words.strip_prefix("- ");
            match (hyphen, item) {
                (true, None) => None,
                (false, Some(_)) => Some((begins + 2, n + 1)),
                (true, Some(_)) | (false, None) => Some((begins, n + 1)),
            }
        })
        .min_by_key(|(begins, n)| {
            (
                begins.abs_diff(column),
                std::cmp::Reverse(*begins),
                std::cmp::Reverse(*n),
            )
        })
}

fn character(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["unexpected character", "reference to unknown value"]) {
        return None;
    }
    let rest = spot.text.get(spot.at..spot.line_start + spot.line.len())?;
    let hidden = rest.char_indices().find(|(_, c)| c.is_control());
    if let Some((at, c)) = hidden {
        return Some(Slip {
            start: spot.at + at,
            end: spot.at + at + c.len_utf8(),
            message: "there is an invisible character here".to_owned(),
            help: "delete the word and type it again".to_owned(),
        });
    }
    let c = rest.chars().next()?;
    let value = rest
        .split([',', '}', ']'])
        .next()
        .unwrap_or(rest)
        .trim_end();
    Some(Slip {
        start: spot.at,
        end: spot.at + value.len(),
        message: format!("a value cannot begin with {c}"),
        help: format!("put it in quotes: {}", quoted(value)),
    })
}

fn second_document(spot: &Spot) -> Option<Slip> {
    spot.says(&["multiple found"]).then(|| {
        spot.whole_line(
            "a second flow begins here, after the line with three hyphens",
            "write one flow a file: move what follows into a file of its own",
        )
    })
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
