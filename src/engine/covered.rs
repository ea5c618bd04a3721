//! Which place was covered as a value was read. Two values with different places covered say nothing
//! about each other, so that no table sets them side by side as before and after.

use super::job::Job;
use super::judge::rests_on;
use crate::flow::answer::Answer;
use crate::flow::meaning::{Meaning, Plain, State, What};
use crate::flow::model::Flow;

/// What names the place that was covered, the plainest first.
const NAMES: [Plain; 3] = [Plain::CoveredPlace, Plain::LargestPlace, Plain::Part];

/// Whether a reading is taken with a place covered, or a worked value rests on one that is.
pub fn is_under_cover(flow: &Flow, id: &str) -> bool {
    let covered = |m: Meaning| m.state == State::PlaceCovered;
    let mut readings = flow.readings.iter();
    readings.any(|prompt| prompt.meaning().is_some_and(covered) && rests_on(flow, id, &prompt.id))
}

/// The place that was covered last in a test, where the flow asks for it and somebody said it.
pub fn place<'j>(job: &'j Job, flow: &Flow, test: u32) -> Option<&'j str> {
    NAMES.iter().find_map(|name| {
        let asked = flow.readings.iter().filter(|prompt| {
            prompt
                .meaning()
                .is_some_and(|m| m.what == What::Plain(*name))
        });
        let mut taken = asked.filter_map(|prompt| job.latest(&prompt.id, test));
        taken.find_map(|taken| match &taken.value {
            Answer::Choice(word) => Some(word.as_str()),
            _ => None,
        })
    })
}

/// Whether a value of one test can be set beside that of another.
pub fn alike(job: &Job, flow: &Flow, id: &str, one: u32, other: u32) -> bool {
    if !is_under_cover(flow, id) {
        return true;
    }
    let place = |test| place(job, flow, test);
    place(one).is_some() && place(one) == place(other)
}
