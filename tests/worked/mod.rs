//! Working registered calculations from texts, as a technician writes them, and reading tables.

use ruleout::physics::evaluate::{Evaluated, Evaluation, InputError, Size, evaluate};
use ruleout::physics::given::read_values;
use ruleout::physics::{Answer, CalcError, Given, Shifts, Worked, find};
use ruleout::units::Unit;
use std::collections::HashMap;

pub type Inputs<'a> = [(&'a str, &'a str)];

/// Values from texts; points and lists part at `;`.
pub fn given(name: &str, inputs: &Inputs) -> Result<Given, CalcError> {
    let calculation = find(name).expect("registered");
    let mut given = Given::new();
    for (input, text) in inputs {
        let texts: Vec<&str> = text.split(';').collect();
        let input = calculation.input(input).expect("an input");
        given.set(input.name, read_values(input, &texts)?);
    }
    Ok(given)
}

pub fn work(name: &str, inputs: &Inputs) -> Result<Worked, CalcError> {
    find(name)
        .expect("registered")
        .work(&given(name, inputs)?, &Shifts::none())
}

pub fn refusal(name: &str, inputs: &Inputs) -> String {
    work(name, inputs)
        .expect_err("it should be refused")
        .to_string()
}

/// One result, by its id.
pub fn answer(name: &str, id: &str, inputs: &Inputs) -> Answer {
    let (place, _) = find(name)
        .expect("registered")
        .output(id)
        .unwrap_or_else(|| panic!("{name} has no result {id}"));
    work(name, inputs)
        .unwrap_or_else(|why| panic!("{name}: {why}"))
        .results
        .swap_remove(place)
}

/// A number in SI.
pub fn number(name: &str, id: &str, inputs: &Inputs) -> f64 {
    answer(name, id, inputs).number().expect("a number")
}

/// A number in a unit.
pub fn in_unit(name: &str, id: &str, unit: &str, inputs: &Inputs) -> f64 {
    Unit::parse(unit)
        .expect("a unit")
        .from_si(number(name, id, inputs))
}

pub fn text(name: &str, id: &str, inputs: &Inputs) -> String {
    match answer(name, id, inputs) {
        Answer::Text(text) => text,
        other => panic!("{name} {id}: {other:?} is no text"),
    }
}

/// With 95 % errors: input, column, size in SI.
pub fn evaluated(name: &str, inputs: &Inputs, errors: &[(&str, usize, f64)]) -> Evaluation {
    let errors: Vec<InputError> = errors
        .iter()
        .map(|(input, column, size)| InputError {
            input: (*input).to_owned(),
            column: *column,
            size: Size::Absolute(*size),
        })
        .collect();
    evaluate(
        find(name).expect("registered"),
        &given(name, inputs).expect("sound"),
        &errors,
    )
    .expect("worked")
}

/// One result of an evaluation.
pub fn of<'a>(name: &str, id: &str, evaluation: &'a Evaluation) -> &'a Evaluated {
    let (place, _) = find(name)
        .expect("registered")
        .output(id)
        .expect("a result");
    &evaluation.results[place]
}

pub fn said(name: &str, id: &str, evaluation: &Evaluation) -> String {
    match of(name, id, evaluation) {
        Evaluated::Text(text) => text.clone(),
        other => panic!("{name} {id}: {other:?} is no text"),
    }
}

pub type Row = HashMap<String, String>;

/// The rows of a table of `tests/reference`, each by the names of its head line.
pub fn table(name: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{name}.csv", env!("CARGO_MANIFEST_DIR"));
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(path)
        .expect("the table is there");
    reader
        .deserialize()
        .map(|row| row.expect("a sound row"))
        .collect()
}

pub fn cell(row: &Row, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|_| panic!("{column} of {row:?} is no number"))
}

/// Holds a figure that was measured against the one that the README states: the `place`-th (from 0)
/// in the last column of the row that is checked against `words`. It must be the same to the last
/// digit that is stated there, so that neither can drift from the other.
pub fn stated(words: &str, place: usize, seen: f64) {
    let readme = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"));
    let cells = |line: &'static str| -> Option<(&str, &str)> {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        (line.starts_with('|') && cells.len() == 4).then(|| (cells[2], cells[3]))
    };
    let rows: Vec<(&str, &str)> = readme
        .lines()
        .filter_map(cells)
        .filter(|(against, _)| against.contains(words))
        .collect();
    let [(_, figures)] = rows[..] else {
        panic!(
            "{} rows of the README are checked against {words}",
            rows.len()
        )
    };
    let figure = figures
        .split([',', ';'])
        .nth(place)
        .unwrap_or_else(|| panic!("{words}: the README has no figure {place} in \"{figures}\""));
    let (value, half) = read_figure(figure.trim());
    println!("{words}: {seen:.3e} measured, {} stated", figure.trim());
    assert!(
        (seen - value).abs() <= half * 1.000_001,
        "{words}: the README states {figure}, and {seen:.4e} was measured"
    );
}

/// Holds what was measured against the README's words, wherever they stand in it.
pub fn said_in_the_readme(words: &str) {
    let readme = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"));
    let readme = readme.split_whitespace().collect::<Vec<_>>().join(" ");
    println!("{words}");
    assert!(
        readme.contains(words),
        "the README does not say \"{words}\""
    );
}

/// A figure as it is stated, such as `1.1 %` or `5e-7 of all`, and half a step of its last digit.
fn read_figure(text: &str) -> (f64, f64) {
    let number = text.split(' ').next().unwrap_or_default();
    let per_cent = if text[number.len()..].trim_start().starts_with('%') {
        0.01
    } else {
        1.0
    };
    let (digits, power) = number.split_once('e').unwrap_or((number, "0"));
    let decimals = digits.split_once('.').map_or(0, |(_, behind)| behind.len());
    let power: i32 = power.parse().expect("a power of ten");
    let step = 10_f64.powi(power - i32::try_from(decimals).expect("few digits"));
    let value: f64 = number
        .parse()
        .unwrap_or_else(|_| panic!("{text} begins with no number"));
    (value * per_cent, step * per_cent / 2.0)
}

/// Holds the largest deviation seen within a limit, and against the one that the README states: see
/// [`stated`].
pub fn largest_as_stated(words: &str, place: usize, deviations: &[f64], limit: f64) {
    largest(words, deviations, limit);
    let seen = deviations.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
    stated(words, place, seen);
}

/// Says the largest deviation seen, and holds it within a limit.
pub fn largest(what: &str, deviations: &[f64], limit: f64) {
    let seen = deviations.iter().fold(0.0_f64, |a, b| a.max(b.abs()));
    println!(
        "{what}: largest deviation {seen:.2e} over {} values",
        deviations.len()
    );
    assert!(!deviations.is_empty() && seen <= limit, "{what}: {seen:e}");
}
