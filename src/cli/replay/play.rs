//! A job file as it is replayed: what happened, step by step, and where the record disagrees.

use uuid::Uuid;

use crate::engine::event::{Event, OutcomeTaken, PartWas, RecordedValue, Suggested, Verdict, What};
use crate::engine::fold::apply;
use crate::engine::job::{Job, Proof, Station};
use crate::engine::{replay, shown, words};
use crate::flow::cautions;
use crate::flow::choice::name;
use crate::flow::model::{Detour, Flow, Step};
use crate::flow::target::Target;
use crate::job::file::JobFile;
use crate::rules::suggest;

/// One job file, replayed.
#[derive(Clone, Debug)]
pub struct Replayed {
    /// The file as it was named.
    pub file: String,
    /// The job's own name.
    pub job: Uuid,
    /// Plate and model.
    pub car: String,
    /// The complaint.
    pub complaint: String,
    /// What happened, in order.
    pub entries: Vec<Entry>,
    /// How many events there are.
    pub events: usize,
    /// Number of the event, and in what its record disagrees.
    pub disagreements: Vec<(u64, String)>,
}

/// One thing that happened.
#[derive(Clone, Debug)]
pub enum Entry {
    /// A flow was begun.
    Flow {
        /// The event.
        seq: u64,
        /// Title and revision.
        title: String,
    },
    /// A step was done, left, or is open.
    Step(Box<StepEntry>),
    /// Anything else, in words.
    Words {
        /// The event.
        seq: u64,
        /// What happened.
        text: String,
    },
}

/// A step as it was walked.
#[derive(Clone, Debug)]
pub struct StepEntry {
    /// The event that ended it; absent while it is open.
    pub seq: Option<u64>,
    /// The flow's id.
    pub flow: String,
    /// The step's id.
    pub step: String,
    /// Its title.
    pub title: String,
    /// The number of the test.
    pub test: u32,
    /// Event, id, name and value of each reading.
    pub readings: Vec<(u64, String, String, String)>,
    /// Worked values as recorded.
    pub worked: Vec<WorkedEntry>,
    /// What the rules suggested, in words; empty where the step was not judged.
    pub suggested: String,
    /// Where it went, in words.
    pub went: String,
    /// The outcome taken.
    pub outcome: Option<String>,
    /// Why, where the technician chose otherwise or skipped.
    pub reason: Option<String>,
}

/// A worked value as recorded.
#[derive(Clone, Debug)]
pub struct WorkedEntry {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// The calculation and its version.
    pub by: String,
    /// As it was shown.
    pub shown: String,
    /// The number in SI units with its interval, where it is one.
    pub number: Option<(f64, Option<f64>, Option<f64>)>,
}

/// Replays a job file.
pub fn play(name: &str, file: &JobFile) -> Replayed {
    let (_, played) = replay::replay(&file.events);
    let disagreements = played
        .iter()
        .flat_map(|p| p.disagreements.iter().map(|d| (p.event.seq, d.clone())))
        .collect();
    let mut job = Job::default();
    let mut entries = Vec::new();
    for event in &file.events {
        let before = entry(&job, event);
        apply(&mut job, event);
        entries.extend(before.or_else(|| begun(&job, event)));
        entries.extend(judged_again(&job, event));
    }
    entries.extend(open_step(&job).map(|step| Entry::Step(Box::new(step))));
    let opening = job.opening.clone().unwrap_or_default();
    let car = [opening.vehicle.plate, opening.vehicle.model];
    let car = car.into_iter().filter(|part| !part.is_empty());
    Replayed {
        file: name.to_owned(),
        job: file.job,
        car: car.collect::<Vec<_>>().join(", "),
        complaint: opening.complaint,
        entries,
        events: file.events.len(),
        disagreements,
    }
}

/// What an event says, seen from the job as it stood before it.
fn entry(job: &Job, event: &Event) -> Option<Entry> {
    let words = |text: String| {
        Some(Entry::Words {
            seq: event.seq,
            text,
        })
    };
    match &event.what {
        // The head names the car; readings come with their step; a flow is named once it is folded.
        What::JobOpened(_) | What::ReadingTaken { .. } | What::FlowBegun { .. } => None,
        What::OutcomeTaken(taken) => ended(job, event, taken),
        What::StepSkipped { go, reason, .. } => {
            let mut step = open_step(job)?;
            step.seq = Some(event.seq);
            step.went = target(job, go);
            step.reason = Some(reason.clone());
            Some(Entry::Step(Box::new(step)))
        }
        _ => words(plain(job, event)?),
    }
}

