//! The evidence: the causes with what moved them, what could be done next, and the map of the flow.

use ratatui::layout::Rect;

use super::beside::first_of;
use super::canvas::{Canvas, split, width};
use super::map;
use super::sheet::{Part, Sheet};
use crate::engine::shown;
use crate::rules::advice::figures::{balance, percent, share_bar};
use crate::rules::advice::{Advice, Branch, Moved, Way};
use crate::rules::evidence::why::{decibans, log_odds, words};
use crate::tui::keys::Context;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Looked, Model, Page};
use crate::tui::theme::Role;

/// From this many columns on the causes and the next steps stand side by side.
const WIDE: u16 = 108;
/// Readings that moved a cause by less than this, in decibans, are told together.
const LITTLE: f64 = 0.5;
/// Outcomes that are named of those that lead to the same.
const OUTCOMES: usize = 2;

/// Draws a page of the evidence.
pub fn draw(model: &Model, looked: &Looked, canvas: &mut Canvas, area: Rect) {
    // In lines they are read out one after the other, and no key turns them.
    let turns = if model.has_clock {
        "Tab turns the page"
    } else {
        ""
    };
    ribbon(looked.page, turns, canvas, area);
    let (_, area) = split(area, 2);
    if looked.page == Page::Map {
        map::draw(model, looked.scroll, canvas, area);
        return;
    }
    let Some(advice) = model.last_advice() else {
        let mut sheet = Sheet::new(area.width);
        match model.no_advice() {
            Some(why) => sheet.hanging(
                "! ",
                "  ",
                Role::Caution,
                &format!("There is no evidence to show: {why}."),
            ),
            None => sheet.text(Role::Muted, "The evidence is being worked out."),
        }
        sheet.draw(canvas, area);
        return;
    };
    let area = above(model, advice, canvas, area);
    if area.width >= WIDE {
        let half = (area.width - 4) / 2;
        let left = Rect {
            width: half,
            ..area
        };
        let right = Rect {
            x: area.x + half + 4,
            width: area.width - half - 4,
            ..area
        };
        // The page that the keys are about stands left.
        if looked.page == Page::Causes {
            causes(advice, looked, canvas, left);
            ways(model, advice, looked, canvas, right, false);
        } else {
            ways(model, advice, looked, canvas, left, true);
            causes_aside(advice, looked, canvas, right);
        }
    } else if looked.page == Page::Causes {
        causes(advice, looked, canvas, area);
    } else {
        ways(model, advice, looked, canvas, area, true);
    }
}

fn ribbon(page: Page, turns: &str, canvas: &mut Canvas, area: Rect) {
    let mut column = canvas.put(area, 0, 0, "Evidence ", Role::Strong);
    for (n, other) in Page::ALL.into_iter().enumerate() {
        let (text, role) = if other == page {
            (format!("[{}]", other.word()), Role::Strong)
        } else {
            (format!(" {} ", other.word()), Role::Muted)
        };
        let from = column + 1;
        column = canvas.put(area, from, 0, &text, role);
        let tab = Rect {
            x: area.x + from,
            width: column.saturating_sub(from),
            height: 1,
            ..area
        };
        canvas.hit(tab, Message::Turn(n));
    }
    canvas.put(area, column + 2, 0, turns, Role::Muted);
}

