//! The debrief as lines of text, for the screen and for the command line.

use std::fmt::Write as _;

use super::score::{AS_IT_STOOD_NAME, SET_UP_NAME};
use super::{Cost, Debrief, Hidden, Swayed, Turn, rule};
use crate::practice::exercise::in_words;
use crate::rules::evidence::why::percent;

/// Columns of the line that shows how much of a part was reached.
const BAR: u32 = 20;

impl Debrief {
    /// The debrief in lines. Tables fit into so many columns; a sentence may be longer.
    pub fn lines(&self, columns: usize) -> Vec<String> {
        let mut out = vec![self.head()];
        out.push(String::new());
        self.score(&mut out);
        if let Some(harm) = &self.harm {
            let lines = vec![
                harm.done.clone(),
                harm.would_have.clone(),
                format!("Caution: {}. Source: {}", harm.caution, harm.source),
            ];
            section(&mut out, "Why the exercise was stopped", lines);
        }
        section(
            &mut out,
            "What was hidden",
            self.hidden.iter().map(hidden).collect(),
        );
        section(&mut out, "Bad, but harmless", self.harmless.clone());
        section(
            &mut out,
            "What else was not as it should be",
            self.traps.clone(),
        );
        let would_have = Some(self.would_have.clone()).filter(|words| !words.is_empty());
        section(
            &mut out,
            "Left on the car as the exercise ended",
            self.left_behind.iter().cloned().chain(would_have).collect(),
        );
        self.blamed(&mut out);
        section(
            &mut out,
            "What the readings said",
            self.swayed.iter().map(swayed).collect(),
        );
        self.ways(&mut out, columns);
        section(&mut out, "How it is marked", rule());
        out
    }

    /// What marks were lost for with readings; not where another rule marked them.
    fn blamed(&self, out: &mut Vec<String>) {
        let told = |part: &str, lines: &[String]| match self.as_marked(part) {
            Some(_) => lines.to_vec(),
            None => Vec::new(),
        };
        section(
            out,
            "Readings that were not set up as they should be",
            told(SET_UP_NAME, &self.slips),
        );
        section(
            out,
            "Written down otherwise than it stood",
            told(AS_IT_STOOD_NAME, &self.misread),
        );
        section(
            out,
            "Written down without being read, seen or so",
            told(AS_IT_STOOD_NAME, &self.made_up),
        );
    }

    fn head(&self) -> String {
        let words = in_words(self.exercise.level);
        let name = if self.exercise.name.is_empty() {
            String::new()
        } else {
            format!("\"{}\", ", self.exercise.name)
        };
        format!(
            "PRACTICE {name}{}, level {} ({words}), seed {}",
            self.title, self.exercise.level, self.exercise.seed
        )
    }

    fn score(&self, out: &mut Vec<String>) {
        let counts = self.counts();
        out.push(format!("Score: {} of {}", counts.got(), counts.of()));
        for mark in &counts.parts {
            let full = (mark.got * BAR / mark.of.max(1)).min(BAR);
            let bar: String = (0..BAR).map(|n| if n < full { '█' } else { '·' }).collect();
            out.push(format!(
                "  {:<20} {:>3} of {:<3} {bar}",
                mark.part, mark.got, mark.of
            ));
            let lost = self.as_marked(&mark.part).into_iter().flat_map(|p| &p.lost);
            out.extend(lost.map(|lost| format!("      - {} lost: {}", lost.marks, lost.why)));
        }
        if self.recorded.is_some() {
            let today = self.marks();
            out.push(format!(
                "  Marked by the rules of then; by those of today it would be {} of {}.",
                today.got(),
                today.of()
            ));
        }
        out.push(format!(
            "  Retest from the start: {}. Proved: {}.",
            yes(self.retested),
            yes(self.proved)
        ));
    }

    fn ways(&self, out: &mut Vec<String>, columns: usize) {
        out.push(String::new());
        out.push("Step by step, in minutes".to_owned());
        let beside = &self.beside;
        let room = columns
            .saturating_sub(CELL * beside.ways.len())
            .clamp(22, 56);
        let table = |out: &mut Vec<String>, name: &str, cells: Vec<String>| {
            let mut row = format!("{:<room$}", short(name, room - 1));
            for cell in cells {
                let _ = write!(row, "{cell:>CELL$}");
            }
            out.push(row);
        };
        let minutes = |all: &[f64]| all.iter().map(|m| tenths(Some(*m))).collect::<Vec<_>>();
        table(out, "", beside.ways.clone());
        let mut test = 0;
        for row in &beside.rows {
            if row.test != test {
                test = row.test;
                out.push(format!("  Test {test}"));
            }
            let cells = row.minutes.iter().map(|minutes| tenths(*minutes));
            table(out, &format!("    {}", row.what), cells.collect());
        }
        table(out, "  in all", minutes(&beside.minutes));
        let costs = |of: fn(&Cost) -> f64| beside.costs.iter().map(of).collect::<Vec<_>>();
        table(out, "    tests", minutes(&costs(|c| c.tests)));
        table(out, "    repairs needed", minutes(&costs(|c| c.repairs)));
        let for_nothing = costs(|c| c.for_nothing);
        table(out, "    for nothing", minutes(&for_nothing));
        if let Some(rate) = &self.rate {
            let cost = |all: &[f64]| {
                let cost = |minutes: &f64| format!("{:.2}", rate.of(*minutes));
                all.iter().map(cost).collect::<Vec<_>>()
            };
            out.push(format!(
                "  What the minutes cost at {}; parts are not in it",
                rate.words()
            ));
            table(out, "    in all", cost(&beside.minutes));
            table(out, "    for nothing", cost(&for_nothing));
        }
        out.push(String::new());
        out.push(format!("  {MINUTES}"));
        if !self.led.is_empty() {
            out.push(String::new());
            out.push(format!("  {}", self.led));
        }
    }
}

