//! The handover page of scripted jobs: what it says, and that it is sound HTML whatever stands in
//! the record.

use crate::jobs;
use std::path::Path;
use std::process::Command;

use crate::page::{
    EDITIONS, NASTY, car, job_full_of, page_for, page_of, sound, wisp_then_sensor,
    with_flows_full_of,
};
use proptest::prelude::*;
use ruleout::engine::action::Action;
use ruleout::engine::event::{Codes, Suggested, What};
use ruleout::flow::target::Target;
use ruleout::job::file::JobFile;
use ruleout::job::hidden::is_hidden;
use ruleout::report::edition::Edition;
use ruleout::report::{Sheet, html, markdown};

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
        .walk_to("smoke");
    story.does(Action::Skip {
        reason: "no plugs that fit".to_owned(),
        to: Some(Target::Step("cover".to_owned())),
    });
    let text = markdown(&page_of(&story.events));
    assert!(
        text.contains("**OPEN: The test is not finished**"),
        "{text}"
    );
    assert!(
        text.contains("- **Trouble codes in the car:** nobody noted them before the test began"),
        "{text}"
    );
    assert!(
        text.contains("- **Step skipped:** Smoke: no plugs that fit."),
        "{text}"
    );
    assert!(
        text.contains("- **Not finished:** Intake leak, short form."),
        "{text}"
    );
    assert!(text.contains("- **Handed over:** not yet"), "{text}");
    // Where a flow was left for another, the job stands in the other one.
    assert!(text.contains("The job stands here."), "{text}");
    let left = story.begin("intake-short");
    let text = markdown(&page_of(&left.events));
    assert_eq!(text.matches("The job stands here.").count(), 1, "{text}");
    assert!(
        text.contains("The flow was left here, before its end."),
        "{text}"
    );
}

#[test]
fn a_flow_begun_by_mistake_and_left_at_once_was_not_tested() {
    let mut story = car(6).begin("signal-short");
    story.does(Action::Leave);
    let text = markdown(&page_of(&story.events));
    assert!(
        text.contains("- **Begun and left at once, nothing tested:**"),
        "{text}"
    );
    let tested = text.split("## What was tested, and why").nth(1);
    let tested = tested.and_then(|rest| rest.split("\n## ").next());
    assert!(
        !tested.unwrap_or("").contains("signal"),
        "{tested:?}\n{text}"
    );
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

/// Left by the evidence's way where the readings were clear, a step is told by what they said, not as if they could not
/// tell.
#[test]
fn a_step_left_by_another_way_is_told_by_its_readings() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/demo-jobs/split-hose-then-gasket.yaml"
    );
    let file = JobFile::parse(&std::fs::read_to_string(path).unwrap()).unwrap();
    let mut events = file.events;
    let at = events.iter().position(|event| {
        matches!(&event.what, What::OutcomeTaken(taken)
            if taken.suggested == Suggested::Outcome("trims-come-back".to_owned()))
    });
    let at = at.expect("the running proof has an outcome");
    events.truncate(at + 1);
    let What::OutcomeTaken(taken) = &mut events[at].what else {
        unreachable!("found as such");
    };
    taken.outcome = None;
    taken.go = Target::Repair("split-hose".to_owned());
    let text = markdown(&page_of(&events));
    assert!(
        text.contains("The trim falls as the place is covered; this is the leak."),
        "{text}"
    );
    assert!(!text.contains("Too close to call"), "{text}");
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

#[test]
fn the_page_of_every_demo_job_is_sound_and_says_what_made_it() {
    for (name, story) in jobs::all() {
        for edition in EDITIONS {
            let page = page_for(&story.events, edition);
            let (html, text) = (html(&page, Sheet::A4), markdown(&page));
            sound(&html).unwrap_or_else(|why| panic!("{name}, {edition:?}: {why}"));
            assert!(html.contains("Made with ruleout "), "{name}");
            assert!(!text.chars().any(|c| is_hidden(c) && c != '\n'), "{name}");
        }
        for edition in &EDITIONS[..2] {
            let text = markdown(&page_for(&story.events, *edition));
            assert!(
                text.contains(
                    "The vehicle maker's procedure, local codes and licensed practice come first."
                ),
                "{name}, {edition:?}"
            );
        }
    }
}

