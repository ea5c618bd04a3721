//! What is not as it should be about a practice car besides its fault. Which level has what, and how strong, are
//! choices of ours.

use std::collections::BTreeSet;

use crate::flow::log_key::LogKey;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Arg, Flow, Phase, Prompt, PromptKind, QuantityPrompt, Step};
use crate::plant::dice::Dice;
use crate::plant::plan::Plan;

use super::bay::is_yours;
use super::search::Search;
use crate::units::{Dimension, Unit};

/// How warm the engine is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heat {
    /// Cold: the fuelling is in open loop.
    Cold,
    /// Warm, in closed loop.
    Warm,
    /// Straight from the road: exhaust and coolant burn.
    Hot,
}

impl Heat {
    /// How warm an engine is that stands: it has no fuelling loop.
    pub fn at_rest(self) -> &'static str {
        match self {
            Self::Cold => "engine cold, off",
            Self::Warm => "engine warm, off",
            Self::Hot => "engine and exhaust hot, off",
        }
    }

    /// What a technician sees of it without looking further.
    pub fn words(self) -> &'static str {
        match self {
            Self::Cold => "engine cold, fuelling in open loop",
            Self::Warm => "engine warm, fuelling in closed loop",
            Self::Hot => "engine and exhaust hot, straight from the road",
        }
    }
}

/// What is not as it should be when the apprentice comes to the car.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Traps {
    /// How warm the engine is.
    pub heat: Heat,
    /// The door of the bay is open: there is a draught.
    pub draught: bool,
    /// This gauge is in a range that is far too coarse.
    pub coarse: Option<String>,
    /// A colleague says that every opening is closed; this one is not.
    pub forgotten: Option<String>,
    /// A colleague says that the engine is at its temperature; it is not.
    pub hearsay: bool,
    /// The customer, or another workshop, is sure that it is this cause. It is not.
    pub blamed: Option<String>,
}

impl Traps {
    /// What a level has. `present` are the causes on the car.
    pub fn of(plan: &Plan, level: u8, present: &[String], dice: &Dice) -> Self {
        let flow = plan.flow;
        let from = |least: u8| level >= least;
        let usual = if burns(flow) { Heat::Cold } else { Heat::Warm };
        let wrong = match (burns(flow), runs(flow)) {
            (true, _) => Heat::Hot,
            (false, true) => Heat::Cold,
            (false, false) => Heat::Warm,
        };
        let mut own = dice.fork("traps", 0);
        let mut one = |of: Vec<String>| (!of.is_empty()).then(|| of[own.one_of(of.len())].clone());
        let gauge = one(gauges(flow));
        let opening = one(plan.openings().iter().map(|o| (*o).to_owned()).collect());
        let innocent = flow.causes.iter().map(|cause| cause.id.clone());
        let blamed = one(innocent
            .filter(|id| !present.contains(id) && id != crate::plant::car::NOT_LISTED)
            .collect());
        Self {
            heat: if from(2) { wrong } else { usual },
            draught: from(2) && looks(flow),
            coarse: gauge.filter(|_| from(3)),
            forgotten: opening.filter(|_| from(4)),
            hearsay: from(3) && wrong != usual,
            blamed: blamed.filter(|_| from(3)),
        }
    }
}

/// Whether what is tested burns or scalds while it is hot.
pub fn burns(flow: &Flow) -> bool {
    matches!(flow.system.as_str(), "exhaust" | "cooling")
}

/// Whether a step reads the running engine.
pub fn reads_running(plan: &Plan, step: &Step) -> bool {
    let mut meanings = step.record.iter().filter_map(|id| plan.meaning(id));
    meanings.any(|meaning| matches!(meaning.what, What::Log(LogKey::Mean(..))))
}

/// Whether a step reads the running engine, standing or driven under load.
pub fn is_read_running(plan: &Plan, step: &Step) -> bool {
    reads_running(plan, step) || reads_under_load(plan, step)
}

