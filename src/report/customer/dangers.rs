//! What the driver must know before the car is driven on: what stands open that is dangerous.

use super::open::proved;
use super::seen::seen_so_far;
use crate::engine::fitted::{Fitted, named_supply};
use crate::flow::model::Cause;
use crate::report::case::Case;
use crate::report::page::{Block, Item, Section};
use crate::report::result::Standing;
use crate::report::road;
use crate::report::safety;
use crate::report::text::{named, sentence, stopped};
use crate::report::unmended::{self, Named};

/// Something that is open, with what the driver must know because of it.
#[derive(Default)]
struct Danger {
    /// What it is about.
    head: String,
    /// How it stands.
    state: String,
    /// What to do and what not.
    advice: String,
    /// What stands below it, where there is room.
    more: Option<String>,
}

/// What must be known before the car is driven on.
pub fn warning(case: &Case) -> Option<Section> {
    let items = dangers(case);
    let mut blocks = Vec::new();
    if !items.is_empty() {
        blocks.push(Block::Warning(items));
    }
    blocks.extend(to_be_driven(case).map(Block::Point));
    Section::of("Before you drive on", blocks)
}

/// The same for a small paper: for each advice, which is never cut short, what it is about.
pub fn dangers_in_short(case: &Case) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for danger in all_dangers(case) {
        match items.iter_mut().find(|item| item.text == danger.advice) {
            Some(item) if item.head.split("; ").any(|head| head == danger.head) => {}
            Some(item) => item.head = format!("{}; {}", item.head, danger.head),
            None => items.push(Item {
                head: danger.head,
                text: danger.advice,
                more: Vec::new(),
            }),
        }
    }
    items
}

/// The dangers among it, the worst first.
fn dangers(case: &Case) -> Vec<Item> {
    each_advice_once(all_dangers(case))
}

/// Whether nothing stands open that a driver must know of.
pub fn warns_of_nothing(case: &Case) -> bool {
    all_dangers(case).is_empty()
}

fn all_dangers(case: &Case) -> Vec<Danger> {
    let mut all: Vec<Danger> = still_fitted(case).into_iter().collect();
    all.extend(waits_for_a_yes(case));
    all.extend(not_mended(case));
    // A page may be read beside a car whose test has not ended, and what showed there is as dangerous.
    for seen in seen_so_far(case) {
        for place in &seen.places {
            let told = safety::at_place(seen.flow, seen.reading, place);
            // A repair that stands open speaks for the places where its cause shows.
            let told = told.filter(|(cause, _)| !stands_open(case, &seen.flow.id, cause));
            let state = if seen.is_smoke() {
                "The test smoke came out here."
            } else {
                "It showed here when we searched."
            };
            all.extend(told.map(|(_, advice)| Danger {
                head: sentence(place),
                state: state.to_owned(),
                advice,
                more: None,
            }));
        }
    }
    if !Standing::of(case.job).passed() {
        let besides = not_settled(case, all.is_empty()).into_iter();
        // It names nothing of its own: said already, it is said.
        let besides: Vec<Danger> = besides
            .filter(|danger| all.iter().all(|known| known.advice != danger.advice))
            .collect();
        all.extend(besides);
    }
    all
}

/// What holds as long as the complaint is not settled. Beside other dangers it says that those come first: a milder word
/// there would read as leave to drive.
fn not_settled(case: &Case, alone: bool) -> Vec<Danger> {
    let head = if alone {
        "The trouble that you told us of may still be there"
    } else {
        "Also, and still no permission to drive"
    };
    let danger = |advice: String| Danger {
        head: head.to_owned(),
        advice,
        ..Danger::default()
    };
    if case.job.runs.is_empty() {
        return vec![danger(
            "Nothing was tested. If it concerns brakes or steering, or if it smells of fuel or exhaust gas, the car is \
             not to be driven before that has been checked."
                .to_owned(),
        )];
    }
    safety::until_settled(case)
        .into_iter()
        .map(danger)
        .collect()
}

/// What the test has put on the car and nobody has seen off again: the ban first, what is still to be done after it.
fn still_fitted(case: &Case) -> Option<Danger> {
    if case.job.fitted.is_empty() {
        return None;
    }
    let to_do = |fitted: &Fitted| match fitted {
        Fitted::Closed(opening) => format!("{opening} to be opened again"),
        // What the car draws or blows with itself is not on it to be taken off.
        Fitted::Supply(supply) if supply.starts_with("the ") => format!("{supply} to be shut off"),
        Fitted::Supply(supply) => format!("{} to be taken off", named_supply(supply)),
        Fitted::PutBack(words) => words.clone(),
    };
    let all: Vec<String> = case.job.fitted.iter().map(|s| to_do(&s.what)).collect();
    Some(Danger {
        head: "The car is still set up for the test".to_owned(),
        advice: "It must not be started or driven before the workshop has put it back.".to_owned(),
        more: Some(format!("Still to be done: {}", stopped(&all.join("; ")))),
        ..Danger::default()
    })
}

