//! A flow's worked verdict that rests on an interval: it says "cannot tell" while the errors of the
//! flow's own readings and gauges straddle its limit, and names its words to the conditions.

use std::collections::BTreeMap;

use ruleout::flow::answer::Answer;
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::values::Value;
use ruleout::flow::working::{Known, picture};

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
