//! `raised-idle`: idle control of a car that is metered by manifold pressure, against its baseline,
//! and what a hole would ask of it.
//!
//! Such a car does not go lean with extra air, since that air is counted: the idle control closes to
//! hold the speed, and only when it is at its stop do speed and pressure rise. Two questions:
//!
//! - as read: `closed-by = baseline - reading`, both as the control's own share of its full range;
//! - where it is told as a throttle angle, the share is that of the wide open throttle's angle;
//! - foretold for a `hole`: formula, assumptions and source in [`crate::physics::raised_idle`].
//!
//! Left out: load (steering, charging, a cooler), a throttle body that was cleaned or re-learnt
//! since the baseline, and everything else that changes the air needed at idle: late timing, back
//! pressure, a weak cylinder. Worked example: 12 % now against a baseline of 30 % has closed by
//! 18 % and, with a stop at 5 %, has 7 % left.

use super::gear::{BAROMETER, COEFFICIENT, COEFFICIENT_SPREAD, positive, refuse_negative};
use super::intake::{AIR_TEMPERATURE, AN_ENGINE, EFFICIENCY, IDLE_MANIFOLD, flux};
use crate::physics::calculation::{
    Answer, CANNOT_TELL, CalcError, Calculation, Input, Kind, Output, Shifts, Worked,
};
use crate::physics::engine_air::speed_density;
use crate::physics::gas::{ATMOSPHERE, ROOM};
use crate::physics::given::Given;
use crate::physics::orifice;
use crate::physics::raised_idle::Idle;
use crate::units::{Dimension, Unit};
use std::f64::consts::PI;

const IN_RANGE: &str = "within its range";
const CLOSED: &str = "closed below baseline: extra air";
const AT_STOP: &str = "at its stop";

const OF_ITS_RANGE: &str = "it is a share of the control's whole range, from 0 % to 100 %";

/// Change of the command that counts: an assumption of ours, no source.
const TOLERANCE: f64 = 0.03;

/// Idle control of a car metered by manifold pressure.
pub(super) static RAISED_IDLE: Calculation = Calculation {
    name: "raised-idle",
    version: 6,
    summary: "idle control against its baseline, and what a hole asks of it, on a car metered by manifold pressure",
    source: "difference; mass balance of the idle with speed-density air and isentropic leak, our \
             derivation; limits are assumptions, no source",
    inputs: &[
        Input::optional(
            "reading",
            Kind::Quantity(Dimension::Ratio),
            "idle-air command or throttle opening now, in %, warm, no load",
        )
        .within(0.0, 1.0, OF_ITS_RANGE),
        Input::optional(
            "baseline",
            Kind::Quantity(Dimension::Ratio),
            "the same on a sound engine of this kind",
        )
        .within(0.0, 1.0, OF_ITS_RANGE),
        Input::or(
            "stop",
            Kind::Quantity(Dimension::Ratio),
            "0 %",
            "the least that the control can go to",
        )
        .within(0.0, 1.0, OF_ITS_RANGE),
        Input::optional(
            "angle",
            Kind::Quantity(Dimension::Angle),
            "throttle angle now, in place of `reading`",
        ),
        Input::optional(
            "baseline-angle",
            Kind::Quantity(Dimension::Angle),
            "the same on a sound engine of this kind, in place of `baseline`",
        ),
        Input::optional(
            "stop-angle",
            Kind::Quantity(Dimension::Angle),
            "the least angle that the throttle can go to, in place of `stop`",
        ),
        Input::or(
            "open-angle",
            Kind::Quantity(Dimension::Angle),
            "90 deg",
            "angle of the wide open throttle, of which angles are a share",
        )
        // A plate at right angles to the bore cannot open further.
        .within(
            PI / 6.0,
            PI * 100.0 / 180.0,
            "a throttle plate opens to some 80 to 90 deg",
        ),
        Input::or(
            "tolerance",
            Kind::Quantity(Dimension::Ratio),
            "3 %",
            "change that counts",
        ),
        Input::optional(
            "hole",
            Kind::List(Dimension::Length),
            "diameter of a hole into the manifold; several add by area",
        ),
        Input::optional(
            "displacement",
            Kind::Quantity(Dimension::Volume),
            "volume swept by the engine; needed with `hole`",
        )
        .within(1e-5, 0.1, AN_ENGINE),
        Input::or(
            "speed",
            Kind::Quantity(Dimension::Speed),
            "800 rpm",
            "target idle speed",
        ),
        Input::or(
            "manifold",
            Kind::Quantity(Dimension::Pressure),
            "35 kPa",
            "absolute manifold pressure at a sound idle",
        ),
        EFFICIENCY,
        Input::or(
            "rest",
            Kind::Quantity(Dimension::Ratio),
            "0 %",
            "share of the idle's air that still passes with the control at its stop",
        ),
        BAROMETER,
        AIR_TEMPERATURE,
        COEFFICIENT,
    ],
    outputs: &[
        Output::quantity("closed-by", Dimension::Ratio, "%", "baseline less reading"),
        Output::quantity(
            "left",
            Dimension::Ratio,
            "%",
            "what is left before the stop",
        ),
        Output::text(
            "verdict",
            &[IN_RANGE, CLOSED, AT_STOP, CANNOT_TELL],
            "what it means",
        )
        .or_cannot_tell(),
        Output::quantity(
            "command",
            Dimension::Ratio,
            "%",
            "command that the hole asks for",
        ),
        Output::quantity(
            "throttle",
            Dimension::Angle,
            "deg",
            "throttle angle that the hole asks for, where the baseline is an angle",
        ),
        Output::quantity(
            "leak-share",
            Dimension::Ratio,
            "%",
            "air through the hole over the air that the idle needs",
        ),
        Output::quantity(
            "speed",
            Dimension::Speed,
            "rpm",
            "idle speed with the hole, if the pressure stays",
        ),
        Output::quantity(
            "manifold",
            Dimension::Pressure,
            "kPa",
            "manifold pressure with the hole, if the speed is held instead",
        ),
    ],
    nuisances: &[COEFFICIENT_SPREAD],
    refuse,
    run,
};

