//! The inputs of a worked value, gathered from what was read and worked before; or why they are not
//! all there.

use super::graph::{Base, Graph, Point};
use crate::flow::model::{Arg, Work};
use crate::physics::calculation::{Answer, Field, Kind};
use crate::physics::given::{Given, Value as Input};

/// The inputs of a worked value and why one is not among them that it can do without (not asked on
/// this car, or left out); or why they are not all there.
pub(super) fn given(
    work: &Work,
    base: &Base,
    graph: &Graph,
) -> Result<(Given, Option<Point>), Point> {
    let mut given = Given::new();
    let mut left_out = None;
    let mut missing = Vec::new();
    for (name, arg) in &work.inputs {
        let declared = work.calculation.input(name);
        let optional = declared.is_some_and(|input| !input.needed);
        let fields = match declared.map(|input| input.kind) {
            Some(Kind::Points(fields)) => fields,
            _ => &[],
        };
        if let (Some(Kind::Text), Arg::Word(text)) = (declared.map(|input| input.kind), arg) {
            // "10" is a parameter's number, not ten.
            given.set(name, Input::Word(text.clone()));
            continue;
        }
        match input(
            arg,
            fields,
            LEAVES_OUT.contains(&work.calculation.name),
            base,
            graph,
        ) {
            Ok(value) => given.set(name, value),
            Err(why @ (Point::NotApplicable | Point::LeftOut(_))) if optional => {
                left_out = Some(why);
            }
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

pub(super) fn input(
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

/// Calculations that go on without the members of a list which are not asked on this car or were left
/// out.
pub(super) const LEAVES_OUT: [&str; 1] = ["sum"];

pub(super) fn list(
    items: &[Arg],
    leaves_out: bool,
    base: &Base,
    graph: &Graph,
) -> Result<Input, Point> {
    let mut numbers = Vec::new();
    let mut missing = Vec::new();
    let mut absent = Point::NotApplicable;
    for item in items {
        match number(item, base, graph) {
            Ok(si) => numbers.push(si),
            Err(why @ (Point::NotApplicable | Point::LeftOut(_))) if leaves_out => absent = why,
            Err(Point::Missing(mut ids)) => missing.append(&mut ids),
            // Not asked outranks not read yet: it will never be read.
            Err(other) => return Err(other),
        }
    }
    match (missing.is_empty(), numbers.is_empty()) {
        (false, _) => Err(Point::Missing(missing)),
        (true, true) => Err(absent),
        (true, false) => Ok(Input::List(numbers)),
    }
}

/// Points, without the rows whose needed values are not asked on this car or were left out.
pub(super) fn points(
    rows: &[Vec<Option<Arg>>],
    fields: &[Field],
    base: &Base,
    graph: &Graph,
) -> Result<Input, Point> {
    let mut points = Vec::new();
    let mut absent = Point::NotApplicable;
    'rows: for row in rows {
        let mut point = Vec::new();
        for (cell, field) in row.iter().zip(fields) {
            point.push(match cell.as_ref().map(|arg| number(arg, base, graph)) {
                Some(Ok(si)) => Some(si),
                Some(Err(why @ (Point::NotApplicable | Point::LeftOut(_)))) if field.needed => {
                    absent = why;
                    continue 'rows;
                }
                None | Some(Err(Point::NotApplicable | Point::LeftOut(_))) => None,
                Some(Err(Point::Missing(ids))) if !field.needed && base.only_untold(&ids) => None,
                Some(Err(other)) => return Err(other),
            });
        }
        points.push(point);
    }
    if points.is_empty() {
        Err(absent)
    } else {
        Ok(Input::Points(points))
    }
}

pub(super) fn number(arg: &Arg, base: &Base, graph: &Graph) -> Result<f64, Point> {
    match arg {
        Arg::Constant(q) => Ok(q.si()),
        Arg::Of(id) => match (base.numbers.get(id), graph.get(id)) {
            (Some(si), _) => Ok(*si),
            // What comes of it is known only once its interval is.
            (None, Some(Point::Judged(judged))) if judged.plain == Answer::Absent => {
                Err(Point::Absent)
            }
            (
                None,
                Some(Point::Number(..) | Point::Bound(..) | Point::Words(..) | Point::Judged(..)),
            ) => Err(Point::Missing(vec![id.clone()])),
            (None, Some(other)) => Err(other.clone()),
            (None, None) => Err(absent(id, base)),
        },
        _ => Err(Point::Absent),
    }
}

pub(super) fn absent(id: &str, base: &Base) -> Point {
    if base.not_applicable.iter().any(|other| other == id) {
        Point::NotApplicable
    } else if let Some(readings) = base.left_out.get(id) {
        Point::LeftOut(readings.clone())
    } else {
        Point::Missing(vec![id.to_owned()])
    }
}
