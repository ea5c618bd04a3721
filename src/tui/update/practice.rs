//! Practice: what hands do on the car that is not there, readings taken of it, and the end of an exercise.

use tui_input::Input;

mod supply;

pub use supply::{supply, supply_form};

use super::{append, forms, list};
use crate::engine::action::Action;
use crate::engine::event::{Event, What};
use crate::engine::practised::Practised;
use crate::engine::standing::Standing;
use crate::flow::answer::Answer;
use crate::flow::model::PromptKind;
use crate::practice::debrief::Debrief;
use crate::practice::harm::Harm;
use crate::practice::session::{begun_by, exercise, marks};
use crate::practice::wish::{self, Did, let_down_words, part_words, stop_words};
use crate::tui::clean::clean;
use crate::tui::effect::Effect;
use crate::tui::keys::{self, Context};
use crate::tui::message::Act;
use crate::tui::model::{AtBay, FormKind, ListKind, Model, OpenJob, Over, Screen, Then};
use crate::tui::theme::Role;
use crate::units::preferred::shown_unit;

/// The other store is in use now.
pub fn swapped(model: &mut Model, practice: bool) -> Vec<Effect> {
    model.practice = practice;
    model.open = None;
    model.overs.clear();
    model.screen = Screen::Board;
    model.board = crate::tui::model::Board::default();
    let text = if practice {
        "Exercises: nothing here is a real car, and nothing of it counts for the workshop."
    } else {
        "Back at the workshop's jobs."
    };
    model.say(Role::Plain, text);
    let mut effects = vec![Effect::Find(String::new())];
    effects.extend(practice.then_some(Effect::History));
    effects
}

/// An exercise stays in its flow and on its car.
pub fn stays(model: &mut Model) -> Vec<Effect> {
    model.say(
        Role::Caution,
        "An exercise is this one test on this one car.",
    );
    Vec::new()
}

/// What is said as an exercise is begun: the complaint, and the keys that matter first.
pub fn welcome(model: &mut Model) {
    let Some(open) = model.open.as_ref().filter(|open| open.bay.is_some()) else {
        return;
    };
    // Opened, begun, the flow begun: nothing was done yet.
    if open.events.len() > 3 {
        goes_on_with(model);
        return;
    }
    let came_with = open.bay.as_ref().map(|bay| bay.came_with.clone());
    // In lines a key's words are its command.
    let key = |act, command: &str| {
        if model.has_clock {
            keys::shown(model, act, Context::Value)
        } else {
            format!("`{command}`")
        }
    };
    let text = format!(
        "{} {} shows this again, {} takes a reading, {} is for your hands.",
        came_with.unwrap_or_default(),
        key(Act::Complaint, "complaint"),
        key(Act::TakeReading, "take it"),
        key(Act::Hands, "hands")
    );
    model.say(Role::Strong, text);
}

/// Who goes on with what somebody else began is told for whom it counts.
fn goes_on_with(model: &mut Model) {
    let open = model.open.as_ref();
    let by = open.and_then(|open| begun_by(&open.events));
    let other = by.filter(|by| *by != model.who).map(str::to_owned);
    if let Some(other) = other.filter(|_| model.is_exercise()) {
        let text = format!(
            "{} began this exercise: its marks count for whoever began it.",
            clean(&other)
        );
        model.say(Role::Caution, text);
    }
}

/// What an item of a list of practice does.
pub fn then(model: &mut Model, then: Then) -> Vec<Effect> {
    match then {
        Then::Hand(done) => hand(model, &done),
        Then::List(kind) => list(model, kind),
        Then::LookAt(place) => {
            if let Some(bay) = bay(model) {
                bay.looking = place;
            }
            list(model, ListKind::LookLong)
        }
        Then::Supply => forms::open(model, FormKind::Supply),
        Then::Exercise(flow) => {
            model.to_practise = Some(flow);
            list(model, ListKind::Levels)
        }
        Then::Level(level) => {
            let flow = model.to_practise.take();
            flow.map(|flow| Effect::Exercise {
                flow,
                level,
                seed: None,
                name: String::new(),
            })
            .into_iter()
            .collect()
        }
        Then::Glance => {
            let sees = bay(model).map(|bay| bay.session().bay.glance());
            model.overs.clear();
            model.say(
                Role::Strong,
                format!("What you see: {}", sees.unwrap_or_default()),
            );
            Vec::new()
        }
        Then::CameWith => {
            model.overs.clear();
            model.overs.push(Over::Complaint(0));
            Vec::new()
        }
        Then::Again => again(model),
        Then::EndExercise => end(model),
        _ => Vec::new(),
    }
}

