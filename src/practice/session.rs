//! A practice job followed event by event: where the job stands, and the car in the bay beside it.

use uuid::Uuid;

use super::bay::{Answers, Bay};
use super::drawn::Drawn;
use super::harm::Harm;
use super::log::{Advised, Passed};
use super::traps::{is_fed, reads_unit_alone};
use crate::engine::event::{Event, OutcomeTaken, Suggested, What};
use crate::engine::fold;
use crate::engine::job::{Job, Run};
use crate::engine::judge;
use crate::engine::practised::{Exercise, Marks, Practised};
use crate::engine::standing::{Desk, Standing};
use crate::engine::weighed::Chosen;
use crate::flow::cautions;
use crate::flow::model::{Flow, Phase, Step};
use crate::flow::target::Target;
use crate::physics::gas::Gas;
use crate::plant::hands::Fed;
use crate::plant::plan::Plan;

/// The exercise of a job, if it is one of practice.
pub fn exercise(events: &[Event]) -> Option<&Exercise> {
    events.iter().find_map(|event| match &event.what {
        What::Practised(Practised::Begun(exercise)) => Some(exercise),
        _ => None,
    })
}

/// Who began the exercise of a job: for them it counts, whoever ends it.
pub fn begun_by(events: &[Event]) -> Option<&str> {
    let mut events = events.iter();
    let begun = events.find(|e| matches!(&e.what, What::Practised(Practised::Begun(_))))?;
    Some(&begun.who)
}

/// The marks of a job, if it is one of practice and was marked.
pub fn marks(events: &[Event]) -> Option<&Marks> {
    events.iter().rev().find_map(|event| match &event.what {
        What::Practised(Practised::Marked(marks)) => Some(marks),
        _ => None,
    })
}

/// The flow of a practice job, as its text was when it began.
pub fn flow(job: &Job) -> Option<std::sync::Arc<Flow>> {
    job.runs.first().map(|run| run.flow.clone())
}

/// A practice job and its car.
#[derive(Clone, Debug)]
pub struct Session<'p> {
    /// The exercise.
    pub exercise: Exercise,
    /// The job.
    pub job: Job,
    /// The car.
    pub bay: Bay<'p>,
    /// Its marks, once it was ended.
    pub marked: Option<Marks>,
}

impl<'p> Session<'p> {
    /// A job that was not begun yet.
    pub fn new(plan: &'p Plan<'p>, exercise: Exercise, drawn: Drawn) -> Self {
        Self {
            exercise,
            job: Job::default(),
            bay: Bay::new(plan, drawn),
            marked: None,
        }
    }

    /// A job from its events; `plan` is of its flow. `None` where it is none of practice.
    pub fn of(plan: &'p Plan<'p>, events: &[Event]) -> Option<Self> {
        let begun = exercise(events)?.clone();
        let drawn = Drawn::of(plan, begun.seed, begun.level, begun.attempt);
        let mut session = Self::new(plan, begun, drawn);
        for event in events {
            session.apply(event);
        }
        Some(session)
    }

    /// Answers that count at the step where the job is.
    pub fn earlier(&self) -> Answers {
        match self.job.run().and_then(|run| Some((run, run.visit()?))) {
            Some((run, visit)) => judge::answers(&self.job, run, visit),
            None => self.job.facts.clone(),
        }
    }

    /// Whether the supply runs by itself for what the step reads: it is connected to nothing.
    pub fn runs_alone(&self) -> bool {
        let plan = self.bay.plan();
        let step = self.bay.step();
        self.bay.has_engine()
            && is_fed(plan.flow)
            && step.is_some_and(|s| reads_unit_alone(plan, s))
    }

    /// Takes one more event in.
    pub fn apply(&mut self, event: &Event) {
        let earlier = self.earlier();
        match &event.what {
            What::Practised(Practised::Marked(marks)) => self.marked = Some(marks.clone()),
            What::Practised(done) => self.hands(done, &earlier),
            What::ReadingTaken { reading, value, .. } => {
                self.bay.said(event.seq, reading, value, &earlier);
            }
            What::ReadingCorrected { taken, value, .. } => self.bay.corrected(*taken, value),
            What::OutcomeTaken(taken) => {
                // Also where the flow's own way for what is too close to call leads on.
                let led = taken.outcome.is_some() || taken.suggested == Suggested::Unsure;
                let as_it_says = self.bay.asks_nothing() && led && taken.reason.is_none();
                self.bay.leave(&earlier, as_it_says);
                self.bay.log.advised.extend(self.advised(event.seq, taken));
            }
            What::LimitPassed {
                reading,
                value,
                limit,
            } => self.bay.log.passed.push(Passed {
                reading: reading.clone(),
                value: *value,
                limit: *limit,
                test: self.bay.test(),
            }),
            What::LimitMistyped => {
                self.bay.log.passed.pop();
            }
            What::CodesNoted(_) => self.bay.codes_are_saved(),
            What::RepairDone { cause, .. } => self.bay.repair(cause),
            _ => {}
        }
        fold::apply(&mut self.job, event);
        let at = self.job.run().and_then(|run| {
            let visit = run.visit()?;
            Some((run.step().map(|step| step.id.clone()), visit.since_seq))
        });
        // A flow that this one leads to is no part of the exercise.
        let own = |run: &Run| run.flow.id == self.exercise.flow;
        match at {
            Some((step, visit)) if self.job.run().is_some_and(own) => {
                self.bay.arrive(step.as_deref(), visit);
            }
            _ => self.bay.arrive(None, self.job.seq),
        }
    }

