//! A flow as a text for a terminal of 80 columns.

use std::collections::BTreeSet;
use std::fmt::Write;

use super::{Way, leads_to, plain, ways};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

const WIDTH: usize = 80;

/// Draws the flow: its steps in the order of the file, each with its ways.
/// A way back to a step drawn above says so.
pub fn draw(flow: &Flow) -> String {
    let mut out = format!(
        "{} ({}, revision {})\n",
        plain(&flow.title),
        flow.id,
        flow.revision
    );
    let mut drawn: BTreeSet<&str> = BTreeSet::new();
    for step in reached(flow) {
        drawn.insert(&step.id);
        let _ = writeln!(
            out,
            "\n[{}] {}: {}",
            step.phase.word(),
            step.id,
            plain(&step.title)
        );
        for (n, way) in ways(step).iter().enumerate() {
            let last = n + 1 == ways(step).len();
            line(&mut out, flow, way, last, &drawn);
        }
    }
    if let Some(retest) = &flow.retest {
        let _ = writeln!(out, "\nafter a repair: again from {}", retest.from);
    }
    let left: Vec<&str> = flow
        .steps
        .iter()
        .map(|s| s.id.as_str())
        .filter(|id| !drawn.contains(id))
        .collect();
    if !left.is_empty() {
        let _ = writeln!(out, "\nnever reached: {}", left.join(", "));
    }
    out
}

fn line(out: &mut String, flow: &Flow, way: &Way, last: bool, drawn: &BTreeSet<&str>) {
    let corner = if last { "`-" } else { "|-" };
    let to = match way.go {
        Target::Step(id) if drawn.contains(id.as_str()) => format!("back to {id}"),
        Target::Step(id) => id.clone(),
        other => plain(&leads_to(flow, other)),
    };
    let head = format!("  {corner} {} -> {to}", way.name);
    let _ = writeln!(out, "{}", cut(&head, WIDTH));
    let bar = if last { "  " } else { "| " };
    let margin = format!("  {bar}   ");
    let mut said = margin.clone();
    for word in plain(way.because).split_whitespace() {
        let full = said.chars().count() + 1 + word.chars().count() > WIDTH;
        if full && said != margin {
            let _ = writeln!(out, "{}", cut(&said, WIDTH));
            said.clone_from(&margin);
        }
        if said != margin {
            said.push(' ');
        }
        said.push_str(word);
    }
    if said != margin {
        let _ = writeln!(out, "{}", cut(&said, WIDTH));
    }
}

/// The steps that a walk can reach, in the order of the file, which is the order in which their
/// author thinks.
pub fn reached(flow: &Flow) -> Vec<&Step> {
    let mut found: BTreeSet<&str> = BTreeSet::new();
    let mut next: Vec<&Step> = flow.steps.first().into_iter().collect();
    // A retest enters the flow as well.
    next.extend(
        flow.retest
            .iter()
            .filter_map(|retest| flow.step(&retest.from)),
    );
    while let Some(step) = next.pop() {
        if !found.insert(&step.id) {
            continue;
        }
        for way in ways(step) {
            if let Target::Step(id) = way.go {
                next.extend(flow.step(id));
            }
        }
    }
    flow.steps
        .iter()
        .filter(|step| found.contains(step.id.as_str()))
        .collect()
}

fn cut(line: &str, width: usize) -> String {
    if line.chars().count() <= width {
        return line.trim_end().to_owned();
    }
    line.chars().take(width - 3).chain("...".chars()).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{dot, mermaid, svg};
    use super::*;
    use crate::flow::load::load;

    const FLOW: &str = r#"
flow: hold
title: 'Hold <b>"now"</b>'
steps:
  - {id: plug, phase: block-off, do: Plug., outcomes: [{when: always, go: read}]}
  - id: read
    phase: inspect
    do: Read.
    outcomes: [{id: again, when: always, because: not steady, go: plug}]
    unsure: {because: "odd", go: done}
  - {id: left, phase: judge, do: Never., outcomes: [{when: always, go: done}]}
"#;

    #[test]
    fn the_drawing_says_what_leads_where_and_what_is_never_reached() {
        let flow = load(FLOW).flow.expect("it is sound");
        let drawn = draw(&flow);
        for line in [
            "[block-off] plug: Plug",
            "`- go-on -> read",
            "|- again -> back to plug",
            "`- unsure -> done",
            "never reached: left",
        ] {
            assert!(drawn.contains(line), "{line} is not in\n{drawn}");
        }
    }

    #[test]
    fn a_flows_text_does_not_break_a_drawing() {
        let flow = load(FLOW).flow.expect("it is sound");
        let page = svg::draw(&flow);
        assert!(page.contains("Hold &lt;b&gt;&quot;now&quot;&lt;/b&gt;") && !page.contains("<b>"));
        assert!(!mermaid::draw(&flow).contains("<b>"));
        assert!(dot::draw(&flow).contains("\"plug\" -> \"read\""));
    }

    #[test]
    fn a_skip_is_a_way_and_an_end_is_drawn_once() {
        let text = FLOW.replace(
            "go: plug}]",
            "go: plug}, {id: fine, when: always, because: it holds, go: done}]\n    skip to: left",
        );
        let flow = load(&text).flow.expect("it is sound");
        let drawn = draw(&flow);
        assert!(drawn.contains("`- skipped -> left"), "{drawn}");
        assert!(!drawn.contains("never reached"), "{drawn}");
        assert!(svg::draw(&flow).contains("skipped \u{2192} Left"));
        let mermaid = mermaid::draw(&flow);
        for line in [
            "s1 -.->|\"skipped\"| s2",
            "s1 -->|\"fine\"| e0",
            "s2 -->|\"go-on\"| e0",
        ] {
            assert!(mermaid.contains(line), "{line} is not in\n{mermaid}");
        }
        assert_eq!(mermaid.matches("done").count(), 1, "{mermaid}");
        let dot = dot::draw(&flow);
        for line in [
            "\"read\" -> \"left\" [label=\"skipped\", style=dashed];",
            "\"read\" -> \"end 0\" [label=\"fine\"];",
            "\"left\" -> \"end 0\" [label=\"go-on\"];",
        ] {
            assert!(dot.contains(line), "{line} is not in\n{dot}");
        }
        assert_eq!(dot.matches("done").count(), 1, "{dot}");
    }
}
