//! From what the apprentice wants to do on the car to the events that it makes. An unsafe one is done all the same:
//! it stops the exercise.

mod besides;
mod codes;
mod ends;
mod places;

use std::fmt::Write as _;

use super::harm::Harm;
use super::session::Session;
use super::start::came_with;
use super::traps::{Heat, is_fed};
use crate::engine::event::What;
use crate::engine::practised::Practised;
use crate::engine::standing::{Desk, RepairStage, Standing};
use crate::flow::answer::Answer;
use crate::flow::model::{Phase, Step};
use crate::physics::gas::Gas;
use crate::plant::hands::Fed;

use super::bay::{Answers, Bay, Taken};

use codes::{cleared, codes, saved};
use ends::stop;
use places::{NO_PLACE, covered, listed, looks, not_tried};

pub use besides::{besides, let_down_words};
pub use ends::{end, stop_words};

/// What the apprentice is told at once: what they see, and nothing that they do not look at.
#[derive(Clone, Debug, PartialEq)]
pub struct Did {
    /// The events.
    pub what: Vec<What>,
    /// What is seen, in a sentence; empty where nothing is.
    pub sees: String,
    /// The answer that a reading shows.
    pub reads: Option<crate::flow::answer::Answer>,
    /// What stopped the exercise.
    pub harm: Option<Harm>,
}

impl Did {
    fn plain(done: Practised, sees: impl Into<String>) -> Self {
        Self {
            what: vec![What::Practised(done)],
            sees: sees.into(),
            reads: None,
            harm: None,
        }
    }
}

/// Does something on the car.
///
/// # Errors
/// Why it cannot be done now.
pub fn wish(session: &Session, desk: Desk, wish: &Practised) -> Result<Did, String> {
    let standing = session.job.standing(desk);
    if matches!(standing, Standing::NotOpened | Standing::HandedOver(_)) {
        return Err("the exercise is over".to_owned());
    }
    let at_step = matches!(standing, Standing::Step(_));
    let mut bay = session.bay.clone();
    let earlier = session.earlier();
    let mut did = Did::plain(wish.clone(), "");
    match wish {
        Practised::Closed { opening } => {
            known(session, opening)?;
            refuses(bay.no_way_on(opening))?;
            did.harm = bay.close(opening);
            did.sees = format!("Closed: {opening}.");
            if session.bay.blows_out(opening) {
                did.sees.push_str(BLOWN_AGAINST);
            }
        }
        Practised::Opened { opening } => {
            known(session, opening)?;
            did.harm = bay.not_let_down(opening).or_else(|| bay.open(opening));
            did.sees = format!("Open: {opening}.");
        }
        Practised::Fed { gas, pressure } => {
            let gas = Gas::named(gas).ok_or("no such gas: air, nitrogen or carbon dioxide")?;
            let missing = session.caution_missing(desk);
            let pressure = pressure.si();
            refuses(bay.no_way_in())?;
            did.harm = bay.feed(Fed { gas, pressure }, missing.as_deref());
            did.sees = if bay.is_pumped() {
                String::from("The hand pump is on, and pumped up.")
            } else {
                String::from("The supply is connected.")
            };
            if !is_fed(session.bay.plan().flow) {
                did.sees.push_str(NOT_READ);
            }
        }
        Practised::SupplyOff if bay.is_pumped() => {
            did.sees = String::from("The hand pump is let down and off.");
        }
        Practised::SupplyOff => did.sees = String::from("The supply is off."),
        Practised::Covered { place } => {
            listed(place, &bay.to_cover(), "can be covered")?;
            did.sees = covered(session, &mut bay, place, &earlier)?;
            did.harm = session.bay.tries_with_supply();
        }
        Practised::Uncovered => did.sees = String::from("All covers are off."),
        Practised::Looked { place, seconds } if at_step => {
            did.sees = looks(&mut bay, (place, *seconds), &earlier)?;
        }
        Practised::Looked { .. } => return Err(NO_PLACE.to_owned()),
        Practised::WentRound => did.sees = round(&mut bay),
        Practised::Warmed => {
            has_engine(&bay)?;
            did.sees = warmed(&bay);
            did.harm = bay.warm();
        }
        Practised::Cooled => {
            has_engine(&bay)?;
            did.sees = cooled(&bay);
        }
        Practised::DoorShut => did.sees = String::from("The door is shut; the air stands still."),
        Practised::CodesCleared => {
            did.sees = cleared(session);
            bay.clear_codes();
        }
        Practised::GaugesSeen => did.sees = gauges(&mut bay),
        Practised::RangeSet { gauge } => {
            if session.bay.plan().flow.gauge(gauge).is_none() {
                return Err(format!("there is no gauge `{gauge}` in this flow"));
            }
            did.sees = String::from("The gauge is set to the range that fits.");
        }
        Practised::Took { reading } => {
            if !at_step {
                return Err("nothing can be read here: first do what the screen asks".to_owned());
            }
            took(session, &mut bay, reading, &earlier, &mut did)?;
        }
        Practised::PartOpened { .. } => return opens_part(session, desk),
        Practised::Begun(_) | Practised::Stopped { .. } | Practised::Marked(_) => {
            return Err("this is not done by hand".to_owned());
        }
    }
    if let Some(harm) = did.harm.clone() {
        return Ok(stop(session, desk, &did.what, harm));
    }
    Ok(did)
}

