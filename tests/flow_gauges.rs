//! Gauges in a flow: the bias of one on which a column of pairs is read is one draw for the whole
//! column, and a reading too near the limit of validity is unsure.

use std::collections::BTreeMap;

use ruleout::flow::answer::Answer;
use ruleout::flow::choice::{Choice, choose};
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::values::Value;
use ruleout::flow::working::{Known, picture};

const FLOW: &str = "
flow: sweep
title: Sweep
revision: 1
summary: A sweep that is read on one gauge
system: intake
gauges:
  pump-gauge: {name: pump gauge, accuracy: 2 kPa}
readings:
  sweep:
    ask: Pressure and signal
    pairs: {pressure: kPa, signal: V}
    gauge: GAUGE
worked:
  gain: {sensor: &line {points: sweep, expected-gain: 0.04 V/kPa, expected-offset: 0 V}}
  low: {sensor: *line, take: low-end-error}
  high: {sensor: *line, take: high-end-error}
causes:
  sensor: {name: Sensor, odds: likely, repair: renew, minutes: 20}
steps:
  - id: sweep
    phase: inspect
    do: Sweep it
    minutes: 3
    record: [sweep]
    outcomes:
      - {id: off, when: {low: {above: 3 kPa}}, because: It is off, go: {repair: sensor}}
      - {id: good, when: {low: {at most: 3 kPa}}, because: It is right, go: done}
    unsure: {because: Too close to call, go: sweep}
retest: {from: sweep}
";

fn swept(flow: &Flow, id: &str) -> (f64, f64, f64) {
    let pair = |p: &str, v: &str| (p.parse().expect("pressure"), v.parse().expect("volts"));
    let sweep = vec![
        pair("30 kPa", "1.32 V"),
        pair("60 kPa", "2.52 V"),
        pair("100 kPa", "4.12 V"),
    ];
    let answers = BTreeMap::from([("sweep".to_owned(), Answer::Pairs(sweep))]);
    let known = Known {
        answers: &answers,
        test_number: 1,
    };
    match picture(flow, known).values.get(id) {
        Some(Value::Number(estimate)) => (estimate.value, estimate.low, estimate.high),
        other => panic!("{id}: {other:?}"),
    }
}

#[test]
fn a_gauges_bias_moves_the_whole_column_and_so_the_errors_but_not_the_slope() {
    let flow = load(&FLOW.replace("GAUGE", "pump-gauge"))
        .flow
        .expect("a flow");
    // 1.32 V on a line of 0.04 V/kPa is 33 kPa: 3 kPa too high; a gauge that is 2 kPa off takes all
    // of that with it, at both ends alike.
    for id in ["low", "high"] {
        let (value, low, high) = swept(&flow, id);
        assert!((value - 3000.0).abs() < 1e-6, "{id}: {value}");
        assert!(
            (low - 1000.0).abs() < 1e-6 && (high - 5000.0).abs() < 1e-6,
            "{id}: {low} {high}"
        );
    }
    let (gain, low, high) = swept(&flow, "gain");
    assert!(
        (gain - 4e-5).abs() < 1e-15 && high - low < 1e-15,
        "{low} {gain} {high}"
    );
}

#[test]
fn a_gauge_that_is_not_there_or_reads_neither_column_is_a_finding() {
    for (gauge, declared, words) in [
        ("pump", "accuracy: 2 kPa", "`pump`"),
        ("pump-gauge", "accuracy: 2 L/min", "`pump-gauge`"),
    ] {
        let text = FLOW
            .replace("GAUGE", gauge)
            .replace("accuracy: 2 kPa", declared);
        let findings = load(&text).findings;
        assert!(
            findings.iter().any(|f| f.message.contains(words)),
            "{findings:#?}"
        );
    }
}

const HOLD: &str = "
flow: hold
title: Hold
revision: 1
summary: A hold on a coarse gauge
system: intake
gauges:
  dial: {name: dial, accuracy: 10 %}
readings:
  start: {ask: Pressure at the start, unit: kPa, plausible: 0..20 kPa, gauge: dial}
causes:
  hose: {name: Hose, odds: likely, repair: renew, minutes: 20}
steps:
  - id: hold
    phase: inspect
    do: Hold it
    minutes: 3
    record: [start]
    valid when: {start: {at least: 3 kPa}}
    not valid: {because: Too little pressure, go: hold}
    outcomes:
      - {id: low, when: {start: {below: 10 kPa}}, because: It is low, go: {repair: hose}}
      - {id: high, when: {start: {at least: 10 kPa}}, because: It is high, go: done}
    unsure: {because: Too close to call, go: hold}
retest: {from: hold}
";

#[test]
fn a_reading_too_near_the_limit_of_validity_is_unsure_and_nothing_follows_from_it() {
    let flow = load(HOLD).flow.expect("a flow");
    let judged = |text: &str| {
        let start = Answer::Quantity(text.parse().expect("a quantity"));
        let answers = BTreeMap::from([("start".to_owned(), start)]);
        let picture = picture(
            &flow,
            Known {
                answers: &answers,
                test_number: 1,
            },
        );
        format!("{:?}", Said(choose(&flow, &flow.steps[0], &picture)))
    };
    assert_eq!(judged("4 kPa"), "matches low");
    assert_eq!(judged("2 kPa"), "not valid");
    for near in ["2.95 kPa", "3.05 kPa"] {
        assert!(judged(near).starts_with("unsure"), "{}", judged(near));
        assert!(judged(near).contains("the readings count only then"));
    }
}

struct Said<'f>(Choice<'f>);

impl std::fmt::Debug for Said<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.0 {
            Choice::Matches(outcome) => write!(f, "matches {}", outcome.id),
            Choice::NotValid { .. } => f.write_str("not valid"),
            Choice::Unsure { straddled, .. } => write!(f, "unsure {straddled:?}"),
            other => write!(f, "{other:?}"),
        }
    }
}
