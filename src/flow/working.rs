//! From what was read to what follows from it: every value with its 95 % interval.
//!
//! The worked values of a flow form a graph. It is evaluated once as read, and twice more for each
//! independent source of error (a reading's own error, the bias that all readings of one gauge
//! share, the spread of a model), shifted to either end of its 95 % range. The effects add as the
//! root of the sum of squares. Since a source shifts the whole graph at once, an error that two
//! values share cancels where it should: the gauge's bias in a difference, the discharge
//! coefficient in a ratio of two holes.

use std::collections::BTreeMap;

use super::answer::Answer;
use super::model::{Arg, Flow, Prompt, PromptKind, Tolerance, Work};
use super::values::{TEST_NUMBER, Value, Values};
use crate::physics::calculation::{Answer as Result1, Field, Kind, OutputKind, Seen, Shifts};
use crate::physics::evaluate::shifted_value;
use crate::physics::given::{Given, Value as Input};
use crate::physics::uncertainty::Estimate;
use crate::units::Dimension;

/// 97.5 % point of the normal distribution: both ends of a 95 % range in standard deviations.
const Z95: f64 = 1.959_963_985;
/// A step of the scale is a uniform error of one step's width: its standard deviation is 1/sqrt(12).
const STEP_TO_95: f64 = Z95 * 0.288_675_135;

/// What is known about a job, as far as a flow is concerned.
#[derive(Clone, Copy, Debug)]
pub struct Known<'k> {
    /// Answers by the id of the reading or vehicle fact.
    pub answers: &'k BTreeMap<String, Answer>,
    /// 1 at first, one more after every repair.
    pub test_number: u32,
}

/// Everything that a flow's conditions and screens can refer to.
#[derive(Clone, Debug, Default)]
pub struct Picture {
    /// Values by id.
    pub values: Values,
    /// Notes of the calculations, by the worked value's id.
    pub notes: BTreeMap<String, Vec<String>>,
    /// For worked values that are not there: the readings and facts that are missing.
    pub missing: BTreeMap<String, Vec<String>>,
}

/// Works out everything that can be worked out.
pub fn picture(flow: &Flow, known: Known) -> Picture {
    let mut picture = Picture::default();
    picture.values.set(
        TEST_NUMBER,
        Value::Number(Estimate::exact(f64::from(known.test_number))),
    );
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(value) = read_value(flow, prompt, known, &picture.values) {
            picture.values.set(&prompt.id, value);
        }
    }
    let base = Base::of(flow, known, &picture.values);
    let sources = sources(flow, &base);
    let central = evaluate(flow, &base, &Shifts::none(), true);
    let shifted: Vec<(Graph, Graph)> = sources
        .iter()
        .map(|source| {
            (
                shift(flow, &base, source, 1.0),
                shift(flow, &base, source, -1.0),
            )
        })
        .collect();
    for work in &flow.worked {
        let Some(point) = central.get(&work.id) else {
            continue;
        };
        note(&mut picture, work, point, &shifted);
    }
    picture
}

/// The values as read, without their intervals: what conditions come to if nothing were uncertain.
pub fn plain_values(flow: &Flow, known: Known) -> Values {
    let exact = |value: Value| match value {
        Value::Number(estimate) => Value::Number(Estimate::exact(estimate.value)),
        other => other,
    };
    let mut picture = Picture::default();
    let number = f64::from(known.test_number);
    picture
        .values
        .set(TEST_NUMBER, Value::Number(Estimate::exact(number)));
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(value) = read_value(flow, prompt, known, &picture.values) {
            picture.values.set(&prompt.id, exact(value));
        }
    }
    let base = Base::of(flow, known, &picture.values);
    let central = evaluate(flow, &base, &Shifts::none(), true);
    for work in &flow.worked {
        if let Some(point) = central.get(&work.id) {
            note(&mut picture, work, point, &[]);
        }
    }
    picture.values
}

/// Whether a prompt is asked on this car, as far as is known.
pub fn applies(prompt: &Prompt, values: &Values) -> bool {
    use super::condition::Truth;
    // An unknown condition does not hide the question: better asked once too often.
    prompt
        .only_if
        .as_ref()
        .is_none_or(|condition| condition.truth(values) != Truth::No)
}

