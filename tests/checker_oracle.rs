//! Gaps, overlaps and outcomes that are never taken, against an oracle that knows nothing of how the
//! checker finds them.
//!
//! Small random steps are written as flow files and checked. The oracle counts in whole thousandths
//! of a kilopascal and looks at every point near a crossing of two limits, just before, on and just
//! after each: with two readings and their difference or sum, these points meet every cell. It must
//! agree with the checker both ways, and what the checker shows must be a gap in the oracle's eyes.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use proptest::prelude::*;
use ruleout::check::unabridged;

use crate::flows_with_mistakes::an_error_is_told;

const ONE: i64 = 1000;
const WORDS: [&str; 3] = ["red", "green", "blue"];

fn kpa(thousandths: i64) -> f64 {
    thousandths as f64 / ONE as f64
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Of {
    A,
    B,
    D,
}

impl Of {
    fn id(self) -> &'static str {
        match self {
            Self::A => "a",
            Self::B => "b",
            Self::D => "d",
        }
    }
}

#[derive(Clone, Debug)]
enum Test {
    AtLeast(Of, i64),
    Above(Of, i64),
    AtMost(Of, i64),
    Below(Of, i64),
    Between(Of, i64, i64),
    Word(Vec<usize>, bool),
}

#[derive(Clone, Debug)]
enum When {
    Always,
    All(Vec<Test>),
    Any(Vec<Test>),
    None(Vec<Test>),
}

#[derive(Clone, Debug)]
struct Step {
    a: (i64, i64),
    b: (i64, i64),
    /// `b` is asked only where the word is this one.
    b_only_if: Option<usize>,
    /// `d` is the difference, else the sum.
    difference: bool,
    valid: Option<Test>,
    outcomes: Vec<(When, usize)>,
}

/// What is read: whole thousandths; `b` and so `d` may not be asked.
#[derive(Clone, Copy, Debug)]
struct Point {
    a: i64,
    b: Option<i64>,
    d: Option<i64>,
    word: usize,
}

impl Point {
    fn number(&self, of: Of) -> Option<f64> {
        self.whole(of).map(kpa)
    }

    fn whole(&self, of: Of) -> Option<i64> {
        match of {
            Of::A => Some(self.a),
            Of::B => self.b,
            Of::D => self.d,
        }
    }
}

impl Test {
    /// Whether it holds; what is not asked holds no test.
    fn holds(&self, number: &dyn Fn(Of) -> Option<f64>, word: usize) -> bool {
        let with = |of: Of, test: &dyn Fn(f64) -> bool| number(of).is_some_and(test);
        let limit = |l: i64| kpa(l * ONE);
        match *self {
            Self::AtLeast(of, l) => with(of, &|x| x >= limit(l)),
            Self::Above(of, l) => with(of, &|x| x > limit(l)),
            Self::AtMost(of, l) => with(of, &|x| x <= limit(l)),
            Self::Below(of, l) => with(of, &|x| x < limit(l)),
            Self::Between(of, l, m) => with(of, &|x| x >= limit(l) && x <= limit(m)),
            Self::Word(ref words, any) => words.contains(&word) == any,
        }
    }

    fn limits(&self) -> Vec<(Of, i64)> {
        match *self {
            Self::AtLeast(of, l)
            | Self::Above(of, l)
            | Self::AtMost(of, l)
            | Self::Below(of, l) => {
                vec![(of, l * ONE)]
            }
            Self::Between(of, l, m) => vec![(of, l * ONE), (of, m * ONE)],
            Self::Word(..) => Vec::new(),
        }
    }

    fn yaml(&self) -> String {
        let number = |of: Of, word: &str, l: i64| format!("{{{}: {{{word}: {l} kPa}}}}", of.id());
        match self {
            Self::AtLeast(of, l) => number(*of, "at least", *l),
            Self::Above(of, l) => number(*of, "above", *l),
            Self::AtMost(of, l) => number(*of, "at most", *l),
            Self::Below(of, l) => number(*of, "below", *l),
            Self::Between(of, l, m) => format!("{{{}: {{between: {l}..{m} kPa}}}}", of.id()),
            Self::Word(words, any) => {
                let words: Vec<&str> = words.iter().map(|n| WORDS[*n]).collect();
                let word = if *any { "any of" } else { "none of" };
                format!("{{w: {{{word}: [{}]}}}}", words.join(", "))
            }
        }
    }
}

impl When {
    fn tests(&self) -> &[Test] {
        match self {
            Self::Always => &[],
            Self::All(tests) | Self::Any(tests) | Self::None(tests) => tests,
        }
    }

