//! A flow as a drawing to print: steps down the page, every way named beside its step, arrows for the
//! ways that do not simply go on to the next box.

use std::collections::BTreeSet;
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
/// Where the ways are written, and how many letters fit there.
const BESIDE: f64 = LEFT + BOX.0 + 30.0;
const LETTERS: usize = 74;

/// A step with its place on the page.
struct Placed<'f> {
    step: &'f Step,
    top: f64,
    ways: Vec<Way<'f>>,
}

/// Draws the flow.
pub fn draw(flow: &Flow) -> String {
    let mut top = 64.0;
    let mut placed = Vec::new();
    for step in reached(flow) {
        let ways = ways(step);
        let rows = (ways.len() as f64 * ROW).max(BOX.1);
        placed.push(Placed { step, top, ways });
        top += rows + GAP;
    }
    let mut out = head(flow, top);
    for (n, one) in placed.iter().enumerate() {
        step(&mut out, one);
        beside(&mut out, flow, &placed, n);
    }
    for (from, to) in arrows(&placed) {
        arrow(&mut out, &placed, from, to);
    }
    out.push_str("</svg>\n");
    out
}

fn head(flow: &Flow, height: f64) -> String {
    let retest = flow.retest.as_ref().map_or_else(String::new, |retest| {
        let from = flow
            .step(&retest.from)
            .map_or("", |step| step.title.as_str());
        format!("After a repair: again from \u{201c}{}\u{201d}", words(from))
    });
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {height}\" \
         font-family=\"sans-serif\" font-size=\"13\" fill=\"#111\">\n\
         <rect width=\"{WIDTH}\" height=\"{height}\" fill=\"#fff\"/>\n\
         <defs><marker id=\"tip\" viewBox=\"0 0 8 8\" refX=\"7\" refY=\"4\" markerWidth=\"7\" \
         markerHeight=\"7\" orient=\"auto\"><path d=\"M0 0L8 4L0 8z\"/></marker></defs>\n\
         <text x=\"12\" y=\"30\" font-size=\"19\">{}</text>\n\
         <text x=\"{BESIDE}\" y=\"30\" fill=\"#555\">{retest}</text>\n",
        words(&flow.title)
    )
}

fn step(out: &mut String, one: &Placed) {
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
}

/// The ways of a step, one a line: those that stay in the flow in grey, those that leave it in black.
fn beside(out: &mut String, flow: &Flow, placed: &[Placed], n: usize) {
    let Some(one) = placed.get(n) else { return };
    for (row, way) in one.ways.iter().enumerate() {
        let to = match way.go {
            Target::Step(id) => match placed.iter().position(|p| p.step.id == *id) {
                Some(to) if to == n => "again".to_owned(),
                Some(to) if to < n => format!("back to {}", leads_to(flow, way.go)),
                _ => leads_to(flow, way.go),
            },
            other => leads_to(flow, other),
        };
        let colour = if matches!(way.go, Target::Step(_)) {
            "#666"
        } else {
            "#111"
        };
        let line = plain(&format!("{} \u{2192} {to}", way.name));
        let cut: String = if line.chars().count() > LETTERS {
            line.chars().take(LETTERS - 1).chain(['\u{2026}']).collect()
        } else {
            line
        };
        let y = one.top + 14.0 + row as f64 * ROW;
        let _ = writeln!(
            out,
            "<text x=\"{BESIDE}\" y=\"{y}\" fill=\"{colour}\">{}</text>",
            words(&cut)
        );
    }
}

/// The arrows, each once however many outcomes take it; what repeats its own step has none.
fn arrows(placed: &[Placed]) -> BTreeSet<(usize, usize)> {
    let mut arrows = BTreeSet::new();
    for (from, one) in placed.iter().enumerate() {
        for way in &one.ways {
            if let Target::Step(id) = way.go
                && let Some(to) = placed.iter().position(|p| p.step.id == *id)
                && to != from
            {
                arrows.insert((from, to));
            }
        }
    }
    arrows
}

/// Straight down to the next box; any other way bends out to the left, further for longer ones, and
/// dashed where it goes back.
fn arrow(out: &mut String, placed: &[Placed], from: usize, to: usize) {
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
    let reach = LEFT - 24.0 - (from.abs_diff(to) as f64 * 14.0).min(146.0);
    // Ways on leave below and come in above; ways back the other way round.
    let on = to > from;
    let (start, end) = if on {
        (BOX.1 - 10.0, 10.0)
    } else {
        (10.0, BOX.1 - 10.0)
    };
    let (start, end) = (placed[from].top + start, placed[to].top + end);
    let dash = if on { "" } else { " stroke-dasharray=\"5 4\"" };
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