/// What the evidence rests on, and what to be wary of. Returns what is left of the area.
fn above(model: &Model, advice: &Advice, canvas: &mut Canvas, area: Rect) -> Rect {
    let mut sheet = Sheet::new(area.width);
    let mut rests = vec![rests_on(model, advice)];
    if !advice.not_here.is_empty() {
        rests.push(format!("not here: {}", advice.not_here.join(", ")));
    }
    if model.advice().is_none() {
        rests.push("being worked out anew".to_owned());
    }
    sheet.text(Role::Muted, &rests.join(" · "));
    if advice.save_first {
        let text = "Codes, freeze frame and readiness are not saved yet: that comes first.";
        sheet.hanging("! ", "  ", Role::Caution, text);
    }
    if advice.proved {
        let text = "The test was passed from its start after the repair: it is proved.";
        sheet.hanging("= ", "  ", Role::Pass, text);
    } else if advice.retest_first {
        let text = "A repair was made: the whole test comes first.";
        sheet.hanging("! ", "  ", Role::Caution, text);
    } else if let Some((first, more)) = advice.warnings.split_first() {
        let more = match more.len() {
            0 => String::new(),
            1 => " (1 more warning below)".to_owned(),
            n => format!(" ({n} more warnings below)"),
        };
        let text = format!("{}{more}", shown::capital(first));
        sheet.hanging("! ", "  ", Role::Caution, &text);
    }
    sheet.blank();
    let (top, rest) = split(area, sheet.height().min(area.height / 3));
    sheet.draw(canvas, top);
    rest
}

fn rests_on(model: &Model, advice: &Advice) -> String {
    let readings = advice.moved.len();
    let said = if readings == 1 {
        "1 finding".to_owned()
    } else {
        format!("{readings} findings")
    };
    let odds = if model.evidence.habits.ignore_own_jobs {
        "odds by the author, own jobs left out".to_owned()
    } else if advice.own_jobs == 0 {
        "odds by the author; no own job counts yet".to_owned()
    } else if advice.own_jobs == 1 {
        "odds with 1 own job".to_owned()
    } else {
        format!("odds with {} own jobs", advice.own_jobs)
    };
    let rests = if advice.cars > 0 {
        "by simulated cars"
    } else if model.evidence.more {
        "by words; cars are being made"
    } else {
        "by the author's words"
    };
    format!("{said} · {odds} · {rests}")
}

/// The causes above, what moved the one that is picked below.
fn causes(advice: &Advice, looked: &Looked, canvas: &mut Canvas, area: Rect) {
    let mut list = Sheet::new(area.width);
    cause_list(&mut list, advice, looked.cause, true);
    let head = 1;
    let rows = list.height().min((area.height / 2).max(head + 1));
    let (top, rest) = split(area, rows);
    list.draw(canvas, top);
    let (line, rest) = split(rest, 1);
    rule(canvas, line);
    let mut why = Sheet::new(rest.width.saturating_sub(2));
    why_of(&mut why, advice, looked.cause);
    silent(&mut why, advice);
    why.draw_scrolled(canvas, rest, looked.scroll);
}

/// The causes alone, for the side.
fn causes_aside(advice: &Advice, looked: &Looked, canvas: &mut Canvas, area: Rect) {
    let mut list = Sheet::new(area.width);
    cause_list(&mut list, advice, looked.cause, false);
    list.draw(canvas, area);
}

fn rule(canvas: &mut Canvas, area: Rect) {
    let rule = "─".repeat(usize::from(area.width));
    canvas.put(area, 0, 0, &rule, Role::Muted);
}

fn cause_list(sheet: &mut Sheet, advice: &Advice, picked: usize, numbered: bool) {
    let room = if numbered { "     " } else { "" };
    sheet.row(vec![Part::new(
        Role::Muted,
        format!("{room}explains            present  cause"),
    )]);
    if let Some(cured) = advice.cured {
        let head = format!(
            "{room}{:>6}  {}          ",
            percent(cured),
            share_bar(cured)
        );
        let indent = " ".repeat(width(&head));
        let text = "Cured: nothing big enough for the complaint is left";
        sheet.hanging(&head, &indent, Role::Strong, text);
    }
    for (n, cause) in advice.causes.iter().enumerate() {
        let head = format!(
            "{:>6}  {}  {:>6}  ",
            percent(cause.explains),
            share_bar(cause.explains),
            percent(cause.present)
        );
        let name = &cause.name;
        if numbered {
            sheet.item_beside(n + 1, n == picked, &head, name, &Message::Pick(n));
        } else {
            let indent = " ".repeat(width(&head));
            sheet.hanging(&head, &indent, Role::Plain, name);
        }
    }
}

