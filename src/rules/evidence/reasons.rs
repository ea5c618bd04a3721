//! Why: which reading moved which cause, what the next step is for, and what to be wary of.
//!
//! Words and figures only; how they look is decided where they are shown.

use super::belief::Belief;
use super::cost::entropy;
use super::guards::{choice, is_unlisted, too_dear};
use super::inquiry::Inquiry;
use super::next::{Candidate, Step};
use super::told::ChangeKind;
use super::why::{log_odds, percent};
use crate::engine::shown;
use crate::flow::cautions;
use crate::flow::load::causes::NOT_LISTED;

/// A cause of this probability is called sure.
pub const SURE: f64 = 0.90;
/// What one change did to every cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Moved {
    /// What kind of change it was.
    pub kind: ChangeKind,
    /// The reading, or the cause that was repaired.
    pub id: String,
    /// In words.
    pub words: String,
    /// By how much it changed each cause's log odds of being present (natural logarithm).
    pub by: Vec<f64>,
}

/// What each change did, in order. The changes of a cause add up to the log odds of its posterior
/// less those of its prior.
pub fn moves(inquiry: &Inquiry) -> Vec<Moved> {
    let case = &inquiry.joined.case;
    let of = |belief: &Belief| -> Vec<f64> {
        belief.marginals(case).into_iter().map(log_odds).collect()
    };
    let mut before = of(&inquiry.told.prior);
    let mut moved = Vec::new();
    for change in &inquiry.told.changes {
        let after = of(&change.after);
        moved.push(Moved {
            kind: change.kind,
            id: change.id.clone(),
            words: change.words.clone(),
            by: after.iter().zip(&before).map(|(a, b)| a - b).collect(),
        });
        before = after;
    }
    moved
}

/// What is done, in a form that people and programs can name.
#[derive(Clone, Debug, PartialEq)]
pub struct Named {
    /// `step`, `repair` or `hand-on`.
    pub kind: &'static str,
    /// The step or the cause; for handing on, `not-listed`.
    pub id: String,
    /// In words.
    pub words: String,
}

/// A group of outcomes after which the same is done.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// The outcomes.
    pub outcomes: Vec<String>,
    /// Their probability.
    pub probability: f64,
    /// What would be done next.
    pub then: Named,
}

/// The suggestion with its reasons.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// What to do.
    pub what: Named,
    /// Its minutes, with what must be set up for it.
    pub minutes: f64,
    /// Steps that prepare it and are not done yet, by their ids, in the order of the flow.
    pub first: Vec<String>,
    /// For a set-up, the steps that it is made for.
    pub for_steps: Vec<String>,
    /// Cautions before it, by their ids.
    pub cautions: Vec<String>,
    /// What it can lead to, the most probable first; empty unless it is a test.
    pub branches: Vec<Branch>,
    /// Minutes by which a test is expected to save against the best that can be done without one, as the two stand in
    /// the list of candidates, in whole minutes; only for a test that saves any.
    pub saves: Option<f64>,
    /// Bits in question now, and expected after it; only for a test.
    pub bits: Option<(f64, f64)>,
    /// The second best, and by how many minutes it is worse, as the two are listed; less than nothing where a guard put
    /// it second.
    pub runner_up: Option<(Named, f64)>,
    /// Why it is this: for a repair, why no test pays, and how sure it is.
    pub because: String,
}

/// The suggestion, with its reasons; nothing where nothing can be done.
pub fn suggestion(inquiry: &Inquiry, dear_too: bool) -> Option<Suggestion> {
    choice(inquiry, dear_too).map(|chosen| of(inquiry, chosen))
}

/// Any candidate with its reasons, as if it were the one suggested.
pub fn of(inquiry: &Inquiry, chosen: &Candidate) -> Suggestion {
    let what = named(inquiry, chosen.step);
    let mut suggestion = Suggestion {
        minutes: chosen.minutes,
        first: Vec::new(),
        for_steps: Vec::new(),
        cautions: Vec::new(),
        branches: Vec::new(),
        saves: None,
        bits: None,
        runner_up: runner_up(inquiry, chosen),
        because: String::new(),
        what,
    };
    match chosen.step {
        Step::Test(test) | Step::SetUp(test) => of_test(inquiry, chosen, test, &mut suggestion),
        Step::Repair(cause) => suggestion.because = of_repair(inquiry, chosen, cause),
        Step::HandOn => {
            suggestion.because = behind(inquiry, chosen).unwrap_or_else(|| {
                "what is left to repair or test costs more than to hand the car on".to_owned()
            });
        }
    }
    suggestion
}

