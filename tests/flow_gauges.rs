//! The bias of a gauge on which a column of pairs is read: it is one draw for the whole column.

use std::collections::BTreeMap;

use ruleout::flow::answer::Answer;
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
