//! Judging the steps of a job: what its readings come to, and which outcome applies.

use std::cell::RefCell;
use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

use super::event::{Recorded, RecordedValue, Suggested};
use super::hold;
use super::job::{Job, Run, Station, Visit};
use crate::flow::answer::Answer;
use crate::flow::choice::{Choice, choose, decided_early};
use crate::flow::model::{Arg, Flow, Outcome, PromptKind, Step};
use crate::flow::values::Value;
use crate::flow::working::{Known, Picture, picture};
use crate::units::preferred::{self, Preferred};

/// What is known at a station: the answers that count there ([`Job::answers_at`]).
///
/// A reading that the step itself records counts only where it was taken in this very visit, so
/// that a step which is repeated asks anew.
pub fn answers(job: &Job, run: &Run, visit: &Visit) -> BTreeMap<String, Answer> {
    let mut answers = job.answers_at(visit);
    let Station::Step(id) = &visit.station else {
        return answers;
    };
    let Some(step) = run.flow.step(id) else {
        return answers;
    };
    for id in &step.record {
        let here = job.taken_in(visit.since_seq);
        let last = here.filter(|t| t.reading == *id).last();
        match last.filter(|taken| !hold::is_void(job, &run.flow, step, taken)) {
            Some(taken) => answers.insert(id.clone(), taken.value.clone()),
            None => answers.remove(id),
        };
    }
    answers
}

/// What follows from the readings at a station.
pub fn picture_at(job: &Job, run: &Run, visit: &Visit) -> Picture {
    let asked = Asked {
        flow: Arc::clone(&run.flow),
        answers: answers(job, run, visit),
        test: visit.test,
        units: preferred::now(),
    };
    WORKED.with_borrow_mut(|worked| {
        if let Some((_, known)) = worked.iter().find(|(before, _)| *before == asked) {
            return known.clone();
        }
        let known = Known {
            answers: &asked.answers,
            test_number: asked.test,
        };
        let picture = picture(&asked.flow, known);
        worked.truncate(KEPT - 1);
        worked.push_front((asked, picture.clone()));
        picture
    })
}

/// All that a picture follows from.
struct Asked {
    flow: Arc<Flow>,
    answers: BTreeMap<String, Answer>,
    test: u32,
    /// Its notes hold values in words.
    units: (Preferred, bool),
}

impl PartialEq for Asked {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.flow, &other.flow)
            && self.test == other.test
            && self.answers == other.answers
            && self.units == other.units
    }
}

/// A screen asks for the same few pictures many times a second, and a flow with many decays takes its time for each.
const KEPT: usize = 4;

thread_local! {
    /// The last pictures and what they follow from; the same for whoever asks, so that nobody can tell.
    static WORKED: RefCell<VecDeque<(Asked, Picture)>> = const { RefCell::new(VecDeque::new()) };
}

/// What follows from the readings at the current station.
pub fn picture_now(job: &Job) -> Option<Picture> {
    let run = job.run()?;
    Some(picture_at(job, run, run.visit()?))
}

/// Which outcome of the current step applies.
pub fn choice_now<'j>(job: &'j Job, picture: &Picture) -> Option<Choice<'j>> {
    let run = job.run()?;
    let step = run.step()?;
    let visit = run.visit()?;
    Some(judge(job, run, visit, step, picture))
}

fn judge<'j>(
    job: &Job,
    run: &'j Run,
    visit: &Visit,
    step: &'j Step,
    picture: &Picture,
) -> Choice<'j> {
    if let Some(decided) = decided_early(&run.flow, step, picture) {
        return decided;
    }
    // Pairs have no value of their own, so whether they were taken is asked of the record.
    let missing: Vec<String> = step
        .record
        .iter()
        .filter_map(|id| run.flow.reading(id))
        .filter(|p| matches!(p.kind, PromptKind::Pairs(_)) && !p.optional)
        .filter(|p| {
            !job.taken_in(visit.since_seq).any(|t| t.reading == p.id)
                && crate::flow::working::applies(p, &picture.values)
        })
        .map(|p| p.id.clone())
        .collect();
    match choose(&run.flow, step, picture) {
        Choice::Incomplete {
            missing: mut others,
            read_at,
        } => {
            let read_at = read_at.filter(|_| missing.is_empty());
            others.extend(missing);
            Choice::Incomplete {
                missing: others,
                read_at,
            }
        }
        _ if !missing.is_empty() => Choice::Incomplete {
            missing,
            read_at: None,
        },
        choice => choice,
    }
}

