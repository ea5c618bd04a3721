//! Pages of scripted jobs, and whether what was written is sound HTML.

pub mod stories;

use std::path::Path;

use chrono::{DateTime, FixedOffset};
use ruleout::engine::action::Action;
use ruleout::engine::event::{Event, What};
use ruleout::engine::fold::fold;
use ruleout::job::hidden::is_hidden;
use ruleout::report::edition::Edition;
use ruleout::report::page::Page;
use ruleout::report::{Made, Reached, RestsOn, page};

use crate::support::Story;

pub const EDITIONS: [Edition; 4] = [
    Edition::Customer,
    Edition::Workshop,
    Edition::Parts,
    Edition::Label,
];

pub fn made() -> Made {
    Made {
        at: DateTime::<FixedOffset>::parse_from_rfc3339("2026-03-09T17:30:00+01:00").unwrap(),
        job: "job 12".to_owned(),
        workshop: Some("Alder Lane Motor Works".to_owned()),
        reached: Reached::default(),
    }
}

pub fn page_of(events: &[Event]) -> Page {
    page_for(events, Edition::Workshop)
}

pub fn page_for(events: &[Event], edition: Edition) -> Page {
    page(&fold(events), events, &made(), edition, RestsOn::default())
}

fn short(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    std::fs::read_to_string(folder.join(format!("{name}.yaml"))).unwrap()
}

pub fn car(number: u128) -> Story {
    let mut story = Story::new(
        number,
        "HLM 077",
        "Tarnholt Vela 1.4, 2011",
        "Rough idle since the winter,\nand it uses more fuel",
        &["P0171"],
    )
    .fact("metering", "both");
    for flow in ["intake-short", "signal-short"] {
        story.shelf.put(flow, &short(flow));
    }
    story
}

/// A wisp at the shaft that explains little; a choice against the suggestion, a correction, a
/// finding, and a sensor that is repaired and proved.
pub fn wisp_then_sensor() -> Story {
    let mut story = car(5)
        .saved(&["P0171"], &["P0106"], "790 rpm, coolant 91 C", "all ready")
        .reads(
            1,
            "idle-airflow: 3.2
             idle-trim: 18
             idle-manifold: 34
             fast-airflow: 10.9
             fast-trim: 6
             open-flow: 1.9
             open-pressure: 14
             seen-at: throttle shaft = wisp
             covered-flow: 1.4
             covered-pressure: 14
             barometer: 98.9
             key-on: 95.8
             sweep: 98.9 = 3.62; 70 = 2.46; 40 = 1.26",
        )
        .reads(2, "barometer: 98.9\nkey-on: 98.6")
        .begin("intake-short")
        .chooses("rest", "low", "the scan data flickered well below it")
        .walk_to("smoke");
    story.does(Action::Note {
        place: "Air filter box".to_owned(),
        note: "clip broken, holds all the same".to_owned(),
    });
    story = story.walk_to("cover");
    let misread = story.job.latest("open-flow", 1).unwrap().seq;
    let value = story.parse("open-flow", "1.8");
    story.does(Action::Correct {
        taken: misread,
        value,
        why: "read off the wrong side of the float".to_owned(),
    });
    story = story.walk();
    story.hand_over("Sensor renewed. The wisp at the shaft is noted and harmless.")
}

pub const NASTY: &str = "</title><script>alert(1)</script>\u{1b}[31m\u{202e}\" onload='x' & <b>|*_`[a](http://x)\n# no heading";

/// A job with a text in every place that somebody can write in.
pub fn job_full_of(text: &str) -> Vec<Event> {
    let mut story = wisp_then_sensor();
    for event in &mut story.events {
        text.clone_into(&mut event.who);
        match &mut event.what {
            What::JobOpened(opening) => {
                for field in [
                    &mut opening.complaint,
                    &mut opening.vehicle.plate,
                    &mut opening.vehicle.model,
                    &mut opening.vehicle.vin,
                    &mut opening.vehicle.odometer,
                ] {
                    text.clone_into(field);
                }
                opening.symptoms = vec![text.to_owned()];
                opening.codes = vec![text.to_owned()];
            }
            What::CodesNoted(codes) => {
                codes.stored = vec![text.to_owned()];
                text.clone_into(&mut codes.freeze_frame);
                text.clone_into(&mut codes.readiness);
            }
            What::FindingNoted { place, note } => {
                text.clone_into(place);
                text.clone_into(note);
            }
            What::ReadingCorrected { why: field, .. }
            | What::RepairCorrected { why: field, .. }
            | What::RepairApproved { by: field, .. }
            | What::RepairDone { work: field, .. }
            | What::Handover { note: field } => text.clone_into(field),
            What::OutcomeTaken(taken) => taken.reason = Some(text.to_owned()),
            _ => {}
        }
    }
    story.events
}

