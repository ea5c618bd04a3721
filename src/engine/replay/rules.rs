//! What the engine demands of an event: that it may stand here, leads where the flow says, and has
//! its reason where one is needed.

use crate::engine::act::verdict_of;
use crate::engine::event::What;
use crate::engine::hold;
use crate::engine::job::Job;
use crate::engine::prompt::{passed, unusual};
use crate::engine::skip::{self, Ways};
use crate::engine::{shown, words};
use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind, QuantityPrompt, Step};
use crate::flow::shelf;
use crate::flow::target::Target;
use crate::units::Quantity;

/// What happened between a limit that was passed and the letting down of the pressure.
pub(super) fn stopped(job: &Job, what: &What) -> Vec<String> {
    match (&job.stop, what) {
        (Some(stop), what)
            if !matches!(
                what,
                What::LimitCleared | What::LimitMistyped | What::Remark { .. }
            ) =>
        {
            vec![format!(
                "{} had passed its limit, and the record does not say that the pressure was let down first",
                plain(&stop.reading)
            )]
        }
        _ => Vec::new(),
    }
}

/// Where an event disagrees with the job as it stood before it. `next` is the event after it.
pub(super) fn compare(job: &Job, what: &What, next: Option<&What>) -> Vec<String> {
    match what {
        What::FlowBegun { hash, text, .. } => begun(job, hash, text),
        What::ReadingTaken {
            reading,
            value,
            confirmed,
            ..
        } => taken(job, reading, value, *confirmed),
        What::ReadingCorrected { taken, value, why } => {
            let mut out = reason(why, "the correction");
            out.extend(corrected(job, *taken, value, next));
            out
        }
        What::RepairCorrected { why, .. } => reason(why, "the correction"),
        What::LimitPassed {
            reading,
            value,
            limit,
        } => limit_passed(job, reading, *value, *limit),
        What::StepSkipped {
            step,
            go,
            reason: why,
        } => {
            let mut out = reason(why, "the skip");
            out.extend(skipped(job, step, go));
            out
        }
        What::RetestBegun { flow, from } => retest(job, flow, from),
        What::FlowClosed { flow, result } => closed(job, flow, *result),
        What::Handover { .. } => not_closed(job).into_iter().collect(),
        What::Reopened { why } => reason(why, "the opening again"),
        _ => Vec::new(),
    }
}

fn plain(id: &str) -> String {
    id.replace('-', " ")
}

fn reason(why: &str, of: &str) -> Vec<String> {
    if why.trim().is_empty() {
        vec![format!(
            "no reason is recorded for {of}, and one is demanded"
        )]
    } else {
        Vec::new()
    }
}

fn begun(job: &Job, hash: &str, text: &str) -> Vec<String> {
    let mut out: Vec<String> = not_closed(job).into_iter().collect();
    let is = shelf::hash(text);
    if is != hash {
        out.push(format!(
            "the flow's text was changed: its hash is {is}, recorded as {hash}"
        ));
    }
    out
}

/// The flow walked so far must have been closed before another is begun or the car handed over.
fn not_closed(job: &Job) -> Option<String> {
    let run = job.run().filter(|run| run.verdict.is_none())?;
    Some(format!(
        "the record does not say how the flow {} ended",
        run.flow.id
    ))
}

fn prompt<'j>(job: &'j Job, reading: &str) -> Option<&'j Prompt> {
    let here = job.run().and_then(|run| run.flow.reading(reading));
    here.or_else(|| job.runs.iter().find_map(|run| run.flow.reading(reading)))
}

fn limited<'j>(job: &'j Job, reading: &str) -> Option<&'j QuantityPrompt> {
    match &prompt(job, reading)?.kind {
        PromptKind::Quantity(asked) => Some(asked),
        _ => None,
    }
}

/// The limit that a value of a reading passes, by the flow.
fn limit_of(job: &Job, reading: &str, value: Quantity) -> Option<Quantity> {
    passed(job, limited(job, reading)?, value).ok()?
}

