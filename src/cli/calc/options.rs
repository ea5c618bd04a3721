//! From the table of calculations to options, and from options to values.

use super::json_flag;
use crate::physics::calculation::{CalcError, Calculation, Input, Kind, OutputKind};
use crate::physics::evaluate::{Bias, InputError, Size};
use crate::physics::given::{Given, list_dimension, read_values, shape};
use crate::units::{Dimension, Quantity, Unit};
use clap::{Arg, ArgAction, ArgMatches, Command};

/// What the command line asks for.
pub(super) struct Asked {
    pub given: Given,
    pub errors: Vec<InputError>,
    /// Errors that all readings of a gauge share.
    pub biases: Vec<Bias>,
    /// Units that somebody chose for the results.
    pub show: Vec<Unit>,
    /// The unit of the first of the values, for results of the same dimension.
    pub like: Option<Unit>,
}

impl Asked {
    /// Values alone, without errors, in their usual units.
    pub(super) fn of(given: Given) -> Self {
        Self {
            given,
            errors: Vec::new(),
            biases: Vec::new(),
            show: Vec::new(),
            like: None,
        }
    }
}

/// The sub-command of one calculation.
pub(super) fn command(calculation: &'static Calculation) -> Command {
    // The only text of a calculation is written without its name: `calc vin 1M8GDM9AXKP042788`.
    let texts = calculation.inputs.iter().filter(|i| i.kind == Kind::Text);
    let one_text = texts.count() == 1;
    let inputs = calculation
        .inputs
        .iter()
        .map(|input| option(input, one_text && input.kind == Kind::Text));
    let errors = error_names(calculation).into_iter().map(|name| {
        let of = name.trim_end_matches("-error").replace('-', " ");
        Arg::new(name.clone())
            .long(name)
            .value_name("ERROR")
            .allow_hyphen_values(true)
            .help(format!(
                "95 % error of the {of}: in its unit, or as a share such as \"4 %\""
            ))
            .hide_short_help(true)
    });
    let accuracies = accuracy_names(calculation).into_iter().map(|name| {
        let of = name.trim_end_matches("-accuracy").replace('-', " ");
        Arg::new(name.clone())
            .long(name)
            .value_name("ERROR")
            .allow_hyphen_values(true)
            .help(format!(
                "95 % accuracy of the gauge of every {of}: one error that they share"
            ))
            .hide_short_help(true)
    });
    let show = Arg::new("show")
        .long("show")
        .value_name("UNIT")
        .action(ArgAction::Append)
        .help("Show results of its dimension in this unit; may be repeated");
    Command::new(calculation.name)
        .about(calculation.summary)
        .args(inputs)
        .args(errors)
        .args(accuracies)
        .arg(show)
        .arg(json_flag())
        .after_help(results_help(calculation))
}

/// The option of an input is its name, in the singular where it is repeated.
fn option_name(input: &Input) -> &'static str {
    match input.kind {
        Kind::Points(_) | Kind::List(_) | Kind::ListAny => {
            input.name.strip_suffix('s').unwrap_or(input.name)
        }
        _ => input.name,
    }
}

fn option(input: &Input, by_itself: bool) -> Arg {
    let name = option_name(input);
    let mut help = input.help.to_owned();
    let value_name = match input.kind {
        Kind::Quantity(dimension) | Kind::List(dimension) => {
            dimension.to_string().to_uppercase().replace(' ', "-")
        }
        Kind::Count => "NUMBER".to_owned(),
        Kind::Word(words) => words.join("|"),
        Kind::Coefficient => "sharp|rounded|NUMBER".to_owned(),
        Kind::Points(fields) => {
            help.push_str("; repeat it for each");
            shape(fields)
        }
        Kind::ListAny => "QUANTITY".to_owned(),
        Kind::Text => "TEXT".to_owned(),
    };
    if let Some(default) = input.default {
        help = format!("{help} [default: {default}]");
    }
    let repeated = matches!(input.kind, Kind::Points(_) | Kind::List(_) | Kind::ListAny);
    let arg = Arg::new(name);
    let arg = if by_itself { arg } else { arg.long(name) };
    arg.value_name(value_name)
        .allow_hyphen_values(true)
        .required(input.needed)
        .action(if repeated {
            ArgAction::Append
        } else {
            ArgAction::Set
        })
        .help(help)
}

fn results_help(calculation: &Calculation) -> String {
    let width = calculation
        .outputs
        .iter()
        .map(|o| o.id.len())
        .max()
        .unwrap_or(0);
    let lines: Vec<_> = calculation
        .outputs
        .iter()
        .map(|o| format!("  {:width$}  {}", o.id, o.help))
        .collect();
    format!(
        "Results:\n{}\n\nSource: {}",
        lines.join("\n"),
        calculation.source
    )
}