/// The page's own elements.
const OWN: &str = "html head meta title style body header h1 h2 h3 div main section p dl dt dd ul li strong blockquote table caption thead tbody tr th td footer span br figure figcaption svg desc text line rect path polyline circle";

/// The page's own attributes, as they begin.
const ATTRIBUTES: &[&str] = &[
    "class=",
    "lang=",
    "scope=",
    "charset=",
    "name=",
    "content=",
    "http-equiv=\"Content-Sec",
    "id=",
    "role=",
    "aria-labelledby=",
    "aria-hidden=",
    "viewBox=",
    "x=",
    "y=",
    "x1=",
    "y1=",
    "x2=",
    "y2=",
    "cx=",
    "cy=",
    "r=",
    "d=",
    "width=",
    "height=",
    "points=",
    "fill=",
    "font-size=",
    "text-anchor=",
    "stroke=",
    "stroke-width=",
    "stroke-dasharray=",
];

/// Every element that is opened is closed, in order; nothing but the page's own elements occurs,
/// and nothing that loads or runs.
pub fn sound(html: &str) -> Result<(), String> {
    let rest = html.strip_prefix("<!doctype html>\n").ok_or("no doctype")?;
    let (head, rest) = rest.split_once("<style>").ok_or("no style")?;
    let (style, rest) = rest
        .split_once("</style>")
        .ok_or("the style does not end")?;
    if style.contains('<') {
        return Err("markup in the style".to_owned());
    }
    let text = format!("{head}{rest}");
    let mut open: Vec<&str> = Vec::new();
    for part in text.split('<').skip(1) {
        let (tag, words) = part
            .split_once('>')
            .ok_or_else(|| format!("an open bracket: {part}"))?;
        if words.contains('>') {
            return Err(format!("a bracket in the text: {words}"));
        }
        let (closing, tag) = tag
            .strip_prefix('/')
            .map_or((false, tag), |tag| (true, tag));
        let name = tag.split(' ').next().unwrap_or_default();
        if !OWN.split(' ').any(|own| own == name) {
            return Err(format!("a foreign element: {tag}"));
        }
        let loose = tag
            .split('"')
            .step_by(2)
            .flat_map(|outside| outside.split(' ').skip(1));
        let foreign = |a: &str| !a.is_empty() && !ATTRIBUTES.iter().any(|own| own.starts_with(a));
        if let Some(bad) = loose.into_iter().find(|a| foreign(a)) {
            return Err(format!("a foreign attribute: {bad}"));
        }
        if tag.matches('"').count() % 2 != 0 {
            return Err(format!("an attribute that does not end: {tag}"));
        }
        match (closing, name) {
            (false, "meta" | "br") => {}
            (false, _) if tag.ends_with('/') => {}
            (false, name) => open.push(name),
            (true, name) if open.pop() == Some(name) => {}
            (true, name) => return Err(format!("</{name}> closes nothing")),
        }
    }
    if !open.is_empty() {
        return Err(format!("never closed: {open:?}"));
    }
    match html.chars().find(|c| is_hidden(*c) && *c != '\n') {
        Some(c) => Err(format!("{c:?} occurs")),
        None => Ok(()),
    }
}

/// The job's flows with a text in the name of every flow, step, reading, worked value, cause and
/// reason: a job file from a stranger brings its flows along.
pub fn with_flows_full_of(mut events: Vec<Event>, words: &str) -> Vec<Event> {
    let quoted = format!("\"{}\"", words.replace('\\', "").replace('"', "\\\""));
    let mut changed = 0;
    for event in &mut events {
        if let What::FlowBegun { hash, text, .. } = &mut event.what {
            let lines: Vec<String> = text
                .lines()
                .map(|line| {
                    let bare = line.trim_start();
                    let key = ["title: ", "ask: ", "summary: ", "name: "]
                        .iter()
                        .find(|key| bare.starts_with(**key) && !bare.contains(">-"));
                    match key {
                        Some(key) => {
                            changed += 1;
                            let indent = &line[..line.len() - bare.len()];
                            format!("{indent}{key}{quoted}")
                        }
                        None => line.to_owned(),
                    }
                })
                .collect();
            *text = lines.join("\n");
            *hash = ruleout::flow::shelf::hash(text);
        }
    }
    assert!(changed > 20, "only {changed} texts were changed");
    events
}
