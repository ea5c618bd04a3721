//! What the workshop could not try: answers that say themselves that something is still to be shown on the road.

use crate::engine::job::{Job, Taken};
use crate::flow::answer::Answer;

/// What such an answer says.
const WORDS: [&str; 2] = ["not driven", "not run yet"];

/// Readings of the last test that say so, unless the same was read again since: a check that had not run yet is told by
/// what it said last.
pub fn still_open(job: &Job) -> Vec<&Taken> {
    let last = job.readings.iter().map(|taken| taken.test).max();
    let readings = || job.readings.iter().filter(|t| Some(t.test) == last);
    let says_so = |taken: &&Taken| match &taken.value {
        Answer::Choice(word) => WORDS.iter().any(|words| word.contains(words)),
        _ => false,
    };
    readings()
        .filter(|taken| {
            !readings().any(|later| later.reading == taken.reading && later.seq > taken.seq)
        })
        .filter(says_so)
        .collect()
}

/// Whether something is still to be shown on the road.
pub fn is_to_be_driven(job: &Job) -> bool {
    !still_open(job).is_empty()
}
