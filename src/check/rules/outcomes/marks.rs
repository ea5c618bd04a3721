//! What a step's conditions look at, and the part of the flow that bears on it.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::rules::way::known::Known;
use crate::engine::judge::rests_on;
use crate::flow::condition::{Check, Condition};
use crate::flow::model::{Flow, Step};
use crate::flow::values::TEST_NUMBER;

/// What is known of one subject.
#[derive(Default)]
pub struct Marks {
    /// The limits that it is compared with, in SI units.
    pub limits: Vec<f64>,
    /// The words that it is compared with, each with the checks (by number) in which it stands.
    pub words: BTreeMap<String, BTreeSet<usize>>,
    checks: usize,
}

impl Marks {
    fn take(&mut self, check: &Check) {
        self.checks += 1;
        match check {
            Check::AtLeast(q) | Check::Above(q) | Check::AtMost(q) | Check::Below(q) => {
                self.limits.push(q.si());
            }
            Check::Between(a, b) => self.limits.extend([a.si(), b.si()]),
            Check::Is(word) => self.word(word),
            Check::AnyOf(words) | Check::NoneOf(words) => {
                for word in words {
                    self.word(word);
                }
            }
        }
    }

    fn word(&mut self, word: &str) {
        let checks = self.words.entry(word.to_owned()).or_default();
        checks.insert(self.checks);
    }
}

/// Marks by the id of what is looked at.
pub type Looked = BTreeMap<String, Marks>;

/// What the outcomes and the validity of a step look at.
pub fn of_step(step: &Step) -> Looked {
    let mut looked = Looked::new();
    // Readings under which a step is not valid are not asked for an outcome.
    for condition in step
        .outcomes
        .iter()
        .map(|o| &o.when)
        .chain(&step.valid_when)
    {
        gather(condition, &mut looked);
    }
    looked
}

fn gather(condition: &Condition, out: &mut Looked) {
    match condition {
        Condition::Always => {}
        Condition::All(parts) | Condition::Any(parts) | Condition::None(parts) => {
            for part in parts {
                gather(part, out);
            }
        }
        Condition::Test { subject, check } => out.entry(subject.clone()).or_default().take(check),
    }
}

/// The flow without worked values and readings that have no bearing on what the step looks at:
/// they would only cost time when readings are searched for.
pub fn slim(flow: &Flow, step: &Step, looked: &Looked) -> Flow {
    let mut slim = flow.clone();
    slim.worked
        .retain(|work| looked.keys().any(|id| rests_on(flow, id, &work.id)));
    let kept = slim.worked.clone();
    let decides = |id: &str| {
        let prompts = flow.facts.iter().chain(&flow.readings);
        prompts
            .filter_map(|p| p.only_if.as_ref())
            .any(|c| c.subjects().contains(&id))
    };
    slim.readings.retain(|reading| {
        looked.contains_key(&reading.id)
            || step.record.contains(&reading.id)
            || decides(&reading.id)
            || kept
                .iter()
                .any(|work| rests_on(flow, &work.id, &reading.id))
    });
    slim
}

/// Adds the facts and readings that decide whether something is asked at all, and the readings that
/// may be left out and thereby take a worked value with them.
pub fn add_what_decides_asking(flow: &Flow, looked: &mut Looked) {
    loop {
        let before = looked.len();
        let ids: Vec<String> = looked.keys().cloned().collect();
        for prompt in flow.facts.iter().chain(&flow.readings) {
            let works = ids
                .iter()
                .any(|id| *id != prompt.id && rests_on(flow, id, &prompt.id));
            if works && prompt.optional {
                looked.entry(prompt.id.clone()).or_default();
            }
            let concerned = works || ids.contains(&prompt.id);
            if let Some(condition) = prompt.only_if.as_ref().filter(|_| concerned) {
                gather(condition, looked);
            }
        }
        if looked.len() == before {
            return;
        }
    }
}

/// Adds the ends of what is known of the values on the ways here, so that no cell lies on both sides of
/// one. Given back are the readings that are looked at only since worked values rest on them.
pub fn add_ends(flow: &Flow, known: &[Known], looked: &mut Looked) -> BTreeSet<String> {
    let mut bounded = BTreeSet::new();
    let ends = known.iter().flat_map(Known::iter);
    for (id, ends) in ends.filter_map(|(id, bound)| Some((id, bound.ends()?))) {
        let works =
            flow.reading(id).is_some() && looked.keys().any(|other| rests_on(flow, other, id));
        if !looked.contains_key(id) && works {
            bounded.insert(id.to_owned());
        }
        if works || looked.contains_key(id) {
            let marks = looked.entry(id.to_owned()).or_default();
            marks
                .limits
                .extend(ends.into_iter().filter(|end| end.is_finite()));
        }
    }
    bounded
}

/// Facts before readings before worked values, each in the order of the file: what decides about
/// others comes before them.
pub fn in_order(flow: &Flow, mut looked: Looked) -> Vec<(String, Marks)> {
    let ids = std::iter::once(TEST_NUMBER)
        .chain(flow.facts.iter().map(|p| p.id.as_str()))
        .chain(flow.readings.iter().map(|p| p.id.as_str()))
        .chain(flow.worked.iter().map(|w| w.id.as_str()));
    ids.filter_map(|id| looked.remove_entry(id)).collect()
}
