//! What is known of the values at a place of the walk, by the conditions that were met on the way.
//!
//! Everything here says at most as much as is so: where a condition cannot be put into one range or
//! one set of words a value, it narrows nothing.

use std::collections::{BTreeMap, BTreeSet};

use crate::engine::judge::rests_on;
use crate::flow::condition::{Check, Condition, NOWHERE};
use crate::flow::model::{Flow, PromptKind};
use crate::flow::values::{TEST_NUMBER, Value};

/// One end of a range in SI units, and whether the end itself belongs to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// Where it lies.
    pub at: f64,
    /// Whether it counts itself.
    pub counts: bool,
}

impl End {
    const fn open(at: f64) -> Self {
        Self { at, counts: false }
    }

    const fn closed(at: f64) -> Self {
        Self { at, counts: true }
    }
}

/// What a value can still be.
#[derive(Clone, Debug, PartialEq)]
pub enum Bound {
    /// A number between two ends.
    Number(End, End),
    /// One of these words.
    Words(BTreeSet<String>),
    /// Something shows at all of the first, at none of the second; whether nothing shows at all.
    Places(BTreeSet<String>, BTreeSet<String>, Option<bool>),
    /// It may be left out, and was.
    LeftOut,
}

impl Bound {
    /// This number alone.
    pub fn only(si: f64) -> Self {
        Self::Number(End::closed(si), End::closed(si))
    }

    /// A number from one to another, both included.
    pub fn between(low: f64, high: f64) -> Self {
        Self::Number(End::closed(low), End::closed(high))
    }

    /// The ends of a number's range.
    pub fn ends(&self) -> Option<[f64; 2]> {
        match self {
            Self::Number(low, high) => Some([low.at, high.at]),
            _ => None,
        }
    }

    /// Whether a value may be one of these; what is not there, or not asked, may.
    pub fn fits(&self, value: Option<&Value>) -> bool {
        match (self, value) {
            (Self::Number(low, high), Some(Value::Number(e))) => {
                let above = e.value > low.at || (low.counts && e.value >= low.at);
                above && (e.value < high.at || (high.counts && e.value <= high.at))
            }
            (Self::Words(words), Some(Value::Word(word))) => words.contains(word),
            // Places that no condition of a step tells apart stand for one another there.
            (Self::Places(_, _, Some(nothing)), Some(Value::Places(shown))) => {
                shown.is_empty() == *nothing
            }
            _ => true,
        }
    }

    /// What fits both; nothing where nothing does.
    fn meet(&self, other: &Self) -> Option<Self> {
        match (self, other) {
            (Self::Number(a, b), Self::Number(c, d)) => {
                let low = higher(*a, *c);
                let high = lower(*b, *d);
                let fits = low.at < high.at || (low.at <= high.at && low.counts && high.counts);
                fits.then_some(Self::Number(low, high))
            }
            (Self::Words(a), Self::Words(b)) => {
                let both: BTreeSet<String> = a.intersection(b).cloned().collect();
                (!both.is_empty()).then_some(Self::Words(both))
            }
            (Self::Places(a, b, c), Self::Places(d, e, f)) => {
                let shown: BTreeSet<String> = a.union(d).cloned().collect();
                let clear: BTreeSet<String> = b.union(e).cloned().collect();
                let nothing = c.or(*f).or((!shown.is_empty()).then_some(false));
                let clash = matches!((c, f), (Some(c), Some(f)) if c != f)
                    || !shown.is_disjoint(&clear)
                    || (nothing == Some(true) && !shown.is_empty());
                (!clash).then_some(Self::Places(shown, clear, nothing))
            }
            (Self::LeftOut, Self::LeftOut) => Some(Self::LeftOut),
            _ => None,
        }
    }

    /// What fits either, or more; nothing where that is anything.
    fn join(&self, other: &Self) -> Option<Self> {
        match (self, other) {
            (Self::Number(a, b), Self::Number(c, d)) => {
                let low = if higher(*a, *c) == *a { *c } else { *a };
                let high = if lower(*b, *d) == *b { *d } else { *b };
                let anything = low.at == f64::NEG_INFINITY && high.at == f64::INFINITY;
                (!anything).then_some(Self::Number(low, high))
            }
            (Self::Words(a), Self::Words(b)) => Some(Self::Words(a.union(b).cloned().collect())),
            (Self::Places(a, b, c), Self::Places(d, e, f)) => {
                let shown: BTreeSet<String> = a.intersection(d).cloned().collect();
                let clear: BTreeSet<String> = b.intersection(e).cloned().collect();
                let nothing = c.filter(|c| *f == Some(*c));
                let anything = shown.is_empty() && clear.is_empty() && nothing.is_none();
                (!anything).then_some(Self::Places(shown, clear, nothing))
            }
            (Self::LeftOut, Self::LeftOut) => Some(Self::LeftOut),
            _ => None,
        }
    }
}

