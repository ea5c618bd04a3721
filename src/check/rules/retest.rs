//! The retest comes by every step that found something to repair.
//!
//! A repair is proved by the test that found the fault. A retest that begins behind that test proves
//! nothing, and another leak that the first one hid stays hidden. The number of the test is 2 or more
//! there, so that an outcome of the first test alone leads back to nothing.
//!
//! That some way leads there is not enough: the car whose repair is to be proved shows what a sound one does. Where all
//! that `healthy` says leads it past the step that found the fault, and a car that still has the cause can come to the same
//! proof by what it shows elsewhere, nothing has seen whether that sign is gone. What physics gives, nobody can say here.

use std::collections::BTreeSet;

use super::as_said;
use super::signs::shown_as_sound;
use super::way::known::Known;
use crate::check::draw::text::reached;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Retest, Step};
use crate::flow::signature::{Shown, Shows};
use crate::flow::target::Target;
use crate::units::Quantity;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let Some(retest) = &flow.retest else {
        return Vec::new(); // The loader asks for one.
    };
    let again = reached_again(flow, &retest.from);
    // A step that nothing leads to finds nothing; it is a finding of its own.
    let (met, left_out): (Vec<Found>, Vec<Found>) = reached(flow)
        .into_iter()
        .filter_map(|step| {
            let mut outcomes = step.outcomes.iter();
            let repairs = outcomes.find(|outcome| matches!(outcome.go, Target::Repair(_)))?;
            Some((step, repairs))
        })
        .partition(|(step, _)| again.contains(step.id.as_str()));
    if left_out.is_empty() {
        return passed(flow, retest, &met).into_iter().collect();
    }
    let first = flow.steps.first();
    let help = format!(
        "let it begin earlier, such as retest: {{from: {}}}",
        first.map_or("first-step", |first| first.id.as_str())
    );
    vec![short(retest, &left_out, "does not come by", "", help)]
}

/// A step, and its first outcome that leads to a repair.
type Found<'f> = (&'f Step, &'f Outcome);

/// The finding steps past which a car goes that shows what `healthy` says.
fn passed(flow: &Flow, retest: &Retest, finding: &[Found]) -> Option<Finding> {
    if flow.healthy.is_empty() {
        return None;
    }
    let cured = as_said::known(flow, &flow.healthy).with_test_from(2.0);
    let (met, _) = as_said::walk(flow, &retest.from, &cured);
    let reads_anew = |id: &&str| {
        met.iter()
            .any(|(known, _)| known.record.iter().any(|r| r == id))
    };
    // A step that reads nothing finds by what others read: they are what is repeated.
    let is_met = |step: &Step| {
        let mut judges_by = step
            .outcomes
            .iter()
            .flat_map(|outcome| outcome.when.subjects());
        met.iter().any(|(known, _)| known.id == step.id)
            || step.record.is_empty() && judges_by.all(|id| reads_anew(&id))
    };
    let passed: Vec<Found> = finding
        .iter()
        .filter(|(step, _)| !is_met(step) && slips_by(flow, &retest.from, step))
        .copied()
        .collect();
    let (step, _) = passed.first()?;
    let help = format!(
        "let the outcome that a sound car takes lead on to `{}` where test-number is at least 2",
        step.id
    );
    let who = ", on a car that shows what `healthy` says,";
    Some(short(retest, &passed, "goes past", who, help))
}

/// Whether a car that still has one of the causes that a step finds may be called cured without it.
fn slips_by(flow: &Flow, from: &str, finds: &Step) -> bool {
    let repaired = finds
        .outcomes
        .iter()
        .filter_map(|outcome| match &outcome.go {
            Target::Repair(id) => flow.cause(id),
            _ => None,
        });
    let mut said = repaired.filter(|cause| cause.effects.is_empty() && !cause.shows.is_empty());
    said.any(|cause| {
        let sound = flow.healthy.iter();
        let silent = sound.filter(|sound| shown_as_sound(flow, cause, &sound.id).is_some());
        let shows: Vec<Shows> = silent.chain(&cause.shows).map(middle).collect();
        let car = as_said::known(flow, &shows).with_test_from(2.0);
        comes_to_proof(flow, from, finds, &car)
    })
}

/// A range by its middle: the ends of two ranges may touch, and most cars lie between them.
fn middle(shows: &Shows) -> Shows {
    let mut shows = shows.clone();
    if let Shown::Range(from, to) = &shows.what {
        let unit = to.unit();
        let middle = Quantity::new(unit.from_si(f64::midpoint(from.si(), to.si())), unit);
        if let Ok(middle) = middle {
            shows.what = Shown::Range(middle, middle);
        }
    }
    shows
}

/// Whether a car may come to an end that proves it cured, past a step that is not walked.
fn comes_to_proof(flow: &Flow, from: &str, not_by: &Step, car: &Known) -> bool {
    let mut seen: BTreeSet<&str> = BTreeSet::from([not_by.id.as_str()]);
    let mut next: Vec<&Step> = flow.step(from).into_iter().collect();
    while let Some(step) = next.pop() {
        if !seen.insert(&step.id) {
            continue;
        }
        let ways = as_said::open(flow, step, car);
        let proves =
            |outcome: &Outcome| outcome.proved && ways.iter().any(|way| way.place == outcome.place);
        if step.outcomes.iter().any(proves) {
            return true;
        }
        next.extend(ways.iter().filter_map(|way| match way.go {
            Target::Step(id) => flow.step(id),
            _ => None,
        }));
    }
    false
}

fn short(retest: &Retest, steps: &[Found], goes: &str, who: &str, help: String) -> Finding {
    let names: Vec<String> = steps
        .iter()
        .map(|(step, _)| format!("`{}`", step.id))
        .collect();
    let (place, found) = match steps {
        [(_, repairs)] => (repairs.place, "which found this"),
        // Several are left out by where it begins, or by what leads on.
        _ => (retest.place, "which find what is repaired"),
    };
    let message = format!(
        "the retest from `{}`{who} {goes} {}, {found}",
        retest.from,
        names.join(", ")
    );
    Finding::warning(code::SHORT_RETEST, place, message, help)
}

/// The steps that a retest from here can come to. An outcome that only the first test can take leads nowhere then.
fn reached_again<'f>(flow: &'f Flow, from: &str) -> BTreeSet<&'f str> {
    let known = Known::default().with_test_from(2.0);
    let mut found: BTreeSet<&str> = BTreeSet::new();
    let mut next: Vec<&Step> = flow.step(from).into_iter().collect();
    while let Some(step) = next.pop() {
        if !found.insert(&step.id) {
            continue;
        }
        let open = step
            .outcomes
            .iter()
            .filter(|outcome| !known.excludes(flow, &outcome.when));
        let detours = step
            .unsure
            .iter()
            .chain(&step.invalid)
            .map(|detour| &detour.go);
        let ways = open
            .map(|outcome| &outcome.go)
            .chain(detours)
            .chain(&step.skip_to);
        next.extend(ways.filter_map(|go| match go {
            Target::Step(id) => flow.step(id),
            _ => None,
        }));
    }
    found
}
