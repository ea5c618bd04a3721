//! Flow files that change while the screens are open.

use super::bench::{Bench, shelf};
use crate::check::shelf::Found;
use crate::flow::shelf::Shelf;

const HOLD: &str = include_str!("../../../tests/fixtures/flows/bench-hold.yaml");
const SIGNAL: &str = include_str!("../../../tests/fixtures/flows/bench-signal.yaml");

fn put(hold: &str) -> Shelf {
    let mut shelf = Shelf::default();
    shelf.put("bench-hold.yaml", hold);
    shelf.put("bench-signal.yaml", SIGNAL);
    shelf
}

fn newer() -> String {
    let newer =
        HOLD.replacen("revision: 1", "revision: 2", 1)
            .replacen("title: ", "title: Newer ", 1);
    assert!(newer.contains("revision: 2") && newer.contains("title: Newer"));
    newer
}

#[test]
fn a_changed_flow_is_offered_and_a_running_job_keeps_its_own() {
    let mut bench = Bench::at_hold();
    let before = bench.screen();
    let title = shelf().find("bench-hold").unwrap().flow.title.clone();
    assert!(before.contains(&title), "{before}");
    bench.flows(Ok(put(&newer())));
    let after = bench.screen();
    assert!(after.contains("bench-hold (revision 2)"), "{after}");
    assert!(!after.contains(&format!("Newer {title}")), "{after}");
    let run = bench.driver.model.open.as_ref().unwrap().job.run().unwrap();
    assert_eq!(run.flow.revision, 1);
    assert_eq!(
        bench
            .driver
            .model
            .shelf
            .find("bench-hold")
            .unwrap()
            .flow
            .revision,
        2
    );
}

#[test]
fn a_broken_file_is_named_with_its_place_and_the_last_good_flow_stays() {
    let mut bench = Bench::new();
    bench.flows(Ok(put(&newer())));
    let broken = newer().replacen("steps:", "stesp:", 1);
    bench.flows(Ok(put(&broken)));
    let line = 1 + broken
        .lines()
        .position(|l| l.starts_with("stesp:"))
        .unwrap();
    let screen = bench.screen();
    assert!(screen.contains("bench-hold.yaml:"), "{screen}");
    let said = bench.driver.model.notice.clone().unwrap().text;
    let placed =
        said.contains(&format!("bench-hold.yaml:{line}:1")) || said.contains("needs the key");
    assert!(placed, "{said}");
    let kept = bench.driver.model.shelf.find("bench-hold").unwrap();
    assert_eq!(kept.flow.revision, 2, "the last good one");
    bench.flows(Ok(put(HOLD)));
    assert_eq!(
        bench
            .driver
            .model
            .shelf
            .find("bench-hold")
            .unwrap()
            .flow
            .revision,
        1
    );
    assert!(bench.driver.model.shelf.rejected.is_empty());
}

#[test]
fn flows_that_cannot_be_read_change_nothing() {
    let mut bench = Bench::new();
    bench.flows(Err("my-flows: no such folder".to_owned()));
    assert!(
        bench.screen().contains("no such folder"),
        "{}",
        bench.screen()
    );
    assert_eq!(bench.driver.model.shelf.iter().count(), 2);
}

/// The flows of the bench, and one of an owner's, to which this was done.
fn with_own(change: impl Fn(&str) -> String) -> Shelf {
    let mut shelf = put(HOLD);
    let own = include_str!("../../../assets/new-flow.yaml").replace("NEW-FLOW", "own-hold");
    shelf.put("my flows/own-hold.yaml", &change(&own));
    assert!(shelf.find("own-hold").is_some(), "it loads");
    shelf
}

/// With a step that goes round for ever, and that nothing leads to.
fn with_a_ring(own: &str) -> String {
    let ring = "  - {id: round, phase: inspect, title: Go round, do: Look., \
                outcomes: [{when: always, go: round}]}\nretest:";
    own.replacen("\nretest:", &format!("\n{ring}"), 1)
}

/// The bench's own flows are short ones for tests, which the checker would change a lot about.
fn only_own(found: Found, shelf: &Shelf) -> Option<Found> {
    (shelf.find("own-hold")?.hash == found.hash).then_some(found)
}

