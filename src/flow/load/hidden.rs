//! Words that nobody will see: ` #3` after a value is a comment to YAML, and `Plug hose #3` becomes
//! "Plug hose" without a word of warning. Knows the text and its tree, nothing of what keys mean.

use super::super::finding::code;
use super::super::node::{Node, Tree};
use super::super::syntax;
use super::fields::Findings;

/// Keys whose values are sentences, in which a number sign may well stand.
const SENTENCES: [&str; 8] = [
    "ask", "help", "because", "do", "beware", "summary", "repair", "first",
];

/// Warns where a value is followed by a number sign that has no blank after it, or a sentence by one
/// with a single blank before it: a comment seldom looks so.
pub fn words(node: &Node, text: &str, out: &mut Findings) {
    below(node, false, text, out);
}

fn below(node: &Node, sentence: bool, text: &str, out: &mut Findings) {
    match &node.tree {
        Tree::Empty => {}
        Tree::List(items) => items
            .iter()
            .for_each(|item| below(item, sentence, text, out)),
        Tree::Map(pairs) => pairs.iter().for_each(|(key, value)| {
            let sentence = key.text().is_some_and(|key| SENTENCES.contains(&key));
            below(value, sentence, text, out);
        }),
        Tree::Text(_) => after(node, sentence, text, out),
    }
}

fn after(node: &Node, sentence: bool, text: &str, out: &mut Findings) {
    let (start, end) = (node.place.start, node.place.end);
    tag(start, text, out);
    let written = text.get(start..end).unwrap_or_default();
    let plain = !written.is_empty() && !written.starts_with(['"', '\'', '|', '>']);
    let rest = text.get(end..).and_then(|rest| rest.lines().next());
    let Some(rest) = rest.filter(|_| plain && !written.contains('\n')) else {
        return;
    };
    let blanks = rest.len() - rest.trim_start().len();
    let comment = rest.trim();
    let glued = comment
        .strip_prefix('#')
        .is_some_and(|words| words.starts_with(|c: char| c.is_alphanumeric()));
    let within = sentence && blanks == 1 && comment.len() > 1 && comment.starts_with('#');
    if (glued && blanks > 0) || within {
        out.warning(
            code::HIDDEN_WORDS,
            syntax::place(text, end + blanks, end + blanks + comment.len()),
            format!("`{comment}` is a comment: it is not shown to the technician"),
            if glued {
                "put the whole value in quotes if it belongs to it; write a blank after # if it does not"
            } else {
                "put the whole value in quotes if it belongs to it; write two blanks before # if it does not"
            },
        );
    }
}

/// Warns of `!Important: ...`: a word with an exclamation mark before it says to YAML of what type the value is, and
/// is not shown.
fn tag(start: usize, text: &str, out: &mut Findings) {
    let before = text.get(..start).unwrap_or_default();
    let line = before.rsplit('\n').next().unwrap_or_default();
    let word = line.trim_end().rsplit(' ').next().unwrap_or_default();
    if !word.starts_with('!') || line.trim_start().starts_with('#') {
        return;
    }
    let at = start - (line.len() - line.trim_end().len()) - word.len();
    out.warning(
        code::HIDDEN_WORDS,
        syntax::place(text, at, at + word.len()),
        format!("`{word}` is not shown to the technician: a value that begins with ! is something else to YAML"),
        "put the whole value in quotes",
    );
}