/// By how many minutes one candidate is listed below another: from the figures as they are shown, in whole minutes, so
/// that whoever takes one from the other gets what is said.
fn apart(more: &Candidate, less: &Candidate) -> f64 {
    more.expected.round() - less.expected.round()
}

/// The best that can be done without any further test first.
fn without_test<'i>(inquiry: &'i Inquiry) -> Option<&'i Candidate> {
    let is_test = |c: &&Candidate| matches!(c.step, Step::Test(_) | Step::SetUp(_));
    inquiry.candidates.iter().find(|c| !is_test(c))
}

/// How far a candidate lies behind the best, in words; nothing for the best.
fn behind(inquiry: &Inquiry, chosen: &Candidate) -> Option<String> {
    let best = inquiry
        .candidates
        .first()
        .filter(|best| best.step != chosen.step)?;
    let words = named(inquiry, best.step).words;
    let minutes = apart(chosen, best);
    (minutes > 0.0).then(|| format!("{} more than {words}", shown::minutes(minutes)))
}

fn of_test(inquiry: &Inquiry, chosen: &Candidate, test: usize, into: &mut Suggestion) {
    let reading = &inquiry.steps.readings[test];
    let flow = inquiry.joined.flows[reading.flow];
    let missing = reading.needs.less(inquiry.steps.in_place);
    // A step that sets up and reads at once is no step before itself.
    let made_at = |n: usize| inquiry.steps.made_at[n];
    into.first = missing
        .iter()
        .filter(|n| made_at(*n) != (reading.flow, reading.step))
        .map(|n| inquiry.steps.set_ups[n].id.clone())
        .collect();
    let title = |test: &usize| inquiry.tests[*test].id.clone();
    into.for_steps = chosen.tests.iter().map(title).collect();
    let known = &inquiry.known;
    let own = cautions::of_step(flow, &flow.steps[reading.step], known);
    let concerns = |id: &&String| cautions::find(id).is_none_or(|c| c.concerns(known));
    let before = missing
        .iter()
        .map(made_at)
        .filter(|(f, _)| *f == reading.flow);
    let before = before.flat_map(|(_, step)| cautions::of_step(flow, &flow.steps[step], known));
    let of_flow = flow.cautions.iter().filter(concerns);
    for caution in of_flow.chain(before).chain(own) {
        if !into.cautions.contains(caution) {
            into.cautions.push(caution.clone());
        }
    }
    into.branches = branches(inquiry, test);
    let without = without_test(inquiry).map(|other| (other, apart(other, chosen)));
    let saves = without.filter(|(_, minutes)| *minutes > 0.0);
    into.saves = saves.map(|(_, minutes)| minutes);
    let (now, then) = bits(inquiry, test);
    into.bits = Some((now, then));
    into.because = match saves {
        Some((other, minutes)) => {
            let other = match other.step {
                Step::HandOn => "handing the car on",
                _ => "repairing",
            };
            let saved = shown::minutes(minutes);
            format!("saves {saved} on average against {other} at once")
        }
        None => format!("narrows what is in question from {now:.1} to {then:.1} bits"),
    };
    if let Some(why) = guarded(inquiry, chosen).or_else(|| {
        let behind = behind(inquiry, chosen).filter(|_| saves.is_none());
        behind.map(|behind| format!(", {behind}"))
    }) {
        into.because.push_str(&why);
    }
}

/// Why a test is suggested though something else is listed with fewer minutes.
fn guarded(inquiry: &Inquiry, chosen: &Candidate) -> Option<String> {
    let best = inquiry
        .candidates
        .first()
        .filter(|best| best.step != chosen.step)?;
    choice(inquiry, false).filter(|suggested| suggested.step == chosen.step)?;
    match best.step {
        Step::Repair(cause) if too_dear(inquiry, best) => Some(format!(
            ": {} would be the cheapest on average, but it is dear and only {:.0} % sure",
            named(inquiry, best.step).words,
            100.0 * inquiry.explains[cause]
        )),
        Step::HandOn if is_unlisted(inquiry) => Some(
            ": to hand the car on would be the cheapest on average, but the complaint itself is measured first".to_owned(),
        ),
        Step::HandOn => Some(
            ": to hand the car on would be the cheapest on average, but it is not sure enough that none of the listed \
             causes is left"
                .to_owned(),
        ),
        _ => None,
    }
}

