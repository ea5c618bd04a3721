//! The evidence beside the flow's own way: two rows where they differ, one quiet line where they
//! agree.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width, wrap};
use super::sheet::{Part, Sheet};
use crate::engine::shown;
use crate::engine::standing::Standing;
use crate::flow::target::Target;
use crate::rules::advice::figures::percent;
use crate::rules::advice::{Advice, Here, Way};
use crate::tui::keys::{self, Context};
use crate::tui::message::{Act, Message};
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// Causes that are named in a line.
const NAMED: usize = 2;
/// Columns for whose way it is, and its time.
const ASIDE: usize = 20;

/// The flow's way: what Enter does, with the minutes beside it where the evidence has another.
pub fn flows_way(sheet: &mut Sheet, model: &Model, leads_to: &str) {
    let aside = model.other_way().map(|(advice, way)| {
        let (own, _) = both(flows_minutes(advice), way.expected);
        aside("flow", own)
    });
    row(sheet, "> Enter  ", Role::Strong, leads_to, aside.as_deref());
}

/// The evidence's way below it, or the line that it is the same.
pub fn evidence(sheet: &mut Sheet, model: &Model) {
    if let Some((advice, way)) = model.other_way() {
        let from = sheet.height();
        let (_, theirs) = both(flows_minutes(advice), way.expected);
        let aside = aside("evidence", theirs);
        let words = shown::capital(&goes(advice, way));
        let key = keys::shown(model, Act::ByEvidence, Context::Judged);
        let key = format!("  {key:<7}");
        row(sheet, &key, Role::Strong, &words, Some(&aside));
        sheet.hit_from(from, &Message::Do(Act::ByEvidence));
        let so_far = if model.evidence.more { "so far: " } else { "" };
        let because = shown::capital(&format!("{so_far}{}", way.because));
        sheet.hanging("         ", "         ", Role::Plain, &because);
        sheet.hanging("         ", "         ", Role::Muted, &times(advice, way));
    } else if let Some(advice) = model
        .advice()
        .filter(|a| !a.causes.is_empty() && !a.retest_first)
    {
        let from = sheet.height();
        let so_far = if model.evidence.more { " so far" } else { "" };
        sheet.text(Role::Muted, &same(advice, so_far, sheet.columns()));
        sheet.hit_from(from, &Message::Do(Act::Evidence));
    } else if model.is_weighing() {
        sheet.text(Role::Muted, "Evidence: being worked out.");
    }
}

/// The time of the flow's own way, where the evidence can say it.
fn flows_minutes(advice: &Advice) -> Option<f64> {
    advice.beside.flow.as_ref()?.expected
}

/// The times of the flow's way and of the evidence's, in one and the same form.
fn both(flow: Option<f64>, evidence: f64) -> (Option<String>, Option<String>) {
    let all: Vec<f64> = flow.into_iter().chain([evidence]).collect();
    let mut said = shown::minutes_alike(&all).into_iter();
    (flow.and_then(|_| said.next()), said.next())
}

fn aside(whose: &str, time: Option<String>) -> String {
    match time {
        Some(time) => format!("{whose} {time:>6}"),
        None => format!("{whose}'s way"),
    }
}

/// What the times beside the two ways are, and where there is none, why.
fn times(advice: &Advice, way: &Way) -> String {
    let flow = advice.beside.flow.as_ref();
    let known = flow.is_some_and(|flow| flow.expected.is_some());
    let ends = |go: &Option<Target>| matches!(go, None | Some(Target::Flow(_) | Target::Done));
    let hands_on = way.is_handing_on() || known && flow.is_some_and(|flow| ends(&flow.go));
    let costs = if hands_on {
        "; to hand the car on, what that costs"
    } else {
        ""
    };
    if known || flow.is_none() {
        format!("Times: expected from here to a proven repair{costs}.")
    } else {
        format!("Time: to a proven repair{costs}; none where a way tells no causes apart.")
    }
}

/// A way with its key before it, and whose it is at the right edge.
fn row(sheet: &mut Sheet, key: &str, role: Role, text: &str, aside: Option<&str>) {
    let beside = if aside.is_some() { ASIDE } else { 0 };
    let room = sheet.columns().saturating_sub(width(key) + beside).max(1);
    for (n, line) in wrap(text, room).into_iter().enumerate() {
        let gap = room.saturating_sub(width(&line));
        let mut parts = vec![
            Part::new(Role::Key, if n == 0 { key } else { "         " }),
            Part::new(role, line),
        ];
        if let (0, Some(aside)) = (n, aside) {
            let text = format!("{}{aside:>ASIDE$}", " ".repeat(gap));
            parts.push(Part::new(Role::Muted, text));
        }
        sheet.row(parts);
    }
}

/// What taking the evidence's way begins with.
fn goes(advice: &Advice, way: &Way) -> String {
    let first = first_of(advice, way);
    if first.is_empty() {
        return way.words.clone();
    }
    format!("{} (first: {})", way.words, first.join(", then "))
}

/// What comes before a way, in order.
pub fn first_of<'a>(advice: &Advice, way: &'a Way) -> Vec<&'a str> {
    let save = advice.save_first && way.may_lose_codes();
    let save = save.then_some("save what the control unit knows");
    let step = way.first.as_ref().map(|(_, title)| title.as_str());
    save.into_iter().chain(step).collect()
}

/// One line: that the evidence goes the same way, and as many of the likeliest causes as fit.
fn same(advice: &Advice, so_far: &str, room: usize) -> String {
    let mut line = format!("Evidence{so_far}: the same way.");
    for named in 1..=NAMED {
        let causes = advice.causes.iter().take(named);
        let causes: Vec<String> = causes
            .map(|cause| format!("{}, {}", cause.name, percent(cause.explains)))
            .collect();
        let longer = format!("Evidence: the same way. Likeliest: {}.", causes.join("; "));
        if width(&longer) <= room {
            line = longer;
        }
    }
    line
}

/// A line for the last row of the walk where the evidence would do something else than what is on
/// screen: at a step of which nothing is read yet, or before a repair.
pub fn line(model: &Model) -> Option<String> {
    let advice = model.advice().filter(|advice| advice.differs())?;
    let best = advice.best()?;
    let here = matches!(
        (advice.beside.here, model.standing()),
        (Here::Arrived, Standing::Step(_))
            | (
                Here::Elsewhere,
                Standing::Repair { .. } | Standing::LedTo(_)
            )
    );
    here.then(|| format!("The evidence would rather: {}", goes(advice, best)))
}

/// Draws the line where the rows above it left the last one free.
pub fn draw_line(model: &Model, canvas: &mut Canvas, area: Rect, used: u16) {
    if used >= area.height {
        return;
    }
    let Some(text) = line(model) else {
        return;
    };
    let key = keys::shown(model, Act::Evidence, model.context());
    let room = usize::from(area.width).saturating_sub(width(&key) + 3);
    let text = super::canvas::wrap(&text, room);
    let Some(first) = text.first().filter(|_| text.len() == 1) else {
        return;
    };
    let row = area.height - 1;
    let end = canvas.put(area, 0, row, first, Role::Muted);
    canvas.put(area, end + 2, row, &key, Role::Key);
    let hit = Rect {
        y: area.y + row,
        height: 1,
        ..area
    };
    canvas.hit(hit, Message::Do(Act::Evidence));
}
