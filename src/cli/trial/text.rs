//! The sums for people, in lines of at most 80 letters.

use std::fmt::Write;

use crate::cli::clean;
use crate::cli::layout::{beside, wrapped};
use crate::trial::calibration::Calibration;
use crate::trial::fleet::{Trial, World};
use crate::trial::sums::{Sums, Tally, Whole};

const WIDTH: usize = 80;
/// Letters of a cause's id before the figures.
const NAME: usize = 22;
/// Ends that are told of one cause.
const ENDS: usize = 4;
/// A cause that the branches find in a smaller share of its cars has its commonest end told.
const SELDOM: f64 = 0.5;

pub(super) fn print(trial: &Trial, sums: &[Sums], lost: bool, took: &str) -> String {
    let flow = trial.plan.flow;
    let settings = trial.settings;
    let mut out = format!("{}\n", flow.title);
    let rests_on = match settings.cars {
        0 => "the evidence by words alone".to_owned(),
        cars => format!("the evidence by {cars} simulated cars of each cause"),
    };
    let head = format!(
        "{} simulated cars for each cause, of each kind; seed {}; {rests_on}; {took}",
        settings.runs, settings.seed
    );
    out.push_str(&wrapped(&head, WIDTH));
    out.push('\n');
    for sums in sums {
        of_world(trial, sums, lost, &mut out);
    }
    clean(&out)
}

fn of_world(trial: &Trial, sums: &Sums, lost: bool, out: &mut String) {
    let what = match sums.world {
        World::Expected => "Cars as the flow expects them",
        World::Unexpected => {
            "Cars that it does not expect: holes and spaces up to 30 % off, gauges off by up to twice what they \
             claim, twice the noise, odds of listed causes wrong by a factor of 3"
        }
    };
    let _ = writeln!(out, "\n{}\n", wrapped(what, WIDTH));
    let _ = writeln!(
        out,
        "{:NAME$}  {:^25}  {:^25}",
        "found and sure in %,", "by the flow's branches", "by the evidence "
    );
    let _ = writeln!(
        out,
        "{:NAME$}  {h}  {h} sure",
        "the others per car",
        h = "found wrong   min steps "
    );
    for (row, ways) in trial.rows.iter().zip(&sums.rows) {
        let figures = |tally: &Tally| {
            format!(
                "{:5.0} {:5.2} {:5.0} {:5.1} ",
                100.0 * tally.share(),
                tally.each(f64::from(tally.wrong)),
                tally.each(tally.minutes),
                tally.each(f64::from(tally.steps)),
            )
        };
        let sure = ways
            .evidence
            .each(100.0 * f64::from(ways.evidence.falsely_sure));
        let name = row.causes.join(" + ");
        let figures = format!(
            "{}  {} {sure:4.0}",
            figures(&ways.branches),
            figures(&ways.evidence)
        );
        if name.chars().count() > NAME {
            let _ = writeln!(out, "{name}\n{:NAME$}  {figures}", "");
        } else {
            let _ = writeln!(out, "{name:NAME$}  {figures}");
        }
        if lost {
            ends("by branches: ", &ways.branches, ENDS, out);
            ends("by evidence: ", &ways.evidence, ENDS, out);
        } else if ways.branches.share() < SELDOM {
            // Whoever wrote the flow wants to know where it loses the cause.
            ends("by branches: ", &ways.branches, 1, out);
        }
    }
    legend(sums, out);
    whole(sums, out);
    calibration(&sums.calibration, out);
}

/// What the words for an end mean, where one was told.
fn legend(sums: &Sums, out: &mut String) {
    let branches = || sums.rows.iter().map(|ways| &ways.branches);
    let goes_round = |tally: &Tally| tally.lost.keys().any(|end| end.starts_with("goes round"));
    if branches().any(goes_round) {
        let text = "goes round: led back to that step again and again, until the walk was given up; its steps and \
                    minutes are those up to there";
        let _ = writeln!(out, "\n{}", wrapped(text, WIDTH));
    }
    if branches().any(|tally| tally.share() < SELDOM) {
        let text = "--lost says of every cause how the cars ended in which it was not found.";
        let _ = writeln!(out, "\n{}", wrapped(text, WIDTH));
    }
}

fn ends(way: &str, tally: &Tally, most: usize, out: &mut String) {
    let mut ends: Vec<(&String, &u32)> = tally.lost.iter().collect();
    ends.sort_by(|a, b| b.1.cmp(a.1).then(a.0.cmp(b.0)));
    for (end, count) in ends.into_iter().take(most) {
        let head = format!("    {way}{count:3} ");
        out.push_str(&beside(&head, end, head.chars().count(), WIDTH));
    }
}

fn whole(sums: &Sums, out: &mut String) {
    let ways = &sums.whole;
    let base = ways.branches.minutes;
    out.push_str("\nAll of them, each cause as often as its odds say, a car:\n");
    let mut line = |name: &str, whole: &Whole| {
        let _ = writeln!(
            out,
            "  {name:24} {:5.0} min ({:.2})  found {:3.0} %  wrong repairs {:.2}",
            whole.minutes,
            whole.minutes / base,
            100.0 * whole.found,
            whole.wrong,
        );
    };
    line("by the flow's branches", &ways.branches);
    line("by the evidence", &ways.evidence);
    line("tests in random order", &ways.random);
    line("repairs without a test", &ways.untested);
    let _ = writeln!(
        out,
        "  more than 95 % sure and wrong: {:.1} of 100 cars by the evidence",
        100.0 * ways.evidence.falsely_sure
    );
}

fn calibration(table: &Calibration, out: &mut String) {
    out.push_str("\nHow sure at the first repair or handing on, and how often it was so:\n");
    for (n, bin) in table.bins.iter().enumerate().filter(|(_, b)| b.cars > 0) {
        let _ = writeln!(
            out,
            "  {:3} to {:3} %  {:5} cars  sure {:3.0} %  so {:3.0} %",
            10 * n,
            10 * (n + 1),
            bin.cars,
            100.0 * bin.sure,
            100.0 * bin.right
        );
    }
    let _ = writeln!(
        out,
        "  Brier score {:.3} (0 is perfect, 1 is sure and wrong each time)",
        table.brier
    );
}
