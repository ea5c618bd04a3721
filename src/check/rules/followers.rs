//! What only follows from another finding is withheld: one slip, one finding.
//!
//! An outcome whose own checks exclude one another leaves a gap beside it, and a sound car without its way; a `record`
//! that was forgotten leaves a reading unused, and steps going round. Once the slip is mended, what is left shows.

use std::collections::BTreeSet;

use super::not_read;
use super::open_at::OpenAt;
use super::outcomes::beyond::{self, Beyond};
use super::outcomes::{always_before_others, same_before};
use super::way::follow;
use super::way::known::Known;
use crate::engine::judge::rests_on;
use crate::flow::condition::Condition;
use crate::flow::finding::{Finding, Severity, code};
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::node::{Node, Place};

/// What is found of a step's outcomes beside one another.
const OF_A_STEP: [&str; 4] = [code::GAP, code::OVERLAP, code::NEVER_TAKEN, code::TOO_MANY];

/// The findings without those that follow from others.
pub fn without(flow: &Flow, tree: &Node, found: Vec<Finding>) -> Vec<Finding> {
    let found = by_steps(flow, found);
    let found = by_limits(flow, tree, found);
    let found = by_unreached(flow, repaired_by_mistake(flow, found));
    by_overlaps(by_gaps(flow, found))
}

/// Steps with a slip that is a finding of its own.
fn by_steps(flow: &Flow, mut found: Vec<Finding>) -> Vec<Finding> {
    let forgotten = not_read::forgotten(flow);
    // A slip that nobody was told of, since not all was looked through, hides nothing.
    let told = |outcome: &Outcome| {
        let mut never = found.iter().filter(|f| f.code == code::NEVER_TAKEN);
        never.any(|finding| finding.place == outcome.place)
    };
    let slips = |step: &Step| -> Vec<usize> {
        let always = always_before_others(step).and_then(|n| step.outcomes.get(n));
        let all = always
            .into_iter()
            .chain(slipped(flow, step))
            .chain(repeated(step));
        all.filter(|outcome| told(outcome))
            .map(|outcome| outcome.place.start)
            .collect()
    };
    let at_fault: Vec<&Step> = flow
        .steps
        .iter()
        .filter(|step| !slips(step).is_empty())
        .collect();
    if at_fault.is_empty() && forgotten.is_empty() {
        return found;
    }
    let itself: BTreeSet<usize> = at_fault
        .iter()
        .flat_map(|step| slips(step))
        .chain(beyond_all(flow))
        .collect();
    let arrivals = follow(flow, &|_| false);
    // Steps that nobody comes to any more, or of which the outcomes cannot be told from one another.
    let hidden: Vec<&Step> = flow
        .steps
        .iter()
        .filter(|step| {
            let at_fault = at_fault.iter().any(|other| other.id == step.id);
            at_fault || !arrivals.contains_key(&step.id)
        })
        .collect();
    let is_forgotten = |condition: &Condition| {
        let by = |id: &&str| forgotten.iter().any(|reading| rests_on(flow, id, reading));
        condition.subjects().iter().any(by)
    };
    let open = OpenAt::steps_and_judged(flow, &ids(&at_fault), &is_forgotten);
    found.retain(|finding| {
        if OF_A_STEP.contains(&finding.code) {
            let here = hidden.iter().any(|step| is_in(step, finding));
            return !here || itself.contains(&finding.place.start);
        }
        if finding.code == code::UNUSED {
            let unread = flow.readings.iter().find(|r| r.place == finding.place);
            return !unread.is_some_and(|reading| forgotten.contains(reading.id.as_str()));
        }
        !open.hides(flow, finding)
    });
    found
}

/// Where outcomes stand that are never taken by their own limit.
fn beyond_all(flow: &Flow) -> Vec<usize> {
    let limits = beyond::of(flow).into_iter().flat_map(|(_, limits)| limits);
    let never = limits.filter(|limit| !limit.always);
    never.map(|limit| limit.outcome.place.start).collect()
}

/// Outcomes that ask for the very same as one before them.
fn repeated(step: &Step) -> impl Iterator<Item = &Outcome> {
    let outcomes = step.outcomes.iter().enumerate();
    outcomes
        .filter(|(n, _)| same_before(step, *n).is_some())
        .map(|(_, outcome)| outcome)
}

/// Outcomes of which the own checks exclude one another.
fn slipped<'s>(flow: &'s Flow, step: &'s Step) -> impl Iterator<Item = &'s Outcome> {
    let never = |outcome: &&Outcome| Known::default().excludes(flow, &outcome.when);
    step.outcomes.iter().filter(never)
}

fn ids<'f>(steps: &[&'f Step]) -> Vec<&'f str> {
    steps.iter().map(|step| step.id.as_str()).collect()
}

