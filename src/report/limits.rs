//! Cautions that were accepted, limits that were passed, and what the methods used here cannot tell.

use super::case::{Case, Walked};
use super::page::{Block, Item, Section, Set};
use super::searched::{self, AtRest};
use super::text::{sentence, stopped};
use crate::engine::event::What;
use crate::engine::shown;
use crate::flow::cautions;
use crate::flow::model::{Flow, Work};
use crate::physics::calculations::NO_RESIDUAL;

/// Cautions, grouped by the people who accepted them.
pub fn cautions(case: &Case) -> Option<Section> {
    let mut groups: Vec<(String, Vec<&str>)> = Vec::new();
    for accepted in &case.job.cautions {
        let id = accepted.caution.as_str();
        let title = cautions::find(id).map_or(id, |caution| caution.title);
        let who = format!("{} on {}", accepted.who, accepted.day);
        match groups.iter_mut().find(|(known, _)| *known == who) {
            Some((_, titles)) if titles.contains(&title) => {}
            Some((_, titles)) => titles.push(title),
            None => groups.push((who, vec![title])),
        }
    }
    let mut list: Vec<Item> = groups
        .into_iter()
        .map(|(who, titles)| Item {
            head: format!("Read and accepted by {who}"),
            text: format!("{}.", titles.join("; ")),
            more: Vec::new(),
        })
        .collect();
    list.extend(passed(case));
    if list.is_empty() {
        return None;
    }
    let first = Block::Text(cautions::FIRST.to_owned());
    Section::of("Cautions", vec![Block::List(list), first])
}

/// Limits that were passed: what was read, what is never exceeded, and when it was put right.
fn passed(case: &Case) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for event in case.events {
        match &event.what {
            What::LimitPassed {
                reading,
                value,
                limit,
            } => items.push(Item {
                head: "A limit was passed".to_owned(),
                text: format!(
                    "{} on {}: {}, never above {}.",
                    sentence(&reading.replace('-', " ")),
                    case.when(event.at),
                    shown::quantity(*value),
                    shown::quantity(*limit)
                ),
                more: Vec::new(),
            }),
            What::LimitMistyped => {
                if let Some(item) = items.last_mut() {
                    let when = case.when(event.at);
                    "A value above a limit was typed".clone_into(&mut item.head);
                    item.more.push(format!(
                        "Mistyped: the gauge never showed it, as noted on {when}."
                    ));
                }
            }
            What::LimitCleared => {
                if let Some(item) = items.last_mut() {
                    let when = case.when(event.at);
                    item.more
                        .push(format!("Let down before the work went on, {when}."));
                }
            }
            _ => {}
        }
    }
    items
}

/// What is true of every interval on the page.
const INTERVALS: &str = "An interval in brackets holds the true value 95 times in 100, if the gauges \
                         are as good as the flow states. Where two values share a gauge, its error counts once.";
/// What a flow through all openings of an engine cannot tell.
const ALL_OPENINGS: &str = "On a stopped engine smoke also passes rings, open valves and our own plugs: the total \
                            opening is an upper bound, not the leak.";
/// The same of whatever is no engine.
const OUR_OPENINGS: &str = "What passes our own plugs and adapters, and whatever else is not quite shut, counts as well: the \
                            total opening is an upper bound, not the leak.";

/// What pressure in a standing engine cannot tell.
const STATIC: &str = "Smoke is fed into an engine that stands still: a leak that opens only hot or only under \
                      vacuum stays shut in this test.";
/// What pressure in any other closed space cannot tell.
const AT_REST: &str = "The system is put under pressure while the car stands still: a leak that opens only hot, only in motion or \
                       only under vacuum stays shut in this test.";
/// What vacuum in a space at rest cannot tell.
const UNDER_VACUUM: &str = "The system is drawn down while the car stands still: a leak that opens only hot, only in motion or \
                            only under pressure stays shut in this test.";
/// The same where the car's own engine draws.
const UNDER_OWN_VACUUM: &str = "The system is drawn down by the car's own engine while the car stands: a leak that opens only in \
                                motion or only under pressure stays shut in this test.";

/// What the gauge on the way is to a hold that is judged by its two ends.
const BESIDE: &str = "the fit rests on the first and the last value alone, as in every hold; what was read on the way is \
                      drawn beside the curve and checks it, and nothing is judged by it";

