//! Loading points: rows of values that belong together, or a reading that holds such rows.

use super::super::finding::code;
use super::super::model::Arg;
use super::super::node::{Node, Tree};
use super::fields::{Fields, Findings};
use super::inputs::{nothing_in, scalar};
use super::scope::{Meaning, Scope};
use crate::physics::calculation::Field;

pub(super) fn points(
    node: &Node,
    fields: &'static [Field],
    name: &str,
    scope: &Scope,
    out: &mut Findings,
) -> Option<Arg> {
    match &node.tree {
        Tree::Text(id) => match scope.get(id) {
            Some(Meaning::Pairs(first, second))
                if [*first, *second] == [fields[0].dimension, fields[1].dimension] =>
            {
                Some(Arg::PairsOf(id.clone()))
            }
            Some(Meaning::Broken) => None,
            Some(_) => {
                out.error(
                    code::WRONG_DIMENSION,
                    node.place,
                    format!(
                        "`{name}` wants pairs of {} and {}, which `{id}` is not",
                        fields[0].dimension, fields[1].dimension
                    ),
                    "name a reading with `pairs` of these two",
                );
                None
            }
            None => {
                out.unknown(code::UNKNOWN_ID, node.place, "reading", id, scope.ids());
                None
            }
        },
        Tree::List(items) if items.is_empty() => {
            nothing_in(node, name, out);
            None
        }
        Tree::List(items) => {
            let rows: Vec<_> = items
                .iter()
                .map(|item| row(item, fields, scope, out))
                .collect();
            let rows: Option<Vec<_>> = rows.into_iter().collect();
            rows.map(Arg::Rows)
        }
        _ => {
            out.error(
                code::WRONG_SHAPE,
                node.place,
                format!("`{name}` is a list of points, but here is {}", node.kind()),
                "write one point a line: - {airflow: idle-airflow, trim: idle-trim}",
            );
            None
        }
    }
}

fn row(
    node: &Node,
    fields: &'static [Field],
    scope: &Scope,
    out: &mut Findings,
) -> Option<Vec<Option<Arg>>> {
    let keys: Vec<&str> = fields.iter().map(|f| f.name).collect();
    let read = Fields::with_keys(node, "a point", &keys, out)?;
    let mut row = Vec::new();
    for field in fields {
        let value = if field.needed {
            read.need(field.name, out)
        } else {
            read.get(field.name)
        };
        row.push(match value {
            Some(value) => Some(scalar(
                value,
                Some(field.dimension),
                field.name,
                scope,
                out,
            )?),
            None if field.needed => return None,
            None => None,
        });
    }
    Some(row)
}