/// The same exercise from the start.
fn again(model: &Model) -> Vec<Effect> {
    let begun = model.open.as_ref().and_then(|open| exercise(&open.events));
    begun
        .map(|begun| Effect::Exercise {
            flow: begun.flow.clone(),
            level: begun.level,
            seed: Some(begun.seed),
            name: begun.name.clone(),
        })
        .into_iter()
        .collect()
}

fn bay(model: &mut Model) -> Option<&mut AtBay> {
    model.open.as_mut()?.bay.as_deref_mut()
}

/// Does something on the car; what is seen of it is said.
fn hand(model: &mut Model, done: &Practised) -> Vec<Effect> {
    match wish(model, done) {
        Ok(did) => {
            let effects = did_it(model, did);
            if changes(done) {
                read_anew(model);
            }
            effects
        }
        Err(why) => {
            model.say(Role::Caution, why);
            Vec::new()
        }
    }
}

/// Whether an act of the hands changes what the car shows; to look, to go round or to shut the door does not.
fn changes(done: &Practised) -> bool {
    matches!(
        done,
        Practised::Closed { .. }
            | Practised::Opened { .. }
            | Practised::Fed { .. }
            | Practised::SupplyOff
            | Practised::Covered { .. }
            | Practised::Uncovered
            | Practised::Warmed
            | Practised::Cooled
            | Practised::RangeSet { .. }
            | Practised::CodesCleared
    )
}

/// What the car showed before something on it was changed does not stay in the field, as if it showed it still.
fn read_anew(model: &mut Model) {
    let Some(kind) = model.asked().map(|asked| asked.prompt.kind.clone()) else {
        return;
    };
    if let Some(open) = model
        .open
        .as_mut()
        .filter(|open| open.entry.taken.is_some())
    {
        open.entry.reset(&kind);
        if let Some(notice) = &mut model.notice {
            notice
                .text
                .push_str(" What was read before is taken out of the field.");
        }
    }
}

/// The events of an act that is something else besides on the car of an exercise; nothing where it is not.
pub fn besides(model: &Model, open: &OpenJob, action: &Action) -> Option<Vec<What>> {
    let session = open.bay.as_ref()?.session();
    Some(wish::besides(session, model.desk(), action)?.what)
}

fn wish(model: &Model, done: &Practised) -> Result<Did, String> {
    let Some(open) = &model.open else {
        return Err("open an exercise first".to_owned());
    };
    if let Some(held) = &open.held {
        return Err(format!("read only: {held}"));
    }
    let Some(bay) = &open.bay else {
        return Err("this is no exercise".to_owned());
    };
    wish::wish(bay.session(), model.desk(), done)
}

fn did_it(model: &mut Model, did: Did) -> Vec<Effect> {
    let role = if did.harm.is_some() {
        Role::Fail
    } else {
        Role::Strong
    };
    model.say(role, did.sees);
    match &model.open {
        Some(open) => append(model, open, did.what),
        None => Vec::new(),
    }
}

/// Takes the reading that is asked for, and fills it in.
pub fn take(model: &mut Model) -> Vec<Effect> {
    let Some(asked) = model.asked().filter(|asked| !asked.fact) else {
        model.say(Role::Caution, "Nothing is asked here that could be taken.");
        return Vec::new();
    };
    let reading = asked.prompt.id.clone();
    let kind = asked.prompt.kind.clone();
    let did = match wish(
        model,
        &Practised::Took {
            reading: reading.clone(),
        },
    ) {
        Ok(did) => did,
        Err(why) => {
            model.say(Role::Caution, why);
            return Vec::new();
        }
    };
    let reads = did.reads.clone();
    let mut effects = did_it(model, did);
    match (&kind, reads) {
        // A list of pairs is written down whole: nobody types eleven pairs from one screen to the other.
        (PromptKind::Pairs(_), Some(value)) => {
            if let Some(Effect::Append { what, .. }) = effects.first_mut() {
                what.push(What::ReadingTaken {
                    reading,
                    value,
                    confirmed: false,
                    carried_from: None,
                    from_file: None,
                });
            }
            model.say(Role::Strong, "The whole list is written down.");
        }
        (kind, Some(value)) => fill(model, kind, &value),
        _ => {}
    }
    effects
}

/// Puts an answer where it would have been typed, picked or marked.
fn fill(model: &mut Model, kind: &PromptKind, value: &Answer) {
    let nothing = wish::is_nowhere(value);
    if let Some(open) = &mut model.open {
        let entry = &mut open.entry;
        entry.reset(kind);
        entry.own = true;
        entry.taken = Some(value.clone());
        match (kind, value) {
            (PromptKind::Quantity(asked), Answer::Quantity(q)) => {
                // Its unit stands behind the field already, unless the workshop wants another one shown.
                let same = shown_unit(q.unit()) == q.unit() && q.unit() == asked.unit;
                let text = if same {
                    q.value().to_string()
                } else {
                    q.to_string()
                };
                entry.text = Input::from(text);
            }
            (PromptKind::Choice(words), Answer::Choice(word)) => {
                entry.at = words.iter().position(|other| other == word);
            }
            (PromptKind::Places(_), Answer::Places(places)) => {
                entry.places.clone_from(places);
            }
            _ => {}
        }
    }
    if nothing {
        model.say(Role::Strong, wish::NOTHING_SEEN);
    }
}

