//! Loading where a step leads: to a step, a repair, another flow, or the end.

use super::super::finding::code;
use super::super::model::Detour;
use super::super::node::{Node, Place, Tree};
use super::super::shelf::shipped_texts;
use super::super::target::Target;
use super::causes::NOT_LISTED;
use super::fields::{Fields, Findings, text_of};
use super::ids::{as_written, check_id};
use super::keys;
use super::steps::Known;

/// What is done where readings do not count, or nothing can be told.
pub(super) fn detour(node: &Node, known: &Known, out: &mut Findings) -> Option<Detour> {
    let fields = Fields::of(node, &keys::WAY_OUT, out)?;
    let because = fields.need_text("because", out);
    let go = fields.need("go", out).and_then(|n| target(n, known, out));
    Some(Detour {
        because: because?,
        go: go?,
        place: node.place,
    })
}

/// Where it goes on.
pub(super) fn target(node: &Node, known: &Known, out: &mut Findings) -> Option<Target> {
    match &node.tree {
        Tree::Text(word) if word == "done" => Some(Target::Done),
        Tree::Text(id) => {
            if known.step_ids.contains(id) {
                return Some(Target::Step(id.clone()));
            }
            unknown_step(node.place, id, known, out);
            None
        }
        Tree::Map(pairs) if pairs.len() == 1 => {
            let (key, value) = &pairs[0];
            if value.tree == Tree::Empty
                && let Some((kind @ ("repair" | "flow"), id)) =
                    key.text().and_then(|word| word.split_once([' ', '=', ':']))
            {
                out.error(
                    code::UNKNOWN_KEY,
                    key.place,
                    format!("there is no colon after `{kind}`"),
                    format!(
                        "write {{{kind}: {}}}",
                        id.trim_start_matches([' ', '=', ':'])
                    ),
                );
                return None;
            }
            if let (Tree::List(_), Some(kind @ ("repair" | "flow"))) = (&value.tree, key.text()) {
                let one = if kind == "repair" {
                    "cause is repaired"
                } else {
                    "flow is taken"
                };
                out.error(
                    code::WRONG_SHAPE,
                    value.place,
                    format!("one {one} at a time, and here is a list"),
                    format!("write {{{kind}: its-id}} with the likeliest; the test after it leads to the next"),
                );
                return None;
            }
            let id = text_of(value, "go", out)?;
            match key.text().unwrap_or_default() {
                "repair" => known_cause(&known.causes, id, value.place, out).map(Target::Repair),
                "flow" => {
                    check_id(&id, value.place, out);
                    Some(Target::Flow(id))
                }
                "step" => {
                    out.error(
                        code::UNKNOWN_KEY,
                        key.place,
                        "a step stands without braces",
                        format!("write go: {}", value.text().unwrap_or("its-id")),
                    );
                    None
                }
                other => {
                    out.unknown(
                        code::UNKNOWN_KEY,
                        key.place,
                        "way to go",
                        other,
                        ["repair", "flow"],
                    );
                    None
                }
            }
        }
        _ => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!(
                    "`go` wants one place to lead to, but here is {}",
                    node.kind()
                ),
                "write a step's id, `done`, {repair: a-cause} or {flow: another-flow}",
            );
            None
        }
    }
}

/// Where a skip leads: a step that is not done names no cause and ends no flow.
pub(super) fn skip_to(
    node: &Node,
    step: &str,
    known: &Known,
    out: &mut Findings,
) -> Option<Target> {
    let go = target(node, known, out)?;
    let wrong = match &go {
        Target::Step(id) if id == step => "a skip that leads to the step itself skips nothing",
        Target::Step(_) | Target::Flow(_) => return Some(go),
        Target::Repair(_) => "a step that is skipped can name no cause to repair",
        Target::Done => "a step that is skipped cannot end the flow",
    };
    out.error(
        code::WRONG_SHAPE,
        node.place,
        wrong,
        "write the id of the step that can be done without this one, or {flow: another-flow}",
    );
    None
}

/// Words that people write for the end of a flow.
const ENDS: [&str; 8] = [
    "end", "finish", "finished", "stop", "exit", "ready", "ok", "complete",
];

/// A `go` that names no step: most often a repair or a flow without its braces.
fn unknown_step(place: Place, word: &str, known: &Known, out: &mut Findings) {
    let parts = word.split_once([' ', ':']);
    if let Some((kind @ ("repair" | "flow"), id)) = parts {
        let id = id.trim_start_matches([' ', ':']);
        out.error(
            code::UNKNOWN_STEP,
            place,
            format!("there is no step `{word}`"),
            format!("write {{{kind}: {id}}}"),
        );
    } else if let Some((title, id)) = titled(word, &known.titles) {
        out.error(
            code::UNKNOWN_STEP,
            place,
            format!("`{title}` is the title of a step, and `go` wants its id"),
            format!("write {id}"),
        );
    } else if let ("repair", Some(cause)) = (word, known.causes.first()) {
        out.error(
            code::UNKNOWN_STEP,
            place,
            "this does not say which cause is repaired",
            format!("write the cause in braces, such as {{repair: {cause}}}"),
        );
    } else if word == "flow" {
        out.error(
            code::UNKNOWN_STEP,
            place,
            "this does not say which flow it leads on to",
            "write the flow in braces, such as {flow: intake-leak}",
        );
    } else if known.causes.iter().any(|cause| cause == word) {
        out.error(
            code::UNKNOWN_STEP,
            place,
            format!("`{word}` is a cause, not a step"),
            format!("write {{repair: {word}}}"),
        );
    } else if ENDS.contains(&word.to_lowercase().as_str()) {
        out.error(
            code::UNKNOWN_STEP,
            place,
            format!("there is no step `{word}`"),
            "for the end of the flow write `done`",
        );
    } else {
        let all: Vec<&str> = as_written(&known.step_ids)
            .filter(|id| *id != "done")
            .chain(["done"])
            .collect();
        out.unknown(code::UNKNOWN_STEP, place, "step", word, all);
        let is_flow = || shipped_texts().any(|(file, _)| file.strip_suffix(".yaml") == Some(word));
        if let Some(finding) = out.0.last_mut().filter(|_| is_flow()) {
            finding.help = format!("it is another flow: write {{flow: {word}}}");
        }
    }
}

/// The step whose title is written where its id belongs, in whichever letters.
pub(super) fn titled<'t>(
    word: &str,
    titles: &'t [(String, String)],
) -> Option<&'t (String, String)> {
    let plain = |text: &str| text.trim().to_lowercase();
    titles.iter().find(|(title, _)| plain(title) == plain(word))
}

/// A cause by its id.
pub(super) fn known_cause(
    causes: &[String],
    id: String,
    place: Place,
    out: &mut Findings,
) -> Option<String> {
    if id == NOT_LISTED {
        out.error(
            code::UNKNOWN_CAUSE,
            place,
            "`not-listed` stands for whatever is not listed: it can neither be repaired nor ruled out",
            "name a cause of the list; where none fits, write go: done, or lead on with {flow: another-flow}",
        );
        return None;
    }
    if causes.contains(&id) {
        return Some(id);
    }
    let known = as_written(causes);
    out.unknown(code::UNKNOWN_CAUSE, place, "cause", &id, known);
    None
}
