//! One calculation with the errors of its readings: central values, and a 95 % interval each.
//!
//! Every error is a source of its own (each point of a sweep too), and so is each nuisance of the
//! model; their effects add as the root of the sum of squares, and a verdict is in doubt where they turn it, one by one or
//! all together; a bias moves all readings of one gauge together. For a chain of calculations whoever owns
//! the chain does the same over the whole of it, so that what is shared cancels; this module is for
//! one alone.

use super::calculation::{Answer, CANNOT_TELL, CalcError, Calculation, Kind, Seen, Shifts, Worked};
use super::given::{Given, Value};
use super::uncertainty::{DEVIATIONS, Estimate, combine};
use crate::units::{Dimension, Unit};

/// An interval narrower than this share of its value is none: a rounding of sums.
const SLIGHTEST: f64 = 1e-9;

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

/// A bias that all readings of one gauge share: one draw for all of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Bias {
    /// The readings: input, and for points which column.
    pub readings: Vec<(String, usize)>,
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
    /// A number whose unit came with the answer.
    Measured(f64, Unit),
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
    evaluate_biased(calculation, given, errors, &[])
}

/// The same, with biases that all readings of a gauge share.
///
/// # Errors
/// As [`evaluate`].
pub fn evaluate_biased(
    calculation: &Calculation,
    given: &Given,
    errors: &[InputError],
    biases: &[Bias],
) -> Result<Evaluation, CalcError> {
    let centre = calculation.work(given, &Shifts::none())?;
    let causes = causes(calculation, given, errors, biases);
    let pairs = shifted_runs(calculation, given, &causes);
    let together = together(calculation, given, &causes, &pairs);
    let all = Shifted {
        calculation,
        pairs,
        spread: !errors.is_empty() || !biases.is_empty(),
    };
    let mut notes = centre.notes.clone();
    let mut results = Vec::with_capacity(centre.results.len());
    for (place, answer) in centre.results.iter().enumerate() {
        let judge = calculation.outputs.get(place).and_then(|o| o.judge);
        let judged = judge.and_then(|judge| {
            let (of, _) = calculation.output(judge.of)?;
            let on = centre.results.get(of)?;
            let also = judge.also.and_then(|also| {
                let (also, _) = calculation.output(also)?;
                all.estimate(centre.results.get(also)?, also)
            });
            Some((judge.rule)(&Seen {
                given,
                estimate: all.estimate(on, of)?,
                effects: &all.effects(on.number()?, of),
                also,
            }))
        });
        results.push(match judged.as_ref().unwrap_or(answer) {
            Answer::Number(_) | Answer::AtLeast(_) | Answer::AtMost(_) if judged.is_none() => {
                all.number(answer, place)
            }
            Answer::Number(value) | Answer::AtLeast(value) | Answer::AtMost(value) => {
                Evaluated::Number {
                    estimate: Estimate::exact(*value),
                    spread: false,
                }
            }
            Answer::Measured(value, unit) => Evaluated::Measured(*value, *unit),
            Answer::Text(text) => {
                let mut text = text.clone();
                if let Some(output) = calculation.outputs.get(place) {
                    let others = match &judged {
                        None => {
                            let one = all.pairs.iter().flat_map(|pair| [&pair.plus, &pair.minus]);
                            texts(one.flatten().chain(&together), place)
                        }
                        // A judged text has looked at the interval already, which knows no error of its limits.
                        Some(_) if text == CANNOT_TELL => Vec::new(),
                        Some(_) => texts(all.with_other_limits().into_iter(), place),
                    };
                    notes.extend(not_certain(output.id, &text, others.iter().copied()));
                    let doubtful = judged.is_some() && others.iter().any(|other| *other != text);
                    text = if doubtful && output.words.contains(&CANNOT_TELL) {
                        CANNOT_TELL.to_owned()
                    } else {
                        output.in_doubt(&text, others.into_iter()).to_owned()
                    };
                }
                Evaluated::Text(text)
            }
            Answer::Absent => Evaluated::Absent,
        });
    }
    Ok(Evaluation { results, notes })
}

/// The shifted evaluations, and what they say of each result.
struct Shifted<'a> {
    calculation: &'a Calculation,
    pairs: Vec<Pair>,
    /// Whether an error was given, so that even a result it does not move has an interval.
    spread: bool,
}

