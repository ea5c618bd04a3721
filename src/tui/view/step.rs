//! The upper part of the walk: which step, what to do, what fools people, what to set up; or the
//! caution that stands before it.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width};
use super::sheet::{Part, Sheet};
use super::{clock, hold, ways};
use crate::engine::clock as clock_of;
use crate::engine::job::{Job, Run, Station};
use crate::engine::standing::Standing;
use crate::engine::{shown, words};
use crate::flow::cautions::{self, Caution};
use crate::flow::model::{SetUp, Step};
use crate::tui::keys;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Model, Timer};
use crate::tui::theme::Role;

/// The upper part, with the clock beside it where a timer runs.
pub struct Above {
    /// The text.
    pub sheet: Sheet,
    /// Rows that it needs even if the text is shorter.
    pub least: u16,
    timer: Option<(Timer, Vec<String>)>,
}

impl Above {
    /// Draws the text, and the clock to its right.
    pub fn draw(&self, canvas: &mut Canvas, area: Rect, scroll: u16) {
        let beside = if self.timer.is_some() {
            clock::COLUMNS + 2
        } else {
            0
        };
        let text = Rect {
            width: area.width.saturating_sub(beside),
            ..area
        };
        self.sheet.draw_scrolled(canvas, text, scroll);
        if let Some((timer, words)) = &self.timer {
            let x = area.x + area.width.saturating_sub(clock::COLUMNS);
            draw_timer(
                canvas,
                Rect {
                    x,
                    width: clock::COLUMNS,
                    ..area
                },
                *timer,
                words,
            );
        }
    }
}

fn draw_timer(canvas: &mut Canvas, area: Rect, timer: Timer, words: &[String]) {
    let role = if timer.left <= 0 {
        Role::Pass
    } else {
        Role::Strong
    };
    let rows = clock::rows(canvas.theme.ascii);
    let large = area.height > rows;
    if large {
        clock::draw(canvas, area, &clock::text(timer.left), role);
    }
    let first = if large { rows } else { 0 };
    for (row, (n, line)) in (first..).zip(words.iter().enumerate()) {
        canvas.put(area, 0, row, line, if n == 0 { role } else { Role::Plain });
    }
}

/// The upper part for where the walk stands.
pub fn text(model: &Model, area: Rect) -> Above {
    let is_read = model
        .open
        .as_ref()
        .is_some_and(|open| clock_of::is_read(&open.job));
    let timer = model.timer().filter(|_| !is_read);
    let beside = if timer.is_some() {
        clock::COLUMNS + 4
    } else {
        2
    };
    let mut sheet = Sheet::new(area.width.saturating_sub(beside));
    if let Some(open) = &model.open {
        rejudged(&mut sheet, model);
        match (open.job.run(), model.standing()) {
            (Some(run), Standing::Step(step)) => step_text(&mut sheet, &open.job, run, step),
            (Some(run), Standing::Facts(_)) => before_step(&mut sheet, run),
            (Some(run), Standing::Cautions(due)) => {
                before_step(&mut sheet, run);
                caution(&mut sheet, &due);
            }
            _ => ways::add_question(&mut sheet, model),
        }
    }
    let timer = timer.map(|timer| {
        let mut words = vec![hold::words(model, timer)];
        words.extend(hold::since(model, timer));
        (timer, words)
    });
    let least = timer.as_ref().map_or(0, |(_, words)| {
        clock::rows(model.theme.ascii) + u16::try_from(words.len()).unwrap_or_default()
    });
    Above {
        sheet,
        least,
        timer,
    }
}

/// Something has changed what another step came to: said in full where that happened, and in a line
/// from the next station on, until somebody goes there or the test is repeated.
fn rejudged(sheet: &mut Sheet, model: &Model) {
    let Some((run, _, visit, rejudged)) = model.open.as_ref().and_then(|open| open.rejudged())
    else {
        return;
    };
    let run = model.open.as_ref().and_then(|open| open.job.runs.get(run));
    let Station::Step(id) = &visit.station else {
        return;
    };
    let title = run
        .and_then(|run| run.flow.step(id))
        .map_or(id.as_str(), |step| step.title.as_str());
    let key = keys::shown(model, Act::Rejudged, model.context_below());
    let stay = model.open.as_ref().and_then(|open| open.job.visit());
    let text = if stay.is_some_and(|visit| visit.stay_seq > rejudged.by) {
        format!("{key}: \"{title}\" is judged otherwise now")
    } else {
        let was = words::suggested(run, id, &rejudged.was);
        let now = words::suggested(run, id, &rejudged.now);
        format!("\"{title}\" no longer says \"{was}\" but \"{now}\". {key} goes there.")
    };
    sheet.hanging("! ", "  ", Role::Caution, &text);
    sheet.blank();
}

fn step_text(sheet: &mut Sheet, job: &Job, run: &Run, step: &Step) {
    let before = job.is_set_up_before();
    title(sheet, run, Some((step, before)));
    sheet.blank();
    sheet.hanging("┃ ", "┃ ", Role::Strong, &step.text);
    if !step.beware.is_empty() {
        sheet.blank();
        sheet.labelled(Role::Caution, "What fools people:", &step.beware);
    }
    let names = |set_up: &&SetUp| !set_up.names_nothing();
    if let Some(set_up) = step.set_up.as_ref().filter(names) {
        sheet.blank();
        set_up_text(sheet, set_up, before);
    }
    if !step.put_back.is_empty() {
        sheet.blank();
        sheet.labelled(
            Role::Strong,
            "Before the car goes:",
            &step.put_back.join(", "),
        );
    }
    let first = run
        .flow
        .steps
        .first()
        .is_some_and(|first| first.id == step.id);
    if first && !run.flow.gear.is_empty() {
        sheet.blank();
        sheet.labelled(Role::Strong, "Have at hand:", &run.flow.gear.join(", "));
    }
}

