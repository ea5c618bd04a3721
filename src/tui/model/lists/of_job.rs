//! Lists about the job on screen: outcomes and answers of the step, gear, what stands in place, where the car can go.

use super::{Item, Then, flows};
use crate::engine::event::What;
use crate::engine::fitted::{Fitted, Stands};
use crate::engine::job::{Job, Repair, Taken};
use crate::engine::skip::{self, Ways};
use crate::engine::{judge, shown, words};
use crate::flow::choice::{Choice, name};
use crate::flow::facts::about;
use crate::flow::model::Flow;
use crate::rules::evidence::of_job;
use crate::rules::{advice, suggest};
use crate::tui::model::Model;

/// Outcomes of the step.
pub(super) fn outcomes(model: &Model) -> Vec<Item> {
    let run = model.open.as_ref().and_then(|open| open.job.run());
    let Some((run, step)) = run.and_then(|run| Some((run, run.step()?))) else {
        return Vec::new();
    };
    let against = against_the_step(model);
    step.outcomes
        .iter()
        .map(|outcome| {
            let english = outcome.when.english(&|id| name(&run.flow, id));
            let detail = format!("{}: when {english}", outcome.because);
            let detail = if outcome.because.is_empty() {
                format!("when {english}")
            } else {
                detail
            };
            let detail = match &against {
                Some(why) => format!("NOT VALID NOW ({why}). {detail}"),
                None => detail,
            };
            Item::new(
                suggest::target(&run.flow, &outcome.go),
                detail,
                Then::Outcome(outcome.id.clone()),
            )
        })
        .collect()
}

/// Why nothing may be drawn from the step as it was read, in its author's words: whoever goes past that reads it first.
fn against_the_step(model: &Model) -> Option<String> {
    let job = &model.open.as_ref()?.job;
    let picture = judge::picture_now(job)?;
    match judge::choice_now(job, &picture)? {
        Choice::NotValid { why, detour } => {
            let because = detour.map_or(why, |detour| detour.because.clone());
            Some(because.trim_end_matches('.').to_owned())
        }
        _ => None,
    }
}

/// Where the walk can go on without the step.
pub(super) fn skips(model: &Model) -> Vec<Item> {
    let run = model.open.as_ref().and_then(|open| open.job.run());
    let Some((run, step)) = run.and_then(|run| Some((run, run.step()?))) else {
        return Vec::new();
    };
    let Ways::Choose(ways) = skip::ways(step) else {
        return Vec::new();
    };
    ways.into_iter()
        .map(|go| {
            let led: Vec<&str> = step
                .outcomes
                .iter()
                .filter(|outcome| outcome.go == go && !outcome.because.is_empty())
                .map(|outcome| outcome.because.as_str())
                .collect();
            let detail = if led.is_empty() {
                String::new()
            } else {
                format!("as if: {}", led.join("; or: "))
            };
            Item::new(suggest::target(&run.flow, &go), detail, Then::Skip(go))
        })
        .collect()
}

/// Answers of this visit first, the latest at the top, then those before it, then the facts, and
/// what the job was opened with.
pub(super) fn answers(model: &Model) -> Vec<Item> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    let here = open.job.visit().map(|visit| visit.since_seq);
    let (now, before): (Vec<&Taken>, Vec<&Taken>) = open
        .job
        .readings
        .iter()
        .rev()
        // What was read anew in the same test counts no more: to correct it would change nothing.
        .filter(|taken| !read_anew(&open.job, taken))
        .partition(|taken| Some(taken.visit) == here);
    let facts = open.job.facts.iter().map(|(id, value)| {
        let label = format!("{}: {}", id.replace('-', " "), shown::answer(value));
        Item::new(label, about(id), Then::Fact(id.clone()))
    });
    let opening = open.job.opening.iter().map(|opening| {
        let label = format!("{}: {}", opening.vehicle.plate, opening.complaint);
        let detail = "car, complaint, symptoms, codes, bay: as the job was opened";
        Item::new(label, detail, Then::Opening)
    });
    let repairs = open.job.repairs.iter().rev().flat_map(repair_noted);
    now.into_iter()
        .chain(before)
        .map(|taken| answer(taken, here))
        .chain(repairs)
        .chain(facts)
        .chain(opening)
        .collect()
}

/// What was noted of a repair: the work first, where it is done, then the customer's answer.
fn repair_noted(repair: &Repair) -> Vec<Item> {
    let item = |seq: u64, what: &str| {
        let (noted, part) = repair.noted(seq)?;
        let label = format!("{what}: {}", words::of_repair(noted, part));
        let detail = format!("noted of the repair: {}", repair.name);
        Some(Item::new(label, detail, Then::CorrectRepair(seq)))
    };
    let answer = if repair.approved.is_some() {
        "agreed by"
    } else {
        "declined by"
    };
    let both = [
        item(repair.done_seq, "done"),
        item(repair.answered_seq, answer),
    ];
    both.into_iter().flatten().collect()
}

