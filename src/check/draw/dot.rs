//! A flow in the DOT language of graph drawing programs.

use std::fmt::Write;

use super::{ends, leads_to, plain, ways};
use crate::flow::model::Flow;
use crate::flow::target::Target;

/// Draws the flow.
pub fn draw(flow: &Flow) -> String {
    let mut out = format!("digraph \"{}\" {{\n  node [shape=box];\n", words(&flow.id));
    for step in &flow.steps {
        let _ = writeln!(
            out,
            "  \"{}\" [label=\"{}\"];",
            words(&step.id),
            words(&step.title)
        );
    }
    let ends = ends(flow);
    for (n, end) in ends.iter().enumerate() {
        let label = words(&leads_to(flow, end));
        let _ = writeln!(out, "  \"end {n}\" [label=\"{label}\", shape=oval];");
    }
    for step in &flow.steps {
        for way in ways(step) {
            let to = match (way.go, ends.iter().position(|end| *end == way.go)) {
                (Target::Step(id), _) => words(id),
                (_, n) => format!("end {}", n.unwrap_or_default()),
            };
            let (from, name) = (words(&step.id), words(way.name));
            let line = if way.skips { ", style=dashed" } else { "" };
            let _ = writeln!(out, "  \"{from}\" -> \"{to}\" [label=\"{name}\"{line}];");
        }
    }
    out.push_str("}\n");
    out
}

/// Text inside quotes.
fn words(text: &str) -> String {
    plain(text).replace('\\', "\\\\").replace('"', "\\\"")
}
