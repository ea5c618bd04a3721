//! The lower part of the walk at a step: the question on screen, or what the readings come to.

use ratatui::layout::Rect;

use super::sheet::{Part, Sheet};
use crate::engine::shown;
use crate::flow::answer::Strength;
use crate::flow::model::{Limit, PairsPrompt, PromptKind, QuantityPrompt};
use crate::rules::suggest::{self, Kind, Suggestion};
use crate::tui::message::{Act, Message};
use crate::tui::model::{Asked, Entry, Model, OpenJob};
use crate::tui::theme::Role;
use crate::units::{Dimension, Unit};

/// The question on screen.
pub fn question(model: &Model, area: Rect) -> Sheet {
    let mut sheet = Sheet::new(area.width);
    let (Some(open), Some(asked)) = (&model.open, model.asked()) else {
        return sheet;
    };
    read_so_far(&mut sheet, open);
    ask(&mut sheet, &asked);
    beside(&mut sheet, open, &asked);
    match &asked.prompt.kind {
        PromptKind::Quantity(q) => value(&mut sheet, open, q),
        PromptKind::Text => typed(&mut sheet, &open.entry, 60, ""),
        PromptKind::Choice(words) => choice(&mut sheet, &open.entry, words),
        PromptKind::Places(listed) => places(&mut sheet, &open.entry, listed),
        PromptKind::Pairs(asked) => pairs(&mut sheet, &open.entry, asked),
    }
    if let Some(error) = &open.entry.error {
        sheet.hanging("! ", "  ", Role::Fail, error);
        sheet.focus_here();
    }
    sheet
}

/// Answers given at this step, in a row or two.
fn read_so_far(sheet: &mut Sheet, open: &OpenJob) {
    let Some(visit) = open.job.visit() else {
        return;
    };
    let mut words: Vec<String> = Vec::new();
    for (prompt, _) in open.job.prompts_now() {
        let taken = open
            .job
            .taken_in(visit.since_seq)
            .filter(|taken| taken.reading == prompt.id)
            .last();
        if let Some(taken) = taken {
            words.push(format!(
                "{}: {}",
                prompt.id.replace('-', " "),
                shown::answer(&taken.value)
            ));
        }
    }
    if !words.is_empty() {
        sheet.labelled(Role::Pass, "Read", &words.join(" · "));
    }
}

fn ask(sheet: &mut Sheet, asked: &Asked) {
    let prompt = asked.prompt;
    let (n, of) = asked.number;
    let mut number = if of > 1 {
        format!("  ({n} of {of})")
    } else {
        String::new()
    };
    if asked.fact {
        number = if of > 1 {
            format!("  (about the vehicle; {} more)", of - 1)
        } else {
            "  (about the vehicle)".to_owned()
        };
    }
    if prompt.optional {
        number.push_str("  may be left out: Enter");
    }
    sheet.row(vec![
        Part::new(Role::Strong, prompt.ask.clone()),
        Part::new(Role::Muted, number),
    ]);
    if !prompt.help.is_empty() {
        sheet.text(Role::Muted, &prompt.help);
    }
}

/// The same reading of the test before, and the one that may be taken over.
fn beside(sheet: &mut Sheet, open: &OpenJob, asked: &Asked) {
    if asked.fact {
        let run = open.job.run();
        let why = run.and_then(|run| open.job.fact_objection(&run.flow, asked.prompt));
        if let Some(why) = why {
            sheet.hanging("! ", "  ", Role::Caution, &why);
        }
        return;
    }
    let before = open.job.test_number().checked_sub(1);
    if let Some(taken) = before.and_then(|test| open.job.latest(&asked.prompt.id, test)) {
        sheet.text(
            Role::Plain,
            &format!("before the repair: {}", shown::answer(&taken.value)),
        );
    }
    if let Some(offer) = &open.entry.offer {
        let text = format!(
            "read before in this test: {} · Enter takes it over",
            shown::answer(&offer.value)
        );
        sheet.text(Role::Plain, &text);
    }
}

fn value(sheet: &mut Sheet, open: &OpenJob, q: &QuantityPrompt) {
    typed(sheet, &open.entry, 16, unit_name(q.unit));
    if let Some((from, to)) = q.plausible {
        sheet.text(
            Role::Muted,
            &format!("  usually {}", shown::range(from, to)),
        );
    }
    let limit = q.never_above.as_ref().and_then(|limit| match limit {
        Limit::Constant(limit) => Some(limit.to_string()),
        Limit::Fact(fact) => open.job.facts.get(fact).map(shown::answer),
    });
    if let Some(limit) = limit {
        sheet.labelled(Role::Caution, "  Never above", &limit);
    }
}

