//! How a step was left, in words: what the rules said of it, and what the evidence did.

use std::fmt::Write;

use super::{at_step, plain, step_title, target};
use crate::engine::event::{Event, OutcomeTaken, Suggested};
use crate::engine::job::{Job, Run};
use crate::engine::shown;
use crate::engine::weighed::{Chosen, Way, Weighed};

/// How a step was left, with what the rules and the evidence said.
pub(super) fn outcome(event: &Event, job: &Job, taken: &OutcomeTaken) -> String {
    let run = at_step(job, &taken.step, event.seq);
    let title = step_title(run, &taken.step);
    let goes = target(run, &taken.go);
    let said = if taken.unread.is_empty() {
        suggested(run, &taken.step, &taken.suggested)
    } else {
        format!("still to be read: {}", unread(taken))
    };
    if let Some(weighed) = &taken.weighed {
        return weighing(&format!("{title}: "), &goes, &said, taken, weighed);
    }
    match &taken.reason {
        Some(reason) => format!("{title}: {goes}, against \"{said}\", because {reason}"),
        None => format!("{title}: {}", own(&said, &goes)),
    }
}

/// What was not read when a step was ended all the same.
pub fn unread(taken: &OutcomeTaken) -> String {
    let names = taken.unread.iter().map(|id| id.replace('-', " "));
    names.collect::<Vec<_>>().join(", ")
}

/// An outcome's words and where it leads, which is once where its words are no others.
fn own(said: &str, goes: &str) -> String {
    if said == goes {
        goes.to_owned()
    } else {
        format!("{said}; {goes}")
    }
}

/// A choice with what the evidence said beside it.
fn weighing(
    title: &str,
    goes: &str,
    said: &str,
    taken: &OutcomeTaken,
    weighed: &Weighed,
) -> String {
    let evidence = way(&weighed.evidence);
    let mut out = match weighed.taken {
        Chosen::Flow => match &taken.reason {
            Some(reason) => format!("{title}{goes}, against \"{said}\", because {reason}"),
            None => format!("{title}{}", own(said, goes)),
        },
        Chosen::Evidence => format!("{title}{goes}, as the evidence says"),
        Chosen::Another => format!("{title}{goes}, by own choice"),
    };
    // Writing to a String cannot fail.
    let _ = match (weighed.taken, &weighed.flow) {
        (Chosen::Flow, _) => write!(out, " (the evidence: {evidence})"),
        (_, Some(flow)) => write!(out, " (the flow: {})", way(flow)),
        (_, None) => write!(out, " (the flow: {said})"),
    };
    if !weighed.because.is_empty() && weighed.taken != Chosen::Flow {
        let _ = write!(out, ", because {}", weighed.because);
    }
    if !weighed.taken_down.is_empty() {
        let _ = write!(out, "; taken down: {}", weighed.taken_down.join(", "));
    }
    out
}

fn way(way: &Way) -> String {
    match way.minutes {
        Some(minutes) => format!("{}, about {}", way.words, shown::minutes(minutes)),
        None => way.words.clone(),
    }
}

/// What the rules said, in words.
pub fn suggested(run: Option<&Run>, step: &str, suggested: &Suggested) -> String {
    match suggested {
        Suggested::Outcome(id) => {
            let outcome = run
                .and_then(|run| run.flow.step(step))
                .and_then(|step| step.outcomes.iter().find(|outcome| outcome.id == *id));
            match outcome {
                Some(outcome) if !outcome.because.is_empty() => outcome.because.clone(),
                Some(outcome) => target(run, &outcome.go),
                None => plain(id),
            }
        }
        Suggested::Unsure => "cannot tell".to_owned(),
        Suggested::NotValid => "the readings are not valid".to_owned(),
        Suggested::NoMatch => "no outcome fits".to_owned(),
    }
}
