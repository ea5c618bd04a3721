//! Captures as inputs of calculations: the ripple of a trace, the line of a sensor from a sweep.
//!
//! `calc ripple --file` and `calc sensor --file` take their points from a file; `read` shows what
//! a capture comes to.

use std::path::PathBuf;

use clap::{Arg, ArgMatches, Args as _, Command, FromArgMatches as _};
use serde_json::Value as Json;

use super::options::Asked;
use super::print;
use crate::cli::read::options::FileArgs;
use crate::cli::{CliError, Common, read};
use crate::import::{Capture, Channel, Import, Options, Purpose};
use crate::physics::calculation::{CalcError, Calculation};
use crate::physics::evaluate::{Evaluation, evaluate};
use crate::physics::find;
use crate::physics::given::{Given, Value, read_value};

/// What the points are called where the signal is scaled as a pressure.
const PRESSURE_POINTS: &str = "pressure-points";

/// What the trace is called among the inputs.
fn trace_of(capture: &Capture) -> &'static str {
    if capture.look.signal_is_pressure() {
        PRESSURE_POINTS
    } else {
        POINTS
    }
}

/// The calculations that take a file.
pub(super) const FOR: [&str; 2] = [RIPPLE, SENSOR];
const RIPPLE: &str = "ripple";
const SENSOR: &str = "sensor";
/// What the points are called among the inputs, and the option that gives them one by one.
const POINTS: &str = "points";
const POINT: &str = "point";
const PRESSURE_POINT: &str = "pressure-point";

/// Adds the options of a file to a calculation's command.
pub(super) fn options(command: Command) -> Command {
    let file = Arg::new("file")
        .long("file")
        .value_name("FILE")
        .value_parser(clap::value_parser!(PathBuf))
        .conflicts_with(POINT)
        .help("A capture as CSV, in place of its points");
    // What the options of a file say of themselves would take the summary's place.
    let about = command.get_about().cloned().unwrap_or_default();
    let has_pressures = command
        .get_arguments()
        .any(|arg| arg.get_id() == PRESSURE_POINT);
    let pressures = has_pressures.then_some(PRESSURE_POINT);
    FileArgs::augment_args(command)
        .about(about)
        .long_about(None)
        .mut_arg(POINT, |arg| {
            arg.required(false)
                .required_unless_present_any(["file"].into_iter().chain(pressures))
        })
        .arg(file)
}

/// Puts the points of the file that was named among what was asked.
pub(super) fn add(
    calculation: &Calculation,
    asked: &mut Asked,
    matches: &ArgMatches,
) -> Result<(), CliError> {
    let Ok(Some(path)) = matches.try_get_one::<PathBuf>("file") else {
        return Ok(());
    };
    let data = matches.try_get_one::<PathBuf>("data").ok().flatten();
    let common = Common {
        data: data.cloned(),
        ..Common::default()
    };
    let how = FileArgs::from_arg_matches(matches).unwrap_or_else(|error| error.exit());
    let options = Options {
        purpose: Some(Purpose::Capture),
        ..how.options(&common)?
    };
    let Import::Capture(capture) = read::open(path, &options)? else {
        return Err(CalcError::new(
            "file",
            "this is a log, not a capture: it has engine speed and no signal",
            "name the column of the signal with --column \"NAME=signal\" and leave out the speed with --column \"NAME=nothing\"",
        )
        .into());
    };
    let name = if calculation.name == RIPPLE {
        trace_of(&capture)
    } else {
        POINTS
    };
    asked.given.set(name, points(calculation.name, &capture)?);
    Ok(())
}

fn points(name: &str, capture: &Capture) -> Result<Value, CalcError> {
    if name == RIPPLE {
        if !capture.is_timed() {
            return Err(CalcError::new(
                "file",
                "no column holds the time",
                "say which does with --column \"NAME=time\": a ripple is counted over the time",
            ));
        }
        return Ok(Value::Points(capture.trace()));
    }
    if capture.look.signal_is_pressure() {
        return Err(CalcError::new(
            "file",
            "the signal is scaled as a pressure",
            "a sensor's line needs its volts beside the pressure: say which column holds them with --column \"NAME=signal\"",
        ));
    }
    if capture.look.column(Channel::Pressure).is_none() {
        return Err(CalcError::new(
            "file",
            "no column holds the pressure at the sensor",
            "say which does with --column \"NAME=pressure\", or give each step with --point",
        ));
    }
    let steps = steps(capture);
    if steps.len() < 2 {
        return Err(CalcError::new(
            "file",
            "fewer than two pressures are held in it",
            "hold each pressure for some seconds; or leave the time out with --column \"NAME=nothing\" where each row is a \
             pressure that was held",
        ));
    }
    Ok(Value::Points(steps))
}

fn steps(capture: &Capture) -> Vec<Vec<Option<f64>>> {
    let held = capture.steps();
    let row = |step: &crate::import::capture::Step| vec![step.pressure, Some(step.signal)];
    held.iter()
        .filter(|step| step.pressure.is_some())
        .map(row)
        .collect()
}

/// What the lobes of a capture are counted by, as typed.
#[derive(Clone, Debug)]
pub struct Lobes {
    /// Cylinders.
    pub cylinders: String,
    /// Engine speed.
    pub speed: String,
}

/// What a capture comes to.
pub struct Captured {
    calculation: &'static Calculation,
    asked: Asked,
    evaluation: Evaluation,
}

impl Captured {
    /// The calculation's name.
    pub fn name(&self) -> &'static str {
        self.calculation.name
    }

    /// The results for people.
    pub fn text(&self) -> String {
        print::text(self.calculation, &self.asked, &self.evaluation)
    }

    /// The results for programs.
    pub fn json(&self) -> Json {
        print::object(self.calculation, &self.asked, &self.evaluation)
    }
}

/// What a capture comes to: the sensor's line where it holds a sweep, else the ripple where it is
/// known what turns. `None` where it is neither.
///
/// # Errors
/// What the calculation refuses.
pub fn captured(capture: &Capture, lobes: Option<&Lobes>) -> Result<Option<Captured>, CalcError> {
    let (name, given) = if let (Some(lobes), true) = (lobes, capture.is_timed()) {
        (RIPPLE, ripple(capture, lobes)?)
    } else if capture.look.signal_is_pressure() {
        return Ok(None);
    } else {
        let steps = steps(capture);
        if steps.len() < 2 {
            return Ok(None);
        }
        (SENSOR, Given::new().with(POINTS, Value::Points(steps)))
    };
    let Some(calculation) = find(name) else {
        return Ok(None);
    };
    let evaluation = evaluate(calculation, &given, &[])?;
    Ok(Some(Captured {
        calculation,
        asked: Asked::of(given),
        evaluation,
    }))
}

fn ripple(capture: &Capture, lobes: &Lobes) -> Result<Given, CalcError> {
    let mut given = Given::new().with(trace_of(capture), Value::Points(capture.trace()));
    for (name, text) in [("cylinders", &lobes.cylinders), ("speed", &lobes.speed)] {
        if let Some(input) = find(RIPPLE).and_then(|ripple| ripple.input(name)) {
            given.set(name, read_value(input, text)?);
        }
    }
    Ok(given)
}
