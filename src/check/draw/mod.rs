//! A flow as a drawing: a text for the terminal, Mermaid and DOT for other tools, SVG for paper.
//!
//! All are made from the same list of ways ([`ways`]), so that they cannot say different things.

pub mod dot;
pub mod mermaid;
pub mod svg;
pub mod text;

use crate::flow::model::{Detour, Flow, Step};
use crate::flow::target::Target;

/// One way out of a step.
#[derive(Clone, Copy, Debug)]
pub struct Way<'f> {
    /// What it is called: an outcome's id, `unsure`, `not valid` or `skipped`.
    pub name: &'f str,
    /// Why it is taken.
    pub because: &'f str,
    /// Where it leads.
    pub go: &'f Target,
    /// Whether it is taken without doing the step.
    pub skips: bool,
}

/// All ways out of a step, in the order in which they are tried; last, where its author lets a skip
/// lead. A step without `skip to` is skipped to where its outcomes lead, which are here already.
pub fn ways(step: &Step) -> Vec<Way<'_>> {
    fn detour<'f>(name: &'static str, detour: Option<&'f Detour>) -> Option<Way<'f>> {
        detour.map(|d| Way {
            name,
            because: &d.because,
            go: &d.go,
            skips: false,
        })
    }
    let outcomes = step.outcomes.iter().map(|o| Way {
        name: &o.id,
        because: &o.because,
        go: &o.go,
        skips: false,
    });
    let skip = step.skip_to.as_ref().map(|go| Way {
        name: "skipped",
        because: "",
        go,
        skips: true,
    });
    detour("not valid", step.invalid.as_ref())
        .into_iter()
        .chain(outcomes)
        .chain(detour("unsure", step.unsure.as_ref()))
        .chain(skip)
        .collect()
}

/// Where the ways of a flow leave it, each once, in the order in which they come up.
fn ends(flow: &Flow) -> Vec<&Target> {
    let mut ends: Vec<&Target> = Vec::new();
    for way in flow.steps.iter().flat_map(ways) {
        if !matches!(way.go, Target::Step(_)) && !ends.contains(&way.go) {
            ends.push(way.go);
        }
    }
    ends
}

/// Where a way leads, in words.
pub fn leads_to(flow: &Flow, go: &Target) -> String {
    match go {
        Target::Step(id) => flow
            .step(id)
            .map_or_else(|| id.clone(), |s| s.title.clone()),
        Target::Repair(id) => {
            let name = flow
                .cause(id)
                .map_or(id.as_str(), |cause| cause.name.as_str());
            format!("repair: {name}")
        }
        Target::Flow(id) => format!("next flow: {}", id.replace('-', " ")),
        Target::Done => "done".to_owned(),
    }
}

/// Text without anything that a drawing's own syntax would stumble over.
fn plain(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c.is_control() || crate::flow::hidden::is_hidden(c) {
                ' '
            } else {
                c
            }
        })
        .collect()
}
