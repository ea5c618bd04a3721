//! What the results of `decay` mean: the time criterion, the two thresholds, and how long to go on
//! measuring. Each rests on an interval and says "cannot tell" while that straddles its limit.

use super::decay_points::{UNREAD_TEMPERATURE, has_temperatures, readings, started};
use crate::physics::calculation::{Answer, CANNOT_TELL, CalcError, Seen, Shifts};
use crate::physics::decay::{Reading, fit};
use crate::physics::gas::ATMOSPHERE;
use crate::physics::given::Given;
use crate::units::{Dimension, Unit};

pub(super) const INCH_OF_WATER: f64 = 249.088_91;
/// Fuel-vapour leak thresholds, 13 CCR 1968.2 (e)(4.2.2)(B) and (C): 0.040 in and 0.020 in.
const LARGE: f64 = 0.040 * 0.0254;
const SMALL: f64 = 0.020 * 0.0254;
/// From so many times the pressure at the start on a space is said to gain pressure, and not to stand still within the
/// errors of gauge and thermometer: a twentieth more, an assumption of ours, no source.
pub const GAINS: f64 = 1.05;
/// Longer than this nobody goes on measuring, s.
const A_DAY: f64 = 86_400.0;

/// The criterion that is taken where none is named: from this pressure to that one, Pa, in no less
/// than this time, s. By inches of water, 14 to 8 in two minutes: common practice, no source.
pub const USUAL_CRITERION: [f64; 3] = [14.0 * INCH_OF_WATER, 8.0 * INCH_OF_WATER, 120.0];

pub(super) const PASSES: &str = "passes";
pub(super) const FAILS: &str = "fails";

/// The time criterion asked for: start, end and time; none where it is switched off.
pub(super) fn criterion(given: &Given) -> Result<Option<[f64; 3]>, CalcError> {
    match given.word("criterion", "evaporative-pressure") {
        "none" => Ok(None),
        "own" => {
            let own = [
                given.number("from")?,
                given.number("to")?,
                given.number("within")?,
            ];
            if own[0] * own[1] < 0.0 || own[1].abs() >= own[0].abs() || own[2] <= 0.0 {
                return Err(CalcError::new(
                    "to",
                    "your own criterion does not fall towards the barometer in a time above zero",
                    "write for example from 14 inH2O, to 8 inH2O, within 120 s",
                ));
            }
            Ok(Some(own))
        }
        _ => Ok(Some(USUAL_CRITERION)),
    }
}

pub(super) fn judge_time(seen: &Seen) -> Answer {
    let Ok(Some([from, to, _])) = criterion(seen.given) else {
        return Answer::Absent;
    };
    // Under a vacuum both turn their sign: what counts is what is left of the difference.
    let sign = to.signum();
    let (low, high) = if sign < 0.0 {
        (-seen.estimate.high, -seen.estimate.low)
    } else {
        (seen.estimate.low, seen.estimate.high)
    };
    // Rounding must not fail a space that holds exactly what it must.
    let limit = to.abs() * (1.0 - 1e-9);
    if low > from.abs() * GAINS {
        // It gains pressure: what warms or evaporates in it hides whatever leaks.
        CANNOT_TELL.into()
    } else if low >= limit {
        PASSES.into()
    } else if high < limit {
        FAILS.into()
    } else {
        CANNOT_TELL.into()
    }
}

fn judge_hole(seen: &Seen, limit: f64, below: &'static str, above: &'static str) -> Answer {
    let estimate = seen.estimate;
    if strays(seen.given) || estimate.high <= 0.0 && rises(seen.given) {
        CANNOT_TELL.into()
    } else if estimate.high < limit {
        below.into()
    } else if estimate.low >= limit {
        above.into()
    } else {
        CANNOT_TELL.into()
    }
}

/// Whether the pressure has moved away from the barometer, warming of the gas as read taken out: no leak does
/// that, something else in the space does, and it hides a leak.
fn rises(given: &Given) -> bool {
    let Ok(read) = readings(given, "at", 0.0) else {
        return false;
    };
    let barometer = given.number_or("barometer", ATMOSPHERE);
    let (Some(first), Some(last)) = (read.first(), read.last()) else {
        return false;
    };
    let cooled = (barometer + last.inside) * first.temperature / last.temperature - barometer;
    cooled * first.inside.signum() > first.inside.abs() * GAINS
}

