//! The graph of worked values, evaluated at one point.

use std::collections::BTreeMap;

use super::Known;
use super::inputs::given;
use crate::flow::answer::Answer;
use crate::flow::model::{Arg, Flow, PromptKind, Work};
use crate::flow::values::{Value, Values};
use crate::physics::calculation::{Answer as Result1, CalcError, Shifts, Worked};
use crate::physics::given::Given;
use crate::units::preferred::asked_in;

/// The plain values from which the graph is evaluated.
#[derive(Clone, Debug, Default)]
pub(super) struct Base {
    pub(super) numbers: BTreeMap<String, f64>,
    pub(super) words: BTreeMap<String, String>,
    pub(super) pairs: BTreeMap<String, Vec<[f64; 2]>>,
    pub(super) not_applicable: Vec<String>,
    /// What may be left out and was not taken, and what is worked from it, each with those readings.
    pub(super) left_out: BTreeMap<String, Vec<String>>,
    /// Optional readings that could not be told. A calculation that can do without one does; where
    /// it is needed it is missing, and never counts as not asked.
    pub(super) untold: Vec<String>,
}

impl Base {
    /// Whether what is missing is only what may be left out and could not be told.
    pub(super) fn only_untold(&self, missing: &[String]) -> bool {
        missing.iter().all(|id| self.untold.contains(id))
    }

    /// Notes what came of a worked value, for those that are made from it.
    pub(super) fn take_in(&mut self, id: &str, point: &Point) {
        match point {
            Point::Number(si, _) | Point::Bound(si, ..) => {
                self.numbers.insert(id.to_owned(), *si);
            }
            Point::Words(words, _) => {
                self.words.insert(id.to_owned(), words.clone());
            }
            Point::Judged(judged) => {
                if let Result1::Text(words) = &judged.plain {
                    self.words.insert(id.to_owned(), words.clone());
                }
            }
            Point::NotApplicable => self.not_applicable.push(id.to_owned()),
            Point::LeftOut(readings) => {
                self.left_out.insert(id.to_owned(), readings.clone());
            }
            _ => {}
        }
    }

    pub(super) fn of(flow: &Flow, known: Known, values: &Values) -> Self {
        let mut base = Self::default();
        for (id, value) in values.iter() {
            match value {
                Value::Number(estimate) => {
                    base.numbers.insert(id.to_owned(), estimate.value);
                }
                Value::Word(word) => {
                    base.words.insert(id.to_owned(), word.clone());
                }
                Value::NotApplicable => base.not_applicable.push(id.to_owned()),
                _ => {}
            }
        }
        let optional = flow.facts.iter().chain(&flow.readings);
        for prompt in optional.filter(|prompt| prompt.optional) {
            match known.answers.get(&prompt.id) {
                // What is not asked on this car is not left out.
                None if values.get(&prompt.id).is_none() => {
                    let itself = vec![prompt.id.clone()];
                    base.left_out.insert(prompt.id.clone(), itself);
                }
                Some(Answer::CouldNotTell(_)) => base.untold.push(prompt.id.clone()),
                _ => {}
            }
        }
        for prompt in &flow.readings {
            if let (PromptKind::Pairs(_), Some(Answer::Pairs(pairs))) =
                (&prompt.kind, known.answers.get(&prompt.id))
            {
                let rows = pairs.iter().map(|(a, b)| [a.si(), b.si()]).collect();
                base.pairs.insert(prompt.id.clone(), rows);
            }
        }
        base
    }
}

/// What came of each worked value.
pub(super) type Graph = BTreeMap<String, Point>;

#[derive(Clone, Debug)]
pub(super) enum Point {
    Number(f64, Vec<String>),
    /// A number that nothing bounds below, above, or either way.
    Bound(f64, (bool, bool), Vec<String>),
    /// Words, all results of their calculation, and its notes.
    Words(String, Worked),
    /// What rests on the interval of another result, and is judged once that is known.
    Judged(Box<Judged>),
    /// The calculation's inputs do not settle this result.
    Absent,
    NotApplicable,
    /// These readings may be left out, and were.
    LeftOut(Vec<String>),
    Missing(Vec<String>),
    Refused(String),
}

/// What a rule needs to judge by the interval of another result of the same calculation.
#[derive(Clone, Debug)]
pub(super) struct Judged {
    /// What it comes to without any interval.
    pub(super) plain: Result1,
    /// All results of the calculation, and its notes.
    pub(super) worked: Worked,
    /// What it was worked from.
    pub(super) given: Given,
}

