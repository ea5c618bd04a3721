//! A car led by the evidence: each move is the suggestion of [`crate::rules::evidence`] on what was read so far.
//!
//! A step is done with everything that must come before it, each set-up charged once until a repair. What the flow
//! itself says of a step's readings is obeyed: not valid, and the author's way back is gone; an outcome that sends
//! back to an earlier step is followed. After a repair the retest goes the flow's own way from its start for as
//! long as the readings speak for a cured car; only an outcome by which the flow calls the complaint proved cured
//! proves it. Once they speak against it, the evidence leads again.

use std::collections::BTreeMap;

use super::hands::Hands;
pub use super::moves::{Act, End, Led, Move, Reason};
use crate::engine::event::PartWas;
use crate::flow::load::causes::NOT_LISTED;
use crate::flow::model::{Phase, Step};
use crate::flow::target::Target;
use crate::plant::car::Car;
use crate::plant::dice::Dice;
use crate::plant::plan::Plan;
use crate::rules::evidence::belief::Contradiction;
use crate::rules::evidence::guards::choice;
use crate::rules::evidence::inquiry::{CURED, Inquiry, inquire_joined};
use crate::rules::evidence::joined::Joined;
use crate::rules::evidence::likelihood::Source;
use crate::rules::evidence::more::joined_by_cars;
use crate::rules::evidence::next::{Candidate, Step as Next};
use crate::rules::evidence::simulated::Simulated;
use crate::rules::evidence::told::Repaired;

/// Moves after which a walk goes round.
const MOST_MOVES: usize = 150;
/// A retest does no step more often than this.
const MOST_RETESTS: usize = 4;
/// Nor is it begun once more from its start more often.
const MOST_RESTARTS: usize = 2;
/// From this probability on a cause is taken to be on the car.
const THERE: f64 = 0.5;
/// Nobody repairs more often than this on one complaint.
const MOST_REPAIRS: usize = 6;
/// The probability that a repair takes, and that an opened part looks as it is: what the reasoning assumes.
const TAKES: f64 = crate::rules::evidence::joined::TAKES;
const LOOKS_SO: f64 = 0.97;

/// Who chooses the next move.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// The suggestion.
    Evidence,
    /// Where the suggestion is a test, any test that can be done; repairs and handing on as suggested.
    Random,
    /// No tests: the best repair, or handing on.
    NoTests,
}

/// How a car is led.
#[derive(Clone, Copy, Debug)]
pub struct Policy<'a> {
    /// Who chooses.
    pub way: Way,
    /// The flow's causes and findings, with the odds that are believed.
    pub joined: &'a Joined<'a>,
    /// Simulated cars as a source of likelihoods, beside the words.
    pub cars: Option<&'a Simulated>,
    /// More of them are drawn where few of a likely set show what was read, as on the screens.
    pub more: bool,
}

/// Leads a car through its flow. All chance (whether a repair takes, how a part looks, a random order) comes from
/// `dice`.
pub fn walk(plan: &Plan, car: Car, policy: &Policy, dice: &Dice) -> Led {
    let mut leading = Leading {
        hands: Hands::new(plan, car),
        policy,
        dice,
        cursor: None,
        repairs: Vec::new(),
        cured: 0.0,
        told_nothing: false,
        retested: BTreeMap::new(),
        way: Vec::new(),
        restarted: 0,
        asked: None,
    };
    let end = leading.lead();
    Led {
        end,
        minutes: leading.hands.moves.iter().map(|m| m.minutes).sum(),
        cured: !leading.hands.drive.complains(),
        moves: leading.hands.moves,
        repairs: leading.repairs,
        sure_of_cure: leading.cured,
    }
}

/// What is done instead of giving up a car that is taken for cured.
enum Instead {
    /// This cause is repaired.
    Repair(String),
    /// The retest is done once more from this step.
    Retest(String),
}

struct Leading<'p, 'a> {
    hands: Hands<'p>,
    policy: &'a Policy<'a>,
    dice: &'a Dice,
    /// Where the retest goes on.
    cursor: Option<String>,
    repairs: Vec<String>,
    cured: f64,
    /// How often each step of this retest was done.
    retested: BTreeMap<String, usize>,
    /// The steps of this retest, in order.
    way: Vec<String>,
    /// How often the retest was begun once more since the last repair.
    restarted: usize,
    /// The cause that the flow itself would repair where the retest stands.
    asked: Option<String>,
    /// The last step of the retest said nothing of any cause.
    told_nothing: bool,
}

