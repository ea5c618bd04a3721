//! What is found of where the walk leads, and what of it hangs on a slip.
//!
//! Whoever mends an outcome may let it lead elsewhere, or let other readings take it. So the same rules are put to the
//! flow once more, with the step at fault open: any of its outcomes may be taken then, and an end beside them. What
//! is found all the same has nothing to do with the slip, and is said beside it.

use super::{closed, goes_round, own_flow, proof, reach, retest, round_without, unsure};
use crate::flow::condition::{Check, Condition};
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Outcome, Step};
use crate::flow::target::Target;

/// What is found of where the walk leads, and hangs on every outcome before it.
const OF_THE_WALK: [&str; 4] = [
    code::GOES_ROUND,
    code::NO_WAY_OUT,
    code::SHORT_RETEST,
    code::NEVER_PROVED,
];

/// The rules that find it.
const RULES: [super::Rule; 7] = [
    closed::check,
    round_without::check,
    unsure::check,
    goes_round::check,
    own_flow::check,
    retest::check,
    proof::check,
];

/// No reading has this id, so that nobody knows how a test of it comes out.
const NOBODY_KNOWS: &str = "?";

/// What is found where some conditions may come out either way.
pub struct OpenAt {
    found: Vec<Finding>,
}

impl OpenAt {
    /// What is found where these steps may lead anywhere.
    pub fn steps(flow: &Flow, ids: &[&str]) -> Self {
        Self::steps_and_judged(flow, ids, &|_| false)
    }

    /// What is found where these steps may lead anywhere, and so may every step that is judged by such a condition.
    pub fn steps_and_judged(
        flow: &Flow,
        ids: &[&str],
        is_open: &dyn Fn(&Condition) -> bool,
    ) -> Self {
        let mut open = flow.clone();
        for step in &mut open.steps {
            if let Some(valid) = step.valid_when.as_mut().filter(|valid| is_open(valid)) {
                *valid = unknown();
            }
            let judged = step.outcomes.iter().any(|outcome| is_open(&outcome.when));
            if judged || ids.contains(&step.id.as_str()) {
                open_outcomes(step);
            }
        }
        let found = RULES.iter().flat_map(|rule| rule(&open));
        let found = found.filter(|finding| OF_THE_WALK.contains(&finding.code));
        Self {
            found: found.collect(),
        }
    }

    /// Whether a finding is one of where the walk leads, and is not made any more where that is open. Steps that nobody
    /// at all can leave are at fault themselves, whatever their outcomes ask for.
    pub fn hides(&self, flow: &Flow, finding: &Finding) -> bool {
        if !OF_THE_WALK.contains(&finding.code) || reach::no_way_out(flow).as_ref() == Some(finding)
        {
            return false;
        }
        let same = |other: &Finding| other.code == finding.code && other.place == finding.place;
        !self.found.iter().any(same)
    }
}

fn open_outcomes(step: &mut Step) {
    for outcome in &mut step.outcomes {
        outcome.when = unknown();
    }
    let end = step.outcomes.first().map(|outcome| Outcome {
        go: Target::Done,
        proved: false,
        ..outcome.clone()
    });
    step.outcomes.extend(end);
}

fn unknown() -> Condition {
    Condition::Test {
        subject: NOBODY_KNOWS.to_owned(),
        check: Check::Is(NOBODY_KNOWS.to_owned()),
    }
}
