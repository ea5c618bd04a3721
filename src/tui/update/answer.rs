//! Answers to the question on screen: typed, chosen, marked, or "could not tell".

use std::collections::BTreeMap;

use super::{forms, perform, perform_all, perform_or_say};
use crate::engine::action::Action;
use crate::engine::event::What;
use crate::engine::prompt::passes_its_limit;
use crate::engine::refusal::Refusal;
use crate::engine::{hold, prompt, shown};
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{Prompt, PromptKind};
use crate::tui::effect::Effect;
use crate::tui::keys;
use crate::tui::message::Act;
use crate::tui::model::{Entry, Model, Offered, parse_pairs};
use crate::tui::view::clock;
use crate::units::Quantity;

/// Enter on a value or on words.
pub fn value(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let text = entry(model)
        .map(|entry| entry.text.value().to_owned())
        .unwrap_or_default();
    if text.trim().is_empty() {
        return take_over_or_leave_out(model, &prompt);
    }
    if model.takes_samples() {
        return sample(model, &prompt, &text);
    }
    match prompt::parse(&prompt, &text) {
        Ok(Answer::CouldNotTell(_)) => forms::could_not_tell(model, ""),
        Ok(answer) => give(model, &prompt, answer),
        Err(refusal) => refuse(model, refusal.to_string()),
    }
}

/// Enter on a value while a hold runs: a sample of it.
fn sample(model: &mut Model, prompt: &Prompt, text: &str) -> Vec<Effect> {
    let Some(began) = model.hold_began() else {
        return Vec::new();
    };
    let value = match prompt::parse(prompt, text) {
        Ok(Answer::CouldNotTell(_)) => return forms::could_not_tell(model, ""),
        Ok(value) => value,
        Err(refusal) => return refuse(model, refusal.to_string()),
    };
    let again = entry(model).is_some_and(|entry| entry.again.as_ref() == Some(&value));
    let stops = stops(model, prompt, &value);
    if let Some(start) = above_start(model, &value).filter(|_| !again && !stops) {
        let why = format!(
            "that is more than the {start} it began with: a closed space gains nothing, unless it warms, gives off vapour \
             or the supply is not shut. Enter once more if the gauge shows it"
        );
        return ask_again(model, value, why);
    }
    let after = model.now - began;
    let action = Action::Sample {
        reading: prompt.id.clone(),
        after: f64::from(i32::try_from(after.num_seconds()).unwrap_or(i32::MAX)),
        value,
    };
    match perform(model, action) {
        Ok(effects) => effects,
        Err(refusal) => refuse(model, refusal.to_string()),
    }
}

/// Whether a value passes a limit: nothing is asked first of what may burst.
fn stops(model: &Model, prompt: &Prompt, value: &Answer) -> bool {
    let open = model.open.as_ref();
    open.is_some_and(|open| passes_its_limit(&open.job, prompt, value))
}

/// The start of the hold, where a sample lies above it.
fn above_start(model: &Model, value: &Answer) -> Option<String> {
    let open = model.open.as_ref()?;
    let hold = hold::hold(&open.job)?;
    let visit = open.job.visit()?.since_seq;
    let start = open
        .job
        .taken_in(visit)
        .filter(|t| t.reading == hold.start.id)
        .last()?;
    match (&start.value, value) {
        (Answer::Quantity(start), Answer::Quantity(value)) if value.si() > start.si() => {
            Some(shown::quantity(*start))
        }
        _ => None,
    }
}

/// Backspace in an empty field while a hold runs, or after its end, takes its last sample back.
pub fn take_sample_back(model: &mut Model) -> Vec<Effect> {
    match prompt_now(model) {
        Some(prompt) => {
            let reading = prompt.id;
            perform(model, Action::TakeSampleBack { reading }).unwrap_or_default()
        }
        None => Vec::new(),
    }
}

/// Enter on a choice.
pub fn choice(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let PromptKind::Choice(words) = &prompt.kind else {
        return Vec::new();
    };
    match entry(model).and_then(|entry| words.get(entry.at?)) {
        Some(word) => {
            let word = word.clone();
            if word == "yes" && model.asks_to_wait && model.asks_for_codes() && !is_saved(model) {
                return ask_whether_saved(model, &word);
            }
            give(model, &prompt, Answer::Choice(word))
        }
        None => take_over_or_leave_out(model, &prompt),
    }
}

