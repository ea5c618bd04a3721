//! The board: every open job in two rows, where it stands and since when.

use chrono::{DateTime, Utc};
use ratatui::layout::Rect;

use super::canvas::{Canvas, cut, shortened, split, width};
use super::sheet::{Part, Sheet};
use super::{clock, times};
use crate::engine::waits::Stand;
use crate::flow::shelf::Shelf;
use crate::job::store::{JobLine, JobState};
use crate::practice::start::NOT_THERE;
use crate::tui::clean::clean;
use crate::tui::keys::{self, Context};
use crate::tui::message::{Act, Message};
use crate::tui::model::{Demo, Model};
use crate::tui::theme::Role;
use crate::tui::update::flows::{doubtful, not_offered, overlooked};

/// Draws the board.
pub fn draw(model: &Model, canvas: &mut Canvas, area: Rect) {
    let board = &model.board;
    let shown = board.shown();
    let mut head = head(model, shown.len(), area.width);
    for said in on_flows(&model.shelf) {
        head.text(Role::Caution, &format!("! {}", clean(&said)));
        head.blank();
    }
    let (top, rest) = split(area, head.height());
    head.draw(canvas, top);
    let mut sheet = Sheet::new(area.width);
    if shown.is_empty() {
        empty(model, &mut sheet);
    }
    let by_bay = !board.shows_all() && shown.iter().any(|line| !line.bay.is_empty());
    let mut bay = None;
    for (n, line) in shown.iter().enumerate() {
        if by_bay && bay != Some(&line.bay) {
            bay = Some(&line.bay);
            let words = if line.bay.is_empty() {
                "No bay".to_owned()
            } else {
                format!("Bay {}", line.bay)
            };
            sheet.text(Role::Strong, &words);
        }
        let picked = n == board.at;
        let message = if picked {
            Message::Do(Act::Accept)
        } else {
            Message::Pick(n)
        };
        let label = if model.practice {
            of_exercise(model, line)
        } else {
            label(line, by_bay)
        };
        let detail = detail(model, line, rest.width);
        sheet.item(n + 1, picked, &label, &detail, &message);
    }
    sheet.draw(canvas, rest);
}

/// What stands on the board about the owner's flows until they are mended.
pub fn on_flows(shelf: &Shelf) -> impl Iterator<Item = String> {
    not_offered(shelf)
        .into_iter()
        .chain(doubtful(shelf))
        .chain(overlooked(shelf))
}

/// The search line, or what is shown.
fn head(model: &Model, count: usize, columns: u16) -> Sheet {
    let board = &model.board;
    let is_demo = !model.practice && model.demo != Demo::No;
    let things = match (model.practice, is_demo) {
        (true, _) => "exercises",
        (_, true) => "demo jobs",
        _ => "jobs",
    };
    let mut top = Sheet::new(columns);
    if board.searching || !board.query.value().trim().is_empty() {
        let before = vec![Part::new(Role::Muted, format!("Search all {things} "))];
        let found = vec![Part::new(Role::Muted, format!(" {count} found"))];
        top.field(before, &board.query, 40, board.searching, found);
        top.hit_from(0, &Message::Do(Act::Search));
    } else {
        let what = if board.shows_all() && count > 0 {
            format!("All {things}")
        } else {
            format!("Open {things}")
        };
        let mut parts = vec![Part::new(Role::Strong, what)];
        // How many there are is not known before they are read.
        if board.asked {
            parts.push(Part::new(Role::Muted, format!("  {count}")));
        }
        if is_demo {
            let gone = "   invented, and gone as you leave";
            parts.push(Part::new(Role::Caution, gone));
        }
        top.row(parts);
    }
    top.blank();
    top
}

/// Number, plate and car; the bay where no heading says it.
fn label(line: &JobLine, by_bay: bool) -> String {
    let number = format!("Job {}", line.number);
    let bay = if line.bay.is_empty() || by_bay {
        String::new()
    } else {
        format!("  bay {}", line.bay)
    };
    format!(
        "{number:<8} {}  {}{bay}",
        padded(&line.plate, 10),
        line.model
    )
}

