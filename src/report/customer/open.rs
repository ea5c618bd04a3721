//! What was not tested, is not proved, or was declined, in the order of its weight.

use super::seen::last_seen;
use crate::engine::event::{Event, What};
use crate::engine::job::Repair;
use crate::engine::shown;
use crate::report::case::Case;
use crate::report::open;
use crate::report::page::{Block, Item, Section};
use crate::report::result::Standing;
use crate::report::road;
use crate::report::text::{named, sentence, stopped};
use crate::report::unmended::{self, Named};

/// Whether a later test that passed speaks for a repair.
pub fn proved(case: &Case, repair: &Repair) -> bool {
    repair.done.is_some() && Standing::of(case.job).passed()
}

/// Everything that is left open, in the order of its weight.
pub fn section(case: &Case) -> Option<Section> {
    let items = items(case);
    let block = if items.is_empty() {
        let none = "No step that the tests called for was left out, and no repair was declined.";
        Block::Text(none.to_owned())
    } else {
        Block::List(items)
    };
    Section::of("Not tested, not proved, or declined", vec![block])
}

/// What [`section`] lists.
pub fn items(case: &Case) -> Vec<Item> {
    let mut items: Vec<Item> = declined(case);
    items.extend(not_proved(case));
    items.extend(not_driven(case));
    // What the cause is told of is not told once more by its place.
    let seen = last_seen(case).into_iter().filter_map(|mut seen| {
        seen.places.retain(|place| !unmended::names(case, place));
        (!seen.places.is_empty()).then(|| seen.item())
    });
    items.extend(seen);
    items.extend(untested(case));
    items.extend(open::not_tested_items(case));
    items.extend(hurried(case));
    items
}

/// Repairs that the customer declined.
fn declined(case: &Case) -> Vec<Item> {
    let declined = |repair: &Repair| {
        let by = repair.declined.as_ref().filter(|_| repair.done.is_none())?;
        let stays = match Named::of_repair(case.job, repair) {
            Named::Found => "It stays as it is.".to_owned(),
            how => format!("{}, and nothing was done about it.", how.words()),
        };
        Some(Item {
            head: format!("Declined: {}", named(&repair.cause, &repair.name)),
            text: format!("{stays} {}", stopped(&sentence(by))),
            more: Vec::new(),
        })
    };
    case.job.repairs.iter().filter_map(declined).collect()
}

/// Repairs that no later test speaks for.
fn not_proved(case: &Case) -> Vec<Item> {
    let of = |repair: &Repair| {
        // Said once, and as in the result: a repeated test that found nothing was repeated.
        let text = match Standing::of(case.job) {
            Standing::NothingMore(_) => {
                "The test repeated after it found nothing more; whether the trouble itself is \
                     gone was not part of that test."
            }
            Standing::CodesCameBack(_) => {
                "The test repeated after it found nothing more, but trouble codes came back in it."
            }
            Standing::PartsWereGood(_) => {
                "The car passed the whole test after it, but the part that was taken out looked good."
            }
            Standing::NotCured(..) | Standing::Awaits(..) if repair.test < case.tests() => {
                "The whole test was begun again after it, and the car did not pass: there is another cause besides, \
                     or it was not this one."
            }
            _ => "No test repeated from start to end has shown yet that it is cured.",
        };
        Item {
            head: format!(
                "Repaired, not proved: {}",
                named(&repair.cause, &repair.name)
            ),
            text: text.to_owned(),
            more: Vec::new(),
        }
    };
    let open = case
        .job
        .repairs
        .iter()
        .filter(|r| r.done.is_some() && !proved(case, r));
    open.map(of).collect()
}

/// What a test that did not find the cause leaves untested: everything else.
fn untested(case: &Case) -> Option<Item> {
    let text = match Standing::of(case.job) {
        Standing::NothingTested => "Nothing was tested on this car.".to_owned(),
        Standing::NotFound(all) => format!(
            "Everything but: {}. The cause lies there, or it did not show on that day.",
            all.join("; ")
        ),
        _ => return None,
    };
    Some(Item {
        head: "Not tested".to_owned(),
        text,
        more: Vec::new(),
    })
}

/// Waits that were cut short in the last test, and not kept when their step was done again: what was read after them
/// came too early.
fn hurried(case: &Case) -> Option<Item> {
    let last = case.tests();
    let early = |event: &Event| {
        let What::WaitCutShort { left } = &event.what else {
            return None;
        };
        let before = case.walked().filter(|w| w.visit.since_seq <= event.seq);
        let walked = before.max_by_key(|w| w.visit.since_seq)?;
        let again = case.walked().any(|w| {
            w.visit.test == last && w.step.id == walked.step.id && w.visit.since_seq > event.seq
        });
        (walked.visit.test == last && !again)
            .then(|| format!("{} ({left} early)", walked.step.title))
    };
    let all: Vec<String> = case.events.iter().filter_map(early).collect();
    (!all.is_empty()).then(|| Item {
        head: "Read before the waiting time was over".to_owned(),
        text: format!("{}. What was read then may be less exact.", all.join("; ")),
        more: Vec::new(),
    })
}

/// Answers that say themselves that something is still to be shown on the road.
fn not_driven(case: &Case) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for taken in road::still_open(case.job) {
        let mut runs = case.job.runs.iter();
        let prompt = runs.find_map(|r| r.flow.reading(&taken.reading));
        let ask = prompt.map_or_else(|| taken.reading.replace('-', " "), |p| p.ask.clone());
        items.retain(|item| !item.text.starts_with(&ask));
        items.push(Item {
            head: "Still to be shown".to_owned(),
            text: format!("{ask}: {}", stopped(&shown::answer(&taken.value))),
            more: Vec::new(),
        });
    }
    items
}