/// One number that can have an error: its option's stem, its input, column and dimension.
struct Target {
    stem: String,
    input: &'static str,
    column: usize,
    dimension: Option<Dimension>,
}

fn targets(calculation: &Calculation) -> Vec<Target> {
    let mut targets = Vec::new();
    for input in calculation.inputs {
        let target = |stem: &str, column, dimension| Target {
            stem: stem.to_owned(),
            input: input.name,
            column,
            dimension,
        };
        match input.kind {
            Kind::Quantity(dimension) | Kind::List(dimension) => {
                targets.push(target(option_name(input), 0, Some(dimension)));
            }
            Kind::ListAny => targets.push(target(option_name(input), 0, None)),
            Kind::Points(fields) => {
                targets.extend(
                    fields
                        .iter()
                        .enumerate()
                        .map(|(i, f)| target(f.name, i, Some(f.dimension))),
                );
            }
            Kind::Count | Kind::Word(_) | Kind::Text | Kind::Coefficient => {}
        }
    }
    targets
}

/// The last word of a name that several share and none has alone: `flow` of `open-flow` and
/// `covered-flow`. One gauge reads them all, so one option may give the error of all.
fn family<'a>(stem: &'a str, targets: &[Target]) -> Option<&'a str> {
    let (_, last) = stem.rsplit_once('-')?;
    let members = targets
        .iter()
        .filter(|t| t.stem.rsplit_once('-').is_some_and(|(_, l)| l == last))
        .count();
    (members > 1 && targets.iter().all(|t| t.stem != last)).then_some(last)
}

fn error_names(calculation: &Calculation) -> Vec<String> {
    let targets = targets(calculation);
    let mut names: Vec<String> = Vec::new();
    for name in targets.iter().map(|t| format!("{}-error", t.stem)) {
        // Two sets of points share the names of their columns, and one option serves both.
        if !names.contains(&name) {
            names.push(name);
        }
    }
    for target in &targets {
        let shared = family(&target.stem, &targets).map(|last| format!("{last}-error"));
        names.extend(shared.filter(|name| !names.contains(name)));
    }
    names
}

/// Whether the option of this name gives the error of a target, by its own name or its family's.
fn serves(name: &str, target: &Target, targets: &[Target]) -> bool {
    let stem = name.strip_suffix("-error").unwrap_or(name);
    target.stem == stem || family(&target.stem, targets) == Some(stem)
}

/// Readings of one gauge: the stem that they share, and each with its input and column.
struct Gauge {
    stem: String,
    readings: Vec<(String, usize)>,
    dimension: Option<Dimension>,
}

fn gauges(calculation: &Calculation) -> Vec<Gauge> {
    let targets = targets(calculation);
    let mut gauges: Vec<Gauge> = Vec::new();
    for target in &targets {
        let input = calculation.input(target.input).map(|input| input.kind);
        let stem = match (family(&target.stem, &targets), input) {
            (Some(last), _) => last,
            (None, Some(Kind::Points(_) | Kind::List(_))) => &target.stem,
            _ => continue,
        };
        let reading = (target.input.to_owned(), target.column);
        match gauges.iter_mut().find(|gauge| gauge.stem == *stem) {
            Some(gauge) => gauge.readings.push(reading),
            None => gauges.push(Gauge {
                stem: stem.to_owned(),
                readings: vec![reading],
                dimension: target.dimension,
            }),
        }
    }
    gauges
}

fn accuracy_names(calculation: &Calculation) -> Vec<String> {
    gauges(calculation)
        .into_iter()
        .map(|gauge| format!("{}-accuracy", gauge.stem))
        .collect()
}

fn read_biases(calculation: &Calculation, matches: &ArgMatches) -> Result<Vec<Bias>, CalcError> {
    let mut biases = Vec::new();
    for gauge in gauges(calculation) {
        let name = format!("{}-accuracy", gauge.stem);
        if let Some(text) = matches.get_one::<String>(&name) {
            let size = read_size(&name, text, gauge.dimension)?;
            biases.push(Bias {
                readings: gauge.readings,
                size,
            });
        }
    }
    Ok(biases)
}

