//! A flow as a Mermaid flowchart.

use std::fmt::Write;

use super::{leads_to, plain, ways};
use crate::flow::model::Flow;
use crate::flow::target::Target;

/// Draws the flow.
pub fn draw(flow: &Flow) -> String {
    let mut out = String::from("flowchart TD\n");
    for (n, step) in flow.steps.iter().enumerate() {
        let _ = writeln!(out, "  s{n}[\"{}\"]", words(&step.title));
    }
    let mut ends = 0;
    for (n, step) in flow.steps.iter().enumerate() {
        for way in ways(step) {
            let name = words(way.name);
            let at = match way.go {
                Target::Step(id) => flow.steps.iter().position(|s| s.id == *id),
                _ => None,
            };
            if let Some(to) = at {
                let _ = writeln!(out, "  s{n} -->|\"{name}\"| s{to}");
            } else {
                let end = words(&leads_to(flow, way.go));
                let _ = writeln!(out, "  s{n} -->|\"{name}\"| e{ends}([\"{end}\"])");
                ends += 1;
            }
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
