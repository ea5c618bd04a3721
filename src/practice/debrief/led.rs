//! The same car led by the evidence: what the reasoning over causes would have done, and how long it takes.
//!
//! What it chooses rests on the car without what only practice adds (a cold engine, a draught, a colleague's word). Its
//! minutes are those of the same clock as everybody's: what it chose is done once more, by hand, on the practice car.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::{Debrief, beside, kinds, name};
use crate::engine::shown;
use crate::practice::log::Spent;
use crate::practice::session::Session;
use crate::practice::way::{Stop, timed};
use crate::rules::evidence::joined::join;
use crate::rules::evidence::simulated::Simulated;
use crate::trial::led::{Act, End, Led, Policy, Way, walk};

/// Whether a repair takes is left to chance there; so often another chance is tried for one that does.
const TRIES: u64 = 6;

impl Debrief {
    /// The debrief with the evidence-led way beside the others. It takes longer to work out.
    pub fn with_evidence(session: &Session, cars: Option<&Simulated>) -> Self {
        let mut debrief = Self::of(session, cars);
        let Some(led) = lead(session, cars) else {
            return debrief;
        };
        let bay = &session.bay;
        let own = bay.drawn().way(bay.plan());
        let spent = spent(session, &led);
        let ways: [(&str, &[Spent]); 3] = [
            ("you", &bay.log.spent),
            ("by flow", &own.spent),
            ("evidence", &spent),
        ];
        debrief.beside = beside(&ways, &kinds(session));
        debrief.led = ended(&led, spent.iter().map(|spent| spent.minutes).sum());
        let hidden = &bay.drawn().hidden;
        let names = |causes: &[&String]| {
            let names: Vec<String> = causes.iter().map(|cause| name(session, cause)).collect();
            names.join("; ")
        };
        let left: Vec<&String> = hidden.iter().filter(|c| !led.repairs.contains(c)).collect();
        if led.end == End::Proved && led.cured && !left.is_empty() {
            let _ = write!(
                debrief.led,
                " It leaves this hidden fault where it is: {}. What is left makes no complaint by itself, so its proof passes, \
                 and the fault stays on the car: quicker, and not the whole work.",
                names(&left)
            );
        }
        let again = twice(&led);
        if !again.is_empty() {
            let _ = write!(
                debrief.led,
                " It makes one repair twice, since with it not every repair takes at once: {}.",
                names(&again)
            );
        }
        let sound = led.repairs.iter().filter(|cause| !hidden.contains(cause));
        let names: Vec<String> = sound.map(|cause| name(session, cause)).collect();
        if !names.is_empty() {
            let names = names.join("; ");
            let _ = write!(
                debrief.led,
                " It repairs for nothing as well: {names}. By the odds that is cheaper than more tests; here it was not."
            );
        }
        debrief
    }
}

/// The car led by the evidence.
fn lead(session: &Session, cars: Option<&Simulated>) -> Option<Led> {
    let (plan, drawn) = (session.bay.plan(), session.bay.drawn());
    let joined = join(&[plan.flow], &BTreeMap::new(), 2).ok()?;
    let policy = Policy {
        way: Way::Evidence,
        joined: &joined,
        cars: cars.filter(|cars| cars.knows_any()),
        more: false,
    };
    let mut best: Option<Led> = None;
    for n in 0..TRIES {
        let led = walk(plan, drawn.car.clone(), &policy, &drawn.dice.fork("led", n));
        let good = goodness(&led);
        if good == BEST {
            return Some(led);
        }
        if best.as_ref().is_none_or(|best| good > goodness(best)) {
            best = Some(led);
        }
    }
    best
}

/// It proves a cured car, and no repair had to be made twice: with the apprentice every repair takes at once.
const BEST: u8 = 2;

/// How fit a way is to be laid beside the apprentice's.
fn goodness(led: &Led) -> u8 {
    match (led.end == End::Proved && led.cured, twice(led).is_empty()) {
        (true, true) => BEST,
        (true, false) => 1,
        (false, _) => 0,
    }
}

/// Causes that were repaired more than once.
fn twice(led: &Led) -> Vec<&String> {
    let mut seen: Vec<&String> = Vec::new();
    let mut twice = Vec::new();
    for cause in &led.repairs {
        if !seen.contains(&cause) {
            seen.push(cause);
        } else if !twice.contains(&cause) {
            twice.push(cause);
        }
    }
    twice
}

/// What it did, on the clock of the practice car.
fn spent(session: &Session, led: &Led) -> Vec<Spent> {
    let stops = led.moves.iter().filter_map(|done| {
        Some(match &done.act {
            Act::Step { step, .. } => Stop::Step(step),
            Act::SetUp { step } => Stop::SetUp(step),
            Act::Repair { cause, .. } => Stop::Repair(cause),
            Act::HandOn => return None,
        })
    });
    let mut spent = timed(session.bay.plan(), session.bay.drawn(), stops);
    if let Some(last) = led.moves.last().filter(|last| last.act == Act::HandOn) {
        spent.push(Spent {
            id: "hand-on".to_owned(),
            what: "handed on".to_owned(),
            test: last.test,
            minutes: last.minutes,
        });
    }
    spent
}

fn ended(led: &Led, minutes: f64) -> String {
    match (&led.end, led.cured) {
        (End::Proved, true) => {
            format!("The evidence proves it in {}.", shown::minutes(minutes))
        }
        (End::Proved, false) => {
            "The evidence calls it proved too early: one fault stays, as a second look would show."
                .to_owned()
        }
        (End::HandedOn, _) => {
            "The evidence hands this car on: by its odds that costs less than to go on here."
                .to_owned()
        }
        _ => "The evidence does not get to the end on this car.".to_owned(),
    }
}