/// The control as a share of its whole range, as it was given: in %, or as a throttle angle.
///
/// In which way is told by the input's name, for the errors.
struct Control {
    reading: Option<(&'static str, f64)>,
    baseline: (&'static str, f64),
    stop: f64,
    /// The wide open throttle's angle, where the baseline is an angle.
    open_angle: Option<f64>,
}

impl Control {
    fn of(given: &Given) -> Result<Self, CalcError> {
        let open = given.number_or("open-angle", PI / 2.0);
        let one = |share: &'static str, angle: &'static str| match (
            given.maybe(share),
            given.maybe(angle),
        ) {
            (Some(_), Some(_)) => Err(CalcError::new(
                angle,
                format!("given together with `{share}`"),
                "give one of the two",
            )),
            (Some(share_of_all), None) => Ok(Some((share, share_of_all))),
            (None, Some(radians)) if !(0.0..=open).contains(&radians) => Err(CalcError::new(
                angle,
                "it lies outside the throttle's way from shut to wide open",
                "read it again; `open-angle` is the angle of the wide open throttle",
            )),
            (None, Some(radians)) => Ok(Some((angle, radians / open))),
            (None, None) => Ok(None),
        };
        let baseline = one("baseline", "baseline-angle")?.ok_or_else(|| {
            CalcError::new(
                "baseline",
                "missing",
                "give what a sound engine of this kind shows, as `baseline` in % or `baseline-angle` in deg",
            )
        })?;
        Ok(Self {
            reading: one("reading", "angle")?,
            open_angle: (baseline.0 == "baseline-angle").then_some(open),
            baseline,
            stop: one("stop", "stop-angle")?.map_or(0.0, |(_, stop)| stop),
        })
    }
}

fn refuse(given: &Given) -> Result<(), CalcError> {
    let control = Control::of(given)?;
    if control.baseline.1 <= control.stop {
        return Err(CalcError::new(
            control.baseline.0,
            "it is not above the stop",
            "take the baseline from a sound engine, warm and without load",
        ));
    }
    if control.reading.is_none() && given.get("hole").is_none() {
        return Err(CalcError::new(
            "reading",
            "missing",
            "give `reading` to judge the car, `hole` to foretell what it would do, or both",
        ));
    }
    for name in ["tolerance", "stop", "stop-angle"] {
        refuse_negative(given, name)?;
    }
    if let Some((name, _)) = control.reading.filter(|(_, share)| *share < control.stop) {
        return Err(CalcError::new(
            name,
            "it is below the stop, where no control goes",
            "read it again, and give the least that it can go to as `stop` or `stop-angle`",
        ));
    }
    if given.get("hole").is_none() {
        return Ok(());
    }
    for name in ["displacement", "speed", "efficiency", "manifold"] {
        refuse_negative(given, name)?;
        if given.maybe(name) == Some(0.0) {
            return Err(CalcError::new(
                name,
                "an idling engine needs it above zero",
                "read it on a sound engine",
            ));
        }
    }
    given.number("displacement")?;
    if given.number_or("manifold", IDLE_MANIFOLD) >= given.number_or("barometer", ATMOSPHERE) {
        return Err(CalcError::new(
            "manifold",
            "no air comes in without a pressure drop",
            "give the absolute pressure of a sound idle, well below the barometer",
        ));
    }
    if !(0.0..1.0).contains(&given.number_or("rest", 0.0)) {
        return Err(CalcError::new(
            "rest",
            "it is a share below 100 %",
            "write for example 20 %",
        ));
    }
    Ok(())
}

/// What the reading says: how far it has closed, what is left, and the verdict.
fn as_read(given: &Given) -> Result<Option<(f64, f64, &'static str)>, CalcError> {
    let control = Control::of(given)?;
    let Some((_, reading)) = control.reading else {
        return Ok(None);
    };
    let closed_by = control.baseline.1 - reading;
    let left = reading - control.stop;
    let tolerance = given.number_or("tolerance", TOLERANCE).abs();
    let room = control.baseline.1 - control.stop;
    let verdict = match (left, closed_by) {
        // What counts as a change is all that the control could close by.
        (_, closed) if closed <= tolerance && 2.0 * tolerance > room => CANNOT_TELL,
        // Near the stop counts only if it has closed: some baselines lie close to it.
        (left, closed) if left <= tolerance && closed > tolerance => AT_STOP,
        (_, closed) if closed > tolerance => CLOSED,
        _ => IN_RANGE,
    };
    Ok(Some((closed_by, left, verdict)))
}

/// What a hole asks for.
struct Foretold {
    /// The command, as a share of the control's range.
    command: f64,
    /// The throttle's angle, where the baseline is one.
    throttle: Option<f64>,
    /// Air through the hole over the air that the idle needs.
    leak_share: f64,
    /// The speed, if the pressure stays.
    speed: f64,
    /// The manifold pressure, if the speed is held.
    manifold: f64,
    /// The control is at its stop.
    at_stop: bool,
}

fn foretold(given: &Given, shifts: &Shifts) -> Result<Option<Foretold>, CalcError> {
    if given.get("hole").is_none() {
        return Ok(None);
    }
    let control = Control::of(given)?;
    let area: f64 = given
        .list("hole")?
        .iter()
        .map(|hole| orifice::area(hole.max(0.0)))
        .sum();
    let manifold = given.number_or("manifold", IDLE_MANIFOLD);
    let speed = given.number_or("speed", 800.0 / 60.0);
    let at_target = flux(given, manifold, shifts)?.max(0.0);
    let idle = Idle {
        need: speed_density(
            given.number_or("efficiency", 0.8),
            manifold,
            positive("temperature", given.number_or("temperature", ROOM), "K")?,
            given.number("displacement")?,
            speed,
        ),
        leak: area * at_target,
        baseline: control.baseline.1,
        stop: control.stop,
        rest: given.number_or("rest", 0.0),
    };
    let answer = idle.answer();
    Ok(Some(Foretold {
        command: answer.command,
        throttle: control.open_angle.map(|open| answer.command * open),
        leak_share: idle.leak / idle.need,
        speed: speed * answer.air,
        manifold: manifold
            * idle.held(|rise| {
                flux(given, manifold * rise, shifts).map_or(0.0, |flux| flux / at_target)
            }),
        at_stop: answer.air > 1.0,
    }))
}

fn run(given: &Given, shifts: &Shifts) -> Result<Worked, CalcError> {
    let read = as_read(given)?;
    let told = foretold(given, shifts)?;
    let tolerance = given.number_or("tolerance", TOLERANCE).abs();
    let mut notes = Vec::new();
    if let Some((closed_by, _, verdict)) = read {
        notes.push(format!(
            "a change of {} counts: an assumption, no source",
            Unit::default_for(Dimension::Ratio).show(tolerance)
        ));
        if verdict == AT_STOP {
            notes.push(
                "at its stop: from here on speed and manifold pressure rise, and the command no \
                 longer measures the extra air"
                    .to_owned(),
            );
        }
        if closed_by < -tolerance {
            notes.push("it has opened: load, dirt or a restriction, not extra air".to_owned());
        }
    }
    if let Some(told) = &told {
        notes.push(
            "the hole's effect assumes a command that goes in a straight line with the air, and \
             speed-density air that is good to a factor of two"
                .to_owned(),
        );
        if told.at_stop {
            notes.push(
                "with this hole the control is at its stop: speed and pressure are the two limits, \
                 and the engine lies between them"
                    .to_owned(),
            );
            notes.push(
                "the speed leaves out what stops an engine that races: drag that grows with speed, \
                 spark, and fuel that is cut"
                    .to_owned(),
            );
        }
    }
    let at = |value: fn(&Foretold) -> f64| Answer::from(told.as_ref().map(value));
    Ok(Worked {
        results: vec![
            read.map(|(closed_by, ..)| closed_by).into(),
            read.map(|(_, left, _)| left).into(),
            read.map_or(Answer::Absent, |(.., verdict)| verdict.into()),
            at(|told| told.command),
            told.as_ref().and_then(|told| told.throttle).into(),
            at(|told| told.leak_share),
            at(|told| told.speed),
            at(|told| told.manifold),
        ],
        notes,
    })
}
