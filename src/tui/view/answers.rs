//! The lower part of the walk at a step: the question on screen, or what the readings come to.

use ratatui::layout::Rect;

use super::canvas::width;
use super::sheet::{Part, Sheet};
use super::{beside, times, values};
use crate::engine::event::What;
use crate::engine::{saving, shown};
use crate::flow::answer::{Answer, Strength};
use crate::flow::facts::about;
use crate::flow::model::{Limit, PairsPrompt, PromptKind, QuantityPrompt};
use crate::rules::suggest::{self, Kind, Suggestion};
use crate::tui::keys;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Asked, Entry, Model, OpenJob};
use crate::tui::theme::Role;
use crate::tui::update::to_be_read_again;
use crate::units::Quantity;
use crate::units::together::NO_BREAK;

/// The question on screen, with what is wrong with what was entered.
pub fn question(model: &Model, area: Rect) -> Sheet {
    let mut sheet = unmarked(model, area);
    let error = model
        .open
        .as_ref()
        .and_then(|open| open.entry.error.as_ref());
    if let Some(error) = error {
        sheet.hanging("! ", "  ", Role::Fail, error);
        sheet.focus_here();
    }
    sheet
}

/// The question on screen, without what is wrong.
pub fn unmarked(model: &Model, area: Rect) -> Sheet {
    let mut sheet = asked(model, area.width);
    let (Some(open), Some(asked)) = (&model.open, model.asked()) else {
        return sheet;
    };
    match &asked.prompt.kind {
        PromptKind::Quantity(q) => {
            if model.takes_samples() {
                sheet.text(
                    Role::Plain,
                    "Until the time is up, what you type is a sample on the way.",
                );
            }
            value(&mut sheet, open, q);
        }
        PromptKind::Text => typed(&mut sheet, &open.entry, 60, ""),
        PromptKind::Choice(words) => choice(&mut sheet, &open.entry, words),
        PromptKind::Places(listed) => places(&mut sheet, &open.entry, listed),
        PromptKind::Pairs(pairs) => list_of_pairs(&mut sheet, open, &asked, pairs),
    }
    sheet
}

/// What is asked, without the ways to answer it.
pub fn asked(model: &Model, columns: u16) -> Sheet {
    let mut sheet = Sheet::new(columns);
    if let (Some(open), Some(asked)) = (&model.open, model.asked()) {
        read_so_far(&mut sheet, open);
        ask(&mut sheet, &asked);
        codes(&mut sheet, model);
        if model.begins_anew(asked.prompt) {
            let text = "The step was left before the hold was over. Set it up anew and read the \
                        start again: the clock begins with it.";
            sheet.hanging("! ", "  ", Role::Caution, text);
        }
        beside(&mut sheet, open, &asked, model.begins_anew(asked.prompt));
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
            // No line ends between a name and what it is.
            words.push(format!(
                "{}:{NO_BREAK}{}{}",
                prompt.id.replace('-', " "),
                shown::answer(&taken.value),
                taken
                    .late
                    .map_or_else(String::new, |late| format!(" (entered {late} s late)"))
            ));
        } else if open.job.is_left_out(visit.since_seq, &prompt.id) {
            words.push(format!(
                "{}:{NO_BREAK}left out",
                prompt.id.replace('-', " ")
            ));
        }
    }
    if !words.is_empty() {
        sheet.labelled(Role::Pass, "So far:", &words.join(" · "));
    }
}

fn ask(sheet: &mut Sheet, asked: &Asked) {
    let prompt = asked.prompt;
    let (n, of) = asked.number;
    let mut beside: Vec<String> = Vec::new();
    if asked.fact {
        beside.push(about(&prompt.id).to_owned());
    }
    if of > 1 {
        beside.push(format!("{n} of {of}"));
    }
    if prompt.optional {
        beside.push("may be left out".to_owned());
    }
    let beside = if beside.is_empty() {
        String::new()
    } else {
        format!("  ({})", beside.join("; "))
    };
    if width(&prompt.ask) + width(&beside) <= sheet.columns() {
        sheet.row(vec![
            Part::new(Role::Strong, prompt.ask.clone()),
            Part::new(Role::Muted, beside),
        ]);
    } else {
        sheet.text(Role::Strong, &prompt.ask);
        sheet.text(Role::Muted, beside.trim());
    }
    if !prompt.help.is_empty() {
        sheet.text(Role::Muted, &prompt.help);
    }
}

