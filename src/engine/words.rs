//! Events in words, for the record on screen and wherever else a person reads what happened.
//!
//! The one place that words events. Says what an event said when it happened and what came of it
//! since (a reading that was corrected later); knows no screen and no page.

use std::fmt::Write;

use super::again::Because;
use super::event::{Codes, Event, Opening, PartWas, Verdict, What};
use super::hold;
use super::job::{Job, Proof, Repair, Run, Station, Taken, Visit};
use super::prompt::unusual;
use super::shown;
use crate::flow::answer::Answer;
use crate::flow::facts;
use crate::flow::target::Target;
use crate::units::Quantity;

mod outcome;

use outcome::outcome;
pub use outcome::{suggested, unread};

/// An event in words, with the steps that it had judged again. `job` is the whole job, folded to
/// its end.
pub fn event(event: &Event, job: &Job) -> String {
    let words = happened(event, job);
    let again = judged_again(event, job);
    if again.is_empty() {
        words
    } else {
        format!("{words}; {again}")
    }
}

const ROSE: &str = " (more than the gauge showed before in this hold, confirmed)";
const UNUSUAL: &str = " (outside its usual range, confirmed)";

fn happened(event: &Event, job: &Job) -> String {
    match &event.what {
        What::JobOpened(opening) => opened(opening),
        What::CodesNoted(noted) => codes(noted),
        What::FactNoted {
            fact,
            value,
            confirmed,
            by_settings,
        } => {
            let from = if *by_settings {
                ", by the workshop's settings"
            } else {
                ""
            };
            format!("{}{from}", fact_noted(fact, value, *confirmed))
        }
        What::FlowBegun { flow, revision, .. } => {
            format!(
                "flow begun: {} (revision {revision})",
                flow_title(job, flow)
            )
        }
        What::CautionAccepted { caution } => {
            format!("caution read and accepted: {}", caution_title(caution))
        }
        What::ReadingTaken {
            reading,
            value,
            confirmed,
            carried_from,
            from_file,
        } => {
            let mut words = taken(event, job, reading, value, *confirmed, *carried_from);
            if let Some(file) = from_file {
                let (first, last) = file.rows;
                // As much of the hash as tells one file from another; the export has all of it.
                let hash: String = file.hash.chars().take(12).collect();
                let _ = write!(
                    words,
                    " (from {}, lines {first} to {last}, BLAKE3 {hash})",
                    file.name
                );
            }
            words
        }
        What::ReadingLeftOut { .. }
        | What::PairTaken { .. }
        | What::PairTakenBack { .. }
        | What::SampleTaken { .. }
        | What::SampleTakenBack { .. }
        | What::OpeningCorrected { .. } => partly(event, job),
        What::ClockBegunAgain => "the clock of the step begins from here".to_owned(),
        What::WaitCutShort { left } => {
            format!("wait cut short: {left} of it were left")
        }
        What::TimedElsewhere => "timed by another clock: the time was over".to_owned(),
        What::ReadingCorrected { taken, value, why } => corrected(event, job, *taken, value, why),
        What::LimitPassed { .. } | What::LimitCleared | What::LimitMistyped => limit(&event.what),
        What::FindingNoted { place, note } => format!("found at {place}: {note}"),
        What::OutcomeTaken(taken) => outcome(event, job, taken),
        What::StepSkipped { step, go, reason } => {
            let run = at_step(job, step, event.seq);
            format!(
                "step skipped: {}, because {reason}; {}",
                step_title(run, step),
                target(run, go)
            )
        }
        What::WentBack => "went one station back".to_owned(),
        What::WentForward => "went one station forward".to_owned(),
        What::RepairApproved { .. }
        | What::RepairDeclined { .. }
        | What::RepairDone { .. }
        | What::RetestBegun { .. } => repair(event, job),
        What::RepairCorrected { noted, why, .. } => repair_corrected(event.seq, job, *noted, why),
        What::FlowClosed { flow, result } => format!(
            "flow ended: {}, {}",
            flow_title(job, flow),
            verdict(*result, could_prove(job, flow, event.seq))
        ),
        What::TakenOff(what) => format!("confirmed on the car: {}", what.off_again()),
        What::Handover { note } => ended(job.practised, note),
        What::Reopened { why } => format!("opened again: {why}"),
        What::Remark { text } => format!("remark: {text}"),
        What::Practised(done) => done.words(),
    }
}

