//! `sensor-line`: volts to pressure and back, by a sensor's line.
//!
//! `signal = offset + gain x pressure`; the line as data or a sweep (`sensor`) gives it. Worked
//! example: 50 mV/kPa and no offset read 2.0 V at 40 kPa.

use crate::physics::calculation::{
    CalcError, Calculation, Input, Kind, Output, Shifts, Worked, accept,
};
use crate::physics::given::Given;
use crate::physics::sensor::Transfer;
use crate::units::Dimension;

const A_PRESSURE: &str = "nothing is below a perfect vacuum; read the gauge and its unit again";

/// A signal from a pressure, or the other way round.
pub(super) static SENSOR_LINE: Calculation = Calculation {
    name: "sensor-line",
    version: 1,
    summary: "volts to pressure and back, by a sensor's gain and offset",
    source: "straight line",
    inputs: &[
        Input::needed(
            "gain",
            Kind::Quantity(Dimension::VoltagePerPressure),
            "slope of the line",
        ),
        Input::or(
            "offset",
            Kind::Quantity(Dimension::Voltage),
            "0 V",
            "signal at 0 kPa",
        ),
        Input::optional(
            "signal",
            Kind::Quantity(Dimension::Voltage),
            "signal to turn into a pressure",
        ),
        Input::optional(
            "pressure",
            Kind::Quantity(Dimension::Pressure),
            "pressure to turn into a signal, on the scale of the line",
        )
        .within(-super::sensor::HIGHEST_BAROMETER, 1e7, A_PRESSURE),
    ],
    outputs: &[
        Output::quantity(
            "pressure",
            Dimension::Pressure,
            "kPa",
            "pressure that the signal stands for",
        ),
        Output::quantity(
            "signal",
            Dimension::Voltage,
            "V",
            "signal that the pressure gives",
        ),
    ],
    nuisances: &[],
    refuse: accept,
    run,
};

fn run(given: &Given, _: &Shifts) -> Result<Worked, CalcError> {
    let line = Transfer {
        gain: given.number("gain")?,
        offset: given.number_or("offset", 0.0),
    };
    let (signal, pressure) = (given.maybe("signal"), given.maybe("pressure"));
    if signal.is_none() && pressure.is_none() {
        return Err(CalcError::new(
            "signal",
            "missing",
            "give `signal`, `pressure`, or both",
        ));
    }
    if line.gain == 0.0 {
        return Err(CalcError::new(
            "gain",
            "a sensor with no slope reads nothing",
            "take it from the sensor's data or from a sweep",
        ));
    }
    Ok(Worked {
        results: vec![
            signal.map(|signal| line.pressure(signal)).into(),
            pressure.map(|pressure| line.signal(pressure)).into(),
        ],
        notes: vec![
            "the pressure is on the scale of the line: absolute or against the barometer"
                .to_owned(),
        ],
    })
}
