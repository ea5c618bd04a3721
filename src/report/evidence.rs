//! The evidence at the end of the job, and every choice that was made between the flow's way and
//! the evidence's.

use super::case::{Case, Walked};
use super::page::{Block, Section, Table};
use super::text::{named, sentence};
use crate::engine::shown;
use crate::engine::weighed::{Chosen, Way, Weighed};
use crate::rules::advice::figures::percent;
use crate::rules::advice::{AtFirst, Question, causes_at_first};
use crate::rules::suggest;

/// Causes below both of these are left out.
const LEAST: f64 = 0.01;

/// The causes as they stand, and the choices.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks: Vec<Block> = causes(case).map(Block::Table).into_iter().collect();
    blocks.extend(choices(case).map(Block::Table));
    Section::of("The evidence", blocks)
}

fn causes(case: &Case) -> Option<Table> {
    if case.job.readings.is_empty() {
        return None;
    }
    let question = Question {
        not_here: &[],
        own_jobs: case.rests_on.own_jobs,
        cars: case.rests_on.cars,
    };
    let AtFirst {
        causes,
        cars,
        own_jobs,
    } = causes_at_first(case.job, question).ok()?;
    let told = causes
        .iter()
        .filter(|cause| cause.explains >= LEAST || cause.present >= LEAST);
    let rows: Vec<Vec<String>> = told
        .map(|cause| {
            vec![
                named(&cause.id, &cause.name),
                percent(cause.explains),
                percent(cause.present),
                percent(cause.before),
            ]
        })
        .collect();
    let head = [
        "Cause",
        "Explains the complaint",
        "Present",
        "Before any reading",
    ];
    let own = match own_jobs {
        0 => String::new(),
        1 => ", 1 closed job of this workshop".to_owned(),
        n => format!(", {n} closed jobs of this workshop"),
    };
    let by = if cars == 0 {
        format!("words of the flows' authors{own}, without simulated cars")
    } else {
        format!("words of the flows' authors{own}, and {cars} simulated cars")
    };
    let notes = vec![format!(
        "By the readings of the first test, with the odds and {by}. Causes can be present together, and explain \
         the complaint together: the figures need not add up to 100 %. What the walk has ruled out or found since goes \
         by the limits of its steps, and may stand against them."
    )];
    (!rows.is_empty()).then(|| Table {
        title: "What the readings speak for".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows,
        notes,
    })
}

fn choices(case: &Case) -> Option<Table> {
    let rows: Vec<Vec<String>> = case
        .walked()
        .filter_map(|walked| choice(case, &walked))
        .collect();
    let head = [
        "Step",
        "The flow",
        "The evidence",
        "Taken",
        "Odds then",
        "By",
    ];
    (!rows.is_empty()).then(|| Table {
        title: "Choices between the flow's way and the evidence's".to_owned(),
        head: head.map(str::to_owned).to_vec(),
        rows,
        notes: vec!["Minutes are what was expected to a proven repair if that was done first; they rank, they are no promise.".to_owned()],
    })
}

fn choice(case: &Case, walked: &Walked) -> Option<Vec<String>> {
    let taken = walked.taken()?;
    let weighed = taken.weighed.as_ref()?;
    let left = walked.visit.left.as_ref()?;
    let who = case.events.iter().find(|event| event.seq == left.seq);
    let flow = weighed
        .flow
        .as_ref()
        .map_or_else(|| "nowhere".to_owned(), way);
    let how = match weighed.taken {
        Chosen::Flow => "the flow's way",
        Chosen::Evidence => "the evidence's way",
        Chosen::Another => "another way",
    };
    let led = suggest::target(&walked.run.flow, &taken.go);
    Some(vec![
        walked.step.title.clone(),
        sentence(&flow),
        sentence(&evidence(weighed)),
        sentence(&format!("{how}: {led}")),
        odds(walked, weighed),
        format!(
            "{}, {}",
            who.map_or("", |event| event.who.as_str()),
            case.when(left.at)
        ),
    ])
}

fn way(way: &Way) -> String {
    match way.minutes {
        Some(minutes) => format!("{}, about {}", way.words, shown::minutes(minutes)),
        None => way.words.clone(),
    }
}

fn evidence(weighed: &Weighed) -> String {
    let words = way(&weighed.evidence);
    if weighed.because.is_empty() {
        words
    } else {
        format!("{words}; {}", weighed.because)
    }
}

/// The likeliest causes as they stood at the choice.
fn odds(walked: &Walked, weighed: &Weighed) -> String {
    const NAMED: usize = 3;
    let named = weighed.odds.iter().take(NAMED).map(|odds| {
        let cause = walked.run.flow.cause(&odds.cause);
        let name = cause.map_or_else(|| odds.cause.replace('-', " "), |c| named(&c.id, &c.name));
        format!("{name} {}", percent(odds.explains))
    });
    named.collect::<Vec<_>>().join("; ")
}
