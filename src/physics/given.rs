//! The values that a calculation is given, in SI, with typed access and the checks common to all.

use super::calculation::{CalcError, Calculation, Field, Input, Kind, quantity_of};
use super::orifice::Coefficient;
use crate::units::preferred::shown_unit;
use crate::units::{Dimension, Quantity, Unit};
use std::collections::BTreeMap;

/// One value given to a calculation.
#[derive(Debug, Clone, PartialEq)]
pub enum Value {
    /// A number in SI.
    Number(f64),
    /// A word.
    Word(String),
    /// Points: one row a point, its columns in the order of the input's fields, in SI.
    Points(Vec<Vec<Option<f64>>>),
    /// A list of numbers in SI.
    List(Vec<f64>),
}

impl Value {
    /// Every number in the value.
    fn numbers(&self) -> Vec<f64> {
        match self {
            Self::Number(value) => vec![*value],
            Self::Word(_) => Vec::new(),
            Self::Points(rows) => rows.iter().flatten().flatten().copied().collect(),
            Self::List(values) => values.clone(),
        }
    }
}

/// Values by the name of their input.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Given(BTreeMap<String, Value>);

impl Given {
    /// Nothing given yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds or replaces a value.
    pub fn set(&mut self, name: &str, value: Value) {
        self.0.insert(name.to_owned(), value);
    }

    /// The same with a value added: for building one in a chain.
    #[must_use]
    pub fn with(mut self, name: &str, value: Value) -> Self {
        self.set(name, value);
        self
    }

    /// The same with a number in SI added.
    #[must_use]
    pub fn with_number(self, name: &str, si: f64) -> Self {
        self.with(name, Value::Number(si))
    }

    /// Leaves only the values whose names pass.
    pub fn keep(&mut self, passes: impl Fn(&str) -> bool) {
        self.0.retain(|name, _| passes(name));
    }

    /// The value under this name, whatever it is.
    pub fn get(&self, name: &str) -> Option<&Value> {
        self.0.get(name)
    }

    /// All values, by name.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value))
    }

    /// A number that must be there.
    ///
    /// # Errors
    /// When it is missing or is no number.
    pub fn number(&self, name: &str) -> Result<f64, CalcError> {
        self.maybe(name).ok_or_else(|| missing(name))
    }

    /// A number, or `default` in SI when it was left out.
    pub fn number_or(&self, name: &str, default: f64) -> f64 {
        self.maybe(name).unwrap_or(default)
    }

    /// Text that must be there.
    ///
    /// # Errors
    /// When it is missing.
    pub fn text(&self, name: &str) -> Result<&str, CalcError> {
        match self.0.get(name) {
            Some(Value::Word(text)) => Ok(text),
            _ => Err(missing(name)),
        }
    }

    /// A number if it was given.
    pub fn maybe(&self, name: &str) -> Option<f64> {
        match self.0.get(name) {
            Some(Value::Number(value)) => Some(*value),
            _ => None,
        }
    }

    /// A word, or `default` when it was left out.
    pub fn word<'a>(&'a self, name: &str, default: &'a str) -> &'a str {
        match self.0.get(name) {
            Some(Value::Word(word)) => word,
            _ => default,
        }
    }

    /// Points that must be there.
    ///
    /// # Errors
    /// When they are missing.
    pub fn points(&self, name: &str) -> Result<&[Vec<Option<f64>>], CalcError> {
        match self.0.get(name) {
            Some(Value::Points(rows)) => Ok(rows),
            _ => Err(missing(name)),
        }
    }

    /// A list that must be there; one number is a list of one.
    ///
    /// # Errors
    /// When it is missing.
    pub fn list(&self, name: &str) -> Result<&[f64], CalcError> {
        match self.0.get(name) {
            Some(Value::List(values)) => Ok(values),
            Some(Value::Number(value)) => Ok(std::slice::from_ref(value)),
            _ => Err(missing(name)),
        }
    }

    /// The discharge coefficient, sharp-edged unless another was given.
    ///
    /// # Errors
    /// When the word is not a model or the number not a coefficient.
    pub fn coefficient(&self, name: &str) -> Result<Coefficient, CalcError> {
        match self.0.get(name) {
            None => Ok(Coefficient::Sharp),
            Some(Value::Number(value)) => Coefficient::fixed(name, *value),
            Some(Value::Word(word)) => Coefficient::parse(name, word),
            Some(Value::Points(_) | Value::List(_)) => Err(wrong_kind(name)),
        }
    }

    /// The checks common to all calculations.
    pub(super) fn check(&self, calculation: &Calculation) -> Result<(), CalcError> {
        for (name, value) in &self.0 {
            let Some(input) = calculation.input(name) else {
                let names: Vec<_> = calculation.inputs.iter().map(|i| i.name).collect();
                let remedy = format!("it takes {}", names.join(", "));
                return Err(CalcError::new(
                    name,
                    format!("{} has no such input", calculation.name),
                    remedy,
                ));
            };
            if !fits(input.kind, value) {
                return Err(wrong_kind(name));
            }
            if value.numbers().iter().any(|v| !v.is_finite()) {
                return Err(CalcError::new(
                    name,
                    "not a finite number",
                    "read it again and write it in figures",
                ));
            }
            is_met(input, value)?;
            in_range(input, value)?;
        }
        match calculation
            .inputs
            .iter()
            .find(|i| i.needed && !self.0.contains_key(i.name))
        {
            Some(input) => Err(CalcError::new(
                input.name,
                "missing",
                format!("give {}", input.help),
            )),
            None => Ok(()),
        }
    }
}

