//! The debrief as lines of text, for the screen and for the command line.

use super::{Debrief, Hidden, Swayed, Turn};
use crate::practice::exercise::LEVELS;

/// Columns of the line that shows how much of a part was reached.
const BAR: u32 = 20;

impl Debrief {
    /// The debrief in lines; each may be longer than the screen is wide.
    pub fn lines(&self) -> Vec<String> {
        let mut out = vec![self.head()];
        out.push(String::new());
        self.score(&mut out);
        section(
            &mut out,
            "What was hidden",
            self.hidden.iter().map(hidden).collect(),
        );
        let decoys = self
            .decoys
            .iter()
            .map(|name| format!("{name}: a wisp, far too small to matter"));
        section(&mut out, "Harmless, though it shows", decoys.collect());
        section(
            &mut out,
            "What else was not as it should be",
            self.traps.clone(),
        );
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
            "Readings that were not set up as they should be",
            self.slips.clone(),
        );
        section(
            &mut out,
            "Written down otherwise than it stood",
            self.misread.clone(),
        );
        section(
            &mut out,
            "What the readings said",
            self.swayed.iter().map(swayed).collect(),
        );
        self.ways(&mut out);
        out
    }

    fn head(&self) -> String {
        let level = LEVELS
            .iter()
            .find(|(level, _)| *level == self.exercise.level);
        let words = level.map_or("", |(_, words)| words);
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
        out.push(format!("Score: {} of {}", self.got(), self.of_all()));
        for part in &self.parts {
            let full = part.got * BAR / part.of.max(1);
            let bar: String = (0..BAR).map(|n| if n < full { '█' } else { '·' }).collect();
            out.push(format!(
                "  {:<20} {:>3} of {:<3} {bar}",
                part.name, part.got, part.of
            ));
            out.extend(part.because.iter().map(|why| format!("      - {why}")));
        }
        out.push(format!(
            "  Retest from the start: {}. Proved: {}.",
            yes(self.retested),
            yes(self.proved)
        ));
    }

    fn ways(&self, out: &mut Vec<String>) {
        out.push(String::new());
        out.push("Step by step, in minutes".to_owned());
        let ways = self.beside.ways.iter().map(String::as_str);
        out.push(format!("  {:<42}{}", "", cells(ways)));
        let mut test = 0;
        for row in &self.beside.rows {
            if row.test != test {
                test = row.test;
                out.push(format!("  Test {test}"));
            }
            let minutes: Vec<String> = row.minutes.iter().map(|minutes| tenths(*minutes)).collect();
            let minutes = cells(minutes.iter().map(String::as_str));
            out.push(format!("    {:<40}{minutes}", short(&row.what, 39)));
        }
        let all = self.beside.minutes.iter();
        let all: Vec<String> = all.map(|minutes| tenths(Some(*minutes))).collect();
        let all = cells(all.iter().map(String::as_str));
        out.push(format!("  {:<42}{all}", "in all"));
        if !self.led.is_empty() {
            out.push(format!("  {}", self.led));
        }
        // A sum over nothing is minus nothing.
        let nothing: f64 = self.needless.iter().map(|n| n.minutes).sum::<f64>() + 0.0;
        out.push(format!(
            "  Of yours: repairs that were needed {:.0} min, repairs for nothing {nothing:.0} min, tests {:.0} min.",
            self.needed_minutes + 0.0,
            self.minutes - self.needed_minutes - nothing
        ));
    }
}

/// Columns of one way.
fn cells<'t>(texts: impl Iterator<Item = &'t str>) -> String {
    texts.fold(String::new(), |row, text| row + &format!("{text:>12}"))
}

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
    let found = if hidden.found {
        "found and repaired"
    } else {
        "MISSED"
    };
    format!("{}{size}: {found}", hidden.name)
}

fn swayed(s: &Swayed) -> String {
    let chance = format!("{:.0} %", 100.0 * s.present);
    let rather = if s.rather.is_empty() {
        String::new()
    } else {
        format!(" More probable then: {}.", s.rather)
    };
    if s.says_little() {
        let what = if s.turn == Turn::RepairedForNothing {
            "repaired"
        } else {
            "left"
        };
        return format!(
            "You {what} \"{}\", which the readings held to be there with {chance}. No reading that you took told it from the others: take one that does before you decide.{rather}",
            s.name
        );
    }
    match s.turn {
        Turn::RepairedForNothing => format!(
            "You repaired \"{}\", which the readings held to be there with {chance}. What should have changed your mind: {} ({}; {:+.0} dB).{rather}",
            s.name, s.reading, s.words, s.moved
        ),
        Turn::Missed => format!(
            "You left \"{}\", which the readings held to be there with {chance}. What should have led you to it: {} ({}; {:+.0} dB).{rather}",
            s.name, s.reading, s.words, s.moved
        ),
        Turn::Found => format!(
            "You repaired \"{}\", which the readings held to be there with {chance}. What spoke for it most: {} ({}; {:+.0} dB).",
            s.name, s.reading, s.words, s.moved
        ),
    }
}

/// A text of so many characters at most.
fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let kept: String = text.chars().take(most - 3).collect();
    format!("{}...", kept.trim_end())
}