fn higher(a: End, b: End) -> End {
    if a.at > b.at || (a.at >= b.at && !a.counts) {
        a
    } else {
        b
    }
}

fn lower(a: End, b: End) -> End {
    if a.at < b.at || (a.at <= b.at && !a.counts) {
        a
    } else {
        b
    }
}

/// What is known of each value, by its id; what is not there can be anything.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Known(BTreeMap<String, Bound>);

impl Known {
    /// All bounds, by id.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Bound)> {
        self.0.iter().map(|(id, bound)| (id.as_str(), bound))
    }

    /// The number of the test is this one or a later one.
    pub fn with_test_from(mut self, number: f64) -> Self {
        let bound = Bound::Number(End::closed(number), End::open(f64::INFINITY));
        self.0.insert(TEST_NUMBER.to_owned(), bound);
        self
    }

    /// A fact of the vehicle is this word.
    pub fn with_word(mut self, id: &str, word: &str) -> Self {
        let bound = Bound::Words(BTreeSet::from([word.to_owned()]));
        self.0.insert(id.to_owned(), bound);
        self
    }

    /// A value is this and nothing else, whatever was known of it.
    pub fn with(mut self, id: &str, bound: Bound) -> Self {
        self.0.insert(id.to_owned(), bound);
        self
    }

    /// Forgets what rests on any of these readings: they are taken anew.
    pub fn without(mut self, flow: &Flow, readings: &[String]) -> Self {
        self.0
            .retain(|id, _| !readings.iter().any(|reading| rests_on(flow, id, reading)));
        self
    }

    /// What holds both here and there; nothing where the two exclude one another.
    pub fn meet(mut self, other: &Self) -> Option<Self> {
        for (id, bound) in &other.0 {
            self = self.narrowed(id, bound.clone())?;
        }
        Some(self)
    }

    /// The same, each as far as it lies within these bounds; nothing where one does not.
    pub fn within(self, bounds: &Self) -> Option<Self> {
        let narrowed = self.0.into_iter().map(|(id, bound)| {
            let bound = match (bounds.0.get(&id), bound) {
                (Some(_), Bound::LeftOut) => Bound::LeftOut,
                (Some(within), bound) => bound.meet(within)?,
                (None, bound) => bound,
            };
            Some((id, bound))
        });
        narrowed.collect::<Option<_>>().map(Self)
    }

    /// What holds whether one came by the one or by the other.
    pub fn join(&self, other: &Self) -> Self {
        let both = self
            .0
            .iter()
            .filter_map(|(id, bound)| Some((id.clone(), bound.join(other.0.get(id)?)?)));
        Self(both.collect())
    }

    fn narrowed(mut self, id: &str, bound: Bound) -> Option<Self> {
        let bound = match self.0.get(id) {
            Some(known) => known.meet(&bound)?,
            None => bound,
        };
        self.0.insert(id.to_owned(), bound);
        Some(self)
    }

    /// What is known where a condition holds, or where it does not; nothing where it cannot come so.
    pub fn where_it(self, flow: &Flow, condition: &Condition, holds: bool) -> Option<Self> {
        match (condition, holds) {
            (Condition::Always, true) => Some(self),
            (Condition::Always, false) => None,
            (Condition::All(parts), true) => self.each(flow, parts, true),
            (Condition::Any(parts), false) | (Condition::None(parts), true) => {
                self.each(flow, parts, false)
            }
            (Condition::All(parts), false) => self.one_of(flow, parts, false),
            (Condition::Any(parts), true) | (Condition::None(parts), false) => {
                self.one_of(flow, parts, true)
            }
            (Condition::Test { subject, check }, _) => {
                // No check holds for what is not asked on this car, nor does its opposite.
                if !holds && may_be_unasked(flow, subject) {
                    return Some(self);
                }
                match bound(flow, subject, check, holds) {
                    Some(bound) => self.narrowed(subject, bound?),
                    None if self.clears(subject, check, holds) => None,
                    None => Some(self),
                }
            }
        }
    }

    /// Whether it is known that nothing shows at any of several places of which one is asked for.
    fn clears(&self, id: &str, check: &Check, holds: bool) -> bool {
        let Some(Bound::Places(_, clear, nothing)) = self.0.get(id) else {
            return false;
        };
        let is_clear = |place: &String| {
            if place == NOWHERE {
                *nothing == Some(false)
            } else {
                *nothing == Some(true) || clear.contains(place)
            }
        };
        match (check, holds) {
            (Check::AnyOf(list), true) | (Check::NoneOf(list), false) => list.iter().all(is_clear),
            _ => false,
        }
    }

    fn each(self, flow: &Flow, parts: &[Condition], holds: bool) -> Option<Self> {
        parts
            .iter()
            .try_fold(self, |known, part| known.where_it(flow, part, holds))
    }

    fn one_of(self, flow: &Flow, parts: &[Condition], holds: bool) -> Option<Self> {
        let ways = parts
            .iter()
            .filter_map(|part| self.clone().where_it(flow, part, holds));
        ways.reduce(|one, other| one.join(&other))
    }

    /// Whether a condition is sure to hold.
    pub fn settles(&self, flow: &Flow, condition: &Condition) -> bool {
        self.clone().where_it(flow, condition, false).is_none()
    }

    /// Whether a condition is sure not to hold.
    pub fn excludes(&self, flow: &Flow, condition: &Condition) -> bool {
        self.clone().where_it(flow, condition, true).is_none()
    }
}

