//! What a job waits for, in a few words: for a list of jobs, where each is one line.

use chrono::{DateTime, Utc};

use super::job::{Job, Station};
use super::standing::{Desk, RepairStage, Standing};
use super::{clock, hold, judge};
use crate::flow::model::Flow;

/// Where a job stands and what it waits for, in words.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stand {
    /// The test and its step, as the job's own copy of the flow calls them; empty where no test is walked.
    pub place: String,
    /// What it waits for.
    pub waits: String,
    /// When the clock of its step ends, where one runs or has run out.
    pub ends: Option<DateTime<Utc>>,
    /// Who began it, where it is an exercise.
    pub begun_by: String,
}

/// Where a job stands and what it waits for. Of an exercise the clock is the simulated car's: `by_clock` is
/// false there.
pub fn stand(job: &Job, desk: Desk, by_clock: bool) -> Stand {
    let desk = where_it_runs(job, desk);
    let on_step = matches!(job.standing(desk), Standing::Step(_));
    let anew = hold::anew(job).filter(|_| on_step && by_clock);
    let clock = clock::clock(job).filter(|_| on_step && by_clock);
    Stand {
        place: place(job).unwrap_or_default(),
        waits: anew.map_or_else(|| waits_for(job, desk), |start| start.ask.clone()),
        ends: clock
            .filter(|_| !clock::is_read(job))
            .and_then(|clock| clock.ends()),
        begun_by: String::new(),
    }
}

/// Where a clock runs, the desk of whoever stands at the step: it runs for everybody, and what others would have to read
/// before they took the step over comes after it.
fn where_it_runs<'d>(job: &'d Job, desk: Desk<'d>) -> Desk<'d> {
    let runs = clock::clock(job).is_some_and(|clock| clock.ends().is_some());
    let Some(visit) = job.visit().filter(|_| runs) else {
        return desk;
    };
    let came = std::iter::once((visit.by.as_str(), visit.ready.date_naive()));
    let accepted = job.cautions.iter().rev().map(|c| (c.who.as_str(), c.day));
    let at_it = std::iter::once((desk.who, desk.day))
        .chain(came)
        .chain(accepted);
    at_it
        .map(|(who, day)| Desk { who, day })
        .find(|desk| matches!(job.standing(*desk), Standing::Step(_)))
        .unwrap_or(desk)
}

fn place(job: &Job) -> Option<String> {
    let run = job.run()?;
    let last = run
        .walked()
        .iter()
        .rev()
        .find_map(|visit| match &visit.station {
            Station::Step(id) => run.flow.step(id),
            _ => None,
        });
    let step = run.step().or(last).or(run.flow.steps.first())?;
    Some(format!("{}: {}", run.flow.title, step.title))
}

/// What a job waits for.
pub fn waits_for(job: &Job, desk: Desk) -> String {
    match job.standing(desk) {
        Standing::NotOpened => "its opening".to_owned(),
        Standing::NoFlow => "the choice of a test".to_owned(),
        Standing::Stopped(_) => "the pressure to be let down".to_owned(),
        Standing::Facts(missing) => match missing.first() {
            Some(prompt) => prompt.ask.clone(),
            None => "facts about the car".to_owned(),
        },
        Standing::Cautions(due) => match due.first() {
            Some(caution) => format!("the caution: {}", caution.title),
            None => "its cautions".to_owned(),
        },
        Standing::Step(_) => next_question(job),
        Standing::Repair { cause, stage } => match stage {
            RepairStage::Ask => "the customer's answer".to_owned(),
            RepairStage::Work(_) => format!("the repair: {}", cause.name),
            RepairStage::Retest(_) => "the retest".to_owned(),
            RepairStage::Declined(_) => "handing over; the repair was declined".to_owned(),
        },
        Standing::LedTo(flow) => format!("the next test: {}", title(job, flow)),
        Standing::Ended => "handing over".to_owned(),
        Standing::HandedOver(_) => "nothing; it was handed over".to_owned(),
    }
}

fn next_question(job: &Job) -> String {
    let asked = job.prompts_now();
    let next = asked.iter().find(|(_, done)| !done);
    match next {
        Some((prompt, _)) if !judge::ends_early(job) => prompt.ask.clone(),
        _ => "your decision".to_owned(),
    }
}

fn title(job: &Job, flow: &str) -> String {
    let mut flows = job.runs.iter().map(|run| &run.flow);
    let known = flows.find(|known: &&std::sync::Arc<Flow>| known.id == flow);
    known.map_or_else(|| flow.replace('-', " "), |flow| flow.title.clone())
}
