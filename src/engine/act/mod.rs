//! From what the technician wants to the events that it makes, or why it cannot be done now.
//!
//! Every screen, the plain walk and the tests go through [`act`], so that the record can hold
//! only what the rules of a job allow.

mod ending;
mod weighing;

pub(super) use ending::{refuse_unproved, verdict_of};
pub(super) use weighing::refuse as refuse_elsewhere;

use super::action::{Action, FlowText};
use super::clock;
use super::event::{PartWas, What};
use super::facts;
use super::fitted::Fitted;
use super::job::{Job, Stop};
use super::partial;
use super::prompt::{self, Origin};
use super::refusal::Refusal;
use super::standing::{Desk, RepairStage, Standing};
use crate::flow::answer::Answer;
use crate::flow::model::{Limit, PromptKind, Step};
use crate::units::{Dimension, Quantity, Unit};
use ending::{close, follow, refuse_unfounded, skip, take, verdict_of_leaving};

fn not_now<T>(why: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal::NotNow(why.into()))
}

/// The events that an action makes.
///
/// # Errors
/// A [`Refusal`] with what to do first.
pub fn act(job: &Job, desk: Desk, action: Action) -> Result<Vec<What>, Refusal> {
    let standing = job.standing(desk);
    refuse_out_of_place(&standing, &action)?;
    match action {
        Action::Open(opening) => Ok(vec![What::JobOpened(opening)]),
        Action::NoteCodes(codes) => Ok(vec![What::CodesNoted(codes)]),
        Action::SetFact {
            fact,
            value,
            confirmed,
        } => set_fact(job, fact, value, confirmed),
        Action::Begin(flow) => {
            if matches!(standing, Standing::LedTo(next) if next == flow.id) {
                refuse_unfounded(job)?;
            }
            Ok(begin(job, flow))
        }
        Action::Accept(caution) => accept(&standing, caution),
        Action::CorrectOpening { opening, why } => partial::correct_opening(job, *opening, why),
        Action::Correct { taken, value, why } => prompt::correct(job, taken, value, why),
        Action::CorrectRepair {
            noted,
            words,
            part_was,
            why,
        } => correct_repair(job, noted, words, part_was, why),
        Action::ClearLimit | Action::Mistyped => match (&standing, &action) {
            (Standing::Stopped(_), Action::ClearLimit) => Ok(vec![What::LimitCleared]),
            (Standing::Stopped(stop), _) => mistyped(job, stop),
            _ => not_now("no limit was passed"),
        },
        Action::Note { place, note } => Ok(vec![What::FindingNoted { place, note }]),
        Action::Weigh { weighed, action } => weighing::weigh(job, desk, &weighed, *action),
        Action::Early { left, action } => early(job, desk, left, *action),
        Action::Back => back(job),
        Action::Forward => forward(job),
        Action::Decline { .. } => mend(&standing, action),
        Action::Approve { .. } | Action::Repaired { .. } => {
            refuse_unfounded(job)?;
            mend(&standing, action)
        }
        Action::Retest => retest(job, &standing),
        Action::Leave => leave(job),
        Action::TakeOff(what) => take_off(job, what),
        Action::EndExercise { note } => Ok(hand_over(job, note)),
        Action::HandOver { note } => {
            refuse_fitted(job)?;
            Ok(hand_over(job, note))
        }
        Action::Reopen { why } => reopen(&standing, why),
        Action::Remark(text) => Ok(vec![What::Remark { text }]),
        of_step => at_step(job, step_now(&standing)?, of_step),
    }
}

/// What is only done where a step is walked: its readings, its clock, and how it is left.
fn at_step(job: &Job, step: &Step, action: Action) -> Result<Vec<What>, Refusal> {
    if ends_the_step(&action) {
        refuse_unfounded(job)?;
    }
    match action {
        Action::Read {
            reading,
            value,
            confirmed,
            carried_from,
        } => {
            let origin = Origin {
                carried_from,
                from_file: None,
            };
            prompt::read(job, &reading, value, confirmed, origin)
        }
        Action::ReadFromFile {
            reading,
            value,
            from,
        } => prompt::read(job, &reading, value, false, Origin::file(from)),
        Action::BeginClock | Action::EndClock => set_clock(job, &action),
        Action::Follow => follow(job, step),
        Action::Take { outcome, reason } => take(job, step, &outcome, &reason),
        Action::GoBy {
            go,
            weighed,
            taken_down,
        } => weighing::go_by(job, step, &go, weighed, taken_down),
        Action::Skip { reason, to } => skip(job, step, reason, to),
        bit_by_bit => partial::act(job, bit_by_bit),
    }
}

