//! Every calculation can be used in a flow's `worked`, and what it gives there can be judged.

use std::collections::BTreeMap;

use ruleout::engine::shown;
use ruleout::flow::answer::Answer;
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::values::Value;
use ruleout::flow::working::{Known, Picture, picture};
use ruleout::physics::all;
use ruleout::physics::calculation::{Calculation, Input, Kind, OutputKind};
use ruleout::units::{Dimension, Unit};

/// A flow with one worked value `value`, its readings, and a step that asks for them.
fn text(readings: &[(String, String)], worked: &str) -> String {
    let declared: Vec<String> = readings
        .iter()
        .map(|(id, how)| format!("  {id}: {{ask: One, {how}}}\n"))
        .collect();
    let ids: Vec<&str> = readings.iter().map(|(id, _)| id.as_str()).collect();
    format!(
        "flow: bench\ntitle: Bench\nreadings:\n{declared}worked:\n  value: {worked}\n\
         steps:\n  - {{id: look, phase: inspect, do: Read., record: [{}], outcomes: [{{when: always, go: done}}]}}\n",
        ids.join(", "),
        declared = declared.concat(),
    )
}

fn flow(text: &str) -> Flow {
    let loaded = load(text);
    let findings = loaded.findings;
    loaded
        .flow
        .unwrap_or_else(|| panic!("{text}\n{findings:#?}"))
}

fn worked(flow: &Flow, answers: &[(&str, Answer)]) -> Picture {
    let answers: BTreeMap<String, Answer> = answers
        .iter()
        .map(|(id, answer)| ((*id).to_owned(), answer.clone()))
        .collect();
    picture(
        flow,
        Known {
            answers: &answers,
            test_number: 1,
        },
    )
}

/// Inputs of a calculation as a flow writes them, each a reading of its own where it can be one.
struct Written {
    readings: Vec<(String, String)>,
}

impl Written {
    fn reading(&mut self, how: String) -> String {
        let id = format!("r{}", self.readings.len());
        self.readings.push((id.clone(), how));
        id
    }

    fn number(&mut self, dimension: Dimension) -> String {
        self.reading(format!("unit: \"{}\"", Unit::default_for(dimension).name()))
    }

    fn input(&mut self, calculation: &Calculation, input: &Input) -> String {
        let decides_unit = calculation
            .outputs
            .iter()
            .any(|output| matches!(output.kind, OutputKind::OwnUnit(by) if by.input == input.name));
        let two = ["ratio", "difference"].contains(&calculation.name);
        match input.kind {
            Kind::Quantity(dimension) => self.number(dimension),
            Kind::Count => self.number(Dimension::Count),
            Kind::Word(words) => words[0].to_owned(),
            Kind::Text if decides_unit => "\"10\"".to_owned(),
            Kind::Text => self.reading("words: \"yes\"".to_owned()),
            Kind::Coefficient => "sharp".to_owned(),
            Kind::List(dimension) => format!("[{}]", self.number(dimension)),
            Kind::ListAny if two => {
                let (one, other) = (
                    self.number(Dimension::Pressure),
                    self.number(Dimension::Pressure),
                );
                format!("[{one}, {other}]")
            }
            Kind::ListAny => format!("[{}]", self.number(Dimension::Pressure)),
            Kind::Points(fields) => {
                let mut point = || {
                    let cells: Vec<String> = fields
                        .iter()
                        .filter(|field| field.needed)
                        .map(|field| format!("{}: {}", field.name, self.number(field.dimension)))
                        .collect();
                    format!("{{{}}}", cells.join(", "))
                };
                format!("[{}, {}]", point(), point())
            }
        }
    }
}

#[test]
fn every_calculation_is_usable_and_every_result_that_is_no_free_text() {
    let mut results = 0;
    for calculation in all() {
        for output in calculation.outputs {
            if output.kind == OutputKind::Text && output.words.is_empty() {
                continue;
            }
            let mut written = Written {
                readings: Vec::new(),
            };
            // Of several sets of points, of which none is needed by itself, one must be given.
            let one_of = calculation.inputs.iter();
            let one_of =
                one_of.filter(|input| !input.needed && matches!(input.kind, Kind::Points(_)));
            let one_of: Vec<&str> = one_of.map(|input| input.name).collect();
            let given =
                |input: &&Input| input.needed || (one_of.len() > 1 && input.name == one_of[0]);
            let inputs: Vec<String> = calculation
                .inputs
                .iter()
                .filter(given)
                .map(|input| format!("{}: {}", input.name, written.input(calculation, input)))
                .collect();
            if written.readings.is_empty() {
                written.reading("unit: kPa".to_owned());
            }
            let text = text(
                &written.readings,
                &format!(
                    "{{{}: {{{}}}, take: {}}}",
                    calculation.name,
                    inputs.join(", "),
                    output.id
                ),
            );
            let flow = flow(&text);
            assert_eq!(
                flow.worked[0].unit.is_none(),
                output.kind == OutputKind::Text,
                "{text}"
            );
            results += 1;
        }
    }
    assert!(results > all().len(), "{results}");
}

