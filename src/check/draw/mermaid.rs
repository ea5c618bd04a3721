//! A flow as a Mermaid flowchart.

use std::fmt::Write;

use super::{ends, leads_to, plain, ways};
use crate::flow::model::Flow;
use crate::flow::target::Target;

/// Draws the flow.
pub fn draw(flow: &Flow) -> String {
    let mut out = String::from("flowchart TD\n");
    for (n, step) in flow.steps.iter().enumerate() {
        let _ = writeln!(out, "  s{n}[\"{}\"]", words(&step.title));
    }
    let ends = ends(flow);
    for (n, end) in ends.iter().enumerate() {
        let _ = writeln!(out, "  e{n}([\"{}\"])", words(&leads_to(flow, end)));
    }
    for (n, step) in flow.steps.iter().enumerate() {
        for way in ways(step) {
            let at = match way.go {
                Target::Step(id) => flow
                    .steps
                    .iter()
                    .position(|s| s.id == *id)
                    .map(|n| ('s', n)),
                end => ends.iter().position(|e| *e == end).map(|n| ('e', n)),
            };
            let Some((kind, to)) = at else { continue };
            let arrow = if way.skips { "-.->" } else { "-->" };
            let _ = writeln!(out, "  s{n} {arrow}|\"{}\"| {kind}{to}", words(way.name));
        }
    }
    out
}

/// Text inside quotes: Mermaid reads entities, and knows no other escape.
fn words(text: &str) -> String {
    plain(text)
        .replace('&', "#amp;")
        .replace('"', "#quot;")
        .replace('<', "#lt;")
        .replace('>', "#gt;")
}
