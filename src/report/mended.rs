//! Repairs: who agreed, what was done, and the test that followed.

use super::case::Case;
use super::codes_back::{self, CameBack};
use super::page::{Block, Item, Section};
use super::safety;
use super::text::{named, sentence, stopped};
use super::unmended::Named;
use crate::engine::event::{PartWas, Verdict, What};
use crate::engine::job::{Job, Repair};

/// Every repair with the customer's answer, and every test after one.
pub fn section(case: &Case) -> Option<Section> {
    let with_advice = |repair: &Repair| {
        let mut item = item(case, repair);
        if repair.done.is_none()
            && let Some(advice) = safety::until_repaired(case, repair)
        {
            item.more.push(format!("Tell the driver: {advice}"));
        }
        item
    };
    let items: Vec<Item> = case.job.repairs.iter().map(with_advice).collect();
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    Section::of("Repair and retest", blocks)
}

/// The same in a paragraph each, for the customer, with what is to be said of the warning lamp after it.
pub fn plainly(case: &Case, lamp: Option<Item>) -> Option<Section> {
    let paragraph = |repair: &Repair| {
        let mut item = item(case, repair);
        for more in std::mem::take(&mut item.more) {
            item.text.push(' ');
            item.text.push_str(&more);
        }
        item
    };
    let items: Vec<Item> = case.job.repairs.iter().map(paragraph).collect();
    let mut blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    // Beside no repair it stands for itself.
    if blocks.is_empty() {
        let lamp = lamp?;
        return Section::of(&lamp.head, vec![Block::Text(lamp.text)]);
    }
    blocks.extend(lamp.map(Block::Point));
    let title = if case.job.repairs.iter().any(|r| r.done.is_some()) {
        "What we repaired"
    } else {
        "What is to be repaired"
    };
    Section::of(title, blocks)
}

fn item(case: &Case, repair: &Repair) -> Item {
    let mut more = Vec::new();
    let text = match (&repair.done, &repair.declined) {
        (Some((work, _)), _) => stopped(&sentence(work)),
        (None, Some(by)) => format!("Declined: {}", stopped(by)),
        (None, None) => "Not done yet.".to_owned(),
    };
    if let Some(by) = &repair.approved {
        more.push(format!("Approved by: {}", stopped(by)));
    }
    if let Some((_, was)) = &repair.done {
        more.push(part(*was).to_owned());
        more.push(retest(case, repair));
    }
    Item {
        head: named(&repair.cause, &repair.name),
        text,
        more,
    }
}

fn part(was: PartWas) -> &'static str {
    match was {
        PartWas::Bad => "The old part was found to be bad.",
        PartWas::Good => "The old part looked good, so this is not proved to be the cause.",
        PartWas::CouldNotTell => "Whether the old part was bad could not be told.",
    }
}

/// The test after a repair, and how it came out.
pub(super) fn retest(case: &Case, repair: &Repair) -> String {
    let begun = case.events.iter().find(|event| {
        matches!(&event.what, What::RetestBegun { flow, .. } if *flow == repair.flow)
            && event.seq > done_at(case, repair)
    });
    let Some(begun) = begun else {
        return "The test was not repeated after it.".to_owned();
    };
    let test = repair.test + 1;
    format!(
        "Test {test}, again from the start on {}, because one fault can hide another: {}",
        case.when(begun.at),
        came_out(case.job, test)
    )
}

/// The number of the event that noted the work.
fn done_at(case: &Case, repair: &Repair) -> u64 {
    let done =
        |what: &What| matches!(what, What::RepairDone { cause, .. } if *cause == repair.cause);
    case.events
        .iter()
        .find(|e| e.seq > repair.visit && done(&e.what))
        .map_or(repair.visit, |e| e.seq)
}

/// How a test came out, as the end of a sentence.
pub(super) fn came_out(job: &Job, test: u32) -> String {
    if let Some(next) = job.repairs.iter().find(|r| r.test == test) {
        let name = named(&next.cause, &next.name);
        // A part that looked good is not proved to be a cause, whatever led to it.
        if matches!(next.done, Some((_, PartWas::Good))) {
            return format!(
                "it led to the next repair, of which the old part looked good: {name}."
            );
        }
        return match Named::of_repair(job, next) {
            Named::Found => format!("it found the next cause: {name}."),
            how => format!(
                "it led to the next cause ({}): {name}.",
                how.words().to_lowercase()
            ),
        };
    }
    let run = job
        .runs
        .iter()
        .rfind(|run| run.walked().iter().any(|visit| visit.test == test));
    match run.and_then(|run| run.verdict) {
        Some(Verdict::Proved) => "passed.".to_owned(),
        Some(Verdict::RuledOut) if codes_back::in_test(job, test, None) == Some(CameBack::Some) => {
            "nothing more was found, but codes came back.".to_owned()
        }
        Some(Verdict::RuledOut) => "nothing more was found.".to_owned(),
        Some(Verdict::LedOn) => "it did not pass, and led on to another test.".to_owned(),
        Some(Verdict::Left) => "left before its end.".to_owned(),
        None => "not finished.".to_owned(),
    }
}