#[test]
fn a_parameter_s_bytes_come_to_a_number_that_a_condition_can_be_about() {
    let readings = [("bytes".to_owned(), "words: \"yes\"".to_owned())];
    let text = text(&readings, "{pid: {pid: \"10\", bytes: bytes}}").replace(
        "{when: always, go: done}",
        "{id: little, when: {value: {below: 5 g/s}}, go: done, because: Little}, {id: much, when: {value: {at least: 5 g/s}}, go: done, because: Much}",
    );
    let flow = flow(&text);
    assert_eq!(flow.worked[0].unit.map(Unit::name), Some("g/s"));
    // SAE J1979: two bytes, 0.01 g/s a step.
    let seen = worked(&flow, &[("bytes", Answer::Text("01 C2".to_owned()))]);
    let Some(Value::Number(air)) = seen.values.get("value") else {
        panic!("{:?}", seen.values.get("value"));
    };
    assert!((air.value - 4.5e-3).abs() < 1e-12, "{air:?}");
    let wrong = worked(&flow, &[("bytes", Answer::Text("1".to_owned()))]);
    assert!(
        matches!(wrong.values.get("value"), Some(Value::Refused(why)) if why.contains("air flow takes 2 bytes")),
        "{:?}",
        wrong.values.get("value")
    );
}

#[test]
fn a_parameter_that_only_the_car_knows_has_no_unit_yet() {
    let readings = [
        ("number".to_owned(), "words: \"yes\"".to_owned()),
        ("bytes".to_owned(), "words: \"yes\"".to_owned()),
    ];
    let loaded = load(&text(&readings, "{pid: {pid: number, bytes: bytes}}"));
    let said: Vec<String> = loaded
        .findings
        .iter()
        .map(|f| format!("{}; {}", f.message, f.help))
        .collect();
    assert!(
        said.iter().any(
            |one| one.contains("the unit of `pid` follows from its `pid`") && one.contains("0C")
        ),
        "{said:?}"
    );
}

#[test]
fn a_code_that_is_read_on_the_car_is_classed() {
    let readings = [("seen".to_owned(), "words: \"yes\"".to_owned())];
    let flow = flow(&text(&readings, "{code: seen, take: class}"));
    let class = |code: &str| {
        worked(&flow, &[("seen", Answer::Text(code.to_owned()))])
            .values
            .get("value")
            .cloned()
    };
    assert_eq!(class("P0171"), Some(Value::Word("generic".to_owned())));
    assert_eq!(class("P1171"), Some(Value::Word("maker's own".to_owned())));
}

#[test]
fn a_reading_is_shown_in_another_unit() {
    let readings = [("boost".to_owned(), "unit: kPa, error: 2 kPa".to_owned())];
    for written in [
        "{convert: boost, unit: psi}",
        "{convert: {quantity: boost}, unit: psi}",
    ] {
        let flow = flow(&text(&readings, written));
        assert_eq!(flow.worked[0].unit.map(Unit::name), Some("psi"));
        let seen = worked(
            &flow,
            &[("boost", Answer::Quantity("100 kPa".parse().unwrap()))],
        );
        let Some(Value::Number(boost)) = seen.values.get("value") else {
            panic!("{:?}", seen.values.get("value"));
        };
        assert!(
            (boost.low - 98e3).abs() < 1e-6 && (boost.high - 102e3).abs() < 1e-6,
            "{boost:?}"
        );
    }
}

/// By hand: 2 kPa too high, read to 2 kPa, may be 4 kPa too high, which is over 3 kPa; none too high may be 2 kPa.
#[test]
fn a_verdict_that_the_errors_would_turn_says_so_in_a_flow_too() {
    let readings = [
        ("seen".to_owned(), "unit: kPa, error: 2 kPa".to_owned()),
        ("around".to_owned(), "unit: kPa".to_owned()),
    ];
    let flow = flow(&text(
        &readings,
        "{key-on: {reading: seen, barometer: around, tolerance: 3 kPa}, take: verdict}",
    ));
    let verdict = |seen: &str| {
        let quantity = |text: &str| Answer::Quantity(text.parse().unwrap());
        let picture = worked(
            &flow,
            &[("seen", quantity(seen)), ("around", quantity("100 kPa"))],
        );
        picture.values.get("value").cloned()
    };
    let word = |text: &str| Some(Value::Word(text.to_owned()));
    assert_eq!(verdict("102 kPa"), word("cannot tell"));
    assert_eq!(verdict("100 kPa"), word("agrees with the barometer"));
    assert_eq!(verdict("106 kPa"), word("reads high"));
}

