//! Answers to the question on screen: typed, chosen, marked, or "could not tell".

use super::perform;
use crate::engine::action::Action;
use crate::engine::prompt;
use crate::engine::refusal::Refusal;
use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind};
use crate::tui::effect::Effect;
use crate::tui::model::{Entry, Model, Offered, parse_pairs};

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
    match prompt::parse(&prompt, &text) {
        Ok(answer) => give(model, &prompt, answer),
        Err(refusal) => refuse(model, refusal.to_string()),
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
        Some(word) => give(model, &prompt, Answer::Choice(word.clone())),
        None => take_over_or_leave_out(model, &prompt),
    }
}

/// Enter on places. That nothing showed is a finding of its own, so it is asked once more.
pub fn places(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let Some(open) = &mut model.open else {
        return Vec::new();
    };
    let marked = open.entry.places.clone();
    if marked.is_empty() && !open.entry.nowhere {
        open.entry.nowhere = true;
        open.entry.error = Some(
            "Nothing is marked. Enter once more if you looked everywhere and nothing shows."
                .to_owned(),
        );
        return Vec::new();
    }
    give(model, &prompt, Answer::Places(marked))
}

/// Enter on pairs: adds what is typed, or, with nothing typed, is done.
pub fn pairs(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let PromptKind::Pairs(asked) = &prompt.kind else {
        return Vec::new();
    };
    let Some(open) = &mut model.open else {
        return Vec::new();
    };
    let text = open.entry.text.value().trim().to_owned();
    if text.is_empty() {
        let pairs = open.entry.pairs.clone();
        if pairs.is_empty() {
            return take_over_or_leave_out(model, &prompt);
        }
        return give(model, &prompt, Answer::Pairs(pairs));
    }
    match parse_pairs(&prompt, asked, &text) {
        Ok(more) => {
            open.entry.pairs.extend(more);
            open.entry.own = true;
            open.entry.text.reset();
            open.entry.error = None;
            Vec::new()
        }
        Err(how) => refuse(model, how),
    }
}

/// It was tried, and cannot be told; what is typed is the reason.
pub fn could_not_tell(model: &mut Model) -> Vec<Effect> {
    let Some(prompt) = prompt_now(model) else {
        return Vec::new();
    };
    let why = entry(model)
        .map(|entry| entry.text.value().trim().to_owned())
        .unwrap_or_default();
    give(model, &prompt, Answer::CouldNotTell(why))
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
    if let Some(Offered { value, .. }) = open.entry.offer.clone() {
        return give(model, prompt, value);
    }
    if prompt.optional
        && let Some(key) = open.entry.key.clone()
    {
        open.left_out.insert(key);
        return Vec::new();
    }
    let what = match prompt.kind {
        PromptKind::Choice(_) => "pick one first",
        PromptKind::Pairs(_) => "type a pair first",
        _ => "type an answer first",
    };
    refuse(
        model,
        format!("{what}; if it cannot be told, say so with the key below"),
    )
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
    match perform(model, action) {
        Ok(effects) => effects,
        Err(Refusal::Implausible(why)) => ask_again(model, value, why),
        Err(refusal) => refuse(model, refusal.to_string()),
    }
}

fn ask_again(model: &mut Model, value: Answer, why: String) -> Vec<Effect> {
    if let Some(open) = &mut model.open {
        open.entry.again = Some(value);
        open.entry.error = Some(why);
        open.entry.replace = true;
    }
    Vec::new()
}