/// Whether what was read at the current step so far decides that nothing can be drawn from it, and
/// its author says where to go then: the rest need not be read.
pub fn ends_early(job: &Job) -> bool {
    let (Some(run), Some(visit)) = (job.run(), job.visit()) else {
        return false;
    };
    // Without a reading of its own nobody has begun the step.
    let begun = job.taken_in(visit.since_seq).next().is_some();
    let Some(step) = run.step().filter(|s| begun && s.valid_when.is_some()) else {
        return false;
    };
    let picture = picture_at(job, run, visit);
    decided_early(&run.flow, step, &picture).is_some_and(|choice| choice.target().is_some())
}

/// The choice in the form in which it is recorded.
pub fn suggested(choice: &Choice) -> Suggested {
    match choice {
        Choice::Matches(outcome) => Suggested::Outcome(outcome.id.clone()),
        Choice::Unsure { .. } => Suggested::Unsure,
        Choice::NotValid { .. } => Suggested::NotValid,
        Choice::Incomplete { .. } | Choice::NoMatch => Suggested::NoMatch,
    }
}

/// What the rules say at a visit, for the answers that count there.
pub fn suggested_at(job: &Job, run: &Run, visit: &Visit) -> Option<Suggested> {
    let Station::Step(id) = &visit.station else {
        return None;
    };
    let step = run.flow.step(id)?;
    let picture = picture_at(job, run, visit);
    Some(suggested(&judge(job, run, visit, step, &picture)))
}

/// The worked values that a step shows or decides by, in the form in which they are recorded.
pub fn record_worked(flow: &Flow, step: &Step, picture: &Picture) -> BTreeMap<String, Recorded> {
    let decides = step.outcomes.iter().flat_map(|o| o.when.subjects());
    step.show
        .iter()
        .map(String::as_str)
        .chain(decides)
        .filter_map(|id| Some((id.to_owned(), recorded(flow, id, picture)?)))
        .collect()
}

fn recorded(flow: &Flow, id: &str, picture: &Picture) -> Option<Recorded> {
    let work = flow.work(id)?;
    let finite = |x: f64| x.is_finite().then_some(x);
    let (value, shown) = match picture.values.get(id)? {
        Value::Number(e) => (
            RecordedValue::Number {
                si: e.value,
                low: finite(e.low),
                high: finite(e.high),
            },
            preferred::unconverted(|| super::shown::estimate(e, work.unit)),
        ),
        Value::Word(words) => (RecordedValue::Words(words.clone()), words.clone()),
        _ => return None,
    };
    let by = format!("{} {}", work.calculation.name, work.calculation.version);
    Some(Recorded { by, value, shown })
}

/// Whether an outcome applies because of something that was read, and not only by facts about the
/// vehicle, the number of the test, or always.
pub fn by_readings(flow: &Flow, outcome: &Outcome) -> bool {
    outcome.when.subjects().into_iter().any(|subject| {
        flow.readings
            .iter()
            .any(|reading| rests_on(flow, subject, &reading.id))
    })
}

/// Whether an id is a reading, or is worked out from it.
pub fn rests_on(flow: &Flow, id: &str, reading: &str) -> bool {
    if id == reading {
        return true;
    }
    // Worked values are in an order in which each needs only those before it, so this ends.
    flow.work(id).is_some_and(|work| {
        work.inputs
            .iter()
            .any(|(_, arg)| arg_rests_on(flow, arg, reading))
    })
}

/// Whether an input of a worked value rests on a reading or fact.
pub fn arg_rests_on(flow: &Flow, arg: &Arg, reading: &str) -> bool {
    match arg {
        Arg::Constant(_) | Arg::Word(_) => false,
        Arg::Of(id) | Arg::PairsOf(id) => rests_on(flow, id, reading),
        Arg::List(items) => items.iter().any(|item| arg_rests_on(flow, item, reading)),
        Arg::Rows(rows) => rows
            .iter()
            .flatten()
            .flatten()
            .any(|item| arg_rests_on(flow, item, reading)),
    }
}