/// Whether what the control unit had stored is in the record, or it was said before that it is kept elsewhere.
fn is_saved(model: &Model) -> bool {
    let yes = Answer::Choice("yes".to_owned());
    let open = model.open.as_ref();
    // In practice nothing is there that could be lost.
    open.is_none_or(|open| {
        let saved = open.job.codes.is_some() && !forms::to_be_read_again(open);
        open.bay.is_some() || saved || open.entry.unsaved.as_ref() == Some(&yes)
    })
}

/// A yes to what is not in the record is asked about: codes that are cleared later are gone.
fn ask_whether_saved(model: &mut Model, word: &str) -> Vec<Effect> {
    let key = called(model, Act::Codes);
    if let Some(open) = &mut model.open {
        let since = if open.job.codes.is_some() {
            "nothing is saved since the repair"
        } else {
            "nothing is saved in this job yet"
        };
        open.entry.unsaved = Some(Answer::Choice(word.to_owned()));
        open.entry.error = Some(format!(
            "{since}: {key} writes it down. Enter once more if it is kept elsewhere"
        ));
    }
    Vec::new()
}

/// Enter on places. That nothing showed is a finding of its own, at one place as at all of them, so it is asked once
/// more; of a script it is taken at its word where it marks anything.
pub fn places(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let Some(open) = &mut model.open else {
        return Vec::new();
    };
    let marked = open.entry.places.clone();
    if let Err(refusal) = prompt::check_kind(&prompt, &Answer::Places(marked.clone())) {
        return refuse(model, refusal.to_string());
    }
    let stands = open.entry.given == Some(Answer::Places(marked.clone()));
    let asks = model.asks_to_wait && !stands;
    if let Some(words) = left_empty(&prompt, &marked, asks).filter(|_| !open.entry.nowhere) {
        open.entry.nowhere = true;
        open.entry.error = Some(words);
        return Vec::new();
    }
    give(model, &prompt, Answer::Places(marked))
}

/// What is asked about places that stay empty; nothing where none does, or where some are marked and nobody is there to
/// be asked.
fn left_empty(prompt: &Prompt, marked: &BTreeMap<String, Strength>, asks: bool) -> Option<String> {
    if marked.is_empty() {
        let all = "Nothing is marked. Enter once more if you looked everywhere and nothing shows.";
        return Some(all.to_owned());
    }
    let PromptKind::Places(listed) = &prompt.kind else {
        return None;
    };
    let empty = listed.iter().filter(|place| !marked.contains_key(*place));
    let empty: Vec<&str> = empty.map(String::as_str).collect();
    (asks && !empty.is_empty()).then(|| {
        format!(
            "Left empty: {}. Enter once more if you looked there too and nothing shows.",
            empty.join(", ")
        )
    })
}

/// Enter on pairs: keeps what is typed, or, with nothing typed, ends the list. Each pair is on the
/// disk as soon as it is accepted.
pub fn pairs(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let PromptKind::Pairs(asked) = &prompt.kind else {
        return Vec::new();
    };
    let text = entry(model)
        .map(|entry| entry.text.value().trim().to_owned())
        .unwrap_or_default();
    if text.is_empty() {
        return end_of_pairs(model, &prompt);
    }
    match parse_pairs(&prompt, asked, &text) {
        Ok(more) => take_pairs(model, &prompt, more),
        Err(how) => refuse(model, how),
    }
}

fn take_pairs(model: &mut Model, prompt: &Prompt, pairs: Vec<(Quantity, Quantity)>) -> Vec<Effect> {
    let typed = Answer::Pairs(pairs.clone());
    let again = entry(model).is_some_and(|entry| entry.again.as_ref() == Some(&typed));
    let actions = pairs.into_iter().map(|pair| Action::Pair {
        reading: prompt.id.clone(),
        pair,
        confirmed: again,
    });
    match perform_all(model, actions) {
        Ok(effects) => effects,
        Err(Refusal::Implausible(why)) => ask_again(model, typed, why),
        Err(refusal) => refuse(model, refusal.to_string()),
    }
}

