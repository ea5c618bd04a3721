//! Loading steps and their outcomes.

use super::super::condition::Condition;
use super::super::finding::code;
use super::super::model::{Outcome, Phase, SetUp, Step};
use super::super::node::{Node, Tree};
use super::super::target::Target;
use super::conditions::{condition, is_meant_as_always};
use super::fields::{Fields, Findings, text_of, words_of};
use super::ids::{as_written, check_id, with_those_meant};
use super::keys;
use super::near::nearest;
use super::never::that_can_hold;
use super::prompts::yes;
use super::ruled_out;
use super::scope::Scope;
use super::timer::{timer, timer_by_hand};
use super::ways::{detour, skip_to, target};

/// What steps may refer to.
pub struct Known<'f> {
    /// Ids with their meanings.
    pub scope: &'f Scope,
    /// Ids of all steps.
    pub step_ids: Vec<String>,
    /// Titles of the steps that have one, each with the id of its step.
    pub titles: Vec<(String, String)>,
    /// Ids of the facts about the vehicle.
    pub facts: Vec<String>,
    /// Ids of all readings, loaded or not: what is declared with a mistake is not unknown.
    pub readings: Vec<String>,
    /// Ids of all worked values, loaded or not.
    pub worked: Vec<String>,
    /// Ids of all causes, loaded or not.
    pub causes: Vec<String>,
    /// The flow's gear.
    pub gear: Vec<String>,
}

/// How the finding about two steps with one id begins.
pub const SECOND_STEP: &str = "a second step is called";

/// What `go` says for the end of the flow.
const DONE: &str = "done";

/// The ids of all steps, so that one can lead to a later one.
pub fn ids(node: &Node) -> Vec<String> {
    let Tree::List(items) = &node.tree else {
        return Vec::new();
    };
    with_those_meant(items.iter().filter_map(|item| match &item.tree {
        Tree::Map(pairs) => pairs.iter().find(|(k, _)| k.text() == Some("id"))?.1.text(),
        _ => None,
    }))
}

/// The titles of the steps, each with the id of its step.
pub fn titles(node: &Node) -> Vec<(String, String)> {
    let Tree::List(items) = &node.tree else {
        return Vec::new();
    };
    let of = |item: &Node| {
        let text = |key| Some(item.below(key)?.text()?.trim().to_owned());
        Some((text("title")?, text("id")?))
    };
    items.iter().filter_map(of).collect()
}

/// Loads the steps.
pub fn steps(node: &Node, known: &Known, out: &mut Findings) -> Vec<Step> {
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`steps` wants a list, but here is {}", node.kind()),
            "begin each step with a hyphen and a blank: - id: block-off",
        );
        return Vec::new();
    };
    if items.is_empty() {
        out.error(
            code::NO_VALUE,
            node.place,
            "this flow has no steps",
            "add at least one: - {id: look, phase: inspect, do: Look for it, outcomes: [...]}",
        );
    }
    let mut loaded: Vec<Step> = Vec::new();
    for item in items {
        if let Some(step) = step(item, known, out) {
            if loaded.iter().any(|other| other.id == step.id) {
                out.error(
                    code::SAME_ID,
                    step.place,
                    format!("{SECOND_STEP} `{}`", step.id),
                    "give this one another id",
                );
            }
            loaded.push(step);
        }
    }
    loaded
}

