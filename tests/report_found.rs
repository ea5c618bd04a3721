//! The page is of one mind about each cause: found, ruled out, or neither, and never two of them.

use crate::jobs;
use crate::page::page_for;
use ruleout::engine::event::{Event, Verdict, What};
use ruleout::engine::fold::fold;
use ruleout::report::edition::Edition;
use ruleout::report::markdown;

/// The page's line that begins with these words in bold; empty where there is none.
fn line<'t>(text: &'t str, head: &str) -> &'t str {
    let head = format!("- **{head}:**");
    text.lines()
        .find(|line| line.starts_with(&head))
        .unwrap_or("")
}

/// The job up to where the walk left its first flow for another one.
fn led_on(mut events: Vec<Event>) -> Vec<Event> {
    let closed = events.iter().position(
        |event| matches!(&event.what, What::FlowClosed { result, .. } if *result == Verdict::LedOn),
    );
    events.truncate(closed.expect("it led on") + 1);
    events
}

#[test]
fn what_was_found_too_small_is_not_called_undecided() {
    let events = led_on(jobs::shaft_wisp_then_sensor().events);
    for edition in [Edition::Customer, Edition::Workshop] {
        let text = markdown(&page_for(&events, edition));
        let found = line(&text, "Found, too small to explain the complaint");
        assert!(
            found.contains("Throttle shaft worn: throttle shaft (wisp). It accounts for"),
            "{text}"
        );
        let open = line(&text, "Neither found nor ruled out");
        assert!(open.contains("Vacuum hose cracked or off"), "{text}");
        assert!(!open.contains("Throttle shaft"), "{open}");
        assert!(!text.contains("Seen faintly"), "said twice\n{text}");
    }
}

#[test]
fn what_shows_and_was_not_judged_yet_is_found() {
    let text = markdown(&page_for(&jobs::half_way().events, Edition::Customer));
    let found = "- **Found, not judged yet:** Vacuum hose cracked or off: vacuum hose (heavy).";
    assert!(text.contains(found), "{text}");
    let open = line(&text, "Neither found nor ruled out");
    assert!(!open.contains("Vacuum hose"), "{open}");
}

#[test]
fn no_cause_is_told_in_two_ways_wherever_the_job_stands() {
    for (name, story) in jobs::all() {
        let mut found_once = false;
        for end in 1..=story.events.len() {
            let events = &story.events[..end];
            // A page is asked for where something was decided.
            if !matches!(
                events[end - 1].what,
                What::OutcomeTaken(_) | What::FlowClosed { .. } | What::RepairDone { .. }
            ) {
                continue;
            }
            let job = fold(events);
            let text = markdown(&page_for(events, Edition::Customer));
            let open = line(&text, "Neither found nor ruled out");
            let ruled_out = job.ruled_out();
            for found in job.found() {
                found_once = true;
                let cause = &found.cause;
                assert!(
                    ruled_out.iter().all(|(_, out, _)| out.id != cause.id),
                    "{name}, event {end}: {} is found and ruled out",
                    cause.id
                );
                assert!(!open.contains(&cause.name), "{name}, event {end}\n{text}");
            }
        }
        // Where nothing leaks, nothing is found.
        assert_eq!(found_once, name != "not-found-here", "{name}");
    }
}
