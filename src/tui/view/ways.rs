//! The walk where it waits for a decision: which flow, the customer's answer, the repair, the
//! retest, the end; and the stop after a limit was passed.

use ratatui::layout::Rect;

use super::canvas::{Canvas, split};
use super::lists;
use super::sheet::{Part, Sheet};
use super::values;
use crate::engine::event::{OutcomeTaken, PartWas, Verdict};
use crate::engine::fitted::named_supply;
use crate::engine::job::{How, Job, Left, Proof, Repair, Run, Stop, outcome_of};
use crate::engine::standing::{RepairStage, Standing};
use crate::engine::weighed::Chosen;
use crate::engine::{shown, words};
use crate::flow::cautions;
use crate::flow::model::{Cause, PromptKind};
use crate::rules::evidence::suspected;
use crate::rules::evidence::why::percent;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// What is to be decided.
pub fn add_question(sheet: &mut Sheet, model: &Model) {
    let Some(open) = &model.open else {
        return;
    };
    match model.standing() {
        Standing::NoFlow => no_flow(sheet, &open.job),
        Standing::Repair { cause, stage } => {
            // In practice it is known whether the supply is on.
            let bay = open.bay.as_ref().map(|bay| &bay.session().bay);
            let is_shut = bay.is_some_and(|bay| bay.fed().is_none());
            repair(sheet, &open.job, cause, &stage, is_shut);
        }
        Standing::LedTo(flow) => led_to(sheet, model, flow),
        Standing::Ended => {
            ended(sheet, &open.job);
            // No car stands there in practice.
            if open.bay.is_none() {
                still_fitted(sheet, &open.job);
                codes_left(sheet, &open.job);
            }
            ruled_out(sheet, &open.job);
        }
        Standing::HandedOver(_) if open.bay.is_some() => super::practice::ended(sheet),
        Standing::HandedOver(note) => handed_over(sheet, &open.job, note, open.number),
        _ => {}
    }
}

/// The ways to go on.
pub fn sheet(model: &Model, columns: u16) -> Sheet {
    let mut sheet = Sheet::new(columns);
    if let Some(held) = model.open.as_ref().and_then(|open| open.held.as_ref()) {
        sheet.labelled(Role::Caution, "READ ONLY:", held);
        sheet.text(
            Role::Plain,
            "Here it can be looked at, and what is done there shows here. One writer a job at a time.",
        );
    }
    lists::add(
        &mut sheet,
        &model.ways(),
        model.open.as_ref().and_then(|open| open.at),
    );
    sheet
}

fn no_flow(sheet: &mut Sheet, job: &Job) {
    if let Some(opening) = &job.opening {
        sheet.labelled(Role::Strong, "Complaint:", &opening.complaint);
        let mut noted = opening.symptoms.clone();
        noted.extend(opening.codes.iter().cloned());
        if !noted.is_empty() {
            sheet.labelled(Role::Strong, "Noted:", &noted.join(", "));
        }
    }
    sheet.blank();
    if job.codes.is_none() {
        sheet.hanging(
            "! ",
            "  ",
            Role::Caution,
            "The codes are not saved yet. Clearing or unplugging loses them for good.",
        );
    }
    sheet.text(Role::Strong, "Which test answers this?");
}

/// What the driver must know while it is not repaired.
fn until_repaired(sheet: &mut Sheet, cause: &Cause) {
    if !cause.until_repaired.trim().is_empty() {
        let text = format!(
            "Until then the driver must know: {}.",
            cause.until_repaired.trim().trim_end_matches('.')
        );
        sheet.hanging("! ", "  ", Role::Caution, &text);
    }
}

fn repair(sheet: &mut Sheet, job: &Job, cause: &Cause, stage: &RepairStage, is_shut: bool) {
    let (came, odds) = match suspected::by_odds(job, cause) {
        Some(present) => ("Not seen yet  ", format!(", {} likely", percent(present))),
        None => ("Found  ", String::new()),
    };
    sheet.row(vec![
        Part::new(Role::Muted, came),
        Part::new(Role::Strong, format!("{}{odds}", cause.name)),
    ]);
    if let Some(why) = came_here(job) {
        sheet.text(Role::Plain, &why);
    }
    sheet.blank();
    if !is_shut {
        shut_off_first(sheet, job, stage);
    }
    let minutes = shown::minutes(cause.minutes);
    match stage {
        RepairStage::Ask => {
            let text = format!(
                "Ask the customer before anything is repaired: {} (about {minutes}).",
                cause.repair
            );
            sheet.hanging("┃ ", "┃ ", Role::Strong, &text);
            until_repaired(sheet, cause);
        }
        RepairStage::Work(repair) => {
            let text = format!("Repair: {} (about {minutes}).", cause.repair);
            sheet.hanging("┃ ", "┃ ", Role::Strong, &text);
            sheet.labelled(
                Role::Muted,
                "Agreed by",
                repair.approved.as_deref().unwrap_or_default(),
            );
        }
        RepairStage::Retest(repair) => retest(sheet, job, repair),
        RepairStage::Declined(repair) => {
            sheet.labelled(
                Role::Caution,
                "Declined by",
                repair.declined.as_deref().unwrap_or_default(),
            );
            until_repaired(sheet, cause);
            sheet.text(
                Role::Plain,
                "The cause stays in the record as found and not repaired.",
            );
        }
    }
}

