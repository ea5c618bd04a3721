//! The handover page of scripted jobs: what it says, and that it is sound HTML whatever stands in
//! the record.

#![allow(
    clippy::unwrap_used,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

mod jobs;
mod support;

use std::path::Path;
use std::process::Command;

use chrono::{DateTime, FixedOffset};
use proptest::prelude::*;
use ruleout::engine::action::Action;
use ruleout::engine::event::{Codes, Event, What};
use ruleout::engine::fold::fold;
use ruleout::job::file::JobFile;
use ruleout::job::hidden::is_hidden;
use ruleout::report::page::Page;
use ruleout::report::{Made, html, markdown, page};
use support::Story;

fn made() -> Made {
    Made {
        at: DateTime::<FixedOffset>::parse_from_rfc3339("2026-03-09T17:30:00+01:00").unwrap(),
        job: "job 12".to_owned(),
        workshop: Some("Alder Lane Motor Works".to_owned()),
    }
}

fn page_of(events: &[Event]) -> Page {
    page(&fold(events), events, &made())
}

fn short(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures");
    std::fs::read_to_string(folder.join(format!("{name}.yaml"))).unwrap()
}

fn car(number: u128) -> Story {
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
fn wisp_then_sensor() -> Story {
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

#[test]
fn a_whole_job_reads_as_a_page() {
    let story = wisp_then_sensor();
    assert_eq!(story.job.misfits, []);
    insta::assert_snapshot!(markdown(&page_of(&story.events)));
}

#[test]
fn an_open_job_says_so_and_a_skipped_step_is_named_as_not_tested() {
    let mut story = car(6)
        .reads(
            1,
            "idle-airflow: 3.2\nidle-trim: 18\nidle-manifold: 34\nfast-airflow: 10.9\nfast-trim: 6",
        )
        .begin("intake-short")
        .walk_to("plug");
    story.does(Action::Accept("no-self-start".to_owned()));
    story.does(Action::Skip {
        reason: "no plugs that fit".to_owned(),
        to: None,
    });
    let text = markdown(&page_of(&story.events));
    assert!(
        text.contains("**OPEN: The test is not finished**"),
        "{text}"
    );
    assert!(text.contains("- **Stored codes:** not saved"), "{text}");
    assert!(
        text.contains("- **Step skipped:** Isolate and plug: no plugs that fit."),
        "{text}"
    );
    assert!(
        text.contains("- **Not finished:** Intake leak, short form."),
        "{text}"
    );
    assert!(text.contains("- **Handed over:** not yet"), "{text}");
}

#[test]
fn a_repair_that_was_declined_leaves_the_job_open() {
    let mut story = car(7)
        .reads(
            1,
            "barometer: 98.9\nkey-on: 92.8\nsweep: 98.9 = 3.62; 70 = 2.46; 40 = 1.26",
        )
        .begin("signal-short")
        .walk_to("sweep");
    let value = story.parse("sweep", "98.9 = 3.62; 70 = 2.46; 40 = 1.26");
    story.does(Action::Accept("hand-vacuum-pump".to_owned()));
    story.does(Action::Read {
        reading: "sweep".to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    });
    story.does(Action::Follow);
    story.does(Action::Decline {
        by: "owner, too dear".to_owned(),
    });
    let text = markdown(&page_of(&story.events));
    assert!(
        text.contains("**OPEN: Found, but not repaired: Sensor reads off**"),
        "{text}"
    );
    assert!(text.contains("Declined: owner, too dear."), "{text}");
}

#[test]
fn codes_of_the_retest_stand_beside_those_that_were_saved_first() {
    let mut story = car(8).saved(&["P0171"], &[], "", "").begin("intake-short");
    story.does(Action::NoteCodes(Codes {
        stored: vec!["P0300".to_owned()],
        ..Codes::default()
    }));
    let text = markdown(&page_of(&story.events));
    assert!(
        text.contains("- **Stored codes, saved before the test:** P0171; pending: none"),
        "{text}"
    );
    assert!(text.contains(":** P0300; pending: none"), "{text}");
}

#[test]
fn a_limit_that_was_passed_and_a_handover_that_was_taken_back_are_named() {
    let mut story = car(9)
        .reads(
            1,
            "idle-airflow: 3.2\nidle-trim: 18\nidle-manifold: 34\nfast-airflow: 10.9\nfast-trim: 6",
        )
        .begin("intake-short")
        .walk_to("smoke");
    let value = story.parse("open-pressure", "31");
    story.does(Action::Read {
        reading: "open-pressure".to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    });
    story.does(Action::ClearLimit);
    let mut story = story.hand_over("left for tomorrow");
    story.does(Action::Reopen {
        why: "the car is back".to_owned(),
    });
    let text = markdown(&page_of(&story.events));
    for part in [
        "- **A limit was passed:** Open pressure on 2026-03-11 ",
        ": 31 inH2O, never above 28 inH2O.",
        "  - Let down before the work went on, 2026-03-11 ",
        "- **Taken up again on 2026-03-11 ",
        ":** the car is back.",
        "- **Handed over:** not yet",
    ] {
        assert!(text.contains(part), "{part}\n{text}");
    }
}

/// Every element that is opened is closed, in order; nothing but the page's own elements occurs,
/// and nothing that loads or runs.
fn sound(html: &str) -> Result<(), String> {
    const OWN: [&str; 31] = [
        "html",
        "head",
        "meta",
        "title",
        "style",
        "body",
        "header",
        "h1",
        "h2",
        "h3",
        "div",
        "main",
        "section",
        "p",
        "dl",
        "dt",
        "dd",
        "ul",
        "li",
        "strong",
        "blockquote",
        "table",
        "caption",
        "thead",
        "tbody",
        "tr",
        "th",
        "td",
        "footer",
        "span",
        "br",
    ];
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
        if !OWN.contains(&name) {
            return Err(format!("a foreign element: {tag}"));
        }
        let attributes = [
            "class=",
            "lang=",
            "scope=",
            "charset=",
            "name=",
            "content=",
            "http-equiv=\"Content-Sec",
        ];
        let loose = tag
            .split('"')
            .step_by(2)
            .flat_map(|outside| outside.split(' ').skip(1));
        let foreign = |a: &str| {
            !a.is_empty()
                && !attributes
                    .iter()
                    .any(|own| own.starts_with(a) || a.starts_with(own))
        };
        if let Some(bad) = loose.into_iter().find(|a| foreign(a)) {
            return Err(format!("a foreign attribute: {bad}"));
        }
        if tag.matches('"').count() % 2 != 0 {
            return Err(format!("an attribute that does not end: {tag}"));
        }
        match (closing, name) {
            (false, "meta" | "br") => {}
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

#[test]
fn the_page_of_every_demo_job_is_sound_and_ends_with_what_made_it() {
    for (name, story) in jobs::all() {
        let html = html(&page_of(&story.events));
        sound(&html).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert!(html.contains("Made with ruleout "), "{name}");
        assert!(
            html.contains(
                "The vehicle maker&#39;s procedure, local codes and licensed practice come first."
            ),
            "{name}"
        );
        let text = markdown(&page_of(&story.events));
        assert!(!text.chars().any(|c| is_hidden(c) && c != '\n'), "{name}");
    }
}

#[test]
fn the_page_can_be_made_at_any_moment_of_a_job() {
    let story = wisp_then_sensor();
    for end in 0..=story.events.len() {
        let page = page_of(&story.events[..end]);
        sound(&html(&page)).unwrap_or_else(|why| panic!("after {end} events: {why}"));
        assert!(markdown(&page).starts_with("# Test report\n"));
    }
}

const NASTY: &str = "</title><script>alert(1)</script>\u{1b}[31m\u{202e}\" onload='x' & <b>|*_`[a](http://x)\n# no heading";

/// A job with a text in every place that somebody can write in.
fn job_full_of(text: &str) -> Vec<Event> {
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
            | What::RepairApproved { by: field, .. }
            | What::RepairDone { work: field, .. }
            | What::Handover { note: field } => text.clone_into(field),
            What::OutcomeTaken(taken) => taken.reason = Some(text.to_owned()),
            _ => {}
        }
    }
    story.events
}

#[test]
fn markup_and_hidden_characters_in_a_record_are_only_text() {
    let page = page_of(&job_full_of(NASTY));
    let html = html(&page);
    sound(&html).unwrap();
    assert!(html.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    let text = markdown(&page);
    assert!(!text.contains("<script>") && !text.contains('\u{1b}') && !text.contains('\u{202e}'));
    assert!(
        !text.contains("\n# no heading"),
        "a line of the complaint became a heading"
    );
    assert!(!text.contains("[a](http"), "a text became a link");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn any_text_in_a_record_leaves_the_page_sound(text in "(\\PC|[\\x00-\\x1f<>&\"'|*_`#]){0,40}") {
        let page = page_of(&job_full_of(&text));
        // The words that a page must not load or run anything by may well be somebody's own.
        let html = html(&page);
        prop_assert!(sound(&html).is_ok(), "{:?}", sound(&html));
        let text = markdown(&page);
        prop_assert!(!text.chars().any(|c| is_hidden(c) && c != '\n'));
    }
}

fn ruleout(dir: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["--data", "data"])
        .args(args)
        .current_dir(dir)
        .output()
        .unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code().unwrap(),
        text(output.stdout),
        text(output.stderr),
    )
}

#[test]
fn the_command_makes_the_page_from_the_store_and_from_a_file() {
    let folder = tempfile::tempdir().unwrap();
    let dir = folder.path();
    let story = wisp_then_sensor();
    let file = JobFile {
        job: story.job_id(),
        events: story.events,
    };
    std::fs::write(dir.join("job.yaml"), file.to_text().unwrap()).unwrap();

    assert_eq!(ruleout(dir, &["report", "1"]).0, 2);
    assert_eq!(ruleout(dir, &["import", "job.yaml"]).0, 0);
    let (code, by_number, err) = ruleout(dir, &["report", "1"]);
    assert_eq!((code, err.as_str()), (0, ""));
    assert!(by_number.starts_with("# Test report\n") && by_number.contains("- **Job:** job 1\n"));
    assert_eq!(
        ruleout(dir, &["report", "hlm077", "--as", "html", "-o", "page"]).0,
        0
    );
    sound(&std::fs::read_to_string(dir.join("page")).unwrap()).unwrap();

    let (code, out, err) = ruleout(
        dir,
        &[
            "report",
            "--file",
            "job.yaml",
            "-o",
            "page.html",
            "--workshop",
            "Alder & Lane",
        ],
    );
    assert_eq!((code, out.as_str(), err.as_str()), (0, "", ""));
    let page = std::fs::read_to_string(dir.join("page.html")).unwrap();
    assert!(page.contains("Alder &amp; Lane"));
    // An earlier report gives way, anything else does not.
    assert_eq!(ruleout(dir, &["report", "1", "-o", "page.html"]).0, 0);
    let (code, _, err) = ruleout(dir, &["report", "1", "-o", "job.yaml"]);
    assert_eq!(code, 2);
    assert!(
        err.contains("job.yaml: this file is there already and is no report"),
        "{err}"
    );
    assert_eq!(ruleout(dir, &["report"]).0, 2);
    assert_eq!(ruleout(dir, &["report", "--file", "gone.yaml"]).0, 2);
}
