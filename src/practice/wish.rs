//! From what the apprentice wants to do on the car to the events that it makes. An unsafe one is done all the same:
//! it stops the exercise.

use std::fmt::Write as _;

use super::harm::Harm;
use super::session::Session;
use super::start::came_with;
use super::traps::{Heat, is_fed};
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::{Codes, What};
use crate::engine::practised::Practised;
use crate::engine::standing::{Desk, RepairStage, Standing};
use crate::flow::answer::Answer;
use crate::flow::load::nearest;
use crate::flow::model::{Phase, PromptKind, Step};
use crate::physics::gas::Gas;
use crate::plant::hands::Fed;

use super::bay::{Answers, Bay, Taken};
use super::debrief::Debrief;

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
            did.harm = bay.warm();
            did.sees = String::from("You run the engine until it is warm.");
        }
        Practised::Cooled => did.sees = cooled(&bay),
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

/// Something unsafe stops the exercise; `done` is what was recorded of it.
fn stop(session: &Session, desk: Desk, done: &[What], harm: Harm) -> Did {
    Did {
        what: stopped(session, desk, done, &harm),
        sees: stop_words(&harm),
        reads: None,
        harm: Some(harm),
    }
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

/// Said where the engine is to run and cannot.
const DIES: &str = "The engine fires and dies at once: it gets no air.";

/// What is said where nothing was seen at any place by now.
pub const NOTHING_SEEN: &str =
    "Nothing was seen so far; look with the lamp, or say that nothing shows.";

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

/// What is seen as the control unit's memory is read out and saved.
fn saved(session: &Session) -> String {
    let mut words =
        String::from("You read out and save stored and pending codes, freeze frame and readiness.");
    let codes = codes(session);
    for (are, codes) in [("Stored", codes.stored), ("Pending", codes.pending)] {
        if !codes.is_empty() {
            let _ = write!(words, " {are}: {}.", codes.join(", "));
        }
    }
    if session.bay.test() > 1 && session.bay.are_codes_stored() && !came_codes(session).is_empty() {
        words.push_str(
            " Nobody has cleared them since the car came: they say nothing of the repair.",
        );
    }
    words
}

/// What is seen as the codes are cleared.
fn cleared(session: &Session) -> String {
    let mut words = String::from(
        "The codes are cleared, and freeze frame and readiness with them: the long trims begin at nothing, and every monitor \
         has to run again.",
    );
    if session.bay.test() == 1 && !session.bay.are_codes_saved() {
        words.push_str(" Nobody had saved them.");
    }
    words
}

/// The codes with which the car came.
fn came_codes(session: &Session) -> Vec<String> {
    let opening = session.job.opening.as_ref();
    opening.map_or_else(Vec::new, |opening| opening.codes.clone())
}

/// What the control unit has stored, for the record: the codes with which the car came, until somebody clears them; those
/// are pending once the engine has run again with the complaint still there.
fn codes(session: &Session) -> Codes {
    let came = |are: bool| {
        let codes = are.then(|| came_codes(session));
        codes.unwrap_or_default()
    };
    let stored = session.bay.are_codes_stored();
    Codes {
        stored: came(stored),
        pending: came(session.bay.came_back()),
        freeze_frame: if stored { "saved" } else { "none" }.to_owned(),
        readiness: "saved".to_owned(),
    }
}

/// Where no reading is said to be of the supply, the simulation draws readings from what the causes show.
const NOT_READ: &str = " No reading of this flow says that it is taken of it (such as `is: hold start`), so what you set \
                        changes no reading.";

/// What an act of the walk is on the car besides; nothing for most. Something unsafe in it stops the exercise: a part
/// repaired under pressure, the engine run with the supply connected. What the customer says is talk, and does nothing
/// to the car.
pub fn besides(session: &Session, desk: Desk, action: &Action) -> Option<Did> {
    let works = matches!(
        session.job.standing(desk),
        Standing::Repair {
            stage: RepairStage::Work(_),
            ..
        }
    );
    let harm = match action {
        Action::Repaired { .. } if works => match session.bay.part_under_pressure() {
            None => return put_together(session, desk, action),
            harm => harm,
        },
        Action::Read { reading, value, .. } if !matches!(value, Answer::CouldNotTell(_)) => {
            session.bay.ran_with_supply(reading)
        }
        Action::ClearLimit => return lets_down(session, desk),
        _ => None,
    };
    Some(stop(session, desk, &[], harm?))
}

/// The pressure let down after a limit was passed: the supply comes off with it, and is set anew before it goes on again.
/// `None` where none is connected, or nothing was passed.
fn lets_down(session: &Session, desk: Desk) -> Option<Did> {
    session.bay.fed()?;
    let mut what = act(&session.job, desk, Action::ClearLimit).ok()?;
    what.push(What::Practised(Practised::SupplyOff));
    let sees = if session.bay.is_pumped() {
        "You let the pressure down with the pump's valve. Pump anew, lower, then read again."
    } else {
        "You let the pressure down and take the supply off. Set it lower, connect it, then read again."
    };
    Some(Did {
        what,
        sees: sees.to_owned(),
        reads: None,
        harm: None,
    })
}

/// A repair with what it changes on the car besides: what comes off with a part that was not taken off before, and what
/// is shut as the car is put together. `None` where it changes nothing else.
fn put_together(session: &Session, desk: Desk, action: &Action) -> Option<Did> {
    let Standing::Repair { cause, .. } = session.job.standing(desk) else {
        return None;
    };
    let opened = opening(session, &cause.id);
    let comes_off = matches!(&opened, Practised::PartOpened { off, .. } if !off.is_empty());
    let shuts = session.bay.ports_open();
    if !comes_off && shuts.is_empty() {
        return None;
    }
    let done = act(&session.job, desk, action.clone()).ok()?;
    let mut sees = String::new();
    let mut what = Vec::new();
    if comes_off {
        sees = part_words(&opened);
        what.push(What::Practised(opened));
    }
    for port in shuts {
        let _ = write!(sees, " As the car is put together, this is shut: {port}.");
        what.push(What::Practised(Practised::Closed {
            opening: port.to_owned(),
        }));
    }
    what.extend(done);
    Some(Did {
        what,
        sees: sees.trim_start().to_owned(),
        reads: None,
        harm: None,
    })
}

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

/// What is said where something unsafe stops the exercise.
pub fn stop_words(harm: &Harm) -> String {
    format!("STOP. {} {}", harm.done(), harm.would_have())
}

const NO_PLACE: &str = "here no place is asked for: look when the step wants it";

/// Looks at a place for so many seconds.
fn looks(
    bay: &mut Bay,
    (place, seconds): (&str, u32),
    earlier: &Answers,
) -> Result<String, String> {
    let Some(prompt) = bay.step().and_then(|step| bay.places(step)) else {
        return Err(NO_PLACE.to_owned());
    };
    if let PromptKind::Places(places) = &prompt.kind {
        let places: Vec<&str> = places.iter().map(String::as_str).collect();
        listed(place, &places, "is asked for at this step")?;
    }
    Ok(match bay.look(place, seconds, earlier) {
        Some(strength) => format!("{place}: {}.", strength_word(strength)),
        None => format!(
            "{place}: nothing shows, after {} s of looking.",
            bay.looked(place)
        ),
    })
}

/// Refuses a place that is none of these.
fn listed(place: &str, places: &[&str], is: &str) -> Result<(), String> {
    if places.contains(&place) {
        return Ok(());
    }
    let meant = nearest(place, places)
        .map_or_else(String::new, |near| format!(" (did you mean `{near}`?)"));
    Err(if places.is_empty() {
        format!("no place of this test {is}")
    } else {
        format!(
            "no place `{place}` {is}{meant}; there are: {}",
            places.join("; ")
        )
    })
}

/// Covers a place: on the running engine it is tried, and what changes is seen.
fn covered(
    session: &Session,
    bay: &mut Bay,
    place: &str,
    earlier: &Answers,
) -> Result<String, String> {
    if bay.tries().is_none() {
        return Ok(format!("Covered: {place}."));
    }
    if session.bay.stays_still() {
        return Err(DIES.to_owned());
    }
    Ok(match bay.try_place(place, earlier) {
        Some(true) => format!(
            "Covered on the running engine, {place}: trims or idle change, and go back as it is freed."
        ),
        _ => format!("Covered on the running engine, {place}: nothing changes. It is free again."),
    })
}

/// What is said where places are to be tried, and none that was tried changes anything.
fn not_tried(session: &Session) -> String {
    let tried = session.bay.tried();
    let so_far = if tried.is_empty() {
        "no place was tried yet".to_owned()
    } else {
        let tried: Vec<&str> = tried.iter().map(String::as_str).collect();
        format!("nothing changed at {}", tried.join(", "))
    };
    format!("{so_far}: with your hands, cover a place (it is freed again); then the next")
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

/// How strongly smoke shows, in words.
pub fn strength_word(strength: crate::flow::answer::Strength) -> &'static str {
    use crate::flow::answer::Strength::{Heavy, Steady, Wisp};
    match strength {
        Wisp => "a wisp, it comes and goes",
        Steady => "a steady thread",
        Heavy => "it pours out",
    }
}

/// The events that end an exercise in which something unsafe was done.
fn stopped(session: &Session, desk: Desk, done: &[What], harm: &Harm) -> Vec<What> {
    let mut what = done.to_vec();
    what.push(What::Practised(Practised::Stopped {
        harm: harm.id().to_owned(),
        caution: harm.caution_id().to_owned(),
    }));
    // What stopped it has cost its minutes as well: the marks are those of the record as it will be.
    let after = session.after(&what);
    what.extend(end(&after, desk, "stopped: something unsafe was done"));
    what
}

/// The events that end an exercise: it is marked, and the job is closed.
pub fn end(session: &Session, desk: Desk, note: &str) -> Vec<What> {
    let marks = Debrief::without_evidence(session).marks();
    let mut what = vec![What::Practised(Practised::Marked(marks))];
    let note = note.to_owned();
    what.extend(
        act(
            &session.job,
            desk,
            Action::EndExercise { note: note.clone() },
        )
        .unwrap_or_else(
            // A limit that was passed and not let down stops everything; an exercise ends all the same.
            |_| vec![What::Handover { note }],
        ),
    );
    what
}