/// Nothing is opened while a supply feeds it: said before the work begins, wherever the repair comes from.
fn shut_off_first(sheet: &mut Sheet, job: &Job, stage: &RepairStage) {
    if matches!(stage, RepairStage::Ask | RepairStage::Work(_)) {
        supplies_off(sheet, job);
    }
}

/// What is shut off and let down first, where a supply stands connected.
fn supplies_off(sheet: &mut Sheet, job: &Job) {
    let supplies: Vec<String> = job.supplies_on().map(named_supply).collect();
    if !supplies.is_empty() {
        let text = format!(
            "Shut off first, and let the pressure down: {}. Nothing is undone before.",
            supplies.join(", ")
        );
        sheet.hanging("! ", "  ", Role::Caution, &text);
        sheet.blank();
    }
}

/// What was done, and that only the whole test proves it.
fn retest(sheet: &mut Sheet, job: &Job, repair: &Repair) {
    if let Some((work, part)) = &repair.done {
        sheet.labelled(Role::Muted, "Done:", work);
        if *part == PartWas::Good {
            let text = "The part taken out looked good: this is not proved to be the cause, not even by a test that passes.";
            sheet.hanging("! ", "  ", Role::Caution, text);
        }
    }
    let first = job
        .run()
        .and_then(|run| run.flow.retest.as_ref())
        .map(|retest| retest.first.as_str());
    let text = match first {
        // Some flows say so themselves.
        Some(first) if first.contains("from the start") => first.to_owned(),
        Some(first) if !first.is_empty() => {
            format!("{first} Then the whole test again from the start.")
        }
        _ => "Now the whole test again from the start.".to_owned(),
    };
    sheet.hanging("┃ ", "┃ ", Role::Strong, &text);
    sheet.text(
        Role::Plain,
        "One leak can hide another: only a test that passes from the start proves the repair.",
    );
}

/// The reason that led to the present station.
fn came_here(job: &Job) -> Option<String> {
    let run = job.run()?;
    match left_before(run)? {
        Left {
            how: How::Outcome(taken),
            ..
        } => match &taken.reason {
            Some(reason) => Some(format!("Your own choice: {reason}")),
            None if by_evidence(taken).is_some() => by_evidence(taken),
            None => outcome_of(run, taken).map(|outcome| outcome.because.clone()),
        },
        _ => None,
    }
}

/// How the station before the present one was left.
fn left_before(run: &Run) -> Option<&Left> {
    let before = run.at.checked_sub(1).and_then(|at| run.path.get(at))?;
    before.left.as_ref()
}

/// That a way of the evidence was taken and not the flow's, and why.
fn by_evidence(taken: &OutcomeTaken) -> Option<String> {
    let weighed = taken.weighed.as_ref()?;
    let because = &weighed.because;
    match weighed.taken {
        Chosen::Flow => None,
        Chosen::Evidence => Some(format!("By the evidence, {because}")),
        Chosen::Another => Some(format!("Your own choice; the evidence says: {because}")),
    }
}

fn led_to(sheet: &mut Sheet, model: &Model, flow: &str) {
    let shelved = model.shelf.find(flow);
    let title = shelved.map_or_else(
        || flow.replace('-', " "),
        |shelved| model.shelf.title_of(&shelved.flow),
    );
    sheet.row(vec![
        Part::new(Role::Muted, "This leads on to  "),
        Part::new(Role::Strong, title),
    ]);
    if let Some(why) = model.open.as_ref().and_then(|open| came_here(&open.job)) {
        sheet.hanging("┃ ", "┃ ", Role::Strong, &why);
    }
    // In practice the hands say what is on.
    if let Some(open) = model.open.as_ref().filter(|open| open.bay.is_none()) {
        supplies_off(sheet, &open.job);
    }
    match shelved {
        Some(shelved) => sheet.text(Role::Plain, &shelved.flow.summary),
        None => sheet.hanging(
            "! ",
            "  ",
            Role::Caution,
            "That flow is not at hand here. Choose another, or hand over with what is known.",
        ),
    }
}

fn ended(sheet: &mut Sheet, job: &Job) {
    let Some(run) = job.run() else {
        return;
    };
    let (mark, role) = match run.verdict {
        Some(Verdict::Proved) if job.proof(run) == Proof::Cause => ("OK  ", Role::Pass),
        _ => ("=   ", Role::Strong),
    };
    let verdict = run.verdict.map_or("it has ended", |verdict| {
        words::verdict(verdict, job.proof(run))
    });
    sheet.hanging(
        mark,
        "    ",
        role,
        &format!("{}: {verdict}.", run.flow.title),
    );
    if let Some(why) = came_here(job) {
        sheet.text(Role::Plain, &why);
    }
}