impl Point {
    /// The number that one result of the calculation comes to here, and on which sides nothing bounds it: below,
    /// above. `take` is the result that the worked value is.
    pub(super) fn number(&self, take: usize, place: usize) -> Option<(f64, (bool, bool))> {
        let worked = match self {
            Self::Number(si, _) if take == place => return Some((*si, (false, false))),
            Self::Bound(si, open, _) if take == place => return Some((*si, *open)),
            Self::Words(_, worked) => worked,
            Self::Judged(judged) => &judged.worked,
            _ => return None,
        };
        let result = worked.results.get(place)?;
        Some((result.number()?, result.open()))
    }

    /// Of the result `take` of a calculation that could be worked.
    fn of(work: &Work, given: Given, worked: Worked) -> Self {
        let Some(answer) = worked.results.get(work.take).cloned() else {
            return Self::Absent;
        };
        if judged_number(work, &worked.results) {
            return Self::Judged(Box::new(Judged {
                plain: answer,
                worked,
                given,
            }));
        }
        match answer {
            Result1::Number(si) | Result1::Measured(si, _) => Self::Number(si, worked.notes),
            Result1::AtLeast(si) => Self::Bound(si, (false, true), worked.notes),
            Result1::AtMost(si) => Self::Bound(si, (true, false), worked.notes),
            Result1::Text(words) => Self::Words(words, worked),
            Result1::Absent => Self::Absent,
        }
    }
}

/// Evaluates the whole graph at one point. `checked` is for values as read; shifted ones were
/// never read by anybody, so a calculation does not refuse them.
pub(super) fn evaluate(flow: &Flow, base: &Base, shifts: &Shifts, checked: bool) -> Graph {
    if !checked {
        return evaluate_at(flow, base, shifts, checked);
    }
    // Only what was read is noted beside, in the flow's own units unless others are preferred.
    let units = flow
        .readings
        .iter()
        .filter_map(|prompt| match &prompt.kind {
            PromptKind::Quantity(asked) => Some(asked.unit),
            _ => None,
        });
    asked_in(units.collect(), || evaluate_at(flow, base, shifts, checked))
}

fn evaluate_at(flow: &Flow, base: &Base, shifts: &Shifts, checked: bool) -> Graph {
    let mut base = base.clone();
    let mut graph = Graph::new();
    let mut bounds = Vec::new();
    let mut runs: Vec<Option<Run>> = Vec::new();
    for (n, work) in flow.worked.iter().enumerate() {
        runs.push(None);
        let point = match given(work, &base, &graph) {
            Err(point) => point,
            Ok((given, left_out)) => {
                let same = worked_alike(&flow.worked[..n], work);
                let run = match same.and_then(|same| runs[same].clone()) {
                    Some(run) => run,
                    None if checked => work.calculation.work(&given, shifts),
                    None => (work.calculation.run)(&given, shifts),
                };
                if worked_alike(&flow.worked[n + 1..], work).is_some() {
                    runs[n] = Some(run.clone());
                }
                match run {
                    // Without what is not asked on this car, or was left out, there may be nothing to work.
                    Err(error) => left_out.unwrap_or_else(|| Point::Refused(error.to_string())),
                    Ok(worked) => match (Point::of(work, given, worked), left_out) {
                        (Point::Absent, Some(left @ Point::LeftOut(_))) => left,
                        (point, _) => point,
                    },
                }
            }
        };
        let point = match point {
            // What is made of a bound is bounded by nothing: which way it goes is not looked into.
            Point::Number(si, notes) if rests_on(work, &bounds) => {
                Point::Bound(si, (true, true), notes)
            }
            point => point,
        };
        if matches!(point, Point::Bound(..)) {
            bounds.push(work.id.clone());
        }
        base.take_in(&work.id, &point);
        graph.insert(work.id.clone(), point);
    }
    graph
}

/// What came of working a calculation.
type Run = Result<Worked, CalcError>;

/// Among these the last that works the same calculation from the same inputs: then both are results of one
/// run, which need not be made twice.
fn worked_alike(others: &[Work], work: &Work) -> Option<usize> {
    others.iter().rposition(|other| other.is_worked_as(work))
}

/// Whether an input of a worked value is one of these.
fn rests_on(work: &Work, ids: &[String]) -> bool {
    fn is(arg: &Arg, ids: &[String]) -> bool {
        match arg {
            Arg::Of(id) | Arg::PairsOf(id) => ids.contains(id),
            Arg::List(items) => items.iter().any(|item| is(item, ids)),
            Arg::Rows(rows) => rows.iter().flatten().flatten().any(|cell| is(cell, ids)),
            Arg::Constant(_) | Arg::Word(_) => false,
        }
    }
    !ids.is_empty() && work.inputs.iter().any(|(_, arg)| is(arg, ids))
}

/// Whether a worked value is judged by the interval of a number, and that number is there.
fn judged_number(work: &Work, results: &[Result1]) -> bool {
    let judge = work.calculation.outputs[work.take].judge;
    judge
        .and_then(|judge| work.calculation.output(judge.of))
        .and_then(|(of, _)| results.get(of)?.number())
        .is_some()
}
