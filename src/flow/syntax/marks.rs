//! Slips in the marks that hold a text together: a hyphen, a comma or a quotation mark that is missing.

use super::slips::{open_brackets, quoted};
use super::{Slip, Spot};
use crate::flow::load::keys;

/// An item in braces whose hyphen was forgotten, or stands without its blank. The library stumbles
/// over it, or over the sound line below.
pub(super) fn hyphen(spot: &Spot) -> Option<Slip> {
    let words = spot.line.trim();
    if words.starts_with("-{") || words.starts_with("-[") {
        return Some(spot.whole_line(
            "there is no blank after the hyphen",
            "write a blank between the hyphen and the bracket",
        ));
    }
    let lines = lines(spot.text);
    let here = lines
        .iter()
        .position(|(start, _)| *start == spot.line_start)?;
    let is_words = |n: &usize| {
        let line = lines[*n].1.trim();
        !line.is_empty() && !line.starts_with('#')
    };
    let above = (0..here).rev().find(is_words);
    let below = (here + 1..lines.len()).find(is_words);
    let bare = |n: usize| lines[n].1.trim_start().starts_with('{');
    let item = |n: usize| lines[n].1.trim_start().starts_with("- {");
    // Bare itself with an item beside it, or the sound item below a bare one.
    let (bad, like) = if bare(here) {
        (
            here,
            [above, below].into_iter().flatten().find(|n| item(*n))?,
        )
    } else {
        (above.filter(|n| bare(*n) && item(here))?, here)
    };
    let (start, line) = lines[bad];
    let indent = line.len() - line.trim_start().len();
    let (_, neighbour) = lines[like];
    let column = neighbour.len() - neighbour.trim_start().len() + 1;
    Some(Slip {
        start: start + indent,
        end: start + line.trim_end().len(),
        message: format!(
            "this line has no hyphen, and the one like it in line {} has",
            like + 1
        ),
        help: format!("begin it in column {column} with a hyphen and a blank: - {{..."),
    })
}

/// Each line with the byte offset at which it begins.
fn lines(text: &str) -> Vec<(usize, &str)> {
    let mut start = 0;
    text.split('\n')
        .map(|line| {
            let begins = start;
            start += line.len() + 1;
            (begins, line.trim_end_matches('\r'))
        })
        .collect()
}

/// Keys whose values are sentences, in which any word may stand before a colon.
const SENTENCES: [&str; 10] = [
    "ask", "help", "because", "do", "beware", "summary", "title", "name", "repair", "first",
];

/// Two keys in one set of braces with no comma between: `unit: kPa plausible: 5..100 kPa`.
pub(super) fn comma(spot: &Spot) -> Option<Slip> {
    let before = spot.before_second_value()?;
    let (head, last) = before.rsplit_once(": ")?;
    let key = head.rsplit(['{', ',', '[']).next()?.trim();
    if !before.contains('{') || SENTENCES.contains(&key) {
        return None;
    }
    let words: Vec<&str> = last.split_whitespace().collect();
    let next = (1..=2).rev().find_map(|n| {
        let from = words.len().checked_sub(n).filter(|from| *from > 0)?;
        let next = words[from..].join(" ");
        is_key(&next).then_some((from, next))
    });
    let (from, next) = next?;
    let value = words[..from].join(" ");
    let value = value.trim_end_matches(';');
    let start = spot.line_start + head.len() + 2;
    if let Some(missing) = unclosed(head, value, &next) {
        return Some(Slip {
            start,
            end: spot.at,
            message: format!("the braces of `{key}: {value}` are not closed, and `{next}` follows"),
            help: format!("write {key}: {value}{missing}, {next}: ..."),
        });
    }
    Some(Slip {
        start,
        end: spot.at,
        message: format!("there is no comma between `{key}: {value}` and `{next}`"),
        help: format!("write {key}: {value}, {next}: ..."),
    })
}

/// The brackets that are still open in front of a key of an outcome and must not be: `when` holds conditions, and
/// its braces are to be closed before `because`, `go` and the like.
fn unclosed(head: &str, value: &str, next: &str) -> Option<String> {
    let outside = keys::OUTCOME.names().contains(&next) && head.contains("when: {");
    let before = format!("{head}: {value}");
    let when = before.find("when: {").filter(|_| outside)? + "when: ".len();
    let mut open = Vec::new();
    for c in before.get(when..)?.chars() {
        match c {
            '{' => open.push('}'),
            '[' => open.push(']'),
            '}' | ']' => drop(open.pop()),
            _ => {}
        }
    }
    (!open.is_empty()).then(|| open.into_iter().rev().collect())
}

