//! What is next on a job: the one thing that the screen asks for.

use chrono::NaiveDate;

use super::hold;
use super::job::{Job, Repair, Run, Station, Stop, Visit};
use super::judge;
use crate::flow::cautions::{self, Caution};
use crate::flow::model::{Cause, Prompt, Step};
use crate::flow::working::applies;

/// Who asks, and when: cautions hold for a person and a day.
#[derive(Clone, Copy, Debug)]
pub struct Desk<'d> {
    /// The person at the keyboard.
    pub who: &'d str,
    /// Today (UTC).
    pub day: NaiveDate,
}

/// What is next.
#[derive(Clone, Debug)]
pub enum Standing<'j> {
    /// The job was not opened yet.
    NotOpened,
    /// A flow is to be chosen.
    NoFlow,
    /// A limit was passed: let the pressure down first.
    Stopped(&'j Stop),
    /// Facts about the vehicle are missing, or what is known does not serve the flow
    /// ([`Job::fact_objection`]).
    Facts(Vec<&'j Prompt>),
    /// Cautions are to be read and accepted.
    Cautions(Vec<&'static Caution>),
    /// A step is to be done.
    Step(&'j Step),
    /// A repair is under way.
    Repair {
        /// The cause.
        cause: &'j Cause,
        /// How far it is.
        stage: RepairStage<'j>,
    },
    /// Another flow is next.
    LedTo(&'j str),
    /// The flow has ended.
    Ended,
    /// The car was handed over.
    HandedOver(&'j str),
}

/// How far a repair is.
#[derive(Clone, Debug)]
pub enum RepairStage<'j> {
    /// The customer is to be asked.
    Ask,
    /// The customer agreed; the work is to be done.
    Work(&'j Repair),
    /// The work is done; the test is to be repeated from the start.
    Retest(&'j Repair),
    /// The customer declined.
    Declined(&'j Repair),
}

impl Job {
    /// What is next.
    pub fn standing(&self, desk: Desk) -> Standing<'_> {
        if self.opening.is_none() {
            return Standing::NotOpened;
        }
        if let Some(note) = &self.handed_over {
            return Standing::HandedOver(note);
        }
        if let Some(stop) = &self.stop {
            return Standing::Stopped(stop);
        }
        let (Some(run), Some(visit)) = (self.run(), self.visit()) else {
            return Standing::NoFlow;
        };
        match &visit.station {
            Station::End => Standing::Ended,
            Station::LedTo(flow) => Standing::LedTo(flow),
            Station::Repair(cause) => match run.flow.cause(cause) {
                Some(cause) => Standing::Repair {
                    cause,
                    stage: self.repair_stage(visit),
                },
                None => Standing::Ended,
            },
            Station::Step(id) => match run.flow.step(id) {
                Some(step) => self.step_standing(run, visit, step, desk),
                None => Standing::Ended,
            },
        }
    }

    /// Whether the present step was begun by somebody else than `who`: nothing stood before it for whoever came here.
    pub fn is_begun_by_other(&self, who: &str) -> bool {
        let Some(visit) = self.visit().filter(|visit| visit.by != who) else {
            return false;
        };
        let desk = Desk {
            who: &visit.by,
            day: visit.ready.date_naive(),
        };
        matches!(self.standing(desk), Standing::Step(_))
    }

    fn repair_stage(&self, visit: &Visit) -> RepairStage<'_> {
        match self.repair_in(visit.since_seq) {
            Some(r) if r.done.is_some() => RepairStage::Retest(r),
            Some(r) if r.approved.is_some() => RepairStage::Work(r),
            Some(r) if r.declined.is_some() => RepairStage::Declined(r),
            _ => RepairStage::Ask,
        }
    }

    fn step_standing<'j>(
        &'j self,
        run: &'j Run,
        visit: &Visit,
        step: &'j Step,
        desk: Desk,
    ) -> Standing<'j> {
        let facts = self.facts_due(run, visit);
        if !facts.is_empty() {
            return Standing::Facts(facts);
        }
        let cautions = self.missing_cautions(run, visit, step, desk);
        if !cautions.is_empty() {
            return Standing::Cautions(cautions);
        }
        Standing::Step(step)
    }

    /// Cautions that this person has not accepted today, in this flow and since the last repair.
    fn missing_cautions(
        &self,
        run: &Run,
        visit: &Visit,
        step: &Step,
        desk: Desk,
    ) -> Vec<&'static Caution> {
        let accepted = |id: &str| {
            self.cautions.iter().any(|a| {
                a.caution == id
                    && a.who == desk.who
                    && a.day == desk.day
                    && a.flow == run.flow.id
                    && a.test == visit.test
            })
        };
        let mut due: Vec<&'static Caution> = Vec::new();
        let own = cautions::of_step(&run.flow, step, &self.facts);
        for id in run.flow.cautions.iter().chain(own) {
            if let Some(caution) = cautions::find(id)
                && !accepted(id)
                && !due.contains(&caution)
                && caution.concerns(&self.facts)
            {
                due.push(caution);
            }
        }
        due
    }

    /// Prompts of the current step that are asked on this car, each with whether it was answered
    /// or left out in this visit.
    pub fn prompts_now(&self) -> Vec<(&Prompt, bool)> {
        let (Some(run), Some(visit), Some(step)) =
            (self.run(), self.visit(), self.run().and_then(Run::step))
        else {
            return Vec::new();
        };
        let picture = judge::picture_at(self, run, visit);
        step.record
            .iter()
            .filter_map(|id| run.flow.reading(id))
            .filter(|prompt| applies(prompt, &picture.values))
            .map(|prompt| {
                let taken = self
                    .taken_in(visit.since_seq)
                    .any(|t| t.reading == prompt.id && !hold::is_void(self, &run.flow, step, t));
                (
                    prompt,
                    taken || self.is_left_out(visit.since_seq, &prompt.id),
                )
            })
            .collect()
    }
}