fn ends_the_step(action: &Action) -> bool {
    matches!(
        action,
        Action::Follow | Action::Take { .. } | Action::GoBy { .. } | Action::Skip { .. }
    )
}

/// What nothing else can be done before, or after.
fn refuse_out_of_place(standing: &Standing, action: &Action) -> Result<(), Refusal> {
    match (standing, action) {
        (Standing::NotOpened, Action::Open(_))
        | (Standing::Stopped(_), Action::ClearLimit | Action::Mistyped) => {}
        (Standing::NotOpened, _) => return not_now("open the job first"),
        (_, Action::Open(_)) => return not_now("this job is open already"),
        (_, Action::Remark(_)) | (Standing::HandedOver(_), Action::Reopen { .. }) => {}
        (Standing::HandedOver(_), _) => {
            return not_now("the car was handed over: add a remark, or open the job again");
        }
        (Standing::Stopped(stop), _) => {
            let limit = stop.limit;
            return not_now(format!("let the pressure down first: {limit} was passed"));
        }
        _ => {}
    }
    Ok(())
}

/// What the customer says to a repair, and the repair itself. A digit that slipped in is nobody who agreed.
fn mend(standing: &Standing, action: Action) -> Result<Vec<What>, Refusal> {
    let said = match &action {
        Action::Approve { by } | Action::Decline { by } => by.as_str(),
        Action::Repaired { work, .. } => work,
        _ => return not_now("this is no repair"),
    };
    if !said.chars().any(char::is_alphabetic) {
        return Err(Refusal::NeedsReason(
            "write it in words: a number alone says nothing to whoever reads it".to_owned(),
        ));
    }
    match action {
        Action::Approve { by } => match standing {
            Standing::Repair {
                cause,
                stage: RepairStage::Ask | RepairStage::Declined(_),
            } => Ok(vec![What::RepairApproved {
                cause: cause.id.clone(),
                by,
            }]),
            _ => not_now("no repair waits for the customer"),
        },
        Action::Decline { by } => match standing {
            Standing::Repair {
                cause,
                stage: RepairStage::Ask | RepairStage::Work(_),
            } => Ok(vec![What::RepairDeclined {
                cause: cause.id.clone(),
                by,
            }]),
            _ => not_now("no repair waits for the customer"),
        },
        Action::Repaired { work, part_was } => match standing {
            Standing::Repair {
                cause,
                stage: RepairStage::Work(_),
            } => Ok(vec![What::RepairDone {
                cause: cause.id.clone(),
                work,
                part_was,
            }]),
            _ => not_now("note the customer's approval first"),
        },
        _ => not_now("this is no repair"),
    }
}

/// What was noted of a repair, put right.
fn correct_repair(
    job: &Job,
    noted: u64,
    words: String,
    part_was: Option<PartWas>,
    why: String,
) -> Result<Vec<What>, Refusal> {
    let Some((old, old_part)) = job.repairs.iter().find_map(|r| r.noted(noted)) else {
        return not_now(format!(
            "event {noted} noted nothing of a repair that still stands"
        ));
    };
    if words.trim().is_empty() {
        return Err(Refusal::WrongAnswer("write something here".to_owned()));
    }
    if why.trim().is_empty() {
        return Err(Refusal::NeedsReason("write why it is corrected".to_owned()));
    }
    let part_was = part_was.filter(|_| old_part.is_some());
    if old == words.trim() && (part_was.is_none() || part_was == old_part) {
        return not_now("nothing was changed: that is what stands there");
    }
    Ok(vec![What::RepairCorrected {
        noted,
        words,
        part_was,
        why,
    }])
}

fn step_now<'j>(standing: &Standing<'j>) -> Result<&'j Step, Refusal> {
    match standing {
        Standing::Step(step) => Ok(step),
        Standing::Facts(_) => not_now("answer the questions about the vehicle first"),
        Standing::Cautions(_) => not_now("read and accept the cautions first"),
        _ => not_now("no step is being walked"),
    }
}