/// A list or a set of keys that is a whole value, and more behind its bracket in the same line.
pub(super) fn after_bracket(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["did not find expected '-'", "did not find expected key"]) {
        return None;
    }
    if is_whole_item(spot.line) {
        return None; // Nothing is wrong with the line but its column.
    }
    if let Some(slip) = after_item(spot).or_else(|| one_bracket_too_many(spot)) {
        return Some(slip);
    }
    let value = spot.line.find(": [").or_else(|| spot.line.find(": {"))? + 2;
    let closed = closed_at(spot.line.get(value..)?)?;
    let behind = spot.line.get(value + closed..)?;
    let rest = behind.trim();
    if rest.is_empty() || rest.starts_with('#') {
        return None;
    }
    let key = spot.line.get(..value - 2)?.trim();
    let bracket = spot.line.get(..value + closed)?.chars().next_back()?;
    if SENTENCES.contains(&key.trim_start_matches("- ")) {
        let text = spot.line.get(value..)?.trim();
        return Some(Slip {
            start: spot.line_start + value,
            end: spot.line_start + value + text.len(),
            message: format!("a text cannot begin with {}", &text[..1]),
            help: format!("put the whole text in quotes: {}", quoted(text)),
        });
    }
    let help = match rest.strip_prefix(',').map(str::trim_start) {
        Some(next) if !next.is_empty() => {
            format!("begin a new line with {next}, in the same column as {key}")
                .chars()
                .take(LONGEST_HELP)
                .collect()
        }
        _ => format!("delete `{rest}`, or put it in front of the {bracket}"),
    };
    let start = spot.line_start + value + closed + (behind.len() - behind.trim_start().len());
    Some(Slip {
        start,
        end: start + rest.len(),
        message: format!("the value of `{key}` ends with its {bracket}, and more follows"),
        help,
    })
}

/// Whether a line is one item in brackets and nothing else.
fn is_whole_item(line: &str) -> bool {
    let item = line.trim_start().strip_prefix("- ").map(str::trim);
    let item = item.filter(|item| item.starts_with(['{', '[']));
    item.is_some_and(|item| {
        let rest = closed_at(item).and_then(|closed| item.get(closed..));
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(" #"))
    })
}

/// `- {id: tight, when: {kept: {below: 95 %}}}, because: ...}`: a bracket within closes the whole item, and its
/// next key follows.
fn one_bracket_too_many(spot: &Spot) -> Option<Slip> {
    let words = spot.line.trim_start();
    let item = words.strip_prefix("- {").map(|_| &words[2..])?;
    let closed = closed_at(item)?;
    let next = item.get(closed..)?.strip_prefix(',')?.trim_start();
    let (key, _) = next.split_once(':')?;
    let end = spot.line_start + spot.line.len() - item.len() + closed;
    (is_key(key) && next.trim_end().ends_with('}')).then(|| Slip {
        start: end - 1,
        end,
        message: format!(
            "this }} closes the braces that the line begins with, and `{key}` follows"
        ),
        help: "delete it: there is one } too many here".to_owned(),
    })
}

/// A second item in the line of the first: `- {...}, {...}`.
fn after_item(spot: &Spot) -> Option<Slip> {
    let words = spot.line.trim_start();
    let item = words
        .strip_prefix("- ")
        .filter(|item| item.starts_with(['{', '[']))?;
    let closed = closed_at(item)?;
    let next = item.get(closed..)?.trim_start().strip_prefix(',')?.trim();
    let start = spot.line_start + spot.line.len() - item.len() + closed;
    let column = spot.line.len() - words.len() + 1;
    next.starts_with(['{', '[']).then(|| Slip {
        start,
        end: spot.line_start + spot.line.trim_end().len(),
        message: "an item of a list ends with its bracket, and more follows in its line".to_owned(),
        help: format!("begin a new line in column {column} with - {next}")
            .chars()
            .take(LONGEST_HELP)
            .collect(),
    })
}

/// A help line that shows what is to be written is cut off behind so many letters.
const LONGEST_HELP: usize = 120;

/// Where the bracket that a text begins with is closed: behind which byte.
fn closed_at(text: &str) -> Option<usize> {
    let mut depth = 0_usize;
    let mut quoted: Option<char> = None;
    for (at, c) in text.char_indices() {
        match (quoted, c) {
            (Some(mark), _) if c == mark => quoted = None,
            (None, '"') => quoted = Some(c),
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => {
                depth = depth.checked_sub(1)?;
                if depth == 0 {
                    return Some(at + c.len_utf8());
                }
            }
            (Some(_) | None, _) => {}
        }
    }
    None
}