    /// The repair to which somebody goes as the odds on the screen suggested, against the flow or where it led nowhere.
    fn advised(&self, seq: u64, taken: &OutcomeTaken) -> Option<Advised> {
        let weighed = taken.weighed.as_ref()?;
        let Target::Repair(cause) = &taken.go else {
            return None;
        };
        // What was picked further down the list was not suggested.
        let suggested =
            weighed.taken != Chosen::Another && weighed.evidence.go.as_ref() == Some(&taken.go);
        suggested.then(|| Advised {
            cause: cause.clone(),
            test: self.bay.test(),
            because: weighed.because.clone(),
            seq,
        })
    }

    /// The same once this has happened as well. When and by whom it is recorded does not matter to the car.
    #[must_use]
    pub fn after(&self, done: &[What]) -> Self {
        let mut after = self.clone();
        for what in done {
            let event = Event {
                id: Uuid::nil(),
                seq: after.job.seq + 1,
                at: after.job.opened.unwrap_or_default(),
                who: String::new(),
                what: what.clone(),
            };
            after.apply(&event);
        }
        after
    }

    fn hands(&mut self, done: &Practised, earlier: &Answers) {
        let bay = &mut self.bay;
        match done {
            Practised::Closed { opening } => {
                bay.close(opening);
            }
            Practised::Opened { opening } => {
                bay.open(opening);
            }
            Practised::Fed { gas, pressure } => {
                let gas = Gas::named(gas).unwrap_or(Gas::Air);
                let pressure = pressure.si();
                // Whether it was allowed was seen to before the event was recorded.
                bay.feed(Fed { gas, pressure }, None);
            }
            Practised::SupplyOff => bay.supply_off(),
            Practised::Covered { place } => bay.cover(place, earlier),
            Practised::Uncovered => bay.uncover(),
            Practised::Looked { place, seconds } => {
                bay.look(place, *seconds, earlier);
            }
            Practised::WentRound => {
                bay.go_round();
            }
            Practised::Warmed => {
                bay.warm();
            }
            Practised::Cooled => bay.cool(),
            Practised::DoorShut => bay.shut_door(),
            Practised::CodesCleared => bay.clear_codes(),
            Practised::GaugesSeen => {
                bay.see_gauges();
            }
            Practised::RangeSet { gauge } => bay.set_range(gauge),
            Practised::Took { reading } => {
                let _ = bay.take(reading, earlier);
            }
            Practised::PartOpened { cause, .. } => bay.open_part(cause),
            Practised::Stopped { harm, caution } => bay.log.harm = Harm::named(harm, caution),
            Practised::Begun(_) | Practised::Marked(_) => {}
        }
    }

    /// A caution of pressurising that this person has not accepted for this test.
    pub fn caution_missing(&self, desk: Desk) -> Option<String> {
        if let Standing::Cautions(due) = self.job.standing(desk) {
            return due.first().map(|caution| caution.id.to_owned());
        }
        let run = self.job.run()?;
        let step = pressurises(&run.flow, run.step()?)?;
        let test = run.visit().map_or(1, |visit| visit.test);
        let accepted = |id: &str| {
            self.job.cautions.iter().any(|a| {
                a.caution == id
                    && a.who == desk.who
                    && a.day == desk.day
                    && a.flow == run.flow.id
                    && a.test == test
            })
        };
        let own = cautions::of_step(&run.flow, step, &self.job.facts);
        let mut all = run.flow.cautions.iter().chain(own);
        let concerns = |id: &str| cautions::find(id).is_none_or(|c| c.concerns(&self.job.facts));
        all.find(|id| !accepted(id) && concerns(id)).cloned()
    }
}

/// The step whose cautions stand before any pressure: this one where it is one of those or comes after them, else
/// the next.
fn pressurises<'f>(flow: &'f Flow, here: &'f Step) -> Option<&'f Step> {
    let at = flow.steps.iter().position(|step| step.id == here.id)?;
    let is = |step: &&Step| step.phase == Phase::Pressurise;
    let before = flow.steps[..at].iter().any(|step| is(&step));
    if is(&here) || before {
        return Some(here);
    }
    flow.steps[at..].iter().find(is).or(Some(here))
}
