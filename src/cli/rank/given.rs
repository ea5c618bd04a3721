//! What was given on the command line, checked against the flow.

use super::RankError;
use crate::engine::event::PartWas;
use crate::engine::prompt::{check_kind, parse};
use crate::flow::answer::Answer;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Flow, Limit, Prompt, PromptKind};
use crate::flow::working::applies;
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::told::{Repaired, Round};

/// The nearest of some names to one that was mistyped, or what there is.
///
/// Likeness above 0.8 (0 to 1, Jaro and Winkler): a letter or two amiss in a word of usual length.
fn remedy<'n>(name: &str, known: impl Iterator<Item = &'n str>) -> String {
    let known: Vec<&str> = known.collect();
    let lower = name.to_lowercase();
    let near = known
        .iter()
        .map(|k| (strsim::jaro_winkler(&k.to_lowercase(), &lower), *k))
        .filter(|(likeness, _)| *likeness > 0.8)
        .max_by(|a, b| a.0.total_cmp(&b.0));
    match near {
        Some((_, near)) => format!("did you mean `{near}`?"),
        None if known.is_empty() => "it declares none".to_owned(),
        None => format!("it has: {}", known.join(", ")),
    }
}

fn unknown<'n>(
    flow: &Flow,
    what: &'static str,
    name: &str,
    known: impl Iterator<Item = &'n str>,
) -> RankError {
    RankError::Unknown {
        flow: flow.id.clone(),
        what,
        name: name.to_owned(),
        remedy: remedy(name, known),
    }
}

/// Facts about the vehicle.
pub(super) fn facts(flow: &Flow, given: &[String], round: &mut Round) -> Result<(), RankError> {
    for text in given {
        let (name, value) = split(text, "facts", "metering=air mass")?;
        let Some(prompt) = flow.fact(name) else {
            if flow.reading(name).is_some() {
                return Err(RankError::Value {
                    name: name.to_owned(),
                    problem: "this is a reading; give it with --have".to_owned(),
                });
            }
            let known = flow.facts.iter().map(|f| f.id.as_str());
            return Err(unknown(flow, "vehicle fact", name, known));
        };
        put(round, prompt, value)?;
    }
    Ok(())
}

/// Readings.
pub(super) fn readings(
    flow: &Flow,
    given: &[String],
    round: &mut Round,
    notes: &mut Vec<String>,
) -> Result<(), RankError> {
    for text in given {
        let (name, value) = split(text, "have", "smoke-flow=2.3 L/min")?;
        let Some(prompt) = flow.reading(name) else {
            return Err(no_reading(flow, name));
        };
        put(round, prompt, value)?;
        check_limits(prompt, round, notes)?;
        notes.extend(unlisted(prompt, round));
        round.order.push(name.to_owned());
    }
    Ok(())
}

fn no_reading(flow: &Flow, name: &str) -> RankError {
    if flow.fact(name).is_some() {
        return RankError::Value {
            name: name.to_owned(),
            problem: "this is a fact about the vehicle; give it with --facts".to_owned(),
        };
    }
    if flow.work(name).is_some() {
        let leaves = crate::rules::evidence::joined::leaves(flow, name);
        let from: Vec<String> = leaves
            .into_iter()
            .filter(|l| flow.reading(l).is_some())
            .collect();
        return RankError::Value {
            name: name.to_owned(),
            problem: format!(
                "this is worked out by the program; give {}",
                from.join(", ")
            ),
        };
    }
    unknown(
        flow,
        "reading",
        name,
        flow.readings.iter().map(|r| r.id.as_str()),
    )
}

fn split<'t>(
    text: &'t str,
    option: &'static str,
    example: &'static str,
) -> Result<(&'t str, &'t str), RankError> {
    let parts = text.split_once('=').map(|(n, v)| (n.trim(), v.trim()));
    parts
        .filter(|(name, _)| !name.is_empty())
        .ok_or_else(|| RankError::NoValue(text.to_owned(), option, example))
}