fn title(sheet: &mut Sheet, run: &Run, step: Option<(&Step, bool)>) {
    let test = run.visit().map_or(1, |visit| visit.test);
    if test > 1 {
        sheet.text(
            Role::Caution,
            &format!("Test {test}: again from the start, after the repair"),
        );
    }
    if let Some((step, before)) = step {
        let at = run
            .flow
            .steps
            .iter()
            .position(|other| other.id == step.id)
            .unwrap_or(0)
            + 1;
        let place = format!("Step {at} of {}  ", run.flow.steps.len());
        let used = headed(sheet, &place, &step.title);
        let room = sheet.columns().saturating_sub(used);
        let said = times(step, before)
            .into_iter()
            .map(|time| format!("   {time}"));
        let fits = said.into_iter().find(|time| width(time) <= room);
        sheet.append(Part::new(Role::Muted, fits.unwrap_or_default()));
    }
}

/// What a step takes, in one figure with what of it is for setting up; the shorter wording where there is less room.
fn times(step: &Step, before: bool) -> Vec<String> {
    let set_up = step.set_up.as_ref().map_or(0.0, |set_up| set_up.minutes);
    let all = shown::minutes(step.minutes + set_up);
    let own = shown::minutes(step.minutes);
    match (step.minutes > 0.0, set_up > 0.0) {
        (false, false) => Vec::new(),
        (true, true) if before => vec![
            format!("about {own}, set up before"),
            format!("about {own}"),
        ],
        (true, false) => vec![format!("about {own}")],
        (false, true) if before => vec!["set up before".to_owned()],
        (false, true) => vec![format!("about {all} to set up"), format!("about {all}")],
        (true, true) => vec![
            format!("about {all}, {} of them to set up", shown::minutes(set_up)),
            format!("about {all}"),
        ],
    }
}

/// A title behind a muted word or two; below them where it does not fit beside. How many columns
/// its last row takes.
fn headed(sheet: &mut Sheet, before: &str, title: &str) -> usize {
    let used = width(before) + width(title);
    if used <= sheet.columns() {
        sheet.row(vec![
            Part::new(Role::Muted, before),
            Part::new(Role::Strong, title),
        ]);
        return used;
    }
    sheet.text(Role::Muted, before.trim_end());
    sheet.text(Role::Strong, title);
    sheet.columns()
}

fn before_step(sheet: &mut Sheet, run: &Run) {
    title(sheet, run, None);
    let step = run
        .step()
        .map(|step| step.title.clone())
        .unwrap_or_default();
    headed(sheet, "Before the step  ", &step);
}

/// Whether a set-up has nothing to list: what is done is in the step's own text.
fn set_up_text(sheet: &mut Sheet, set_up: &SetUp, before: bool) {
    let head = if before {
        "Set up before; see that it is so still:"
    } else {
        "Set up:"
    };
    sheet.text(Role::Strong, head);
    for (what, openings) in [("close off", &set_up.seal), ("open", &set_up.open)] {
        if !openings.is_empty() {
            sheet.hanging(
                "  ",
                "    ",
                Role::Plain,
                &format!("{what}: {}", openings.join(", ")),
            );
        }
    }
    if let Some(supply) = &set_up.supply {
        sheet.hanging("  ", "    ", Role::Plain, &format!("supply: {supply}"));
    }
}

/// The caution that is to be read.
fn caution(sheet: &mut Sheet, due: &[&Caution]) {
    let Some(caution) = due.first() else {
        return;
    };
    let more = due.len() - 1;
    let left = if more > 0 {
        format!("   {more} more to read")
    } else {
        String::new()
    };
    sheet.blank();
    sheet.text(Role::Caution, &format!("CAUTION: {}", caution.title));
    if !left.is_empty() && width(caution.title) + 9 + width(&left) <= sheet.columns() {
        sheet.append(Part::new(Role::Muted, left));
    }
    sheet.blank();
    sheet.hanging("┃ ", "┃ ", Role::Strong, caution.text);
    sheet.blank();
    sheet.text(Role::Plain, cautions::FIRST);
    sheet.text(Role::Muted, &format!("Source: {}", caution.source));
}

/// What accepting the caution says. Its number is its own: a key that is held down accepts none.
pub fn accept_caution(model: &Model, columns: u16) -> Sheet {
    let number = model.caution_number();
    let mut sheet = Sheet::new(columns);
    sheet.row(vec![
        Part::new(Role::Key, format!("> Press {number}  ")),
        Part::new(
            Role::Strong,
            format!("I have read it and will do so ({})", model.who),
        ),
    ]);
    sheet.hit_from(0, &Message::Pick(number - 1));
    sheet.text(
        Role::Muted,
        "Each caution has its own number, so that a key held down accepts none.",
    );
    sheet
}

/// What leads from a step that is shown by itself to its question, or to what comes next where it asks nothing.
pub fn go_on(columns: u16, asks: bool) -> Sheet {
    let (on, why) = if asks {
        (
            "It is read: go on to what is asked",
            "The question does not fit below it. Esc at its first question comes back here.",
        )
    } else {
        (
            "It is read: go on to what comes next",
            "What comes next does not fit below it.",
        )
    };
    let mut sheet = Sheet::new(columns);
    sheet.row(vec![
        Part::new(Role::Key, "> Enter  "),
        Part::new(Role::Strong, on),
    ]);
    sheet.hit_from(0, &Message::Do(Act::Accept));
    sheet.text(Role::Muted, why);
    sheet
}
