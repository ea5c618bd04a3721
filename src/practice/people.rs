//! Who has practised what: results read from the records, a table of people, a small plot over time, and CSV.

use std::collections::BTreeMap;

use chrono::{DateTime, Utc};
use serde::Serialize;

use super::session::{begun_by, exercise, marks};
use crate::engine::event::{Event, What};
use crate::engine::practised::{Mark, Practised};

/// What one exercise came to.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Exercised {
    /// Its number in the store of practice.
    pub number: u64,
    /// Who began it: whoever goes on with it or ends it does so for them.
    pub who: String,
    /// When it ended.
    pub at: DateTime<Utc>,
    /// The flow's id.
    pub flow: String,
    /// The level.
    pub level: u8,
    /// The seed.
    pub seed: u64,
    /// The name under which it was handed on.
    pub name: String,
    /// Marks reached.
    pub got: u32,
    /// Of so many.
    pub of: u32,
    /// The parts.
    pub parts: Vec<Mark>,
    /// Minutes on the simulated clock.
    pub minutes: f64,
    /// Minutes that are no slower than the program.
    pub par: f64,
    /// What stopped it; empty where nothing did.
    pub stopped: String,
}

/// The result of a practice job; `None` where it was not marked yet, or is none of practice.
pub fn result(number: u64, events: &[Event]) -> Option<Exercised> {
    let exercise = exercise(events)?;
    let marks = marks(events)?;
    let last = events
        .iter()
        .rev()
        .find(|event| matches!(event.what, What::Practised(Practised::Marked(_))))?;
    let stopped = events.iter().find_map(|event| match &event.what {
        What::Practised(Practised::Stopped { harm, .. }) => Some(harm.clone()),
        _ => None,
    });
    Some(Exercised {
        number,
        who: begun_by(events)?.to_owned(),
        at: last.at,
        flow: exercise.flow.clone(),
        level: exercise.level,
        seed: exercise.seed,
        name: exercise.name.clone(),
        got: marks.got(),
        of: marks.of(),
        parts: marks.parts.clone(),
        minutes: marks.minutes,
        par: marks.par,
        stopped: stopped.unwrap_or_default(),
    })
}

/// The results of each person, the oldest first.
pub fn by_person(results: &[Exercised]) -> BTreeMap<&str, Vec<&Exercised>> {
    let mut people: BTreeMap<&str, Vec<&Exercised>> = BTreeMap::new();
    for result in results {
        people.entry(&result.who).or_default().push(result);
    }
    for own in people.values_mut() {
        own.sort_by_key(|result| (result.at, result.number));
    }
    people
}

/// A score over time in one row: each exercise one character, from nothing to full marks.
pub fn trend(scores: &[(u32, u32)]) -> String {
    const STEPS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    scores
        .iter()
        .map(|(got, of)| {
            let step = (got * 7 + of / 2) / (*of).max(1);
            STEPS[usize::try_from(step).unwrap_or(0).min(7)]
        })
        .collect()
}

/// Scores over time as a plot for one person: each in the row whose number it is nearest to, none in the axis.
pub fn plot(scores: &[(u32, u32)]) -> Vec<String> {
    let shown = &scores[scores.len().saturating_sub(MOST)..];
    (0..=10_u32)
        .rev()
        .map(|row| {
            let (axis, none) = if row == 0 { ('+', "--") } else { ('|', "  ") };
            let here = if row == 0 { "-o" } else { " o" };
            let cells: String = shown
                .iter()
                .map(|(got, of)| {
                    let of = (*of).max(1);
                    let own = ((got * 20 + of) / (2 * of)).min(10);
                    if own == row { here } else { none }
                })
                .collect();
            format!("{:>4} {axis}{}", row * 10, cells.trim_end())
        })
        .collect()
}

/// How things are called where a table is read.
pub struct Words<'w> {
    /// A flow by its id.
    pub flow: &'w dyn Fn(&str) -> String,
    /// A day.
    pub day: &'w dyn Fn(DateTime<Utc>) -> String,
}

/// Who has practised what, in lines: for each person the tests, the parts of the score over time, and the score. A line
/// that is not indented begins a person.
pub fn lines(results: &[Exercised], words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    for (who, own) in by_person(results) {
        if !out.is_empty() {
            out.push(String::new());
        }
        let many = if own.len() == 1 { "" } else { "s" };
        out.push(format!("{who}: {} exercise{many}", own.len()));
        of_person(&own, words, &mut out);
    }
    if out.is_empty() {
        out.push("Nobody has ended an exercise yet.".to_owned());
    }
    out
}

/// So many exercises of a person are shown over time, the last ones.
const MOST: usize = 30;

fn of_person(own: &[&Exercised], words: &Words, out: &mut Vec<String>) {
    // What was practised first: the plot is tall, and a small screen is full of it.
    let mut flows: BTreeMap<(&str, u8), Vec<&Exercised>> = BTreeMap::new();
    for result in own {
        let key = (result.flow.as_str(), result.level);
        flows.entry(key).or_default().push(result);
    }
    for ((flow, level), of) in flows {
        let best = of.iter().map(|r| r.got).max().unwrap_or(0);
        let last = of.last().map_or(0, |r| r.got);
        let stopped = of.iter().filter(|r| !r.stopped.is_empty()).count();
        let stopped = if stopped > 0 {
            format!(", {stopped} stopped as unsafe")
        } else {
            String::new()
        };
        out.push(format!(
            "  {}, level {level}: {} done, best {best}, last {last}{stopped}",
            (words.flow)(flow),
            of.len()
        ));
    }
    let last = &own[own.len().saturating_sub(MOST)..];
    out.push("  The parts of the score over time, and the last marks:".to_owned());
    for part in parts(last) {
        let marks: Vec<(u32, u32)> = last
            .iter()
            .filter_map(|r| r.parts.iter().find(|mark| mark.part == part))
            .map(|mark| (mark.got, mark.of))
            .collect();
        let (got, of) = marks.last().copied().unwrap_or_default();
        out.push(format!(
            "    {part:<20} {got:>3} of {of:<3} {}",
            trend(&marks)
        ));
    }
    let scores: Vec<(u32, u32)> = last.iter().map(|r| (r.got, r.of)).collect();
    out.extend(plot(&scores).into_iter().map(|row| format!("  {row}")));
    if let (Some(first), Some(end)) = (last.first(), last.last()) {
        let (first, end) = ((words.day)(first.at), (words.day)(end.at));
        let days = if first == end {
            first
        } else {
            format!("{first} to {end}")
        };
        out.push(format!("        {days}"));
    }
}

