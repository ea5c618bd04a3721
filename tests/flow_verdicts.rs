//! A flow's worked verdict that rests on an interval: it says "cannot tell" while the errors of the
//! flow's own readings and gauges straddle its limit, and names its words to the conditions.

use std::collections::BTreeMap;

use ruleout::flow::answer::Answer;
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::values::Value;
use ruleout::flow::working::{Known, picture};
use ruleout::physics::evaluate::{Bias, Evaluated, InputError, Size, evaluate_biased};
use ruleout::physics::find;
use ruleout::units::Quantity;

use crate::worked::{given, of};

/// A hold of the fuel-vapour space, with the pressures read at two times.
const FLOW: &str = "
flow: vapour-hold
title: Vapour space hold
revision: 1
summary: A hold that is judged by the hole
system: fuel vapour
cautions: [CAUTIONS]
gauges:
  water: {name: water gauge, accuracy: 0.02 inH2O}
readings:
  space: {ask: Volume of the vapour space, unit: L, plausible: 5..120 L, error: ERROR}
  holds:
    ask: Pressure over time
    pairs: {time: s, pressure: inH2O}
  side: {ask: Diameter of the test hole, unit: mm, plausible: 0..3 mm}
worked:
  size: {decay: {volume: space, at: holds}}
  small: {decay: {volume: space, at: holds}, take: small-leak}
  clock: {decay: {volume: space, at: holds}, take: verdict}
  how-long: {decay: {volume: space, at: holds}, take: measure-for}
  through: {flow: {hole: side, pressure: 14 inH2O}}
causes:
  tank: {name: Tank seal, odds: likely, repair: renew, minutes: 60}
steps:
  - id: hold
    phase: inspect
    do: Read it
    minutes: 3
    record: [space, holds, side]
    outcomes:
      - {id: small, when: {small: {is: below 0.020 in}}, because: It is small, go: done}
      - {id: large, when: {small: {is: 0.020 in or more}}, because: It is not, go: {repair: tank}}
      - {id: again, when: {small: {is: cannot tell}}, because: It cannot be told, go: hold}
retest: {from: hold}
";

fn flow(error: &str) -> Flow {
    let caution = ruleout::flow::cautions::all()[0].id;
    let text = FLOW.replace("CAUTIONS", caution).replace("ERROR", error);
    let loaded = load(&text);
    loaded
        .flow
        .unwrap_or_else(|| panic!("{:#?}", loaded.findings))
}

fn worked(flow: &Flow, id: &str, pressures: [&str; 2]) -> Option<Value> {
    let quantity = |text: &str| text.parse().expect("a quantity");
    let answers = BTreeMap::from([
        ("space".to_owned(), Answer::Quantity(quantity("30 L"))),
        ("side".to_owned(), Answer::Quantity(quantity("1 mm"))),
        (
            "holds".to_owned(),
            Answer::Pairs(vec![
                (quantity("0 s"), quantity(pressures[0])),
                (quantity("60 s"), quantity(pressures[1])),
            ]),
        ),
    ]);
    let known = Known {
        answers: &answers,
        test_number: 1,
    };
    picture(flow, known).values.get(id).cloned()
}

fn word(value: Option<Value>) -> String {
    match value {
        Some(Value::Word(word)) => word,
        other => panic!("{other:?} is no word"),
    }
}

#[test]
fn a_verdict_follows_the_interval_of_the_number_that_it_rests_on() {
    let (sure, unsure) = (flow("1 L"), flow("29 L"));
    // A hole of about 0.37 mm: far enough below 0.508 mm for 1 L in 30, not for 29 L.
    let pressures = ["14 inH2O", "10.3 inH2O"];
    assert_eq!(word(worked(&sure, "small", pressures)), "below 0.020 in");
    assert_eq!(word(worked(&unsure, "small", pressures)), "cannot tell");
    // The time criterion does not ask for the volume.
    assert_eq!(
        word(worked(&sure, "clock", pressures)),
        word(worked(&unsure, "clock", pressures))
    );
}

