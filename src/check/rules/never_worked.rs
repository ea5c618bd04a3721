//! Every worked value can be worked.
//!
//! A calculation refuses values that cannot be worked, and says why. Where it refuses every car alike
//! the flow is at fault: an input is missing, two are given of which only one may be, a constant lies
//! outside its range. So each is tried with readings drawn from their plausible ranges, first in
//! orders that calculations ask for (all rising, some falling), then at random.
//!
//! A reading without a plausible range can be anything, and points are only right in an order that no
//! draw may hit: what is said of those is left alone. A wrong finding is worse than none.

use std::collections::BTreeMap;

use super::outcomes::realise::{Draw, answers};
use crate::engine::judge::arg_rests_on;
use crate::flow::finding::{Finding, code};
use crate::flow::model::{Flow, Prompt, PromptKind, QuantityPrompt, Work};
use crate::flow::values::{Value, Values};
use crate::flow::working::{Inputs, Known, inputs_of};
use crate::physics::calculation::{Answer, CalcError, Kind, OutputKind, Shifts};
use crate::physics::given::{GIVE_IT, Given};
use crate::physics::uncertainty::Estimate;
use crate::units::Dimension;

/// Cars that are tried in an order: low, middle, high, and each kind of reading rising or falling.
const ORDERED: u32 = 11;
/// Cars that are tried in all.
const TRIES: u32 = 240;
/// A reason that is not the only one counts from so many times on.
const OFTEN: usize = 8;

pub fn check(flow: &Flow) -> Vec<Finding> {
    let mut open: BTreeMap<&str, Tried> = BTreeMap::new();
    for work in &flow.worked {
        open.insert(&work.id, Tried::default());
    }
    let mut draw = Draw::new();
    for n in 0..TRIES {
        if n == 2 * ORDERED {
            // It rests on words or on what is itself never worked: nothing can be said of it.
            open.retain(|_, tried| tried.is_tried());
        }
        if open.is_empty() {
            break;
        }
        let answers = answers(flow, &car(flow, n, &mut draw), &mut draw);
        let known = Known {
            answers: &answers,
            test_number: 1,
        };
        for inputs in inputs_of(flow, known) {
            let id = inputs.work.id.as_str();
            if open.get_mut(id).is_some_and(|tried| tried.works(inputs)) {
                open.remove(id);
            }
        }
    }
    let mut found: Vec<(&Work, Finding)> = Vec::new();
    for work in &flow.worked {
        let never = open.get(work.id.as_str());
        let Some(finding) = never.and_then(|tried| tried.finding(flow, work)) else {
            continue;
        };
        // Several results of one calculation, written once and named again, lack the same thing.
        let same = |(other, said): &(&Work, Finding)| {
            other.is_worked_as(work) && said.help == finding.help
        };
        if !found.iter().any(same) {
            found.push((work, finding));
        }
    }
    found.into_iter().map(|(_, finding)| finding).collect()
}

/// What came of a worked value that was not worked yet.
#[derive(Default)]
struct Tried {
    /// Why it was refused, how often.
    refused: Vec<(CalcError, usize)>,
    /// It was worked, and this result was not told: what was given.
    untold: Option<Given>,
}

impl Tried {
    fn is_tried(&self) -> bool {
        self.untold.is_some() || !self.refused.is_empty()
    }

    /// Whether it is worked from these; notes why not.
    fn works(&mut self, inputs: Inputs) -> bool {
        let Inputs {
            work,
            given,
            left_out,
        } = inputs;
        match work.calculation.work(&given, &Shifts::none()) {
            Ok(worked) if !matches!(worked.results.get(work.take), None | Some(Answer::Absent)) => {
                return true;
            }
            // A number that is judged by an interval is told once there is one; a verdict is told without.
            Ok(_) if waits_for_an_interval(work) => return true,
            // Without what is not asked on this car there may be nothing to work.
            _ if left_out => {}
            Ok(_) => self.untold = Some(given),
            Err(error) => {
                let same = |(known, _): &&mut (CalcError, usize)| {
                    known.input == error.input && known.remedy == error.remedy
                };
                match self.refused.iter_mut().find(same) {
                    Some((_, times)) => *times += 1,
                    None => self.refused.push((error, 1)),
                }
            }
        }
        false
    }

    fn finding(&self, flow: &Flow, work: &Work) -> Option<Finding> {
        if let Some(given) = &self.untold {
            return Some(untold(work, given));
        }
        let by_the_flow = |error: &CalcError| !is_read(flow, work, &error.input);
        let error = match self.refused.as_slice() {
            [(error, _)] if by_the_flow(error) || is_bounded(flow, work, &error.input) => error,
            several => {
                let often = several
                    .iter()
                    .filter(|(error, times)| *times >= OFTEN && by_the_flow(error));
                &often.max_by_key(|(_, times)| *times)?.0
            }
        };
        Some(refused(flow, work, error))
    }
}

fn waits_for_an_interval(work: &Work) -> bool {
    let output = &work.calculation.outputs[work.take];
    output.judge.is_some() && output.kind != OutputKind::Text
}

