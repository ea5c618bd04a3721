//! A replayed job as text for people and as JSON for programs.

use serde_json::{Value, json};

use super::play::{Entry, Replayed, StepEntry};
use crate::cli::layout::{beside, counted};
use crate::cli::{clean_json, one_line};

const WIDTH: usize = 80;
/// Where the words begin, after the number of the event.
const WORDS: usize = 7;
/// Where a value begins, after its name.
const VALUES: usize = 40;

/// All jobs, each with everything that happened, and a last line that sums up.
pub fn text(played: &[Replayed]) -> String {
    let mut out = String::new();
    for job in played {
        one(&mut out, job);
        out.push('\n');
    }
    let wrong: usize = played.iter().map(|job| job.disagreements.len()).sum();
    out.push_str(&counted(played.len(), "job file"));
    out.push_str(", ");
    out.push_str(&match wrong {
        0 => "the records agree with the engine".to_owned(),
        n => counted(n, "disagreement"),
    });
    out.push('\n');
    out
}

fn one(out: &mut String, job: &Replayed) {
    out.push_str(&one_line(&job.file));
    out.push('\n');
    out.push_str(&beside("", &one_line(&job.car), 2, WIDTH));
    out.push_str(&beside(
        "",
        &format!("\"{}\"", one_line(&job.complaint)),
        2,
        WIDTH,
    ));
    let mut marked = Vec::new();
    for entry in &job.entries {
        let seq = match entry {
            Entry::Flow { seq, title } => {
                out.push_str(&beside(
                    &number(Some(*seq)),
                    &format!("== {} ==", one_line(title)),
                    WORDS,
                    WIDTH,
                ));
                Some(*seq)
            }
            Entry::Words { seq, text } => {
                out.push_str(&beside(&number(Some(*seq)), &one_line(text), WORDS, WIDTH));
                Some(*seq)
            }
            Entry::Step(step) => {
                self::step(out, step);
                step.seq
            }
        };
        for (n, (event, what)) in job.disagreements.iter().enumerate() {
            // What belongs to an event without a line of its own stands at the next line.
            if !marked.contains(&n) && seq.is_none_or(|seq| *event <= seq) {
                disagreement(out, *event, what);
                marked.push(n);
            }
        }
    }
    for (n, (event, what)) in job.disagreements.iter().enumerate() {
        if !marked.contains(&n) {
            disagreement(out, *event, what);
        }
    }
    let events = counted(job.events, "event");
    let comes_to = match job.disagreements.len() {
        0 => "the record agrees with the engine".to_owned(),
        n => counted(n, "disagreement"),
    };
    out.push_str(&beside("", &format!("{events}; {comes_to}"), 2, WIDTH));
}

fn disagreement(out: &mut String, event: u64, what: &str) {
    let text = format!("event {event} DISAGREES: {}", one_line(what));
    out.push_str(&beside("  >>>>", &text, WORDS, WIDTH));
}

fn number(seq: Option<u64>) -> String {
    seq.map_or_else(|| "     -".to_owned(), |seq| format!("{seq:>6}"))
}

fn step(out: &mut String, step: &StepEntry) {
    let test = match step.test {
        1 => String::new(),
        n => format!(" (test {n})"),
    };
    let head = format!("{}{test}", one_line(&step.title));
    out.push_str(&beside(&number(step.seq), &head, WORDS, WIDTH));
    for (seq, _, name, value) in &step.readings {
        row(out, &format!("{seq:>9}"), name, value);
    }
    for worked in &step.worked {
        row(out, "        =", &worked.name, &worked.shown);
    }
    let mut say = |head: &str, text: &str| {
        let head = format!("{:WORDS$}   {head}", "");
        out.push_str(&beside(&head, &one_line(text), 21, WIDTH));
    };
    if step.seq.is_none() {
        say("open", "the job stands here");
        return;
    }
    if !step.suggested.is_empty() {
        say("suggested", &step.suggested);
    }
    match (&step.reason, &step.outcome) {
        (Some(reason), Some(outcome)) => {
            say("CHOSEN", &format!("otherwise: {outcome}; {}", step.went));
            say("because", reason);
        }
        (Some(reason), None) => {
            say("SKIPPED", &step.went);
            say("because", reason);
        }
        (None, _) => say("chosen", &format!("as suggested: {}", step.went)),
    }
}

fn row(out: &mut String, head: &str, name: &str, value: &str) {
    let name = one_line(name);
    let head = format!("{head} {name}");
    // A name that is too long for its column has the value in a line of its own.
    if head.chars().count() >= VALUES {
        out.push_str(&head);
        out.push('\n');
        out.push_str(&beside("", &one_line(value), VALUES, WIDTH));
    } else {
        out.push_str(&beside(&head, &one_line(value), VALUES, WIDTH));
    }
}

/// One JSON object with all jobs.
pub fn json(played: &[Replayed]) -> String {
    let jobs: Vec<Value> = played.iter().map(job_json).collect();
    clean_json(&format!("{:#}\n", json!({ "jobs": jobs })))
}

fn job_json(job: &Replayed) -> Value {
    let disagreements: Vec<Value> = job
        .disagreements
        .iter()
        .map(|(event, what)| json!({ "event": event, "what": what }))
        .collect();
    json!({
        "file": job.file,
        "job": job.job,
        "car": job.car,
        "complaint": job.complaint,
        "events": job.events,
        "agrees": job.disagreements.is_empty(),
        "disagreements": disagreements,
        "played": job.entries.iter().map(entry_json).collect::<Vec<_>>(),
    })
}

fn entry_json(entry: &Entry) -> Value {
    match entry {
        Entry::Flow { seq, title } => json!({ "event": seq, "flow": title }),
        Entry::Words { seq, text } => json!({ "event": seq, "what": text }),
        Entry::Step(step) => step_json(step),
    }
}

fn step_json(step: &StepEntry) -> Value {
    let readings: Vec<Value> = step
        .readings
        .iter()
        .map(|(event, id, _, value)| json!({ "event": event, "id": id, "value": value }))
        .collect();
    let worked: Vec<Value> = step
        .worked
        .iter()
        .map(|w| {
            let (si, low, high) = w
                .number
                .map_or((None, None, None), |(si, low, high)| (Some(si), low, high));
            json!({ "id": w.id, "by": w.by, "shown": w.shown, "si": si, "low": low, "high": high })
        })
        .collect();
    json!({
        "event": step.seq,
        "in": step.flow,
        "step": step.step,
        "title": step.title,
        "test": step.test,
        "readings": readings,
        "worked": worked,
        "suggested": step.suggested,
        "outcome": step.outcome,
        "went": step.went,
        "reason": step.reason,
    })
}
