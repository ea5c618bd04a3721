//! What the simulated car needs to know of a flow, worked out once for thousands of cars.

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::condition::{Check, Condition};
use crate::flow::meaning::{Meaning, Plain, State, What};
use crate::flow::model::{Arg, Flow, Limit, Phase, Prompt, PromptKind, Step, Work};
use crate::flow::signature::{Effect, Shown};
use crate::flow::target::Target;
use crate::units::Dimension;

/// A flow, made ready for simulated cars.
#[derive(Debug)]
pub struct Plan<'f> {
    /// The flow.
    pub flow: &'f Flow,
    /// The system under test.
    pub kind: &'static Kind,
    /// What each reading and fact is on the car.
    meanings: BTreeMap<&'f str, Meaning>,
    /// Everything that some step closes off: what is open before it does.
    pub(super) seals: Vec<&'f str>,
    /// Worked values that a signature describes.
    pub(super) described: Vec<Described<'f>>,
    /// By reading and cause: the word by which the flow's own outcomes lead to that cause's repair.
    names: BTreeMap<&'f str, BTreeMap<&'f str, &'f str>>,
    /// Names of valves that some cause says something about.
    pub(super) valves: BTreeSet<&'f str>,
    /// For each step, the flow with no more worked values than that step is judged by.
    pub(super) judged: BTreeMap<&'f str, Flow>,
    /// The least and the largest hole of the causes in the system under test, m.
    pub(super) holes: (f64, f64),
    /// What is asked for again and again for every car.
    often: Often<'f>,
}

/// What thousands of cars ask for, worked out once.
#[derive(Debug, Default)]
struct Often<'f> {
    /// The first fact or reading that is this as the steps have left it.
    plain: BTreeMap<Plain, &'f Prompt>,
    seen: Vec<&'f Prompt>,
    float_top: f64,
    limit: Option<&'f Limit>,
}

/// A worked value that a signature describes.
#[derive(Debug)]
pub(super) struct Described<'f> {
    pub(super) work: &'f Work,
    /// The readings that it rests on, in the order of its inputs.
    pub(super) readings: Vec<&'f str>,
    /// The flow with nothing but what this value rests on, so that it is quickly worked.
    pub(super) alone: Flow,
}

/// A kind of system, with what is usual in it. All of it is common practice or an assumption, no source.
#[derive(Debug, PartialEq)]
pub struct Kind {
    /// Its name in a flow.
    pub name: &'static str,
    /// Its volume where no reading or fact gives it, m3.
    pub volume: (f64, f64),
    /// What always passes some on a sound car, as the diameter of a hole, m.
    pub natural: (f64, f64),
    /// Diameter of an opening that a step forgot to close, m.
    pub open: f64,
    /// Flow from which a technician sees where it leaves, m3/s: smoke, soap or drops.
    pub seen_from: f64,
    /// It holds a liquid, which leaves a hole far more slowly than gas.
    pub liquid: bool,
}

const LITRE: f64 = 1e-3;
const MM: f64 = 1e-3;
const LITRE_A_MINUTE: f64 = 1e-3 / 60.0;

const fn kind(
    name: &'static str,
    litres: (f64, f64),
    natural_mm: (f64, f64),
    open_mm: f64,
) -> Kind {
    Kind {
        name,
        volume: (litres.0 * LITRE, litres.1 * LITRE),
        natural: (natural_mm.0 * MM, natural_mm.1 * MM),
        open: open_mm * MM,
        seen_from: 0.08 * LITRE_A_MINUTE,
        liquid: false,
    }
}

static KINDS: [Kind; 9] = [
    kind("intake", (4.0, 9.0), (0.8, 2.5), 50.0),
    kind("fuel vapour", (25.0, 60.0), (0.0, 0.12), 8.0),
    kind("exhaust", (25.0, 50.0), (1.0, 3.0), 40.0),
    Kind {
        seen_from: 0.01 * LITRE_A_MINUTE,
        ..kind("charge air", (5.0, 15.0), (0.0, 0.2), 50.0)
    },
    kind("crankcase", (6.0, 12.0), (1.0, 3.0), 15.0),
    Kind {
        seen_from: 0.0,
        liquid: true,
        ..kind("cooling", (0.6, 1.4), (0.0, 0.04), 20.0)
    },
    kind("smoke unit", (0.2, 0.4), (0.0, 0.05), 8.0),
    kind("cabin", (2500.0, 4000.0), (0.0, 0.0), 60.0),
    kind("", (2.0, 10.0), (0.0, 0.1), 20.0),
];

