//! What stands between a technician and a system under pressure: a step that was not made ready is not passed by, and a
//! limit that is corrected is held against what was read.

use crate::support::Story;
use ruleout::engine::action::Action;
use ruleout::engine::elsewhere::missing;
use ruleout::engine::event::What;
use ruleout::engine::hold::anew;
use ruleout::engine::refusal::Refusal;
use ruleout::engine::replay::replay;

/// A charge-air job at the setting of the supply; the relief valve is tried with this result.
fn at_the_supply(relief: &str) -> Story {
    let words = format!(
        "data-saved: yes
         boost-wanted: 100 kPa
         boost-seen: 70 kPa
         load-airflow: 90 g/s
         engine-warmth: 25 C
         supply-set: 80 kPa
         relief-tried: {relief}
         hold-start: 80 kPa"
    );
    Story::new(
        61,
        "TRY 61",
        "Corvane Lisse 1.6, 2014",
        "Lacks pull",
        &["P0299"],
    )
    .fact("charge-pressure", "160 kPa")
    .fact("cooler-volume", "8 L")
    .saved(&["P0299"], &[], "", "")
    .reads(1, &words)
    .begin("charge-air-leak")
    .walk_to("supply")
}

fn read(story: &mut Story, reading: &str, text: &str) {
    let value = story.parse(reading, text);
    story.does(Action::Read {
        reading: reading.to_owned(),
        value,
        confirmed: false,
        carried_from: None,
    });
}

#[test]
fn a_supply_whose_relief_does_not_open_is_not_passed_by() {
    for (relief, ready) in [("yes", true), ("does not open", false)] {
        let mut story = at_the_supply(relief);
        read(&mut story, "supply-set", "80 kPa");
        read(&mut story, "relief-tried", relief);
        story.does(Action::Follow);
        let here = story.job.run().unwrap().step().unwrap().id.clone();
        assert_eq!(here, if ready { "hold" } else { "supply" });
        let first = missing(&story.job, "hold").unwrap();
        let first: Vec<&str> = first.iter().map(|step| step.id.as_str()).collect();
        assert_eq!(first.contains(&"supply"), !ready, "{relief}: {first:?}");
    }
}

fn limit(story: &mut Story, text: &str) {
    let run = story.job.run().unwrap();
    let prompt = run.flow.fact("charge-pressure").unwrap();
    let value = ruleout::engine::prompt::parse(prompt, text).unwrap();
    story.does(Action::SetFact {
        fact: "charge-pressure".to_owned(),
        value,
        confirmed: false,
    });
}

#[test]
fn a_limit_that_is_corrected_below_what_was_read_stops_as_if_it_had_been_passed() {
    let mut story = at_the_supply("yes").walk_to("hold");
    read(&mut story, "hold-start", "80 kPa");
    limit(&mut story, "90 kPa");
    assert!(story.job.stop.is_none());
    limit(&mut story, "70 kPa");
    let stop = story.job.stop.clone().unwrap();
    assert_eq!(
        (stop.value.to_string(), stop.limit.to_string()),
        ("80 kPa".into(), "70 kPa".into())
    );
    // The car stands above it, whatever was mistyped.
    let why = story.tries(Action::Mistyped);
    assert!(
        matches!(&why, Err(Refusal::NotNow(why)) if why.contains("let the pressure down first")),
        "{why:?}"
    );
    assert!(anew(&story.job).is_none());
    story.does(Action::ClearLimit);
    assert!(story.job.stop.is_none());
    // It was let down: the hold begins with another start.
    assert_eq!(anew(&story.job).unwrap().id, "hold-start");
    // What a mistyped correction gives back is held against the limit as well.
    let taken = story
        .job
        .readings
        .iter()
        .rev()
        .find(|t| t.reading == "hold-start");
    let taken = taken.unwrap().seq;
    let value = story.parse("hold-start", "75 kPa");
    let why = "misread".to_owned();
    story.does(Action::Correct { taken, value, why });
    assert!(story.job.stop.is_some());
    story.does(Action::Mistyped);
    let stop = story.job.stop.clone().unwrap();
    assert_eq!(stop.value.to_string(), "80 kPa");
    assert!(matches!(
        story.events.last().unwrap().what,
        What::LimitPassed { .. }
    ));
    story.does(Action::ClearLimit);
    let (_, played) = replay(&story.events);
    let odd: Vec<&String> = played.iter().flat_map(|one| &one.disagreements).collect();
    assert!(odd.is_empty(), "{odd:?}");
}