fn step(node: &Node, known: &Known, out: &mut Findings) -> Option<Step> {
    let fields = Fields::of(node, &keys::STEP, out)?;
    let id = fields.need_text("id", out)?;
    let place = fields.get("id").map_or(node.place, |n| n.place);
    check_id(&id, place, out);
    if id == DONE {
        out.error(
            code::BAD_ID,
            place,
            format!("`go: {DONE}` is the end of the flow, so no step can be called `{DONE}`"),
            "give the step another id",
        );
    }
    let title = fields
        .text("title", out)
        .unwrap_or_else(|| sentence_case(&id.replace('-', " ")));
    Some(Step {
        title,
        phase: phase(&fields, out).unwrap_or(Phase::Symptom),
        text: fields.need_text("do", out).unwrap_or_default(),
        beware: fields.text("beware", out).unwrap_or_default(),
        cautions: super::cautions_of(&fields, out),
        cautions_only_if: cautions_only_if(&fields, known, out),
        gear: gear(&fields, known, out),
        minutes: fields.number("minutes", 0.0..=10_000.0, out).unwrap_or(0.0),
        timer: timer(&fields, out),
        timer_by_hand: timer_by_hand(&fields, out),
        put_back: fields
            .words("put back", out)
            .into_iter()
            .map(|(w, _)| w)
            .collect(),
        set_up: fields.get("set-up").and_then(|n| set_up(n, out)),
        record: ids_of(
            &fields,
            "record",
            "reading",
            &known.readings,
            &[(
                "it is worked out, not read: put it under `show`",
                &known.worked,
            )],
            out,
        ),
        show: ids_of(
            &fields,
            "show",
            "worked value",
            &known.worked,
            &[(
                "it is read, not worked out: put it under `record`",
                &known.readings,
            )],
            out,
        ),
        valid_when: fields
            .get("valid when")
            .and_then(|n| that_can_hold(n, "valid when", known.scope, out)),
        valid_place: fields.get("valid when").map_or(place, |n| n.place),
        invalid: fields.get("not valid").and_then(|n| detour(n, known, out)),
        outcomes: outcomes(&fields, known, out),
        unsure: fields.get("unsure").and_then(|n| detour(n, known, out)),
        skip_to: fields
            .get("skip to")
            .and_then(|n| skip_to(n, &id, known, out)),
        place,
        id,
    })
}

fn sentence_case(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

fn phase(fields: &Fields, out: &mut Findings) -> Option<Phase> {
    let node = fields.need("phase", out)?;
    let word = text_of(node, "phase", out)?;
    let found = Phase::ALL.into_iter().find(|phase| phase.word() == word);
    if found.is_none() && ["test", "check", "measure"].contains(&word.as_str()) {
        // All of it is a test, and the nearest letters would say retest.
        out.error(
            code::UNKNOWN_WORD,
            node.place,
            format!("there is no phase `{word}`"),
            format!(
                "write what is done in it, one of: {}",
                Phase::ALL.map(Phase::word).join(", ")
            ),
        );
    } else if found.is_none() {
        out.unknown(
            code::UNKNOWN_WORD,
            node.place,
            "phase",
            &word,
            Phase::ALL.map(Phase::word),
        );
    }
    found
}

/// What a step needs, as the flow's list calls it: what is laid out beforehand is that list.
fn gear(fields: &Fields, known: &Known, out: &mut Findings) -> Vec<String> {
    let words = fields.words("gear", out);
    for (word, place) in &words {
        if known.gear.contains(word) {
            continue;
        }
        let listed: Vec<&str> = known.gear.iter().map(String::as_str).collect();
        let help = match nearest(word, &listed) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("add it to the list `gear` at the top of the flow: {word}"),
        };
        out.warning(
            code::UNKNOWN_GEAR,
            *place,
            format!("`{word}` is not in the flow's list of gear"),
            help,
        );
    }
    words.into_iter().map(|(word, _)| word).collect()
}

/// On which cars the cautions of a step are read. They come before anything is read, so only facts can decide it.
fn cautions_only_if(fields: &Fields, known: &Known, out: &mut Findings) -> Option<Condition> {
    let node = fields.get("cautions only if")?;
    let only = condition(node, known.scope, out)?;
    let stranger = only
        .subjects()
        .into_iter()
        .find(|id| !known.facts.iter().any(|fact| fact == id));
    let Some(id) = stranger else {
        return Some(only);
    };
    out.error(
        code::UNKNOWN_ID,
        node.place,
        format!("`{id}` is no fact about the vehicle, and cautions are read before anything else"),
        "name facts only, as they stand under `vehicle`",
    );
    None
}

fn set_up(node: &Node, out: &mut Findings) -> Option<SetUp> {
    let fields = Fields::of(node, &keys::SET_UP, out)?;
    let words = |key: &str, out: &mut Findings| {
        fields.words(key, out).into_iter().map(|(w, _)| w).collect()
    };
    Some(SetUp {
        seal: words("seal", out),
        open: words("open", out),
        supply: fields.text("supply", out),
        minutes: fields.number("minutes", 0.0..=10_000.0, out).unwrap_or(0.0),
    })
}

