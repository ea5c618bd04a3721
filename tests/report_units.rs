//! The units of the settings are those of every value that the program words: on a job told in US units no metric one
//! stands beside them, and the other way round.

use crate::jobs;
use crate::page::stories::small_leak;
use crate::page::{made, page_for};
use crate::support::Story;
use ruleout::engine::event::{Event, What};
use ruleout::engine::fold::fold;
use ruleout::engine::{judge, shown};
use ruleout::report::edition::Edition;
use ruleout::report::{RestsOn, markdown, page};
use ruleout::units::preferred::{Preferred, System, showing};
use ruleout::units::{Quantity, Unit};

/// What no value is worded in, by the set that is wanted. A height is in ft or m, and "m" alone is no sign of a unit.
const FOREIGN: [(System, &[&str]); 2] = [
    (
        System::Us,
        &[
            "kPa", "mbar", "hPa", "Pa", "L/min", "mm", "mm2", "L", "C", "V/kPa",
        ],
    ),
    (
        System::Metric,
        &[
            "psi", "inH2O", "inHg", "cfh", "in", "in2", "gal", "F", "ft", "V/psi",
        ],
    ),
];

/// A figure and the unit behind it, wherever one stands in a text.
fn values(text: &str) -> Vec<(String, String)> {
    let words: Vec<&str> = text.split([' ', '\u{a0}', '\n', '|']).collect();
    let bare = |word: &str| {
        word.trim_matches(|c: char| "().,;:*\"\u{201c}\u{201d}?!".contains(c))
            .to_owned()
    };
    let is_figure = |word: &str| {
        let word = bare(word);
        word.chars().any(|c| c.is_ascii_digit())
            && word
                .chars()
                .all(|c| c.is_ascii_digit() || "+-.".contains(c))
    };
    words
        .windows(2)
        .filter(|two| is_figure(two[0]) && Unit::named(&bare(two[1])).is_some())
        .map(|two| (bare(two[0]), bare(two[1])))
        .collect()
}

/// The texts that people wrote: a flow's prose may name a value in the unit in which it is usual.
fn prose(events: &[Event]) -> String {
    let flows = events.iter().filter_map(|event| match &event.what {
        What::FlowBegun { text, .. } => Some(text.as_str()),
        // As somebody copied it from the car.
        What::CodesNoted(codes) => Some(codes.freeze_frame.as_str()),
        _ => None,
    });
    flows
        // The list of words explains kPa where a flow's prose has it.
        .chain(["about 100 kPa"])
        .collect::<Vec<_>>()
        .join(" ")
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
}

fn foreign(text: &str, prose: &str, units: &[&str]) -> Vec<String> {
    values(text)
        .into_iter()
        .filter(|(_, unit)| units.contains(&unit.as_str()))
        .map(|(figure, unit)| format!("{figure} {unit}"))
        .filter(|value| !prose.contains(value.as_str()))
        .collect()
}

fn stories() -> Vec<(&'static str, Story)> {
    let mut all = jobs::all();
    all.push(("small-leak", small_leak()));
    all
}

#[test]
fn no_page_words_a_value_in_a_foreign_unit() {
    for (name, story) in stories() {
        let prose = prose(&story.events);
        for (system, units) in FOREIGN {
            let preferred = Preferred {
                system,
                ..Preferred::default()
            };
            for edition in [Edition::Customer, Edition::Workshop, Edition::Parts] {
                let text = showing(&preferred, || {
                    markdown(&page(
                        &fold(&story.events),
                        &story.events,
                        &made(),
                        edition,
                        RestsOn::default(),
                    ))
                });
                // What happened is told as it was written, with the preferred unit behind it.
                let text = text
                    .split("## Everything that happened")
                    .next()
                    .unwrap_or_default();
                let text = text.split("## The events").next().unwrap_or_default();
                let found = foreign(text, &prose, units);
                assert_eq!(
                    found,
                    Vec::<String>::new(),
                    "{name}, {system:?}, {edition:?}\n{text}"
                );
            }
        }
    }
}

/// What a step says beside its values, in notes and in why: where the screens take it from.
#[test]
fn no_note_of_a_calculation_names_a_foreign_unit() {
    let mut noted = 0;
    for (name, story) in stories() {
        let prose = prose(&story.events);
        for (system, units) in FOREIGN {
            let preferred = Preferred {
                system,
                ..Preferred::default()
            };
            showing(&preferred, || {
                let job = fold(&story.events);
                for run in &job.runs {
                    for visit in run.walked() {
                        let picture = judge::picture_at(&job, run, visit);
                        for (id, notes) in &picture.notes {
                            noted += notes.len();
                            let found = foreign(&notes.join(" "), &prose, units);
                            assert_eq!(
                                found,
                                Vec::<String>::new(),
                                "{name}, {id}, {system:?}: {notes:?}"
                            );
                        }
                    }
                }
            });
        }
    }
    assert!(noted > 100, "{noted}");
}

/// As flows write it, a low pressure is noted in the unit in which the flow asks for it.
#[test]
fn a_note_follows_the_unit_in_which_the_flow_asks() {
    let events = small_leak().events;
    let text = markdown(&page_for(&events, Edition::Workshop));
    assert!(text.contains("inH2O"), "{text}");
    assert!(!text.contains("mbar"), "{text}");
}

#[test]
fn a_scan_finds_what_it_looks_for() {
    assert_eq!(
        values("about 3.4 kPa (0.49 psi); 14 of 20, 2 banks"),
        [
            ("3.4".to_owned(), "kPa".to_owned()),
            ("0.49".to_owned(), "psi".to_owned())
        ]
    );
    let q: Quantity = "14 inH2O".parse().unwrap();
    assert_eq!(foreign(&shown::quantity(q), "", FOREIGN[1].1), ["14 inH2O"]);
}
