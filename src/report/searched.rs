//! How a car was searched: with what, and at rest or running. By what its steps feed, ask and warn of, and not by what
//! most flows do: soap, an ear, dye and water find leaks as well.

use super::case::{Case, Walked};
use crate::engine::hold;
use crate::flow::model::{Flow, Phase, PromptKind, SetUp, Step};
use crate::flow::system::plain;

/// The caution of every step at which smoke is about.
const SMOKE_IS_ABOUT: &str = "breathing-smoke";
/// The caution of every step at which the engine runs.
const ENGINE_RUNS: &str = "running-engine";

/// How words begin that name another way in which a leak shows or is searched for.
const OTHER_WAYS: [&str; 11] = [
    "bubbl", "drip", "dye", "foam", "froth", "hiss", "soap", "spray", "ultraso", "wet", "whistl",
];

/// Whether a question of places is about smoke alone: "Where does smoke show?", and neither "Where does it bubble or
/// smoke?" nor "Where does it smoke, bubble or hiss?".
pub fn asks_for_smoke(ask: &str) -> bool {
    let lower = ask.to_lowercase().replace([',', '/', ';', '&'], " , ");
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric() && c != ',')
        .filter(|word| !word.is_empty())
        .collect();
    let at = words.iter().position(|word| *word == "smoke");
    // What stands in a list with it is another way, by whatever word.
    let lists = |n: usize| {
        let word = words.get(n).copied().unwrap_or_default();
        ["or", "and", ","].contains(&word)
    };
    at.is_some_and(|at| !lists(at + 1) && !at.checked_sub(1).is_some_and(lists))
        && !names_another_way(ask)
}

/// Whether words name another way than smoke in which a leak shows or is searched for.
pub fn names_another_way(words: &str) -> bool {
    let lower = words.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.any(|word| OTHER_WAYS.iter().any(|way| word.starts_with(way)))
}

/// Whether smoke was let in anywhere on the way that was walked, as far as the steps say.
pub fn smoke_was_used(case: &Case) -> bool {
    case.walked().filter(was_walked).any(|walked| {
        let fed = supply(walked.step).is_some_and(|supply| supply.contains("smoke"));
        let asks = |id: &String| {
            let prompt = walked.run.flow.reading(id);
            prompt.is_some_and(|prompt| asks_for_smoke(&prompt.ask))
        };
        fed || has(walked.step, SMOKE_IS_ABOUT) || walked.step.record.iter().any(asks)
    })
}

/// What a test under pressure was made in, for whoever asks what it cannot tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AtRest {
    /// Smoke in a standing engine.
    Smoke,
    /// Pressure in any other closed space.
    Pressure,
    /// Vacuum in a closed space.
    Vacuum,
    /// Vacuum that the running engine of the car draws.
    OwnVacuum,
}

/// How a car was searched for what leaks in the test of a step that puts it under pressure; nothing where that is no
/// search: a part is tried on the bench, or the unit itself is.
pub fn at_rest(case: &Case, walked: &Walked) -> Option<AtRest> {
    let under_pressure = walked.step.phase == Phase::Pressurise && was_walked(walked);
    if !under_pressure || is_of_the_unit(&walked.run.flow) {
        return None;
    }
    let of_it: Vec<Walked> = case
        .walked()
        .filter(|w| w.run.flow.id == walked.run.flow.id && w.visit.test == walked.visit.test)
        .filter(was_walked)
        .collect();
    if !of_it.iter().any(searches) {
        return None;
    }
    let feeds = |word: &str| {
        let mut supplies = of_it.iter().filter_map(|w| supply(w.step));
        supplies.any(|supply| supply.contains(word))
    };
    let by_itself = |w: &Walked| w.step.phase == Phase::Pressurise && has(w.step, ENGINE_RUNS);
    Some(if feeds("smoke") && is_of_an_engine(&walked.run.flow) {
        AtRest::Smoke
    } else if feeds("vacuum") && of_it.iter().any(by_itself) {
        AtRest::OwnVacuum
    } else if feeds("vacuum") {
        AtRest::Vacuum
    } else {
        AtRest::Pressure
    })
}

/// Whether the leak was looked for, or proved, on the running engine in some test of a flow, or on the road: then not
/// everything was searched standing still.
pub fn on_the_running_engine(case: &Case, flow: &Flow) -> bool {
    let searches =
        |phase: Phase| matches!(phase, Phase::Pressurise | Phase::Inspect | Phase::Judge);
    case.walked().filter(was_walked).any(|walked| {
        let step = walked.step;
        walked.run.flow.id == flow.id && searches(step.phase) && has(step, ENGINE_RUNS)
    })
}

/// Whether what a flow tests is an engine, which passes gas by its rings and valves whatever leaks beside them.
pub fn is_of_an_engine(flow: &Flow) -> bool {
    ["intake", "crankcase"].contains(&plain(&flow.system).as_str())
}

/// Whether a flow tests the smoke unit itself: what it shows says nothing of the car.
pub fn is_of_the_unit(flow: &Flow) -> bool {
    plain(&flow.system) == "smoke unit"
}

fn was_walked(walked: &Walked) -> bool {
    walked.taken().is_some()
}

/// Whether a step looks for what leaks: places are asked for, or a closed space is held.
fn searches(walked: &Walked) -> bool {
    let flow = &walked.run.flow;
    let places = |id: &String| {
        let prompt = flow.reading(id);
        prompt.is_some_and(|prompt| matches!(prompt.kind, PromptKind::Places(_)))
    };
    walked.step.record.iter().any(places) || hold::of_step(flow, walked.step).is_some()
}

fn supply(step: &Step) -> Option<String> {
    let of = |set_up: &SetUp| set_up.supply.as_deref().map(plain);
    step.set_up.as_ref().and_then(of)
}

fn has(step: &Step, caution: &str) -> bool {
    step.cautions.iter().any(|id| id == caution)
}

#[cfg(test)]
mod tests {
    use super::{asks_for_smoke, names_another_way};

    #[test]
    fn a_question_that_takes_bubbles_as_well_is_not_about_smoke_alone() {
        assert!(asks_for_smoke("Where does smoke show, and how strongly?"));
        assert!(asks_for_smoke("Where does smoke come out, or go in?"));
        for other in [
            "Where does it blow, bubble or smoke?",
            "Where does smoke or soap show it?",
            "Where does it smoke, bubble or hiss?",
            "Where does it glow, smoke, or tick?",
            "Where does it smoke and glow?",
            "Where does smoke show, and where does soap froth?",
            "With soap on it and smoke inside: where does it show?",
            "Where is it wet, or where does it drip?",
        ] {
            assert!(!asks_for_smoke(other), "{other}");
        }
    }

    #[test]
    fn a_step_that_has_soap_laid_on_searches_in_several_ways() {
        assert!(names_another_way(
            "Feed smoke, and lay soap on every joint. No hand where it blows."
        ));
        assert!(!names_another_way(
            "Smoke now, the doors shut against draught. Wipe your thumb around the cap."
        ));
    }
}
