//! The work order for parts: what is to be ordered and fitted, and who agreed.

use super::case::Case;
use super::complaint;
use super::edition::Edition;
use super::page::{Block, Item, Page, Section, Set, Table};
use super::result::Standing;
use super::safety;
use super::text::{named, sentence, stopped};
use super::unmended::{self, Named};
use crate::engine::job::Repair;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::load::parts::bare;
use crate::flow::model::Cause;

/// What is said where the job has come to an end without a repair.
const NONE_DECIDED: &str = "No repair was decided on this job: there is nothing to order.";
/// Columns of an order.
const COLUMNS: usize = 6;

/// The page.
pub fn page(case: &Case) -> Page {
    let orders = case
        .job
        .repairs
        .iter()
        .any(|r| r.declined.is_none() || r.done.is_some());
    let sections = [
        open(case),
        waiting(case),
        done(case),
        declined(case),
        noted(case),
    ];
    let mut sections: Vec<Section> = sections.into_iter().flatten().collect();
    if case.job.repairs.is_empty() {
        let (title, words) = nothing(case);
        sections.insert(
            0,
            Section {
                title: title.to_owned(),
                blocks: vec![Block::Text(words)],
                set: Set::Text,
            },
        );
    }
    Page {
        edition: Edition::Parts,
        title: "Work order: parts".to_owned(),
        workshop: case.made.workshop.clone().unwrap_or_default(),
        reached: case.made.reached.lines(),
        head: head(case),
        sections,
        sign: if orders {
            vec!["Ordered by".to_owned(), "Fitted by".to_owned()]
        } else {
            Vec::new()
        },
        foot: case.foot(),
    }
}

/// What is said where no repair was decided.
fn nothing(case: &Case) -> (&'static str, String) {
    if let Some(waits) = awaited(case) {
        return ("Nothing to order yet", waits);
    }
    let words = match Standing::of(case.job) {
        Standing::UnderWay => "The test is not finished: no repair is decided so far.",
        Standing::LedOn(_) => "The next test is due: no repair is decided so far.",
        _ => return ("Nothing to order", NONE_DECIDED.to_owned()),
    };
    ("Nothing to order yet", words.to_owned())
}

/// Causes that were named and about which the customer has not answered, in words.
fn awaited(case: &Case) -> Option<String> {
    let waits = |cause: &&Cause| {
        format!(
            "{}, and the customer's answer is awaited: {}.",
            Named::of(case.job, cause).words(),
            named(&cause.id, &cause.name)
        )
    };
    let waits: Vec<String> = unmended::waiting(case.job).iter().map(waits).collect();
    (!waits.is_empty()).then(|| waits.join(" "))
}

/// The same beside repairs that were decided on before: the next part may soon be needed.
fn waiting(case: &Case) -> Option<Section> {
    let decided = !case.job.repairs.is_empty();
    let words = awaited(case).filter(|_| decided)?;
    Section::of("Not to be ordered yet", vec![Block::Text(words)])
}

/// The head of the page, with what an order needs: the number by which parts are looked up, and where the car stands.
fn head(case: &Case) -> Vec<(String, String)> {
    let mut head = complaint::head(case);
    let opening = case.job.opening.clone().unwrap_or_default();
    if opening.vehicle.vin.trim().is_empty() {
        let vin = "not noted: read it on the car".to_owned();
        let at = head
            .iter()
            .position(|(name, _)| name == "Plate")
            .map_or(0, |at| at + 1);
        head.insert(at, ("VIN".to_owned(), vin));
    }
    if !opening.bay.trim().is_empty() {
        head.push(("Bay".to_owned(), opening.bay));
    }
    head
}

/// Where the cause was seen, in the test before the repair: of a list of possible parts the one that is meant.
fn seen_at(case: &Case, repair: &Repair) -> Vec<String> {
    let Some(cause) = cause(case, repair) else {
        return Vec::new();
    };
    let mut places: Vec<String> = Vec::new();
    for walked in case
        .walked()
        .filter(|w| w.visit.test == repair.test && w.run.flow.id == repair.flow)
    {
        for taken in case.job.taken_in(walked.visit.since_seq) {
            let Answer::Places(seen) = &taken.value else {
                continue;
            };
            let of_cause = |place: &&String| safety::speaks_for(cause, &taken.reading, place);
            for place in seen.keys().filter(of_cause) {
                if !places.contains(place) {
                    places.push(place.clone());
                }
            }
        }
    }
    places
}

