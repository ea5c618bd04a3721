//! Readings and what was worked out from them, test beside test.

use std::collections::BTreeMap;

use super::case::Case;
use super::page::{Block, Section, Table};
use super::text::sentence;
use crate::engine::covered;
use crate::engine::job::{Job, Run, Taken};
use crate::engine::prompt::check_kind;
use crate::engine::shown;
use crate::flow::answer::Answer;
use crate::flow::choice::name;
use crate::flow::model::{Flow, Gauge, PairsPrompt, Prompt, PromptKind, Tolerance};
use crate::rules::suggest::value;
use crate::units::Quantity;

/// One set of tables for each flow that was walked.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    for run in &case.job.runs {
        let flow = &run.flow;
        if seen.contains(&flow.id.as_str()) {
            continue;
        }
        seen.push(&flow.id);
        let of_flow = Measured::of(case, flow);
        let tables = of_flow.tables();
        if !tables.is_empty() {
            blocks.push(Block::Heading(flow.title.clone()));
            blocks.extend(tables.into_iter().map(Block::Table));
        }
    }
    let title = if case.tests() > 1 {
        "Readings before and after"
    } else {
        "Readings"
    };
    Section::of(title, blocks)
}

/// What was read and worked out in one flow, by test.
struct Measured<'j> {
    job: &'j Job,
    flow: &'j Flow,
    tests: Vec<u32>,
    readings: BTreeMap<(&'j str, u32), &'j Taken>,
    worked: BTreeMap<(&'j str, u32), String>,
    /// What other flows of the job read under the same ids: an id means the same everywhere.
    elsewhere: BTreeMap<(&'j str, u32), &'j Taken>,
    /// And what they worked out under the same ids by the same calculation.
    worked_elsewhere: BTreeMap<(&'j str, u32), String>,
}

impl<'j> Measured<'j> {
    fn of(case: &Case<'j>, flow: &'j Flow) -> Self {
        let (mut readings, mut elsewhere) = (BTreeMap::new(), BTreeMap::new());
        for taken in &case.job.readings {
            let key = (taken.reading.as_str(), taken.test);
            match on_the_way(case, taken) {
                Some(run) if run.flow.id == flow.id => readings.insert(key, taken),
                Some(_) => elsewhere.insert(key, taken),
                None => None,
            };
        }
        let (mut worked, mut worked_elsewhere) = (BTreeMap::new(), BTreeMap::new());
        for walked in case.walked().filter(|w| w.taken().is_some()) {
            let (other, picture) = (&walked.run.flow, walked.picture(case));
            for id in &walked.step.show {
                let (Some(own), Some(theirs)) = (flow.work(id), other.work(id)) else {
                    continue;
                };
                let Some(shown) = value(other, id, &picture) else {
                    continue;
                };
                let key = (own.id.as_str(), walked.visit.test);
                if other.id == flow.id {
                    worked.insert(key, shown);
                } else if own.calculation.name == theirs.calculation.name && own.take == theirs.take
                {
                    worked_elsewhere.insert(key, shown);
                }
            }
        }
        let read_in = readings.keys().map(|(_, test)| *test);
        let mut tests: Vec<u32> = read_in
            .chain(worked.keys().map(|(_, test)| *test))
            .collect();
        tests.sort_unstable();
        tests.dedup();
        Self {
            job: case.job,
            flow,
            tests,
            readings,
            worked,
            elsewhere,
            worked_elsewhere,
        }
    }

    fn tables(&self) -> Vec<Table> {
        let pairs = self.flow.readings.iter().filter_map(|p| self.pairs(p));
        let read = self.read("As read", |kind| matches!(kind, PromptKind::Quantity(_)));
        let mut tables: Vec<Table> = read.into_iter().collect();
        tables.extend(pairs);
        tables.extend(self.worked_out());
        tables.extend(self.read("As seen and chosen", |kind| {
            matches!(kind, PromptKind::Choice(_) | PromptKind::Text)
        }));
        tables
    }

    /// Heads of the columns that hold the tests.
    fn test_heads(&self) -> Vec<String> {
        let (first, last) = (self.tests.first(), self.tests.last());
        self.tests
            .iter()
            .map(|test| match (self.tests.len(), Some(test)) {
                (1, _) if *test == 1 => "Value".to_owned(),
                (1, _) => format!("Test {test}"),
                (_, test) if test == first => format!("Test {} (before)", self.tests[0]),
                (_, test) if test == last => format!("Test {} (after)", last.unwrap_or(&0)),
                _ => format!("Test {test}"),
            })
            .collect()
    }

    /// Readings of some kinds that were taken in any test.
    fn read(&self, title: &str, wanted: fn(&PromptKind) -> bool) -> Option<Table> {
        let taken = |p: &&Prompt| {
            let mut tests = self.tests.iter();
            tests.any(|t| self.readings.contains_key(&(p.id.as_str(), *t)))
        };
        let of_kind = self.flow.readings.iter().filter(|p| wanted(&p.kind));
        let prompts: Vec<&Prompt> = of_kind.filter(taken).collect();
        let gauges = gauges(self.flow, &prompts);
        let mut head = vec!["Reading".to_owned()];
        head.extend(self.test_heads());
        let row = |prompt: &Prompt| {
            let letter = gauges
                .iter()
                .zip('a'..='z')
                .find(|(gauge, _)| read_on(prompt) == Some(&gauge.id));
            let mut row = vec![match letter {
                Some((_, letter)) => format!("{} ({letter})", prompt.ask),
                None => prompt.ask.clone(),
            }];
            row.extend(self.tests.iter().map(|test| self.cell(prompt, *test)));
            row
        };
        let notes = gauges.iter().zip('a'..='z');
        (!prompts.is_empty()).then(|| Table {
            title: title.to_owned(),
            head,
            rows: prompts.into_iter().map(row).collect(),
            notes: notes
                .map(|(g, letter)| format!("({letter}) {}", gauge(g)))
                .collect(),
        })
    }

    /// The place that was covered as a value was read, where the columns hold values of different
    /// ones.
    fn covered_at(&self, id: &str, test: u32, holds: impl Fn(u32) -> bool) -> Option<String> {
        let mut others = self.tests.iter().filter(|other| **other != test);
        let differs = others
            .any(|other| holds(*other) && !covered::alike(self.job, self.flow, id, test, *other));
        let place = covered::place(self.job, self.flow, test).filter(|_| differs)?;
        Some(format!("covered: {place}"))
    }

    fn cell(&self, prompt: &Prompt, test: u32) -> String {
        let key = (prompt.id.as_str(), test);
        let Some(taken) = self.readings.get(&key).or_else(|| self.elsewhere.get(&key)) else {
            return "-".to_owned();
        };
        if check_kind(prompt, &taken.value).is_err() {
            return "-".to_owned();
        }
        let holds = |test| self.readings.contains_key(&(prompt.id.as_str(), test));
        let covered = self.covered_at(&prompt.id, test, holds);
        let late = taken.late_words();
        let mut marks: Vec<&str> = covered.as_deref().into_iter().collect();
        marks.extend(late.as_deref());
        if taken.was_corrected() {
            marks.push("corrected");
        }
        if taken.confirmed {
            marks.push("unusual, read twice");
        }
        if taken.carried_from.is_some() {
            marks.push("taken over");
        }
        if taken.from_file.is_some() {
            marks.push("from a file");
        }
        let value = shown::answer(&taken.value);
        if marks.is_empty() {
            value
        } else {
            format!("{value} ({})", marks.join("; "))
        }
    }

    /// A sweep has a table of its own: two columns a test.
    fn pairs(&self, prompt: &Prompt) -> Option<Table> {
        let PromptKind::Pairs(asked) = &prompt.kind else {
            return None;
        };
        let columns: Vec<(u32, &Vec<_>)> = self
            .tests
            .iter()
            .filter_map(
                |test| match &self.readings.get(&(prompt.id.as_str(), *test))?.value {
                    Answer::Pairs(pairs) => Some((*test, pairs)),
                    _ => None,
                },
            )
            .collect();
        if let [(test, pairs)] = columns.as_slice()
            && pairs.len() > LONG
        {
            return Some(side_by_side(prompt, asked, *test, pairs));
        }
        let longest = columns.iter().map(|(_, pairs)| pairs.len()).max()?;
        let head = columns
            .iter()
            .flat_map(|(test, _)| pair_heads(asked, *test, self.tests.len()));
        let rows = (0..longest).map(|n| {
            let cells = columns.iter().flat_map(|(_, pairs)| match pairs.get(n) {
                Some((a, b)) => [shown::quantity(*a), shown::quantity(*b)],
                None => ["-".to_owned(), "-".to_owned()],
            });
            cells.collect()
        });
        Some(Table {
            title: prompt.ask.clone(),
            head: head.collect(),
            rows: rows.collect(),
            notes: Vec::new(),
        })
    }

    fn worked_out(&self) -> Option<Table> {
        let mut head = vec!["Worked out".to_owned()];
        head.extend(self.test_heads());
        let rows: Vec<Vec<String>> = self
            .flow
            .worked
            .iter()
            .filter_map(|work| {
                let key = |test: &u32| (work.id.as_str(), *test);
                let own = self.tests.iter().any(|t| self.worked.contains_key(&key(t)));
                let cell = |test: &u32| {
                    let own = self.worked.get(&key(test));
                    let cell = own.or_else(|| self.worked_elsewhere.get(&key(test)));
                    let holds = |test: u32| self.worked.contains_key(&key(&test));
                    match (cell, self.covered_at(&work.id, *test, holds)) {
                        (Some(cell), Some(covered)) => format!("{cell} ({covered})"),
                        (Some(cell), None) => cell.clone(),
                        (None, _) => "-".to_owned(),
                    }
                };
                own.then(|| {
                    let mut row = vec![sentence(&name(self.flow, &work.id))];
                    row.extend(self.tests.iter().map(cell));
                    row
                })
            })
            .collect();
        (!rows.is_empty()).then(|| Table {
            title: "Worked out, with 95 % intervals".to_owned(),
            head,
            rows,
            notes: Vec::new(),
        })
    }
}

/// More pairs than this stand side by side.
const LONG: usize = 24;
/// So many of them.
const ABREAST: usize = 4;

/// A capture of many pairs, read column after column.
fn side_by_side(
    prompt: &Prompt,
    asked: &PairsPrompt,
    test: u32,
    pairs: &[(Quantity, Quantity)],
) -> Table {
    let deep = pairs.len().div_ceil(ABREAST);
    let cell = |n: usize| match pairs.get(n) {
        Some((a, b)) => [shown::quantity(*a), shown::quantity(*b)],
        None => [String::new(), String::new()],
    };
    let row = |n: usize| {
        (0..ABREAST)
            .flat_map(|block| cell(block * deep + n))
            .collect()
    };
    Table {
        title: prompt.ask.clone(),
        head: (0..ABREAST)
            .flat_map(|_| pair_heads(asked, test, 1))
            .collect(),
        rows: (0..deep).map(row).collect(),
        notes: Vec::new(),
    }
}

/// The run in which a reading was taken, if it is on the way that counts: a way that was given up
/// is not the test.
fn on_the_way<'j>(case: &Case<'j>, taken: &Taken) -> Option<&'j Run> {
    case.job.runs.iter().find(|run| {
        let mut visits = run.walked().iter();
        visits.any(|visit| visit.since_seq == taken.visit)
    })
}

fn pair_heads(asked: &PairsPrompt, test: u32, tests: usize) -> [String; 2] {
    let head = |name: &str| {
        let name = sentence(name);
        if tests > 1 {
            format!("{name}, test {test}")
        } else {
            name
        }
    };
    [head(&asked.first.0), head(&asked.second.0)]
}

/// The id of the gauge that a reading is taken on.
fn read_on(prompt: &Prompt) -> Option<&String> {
    match &prompt.kind {
        PromptKind::Quantity(asked) => asked.gauge.as_ref(),
        _ => None,
    }
}

/// The gauges that some readings are taken on, each once.
fn gauges<'f>(flow: &'f Flow, prompts: &[&Prompt]) -> Vec<&'f Gauge> {
    let used = |gauge: &&Gauge| prompts.iter().any(|p| read_on(p) == Some(&gauge.id));
    flow.gauges.iter().filter(used).collect()
}

/// A gauge with its errors, in words.
fn gauge(gauge: &Gauge) -> String {
    let mut out = vec![gauge.name.clone()];
    out.extend(gauge.accuracy.map(|accuracy| match accuracy {
        Tolerance::Absolute(q) => format!("accuracy {}", shown::quantity(q)),
        Tolerance::Relative(share) => format!("accuracy {}", percent(share)),
        Tolerance::Both(share, least) => {
            let least = shown::quantity(least);
            format!("accuracy {}, at least {least}", percent(share))
        }
    }));
    out.extend(
        gauge
            .resolution
            .map(|step| format!("read to {}", shown::quantity(step))),
    );
    out.join(", ")
}

fn percent(share: f64) -> String {
    // Two digits after the point are more than any gauge's data sheet gives.
    format!("{} %", (share * 1e4).round() / 1e2)
}
