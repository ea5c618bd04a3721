//! What stays as the apprentice's hands left it, what they are told as it happens, and what the debrief makes of it.
use crate::apprentice::Apprentice;
use ruleout::engine::action::Action;
use ruleout::engine::event::What;
use ruleout::engine::practised::Practised;
use ruleout::engine::weighed::{Chosen, Way, Weighed};
use ruleout::flow::answer::Answer;
use ruleout::flow::model::PromptKind;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::target::Target;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::Believed;
use ruleout::practice::debrief::Debrief;
use ruleout::practice::people::result;
use ruleout::practice::wish::wish;

fn on_intake(seed: u64, level: u8, with: impl FnOnce(&mut Apprentice)) -> Debrief {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, seed, level);
    with(&mut apprentice);
    apprentice.debrief()
}

/// On the first car of the intake at whose repair a place is covered, once that repair was agreed to.
fn with_a_cover(with: impl FnOnce(&mut Apprentice)) {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut all = (0..20).map(|seed| {
        let mut apprentice = Apprentice::begins(&plan, shelved, seed, 1);
        apprentice.until_repair();
        apprentice
    });
    let found = all.find(|apprentice| !apprentice.session.bay.covered().is_empty());
    with(&mut found.unwrap());
}

fn is(apprentice: &Apprentice, opening: &str) -> Believed {
    let openings = apprentice.session.bay.openings();
    let found = openings.iter().find(|(name, _)| *name == opening);
    found.unwrap().1
}

fn air() -> Practised {
    Practised::Fed {
        gas: "air".to_owned(),
        pressure: "3.4 kPa".parse().unwrap(),
    }
}

fn closes(apprentice: &mut Apprentice, opening: &str) {
    apprentice.hand(Practised::Closed {
        opening: opening.to_owned(),
    });
}

#[test]
fn a_repair_opens_nothing_that_was_closed_by_hand_and_says_what_came_off_with_the_part() {
    with_a_cover(|apprentice| {
        closes(apprentice, "purge line");
        let covered = apprentice.session.bay.covered();
        assert!(!covered.is_empty());
        let sees = apprentice.opens_part();
        let off = format!("Taken off with it: the cover at {}.", covered[0]);
        assert!(sees.contains(&off), "{sees}");
        assert!(apprentice.session.bay.covered().is_empty());
        let mut events = apprentice.events.iter();
        let recorded = events.any(|event| match &event.what {
            What::Practised(done) => done.words().contains("taken off with it: the cover at "),
            _ => false,
        });
        assert!(recorded);
        assert_eq!(is(apprentice, "purge line"), Believed::Closed);
        apprentice.repairs();
        assert_eq!(apprentice.session.bay.test(), 2);
        assert_eq!(is(apprentice, "purge line"), Believed::Closed);
        // Connecting is safe as it was left: nobody opened the purge line behind the apprentice's back.
        apprentice.until("blocked-tip");
        apprentice.hand(air());
        assert_eq!(apprentice.session.bay.log.harm, None);
    });
}

#[test]
fn a_repair_that_is_only_said_to_be_done_says_what_came_off_as_well() {
    with_a_cover(|apprentice| {
        let before = apprentice.events.len();
        apprentice.repairs();
        let mut new = apprentice.events[before..].iter();
        let opened = new.any(|event| {
            matches!(&event.what, What::Practised(Practised::PartOpened { off, .. }) if !off.is_empty())
        });
        assert!(opened, "{:?}", &apprentice.events[before..]);
        assert!(apprentice.session.bay.covered().is_empty());
    });
}

#[test]
fn an_engine_run_in_the_retest_with_its_inlet_plugged_is_wrongly_set_up() {
    let debrief = on_intake(30, 1, |apprentice| {
        apprentice.until_repair();
        apprentice.opens_part();
        apprentice.repairs();
        apprentice.until("idle-trims");
        closes(apprentice, "air inlet");
        apprentice.hand(Practised::Took {
            reading: "idle-airflow".to_owned(),
        });
    });
    let slips = debrief.slips.join("\n");
    assert!(
        slips.contains("still closed or covered: air inlet"),
        "{slips}"
    );
}

fn set_up(apprentice: &mut Apprentice) {
    apprentice.until("search");
    assert!(apprentice.session.bay.fed().is_some());
}