impl Shifted<'_> {
    fn estimate(&self, answer: &Answer, place: usize) -> Option<Estimate> {
        let value = answer.number()?;
        let pairs = self.pairs.iter().map(|pair| pair.at(place));
        let mut estimate = match self.calculation.outputs.get(place) {
            Some(output) => output.combine(value, pairs).at_least(output.floor()),
            None => combine(value, pairs),
        };
        // A shifted one that is only a bound leaves the interval open on that side, and its number still counts on the other.
        for other in self.at(place).chain([answer]) {
            estimate = estimate.opened(other.open());
        }
        Some(estimate)
    }

    /// What the shifted evaluations come to at a place.
    fn at(&self, place: usize) -> impl Iterator<Item = &Answer> {
        let both = self.pairs.iter().flat_map(|pair| [&pair.plus, &pair.minus]);
        both.flatten()
            .filter_map(move |worked| worked.results.get(place))
    }

    /// The evaluations whose error moves no number, so that it can only have moved the limits of a verdict.
    fn with_other_limits(&self) -> Vec<&Worked> {
        let still = |pair: &&Pair| {
            (0..self.calculation.outputs.len()).all(|place| {
                let (plus, minus) = pair.at(place);
                plus.to_bits() == minus.to_bits()
            })
        };
        let pairs = self.pairs.iter().filter(still);
        pairs
            .flat_map(|pair| [&pair.plus, &pair.minus])
            .flatten()
            .collect()
    }

    fn effects(&self, value: f64, place: usize) -> Vec<(String, f64)> {
        self.pairs
            .iter()
            .map(|pair| {
                (
                    pair.source.clone(),
                    combine(value, [pair.at(place)]).half_width(),
                )
            })
            .collect()
    }

    fn number(&self, answer: &Answer, place: usize) -> Evaluated {
        let Some(estimate) = self.estimate(answer, place) else {
            return Evaluated::Absent;
        };
        // What cancels leaves the last digits of its sums behind.
        let counts = SLIGHTEST * estimate.value.abs();
        let wide =
            estimate.value - estimate.low > counts || estimate.high - estimate.value > counts;
        Evaluated::Number {
            estimate,
            spread: wide || self.spread,
        }
    }
}

/// The results at both ends of one source of error.
struct Pair {
    /// Name of the nuisance or of the input.
    source: String,
    plus: Option<Worked>,
    minus: Option<Worked>,
}

impl Pair {
    fn at(&self, place: usize) -> (f64, f64) {
        (
            number(self.plus.as_ref(), place),
            number(self.minus.as_ref(), place),
        )
    }
}

/// What one error moves.
enum Cause<'a> {
    /// A nuisance of the model.
    Model(&'static str),
    /// Numbers of the inputs, all together: one of them, or all that a gauge has read.
    Numbers(Vec<Move<'a>>, Size),
}

impl Cause<'_> {
    fn source(&self) -> &str {
        match self {
            Self::Model(name) => name,
            Self::Numbers(moves, _) => moves.first().map_or("", |moved| moved.input),
        }
    }

    /// The values with this error at so large a share of its 95 % range, 1 for its upper end.
    fn moved(&self, (given, shifts): (Given, Shifts), share: f64) -> (Given, Shifts) {
        match self {
            Self::Model(name) => (given, shifts.and(name, DEVIATIONS * share)),
            Self::Numbers(moves, size) => {
                let of = |given: Given, moved: &Move| moved.of(&given, *size, share);
                (moves.iter().fold(given, of), shifts)
            }
        }
    }
}

fn causes<'a>(
    calculation: &'a Calculation,
    given: &Given,
    errors: &'a [InputError],
    biases: &'a [Bias],
) -> Vec<Cause<'a>> {
    let of_model = calculation.nuisances.iter();
    let of_model = of_model.filter(|nuisance| nuisance.acts(given));
    let of_model = of_model.map(|nuisance| Cause::Model(nuisance.name));
    let of_readings = errors.iter().flat_map(|error| {
        let (dimension, count) = shape(calculation, given, &error.input, error.column);
        (0..count).map(move |row| {
            let moved = Move {
                input: &error.input,
                column: error.column,
                row: Some(row),
                dimension,
            };
            Cause::Numbers(vec![moved], error.size)
        })
    });
    let of_gauges = biases.iter().map(|bias| {
        let all = bias.readings.iter().map(|(input, column)| Move {
            input,
            column: *column,
            row: None,
            dimension: shape(calculation, given, input, *column).0,
        });
        Cause::Numbers(all.collect(), bias.size)
    });
    of_model.chain(of_readings).chain(of_gauges).collect()
}

fn run(calculation: &Calculation, (given, shifts): &(Given, Shifts)) -> Option<Worked> {
    (calculation.run)(given, shifts).ok()
}