fn read_value(flow: &Flow, prompt: &Prompt, known: Known, values: &Values) -> Option<Value> {
    if !applies(prompt, values) {
        return Some(Value::NotApplicable);
    }
    match (known.answers.get(&prompt.id)?, &prompt.kind) {
        (Answer::CouldNotTell(_), _) => Some(Value::Untold),
        (Answer::Quantity(q), PromptKind::Quantity(p)) if q.dimension() == p.unit.dimension() => {
            let si = q.si();
            let half = own_error(flow, prompt, si).hypot(gauge_error(flow, prompt, si));
            Some(Value::Number(Estimate {
                value: si,
                low: si - half,
                high: si + half,
            }))
        }
        (Answer::Choice(word) | Answer::Text(word), _) => Some(Value::Word(word.clone())),
        (Answer::Places(places), _) => Some(Value::Places(places.keys().cloned().collect())),
        _ => None,
    }
}

/// A reading's own 95 % half-width: its stated error and the resolution of its gauge.
fn own_error(flow: &Flow, prompt: &Prompt, si: f64) -> f64 {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return 0.0;
    };
    let stated = q.error.map_or(0.0, |error| error.half_width(si));
    let resolution = q
        .gauge
        .as_deref()
        .and_then(|id| flow.gauge(id))
        .and_then(|gauge| gauge.resolution)
        .map_or(0.0, |r| r.unit().step_to_si(r.value()) * STEP_TO_95);
    stated.hypot(resolution)
}

/// The 95 % half-width of the bias that all readings of the gauge share.
fn gauge_error(flow: &Flow, prompt: &Prompt, si: f64) -> f64 {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return 0.0;
    };
    q.gauge
        .as_deref()
        .and_then(|id| flow.gauge(id))
        .and_then(|gauge| gauge.accuracy)
        .map_or(0.0, |accuracy| accuracy.half_width(si))
}

/// The plain values from which the graph is evaluated.
#[derive(Clone, Debug, Default)]
struct Base {
    numbers: BTreeMap<String, f64>,
    words: BTreeMap<String, String>,
    pairs: BTreeMap<String, Vec<[f64; 2]>>,
    not_applicable: Vec<String>,
    /// Optional readings that could not be told. A calculation that can do without one does; where
    /// it is needed it is missing, and never counts as not asked.
    untold: Vec<String>,
}

impl Base {
    /// Whether what is missing is only what may be left out and could not be told.
    fn only_untold(&self, missing: &[String]) -> bool {
        missing.iter().all(|id| self.untold.contains(id))
    }
}