/// Refuses what is larger than anything that a workshop meets.
fn is_met(input: &Input, value: &Value) -> Result<(), CalcError> {
    let limit = |column: usize| match input.kind {
        Kind::Quantity(dimension) | Kind::List(dimension) => dimension.absurd(),
        Kind::Points(fields) => fields
            .get(column)
            .map_or(f64::INFINITY, |f| f.dimension.absurd()),
        Kind::Count => Dimension::Count.absurd(),
        Kind::ListAny => ABSURD,
        Kind::Word(_) | Kind::Text | Kind::Coefficient => f64::INFINITY,
    };
    let beyond = match value {
        Value::Points(rows) => rows.iter().any(|row| {
            let cells = row.iter().enumerate();
            cells
                .into_iter()
                .any(|(column, cell)| cell.is_some_and(|cell| cell.abs() > limit(column)))
        }),
        other => other.numbers().iter().any(|number| number.abs() > limit(0)),
    };
    if beyond {
        return Err(CalcError::new(
            input.name,
            "it is larger than anything that a workshop meets",
            "look at the number and its unit",
        ));
    }
    Ok(())
}

/// For a quantity of whichever dimension, in SI.
const ABSURD: f64 = 1e12;

/// Refuses what lies outside the input's range: a slip of the unit or of the point, most often.
fn in_range(input: &Input, value: &Value) -> Result<(), CalcError> {
    let Some(range) = input.range else {
        return Ok(());
    };
    let is_in = |number: &f64| (range.least..=range.most).contains(number);
    let numbers = value.numbers();
    let Some(outside) = numbers.iter().find(|number| !is_in(number)) else {
        return Ok(());
    };
    let shown = |si: f64| match input.kind {
        Kind::Quantity(dimension) => shown_unit(Unit::default_for(dimension)).show(si),
        _ => si.to_string(),
    };
    let problem = format!(
        "{} is outside {} to {}",
        shown(*outside),
        shown(range.least),
        shown(range.most)
    );
    Err(CalcError::new(input.name, problem, range.remedy))
}

/// What to do about an input that is missing, where nothing more is known of it.
pub const GIVE_IT: &str = "read it and give it with its unit";

fn missing(name: &str) -> CalcError {
    CalcError::new(name, "missing", GIVE_IT)
}

fn wrong_kind(name: &str) -> CalcError {
    CalcError::new(
        name,
        "not the kind of value that belongs here",
        "see the help of the calculation",
    )
}

/// Whether a value has the shape that an input asks for.
fn fits(kind: Kind, value: &Value) -> bool {
    match (kind, value) {
        (Kind::Quantity(_) | Kind::Count | Kind::Coefficient | Kind::List(_), Value::Number(_))
        | (Kind::List(_) | Kind::ListAny, Value::List(_))
        | (Kind::Text, Value::Word(_)) => true,
        (Kind::Coefficient, Value::Word(word)) => Coefficient::parse("", word).is_ok(),
        (Kind::Word(words), Value::Word(word)) => words.contains(&word.as_str()),
        (Kind::Points(fields), Value::Points(rows)) => rows.iter().all(|row| {
            row.len() == fields.len()
                && fields
                    .iter()
                    .zip(row)
                    .all(|(f, v)| v.is_some() || !f.needed)
        }),
        _ => false,
    }
}

