//! The evidence: asked for whenever what it rests on has changed, looked at, and followed.

use super::{forms, list, moves, perform, perform_or_say};
use crate::engine::action::Action;
use crate::engine::elsewhere;
use crate::engine::saving;
use crate::engine::weighed::Weighed;
use crate::flow::target::Target;
use crate::rules::advice::{Advice, Here, is_in};
use crate::tui::effect::Effect;
use crate::tui::message::Act;
use crate::tui::model::{EvidenceKey as Key, FormKind, ListKind, Model, Over, Page, Screen};
use crate::tui::theme::Role;
use crate::tui::weigher::Answer;

/// Asks for the evidence where what it rests on is another than at the last question.
pub fn ask(model: &mut Model) -> Option<Effect> {
    let key = model.evidence_key()?;
    if model.screen == Screen::Board || model.evidence.asked == Some(key) {
        return None;
    }
    let other = |asked: &Key| asked.job != key.job;
    if model.evidence.asked.as_ref().is_none_or(other) {
        // Those of another job say nothing of this one.
        model.evidence.cars = None;
    }
    model.evidence.asked = Some(key);
    Some(Effect::Weigh(key))
}

/// Takes an answer in; one to an older question is dropped.
pub fn answered(model: &mut Model, answer: Answer) -> Vec<Effect> {
    if model.evidence.asked == Some(answer.key) {
        let before = model.last_advice().cloned();
        model.evidence.known = Some((answer.key, answer.advice));
        model.evidence.more = answer.more;
        let made = answer.cars.is_some() && model.evidence.cars.is_none();
        model.evidence.cars = answer.cars;
        if made {
            super::practice::cars_made(model);
        }
        keep_picked(model, before.as_ref());
    }
    Vec::new()
}

/// A better answer may put causes and ways in another order: what was picked stays picked, and where
/// it is gone the first is.
fn keep_picked(model: &mut Model, before: Option<&Advice>) {
    let (Some(before), Some(now)) = (before, model.last_advice().cloned()) else {
        return;
    };
    if let Some(Over::Evidence(looked)) = model.overs.last_mut() {
        let cause = before.causes.get(looked.cause).map(|cause| &cause.id);
        let way = before.ways.get(looked.way).map(|way| &way.words);
        let of = |id: &String| now.causes.iter().position(|cause| cause.id == *id);
        let to = |words: &String| now.ways.iter().position(|way| way.words == *words);
        looked.cause = cause.and_then(of).unwrap_or(0);
        looked.way = way.and_then(to).unwrap_or(0);
    }
}

/// Opens the evidence.
pub fn open(model: &mut Model) -> Vec<Effect> {
    model.overs.push(Over::Evidence(Box::default()));
    Vec::new()
}

/// To the next page, or the one before.
pub fn turn(model: &mut Model, forward: bool) -> Vec<Effect> {
    let now = model.looked().map(|looked| looked.page);
    let at = Page::ALL.iter().position(|page| Some(*page) == now);
    let pages = Page::ALL.len();
    let step = if forward { 1 } else { pages - 1 };
    turn_to(model, (at.unwrap_or(0) + step) % pages)
}

/// To the page with this number, from 0.
pub fn turn_to(model: &mut Model, n: usize) -> Vec<Effect> {
    let here = crate::tui::view::here_on_map(model);
    if let (Some(Over::Evidence(looked)), Some(page)) = (model.overs.last_mut(), Page::ALL.get(n)) {
        looked.page = *page;
        looked.scroll = if looked.page == Page::Map { here } else { 0 };
    }
    Vec::new()
}

/// Moves the pick on a page, or scrolls the map.
pub fn go(model: &mut Model, act: Act, page: usize) -> Vec<Effect> {
    let count = model.count();
    // Where the text below is seen whole, pages turn the list.
    let scrolls = matches!(act, Act::PageUp | Act::PageDown) && model.furthest > 0;
    if let Some(Over::Evidence(looked)) = model.overs.last_mut() {
        let at = match looked.page {
            Page::Causes if !scrolls => &mut looked.cause,
            Page::Next if !scrolls => &mut looked.way,
            _ => {
                moves::scroll(model, act, page);
                return Vec::new();
            }
        };
        *at = moves::moved(Some(*at), count, act, page).unwrap_or(0);
        looked.scroll = 0;
    }
    Vec::new()
}

/// Picks a cause or a way by its number.
pub fn pick(model: &mut Model, n: usize) -> Vec<Effect> {
    let count = model.count();
    if let Some(Over::Evidence(looked)) = model.overs.last_mut()
        && n < count
    {
        match looked.page {
            Page::Causes => looked.cause = n,
            Page::Next => looked.way = n,
            Page::Map => {}
        }
        looked.scroll = 0;
    }
    Vec::new()
}

/// Takes the way picked on the page of ways.
pub fn take_picked(model: &mut Model) -> Vec<Effect> {
    match model.looked() {
        Some(looked) if looked.page == Page::Next => {
            let way = looked.way;
            take(model, way)
        }
        _ => turn(model, true),
    }
}