/// Whether a value may be none on some cars, because it is not asked there or was left out.
pub fn may_be_unasked(flow: &Flow, id: &str) -> bool {
    let prompts = flow.facts.iter().chain(&flow.readings);
    let mut loose = prompts.filter(|prompt| prompt.optional || prompt.only_if.is_some());
    loose.any(|prompt| rests_on(flow, id, &prompt.id))
}

/// What a value is where a check holds, or where it does not. The outer `None` is for what no bound
/// can say, the inner for what cannot be.
#[expect(
    clippy::option_option,
    reason = "nothing is known, against nothing is left"
)]
fn bound(flow: &Flow, id: &str, check: &Check, holds: bool) -> Option<Option<Bound>> {
    let (least, most) = (End::open(f64::NEG_INFINITY), End::open(f64::INFINITY));
    let number = |low, high| Some(Some(Bound::Number(low, high)));
    match (check, holds) {
        (Check::AtLeast(q), true) | (Check::Below(q), false) => number(End::closed(q.si()), most),
        (Check::Above(q), true) | (Check::AtMost(q), false) => number(End::open(q.si()), most),
        (Check::AtMost(q), true) | (Check::Above(q), false) => number(least, End::closed(q.si())),
        (Check::Below(q), true) | (Check::AtLeast(q), false) => number(least, End::open(q.si())),
        (Check::Between(a, b), true) => number(End::closed(a.si()), End::closed(b.si())),
        (Check::Between(..), false) => None,
        (Check::Is(word), _) => words(flow, id, std::slice::from_ref(word), holds),
        (Check::AnyOf(list), _) => words(flow, id, list, holds),
        (Check::NoneOf(list), _) => words(flow, id, list, !holds),
    }
}

/// What a value is where it is one of some words, or none of them.
#[expect(clippy::option_option, reason = "as in `bound`")]
fn words(flow: &Flow, id: &str, list: &[String], among: bool) -> Option<Option<Bound>> {
    if let Some(PromptKind::Places(_)) = flow.prompt(id).map(|prompt| &prompt.kind) {
        return Some(Some(places(list, among)?));
    }
    let all: BTreeSet<String> = match flow.prompt(id).map(|prompt| &prompt.kind) {
        Some(PromptKind::Choice(words)) => words.iter().cloned().collect(),
        Some(_) => return None,
        None => {
            let work = flow.work(id)?;
            let output = &work.calculation.outputs[work.take];
            output.words.iter().map(|word| (*word).to_owned()).collect()
        }
    };
    let left: BTreeSet<String> = all
        .into_iter()
        .filter(|word| list.contains(word) == among)
        .collect();
    Some((!left.is_empty()).then_some(Bound::Words(left)))
}

fn places(list: &[String], among: bool) -> Option<Bound> {
    let named = |list: &[String]| list.iter().filter(|p| *p != NOWHERE).cloned().collect();
    let nowhere = list.iter().any(|place| place == NOWHERE);
    match (among, list) {
        (true, [place]) if place == NOWHERE => {
            Some(Bound::Places(BTreeSet::new(), BTreeSet::new(), Some(true)))
        }
        (true, [_]) => Some(Bound::Places(named(list), BTreeSet::new(), Some(false))),
        // At one of several: which, no bound says.
        (true, _) => None,
        (false, _) => Some(Bound::Places(
            BTreeSet::new(),
            named(list),
            nowhere.then_some(false),
        )),
    }
}
