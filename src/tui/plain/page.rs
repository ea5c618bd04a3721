//! What is said in lines: where the walk stands, what is asked, and how the answer is typed. Made
//! from the model and the sheets of the screens; knows nothing of what was said before.

use crate::job::store::{JobLine, JobState};
use crate::practice::start::MARK;
use crate::tui::clean::clean;
use crate::tui::keys::Context;
use crate::tui::model::{Field, FieldKind, Files, Form, Model, Over, Preview, items, subject};
use crate::tui::view::{board, files, times};
use crate::units::preferred;

mod walk;

use walk::{as_typed, walk_page};
pub use walk::{marked, own_words};

/// Wide enough to break no text: whoever reads the lines breaks them as it suits.
const WIDE: u16 = u16::MAX;
/// So many jobs or files are listed; what is older is found by searching or naming it.
const MOST: usize = 20;

/// What is said.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Page {
    /// Which job, which flow.
    pub head: String,
    /// Where the walk stands: the step, the caution, the form.
    pub place: Vec<String>,
    /// What is asked.
    pub asks: Vec<String>,
    /// What stands before what is typed.
    pub prompt: String,
}

/// What is said now, values in the units that people want to read.
pub fn page(model: &Model) -> Page {
    preferred::showing(&model.settings.units, || said_now(model))
}

fn said_now(model: &Model) -> Page {
    let context = model.context();
    let mut page = Page {
        prompt: "> ".to_owned(),
        ..Page::default()
    };
    if !matches!(context, Context::Board | Context::Search) {
        page.head = head(model);
    }
    match model.overs.last() {
        Some(Over::Form(form)) => form_page(&mut page, form),
        Some(Over::List { kind, .. }) => {
            let subject = subject(model, *kind).unwrap_or_default();
            page.place = said(&[kind.title(), &subject, kind.lead()]);
            page.asks = numbered(
                items(model, *kind)
                    .iter()
                    .map(|item| (item.label.as_str(), item.detail.as_str())),
            );
        }
        Some(Over::Files(picker)) => files_page(&mut page, model, picker),
        Some(_) => {}
        None => match context {
            Context::Board | Context::Search => board_page(&mut page, model),
            _ => walk_page(&mut page, model, context),
        },
    }
    page
}

/// Texts without the empty ones.
fn said(texts: &[&str]) -> Vec<String> {
    let texts = texts.iter().filter(|text| !text.is_empty());
    texts.map(|text| clean(text)).collect()
}

fn numbered<'i>(items: impl Iterator<Item = (&'i str, &'i str)>) -> Vec<String> {
    let mut lines = Vec::new();
    for (n, (label, detail)) in items.enumerate() {
        lines.push(clean(&format!("{}. {label}", n + 1)));
        let detail = detail.lines().filter(|line| !line.is_empty());
        lines.extend(detail.map(|line| clean(&format!("   {line}"))));
    }
    if lines.is_empty() {
        lines.push("There is nothing to pick here; `back` leaves the list.".to_owned());
    }
    lines
}

/// Which job and which flow.
fn head(model: &Model) -> String {
    let Some(open) = &model.open else {
        return String::new();
    };
    let opening = open.job.opening.clone().unwrap_or_default();
    let bay = match opening.bay.as_str() {
        "" => String::new(),
        bay => format!("bay {bay}"),
    };
    let flow = open.job.run().map(|run| model.shelf.title_of(&run.flow));
    // The plate of an exercise is the mark of practice.
    let job = match &open.bay {
        Some(practice) => {
            let minutes = crate::engine::shown::minutes(practice.minutes);
            format!("Exercise {}, {minutes}", open.number)
        }
        None => format!("Job {}", open.number),
    };
    let words = [
        job,
        opening.vehicle.plate,
        opening.vehicle.model,
        bay,
        flow.unwrap_or_default(),
    ];
    let words: Vec<String> = words.into_iter().filter(|word| !word.is_empty()).collect();
    clean(&format!("--- {} ---", words.join(", ")))
}

fn board_page(page: &mut Page, model: &Model) {
    let board = &model.board;
    let shown = board.shown();
    let query = board.query.value().trim();
    let (things, thing) = if model.practice {
        ("exercises", "exercise")
    } else {
        ("jobs", "job")
    };
    if board.searching && query.is_empty() {
        page.prompt = "search for> ".into();
        page.asks = vec![format!(
            "Search all {things}: every word must occur somewhere in the {thing}."
        )];
        return;
    }
    let what = if !query.is_empty() {
        let found = if model.practice { "Exercises" } else { "Jobs" };
        format!("{found} with `{query}`: {}", shown.len())
    } else if board.shows_all() && !shown.is_empty() {
        format!("All {things}: {}", shown.len())
    } else {
        format!("Open {things}: {}", shown.len())
    };
    let mark = if model.practice {
        format!("{MARK}: ")
    } else {
        String::new()
    };
    let on_flows = board::on_flows(&model.shelf).map(|said| clean(&format!("! {said}")));
    page.place = std::iter::once(clean(&format!("{mark}{what}")))
        .chain(on_flows)
        .collect();
    if shown.is_empty() {
        page.asks = no_job(model, query);
        return;
    }
    let lines: Vec<(String, String)> = shown
        .iter()
        .take(MOST)
        .map(|line| on_the_board(model, line))
        .collect();
    page.asks = numbered(
        lines
            .iter()
            .map(|(label, detail)| (label.as_str(), detail.as_str())),
    );
    let more = shown.len().saturating_sub(MOST);
    if more > 0 {
        page.asks
            .push(format!("And {more} more: `search` finds them."));
    }
}

