//! The score and its parts: a hundred marks. How they are spread is a choice of ours.

use serde::Serialize;

use super::Debrief;
use crate::flow::model::Flow;
use crate::practice::log::Log;

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
    /// Why marks were lost; empty where none were.
    pub because: Vec<String>,
}

/// Found and repaired.
pub const FOUND: u32 = 30;
/// Nothing repaired for nothing, and what each such repair loses.
pub const SPARED: (u32, u32) = (15, 8);
/// Proved by a retest from the start; half for one that was begun and not ended.
pub const PROVED: u32 = 20;
/// Set up as it should be; what each slip loses, and one that was put right.
pub const SET_UP: (u32, u32, u32) = (15, 8, 3);
/// Nothing unsafe.
pub const SAFE: u32 = 10;
/// In the time; all up to this share of the program's own, nothing from that share on.
pub const TIME: (u32, f64, f64) = (10, 1.15, 2.0);

/// The parts of the score.
pub(super) fn parts(debrief: &Debrief, log: &Log, flow: &Flow) -> Vec<Part> {
    vec![
        found(debrief),
        spared(debrief),
        proved(debrief),
        set_up(debrief, log, flow),
        safe(debrief),
        time(debrief),
    ]
}

fn part(name: &'static str, of: u32, lost: u32, because: Vec<String>) -> Part {
    Part {
        name,
        got: of.saturating_sub(lost),
        of,
        because,
    }
}

fn found(debrief: &Debrief) -> Part {
    let all = u32::try_from(debrief.hidden.len()).unwrap_or(1).max(1);
    let missed: Vec<String> = debrief
        .hidden
        .iter()
        .filter(|hidden| !hidden.found)
        .map(|hidden| format!("missed: {}", hidden.name))
        .collect();
    let lost = FOUND * u32::try_from(missed.len()).unwrap_or(all) / all;
    part("found", FOUND, lost, missed)
}

fn spared(debrief: &Debrief) -> Part {
    let (of, each) = SPARED;
    if debrief.needless.is_empty() && debrief.hidden.iter().all(|h| !h.found) {
        let because = vec!["nothing was repaired at all".to_owned()];
        return part("nothing for nothing", of, of, because);
    }
    let because: Vec<String> = debrief
        .needless
        .iter()
        .map(|n| format!("repaired for nothing: {} ({:.0} min)", n.name, n.minutes))
        .collect();
    let lost = each * u32::try_from(because.len()).unwrap_or(of);
    part("nothing for nothing", of, lost, because)
}

fn proved(debrief: &Debrief) -> Part {
    let (lost, because) = match (debrief.proved, debrief.retested) {
        (true, true) => (0, ""),
        (_, true) => (
            PROVED / 2,
            "the test was begun again, and did not come to a proof",
        ),
        _ if debrief.needless.is_empty() && debrief.hidden.iter().all(|h| !h.found) => {
            (PROVED, "nothing was repaired that could have been proved")
        }
        _ => (
            PROVED,
            "the test was not repeated from the start after the last repair",
        ),
    };
    let because = (lost > 0).then(|| because.to_owned());
    part("proved", PROVED, lost, because.into_iter().collect())
}

fn set_up(debrief: &Debrief, log: &Log, flow: &Flow) -> Part {
    let (of, each, put_right) = SET_UP;
    let mut lost = 0;
    let mut because = Vec::new();
    // The same thing wrong at several steps is one thing that was forgotten.
    let mut wrongs: Vec<&crate::practice::log::Wrong> = Vec::new();
    for slip in &log.slips {
        if wrongs.contains(&&slip.wrong) {
            continue;
        }
        wrongs.push(&slip.wrong);
        let mut same = log.slips.iter().filter(|other| other.wrong == slip.wrong);
        let mended = same.all(|other| other.put_right);
        lost += if mended { put_right } else { each };
        let after = if mended { ", until you found it" } else { "" };
        because.push(format!("{}{after}", slip.wrong.words(flow)));
    }
    if log.spent.is_empty() {
        return part(
            "set-up",
            of,
            of,
            vec!["nothing was set up or read".to_owned()],
        );
    }
    if debrief.harm.is_some() && !debrief.hidden.iter().any(|h| h.found) {
        because.push("the exercise was stopped before its end".to_owned());
        return part("set-up", of, of, because);
    }
    part("set-up", of, lost, because)
}

fn safe(debrief: &Debrief) -> Part {
    match &debrief.harm {
        Some(harm) => part("safe", SAFE, SAFE, vec![harm.done.clone()]),
        None => part("safe", SAFE, 0, Vec::new()),
    }
}

/// Minutes count only where the car is mended: to be quick and leave it is no merit.
fn time(debrief: &Debrief) -> Part {
    let (of, all, nothing) = TIME;
    if !debrief.hidden.iter().all(|hidden| hidden.found) {
        let because = vec!["time counts only where everything is found".to_owned()];
        return part("time", of, of, because);
    }
    let share = debrief.minutes / debrief.par.max(1.0);
    if share <= all {
        return part("time", of, 0, Vec::new());
    }
    let left = ((nothing - share) / (nothing - all)).clamp(0.0, 1.0) * f64::from(of);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "it lies between nothing and ten"
    )]
    let got = left.floor() as u32;
    let because = vec![format!(
        "{:.0} min, where {:.0} min were enough",
        debrief.minutes, debrief.par
    )];
    part("time", of, of - got, because)
}