impl<'a> Leading<'_, 'a> {
    fn lead(&mut self) -> End {
        while self.hands.moves.len() < MOST_MOVES {
            let Ok(inquiry) = self.inquire() else {
                // Readings that no cause can have made: there is nothing to go by.
                return End::HandedOn;
            };
            self.believe(&inquiry);
            if let Some(end) = self.next(&inquiry) {
                return end;
            }
            if let Some(end) = self.go_on_with_retest() {
                return end;
            }
        }
        End::GoesRound
    }

    fn inquire(&self) -> Result<Inquiry<'a>, Contradiction> {
        let Policy {
            joined, cars, more, ..
        } = self.policy;
        let rounds = &self.hands.rounds;
        let source = |joined: &Joined, cars: &Simulated| {
            Some(Box::new(cars.source(joined)) as Box<dyn Source>)
        };
        match cars {
            Some(cars) if *more => Ok(joined_by_cars(joined, rounds, &[], cars, source)?.0),
            cars => inquire_joined((*joined).clone(), rounds, &[], |joined| {
                source(joined, (*cars)?)
            }),
        }
    }

    /// The retest goes on through steps whose readings say nothing of any cause: the belief stays as it is.
    fn go_on_with_retest(&mut self) -> Option<End> {
        while self.cured >= CURED
            && self.hands.moves.len() < MOST_MOVES
            && let Some(step) = self.cursor.take_if(|_| self.told_nothing)
        {
            if let Some(end) = self.retest(&step) {
                return Some(end);
            }
        }
        None
    }

    fn believe(&mut self, inquiry: &Inquiry) {
        let causes = inquiry.joined.causes.iter().zip(&inquiry.present);
        self.hands.believed = causes.map(|(c, p)| (c.id.clone(), *p)).collect();
        self.cured = inquiry.cured();
        self.hands.cured = self.cured;
    }

    /// One move, or several that go together; the end, where it is one.
    fn next(&mut self, inquiry: &Inquiry) -> Option<End> {
        if self.cured >= CURED
            && let Some(step) = self.cursor.take()
        {
            return self.retest(&step);
        }
        let Some(candidate) = self.chosen(inquiry) else {
            return Some(self.hand_on(None));
        };
        let expected = Some(candidate.expected);
        self.told_nothing = false;
        if self.cured >= CURED && matches!(candidate.step, Next::HandOn | Next::Repair(_)) {
            match self.instead(inquiry) {
                Some(Instead::Repair(cause)) => return self.repair(&cause, None),
                Some(Instead::Retest(step)) => return self.retest(&step),
                None => {}
            }
        }
        match candidate.step {
            // While the retest can go on it tells more than handing on: it may prove the car cured yet.
            Next::HandOn => match self.cursor.take() {
                Some(step) => self.retest(&step),
                None => Some(self.hand_on(expected)),
            },
            Next::Repair(cause) => {
                let cause = inquiry.joined.causes[cause].id.clone();
                self.repair(&cause, expected)
            }
            Next::Test(test) | Next::SetUp(test) => self.hands.test(inquiry, test, expected),
        }
    }

    /// A car that is taken for cured, and whose retest came to no proof: what the flow itself would repair there is
    /// repaired where it is on the car, small as it may be; else the flow is taken for led astray, by a wisp perhaps, and
    /// the retest goes on to the proof from the last step from which a way leads there. Where none does, it is done once
    /// more from its start. Nothing where that was done already.
    fn instead(&mut self, inquiry: &Inquiry) -> Option<Instead> {
        if let Some(cause) = self.asked.take() {
            let place = inquiry.joined.causes.iter().position(|c| c.id == cause);
            if place.is_some_and(|place| inquiry.present[place] >= THERE) {
                return Some(Instead::Repair(cause));
            }
        }
        let before = self.way.iter().rev();
        let mut ways = before.filter_map(|step| self.hands.towards_proof(step, &self.way));
        if let Some(step) = ways.next() {
            return Some(Instead::Retest(step));
        }
        let retest = self.hands.plan.flow.retest.as_ref()?;
        if self.restarted >= MOST_RESTARTS {
            return None;
        }
        self.restarted += 1;
        self.retested.clear();
        self.way.clear();
        Some(Instead::Retest(retest.from.clone()))
    }

    fn chosen(&self, inquiry: &Inquiry) -> Option<Candidate> {
        let best = choice(inquiry, false)?;
        let is_test = |c: &&Candidate| matches!(c.step, Next::Test(_) | Next::SetUp(_));
        match self.policy.way {
            Way::NoTests => inquiry.candidates.iter().find(|c| !is_test(c)).cloned(),
            Way::Random if is_test(&best) => {
                let now = inquiry.plan().now();
                let number = self.hands.moves.len() as u64;
                let place = self.dice.fork("order", number).one_of(now.len());
                let step = now.get(place).map(|test| Next::Test(*test));
                step.map(|step| Candidate {
                    step,
                    ..best.clone()
                })
            }
            Way::Evidence | Way::Random => Some(best.clone()),
        }
    }

    fn retest(&mut self, step: &str) -> Option<End> {
        let judged = self.hands.step(step, Reason::Retest, None);
        self.way.push(step.to_owned());
        let last = self.hands.moves.last();
        self.told_nothing = last.is_none_or(|last| {
            let mut findings = self.policy.joined.findings.iter();
            !findings.any(|f| last.taken.keys().any(|id| f.leaves.contains(id)))
        });
        let times = self.retested.entry(step.to_owned()).or_default();
        *times += 1;
        let again = *times < MOST_RETESTS;
        self.asked = match &judged.target {
            Some(Target::Repair(cause)) => Some(cause.clone()),
            _ => None,
        };
        match judged.target {
            Some(Target::Step(id)) if again => self.cursor = Some(id),
            Some(Target::Done) if judged.proved => return Some(End::Proved),
            // Should the readings speak for a cured car all the same, on towards the proof.
            _ => self.cursor = self.hands.towards_proof(step, &[]),
        }
        let proof = self.hands.plan.flow.step(step);
        let failed = !judged.not_valid && !judged.proved && !judged.outcome.starts_with('(');
        if failed && again && proof.is_some_and(|step| step.phase == Phase::Retest && ends(step)) {
            // The complaint itself is still there.
            self.hands.in_vain();
            self.cursor = None;
        }
        None
    }

    fn hand_on(&mut self, expected: Option<f64>) -> End {
        self.hands
            .note(Act::HandOn, Reason::Suggested, 0.0, expected);
        End::HandedOn
    }

    fn repair(&mut self, cause: &str, expected: Option<f64>) -> Option<End> {
        if self.repairs.len() >= MOST_REPAIRS {
            return Some(End::TooManyRepairs);
        }
        let number = self.repairs.len() as u64;
        let there = self.hands.has(cause);
        let took = self.dice.fork("takes", number).happens(TAKES);
        let looks_so = self.dice.fork("part", number).happens(LOOKS_SO);
        let part_was = if there == looks_so {
            PartWas::Bad
        } else {
            PartWas::Good
        };
        let flow = self.hands.plan.flow;
        let minutes = flow.cause(cause).map_or(0.0, |c| c.minutes);
        let act = Act::Repair {
            cause: cause.to_owned(),
            part_was,
            took: there && took,
        };
        self.hands.note(act, Reason::Suggested, minutes, expected);
        self.hands.drive.repair(cause, took);
        self.told_nothing = false;
        self.retested.clear();
        self.way.clear();
        self.restarted = 0;
        self.asked = None;
        self.hands.next_round(Repaired {
            cause: cause.to_owned(),
            part_was,
            in_vain: false,
        });
        self.repairs.push(cause.to_owned());
        self.cursor = flow.retest.as_ref().map(|retest| retest.from.clone());
        None
    }
}

/// Whether some outcome of a step proves the complaint cured.
fn ends(step: &Step) -> bool {
    step.outcomes.iter().any(|outcome| outcome.proved)
}

/// The id of the cause that stands for none of those listed.
pub const UNLISTED: &str = NOT_LISTED;
