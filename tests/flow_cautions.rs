//! Cautions of the shipped flows on the cars that they concern, and clocks that somebody starts.

use std::collections::BTreeMap;

use ruleout::flow::answer::Answer;
use ruleout::flow::cautions;
use ruleout::flow::load::load;
use ruleout::flow::model::{Flow, Phase};
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;

fn facts(sealed: Option<&str>) -> BTreeMap<String, Answer> {
    let word = |word: &str| ("sealed-tank".to_owned(), Answer::Choice(word.to_owned()));
    sealed.map(word).into_iter().collect()
}

fn own(flow: &Flow, step: &str, sealed: Option<&str>) -> Vec<String> {
    let step = flow.step(step).unwrap();
    cautions::of_step(flow, step, &facts(sealed))
        .cloned()
        .collect()
}

#[test]
fn a_sealed_tank_is_let_down_under_its_cautions_and_any_other_passed_by() {
    let shelf = Shelf::shipped();
    for id in [
        "vapour-large-leak",
        "vapour-small-leak",
        "vapour-self-vacuum",
    ] {
        let flow = &shelf.find(id).unwrap().flow;
        let all = ["sealed-tank", "no-self-start", "high-voltage"];
        assert_eq!(own(flow, "let-down", Some("yes")), all, "{id}");
        assert_eq!(own(flow, "let-down", None), all, "{id}");
        // Where it is known not to be, the walk passes the step by.
        let before = flow.step("save-data").unwrap();
        let goes = |outcome: &str| &before.outcomes.iter().find(|o| o.id == outcome).unwrap().go;
        let let_down = Target::Step("let-down".to_owned());
        assert_ne!(*goes("not-sealed"), let_down, "{id}");
        assert_eq!(*goes("sealed"), let_down, "{id}");
        assert_eq!(before.unsure.as_ref().unwrap().go, let_down, "{id}");
        // On any car hands come near the high voltage later on.
        let told = |step: &str| {
            own(flow, step, Some("no"))
                .iter()
                .any(|c| c == "high-voltage")
        };
        assert!(flow.steps.iter().any(|step| told(&step.id)), "{id}");
    }
}

#[test]
fn whoever_searches_with_smoke_is_told_not_to_breathe_it() {
    let shelf = Shelf::shipped();
    let mut searched = 0;
    for shelved in shelf.iter() {
        let flow = &shelved.flow;
        let searches = flow.steps.iter().filter(|step| {
            // A step that only reads what was seen, or wants the smoke off, feeds none.
            step.phase == Phase::Inspect
                && step.text.to_lowercase().contains("smoke")
                && !step.cautions.iter().any(|caution| caution == "smoke-off")
                && !step.text.contains("Air the smoke out")
        });
        for step in searches {
            searched += 1;
            let told = step.cautions.iter().chain(&flow.cautions);
            assert!(
                told.into_iter().any(|caution| caution == "breathing-smoke"),
                "{}: {}",
                flow.id,
                step.id
            );
        }
    }
    assert!(searched >= 7, "{searched}");
}

fn bench(from: &str, to: &str) -> Vec<String> {
    let text = std::fs::read_to_string("flows/vapour-small-leak.yaml").unwrap();
    assert!(text.contains(from), "{from}");
    let loaded = load(&text.replacen(from, to, 1));
    let findings = loaded.findings.iter();
    findings
        .map(|f| format!("{}: {}; {}", f.place.line, f.message, f.help))
        .collect()
}

#[test]
fn only_facts_can_decide_which_cautions_are_read() {
    let found = bench(
        "    cautions: [sealed-tank, no-self-start, high-voltage]\n",
        "    cautions: [sealed-tank, no-self-start, high-voltage]\n    \
         cautions only if: {cap-result: {is: more than the hole}}\n",
    );
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(
        found[0].contains("`cap-result` is no fact about the vehicle")
            && found[0].contains("name facts only"),
        "{found:?}"
    );
}

#[test]
fn the_clock_of_the_cap_waits_until_it_is_started_and_without_a_timer_none_can_be() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("vapour-small-leak").unwrap().flow;
    let step = flow.step("settle").unwrap();
    assert!(step.timer_by_hand && step.timer == Some(15.0));
    let found = bench("    timer: 15 s\n", "");
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("there is no timer here"), "{found:?}");
}