fn read_anew(job: &Job, taken: &Taken) -> bool {
    // What was read later on a way that was given up does not stand in for it.
    let on_the_way = |visit: u64| {
        let mut way = job.runs.iter().flat_map(|run| &run.path);
        way.any(|passed| passed.since_seq == visit)
    };
    let mut later = job.readings.iter().filter(|other| other.seq > taken.seq);
    later.any(|other| {
        other.reading == taken.reading && other.test == taken.test && on_the_way(other.visit)
    })
}

fn answer(taken: &Taken, here: Option<u64>) -> Item {
    let name = taken.reading.replace('-', " ");
    let label = format!("{name}: {}", shown::answer(&taken.value));
    let detail = if Some(taken.visit) == here {
        "read at this step".to_owned()
    } else {
        let test = if taken.test > 1 {
            format!(", test {}", taken.test)
        } else {
            String::new()
        };
        format!("read earlier, in {}{test}", taken.flow.replace('-', " "))
    };
    Item::new(label, detail, Then::Correct(taken.seq))
}

/// Gear of the job's flows, each with whether it is here.
pub(super) fn gear(model: &Model) -> Vec<Item> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    let flows = of_job::flows(&open.job);
    let flows: Vec<&Flow> = flows.iter().map(AsRef::as_ref).collect();
    let marked = &model.evidence.habits.not_here;
    let by_settings: Vec<String> = flows
        .iter()
        .flat_map(|f| model.settings.missing(f))
        .collect();
    let item = |gear: String| {
        let settled = advice::is_in(&by_settings, &gear);
        let mark = if settled || advice::is_in(marked, &gear) {
            "[not here]"
        } else {
            "[        ]"
        };
        let detail = if settled {
            "by the settings; change it there"
        } else {
            ""
        };
        Item::new(format!("{mark} {gear}"), detail, Then::Gear(gear))
    };
    advice::gear(&flows).into_iter().map(item).collect()
}

/// What is to be taken down before the walk goes elsewhere.
pub(super) fn take_down(model: &Model) -> Vec<Item> {
    let pending = model.evidence.pending.as_ref();
    let Some((go, _, left_over)) = pending else {
        return Vec::new();
    };
    let run = model.open.as_ref().and_then(|open| open.job.run());
    let to = run.map_or_else(String::new, |run| suggest::target(&run.flow, go));
    vec![
        Item::new(
            format!("It is done; {to}"),
            left_over.join("; "),
            Then::TakenDown,
        ),
        Item::new("Not yet: stay at this step", "", Then::Close),
    ]
}

/// What set-ups left on the car, each to be confirmed off: the supply first, since nothing is opened under pressure. What
/// was confirmed just now keeps its place, so that no number moves under the finger.
pub(super) fn fitted(model: &Model, before_proof: bool) -> Vec<Item> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    // The last of those that were confirmed: in a test before this one the same may have been.
    let off = open.events.iter().rev();
    let just = off.take_while(|event| matches!(event.what, What::TakenOff(_)));
    let seen = open.job.taken_off.iter().rev().take(just.count());
    let seen: Vec<&Stands> = seen.map(|off| &off.stood).collect();
    let off: Vec<&Fitted> = seen.iter().map(|stands| &stands.what).collect();
    let mut stood = seen.clone();
    stood.extend(still_fitted(&open.job, before_proof));
    stood.sort_by_key(|stands| {
        let supply = matches!(stands.what, Fitted::Supply(_));
        (!supply, &stands.flow, stands.what.off_again())
    });
    let item = |stands: &Stands| {
        let detail = format!("from \"{}\", {}", stands.step, stands.flow);
        let seen = if off.contains(&&stands.what) {
            "[seen] "
        } else {
            ""
        };
        let label = format!("{seen}{}", shown::capital(&stands.what.off_again()));
        Item::new(label, detail, Then::TakenOff(stands.what.clone()))
    };
    stood.into_iter().map(item).collect()
}

/// What still is to be confirmed off.
pub fn still_fitted(job: &Job, before_proof: bool) -> Vec<&Stands> {
    if before_proof {
        job.fitted_before().collect()
    } else {
        job.fitted.iter().collect()
    }
}

/// Flows to hand the car on to.
pub(super) fn hand_on(model: &Model) -> Vec<Item> {
    let mut items = flows(model);
    for item in &mut items {
        if let Then::Begin(flow) = &item.then {
            item.then = Then::HandOn(flow.clone());
        }
    }
    items
}