/// Number and test of an exercise, and what its record says of it: the level, the name under which it was handed on.
fn of_exercise(model: &Model, line: &JobLine) -> String {
    let number = format!("No. {}", line.number);
    let about = line.model.strip_prefix(NOT_THERE).unwrap_or_default();
    // One that has ended walks no flow any more.
    let ended = model.history.iter().find(|r| r.number == line.number);
    let own = line.flow.as_deref();
    let id = own.or(ended.map(|r| r.flow.as_str())).unwrap_or_default();
    let flow = model.shelf.find(id);
    let title = flow.map_or_else(
        || id.replace('-', " "),
        |shelved| model.shelf.title_of(&shelved.flow),
    );
    format!("{number:<6} {title}{}", clean(about))
}

/// So many columns tell most titles apart.
const LEAST_TITLE: usize = 16;

fn padded(text: &str, columns: usize) -> String {
    let text = cut(text, columns);
    let pad = columns.saturating_sub(width(&text));
    format!("{text}{}", " ".repeat(pad))
}

/// The complaint and the codes on one row; on the next where it stands, what it waits for and since
/// when.
fn detail(model: &Model, line: &JobLine, columns: u16) -> String {
    let room = usize::from(columns).saturating_sub(8);
    let codes = if line.codes.is_empty() {
        String::new()
    } else {
        format!("  {}", line.codes.join(" "))
    };
    let left = room.saturating_sub(width(&codes));
    let complaint = cut(&clean(&line.complaint), left.saturating_sub(2));
    let since = times::ago(line.last, model.now);
    let stands = if line.state == JobState::HandedOver {
        let at = times::at(line.last, model.now, model.zone);
        let how = if model.practice {
            let ended = model.history.iter().find(|r| r.number == line.number);
            ended.map_or_else(
                || "ended".to_owned(),
                |r| format!("ended, {} of {} · {}", r.got, r.of, r.who),
            )
        } else {
            "handed over".to_owned()
        };
        format!("{how} · {since} ({at})")
    } else {
        match looked_up(model, line).filter(|stand| !stand.waits.is_empty()) {
            Some(stand) => {
                let by = clean(&stand.begun_by);
                let place = stands_at(model, line);
                let place = if by.is_empty() {
                    place
                } else {
                    format!("{by} · {place}")
                };
                let tail = match stand.ends {
                    Some(ends) => format!(" · {}", clock_left(ends, model.now)),
                    None => format!(", {since}"),
                };
                fitted(&place, &format!("{}{tail}", clean(&stand.waits)), room)
            }
            None => format!("{} · {since}", stands_at(model, line)),
        }
    };
    format!("\"{complaint}\"{codes}\n{stands}")
}

/// How long the clock of a job runs yet.
fn clock_left(ends: DateTime<Utc>, now: DateTime<Utc>) -> String {
    let left = (ends - now).num_seconds();
    if left > 0 {
        format!("{} left", clock::text(left))
    } else {
        format!("TIME WAS UP {}", times::ago(ends, now))
    }
}

/// Place and what is waited for: side by side where there is room, else the place above it, with the flow's title
/// shortened where even that is too long.
fn fitted(place: &str, waits: &str, room: usize) -> String {
    let waits = format!("waits for: {waits}");
    let both = format!("{place} · {waits}");
    if width(&both) <= room {
        return both;
    }
    let above = in_room(place, room).unwrap_or_else(|| place.to_owned());
    format!("{above}\n{waits}")
}

/// A flow and its step in so many columns: the step is whole, and of the title enough is left to tell it from
/// others.
fn in_room(place: &str, room: usize) -> Option<String> {
    if width(place) <= room {
        return Some(place.to_owned());
    }
    let (title, step) = place.rsplit_once(": ")?;
    let left = room.checked_sub(width(step) + 2)?;
    (left >= LEAST_TITLE).then(|| format!("{}: {step}", shortened(title, left)))
}