/// Reads the options of one calculation.
pub(super) fn read(
    calculation: &'static Calculation,
    matches: &ArgMatches,
) -> Result<Asked, CalcError> {
    let mut given = Given::new();
    let mut like = None;
    for input in calculation.inputs {
        let Some(texts) = matches.get_many::<String>(option_name(input)) else {
            continue;
        };
        let texts: Vec<&str> = texts.map(String::as_str).collect();
        given.set(input.name, read_values(input, &texts)?);
        if input.kind == Kind::ListAny {
            like = texts
                .first()
                .and_then(|text| text.parse::<Quantity>().ok())
                .map(Quantity::unit);
            if calculation.name == "sum" && like.is_some_and(|unit| !unit.has_true_zero()) {
                return Err(CalcError::new(
                    option_name(input),
                    "temperatures do not add up: 20 C and 15 C are no 35 C",
                    "take their `difference`, or give values that add up",
                ));
            }
        }
    }
    let list = |input: &str| list_of(calculation, matches, input);
    Ok(Asked {
        errors: read_errors(calculation, matches, &given, list)?,
        biases: read_biases(calculation, matches)?,
        show: read_show(calculation, matches, like)?,
        given,
        like,
    })
}

/// The dimension of a list that may be of any.
fn list_of(calculation: &Calculation, matches: &ArgMatches, input: &str) -> Option<Dimension> {
    let input = calculation.input(input)?;
    let texts: Vec<&str> = matches
        .get_many::<String>(option_name(input))?
        .map(String::as_str)
        .collect();
    list_dimension(input.name, &texts).ok()
}

fn read_errors(
    calculation: &Calculation,
    matches: &ArgMatches,
    given: &Given,
    list: impl Fn(&str) -> Option<Dimension>,
) -> Result<Vec<InputError>, CalcError> {
    let targets = targets(calculation);
    let mut errors = Vec::new();
    for target in &targets {
        let own = format!("{}-error", target.stem);
        let shared = family(&target.stem, &targets).map(|last| format!("{last}-error"));
        let found = std::iter::once(own).chain(shared).find_map(|name| {
            matches
                .get_one::<String>(&name)
                .map(|text| (name.clone(), text))
        });
        let Some((name, text)) = found else { continue };
        if given.get(target.input).is_none() {
            let elsewhere = targets
                .iter()
                .any(|t| serves(&name, t, &targets) && given.get(t.input).is_some());
            if elsewhere {
                continue;
            }
            let remedy = format!("give `{}`, or leave its error out", target.stem);
            return Err(CalcError::new(
                name,
                "an error of something that is not given",
                remedy,
            ));
        }
        let size = read_size(&name, text, target.dimension.or_else(|| list(target.input)))?;
        errors.push(InputError {
            input: target.input.to_owned(),
            column: target.column,
            size,
        });
    }
    Ok(errors)
}

/// Reads "0.1 L/min" as a step and "4 %" as a share; of a trim, "2 %" is two points of trim.
fn read_size(name: &str, text: &str, dimension: Option<Dimension>) -> Result<Size, CalcError> {
    let remedy = "give it in the unit of the reading, or as a share such as \"4 %\"";
    let quantity: Quantity = text
        .parse()
        .map_err(|e: crate::units::UnitError| CalcError::new(name, e.to_string(), remedy))?;
    if quantity.value() < 0.0 {
        return Err(CalcError::new(
            name,
            "an error is not below zero",
            "give its size, without a sign",
        ));
    }
    match quantity.dimension() {
        same if Some(same) == dimension => {
            Ok(Size::Absolute(quantity.unit().step_to_si(quantity.value())))
        }
        Dimension::Ratio => Ok(Size::Relative(quantity.si())),
        other => Err(CalcError::new(
            name,
            format!("\"{quantity}\" is {}", other.with_article()),
            remedy,
        )),
    }
}

fn read_show(
    calculation: &Calculation,
    matches: &ArgMatches,
    like: Option<Unit>,
) -> Result<Vec<Unit>, CalcError> {
    let Some(texts) = matches.get_many::<String>("show") else {
        return Ok(Vec::new());
    };
    let shown = |unit: Unit| {
        calculation.outputs.iter().any(|output| match output.kind {
            OutputKind::Quantity(dimension, _) => dimension == unit.dimension(),
            OutputKind::SameAsInput | OutputKind::StepOfInput => {
                like.map(Unit::dimension) == Some(unit.dimension())
            }
            OutputKind::Text | OutputKind::OwnUnit(_) => false,
        })
    };
    texts
        .map(|text| {
            let unit = Unit::parse(text)
                .map_err(|e| CalcError::new("show", e.to_string(), "write for example \"in\""))?;
            if shown(unit) {
                return Ok(unit);
            }
            Err(CalcError::new(
                "show",
                format!("no result here is {}", unit.dimension().with_article()),
                "see the results in the help",
            ))
        })
        .collect()
}