/// How a job ended; an exercise has no car to hand over.
pub fn ended(practised: bool, note: &str) -> String {
    let how = if practised {
        "exercise ended"
    } else {
        "handed over"
    };
    format!("{how}: {note}")
}

/// A limit that was passed, and what became of it.
fn limit(what: &What) -> String {
    match what {
        What::LimitPassed {
            reading,
            value,
            limit,
        } => {
            format!(
                "LIMIT PASSED: {} is {}, above {}; the step was stopped",
                plain(reading),
                shown::quantity(*value),
                shown::quantity(*limit)
            )
        }
        What::LimitCleared => "the pressure is let down; the step goes on".to_owned(),
        What::LimitMistyped => {
            "the value above the limit was mistyped; the gauge never showed it".to_owned()
        }
        _ => String::new(),
    }
}

/// A repair, from the customer's answer to the test after it.
fn repair(event: &Event, job: &Job) -> String {
    let later = noted_now(job, event.seq)
        .map_or_else(String::new, |now| format!(" (corrected later to: {now})"));
    match &event.what {
        What::RepairApproved { cause, by } => {
            format!("repair agreed: {}, by {by}{later}", cause_name(job, cause))
        }
        What::RepairDeclined { cause, by } => {
            format!(
                "repair declined: {}, by {by}{later}",
                cause_name(job, cause)
            )
        }
        What::RepairDone {
            cause,
            work,
            part_was,
        } => {
            let part = the_part(*part_was);
            let so = match part_was {
                PartWas::Good if later.is_empty() => ": not proved to be the cause",
                _ => "",
            };
            format!(
                "repaired: {}; {work}; {part}{so}{later}",
                cause_name(job, cause)
            )
        }
        What::RetestBegun { flow, .. } => {
            format!("test begun again from the start: {}", flow_title(job, flow))
        }
        _ => String::new(),
    }
}

/// What an event noted of a repair, as it stands now, where it was corrected since.
fn noted_now(job: &Job, seq: u64) -> Option<String> {
    let repair = job.repairs.iter().find(|r| r.noted_by(seq))?;
    if !repair.before.iter().any(|before| before.noted == seq) {
        return None;
    }
    let (words, part) = repair.noted(seq)?;
    Some(of_repair(words, part))
}

/// What was noted of a repair, with how the part was where it was the work.
pub fn of_repair(words: &str, part_was: Option<PartWas>) -> String {
    part_was.map_or_else(
        || words.to_owned(),
        |part| format!("{words}; {}", the_part(part)),
    )
}

/// A correction of what was noted of a repair: what stood there, and what came in its place.
pub fn repair_apart(job: &Job, by: u64) -> Option<(&Repair, String, String)> {
    let of = |repair: &&Repair| repair.before.iter().any(|before| before.by == by);
    let repair = job.repairs.iter().find(of)?;
    let at = repair.before.iter().position(|before| before.by == by)?;
    let before = repair.before.get(at)?;
    let next = repair
        .before
        .iter()
        .skip(at + 1)
        .find(|next| next.noted == before.noted);
    let now = if let Some(next) = next {
        of_repair(&next.words, next.part_was)
    } else {
        let (words, part) = repair.noted(before.noted)?;
        of_repair(words, part)
    };
    Some((repair, of_repair(&before.words, before.part_was), now))
}

fn repair_corrected(seq: u64, job: &Job, noted: u64, why: &str) -> String {
    match repair_apart(job, seq) {
        Some((repair, old, now)) => format!(
            "corrected: repair of {}: {now}, was: {old} (event {noted}), because {why}",
            repair.name
        ),
        None => format!("corrected: what event {noted} noted of a repair, because {why}"),
    }
}

