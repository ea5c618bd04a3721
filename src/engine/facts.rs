//! Facts about the vehicle: does what is known serve the flow that needs it now?
//!
//! A fact can become known before any flow asks for it, or through a flow that asks otherwise. So
//! each flow looks at it anew, with its own question: the kind, the range, and whether it can live
//! with "could not tell".

use super::job::{Job, Run, Visit};
use super::judge;
use super::prompt::{check_kind, unusual};
use super::refusal::Refusal;
use crate::flow::answer::Answer;
use crate::flow::model::{Flow, Limit, Prompt, PromptKind};
use crate::flow::working::applies;
use crate::units::Dimension;

/// Whether a value serves a flow as one of its facts.
///
/// # Errors
/// It is of another kind, it could not be told and the flow cannot do without, it is a limit and unusual, or it is unusual and
/// nobody has confirmed it.
pub fn serves(flow: &Flow, fact: &Prompt, value: &Answer, confirmed: bool) -> Result<(), Refusal> {
    check_kind(fact, value)?;
    if let Answer::CouldNotTell(_) = value {
        return may_stay_untold(flow, fact);
    }
    match unusual(fact, value).filter(|_| !confirmed || is_limit(flow, fact)) {
        // What guards the test is not raised by a second Enter.
        Some(odd) if is_limit(flow, fact) => Err(Refusal::WrongAnswer(format!(
            "{odd}, and it is a limit that guards this test: look at the figure, its unit and the maker's data again"
        ))),
        Some(odd) => Err(super::prompt::ask_again(&odd)),
        None => Ok(()),
    }
}

/// Whether a reading of the flow must never go above this fact.
fn is_limit(flow: &Flow, fact: &Prompt) -> bool {
    flow.readings.iter().any(|reading| match &reading.kind {
        PromptKind::Quantity(q) => {
            matches!(&q.never_above, Some(Limit::Fact(limit)) if *limit == fact.id)
        }
        _ => false,
    })
}

/// Whether a flow can live with a fact that could not be told.
///
/// It can where the fact is a measured value that calculations use: what is worked from it is then
/// not known, and every step that judges by that is unsure. It cannot where the fact is a limit
/// (no limit is not a high limit), where it decides which readings are asked (they would be asked
/// of the wrong car, or not at all), where it is a number of things (they can be counted), or where
/// its author lists the answers (`unknown` is among them where the flow can live with it).
///
/// # Errors
/// Says why it must be known.
fn may_stay_untold(flow: &Flow, fact: &Prompt) -> Result<(), Refusal> {
    let decides = flow.facts.iter().chain(&flow.readings).any(|prompt| {
        let asked = prompt.only_if.iter().flat_map(|c| c.subjects());
        asked
            .into_iter()
            .any(|subject| judge::rests_on(flow, subject, &fact.id))
    });
    let why = match &fact.kind {
        _ if fact.optional => return Ok(()),
        _ if is_limit(flow, fact) => {
            "it is a limit of this test: find it in the maker's data before you begin"
        }
        PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Count => {
            "they can be counted: look, and write the number"
        }
        PromptKind::Choice(_) => "choose one of the answers: what is tested hangs on it",
        _ if decides => "which readings are asked hangs on it: find it out first",
        _ => return Ok(()),
    };
    Err(Refusal::WrongAnswer(why.to_owned()))
}

impl Job {
    /// Why what is known of a fact does not serve a flow, if it is known and does not.
    pub fn fact_objection(&self, flow: &Flow, fact: &Prompt) -> Option<String> {
        let value = self.facts.get(&fact.id)?;
        let confirmed = self.confirmed_facts.contains(&fact.id);
        let why = match serves(flow, fact, value, confirmed).err()? {
            Refusal::Implausible(_) => unusual(fact, value).unwrap_or_default(),
            other => other.to_string(),
        };
        let known = super::shown::answer(value);
        Some(if why.starts_with(&known) {
            format!("known so far: {why}")
        } else {
            format!("known so far: {known}; {why}")
        })
    }

    /// Vehicle facts that the flow needs and nobody has given yet, or not so that they serve it.
    pub(super) fn facts_due<'j>(&'j self, run: &'j Run, visit: &Visit) -> Vec<&'j Prompt> {
        let due = |fact: &&Prompt| {
            if self.facts.contains_key(&fact.id) {
                self.fact_objection(&run.flow, fact).is_some()
            } else {
                !fact.optional
            }
        };
        let due: Vec<&Prompt> = run.flow.facts.iter().filter(due).collect();
        if due.is_empty() {
            return due;
        }
        let picture = judge::picture_at(self, run, visit);
        due.into_iter()
            .filter(|fact| applies(fact, &picture.values))
            .collect()
    }
}
