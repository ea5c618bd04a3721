//! A flow as a drawing to print: steps down the page, ways on as arrows, ends beside their step.

use std::fmt::Write;

use super::text::reached;
use super::{Way, leads_to, plain, ways};
use crate::flow::model::{Flow, Step};
use crate::flow::target::Target;

const BOX: (f64, f64) = (330.0, 44.0);
const LEFT: f64 = 170.0;
const ROW: f64 = 17.0;
const GAP: f64 = 26.0;
const WIDTH: f64 = 1060.0;

/// A step with its place on the page.
struct Placed<'f> {
    step: &'f Step,
    top: f64,
    /// Ways that leave the column: to the ends, written beside the box.
    ends: Vec<Way<'f>>,
}

/// Draws the flow.
pub fn draw(flow: &Flow) -> String {
    let mut top = 60.0;
    let mut placed = Vec::new();
    for step in reached(flow) {
        let ends: Vec<Way> = ways(step)
            .into_iter()
            .filter(|w| !matches!(w.go, Target::Step(_)))
            .collect();
        let rows = (ends.len() as f64 * ROW).max(BOX.1);
        placed.push(Placed { step, top, ends });
        top += rows + GAP;
    }
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {top}\" \
         font-family=\"sans-serif\" font-size=\"13\" fill=\"#111\">\n\
         <defs><marker id=\"tip\" viewBox=\"0 0 8 8\" refX=\"7\" refY=\"4\" markerWidth=\"7\" \
         markerHeight=\"7\" orient=\"auto\"><path d=\"M0 0L8 4L0 8z\"/></marker></defs>\n\
         <text x=\"12\" y=\"30\" font-size=\"19\">{}</text>\n",
        words(&flow.title)
    );
    for one in &placed {
        step(&mut out, flow, one);
    }
    for (n, from) in placed.iter().enumerate() {
        for (k, way) in ways(from.step).iter().enumerate() {
            if let Target::Step(id) = way.go
                && let Some(to) = placed.iter().position(|p| p.step.id == *id)
            {
                arrow(&mut out, &placed, n, to, k);
            }
        }
    }
    out.push_str("</svg>\n");
    out
}

fn step(out: &mut String, flow: &Flow, one: &Placed) {
    let (x, y) = (LEFT, one.top);
    let _ = writeln!(
        out,
        "<rect x=\"{x}\" y=\"{y}\" width=\"{}\" height=\"{}\" rx=\"4\" fill=\"#fff\" stroke=\"#111\"/>\
         <text x=\"{}\" y=\"{}\" font-weight=\"bold\">{}</text>\
         <text x=\"{}\" y=\"{}\" fill=\"#555\">{} · {}</text>",
        BOX.0,
        BOX.1,
        x + 10.0,
        y + 18.0,
        words(&one.step.title),
        x + 10.0,
        y + 36.0,
        one.step.phase.word(),
        words(&one.step.id)
    );
    for (n, way) in one.ends.iter().enumerate() {
        let line = format!("{}: {}", way.name, leads_to(flow, way.go));
        let _ = writeln!(
            out,
            "<text x=\"{}\" y=\"{}\">→ {}</text>",
            LEFT + BOX.0 + 60.0,
            y + 14.0 + n as f64 * ROW,
            words(&line)
        );
    }
}

/// Straight down to the next box; any other way bends out to the left, further for longer ones.
fn arrow(out: &mut String, placed: &[Placed], from: usize, to: usize, nth: usize) {
    let middle = LEFT + BOX.0 / 2.0;
    if to == from + 1 {
        let _ = writeln!(
            out,
            "<path d=\"M{middle} {} L{middle} {}\" fill=\"none\" stroke=\"#111\" marker-end=\"url(#tip)\"/>",
            placed[from].top + BOX.1,
            placed[to].top
        );
        return;
    }
    let reach = LEFT - 18.0 - (from.abs_diff(to) as f64 * 9.0).min(140.0);
    let start = placed[from].top + 10.0 + (nth as f64 * 5.0).min(28.0);
    let end = placed[to].top + BOX.1 / 2.0;
    let dash = if to <= from {
        " stroke-dasharray=\"5 4\""
    } else {
        ""
    };
    let _ = writeln!(
        out,
        "<path d=\"M{LEFT} {start} C{reach} {start} {reach} {end} {LEFT} {end}\" fill=\"none\" \
         stroke=\"#456\"{dash} marker-end=\"url(#tip)\"/>"
    );
}

/// Text between tags.
fn words(text: &str) -> String {
    plain(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
        .replace('"', "&quot;")
}
