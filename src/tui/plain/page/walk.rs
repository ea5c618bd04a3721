//! The walk in lines: the step, the caution or the question, and how it is answered.

use ratatui::layout::Rect;

use super::{Page, WIDE, numbered};
use crate::engine::standing::Standing;
use crate::flow::answer::Strength;
use crate::flow::cautions::Caution;
use crate::flow::model::{Phase, PromptKind};
use crate::tui::clean::clean;
use crate::tui::keys::{self, Context};
use crate::tui::message::Act;
use crate::tui::model::Model;
use crate::tui::view::sheet::Sheet;
use crate::tui::view::{answers, step, values, ways};

/// Says where the walk stands and what it asks.
pub(super) fn walk_page(page: &mut Page, model: &Model, context: Context) {
    let wide = Rect::new(0, 0, WIDE, 24);
    if let (Standing::Stopped(stop), Some(open)) = (model.standing(), &model.open) {
        let mut sheet = Sheet::new(WIDE);
        ways::stop_text(&mut sheet, &open.job, stop);
        page.place = sheet.lines();
    } else {
        page.place.extend(phase(model));
        let there = keys::shown(model, Act::Rejudged, model.context_below());
        let there = format!("{there} goes there.");
        let lines = step::text(model, wide).sheet.lines();
        page.place.extend(
            lines
                .iter()
                .map(|line| line.replace(&there, "`go there` leads back to it.")),
        );
        page.place.extend(timer(model));
    }
    match context {
        Context::Caution => caution(page, model),
        Context::Ways => {
            page.asks = ways::sheet(model, WIDE).lines();
            let picked = model.open.as_ref().and_then(|open| open.at);
            page.asks
                .extend(picked.map(|at| format!("Enter alone: {}", at + 1)));
        }
        Context::Judged => {
            let lines = answers::judged(model, wide).lines();
            page.asks = lines.iter().map(|line| as_typed(line)).collect();
        }
        _ => question(page, model),
    }
    for lines in [&mut page.place, &mut page.asks] {
        lines.retain(|line| !line.is_empty());
        for line in lines {
            *line = spoken(line);
        }
    }
}

/// A line of a screen whose pieces are set apart by blanks, with stops that are read out instead.
fn spoken(line: &str) -> String {
    let indent = line.len() - line.trim_start().len();
    let (indent, text) = line.split_at(indent);
    let mut out = indent.to_owned();
    let mut rest = text.strip_prefix("=   ").unwrap_or(text);
    while let Some(at) = rest.find("  ") {
        let (piece, after) = rest.split_at(at);
        let next = after.trim_start();
        let stop = match after.len() - next.len() {
            _ if next.starts_with('(') || piece.ends_with([':', '.', '?']) => " ",
            2 => ": ",
            _ => ", ",
        };
        out.push_str(piece);
        out.push_str(stop);
        rest = next;
    }
    out + rest
}

/// A line of the screens that names the key which goes on.
pub(super) fn as_typed(line: &str) -> String {
    match line.strip_prefix("> Enter  ") {
        Some(rest) => format!("Enter alone: {rest}"),
        None => line.to_owned(),
    }
}

fn phase(model: &Model) -> Option<String> {
    let now = match model.standing() {
        Standing::Step(step) => step.phase,
        Standing::Repair { .. } => Phase::Repair,
        _ => return None,
    };
    let at = Phase::ALL.iter().position(|phase| *phase == now)? + 1;
    Some(format!(
        "Phase {at} of {}: {}",
        Phase::ALL.len(),
        now.word()
    ))
}

fn timer(model: &Model) -> Option<String> {
    let timer = model.timer()?;
    if timer.waits {
        return Some(format!(
            "A clock of {} s begins as the gauge is read here; when it is up, that is said.",
            timer.whole
        ));
    }
    Some(format!(
        "A timer of {} s runs from here; when it is up, that is said.",
        timer.whole
    ))
}

/// The words that accept a caution: its title, so that each has its own.
pub fn own_words(caution: &Caution) -> String {
    caution.title.to_lowercase()
}

fn caution(page: &mut Page, model: &Model) {
    if let Standing::Cautions(due) = model.standing()
        && let Some(caution) = due.first()
    {
        page.asks = vec![format!(
            "If you have read it and will do so ({}), type its name: {}",
            clean(&model.who),
            own_words(caution)
        )];
    }
}

fn question(page: &mut Page, model: &Model) {
    let (Some(open), Some(asked)) = (&model.open, model.asked()) else {
        return;
    };
    let wide = Rect::new(0, 0, WIDE, 24);
    match &asked.prompt.kind {
        PromptKind::Places(listed) => {
            page.asks = answers::asked(model, WIDE).lines();
            let places = open.entry.places_in_order(listed);
            page.asks
                .extend(numbered(places.iter().map(|place| (place.as_str(), ""))));
            page.asks.push(
                "Type each place's number and how strongly it shows there (wisp, steady, heavy), \
                 such as: 2 heavy, 3 wisp. Enter alone when all are marked."
                    .to_owned(),
            );
        }
        // The pairs that are taken are not said again with each that follows.
        PromptKind::Pairs(pairs) => {
            page.asks = answers::asked(model, WIDE).lines();
            let ranges = answers::ranges(pairs);
            page.asks
                .extend(ranges.map(|ranges| format!("asked again outside {ranges}")));
            page.asks.push(format!(
                "One pair a line, {} at least; each is saved at once. Enter alone ends the list.",
                pairs.at_least
            ));
            let ((first, a), (second, b)) = (&pairs.first, &pairs.second);
            page.prompt = clean(&format!(
                "{first} in {} = {second} in {}> ",
                a.name(),
                b.name()
            ));
        }
        kind => {
            page.asks = answers::unmarked(model, wide).lines();
            page.prompt = match kind {
                PromptKind::Quantity(q) => match values::unit_name(q.unit) {
                    "" => "> ".to_owned(),
                    unit => format!("{unit}> "),
                },
                _ => "> ".to_owned(),
            };
        }
    }
}

/// The places that are marked, in words.
pub fn marked(model: &Model) -> Option<String> {
    let open = model.open.as_ref()?;
    let asked = model.asked()?;
    let PromptKind::Places(listed) = &asked.prompt.kind else {
        return None;
    };
    let words: Vec<String> = open
        .entry
        .places_in_order(listed)
        .into_iter()
        .filter_map(|place| {
            let word = match open.entry.places.get(place)? {
                Strength::Wisp => "wisp",
                Strength::Steady => "steady",
                Strength::Heavy => "heavy",
            };
            Some(format!("{place} {word}"))
        })
        .collect();
    Some(if words.is_empty() {
        "Nothing is marked.".to_owned()
    } else {
        clean(&format!("Marked: {}.", words.join(", ")))
    })
}
