//! The results as text for people, and as one JSON object for programs.

use super::options::Asked;
use crate::cli::layout::beside;
use crate::physics::calculation::{Calculation, Output, OutputKind};
use crate::physics::evaluate::{Evaluated, Evaluation};
use crate::physics::uncertainty::Estimate;
use crate::units::Unit;
use serde_json::{Map, Value, json};

/// Columns of the narrowest terminal.
const WIDTH: usize = 80;

/// A unit for a number, and whether the number is a difference.
struct Shown {
    unit: Unit,
    step: bool,
}

impl Shown {
    fn text(&self, si: f64) -> String {
        if self.step {
            self.unit.show_step(si)
        } else {
            self.unit.show(si)
        }
    }
}

/// The unit that a result is shown in.
fn shown(output: &Output, asked: &Asked) -> Option<Shown> {
    let (usual, step) = match output.kind {
        OutputKind::Quantity(dimension, name) => (
            Unit::parse(name).unwrap_or_else(|_| Unit::default_for(dimension)),
            false,
        ),
        OutputKind::SameAsInput => (asked.like?, false),
        OutputKind::StepOfInput => (asked.like?, true),
        OutputKind::Text | OutputKind::OwnUnit(_) => return None,
    };
    let chosen = asked
        .show
        .iter()
        .rev()
        .find(|unit| unit.dimension() == usual.dimension());
    Some(Shown {
        unit: chosen.copied().unwrap_or(usual),
        step,
    })
}

/// The results for people: aligned, each number with its interval.
pub(super) fn text(calculation: &Calculation, asked: &Asked, evaluation: &Evaluation) -> String {
    let rows: Vec<(&str, String, String)> = calculation
        .outputs
        .iter()
        .zip(&evaluation.results)
        .map(|(output, result)| row(output, asked, result))
        .collect();
    let ids = rows.iter().map(|row| row.0.len()).max().unwrap_or(0);
    // Words may be longer than any number, and nothing stands behind them.
    let values = rows
        .iter()
        .filter(|row| !row.2.is_empty())
        .map(|row| row.1.chars().count())
        .max()
        .unwrap_or(0);
    let mut text = String::new();
    for (id, value, interval) in rows {
        let line = format!("{value:values$}  {interval}");
        text += &beside(id, line.trim_end(), ids + 2, WIDTH);
    }
    for note in &evaluation.notes {
        text += &beside("note:", note, 6, WIDTH);
    }
    text += &beside("source:", calculation.source, 8, WIDTH);
    text
}

fn row<'a>(output: &'a Output, asked: &Asked, result: &Evaluated) -> (&'a str, String, String) {
    match result {
        Evaluated::Number { estimate, spread } => match shown(output, asked) {
            Some(unit) => (
                output.id,
                unit.text(estimate.value),
                if *spread {
                    interval(&unit, *estimate)
                } else {
                    String::new()
                },
            ),
            None => (output.id, estimate.value.to_string(), String::new()),
        },
        Evaluated::Measured(value, unit) => (output.id, unit.show(*value), String::new()),
        Evaluated::Text(text) => (output.id, text.clone(), String::new()),
        // Of what is told only where something is open, nothing is the good news.
        Evaluated::Absent if output.kind == OutputKind::Text || output.judge.is_some() => {
            (output.id, "none".to_owned(), String::new())
        }
        Evaluated::Absent => (output.id, "not settled".to_owned(), String::new()),
    }
}

fn interval(unit: &Shown, estimate: Estimate) -> String {
    match (estimate.low.is_finite(), estimate.high.is_finite()) {
        (true, true) => format!(
            "95 %: {} to {}",
            unit.text(estimate.low),
            unit.text(estimate.high)
        ),
        (true, false) => format!("95 %: {} or more", unit.text(estimate.low)),
        (false, true) => format!("95 %: {} or less", unit.text(estimate.high)),
        (false, false) => "nothing bounds it".to_owned(),
    }
}

/// The results for programs, in SI.
pub(super) fn json(calculation: &Calculation, asked: &Asked, evaluation: &Evaluation) -> String {
    format!("{:#}\n", object(calculation, asked, evaluation))
}

/// The same, to be put into another object.
pub(super) fn object(calculation: &Calculation, asked: &Asked, evaluation: &Evaluation) -> Value {
    let results: Map<String, Value> = calculation
        .outputs
        .iter()
        .zip(&evaluation.results)
        .map(|(output, result)| (output.id.to_owned(), result_json(output, asked, result)))
        .collect();
    json!({"calculation": calculation.name, "results": results, "notes": evaluation.notes})
}

fn result_json(output: &Output, asked: &Asked, result: &Evaluated) -> Value {
    match result {
        Evaluated::Number { estimate, spread } => {
            let mut object = json!({"si": estimate.value});
            if *spread {
                // An infinite bound has no JSON number; serde_json writes null for it.
                object["low"] = json!(estimate.low);
                object["high"] = json!(estimate.high);
            }
            if let Some(unit) = shown(output, asked) {
                object["unit"] = json!(unit.unit.name());
                object["shown"] = json!(unit.text(estimate.value));
            }
            object
        }
        Evaluated::Measured(value, unit) => {
            json!({"si": value, "unit": unit.name(), "shown": unit.show(*value)})
        }
        Evaluated::Text(text) => json!({"text": text}),
        Evaluated::Absent => Value::Null,
    }
}