impl Base {
    fn of(flow: &Flow, known: Known, values: &Values) -> Self {
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
                // An optional reading that was not taken is left out, like one that is not asked.
                None => base.not_applicable.push(prompt.id.clone()),
                Some(Answer::CouldNotTell(_)) => base.untold.push(prompt.id.clone()),
                Some(_) => {}
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

/// One independent source of error.
#[derive(Clone, Debug, PartialEq)]
enum Source {
    /// A reading's own error.
    Own(String),
    /// The bias of a gauge.
    Gauge(String),
    /// A model's spread.
    Nuisance(&'static str),
    /// One value of a pair: reading, row, column.
    Cell(String, usize, usize),
}

fn sources(flow: &Flow, base: &Base) -> Vec<Source> {
    let mut sources = Vec::new();
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(si) = base.numbers.get(&prompt.id)
            && own_error(flow, prompt, *si) > 0.0
        {
            sources.push(Source::Own(prompt.id.clone()));
        }
        for row in 0..base.pairs.get(&prompt.id).map_or(0, Vec::len) {
            sources.push(Source::Cell(prompt.id.clone(), row, 0));
            sources.push(Source::Cell(prompt.id.clone(), row, 1));
        }
    }
    sources.extend(
        flow.gauges
            .iter()
            .filter(|g| g.accuracy.is_some())
            .map(|g| Source::Gauge(g.id.clone())),
    );
    for work in &flow.worked {
        for nuisance in work.calculation.nuisances {
            let source = Source::Nuisance(nuisance.name);
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    sources
}

/// The graph with one source shifted to the upper (`sign` 1) or lower (-1) end of its 95 % range.
fn shift(flow: &Flow, base: &Base, source: &Source, sign: f64) -> Graph {
    let mut moved = base.clone();
    match source {
        Source::Nuisance(name) => {
            return evaluate(flow, base, &Shifts::one(name, sign * Z95), false);
        }
        Source::Own(id) => {
            if let (Some(prompt), Some(si)) = (flow.prompt(id), moved.numbers.get_mut(id)) {
                *si = moved_by(prompt, *si, sign * own_error(flow, prompt, *si));
            }
        }
        Source::Gauge(gauge) => {
            for prompt in &flow.readings {
                let PromptKind::Quantity(q) = &prompt.kind else {
                    continue;
                };
                if q.gauge.as_deref() != Some(gauge) {
                    continue;
                }
                if let Some(si) = moved.numbers.get_mut(&prompt.id) {
                    *si = moved_by(prompt, *si, sign * gauge_error(flow, prompt, *si));
                }
            }
        }
        Source::Cell(id, row, column) => {
            let error = cell_error(flow, id, *column);
            if let Some(cell) = moved.pairs.get_mut(id).and_then(|rows| rows.get_mut(*row)) {
                let si = cell[*column];
                cell[*column] += sign * error.map_or(0.0, |e| e.half_width(si));
            }
        }
    }
    evaluate(flow, &moved, &Shifts::none(), false)
}

fn moved_by(prompt: &Prompt, si: f64, step: f64) -> f64 {
    let dimension = match &prompt.kind {
        PromptKind::Quantity(q) => Some(q.unit.dimension()),
        _ => None,
    };
    shifted_value(si, step, dimension)
}

fn cell_error(flow: &Flow, id: &str, column: usize) -> Option<Tolerance> {
    match &flow.reading(id)?.kind {
        PromptKind::Pairs(pairs) if column == 0 => pairs.errors.0,
        PromptKind::Pairs(pairs) => pairs.errors.1,
        _ => None,
    }
}

/// What came of each worked value.
type Graph = BTreeMap<String, Point>;

#[derive(Clone, Debug)]
enum Point {
    Number(f64, Vec<String>),
    Words(String, Vec<String>),
    /// A verdict that rests on the interval of a number: that number, the verdict without an
    /// interval, the notes, and what the rule needs to judge again.
    Judged(f64, String, Vec<String>, Given),
    /// The calculation's inputs do not settle this result.
    Absent,
    NotApplicable,
    Missing(Vec<String>),
    Refused(String),
}

/// Evaluates the whole graph at one point. `checked` is for values as read; shifted ones were
/// never read by anybody, so a calculation does not refuse them.
fn evaluate(flow: &Flow, base: &Base, shifts: &Shifts, checked: bool) -> Graph {
    let mut base = base.clone();
    let mut graph = Graph::new();
    for work in &flow.worked {
        let point = match given(work, &base, &graph) {
            Err(point) => point,
            Ok((given, left_out)) => {
                let run = if checked {
                    work.calculation.work(&given, shifts)
                } else {
                    (work.calculation.run)(&given, shifts)
                };
                match run {
                    // Without what is not asked on this car there may be nothing to work.
                    Err(_) if left_out => Point::NotApplicable,
                    Err(error) => Point::Refused(error.to_string()),
                    Ok(mut worked) => match (
                        judged_number(work, &worked.results),
                        worked.results.swap_remove(work.take),
                    ) {
                        (Some(of), Result1::Text(words)) => {
                            Point::Judged(of, words, worked.notes, given)
                        }
                        (_, answer) => match answer {
                            Result1::Number(si) | Result1::Measured(si, _) => {
                                Point::Number(si, worked.notes)
                            }
                            Result1::Text(words) => Point::Words(words, worked.notes),
                            Result1::Absent => Point::Absent,
                        },
                    },
                }
            }
        };
        match &point {
            Point::Number(si, _) => {
                base.numbers.insert(work.id.clone(), *si);
            }
            Point::Words(words, _) | Point::Judged(_, words, ..) => {
                base.words.insert(work.id.clone(), words.clone());
            }
            Point::NotApplicable => base.not_applicable.push(work.id.clone()),
            _ => {}
        }
        graph.insert(work.id.clone(), point);
    }
    graph
}

/// The number that the verdict of a worked value rests on, if it is one that waits for its interval.
fn judged_number(work: &Work, results: &[Result1]) -> Option<f64> {
    let judge = work.calculation.outputs.get(work.take)?.judge?;
    let (of, _) = work.calculation.output(judge.of)?;
    results.get(of)?.number()
}

/// A verdict, from the interval of the number that it rests on.
fn verdict(work: &Work, of: f64, words: &str, given: &Given, shifted: &[(Graph, Graph)]) -> String {
    let output = &work.calculation.outputs[work.take];
    let at = |graph: &Graph| match graph.get(&work.id) {
        Some(Point::Judged(of, ..)) => *of,
        _ => f64::NAN,
    };
    let effects = shifted
        .iter()
        .map(|(up, down)| effect(of, at(up), at(down)));
    let of_output = output
        .judge
        .and_then(|judge| work.calculation.output(judge.of))
        .map_or(output, |(_, rests_on)| rests_on);
    let estimate = of_output.combine(of, effects.collect::<Vec<_>>());
    let answer = output.judge.map(|judge| {
        (judge.rule)(&Seen {
            given,
            estimate,
            effects: &[],
        })
    });
    match answer {
        Some(Result1::Text(words)) => words,
        _ => words.to_owned(),
    }
}

/// The inputs of a worked value and whether one was left out as not asked on this car, or why
/// they are not all there.
fn given(work: &Work, base: &Base, graph: &Graph) -> Result<(Given, bool), Point> {
    let mut given = Given::new();
    let mut left_out = false;
    let mut missing = Vec::new();
    for (name, arg) in &work.inputs {
        let declared = work.calculation.input(name);
        let optional = declared.is_some_and(|input| !input.needed);
        let fields = match declared.map(|input| input.kind) {
            Some(Kind::Points(fields)) => fields,
            _ => &[],
        };
        match input(
            arg,
            fields,
            LEAVES_OUT.contains(&work.calculation.name),
            base,
            graph,
        ) {
            Ok(value) => given.set(name, value),
            Err(Point::NotApplicable) if optional => left_out = true,
            Err(Point::Missing(ids)) if optional && base.only_untold(&ids) => {}
            Err(Point::Missing(mut ids)) => missing.append(&mut ids),
            Err(other) => return Err(other),
        }
    }
    if missing.is_empty() {
        Ok((given, left_out))
    } else {
        Err(Point::Missing(missing))
    }
}

fn input(
    arg: &Arg,
    fields: &[Field],
    leaves_out: bool,
    base: &Base,
    graph: &Graph,
) -> Result<Input, Point> {
    match arg {
        Arg::Word(word) => Ok(word
            .parse()
            .map_or_else(|_| Input::Word(word.clone()), Input::Number)),
        Arg::Of(id) => match base.words.get(id) {
            Some(word) => Ok(Input::Word(word.clone())),
            None => number(arg, base, graph).map(Input::Number),
        },
        Arg::Constant(_) => number(arg, base, graph).map(Input::Number),
        Arg::List(items) => list(items, leaves_out, base, graph),
        Arg::Rows(rows) => points(rows, fields, base, graph),
        Arg::PairsOf(id) => match base.pairs.get(id) {
            Some(rows) => {
                let point = |[a, b]: &[f64; 2]| {
                    let mut row = vec![Some(*a), Some(*b)];
                    row.resize(fields.len(), None);
                    row
                };
                Ok(Input::Points(rows.iter().map(point).collect()))
            }
            None => Err(absent(id, base)),
        },
    }
}

/// Calculations that go on without the members of a list which are not asked on this car.
const LEAVES_OUT: [&str; 1] = ["sum"];

fn list(items: &[Arg], leaves_out: bool, base: &Base, graph: &Graph) -> Result<Input, Point> {
    let mut numbers = Vec::new();
    let mut missing = Vec::new();
    for item in items {
        match number(item, base, graph) {
            Ok(si) => numbers.push(si),
            Err(Point::NotApplicable) if leaves_out => {}
            Err(Point::Missing(mut ids)) => missing.append(&mut ids),
            // Not asked outranks not read yet: it will never be read.
            Err(other) => return Err(other),
        }
    }
    match (missing.is_empty(), numbers.is_empty()) {
        (false, _) => Err(Point::Missing(missing)),
        (true, true) => Err(Point::NotApplicable),
        (true, false) => Ok(Input::List(numbers)),
    }
}

/// Points, without the rows whose needed values are not asked on this car.
fn points(
    rows: &[Vec<Option<Arg>>],
    fields: &[Field],
    base: &Base,
    graph: &Graph,
) -> Result<Input, Point> {
    let mut points = Vec::new();
    'rows: for row in rows {
        let mut point = Vec::new();
        for (cell, field) in row.iter().zip(fields) {
            point.push(match cell.as_ref().map(|arg| number(arg, base, graph)) {
                Some(Ok(si)) => Some(si),
                Some(Err(Point::NotApplicable)) if field.needed => continue 'rows,
                None | Some(Err(Point::NotApplicable)) => None,
                Some(Err(Point::Missing(ids))) if !field.needed && base.only_untold(&ids) => None,
                Some(Err(other)) => return Err(other),
            });
        }
        points.push(point);
    }
    if points.is_empty() {
        Err(Point::NotApplicable)
    } else {
        Ok(Input::Points(points))
    }
}

fn number(arg: &Arg, base: &Base, graph: &Graph) -> Result<f64, Point> {
    match arg {
        Arg::Constant(q) => Ok(q.si()),
        Arg::Of(id) => match (base.numbers.get(id), graph.get(id)) {
            (Some(si), _) => Ok(*si),
            (None, Some(Point::Number(..) | Point::Words(..) | Point::Judged(..))) => {
                Err(Point::Missing(vec![id.clone()]))
            }
            (None, Some(other)) => Err(other.clone()),
            (None, None) => Err(absent(id, base)),
        },
        _ => Err(Point::Absent),
    }
}

fn absent(id: &str, base: &Base) -> Point {
    if base.not_applicable.iter().any(|other| other == id) {
        Point::NotApplicable
    } else {
        Point::Missing(vec![id.to_owned()])
    }
}

/// Notes what came of one worked value, with its interval.
fn note(picture: &mut Picture, work: &Work, point: &Point, shifted: &[(Graph, Graph)]) {
    match point {
        Point::Number(si, notes) => {
            let at = |graph: &Graph, otherwise: f64| match graph.get(&work.id) {
                Some(Point::Number(si, _)) => *si,
                // Where a shifted value cannot be worked, nothing bounds the result on that side.
                _ => otherwise,
            };
            let effects = shifted
                .iter()
                .map(|(up, down)| effect(*si, at(up, f64::NAN), at(down, f64::NAN)));
            let floor = floor(work);
            let output = &work.calculation.outputs[work.take];
            let estimate = output
                .combine(*si, effects.collect::<Vec<_>>())
                .at_least(floor);
            picture.values.set(&work.id, Value::Number(estimate));
            picture.notes.insert(work.id.clone(), notes.clone());
        }
        Point::Words(words, notes) => {
            picture.values.set(&work.id, Value::Word(words.clone()));
            picture.notes.insert(work.id.clone(), notes.clone());
        }
        Point::Judged(of, words, notes, given) => {
            let words = verdict(work, *of, words, given, shifted);
            picture.values.set(&work.id, Value::Word(words));
            picture.notes.insert(work.id.clone(), notes.clone());
        }
        Point::NotApplicable => picture.values.set(&work.id, Value::NotApplicable),
        Point::Refused(why) => picture.values.set(&work.id, Value::Refused(why.clone())),
        Point::Missing(ids) => {
            picture.missing.insert(work.id.clone(), ids.clone());
        }
        Point::Absent => {}
    }
}

/// The two shifted results; a side that could not be worked is unbounded both ways.
fn effect(centre: f64, up: f64, down: f64) -> (f64, f64) {
    if up.is_nan() && down.is_nan() {
        return (f64::INFINITY, f64::NEG_INFINITY);
    }
    let mirror = |known: f64| {
        if known >= centre {
            f64::NEG_INFINITY
        } else {
            f64::INFINITY
        }
    };
    (
        if up.is_nan() { mirror(down) } else { up },
        if down.is_nan() { mirror(up) } else { down },
    )
}

fn floor(work: &Work) -> f64 {
    match work.calculation.outputs[work.take].kind {
        OutputKind::SameAsInput | OutputKind::StepOfInput
            if work
                .unit
                .is_some_and(|u| u.dimension() == Dimension::Length) =>
        {
            0.0
        }
        kind => kind.floor(),
    }
}