/// Events without a step of their own, in words.
fn plain(job: &Job, event: &Event) -> Option<String> {
    let cause = |id: &str| {
        let found = job.run().and_then(|run| run.flow.cause(id));
        found.map_or_else(|| id.replace('-', " "), |cause| cause.name.clone())
    };
    Some(match &event.what {
        What::CodesNoted(codes) => format!(
            "codes saved: stored {}; pending {}",
            listed(&codes.stored),
            listed(&codes.pending)
        ),
        What::FactNoted { fact, value, .. } => {
            format!(
                "fact: {} = {}",
                fact.replace('-', " "),
                shown::answer(value)
            )
        }
        What::CautionAccepted { caution } => {
            let title = cautions::find(caution).map_or(caution.as_str(), |c| c.title);
            format!("caution accepted: {title}")
        }
        // The screen's record words these the same way.
        What::ReadingLeftOut { .. }
        | What::PairTaken { .. }
        | What::PairTakenBack { .. }
        | What::SampleTaken { .. }
        | What::SampleTakenBack { .. }
        | What::ClockBegunAgain
        | What::TimedElsewhere
        | What::WaitCutShort { .. }
        | What::RepairCorrected { .. }
        | What::OpeningCorrected { .. } => {
            let mut after = job.clone();
            apply(&mut after, event);
            words::event(event, &after)
        }
        What::ReadingCorrected { taken, value, why } => {
            let old = job.readings.iter().find(|t| t.seq == *taken);
            let (id, old) = old.map_or_else(
                || ("a reading".to_owned(), "unknown".to_owned()),
                |t| (t.reading.replace('-', " "), shown::answer(&t.value)),
            );
            format!(
                "corrected: {id} (event {taken}) from {old} to {}, because: {why}",
                shown::answer(value)
            )
        }
        What::LimitPassed {
            reading,
            value,
            limit,
        } => {
            let reading = reading.replace('-', " ");
            format!("limit passed: {reading} is {value}, never above {limit}")
        }
        What::LimitMistyped => "the value above the limit was mistyped".to_owned(),
        What::LimitCleared => "the pressure was let down".to_owned(),
        What::FindingNoted { place, note } => format!("found at {place}: {note}"),
        What::WentBack => "went back one station".to_owned(),
        What::WentForward => "went forward one station".to_owned(),
        What::RepairApproved { cause: id, by } => format!("repair approved: {} ({by})", cause(id)),
        What::RepairDeclined { cause: id, by } => format!("repair declined: {} ({by})", cause(id)),
        What::RepairDone {
            cause: id,
            work,
            part_was,
        } => format!("repaired: {}: {work}; {}", cause(id), part(*part_was)),
        What::RetestBegun { .. } => {
            format!("test {}: again from the start", job.test_number() + 1)
        }
        What::FlowClosed { flow, result } => {
            let proof = job
                .run()
                .map_or(Proof::NothingRepaired, |run| job.proof(run));
            format!("flow {flow} ended: {}", verdict(*result, proof))
        }
        What::TakenOff(what) => format!("confirmed on the car: {}", what.off_again()),
        What::Handover { note } => words::ended(job.practised, note),
        What::Reopened { why } => format!("opened again: {why}"),
        What::Remark { text } => format!("remark: {text}"),
        What::Practised(done) => done.words(),
        What::JobOpened(_)
        | What::FlowBegun { .. }
        | What::ReadingTaken { .. }
        | What::OutcomeTaken(_)
        | What::StepSkipped { .. } => return None,
    })
}

fn listed(words: &[String]) -> String {
    if words.is_empty() {
        "none".to_owned()
    } else {
        words.join(", ")
    }
}

fn part(was: PartWas) -> &'static str {
    match was {
        PartWas::Bad => "the part was bad",
        PartWas::Good => "the part looked good",
        PartWas::CouldNotTell => "could not tell whether the part was bad",
    }
}

