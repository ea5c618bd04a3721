//! The score and its parts: a hundred marks. How they are spread is a choice of ours; [`rule`] says it in words.

use serde::Serialize;

use super::{Debrief, written};
use crate::engine::shown;
use crate::flow::model::Flow;
use crate::practice::log::{Log, Passed, Wrong};
use crate::units::preferred::said;

/// One part of the score.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Part {
    /// Its name.
    pub name: &'static str,
    /// Reached.
    pub got: u32,
    /// Of so many.
    pub of: u32,
    /// What was lost, and why: together all that is missing; empty where nothing is.
    pub lost: Vec<Lost>,
}

/// Marks that were lost.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Lost {
    /// How many.
    pub marks: u32,
    /// Why.
    pub why: String,
}

/// Found: the way has come to its repair.
pub const FOUND: u32 = 10;
/// Repaired.
pub const REPAIRED: u32 = 10;
/// Nothing repaired for nothing; what each such repair loses, and each part that was only opened.
pub const SPARED: (u32, u32, u32) = (15, 8, 4);
/// Proved by a retest from the start; half for one that was begun and not ended.
pub const PROVED: u32 = 20;
/// Set up as it should be; what each slip loses, and one that was put right.
pub const SET_UP: (u32, u32, u32) = (15, 8, 3);
/// Written down as it stood; what each loses that the car does not bear out, and one that was put right.
pub const AS_IT_STOOD: (u32, u32, u32) = (10, 5, 1);
/// The names of these two parts.
pub(super) const SET_UP_NAME: &str = "set-up";
pub(super) const AS_IT_STOOD_NAME: &str = "as it stood";
/// Nothing unsafe.
pub const SAFE: u32 = 10;
/// In the time; all up to this share of the program's own, nothing from that share on.
pub const TIME: (u32, f64, f64) = (10, 1.15, 2.0);

/// How it is marked, in plain sentences.
pub fn rule() -> Vec<String> {
    let (spared, each, opened) = SPARED;
    let (set_up, slip, mended) = SET_UP;
    let (stood, made_up, righted) = AS_IT_STOOD;
    let (time, all, nothing) = TIME;
    let half = PROVED / 2;
    let over = (all - 1.0) * 100.0;
    vec![
        format!(
            "found, {FOUND}: in equal shares, for each hidden fault whose repair your way comes to; what you go back \
             from does not count."
        ),
        format!("repaired, {REPAIRED}: in equal shares, for each hidden fault that is repaired."),
        format!(
            "nothing for nothing, {spared}: {each} lost for each sound part that is repaired, {opened} for one that is \
             only opened. Counts once a hidden fault is repaired."
        ),
        format!(
            "proved, {PROVED}: the whole test again after the last repair, to its proof, with nothing left on the car as \
             it is proved and handed over; {half} if it was begun and something read in it."
        ),
        format!(
            "set-up, {set_up}: {slip} lost for each thing that was wrong as a reading was taken, {mended} where it was \
             put right and read again. Counts only if something was read before the first part was opened, or the odds \
             suggested that repair and rested on nothing made up."
        ),
        format!(
            "as it stood, {stood}: {made_up} lost for each thing that was written down at a step and the car does not bear \
             out: figures that were not read there and are none of the car's, places where nobody looked, whether something is said to show there or not, \
             what is said to be done and is not; {righted} where it was put right. Counts once anything was written down that can be held against it."
        ),
        format!("safe, {SAFE}: nothing unsafe was done, no value above a limit was written down and left standing, and nothing was left on a car whose repair was declined. Counts once anything was done on the car."),
        format!(
            "time, {time}: up to {over:.0} % over the minutes of the test's own way, fewer beyond, none from {nothing:.0} \
             times on. Counts only if every hidden fault is repaired and that is proved, and something was read before the first \
             part was opened, or the odds suggested that repair."
        ),
        "A STOP ends the exercise and leaves what was found, repaired, spared and proved by then; set-up, as it stood, safe \
         and time give nothing."
            .to_owned(),
    ]
}

/// The parts of the score.
pub(super) fn parts(debrief: &Debrief, log: &Log, flow: &Flow) -> Vec<Part> {
    vec![
        found(debrief),
        repaired(debrief),
        spared(debrief),
        proved(debrief),
        set_up(debrief, log, flow),
        as_it_stood(debrief, log, flow),
        safe(debrief, log, flow),
        time(debrief, log),
    ]
}