    fn holds(&self, point: &Point) -> bool {
        let number = |of| point.number(of);
        let mut each = self.tests().iter().map(|t| t.holds(&number, point.word));
        match self {
            Self::Always => true,
            Self::All(_) => each.all(|holds| holds),
            Self::Any(_) => each.any(|holds| holds),
            Self::None(_) => !each.any(|holds| holds),
        }
    }

    fn yaml(&self) -> String {
        let join = |word: &str, tests: &[Test]| {
            let tests: Vec<String> = tests.iter().map(Test::yaml).collect();
            format!("{{{word}: [{}]}}", tests.join(", "))
        };
        match self {
            Self::Always => "always".to_owned(),
            Self::All(tests) => join("all", tests),
            Self::Any(tests) => join("any", tests),
            Self::None(tests) => join("none", tests),
        }
    }
}

impl Step {
    fn yaml(&self) -> String {
        let only_if = self
            .b_only_if
            .map(|n| format!(", only if: {{w: {{is: {}}}}}", WORDS[n]))
            .unwrap_or_default();
        let by = if self.difference { "difference" } else { "sum" };
        let mut text = format!(
            "flow: one\ntitle: One\nreadings:\n  w: {{ask: Which?, choices: [{}]}}\n  \
             a: {{ask: A, unit: kPa, plausible: {}..{} kPa}}\n  \
             b: {{ask: B, unit: kPa, plausible: {}..{} kPa{only_if}}}\n\
             worked:\n  d: {{{by}: [a, b]}}\ncauses:\n  c: {{odds: likely, repair: mend it}}\n\
             steps:\n  - id: s\n    phase: symptom\n    do: Read.\n    record: [w, a, b]\n",
            WORDS.join(", "),
            self.a.0,
            self.a.1,
            self.b.0,
            self.b.1
        );
        if let Some(valid) = &self.valid {
            let _ = write!(
                text,
                "    valid when: {}\n    not valid: {{because: Again, go: s}}\n",
                valid.yaml()
            );
        }
        text.push_str("    outcomes:\n");
        for (n, (when, go)) in self.outcomes.iter().enumerate() {
            let go = ["done", "{repair: c}", "s"][*go];
            let when = when.yaml();
            let _ = writeln!(
                text,
                "      - {{id: o{n}, when: {when}, because: So, go: {go}}}"
            );
        }
        text.push_str("retest: {from: s}\n");
        text
    }

    fn work(&self, a: i64, b: i64) -> i64 {
        if self.difference { a - b } else { a + b }
    }

    fn tests(&self) -> impl Iterator<Item = &Test> {
        self.outcomes
            .iter()
            .flat_map(|(when, _)| when.tests())
            .chain(&self.valid)
    }

    fn limits(&self) -> BTreeMap<Of, BTreeSet<i64>> {
        let mut limits: BTreeMap<Of, BTreeSet<i64>> = BTreeMap::new();
        for (of, limit) in self.tests().flat_map(Test::limits) {
            limits.entry(of).or_default().insert(limit);
        }
        limits
    }

    /// A point in every cell, by the crossings of limits and ends.
    fn points(&self) -> Vec<Point> {
        let limits = self.limits();
        let near = |of: Of, ends: &[i64]| -> BTreeSet<i64> {
            let known = limits.get(&of).into_iter().flatten().copied();
            let at: BTreeSet<i64> = known.chain(ends.iter().copied()).collect();
            at.into_iter()
                .flat_map(|x| (-3..=3).map(move |off| x + off))
                .collect()
        };
        let a_ends = [self.a.0 * ONE, self.a.1 * ONE];
        let b_ends = [self.b.0 * ONE, self.b.1 * ONE];
        let (near_a, near_b) = (near(Of::A, &a_ends), near(Of::B, &b_ends));
        let near_d = near(Of::D, &[]);
        let b_of = |a: i64, d: i64| if self.difference { a - d } else { d - a };
        let a_of = |b: i64, d: i64| if self.difference { b + d } else { d - b };
        let mut pairs: BTreeSet<(i64, i64)> = BTreeSet::new();
        pairs.extend(
            near_a
                .iter()
                .flat_map(|a| near_b.iter().map(move |b| (*a, *b))),
        );
        pairs.extend(
            near_a
                .iter()
                .flat_map(|a| near_d.iter().map(move |d| (*a, b_of(*a, *d)))),
        );
        pairs.extend(
            near_b
                .iter()
                .flat_map(|b| near_d.iter().map(move |d| (a_of(*b, *d), *b))),
        );
        // Where `b` is not asked, a sum is `a` by itself.
        let a_as_d = near_d
            .iter()
            .flat_map(|a| near_b.iter().map(move |b| (*a, *b)));
        pairs.extend(a_as_d);
        let inside = |x: i64, (low, high): (i64, i64)| x >= low * ONE && x <= high * ONE;
        pairs.retain(|(a, b)| inside(*a, self.a) && inside(*b, self.b));
        let mut points = Vec::new();
        for (a, b) in pairs {
            for word in 0..WORDS.len() {
                let b = self.b_only_if.is_none_or(|only| only == word).then_some(b);
                // A sum leaves out what is not asked.
                let d = match b {
                    None if !self.difference => Some(a),
                    b => b.map(|b| self.work(a, b)),
                };
                points.push(Point { a, b, d, word });
            }
        }
        let number = |point: Point| move |of| point.number(of);
        let counts = |p: &Point| {
            self.valid
                .as_ref()
                .is_none_or(|v| v.holds(&number(*p), p.word))
        };
        points.retain(counts);
        points
    }