/// Ends the list with the pairs that are in the record.
fn end_of_pairs(model: &mut Model, prompt: &Prompt) -> Vec<Effect> {
    let taken = taken_pairs(model, prompt);
    if taken.is_empty() {
        return take_over_or_leave_out(model, prompt);
    }
    let value = Answer::Pairs(taken.iter().map(|(pair, _)| *pair).collect());
    // Those that were unusual were asked again one by one.
    if taken.iter().any(|(_, confirmed)| *confirmed)
        && let Some(open) = &mut model.open
    {
        open.entry.again = Some(value.clone());
    }
    give(model, prompt, value)
}

/// The pairs of the list on screen, each with whether it was confirmed.
fn taken_pairs(model: &Model, prompt: &Prompt) -> Vec<((Quantity, Quantity), bool)> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    let visit = open.job.visit().map_or(0, |visit| visit.since_seq);
    let pairs = open.job.pairs_in(visit, &prompt.id).into_iter();
    pairs.map(|pair| (pair.pair, pair.confirmed)).collect()
}

/// Backspace in an empty field takes the last pair back, to be typed anew.
pub fn take_pair_back(model: &mut Model) -> Vec<Effect> {
    match prompt_now(model) {
        Some(prompt) if !taken_pairs(model, &prompt).is_empty() => {
            let reading = prompt.id;
            perform_or_say(model, Action::TakePairBack { reading })
        }
        _ => Vec::new(),
    }
}

/// It was tried, and cannot be told: asks for the reason, with what is typed as its beginning.
pub fn could_not_tell(model: &mut Model) -> Vec<Effect> {
    let typed = entry(model)
        .map(|entry| entry.text.value().trim().to_owned())
        .unwrap_or_default();
    // No reason is asked for where none would do.
    if let Err(refusal) = model.untold_serves() {
        return refuse(model, refusal.to_string());
    }
    forms::could_not_tell(model, &typed)
}

fn prompt_now(model: &Model) -> Option<Prompt> {
    model.asked().map(|asked| asked.prompt.clone())
}

fn entry(model: &Model) -> Option<&Entry> {
    model.open.as_ref().map(|open| &open.entry)
}

/// Enter on nothing: takes the earlier reading over, or leaves out what may be left out.
fn take_over_or_leave_out(model: &mut Model, prompt: &Prompt) -> Vec<Effect> {
    let Some(open) = &mut model.open else {
        return Vec::new();
    };
    if let Some(given) = open.entry.given.clone() {
        return give(model, prompt, given);
    }
    if let Some(value) = open.entry.by_settings.clone() {
        let mut effects = give(model, prompt, value);
        for effect in &mut effects {
            if let Effect::Append { what, .. } = effect {
                say_by_settings(what);
            }
        }
        return effects;
    }
    if let Some(Offered { value, .. }) = open.entry.offer.clone() {
        return give(model, prompt, value);
    }
    let visit = open.job.visit().map_or(0, |visit| visit.since_seq);
    if open.job.is_left_out(visit, &prompt.id) {
        model.go_to_next_question();
        return Vec::new();
    }
    if prompt.optional {
        let reading = prompt.id.clone();
        return perform_or_say(model, Action::LeaveOut { reading });
    }
    let what = match prompt.kind {
        PromptKind::Choice(_) => "pick one first",
        PromptKind::Pairs(_) => "type a pair first",
        _ => "type an answer first",
    };
    let why = match model.untold_serves() {
        Err(why) => format!("{what}: {why}"),
        Ok(()) if model.may_stay_untold() => format!("{what}, or say that it could not be told"),
        Ok(()) => what.to_owned(),
    };
    refuse(model, why)
}

/// The record says of a fact where it came from.
fn say_by_settings(events: &mut [What]) {
    for event in events {
        if let What::FactNoted { by_settings, .. } = event {
            *by_settings = true;
        }
    }
}

fn refuse(model: &mut Model, why: String) -> Vec<Effect> {
    if let Some(open) = &mut model.open {
        open.entry.again = None;
        open.entry.error = Some(why);
        open.entry.replace = true;
    }
    Vec::new()
}