/// Whether the gauge was read on the way of the hold behind a worked value, in the test of a visit.
fn hold_watched(case: &Case, walked: &Walked, work: &Work) -> bool {
    let all = case.walked();
    let mut of_it =
        all.filter(|w| w.run.flow.id == walked.run.flow.id && w.visit.test == walked.visit.test);
    of_it.any(|w| !case.job.watched(w.run, w.visit, work).is_empty())
}

/// What a search under pressure cannot tell, by what was fed into what.
fn cannot_tell(of: AtRest) -> &'static str {
    match of {
        AtRest::Smoke => STATIC,
        AtRest::Pressure => AT_REST,
        AtRest::Vacuum => UNDER_VACUUM,
        AtRest::OwnVacuum => UNDER_OWN_VACUUM,
    }
}

/// What a flow through all openings of what was tested cannot tell; nothing where it is a hole of known size that the
/// smoke unit was tried on.
fn all_openings(flow: &Flow) -> Option<&'static str> {
    if searched::is_of_the_unit(flow) {
        None
    } else if searched::is_of_an_engine(flow) {
        Some(ALL_OPENINGS)
    } else {
        Some(OUR_OPENINGS)
    }
}

/// The same in words for the car's owner: what holds for the methods that were used on this job.
pub fn plainly(case: &Case) -> Option<Section> {
    let mut items: Vec<Item> = Vec::new();
    let mut add = |text: &str| {
        if !items.iter().any(|item| item.text == text) {
            items.push(Item {
                text: text.to_owned(),
                ..Item::default()
            });
        }
    };
    for walked in case.walked().filter(|w| w.taken().is_some()) {
        for id in &walked.step.show {
            let Some(work) = walked.run.flow.work(id) else {
                continue;
            };
            if work.unit.is_some() {
                add(PLAIN_RANGE);
            }
            if work.calculation.name == "share" {
                add(PLAIN_SHARE);
            }
        }
        let standing = searched::at_rest(case, &walked).is_some();
        if standing && !searched::on_the_running_engine(case, &walked.run.flow) {
            add(PLAIN_STATIC);
        }
    }
    if case.job.runs.is_empty() {
        return None;
    }
    add(PLAIN_TODAY);
    add(cautions::FIRST);
    Section::of("How sure this is", vec![Block::List(items)]).map(|section| section.set(Set::Small))
}

/// What a range means.
const PLAIN_RANGE: &str = "A range stands in brackets beside what was measured. In 95 of 100 such measurements the true \
                           value lies in that range, if the gauges are as good as their makers say.";
/// What a share rests on.
const PLAIN_SHARE: &str = "How much of the trouble a leak accounts for is worked out, not seen; the test repeated \
                           after a repair is the proof.";
/// What a search on a standing car cannot show.
const PLAIN_STATIC: &str = "We searched with the car standing still. A leak that opens only when it is warm, running or \
                            driven can stay hidden in such a test.";
/// What no test can promise.
const PLAIN_TODAY: &str =
    "The tests tell how the car was on that day. They do not foretell which part fails next.";

/// Limits of the methods that were used on this job, and of no others.
pub fn limits(case: &Case) -> Option<Section> {
    let mut items: Vec<Item> = Vec::new();
    let mut add = |head: &str, text: &str| {
        if !items.iter().any(|item| item.text == text) {
            items.push(Item {
                head: head.to_owned(),
                text: text.to_owned(),
                more: Vec::new(),
            });
        }
    };
    for walked in case.walked() {
        if let Some(of) = searched::at_rest(case, &walked) {
            add("", cannot_tell(of));
        }
        let picture = walked.picture(case);
        for id in &walked.step.show {
            let flow = &walked.run.flow;
            let Some(work) = flow.work(id).filter(|_| picture.values.get(id).is_some()) else {
                continue;
            };
            add("", INTERVALS);
            if work.calculation.name == "hole"
                && let Some(words) = all_openings(flow)
            {
                add("", words);
            }
            let watched = hold_watched(case, &walked, work);
            for note in picture.notes.get(id).into_iter().flatten() {
                let note = if note == NO_RESIDUAL && watched {
                    BESIDE
                } else {
                    note
                };
                add(&sentence(&work.name), &stopped(note));
            }
        }
    }
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    Section::of("Limits of the method", blocks)
}
