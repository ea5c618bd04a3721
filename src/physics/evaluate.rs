//! One calculation with the errors of its readings: central values, and a 95 % interval each.
//!
//! Every error is a source of its own (each point of a sweep too), and so is each nuisance of the
//! model. For a chain of calculations whoever owns the chain does the same over the whole of it,
//! so that what is shared cancels; this module is for one alone.

use super::calculation::{Answer, CalcError, Calculation, Kind, Shifts, Worked};
use super::given::{Given, Value};
use super::uncertainty::{DEVIATIONS, Estimate, combine};
use crate::units::Dimension;

/// Half the width of the 95 % interval of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Size {
    /// So much, in SI (a step: no offset of a temperature scale).
    Absolute(f64),
    /// So large a share of the reading.
    Relative(f64),
}

impl Size {
    /// The error of a reading of this size, in SI.
    pub fn of(self, value: f64) -> f64 {
        match self {
            Self::Absolute(step) => step.abs(),
            Self::Relative(share) => (share * value).abs(),
        }
    }
}

/// The error of one input: of the number, of every member of a list, or of one field of its points.
#[derive(Debug, Clone, PartialEq)]
pub struct InputError {
    /// Name of the input.
    pub input: String,
    /// For points, which column.
    pub column: usize,
    /// How large.
    pub size: Size,
}

/// A result with what is known of its spread.
#[derive(Debug, Clone, PartialEq)]
pub enum Evaluated {
    /// A number; the interval is there when an error was given or the model has a spread.
    Number {
        /// Value and 95 % interval, SI.
        estimate: Estimate,
        /// Whether the interval says anything.
        spread: bool,
    },
    /// Words.
    Text(String),
    /// The inputs given do not settle this one.
    Absent,
}

/// All results of a calculation.
#[derive(Debug, Clone, PartialEq)]
pub struct Evaluation {
    /// In the order of [`Calculation::outputs`].
    pub results: Vec<Evaluated>,
    /// From the central values, and a warning where a verdict is not certain.
    pub notes: Vec<String>,
}

/// Works a calculation centrally and once for each source of error and sign.
///
/// # Errors
/// As [`Calculation::work`]. A *shifted* evaluation that fails is no error: the results then have
/// no bounds.
pub fn evaluate(
    calculation: &Calculation,
    given: &Given,
    errors: &[InputError],
) -> Result<Evaluation, CalcError> {
    let centre = calculation.work(given, &Shifts::none())?;
    let shifted = shifted_runs(calculation, given, errors);
    let mut notes = centre.notes.clone();
    let mut results = Vec::with_capacity(centre.results.len());
    for (place, answer) in centre.results.iter().enumerate() {
        results.push(match answer {
            Answer::Number(value) => {
                let pairs = shifted.iter().map(|(plus, minus)| {
                    (number(plus.as_ref(), place), number(minus.as_ref(), place))
                });
                let floor = calculation
                    .outputs
                    .get(place)
                    .map_or(f64::NEG_INFINITY, |o| o.kind.floor());
                let estimate = combine(*value, pairs).at_least(floor);
                let wide = estimate.low < estimate.value || estimate.high > estimate.value;
                Evaluated::Number {
                    estimate,
                    spread: wide || !errors.is_empty(),
                }
            }
            Answer::Text(text) => {
                notes.extend(doubt(calculation, place, text, &shifted));
                Evaluated::Text(text.clone())
            }
            Answer::Absent => Evaluated::Absent,
        });
    }
    Ok(Evaluation { results, notes })
}

type Pair = (Option<Worked>, Option<Worked>);

fn shifted_runs(calculation: &Calculation, given: &Given, errors: &[InputError]) -> Vec<Pair> {
    let run = |given: &Given, shifts: &Shifts| (calculation.run)(given, shifts).ok();
    let of_model = calculation.nuisances.iter().map(|nuisance| {
        let at = |deviations| run(given, &Shifts::one(nuisance.name, deviations));
        (at(DEVIATIONS), at(-DEVIATIONS))
    });
    let of_readings = errors.iter().flat_map(|error| {
        let (dimension, count) = shape(calculation, given, error);
        (0..count).map(move |row| {
            let at = |sign| run(&shift(given, error, row, sign, dimension), &Shifts::none());
            (at(1.0), at(-1.0))
        })
    });
    of_model.chain(of_readings).collect()
}

/// What the shifted number measures, and how many there are of it.
fn shape(
    calculation: &Calculation,
    given: &Given,
    error: &InputError,
) -> (Option<Dimension>, usize) {
    let dimension = calculation
        .input(&error.input)
        .and_then(|input| match input.kind {
            Kind::Quantity(dimension) | Kind::List(dimension) => Some(dimension),
            Kind::Points(fields) => fields.get(error.column).map(|field| field.dimension),
            Kind::Count | Kind::Word(_) | Kind::Coefficient | Kind::ListAny => None,
        });
    let count = match given.get(&error.input) {
        Some(Value::Points(rows)) => rows.len(),
        Some(Value::List(values)) => values.len(),
        Some(Value::Number(_)) => 1,
        Some(Value::Word(_)) | None => 0,
    };
    (dimension, count)
}

/// The values with one number moved by its error.
fn shift(
    given: &Given,
    error: &InputError,
    row: usize,
    sign: f64,
    dimension: Option<Dimension>,
) -> Given {
    let moved = |value: f64| shifted_value(value, sign * error.size.of(value), dimension);
    let value = match given.get(&error.input) {
        Some(Value::Number(value)) => Value::Number(moved(*value)),
        Some(Value::List(values)) => Value::List(
            values
                .iter()
                .enumerate()
                .map(|(i, v)| if i == row { moved(*v) } else { *v })
                .collect(),
        ),
        Some(Value::Points(rows)) => {
            let mut rows = rows.clone();
            if let Some(Some(value)) = rows
                .get_mut(row)
                .and_then(|columns| columns.get_mut(error.column))
            {
                *value = moved(*value);
            }
            Value::Points(rows)
        }
        Some(Value::Word(_)) | None => return given.clone(),
    };
    given.clone().with(&error.input, value)
}

/// A reading moved by a step of its error, in SI.
///
/// A pressure difference does not change its sign: a gauge that may read zero bounds nothing, and
/// to go through to the other side would make a finite hole of it again.
pub fn shifted_value(value: f64, step: f64, dimension: Option<Dimension>) -> f64 {
    let moved = value + step;
    if dimension == Some(Dimension::Pressure) && value * moved < 0.0 {
        0.0
    } else {
        moved
    }
}

/// The number at a place; NaN where the run failed or gave none.
fn number(worked: Option<&Worked>, place: usize) -> f64 {
    worked
        .and_then(|worked| worked.results.get(place))
        .and_then(Answer::number)
        .unwrap_or(f64::NAN)
}

/// Says so when an error within its range would turn a verdict.
fn doubt(calculation: &Calculation, place: usize, text: &str, shifted: &[Pair]) -> Option<String> {
    let mut others: Vec<&str> = shifted
        .iter()
        .flat_map(|(plus, minus)| [plus, minus])
        .flatten()
        .filter_map(|worked| match worked.results.get(place) {
            Some(Answer::Text(other)) if other != text => Some(other.as_str()),
            _ => None,
        })
        .collect();
    others.sort_unstable();
    others.dedup();
    let id = calculation
        .outputs
        .get(place)
        .map_or("result", |output| output.id);
    (!others.is_empty()).then(|| {
        format!(
            "the {id} is not certain: within the errors it could be \"{}\"",
            others.join("\" or \"")
        )
    })
}