/// Ends the exercise, or shows the debrief of one that has ended.
pub fn debrief(model: &mut Model) -> Vec<Effect> {
    if matches!(model.standing(), Standing::HandedOver(_)) {
        return show(model);
    }
    list(model, ListKind::EndOrNot)
}

/// Ends the exercise: it is marked, and the debrief follows.
fn end(model: &mut Model) -> Vec<Effect> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    if let Some(held) = &open.held {
        let text = format!("read only: {held}");
        model.say(Role::Caution, text);
        return Vec::new();
    }
    let Some(bay) = &open.bay else {
        return Vec::new();
    };
    let what = wish::end(bay.session(), model.desk(), "for its debrief");
    append(model, open, what)
}

fn show(model: &mut Model) -> Vec<Effect> {
    if bay(model).is_some_and(|bay| bay.debrief.is_none()) {
        tell(model);
    }
    model.overs.push(Over::Debrief(0));
    vec![Effect::History]
}

/// Works the debrief out, by the simulated cars on which the odds on the screens rest.
fn tell(model: &mut Model) {
    let cars = model.evidence.cars.clone();
    let rate = model.settings.labour_rate.clone();
    if let Some(bay) = bay(model) {
        let debrief = Debrief::with_evidence(bay.session(), cars.as_ref());
        bay.debrief = Some(Box::new(debrief.at(rate)));
    }
}

/// The simulated cars are made: a debrief that was told without them is told anew.
pub fn cars_made(model: &mut Model) {
    if bay(model).is_some_and(|bay| bay.debrief.as_ref().is_some_and(|told| told.cars == 0)) {
        tell(model);
    }
}

/// Events are on the disk: a list of which several items are done one after the other stays.
pub fn was_done(model: &mut Model, events: &[Event]) {
    let tries = bay(model).is_some_and(|bay| bay.session().bay.tries().is_some());
    let stays = |kind: ListKind| {
        events.iter().any(|event| {
            matches!(
                (&event.what, kind),
                (
                    What::Practised(
                        Practised::Closed { .. }
                            | Practised::Opened { .. }
                            | Practised::Looked { .. },
                    ),
                    ListKind::Openings | ListKind::LookAt,
                ) | (
                    What::TakenOff(_),
                    ListKind::Fitted | ListKind::FittedBeforeProof
                )
            ) || tries
                && matches!(
                    (&event.what, kind),
                    (
                        What::Practised(Practised::Covered { .. }),
                        ListKind::CoverAt
                    )
                )
        })
    };
    // Where a list stays, so does the one that it was come to from: Esc leads back there, whether anything was done or not.
    let some_stay = model
        .overs
        .iter()
        .any(|over| matches!(over, Over::List { kind, .. } if stays(*kind)));
    let stays = |kind: ListKind| stays(kind) || some_stay && kind == ListKind::Hands;
    model
        .overs
        .retain(|over| matches!(over, Over::List { kind, .. } if stays(*kind)));
}

/// What is seen of the car as events happen: how a part looks that was opened, and what stopped the exercise.
pub fn seen(model: &mut Model, events: &[Event]) {
    let repaired = events
        .iter()
        .any(|event| matches!(event.what, What::RepairDone { .. }));
    let let_down = events
        .iter()
        .any(|event| matches!(event.what, What::LimitCleared));
    for event in events {
        match &event.what {
            What::Practised(opened @ Practised::PartOpened { .. }) => {
                model.say(Role::Strong, part_words(opened));
            }
            What::Practised(Practised::Closed { opening }) if repaired => {
                let text = format!("As the car is put together, this is shut: {opening}.");
                model.say(Role::Strong, text);
            }
            What::Practised(Practised::SupplyOff) if let_down => {
                let words = bay(model).map(|bay| let_down_words(&bay.session().bay));
                model.say(Role::Strong, words.unwrap_or_default());
            }
            What::Practised(Practised::Stopped { harm, caution }) => {
                if let Some(harm) = Harm::named(harm, caution) {
                    model.say(Role::Fail, stop_words(&harm));
                }
            }
            _ => {}
        }
    }
}

/// The exercise has ended: the debrief is shown.
pub fn is_over(model: &mut Model, events: &[Event]) -> Vec<Effect> {
    let over = events
        .iter()
        .any(|event| matches!(event.what, What::Handover { .. }));
    if over && marks(events).is_some() {
        return show(model);
    }
    Vec::new()
}