/// A question about trouble codes has no room for the codes themselves: the form has.
fn codes(sheet: &mut Sheet, model: &Model) {
    let may = keys::available(model).any(|row| row.act == Act::Codes);
    if !model.asks_for_codes() || !may {
        return;
    }
    let key = if model.has_clock {
        keys::shown(model, Act::Codes, model.context())
    } else {
        // In lines a key's words are its command.
        "`save codes`".to_owned()
    };
    let text = match saved_codes(model) {
        Some(saved) => format!("{saved} {key} writes down what is there now."),
        None => format!("None are saved yet: {key} writes them down, freeze frame and all."),
    };
    let from = sheet.height();
    sheet.text(Role::Plain, &text);
    sheet.hit_from(from, &Message::Do(Act::Codes));
}

/// What was saved last, and whether it is what is asked for: codes of before a run are no answer to which there are after
/// it.
fn saved_codes(model: &Model) -> Option<String> {
    let (open, asked) = (model.open.as_ref()?, model.asked()?);
    let mut events = open.events.iter().rev();
    let (seq, at, codes) = events.find_map(|event| match &event.what {
        What::CodesNoted(codes) => Some((event.seq, event.at, codes)),
        _ => None,
    })?;
    let codes = format!(
        "{}; pending: {}",
        shown::words(&codes.stored),
        shown::words(&codes.pending)
    );
    let since = open.job.visit().map_or(0, |visit| visit.stay_seq);
    let whether = saving::asks_whether_saved(asked.prompt);
    if seq > since {
        let where_ = if whether { "" } else { " at this step" };
        return Some(format!("Saved{where_}: {codes}."));
    }
    let at = times::at(at, model.now, model.zone);
    // What was saved before the repair says nothing of the car in the test after it.
    let no_answer = if whether && !to_be_read_again(open) {
        ""
    } else {
        " Read the codes anew before you answer:"
    };
    Some(format!("Saved before this step, {at}: {codes}.{no_answer}"))
}

/// The same reading of the test before, what was answered here, and what was read elsewhere.
fn beside(sheet: &mut Sheet, open: &OpenJob, asked: &Asked, anew: bool) {
    let entry = &open.entry;
    if asked.fact {
        let run = open.job.run();
        let why = run.and_then(|run| open.job.fact_objection(&run.flow, asked.prompt));
        if let Some(why) = why {
            sheet.hanging("! ", "  ", Role::Caution, &why);
        }
    }
    let before = open
        .job
        .test_number()
        .checked_sub(1)
        .filter(|_| !asked.fact);
    if let Some(taken) = before.and_then(|test| open.job.latest(&asked.prompt.id, test)) {
        let text = format!("before the repair: {}", shown::answer(&taken.value));
        sheet.text(Role::Plain, &text);
    }
    if let (None, Some(offered)) = (&entry.given, &entry.by_settings) {
        let text = format!(
            "{} by the workshop's settings · Enter takes it",
            shown::answer(offered)
        );
        sheet.text(Role::Plain, &text);
    }
    if let Some(given) = &entry.given {
        let enter = if anew {
            "Enter if it reads the same now"
        } else {
            "Enter keeps it; another answer takes its place"
        };
        let text = format!("answered: {} · {enter}", shown::answer(given));
        sheet.text(Role::Plain, &text);
    } else if let Some(offer) = &entry.offer {
        let text = format!(
            "{} in this test, in {} · Enter takes it over",
            shown::answer(&offer.value),
            offer.flow
        );
        sheet.text(Role::Plain, &text);
    } else if let Some(earlier) = &entry.earlier {
        let was = match earlier {
            Answer::Choice(word) | Answer::Text(word) => format!("\"{word}\""),
            other => shown::answer(other),
        };
        let text = format!("earlier in this test it was {was}; read it anew here");
        sheet.text(Role::Muted, &text);
    } else if open.job.is_left_out(asked.key.0, &asked.prompt.id) {
        sheet.text(Role::Plain, "left out · Enter keeps it so");
    } else if asked.prompt.optional && open.job.pairs_in(asked.key.0, &asked.prompt.id).is_empty() {
        sheet.text(
            Role::Muted,
            "Enter on nothing leaves it out; the record says so.",
        );
    }
}