fn put(round: &mut Round, prompt: &Prompt, text: &str) -> Result<(), RankError> {
    let wrong = |problem: String| RankError::Value {
        name: prompt.id.clone(),
        problem,
    };
    let answer = parse(prompt, text)
        .map_err(|refusal| wrong(near_word(prompt, text, refusal.to_string())))?;
    check_kind(prompt, &answer).map_err(|refusal| wrong(refusal.to_string()))?;
    if round.answers.insert(prompt.id.clone(), answer).is_some() {
        return Err(RankError::Twice(prompt.id.clone()));
    }
    Ok(())
}

fn near_word(prompt: &Prompt, text: &str, problem: String) -> String {
    let PromptKind::Choice(words) = &prompt.kind else {
        return problem;
    };
    match remedy(text, words.iter().map(String::as_str)) {
        near if near.starts_with("did") => format!("there is no choice `{text}`; {near}"),
        _ => format!("there is no choice `{text}`; {problem}"),
    }
}

/// A value above a never-exceed limit is refused; one that is unusual is remarked.
fn check_limits(prompt: &Prompt, round: &Round, notes: &mut Vec<String>) -> Result<(), RankError> {
    let (PromptKind::Quantity(q), Some(Answer::Quantity(typed))) =
        (&prompt.kind, round.answers.get(&prompt.id))
    else {
        return Ok(());
    };
    let limit = match &q.never_above {
        Some(Limit::Constant(limit)) => Some(*limit),
        Some(Limit::Fact(fact)) => match round.answers.get(fact) {
            Some(Answer::Quantity(limit)) => Some(*limit),
            _ => None,
        },
        None => None,
    };
    if let Some(limit) = limit.filter(|limit| typed.si() > limit.si()) {
        return Err(RankError::Value {
            name: prompt.id.clone(),
            problem: format!("{typed} is above its limit of {limit}: let the pressure down first"),
        });
    }
    if let Some((from, to)) = q
        .plausible
        .filter(|(a, b)| !(a.si()..=b.si()).contains(&typed.si()))
    {
        notes.push(format!(
            "{}: {typed} is unusual ({from} to {to}); check the value and its unit",
            prompt.id
        ));
    }
    Ok(())
}

/// A place that the flow does not list is one that was added; or it was mistyped.
fn unlisted(prompt: &Prompt, round: &Round) -> Vec<String> {
    let (PromptKind::Places(listed), Some(Answer::Places(shown))) =
        (&prompt.kind, round.answers.get(&prompt.id))
    else {
        return Vec::new();
    };
    let known = || listed.iter().map(String::as_str);
    shown
        .keys()
        .filter(|place| !listed.contains(place))
        .map(|place| {
            let id = &prompt.id;
            format!(
                "{id}: `{place}` is taken for a place that the flow does not list; {}",
                remedy(place, known())
            )
        })
        .collect()
}

/// Causes that were repaired in vain.
pub(super) fn repaired(flow: &Flow, given: &[String]) -> Result<Vec<Repaired>, RankError> {
    let mut out: Vec<Repaired> = Vec::new();
    for text in given {
        let (cause, part) = text.split_once('=').unwrap_or((text, "not-told"));
        let cause = cause.trim();
        if flow.cause(cause).is_none() || cause == NOT_LISTED {
            return Err(unknown(flow, "cause", cause, listed(flow)));
        }
        let part_was = match part.trim() {
            "bad" => PartWas::Bad,
            "good" => PartWas::Good,
            "not-told" => PartWas::CouldNotTell,
            other => {
                return Err(RankError::Value {
                    name: cause.to_owned(),
                    problem: format!(
                        "`{other}` does not say how the part was; write bad, good or not-told"
                    ),
                });
            }
        };
        if out.iter().any(|known| known.cause == cause) {
            return Err(RankError::Twice(cause.to_owned()));
        }
        out.push(Repaired {
            cause: cause.to_owned(),
            part_was,
            in_vain: true,
        });
    }
    Ok(out)
}