/// A reading is taken of the car.
fn took(
    session: &Session,
    bay: &mut Bay,
    reading: &String,
    earlier: &Answers,
    did: &mut Did,
) -> Result<(), String> {
    let asks = |step: &Step| step.record.contains(reading);
    if !session.bay.step().is_some_and(asks) {
        return Err(format!("this step does not ask for `{reading}`"));
    }
    match bay.take(reading, earlier) {
        Err(harm) => did.harm = Some(harm),
        Ok(Taken::Reads(answer)) => {
            did.sees = if is_nowhere(&answer) {
                NOTHING_SEEN.to_owned()
            } else if session.runs_alone() {
                String::from(
                    "The unit runs by itself for this, its hose off the car; Enter writes it down.",
                )
            } else {
                String::from("As it stands on the car; Enter writes it down.")
            };
            did.reads = Some(answer);
        }
        Ok(Taken::Saved(answer)) => {
            did.sees = saved(session);
            // What somebody wrote down in this test is not written over.
            if !session.bay.are_codes_saved() {
                did.what.push(What::CodesNoted(codes(session)));
            }
            did.reads = Some(answer);
        }
        Ok(Taken::NotTried) => return Err(not_tried(session)),
        Ok(Taken::Dies) => DIES.clone_into(&mut did.sees),
        Ok(Taken::Yours) => return Err(only_yours(session)),
        Ok(Taken::Nothing) => {
            return Err(
                "the car shows nothing for this; leave it out, or say that it cannot be told"
                    .to_owned(),
            );
        }
    }
    Ok(())
}

/// Refuses what cannot be done as the car stands.
fn refuses(why: Option<String>) -> Result<(), String> {
    why.map_or(Ok(()), Err)
}

/// Begins the repair that was agreed to: its part is taken off, opened and seen.
fn opens_part(session: &Session, desk: Desk) -> Result<Did, String> {
    let Standing::Repair {
        cause,
        stage: RepairStage::Work(_),
    } = session.job.standing(desk)
    else {
        return Err("no repair that was agreed to waits to be done".to_owned());
    };
    let opened = opening(session, &cause.id);
    let sees = part_words(&opened);
    let did = Did::plain(opened, sees);
    Ok(match session.bay.part_under_pressure() {
        Some(harm) => stop(session, desk, &did.what, harm),
        None => did,
    })
}

/// The part of a cause taken off, as the record has it.
fn opening(session: &Session, cause: &str) -> Practised {
    let bay = &session.bay;
    Practised::PartOpened {
        cause: cause.to_owned(),
        bad: bay.part_is_bad(cause),
        small: bay.part_is_harmless(cause),
        off: bay.comes_off_with(cause),
    }
}