fn of_repair(inquiry: &Inquiry, chosen: &Candidate, cause: usize) -> String {
    let p = inquiry.explains[cause];
    let behind = behind(inquiry, chosen);
    let how_sure = match &behind {
        _ if p >= SURE => format!("{} sure", percent(p)),
        Some(_) => format!("only {} sure", percent(p)),
        None => format!("only {} sure, yet worth trying", percent(p)),
    };
    if let Some(behind) = behind {
        return format!("{how_sure}, {behind}");
    }
    let test = inquiry.candidates.iter().find_map(|c| match c.step {
        Step::Test(test) | Step::SetUp(test) => Some((c, test)),
        _ => None,
    });
    match test {
        None => format!("{how_sure}, and no test is left that tells more"),
        Some((candidate, test)) => format!(
            "{how_sure}, and no test pays: the best one, {}, would cost {} more than it saves",
            named(inquiry, Step::Test(test)).words,
            shown::minutes(apart(candidate, chosen).max(0.0))
        ),
    }
}

fn runner_up(inquiry: &Inquiry, chosen: &Candidate) -> Option<(Named, f64)> {
    let chosen_name = named(inquiry, chosen.step);
    let other = inquiry
        .candidates
        .iter()
        .find(|c| named(inquiry, c.step).id != chosen_name.id)?;
    Some((named(inquiry, other.step), apart(other, chosen)))
}

/// Bits in question now, and expected after a test.
pub(super) fn bits(inquiry: &Inquiry, test: usize) -> (f64, f64) {
    let masses = &inquiry.explaining;
    let then = inquiry.tests[test].chance.iter().map(|row| {
        let part: Vec<f64> = row.iter().zip(masses).map(|(p, m)| p * m).collect();
        entropy(&part)
    });
    (entropy(masses), then.sum())
}

/// What each outcome of a test would lead to; outcomes that lead to the same go together.
fn branches(inquiry: &Inquiry, test: usize) -> Vec<Branch> {
    let plan = inquiry.plan();
    let after = plan.after(test);
    let total: f64 = inquiry.explaining.iter().sum();
    let mut branches: Vec<Branch> = Vec::new();
    for (name, row) in inquiry.tests[test]
        .outcomes
        .iter()
        .zip(&inquiry.tests[test].chance)
    {
        let part: Vec<f64> = row
            .iter()
            .zip(&inquiry.explaining)
            .map(|(p, m)| p * m)
            .collect();
        let probability = part.iter().sum::<f64>() / total;
        let Some(best) = after.best(&part) else {
            continue;
        };
        let then = named(inquiry, best.step);
        match branches.iter_mut().find(|b| b.then == then) {
            Some(branch) => {
                branch.probability += probability;
                branch.outcomes.push(name.clone());
            }
            None => branches.push(Branch {
                outcomes: vec![name.clone()],
                probability,
                then,
            }),
        }
    }
    branches.sort_by(|a, b| b.probability.total_cmp(&a.probability));
    branches
}

/// Names what is done.
pub fn named(inquiry: &Inquiry, step: Step) -> Named {
    match step {
        Step::Test(test) | Step::SetUp(test) => {
            let reading = &inquiry.steps.readings[test];
            let flow = inquiry.joined.flows[reading.flow];
            let step = &flow.steps[reading.step];
            Named {
                kind: "step",
                id: step.id.clone(),
                words: step.title.clone(),
            }
        }
        Step::Repair(cause) => Named {
            kind: "repair",
            id: inquiry.joined.causes[cause].id.clone(),
            words: format!("repair: {}", inquiry.joined.causes[cause].name),
        },
        Step::HandOn => Named {
            kind: "hand-on",
            id: NOT_LISTED.to_owned(),
            words: "hand the car on".to_owned(),
        },
    }
}
