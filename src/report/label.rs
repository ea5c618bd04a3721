//! The summary that fits on one label of 62 by 100 mm: for the key, the windscreen, the folder.

use super::case::Case;
use super::customer;
use super::edition::Edition;
use super::page::{Block, Item, Page, Section, Set};
use super::result::Standing;
use super::text::{line, named};
use crate::engine::job::Repair;

/// Repairs that have room.
const MOST: usize = 3;
/// Warnings that have room.
const WARNINGS: usize = 2;

/// The label.
pub fn page(case: &Case) -> Page {
    let opening = case.job.opening.clone().unwrap_or_default();
    let standing = Standing::of(case.job);
    let words = match standing {
        Standing::Proved(..) => "Found, repaired, proved by retest".to_owned(),
        Standing::ProvedInBay(..) => {
            "Repaired, passed in the workshop; drive still to come".to_owned()
        }
        _ => standing.words().0,
    };
    let mut items: Vec<Item> = case.job.repairs.iter().take(MOST).map(repair).collect();
    if let Some(more) = case.job.repairs.len().checked_sub(MOST).filter(|n| *n > 0) {
        items.push(Item {
            text: format!("and {more} more: see the report"),
            ..Item::default()
        });
    }
    // Whoever takes the key must know it, whether they read the report or not.
    let warned = warning(case);
    let mut blocks = vec![Block::Result {
        tone: standing.tone(),
        words: clipped(&words, if warned.is_empty() { 110 } else { 70 }),
        more: Vec::new(),
    }];
    // With a warning there is room for nothing else.
    if warned.is_empty() {
        blocks.push(Block::Text(clipped(&opening.complaint, 80)));
        if !items.is_empty() {
            blocks.push(Block::List(items));
        }
    } else {
        blocks.push(Block::Warning(warned));
    }
    let head = [
        (opening.vehicle.plate, 16),
        (opening.vehicle.model, 36),
        (case.made.job.clone(), 24),
        (
            case.job.last.map(|at| case.when(at)).unwrap_or_default(),
            20,
        ),
    ];
    let names = ["Plate", "Vehicle", "Job", "Last entry"];
    Page {
        edition: Edition::Label,
        title: "Leak test".to_owned(),
        workshop: clipped(case.made.workshop.as_deref().unwrap_or_default(), 32),
        reached: telephone(case).into_iter().collect(),
        head: names
            .iter()
            .zip(head)
            .filter(|(_, (value, _))| !value.trim().is_empty())
            .map(|(name, (value, room))| ((*name).to_owned(), clipped(&value, room)))
            .collect(),
        sections: vec![Section {
            title: String::new(),
            blocks,
            set: Set::Text,
        }],
        sign: Vec::new(),
        foot: format!(
            "Made with ruleout {}, {}. The report says what was not tested.",
            env!("CARGO_PKG_VERSION"),
            case.made.at.format("%Y-%m-%d")
        ),
    }
}

/// Whom to ring.
fn telephone(case: &Case) -> Option<String> {
    let telephone = case.made.reached.telephone.as_str();
    (!telephone.trim().is_empty()).then(|| clipped(telephone, 32))
}

/// What must be known before the car is driven, as far as there is room.
fn warning(case: &Case) -> Vec<Item> {
    let all = customer::dangers_in_short(case);
    let more = all.len().saturating_sub(WARNINGS);
    let mut items: Vec<Item> = all
        .into_iter()
        .take(WARNINGS)
        .map(|item| Item {
            head: clipped(&item.head, 60),
            ..item
        })
        .collect();
    if more > 0 {
        items.push(Item {
            text: format!("and {more} more: see the report before you drive"),
            ..Item::default()
        });
    }
    items
}

fn repair(repair: &Repair) -> Item {
    let state = match (&repair.done, &repair.declined) {
        (Some(_), _) => "done",
        (None, Some(_)) => "DECLINED",
        (None, None) => "to be done",
    };
    Item {
        head: clipped(&named(&repair.cause, &repair.name), 50),
        text: state.to_owned(),
        more: Vec::new(),
    }
}

/// A text that takes no more room than so many letters; letters of scripts that are written in
/// squares take two. What is left out is shown by dots.
fn clipped(words: &str, room: usize) -> String {
    let words = line(words);
    let wide = |c: char| if u32::from(c) >= 0x1100 { 2 } else { 1 };
    if words.chars().map(wide).sum::<usize>() <= room {
        return words;
    }
    let mut out = String::new();
    let mut taken = 1;
    for c in words.chars() {
        taken += wide(c);
        if taken > room {
            break;
        }
        out.push(c);
    }
    format!("{}\u{2026}", out.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_text_is_cut_and_says_so() {
        assert_eq!(clipped("HLM 077", 16), "HLM 077");
        assert_eq!(clipped("one two three", 8), "one two\u{2026}");
        assert_eq!(clipped("漢漢漢漢", 5), "漢漢\u{2026}");
    }
}
