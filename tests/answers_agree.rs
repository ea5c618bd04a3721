//! Two answers of one job that contradict each other do not pass: the step says so and asks again.

use crate::page::page_for;
use crate::support::Story;
use ruleout::engine::action::Action;
use ruleout::engine::event::{Event, What};
use ruleout::engine::fitted::Fitted;
use ruleout::engine::fold::fold;
use ruleout::engine::job::How;
use ruleout::flow::shelf::Shelf;
use ruleout::report::edition::Edition;
use ruleout::report::markdown;

/// A car at the exhaust flow, with what is read up to where the cone is in.
fn exhaust(tailpipes: &str, plugged: &str) -> Story {
    Story::new(
        21,
        "KLM 204",
        "Pellar Tansy 1.2, 2009",
        "ticks when cold",
        &[],
    )
    .fact("tailpipes", tailpipes)
    .saved(&[], &[], "", "")
    .reads(
        1,
        &format!(
            "data-saved: yes
                 exhaust-heard: ticks or hisses
                 lean-when: lean at idle only
                 exhaust-warmth: 18 C
                 pipes-plugged: {plugged}
                 blocked-pressure: 3.4
                 blocked-flow: 0
                 float-steady: steady
                 smoke-flow: 6
                 smoke-pressure: 2
                 exhaust-seen-at: manifold gasket = steady
                 leak-lies: ahead of the front sensor"
        ),
    )
    .begin("exhaust-leak")
}

/// Whether the last visit to a step was left by one of its outcomes, and not because its readings did not count.
fn passed(story: &Story, step: &str) -> bool {
    let trail = story.trail();
    let last = trail
        .iter()
        .rfind(|at| at.starts_with(&format!("{step} ->")));
    !last.expect("it was judged").ends_with("(not valid)")
}

fn follow(story: &mut Story, reading: &str, text: &str) {
    let value = story.parse(reading, text);
    story.does(Action::Read {
        reading: reading.to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    });
    story.does(Action::Follow);
}

#[test]
fn a_second_tailpipe_that_stays_open_is_not_passed() {
    let story = exhaust("2", "all of them").walk_to("blocked-tip");
    assert!(passed(&story, "cone"));
    let mut story = exhaust("2", "all of them").walk_to("cone");
    for caution in ["hoses-restrained", "no-ignition"] {
        let _ = story.tries(Action::Accept(caution.to_owned()));
    }
    follow(&mut story, "pipes-plugged", "not yet");
    assert!(!passed(&story, "cone"), "{:?}", story.trail());
    // With one tailpipe nobody asks.
    let story = exhaust("1", "all of them").walk_to("blocked-tip");
    assert!(story.job.latest("pipes-plugged", 1).is_none());
}

#[test]
fn a_part_is_blamed_only_where_something_showed() {
    let at = || {
        let mut story = exhaust("1", "all of them").walk_to("where");
        let value = story.parse("leak-lies", "ahead of the front sensor");
        story.does(Action::Read {
            reading: "leak-lies".to_owned(),
            value,
            confirmed: false,
            carried_from: None,
        });
        story
    };
    let mut wrong = at();
    follow(&mut wrong, "leak-part", "pipe or silencer");
    assert!(!passed(&wrong, "where"), "{:?}", wrong.trail());
    let mut right = at();
    follow(&mut right, "leak-part", "manifold gasket");
    assert!(passed(&right, "where"), "{:?}", right.trail());
}

/// At the step where the part is named that blew on the warm engine: nothing smoked, the gasket was heard.
fn heard_warm() -> Story {
    Story::new(23, "KLM 206", "Pellar Tansy 1.2, 2009", "ticks", &[])
        .fact("tailpipes", "1")
        .saved(&[], &[], "", "")
        .reads(
            1,
            "data-saved: yes
             exhaust-heard: ticks or hisses
             lean-when: lean at idle only
             exhaust-warmth: 18 C
             pipes-plugged: all of them
             blocked-pressure: 3.4
             blocked-flow: 0
             float-steady: steady
             smoke-flow: 6
             smoke-pressure: 2
             exhaust-seen-at: nowhere
             warm-heard-at: manifold gasket
             leak-lies: ahead of the front sensor",
        )
        .begin("exhaust-leak")
}

/// A cooling system that loses pressure with nothing wet; the dye shows at the radiator.
fn dyed() -> Story {
    Story::new(
        24,
        "KLM 207",
        "Pellar Tansy 1.2, 2009",
        "loses coolant",
        &[],
    )
    .fact("cap-rating", "110 kPa")
    .saved(&[], &[], "", "")
    .reads(
        1,
        "data-saved: yes
             coolant-level: below the mark
             coolant-warmth: 18 C
             cap-opens: 110
             cap-holds: holds
             hold-start: 100
             hold-end: 60
             coolant-seen-at: nowhere
             gas-test: no change
             cold-rise: rises slowly as it warms
             coolant-seen-again: radiator",
    )
    .begin("cooling-pressure-hold")
}