const STOPPED: &str = "the exercise was stopped";
const UNTESTED: &str = "nothing was read before the first part was opened: that was a guess";

/// A part with what was lost of it; never more than there is.
fn part(name: &'static str, of: u32, lost: Vec<(u32, String)>) -> Part {
    let mut left = of;
    let mut kept = Vec::new();
    for (marks, why) in lost {
        let marks = marks.min(left);
        left -= marks;
        if marks > 0 {
            kept.push(Lost { marks, why });
        }
    }
    Part {
        name,
        got: left,
        of,
        lost: kept,
    }
}

fn all_lost(name: &'static str, of: u32, why: &str) -> Part {
    part(name, of, vec![(of, why.to_owned())])
}

fn found(debrief: &Debrief) -> Part {
    let missed = debrief.hidden.iter().filter(|hidden| !hidden.found);
    let missed = missed.map(|hidden| format!("not found: {}", hidden.name));
    shared("found", FOUND, debrief.hidden.len(), missed)
}

fn repaired(debrief: &Debrief) -> Part {
    let left = debrief.hidden.iter().filter(|hidden| !hidden.repaired);
    let left = left.map(|hidden| format!("not repaired: {}", hidden.name));
    shared("repaired", REPAIRED, debrief.hidden.len(), left)
}

/// A part in equal shares for so many faults; what is over after the division goes with the first that is lost.
fn shared(name: &'static str, of: u32, faults: usize, lost: impl Iterator<Item = String>) -> Part {
    let faults = u32::try_from(faults).unwrap_or(1).max(1);
    let share = of / faults;
    let over = of - share * faults;
    let lost = lost.enumerate().map(|(n, why)| {
        let marks = if n == 0 { share + over } else { share };
        (marks, why)
    });
    part(name, of, lost.collect())
}

/// Whether anything that was hidden is repaired.
fn any_repaired(debrief: &Debrief) -> bool {
    debrief.hidden.iter().any(|hidden| hidden.repaired)
}

fn spared(debrief: &Debrief) -> Part {
    let (of, each, opened) = SPARED;
    let name = "nothing for nothing";
    if debrief.needless.is_empty() && !any_repaired(debrief) {
        return all_lost(name, of, "nothing was repaired at all");
    }
    let needless = debrief.needless.iter().map(|n| {
        let (marks, did) = if n.only_opened {
            (opened, "opened")
        } else {
            (each, "repaired")
        };
        let small = if n.small {
            "; bad, but too small to explain it"
        } else {
            ""
        };
        let minutes = shown::minutes(n.minutes);
        (
            marks,
            format!("{did} for nothing: {} ({minutes}{small})", n.name),
        )
    });
    let mut lost: Vec<(u32, String)> = needless.collect();
    if !any_repaired(debrief) {
        lost.push((of, "nothing that was hidden was repaired".to_owned()));
    }
    part(name, of, lost)
}

fn proved(debrief: &Debrief) -> Part {
    let name = "proved";
    match (debrief.proved, debrief.retested) {
        (true, true) => part(name, PROVED, Vec::new()),
        (_, true) => part(name, PROVED, vec![(PROVED / 2, not_proved(debrief))]),
        _ if !any_repaired(debrief) => all_lost(
            name,
            PROVED,
            "nothing was repaired that could have been proved",
        ),
        _ => all_lost(
            name,
            PROVED,
            "the test was not repeated from the start after the last repair",
        ),
    }
}

/// Why a test that was begun again proves nothing.
fn not_proved(debrief: &Debrief) -> String {
    if debrief.proof_void.is_empty() {
        return "the test was begun again, and did not come to a proof".to_owned();
    }
    format!(
        "the test came to its proof, and that is none: {}",
        debrief.proof_void.join("; ")
    )
}