fn listed(flow: &Flow) -> impl Iterator<Item = &str> {
    flow.causes
        .iter()
        .map(|c| c.id.as_str())
        .filter(|id| *id != NOT_LISTED)
}

/// What was read before a repair is one round; after it the car is another one.
pub(super) fn rounds(round: Round) -> Vec<Round> {
    if round.repaired.is_empty() {
        return vec![round];
    }
    let facts = Round {
        // Facts stay true; the readings are to be taken anew.
        answers: round
            .answers
            .iter()
            .filter(|(id, _)| !round.order.contains(id))
            .map(|(id, answer)| (id.clone(), answer.clone()))
            .collect(),
        ..Round::default()
    };
    vec![round, facts]
}

/// Gear that is not at hand, by its name in the flow; part of the name is enough.
pub(super) fn gear(
    flow: &Flow,
    given: &[String],
    notes: &mut Vec<String>,
) -> Result<Vec<String>, RankError> {
    let mut all: Vec<&String> = flow.gear.iter().collect();
    all.extend(flow.steps.iter().flat_map(|s| &s.gear));
    all.dedup();
    let mut out = Vec::new();
    for name in given {
        let lower = name.trim().to_lowercase();
        let hits: Vec<&&String> = all
            .iter()
            .filter(|gear| !lower.is_empty() && gear.to_lowercase().contains(&lower))
            .collect();
        let exact = all.iter().find(|gear| gear.to_lowercase() == lower);
        match (exact, &hits[..]) {
            (Some(gear), _) => out.push((**gear).clone()),
            (None, [one, rest @ ..]) if rest.iter().all(|other| other == one) => {
                out.push((***one).clone());
            }
            _ => return Err(unknown(flow, "gear", name, all.iter().map(|g| g.as_str()))),
        }
    }
    for gear in &out {
        let named = flow.steps.iter().any(|s| {
            let supply = s.set_up.as_ref().and_then(|s| s.supply.as_ref());
            s.gear.contains(gear)
                || supply.is_some_and(|s| gear.to_lowercase().contains(&s.to_lowercase()))
        });
        if !named {
            notes.push(format!(
                "no step says that it needs {gear}, so nothing is left out; the flow's author can write `gear:` at the steps"
            ));
        }
    }
    Ok(out)
}

/// The causes to explain: those named, or the two that explain the complaint best.
pub(super) fn causes(
    flow: &Flow,
    inquiry: &Inquiry,
    given: &[String],
) -> Result<Vec<usize>, RankError> {
    if given.is_empty() {
        return Ok(inquiry.ranking().into_iter().take(2).collect());
    }
    let find = |name: &String| {
        let place = inquiry.joined.causes.iter().position(|c| c.id == *name);
        let known = inquiry.joined.causes.iter().map(|c| c.id.as_str());
        place.ok_or_else(|| unknown(flow, "cause", name, known))
    };
    given.iter().map(find).collect()
}

/// Remarks on readings that say nothing, and facts that are not known.
pub(super) fn unused(inquiry: &Inquiry, flow: &Flow, rounds: &[Round]) -> Vec<String> {
    let mut out: Vec<String> = inquiry
        .told
        .silent
        .iter()
        .map(|(name, why)| format!("{name} says nothing: {why}"))
        .collect();
    let Some((round, picture)) = rounds.first().zip(inquiry.told.pictures.first()) else {
        return out;
    };
    for id in &round.order {
        if flow
            .reading(id)
            .is_some_and(|prompt| !applies(prompt, &picture.values))
        {
            out.push(format!("{id} is not asked on this car, so it says nothing"));
        }
    }
    let open: Vec<&str> = flow
        .facts
        .iter()
        .filter(|fact| !round.answers.contains_key(&fact.id) && !fact.optional)
        .map(|fact| fact.id.as_str())
        .collect();
    if !open.is_empty() {
        out.push(format!(
            "not known of this car: {}; what rests on it cannot be worked out (give it with --facts)",
            open.join(", ")
        ));
    }
    out
}
