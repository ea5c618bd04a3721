//! What holds for a flow that loads, one rule a file.
//!
//! Each rule takes the flow and gives findings; none knows of another. The table [`RULES`] is all
//! that the checker runs.

mod block_off;
mod cautions;
mod limits;
mod never_worked;
mod not_read;
mod outcomes;
mod paths;
mod proof;
mod reach;
mod repaired;
mod retest;
mod signatures;
mod unsure;
mod unused;
mod valid;
mod wide_error;

use crate::flow::finding::Finding;
use crate::flow::model::Flow;

/// A rule.
type Rule = fn(&Flow) -> Vec<Finding>;

/// All rules but the two of [`check`] of which one hangs on the other.
const RULES: [Rule; 13] = [
    reach::check,
    block_off::check,
    cautions::check,
    not_read::check,
    retest::check,
    proof::check,
    limits::check,
    valid::check,
    unsure::check,
    unused::check,
    signatures::check,
    repaired::check,
    wide_error::check,
];

/// Everything that the rules find in a flow.
pub fn check(flow: &Flow) -> Vec<Finding> {
    let never = never_worked::check(flow);
    let mut found: Vec<Finding> = RULES.iter().flat_map(|rule| rule(flow)).collect();
    // What is never worked leaves gaps in whatever is judged by it: one finding is enough.
    if never.is_empty() {
        found.extend(outcomes::check(flow));
    }
    found.extend(never);
    found
}