fn opened(opening: &Opening) -> String {
    let mut out = format!(
        "job opened: {}, \"{}\"",
        opening.vehicle.plate, opening.complaint
    );
    listed(&mut out, "symptoms", &opening.symptoms);
    listed(&mut out, "codes", &opening.codes);
    out
}

fn the_part(was: PartWas) -> &'static str {
    match was {
        PartWas::Bad => "the part was bad",
        PartWas::Good => "the part looked good",
        PartWas::CouldNotTell => "whether the part was bad could not be told",
    }
}

/// What could be proved where a flow ended by an event.
fn could_prove(job: &Job, flow: &str, seq: u64) -> Proof {
    let mut runs = job.runs.iter().rev();
    runs.find(|run| run.flow.id == flow && run.path.first().is_some_and(|v| v.since_seq <= seq))
        .map_or(Proof::NothingRepaired, |run| job.proof(run))
}

/// How a flow ended, in words. What its author calls proved is that only where a repair was made before, and a part was
/// found bad or could not be told ([`Job::proof`]).
pub fn verdict(verdict: Verdict, proof: Proof) -> &'static str {
    match (verdict, proof) {
        (Verdict::Proved, Proof::NothingRepaired) => {
            "the complaint did not show; nothing was repaired"
        }
        (Verdict::Proved, Proof::NotTheCause) => {
            "the test passed after the repair; the part taken out looked good, so the cause is not proved"
        }
        (Verdict::Proved, Proof::Cause) => "cause found, repaired and proved by the retest",
        (Verdict::RuledOut, _) => "what it looks for was ruled out",
        (Verdict::LedOn, _) => "it led on to another flow",
        (Verdict::Left, _) => "left before its end",
    }
}

/// What made it necessary to judge a step again, in words.
pub fn change(because: Because) -> &'static str {
    match because {
        Because::Correction => "the correction",
        Because::NewReading => "the new reading",
        Because::Fact => "the change of a fact about the vehicle",
    }
}

/// That a step no longer leads where the walk went on from it, and what is to be done about it.
pub fn no_longer_follows(run: &Run, visit: &Visit) -> String {
    let (Some(again), Station::Step(step)) = (&visit.rejudged, &visit.station) else {
        return String::new();
    };
    format!(
        "since {}, \"{}\" says \"{}\": before anything else, go back there and decide it anew, or put what was changed right",
        change(again.because),
        step_title(Some(run), step),
        suggested(Some(run), step, &again.now)
    )
}

/// The steps that an event had judged again, each with whether it still says the same; empty where
/// it touched none. What a later event judged again is said there.
pub fn judged_again(event: &Event, job: &Job) -> String {
    let (mut as_before, mut changed) = (Vec::new(), Vec::new());
    for (run, visit) in job
        .runs
        .iter()
        .flat_map(|r| r.path.iter().map(move |v| (r, v)))
    {
        let (Some(again), Station::Step(step)) = (&visit.rejudged, &visit.station) else {
            continue;
        };
        if again.by != event.seq {
            continue;
        }
        let title = step_title(Some(run), step);
        if again.changed() {
            let now = suggested(Some(run), step, &again.now);
            changed.push(format!("{title} (now: {now})"));
        } else {
            as_before.push(title);
        }
    }
    let mut out = Vec::new();
    if !changed.is_empty() {
        out.push(format!("no longer follows: {}", changed.join("; ")));
    }
    if !as_before.is_empty() {
        out.push(format!("judged again, as before: {}", as_before.join("; ")));
    }
    out.join("; ")
}

fn plain(id: &str) -> String {
    id.replace('-', " ")
}

fn listed(out: &mut String, what: &str, words: &[String]) {
    if !words.is_empty() {
        out.push_str("; ");
        out.push_str(what);
        out.push(' ');
        out.push_str(&words.join(", "));
    }
}