/// Whether a finding is about a step or one of its outcomes.
fn is_in(step: &Step, finding: &Finding) -> bool {
    let mut outcomes = step.outcomes.iter();
    step.place == finding.place || outcomes.any(|outcome| outcome.place == finding.place)
}

/// Where a limit lies beyond all that is plausible, it is at fault, and not the outcomes beside it; and it is shown
/// where it stands.
fn by_limits(flow: &Flow, tree: &Node, mut found: Vec<Finding>) -> Vec<Finding> {
    for (step, limits) in beyond::of(flow) {
        let of_step = |finding: &Finding| OF_A_STEP.contains(&finding.code) && is_in(step, finding);
        for limit in &limits {
            let own = |finding: &Finding| of_step(finding) && limit.is_named_in(finding);
            if let Some(finding) = found.iter_mut().find(|finding| own(finding)) {
                finding.place = limit.place(tree);
                let open = OpenAt::steps(flow, &[&step.id]);
                found.retain(|f| !(open.hides(flow, f) || f.code == code::GAP && is_in(step, f)));
            }
        }
        // The reading itself may be at fault, which is said there.
        let of_reading = |limit: &Beyond| {
            let prompt = flow.prompt(limit.subject);
            prompt.is_some_and(|prompt| found.iter().any(|f| f.place == prompt.place))
        };
        let wide: Vec<&Beyond> = limits
            .iter()
            .filter(|limit| limit.always && !of_reading(limit))
            .collect();
        let beside = |finding: &Finding| {
            of_step(finding) && [code::OVERLAP, code::NEVER_TAKEN].contains(&finding.code)
        };
        let follows = found.iter().any(&beside);
        let told: Vec<&&Beyond> = wide
            .iter()
            .filter(|limit| follows || limit.is_far())
            .collect();
        if told.is_empty() {
            continue;
        }
        let open = OpenAt::steps(flow, &[&step.id]);
        let (hidden, left): (Vec<Finding>, Vec<Finding>) = found
            .into_iter()
            .partition(|finding| beside(finding) || open.hides(flow, finding));
        // What is told in the place of an error is one.
        let is_error = |finding: &Finding| finding.severity == Severity::Error;
        let severity = if hidden.iter().any(is_error) {
            Severity::Error
        } else {
            Severity::Warning
        };
        found = left;
        found.extend(told.iter().map(|limit| limit.finding(flow, tree, severity)));
    }
    found
}

/// Where the end that proves a repair stands in a step that nothing leads to, that step is to be led to.
fn by_unreached(flow: &Flow, mut found: Vec<Finding>) -> Vec<Finding> {
    let unreached: Vec<usize> = found
        .iter()
        .filter(|finding| finding.code == code::UNREACHED)
        .map(|finding| finding.place.start)
        .collect();
    let proves = |step: &Step| step.outcomes.iter().any(|outcome| outcome.proved);
    let mut steps = flow.steps.iter();
    if steps.any(|step| proves(step) && unreached.contains(&step.place.start)) {
        found.retain(|finding| finding.code != code::NEVER_PROVED);
    }
    found
}

/// A gap leads nobody anywhere: what is said of cars that come by it hangs on how it is closed.
fn by_gaps(flow: &Flow, mut found: Vec<Finding>) -> Vec<Finding> {
    let is_gap = |finding: &&Finding| finding.code == code::GAP;
    let gaps: Vec<Place> = found.iter().filter(is_gap).map(|gap| gap.place).collect();
    if !gaps.is_empty() {
        let steps = flow.steps.iter().filter(|step| gaps.contains(&step.place));
        let open = OpenAt::steps(flow, &ids(&steps.collect::<Vec<_>>()));
        found.retain(|finding| finding.code != code::GOES_ROUND || !open.hides(flow, finding));
    }
    found
}

/// Two overlaps of one outcome are one slip in its limits.
fn by_overlaps(mut found: Vec<Finding>) -> Vec<Finding> {
    let mut seen = BTreeSet::new();
    found.retain(|finding| finding.code != code::OVERLAP || seen.insert(finding.place.start));
    found
}

/// A cause whose own outcome leads elsewhere by a slip is found there: that nothing finds it is no second slip.
fn repaired_by_mistake(flow: &Flow, mut found: Vec<Finding>) -> Vec<Finding> {
    let slips: Vec<String> = found
        .iter()
        .filter(|finding| [code::WRONG_REPAIR, code::GOES_ROUND].contains(&finding.code))
        .map(|finding| finding.help.clone())
        .collect();
    found.retain(|finding| {
        let mut causes = flow.causes.iter();
        let cause = causes.find(|cause| cause.place == finding.place);
        let Some(cause) = cause.filter(|_| finding.code == code::UNUSED) else {
            return true;
        };
        let end = format!("{{repair: {}}}", cause.id);
        !slips.iter().any(|help| help.contains(&end))
    });
    found
}