/// That something is on the car which will be asked for.
fn still_fitted(sheet: &mut Sheet, job: &Job) {
    let things = match job.fitted.len() {
        0 => return,
        1 => "1 thing that was fitted, closed off or connected is".to_owned(),
        n => format!("{n} things that were fitted, closed off or connected are"),
    };
    let text = format!("{things} to be looked at before the car is handed over.");
    sheet.hanging("! ", "  ", Role::Caution, &text);
}

/// The codes that another test is for.
fn codes_left(sheet: &mut Sheet, job: &Job) {
    let codes = job.codes_left();
    if !codes.is_empty() {
        let text = format!("No test of this job is for {}.", codes.join(", "));
        sheet.hanging("! ", "  ", Role::Caution, &text);
    }
}

/// What was ruled out, the causes with one reason together.
fn ruled_out(sheet: &mut Sheet, job: &Job) {
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for (_, cause, why) in job.ruled_out() {
        match reasons.iter_mut().find(|(known, _)| *known == why) {
            Some((_, causes)) => causes.push(&cause.name),
            None => reasons.push((why, vec![&cause.name])),
        }
    }
    if reasons.is_empty() {
        return;
    }
    sheet.blank();
    sheet.text(Role::Strong, "Ruled out:");
    for (why, causes) in reasons {
        let text = format!("{} ({why})", causes.join(", "));
        sheet.hanging("- ", "  ", Role::Plain, &text);
    }
}

fn handed_over(sheet: &mut Sheet, job: &Job, note: &str, number: u64) {
    sheet.text(Role::Strong, "Handed over.");
    sheet.labelled(Role::Muted, "The customer was told:", note);
    sheet.blank();
    for run in &job.runs {
        let verdict = run.verdict.map_or("not ended", |verdict| {
            words::verdict(verdict, job.proof(run))
        });
        sheet.hanging(
            "- ",
            "  ",
            Role::Plain,
            &format!("{}: {verdict}", run.flow.title),
        );
    }
    for repair in &job.repairs {
        let how = match (&repair.done, &repair.declined) {
            (Some((work, _)), _) => format!("repaired: {work}"),
            (None, Some(by)) => format!("declined by {by}"),
            (None, None) => "not repaired".to_owned(),
        };
        sheet.hanging("- ", "  ", Role::Plain, &format!("{}: {how}", repair.name));
    }
    sheet.blank();
    sheet.text(
        Role::Strong,
        &format!("The page for the customer: way 4 below, or `ruleout report {number}`"),
    );
    ruled_out(sheet, job);
}

/// The stop after a limit was passed. It takes the whole screen.
pub fn stopped(model: &Model, stop: &Stop, canvas: &mut Canvas, area: Rect) {
    let Some(open) = &model.open else {
        return;
    };
    let ways = sheet(model, area.width);
    let (above, below) = split(area, area.height.saturating_sub(ways.height()));
    let mut sheet = Sheet::new(area.width);
    stop_text(&mut sheet, &open.job, stop);
    sheet.draw_scrolled(canvas, above, open.scroll);
    ways.draw(canvas, below);
}

/// What was passed, and what is to be done first.
pub fn stop_text(sheet: &mut Sheet, job: &Job, stop: &Stop) {
    let run = job.run();
    let prompt = run.and_then(|run| run.flow.reading(&stop.reading));
    let ask = prompt.map_or(stop.reading.as_str(), |prompt| prompt.ask.as_str());
    let unit = match prompt.map(|prompt| &prompt.kind) {
        Some(PromptKind::Quantity(q)) => q.unit,
        _ => stop.value.unit(),
    };
    let line = "█".repeat(sheet.columns());
    for text in [&line, "STOP: a limit was passed", &line] {
        sheet.text(Role::Fail, text);
    }
    sheet.blank();
    sheet.pair(
        ask,
        &values::in_both(stop.value, stop.value.unit(), unit),
        40,
    );
    sheet.pair(
        "never above",
        &values::in_both(stop.limit, stop.value.unit(), unit),
        40,
    );
    sheet.blank();
    let first = "Let the pressure down now, before anything else. Then set the supply lower, or pump less far. \
                 When that is done, press 1, then Enter.";
    sheet.hanging("┃ ", "┃ ", Role::Strong, first);
    sheet.blank();
    let flow = run.into_iter().flat_map(|run| &run.flow.cautions);
    let step = run
        .and_then(Run::step)
        .into_iter()
        .flat_map(|step| &step.cautions);
    let about = cautions::about_limit_of(stop.limit.dimension());
    let relevant = step.chain(flow).filter(|id| about.contains(&id.as_str()));
    for caution in relevant.filter_map(|id| cautions::find(id)) {
        sheet.labelled(Role::Caution, &format!("{}:", caution.title), caution.text);
    }
    sheet.text(Role::Muted, cautions::FIRST);
}