/// The value above the limit was mistyped. Where it came by a correction, the reading is again what it was, which is held
/// against the limit like any other.
///
/// # Errors
/// It was read before its limit was corrected: then the car stands above it, whatever was mistyped.
fn mistyped(job: &Job, stop: &Stop) -> Result<Vec<What>, Refusal> {
    let mut events = vec![What::LimitMistyped];
    let value = Answer::Quantity(stop.value);
    let mut taken = job.readings.iter().rev();
    let taken = taken.find(|taken| taken.reading == stop.reading && taken.value == value);
    let Some(taken) = taken else {
        return Ok(events);
    };
    let Some((before, _)) = taken.before.last().filter(|(_, by)| by + 1 == stop.seq) else {
        return not_now(
            "this was read before its limit was corrected: let the pressure down first; what was mistyped can be corrected after it",
        );
    };
    events.push(What::ReadingCorrected {
        taken: taken.seq,
        value: before.clone(),
        why: "what it was corrected to was mistyped".to_owned(),
    });
    let mut prompts = job
        .runs
        .iter()
        .rev()
        .filter_map(|run| run.flow.reading(&stop.reading));
    if let Some(PromptKind::Quantity(asked)) = prompts.next().map(|prompt| &prompt.kind)
        && let Answer::Quantity(value) = *before
        && let Some(limit) = prompt::passed(job, asked, value)?
    {
        let reading = stop.reading.clone();
        events.push(What::LimitPassed {
            reading,
            value,
            limit,
        });
    }
    Ok(events)
}

/// What is done before the wait of the step is over, with how much of it was left.
fn early(job: &Job, desk: Desk, left: i64, action: Action) -> Result<Vec<What>, Refusal> {
    if clock::clock(job).is_none() {
        return not_now("no clock runs at this step");
    }
    let after = act(job, desk, action)?;
    #[expect(
        clippy::cast_precision_loss,
        reason = "seconds of a wait are far below the digits of a float"
    )]
    let left = Quantity::new(left.max(0) as f64, Unit::default_for(Dimension::Time))
        .map_err(|error| Refusal::WrongAnswer(error.to_string()))?;
    let mut events = vec![What::WaitCutShort { left }];
    events.extend(after);
    Ok(events)
}

/// The clock is in the record like all else: what is judged rests on how long a hold took.
fn set_clock(job: &Job, action: &Action) -> Result<Vec<What>, Refusal> {
    match clock::clock(job) {
        Some(clock) if clock.began.is_some() => Ok(vec![match action {
            Action::EndClock => What::TimedElsewhere,
            _ => What::ClockBegunAgain,
        }]),
        Some(_) if *action == Action::BeginClock && clock::waits_for_hand(job) => {
            Ok(vec![What::ClockBegunAgain])
        }
        Some(_) if clock::waits_for_hand(job) => not_now("the clock was not started yet"),
        Some(_) => not_now("the clock begins as the start is read"),
        None => not_now("no clock runs at this step"),
    }
}

fn set_fact(job: &Job, fact: String, value: Answer, confirmed: bool) -> Result<Vec<What>, Refusal> {
    // Where no flow asks for it yet, the flow that does so later looks at it.
    let asked = job.current.into_iter().chain((0..job.runs.len()).rev());
    let mut asked = asked.filter_map(|n| job.runs.get(n));
    let declared = asked.find_map(|run| Some((&run.flow, run.flow.fact(&fact)?)));
    let mut odd = false;
    if let Some((flow, declared)) = declared {
        facts::serves(flow, declared, &value, confirmed)?;
        odd = prompt::unusual(declared, &value).is_some();
    }
    let passed = passes_new_limit(job, &fact, &value);
    let mut events = vec![What::FactNoted {
        fact,
        value,
        confirmed: odd,
        by_settings: false,
    }];
    events.extend(passed);
    Ok(events)
}