    fn on_a_limit(point: &Point, limits: &BTreeMap<Of, BTreeSet<i64>>) -> bool {
        limits
            .iter()
            .any(|(of, at)| point.whole(*of).is_some_and(|x| at.contains(&x)))
    }
}

/// What is said of a step.
#[derive(Debug, Default, PartialEq, Eq)]
struct Said {
    gap: bool,
    overlaps: BTreeSet<(usize, usize)>,
    never: BTreeSet<usize>,
}

fn oracle(step: &Step) -> Said {
    let limits = step.limits();
    let count = step.outcomes.len();
    let mut said = Said {
        never: (0..count).collect(),
        ..Said::default()
    };
    let mut alone: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut both: BTreeMap<(usize, usize), bool> = BTreeMap::new();
    for point in step.points() {
        let holds: Vec<usize> = (0..count)
            .filter(|n| step.outcomes[*n].0.holds(&point))
            .collect();
        said.gap |= holds.is_empty();
        if let Some(first) = holds.first() {
            said.never.remove(first);
        }
        for one in &holds {
            alone.extend((0..count).filter(|n| !holds.contains(n)).map(|n| (*one, n)));
            for other in holds.iter().filter(|other| *other > one) {
                let always = matches!(step.outcomes[*other].0, When::Always);
                if step.outcomes[*one].1 != step.outcomes[*other].1 && !always {
                    let only_limit = both.entry((*one, *other)).or_insert(true);
                    *only_limit &= Step::on_a_limit(&point, &limits);
                }
            }
        }
    }
    for ((one, other), only_limit) in both {
        if only_limit || (alone.contains(&(one, other)) && alone.contains(&(other, one))) {
            said.overlaps.insert((one, other));
        }
    }
    said
}

fn number_after(text: &str, id: &str) -> Option<f64> {
    let mut parts = text.split(" with ");
    let part = parts.find_map(|p| p.strip_prefix(id)?.strip_prefix(' '))?;
    part.strip_suffix(" kPa")?.parse().ok()
}

/// How far a number that is shown with two digits may be off.
fn rounding(shown: f64) -> f64 {
    0.5 * 10_f64.powf(shown.abs().max(1e-9).log10().floor() - 1.0)
}

/// Whether what the checker shows as a gap is one: no outcome may hold, whatever is not said.
fn is_gap(step: &Step, example: &str) -> bool {
    let said = |of: Of| number_after(example, of.id());
    let parts: Vec<&str> = example.split(" with ").collect();
    let word = WORDS
        .iter()
        .position(|w| parts.contains(&format!("w {w}").as_str()));
    let words = word.map_or(0..WORDS.len(), |w| w..w + 1);
    // A difference or sum that is shown with one of its readings tells the other, as exactly as both are shown.
    let (b, about) = match (said(Of::A), said(Of::B), said(Of::D)) {
        (Some(a), None, Some(d)) if step.difference => (Some(a - d), rounding(a) + rounding(d)),
        (Some(a), None, Some(d)) => (Some(d - a), rounding(a) + rounding(d)),
        (_, b, _) => (b, 0.0),
    };
    let asked = |word: usize| step.b_only_if.is_none_or(|only| only == word);
    let (low, high) = (kpa(step.b.0 * ONE), kpa(step.b.1 * ONE));
    let possible = b.is_none_or(|b| b >= low - about - 1e-9 && b <= high + about + 1e-9);
    let mut words = words.into_iter();
    (possible || !words.clone().all(asked))
        && words.all(|word| {
            step.outcomes.iter().all(|(when, _)| {
                let mut each = when.tests().iter().map(|t| t.holds(&said, word));
                match when {
                    When::Always => false,
                    When::All(_) => !each.all(|h| h),
                    When::Any(_) => !each.any(|h| h),
                    When::None(_) => each.any(|h| h),
                }
            })
        })
}

