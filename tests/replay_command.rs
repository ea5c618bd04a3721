//! `ruleout replay`, as the real program runs it, on the demo jobs and on records that were
//! tampered with.

use std::path::Path;
use std::process::Command;

use crate::support::Story;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::event::{Event, Verdict, What};
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::hash;
use ruleout::flow::target::Target;
use ruleout::job::file::JobFile;

fn replay(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .arg("replay")
        .args(args)
        .output()
        .expect("the program runs");
    (
        output.status.code().expect("it ends by itself"),
        String::from_utf8(output.stdout).expect("text"),
        String::from_utf8(output.stderr).expect("text"),
    )
}

fn demo(name: &str) -> String {
    format!("{}/demo-jobs/{name}.yaml", env!("CARGO_MANIFEST_DIR"))
}

/// A copy of a demo job with one text replaced where it first stands.
fn changed(folder: &Path, name: &str, from: &str, to: &str) -> String {
    let text = std::fs::read_to_string(demo(name)).expect("a demo job");
    assert!(text.contains(from), "{from}");
    let path = folder.join("copy.yaml");
    std::fs::write(&path, text.replacen(from, to, 1)).expect("written");
    path.to_str().expect("a name in UTF-8").to_owned()
}

#[test]
fn the_demo_jobs_agree_with_the_engine_and_show_their_worked_values() {
    let names = [
        "shaft-wisp-then-sensor",
        "split-hose-then-gasket",
        "not-found-here",
        "metered-by-manifold-pressure",
    ];
    let paths: Vec<String> = names.iter().map(|name| demo(name)).collect();
    let (code, out, err) = replay(&paths.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((code, err.as_str()), (0, ""), "{out}");
    assert!(
        out.ends_with("4 job files, the records agree with the engine\n"),
        "{out}"
    );
    for part in [
        "= hole found",
        "too-small: It is too small",
        "test 2: again from the start",
        "ended: repaired and proved",
    ] {
        assert!(out.contains(part), "{part}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
}

#[test]
fn a_changed_worked_value_is_named_with_its_event_and_ends_with_1() {
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string(demo("shaft-wisp-then-sensor")).expect("a demo job");
    let shown = text
        .lines()
        .find(|l| l.trim().starts_with("shown: 4.") || l.trim().starts_with("shown: \"4."))
        .expect("the share")
        .to_owned();
    let path = changed(
        folder.path(),
        "shaft-wisp-then-sensor",
        &shown,
        &shown.replacen("4.", "84.", 1),
    );
    let (code, out, _) = replay(&[&path]);
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("event 46 DISAGREES: explained: recorded as 84."),
        "{out}"
    );
    assert!(out.ends_with("1 job file, 1 disagreement\n"), "{out}");

    let (code, out, _) = replay(&["--json", &path]);
    assert_eq!(code, 1);
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let job = &json["jobs"][0];
    assert_eq!(job["agrees"], false);
    assert_eq!(job["disagreements"][0]["event"], 46);
    assert_eq!(job["events"], text.matches("\n    seq: ").count());
}

#[test]
fn a_changed_reading_is_noticed_by_what_was_worked_from_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = changed(
        folder.path(),
        "shaft-wisp-then-sensor",
        "quantity: 1.4 L/min",
        "quantity: 0.4 L/min",
    );
    let (code, out, _) = replay(&[&path]);
    assert_eq!(code, 1, "{out}");
    // Where the place was covered, and at every judgement that rests on it.
    assert!(out.contains("event 46 DISAGREES: "), "{out}");
    let judged = out
        .matches("DISAGREES: explained: recorded as 4.7 %")
        .count();
    assert!(judged >= 1, "{out}");
}

#[test]
fn json_tells_every_step_with_its_readings_and_worked_values() {
    let (code, out, _) = replay(&["--json", &demo("not-found-here")]);
    assert_eq!(code, 0);
    let json: serde_json::Value = serde_json::from_str(&out).expect("JSON");
    let played = json["jobs"][0]["played"].as_array().expect("a list");
    let sweep = played
        .iter()
        .find(|e| e["step"] == "sweep")
        .expect("the sweep");
    assert_eq!(sweep["outcome"], "straight");
    assert!(
        sweep["readings"][0]["value"]
            .as_str()
            .is_some_and(|v| v.starts_with("99.6 kPa = 3.92 V"))
    );
    assert!(sweep["worked"].as_array().is_some_and(|w| {
        w.iter()
            .any(|v| v["si"].is_number() && v["low"].is_number())
    }));
}

#[test]
fn a_file_that_is_no_job_file_ends_with_2_and_is_named() {
    let flow = format!("{}/flows/intake-leak.yaml", env!("CARGO_MANIFEST_DIR"));
    let (code, out, err) = replay(&[&flow, &demo("not-found-here")]);
    assert_eq!(code, 2);
    assert!(
        err.contains("intake-leak.yaml: this is not a job file"),
        "{err}"
    );
    assert!(out.ends_with("1 job file, the records agree with the engine\n"));
    assert_eq!(replay(&["gone.yaml"]).0, 2);
}

/// A hose held on the bench: the first step skipped, a limit passed, one outcome taken against the
/// suggestion, and then the end.
fn held() -> Story {
    let text = include_str!("fixtures/flows/bench-hold.yaml").to_owned();
    let mut story = Story::new(7, "XK 42", "Corvid 1.8", "whistle", &["P0171"])
        .reads(1, "set-pressure: 40\nend-pressure: 38\nseen-at: nowhere")
        .chooses("hold", "hidden", "heard it hiss");
    story.does(Action::Begin(FlowText {
        id: "bench-hold".to_owned(),
        revision: 1,
        hash: hash(&text),
        text,
    }));
    for (fact, value) in [
        ("metering", Answer::Choice("air mass".to_owned())),
        ("top-pressure", Answer::Quantity("140 kPa".parse().unwrap())),
    ] {
        let (fact, confirmed) = (fact.to_owned(), false);
        story.does(Action::SetFact {
            fact,
            value,
            confirmed,
        });
    }
    story.does(Action::Accept("eye-protection".to_owned()));
    story.does(Action::Skip {
        reason: "no scan tool today".to_owned(),
        to: None,
    });
    let mut story = story.walk_to("hold");
    let value = story.parse("set-pressure", "150");
    story.does(Action::Accept("smoke-into-intake".to_owned()));
    story.does(Action::Read {
        reading: "set-pressure".to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    });
    story.does(Action::ClearLimit);
    story.walk().hand_over("It holds.")
}

/// Replays the record of [`held`] with one event changed, and returns its number, the exit code
/// and what was printed.
fn tampered(pick: fn(&What) -> bool, change: impl Fn(&mut What)) -> (u64, i32, String) {
    let story = held();
    let mut events: Vec<Event> = story.events.clone();
    let event = events.iter_mut().find(|e| pick(&e.what)).expect("an event");
    change(&mut event.what);
    let seq = event.seq;
    let (code, out) = replay_of(&story, events);
    (seq, code, out)
}

fn replay_of(story: &Story, events: Vec<Event>) -> (i32, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("job.yaml");
    let job = story.job_id();
    let text = JobFile { job, events }.to_text().expect("a job file");
    std::fs::write(&path, text).expect("written");
    let (code, out, err) = replay(&[path.to_str().expect("UTF-8")]);
    assert_eq!(err, "", "{out}");
    // Long lines are broken for the screen.
    (code, out.split_whitespace().collect::<Vec<_>>().join(" "))
}

fn named(found: &(u64, i32, String), said: &str) {
    let (seq, code, out) = found;
    assert_eq!(*code, 1, "{out}");
    assert!(out.contains(&format!("event {seq} DISAGREES:")), "{out}");
    assert!(out.contains(said), "{said}: {out}");
}

#[test]
fn a_record_with_a_skip_a_limit_and_an_own_choice_agrees() {
    let story = held();
    assert_eq!(story.job.misfits, []);
    let (code, out) = replay_of(&story, story.events.clone());
    assert_eq!(code, 0, "{out}");
    for part in ["SKIPPED", "limit passed", "CHOSEN", "nothing was repaired"] {
        assert!(out.contains(part), "{part}: {out}");
    }
}

#[test]
fn an_outcome_that_leads_elsewhere_is_named() {
    let found = tampered(
        |what| matches!(what, What::OutcomeTaken(taken) if taken.step == "hold"),
        |what| {
            if let What::OutcomeTaken(taken) = what {
                taken.go = Target::Step("symptom".to_owned());
            }
        },
    );
    named(
        &found,
        "recorded as leading on to The complaint in numbers, and by the flow it leads on to Plug",
    );
}

#[test]
fn a_reason_that_was_taken_away_is_named() {
    let found = tampered(
        |what| matches!(what, What::OutcomeTaken(taken) if taken.reason.is_some()),
        |what| {
            if let What::OutcomeTaken(taken) = what {
                taken.reason = None;
            }
        },
    );
    named(&found, "against the suggestion, and no reason is recorded");
    let found = tampered(
        |what| matches!(what, What::StepSkipped { .. }),
        |what| {
            if let What::StepSkipped { reason, .. } = what {
                " ".clone_into(reason);
            }
        },
    );
    named(&found, "no reason is recorded for the skip");
}

#[test]
fn a_skip_that_leads_elsewhere_is_named() {
    let found = tampered(
        |what| matches!(what, What::StepSkipped { .. }),
        |what| {
            if let What::StepSkipped { go, .. } = what {
                *go = Target::Step("hold".to_owned());
            }
        },
    );
    named(&found, "where this step cannot be skipped to");
}

#[test]
fn another_closing_verdict_is_named() {
    for other in [Verdict::RuledOut, Verdict::LedOn, Verdict::Left] {
        let found = tampered(
            |what| matches!(what, What::FlowClosed { .. }),
            |what| {
                if let What::FlowClosed { result, .. } = what {
                    *result = other;
                }
            },
        );
        named(
            &found,
            "the walk comes to \"the complaint did not show; nothing was repaired",
        );
    }
    let found = tampered(
        |what| matches!(what, What::FlowClosed { .. }),
        |what| {
            *what = What::Remark {
                text: "nothing".to_owned(),
            };
        },
    );
    assert_eq!(found.1, 1);
    assert!(
        found.2.contains("the record does not say how"),
        "{}",
        found.2
    );
}

#[test]
fn a_flow_text_that_does_not_fit_its_hash_is_named() {
    let found = tampered(
        |what| matches!(what, What::FlowBegun { .. }),
        |what| {
            if let What::FlowBegun { text, .. } = what {
                *text = text.replace("kept: {at least: 90 %}", "kept: {at least: 80 %}");
            }
        },
    );
    named(&found, "the flow's text was changed");
    let found = tampered(
        |what| matches!(what, What::FlowBegun { .. }),
        |what| {
            if let What::FlowBegun { revision, .. } = what {
                *revision = 4;
            }
        },
    );
    named(&found, "the record says revision 4");
}

#[test]
fn a_limit_that_is_not_that_of_the_flow_is_named() {
    let limit = |value: &'static str, never: &'static str| {
        tampered(
            |what| matches!(what, What::LimitPassed { .. }),
            move |what| {
                if let What::LimitPassed {
                    value: v, limit, ..
                } = what
                {
                    *v = value.parse().unwrap();
                    *limit = never.parse().unwrap();
                }
            },
        )
    };
    named(
        &limit("150 kPa", "145 kPa"),
        "by the flow never above 140 kPa",
    );
    named(&limit("139 kPa", "140 kPa"), "by the flow it is not");
    // A value above the limit that is recorded as if it were any other.
    let found = tampered(
        |what| matches!(what, What::ReadingTaken { .. }),
        |what| {
            if let What::ReadingTaken { value, .. } = what {
                *value = Answer::Quantity("150 kPa".parse().unwrap());
            }
        },
    );
    named(&found, "is above its limit of 140 kPa");
    // The pressure was never let down.
    let (_, code, out) = tampered(
        |what| matches!(what, What::LimitCleared),
        |what| {
            *what = What::Remark {
                text: "nothing".to_owned(),
            };
        },
    );
    assert_eq!(code, 1, "{out}");
    assert!(
        out.contains("that the pressure was let down first"),
        "{out}"
    );
}