/// Gives an answer. One outside the plausible range is asked again; the same once more counts.
fn give(model: &mut Model, prompt: &Prompt, value: Answer) -> Vec<Effect> {
    let Some(asked) = model.asked() else {
        return Vec::new();
    };
    let fact = asked.fact;
    // The answer that stands here already is kept as it is, unless a clock begins with it.
    let stands = entry(model).is_some_and(|entry| entry.given.as_ref() == Some(&value));
    if stands && !model.begins_anew(prompt) {
        model.go_to_next_question();
        return Vec::new();
    }
    let stops = !fact && stops(model, prompt, &value);
    let asked_of = entry(model).is_some_and(|entry| entry.late.as_ref() == Some(&value));
    if let Some(seconds) = model.late().filter(|_| !asked_of && !stops) {
        return ask_whether_in_time(model, value, seconds);
    }
    let early = model.early().filter(|_| !fact && !stops);
    let asked_early = entry(model).is_some_and(|entry| entry.early.as_ref() == Some(&value));
    if let Some(left) = early.filter(|_| model.asks_to_wait && !asked_early) {
        return ask_whether_to_wait(model, value, left);
    }
    let again = entry(model).is_some_and(|entry| entry.again.as_ref() == Some(&value));
    let action = if fact {
        Action::SetFact {
            fact: prompt.id.clone(),
            value: value.clone(),
            confirmed: again,
        }
    } else {
        let carried_from = entry(model).and_then(|entry| entry.carried_from(&value));
        Action::Read {
            reading: prompt.id.clone(),
            value: value.clone(),
            confirmed: again,
            carried_from,
        }
    };
    match perform(model, cut_short(early, action)) {
        Ok(effects) => effects,
        Err(Refusal::Implausible(why)) => ask_again(model, value, why),
        Err(refusal) => refuse(model, refusal.to_string()),
    }
}

/// An action with how much of the wait is left, where it comes before its time.
pub fn cut_short(early: Option<i64>, action: Action) -> Action {
    match early {
        Some(left) => Action::Early {
            left,
            action: Box::new(action),
        },
        None => action,
    }
}

/// What is said where something comes before the time is over.
pub fn not_waited(model: &Model, left: i64) -> String {
    let key = |act| called(model, act);
    if model.clock_waits() {
        return format!(
            "the clock was not started: {} starts it as the wait begins. Enter once more accepts it all the same, and \
             the record says so",
            key(Act::Timer)
        );
    }
    format!(
        "{} of the wait are left. Wait, then Enter; {} if another clock has timed it. Enter once more accepts it before \
         its time, and the record says so",
        clock::text(left),
        key(Act::TimeUp)
    )
}

/// What an act is called where it is done: its key, and in lines its command.
pub(super) fn called(model: &Model, act: Act) -> String {
    if model.has_clock {
        return keys::shown(model, act, model.context_below());
    }
    let row = keys::all().find(|row| row.act == act);
    row.map_or_else(String::new, |row| format!("`{}`", row.words_in(model)))
}

/// What is read while a space still fills, or a float still moves, is judged as if it stood.
fn ask_whether_to_wait(model: &mut Model, value: Answer, left: i64) -> Vec<Effect> {
    let words = not_waited(model, left);
    if let Some(open) = &mut model.open {
        open.entry.early = Some(value);
        open.entry.error = Some(words);
        open.entry.replace = true;
    }
    Vec::new()
}

/// The end of a hold is judged by the time that the hold takes: a gauge read later has fallen for longer.
fn ask_whether_in_time(model: &mut Model, value: Answer, seconds: i64) -> Vec<Effect> {
    if let Some(open) = &mut model.open {
        open.entry.late = Some(value);
        open.entry.error = Some(format!(
            "the time was up {seconds} s ago. Enter once more if the gauge showed this as it was up. What it shows only \
             now has fallen for longer and looks like a larger leak: then back, and the hold from its start"
        ));
        open.entry.replace = true;
    }
    Vec::new()
}

fn ask_again(model: &mut Model, value: Answer, why: String) -> Vec<Effect> {
    if let Some(open) = &mut model.open {
        open.entry.again = Some(value);
        open.entry.error = Some(why);
        open.entry.replace = true;
    }
    Vec::new()
}