/// Reads the text of one input that takes one text.
///
/// # Errors
/// Names the input, says what is wrong with the text and what would be right.
pub fn read_value(input: &Input, text: &str) -> Result<Value, CalcError> {
    match input.kind {
        Kind::Quantity(dimension) => quantity_of(input.name, text, dimension).map(Value::Number),
        Kind::Count => read_count(input.name, text).map(Value::Number),
        Kind::Word(words) if words.contains(&text.trim()) => {
            Ok(Value::Word(text.trim().to_owned()))
        }
        Kind::Word(words) => {
            let problem = format!("\"{}\" is not one of the words known here", text.trim());
            Err(CalcError::new(
                input.name,
                problem,
                format!("write one of {}", words.join(", ")),
            ))
        }
        Kind::Coefficient => read_coefficient(input.name, text),
        Kind::Text => Ok(Value::Word(text.trim().to_owned())),
        Kind::Points(_) | Kind::List(_) | Kind::ListAny => read_values(input, &[text]),
    }
}

/// Reads the texts of an input that takes several: points or a list.
///
/// # Errors
/// Names the input, says what is wrong with the text and what would be right.
pub fn read_values(input: &Input, texts: &[&str]) -> Result<Value, CalcError> {
    match input.kind {
        Kind::Points(fields) => texts
            .iter()
            .map(|text| read_point(input.name, fields, text))
            .collect::<Result<_, _>>()
            .map(Value::Points),
        Kind::List(dimension) => texts
            .iter()
            .map(|text| quantity_of(input.name, text, dimension))
            .collect::<Result<_, _>>()
            .map(Value::List),
        Kind::ListAny => {
            let dimension = list_dimension(input.name, texts)?;
            texts
                .iter()
                .map(|text| quantity_of(input.name, text, dimension))
                .collect::<Result<_, _>>()
                .map(Value::List)
        }
        _ => match texts {
            [one] => read_value(input, one),
            _ => Err(CalcError::new(
                input.name,
                "takes one value",
                "give it once",
            )),
        },
    }
}

/// The dimension of a list that may be of any: that of its first member.
///
/// # Errors
/// When the list is empty or its first member is no quantity.
pub fn list_dimension(name: &str, texts: &[&str]) -> Result<Dimension, CalcError> {
    let first = texts.first().ok_or_else(|| missing(name))?;
    first
        .parse::<Quantity>()
        .map(Quantity::dimension)
        .map_err(|e| CalcError::new(name, e.to_string(), "write each with its unit"))
}

fn read_count(name: &str, text: &str) -> Result<f64, CalcError> {
    let count: u32 = text.trim().parse().map_err(|_| {
        CalcError::new(
            name,
            format!("\"{}\" is not a whole number", text.trim()),
            "count them and write figures only",
        )
    })?;
    Ok(f64::from(count))
}

fn read_coefficient(name: &str, text: &str) -> Result<Value, CalcError> {
    let text = text.trim();
    match text.parse::<f64>() {
        Ok(value) => Coefficient::fixed(name, value).map(|_| Value::Number(value)),
        Err(_) => Coefficient::parse(name, text).map(|_| Value::Word(text.to_owned())),
    }
}

/// Reads "3.0 g/s = 17 % @ 34 kPa": the fields in order, parted by `=` and then `@`.
fn read_point(name: &str, fields: &[Field], text: &str) -> Result<Vec<Option<f64>>, CalcError> {
    let (first, rest) = text.split_once('=').ok_or_else(|| {
        CalcError::new(
            name,
            format!("\"{text}\" has no \"=\""),
            format!("write a point as \"{}\"", shape(fields)),
        )
    })?;
    let mut parts = std::iter::once(first).chain(rest.split('@'));
    let mut row = Vec::with_capacity(fields.len());
    for field in fields {
        match parts.next() {
            Some(part) => row.push(Some(quantity_of(
                &format!("{name} ({})", field.name),
                part,
                field.dimension,
            )?)),
            None if field.needed => {
                let problem = format!("\"{text}\" has no {}", field.name);
                return Err(CalcError::new(
                    name,
                    problem,
                    format!("write a point as \"{}\"", shape(fields)),
                ));
            }
            None => row.push(None),
        }
    }
    match parts.next() {
        Some(extra) => Err(CalcError::new(
            name,
            format!("\"{}\" is one value too many", extra.trim()),
            format!("write a point as \"{}\"", shape(fields)),
        )),
        None => Ok(row),
    }
}

/// How a point of these fields is written: "AIRFLOW = TRIM @ MANIFOLD".
pub fn shape(fields: &[Field]) -> String {
    let mut text = String::new();
    for (place, field) in fields.iter().enumerate() {
        text.push_str(["", " = ", " @ "][place.min(2)]);
        text.push_str(&field.name.to_uppercase());
    }
    text
}
