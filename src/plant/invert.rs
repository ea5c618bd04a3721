//! Readings that make a worked value come out as a signature says.
//!
//! A cause may say `purge-verdict: {no command: very likely}` or `compression-share: 20..70 %`: what is worked, not
//! what is read. So the readings that it rests on are looked for: choices by trying all of them, a number by
//! halving between two that lie on either side.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind};
use crate::flow::values::Value;
use crate::flow::working::{Known, plain_values};
use crate::units::Quantity;

use super::dice::Dice;
use super::plan::Described;
use super::signature::Drawn;

/// So many combinations of choices are tried.
const MOST: usize = 4096;
/// So many numbers are tried before halving.
const GRID: u32 = 40;

/// Answers of the free readings with which the worked value comes out as drawn; `None` where none do.
pub(super) fn readings(
    of: &Described,
    free: &[&Prompt],
    known: &BTreeMap<String, Answer>,
    target: &Drawn,
    dice: &mut Dice,
) -> Option<BTreeMap<String, Answer>> {
    let mut search = Search {
        of,
        answers: known.clone(),
    };
    match target {
        Drawn::Number(goal) => search.number(free, *goal),
        Drawn::Word(word) => search.word(free, word, dice),
    }
}

struct Search<'s, 'f> {
    of: &'s Described<'f>,
    answers: BTreeMap<String, Answer>,
}

impl Search<'_, '_> {
    fn worked(&self) -> Option<Value> {
        let known = Known {
            answers: &self.answers,
            test_number: 1,
        };
        let values = plain_values(&self.of.alone, known);
        values.get(&self.of.work.id).cloned()
    }

    fn at(&mut self, prompt: &Prompt, si: f64) -> Option<f64> {
        let PromptKind::Quantity(asked) = &prompt.kind else {
            return None;
        };
        let quantity = Quantity::new(asked.unit.from_si(si), asked.unit).ok()?;
        self.answers
            .insert(prompt.id.clone(), Answer::Quantity(quantity));
        match self.worked()? {
            Value::Number(estimate) => Some(estimate.value),
            _ => None,
        }
    }

    fn number(&mut self, free: &[&Prompt], goal: f64) -> Option<BTreeMap<String, Answer>> {
        let prompt = *free
            .iter()
            .find(|prompt| matches!(prompt.kind, PromptKind::Quantity(_)))?;
        let grid = grid(prompt);
        let off: Vec<(f64, f64)> = grid
            .iter()
            .filter_map(|si| Some((*si, self.at(prompt, *si)? - goal)))
            .collect();
        let crossing = off
            .windows(2)
            .find(|pair| (pair[0].1 <= 0.0) != (pair[1].1 <= 0.0));
        let mut best = *off.iter().min_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        if let Some(pair) = crossing {
            let (mut low, mut high) = (pair[0], pair[1]);
            for _ in 0..40 {
                let middle = f64::midpoint(low.0, high.0);
                let Some(value) = self.at(prompt, middle) else {
                    break;
                };
                let here = (middle, value - goal);
                if (here.1 <= 0.0) == (low.1 <= 0.0) {
                    low = here;
                } else {
                    high = here;
                }
            }
            best = low;
        }
        self.at(prompt, best.0)?;
        Some(BTreeMap::from([(
            prompt.id.clone(),
            self.answers[&prompt.id].clone(),
        )]))
    }

    fn word(
        &mut self,
        free: &[&Prompt],
        word: &str,
        dice: &mut Dice,
    ) -> Option<BTreeMap<String, Answer>> {
        let mut ways: Vec<BTreeMap<String, Answer>> = vec![BTreeMap::new()];
        for prompt in free {
            let options = options(prompt);
            if options.is_empty() || ways.len() * options.len() > MOST {
                continue;
            }
            let mut more = Vec::new();
            for way in &ways {
                for option in &options {
                    let mut way = way.clone();
                    way.insert(prompt.id.clone(), option.clone());
                    more.push(way);
                }
            }
            ways = more;
        }
        let before = self.answers.clone();
        ways.retain(|way| {
            self.answers.clone_from(&before);
            self.answers.extend(way.clone());
            self.worked() == Some(Value::Word(word.to_owned()))
        });
        let count = ways.len();
        (count > 0).then(|| ways.swap_remove(dice.one_of(count)))
    }
}

fn options(prompt: &Prompt) -> Vec<Answer> {
    match &prompt.kind {
        PromptKind::Choice(words) => words.iter().cloned().map(Answer::Choice).collect(),
        PromptKind::Quantity(asked) => grid(prompt)
            .into_iter()
            .filter_map(|si| Quantity::new(asked.unit.from_si(si), asked.unit).ok())
            .map(Answer::Quantity)
            .collect(),
        _ => Vec::new(),
    }
}

/// Numbers over what is plausible: dense where a scale begins, since a winding's range goes over five decades.
fn grid(prompt: &Prompt) -> Vec<f64> {
    let PromptKind::Quantity(asked) = &prompt.kind else {
        return Vec::new();
    };
    let Some((low, high)) = asked.plausible.map(|(a, b)| (a.si(), b.si())) else {
        return Vec::new();
    };
    let wide = asked
        .plausible
        .is_some_and(|(a, b)| b.value() > 1e4 && a.value() >= 0.0);
    let (points, power) = if wide { (6 * GRID, 6) } else { (GRID, 1) };
    (0..=points)
        .map(|n| (f64::from(n) / f64::from(points)).powi(power))
        .map(|share| low + (high - low) * share)
        .collect()
}
