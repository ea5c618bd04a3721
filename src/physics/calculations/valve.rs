//! `valve`: what is wrong with a solenoid valve, from what was commanded and what passed.
//!
//! A truth table over four observations: smoke passes or is stopped at rest, with the tool's
//! command, with direct power at its connector, and with the line pinched. What passes while the
//! line is pinched does not go through the valve. Direct power parts a valve that does not move
//! from a command that does not arrive. Source: the logic of the circuit; the table is in
//! `verdict`. Left out: a valve that leaks a little both ways (see `hole`), one that sticks only
//! hot, and one driven by a duty cycle so short that little passes.
//!
//! Worked example: a purge valve, shut at rest, stops smoke at rest and with the tool's command
//! but passes it with direct power: no command.

use crate::physics::calculation::{
    CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;

const SEEN: Kind = Kind::Word(&["passes", "stops", "not-tried"]);

const WORKS: &str = "works";
const MOVES: &str = "moves with power: try the command";
const STUCK_OPEN: &str = "stuck open";
const STUCK_SHUT: &str = "stuck shut";
const NO_COMMAND: &str = "no command";
const WIRED: &str = "wired wrong";
const ELSEWHERE: &str = "not through this valve";
const TRY_POWER: &str = "cannot tell: try direct power";
const AGAIN: &str = "cannot tell: does not agree, repeat";

const VERDICTS: &[&str] = &[
    WORKS, MOVES, STUCK_OPEN, STUCK_SHUT, NO_COMMAND, WIRED, ELSEWHERE, TRY_POWER, AGAIN,
];

/// A commanded valve.
pub(super) static VALVE: Calculation = Calculation {
    name: "valve",
    version: 2,
    summary: "what is wrong with a solenoid valve, from what was commanded and what passed",
    source: "truth table of the circuit; no printed source",
    inputs: &[
        Input::needed(
            "at-rest",
            Kind::Word(&["open", "shut"]),
            "what a sound valve of this kind is without power",
        ),
        Input::needed(
            "rest",
            Kind::Word(&["passes", "stops"]),
            "smoke through it without power",
        ),
        Input::or(
            "tool",
            SEEN,
            "not-tried",
            "smoke through it with the tool's command to move it",
        ),
        Input::or(
            "power",
            SEEN,
            "not-tried",
            "smoke through it with direct power at its connector",
        ),
        Input::or(
            "pinched",
            SEEN,
            "not-tried",
            "smoke beyond it with its line pinched",
        ),
    ],
    outputs: &[Output::text("verdict", VERDICTS, "what is wrong with it")],
    nuisances: &[],
    refuse: accept,
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let at_rest = given.text("at-rest")?;
    let passes = |name: &str| match given.word(name, "not-tried") {
        "passes" => Some(true),
        "stops" => Some(false),
        _ => None,
    };
    let rest = passes("rest").ok_or_else(|| {
        CalcError::new(
            "rest",
            "what passes without power is not known",
            "write passes or stops",
        )
    })?;
    let seen = Observed {
        open_at_rest: at_rest == "open",
        rest,
        tool: passes("tool"),
        power: passes("power"),
        pinched: passes("pinched"),
    };
    let mut notes = vec![
        "direct power: a fused lead, the maker's polarity, and no longer than the maker allows"
            .to_owned(),
    ];
    if seen.pinched.is_none() {
        notes.push("the line was not pinched: smoke may pass another way".to_owned());
    }
    Ok(Worked {
        results: vec![verdict(&seen).into()],
        notes,
    })
}

/// What was seen: whether smoke passed, where it was tried.
struct Observed {
    open_at_rest: bool,
    rest: bool,
    tool: Option<bool>,
    power: Option<bool>,
    pinched: Option<bool>,
}

fn verdict(seen: &Observed) -> &'static str {
    let moved = !seen.open_at_rest;
    let stuck = if seen.rest { STUCK_OPEN } else { STUCK_SHUT };
    if seen.pinched == Some(true) {
        // A pinched line passes nothing: smoke went another way. What stopped it before says the contrary.
        let stopped = !seen.rest || seen.tool == Some(false) || seen.power == Some(false);
        return if stopped { AGAIN } else { ELSEWHERE };
    }
    if seen.rest == seen.open_at_rest {
        // As it should be at rest. Now, does it move, and does the command arrive?
        return match (seen.tool, seen.power) {
            (Some(tool), Some(power)) if tool == moved && power != moved => AGAIN,
            (Some(tool), _) if tool == moved => WORKS,
            (Some(_), Some(power)) if power == moved => NO_COMMAND,
            (None, Some(power)) if power == moved => MOVES,
            (_, Some(_)) => stuck,
            (_, None) => TRY_POWER,
        };
    }
    // Not as it should be at rest: it does not move, or the car powers it when it should not.
    match (seen.tool, seen.power) {
        // The command moves it, but the wrong way round; powered by itself it is as it should be.
        (Some(tool), power) if tool != seen.rest && power != Some(!moved) => WIRED,
        (_, Some(power)) if power == seen.rest => stuck,
        (_, Some(_)) => AGAIN,
        (_, None) => TRY_POWER,
    }
}
