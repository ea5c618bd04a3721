//! `ruleout calc`: every named calculation from the command line, and `convert`.
//!
//! The options are made from the table of calculations, so that a new one needs nothing here.
//! This module owns the text form of values and results; it must not know any formula. It prints
//! nothing itself: whoever calls gets the text, or an error that names the option at fault.

mod capture;
mod convert;
mod options;
mod print;
mod profile;

pub use capture::{Captured, Lobes, captured};

use super::{CliError, Outcome};
use crate::physics::calculation::{CalcError, Calculation, Kind};
use crate::physics::evaluate::{Evaluated, Evaluation, evaluate_biased};
use crate::physics::{Value, all, find};
use clap::{Arg, ArgAction, ArgMatches, Command};

/// The command, with one sub-command for each calculation.
pub fn command() -> Command {
    Command::new("calc")
        .about("Work one calculation: hole sizes, trims, shares, units")
        .subcommand_required(true)
        .arg_required_else_help(true)
        // Of conversion the command line wants more than one result: it has its own.
        .subcommands(
            all()
                .iter()
                .copied()
                .filter(|c| c.name != convert::NAME)
                .map(|calculation| {
                    let command = options::command(calculation);
                    match calculation.name {
                        profile::FOR => command.arg(profile::option()),
                        name if capture::FOR.contains(&name) => capture::options(command),
                        _ => command,
                    }
                }),
        )
        .subcommand(convert::command())
}

/// Works what the command line asks for, and gives the text to print, and whether the answer is no.
///
/// # Errors
/// Names the option at fault and what to do; the command was then used wrongly.
pub fn run(matches: &ArgMatches) -> Result<(String, Outcome), CliError> {
    match matches.subcommand() {
        Some((convert::NAME, matches)) => Ok((convert::run(matches)?, Outcome::Fine)),
        Some((name, matches)) => {
            let calculation = find(name).ok_or_else(|| unknown(name))?;
            let mut asked = options::read(calculation, matches)?;
            profile::add(&mut asked, matches)?;
            capture::add(calculation, &mut asked, matches)?;
            let mut evaluation =
                evaluate_biased(calculation, &asked.given, &asked.errors, &asked.biases)?;
            evaluation
                .notes
                .extend(without_errors(calculation, &asked, &evaluation));
            let text = if matches.get_flag("json") {
                print::json(calculation, &asked, &evaluation)
            } else {
                print::text(calculation, &asked, &evaluation)
            };
            Ok((text, outcome(calculation, &evaluation)))
        }
        None => Err(unknown("").into()),
    }
}

/// Said where an interval is shown and nobody told how well the gauges read, or how well some of them do.
fn without_errors(
    calculation: &Calculation,
    asked: &options::Asked,
    evaluation: &Evaluation,
) -> Option<String> {
    let spread = |result: &Evaluated| matches!(result, Evaluated::Number { spread: true, .. });
    if !evaluation.results.iter().any(spread) {
        return None;
    }
    if asked.errors.is_empty() && asked.biases.is_empty() {
        return Some(
            "no errors of the readings were given: the intervals are the model's alone; the options that end in -error \
             and -accuracy give them"
                .to_owned(),
        );
    }
    let exact = taken_as_exact(calculation, asked);
    (!exact.is_empty()).then(|| format!("taken as exact: {}", exact.join(", ")))
}

/// The numbers that were given without an error, by the words of the options.
fn taken_as_exact(calculation: &Calculation, asked: &options::Asked) -> Vec<String> {
    let has_error = |input: &str, column: usize| {
        let biases = asked.biases.iter().flat_map(|bias| &bias.readings);
        asked
            .errors
            .iter()
            .any(|e| e.input == input && e.column == column)
            || biases
                .into_iter()
                .any(|(of, at)| of == input && *at == column)
    };
    let mut exact = Vec::new();
    for input in calculation.inputs {
        match (input.kind, asked.given.get(input.name)) {
            (Kind::Quantity(_) | Kind::List(_), Some(_)) if !has_error(input.name, 0) => {
                exact.push(input.name.to_owned());
            }
            (Kind::Points(fields), Some(Value::Points(rows))) => {
                let read = |column: usize| {
                    rows.iter()
                        .any(|row| matches!(row.get(column), Some(Some(_))))
                };
                let columns = fields.iter().enumerate();
                let bare = columns.filter(|(at, _)| read(*at) && !has_error(input.name, *at));
                exact.extend(bare.map(|(_, field)| field.name.to_owned()));
            }
            _ => {}
        }
    }
    exact
}

/// A text that is no identification number at all is a no. Any other verdict is a result like others,
/// a check digit that does not match among them: not every car need have one.
fn outcome(calculation: &Calculation, evaluation: &Evaluation) -> Outcome {
    let is =
        |text: &str| matches!(evaluation.results.first(), Some(Evaluated::Text(t)) if t == text);
    if calculation.name == "vin" && is("malformed") {
        Outcome::No
    } else {
        Outcome::Fine
    }
}