fn refused(flow: &Flow, work: &Work, error: &CalcError) -> Finding {
    let (id, input, remedy) = (&work.id, &error.input, &error.remedy);
    let message = match error.problem.as_str() {
        "missing" => format!(
            "`{id}` can never be worked: `{}` lacks `{input}`",
            work.calculation.name
        ),
        problem => format!("`{id}` can never be worked, whatever is read: `{input}`: {problem}"),
    };
    let declared = work.calculation.input(input);
    let help = match declared.filter(|_| remedy == GIVE_IT) {
        Some(declared) => format!("add {input}: with {}", declared.help),
        // Of one number it may be the range, of two ways at once it is not.
        None if is_read(flow, work, input)
            && declared.is_some_and(|declared| matches!(declared.kind, Kind::Quantity(_)))
            && !error.problem.starts_with("given together") =>
        {
            format!("{remedy}; or mend the plausible range of what is read for it")
        }
        None => remedy.clone(),
    };
    Finding::error(code::NEVER_WORKED, work.written.input(input), message, help)
}

/// The result that is taken is never told by what is given.
fn untold(work: &Work, given: &Given) -> Finding {
    let calculation = work.calculation;
    let results = calculation.work(given, &Shifts::none());
    let results = results.map(|worked| worked.results).unwrap_or_default();
    let told = calculation.outputs.iter().zip(&results);
    let told = told.filter(|(output, answer)| {
        let free = output.kind == OutputKind::Text && output.words.is_empty();
        **answer != Answer::Absent && !free
    });
    let told: Vec<&str> = told.map(|(output, _)| output.id).collect();
    let left = calculation.inputs.iter();
    let left = left.filter(|input| input.default.is_none() && given.get(input.name).is_none());
    let left: Vec<&str> = left.map(|input| input.name).collect();
    let more =
        (!left.is_empty()).then(|| format!("add what it needs, out of: {}", left.join(", ")));
    let other = (!told.is_empty()).then(|| format!("write take: with one of: {}", told.join(", ")));
    let help: Vec<String> = more.into_iter().chain(other).collect();
    Finding::error(
        code::NEVER_WORKED,
        work.written.take.unwrap_or(work.written.calculation),
        format!(
            "`{}` is never told: these inputs of `{}` do not settle `{}`",
            work.id, calculation.name, calculation.outputs[work.take].id
        ),
        help.join("; or "),
    )
}

/// The prompts that an input rests on.
fn read_for<'f>(flow: &'f Flow, work: &Work, input: &str) -> impl Iterator<Item = &'f Prompt> {
    let arg = work.inputs.iter().find(|(name, _)| *name == input);
    let prompts = flow.facts.iter().chain(&flow.readings);
    prompts.filter(move |prompt| arg.is_some_and(|(_, arg)| arg_rests_on(flow, arg, &prompt.id)))
}

fn is_read(flow: &Flow, work: &Work, input: &str) -> bool {
    read_for(flow, work, input).next().is_some()
}

/// Whether all that an input rests on was drawn from the range that the flow gives it.
fn is_bounded(flow: &Flow, work: &Work, input: &str) -> bool {
    let bounded = |prompt: &Prompt| match &prompt.kind {
        PromptKind::Quantity(q) => q.plausible.is_some(),
        PromptKind::Choice(_) => true,
        PromptKind::Places(_) | PromptKind::Pairs(_) | PromptKind::Text => false,
    };
    read_for(flow, work, input).all(bounded)
}

/// The numbers of one car, and what may be left out on it.
fn car(flow: &Flow, n: u32, draw: &mut Draw) -> Values {
    let mut values = Values::default();
    let mut kinds: Vec<Dimension> = Vec::new();
    let prompts: Vec<&Prompt> = flow.facts.iter().chain(&flow.readings).collect();
    for (place, prompt) in prompts.iter().enumerate() {
        if prompt.optional && n >= ORDERED && draw.next() < 0.5 {
            values.set(&prompt.id, Value::NotApplicable);
            continue;
        }
        let PromptKind::Quantity(q) = &prompt.kind else {
            continue;
        };
        let dimension = q.unit.dimension();
        let kind = kinds.iter().position(|known| *known == dimension);
        let kind = kind.unwrap_or_else(|| {
            kinds.push(dimension);
            kinds.len() - 1
        });
        let along = (place + 1) as f64 / (prompts.len() + 1) as f64;
        let share = match n {
            0 => 0.5,
            1 => 0.0,
            2 => 1.0,
            n if n >= ORDERED => draw.next(),
            n if (n - 3) >> (kind % 3) & 1 == 1 => 1.0 - along,
            _ => along,
        };
        values.set(&prompt.id, Value::Number(Estimate::exact(at(q, share, n))));
    }
    values
}

/// A reading so far along its range; where it has none, some power of ten.
fn at(q: &QuantityPrompt, share: f64, n: u32) -> f64 {
    let si = if let Some((from, to)) = q.plausible {
        from.si() + (to.si() - from.si()) * share
    } else {
        let sign = if n % 8 == 7 { -1.0 } else { 1.0 };
        q.unit.to_si(sign * 10.0_f64.powf(7.0 * share - 2.0))
    };
    if q.unit.dimension() == Dimension::Count {
        si.round()
    } else {
        si
    }
}