/// Steps of temperature add up, and points on a scale do not.
#[test]
fn steps_of_temperature_add_up_and_points_do_not() {
    let readings = [
        ("first".to_owned(), "unit: C".to_owned()),
        ("second".to_owned(), "unit: C".to_owned()),
    ];
    let points = load(&text(&readings, "{sum: [first, second]}"));
    assert!(
        points
            .findings
            .iter()
            .any(|f| f.message.contains("do not add up")),
        "{:?}",
        points.findings
    );
    let steps = text(&readings, "{sum: [step, step]}").replace(
        "worked:\n",
        "worked:\n  step: {difference: [first, second]}\n",
    );
    assert_eq!(
        flow(&steps)
            .work("value")
            .and_then(|work| work.unit)
            .map(Unit::name),
        Some("K")
    );
}

/// What is worked from these readings, as every page and screen words it; ` with ` is followed by what is worked before.
fn worded(readings: &[(&str, &str)], worked_from: &str, answers: &[(&str, &str)]) -> String {
    let readings: Vec<(String, String)> = readings
        .iter()
        .map(|(id, how)| ((*id).to_owned(), (*how).to_owned()))
        .collect();
    let (value, before) = worked_from
        .split_once(" with ")
        .unwrap_or((worked_from, ""));
    let text = text(&readings, value).replacen("worked:\n", &format!("worked:\n{before}"), 1);
    let flow = flow(&text);
    let answers: Vec<(&str, Answer)> = answers
        .iter()
        .map(|(id, value)| (*id, Answer::Quantity(value.parse().unwrap())))
        .collect();
    match worked(&flow, &answers).values.get("value") {
        Some(Value::Number(estimate)) => {
            shown::estimate(estimate, flow.work("value").unwrap().unit)
        }
        other => panic!("{other:?}"),
    }
}

/// By hand: 0.1 of 2 L/min read to 0.3 L/min is 5 %, 15 % either way; less than nothing passes no hole.
#[test]
fn a_share_that_cannot_be_less_than_nothing_is_not_said_to_be() {
    let share = "{ratio: [left, whole], unit: \"%\"}";
    let answers = [("left", "0.1 L/min"), ("whole", "2 L/min")];
    let of = |from: &str| {
        let left = format!("unit: L/min, plausible: {from}..5 L/min, error: 0.3 L/min");
        let readings = [
            ("left", left.as_str()),
            ("whole", "unit: L/min, plausible: 1..5 L/min"),
        ];
        worded(&readings, share, &answers)
    };
    assert_eq!(of("0"), "5 % (0 to 20 %)");
    // What may flow either way keeps its sign.
    assert_eq!(of("-5"), "5 % (-10 to 20 %)");
}

#[test]
fn a_difference_keeps_its_sign_and_a_sum_begins_at_nothing() {
    let readings = [
        ("one", "unit: kPa, plausible: 0..9 kPa, error: 1 kPa"),
        ("other", "unit: kPa, plausible: 0..9 kPa"),
    ];
    let answers = [("one", "3 kPa"), ("other", "3.5 kPa")];
    assert_eq!(
        worded(&readings, "{difference: [one, other]}", &answers),
        "-0.5 kPa (-1.5 to 0.5 kPa)"
    );
    // Of what is never below nothing the sum is not either.
    let readings = [
        ("one", "unit: L/min, plausible: 0..9 L/min, error: 1 L/min"),
        ("other", "unit: L/min, plausible: 0..9 L/min"),
    ];
    let answers = [("one", "0.3 L/min"), ("other", "0.2 L/min")];
    assert_eq!(
        worded(&readings, "{sum: [one, other]}", &answers),
        "0.5 L/min (0.0 to 1.5 L/min)"
    );
}

/// A place that was covered in vain explains nothing of the complaint, and not less than nothing.
#[test]
fn a_leak_that_covering_speaks_against_explains_nothing() {
    let flow_of = "unit: L/min, plausible: 0..60 L/min, error: 0.2 L/min";
    let readings = [("open", flow_of), ("covered", flow_of)];
    let share = "{share: {hole-area: area, needed-area: 2 mm2}} with   area: {found: {open-flow: open, open-pressure: 3 kPa, \
                 covered-flow: covered, covered-pressure: 3 kPa}, take: area}\n";
    let shown = worded(
        &readings,
        share,
        &[("open", "2 L/min"), ("covered", "2.02 L/min")],
    );
    assert!(shown.starts_with("0.0 % (up to "), "{shown}");
}
