//! The head of the page, the complaint in the customer's words, and what was saved first.

use super::case::Case;
use super::page::{Block, Section};
use super::text::listed;
use crate::engine::event::{Event, What};
use crate::engine::shown;
use crate::flow::answer::Answer;

/// The car, the job, when and who.
pub fn head(case: &Case) -> Vec<(String, String)> {
    let job = case.job;
    let opening = job.opening.clone().unwrap_or_default();
    let handed_over = case
        .events
        .iter()
        .rfind(|e| matches!(e.what, What::Handover { .. }) && job.handed_over.is_some())
        .map_or_else(|| "not yet".to_owned(), |e| case.when(e.at));
    let pairs = [
        ("Vehicle", opening.vehicle.model),
        ("Plate", opening.vehicle.plate),
        ("VIN", opening.vehicle.vin),
        ("Odometer", odometer(&opening.vehicle.odometer)),
        ("Job", case.made.job.clone()),
        (
            "Came in",
            job.opened.map(|at| case.when(at)).unwrap_or_default(),
        ),
        (
            if case.is_practice() {
                "Exercise ended"
            } else {
                "Handed over"
            },
            handed_over,
        ),
        ("Technician", technicians(case.events).join(", ")),
    ];
    pairs
        .into_iter()
        .filter(|(_, value)| !value.trim().is_empty())
        .map(|(name, value)| (name.to_owned(), value))
        .collect()
}

/// What the odometer showed; whether kilometres or miles is said where nobody noted it.
fn odometer(noted: &str) -> String {
    let noted = noted.trim();
    let number_alone = !noted.is_empty() && !noted.chars().any(char::is_alphabetic);
    if number_alone {
        return format!("{noted} (km or miles was not noted)");
    }
    noted.to_owned()
}

/// Everybody who worked on the job, in the order in which they began.
pub(super) fn technicians(events: &[Event]) -> Vec<&str> {
    let mut names: Vec<&str> = Vec::new();
    for event in events {
        if !names.contains(&event.who.as_str()) {
            names.push(&event.who);
        }
    }
    names
}

/// The complaint, and what the control unit had stored.
pub fn section(case: &Case) -> Option<Section> {
    let opening = case.job.opening.as_ref()?;
    let mut blocks = Vec::new();
    if !opening.complaint.trim().is_empty() {
        blocks.push(Block::Quote(opening.complaint.clone()));
    }
    let mut facts = Vec::new();
    let mut add = |name: &str, value: String| {
        if !value.trim().is_empty() {
            facts.push((name.to_owned(), value));
        }
    };
    if !opening.symptoms.is_empty() {
        add("Symptoms", listed(&opening.symptoms));
    }
    if !opening.codes.is_empty() {
        add("Codes that came with the car", listed(&opening.codes));
    }
    saved(case, &mut add);
    if !facts.is_empty() {
        blocks.push(Block::Facts(facts));
    }
    Section::of("The complaint", blocks)
}

/// Facts about the vehicle that the tests rest on.
pub fn vehicle(case: &Case) -> Option<Section> {
    let facts: Vec<(String, String)> = facts_in_order(case)
        .into_iter()
        .map(|(id, value)| {
            let prompt = case.job.runs.iter().find_map(|run| run.flow.fact(id));
            let name = prompt.map_or_else(|| id.replace('-', " "), |p| p.ask.clone());
            (name, shown::answer(value))
        })
        .collect();
    let blocks = if facts.is_empty() {
        Vec::new()
    } else {
        vec![Block::Facts(facts)]
    };
    Section::of("Facts about the vehicle", blocks)
}

/// What the control unit had stored: what was saved first, and what was noted later.
fn saved(case: &Case, add: &mut impl FnMut(&str, String)) {
    let begun = case
        .events
        .iter()
        .find(|e| matches!(e.what, What::FlowBegun { .. }))
        .map_or(u64::MAX, |e| e.seq);
    let mut first = true;
    for event in case.events {
        let What::CodesNoted(codes) = &event.what else {
            continue;
        };
        let name = match (first, event.seq < begun) {
            (true, true) => "Stored codes, saved before the test".to_owned(),
            _ => format!("Stored codes on {}", case.when(event.at)),
        };
        first = false;
        let pending = listed(&codes.pending);
        add(
            &name,
            format!("{}; pending: {pending}", listed(&codes.stored)),
        );
        add("Freeze frame", codes.freeze_frame.clone());
        add("Monitors", codes.readiness.clone());
    }
    if first {
        let begun = !case.job.runs.is_empty();
        let words = if begun {
            "nobody noted them before the test began"
        } else {
            "not noted yet"
        };
        add("Trouble codes in the car", words.to_owned());
    }
}

/// Facts about the vehicle, as the flows ask for them.
fn facts_in_order<'j>(case: &Case<'j>) -> Vec<(&'j str, &'j Answer)> {
    let asked = case.job.runs.iter().flat_map(|run| &run.flow.facts);
    let asked = asked.map(|prompt| prompt.id.as_str());
    let mut out: Vec<(&str, &Answer)> = Vec::new();
    for id in asked.chain(case.job.facts.keys().map(String::as_str)) {
        if let Some(value) = case.job.facts.get(id)
            && !out.iter().any(|(known, _)| *known == id)
        {
            out.push((id, value));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::odometer;

    #[test]
    fn an_odometer_without_its_unit_says_so() {
        assert_eq!(odometer(" 120 400 "), "120 400 (km or miles was not noted)");
        assert_eq!(odometer("120400 km"), "120400 km");
        assert_eq!(odometer("88,000 mi"), "88,000 mi");
        assert_eq!(odometer(" "), "");
    }
}
