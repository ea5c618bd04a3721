//! Codes stay stored in practice until somebody clears them, and what goes with them; and a limit that is passed by what is
//! written down.

use crate::apprentice::Apprentice;
use ruleout::engine::action::Action;
use ruleout::engine::practised::Practised;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::Taken;
use ruleout::practice::debrief::Debrief;

fn on(flow: &str, seed: u64, with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find(flow).unwrap();
    let plan = Plan::of(&shelved.flow);
    with(&mut Apprentice::begins(&plan, shelved, seed, 1));
}

/// What is seen as the memory is read out at the first step of the retest.
fn saved_after_repair(apprentice: &mut Apprentice, clears: bool) -> String {
    apprentice.until_repair();
    apprentice.lets_down();
    apprentice.repairs();
    apprentice.until("save-data");
    if clears {
        apprentice.hand(Practised::CodesCleared);
    }
    apprentice.hand(Practised::Took {
        reading: "data-saved".to_owned(),
    })
}

#[test]
fn codes_stay_until_somebody_clears_them() {
    on("cooling-pressure-hold", 3, |apprentice| {
        let sees = saved_after_repair(apprentice, false);
        assert!(sees.contains("Stored: P0217."), "{sees}");
        assert!(sees.contains("Nobody has cleared them"), "{sees}");
        let codes = apprentice.session.job.codes.clone().unwrap();
        assert_eq!(codes.stored, ["P0217"]);
    });
    on("cooling-pressure-hold", 3, |apprentice| {
        let before = apprentice.session.bay.log.minutes();
        let sees = saved_after_repair(apprentice, true);
        assert!(!sees.contains("P0217"), "{sees}");
        assert!(apprentice.session.bay.log.minutes() > before);
    });
}

#[test]
fn cleared_codes_come_back_once_the_engine_ran_with_the_complaint() {
    on("intake-leak", 30, |apprentice| {
        apprentice.until("idle-trims");
        apprentice.hand(Practised::CodesCleared);
        assert!(!apprentice.session.bay.came_back());
        apprentice.hand(Practised::Took {
            reading: "idle-short-1".to_owned(),
        });
        assert!(apprentice.session.bay.came_back());
    });
}

#[test]
fn who_clears_the_codes_before_they_are_saved_loses_for_it() {
    for saves_first in [false, true] {
        on("intake-leak", 30, |apprentice| {
            apprentice.until("save-data");
            if saves_first {
                apprentice.hand(Practised::Took {
                    reading: "data-saved".to_owned(),
                });
            }
            apprentice.hand(Practised::CodesCleared);
            let slips = apprentice.debrief().slips.join("\n");
            let told = slips.contains("cleared before they were saved. Freeze frame");
            assert_eq!(told, !saves_first, "{slips}");
        });
    }
}

#[test]
fn after_a_clear_the_long_trim_begins_at_nothing_and_the_short_one_does_all() {
    on("intake-leak", 11, |apprentice| {
        apprentice.until("idle-trims");
        let total = |apprentice: &Apprentice| {
            let (short, long) = (
                si(apprentice, "idle-short-1"),
                si(apprentice, "idle-long-1"),
            );
            (long, (1.0 + short) * (1.0 + long) - 1.0)
        };
        let (long, before) = total(apprentice);
        assert!(long.abs() > 0.01, "{long}");
        apprentice.hand(Practised::CodesCleared);
        let (long, after) = total(apprentice);
        assert!(long.abs() < 1e-9, "{long}");
        assert!((before - after).abs() < 0.03, "{before} {after}");
    });
}

fn si(apprentice: &Apprentice, reading: &str) -> f64 {
    let earlier = apprentice.session.earlier();
    match apprentice.session.bay.clone().take(reading, &earlier) {
        Ok(Taken::Reads(Answer::Quantity(q))) => q.si(),
        other => panic!("{reading}: {other:?}"),
    }
}

fn safe(debrief: &Debrief) -> (u32, String) {
    let part = debrief.parts.iter().find(|p| p.name == "safe").unwrap();
    let lost: Vec<&str> = part.lost.iter().map(|lost| lost.why.as_str()).collect();
    (part.got, lost.join("; "))
}

#[test]
fn a_value_above_the_limit_that_stands_is_not_safe_and_one_that_was_mistyped_is_a_slip() {
    for (action, marks) in [(Action::ClearLimit, 0), (Action::Mistyped, 10)] {
        on("cooling-pressure-hold", 3, |apprentice| {
            apprentice.goes_to("hold");
            apprentice.does(Action::Read {
                reading: "hold-start".to_owned(),
                value: Answer::Quantity("215 kPa".parse().unwrap()),
                confirmed: true,
                carried_from: None,
            });
            apprentice.does(action.clone());
            let (got, why) = safe(&apprentice.debrief());
            assert_eq!(got, marks, "{why}");
            let told = why.contains("a limit was passed in test 1") && why.contains("215 kPa");
            assert_eq!(told, marks == 0, "{why}");
        });
    }
}

/// A STOP does not hide that a limit was passed before it.
#[test]
fn a_limit_that_was_passed_is_told_beside_what_stopped_the_exercise() {
    on("cooling-pressure-hold", 3, |apprentice| {
        apprentice.until("hold");
        let pumps = |apprentice: &mut Apprentice, pressure: &str| {
            apprentice.hand(Practised::Fed {
                gas: "air".to_owned(),
                pressure: pressure.parse().unwrap(),
            });
        };
        pumps(apprentice, "100 kPa");
        apprentice.does(Action::Read {
            reading: "hold-start".to_owned(),
            value: Answer::Quantity("215 kPa".parse().unwrap()),
            confirmed: true,
            carried_from: None,
        });
        apprentice.does(Action::ClearLimit);
        assert!(apprentice.session.bay.fed().is_none(), "it is let down");
        pumps(apprentice, "230 kPa");
        let debrief = apprentice.debrief();
        let (got, why) = safe(&debrief);
        assert_eq!(got, 0, "{why}");
        assert!(
            why.starts_with("You set the supply above the limit")
                && why.contains("a limit was passed in test 1")
                && why.contains("215 kPa"),
            "{why}"
        );
        let lines = debrief.lines(100).join("\n");
        assert!(lines.contains("Why the exercise was stopped"), "{lines}");
        assert!(lines.contains("a limit was passed in test 1"), "{lines}");
    });
}