fn value(sheet: &mut Sheet, open: &OpenJob, q: &QuantityPrompt) {
    typed(sheet, &open.entry, 16, values::unit_name(q.unit));
    let limit = never_above(open, q);
    if let (Some((from, to)), Some((limit, words))) = (q.plausible, &limit)
        && limit.is_some_and(|limit| limit.si() <= to.si())
    {
        // The limit binds first: above it nothing is asked again.
        let least = values::limit(from, q.unit);
        let text = format!("{words}: there the step stops; below {least} it is asked again");
        sheet.labelled(Role::Caution, "  Never above", &text);
        return;
    }
    if let Some((from, to)) = q.plausible {
        // A range that is asked about is not what to expect: a blocked tip passes nothing.
        let range = values::range(from, to, q.unit);
        sheet.text(Role::Muted, &format!("  asked again outside {range}"));
    }
    if let Some((_, words)) = limit {
        sheet.labelled(Role::Caution, "  Never above", &words);
    }
}

/// The limit of what is asked, where it is known: its value, and how it is written.
fn never_above(open: &OpenJob, q: &QuantityPrompt) -> Option<(Option<Quantity>, String)> {
    let of = |limit: Quantity| (Some(limit), values::limit(limit, q.unit));
    match q.never_above.as_ref()? {
        Limit::Constant(limit) => Some(of(*limit)),
        Limit::Fact(fact) => Some(match open.job.facts.get(fact)? {
            Answer::Quantity(limit) => of(*limit),
            other => (None, shown::answer(other)),
        }),
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
    let places = entry.places_in_order(listed);
    let how = if places.len() >= keys::LONG {
        "Type a place's number, then Space: wisp, steady, heavy, nothing. Enter: what stays empty was looked at, and shows nothing."
    } else {
        "A digit goes round: wisp, steady, heavy, nothing. Enter: what stays empty was looked at, and shows nothing."
    };
    for (n, place) in places.into_iter().enumerate() {
        let strength = entry.places.get(place).copied();
        let label = format!("{} {place}", bar(strength));
        sheet.item(n + 1, entry.at == Some(n), &label, "", &Message::Pick(n));
    }
    sheet.text(Role::Muted, how);
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

fn list_of_pairs(sheet: &mut Sheet, open: &OpenJob, asked: &Asked, columns: &PairsPrompt) {
    let taken = open.job.pairs_in(asked.key.0, &asked.prompt.id);
    for (n, pair) in taken.iter().enumerate() {
        let (a, b) = pair.pair;
        sheet.row(vec![
            Part::new(Role::Muted, format!("  {:>2}  ", n + 1)),
            Part::new(
                Role::Strong,
                format!("{} = {}", shown::quantity(a), shown::quantity(b)),
            ),
        ]);
    }
    let ((first, a), (second, b)) = (&columns.first, &columns.second);
    let unit = format!(
        "{first} in {} = {second} in {}",
        values::unit_name(*a),
        values::unit_name(*b)
    );
    typed(sheet, &open.entry, 24, &unit);
    if let Some(ranges) = ranges(columns) {
        sheet.text(Role::Muted, &format!("  asked again outside {ranges}"));
    }
    let missing = columns.at_least.saturating_sub(taken.len());
    let text = if missing > 0 {
        format!("Enter saves the pair; {missing} more at least.")
    } else {
        "Enter saves the pair; Enter alone ends the list.".to_owned()
    };
    sheet.text(Role::Muted, &text);
}

/// The plausible ranges of the columns that have one.
pub fn ranges(columns: &PairsPrompt) -> Option<String> {
    let ranges: Vec<String> = [
        (&columns.first, columns.plausible.0),
        (&columns.second, columns.plausible.1),
    ]
    .into_iter()
    .filter_map(|((name, unit), ends)| {
        let (from, to) = ends?;
        Some(format!("{name} {}", values::range(from, to, *unit)))
    })
    .collect();
    (!ranges.is_empty()).then(|| ranges.join(", "))
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
        beside::flows_way(&mut sheet, model, &suggestion.leads_to);
        sheet.hit_from(from, &Message::Do(Act::Accept));
    }
    sheet.focus_here();
    beside::evidence(&mut sheet, model);
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