/// The parts of the score, in the order in which they are marked.
fn parts<'r>(results: impl IntoIterator<Item = &'r &'r Exercised>) -> Vec<&'r str> {
    let mut parts: Vec<&str> = Vec::new();
    for mark in results.into_iter().flat_map(|r| &r.parts) {
        if !parts.contains(&mark.part.as_str()) {
            parts.push(&mark.part);
        }
    }
    parts
}

/// The results as CSV, for a spreadsheet.
pub fn csv(results: &[Exercised]) -> String {
    let all: Vec<&Exercised> = results.iter().collect();
    let parts = parts(&all);
    let fixed = [
        "number",
        "who",
        "ended (UTC)",
        "flow",
        "level",
        "seed",
        "exercise",
        "marks",
        "of",
        "minutes",
        "par",
        "stopped",
    ];
    let head = fixed.iter().copied().chain(parts.iter().copied());
    let mut out = row(head.map(str::to_owned));
    for r in results {
        let own = [
            r.number.to_string(),
            r.who.clone(),
            r.at.format("%Y-%m-%d %H:%M").to_string(),
            r.flow.clone(),
            r.level.to_string(),
            r.seed.to_string(),
            r.name.clone(),
            r.got.to_string(),
            r.of.to_string(),
            r.minutes.to_string(),
            r.par.to_string(),
            r.stopped.clone(),
        ];
        let marks = parts.iter().map(|part| {
            let mark = r.parts.iter().find(|mark| mark.part == *part);
            mark.map_or_else(String::new, |mark| mark.got.to_string())
        });
        out.push_str(&row(own.into_iter().chain(marks)));
    }
    out
}

fn row(cells: impl Iterator<Item = String>) -> String {
    let cells: Vec<String> = cells.map(|cell| quoted(&cell)).collect();
    cells.join(",") + "\r\n"
}

/// A cell by RFC 4180. A text that a spreadsheet would take for a formula gets an apostrophe before it, so that what
/// somebody wrote as a name never runs there; line breaks and control characters become blanks.
fn quoted(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    let first = plain.trim_start().chars().next();
    let formula =
        first.is_some_and(|c| "=+-@|%".contains(c)) && plain.trim().parse::<f64>().is_err();
    let guarded = if formula { format!("'{plain}") } else { plain };
    if guarded.contains([',', '"', ';']) {
        return format!("\"{}\"", guarded.replace('"', "\"\""));
    }
    guarded
}

#[cfg(test)]
mod tests {
    use super::*;

    fn result(who: &str, got: u32) -> Exercised {
        Exercised {
            number: 1,
            who: who.to_owned(),
            at: "2026-11-02T08:00:00Z".parse().unwrap(),
            flow: "intake-leak".to_owned(),
            level: 2,
            seed: 7,
            name: String::new(),
            got,
            of: 100,
            parts: vec![Mark {
                part: "found".to_owned(),
                got: 30,
                of: 30,
            }],
            minutes: 61.5,
            par: 60.0,
            stopped: String::new(),
        }
    }

    #[test]
    fn a_name_never_runs_as_a_formula_in_a_spreadsheet() {
        let text = csv(&[
            result("=HYPERLINK(\"http://x\",\"y\")", 90),
            result(" +1+1", 1),
            result("-5", 2),
        ]);
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(&rows[0][1], "'=HYPERLINK(\"http://x\",\"y\")");
        assert_eq!(&rows[1][1], "' +1+1");
        assert_eq!(&rows[2][1], "-5");
        assert_eq!(&rows[0][12], "30");
    }

    #[test]
    fn a_table_tells_each_person_apart() {
        let words = Words {
            flow: &|id| id.replace('-', " "),
            day: &|at| at.format("%d.%m.").to_string(),
        };
        let all = [result("Anna", 60), result("Ben", 100), result("Anna", 80)];
        let text = lines(&all, &words).join("\n");
        let anna = text.split("Ben: 1 exercise").next().unwrap();
        let flow = "Anna: 2 exercises\n  intake leak, level 2: 2 done, best 80, last 80\n";
        assert!(anna.starts_with(flow), "{text}");
        assert!(
            anna.contains("\n   100 |\n    90 |\n    80 |   o\n    70 |\n    60 | o\n"),
            "{text}"
        );
        assert!(
            anna.contains("found                 30 of 30  ██\n"),
            "{text}"
        );
    }

    #[test]
    fn a_plot_has_each_score_in_its_row() {
        assert_eq!(
            plot(&[
                (10, 100),
                (100, 100),
                (59, 100),
                (0, 100),
                (90, 100),
                (25, 100)
            ]),
            [
                " 100 |   o",
                "  90 |         o",
                "  80 |",
                "  70 |",
                "  60 |     o",
                "  50 |",
                "  40 |",
                "  30 |           o",
                "  20 |",
                "  10 | o",
                "   0 +-------o----"
            ]
        );
    }
}