impl Kind {
    /// The kind of a system by its name; a plain closed space where the name is not known here.
    pub fn named(name: &str) -> &'static Self {
        let last = KINDS.len() - 1;
        KINDS[..last]
            .iter()
            .find(|kind| kind.name == name)
            .unwrap_or(&KINDS[last])
    }
}

impl<'f> Plan<'f> {
    /// Makes a flow ready.
    pub fn of(flow: &'f Flow) -> Self {
        let prompts = || flow.facts.iter().chain(&flow.readings);
        let meanings = prompts()
            .filter_map(|prompt| Some((prompt.id.as_str(), prompt.meaning()?)))
            .collect();
        let mut seals = Vec::new();
        for step in &flow.steps {
            for name in step.set_up.iter().flat_map(|s| &s.seal) {
                if !seals.contains(&name.as_str()) {
                    seals.push(name.as_str());
                }
            }
        }
        let mut plan = Self {
            flow,
            kind: Kind::named(&flow.system),
            meanings,
            seals,
            described: described(flow),
            names: names(flow),
            valves: valves(flow),
            judged: judged(flow),
            holes: holes(flow),
            often: Often::default(),
        };
        plan.often = plan.often();
        plan
    }

    fn often(&self) -> Often<'f> {
        let mut plain = BTreeMap::new();
        let mut seen = Vec::new();
        for prompt in self.flow.facts.iter().chain(&self.flow.readings) {
            if let Some(Meaning {
                what: What::Plain(what),
                state: State::AsItStands,
            }) = self.meaning(&prompt.id)
            {
                plain.entry(*what).or_insert(prompt);
                if *what == Plain::SmokeSeen {
                    seen.push(prompt);
                }
            }
        }
        Often {
            plain,
            seen,
            float_top: self.top_of_the_float(),
            limit: self.limit_of_the_supply(),
        }
    }

    /// Whether a sound car shows this word for a reading, by the flow's own words.
    pub fn shows_on_sound_car(&self, reading: &str, word: &str) -> bool {
        match shown(&self.flow.healthy, reading) {
            Some(Shown::Words(stated)) => stated.iter().any(|(other, _)| other == word),
            _ => false,
        }
    }

    /// Everything that some step closes off, in the order of the flow.
    pub fn openings(&self) -> &[&'f str] {
        &self.seals
    }

    /// What a reading or fact is on the car.
    pub fn meaning(&self, id: &str) -> Option<&Meaning> {
        self.meanings.get(id)
    }

    /// The readings and facts that are this in this state.
    pub(super) fn with(&self, plain: Plain, state: &State) -> Vec<&'f Prompt> {
        let wanted = Meaning {
            what: What::Plain(plain),
            state: state.clone(),
        };
        let prompts = self.flow.facts.iter().chain(&self.flow.readings);
        prompts
            .filter(|prompt| self.meanings.get(prompt.id.as_str()) == Some(&wanted))
            .collect()
    }

    /// The fact or reading that is this, as the steps have left it.
    pub(super) fn plain(&self, plain: Plain) -> Option<&'f Prompt> {
        self.often.plain.get(&plain).copied()
    }

    /// The fact that says how a sound valve stands without power.
    pub(super) fn rest_of(&self, valve: &str) -> Option<&'f Prompt> {
        let is = |prompt: &&Prompt| matches!(self.meaning(&prompt.id).map(|m| &m.what), Some(What::Rest(name)) if name == valve);
        self.flow.facts.iter().find(is)
    }

    /// The word of a reading by which the flow's own outcomes lead to a cause's repair.
    pub(super) fn name(&self, reading: &str, cause: &str) -> Option<&'f str> {
        self.names.get(reading)?.get(cause).copied()
    }

    /// The readings that show where smoke, bubbles or drops come out.
    pub(super) fn seen(&self) -> impl Iterator<Item = &'f Prompt> {
        self.often.seen.iter().copied()
    }

    /// Whether an effect's place lies in the system under test.
    pub(super) fn tests(&self, place: &str) -> bool {
        let system = self.flow.system.as_str();
        place == system
            || place
                .strip_prefix(system)
                .is_some_and(|rest| rest.starts_with(' '))
    }

    /// The top of the float's scale: the largest that any reading of it takes, m3/s.
    pub(super) fn float_top(&self) -> f64 {
        self.often.float_top
    }

    fn top_of_the_float(&self) -> f64 {
        let flows = self.flow.readings.iter().filter(|prompt| {
            matches!(
                self.meaning(&prompt.id),
                Some(Meaning {
                    what: What::Plain(Plain::SmokeFlow),
                    ..
                })
            )
        });
        let tops = flows.filter_map(|prompt| match &prompt.kind {
            PromptKind::Quantity(q) => q.plausible.map(|(_, top)| top.si()),
            _ => None,
        });
        let top = tops.fold(0.0, f64::max);
        match (top > 0.0, self.kind.name) {
            (true, _) => top,
            // Workshop air behind a regulator; a hand pump, or whatever it is, gives far less.
            (false, "charge air") => 800.0 * LITRE_A_MINUTE,
            (false, _) => 60.0 * LITRE_A_MINUTE,
        }
    }

    /// Pressures that are read on a gauge at steps under pressure, in the order of the steps, where nothing says what
    /// they are: such a gauge stands on the line of the supply.
    pub(super) fn gauges_on_supply(&self) -> impl Iterator<Item = (&'f Step, &'f Prompt)> + '_ {
        let steps = self.flow.steps.iter();
        let under = steps.filter(|step| step.phase == Phase::Pressurise);
        let read = under.flat_map(|step| step.record.iter().map(move |id| (step, id)));
        read.filter_map(|(step, id)| Some((step, self.flow.reading(id)?)))
            .filter(|(_, prompt)| self.meaning(&prompt.id).is_none())
            .filter(|(_, prompt)| {
                matches!(&prompt.kind, PromptKind::Quantity(asked)
                    if asked.gauge.is_some() && asked.unit.dimension() == Dimension::Pressure)
            })
    }

    /// Whether a worked value that a signature describes rests on both of these readings.
    pub(super) fn are_described_together(&self, one: &str, other: &str) -> bool {
        let mut described = self.described.iter();
        one != other
            && described.any(|of| of.readings.contains(&one) && of.readings.contains(&other))
    }

    /// What the pressure of the supply may never exceed.
    pub(super) fn limit(&self) -> Option<&'f Limit> {
        self.often.limit
    }

    fn limit_of_the_supply(&self) -> Option<&'f Limit> {
        let of_the_supply = |prompt: &&Prompt| {
            matches!(
                self.meaning(&prompt.id).map(|m| &m.what),
                Some(What::Plain(
                    Plain::SmokePressure
                        | Plain::SupplyPressure
                        | Plain::HoldStart
                        | Plain::VacuumStart
                ))
            )
        };
        let limit = |prompt: &'f Prompt| match &prompt.kind {
            PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Pressure => {
                q.never_above.as_ref()
            }
            _ => None,
        };
        let mut prompts = self.flow.readings.iter().filter(of_the_supply);
        // Where no reading says that it is the supply's, a gauge that is read under pressure has its limit.
        let steps = self.flow.steps.iter();
        let under = steps.filter(|step| step.phase == Phase::Pressurise);
        let mut read = under.flat_map(|step| &step.record);
        prompts
            .find_map(limit)
            .or_else(|| read.find_map(|id| limit(self.flow.reading(id)?)))
    }
}

