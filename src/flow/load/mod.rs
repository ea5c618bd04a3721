//! From YAML text to a [`Flow`], with every mistake reported in one run.
//!
//! The order is that in which ids become known: gauges, facts, readings, worked values, causes,
//! steps. Nothing is read from disk here.

pub mod causes;
pub mod conditions;
mod conditions_help;
mod curly;
pub mod fields;
mod gauges;
mod headings;
mod hidden;
pub mod ids;
mod inputs;
pub mod keys;
mod kinds;
mod lacking;
pub mod meant;
mod near;
mod never;
mod once;
pub mod parts;
mod points;
pub mod profile;
mod prompts;
mod quantities;
mod ruled_out;
mod run_on;
mod scope;
mod shares;
mod signatures;
mod steps;
mod timer;
mod together;
mod unit_at_odds;
mod unknown;
mod ways;
mod worked;

use super::cautions;
use super::finding::{Finding, Severity, code};
use super::model::{Answers, Flow, Limit, Prompt, PromptKind, Retest};
use super::node::{self, Node, Place};
use super::system;
use crate::physics::trouble_code::Code as TroubleCode;
use fields::{Fields, Findings};
use ids::check_id;
pub use near::{listed, nearest};
use scope::{Meaning, Scope};

/// What came of loading a flow.
#[derive(Debug)]
pub struct Loaded {
    /// The flow, where it has no error.
    pub flow: Option<Flow>,
    /// Everything that was found, in the order of the text.
    pub findings: Vec<Finding>,
}

/// Loads a flow from its text.
pub fn load(text: &str) -> Loaded {
    let (tree, flow, findings) = as_found(text);
    let findings = without_followers(findings);
    let mut findings = match &tree {
        Some(tree) => {
            let findings = lacking::as_one(tree, findings);
            let findings = run_on::items(tree, text, findings);
            let findings = run_on::without_comma(tree, text, findings);
            let findings = unit_at_odds::as_one(tree, findings);
            once::said(tree, findings)
        }
        None => findings,
    };
    if let Some(tree) = &tree {
        curly::quotes(tree, &mut findings);
    }
    findings.sort_by_key(|f| (f.place.line, f.place.column, f.code));
    findings.dedup();
    let sound = findings.iter().all(|f| f.severity != Severity::Error);
    Loaded {
        flow: flow.filter(|_| sound),
        findings,
    }
}

/// Everything that is found in a text, with what only follows from another finding.
pub fn unabridged(text: &str) -> Vec<Finding> {
    as_found(text).2
}

/// The tree of a text, its flow, and all that was found in it.
fn as_found(text: &str) -> (Option<Node>, Option<Flow>, Vec<Finding>) {
    let mut out = Findings::default();
    let tree = node::parse(text)
        .map_err(|finding| out.0.push(finding))
        .ok();
    let tree = tree.map(|tree| headings::as_meant(tree, &mut out));
    let flow = tree.as_ref().and_then(|tree| {
        hidden::words(tree, text, &mut out);
        flow(tree, &mut out)
    });
    (tree, flow, out.0)
}

/// Leaves out what only follows from another finding: the part of a number before a comma, and
/// steps that nothing is called because two are called the same.
fn without_followers(findings: Vec<Finding>) -> Vec<Finding> {
    let is_comma = |f: &Finding| f.code == code::BAD_QUANTITY && f.message.contains("a comma in");
    let commas: Vec<usize> = findings
        .iter()
        .filter(|f| is_comma(f))
        .map(|f| f.place.start)
        .collect();
    let is_second_step =
        |f: &Finding| f.code == code::SAME_ID && f.message.starts_with(steps::SECOND_STEP);
    let second_step = findings.iter().any(is_second_step);
    // Words of a list without its brackets are named by the finding about it.
    let listed: Vec<String> = findings
        .iter()
        .filter(|f| f.code == code::WRONG_SHAPE && f.message.ends_with(unknown::NO_BRACKETS))
        .map(|f| f.help.clone())
        .collect();
    let is_listed = |f: &Finding| {
        let word = f.message.split('`').nth(1).unwrap_or_default();
        listed.iter().any(|help| help.contains(word))
    };
    let follows = |f: &Finding| {
        (commas.contains(&f.place.start) && !is_comma(f))
            || (f.code == code::UNKNOWN_WORD && is_listed(f))
            || (second_step && f.code == code::UNKNOWN_STEP && f.help.starts_with("known here"))
    };
    findings.into_iter().filter(|f| !follows(f)).collect()
}