fn unknown(name: &str) -> CalcError {
    CalcError::new(
        "calc",
        format!("\"{name}\" is not a calculation"),
        "see `ruleout calc --help`",
    )
}

/// `--json`, which every printing command has.
fn json_flag() -> Arg {
    Arg::new("json")
        .long("json")
        .action(ArgAction::SetTrue)
        .help("Print one JSON object")
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    fn calc(args: &[&str]) -> Result<String, CliError> {
        let matches = command()
            .try_get_matches_from([&["calc"], args].concat())
            .expect("a well-formed command line");
        run(&matches).map(|(text, _)| text)
    }

    fn json(args: &[&str]) -> Value {
        serde_json::from_str(&calc(&[args, &["--json"]].concat()).expect("worked")).expect("JSON")
    }

    #[test]
    fn the_command_line_is_sound() {
        command().debug_assert();
    }

    #[test]
    fn every_calculation_is_listed_with_its_own_summary() {
        for calculation in all() {
            let listed = command();
            let listed = listed.find_subcommand(calculation.name).expect("listed");
            let about = listed.get_about().map(ToString::to_string);
            assert_eq!(about.as_deref(), Some(calculation.summary));
            let long = listed.get_long_about().map(ToString::to_string);
            assert_eq!(long, None, "{}", calculation.name);
        }
    }

    #[test]
    fn a_hole_and_its_flow_are_inverse() {
        let hole = json(&[
            "hole",
            "--flow",
            "2.3 L/min",
            "--pressure",
            "14 inH2O",
            "--gas",
            "air",
        ]);
        let diameter = hole["results"]["diameter"]["si"]
            .as_f64()
            .expect("a number");
        let size = format!("{diameter:e} m");
        let flow = json(&["flow", "--hole", &size, "--pressure", "14 inH2O"]);
        let back = flow["results"]["volume-flow"]["si"]
            .as_f64()
            .expect("a number");
        assert!((back / (2.3e-3 / 60.0) - 1.0).abs() < 1e-9, "{back}");
        assert_eq!(hole["results"]["diameter"]["unit"], "mm");
    }

    #[test]
    fn an_interval_is_printed_only_when_something_spreads() {
        let base = [
            "hole",
            "--flow",
            "2.3 L/min",
            "--pressure",
            "14 inH2O",
            "--coefficient",
        ];
        let number = json(&[&base[..], &["0.6"]].concat());
        assert!(
            number["results"]["diameter"].get("low").is_none(),
            "{number}"
        );
        let sharp = json(&[&base[..], &["sharp"]].concat());
        assert!(sharp["results"]["diameter"]["low"].is_f64(), "{sharp}");
        let read = json(&[&base[..], &["0.6", "--flow-error", "4 %"]].concat());
        // Diameter goes with the root of the flow: 4 % of flow is 2 % of diameter.
        let (low, si) = (
            read["results"]["diameter"]["low"].as_f64(),
            read["results"]["diameter"]["si"].as_f64(),
        );
        let share = 1.0 - low.expect("a bound") / si.expect("a value");
        assert!((share - 0.02).abs() < 5e-4, "{share}");
    }

    #[test]
    fn an_open_end_is_null() {
        let hole = json(&[
            "hole",
            "--flow",
            "0.5 L/min",
            "--pressure",
            "0.1 kPa",
            "--pressure-error",
            "0.2 kPa",
        ]);
        assert!(hole["results"]["diameter"]["high"].is_null(), "{hole}");
        assert!(
            hole["results"]["diameter"]["low"]
                .as_f64()
                .expect("a bound")
                > 0.0,
            "{hole}"
        );
    }

    #[test]
    fn points_are_read_with_and_without_a_manifold() {
        let base = ["trims", "--point"];
        let plain = json(
            &[
                &base[..],
                &[
                    "4 g/s = 20 %",
                    "--point",
                    "20 g/s = 4 %",
                    "--trim-error",
                    "2 %",
                ],
            ]
            .concat(),
        );
        let leak = plain["results"]["leak"]["si"].as_f64().expect("a number");
        assert!((leak - 0.8e-3).abs() < 1e-9, "{plain}");
        assert!(plain["results"]["residual"].is_null(), "{plain}");
        let full = json(
            &[
                &base[..],
                &["4 g/s = 20 % @ 34 kPa", "--point", "20 g/s = 4 % @ 40 kPa"],
            ]
            .concat(),
        );
        assert!(full["results"]["area"]["si"].as_f64().expect("a number") > 0.0);
    }

    #[test]
    fn one_error_serves_both_flows_of_a_difference() {
        let base = [
            "found",
            "--open-flow",
            "2.3 L/min",
            "--open-pressure",
            "14 inH2O",
            "--covered-flow",
            "1.3 L/min",
            "--covered-pressure",
            "14 inH2O",
            "--coefficient",
            "0.6",
        ];
        let one = json(&[&base[..], &["--flow-error", "0.1 L/min"]].concat());
        let two = json(
            &[
                &base[..],
                &[
                    "--open-flow-error",
                    "0.1 L/min",
                    "--covered-flow-error",
                    "0.1 L/min",
                ],
            ]
            .concat(),
        );
        assert_eq!(one, two);
    }

    #[test]
    fn a_verdict_is_text_and_says_when_it_is_not_certain() {
        let share = |hole| {
            let share = json(&["share", "--hole", hole, "--needed", "2 mm"]);
            share["results"]["verdict"]["text"].clone()
        };
        // 72 %, which the model's own spread leaves between 54 and 97 %.
        assert_eq!(share("1.7 mm"), "cannot tell");
        assert_eq!(share("2.5 mm"), "more than enough");
        let mut idle = vec!["raised-idle", "--tolerance", "2 %"];
        for (input, read) in [("--reading", "27 %"), ("--baseline", "30 %")] {
            idle.extend([input, read]);
        }
        idle.extend(["--reading-error", "0.8 %", "--baseline-error", "0.8 %"]);
        let notes = json(&idle)["notes"].to_string();
        assert!(notes.contains("not certain"), "{notes}");
    }

    #[test]
    fn text_is_aligned_and_names_the_source() {
        let text = calc(&[
            "hole",
            "--flow",
            "2.3 L/min",
            "--pressure",
            "14 inH2O",
            "--show",
            "in",
        ])
        .expect("worked");
        assert!(text.contains("diameter  0.0406 in  95 %: "), "{text}");
        assert!(
            text.contains("Perry 1949") && text.contains("volume flow at 20.0 C"),
            "{text}"
        );
    }

    #[test]
    fn what_is_wrong_is_named_with_a_remedy() {
        let wrong = |args: &[&str]| calc(args).expect_err("refused").to_string();
        let unit = wrong(&["hole", "--flow", "2.3 kPa", "--pressure", "14 inH2O"]);
        assert!(
            unit.starts_with("flow: \"2.3 kPa\" is a pressure, and a volume flow is needed"),
            "{unit}"
        );
        let point = wrong(&["trims", "--point", "3 g/s 17 %"]);
        assert!(point.contains("AIRFLOW = TRIM @ MANIFOLD"), "{point}");
        let drop = wrong(&["hole", "--flow", "2.3 L/min", "--pressure", "0 kPa"]);
        assert!(drop.contains("no flow without a pressure drop"), "{drop}");
        let error = wrong(&[
            "hole",
            "--flow",
            "2.3 L/min",
            "--pressure",
            "1 kPa",
            "--flow-error",
            "1 kPa",
        ]);
        assert!(error.starts_with("flow-error:"), "{error}");
    }

    #[test]
    fn conversion_is_to_one_unit_or_to_all() {
        let one = calc(&["convert", "14 inH2O", "--to", "kPa"]).expect("converted");
        assert_eq!(one.trim(), "14 inH2O = 3.48724 kPa");
        let all = json(&["convert", "14 inH2O"]);
        assert!(
            all["results"].as_object().expect("results").len() >= 9,
            "{all}"
        );
        assert!(calc(&["convert", "14 inH2O", "--to", "mm"]).is_err());
        let cold = calc(&["convert", "-300 C"]).expect_err("colder than anything");
        assert!(cold.to_string().contains("below absolute zero"), "{cold}");
        let angle = calc(&["convert", "5 kPa", "--to", "deg"]).expect_err("no pressure");
        assert!(angle.to_string().contains("deg measures angle"), "{angle}");
        let wrong = calc(&["hole", "--flow", "5 deg"]).expect_err("no flow");
        assert!(
            wrong
                .to_string()
                .contains("is an angle, and a volume flow is needed"),
            "{wrong}"
        );
    }

    #[test]
    fn temperatures_do_not_add_up_and_a_count_has_one_unit() {
        let sum = calc(&["sum", "--value", "20 C", "--value", "15 C"]).expect_err("no sum");
        assert!(sum.to_string().contains("do not add up"), "{sum}");
        let count = calc(&["convert", "2 count"]).expect_err("nothing to convert to");
        assert!(count.to_string().contains("no other unit"), "{count}");
    }

    #[test]
    fn an_interval_without_errors_says_whose_it_is() {
        let base = ["hole", "--flow", "2.3 L/min", "--pressure", "14 inH2O"];
        let notes = |more: &[&str]| json(&[&base[..], more].concat())["notes"].to_string();
        assert!(
            notes(&[]).contains("no errors of the readings"),
            "{}",
            notes(&[])
        );
        let read = notes(&["--flow-error", "4 %"]);
        assert!(!read.contains("no errors of the readings"), "{read}");
    }

    #[test]
    fn an_opening_s_interval_ends_at_nothing() {
        let wide = json(&[
            "hole",
            "--flow",
            "2 L/min",
            "--pressure",
            "14 inH2O",
            "--flow-error",
            "200 %",
        ]);
        assert_eq!(wide["results"]["area"]["low"].as_f64(), Some(0.0), "{wide}");
        assert_eq!(
            wide["results"]["diameter"]["low"].as_f64(),
            Some(0.0),
            "{wide}"
        );
    }
}