/// A job of the board: what it is called, and how it stands.
fn on_the_board(model: &Model, line: &JobLine) -> (String, String) {
    let mut label = vec![format!("Job {}", line.number), line.plate.clone()];
    label.extend((!line.model.is_empty()).then(|| line.model.clone()));
    label.extend((!line.bay.is_empty()).then(|| format!("bay {}", line.bay)));
    let stands = match line.state {
        JobState::HandedOver => "handed over".to_owned(),
        JobState::Open => board::stands_at(model, line),
    };
    let mut detail = vec![stands, times::ago(line.last, model.now)];
    detail.extend((!line.codes.is_empty()).then(|| line.codes.join(" ")));
    let complaint = line.complaint.replace(char::is_control, " ");
    let detail = format!("\"{complaint}\"\n{}", detail.join("; "));
    (label.join(", "), detail)
}

/// What is said where the board shows no job.
fn no_job(model: &Model, query: &str) -> Vec<String> {
    said(if !query.is_empty() {
        &["No job has all of these words. `/back` lists the open jobs again."]
    } else if model.practice {
        &[
            "new exercise: choose what to practise; the car is not there.",
            "back to jobs: the workshop's jobs.",
            "help: what can be typed here.",
        ]
    } else {
        &[
            "new job: a car has come in; open a job for it.",
            "leave, then `ruleout demo --plain`: the same on invented jobs.",
            "practise: a car that is not there; find what is wrong with it.",
            "help: what can be typed here.",
        ]
    })
}

fn form_page(page: &mut Page, form: &Form) {
    page.place = said(&[&form.title, &form.lead]);
    let Some(field) = form.field() else {
        return;
    };
    page.prompt = format!("{}> ", field.label);
    let mut ask = field.label.to_owned();
    if !field.hint.is_empty() {
        ask.push_str(": ");
        ask.push_str(match field.kind {
            FieldKind::Listed(_) => "numbers of this list, or your own words, with commas",
            _ => &field.hint,
        });
    }
    page.asks = said(&[&ask]);
    match &field.kind {
        FieldKind::Words { words, at } => {
            page.asks
                .extend(numbered(words.iter().map(|word| (word.as_str(), ""))));
            let picked = at.and_then(|at| words.get(at));
            page.asks
                .extend(picked.map(|word| clean(&format!("picked: {word}"))));
        }
        FieldKind::Listed(words) => page.asks.push(listed(words)),
        _ => {}
    }
    page.asks.extend(stands_there(field));
}

/// A list in one line, since it is long and seldom read to its end.
fn listed(words: &[String]) -> String {
    let words = words.iter().enumerate();
    let words: Vec<String> = words.map(|(n, word)| format!("{} {word}", n + 1)).collect();
    clean(&words.join(", "))
}

fn stands_there(field: &Field) -> Option<String> {
    let text = field.text.value().trim();
    (!text.is_empty()).then(|| {
        clean(&format!(
            "there now: {text}  (Enter alone keeps it; `/empty` empties it)"
        ))
    })
}

fn files_page(page: &mut Page, model: &Model, picker: &Files) {
    let folder = picker.folder.path.display().to_string();
    page.place = said(&["Fill readings from a log or a capture", &folder]);
    page.prompt = "file> ".into();
    if let Some(error) = &picker.folder.error {
        page.asks.push(clean(error));
    }
    let names: Vec<String> = picker
        .listed()
        .iter()
        .take(MOST)
        .map(|entry| {
            let slash = if entry.folder { "/" } else { "" };
            format!("{}{slash}", entry.name)
        })
        .collect();
    page.asks
        .extend(numbered(names.iter().map(|name| (name.as_str(), ""))));
    page.asks
        .push("Type a number, or the path of a file or a folder.".to_owned());
    let file = picker.picked().filter(|entry| !entry.folder);
    if let (Some(entry), false) = (file, matches!(picker.preview, Preview::None)) {
        page.asks.push(clean(&format!("{}:", entry.name)));
        let held = files::preview(model, picker, WIDE).lines();
        page.asks.extend(
            held.iter()
                .map(|line| as_typed(line))
                .filter(|l| !l.is_empty()),
        );
    }
}