/// Leaves the step for where the evidence says; first where something is to be done or taken down
/// before.
pub fn take(model: &mut Model, way: usize) -> Vec<Effect> {
    let Some(advice) = model.advice() else {
        model.say(Role::Plain, "The evidence is still being worked out.");
        return Vec::new();
    };
    let same = advice.ways.get(way).and_then(|way| way.go.as_ref())
        == advice
            .beside
            .flow
            .as_ref()
            .and_then(|flow| flow.go.as_ref());
    if same && advice.ways.get(way).is_some_and(|way| way.go.is_some()) {
        // The flow leads there as well: that is its own outcome.
        model.overs.clear();
        return perform_or_say(model, Action::Follow);
    }
    let (Some(way), Some(weighed)) = (advice.ways.get(way).cloned(), advice.weighed(way)) else {
        return Vec::new();
    };
    if way.may_lose_codes() && model.must_save_first() {
        return save_first(model);
    }
    let go = match (&way.first, way.go) {
        (Some((first, _)), _) => Some(Target::Step(first.clone())),
        (None, go) => go,
    };
    match go {
        None => list(model, ListKind::HandOn),
        Some(go) => go_by(model, go, weighed, false),
    }
}

/// What the control unit knows comes before what may lose it: the step that asks for it, where the walk stands there,
/// or else the form.
fn save_first(model: &mut Model) -> Vec<Effect> {
    model.overs.clear();
    let here = model
        .open
        .as_ref()
        .is_some_and(|open| saving::is_here(&open.job));
    let effects = if here {
        Vec::new()
    } else {
        forms::open(model, FormKind::Codes)
    };
    let text = "First save what the control unit knows. Then the evidence's way can be gone.";
    model.say(Role::Caution, text);
    effects
}

/// Goes there, unless something stands in place that is to be taken down first: then it asks.
pub fn go_by(model: &mut Model, go: Target, weighed: Weighed, taken_down: bool) -> Vec<Effect> {
    let left_over = match (&go, &model.open) {
        (Target::Step(step), Some(open)) => elsewhere::left_over(&open.job, step),
        _ => Vec::new(),
    };
    let action = Action::GoBy {
        go: go.clone(),
        weighed: Box::new(weighed.clone()),
        taken_down: true,
    };
    match perform(model, action) {
        Ok(effects) if left_over.is_empty() || taken_down => {
            model.overs.clear();
            effects
        }
        Ok(_) => {
            model.evidence.pending = Some((go, Box::new(weighed), left_over));
            list(model, ListKind::TakeDown)
        }
        Err(refusal) => {
            model.say(Role::Caution, refusal.to_string());
            Vec::new()
        }
    }
}

/// It is taken down: goes there.
pub fn is_taken_down(model: &mut Model) -> Vec<Effect> {
    match model.evidence.pending.take() {
        Some((go, weighed, _)) => go_by(model, go, *weighed, true),
        None => Vec::new(),
    }
}

/// Hands the car on to another flow, as the evidence suggests.
pub fn hand_on(model: &mut Model, flow: &str) -> Vec<Effect> {
    let by = model.advice().and_then(|advice| {
        let at = advice.ways.iter().position(|way| way.go.is_none())?;
        advice.weighed(at)
    });
    match by {
        Some(weighed) if model.is_on_step() => {
            go_by(model, Target::Flow(flow.to_owned()), weighed, true)
        }
        _ => super::begin(model, flow),
    }
}

/// What ends the step, with what the evidence said beside it where that was something else.
pub fn weighed(model: &Model, action: Action) -> Action {
    let other = model.advice().filter(|advice| {
        advice.beside.here == Here::Judged && (advice.differs() || advice.beside.flow.is_none())
    });
    match other.and_then(|advice| advice.weighed(0)) {
        Some(weighed) => Action::Weigh {
            weighed: Box::new(weighed),
            action: Box::new(action),
        },
        None => action,
    }
}

/// Marks a piece of gear as not here, or as here again.
pub fn mark_gear(model: &mut Model, gear: &str) -> Vec<Effect> {
    let habits = &mut model.evidence.habits;
    if is_in(&habits.not_here, gear) {
        let lower = gear.trim().to_lowercase();
        habits
            .not_here
            .retain(|other| other.trim().to_lowercase() != lower);
    } else {
        habits.not_here.push(gear.to_owned());
    }
    said(model)
}

/// Counts the workshop's own jobs, or leaves them out.
pub fn own_jobs(model: &mut Model) -> Vec<Effect> {
    let habits = &mut model.evidence.habits;
    habits.ignore_own_jobs = !habits.ignore_own_jobs;
    let text = if habits.ignore_own_jobs {
        "The workshop's own jobs are left out: the odds are the authors' alone."
    } else {
        "The workshop's own closed jobs count again."
    };
    model.say(Role::Plain, text);
    said(model)
}

fn said(model: &mut Model) -> Vec<Effect> {
    model.evidence.said += 1;
    vec![Effect::KeepHabits(model.evidence.habits.clone())]
}
