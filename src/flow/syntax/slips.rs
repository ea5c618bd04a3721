//! The slips that people make, one rule each: from the spot that was stumbled over to what it is,
//! where it is honestly told, or nothing.

use super::marks::is_key;
use super::{Slip, Spot};

pub(super) fn tab(spot: &Spot) -> Option<Slip> {
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

pub(super) fn twice(spot: &Spot) -> Option<Slip> {
    let (_, rest) = spot.said.split_once("duplicate mapping key")?;
    let key = rest.split('`').nth(1).unwrap_or_default();
    let end = spot.at + key.len();
    // A second id in lines of their own begins the next step, whose hyphen was forgotten.
    let words = spot.line.trim();
    if key == "id" && words.starts_with("id:") {
        return Some(spot.whole_line(
            "a second `id` begins here, and its hyphen is missing",
            format!("begin it two columns further left with a hyphen and a blank: - {words}"),
        ));
    }
    Some(Slip {
        start: spot.at,
        end,
        message: format!("the key `{key}` stands here a second time"),
        help: if key == "when" {
            "put both into one: {...} with a comma between its conditions where both must hold, any: [{...}, {...}] for \
             either of them"
        } else {
            "each key may stand once in its set: rename this one, or delete one of the two"
        }
        .to_owned(),
    })
}

pub(super) fn quote(spot: &Spot) -> Option<Slip> {
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
pub(super) fn open_brackets(text: &str, until: usize) -> Vec<(usize, char)> {
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

pub(super) fn bracket(spot: &Spot) -> Option<Slip> {
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
pub(super) fn second_colon(spot: &Spot) -> Option<Slip> {
    let before = spot.before_second_value()?;
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
    let help = match key_within(value) {
        Some((text, key, _)) if !before.contains('{') && text.ends_with(',') => {
            let column =
                spot.line.len() - spot.line.trim_start().trim_start_matches("- ").len() + 1;
            format!(
                "if `{key}` is a key of its own, begin a new line with it in column {column}; if not, put the whole text in quotes"
            )
        }
        Some((text, key, rest)) if before.contains('{') => {
            format!(
                "if `{key}` is a key of its own, put a comma before it: {text}, {key}: {rest}; if not, write {}",
                quoted(value)
            )
        }
        _ => format!("write {}", quoted(value)),
    };
    Some(Slip {
        start,
        end: start + value.len(),
        message: "this text has a colon in it, so it must stand in quotes".to_owned(),
        help,
    })
}

/// `It leaks go: hold`: the text, the key that stands in it and what follows, where the word before the colon is a
/// key.
fn key_within(value: &str) -> Option<(&str, &str, &str)> {
    let (before, rest) = value.split_once(": ")?;
    let (text, key) = before.rsplit_once(' ')?;
    is_key(key).then_some((text, key, rest))
}

/// A text in the marks that it does not hold itself.
pub(in crate::flow) fn quoted(value: &str) -> String {
    if value.contains('"') {
        format!("'{}'", value.replace('\'', "''"))
    } else {
        format!("\"{value}\"")
    }
}

/// So many words in a line are more than an id, its value and its unit.
const SENTENCE: usize = 4;

pub(super) fn no_colon(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["simple key expected"]) {
        return None;
    }
    if let Some(slip) = no_hyphen(spot) {
        return Some(slip);
    }
    let words = spot.line.trim().trim_start_matches("- ");
    if let Some(remark) = ["//", "--", "/*", ";"]
        .iter()
        .find_map(|sign| words.strip_prefix(sign))
    {
        let remark = remark.trim_end_matches("*/").trim();
        return Some(spot.whole_line(
            "there is no colon in this line, and a remark begins with a number sign",
            format!("for a remark write # {remark}"),
        ));
    }
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
        Some((key, _)) if !is_key(key.trim_end_matches([';', ',', '.', '='])) && words.split(' ').count() >= SENTENCE => {
            "if it belongs to the text above, indent it more than that text's key; if not, it wants a key and a colon".to_owned()
        }
        Some((key, value)) => format!(
            "write {}: {}; or, if it belongs to the text above, indent it more than that text's key",
            key.trim_end_matches([';', ',', '.', '=']),
            value.trim_start_matches(['=', ' '])
        ),
        None => format!("write {words}: with its value after it"),
    };
    Some(spot.whole_line("there is no colon in this line", help))
}

/// A word among the items of a list, in their column and without their hyphen.
fn no_hyphen(spot: &Spot) -> Option<Slip> {
    let words = spot.line.trim();
    let column = spot.line.len() - spot.line.trim_start().len() + 1;
    let line = items_above(spot, column)?;
    let above = spot.text.lines().nth(line - 1)?;
    let is_word = |text: &str| !text.contains([':', '{', '[']);
    let bare = !words.starts_with('-') && is_word(words) && is_word(above);
    bare.then(|| {
        spot.whole_line(
            format!("this line has no hyphen, and the one like it in line {line} has"),
            format!("write - {words}"),
        )
    })
}

pub(super) fn no_blank(spot: &Spot) -> Option<Slip> {
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

pub(super) fn indentation(spot: &Spot) -> Option<Slip> {
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
    if words.starts_with("- ")
        && neighbour(spot, true, column).is_none_or(|(wanted, _)| wanted > column + 4)
    {
        let key = if words.starts_with("- id:") {
            "steps"
        } else {
            "outcomes"
        };
        return Some(spot.whole_line(
            "a list begins here, and no line above says of what",
            format!("write a line above it that names the list, such as {key}:"),
        ));
    }
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
pub(super) fn neighbour(spot: &Spot, hyphen: bool, column: usize) -> Option<(usize, usize)> {
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

pub(super) fn second_document(spot: &Spot) -> Option<Slip> {
    spot.says(&["multiple found"]).then(|| {
        spot.whole_line(
            "a second flow begins here, after the line with three hyphens",
            "write one flow a file: move what follows into a file of its own",
        )
    })
}
