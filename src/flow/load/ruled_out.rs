//! Loading which causes an outcome rules out: always, or where a condition holds.

use super::super::finding::code;
use super::super::model::RulesOutIf;
use super::super::node::{Node, Tree};
use super::conditions::condition;
use super::fields::{Fields, Findings};
use super::steps::Known;
use super::ways::known_cause;

/// `rules out`: the causes by id.
pub fn always(fields: &Fields, known: &Known, out: &mut Findings) -> Vec<String> {
    let ids = fields.words("rules out", out).into_iter();
    ids.filter_map(|(id, place)| known_cause(&known.causes, id, place, out))
        .collect()
}

/// `rules out if`: causes by id, each with its condition. `always` are those that stand in
/// `rules out`.
pub fn under_conditions(
    fields: &Fields,
    always: &[String],
    known: &Known,
    out: &mut Findings,
) -> Vec<RulesOutIf> {
    let Some(node) = fields.get("rules out if") else {
        return Vec::new();
    };
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`rules out if` gives each cause its condition, but here is {}",
                node.kind()
            ),
            "write for example {fuel-cap: {fed-at: {none of: [filler]}}}; without a condition, a cause stands in `rules out`",
        );
        return Vec::new();
    };
    if pairs.is_empty() {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            "`rules out if` names no cause",
            "write for example {fuel-cap: {fed-at: {none of: [filler]}}}, or delete it",
        );
    }
    pairs
        .iter()
        .filter_map(|(key, value)| one(key, value, always, known, out))
        .collect()
}

fn one(
    key: &Node,
    value: &Node,
    always: &[String],
    known: &Known,
    out: &mut Findings,
) -> Option<RulesOutIf> {
    let id = key.text().unwrap_or_default().to_owned();
    if !known.causes.contains(&id) && known.scope.get(&id).is_some() {
        out.error(
            code::UNKNOWN_CAUSE,
            key.place,
            format!("`{id}` is read or known, and this asks first for the cause that it rules out"),
            format!("put the cause around it, such as {{a-cause: {{{id}: ...}}}}"),
        );
        return None;
    }
    let when = condition(value, known.scope, out);
    let id = known_cause(&known.causes, id, key.place, out)?;
    if always.contains(&id) {
        out.error(
            code::WRONG_SHAPE,
            key.place,
            format!(
                "`{id}` stands in `rules out` as well, where it is ruled out without a condition"
            ),
            format!("take `{id}` out of `rules out`, or this condition away"),
        );
        return None;
    }
    Some(RulesOutIf {
        cause: id,
        when: when?,
        place: key.place,
    })
}