fn codes(noted: &Codes) -> String {
    let or_none = |codes: &[String]| {
        if codes.is_empty() {
            "none".to_owned()
        } else {
            codes.join(", ")
        }
    };
    let mut out = format!(
        "codes saved: stored {}; pending {}",
        or_none(&noted.stored),
        or_none(&noted.pending)
    );
    for (what, text) in [
        ("freeze frame", &noted.freeze_frame),
        ("readiness", &noted.readiness),
    ] {
        if !text.is_empty() {
            // Writing to a String cannot fail.
            let _ = write!(out, "; {what}: {text}");
        }
    }
    out
}

fn taken(
    event: &Event,
    job: &Job,
    reading: &str,
    value: &Answer,
    confirmed: bool,
    from: Option<u64>,
) -> String {
    let mut readings = job.readings.iter();
    let here = readings.find(|taken| taken.seq == event.seq);
    let since = here.filter(|taken| taken.was_corrected());
    let apart = since.and_then(|now| shown::apart(value, &now.value));
    let own = apart.as_ref().map(|(own, _)| own.clone());
    let own = own.unwrap_or_else(|| shown::answer(value));
    let mut out = format!("{}: {own}", plain(reading));
    if confirmed {
        let rises = here.and_then(|taken| hold::rises(job, taken.visit, reading, value));
        let odd = job.runs.iter().find_map(|run| run.flow.reading(reading));
        let odd = odd.is_some_and(|prompt| unusual(prompt, value).is_some());
        out.push_str(if rises.is_some() && !odd {
            ROSE
        } else {
            UNUSUAL
        });
    }
    if let Some(from) = from {
        let _ = write!(out, " (taken over from event {from})");
    }
    let before = answered_before(job, event.seq);
    if let Some(before) = before
        && let Some((old, _)) = shown::apart(&before.value, value)
    {
        let _ = write!(out, " (answered again: it was {old}, event {})", before.seq);
    }
    if let Some(late) = here.and_then(Taken::late_words) {
        let _ = write!(out, " ({late})");
    }
    if let Some((_, now)) = apart {
        let _ = write!(out, " (corrected later to {now})");
    } else if since.is_some() {
        out.push_str(" (corrected later, and back again)");
    }
    out
}

fn corrected(event: &Event, job: &Job, seq: u64, value: &Answer, why: &str) -> String {
    let taken = job.readings.iter().find(|taken| taken.seq == seq);
    let old = taken.and_then(|taken| taken.before.iter().find(|(_, by)| *by == event.seq));
    let name = taken.map_or_else(|| format!("event {seq}"), |taken| plain(&taken.reading));
    let apart = old.map(|(old, _)| shown::apart(old, value));
    match apart {
        Some(Some((old, now))) => {
            format!("corrected: {name} is {now}, was {old} (event {seq}), because {why}")
        }
        Some(None) => format!(
            "looked at again: {name} stays {} (event {seq}), because {why}",
            shown::answer(value)
        ),
        None => format!(
            "corrected: {name} is {} (event {seq}), because {why}",
            shown::answer(value)
        ),
    }
}

/// The answer that an event took the place of: of the same question, at the same stay of the walk at its step. Whoever goes
/// back by a key and answers anew has corrected it.
pub fn answered_before(job: &Job, seq: u64) -> Option<&Taken> {
    let taken = job.readings.iter().find(|taken| taken.seq == seq)?;
    let before = job.taken_in(taken.visit).filter(|before| before.seq < seq);
    before
        .filter(|before| before.reading == taken.reading)
        .last()
}

/// The run in which a step was left by an event: the latest one that has the step and began before.
fn at_step<'j>(job: &'j Job, step: &str, seq: u64) -> Option<&'j Run> {
    let began = |run: &Run| run.path.first().is_none_or(|visit| visit.since_seq < seq);
    job.runs
        .iter()
        .rev()
        .find(|run| began(run) && run.flow.step(step).is_some())
}

pub(super) fn step_title(run: Option<&Run>, step: &str) -> String {
    run.and_then(|run| run.flow.step(step))
        .map_or_else(|| plain(step), |step| step.title.clone())
}

