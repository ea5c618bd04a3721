//! What a cause does physically, it does to something that the simulated car has.
//!
//! Physics knows a hole by the system that it lies in, and a valve or a sensor by its name. A hole anywhere else, or
//! a valve of another name, moves no reading: the cause then looks like a sound car, and what is read speaks for the
//! others. So a word that nothing answers to is an error, even where `shows` says something beside it.

use crate::flow::finding::{Finding, code};
use crate::flow::load::nearest;
use crate::flow::meaning::{Meaning, Plain, State, What};
use crate::flow::model::{Cause, Flow};
use crate::flow::place::Place;
use crate::flow::signature::{Effect, Shown};
use crate::flow::system;

/// Holes there move the trims and the idle whatever is tested.
const BREATHES: &str = "intake";
/// The valves that the flows of the program name and the simulated car moves.
const VALVES: [&str; 5] = [
    "charge-relief",
    "purge",
    "radiator-cap",
    "recirculation",
    "vent",
];
/// The sensors that the simulated car reads by, and that of a valve's travel, of which the flows' words say all.
const SENSORS: [&str; 6] = [
    "air-mass",
    "charge-pressure",
    "manifold-pressure",
    "recirculation-position",
    "smoke-float",
    "tank-pressure",
];

pub fn check(flow: &Flow) -> Vec<Finding> {
    let effects = flow.causes.iter().flat_map(|cause| {
        let places = cause.effects_at.iter().copied();
        cause.effects.iter().zip(places).map(move |it| (cause, it))
    });
    effects
        .filter_map(|(cause, (effect, at))| match effect {
            Effect::Hole { place, .. } => hole(flow, place, at),
            Effect::Valve { name, .. } => valve(flow, cause, name, at),
            Effect::Sensor { name, .. } => sensor(name, at),
        })
        .collect()
}

fn hole(flow: &Flow, place: &str, at: Place) -> Option<Finding> {
    let tested = flow.system.as_str();
    let lies_in = |system: &str| {
        let rest = place.strip_prefix(system);
        !system.is_empty() && rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    if lies_in(tested) || lies_in(BREATHES) {
        return None;
    }
    // A leak beside what is tested, such as that of the exhaust where a valve in it is looked at.
    let elsewhere = system::KNOWN.iter().any(|known| lies_in(known));
    if elsewhere && !tested.is_empty() && !reads_a_space(flow) {
        return None;
    }
    let (wrong, help) = if tested.is_empty() {
        (
            format!("the hole lies at `{place}`, and the flow does not say which system it tests"),
            format!(
                "write a line system: {place}, or system: with the word that the holes are to lie at"
            ),
        )
    } else {
        (
            format!(
                "the hole lies at `{place}`, and this flow tests the system `{tested}`: no reading would show it"
            ),
            if elsewhere || nearest(place, &[tested]).is_some() {
                format!("write at {tested}")
            } else {
                format!(
                    "write at {tested}; which part of it leaks, `shows` says, reading by reading: {{seen-at: {{{place}: very likely}}}}"
                )
            },
        )
    };
    Some(Finding::error(code::NO_EFFECT, at, wrong, help))
}

/// Whether a reading shows by physics how much is open in the system under test.
fn reads_a_space(flow: &Flow) -> bool {
    use Plain::{HoldEnd, HoldStart, SmokeFlow, SmokePressure, SmokeSeen, VacuumEnd, VacuumStart};
    let shows_it = |meaning: &Meaning| {
        meaning.state == State::AsItStands
            && matches!(
                meaning.what,
                What::Plain(
                    HoldEnd
                        | HoldStart
                        | SmokeFlow
                        | SmokePressure
                        | SmokeSeen
                        | VacuumEnd
                        | VacuumStart
                )
            )
    };
    let mut read = flow
        .readings
        .iter()
        .filter_map(|reading| reading.is.as_ref());
    read.any(shows_it)
}

fn valve(flow: &Flow, cause: &Cause, name: &str, at: Place) -> Option<Finding> {
    let own = named(flow);
    if VALVES.contains(&name) || own.contains(&name) {
        return None;
    }
    let known: Vec<&str> = VALVES.iter().copied().chain(own).collect();
    let near = nearest(name, &known);
    // One that no step closes leaks where the cause says that it shows.
    if near.is_none() && shows_where(flow, cause) {
        return None;
    }
    Some(Finding::error(
        code::NO_EFFECT,
        at,
        format!(
            "no step seals or opens a valve `{name}`, no reading's `is` names it, and the simulated car has none"
        ),
        help(near.map(|near| format!("valve {near}")), &known),
    ))
}

/// Valves that a set-up moves or a reading looks through, by the first word of each opening as well.
fn named(flow: &Flow) -> Vec<&str> {
    let set_ups = flow.steps.iter().filter_map(|step| step.set_up.as_ref());
    let openings = set_ups.flat_map(|set_up| set_up.seal.iter().chain(&set_up.open));
    let moved = openings.flat_map(|opening| {
        let first = opening.split(' ').next();
        first.into_iter().chain([opening.as_str()])
    });
    let meanings = flow.readings.iter().chain(&flow.facts);
    let looked_at = meanings
        .filter_map(|prompt| prompt.is.as_ref())
        .filter_map(|meaning| match (&meaning.what, &meaning.state) {
            (What::Passage(valve, _) | What::Rest(valve), _) | (_, State::Through(valve)) => {
                Some(valve.as_str())
            }
            _ => None,
        });
    moved.chain(looked_at).collect()
}

/// Whether a cause says at which place it shows, where smoke is looked for.
fn shows_where(flow: &Flow, cause: &Cause) -> bool {
    cause.shows.iter().any(|shows| {
        let is = flow
            .reading(&shows.id)
            .and_then(|reading| reading.is.as_ref());
        matches!(shows.what, Shown::Words(_))
            && is.is_some_and(|is| is.what == What::Plain(Plain::SmokeSeen))
    })
}

fn sensor(name: &str, at: Place) -> Option<Finding> {
    if SENSORS.contains(&name) {
        return None;
    }
    let near = nearest(name, &SENSORS).or_else(|| {
        // The first word of its name, misspelt: `manifld`.
        let first = |known: &&str| {
            let word = known.split('-').next().unwrap_or_default();
            nearest(name, &[word]).is_some()
        };
        SENSORS.into_iter().find(first)
    });
    Some(Finding::error(
        code::NO_EFFECT,
        at,
        format!(
            "the simulated car has no sensor `{name}`: no reading would show what is wrong with it"
        ),
        help(near.map(|near| format!("sensor {near}")), &SENSORS),
    ))
}

fn help(near: Option<String>, known: &[&str]) -> String {
    match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!(
            "write one of {}; or leave `effect` out, and say under `shows` what each reading shows",
            known.join(", ")
        ),
    }
}