fn taken(job: &Job, reading: &str, value: &Answer, confirmed: bool) -> Vec<String> {
    let mut out = Vec::new();
    if let Answer::Quantity(typed) = value
        && let Some(limit) = limit_of(job, reading, *typed)
    {
        out.push(format!(
            "{}: {typed} is above its limit of {limit}, which stops the step, and is recorded as a reading",
            plain(reading)
        ));
    }
    let odd = prompt(job, reading).and_then(|prompt| unusual(prompt, value));
    // Before it was asked about, the end of a hold above its start was taken as it came.
    let rises = job
        .visit()
        .and_then(|here| hold::rises(job, here.since_seq, reading, value));
    match (odd, confirmed) {
        (Some(odd), false) => out.push(format!("{}: {odd}, and was not confirmed", plain(reading))),
        (None, true) if rises.is_none() => out.push(format!(
            "{}: {} is recorded as unusual and confirmed, and is not unusual",
            plain(reading),
            shown::answer(value)
        )),
        _ => {}
    }
    out
}

fn corrected(job: &Job, seq: u64, value: &Answer, next: Option<&What>) -> Option<String> {
    let taken = job.readings.iter().find(|taken| taken.seq == seq)?;
    let Answer::Quantity(typed) = value else {
        return None;
    };
    let limit = limit_of(job, &taken.reading, *typed)?;
    let said = matches!(next, Some(What::LimitPassed { reading, .. }) if *reading == taken.reading);
    (!said).then(|| {
        format!(
            "{}: {typed} is above its limit of {limit}, and the record does not say that it was passed",
            plain(&taken.reading)
        )
    })
}

fn limit_passed(job: &Job, reading: &str, value: Quantity, limit: Quantity) -> Vec<String> {
    let name = plain(reading);
    let Some(asked) = limited(job, reading) else {
        return vec![format!("{name}: no flow of this job asks for such a value")];
    };
    match passed(job, asked, value) {
        Ok(Some(own)) if own == limit => Vec::new(),
        Ok(Some(own)) => vec![format!(
            "{name}: recorded as never above {limit}, and by the flow never above {own}"
        )],
        Ok(None) => vec![format!(
            "{name}: {value} is recorded as above its limit, and by the flow it is not"
        )],
        Err(why) => vec![format!("{name}: {why}")],
    }
}

fn skipped(job: &Job, step: &str, go: &Target) -> Option<String> {
    let run = job.run()?;
    let at = run.flow.steps.iter().position(|s| s.id == step)?;
    let (step, next) = (&run.flow.steps[at], run.flow.steps.get(at + 1));
    let fits = match skip::ways(step) {
        Ways::To(to) => to == *go,
        Ways::Choose(ways) => ways.contains(go),
        Ways::Nowhere => false,
    };
    // Before a flow could say where a skip leads, it led to the next step of the file.
    let as_once = |next: &Step| step.skip_to.is_none() && *go == Target::Step(next.id.clone());
    (!fits && !next.is_some_and(as_once)).then(|| {
        format!(
            "the skip is recorded as leading {}, where this step cannot be skipped to",
            words::target(Some(run), go)
        )
    })
}

fn retest(job: &Job, flow: &str, from: &str) -> Vec<String> {
    let Some(run) = job.run() else {
        return Vec::new();
    };
    let begins = run.flow.retest.as_ref().map(|retest| retest.from.as_str());
    if run.flow.id == flow && begins == Some(from) {
        return Vec::new();
    }
    vec![format!(
        "the retest is recorded as that of {flow} from {from}, and by the flow {} it begins {}",
        run.flow.id,
        begins.map_or_else(|| "nowhere".to_owned(), |from| format!("from {from}"))
    )]
}

fn closed(job: &Job, flow: &str, result: crate::engine::event::Verdict) -> Vec<String> {
    let Some(run) = job.run() else {
        return Vec::new();
    };
    if run.flow.id != flow {
        return vec![format!(
            "the record ends the flow {flow}, and the flow walked is {}",
            run.flow.id
        )];
    }
    let now = verdict_of(run);
    if now == result {
        return Vec::new();
    }
    vec![format!(
        "the record says \"{}\", and the walk comes to \"{}\"",
        words::verdict(result, job.proof(run)),
        words::verdict(now, job.proof(run))
    )]
}
