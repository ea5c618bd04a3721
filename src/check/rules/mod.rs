//! What holds for a flow that loads, one rule a file.
//!
//! Each rule takes the flow and gives findings; none knows of another. The table [`RULES`] is all
//! that the checker runs.

mod as_said;
mod block_off;
mod cautions;
mod closed;
mod effects;
mod far_off;
mod followers;
mod goes_round;
mod limits;
mod never_counts;
mod never_rules_out;
mod never_worked;
mod no_plausible;
mod not_read;
mod nothing_said;
mod odds;
mod open_at;
mod out_of_reach;
mod outcomes;
mod own_flow;
mod paths;
mod pressures;
mod proof;
mod reach;
mod repaired;
mod retest;
mod round_without;
mod ruled_out;
mod signatures;
mod signs;
mod some_ways;
mod unguarded;
mod unsure;
mod unused;
mod valid;
mod way;
mod wide_error;
mod wrong_repair;

use std::collections::BTreeSet;

use crate::flow::finding::{Finding, Severity, code};
use crate::flow::model::Flow;
use crate::flow::node::Node;

/// A rule.
type Rule = fn(&Flow) -> Vec<Finding>;

/// All rules but the two of [`check`] of which one hangs on the other.
const RULES: [Rule; 28] = [
    reach::check,
    closed::check,
    round_without::check,
    goes_round::check,
    own_flow::check,
    block_off::check,
    cautions::check,
    no_plausible::check,
    not_read::check,
    some_ways::check,
    retest::check,
    proof::check,
    effects::check,
    far_off::check,
    limits::check,
    valid::check,
    never_counts::check,
    unsure::check,
    unused::check,
    signatures::check,
    repaired::check,
    wrong_repair::check,
    out_of_reach::check,
    ruled_out::check,
    never_rules_out::check,
    odds::check,
    nothing_said::check,
    wide_error::check,
];

/// What the rules find in a flow, which was loaded from this tree: of each slip what is to be mended.
pub fn check(flow: &Flow, tree: &Node) -> Vec<Finding> {
    by_one_slip(flow, followers::without(flow, tree, all(flow)))
}

/// Everything that the rules find in a flow, with what follows from other findings.
pub fn unabridged(flow: &Flow) -> Vec<Finding> {
    by_one_slip(flow, all(flow))
}

fn all(flow: &Flow) -> Vec<Finding> {
    let never = never_worked::check(flow);
    let mut found: Vec<Finding> = RULES.iter().flat_map(|rule| rule(flow)).collect();
    // What is never worked leaves gaps in whatever is judged by it: one finding is enough.
    if never.is_empty() {
        found.extend(outcomes::check(flow));
    }
    found.extend(never);
    found
}

/// What a slip in the unit or range of one reading brings about, all at its own line.
const BY_RANGE: [&str; 4] = [
    code::NEVER_TAKEN,
    code::IDLE_LIMIT,
    code::WIDE_ERROR,
    code::FAR_OFF,
];

/// Leaves one finding for each reading whose range is at fault: an error before warnings.
fn by_one_slip(flow: &Flow, mut found: Vec<Finding>) -> Vec<Finding> {
    found.sort_by_key(|finding| finding.severity != Severity::Error);
    let prompts = flow.facts.iter().chain(&flow.readings);
    let lines: BTreeSet<usize> = prompts.map(|prompt| prompt.place.start).collect();
    let mut seen = BTreeSet::new();
    found.retain(|finding| {
        let start = finding.place.start;
        !BY_RANGE.contains(&finding.code) || !lines.contains(&start) || seen.insert(start)
    });
    found
}
