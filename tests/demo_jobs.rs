//! The demo jobs: each is told as a story in `tests/jobs`, and its file in `demo-jobs/` is exactly
//! what the story comes to. After a change of a flow or a story, write the files anew with
//!
//! ```text
//! RULEOUT_WRITE_DEMO_JOBS=1 cargo test --test suite demo_jobs::
//! ```

use crate::jobs;
use std::path::{Path, PathBuf};

use crate::support::Story;
use ruleout::engine::replay::replay;
use ruleout::job::file::JobFile;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-jobs")
}

fn trail(story: &Story) -> String {
    story.trail().join("\n")
}

#[test]
fn the_committed_files_are_what_the_stories_come_to() {
    let write = std::env::var_os("RULEOUT_WRITE_DEMO_JOBS").is_some();
    for (name, story) in jobs::all() {
        let path = folder().join(format!("{name}.yaml"));
        let file = JobFile {
            job: story.job_id(),
            events: story.events.clone(),
        };
        let text = file.to_text().expect("every demo job can be written");
        if write {
            std::fs::write(&path, &text).expect("demo-jobs can be written to");
        }
        let there = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(
            there == text,
            "{} is not what its story comes to; see the head of this test",
            path.display()
        );
        assert_eq!(
            JobFile::parse(&there).expect("it reads back").events,
            story.events
        );
    }
}

#[test]
fn no_event_of_a_demo_job_is_a_misfit_and_the_engine_agrees_with_the_record() {
    for (name, story) in jobs::all() {
        assert_eq!(story.job.misfits, [], "{name}");
        let (_, played) = replay(&story.events);
        for event in &played {
            assert_eq!(
                event.disagreements,
                Vec::<String>::new(),
                "{name}, event {}",
                event.event.seq
            );
        }
        // One car still stands in the bay, for people who want to go on with it.
        assert_eq!(
            story.job.handed_over.is_some(),
            name != "half-way",
            "{name}"
        );
    }
}

#[test]
fn a_split_hose_explains_the_trims_and_hid_a_second_leak() {
    let trail = trail(&jobs::split_hose_then_gasket());
    for part in [
        "running-proof -> trims-come-back\nname-the-cause -> duct\nrepair split-hose\nretest\nsave-data",
        "cruise-trims -> trims-normal-again",
        "complaint-left -> gone\nleak-left -> large\nname-the-cause -> gasket\nrepair intake-gasket\nretest\nsave-data",
        "shaft -> clean-retest\nretest-judge -> cured\nProved\nhandover",
    ] {
        assert!(trail.contains(part), "{part}\n--- not in ---\n{trail}");
    }
}

#[test]
fn a_wisp_at_the_shaft_is_too_small_and_leads_on_to_the_sensor() {
    let story = jobs::shaft_wisp_then_sensor();
    let trail = trail(&story);
    for part in [
        "judge -> too-small\nLedOn\nflow manifold-pressure-signal",
        "sweep -> straight\ncompare -> off\nrepair pressure-sensor\nretest\nkey-on",
        "compare -> good-after-repair\nprove -> cured\nProved",
    ] {
        assert!(trail.contains(part), "{part}\n--- not in ---\n{trail}");
    }
}

#[test]
fn nothing_found_is_handed_over_with_what_was_ruled_out() {
    let story = jobs::not_found_here();
    assert!(trail(&story).ends_with("compare -> good\nput-together -> go-on\nRuledOut\nhandover"));
    let ruled_out: Vec<&str> = story
        .job
        .ruled_out()
        .iter()
        .map(|(_, c, _)| c.id.as_str())
        .collect();
    assert!(
        ruled_out.contains(&"split-hose") && ruled_out.contains(&"pressure-sensor"),
        "{ruled_out:?}"
    );
}

#[test]
fn a_car_metered_by_manifold_pressure_is_judged_by_its_idle_control() {
    let story = jobs::metered_by_manifold_pressure();
    let trail = trail(&story);
    assert!(!trail.contains("idle-trims"), "{trail}");
    for part in [
        "idle-control -> closed",
        "running-proof -> control-opens",
        "retest-judge -> cured-by-control",
    ] {
        assert!(trail.contains(part), "{part}\n--- not in ---\n{trail}");
    }
}
