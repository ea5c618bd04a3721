//! A smoke unit that fails its own check is seen to before anything is measured with it, whatever the evidence expects
//! of the next test.

use crate::jobs::half_way_begun;
use crate::support::Story;
use ruleout::engine::action::Action;
use ruleout::engine::standing::{Desk, Standing};
use ruleout::flow::target::Target;
use ruleout::rules::advice::{Advice, Question, advise};

/// The unit proved with its tip blocked: the float shows so much.
fn proved_with(flow: &str) -> (Story, Advice) {
    let mut story = half_way_begun().walk_to("blocked-tip");
    for caution in cautions(&story) {
        story.does(Action::Accept(caution));
    }
    for (id, text) in [("blocked-flow", flow), ("blocked-pressure", "3.4 kPa")] {
        let value = story.parse(id, text);
        story.does(Action::Read {
            reading: id.to_owned(),
            value,
            confirmed: false,
            carried_from: None,
        });
    }
    let advice = advise(&story.job, Question::default()).unwrap();
    (story, advice)
}

fn cautions(story: &Story) -> Vec<String> {
    let (who, day) = story.desk();
    match story.job.standing(Desk { who: &who, day }) {
        Standing::Cautions(open) => open.iter().map(|caution| caution.id.to_owned()).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn nothing_is_measured_with_a_unit_that_fails_its_own_check() {
    let (_, leaks) = proved_with("2.0 L/min");
    let flow = leaks.beside.flow.as_ref().unwrap();
    assert!(flow.words.contains("smoke unit"), "{}", flow.words);
    assert!(!leaks.differs(), "{:?}", leaks.best());
    let (_, tight) = proved_with("0 L/min");
    // What must be proved first costs its minutes again; once it is proved it costs nothing.
    let minutes = |advice: &Advice, step: &str| {
        let mut ways = advice.ways.iter();
        let way = ways.find(|way| way.go == Some(Target::Step(step.to_owned())));
        way.unwrap_or_else(|| panic!("no {step} among {:?}", advice.ways))
            .minutes
    };
    assert!(minutes(&leaks, "pressurise") > minutes(&tight, "pressurise"));
}