/// The readings that a worked value rests on, in the order of its inputs.
pub(super) fn rests_on<'f>(flow: &'f Flow, work: &'f Work, into: &mut Vec<&'f str>) {
    for (_, arg) in &work.inputs {
        of_arg(flow, arg, into);
    }
}

fn of_arg<'f>(flow: &'f Flow, arg: &'f Arg, into: &mut Vec<&'f str>) {
    match arg {
        Arg::Constant(_) | Arg::Word(_) => {}
        Arg::Of(id) | Arg::PairsOf(id) => match flow.work(id) {
            Some(work) => rests_on(flow, work, into),
            None if !into.contains(&id.as_str()) => into.push(id),
            None => {}
        },
        Arg::List(items) => items.iter().for_each(|item| of_arg(flow, item, into)),
        Arg::Rows(rows) => rows
            .iter()
            .flatten()
            .flatten()
            .for_each(|item| of_arg(flow, item, into)),
    }
}

fn described(flow: &Flow) -> Vec<Described<'_>> {
    let shown: BTreeSet<&str> = flow
        .healthy
        .iter()
        .chain(flow.causes.iter().flat_map(|cause| &cause.shows))
        .map(|shows| shows.id.as_str())
        .collect();
    flow.worked
        .iter()
        .filter(|work| shown.contains(work.id.as_str()))
        .map(|work| {
            let mut readings = Vec::new();
            rests_on(flow, work, &mut readings);
            Described {
                work,
                alone: alone(flow, work, &readings),
                readings,
            }
        })
        .collect()
}