/// Causes that were found and about which the customer has not answered: what the driver must know until then.
fn waits_for_a_yes(case: &Case) -> Vec<Danger> {
    let danger = |cause: &Cause| {
        Some(Danger {
            head: named(&cause.id, &cause.name),
            state: match Named::of(case.job, cause) {
                Named::Found => "Found, and not repaired yet.".to_owned(),
                Named::Suspected => "Suspected, not seen yet.".to_owned(),
                Named::Unseen => "Named by the technician, and not seen yet.".to_owned(),
            },
            advice: safety::of_cause(cause)?,
            more: None,
        })
    };
    let waiting = unmended::waiting(case.job).into_iter();
    waiting.filter_map(danger).collect()
}

/// What the customer's own drive is to show.
fn to_be_driven(case: &Case) -> Option<Item> {
    let may = Standing::of(case.job).passed() && warns_of_nothing(case);
    (may && road::is_to_be_driven(case.job)).then(|| Item {
        head: "The drive on the road is still to come".to_owned(),
        text: "Drive the car as you usually do, and watch whether what you told us of comes back. If it does, or if a \
               warning lamp comes on, bring it back to us."
            .to_owned(),
        more: Vec::new(),
    })
}

/// Repairs that are not proved and about which the driver must know something.
fn not_mended(case: &Case) -> Vec<Danger> {
    let open = case.job.repairs.iter().filter(|r| !proved(case, r));
    open.filter_map(|repair| {
        let state = match (&repair.done, &repair.declined) {
            (Some(_), _) => "Repaired, but not proved by a test.",
            (None, Some(_)) => "Declined, so it is not repaired.",
            (None, None) => "Not repaired yet.",
        };
        // What was only suspected is not a fault by being declined.
        let how = match Named::of_repair(case.job, repair) {
            Named::Found => String::new(),
            how => format!("{}. ", how.words()),
        };
        Some(Danger {
            head: named(&repair.cause, &repair.name),
            state: format!("{how}{state}"),
            advice: safety::until_repaired(case, repair)?,
            more: None,
        })
    })
    .collect()
}

/// Whether a repair of this cause stands open, or waits for an answer.
fn stands_open(case: &Case, flow: &str, cause: &str) -> bool {
    let mut repairs = case.job.repairs.iter();
    unmended::waiting(case.job)
        .iter()
        .any(|asked| asked.id == cause)
        || repairs.any(|r| r.flow == flow && r.cause == cause && !proved(case, r))
}

/// Names everything, and says what several have in common once, behind the last of them.
fn each_advice_once(all: Vec<Danger>) -> Vec<Item> {
    let mut groups: Vec<Vec<Danger>> = Vec::new();
    for danger in all {
        let same = |group: &&mut Vec<Danger>| group.iter().any(|one| one.advice == danger.advice);
        match groups.iter_mut().find(same) {
            // One and the same, found twice, is one.
            Some(group) if group.iter().any(|one| one.head == danger.head) => {}
            Some(group) => group.push(danger),
            None => groups.push(vec![danger]),
        }
    }
    groups.into_iter().flat_map(items_of).collect()
}

fn items_of(group: Vec<Danger>) -> Vec<Item> {
    let (last, several) = (group.len().saturating_sub(1), group.len() > 1);
    let item = |(n, danger): (usize, Danger)| {
        let advice = match (n == last, several) {
            (false, _) => String::new(),
            (true, true) => format!("For {}: {}", each(last + 1), danger.advice),
            (true, false) => danger.advice,
        };
        Item {
            head: danger.head,
            text: [danger.state, advice].join(" ").trim().to_owned(),
            more: danger.more.into_iter().collect(),
        }
    };
    group.into_iter().enumerate().map(item).collect()
}

fn each(count: usize) -> &'static str {
    if count == 2 { "both" } else { "all of these" }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn danger(head: &str, advice: &str) -> Danger {
        Danger {
            head: head.to_owned(),
            state: "Not repaired yet.".to_owned(),
            advice: advice.to_owned(),
            more: None,
        }
    }

    fn said(all: Vec<Danger>) -> Vec<String> {
        let items = each_advice_once(all).into_iter();
        items.map(|i| format!("{}: {}", i.head, i.text)).collect()
    }

    #[test]
    fn what_has_one_and_the_same_advice_is_named_all_the_same() {
        let all = vec![
            danger("Hose", "Drive gently."),
            danger("Tank", "Do not drive."),
            danger("Gasket", "Drive gently."),
            danger("Hose", "Drive gently."),
        ];
        assert_eq!(
            said(all),
            [
                "Hose: Not repaired yet.",
                "Gasket: Not repaired yet. For both: Drive gently.",
                "Tank: Not repaired yet. Do not drive."
            ]
        );
    }

    #[test]
    fn one_alone_keeps_its_advice() {
        assert_eq!(
            said(vec![danger("Hose", "Drive gently.")]),
            ["Hose: Not repaired yet. Drive gently."]
        );
    }
}