fn checker(step: &Step) -> (Said, Option<String>) {
    let mut said = Said::default();
    let mut example = None;
    for finding in &unabridged(&step.yaml()) {
        let mut outcomes: Vec<usize> = finding
            .message
            .split('`')
            .filter_map(|word| word.strip_prefix('o')?.parse().ok())
            .collect();
        if finding.message.contains("always fits") {
            // The one that takes everything is named before those that it leaves nothing to.
            outcomes.remove(0);
        }
        if finding.message.contains("the very same") {
            // Behind the one that is never taken stands that which asks for the same.
            outcomes.truncate(1);
        }
        match (finding.code, &outcomes[..]) {
            ("gap", _) => {
                said.gap = true;
                example = finding.message.split(" fits ").nth(1).map(str::to_owned);
            }
            ("overlap", [one, other]) => {
                said.overlaps.insert((*one, *other));
            }
            // One range may shut out several, which are named together.
            ("never-taken", several) => {
                said.never.extend(several);
            }
            // Where nothing that can be read counts, that is said in place of every outcome.
            ("never-holds", _) => said.never.extend(0..step.outcomes.len()),
            ("too-many" | "not-yaml" | "wrong-shape" | "unknown-id", _) => {
                panic!("{finding:?}\n{}", step.yaml())
            }
            _ => {}
        }
    }
    (said, example)
}

fn test(with_worked: bool) -> impl Strategy<Value = Test> {
    let of = if with_worked {
        prop::sample::select(vec![Of::A, Of::B, Of::D, Of::D])
    } else {
        prop::sample::select(vec![Of::A, Of::B])
    };
    let words = prop::collection::btree_set(0..WORDS.len(), 1..3);
    prop_oneof![
        (of.clone(), 0..8i64).prop_map(|(of, l)| Test::AtLeast(of, l)),
        (of.clone(), 0..8i64).prop_map(|(of, l)| Test::Above(of, l)),
        (of.clone(), 0..8i64).prop_map(|(of, l)| Test::AtMost(of, l)),
        (of.clone(), 0..8i64).prop_map(|(of, l)| Test::Below(of, l)),
        (of, 0..5i64, 1..4i64).prop_map(|(of, l, more)| Test::Between(of, l, l + more)),
        (words, any::<bool>())
            .prop_map(|(words, any)| Test::Word(words.into_iter().collect(), any)),
    ]
}

fn when(with_worked: bool) -> impl Strategy<Value = When> {
    let tests = |most| prop::collection::vec(test(with_worked), 1..=most);
    prop_oneof![
        1 => Just(When::Always),
        8 => tests(3).prop_map(When::All),
        4 => tests(2).prop_map(When::Any),
        2 => tests(2).prop_map(When::None),
    ]
}

fn step(with_worked: bool) -> impl Strategy<Value = Step> {
    (
        (0..3i64, 1..8i64),
        (0..3i64, 1..8i64),
        prop::option::weighted(0.3, 0..WORDS.len()),
        any::<bool>(),
        prop::option::weighted(0.3, test(with_worked)),
        prop::collection::vec((when(with_worked), 0..3usize), 2..5),
    )
        .prop_map(|(a, b, b_only_if, difference, valid, outcomes)| Step {
            a: (a.0, a.0 + a.1),
            b: (b.0, b.0 + b.1),
            b_only_if,
            difference,
            valid,
            outcomes,
        })
        // `always` by itself is no judgement, and the checker does not look at it.
        .prop_filter("a judgement", |step| {
            !(step.outcomes.len() == 1 && matches!(step.outcomes[0].0, When::Always))
        })
}

fn agree(step: &Step) -> Result<(), TestCaseError> {
    let (said, example) = checker(step);
    let truth = oracle(step);
    prop_assert_eq!(&said, &truth, "example {:?}\n{}", example, step.yaml());
    if let Some(example) = example {
        prop_assert!(is_gap(step, &example), "{}\n{}", example, step.yaml());
    }
    let told = an_error_is_told(&step.yaml());
    prop_assert!(told.is_ok(), "{:?}\n{}", told, step.yaml());
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn steps_judged_by_readings_are_seen_as_the_oracle_sees_them(step in step(false)) {
        agree(&step)?;
    }

    #[test]
    fn steps_judged_by_worked_values_are_seen_as_the_oracle_sees_them(step in step(true)) {
        agree(&step)?;
    }
}