fn shifted_runs(calculation: &Calculation, given: &Given, causes: &[Cause]) -> Vec<Pair> {
    causes
        .iter()
        .map(|cause| {
            let at = |share| {
                let centre = (given.clone(), Shifts::none());
                run(calculation, &cause.moved(centre, share))
            };
            Pair {
                source: cause.source().to_owned(),
                plus: at(1.0),
                minus: at(-1.0),
            }
        })
        .collect()
}

/// The calculation at both ends of each number's 95 % interval, by all errors together.
///
/// Of all the ways to get there the likeliest moves each error by its share of the interval (the design point of
/// first-order reliability, Hasofer and Lind 1974; from memory). A verdict that rests on a number then turns
/// where the number's interval reaches its limit, not only where one error alone does.
fn together(
    calculation: &Calculation,
    given: &Given,
    causes: &[Cause],
    pairs: &[Pair],
) -> Vec<Worked> {
    let ends = (0..calculation.outputs.len()).flat_map(|place| {
        let halves: Vec<f64> = pairs
            .iter()
            .map(|pair| {
                let (plus, minus) = pair.at(place);
                let half = (plus - minus) / 2.0;
                if half.is_finite() { half } else { 0.0 }
            })
            .collect();
        let whole = halves.iter().fold(0.0_f64, |sum, half| sum.hypot(*half));
        [1.0, -1.0].into_iter().filter_map(move |sign| {
            let centre = (given.clone(), Shifts::none());
            let all = causes.iter().zip(&halves);
            let moved = all.fold(centre, |so_far, (cause, half)| {
                cause.moved(so_far, sign * half / whole)
            });
            (whole > 0.0).then(|| run(calculation, &moved)).flatten()
        })
    });
    ends.collect()
}

/// What the shifted number measures, and how many there are of it.
fn shape(
    calculation: &Calculation,
    given: &Given,
    input: &str,
    column: usize,
) -> (Option<Dimension>, usize) {
    let dimension = calculation.input(input).and_then(|input| match input.kind {
        Kind::Quantity(dimension) | Kind::List(dimension) => Some(dimension),
        Kind::Points(fields) => fields.get(column).map(|field| field.dimension),
        Kind::Count | Kind::Word(_) | Kind::Text | Kind::Coefficient | Kind::ListAny => None,
    });
    let count = match given.get(input) {
        Some(Value::Points(rows)) => rows.len(),
        Some(Value::List(values)) => values.len(),
        Some(Value::Number(_)) => 1,
        Some(Value::Word(_)) | None => 0,
    };
    (dimension, count)
}

/// Which numbers of an input are moved.
struct Move<'a> {
    input: &'a str,
    column: usize,
    /// One of a list or of points; all of them where it is none.
    row: Option<usize>,
    dimension: Option<Dimension>,
}

impl Move<'_> {
    /// The values with these numbers moved by their error.
    fn of(&self, given: &Given, size: Size, sign: f64) -> Given {
        let moved = |value: f64| shifted_value(value, sign * size.of(value), self.dimension);
        let here = |place: usize| self.row.is_none_or(|row| row == place);
        let value = match given.get(self.input) {
            Some(Value::Number(value)) => Value::Number(moved(*value)),
            Some(Value::List(values)) => Value::List(
                values
                    .iter()
                    .enumerate()
                    .map(|(i, v)| if here(i) { moved(*v) } else { *v })
                    .collect(),
            ),
            Some(Value::Points(rows)) => {
                let mut rows = rows.clone();
                for (place, columns) in rows.iter_mut().enumerate() {
                    if let Some(Some(value)) = columns.get_mut(self.column)
                        && here(place)
                    {
                        *value = moved(*value);
                    }
                }
                Value::Points(rows)
            }
            Some(Value::Word(_)) | None => return given.clone(),
        };
        given.clone().with(self.input, value)
    }
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

/// What a verdict says in each of these.
fn texts<'w>(shifted: impl Iterator<Item = &'w Worked>, place: usize) -> Vec<&'w str> {
    let text = |worked: &'w Worked| match worked.results.get(place) {
        Some(Answer::Text(text)) => Some(text.as_str()),
        _ => None,
    };
    shifted.filter_map(text).collect()
}

/// The words for a verdict that errors within their range would turn; `others` is what it says with them.
pub fn not_certain<'w>(
    id: &str,
    text: &str,
    others: impl Iterator<Item = &'w str>,
) -> Option<String> {
    let mut others: Vec<&str> = others.filter(|other| *other != text).collect();
    others.sort_unstable();
    others.dedup();
    (!others.is_empty()).then(|| {
        format!(
            "the {id} is not certain: by the readings \"{text}\", within the errors it could be \"{}\"",
            others.join("\" or \"")
        )
    })
}