#[test]
fn the_minutes_are_told_in_money_where_the_workshop_says_what_an_hour_costs() {
    use ruleout::settings::Rate;
    let debrief = on_intake(30, 1, |apprentice| while apprentice.goes_on() {});
    let silent = debrief.lines(78).join("\n");
    assert!(!silent.contains("cost"), "{silent}");
    let minutes = debrief.minutes;
    let told = debrief.at(Rate::parse("90 EUR").ok()).lines(78).join("\n");
    assert!(
        told.contains("What the minutes cost at 90.00 EUR an hour; parts are not in it"),
        "{told}"
    );
    assert!(told.contains(&format!("{:.2}", minutes * 1.5)), "{told}");
}

fn set_up_lost(debrief: &Debrief) -> Vec<(u32, &str)> {
    let lost = debrief.parts[4].lost.iter();
    lost.map(|lost| (lost.marks, lost.why.as_str())).collect()
}

#[test]
fn the_minutes_that_are_kept_are_those_of_the_debrief_where_a_part_was_taken_off_under_pressure_too()
 {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let mut apprentice = Apprentice::begins(&plan, shelved, 3, 1);
    apprentice.until_repair();
    apprentice.hand(air());
    let before = apprentice.session.bay.log.minutes();
    apprentice.opens_part();
    let debrief = apprentice.debrief();
    assert!(debrief.harm.is_some() && debrief.minutes > before + 5.0);
    let kept = result(1, &apprentice.events).unwrap();
    assert!(
        (kept.minutes - debrief.minutes).abs() < 0.051,
        "{} {}",
        kept.minutes,
        debrief.minutes
    );
    assert_eq!(kept.got, debrief.got());
}

#[test]
fn where_nothing_was_seen_the_answer_says_to_look() {
    on_intake(30, 1, |apprentice| {
        set_up(apprentice);
        let sees = apprentice.hand(Practised::Took {
            reading: "seen-at".to_owned(),
        });
        assert!(sees.starts_with("Nothing was seen so far; look"), "{sees}");
        let look = Practised::Looked {
            place: "moon".to_owned(),
            seconds: 60,
        };
        let why = wish(&apprentice.session, apprentice.desk(), &look).unwrap_err();
        assert!(
            why.contains("no place `moon` is asked for at this step; there are: "),
            "{why}"
        );
    });
}