/// What minutes are in the table.
const MINUTES: &str = "Minutes count alike on every way: a step's as the flow reckons them, each time it is done, its \
                       set-up once in a test; looking and trying as long as they take. What hands do besides stands by \
                       itself: how much of it is needed hangs on how the car stood.";

/// Columns of the minutes of one way.
const CELL: usize = 10;

fn tenths(minutes: Option<f64>) -> String {
    minutes.map_or_else(|| "-".to_owned(), |minutes| format!("{minutes:.1}"))
}

fn yes(is: bool) -> &'static str {
    if is { "yes" } else { "no" }
}

fn section(out: &mut Vec<String>, title: &str, lines: Vec<String>) {
    if lines.is_empty() {
        return;
    }
    out.push(String::new());
    out.push(title.to_owned());
    out.extend(lines.into_iter().map(|line| format!("  {line}")));
}

fn hidden(hidden: &Hidden) -> String {
    let size = if hidden.size.is_empty() {
        String::new()
    } else {
        format!(", {}", hidden.size)
    };
    let found = match (hidden.found, hidden.repaired) {
        (_, true) => "found and repaired",
        (true, false) => "found, NOT REPAIRED",
        (false, false) => "NOT FOUND",
    };
    format!("{}{size}: {found}", hidden.name)
}

fn swayed(s: &Swayed) -> String {
    let chance = percent(s.present);
    let rather = if s.rather.is_empty() {
        String::new()
    } else {
        format!(" More probable then: {}.", s.rather)
    };
    let did = match s.turn {
        Turn::RepairedForNothing | Turn::Found => "repaired",
        Turn::OpenedForNothing => "opened",
        Turn::NotRepaired => "found",
        Turn::Missed => "did not find",
    };
    let needless = matches!(s.turn, Turn::RepairedForNothing | Turn::OpenedForNothing);
    if let Some(because) = s.suggested.as_ref().filter(|_| needless) {
        let because = because.trim_end_matches('.');
        let why = if because.is_empty() {
            String::new()
        } else {
            format!(" ({because})")
        };
        if !s.made_up.is_empty() {
            return format!(
                "You {did} \"{}\" as the odds on the screen suggested{why}. They rested on what you wrote down and the car \
                 does not bear out ({}): odds are no better than what they are told.",
                s.name,
                s.made_up.join("; ")
            );
        }
        return format!(
            "You {did} \"{}\" as the odds on the screen suggested{why}; by them it was there with {chance}. Here they were \
             wrong, as odds are now and then: that is no fault of yours.",
            s.name
        );
    }
    if s.reading.is_empty() && s.turn == Turn::Missed {
        return format!(
            "You did not find \"{}\", and no reading spoke of it; by its odds alone it was there with {chance}. Take a reading that tells it from the others.{rather}",
            s.name
        );
    }
    if s.reading.is_empty() {
        return format!(
            "You {did} \"{}\" before any reading spoke of it; by its odds alone it was there with {chance}. Take a reading that tells it from the others before you decide.{rather}",
            s.name
        );
    }
    let held = format!(
        "You {did} \"{}\", which the readings held to be there with {chance}.",
        s.name
    );
    if let Some(size) = &s.size {
        let (before, after) = (percent(size.before), percent(size.after));
        return format!(
            "{held} What should have changed your mind is its size: {} (that it explains the complaint went from {before} \
             to {after}).{rather}",
            size.readings
        );
    }
    if s.says_little() {
        return format!(
            "{held} No reading that you took told it from the others: take one that does before you decide.{rather}"
        );
    }
    let what = match s.turn {
        Turn::RepairedForNothing | Turn::OpenedForNothing => "What should have changed your mind",
        Turn::Missed => "What should have led you to it",
        Turn::Found | Turn::NotRepaired => "What spoke for it most",
    };
    let (before, after) = (percent(s.before), percent(s.after));
    format!(
        "{held} {what}: {} ({}; from {before} to {after}).{rather}",
        s.reading, s.words
    )
}

/// A text of so many characters at most.
fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most - 3).collect();
    format!("{}...", kept.trim_end())
}