fn flow(tree: &Node, out: &mut Findings) -> Option<Flow> {
    if !matches!(tree.tree, node::Tree::Map(_)) {
        out.error(
            code::WRONG_SHAPE,
            tree.place,
            match tree.tree {
                node::Tree::Empty => "this file is empty".to_owned(),
                _ => format!("this is no flow: here is {}", tree.kind()),
            },
            "begin with a line such as flow: smoke-test, then title:, readings:, steps: and the rest",
        );
        return None;
    }
    let fields = Fields::of(tree, &keys::FLOW, out)?;
    let mut flow = head(&fields, out);
    if let Some(node) = fields.get("gauges") {
        flow.gauges = gauges::gauges(node, out);
    }
    if let Some(node) = fields.get("vehicle") {
        flow.facts = prompts::prompts(node, "vehicle facts", &flow.gauges, out);
    }
    if let Some(node) = fields.get("readings") {
        flow.readings = prompts::prompts(node, "readings", &flow.gauges, out);
    }
    let mut scope = Scope::of(flow.facts.iter().chain(&flow.readings));
    for (key, list) in [
        ("vehicle", &mut flow.facts),
        ("readings", &mut flow.readings),
    ] {
        if let Some(node) = fields.get(key) {
            prompts::only_if(node, list, &scope, out);
        }
    }
    for key in ["vehicle", "readings"] {
        scope.declared(&prompts::ids(fields.get(key)));
    }
    check_limits(&fields, &flow.readings, &scope, out);
    check_same_id(&flow, out);
    if let Some(node) = fields.get("worked") {
        flow.worked = worked::worked(node, &mut scope, out);
    }
    if let Some(node) = fields.get("healthy") {
        flow.healthy = signatures::shows(node, "`healthy`", &scope, out);
    }
    if let Some(node) = fields.get("causes") {
        flow.causes = causes::causes(node, out);
        signatures::of_causes(node, &mut flow.causes, &scope, out);
    }
    if let Some(node) = fields.need("steps", out) {
        let step_ids = steps::ids(node);
        let known = steps::Known {
            scope: &scope,
            step_ids,
            titles: steps::titles(node),
            facts: flow.facts.iter().map(|fact| fact.id.clone()).collect(),
            readings: prompts::ids(fields.get("readings")),
            worked: prompts::ids(fields.get("worked")),
            causes: prompts::ids(fields.get("causes")),
            gear: flow.gear.clone(),
        };
        let loaded = steps::steps(node, &known, out);
        flow.steps = loaded;
    }
    let step_ids = fields.get("steps").map(steps::ids).unwrap_or_default();
    flow.retest = retest(&fields, &flow, &step_ids, out);
    shares::in_percent(fields.get("worked"), &mut flow);
    Some(flow)
}

fn head(fields: &Fields, out: &mut Findings) -> Flow {
    let id = fields.need_text("flow", out).unwrap_or_default();
    if let Some(node) = fields.get("flow") {
        check_id(&id, node.place, out);
    }
    let revision = fields
        .whole("revision", 1.0..=1_000_000.0, out)
        .unwrap_or(1.0);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "1 to 1,000,000"
    )]
    let revision = revision as u32;
    let answers = fields
        .get("for")
        .and_then(|n| answers(n, out))
        .unwrap_or_default();
    Flow {
        title: fields.need_text("title", out).unwrap_or_default(),
        revision,
        summary: fields.text("summary", out).unwrap_or_default(),
        until_settled: fields.text("until settled", out).unwrap_or_default(),
        answers,
        system: system_of(fields, out),
        cautions: cautions_of(fields, out),
        gear: steps::plain_words(fields, "gear", out),
        facts: Vec::new(),
        gauges: Vec::new(),
        readings: Vec::new(),
        worked: Vec::new(),
        healthy: Vec::new(),
        causes: Vec::new(),
        steps: Vec::new(),
        retest: None,
        id,
    }
}

/// The system, as it is written where it is a known one. Its cautions hang on it, so that a slip in
/// it must not pass in silence.
fn system_of(fields: &Fields, out: &mut Findings) -> String {
    let Some(node) = fields.get("system") else {
        return String::new();
    };
    let text = fields.text("system", out).unwrap_or_default();
    if let Some(meant) = system::meant(&text) {
        out.warning(
            code::UNKNOWN_SYSTEM,
            node.place,
            format!("no rule knows a system `{text}`, so none asks for its cautions"),
            format!("did you mean `{meant}`?"),
        );
    }
    system::written(&text)
}

fn answers(node: &Node, out: &mut Findings) -> Option<Answers> {
    let fields = Fields::of(node, &keys::FOR, out)?;
    let codes = fields
        .words("codes", out)
        .into_iter()
        .map(|(text, place)| {
            check_trouble_code(&text, place, out);
            text.to_uppercase()
        })
        .collect();
    Some(Answers {
        codes,
        symptoms: steps::plain_words(&fields, "symptoms", out),
    })
}