/// Where something leads, in words.
pub fn target(run: Option<&Run>, target: &Target) -> String {
    match target {
        Target::Step(id) => format!("on to {}", step_title(run, id)),
        Target::Repair(id) => {
            let name = run
                .and_then(|run| run.flow.cause(id))
                .map_or_else(|| plain(id), |cause| cause.name.clone());
            format!("to the repair of: {name}")
        }
        Target::Flow(id) => format!("on to the flow {}", plain(id)),
        Target::Done => "this flow is done".to_owned(),
    }
}

fn flow_title(job: &Job, id: &str) -> String {
    let run = job.runs.iter().find(|run| run.flow.id == id);
    run.map_or_else(|| plain(id), |run| run.flow.title.clone())
}

fn cause_name(job: &Job, id: &str) -> String {
    let cause = job.runs.iter().find_map(|run| run.flow.cause(id));
    cause.map_or_else(|| plain(id), |cause| cause.name.clone())
}

fn caution_title(id: &str) -> String {
    crate::flow::cautions::find(id).map_or_else(|| plain(id), |caution| caution.title.to_owned())
}

/// What was changed in what the job was opened with: name, what stood there before, and what since.
pub fn opening_changes(event: &Event, job: &Job) -> Vec<(&'static str, String, String)> {
    let What::OpeningCorrected { opening: now, .. } = &event.what else {
        return Vec::new();
    };
    let before = job
        .openings_before
        .iter()
        .find(|(_, seq)| *seq == event.seq)
        .map(|(opening, _)| opening.clone())
        .unwrap_or_default();
    let lines = |o: &Opening| {
        [
            ("plate", o.vehicle.plate.clone()),
            ("vehicle", o.vehicle.model.clone()),
            ("vehicle number", o.vehicle.vin.clone()),
            ("odometer", o.vehicle.odometer.clone()),
            ("complaint", o.complaint.clone()),
            ("symptoms", o.symptoms.join(", ")),
            ("codes", o.codes.join(", ")),
            ("bay", o.bay.clone()),
        ]
    };
    let or_none = |text: String| {
        if text.is_empty() {
            "none".to_owned()
        } else {
            text
        }
    };
    lines(&before)
        .into_iter()
        .zip(lines(now))
        .filter(|((_, was), (_, is))| was != is)
        .map(|((name, was), (_, is))| (name, or_none(was), or_none(is)))
        .collect()
}

/// The same in a line, with why.
fn opening_corrected(event: &Event, job: &Job, why: &str) -> String {
    let changed: Vec<String> = opening_changes(event, job)
        .into_iter()
        .map(|(name, was, is)| format!("{name}: {is} (was {was})"))
        .collect();
    let mut out = format!(
        "what the job was opened with is corrected: {}",
        changed.join("; ")
    );
    if !why.is_empty() {
        let _ = write!(out, ", because {why}");
    }
    out
}

fn fact_noted(fact: &str, value: &Answer, confirmed: bool) -> String {
    let (about, name) = (facts::about(fact), plain(fact));
    let again = if confirmed { UNUSUAL } else { "" };
    format!("{about}: {name} is {}{again}", shown::answer(value))
}

fn one_pair(reading: &str, (a, b): (Quantity, Quantity), confirmed: bool) -> String {
    let again = if confirmed { UNUSUAL } else { "" };
    let (a, b) = (shown::quantity(a), shown::quantity(b));
    format!("one pair of {}: {a} = {b}{again}", plain(reading))
}

/// Readings that are given bit by bit or left out, and what the job was opened with.
fn partly(event: &Event, job: &Job) -> String {
    match &event.what {
        What::ReadingLeftOut { reading } => format!("left out: {}", plain(reading)),
        What::PairTaken {
            reading,
            pair,
            confirmed,
        } => one_pair(reading, *pair, *confirmed),
        What::PairTakenBack { taken } => format!("the pair of event {taken} is taken back"),
        What::SampleTaken {
            reading,
            after,
            value,
        } => format!(
            "sample before {}: {} after {after}",
            plain(reading),
            shown::quantity(*value)
        ),
        What::SampleTakenBack { taken } => format!("the sample of event {taken} is taken back"),
        What::OpeningCorrected { why, .. } => opening_corrected(event, job, why),
        _ => String::new(),
    }
}
