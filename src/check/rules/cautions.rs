//! Whoever feeds gas or pressure into a system has read what that can do.
//!
//! Where a flow's `system` is one of those below, or its supply one that can do harm by itself, one of
//! the cautions named must be accepted before gas is fed in: for the whole flow, at that step, or at a
//! step before it on every way there. Under pressure a flow without any caution at all is asked for
//! one. Fire is an error, the rest a warning: an owner may have a better caution of their own kind.
//!
//! Example: `system: fuel vapour` with `cautions: [fuel-vapour]` at the top of the flow.

use super::paths::reached_without;
use crate::flow::finding::{Finding, Severity, code};
use crate::flow::model::{Flow, Phase, Step};
use crate::flow::system::plain;

/// What asks for a caution.
struct Asks {
    /// Words in the flow's system, or in the supply of the step.
    words: &'static [&'static str],
    /// Whether it is the supply that is looked at.
    supply: bool,
    /// The cautions of which one must be read; the first is proposed.
    cautions: &'static [&'static str],
    severity: Severity,
    /// What nobody has been told.
    untold: &'static str,
}

const fn system(
    words: &'static [&'static str],
    cautions: &'static [&'static str],
    untold: &'static str,
) -> Asks {
    Asks {
        words,
        supply: false,
        cautions,
        severity: Severity::Warning,
        untold,
    }
}

/// The cautions that tell of what is under pressure or vacuum; the first is proposed.
const UNDER_PRESSURE: &[&str] = &[
    "eye-protection",
    "fuel-under-pressure",
    "fuel-vapour",
    "gas-cylinder",
    "hand-vacuum-pump",
    "hoses-restrained",
    "hot-cooling-system",
    "inert-gas",
    "no-ignition",
    "seal-limits",
    "sealed-tank",
    "smoke-into-intake",
];

static ASKS: [Asks; 7] = [
    Asks {
        severity: Severity::Error,
        ..system(
            &["vapour", "fuel tank"],
            &["fuel-vapour", "no-ignition"],
            "feeds gas into fuel vapour, but nobody has been told to keep fire away",
        )
    },
    system(
        &["cooling system", "cooling", "coolant"],
        &["hot-cooling-system"],
        "puts pressure on a cooling system, but nobody has been told that it scalds",
    ),
    system(
        &["charge air", "boost"],
        &["hoses-restrained"],
        "puts pressure on hoses and plugs, but nobody has been told to hold them back",
    ),
    system(
        &["crankcase"],
        &["seal-limits"],
        "puts pressure on a crankcase, but nobody has been told how little its seals bear",
    ),
    system(
        &["exhaust"],
        &["exhaust-gas", "hot-parts"],
        "works on an exhaust, but nobody has been told of its gas and heat",
    ),
    Asks {
        supply: true,
        ..system(
            &["nitrogen", "carbon dioxide", "inert", "cylinder", "bottle"],
            &["inert-gas", "gas-cylinder"],
            "uses gas out of a cylinder, but nobody has been told what it does to the air",
        )
    },
    // Of a system without a rule of its own nobody knows what bursts or scalds; what flies off is the same everywhere.
    system(
        &[""],
        UNDER_PRESSURE,
        "puts something under pressure, but nobody has been told to take care",
    ),
];

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for asks in &ASKS {
        // One finding a flow: the general one is for flows of which nothing else is said.
        let general = asks.words == [""];
        if general && (!found.is_empty() || has_own_rule(flow)) {
            continue;
        }
        found.extend(missing(flow, asks));
    }
    found
}

/// Whether a rule above looks after the system: its caution was asked for.
fn has_own_rule(flow: &Flow) -> bool {
    let system = plain(&flow.system);
    let mut own = ASKS
        .iter()
        .filter(|asks| !asks.supply && asks.words != [""]);
    own.any(|asks| asks.words.iter().any(|word| system.contains(word)))
}

fn missing(flow: &Flow, asks: &Asks) -> Option<Finding> {
    if warns(asks, &flow.cautions) {
        return None;
    }
    // A supply outside of that phase may be a fan, and a cabin stands under its own: any caution will do.
    let any_will_do = |step: &Step| {
        asks.words == [""]
            && (step.phase != Phase::Pressurise || plain(&flow.system) == "cabin")
            && (!flow.cautions.is_empty()
                || flow.steps.iter().any(|step| !step.cautions.is_empty()))
    };
    let told = |step: &Step| step.cautions_only_if.is_none() && warns(asks, &step.cautions);
    let unwarned = reached_without(flow, told);
    // One finding: one line at the top of the flow answers for all of them.
    let step = flow.steps.iter().find(|step| {
        feeds(step)
            && !any_will_do(step)
            && concerns(asks, flow, step)
            && !told(step)
            && unwarned.contains(step.id.as_str())
    })?;
    let proposed = asks.cautions.first().copied().unwrap_or(UNDER_PRESSURE[0]);
    Some(Finding {
        severity: asks.severity,
        ..Finding::error(
            code::NO_CAUTION,
            step.place,
            format!("`{}` {}", step.id, asks.untold),
            format!("add `cautions: [{proposed}]` at the top of the flow, or at a step before it"),
        )
    })
}

/// A cylinder may be connected before it is opened, so of a supply only what happens under pressure
/// is asked.
fn concerns(asks: &Asks, flow: &Flow, step: &Step) -> bool {
    let names = |text: &str| {
        let text = plain(text);
        asks.words.iter().any(|word| text.contains(word))
    };
    if !asks.supply {
        return names(&flow.system);
    }
    let supplies = flow
        .steps
        .iter()
        .filter_map(|step| step.set_up.as_ref()?.supply.as_deref());
    step.phase == Phase::Pressurise && supplies.into_iter().any(names)
}

fn warns(asks: &Asks, accepted: &[String]) -> bool {
    accepted
        .iter()
        .any(|id| asks.cautions.contains(&id.as_str()))
}

fn feeds(step: &Step) -> bool {
    step.phase == Phase::Pressurise || step.set_up.as_ref().is_some_and(|s| s.supply.is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::cautions;

    #[test]
    fn the_cautions_asked_for_are_in_the_list_of_cautions() {
        for id in ASKS.iter().flat_map(|asks| asks.cautions) {
            assert!(cautions::find(id).is_some(), "{id}");
        }
    }
}