#[test]
fn the_debrief_says_what_was_put_right() {
    let debrief = on_intake(3, 3, |apprentice| while apprentice.goes_on() {});
    let text = debrief.traps.join("\n");
    for said in [
        "You ran it warm.",
        "You shut the door.",
        "You set it to the one that fits.",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
    let debrief = on_intake(3, 3, |_| {});
    let text = debrief.traps.join("\n");
    assert!(
        text.contains("The engine was cold") && !text.contains(" You "),
        "{text}"
    );
}

#[test]
fn a_bad_part_that_is_too_small_says_so_and_so_does_its_size_in_the_debrief() {
    let shelf = Shelf::shipped();
    let shelved = shelf.find("intake-leak").unwrap();
    let plan = Plan::of(&shelved.flow);
    let flow = &shelved.flow;
    let mut told = 0;
    for seed in 0..20 {
        let mut apprentice = Apprentice::begins(&plan, shelved, seed, 2);
        let decoy = apprentice.session.bay.drawn().decoys[0].clone();
        let to = Target::Repair(decoy.clone());
        let name = flow.step("name-the-cause").unwrap();
        if !name.outcomes.iter().any(|outcome| outcome.go == to) {
            continue;
        }
        apprentice.until("cover");
        let search = apprentice.session.earlier().get("seen-at").cloned();
        let Some(Answer::Places(seen)) = search else {
            continue;
        };
        // The decoy's place is the one that shows beside the one that shows most.
        let most = apprentice
            .session
            .bay
            .shows_most(&apprentice.session.earlier());
        let PromptKind::Choice(can) = &flow.reading("covered-place").unwrap().kind else {
            panic!("a place is chosen");
        };
        let Some(place) = seen
            .keys()
            .find(|place| Some(*place) != most.as_ref() && can.contains(place))
            .cloned()
        else {
            continue;
        };
        apprentice.hand(Practised::Covered {
            place: place.clone(),
        });
        for reading in ["covered-flow", "covered-pressure"] {
            let took = Practised::Took {
                reading: reading.to_owned(),
            };
            let value = wish(&apprentice.session, apprentice.desk(), &took)
                .unwrap()
                .reads
                .unwrap();
            if reading == "covered-flow" {
                apprentice.does(Action::Read {
                    reading: "covered-place".to_owned(),
                    value: Answer::Choice(place.clone()),
                    confirmed: true,
                    carried_from: None,
                });
            }
            apprentice.does(Action::Read {
                reading: reading.to_owned(),
                value,
                confirmed: true,
                carried_from: None,
            });
        }
        apprentice.does(Action::GoBy {
            go: to.clone(),
            weighed: Box::new(weighed(None)),
            taken_down: true,
        });
        apprentice.until_repair();
        apprentice.lets_down();
        let sees = apprentice.opens_part();
        assert!(
            sees.contains("the part is bad, but what is bad is too small to explain the complaint"),
            "{sees}"
        );
        apprentice.does(Action::Decline {
            by: "owner".to_owned(),
        });
        let debrief = apprentice.debrief();
        let text = debrief.lines(200).join("\n");
        assert!(debrief.needless[0].small, "{text}");
        if let Some(size) = debrief.swayed.iter().find_map(|s| s.size.as_ref()) {
            assert!(size.after < size.before, "{size:?}");
            assert!(size.readings.contains("L/min"), "{size:?}");
            assert!(
                text.contains("What should have changed your mind is its size: "),
                "{text}"
            );
            told += 1;
        }
    }
    assert!(told > 0);
}

fn weighed(go: Option<Target>) -> Weighed {
    Weighed {
        taken: Chosen::Evidence,
        evidence: Way {
            words: "repair".to_owned(),
            go,
            minutes: None,
        },
        flow: None,
        because: "only 41 % sure, yet worth trying".to_owned(),
        odds: Vec::new(),
        by: "words".to_owned(),
        own_jobs: 0,
        not_here: Vec::new(),
        taken_down: Vec::new(),
    }
}

/// An apprentice who goes to a sound part at once, by this suggestion, opens it and puts it back.
fn goes_by(suggests: bool) -> Debrief {
    on_intake(30, 1, |apprentice| {
        goes_to_a_sound_part(apprentice, suggests, false);
    })
}

/// The same, with or without a figure that nobody read.
fn goes_to_a_sound_part(apprentice: &mut Apprentice, suggests: bool, makes_up: bool) {
    {
        let hidden = apprentice.session.bay.drawn().hidden[0].clone();
        let parts = ["recirculation-valve", "brake-booster"];
        let part = parts.into_iter().find(|part| *part != hidden).unwrap();
        let go = Target::Repair(part.to_owned());
        apprentice.until("idle-trims");
        if makes_up {
            apprentice.does(Action::Read {
                reading: "idle-short-1".to_owned(),
                value: Answer::Quantity("-24 %".parse().unwrap()),
                confirmed: true,
                carried_from: None,
            });
        }
        apprentice.does(Action::GoBy {
            go: go.clone(),
            weighed: Box::new(weighed(suggests.then_some(go))),
            taken_down: true,
        });
        apprentice.until_repair();
        apprentice.opens_part();
        apprentice.does(Action::Decline {
            by: "owner".to_owned(),
        });
    }
}

#[test]
fn odds_that_rest_on_what_was_made_up_excuse_nothing() {
    let debrief = on_intake(30, 1, |apprentice| {
        goes_to_a_sound_part(apprentice, true, true);
    });
    let text = debrief.lines(200).join("\n");
    let opened = text.lines().find(|line| line.contains("You opened"));
    let opened = opened.unwrap_or_else(|| panic!("{text}"));
    assert!(opened.contains("does not bear out"), "{opened}");
    assert!(opened.contains("-24 %"), "{opened}");
    assert!(!opened.contains("no fault of yours"), "{opened}");
    // Nor is it more than a guess.
    assert_eq!(set_up_lost(&debrief).len(), 1, "{text}");
}

#[test]
fn who_went_by_the_suggestion_is_told_what_it_rested_on_and_not_blamed_for_a_guess() {
    let by_it = goes_by(true);
    let text = by_it.lines(200).join("\n");
    assert!(
        text.contains("as the odds on the screen suggested (only 41 % sure, yet worth trying)"),
        "{text}"
    );
    let opened = text.lines().find(|line| line.contains("You opened"));
    assert!(
        opened.is_some_and(|line| !line.contains("Take a reading that tells it")),
        "{text}"
    );
    assert_eq!(set_up_lost(&by_it), []);
    let against = goes_by(false);
    let text = against.lines(200).join("\n");
    assert!(
        !text.contains("the odds on the screen suggested ("),
        "{text}"
    );
    assert_eq!(set_up_lost(&against).len(), 1);
}

#[test]
fn an_exercise_counts_for_whoever_began_it() {
    on_intake(30, 1, |apprentice| {
        let began = apprentice.events[0].who.clone();
        apprentice.ends();
        for event in apprentice.events.iter_mut().skip(3) {
            "Somebody else".clone_into(&mut event.who);
        }
        let result = result(1, &apprentice.events).unwrap();
        assert_eq!(result.who, began);
        assert_ne!(result.who, "Somebody else");
    });
}
