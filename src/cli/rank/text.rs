//! The answer for people, in lines of at most 80 letters.

use std::fmt::Write;

use super::Context;
use crate::cli::clean;
use crate::cli::layout::{beside, wrapped};
use crate::engine::shown;
use crate::flow::cautions;
use crate::flow::likelihood::word;
use crate::rules::advice::figures::{balance, percent, share_bar};
use crate::rules::evidence::inquiry::Inquiry;
use crate::rules::evidence::reasons::{Branch, Suggestion, moves, suggestion};
use crate::rules::evidence::wary::warnings;
use crate::rules::evidence::why::{decibans, log_odds, words};

const WIDTH: usize = 80;

pub(super) fn print(inquiry: &Inquiry, context: &Context) -> String {
    let mut out = format!("{}\n\n", context.flow.title);
    causes(inquiry, context, &mut out);
    match suggestion(inquiry, context.dear_too) {
        Some(suggestion) => next(&suggestion, &mut out),
        None => out.push_str("\nNext: nothing is left to do\n"),
    }
    for cause in &context.why {
        why(inquiry, context, *cause, &mut out);
    }
    out.push('\n');
    out.push_str(&beside("", &rests_on(context), 0, WIDTH));
    let remarks: Vec<String> = warnings(inquiry)
        .into_iter()
        .chain(context.notes.clone())
        .collect();
    if !remarks.is_empty() {
        out.push('\n');
    }
    for remark in remarks {
        out.push_str(&beside(" !", &remark, 3, WIDTH));
    }
    clean(&out)
}

fn rests_on(context: &Context) -> String {
    match context.cars {
        Some(cars) => format!(
            "Rests on {} simulated cars, {} with each cause alone; what physics does not tell, on the author's words.",
            grouped(context.rests_on),
            cars.count()
        ),
        None => "Rests on the author's words alone, no simulated cars.".to_owned(),
    }
}

/// `27500` as `27,500`.
fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (n, digit) in digits.chars().enumerate() {
        if n > 0 && (digits.len() - n).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

fn causes(inquiry: &Inquiry, context: &Context, out: &mut String) {
    let history = !context.history.is_empty();
    out.push_str("explains             present  cause\n");
    let mut moved = false;
    for n in inquiry.ranking() {
        let (explains, listed) = (inquiry.explains[n], &inquiry.joined.causes[n]);
        let head = format!(
            "{:>7}  {}  {:>7}  ",
            percent(explains),
            share_bar(explains),
            percent(inquiry.present[n])
        );
        let mut text = format!("{} ({}, {})", listed.name, listed.id, word(explains));
        if let Some(l) = context.history.iter().find(|l| l.id == listed.id) {
            let _ = write!(
                text,
                "; odds {} by its author, {} with {} of our {} jobs",
                percent(l.author),
                percent(l.learned),
                l.found,
                l.jobs
            );
        }
        let nothing_read = inquiry.told.changes.is_empty() && context.history.is_empty();
        if let Some(cause) = context.flow.cause(&listed.id).filter(|_| nothing_read)
            && percent(cause.odds) != percent(inquiry.present[n])
        {
            moved = true;
            let _ = write!(text, "; odds {} as written", percent(cause.odds));
        }
        out.push_str(&beside(&head, &text, head.chars().count(), WIDTH));
    }
    if moved {
        let text = "Nothing was read yet, and the odds are not quite as written: something is wrong with this car, so that cars \
                    with none of the causes are left out, and at most a few can be present together.";
        out.push_str(&wrapped(text, WIDTH));
        out.push('\n');
    }
    if history {
        out.push_str("The workshop's own jobs are counted; --ignore-history leaves them out.\n");
    }
}

fn next(suggestion: &Suggestion, out: &mut String) {
    let what = &suggestion.what;
    let head = match what.kind {
        "step" => format!("\nNext: {} (step {})", what.words, what.id),
        "repair" => format!("\nNext: {} ({})", what.words, what.id),
        _ => format!("\nNext: {}", what.words),
    };
    let _ = writeln!(
        out,
        "{}",
        wrapped(
            &format!("{head}, {}", shown::minutes(suggestion.minutes)),
            WIDTH
        )
    );
    let mut say = |text: String| out.push_str(&beside("  ", &text, 2, WIDTH));
    if !suggestion.first.is_empty() {
        say(format!("before it: {}", suggestion.first.join(", ")));
    }
    if suggestion.for_steps.len() > 1 {
        say(format!(
            "set up once for: {}",
            suggestion.for_steps.join(", ")
        ));
    }
    let titles: Vec<&str> = suggestion
        .cautions
        .iter()
        .filter_map(|id| Some(cautions::find(id)?.title))
        .collect();
    if !titles.is_empty() {
        say(format!("cautions to accept first: {}", titles.join(", ")));
    }
    say(suggestion.because.clone());
    for branch in &suggestion.branches {
        say_branch(branch, out);
    }
    if let Some((other, worse)) = &suggestion.runner_up {
        let text = if *worse < 0.0 {
            format!(
                "cheaper by its minutes alone: {}, {} less",
                other.words,
                shown::minutes(-worse)
            )
        } else {
            format!(
                "second best: {}, {} more",
                other.words,
                shown::minutes(*worse)
            )
        };
        out.push_str(&beside("  ", &text, 2, WIDTH));
    }
}

fn say_branch(branch: &Branch, out: &mut String) {
    const MOST: usize = 3;
    let mut outcomes = branch
        .outcomes
        .iter()
        .take(MOST)
        .cloned()
        .collect::<Vec<_>>()
        .join("; or ");
    match branch.outcomes.len().saturating_sub(MOST) {
        0 => {}
        1 => outcomes.push_str("; or one other outcome"),
        more => {
            let _ = write!(outcomes, "; or {more} other outcomes");
        }
    }
    let text = format!("{outcomes}: then {}", branch.then.words);
    let head = format!("  {:>5}  ", percent(branch.probability));
    out.push_str(&beside(&head, &text, 9, WIDTH));
}

fn why(inquiry: &Inquiry, context: &Context, cause: usize, out: &mut String) {
    let case = &inquiry.joined.case;
    let prior = inquiry.told.prior.marginals(case)[cause];
    let name = &inquiry.joined.causes[cause].name;
    let _ = writeln!(out, "\n{}", wrapped(&format!("Why: {name}"), WIDTH));
    let mut line = |total: bool, change: Option<f64>, text: &str| {
        let head = match (total, change) {
            (false, Some(change)) => {
                format!("  {:>+6.1} dB  {}  ", decibans(change), balance(change))
            }
            (true, Some(change)) => format!("  {:>+6.1} dB {:14}", decibans(change), ""),
            (_, None) => " ".repeat(26),
        };
        out.push_str(&beside(&head, text, 26, WIDTH));
    };
    line(
        true,
        Some(log_odds(prior)),
        &format!("before any reading: {}", percent(prior)),
    );
    for moved in moves(inquiry) {
        let change = moved.by[cause];
        line(
            false,
            Some(change),
            &format!("{}, {}", moved.words, words(change)),
        );
    }
    let present = inquiry.present[cause];
    line(
        true,
        Some(log_odds(present)),
        &format!("together: present {}", percent(present)),
    );
    let explains = inquiry.explains[cause];
    if (explains - present).abs() > 0.005 {
        let by = match context.cars {
            Some(_) => "by the simulated cars",
            None => "by the share of the complaint",
        };
        let text = format!(
            "and big enough for the complaint {}, {by}",
            percent(explains)
        );
        line(true, None, &text);
    }
}