pub(super) fn is_key(word: &str) -> bool {
    [
        &keys::READING,
        &keys::STEP,
        &keys::OUTCOME,
        &keys::GAUGE,
        &keys::CAUSE,
    ]
    .iter()
    .any(|table| table.names().contains(&word))
}

/// A remark whose number sign stands right behind a quotation mark or bracket: `"yes"# proved`.
pub(super) fn glued_remark(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["comments must be separated"]) {
        return None;
    }
    let at = spot.at - spot.line_start;
    let sign = spot
        .line
        .get(at..)
        .and_then(|rest| rest.find('#'))
        .map_or_else(|| spot.line.find('#'), |found| Some(at + found))?;
    let remark = spot.line.get(sign..)?.trim_end();
    Some(Slip {
        start: spot.line_start + sign,
        end: spot.line_start + sign + remark.len(),
        message: "there is no blank before this number sign, so that no remark begins here"
            .to_owned(),
        help: format!("put a blank before it: {remark}, or delete it")
            .chars()
            .take(LONGEST_HELP)
            .collect(),
    })
}

/// A number sign in a text within brackets: what stands behind it is a remark, and with it the bracket that closes them.
pub(super) fn sign_within_brackets(spot: &Spot) -> Option<Slip> {
    let (open, _) = *open_brackets(spot.text, spot.at).last()?;
    let line = spot.text.get(open..)?.split('\n').next()?.trim_end();
    let sign = line.find(" #")? + 1;
    let (before, remark) = line.split_at(sign);
    // Only a remark that has the missing bracket is one by mistake.
    let quotes = before.matches('"').count() % 2 == 1;
    let closes = remark.contains(['}', ']']) && closed_at(line.get(..sign)?).is_none();
    if quotes || !closes || closed_at(&line.replacen(" #", " ", 1)).is_none() {
        return None;
    }
    let (key, value) = before.rsplit_once(": ")?;
    let key = key.rsplit(['{', ',', '[']).next()?.trim();
    let rest = remark.split([',', '}', ']']).next()?.trim_end();
    Some(Slip {
        start: open + sign,
        end: open + line.len(),
        message: format!("`{remark}` is a remark: nothing of it is read, nor the bracket in it"),
        help: format!(
            "if it belongs to the text, put the whole text in quotes: {key}: {}",
            quoted(&format!("{value}{rest}"))
        ),
    })
}

/// A quotation mark that is not closed in its own text, so that the next one, lines below, closes it.
pub(super) fn quote_from_above(spot: &Spot) -> Option<Slip> {
    let (open, close) = quoted_before(spot.text, spot.at)?;
    let inside = spot.text.get(open..close)?;
    // A long text may run over lines, and then none of them looks like a key with its value.
    let mut below = inside.lines().skip(1);
    if !below.any(looks_like_key) {
        return None;
    }
    let at = |offset: usize| {
        spot.text
            .get(..offset)
            .map_or(0, |t| t.matches('\n').count() + 1)
    };
    let end = open + inside.lines().next().map_or(1, str::len);
    Some(Slip {
        start: open,
        end,
        message: format!(
            "the quotation mark that opens here is closed only by the next one, in line {}",
            at(close)
        ),
        help: "end this text with the same mark".to_owned(),
    })
}

fn looks_like_key(line: &str) -> bool {
    let words = line.trim_start().trim_start_matches("- ");
    words.split_once(':').is_some_and(|(key, rest)| {
        !key.is_empty()
            && (rest.is_empty() || rest.starts_with(' '))
            && key
                .chars()
                .all(|c| c.is_ascii_lowercase() || matches!(c, '-' | ' ' | '0'..='9'))
    })
}

/// The last quoted text that ends before a place: where its marks stand.
fn quoted_before(text: &str, until: usize) -> Option<(usize, usize)> {
    let mut open: Option<(usize, char)> = None;
    let mut last = None;
    let mut comment = false;
    let mut before = '\n';
    for (at, c) in text.char_indices().take_while(|(at, _)| *at <= until) {
        match (open, c) {
            _ if comment => comment = c != '\n',
            (Some((start, mark)), _) if c == mark && before != '\\' => {
                last = Some((start, at));
                open = None;
            }
            // Only what begins a value opens a quoted text.
            (None, '"' | '\'') if matches!(before, ' ' | '\n' | '[' | '{' | ',' | '\t') => {
                open = Some((at, c));
            }
            (None, '#') if before.is_whitespace() => comment = true,
            _ => {}
        }
        before = c;
    }
    last
}
