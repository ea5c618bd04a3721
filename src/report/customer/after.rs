//! Before and after: charts, and how the repeated test came out.

use crate::flow::answer::Answer;
use crate::flow::model::{Phase, PromptKind};
use crate::report::case::{Case, Walked};
use crate::report::chart;
use crate::report::page::{Block, Item, Section};
use crate::report::road;
use crate::report::text::{sentence, stopped};

/// Charts of each kind: a page or two holds no more.
const BARS: usize = 2;
const CURVES: usize = 2;

/// Charts, then the retest.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    blocks.extend(last_retest(case));
    let mut figures = chart::before_after(case, BARS, true);
    // Where nothing is worked out, what was read is what there is to compare.
    let room = BARS.saturating_sub(figures.len());
    figures.extend(chart::read_again(case, room));
    let mut curves = chart::curves(case);
    // Those that show both before and after say more.
    curves.sort_by_key(|figure| !figure.compares());
    figures.extend(curves.into_iter().take(CURVES));
    let charts = !figures.is_empty();
    if charts {
        blocks.push(Block::Charts(figures));
    }
    let title = match (case.tests() > 1, charts) {
        (true, _) => "Before and after",
        (false, true) => "The readings as pictures",
        (false, false) => "The proof",
    };
    Section::of(title, blocks)
}

/// How the last test that asked for the complaint came out.
fn last_retest(case: &Case) -> Vec<Block> {
    let retests = case.walked().filter(|w| w.step.phase == Phase::Retest);
    let Some(last) = retests.filter(|w| w.taken().is_some()).last() else {
        return Vec::new();
    };
    // In the author's words the complaint is gone; where nobody drove the car, it is gone in the workshop.
    let open = road::still_open(case.job);
    let because = if open.iter().any(|t| t.visit == last.visit.since_seq) {
        Some(
            "Gone in the workshop; whether it stays away on the road is still to be tried."
                .to_owned(),
        )
    } else {
        last.outcome().map(|o| stopped(&sentence(&o.because)))
    };
    let when = last.visit.left.as_ref().map(|left| case.when(left.at));
    let mut blocks = vec![Block::Point(Item {
        head: last.step.title.clone(),
        text: [
            because,
            when.map(|at| format!("Asked at the end of test {}, {at}.", last.visit.test)),
        ]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(" "),
        more: Vec::new(),
    })];
    let seen = seen(case, &last);
    if !seen.is_empty() {
        blocks.push(Block::Facts(seen));
    }
    blocks
}

/// What was seen and chosen in that step.
fn seen(case: &Case, walked: &Walked) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = Vec::new();
    // Whether the step was done as it should is the workshop's matter.
    let valid = walked.step.valid_when.as_ref();
    let own: Vec<&str> = valid
        .map(|when| when.subjects())
        .unwrap_or_default()
        .into_iter()
        .collect();
    for taken in case.job.taken_in(walked.visit.since_seq) {
        let Some(prompt) = walked.run.flow.reading(&taken.reading) else {
            continue;
        };
        if own.contains(&prompt.id.as_str()) {
            continue;
        }
        if let (PromptKind::Choice(_), Answer::Choice(word)) = (&prompt.kind, &taken.value) {
            out.retain(|(ask, _)| *ask != prompt.ask);
            out.push((prompt.ask.clone(), word.clone()));
        }
    }
    out
}
