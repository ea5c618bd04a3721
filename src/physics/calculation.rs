//! What a calculation *is*: its named inputs and outputs, its source, and how it is worked.
//!
//! One table of these serves the command line and the `worked` values of a flow, so that help,
//! parsing and checking can never part from the formulas. This module owns the description and
//! the checks common to all; it must not know any formula, nor text other than its own.
//!
//! How to work one: [`Calculation::work`] once for the values as read, then
//! [`Calculation::run`](Calculation#structfield.run) for each slightly shifted set of values. The
//! first refuses what should not be worked at all (a trim at its stop); the second stays smooth
//! around a value that the first accepted, because a shifted value was never read by anybody.

use super::given::Given;
pub use super::output::{CANNOT_TELL, Judge, Output, OutputKind, Seen, UnitBy};
use crate::units::{Dimension, Quantity, Unit};
use std::collections::BTreeMap;
use thiserror::Error;

/// What an input holds, and so how its text is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A number with a unit of this dimension.
    Quantity(Dimension),
    /// A whole number of things, written without a unit.
    Count,
    /// One of these words.
    Word(&'static [&'static str]),
    /// Free text, such as a number stamped on a plate.
    Text,
    /// A discharge coefficient: `sharp`, `rounded`, or a number between 0 and 1.
    Coefficient,
    /// Several points, each with these fields.
    Points(&'static [Field]),
    /// Several quantities of this dimension.
    List(Dimension),
    /// Several quantities of one dimension, whichever it is.
    ListAny,
}

/// One column of the points of an input.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Field {
    /// Name, as a flow writes it.
    pub name: &'static str,
    /// What it measures.
    pub dimension: Dimension,
    /// Whether every point must have it.
    pub needed: bool,
}

/// One input of a calculation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// Name, as a flow or the command line writes it.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
    /// Whether the calculation cannot do without.
    pub needed: bool,
    /// The value taken when it is left out, as text.
    pub default: Option<&'static str>,
    /// One line on what it is.
    pub help: &'static str,
    /// The values that it can have, in SI, and what to do about any other; nothing where any number can be meant.
    pub range: Option<Range>,
}

/// The values that an input can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// The least, in SI.
    pub least: f64,
    /// The greatest, in SI.
    pub most: f64,
    /// What is probably wrong with any other value, and what to do.
    pub remedy: &'static str,
}

impl Input {
    /// An input that must be given.
    pub const fn needed(name: &'static str, kind: Kind, help: &'static str) -> Self {
        Self {
            name,
            kind,
            needed: true,
            default: None,
            help,
            range: None,
        }
    }

    /// An input that may be left out, without a value in its stead.
    pub const fn optional(name: &'static str, kind: Kind, help: &'static str) -> Self {
        Self {
            name,
            kind,
            needed: false,
            default: None,
            help,
            range: None,
        }
    }

    /// An input that may be left out, and the value then taken.
    pub const fn or(
        name: &'static str,
        kind: Kind,
        default: &'static str,
        help: &'static str,
    ) -> Self {
        Self {
            name,
            kind,
            needed: false,
            default: Some(default),
            help,
            range: None,
        }
    }

    /// The same, without a value in its stead.
    #[must_use]
    pub const fn needed_as(mut self, help: &'static str) -> Self {
        self.needed = true;
        self.default = None;
        self.help = help;
        self
    }

    /// The same, refused outside a range (SI, both ends included).
    #[must_use]
    pub const fn within(mut self, least: f64, most: f64, remedy: &'static str) -> Self {
        self.range = Some(Range {
            least,
            most,
            remedy,
        });
        self
    }
}

/// An error of the model itself, as opposed to an error of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nuisance {
    /// Name. Calculations of one job that share it are wrong together, so that it cancels
    /// between them where it should.
    pub name: &'static str,
    /// What it stands for, and how large it is taken to be.
    pub help: &'static str,
    /// The input and its word with which alone it acts; always where there is none.
    pub only_with: Option<(&'static str, &'static str)>,
}

impl Nuisance {
    /// Whether it acts on these values.
    pub fn acts(&self, given: &Given) -> bool {
        let with = self.only_with;
        with.is_none_or(|(input, word)| given.word(input, "") == word)
    }
}

/// How far each nuisance is off its centre, in standard deviations.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Shifts(BTreeMap<&'static str, f64>);

impl Shifts {
    /// Everything at its centre.
    pub fn none() -> Self {
        Self::default()
    }

    /// One nuisance off its centre, the rest on it.
    pub fn one(name: &'static str, deviations: f64) -> Self {
        Self(BTreeMap::from([(name, deviations)]))
    }

    /// Adds or replaces one.
    #[must_use]
    pub fn and(mut self, name: &'static str, deviations: f64) -> Self {
        self.0.insert(name, deviations);
        self
    }

    /// How far this nuisance is off its centre; 0 when nobody moved it.
    pub fn get(&self, name: &str) -> f64 {
        self.0.get(name).copied().unwrap_or(0.0)
    }
}

/// One named calculation.
#[derive(Debug)]
pub struct Calculation {
    /// Name, as a flow or the command line writes it.
    pub name: &'static str,
    /// Raised whenever the same inputs may give another result, so that a record can say by which
    /// version it was worked.
    pub version: u32,
    /// What it does, in one line.
    pub summary: &'static str,
    /// Where the formula comes from, in words.
    pub source: &'static str,
    /// What it takes.
    pub inputs: &'static [Input],
    /// What it gives; the first is the main result.
    pub outputs: &'static [Output],
    /// The errors of the model that [`Self::run`](Self#structfield.run) can be shifted by.
    pub nuisances: &'static [Nuisance],
    /// Refuses values that were read but must not be worked. Called on the central values only.
    pub refuse: fn(&Given) -> Result<(), CalcError>,
    /// The point evaluation. Pure, and smooth around a value that was accepted.
    pub run: fn(&Given, &Shifts) -> Result<Worked, CalcError>,
}