/// A flow is offered for a code that is written as cars give it, and for no other.
fn check_trouble_code(text: &str, place: Place, out: &mut Findings) {
    let whole = TroubleCode::parse(text);
    if whole.is_some_and(|code| code.name() == text.to_uppercase()) {
        return;
    }
    let help = match whole {
        Some(code) => format!("write {}", code.name()),
        None => {
            "a code is P, C, B or U, a figure 0 to 3, and three more of 0 to 9 or A to F, such \
                 as P0442 (SAE J2012)"
                .to_owned()
        }
    };
    out.warning(
        code::NO_TROUBLE_CODE,
        place,
        format!("`{text}` is no trouble code, so no car will ever give it"),
        help,
    );
}

/// The cautions that a flow or step names, each known.
fn cautions_of(fields: &Fields, out: &mut Findings) -> Vec<String> {
    fields
        .words("cautions", out)
        .into_iter()
        .filter_map(|(id, place)| {
            if cautions::find(&id).is_some() {
                return Some(id);
            }
            let known = cautions::all().iter().map(|c| c.id);
            out.unknown(code::UNKNOWN_CAUTION, place, "caution", &id, known);
            None
        })
        .collect()
}

fn retest(fields: &Fields, flow: &Flow, step_ids: &[String], out: &mut Findings) -> Option<Retest> {
    let Some(node) = fields.get("retest") else {
        if fields.has("retest") {
            return None; // It was reported that it has no value.
        }
        let repairs = flow
            .steps
            .iter()
            .flat_map(|s| &s.outcomes)
            .find(|o| matches!(o.go, super::target::Target::Repair(_)));
        if let Some(outcome) = repairs {
            out.error(
                code::NO_RETEST,
                outcome.place,
                "this leads to a repair, but the flow has no retest",
                format!(
                    "add a line at the end, retest: {{from: {}}}: one leak can hide another",
                    flow.steps.first().map_or("first-step", |s| s.id.as_str())
                ),
            );
        }
        return None;
    };
    let read = Fields::of(node, &keys::RETEST, out)?;
    let from = read.need_text("from", out)?;
    if step_ids.is_empty() {
        return None; // That there are no steps was reported.
    }
    if !step_ids.contains(&from) {
        let place = read.get("from").map_or(node.place, |n| n.place);
        out.unknown(
            code::UNKNOWN_STEP,
            place,
            "step",
            &from,
            step_ids.iter().map(String::as_str),
        );
        return None;
    }
    Some(Retest {
        from,
        first: read.text("first", out).unwrap_or_default(),
        place: read.get("from").map_or(node.place, |from| from.place),
    })
}

/// A limit that is no quantity and no fact of this flow.
fn unknown_fact(fields: &Fields, fact: &str, place: Place, out: &mut Findings) {
    let facts: Vec<&str> = match fields.get("vehicle").map(|node| &node.tree) {
        Some(node::Tree::Map(pairs)) => pairs.iter().filter_map(|(key, _)| key.text()).collect(),
        _ => Vec::new(),
    };
    if facts.is_empty() {
        out.error(
            code::UNKNOWN_ID,
            place,
            format!("there is no vehicle fact `{fact}`"),
            "write the limit as a number with its unit, or declare the fact under `vehicle:`",
        );
    } else {
        out.unknown(code::UNKNOWN_ID, place, "vehicle fact", fact, facts);
    }
}

/// A limit that names a fact must name one of the reading's own dimension.
fn check_limits(fields: &Fields, readings: &[Prompt], scope: &Scope, out: &mut Findings) {
    for reading in readings {
        let PromptKind::Quantity(q) = &reading.kind else {
            continue;
        };
        let Some(Limit::Fact(fact)) = &q.never_above else {
            continue;
        };
        let place = fields
            .get("readings")
            .and_then(|node| node.below(&reading.id)?.below("never above"))
            .map_or(reading.place, |node| node.place);
        match scope.get(fact) {
            Some(Meaning::Broken) => {}
            Some(Meaning::Number(dimension, _)) if *dimension == q.unit.dimension() => {}
            Some(_) => out.error(
                code::WRONG_DIMENSION,
                place,
                format!(
                    "`{fact}` cannot limit `{}`, which is {}",
                    reading.id,
                    quantities::a(q.unit.dimension())
                ),
                "name a vehicle fact of the same kind, or write a quantity",
            ),
            None => unknown_fact(fields, fact, place, out),
        }
    }
}

/// A reading must not have the id of a fact.
fn check_same_id(flow: &Flow, out: &mut Findings) {
    for reading in &flow.readings {
        if flow.fact(&reading.id).is_some() {
            out.error(
                code::SAME_ID,
                reading.place,
                format!("`{}` is the id of a vehicle fact too", reading.id),
                "give the reading another id",
            );
        }
    }
}