/// The ids that a key lists, each among those declared.
fn ids_of(
    fields: &Fields,
    key: &str,
    what: &str,
    declared: &[String],
    elsewhere: &[(&'static str, &[String])],
    out: &mut Findings,
) -> Vec<String> {
    let mut seen: Vec<String> = Vec::new();
    fields
        .words(key, out)
        .into_iter()
        .filter_map(|(id, place)| {
            if seen.contains(&id) {
                out.warning(
                    code::SAME_ID,
                    place,
                    format!("`{id}` stands in this `{key}` a second time"),
                    "take one of the two out, or write the one that was meant",
                );
                return None;
            }
            seen.push(id.clone());
            if declared.contains(&id) {
                return Some(id);
            }
            if let Some((words, _)) = elsewhere.iter().find(|(_, ids)| ids.contains(&id)) {
                let message = format!("`{id}` is no {what}");
                out.error(code::UNKNOWN_ID, place, message, *words);
            } else {
                let known = as_written(declared);
                out.unknown(code::UNKNOWN_ID, place, what, &id, known);
            }
            None
        })
        .collect()
}

fn outcomes(fields: &Fields, known: &Known, out: &mut Findings) -> Vec<Outcome> {
    let Some(node) = fields.need("outcomes", out) else {
        return Vec::new();
    };
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`outcomes` wants a list, but here is {}", node.kind()),
            "write for example - {id: holds, when: always, because: It holds, go: done}",
        );
        return Vec::new();
    };
    if items.is_empty() {
        out.error(
            code::NO_VALUE,
            node.place,
            "this step has no outcome, so nothing leads on from it",
            "add at least one: - {when: always, go: the-next-step}",
        );
    }
    let mut loaded: Vec<Outcome> = Vec::new();
    for (n, item) in items.iter().enumerate() {
        if let Some(outcome) = outcome(item, n, known, out) {
            if loaded.iter().any(|other| other.id == outcome.id) {
                out.error(
                    code::SAME_ID,
                    outcome.place,
                    format!("a second outcome of this step is called `{}`", outcome.id),
                    "give this one another id",
                );
            }
            loaded.push(outcome);
        }
    }
    loaded
}

fn outcome(node: &Node, n: usize, known: &Known, out: &mut Findings) -> Option<Outcome> {
    let fields = Fields::of(node, &keys::OUTCOME, out)?;
    let when = fields
        .need("when", out)
        .and_then(|n| condition(n, known.scope, out));
    // A step that only goes on has nothing to explain.
    let only_goes_on = fields.get("when").is_some_and(is_meant_as_always);
    let because = fields.text("because", out).unwrap_or_default();
    // A `because:` with nothing after it, or without its colon, was reported as such.
    let has_words = fields.get("because").is_some_and(|n| n.text() != Some(""));
    let is_reported = fields.has("because") && fields.get("because").is_none();
    let is_there = has_words || is_reported || fields.is_cut("because");
    if because.is_empty() && !only_goes_on && !is_there {
        out.error(
            code::NO_BECAUSE,
            fields.place(),
            "this outcome does not say why",
            "add because: with the reason, for the technician to read",
        );
    }
    let go = fields.need("go", out).and_then(|n| target(n, known, out));
    let rules_out = ruled_out::always(&fields, known, out);
    let rules_out_if = ruled_out::under_conditions(&fields, &rules_out, known, out);
    let id = fields.text("id", out).unwrap_or_else(|| {
        if only_goes_on {
            "go-on".to_owned()
        } else {
            format!("outcome-{}", n + 1)
        }
    });
    check_id(&id, fields.get("id").map_or(node.place, |n| n.place), out);
    let proved = proved(&fields, go.as_ref(), out);
    Some(Outcome {
        id,
        when: when?,
        because,
        go: go?,
        rules_out,
        rules_out_if,
        proved,
        place: fields.place(),
    })
}

/// Whether this end proves the repair; on any other way `proved` would say nothing.
fn proved(fields: &Fields, go: Option<&Target>, out: &mut Findings) -> bool {
    let proved = yes(fields, "proved", out);
    if let (true, Some(node), Some(go)) = (proved, fields.get("proved"), go)
        && *go != Target::Done
    {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            "`proved` stands at an end, and this outcome leads on",
            "write go: done beside it, or take `proved` out: a repair is proved by the test after it",
        );
    }
    proved
}

/// Words of a key as plain strings.
pub fn plain_words(fields: &Fields, key: &str, out: &mut Findings) -> Vec<String> {
    fields
        .get(key)
        .map(|n| words_of(n, key, out))
        .unwrap_or_default()
        .into_iter()
        .map(|(w, _)| w)
        .collect()
}