/// Whether the engine runs, or the car is driven, at a step: for readings of the running engine, by its own caution,
/// or to see whether the complaint is gone. Where it then reads what the supply feeds, the engine stands again by then.
pub fn runs_engine(plan: &Plan, step: &Step) -> bool {
    let complaint = |id: &String| {
        let meaning = plan.meaning(id);
        meaning.is_some_and(|meaning| meaning.what == What::Plain(Plain::Complaint))
    };
    let runs = is_read_running(plan, step)
        || step
            .cautions
            .iter()
            .any(|caution| caution == "running-engine")
        || step.record.iter().any(complaint);
    runs && !needs_supply(plan, step)
}

/// Whether a reading is how warm the engine is, or what hangs on it: the temperature of what is tested where that burns
/// while it is hot, or a temperature from which nothing is worked at a step that warns of hot parts before the work.
pub fn is_engine_warmth(plan: &Plan, step: &Step, prompt: &Prompt) -> bool {
    if let Some(meaning) = plan.meaning(&prompt.id) {
        return burns(plan.flow) && meaning.what == What::Plain(Plain::OwnTemperature);
    }
    let is = |asked: &QuantityPrompt| asked.unit.dimension() == Dimension::Temperature;
    let of = |(_, arg): &(_, Arg)| matches!(arg, Arg::Of(id) if *id == prompt.id);
    let mut worked = plan.flow.worked.iter();
    lets_cool(step)
        && matches!(&prompt.kind, PromptKind::Quantity(asked) if is(asked))
        && !worked.any(|work| work.inputs.iter().any(of))
}

/// Whether a step reads how warm the engine is, and wants it cold.
pub fn wants_cold(plan: &Plan, step: &Step) -> bool {
    let mut prompts = step.record.iter().filter_map(|id| plan.flow.reading(id));
    prompts.any(|prompt| is_engine_warmth(plan, step, prompt))
}

/// Whether a step comes before the work on the car and warns of hot parts: to let those cool that are reached for is
/// part of its own minutes.
pub fn lets_cool(step: &Step) -> bool {
    step.phase == Phase::Isolate && step.cautions.iter().any(|caution| caution == "hot-parts")
}

/// Whether the car is driven under load for what a step reads: then everything about the engine is hot.
pub fn reads_under_load(plan: &Plan, step: &Step) -> bool {
    let mut meanings = step.record.iter().filter_map(|id| plan.meaning(id));
    meanings.any(|meaning| {
        matches!(
            meaning.what,
            What::Plain(Plain::WantedCharge | Plain::Charge | Plain::LoadAirflow)
        )
    })
}

/// How warm it is while the engine is warm or hot, K: the exhaust near the engine, the coolant, or what stands beside a
/// turbocharger. Assumptions of ours, no source.
pub fn engine_warmth(flow: &Flow, heat: Heat) -> f64 {
    match (flow.system.as_str(), heat) {
        ("exhaust", _) => 453.15,
        ("cooling", _) => 368.15,
        (_, Heat::Hot) => 393.15,
        _ => 353.15,
    }
}

/// Whether some reading of a flow is taken of the running engine.
fn runs(flow: &Flow) -> bool {
    let readings = flow.readings.iter().filter_map(Prompt::meaning);
    readings
        .into_iter()
        .any(|meaning| matches!(meaning.what, What::Log(LogKey::Mean(..))))
}

/// Whether some places are searched with smoke: a draught hides nothing else.
fn looks(flow: &Flow) -> bool {
    Search::in_flow(flow).any(Search::is_hidden_by_draught)
}

/// Gauges on which some reading is taken.
fn gauges(flow: &Flow) -> Vec<String> {
    let read: BTreeSet<&str> = flow
        .readings
        .iter()
        .filter_map(|prompt| match &prompt.kind {
            PromptKind::Quantity(asked) => asked.gauge.as_deref(),
            _ => None,
        })
        .collect();
    read.into_iter().map(str::to_owned).collect()
}

