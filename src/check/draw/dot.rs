//! A flow in the DOT language of graph drawing programs.

use std::fmt::Write;

use super::{leads_to, plain, ways};
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
    let mut ends = 0;
    for step in &flow.steps {
        for way in ways(step) {
            let to = match way.go {
                Target::Step(id) => words(id),
                other => {
                    ends += 1;
                    let label = words(&leads_to(flow, other));
                    let _ = writeln!(out, "  \"end {ends}\" [label=\"{label}\", shape=oval];");
                    format!("end {ends}")
                }
            };
            let name = words(way.name);
            let _ = writeln!(
                out,
                "  \"{}\" -> \"{to}\" [label=\"{name}\"];",
                words(&step.id)
            );
        }
    }
    out.push_str("}\n");
    out
}

/// Text inside quotes.
fn words(text: &str) -> String {
    plain(text).replace('\\', "\\\\").replace('"', "\\\"")
}
