//! What a way made of one car, by one rule of accounting for all ways.
//!
//! Minutes are those of steps, set-ups (once until a repair) and repairs. A car that leaves without being proved
//! cured costs on top what the flow says of handing on, and, where a listed cause is still on it, what it costs to
//! find it without any test: whoever gets the car must look for it again. So giving up is never cheap.

use super::calibration::Decision;
use super::led::{Act, End, Led, UNLISTED};
use crate::flow::model::Flow;
use crate::plant::car::{Car, Present};
use crate::plant::walk::{self, Walk};
use crate::rules::evidence::case::Case;
use crate::rules::evidence::sets::Set;

/// From this probability on one is sure.
pub const SURE: f64 = 0.95;

/// What became of one car.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ran {
    /// Found: repaired, proved by the retest, and really cured. For a cause that is not listed: handed on.
    pub found: bool,
    /// The flow called it proved cured, and it is not.
    pub proved_wrongly: bool,
    /// Repairs of what was not broken.
    pub wrong: u32,
    /// Minutes at the car.
    pub spent: f64,
    /// Minutes with what it costs to let the car go unproved.
    pub minutes: f64,
    /// Steps done.
    pub steps: u32,
    /// Cautions that had to be accepted.
    pub cautions: u32,
    /// What was believed when it was first decided to repair or to hand on.
    pub decision: Option<Decision>,
    /// At some decision more than 95 % sure, and wrong.
    pub falsely_sure: bool,
    /// How it ended, in a word or two, where it was not found.
    pub lost: Option<String>,
}

/// What is on a car.
struct Truth<'c> {
    car: &'c Car,
    /// Causes whose repair took.
    mended: Vec<String>,
}

impl Truth<'_> {
    fn has(&self, cause: &str) -> bool {
        let mut present = self.car.causes.iter();
        present.any(|p| p.cause == cause) && !self.mended.iter().any(|m| m == cause)
    }

    /// The causes that are left and make the complaint.
    fn left(&self, case: &Case) -> Set {
        let present = self.car.causes.iter();
        let left = present.filter(|p| p.explains && self.has(&p.cause));
        let place = |p: &Present| case.suspects.iter().position(|s| s.id == p.cause);
        Set::of(&left.filter_map(place).collect::<Vec<_>>())
    }

    fn listed_left(&self) -> bool {
        let mut present = self.car.causes.iter();
        present.any(|p| p.cause != UNLISTED && p.explains && self.has(&p.cause))
    }
}

/// Accounts for a walk by the flow's own branches. `takes` says whether the n-th repair takes.
pub fn of_walk(
    flow: &Flow,
    car: &Car,
    walk: &Walk,
    case: &Case,
    takes: impl Fn(usize, &str) -> bool,
) -> Ran {
    let mut truth = Truth {
        car,
        mended: Vec::new(),
    };
    let mut ran = Ran {
        spent: walk.minutes,
        steps: u32::try_from(walk.steps.len()).unwrap_or(u32::MAX),
        ..Ran::default()
    };
    for (n, cause) in walk.repairs.iter().enumerate() {
        ran.wrong += u32::from(!truth.has(cause));
        if takes(n, cause) {
            truth.mended.push(cause.clone());
        }
    }
    let cautions = walk.steps.iter().filter_map(|(id, _)| flow.step(id));
    let cautions: usize = cautions.map(|step| step.cautions.len()).sum();
    ran.cautions = u32::try_from(cautions).unwrap_or(u32::MAX);
    let (end, proved) = match &walk.end {
        walk::End::Done { proved: true } => ("proved".to_owned(), true),
        walk::End::Done { proved: false } => ("done, nothing proved".to_owned(), false),
        walk::End::OtherFlow(flow) => (format!("on to {flow}"), false),
        walk::End::Stuck(step) => (format!("stuck at {step}"), false),
        walk::End::GoesRound(step) => (format!("goes round at {step}"), false),
        walk::End::TooManyRepairs => ("too many repairs".to_owned(), false),
    };
    let handed_on = matches!(
        walk.end,
        walk::End::OtherFlow(_) | walk::End::Done { proved: false }
    );
    settle(
        &mut ran,
        &truth,
        &walk.repairs,
        proved,
        walk.cured,
        handed_on,
        case,
    );
    ran.lost = (!ran.found).then_some(end);
    ran
}

/// Accounts for a car led by the evidence.
pub fn of_led(car: &Car, led: &Led, case: &Case) -> Ran {
    let mut truth = Truth {
        car,
        mended: Vec::new(),
    };
    let mut ran = Ran {
        spent: led.minutes,
        ..Ran::default()
    };
    for one in &led.moves {
        ran.cautions += u32::try_from(one.cautions.len()).unwrap_or(u32::MAX);
        match &one.act {
            Act::Step { .. } => ran.steps += 1,
            Act::SetUp { .. } => {}
            Act::Repair { .. } | Act::HandOn => {
                let decision = Decision::of(&one.believed, |cause| truth.has(cause));
                ran.falsely_sure |= decision.sure > SURE && !decision.right;
                ran.decision.get_or_insert(decision);
            }
        }
        if let Act::Repair { cause, took, .. } = &one.act {
            ran.wrong += u32::from(!truth.has(cause));
            if *took {
                truth.mended.push(cause.clone());
            }
        }
    }
    let (end, proved) = match &led.end {
        End::Proved => ("proved", true),
        End::HandedOn => ("handed on", false),
        End::Stuck(step) => (step.as_str(), false),
        End::GoesRound => ("goes round", false),
        End::TooManyRepairs => ("too many repairs", false),
    };
    let handed_on = led.end == End::HandedOn;
    settle(
        &mut ran,
        &truth,
        &led.repairs,
        proved,
        led.cured,
        handed_on,
        case,
    );
    ran.falsely_sure |= ran.proved_wrongly && led.sure_of_cure > SURE;
    ran.lost = (!ran.found).then(|| {
        let repairs = led.repairs.join(", ");
        let last = led.moves.iter().rev().find_map(|m| match &m.act {
            Act::Step { step, outcome } => Some(format!("{step} > {outcome}")),
            _ => None,
        });
        format!(
            "{end}; repaired [{repairs}]; last {}",
            last.unwrap_or_default()
        )
    });
    ran
}

fn settle(
    ran: &mut Ran,
    truth: &Truth,
    repairs: &[String],
    proved: bool,
    cured: bool,
    handed_on: bool,
    case: &Case,
) {
    let mut present = truth.car.causes.iter();
    let unlisted = present.any(|p| p.cause == UNLISTED);
    ran.proved_wrongly = proved && !cured;
    ran.found = if unlisted {
        handed_on && !truth.listed_left()
    } else {
        let mut present = truth.car.causes.iter();
        proved && cured && present.any(|p| repairs.contains(&p.cause))
    };
    ran.minutes = ran.spent;
    if !(proved && cured) {
        let left = truth.left(case);
        ran.minutes += case.hand_on_of(left).unwrap_or_default();
    }
}