/// So far a point may lie off the curve, as a share of the fall and of the start, before the readings are no decay of one
/// leak: ours, no source.
const OFF_THE_FALL: f64 = 0.15;
const OFF_THE_START: f64 = 0.05;

/// Whether the points lie on no one curve: something sealed, opened or was moved meanwhile.
pub(super) fn strays(given: &Given) -> bool {
    let fitted = readings(given, "at", 0.0).ok().and_then(|read| {
        let left = read
            .iter()
            .take_while(|reading| reading.inside != 0.0)
            .count();
        let read = &read[..left];
        let (first, last) = (read.first()?.inside.abs(), read.last()?.inside.abs());
        let fit = fit(&started(given, &Shifts::none(), read).ok()?, read)?;
        // Two points have no curve to lie off, and one that rises is another matter.
        let tells = read.len() > 2 && last < first;
        Some(
            tells
                && fit.residual > OFF_THE_FALL * (first - last)
                && fit.residual > OFF_THE_START * first,
        )
    });
    fitted.unwrap_or(false)
}

/// The time criterion's verdict on the gas at one temperature, where the warming or cooling that was read turns it;
/// `Some(true)` where it would then pass.
pub(super) fn turned_by_warmth(given: &Given) -> Option<bool> {
    let [from, to, time] = criterion(given).ok()??;
    if !has_temperatures(given.points("at").ok()?) {
        return None;
    }
    let warm = readings(given, "at", 0.0).ok()?;
    let mut plain = warm.clone();
    let begun = plain.first()?.temperature;
    for reading in &mut plain {
        reading.temperature = begun;
    }
    let space = started(given, &Shifts::none(), &warm).ok()?;
    let passes = |read: &[Reading]| {
        let fit = fit(&space, read)?;
        Some(
            space
                .pressure_after(from, fit.area_per_volume, 1.0, time)
                .abs()
                >= to.abs(),
        )
    };
    let (as_read, at_one) = (passes(&plain)?, passes(&warm)?);
    (as_read != at_one).then_some(at_one)
}

pub(super) fn judge_large(seen: &Seen) -> Answer {
    judge_hole(seen, LARGE, "below 0.040 in", "0.040 in or more")
}

pub(super) fn judge_small(seen: &Seen) -> Answer {
    judge_hole(seen, SMALL, "below 0.020 in", "0.020 in or more")
}

/// What would settle the verdicts that the interval straddles.
enum Wait {
    /// They are settled.
    Settled,
    /// The pressure rises: not before it has settled.
    Rises,
    /// Until this time after the first reading, s.
    Until(f64),
    /// It may have emptied by the last reading.
    Emptied,
    /// The readings are no decay of one leak.
    Strays,
    /// No time would do: the errors that time does not shrink straddle the limit by themselves.
    Never,
}

/// So much longer than reckoned, since the errors shrink by the first order only: a tenth, chosen here.
const LONGER: f64 = 1.1;

/// Time from the first reading to the last, s.
fn so_far(given: &Given) -> Option<f64> {
    let read = readings(given, "at", 0.0).ok()?;
    Some(read.last()?.time - read.first()?.time)
}

/// How long to go on. The errors of the readings and of an unread temperature shrink as the drop
/// grows; those of the volume and of the coefficient stay.
fn wait(seen: &Seen) -> Wait {
    if strays(seen.given) {
        return Wait::Strays;
    }
    let open: Vec<f64> = [LARGE, SMALL]
        .into_iter()
        .filter(|limit| seen.estimate.low < *limit && seen.estimate.high >= *limit)
        .collect();
    if seen.estimate.high <= 0.0 && rises(seen.given) {
        return Wait::Rises;
    }
    if open.is_empty() {
        return Wait::Settled;
    }
    if seen.estimate.high.is_infinite() {
        return Wait::Emptied;
    }
    let part = |shrinks: bool| {
        seen.effects
            .iter()
            .filter(|(name, _)| (name == "at" || name == UNREAD_TEMPERATURE.name) == shrinks)
            .fold(0.0, |sum: f64, (_, half)| sum.hypot(*half))
    };
    let (fixed, shrinking) = (part(false), part(true));
    let times: Vec<f64> = open
        .iter()
        .filter_map(|limit| {
            let room = (seen.estimate.value - limit).powi(2) - fixed * fixed;
            (room > 0.0 && shrinking > 0.0)
                .then(|| shrinking / room.sqrt())
                .and_then(|factor| time_for(seen.given, factor))
        })
        .collect();
    match times.iter().copied().reduce(f64::max) {
        // No time that is over already: who stands at the limit has some way to go.
        Some(time) if times.len() == open.len() => {
            Wait::Until(time.max(so_far(seen.given).unwrap_or(0.0)) * LONGER)
        }
        _ => Wait::Never,
    }
}

