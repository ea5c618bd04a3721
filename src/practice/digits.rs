//! With how many digits a reading is told: as finely as its gauge or its error lets anybody read it, and no finer.

use crate::flow::answer::Answer;
use crate::flow::model::{Flow, Prompt, PromptKind, Tolerance};
use crate::units::{Quantity, Unit};

/// An answer with the digits that can be read.
pub(super) fn read(flow: &Flow, prompt: &Prompt, answer: &mut Answer) {
    let step_of = |gauge: &Option<String>, unit: Unit| {
        let gauge = gauge.as_deref().and_then(|id| flow.gauge(id))?;
        let resolution = gauge.resolution?;
        // In another unit than its own, half a step more or less cannot be told.
        let steps = if resolution.unit() == unit { 1.0 } else { 2.0 };
        Some(steps * resolution.unit().step_to_si(resolution.value()))
    };
    match (&prompt.kind, answer) {
        (PromptKind::Quantity(asked), Answer::Quantity(q)) => {
            *q = told(
                *q,
                asked.unit,
                (step_of(&asked.gauge, asked.unit), asked.error),
            );
        }
        (PromptKind::Pairs(asked), Answer::Pairs(pairs)) => {
            for (first, second) in pairs {
                *first = told(*first, asked.first.1, (None, asked.errors.0));
                *second = told(*second, asked.second.1, (None, asked.errors.1));
            }
        }
        _ => {}
    }
}

/// A quantity rounded to the smallest step of its gauge; else to a fifth of its error; else to three digits.
fn told(q: Quantity, unit: Unit, (step, error): (Option<f64>, Option<Tolerance>)) -> Quantity {
    let value = unit.from_si(q.si());
    let error = error.map(|error| error.half_width(q.si()) / 5.0);
    let step = step.or(error).map(|si| unit.step_from_si(si));
    let step = step
        .filter(|step| *step > 0.0)
        .unwrap_or(value.abs() / 100.0);
    let places = decimals(step);
    let rounded: f64 = if places >= 0 {
        let places = usize::try_from(places).unwrap_or(0);
        format!("{value:.places$}").parse().unwrap_or(value)
    } else {
        let whole = 10_f64.powi(-places);
        (value / whole).round() * whole
    };
    // Nothing has no sign.
    Quantity::new(rounded + 0.0, unit).unwrap_or(q)
}

/// Decimals that show a step: two for 0.05, none for 1 to 9, minus one for 20.
fn decimals(step: f64) -> i32 {
    if step <= 0.0 || !step.is_finite() {
        return 0;
    }
    for places in -6..=6_i32 {
        if step * 10_f64.powi(places) >= 1.0 - 1e-9 {
            return places;
        }
    }
    6
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(words: &str) -> Unit {
        Unit::parse(words).unwrap()
    }

    fn shows(text: &str, words: &str, step: Option<f64>, error: Option<Tolerance>) -> String {
        let q: Quantity = text.parse().unwrap();
        told(q, unit(words), (step, error)).to_string()
    }

    #[test]
    fn a_gauge_tells_its_smallest_step_in_whatever_unit_it_is_read() {
        assert_eq!(
            shows("13.9709 inH2O", "inH2O", Some(50.0), None),
            "14 inH2O"
        );
        assert_eq!(shows("3.45 kPa", "kPa", Some(50.0), None), "3.45 kPa");
        assert_eq!(shows("1240 kPa", "kPa", Some(20_000.0), None), "1240 kPa");
    }

    #[test]
    fn nothing_has_no_sign_and_no_gauge_gives_three_digits() {
        assert_eq!(shows("-0.001 kPa", "kPa", Some(50.0), None), "0 kPa");
        assert_eq!(shows("13.9709 kPa", "kPa", None, None), "14 kPa");
    }
}