/// What moved a cause: from the odds before to those now, adding up.
fn why_of(sheet: &mut Sheet, advice: &Advice, cause: usize) {
    let Some(picked) = advice.causes.get(cause) else {
        return;
    };
    sheet.text(Role::Strong, &format!("What moved it: {}", picked.name));
    line(
        sheet,
        Some(log_odds(picked.before)),
        None,
        &format!(
            "before anything was read: {}, by its odds among all",
            percent(picked.before)
        ),
    );
    let by = |moved: &Moved| moved.by.get(cause).copied().unwrap_or(0.0);
    let tells = |moved: &&Moved| decibans(by(moved)).abs() >= LITTLE;
    for moved in advice.moved.iter().filter(tells) {
        let change = by(moved);
        let text = format!("{}: {}", moved.words, words(change));
        line(sheet, Some(change), Some(balance(change)), &text);
    }
    let little: Vec<f64> = advice.moved.iter().filter(|m| !tells(m)).map(by).collect();
    if !little.is_empty() {
        let sum: f64 = little.iter().sum();
        let text = match little.len() {
            1 => "one more, that says little about it".to_owned(),
            n => format!("{n} more, that say little about it"),
        };
        line(sheet, Some(sum), Some(balance(sum)), &text);
    }
    let now = format!("now, all together: present {}", percent(picked.present));
    line(sheet, Some(log_odds(picked.present)), None, &now);
    if (picked.explains - picked.present).abs() > 0.005 {
        let text = format!(
            "and big enough for the complaint: {}",
            percent(picked.explains)
        );
        line(sheet, None, None, &text);
    }
    if let Some(own) = &picked.own {
        let text = format!(
            "Its odds: {} by the author, {} with our own jobs ({} of {} had it).",
            percent(own.author),
            percent(own.learned),
            own.found,
            own.jobs
        );
        sheet.text(Role::Plain, &text);
    }
    sheet.text(
        Role::Muted,
        "Explains: how likely the complaint comes from it, not how much of it. For and against: beside the other \
         causes. dB: 3 doubles the odds, 10 makes them ten to one, 20 a hundred to one.",
    );
}

fn line(sheet: &mut Sheet, change: Option<f64>, bar: Option<String>, text: &str) {
    let role = if bar.is_some() {
        Role::Plain
    } else {
        Role::Strong
    };
    let change = change.map_or_else(String::new, |change| {
        format!("{:>+6.1} dB", decibans(change))
    });
    let head = format!("{change:>9}  {:<11}  ", bar.unwrap_or_default());
    sheet.hanging(&head, &" ".repeat(24), role, text);
}

/// The warnings that did not stand above, and what was read and says nothing.
fn silent(sheet: &mut Sheet, advice: &Advice) {
    for warning in advice.warnings.iter().skip(1) {
        sheet.hanging("! ", "  ", Role::Caution, &shown::capital(warning));
    }
    for (name, why) in &advice.silent {
        sheet.hanging(
            "- ",
            "  ",
            Role::Muted,
            &format!("{name} says nothing: {why}"),
        );
    }
}

/// What can be done next, and below it what the picked one is about.
fn ways(
    model: &Model,
    advice: &Advice,
    looked: &Looked,
    canvas: &mut Canvas,
    area: Rect,
    numbered: bool,
) {
    let mut list = Sheet::new(area.width);
    if advice.ways.is_empty() {
        list.text(Role::Plain, "Nothing is left to be done.");
    } else {
        let head = "Expected time to a proven repair, if this is done first";
        list.row(vec![Part::new(Role::Muted, head)]);
    }
    let expected: Vec<f64> = advice.ways.iter().map(|way| way.expected).collect();
    let times = shown::minutes_alike(&expected);
    let widest = times.iter().map(|time| width(time)).max().unwrap_or(0);
    for (n, (way, time)) in advice.ways.iter().zip(times).enumerate() {
        let head = format!("{time:>widest$}  ");
        let words = listed(way);
        if numbered {
            list.item_beside(n + 1, n == looked.way, &head, &words, &Message::Pick(n));
        } else {
            list.hanging(&head, &" ".repeat(width(&head)), Role::Plain, &words);
        }
    }
    let half = if numbered {
        (area.height / 2).max(2)
    } else {
        area.height.saturating_sub(1)
    };
    let (top, rest) = split(area, list.height().min(half));
    list.draw(canvas, top);
    let (line, rest) = split(rest, 1);
    rule(canvas, line);
    let mut about = Sheet::new(rest.width.saturating_sub(2));
    let picked = if numbered { looked.way } else { 0 };
    if let Some(way) = advice.ways.get(picked) {
        way_of(&mut about, model, advice, way, numbered);
    }
    for (title, gear) in &advice.lacking {
        let text = format!("{title}: not without {}", gear.join(", "));
        about.hanging("- ", "  ", Role::Muted, &text);
    }
    if numbered {
        about.draw_scrolled(canvas, rest, looked.scroll);
    } else {
        about.draw(canvas, rest);
    }
}