/// Whether a flow puts pressure into the system under test from a supply that is set by hand: some reading is taken of
/// it, or a step names one.
pub fn is_fed(flow: &Flow) -> bool {
    let mut readings = flow.readings.iter().filter_map(Prompt::meaning);
    let mut set_ups = flow.steps.iter().filter_map(|step| step.set_up.as_ref());
    readings.any(|meaning| matches!(meaning.what, What::Plain(plain) if of_supply(plain)))
        || set_ups.any(|set_up| set_up.supply.as_deref().is_some_and(is_set_by_hand))
}

/// Whether a supply is one that somebody sets and connects, by its words in a flow; not the engine's own vacuum, nor
/// the car's blower.
fn is_set_by_hand(supply: &str) -> bool {
    let named = |word| supply.contains(word);
    (named("smoke unit") || named("gas") || named("regulated") || named("pump")) && !named("vacuum")
}

/// The unit in which the pressure of a flow's supply is read.
pub fn supply_unit(flow: &Flow) -> Unit {
    let of = |prompt: &Prompt| match &prompt.kind {
        PromptKind::Quantity(asked) if asked.unit.dimension() == Dimension::Pressure => {
            let meaning = prompt.meaning();
            let supplies =
                meaning.is_some_and(|m| matches!(m.what, What::Plain(plain) if of_supply(plain)));
            supplies.then_some(asked.unit)
        }
        _ => None,
    };
    let mut readings = flow.readings.iter();
    let unit = readings.find_map(of);
    unit.unwrap_or_else(|| Unit::default_for(Dimension::Pressure))
}

fn of_supply(plain: Plain) -> bool {
    matches!(
        plain,
        Plain::SmokeFlow
            | Plain::SmokePressure
            | Plain::SupplyPressure
            | Plain::HoldStart
            | Plain::HoldEnd
    )
}

/// Whether a step reads the supply by itself, its hose off the car: on its blocked or open tip, or on a test hole; or it is
/// the smoke unit that is tested. It is switched on for that, and connected to nothing.
pub fn reads_unit_alone(plan: &Plan, step: &Step) -> bool {
    let by_itself = |id: &String| {
        let meaning = plan.meaning(id);
        meaning.is_some_and(|meaning| {
            matches!(
                meaning.state,
                State::TipBlocked | State::TipOpen | State::TestHole
            ) && matches!(
                meaning.what,
                What::Plain(Plain::SmokeFlow | Plain::SmokePressure)
            )
        })
    };
    let figures = |id: &&String| {
        let prompt = plan.flow.reading(id);
        prompt.is_some_and(|prompt| matches!(prompt.kind, PromptKind::Quantity(_)))
    };
    let mut figures = step.record.iter().filter(figures).peekable();
    plan.kind.name == "smoke unit" || figures.peek().is_some() && figures.all(by_itself)
}

/// Whether a step reads what only a connected supply shows.
pub fn needs_supply(plan: &Plan, step: &Step) -> bool {
    if !is_fed(plan.flow) || reads_unit_alone(plan, step) {
        return false;
    }
    // Under pressure whatever the car shows is shown by what is fed; so is what passes a valve into which gas is let.
    let under = step.phase == Phase::Pressurise;
    let let_in = under || step.cautions.iter().any(|caution| caution == "inert-gas");
    let shown = |id: &String| {
        let prompt = plan.flow.reading(id);
        under && prompt.is_some_and(|prompt| !is_yours(plan, prompt))
    };
    let passes = |id: &String| {
        let meaning = plan.meaning(id);
        let_in && meaning.is_some_and(|meaning| matches!(meaning.what, What::Passage(..)))
    };
    step.record.iter().any(|id| shown(id) || passes(id))
        || step.record.iter().any(|id| {
            let places = plan
                .flow
                .reading(id)
                .is_some_and(|prompt| matches!(prompt.kind, PromptKind::Places(_)));
            places
                || plan.meaning(id).is_some_and(|meaning| match meaning.what {
                    What::Plain(plain) => {
                        of_supply(plain) || matches!(plain, Plain::SmokeSeen | Plain::OtherPlaces)
                    }
                    What::SmokeAt(_) => true,
                    _ => false,
                })
        })
}