/// The flow with nothing but what a worked value rests on.
fn alone(flow: &Flow, work: &Work, readings: &[&str]) -> Flow {
    let mut alone = without_other_values(flow, BTreeSet::from([work.id.as_str()]));
    alone
        .readings
        .retain(|prompt| readings.contains(&prompt.id.as_str()));
    alone
        .facts
        .retain(|prompt| readings.contains(&prompt.id.as_str()));
    for prompt in alone.readings.iter_mut().chain(&mut alone.facts) {
        prompt.only_if = None;
    }
    alone
}

/// The flow's prompts and gauges, with no worked values but these and those that they rest on: quickly worked.
pub fn without_other_values<'f>(flow: &'f Flow, mut needed: BTreeSet<&'f str>) -> Flow {
    // Worked values stand in an order in which each needs only those before it.
    for other in flow.worked.iter().rev() {
        if needed.contains(other.id.as_str()) {
            let mut direct = Vec::new();
            for (_, arg) in &other.inputs {
                direct_ids(arg, &mut direct);
            }
            needed.extend(direct);
        }
    }
    let worked = flow.worked.iter();
    Flow {
        worked: worked
            .filter(|work| needed.contains(work.id.as_str()))
            .cloned()
            .collect(),
        steps: Vec::new(),
        causes: Vec::new(),
        healthy: Vec::new(),
        ..flow.clone()
    }
}

/// For each step, the flow with no more worked values than that step is judged by.
fn judged(flow: &Flow) -> BTreeMap<&str, Flow> {
    flow.steps
        .iter()
        .map(|step| {
            let conditions = step.outcomes.iter().map(|outcome| &outcome.when);
            let subjects = conditions
                .chain(&step.valid_when)
                .flat_map(Condition::subjects);
            (
                step.id.as_str(),
                without_other_values(flow, subjects.collect()),
            )
        })
        .collect()
}

fn direct_ids<'a>(arg: &'a Arg, into: &mut Vec<&'a str>) {
    match arg {
        Arg::Of(id) | Arg::PairsOf(id) => into.push(id),
        Arg::List(items) => items.iter().for_each(|item| direct_ids(item, into)),
        Arg::Rows(rows) => rows
            .iter()
            .flatten()
            .flatten()
            .for_each(|item| direct_ids(item, into)),
        Arg::Constant(_) | Arg::Word(_) => {}
    }
}

fn names(flow: &Flow) -> BTreeMap<&str, BTreeMap<&str, &str>> {
    let mut names: BTreeMap<&str, BTreeMap<&str, &str>> = BTreeMap::new();
    for outcome in flow.steps.iter().flat_map(|step| &step.outcomes) {
        let Target::Repair(cause) = &outcome.go else {
            continue;
        };
        let mut checks = Vec::new();
        together(&outcome.when, &mut checks);
        for (reading, check) in checks {
            let word = match check {
                Check::Is(word) => Some(word),
                Check::AnyOf(words) => words.first(),
                _ => None,
            };
            if let Some(word) = word {
                names
                    .entry(reading)
                    .or_default()
                    .entry(cause)
                    .or_insert(word);
            }
        }
    }
    names
}

/// The checks that must all hold.
pub(super) fn together<'c>(condition: &'c Condition, into: &mut Vec<(&'c str, &'c Check)>) {
    match condition {
        Condition::All(parts) => parts.iter().for_each(|part| together(part, into)),
        Condition::Test { subject, check } => into.push((subject, check)),
        Condition::Any(_) | Condition::None(_) | Condition::Always => {}
    }
}

fn valves(flow: &Flow) -> BTreeSet<&str> {
    let effects = flow.causes.iter().flat_map(|cause| &cause.effects);
    effects
        .filter_map(|effect| match effect {
            Effect::Valve { name, .. } => Some(name.as_str()),
            _ => None,
        })
        .collect()
}

fn holes(flow: &Flow) -> (f64, f64) {
    let effects = flow.causes.iter().flat_map(|cause| &cause.effects);
    let ranges = effects.filter_map(|effect| match effect {
        Effect::Hole { range, place } if place.starts_with(&flow.system) => {
            Some((range.0.si(), range.1.si()))
        }
        _ => None,
    });
    ranges
        .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        .unwrap_or((2.0 * MM, 8.0 * MM))
}

/// The signature of a reading or worked value among some.
pub(super) fn shown<'s>(shows: &'s [crate::flow::signature::Shows], id: &str) -> Option<&'s Shown> {
    shows.iter().find(|s| s.id == id).map(|s| &s.what)
}