fn cause<'j>(case: &Case<'j>, repair: &Repair) -> Option<&'j Cause> {
    let run = case.job.runs.iter().find(|run| run.flow.id == repair.flow);
    run.and_then(|run| run.flow.cause(&repair.cause))
}

/// Repairs that are still to be made.
fn open(case: &Case) -> Option<Section> {
    let open = |r: &&Repair| r.done.is_none() && r.declined.is_none();
    let rows: Vec<Vec<String>> = case
        .job
        .repairs
        .iter()
        .filter(open)
        .flat_map(|r| rows_of(case, r))
        .collect();
    table("To be ordered and fitted", rows)
}

/// Repairs that were made: for the invoice.
fn done(case: &Case) -> Option<Section> {
    let done = |r: &&Repair| r.done.is_some();
    let rows: Vec<Vec<String>> = case
        .job
        .repairs
        .iter()
        .filter(done)
        .flat_map(|r| rows_of(case, r))
        .collect();
    table("Fitted already", rows)
}

fn table(title: &str, rows: Vec<Vec<String>>) -> Option<Section> {
    if rows.is_empty() {
        return None;
    }
    let head: [&str; COLUMNS] = [
        "Cause",
        "Work",
        "Agreed",
        "Part number",
        "Pieces",
        "In stock",
    ];
    Section::of(
        title,
        vec![Block::Table(Table {
            title: String::new(),
            head: head.map(str::to_owned).to_vec(),
            rows,
            notes: vec![
                "Part numbers come from the maker's catalogue by the VIN; they are not in this record."
                    .to_owned(),
            ],
        })],
    )
    .map(|section| section.set(Set::Form))
}

/// A repair with its work, and below it a line for each of its parts where the flow says them apart.
fn rows_of(case: &Case, repair: &Repair) -> Vec<Vec<String>> {
    let parts = cause(case, repair).map_or(&[][..], |cause| &cause.parts);
    // What was fitted in the end stands in the technician's words, and need not be all that the flow names.
    let is_done = repair.done.is_some();
    let line = |part: &String| {
        let mut row = vec![String::new(); COLUMNS];
        row[1] = if is_done {
            format!("Part, if fitted: {}", bare(part))
        } else {
            format!("Part: {part}")
        };
        row
    };
    let mut rows = vec![row(case, repair, parts.len())];
    rows.extend(parts.iter().map(line));
    rows
}

fn row(case: &Case, repair: &Repair, parts: usize) -> Vec<String> {
    let planned = cause(case, repair).map_or_else(String::new, |cause| {
        format!(
            "{} (planned: {})",
            sentence(&cause.repair),
            shown::minutes(cause.minutes)
        )
    });
    let places = seen_at(case, repair);
    let planned = if places.is_empty() {
        planned
    } else {
        format!("{} Seen at: {}.", stopped(&planned), places.join(", "))
    };
    let work = match &repair.done {
        Some((work, _)) => format!("{} Done: {}", stopped(&planned), stopped(work)),
        None => planned,
    };
    vec![
        with_how(case, repair),
        work,
        repair
            .approved
            .clone()
            .unwrap_or_else(|| "not yet asked".to_owned()),
        match parts {
            0 => "",
            1 => "for the part below",
            _ => "one part a line below",
        }
        .to_owned(),
        if parts > 0 { "-" } else { "" }.to_owned(),
        if parts > 0 { "-" } else { "" }.to_owned(),
    ]
}

/// The cause of a repair, and how it was named where nothing was found.
fn with_how(case: &Case, repair: &Repair) -> String {
    let name = named(&repair.cause, &repair.name);
    match Named::of_repair(case.job, repair) {
        Named::Found => name,
        how => format!("{name} ({})", how.words().to_lowercase()),
    }
}

/// Repairs that the customer declined: nothing is ordered for them.
fn declined(case: &Case) -> Option<Section> {
    let items: Vec<Item> = case
        .job
        .repairs
        .iter()
        .filter(|r| r.done.is_none())
        .filter_map(|r| {
            Some(Item {
                head: with_how(case, r),
                text: stopped(&sentence(r.declined.as_ref()?)),
                more: Vec::new(),
            })
        })
        .collect();
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    Section::of("Declined: order nothing", blocks)
}

/// What was noted beside the readings: a broken clip is a part as well.
fn noted(case: &Case) -> Option<Section> {
    let items: Vec<Item> = case
        .job
        .findings
        .iter()
        .map(|noted| Item {
            head: noted.place.clone(),
            text: stopped(&noted.note),
            more: Vec::new(),
        })
        .collect();
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    Section::of("Noted as well", blocks)
}