/// The same as the calculation by itself says with the same errors.
#[test]
fn how_long_to_go_on_is_settled_in_a_flow() {
    let pressures = ["14 inH2O", "8.4 inH2O"];
    let Some(Value::Number(time)) = worked(&flow("3 L"), "how-long", pressures) else {
        panic!("nothing is open")
    };
    let points = format!("0 s = {};60 s = {}", pressures[0], pressures[1]);
    let given = given("decay", &[("volume", "30 L"), ("at", &points)]).expect("sound");
    let errors = [InputError {
        input: "volume".to_owned(),
        column: 0,
        size: Size::Absolute(0.003),
    }];
    let gauge = [Bias {
        readings: vec![("at".to_owned(), 1)],
        size: Size::Absolute("0.02 inH2O".parse::<Quantity>().expect("a quantity").si()),
    }];
    let decay = find("decay").expect("registered");
    let by_itself = evaluate_biased(decay, &given, &errors, &gauge).expect("worked");
    let Evaluated::Number { estimate, .. } = of("decay", "measure-for", &by_itself) else {
        panic!("nothing is open")
    };
    assert!(time.value > 60.0, "{time:?}");
    assert!(
        (time.value / estimate.value - 1.0).abs() < 1e-3,
        "{time:?} {estimate:?}"
    );
    // Far from both limits nothing is open.
    assert_eq!(
        worked(&flow("1 L"), "how-long", ["14 inH2O", "13.5 inH2O"]),
        None
    );
}

/// Idle control closed by 3 % where 2 % is allowed. Each reading's error of 0.8 % leaves that sure, both together do
/// not; with 0.6 % it is sure.
#[test]
fn a_verdict_that_only_all_errors_together_turn_is_called_uncertain() {
    let notes = |error: &str| {
        let caution = ruleout::flow::cautions::all()[0].id;
        let text = IDLE.replace("CAUTIONS", caution).replace("ERROR", error);
        let loaded = load(&text);
        let flow = loaded
            .flow
            .unwrap_or_else(|| panic!("{:#?}", loaded.findings));
        let percent = |text: &str| Answer::Quantity(text.parse().expect("a quantity"));
        let answers = BTreeMap::from([
            ("now".to_owned(), percent("27 %")),
            ("before".to_owned(), percent("30 %")),
        ]);
        let known = Known {
            answers: &answers,
            test_number: 1,
        };
        let seen = picture(&flow, known);
        (
            seen.notes["idle"].join("; "),
            word(seen.values.get("idle").cloned()),
        )
    };
    let doubt = "within the errors it could be \"within its range\"";
    let (open, sure) = (notes("0.8 %"), notes("0.6 %"));
    assert!(
        open.0.contains(doubt) && open.1 == "cannot tell",
        "{open:?}"
    );
    assert!(
        !sure.0.contains(doubt) && sure.1 == "closed below baseline: extra air",
        "{sure:?}"
    );
}

const IDLE: &str = "
flow: idle-control
title: Idle control
revision: 1
summary: What idle control says of extra air
system: intake
cautions: [CAUTIONS]
readings:
  now: {ask: Idle command now, unit: '%', plausible: 0..100 %, error: ERROR}
  before: {ask: Idle command when it was sound, unit: '%', plausible: 0..100 %, error: ERROR}
worked:
  idle: {raised-idle: {reading: now, baseline: before, tolerance: 2 %}, take: verdict}
causes:
  tank: {name: Seal, odds: likely, repair: renew, minutes: 60}
steps:
  - id: hold
    phase: inspect
    do: Read it
    minutes: 3
    record: [now, before]
    outcomes:
      - {id: sound, when: {idle: {is: within its range}}, because: It is sound, go: done}
      - {id: air, when: {idle: {is: 'closed below baseline: extra air'}}, because: It is not, go: {repair: tank}}
      - {id: stop, when: {idle: {is: at its stop}}, because: It is not, go: {repair: tank}}
retest: {from: hold}
";

#[test]
fn one_value_serves_where_a_list_is_taken() {
    let Some(Value::Number(flow)) = worked(&flow("1 L"), "through", ["14 inH2O", "9 inH2O"]) else {
        panic!("a flow")
    };
    // The main result of `flow` is its mass flow: about 0.04 g/s through 1 mm at 14 inH2O.
    assert!((0.03e-3..0.06e-3).contains(&flow.value), "{flow:?}");
}

#[test]
fn free_text_cannot_be_judged_by_a_flow() {
    let caution = ruleout::flow::cautions::all()[0].id;
    let text = FLOW
        .replace("CAUTIONS", caution)
        .replace("ERROR", "1 L")
        .replace("take: verdict", "take: next");
    let loaded = load(&text);
    assert!(loaded.flow.is_none());
    assert!(
        loaded
            .findings
            .iter()
            .any(|f| f.message.contains("free text")),
        "{:#?}",
        loaded.findings
    );
}
