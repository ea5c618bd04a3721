//! What holds for a flow that loads, one rule a file.
//!
//! Each rule takes the flow and gives findings; none knows of another. The table [`RULES`] is all
//! that the checker runs.

mod block_off;
mod cautions;
mod limits;
mod not_read;
mod outcomes;
mod paths;
mod proof;
mod reach;
mod retest;
mod signatures;
mod unsure;
mod unused;
mod valid;

use crate::flow::finding::Finding;
use crate::flow::model::Flow;

/// A rule.
type Rule = fn(&Flow) -> Vec<Finding>;

/// All rules.
const RULES: [Rule; 12] = [
    reach::check,
    block_off::check,
    cautions::check,
    not_read::check,
    retest::check,
    proof::check,
    limits::check,
    outcomes::check,
    valid::check,
    unsure::check,
    unused::check,
    signatures::check,
];

/// Everything that the rules find in a flow.
pub fn check(flow: &Flow) -> Vec<Finding> {
    RULES.iter().flat_map(|rule| rule(flow)).collect()
}
