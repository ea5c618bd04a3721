//! The keys that lead to the evidence, and those on its pages.

use super::super::input::Press;
use super::super::message::Act;
use super::super::model::Model;
use super::table::{WALK, always, letter};
use super::{Context, Row};
use Context::{Evidence, Judged};

/// The keys of the evidence.
pub static EVIDENCE: &[Row] = &[
    Row {
        act: Act::Evidence,
        keys: &[letter('x'), Press::ctrl('x')],
        words: "evidence",
        help: "which causes are likely, what moved them, what to do next, the map",
        contexts: WALK,
        when: Model::has_evidence,
        foot: 6,
    },
    Row {
        act: Act::ByEvidence,
        keys: &[letter('g')],
        words: "by evidence",
        help: "leave the step for where the evidence says, not the flow",
        contexts: &[Judged],
        when: Model::can_go_by,
        foot: 2,
    },
    Row {
        act: Act::Gear,
        keys: &[letter('n')],
        words: "gear not here",
        help: "say which gear is not here: steps that need it are not suggested",
        contexts: &[Evidence],
        when: always,
        foot: 4,
    },
    Row {
        act: Act::OwnJobs,
        keys: &[letter('h')],
        words: "own jobs",
        help: "count the workshop's own closed jobs, or leave them out",
        contexts: &[Evidence],
        when: always,
        foot: 5,
    },
];