/// Time from the first reading until the drop is so many times as large; `None` if it never is.
fn time_for(given: &Given, factor: f64) -> Option<f64> {
    let read = readings(given, "at", 0.0).ok()?;
    let space = started(given, &Shifts::none(), &read).ok()?;
    let fit = fit(&space, &read)?;
    let (first, last) = (read.first()?.inside, read.last()?.inside);
    let left = first - (first - last) * factor;
    // Below a twentieth of the start the gauge shows next to nothing.
    if fit.area_per_volume <= 0.0 || left * first <= 0.0 || left.abs() < 0.05 * first.abs() {
        return None;
    }
    let time = space.time_between(first, left, fit.area_per_volume, 1.0);
    (time < A_DAY).then_some(time)
}

/// Until when to go on for the time criterion, where it is open and its time is not over: then the gauge is read, and
/// nothing need be reckoned ahead. Time after the first reading, s.
fn until_the_criterion(seen: &Seen) -> Option<f64> {
    let [_, _, time] = criterion(seen.given).ok()??;
    let end = Seen {
        estimate: seen.also?,
        ..*seen
    };
    let so_far = so_far(seen.given)?;
    let open = judge_time(&end) == CANNOT_TELL.into() && !rises(seen.given);
    (open && so_far < time).then_some(time)
}

/// Whether the time criterion is open though its time is over.
fn criterion_stays_open(seen: &Seen) -> bool {
    let end = seen.also.map(|estimate| Seen { estimate, ..*seen });
    end.is_some_and(|end| judge_time(&end) == CANNOT_TELL.into()) && !rises(seen.given)
}

pub(super) fn measure_for(seen: &Seen) -> Answer {
    let hole = match wait(seen) {
        Wait::Until(time) => Some(time),
        Wait::Settled | Wait::Rises | Wait::Emptied | Wait::Strays | Wait::Never => None,
    };
    let both = hole.into_iter().chain(until_the_criterion(seen));
    both.reduce(f64::max).into()
}

pub(super) fn next(seen: &Seen) -> Answer {
    let criterion = until_the_criterion(seen);
    let until = |time: f64| {
        format!(
            "go on measuring until {} after the first reading",
            Unit::default_for(Dimension::Time).show(time)
        )
    };
    let hole = match wait(seen) {
        Wait::Settled => turned_by_warmth(seen.given)
            .map(|_| "the temperature decides the time criterion: let it settle, and hold again"),
        Wait::Strays => Some(
            "the points lie on no one curve: look for a valve, a kinked hose or a plug that moved, and hold again",
        ),
        Wait::Until(time) => return until(criterion.map_or(time, |other| other.max(time))).into(),
        Wait::Rises => Some(
            "the pressure rises: shut the supply, let temperature and fuel vapour settle, and hold again",
        ),
        Wait::Emptied => {
            Some("it may have emptied: hold again and read sooner, while some pressure is left")
        }
        Wait::Never => Some(
            "going on will not tell the size of the hole: measure the volume with a known test hole (`volume`), \
             read on a finer gauge, or read the temperature at each point",
        ),
    };
    match (criterion.map(until), hole) {
        (Some(time), None) => format!("{time}, where the time criterion ends").into(),
        (Some(time), Some(hole)) => format!("{time} for the time criterion; {hole}").into(),
        (None, Some(hole)) => hole.into(),
        (None, None) if criterion_stays_open(seen) => {
            "what is left stands within the gauge's error of the time criterion: read on a finer gauge".into()
        }
        (None, None) => Answer::Absent,
    }
}
