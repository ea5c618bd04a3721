//! Saving forms: checks them, and turns each into its action. A form stays on screen until its
//! events are on the disk.

use super::forms::{label, prompt_of};
use super::{evidence, perform};
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::{Codes, Opening, PartWas, Vehicle};
use crate::engine::facts;
use crate::engine::hold;
use crate::engine::job::Job;
use crate::engine::prompt;
use crate::engine::refusal::Refusal;
use crate::flow::answer::{Answer, Strength};
use crate::rules::offer;
use crate::tui::effect::Effect;
use crate::tui::keys;
use crate::tui::message::Act;
use crate::tui::model::{Field, Form, FormKind, Model, Over, with_unit};
use crate::tui::theme::Role;

/// Saves the form on screen.
pub fn submit(model: &mut Model) -> Vec<Effect> {
    let Some(Over::Form(form)) = model.overs.last() else {
        return Vec::new();
    };
    let before = form.clone();
    let mut form = form.clone();
    let fits = form.check();
    if !fits {
        model.say(
            Role::Caution,
            "Not saved yet: see the mark beside the field.",
        );
    }
    let guesses: Vec<String> = form.fields.iter().filter_map(Field::guess).collect();
    let done = if fits {
        send(model, &mut form, &before)
    } else {
        None
    };
    if done.is_some() && !guesses.is_empty() {
        let key = keys::shown(model, Act::Correct, model.context_below());
        let text = format!(
            "{}: {key} corrects it if you meant another.",
            guesses.join("; ")
        );
        model.say(Role::Plain, text);
    }
    let kind = form.kind.clone();
    if let Some(Over::Form(shown)) = model.overs.last_mut()
        && shown.kind == kind
    {
        *shown = form;
    }
    match done {
        Some(effects) => {
            model.saving = Some(kind);
            effects
        }
        None => Vec::new(),
    }
}

/// The effects of a form that is filled in; nothing where it is refused, which the form then says.
fn send(model: &mut Model, form: &mut Form, before: &Form) -> Option<Vec<Effect>> {
    match form.kind.clone() {
        FormKind::NewJob => return open_job(model, form),
        FormKind::Settings => return Some(super::settings::save(model, form)),
        FormKind::Place => {
            add_place(model, form);
            return None;
        }
        FormKind::Supply => return super::practice::supply(model, form),
        FormKind::Mapping => return super::columns::keep(model, form),
        FormKind::Who => {
            model.is_here(one_of(form, label::WHO, &model.settings.people));
            model.overs.pop();
            return None;
        }
        _ => {}
    }
    let action = match action(model, form, before) {
        Ok(action) => action,
        Err(why) => {
            form.refuse(label::VALUE, why);
            return None;
        }
    };
    match perform(model, action) {
        Ok(effects) => Some(effects),
        Err(refusal) => {
            refused(model, form, &refusal);
            None
        }
    }
}

fn refused(model: &mut Model, form: &mut Form, refusal: &Refusal) {
    let about_value = matches!(refusal, Refusal::WrongAnswer(_) | Refusal::Implausible(_));
    if about_value && form.fields.iter().any(|field| field.label == label::VALUE) {
        form.refuse(label::VALUE, refusal.to_string());
    } else {
        model.say(Role::Caution, refusal.to_string());
    }
}

fn action(model: &Model, form: &Form, before: &Form) -> Result<Action, String> {
    let text = |label| form.text(label);
    let why = || form.text(label::WHY);
    Ok(match &form.kind {
        FormKind::Codes => Action::NoteCodes(Codes {
            stored: codes_of(form, label::STORED),
            pending: codes_of(form, label::PENDING),
            freeze_frame: text(label::FREEZE),
            readiness: text(label::READINESS),
        }),
        FormKind::Note => Action::Note {
            place: text(label::PLACE),
            note: text(label::NOTE),
        },
        FormKind::Remark
        | FormKind::NewJob
        | FormKind::Place
        | FormKind::Settings
        | FormKind::Supply
        | FormKind::Who
        | FormKind::Mapping => Action::Remark(text(label::TEXT)),
        FormKind::Skip(to) => Action::Skip {
            reason: why(),
            to: to.clone(),
        },
        FormKind::Take(id) => {
            let take = Action::Take {
                outcome: id.clone(),
                reason: why(),
            };
            evidence::weighed(model, take)
        }
        FormKind::CouldNotTell(_, id) => could_not_tell(model, id, why()),
        FormKind::Opening => Action::CorrectOpening {
            opening: Box::new(opening(model, form)),
            why: why(),
        },
        FormKind::Correct(seq) => correct(model, form, before, *seq)?,
        FormKind::CorrectRepair(seq) => correct_repair(form, *seq),
        FormKind::Fact(id) => Action::SetFact {
            fact: id.clone(),
            value: new_value(model, form, before, id)?,
            confirmed: true,
        },
        FormKind::Approve => Action::Approve {
            by: text(label::BY),
        },
        FormKind::Decline => Action::Decline {
            by: text(label::BY_WHY),
        },
        FormKind::Repaired => Action::Repaired {
            work: text(label::WORK),
            part_was: part_was(form),
        },
        FormKind::Reopen => Action::Reopen { why: why() },
        FormKind::HandOver => Action::HandOver {
            note: text(label::TOLD),
        },
    })
}