/// A way in the list of times to a proven repair; who hands the car on proves none.
fn listed(way: &Way) -> String {
    let words = shown::capital(&way.words);
    if way.words.ends_with("not proved") {
        format!("{words} (what that costs)")
    } else if way.is_handing_on() {
        format!("{words} (what that costs; nothing is proved)")
    } else {
        words
    }
}

fn way_of(sheet: &mut Sheet, model: &Model, advice: &Advice, way: &Way, goes: bool) {
    sheet.text(Role::Strong, &shown::capital(&way.words));
    let minutes = shown::minutes(way.minutes);
    let text = format!("{minutes} of work. {}.", shown::capital(&way.because));
    sheet.text(Role::Plain, &text);
    let first = first_of(advice, way);
    if !first.is_empty() {
        sheet.labelled(Role::Caution, "First do:", &first.join(", then "));
    }
    if !way.serves.is_empty() {
        sheet.labelled(
            Role::Muted,
            "Set up once, also for:",
            &way.serves.join(", "),
        );
    }
    if !way.cautions.is_empty() {
        let text = way.cautions.join(", ");
        sheet.labelled(Role::Caution, "Cautions before it:", &text);
    }
    for branch in &way.branches {
        let head = format!("{:>6}  ", percent(branch.probability));
        sheet.hanging(&head, "        ", Role::Plain, &outcome(branch));
    }
    if !goes {
        return;
    }
    if let Some(flow) = &advice.beside.flow {
        let text = match flow.expected {
            Some(expected) => format!("{} (about {})", flow.words, shown::minutes(expected)),
            None => format!(
                "{} (no time: what it does tells no causes apart)",
                flow.words
            ),
        };
        sheet.labelled(Role::Muted, "The flow's own way:", &text);
    }
    if model.can_take_way() && model.context() == Context::Evidence {
        let from = sheet.height();
        let leads = advice
            .beside
            .flow
            .as_ref()
            .and_then(|flow| flow.go.as_ref());
        let text = match &way.first {
            _ if way.go.is_some() && way.go.as_ref() == leads => {
                "Go there, as the flow does".to_owned()
            }
            _ if advice.save_first && way.may_lose_codes() => {
                "Save first what the control unit knows".to_owned()
            }
            Some((_, first)) => format!("Go to what comes first: {first}"),
            None => "Leave the flow's way and go there".to_owned(),
        };
        sheet.row(vec![
            Part::new(Role::Key, "> Enter  "),
            Part::new(Role::Strong, text),
        ]);
        sheet.hit_from(from, &Message::Do(Act::Accept));
    }
}

fn outcome(branch: &Branch) -> String {
    let shown: Vec<&str> = branch
        .outcomes
        .iter()
        .take(OUTCOMES)
        .map(String::as_str)
        .collect();
    let more = branch.outcomes.len() - shown.len();
    let mut out = shown.join("; or ");
    if more == 1 {
        out.push_str("; or one other outcome");
    } else if more > 1 {
        out = format!("{out}; or {more} other outcomes");
    }
    format!("{out}: then {}", branch.then)
}