fn verdict(result: Verdict, proof: Proof) -> &'static str {
    match (result, proof) {
        (Verdict::Proved, Proof::NothingRepaired) => {
            "the complaint did not show; nothing was repaired"
        }
        (Verdict::Proved, Proof::NotTheCause) => {
            "passed after the repair; the part looked good, so the cause is not proved"
        }
        (Verdict::Proved, Proof::Cause) => "repaired and proved",
        (Verdict::RuledOut, _) => "ruled out",
        (Verdict::LedOn, _) => "led on to another flow",
        (Verdict::Left, _) => "left before its end",
    }
}

fn begun(job: &Job, event: &Event) -> Option<Entry> {
    let What::FlowBegun { flow, revision, .. } = &event.what else {
        return None;
    };
    let title = job
        .run()
        .map_or(flow.as_str(), |run| run.flow.title.as_str());
    Some(Entry::Flow {
        seq: event.seq,
        title: format!("{title}, revision {revision}"),
    })
}

/// The steps that had to be judged again because of an event.
fn judged_again(job: &Job, event: &Event) -> Option<Entry> {
    let text = words::judged_again(event, job);
    (!text.is_empty()).then_some(Entry::Words {
        seq: event.seq,
        text,
    })
}

/// The step that is walked, with the readings taken at it so far.
fn open_step(job: &Job) -> Option<StepEntry> {
    let (run, visit) = (job.run()?, job.visit()?);
    let Station::Step(id) = &visit.station else {
        return None;
    };
    let step = run.flow.step(id)?;
    let readings = job.taken_in(visit.since_seq).map(|taken| {
        let name = name(&run.flow, &taken.reading);
        let value = shown::answer(&taken.value);
        (taken.seq, taken.reading.clone(), name, value)
    });
    Some(StepEntry {
        seq: None,
        flow: run.flow.id.clone(),
        step: id.clone(),
        title: step.title.clone(),
        test: visit.test,
        readings: readings.collect(),
        worked: Vec::new(),
        suggested: String::new(),
        went: String::new(),
        outcome: None,
        reason: None,
    })
}

fn ended(job: &Job, event: &Event, taken: &OutcomeTaken) -> Option<Entry> {
    let Some(mut entry) = open_step(job).filter(|open| open.step == taken.step) else {
        return Some(Entry::Words {
            seq: event.seq,
            text: format!("ended the step {}, which was not open", taken.step),
        });
    };
    let flow = &job.run()?.flow;
    let step = flow.step(&taken.step)?;
    entry.seq = Some(event.seq);
    entry.worked = worked(flow, taken);
    entry.suggested = suggested(step, &taken.suggested);
    entry.went = target(job, &taken.go);
    entry.outcome.clone_from(&taken.outcome);
    entry.reason.clone_from(&taken.reason);
    Some(Entry::Step(Box::new(entry)))
}

fn worked(flow: &Flow, taken: &OutcomeTaken) -> Vec<WorkedEntry> {
    let mut entries: Vec<WorkedEntry> = taken
        .worked
        .iter()
        .map(|(id, recorded)| WorkedEntry {
            id: id.clone(),
            name: name(flow, id),
            by: recorded.by.clone(),
            shown: recorded.shown.clone(),
            number: match &recorded.value {
                RecordedValue::Number { si, low, high } => Some((*si, *low, *high)),
                RecordedValue::Words(_) => None,
            },
        })
        .collect();
    // In the order of the flow, which leads from what was read to what it means.
    entries.sort_by_key(|entry| flow.worked.iter().position(|work| work.id == entry.id));
    entries
}

fn suggested(step: &Step, suggested: &Suggested) -> String {
    let because = |detour: &Option<Detour>| {
        let words = detour.as_ref().map(|d| d.because.as_str());
        words.map_or_else(String::new, |words| format!(": {words}"))
    };
    match suggested {
        Suggested::Outcome(id) => match step.outcomes.iter().find(|o| o.id == *id) {
            Some(outcome) if !outcome.because.is_empty() => {
                format!("{id}: {}", outcome.because)
            }
            _ => id.clone(),
        },
        Suggested::Unsure => format!("cannot tell{}", because(&step.unsure)),
        Suggested::NotValid => format!("not valid{}", because(&step.invalid)),
        Suggested::NoMatch => "no outcome fits".to_owned(),
    }
}

fn target(job: &Job, go: &Target) -> String {
    job.run()
        .map_or_else(String::new, |run| suggest::target(&run.flow, go))
}