fn could_not_tell(model: &Model, id: &str, why: String) -> Action {
    let value = Answer::CouldNotTell(why);
    if model.asked().is_some_and(|asked| asked.fact) {
        let fact = id.to_owned();
        return Action::SetFact {
            fact,
            value,
            confirmed: false,
        };
    }
    Action::Read {
        reading: id.to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    }
}

fn correct(model: &Model, form: &Form, before: &Form, seq: u64) -> Result<Action, String> {
    let taken = model
        .open
        .as_ref()
        .and_then(|open| open.job.readings.iter().find(|t| t.seq == seq));
    let reading = taken
        .map(|taken| taken.reading.as_str())
        .unwrap_or_default();
    Ok(Action::Correct {
        taken: seq,
        value: new_value(model, form, before, reading)?,
        why: form.text(label::WHY),
    })
}

fn correct_repair(form: &Form, noted: u64) -> Action {
    let work = form.word(label::PART).is_some();
    Action::CorrectRepair {
        noted,
        words: form.text(if work { label::WORK } else { label::BY }),
        part_was: work.then(|| part_was(form)),
        why: form.text(label::WHY),
    }
}

/// The corrected value. An implausible one is said to be so once; the same again counts.
fn new_value(model: &Model, form: &Form, before: &Form, id: &str) -> Result<Answer, String> {
    let text = form.text(label::VALUE);
    let Some(prompt) = prompt_of(model, id) else {
        return Ok(Answer::Text(text));
    };
    let value = prompt::parse(prompt, &text).map_err(|refusal| refusal.to_string())?;
    prompt::check_kind(prompt, &value).map_err(|refusal| refusal.to_string())?;
    // What stops the step stops it at once, and a limit that guards the test is not kept by a second Enter: neither is
    // asked about first.
    if let Some(open) = &model.open {
        if prompt::passes_its_limit(&open.job, prompt, &value) {
            return Ok(value);
        }
        let flow = open.job.run().map(|run| &run.flow);
        if let Some(flow) = flow.filter(|flow| flow.fact(id).is_some()) {
            facts::serves(flow, prompt, &value, true).map_err(|refusal| refusal.to_string())?;
        }
    }
    let said = before
        .fields
        .iter()
        .find(|f| f.label == label::VALUE)
        .and_then(|f| f.error.clone());
    let rises = || {
        let job = &model.open.as_ref()?.job;
        let FormKind::Correct(seq) = &form.kind else {
            return None;
        };
        let taken = job.readings.iter().find(|taken| taken.seq == *seq)?;
        hold::rises(job, taken.visit, id, &value)
    };
    let odd = prompt::unusual(prompt, &value)
        .or_else(rises)
        .map(|odd| format!("{odd}: look again; Enter once more keeps it"));
    match odd {
        Some(why) if said.as_ref() != Some(&why) => Err(why),
        _ => Ok(value),
    }
}

fn part_was(form: &Form) -> PartWas {
    match form.word(label::PART) {
        Some(0) => PartWas::Bad,
        Some(1) => PartWas::Good,
        _ => PartWas::CouldNotTell,
    }
}

/// The codes of a field that was checked.
fn codes_of(form: &Form, label: &str) -> Vec<String> {
    crate::tui::model::codes(&form.text(label)).unwrap_or_default()
}

/// What the form says that the job is opened with; facts are no part of it.
fn opening(model: &Model, form: &Form) -> Opening {
    let symptoms = offer::symptoms(&model.shelf);
    let known = model
        .open
        .as_ref()
        .and_then(|open| open.job.opening.as_ref());
    Opening {
        vehicle: Vehicle {
            plate: form.text(label::PLATE),
            model: form.text(label::MODEL),
            vin: form.text(label::VIN),
            odometer: with_unit(&form.text(label::ODOMETER), model.settings.units.system),
        },
        complaint: form.text(label::COMPLAINT),
        symptoms: crate::tui::model::listed(&form.text(label::SYMPTOMS), &symptoms)
            .unwrap_or_default(),
        codes: codes_of(form, label::CODES),
        facts: match &form.kind {
            FormKind::Opening => known.map(|opening| opening.facts.clone()),
            _ => None,
        }
        .unwrap_or_default(),
        bay: one_of(form, label::BAY, &model.settings.bays),
    }
}

/// The word of a field that takes one of a list; it was checked.
fn one_of(form: &Form, label: &str, words: &[String]) -> String {
    let text = form.text(label);
    crate::tui::model::one_of(&text, words).unwrap_or(text)
}

fn open_job(model: &mut Model, form: &Form) -> Option<Vec<Effect>> {
    let opening = opening(model, form);
    model.is(one_of(form, label::WHO, &model.settings.people));
    match act(&Job::default(), model.desk(), Action::Open(opening)) {
        Ok(what) => Some(vec![Effect::Open {
            who: model.who.clone(),
            what,
        }]),
        Err(refusal) => {
            model.say(Role::Caution, refusal.to_string());
            None
        }
    }
}

/// Adds a place to those that are being marked; nothing is recorded yet.
fn add_place(model: &mut Model, form: &Form) {
    let strength = match form.word(label::STRENGTH) {
        Some(0) => Strength::Wisp,
        Some(2) => Strength::Heavy,
        _ => Strength::Steady,
    };
    model.overs.pop();
    if let Some(open) = &mut model.open {
        open.entry.places.insert(form.text(label::PLACE), strength);
        open.entry.own = true;
        open.entry.nowhere = false;
        open.entry.error = None;
    }
}