/// A number of things has no unit that people would say.
fn unit_name(unit: Unit) -> &'static str {
    if unit.dimension() == Dimension::Count {
        ""
    } else {
        unit.name()
    }
}

fn typed(sheet: &mut Sheet, entry: &Entry, columns: usize, unit: &str) {
    let after = vec![Part::new(Role::Strong, format!(" {unit}"))];
    sheet.field(
        vec![Part::new(Role::Key, "> ")],
        &entry.text,
        columns,
        true,
        after,
    );
}

fn choice(sheet: &mut Sheet, entry: &Entry, words: &[String]) {
    for (n, word) in words.iter().enumerate() {
        let picked = entry.at == Some(n);
        let message = if picked {
            Message::Do(Act::Accept)
        } else {
            Message::Pick(n)
        };
        sheet.item(n + 1, picked, word, "", &message);
    }
}

fn places(sheet: &mut Sheet, entry: &Entry, listed: &[String]) {
    for (n, place) in entry.places_in_order(listed).into_iter().enumerate() {
        let strength = entry.places.get(place).copied();
        let label = format!("{} {place}", bar(strength));
        sheet.item(n + 1, entry.at == Some(n), &label, "", &Message::Pick(n));
    }
    sheet.text(
        Role::Muted,
        "A digit goes round: wisp, steady, heavy, nothing. Enter when all are marked.",
    );
}

/// A strength as a word, with a mark that can be told apart without reading it.
fn bar(strength: Option<Strength>) -> String {
    match strength {
        None => "[            ]".to_owned(),
        Some(Strength::Wisp) => "[*   wisp    ]".to_owned(),
        Some(Strength::Steady) => "[**  steady  ]".to_owned(),
        Some(Strength::Heavy) => "[*** heavy   ]".to_owned(),
    }
}

fn pairs(sheet: &mut Sheet, entry: &Entry, asked: &PairsPrompt) {
    for (n, (a, b)) in entry.pairs.iter().enumerate() {
        sheet.row(vec![
            Part::new(Role::Muted, format!("  {:>2}  ", n + 1)),
            Part::new(Role::Strong, format!("{a} = {b}")),
        ]);
    }
    let unit = format!(
        "{} in {} = {} in {}",
        asked.first.0,
        asked.first.1.name(),
        asked.second.0,
        asked.second.1.name()
    );
    typed(sheet, entry, 24, &unit);
    let missing = asked.at_least.saturating_sub(entry.pairs.len());
    let text = if missing > 0 {
        format!("Enter adds the pair; {missing} more at least.")
    } else {
        "Enter adds the pair; Enter alone ends the list.".to_owned()
    };
    sheet.text(Role::Muted, &text);
}

/// What the readings come to.
pub fn judged(model: &Model, area: Rect) -> Sheet {
    let mut sheet = Sheet::new(area.width);
    let Some(open) = &model.open else {
        return sheet;
    };
    read_so_far(&mut sheet, open);
    let Some(suggestion) = suggest::suggest(&open.job) else {
        return sheet;
    };
    for (name, value) in &suggestion.values {
        sheet.pair(name, value, 28);
    }
    if sheet.height() > 0 {
        sheet.blank();
    }
    says(&mut sheet, &suggestion, open.job.prompts_now().is_empty());
    let from = sheet.height();
    if suggestion.leads_to.is_empty() {
        sheet.text(
            Role::Plain,
            "Correct a reading, or take an outcome yourself and say why.",
        );
    } else {
        sheet.row(vec![
            Part::new(Role::Key, "> Enter  "),
            Part::new(Role::Strong, suggestion.leads_to.clone()),
        ]);
        sheet.hit_from(from, &Message::Do(Act::Accept));
    }
    sheet.focus_here();
    sheet
}

fn says(sheet: &mut Sheet, suggestion: &Suggestion, nothing_read: bool) {
    let (label, role) = match suggestion.kind {
        Kind::Clear => ("The readings say:", Role::Pass),
        Kind::Onward => ("The way on:", Role::Pass),
        Kind::Unsure => ("Unsure:", Role::Caution),
        Kind::NotValid => ("Not valid:", Role::Caution),
        Kind::Incomplete => ("Not all is read:", Role::Caution),
        Kind::NoMatch => ("No outcome fits:", Role::Caution),
    };
    if suggestion.because.is_empty() {
        let text = if nothing_read {
            "When it is done:"
        } else {
            "All is read:"
        };
        sheet.text(Role::Plain, text);
    } else {
        sheet.labelled(role, label, &suggestion.because);
    }
}
