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
    /// What it is called: an outcome's id, `unsure` or `not valid`.
    pub name: &'f str,
    /// Why it is taken.
    pub because: &'f str,
    /// Where it leads.
    pub go: &'f Target,
}

/// All ways out of a step, in the order in which they are tried.
pub fn ways(step: &Step) -> Vec<Way<'_>> {
    fn detour<'f>(name: &'static str, detour: Option<&'f Detour>) -> Option<Way<'f>> {
        detour.map(|d| Way {
            name,
            because: &d.because,
            go: &d.go,
        })
    }
    let outcomes = step.outcomes.iter().map(|o| Way {
        name: &o.id,
        because: &o.because,
        go: &o.go,
    });
    detour("not valid", step.invalid.as_ref())
        .into_iter()
        .chain(outcomes)
        .chain(detour("unsure", step.unsure.as_ref()))
        .collect()
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
        Target::Flow(id) => format!("flow: {id}"),
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