#[test]
fn the_page_can_be_made_at_any_moment_of_a_job() {
    let story = wisp_then_sensor();
    for end in (0..=story.events.len()).step_by(3) {
        for edition in EDITIONS {
            let page = page_for(&story.events[..end], edition);
            sound(&html(&page, Sheet::Printer))
                .unwrap_or_else(|why| panic!("{edition:?} after {end} events: {why}"));
            assert!(markdown(&page).starts_with("# "));
        }
    }
}

#[test]
fn markup_and_hidden_characters_in_a_record_are_only_text() {
    for edition in EDITIONS {
        let page = page_for(&job_full_of(NASTY), edition);
        let html = html(&page, Sheet::A4);
        sound(&html).unwrap_or_else(|why| panic!("{edition:?}: {why}"));
        assert!(html.contains("&lt;script&gt;"), "{edition:?}");
        let text = markdown(&page);
        assert!(!text.contains("<script>") && !text.contains('\u{1b}'));
        assert!(!text.contains('\u{202e}') && !text.contains("[a](http"));
        assert!(!text.contains("\n# no heading"), "{edition:?}: a heading");
    }
}

#[test]
fn markup_in_the_flows_of_a_job_is_only_text_in_charts_too() {
    // In YAML the words stand between quotes; what YAML itself forbids is left out.
    let words = "</text></svg><script>alert(1)</script> ' onload='x & <b>|*_`[a](http://x)";
    let events = with_flows_full_of(jobs::split_hose_then_gasket().events, words);
    for edition in EDITIONS {
        let html = html(&page_for(&events, edition), Sheet::A4);
        sound(&html).unwrap_or_else(|why| panic!("{edition:?}: {why}"));
        let charts = matches!(edition, Edition::Customer | Edition::Workshop);
        assert_eq!(html.contains("<svg class=\"chart\""), charts, "{edition:?}");
    }
    let page = page_for(&events, Edition::Customer);
    assert!(html(&page, Sheet::A4).contains("t\">&lt;/text&gt;"));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 6, ..ProptestConfig::default() })]

    #[test]
    fn any_text_in_a_record_leaves_the_page_sound(text in "(\\PC|[\\x00-\\x1f<>&\"'|*_`#]){0,40}") {
        for edition in EDITIONS {
            let page = page_for(&job_full_of(&text), edition);
            // The words that a page must not load or run anything by may well be somebody's own.
            let html = html(&page, Sheet::Letter);
            prop_assert!(sound(&html).is_ok(), "{edition:?}: {:?}", sound(&html));
            let text = markdown(&page);
            prop_assert!(!text.chars().any(|c| is_hidden(c) && c != '\n'));
        }
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
    assert!(by_number.contains("\nCustomer edition\n"), "{by_number}");
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
    let (code, _, err) = ruleout(dir, &["report", "1", "-o", "data.json"]);
    assert_eq!((code, err.as_str()), (0, ""));
    let text = std::fs::read_to_string(dir.join("data.json")).unwrap();
    assert!(serde_json::from_str::<serde_json::Value>(&text).unwrap()["version"] == 1);
    assert_eq!(ruleout(dir, &["report", "1", "-o", "data.json"]).0, 0);
    for whom in ["workshop", "parts", "label"] {
        let args = [
            "report",
            "1",
            "--for",
            whom,
            "--paper",
            "letter",
            "-o",
            "page.html",
        ];
        assert_eq!(ruleout(dir, &args).0, 0, "{whom}");
        let page = std::fs::read_to_string(dir.join("page.html")).unwrap();
        assert!(page.contains(&format!("<body class=\"{whom}\">")), "{whom}");
    }
    assert_eq!(ruleout(dir, &["report", "1", "--for", "king"]).0, 2);
    assert_eq!(ruleout(dir, &["report"]).0, 2);
    assert_eq!(ruleout(dir, &["report", "--file", "gone.yaml"]).0, 2);
}