impl Calculation {
    /// The input of this name.
    pub fn input(&self, name: &str) -> Option<&'static Input> {
        self.inputs.iter().find(|input| input.name == name)
    }

    /// The result of this id, and its place in [`Worked::results`].
    pub fn output(&self, id: &str) -> Option<(usize, &'static Output)> {
        self.outputs
            .iter()
            .enumerate()
            .find(|(_, output)| output.id == id)
    }

    /// Works the values as read: checks that what is needed is there, that all is finite and of
    /// the right kind, and that nothing is refused, and then runs.
    ///
    /// # Errors
    /// [`CalcError`] with the input at fault and what to do about it.
    pub fn work(&self, given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
        given.check(self)?;
        (self.refuse)(given)?;
        let worked = (self.run)(given, shifts)?;
        if worked
            .results
            .iter()
            .filter_map(Answer::number)
            .all(f64::is_finite)
        {
            return Ok(worked);
        }
        let inputs: Vec<_> = given.iter().map(|(name, _)| name).collect();
        Err(CalcError::new(
            inputs.join(", "),
            "these values give no finite result",
            "check each number and its unit",
        ))
    }
}

/// For calculations that refuse nothing beyond the common checks.
#[expect(
    clippy::unnecessary_wraps,
    reason = "it stands where others can refuse"
)]
pub(super) fn accept(_: &Given) -> Result<(), CalcError> {
    Ok(())
}

/// What came of a point evaluation.
#[derive(Debug, Clone, PartialEq)]
pub struct Worked {
    /// In the order of [`Calculation::outputs`].
    pub results: Vec<Answer>,
    /// What the reader of the results must know: reference conditions, assumptions, warnings.
    pub notes: Vec<String>,
}

/// One result.
#[derive(Debug, Clone, PartialEq)]
pub enum Answer {
    /// A number in SI.
    Number(f64),
    /// A number in SI that the true one is not below: nothing bounds it upwards.
    AtLeast(f64),
    /// A number in SI that the true one is not above: nothing bounds it downwards.
    AtMost(f64),
    /// A number in SI of a result of kind [`OutputKind::OwnUnit`], and the unit to show it in.
    Measured(f64, Unit),
    /// Words.
    Text(String),
    /// The inputs given do not settle this one.
    Absent,
}

impl From<f64> for Answer {
    fn from(value: f64) -> Self {
        Self::Number(value)
    }
}

impl From<&str> for Answer {
    fn from(text: &str) -> Self {
        Self::Text(text.to_owned())
    }
}

impl From<String> for Answer {
    fn from(text: String) -> Self {
        Self::Text(text)
    }
}

impl From<Option<f64>> for Answer {
    fn from(value: Option<f64>) -> Self {
        value.map_or(Self::Absent, Self::Number)
    }
}

impl Answer {
    /// The number, if it is one.
    pub fn number(&self) -> Option<f64> {
        match self {
            Self::Number(value)
            | Self::AtLeast(value)
            | Self::AtMost(value)
            | Self::Measured(value, _) => Some(*value),
            Self::Text(_) | Self::Absent => None,
        }
    }

    /// On which sides nothing bounds the number: below, above.
    pub fn open(&self) -> (bool, bool) {
        (
            matches!(self, Self::AtMost(_)),
            matches!(self, Self::AtLeast(_)),
        )
    }
}

/// Why a calculation cannot be worked: the input at fault, what is wrong, and what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{input}: {problem}; {remedy}")]
pub struct CalcError {
    /// Name of the input at fault.
    pub input: String,
    /// What is wrong with it.
    pub problem: String,
    /// What to do about it.
    pub remedy: String,
}

impl CalcError {
    /// An error about one input.
    pub fn new(
        input: impl Into<String>,
        problem: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        Self {
            input: input.into(),
            problem: problem.into(),
            remedy: remedy.into(),
        }
    }
}

/// A quantity of an expected dimension.
///
/// # Errors
/// Says what the input measures and gives an example in its default unit.
pub(super) fn quantity_of(name: &str, text: &str, dimension: Dimension) -> Result<f64, CalcError> {
    let quantity: Quantity = text.parse().map_err(|e: crate::units::UnitError| {
        CalcError::new(name, e.to_string(), example(dimension))
    })?;
    if quantity.dimension() == dimension {
        return Ok(quantity.si());
    }
    if dimension == Dimension::Resistance && is_off_scale(text) {
        let off_scale = crate::units::UnitError::OffScale {
            text: text.to_owned(),
        };
        return Err(CalcError::new(
            name,
            off_scale.to_string(),
            example(dimension),
        ));
    }
    let problem = format!(
        "\"{quantity}\" is {}, and {} is needed",
        quantity.dimension().with_article(),
        dimension.with_article()
    );
    Err(CalcError::new(name, problem, example(dimension)))
}

/// What a meter shows where its range ends, taken for no litres.
fn is_off_scale(text: &str) -> bool {
    let bare: String = text.chars().filter(|c| *c != '.').collect();
    bare.trim().eq_ignore_ascii_case("0L")
}

fn example(dimension: Dimension) -> String {
    let names: Vec<_> = Unit::of(dimension).map(Unit::name).collect();
    format!("give it in one of {}", names.join(", "))
}