#[test]
fn a_flow_in_which_the_checker_finds_mistakes_is_never_offered_without_a_word() {
    let mut bench = Bench::new();
    bench.flows(Ok(with_own(with_a_ring)));
    let before = bench.screen();
    assert!(!before.contains("mistake"), "{before}");
    bench.checked(only_own);
    bench
        .sees("! Your flow own-hold has 1 mistake. It can be walked, but mend it first:")
        .sees("`ruleout check \"my flows/own-hold.yaml\"`");
    // A key does not wipe it away, as it does a notice.
    bench
        .keys("?<Esc>")
        .sees("! Your flow own-hold has 1 mistake");
    bench.new_job();
    bench.sees("! It has 1 mistake: `ruleout check \"my flows/own-hold.yaml\"`");
    assert_eq!(bench.screen().matches("! It has").count(), 1);
    // Mended, nothing is said of it any more.
    bench.flows(Ok(with_own(str::to_owned)));
    bench.checked(only_own);
    assert!(!bench.screen().contains("mistake"), "{}", bench.screen());
}

#[test]
fn on_a_walk_a_flow_that_was_saved_with_a_mistake_is_told_of_in_a_line() {
    let mut bench = Bench::at_hold();
    bench.flows(Ok(with_own(with_a_ring)));
    bench.checked(only_own);
    bench.sees("! Your flow own-hold has 1 mistake");
}

#[test]
fn a_broken_file_stands_on_the_board_until_it_is_mended() {
    let own = include_str!("../../../assets/new-flow.yaml").replace("NEW-FLOW", "own-hold");
    let with = |text: &str| {
        let mut shelf = put(HOLD);
        shelf.put("my flows/own-hold.yaml", text);
        shelf
    };
    let mut bench = Bench::new();
    bench.flows(Ok(with(&own.replacen("steps:", "stesp:", 1))));
    let command = "`ruleout check \"my flows/own-hold.yaml\"`";
    bench
        .sees("! Your flow file own-hold.yaml has a mistake, and its flow is not offered.")
        .sees(&format!("Mend it: {command}"));
    // A key wipes the notice away, and this not.
    bench.keys("?<Esc>").sees(&format!("Mend it: {command}"));
    assert_eq!(bench.driver.model.notice, None);
    bench.flows(Ok(with(&own)));
    bench.sees_not("has a mistake");
    // Of what was sound before, the last good one stays.
    bench.flows(Ok(with(&own.replacen("steps:", "stesp:", 1))));
    bench
        .keys("?<Esc>")
        .sees("own-hold.yaml has a mistake, and its last good state is offered.");
}

#[test]
fn two_flows_with_one_title_are_told_apart_by_their_ids() {
    let title = shelf().find("bench-hold").unwrap().flow.title.clone();
    let mut bench = Bench::new();
    bench.new_job();
    bench
        .sees(&title)
        .sees_not(&format!("{title} (bench-hold)"));
    let mut bench = Bench::new();
    let twin = HOLD.replacen("flow: bench-hold", "flow: bench-hold-again", 1);
    let mut shelf = put(HOLD);
    shelf.put("twin.yaml", &twin);
    bench.flows(Ok(shelf));
    bench.new_job();
    bench
        .sees(&format!("{title} (bench-hold)"))
        .sees(&format!("{title} (bench-hold-again)"));
}

#[test]
fn a_long_title_is_shortened_and_never_left_out() {
    let title = shelf().find("bench-hold").unwrap().flow.title.clone();
    let long = "Pressure held by the charge-air run between compressor and throttle, upper hose";
    let mut bench = Bench::new();
    bench.flows(Ok(put(&HOLD.replacen(
        &format!("title: {title}"),
        &format!("title: \"{long}\""),
        1,
    ))));
    bench.resize(80, 24);
    bench.new_job();
    bench.keys("<Enter><F6>");
    bench.keys("2<Enter>");
    let screen = bench.screen();
    let head = screen.lines().next().unwrap();
    assert!(
        head.contains("Pressure") && head.contains('…') && head.contains("upper"),
        "{head}"
    );
    assert!(head.contains("XK 42 TRY"), "{head}");
}