/// Said where an end is closed while the supply blows out of it.
const BLOWN_AGAINST: &str = " You pushed it in against what blows out of it: a plug that is not strapped yet hits whoever \
                             stands there. Take the supply off first, and bring it up slowly again.";

/// Said where the engine is to run and cannot.
const DIES: &str = "The engine fires and dies at once: it gets no air.";

/// What is said where nothing was seen at any place by now.
pub const NOTHING_SEEN: &str =
    "Nothing was seen so far; look at the places, one by one, or say that nothing shows.";

/// Whether an answer is that nothing was seen at any place.
pub fn is_nowhere(answer: &Answer) -> bool {
    matches!(answer, Answer::Places(places) if places.is_empty())
}

/// What is said where a reading is the apprentice's own to say: what they see, and, as long as it is about the complaint,
/// what came with the car.
fn only_yours(session: &Session) -> String {
    let step = session.bay.step();
    let told = if step.is_some_and(|step| step.phase == Phase::Symptom) {
        came_with(&session.job) + " "
    } else {
        String::new()
    };
    let sees = session.bay.glance();
    format!("only you can say this. {told}What you see: {sees}")
}

/// Where no reading is said to be of the supply, the simulation draws readings from what the causes show.
const NOT_READ: &str = " No reading of this flow says that it is taken of it (such as `is: hold start`), so what you set \
                        changes no reading.";

/// How a part looks that was taken off and opened, and what came off with it.
pub fn part_words(opened: &Practised) -> String {
    let Practised::PartOpened {
        bad, small, off, ..
    } = opened
    else {
        return String::new();
    };
    let looks = match (bad, small) {
        (true, true) => "the part is bad, but what is bad is too small to explain the complaint",
        (true, false) => "the part is plainly bad",
        (false, _) => "the part looks good",
    };
    let mut words = format!("You take it off and open it: {looks}.");
    if !off.is_empty() {
        let _ = write!(words, " Taken off with it: {}.", off.join(", "));
    }
    words
}

/// Refuses what is done to an engine where none is tested.
fn has_engine(bay: &Bay) -> Result<(), String> {
    refuses((!bay.has_engine()).then(|| "there is no engine in this test".to_owned()))
}

/// What is said where the engine is run until it is warm.
fn warmed(bay: &Bay) -> String {
    let words = match bay.heat() {
        Heat::Cold => "You run the engine until it is warm.",
        Heat::Warm => "It is warm already.",
        Heat::Hot => "It is hot already.",
    };
    words.to_owned()
}

/// What is said where it was left to cool.
fn cooled(bay: &Bay) -> String {
    let words = if bay.heat() == Heat::Cold {
        "It is cold."
    } else if bay.cools_within_step() {
        "What you reach for has cooled enough: that is part of this step's minutes. The engine itself stays warm."
    } else {
        "You let it cool. It can be touched."
    };
    words.to_owned()
}

fn round(bay: &mut Bay) -> String {
    let openings = bay.go_round().into_iter();
    let open: Vec<&str> = openings
        .filter(|(_, closed)| !closed)
        .map(|(opening, _)| opening)
        .collect();
    if open.is_empty() {
        return "You go round: every opening is closed.".to_owned();
    }
    format!("You go round. Open: {}.", open.join(", "))
}

fn gauges(bay: &mut Bay) -> String {
    let seen = bay.see_gauges().into_iter().map(|(gauge, fits)| {
        let fits = if fits {
            "its range fits"
        } else {
            "its range is far too coarse"
        };
        format!("{gauge}: {fits}")
    });
    let seen: Vec<String> = seen.collect();
    if seen.is_empty() {
        return "This test has no gauge to set.".to_owned();
    }
    seen.join("; ") + "."
}

fn known(session: &Session, opening: &str) -> Result<(), String> {
    let openings = session.bay.openings();
    if openings.iter().any(|(known, _)| *known == opening) {
        return Ok(());
    }
    let names: Vec<&str> = openings.into_iter().map(|(name, _)| name).collect();
    Err(if names.is_empty() {
        "in this flow nothing is closed by hand".to_owned()
    } else {
        format!(
            "there is no opening `{opening}` here; there are: {}",
            names.join(", ")
        )
    })
}
