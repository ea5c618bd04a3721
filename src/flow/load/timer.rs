//! Loading the timer of a step.

use super::super::finding::code;
use super::super::node::Node;
use super::fields::{Fields, Findings};
use super::prompts::yes;
use super::quantities::{fits, quantity_of};
use crate::units::{Dimension, Quantity};

/// A day, s: nobody stands beside a car for longer. An assumption of ours, no source.
const LONGEST_TIMER: f64 = 86_400.0;

/// A second, s: nobody waits for less with a clock. An assumption of ours, no source.
const SHORTEST_TIMER: f64 = 1.0;

pub(super) fn timer(fields: &Fields, out: &mut Findings) -> Option<f64> {
    let node = fields.get("timer")?;
    let time = quantity_of(node, "timer", "s", out)?;
    // To the units an m is a metre.
    if time.unit().name() == "m" {
        out.error(
            code::WRONG_DIMENSION,
            node.place,
            format!("`timer` is a time, and an `m` alone is a metre: `{time}`"),
            format!("write {} min", time.value()),
        );
        return None;
    }
    if !fits(time, Dimension::Time, "s", "timer", node.place, out) {
        return None;
    }
    far_off(time, fields, node, out);
    Some(time.si())
}

/// Warns of a timer that cannot be meant: too short to wait for, or longer than its own step.
fn far_off(time: Quantity, fields: &Fields, node: &Node, out: &mut Findings) {
    let minutes = fields.get("minutes").and_then(Node::text);
    let minutes = minutes.and_then(|text| text.trim().parse::<f64>().ok());
    // Minutes below zero were reported as such.
    let step = minutes.filter(|minutes| *minutes >= 0.0 && time.si() > minutes * 60.0);
    if time.si() > LONGEST_TIMER {
        out.warning(
            code::FAR_OFF,
            node.place,
            format!("a timer of {time} runs for more than a day"),
            "mend the digit or unit that slipped, such as 600 s",
        );
    } else if time.si() < SHORTEST_TIMER {
        out.warning(
            code::FAR_OFF,
            node.place,
            format!("a timer of {time} is over before anybody sees it"),
            "mend the digit or unit that slipped, such as 60 s",
        );
    } else if let Some(minutes) = step {
        out.warning(
            code::FAR_OFF,
            node.place,
            format!("a timer of {time} runs for longer than its whole step, of which `minutes` says {minutes}"),
            "mend the digit or unit that slipped, or count the wait in `minutes`",
        );
    }
}

pub(super) fn timer_by_hand(fields: &Fields, out: &mut Findings) -> bool {
    let by_hand = yes(fields, "timer by hand", out);
    if let (true, None, Some(node)) = (by_hand, fields.get("timer"), fields.get("timer by hand")) {
        out.error(
            code::NO_VALUE,
            node.place,
            "there is no timer here that could be started by hand",
            "say how long it runs, such as timer: 15 s, or take this away",
        );
    }
    by_hand
}