fn looked_up<'m>(model: &'m Model, line: &JobLine) -> Option<&'m Stand> {
    let stands = model.board.stands.iter();
    stands
        .filter(|(job, _)| *job == line.id)
        .map(|(_, stand)| stand)
        .next()
}

/// Where a job stands, in words: as its own copy of the flow says, else as the flow on the shelf does.
pub fn stands_at(model: &Model, line: &JobLine) -> String {
    if let Some(stand) = looked_up(model, line).filter(|stand| !stand.place.is_empty()) {
        return named(model, line, clean(&stand.place));
    }
    let Some(id) = &line.flow else {
        return "no flow is being walked".to_owned();
    };
    let Some(shelved) = model.shelf.find(id) else {
        return id.replace('-', " ");
    };
    let flow = &shelved.flow;
    let step = match &line.step {
        Some(step) => flow
            .step(step)
            .map_or_else(|| step.replace('-', " "), |step| step.title.clone()),
        None => flow
            .steps
            .first()
            .map(|step| step.title.clone())
            .unwrap_or_default(),
    };
    format!("{}: {step}", model.shelf.title_of(flow))
}

/// The place with the flow's id behind its title, where another flow has the same one.
fn named(model: &Model, line: &JobLine, place: String) -> String {
    let shelved = line.flow.as_ref().and_then(|id| model.shelf.find(id));
    let Some(flow) = shelved.map(|shelved| &shelved.flow) else {
        return place;
    };
    match place.strip_prefix(clean(&flow.title).as_str()) {
        Some(rest) => format!("{}{rest}", clean(&model.shelf.title_of(flow))),
        None => place,
    }
}

fn empty(model: &Model, sheet: &mut Sheet) {
    if !model.board.asked {
        sheet.text(Role::Muted, "Reading the jobs ...");
        return;
    }
    if !model.board.query.value().trim().is_empty() {
        let thing = if model.practice { "exercise" } else { "job" };
        let text = format!("No {thing} has all of these words. Esc shows the open ones again.");
        sheet.text(Role::Plain, &text);
        return;
    }
    let key = |act| keys::shown(model, act, Context::Board);
    let new = if model.practice {
        "An exercise: choose what to practise; the car is not there."
    } else {
        "A car has come in: open a job for it, and every step is kept as it is done."
    };
    let mut keys = vec![(key(Act::NewJob), new, Act::NewJob)];
    if model.may_show_demo() {
        keys.push((
            key(Act::Demo),
            "Only looking? Invented jobs, at every stage, in a store that is thrown away.",
            Act::Demo,
        ));
    }
    if model.practice {
        keys.push((
            key(Act::Practice),
            "Back to the workshop's jobs.",
            Act::Practice,
        ));
        keys.push((
            key(Act::People),
            "Who has practised what, and how the marks went.",
            Act::People,
        ));
    } else if model.may_practise() {
        keys.push((
            key(Act::Practice),
            "A practice car: find what is wrong with it by the same tests, and be told how.",
            Act::Practice,
        ));
    }
    if keys.len() < 3 {
        keys.push((
            key(Act::Help),
            "What the keys do, here and on every screen.",
            Act::Help,
        ));
    }
    for (key, words, act) in keys {
        let from = sheet.height();
        sheet.hanging(&format!("{key}  "), "   ", Role::Plain, words);
        sheet.hit_from(from, &Message::Do(act));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_title_gives_way_to_what_is_waited_for_and_is_never_left_out() {
        let fits = |place: &str, room| fitted(place, "a reading, just now", room);
        assert_eq!(
            fits("Hold: Read it", 60),
            "Hold: Read it · waits for: a reading, just now"
        );
        let upper = "Charge-air run between compressor and throttle, upper hose: Read it";
        assert_eq!(
            fits(upper, 70),
            format!("{upper}\nwaits for: a reading, just now")
        );
        assert_eq!(
            fits(upper, 40),
            "Charge-air run betwe…upper hose: Read it\nwaits for: a reading, just now"
        );
    }
}
