//! What was not in the test is not ruled out by it.

use crate::support::Story;
use ruleout::engine::action::{Action, FlowText};
use ruleout::flow::shelf::hash;

/// Fed in at the filler, the cap is not in the test.
const SPACE: &str = r"
flow: closed-space
title: Closed space
readings:
  fed-at: {ask: Where is it fed in?, choices: [port, filler]}
  cap-alone: {ask: The cap by itself, choices: [tight, leaks], optional: yes}
  holds: {ask: Does it hold?, choices: [it holds, it falls]}
causes:
  cap: {name: Cap leaks, odds: likely, repair: renew, minutes: 10}
  hose: {name: Hose split, odds: likely, repair: renew, minutes: 40}
steps:
  - {id: feed, phase: block-off, do: Connect it., record: [fed-at, cap-alone], outcomes: [{when: always, go: hold}]}
  - id: hold
    phase: pressurise
    do: Hold it.
    record: [holds]
    outcomes:
      - id: holds
        when: {holds: {is: it holds}}
        because: it holds
        go: done
        rules out: [hose]
        rules out if: {cap: {any: [{fed-at: {none of: [filler]}}, {cap-alone: {is: tight}}]}}
      - {id: cap, when: {holds: {is: it falls}, fed-at: {none of: [filler]}}, because: it falls, go: {repair: cap}}
      - {id: hose, when: {holds: {is: it falls}, fed-at: {is: filler}}, because: it falls, go: {repair: hose}}
retest: {from: feed}
";

/// What is ruled out once it holds, fed in and with the cap tried as said.
fn ruled_out(answers: &[(&str, &str)]) -> Vec<String> {
    let mut story = Story::new(9, "ABC 1", "Corvane Lisse", "smell", &[]);
    story.does(Action::Begin(FlowText {
        id: "closed-space".to_owned(),
        revision: 1,
        hash: hash(SPACE),
        text: SPACE.to_owned(),
    }));
    for (id, text) in answers {
        let value = story.parse(id, text);
        story.does(Action::Read {
            reading: (*id).to_owned(),
            value,
            confirmed: false,
            carried_from: None,
        });
        if *id == "cap-alone" {
            story.does(Action::Follow);
        }
    }
    story.does(Action::Follow);
    assert_eq!(story.job.misfits, []);
    let ruled_out = story.job.ruled_out().into_iter();
    ruled_out.map(|(_, cause, _)| cause.id.clone()).collect()
}

#[test]
fn a_cause_is_ruled_out_only_where_it_was_in_the_test() {
    let held = ("holds", "it holds");
    let fed = |at, cap| ruled_out(&[("fed-at", at), ("cap-alone", cap), held]);
    assert_eq!(fed("port", "?"), ["hose", "cap"]);
    assert_eq!(fed("filler", "tight"), ["hose", "cap"]);
    assert_eq!(fed("filler", "leaks"), ["hose"]);
    // What could not be told rules nothing out.
    assert_eq!(fed("filler", "?"), ["hose"]);
}