#[test]
fn a_part_is_held_against_a_second_look_too() {
    let heard = (
        "where-heard",
        "leak-part",
        "pipe or silencer",
        "manifold gasket",
    );
    let dye = ("name-the-dyed-part", "coolant-part", "heater", "radiator");
    let cases = [(heard_warm as fn() -> Story, heard), (dyed, dye)];
    for (car, (step, part, wrong, right)) in cases {
        for (named, passes) in [(wrong, false), (right, true)] {
            let mut story = car().reads(1, &format!("{part}: {named}")).walk_to(step);
            if part == "leak-part" {
                let value = story.parse("leak-lies", "ahead of the front sensor");
                story.does(Action::Read {
                    reading: "leak-lies".to_owned(),
                    value,
                    confirmed: false,
                    carried_from: None,
                });
            }
            follow(&mut story, part, named);
            assert_eq!(passed(&story, step), passes, "{named}: {:?}", story.trail());
        }
    }
}

/// Somebody may name a part all the same; no paper says then that it was found.
#[test]
fn a_part_that_the_look_did_not_bear_out_is_not_called_found() {
    // As the customer is asked.
    let papers = |story: &Story| {
        let agreed = |event: &Event| matches!(event.what, What::RepairApproved { .. });
        let asked = story.events.iter().position(agreed);
        let events = &story.events[..asked.expect("it came to the repair")];
        [Edition::Customer, Edition::Workshop, Edition::Parts]
            .map(|edition| markdown(&page_for(events, edition)))
    };
    let right = dyed().reads(1, "coolant-part: radiator").walk();
    for text in papers(&right) {
        assert!(text.contains("Found, and"), "{text}");
    }
    let wrong = dyed()
        .reads(1, "coolant-part: heater")
        .chooses("name-the-dyed-part", "heater", "the carpet is wet")
        .walk();
    for text in papers(&wrong) {
        assert!(text.contains("Named by the technician, "), "{text}");
        assert!(!text.contains("Found, and"), "{text}");
    }
}

/// Wherever a flow asks for the part that smoked, a part is not taken of which no place was marked.
#[test]
fn every_flow_that_asks_for_a_part_compares_it_with_the_places() {
    let shelf = Shelf::shipped();
    let mut asking = 0;
    for shelved in shelf.iter() {
        let flow = &shelved.flow;
        for prompt in flow.readings.iter().filter(|p| p.id.ends_with("-part")) {
            asking += 1;
            let valid = flow
                .steps
                .iter()
                .filter_map(|step| step.valid_when.as_ref());
            let compared = valid.into_iter().any(|when| {
                let subjects = when.subjects();
                let places = |id: &&str| {
                    let kind = flow.reading(id).map(|reading| &reading.kind);
                    matches!(kind, Some(ruleout::flow::model::PromptKind::Places(_)))
                };
                subjects.contains(&prompt.id.as_str()) && subjects.iter().any(places)
            });
            assert!(compared, "{}: {}", flow.id, prompt.id);
        }
    }
    assert!(asking >= 7, "{asking}");
}

#[test]
fn without_oil_the_engine_is_not_started() {
    let car = |level: &str, set: &str| {
        Story::new(22, "KLM 205", "Pellar Tansy 1.2, 2009", "oil smell", &[])
            .fact("seal-limit", "1 kPa")
            .saved(&[], &[], "", "")
            .reads(1, &format!("data-saved: yes\noil-level: {level}\n{set}"))
            .begin("crankcase-leak")
            .walk()
    };
    let stands_at = |story: &Story| story.job.run().unwrap().step().unwrap().id.clone();
    assert_eq!(stands_at(&car("between the marks", "")), "breathe");
    let filled = car("below the mark", "oil-set: between the marks");
    assert_eq!(stands_at(&filled), "breathe");
    assert!(
        filled
            .trail()
            .contains(&"save-data -> too-little".to_owned()),
        "{:?}",
        filled.trail()
    );
    // Nothing leads past a level that is wrong.
    let mut story = car("below the mark", "");
    assert_eq!(stands_at(&story), "set-oil");
    follow(&mut story, "oil-set", "still above or below");
    assert_eq!(stands_at(&story), "set-oil");
    let left = story.job.run().unwrap().walked().iter().rev().nth(1);
    assert!(matches!(
        left.unwrap().left.as_ref().unwrap().how,
        How::Outcome(_)
    ));
}

/// What was put over a leak to measure it comes off before the car leaves.
#[test]
fn a_cover_stands_on_the_list_of_what_comes_off() {
    let events = crate::jobs::split_hose_then_gasket().events;
    let covered = events.iter().position(
        |event| matches!(&event.what, What::OutcomeTaken(taken) if taken.step == "cover"),
    );
    let job = fold(&events[..=covered.unwrap()]);
    let off = |words: &str| {
        let mut fitted = job.fitted.iter();
        fitted.any(|stands| stands.what == Fitted::PutBack(words.to_owned()))
    };
    assert!(
        off("tape and covers off every place that was covered"),
        "{:?}",
        job.fitted
    );
    assert!(!off("trim back on"));
}