/// What was read last in this test and lies above a fact that limits it, once that fact is corrected to this value: the car
/// may stand above it now.
fn passes_new_limit(job: &Job, fact: &str, value: &Answer) -> Option<What> {
    let Answer::Quantity(limit) = *value else {
        return None;
    };
    let (run, visit) = job.run().and_then(|run| Some((run, run.visit()?)))?;
    let here = run.path.iter().filter(|other| other.test == visit.test);
    let visits: Vec<u64> = here.map(|other| other.since_seq).collect();
    let limited = run
        .flow
        .readings
        .iter()
        .filter(|prompt| match &prompt.kind {
            PromptKind::Quantity(asked) => {
                matches!(&asked.never_above, Some(Limit::Fact(by)) if by == fact)
            }
            _ => false,
        });
    let last = limited.filter_map(|prompt| {
        let mut taken = job.readings.iter().rev();
        let taken = taken.find(|t| t.reading == prompt.id && visits.contains(&t.visit))?;
        match taken.value {
            Answer::Quantity(value) => Some((prompt.id.clone(), value)),
            _ => None,
        }
    });
    let above = last.filter(|(_, value)| value.si() > limit.si());
    let (reading, value) = above.max_by(|a, b| a.1.si().total_cmp(&b.1.si()))?;
    Some(What::LimitPassed {
        reading,
        value,
        limit,
    })
}

fn begin(job: &Job, flow: FlowText) -> Vec<What> {
    let mut events = Vec::new();
    if let Some(run) = job.run()
        && run.verdict.is_none()
    {
        events.push(close(run, verdict_of_leaving(run)));
    }
    let FlowText {
        id,
        revision,
        hash,
        text,
    } = flow;
    events.push(What::FlowBegun {
        flow: id,
        revision,
        hash,
        text,
    });
    events
}

fn accept(standing: &Standing, caution: String) -> Result<Vec<What>, Refusal> {
    match standing {
        Standing::Cautions(due) if due.iter().any(|c| c.id == caution) => {
            Ok(vec![What::CautionAccepted { caution }])
        }
        _ => not_now("this caution does not wait to be accepted"),
    }
}

fn back(job: &Job) -> Result<Vec<What>, Refusal> {
    let first = job.run().is_none_or(|run| run.at == 0) && job.current.is_none_or(|at| at == 0);
    if first {
        not_now("this is where the walk began")
    } else {
        Ok(vec![What::WentBack])
    }
}

fn forward(job: &Job) -> Result<Vec<What>, Refusal> {
    let ahead = job.run().is_some_and(|run| run.at + 1 < run.path.len())
        || job.current.is_some_and(|at| at + 1 < job.runs.len());
    if ahead {
        Ok(vec![What::WentForward])
    } else {
        not_now("the walk has not been further than this")
    }
}

fn retest(job: &Job, standing: &Standing) -> Result<Vec<What>, Refusal> {
    let Standing::Repair {
        stage: RepairStage::Retest(_),
        ..
    } = standing
    else {
        return not_now("nothing was repaired since the last test");
    };
    let Some(run) = job.run() else {
        return not_now("no flow was begun yet");
    };
    match &run.flow.retest {
        Some(retest) => {
            let (flow, from) = (run.flow.id.clone(), retest.from.clone());
            Ok(vec![What::RetestBegun { flow, from }])
        }
        None => not_now("this flow does not say where its retest begins"),
    }
}

fn leave(job: &Job) -> Result<Vec<What>, Refusal> {
    match job.run() {
        Some(run) if run.verdict.is_none() => Ok(vec![close(run, verdict_of_leaving(run))]),
        _ => not_now("no flow is being walked"),
    }
}

fn take_off(job: &Job, what: Fitted) -> Result<Vec<What>, Refusal> {
    if job.fitted.iter().any(|stands| stands.what == what) {
        Ok(vec![What::TakenOff(what)])
    } else {
        not_now("of that nothing stands on the car any more, as far as the record goes")
    }
}

/// No car is handed over with a clamp on it, or a supply.
fn refuse_fitted(job: &Job) -> Result<(), Refusal> {
    let still: Vec<String> = job.fitted.iter().map(|s| s.what.off_again()).collect();
    if still.is_empty() {
        return Ok(());
    }
    not_now(format!(
        "look at the car and confirm each first: {}",
        still.join("; ")
    ))
}

fn hand_over(job: &Job, note: String) -> Vec<What> {
    let mut events = Vec::new();
    if let Some(run) = job.run()
        && run.verdict.is_none()
    {
        events.push(close(run, verdict_of_leaving(run)));
    }
    events.push(What::Handover { note });
    events
}

fn reopen(standing: &Standing, why: String) -> Result<Vec<What>, Refusal> {
    if !matches!(standing, Standing::HandedOver(_)) {
        return not_now("the job is open");
    }
    if why.trim().is_empty() {
        return Err(Refusal::NeedsReason(
            "write why the job is opened again".to_owned(),
        ));
    }
    Ok(vec![What::Reopened { why }])
}