fn set_up(debrief: &Debrief, log: &Log, flow: &Flow) -> Part {
    let (of, each, put_right) = SET_UP;
    let name = SET_UP_NAME;
    if !log.tested() {
        let why = if log.read_in.is_empty() {
            "nothing was read of the car"
        } else {
            UNTESTED
        };
        return all_lost(name, of, why);
    }
    let mut lost = Vec::new();
    // The same thing wrong at several steps is one thing that was forgotten.
    let mut wrongs: Vec<&Wrong> = Vec::new();
    for slip in &log.slips {
        if wrongs.iter().any(|known| known.is_same(&slip.wrong)) {
            continue;
        }
        wrongs.push(&slip.wrong);
        let mut same = log
            .slips
            .iter()
            .filter(|other| other.wrong.is_same(&slip.wrong));
        let mended = same.all(|other| other.put_right);
        let marks = if mended { put_right } else { each };
        let after = if mended { ", until you found it" } else { "" };
        lost.push((marks, format!("{}{after}", slip.wrong.words(flow))));
    }
    if debrief.harm.is_some() {
        lost.push((of, STOPPED.to_owned()));
    }
    part(name, of, lost)
}

/// What was written down must be the car's: read off it, seen on it, done on it.
fn as_it_stood(debrief: &Debrief, log: &Log, flow: &Flow) -> Part {
    let (of, each, put_right) = AS_IT_STOOD;
    let name = AS_IT_STOOD_NAME;
    if debrief.harm.is_some() {
        return all_lost(name, of, STOPPED);
    }
    if log.written.is_empty() {
        let why = if log.anything_written {
            "nothing was written down that can be held against the car"
        } else {
            "nothing was written down"
        };
        return all_lost(name, of, why);
    }
    let lost = log.not_borne_out().map(|written| {
        let (marks, after) = if written.put_right {
            (put_right, ", until you put it right")
        } else {
            (each, "")
        };
        let ask = written::asked(flow, &written.reading);
        let ask = ask.trim_end_matches(['.', '?', '!', ':']);
        let at = written::at(flow, written);
        (marks, format!("{at}: {ask}{after}"))
    });
    part(name, of, lost.collect())
}

fn safe(debrief: &Debrief, log: &Log, flow: &Flow) -> Part {
    // Marks can be lost once only; what they were lost for is told in full.
    let stopped = debrief.harm.iter().map(|harm| harm.done.clone());
    let passed = log.passed.iter().map(|passed| above_limit(passed, flow));
    let left = (debrief.driven_off && !debrief.left_behind.is_empty()).then(|| {
        let left = debrief.left_behind.join("; ");
        format!("the repair was declined, and the customer drives off like this: {left}")
    });
    let why: Vec<String> = stopped.chain(passed).chain(left).collect();
    if !why.is_empty() {
        return all_lost("safe", SAFE, &why.join(" Besides, "));
    }
    if log.spent.is_empty() {
        return all_lost("safe", SAFE, "nothing was done on the car");
    }
    part("safe", SAFE, Vec::new())
}

/// A limit that was passed, by what was written down.
fn above_limit(passed: &Passed, flow: &Flow) -> String {
    let ask = written::asked(flow, &passed.reading).trim_end_matches(['.', '?', '!', ':']);
    let (value, limit) = (said(passed.value), said(passed.limit));
    format!(
        "a limit was passed in test {}, and what was written stands: {ask}, {value}, never above {limit}",
        passed.test
    )
}

/// Minutes count only where the car is mended: to be quick and leave it is no merit. Nor is a guess that hits.
fn time(debrief: &Debrief, log: &Log) -> Part {
    let (of, all, nothing) = TIME;
    let name = "time";
    if debrief.harm.is_some() {
        return all_lost(name, of, STOPPED);
    }
    if !debrief.hidden.iter().all(|hidden| hidden.repaired) {
        return all_lost(
            name,
            of,
            "time counts only where every hidden fault is repaired",
        );
    }
    if !debrief.retested || !debrief.proved {
        return all_lost(
            name,
            of,
            "time counts only where the whole test was repeated to its proof",
        );
    }
    if !log.tested() {
        return all_lost(name, of, UNTESTED);
    }
    let share = debrief.minutes / debrief.par.max(1.0);
    if share <= all {
        return part(name, of, Vec::new());
    }
    let left = ((nothing - share) / (nothing - all)).clamp(0.0, 1.0) * f64::from(of);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "it lies between nothing and ten"
    )]
    let got = left.floor() as u32;
    let why = format!(
        "{}, where {} were enough",
        shown::minutes(debrief.minutes),
        shown::minutes(debrief.par)
    );
    part(name, of, vec![(of - got, why)])
}
