//! Codes of the car that no test of the job is for are named, and not lost behind the one that was proved.

use crate::support::Story;
use ruleout::engine::action::{Action, FlowText};
use ruleout::flow::shelf::hash;

fn begin(story: &mut Story, id: &str, codes: &str) {
    let text = format!(
        "flow: {id}\ntitle: One\nfor: {{codes: [{codes}]}}\nsteps:\n  - {{id: look, phase: inspect, do: Look., outcomes: [{{when: always, go: done}}]}}\n"
    );
    story.does(Action::Begin(FlowText {
        id: id.to_owned(),
        revision: 1,
        hash: hash(&text),
        text,
    }));
    assert_eq!(story.job.misfits, []);
}

#[test]
fn a_code_is_left_until_a_flow_that_answers_it_was_begun() {
    let mut story = Story::new(9, "ABC 1", "Corvane Lisse", "smell", &["P0455", "P0456"]);
    // Nothing was tested: that is said by itself.
    assert_eq!(story.job.codes_left(), [""; 0]);
    begin(&mut story, "small", "P0442, P0456");
    assert_eq!(story.job.codes_left(), ["P0455"]);
    story.does(Action::Follow);
    begin(&mut story, "large", "P0455");
    assert_eq!(story.job.codes_left(), [""; 0]);
}
