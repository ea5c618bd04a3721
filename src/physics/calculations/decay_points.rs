//! Timed pressures of a closed space, as `decay` and `volume` take them: their columns, what is
//! refused, and the fit.

use super::gear::positive;
use crate::physics::calculation::{CalcError, Field, Nuisance, Shifts};
use crate::physics::decay::{Fit, Reading, Space, fit};
use crate::physics::fuel_vapour::{USUAL_REID, vapour_pressure};
use crate::physics::gas::{ATMOSPHERE, Gas, ROOM};
use crate::physics::given::Given;
use crate::physics::uncertainty::DEVIATIONS;
use crate::units::Dimension;

/// 95 % allowance for the gas's temperature over the test where none was read, K.
pub(super) const UNREAD: f64 = 1.0;

pub(super) const POINT: &[Field] = &[
    Field {
        name: "time",
        dimension: Dimension::Time,
        needed: true,
    },
    Field {
        name: "pressure",
        dimension: Dimension::Pressure,
        needed: true,
    },
    Field {
        name: "gas-temperature",
        dimension: Dimension::Temperature,
        needed: false,
    },
];

pub(super) const UNREAD_TEMPERATURE: Nuisance = Nuisance {
    name: "gas-temperature",
    help: "where no temperature was read at the points, the gas may have warmed or cooled by 1 K \
           over the test, 95 times in 100: an assumption; none where it was read",
    only_with: None,
};

/// How much vapour liquid fuel has given off or taken back by the end of the hold.
pub(super) const VAPOUR_SHARE: Nuisance = Nuisance {
    name: "vapour-share",
    help: "with liquid fuel in the space, how far its vapour has followed the temperature: anything \
           from not at all (the gas alone) to saturated, 95 times in 100; none without fuel",
    only_with: Some(("fuel", "liquid")),
};

/// The pressures less what vapour has added since the first, where liquid fuel is in the space. The formula stands in
/// [`crate::physics::fuel_vapour`]: saturated, the vapour adds `pv(T2) - pv(T1) T2/T1` to what the gas does.
pub(super) fn without_vapour(given: &Given, shifts: &Shifts, read: &[Reading]) -> Vec<Reading> {
    let mut out = read.to_vec();
    let Some(begun) = read.first().map(|first| first.temperature) else {
        return out;
    };
    if given.word("fuel", "none") != "liquid" {
        return out;
    }
    let reid = given.number_or("reid-pressure", USUAL_REID);
    let share = 0.5 + 0.5 * shifts.get(VAPOUR_SHARE.name) / DEVIATIONS;
    for reading in &mut out {
        let (then, now) = (begun, reading.temperature);
        let saturated = vapour_pressure(reid, now) - vapour_pressure(reid, then) * now / then;
        let left = reading.inside - share.clamp(0.0, 1.0) * saturated;
        // Vapour never makes a vacuum of a pressure: what would is an error of the thermometer.
        if left * reading.inside > 0.0 {
            reading.inside = left;
        }
    }
    out
}

/// Refuses timed pressures that settle nothing.
pub(super) fn refuse_points(input: &str, readings: &[Reading]) -> Result<(), CalcError> {
    let wrong = |problem: &str, remedy: &str| Err(CalcError::new(input, problem, remedy));
    if readings.windows(2).any(|pair| pair[1].time <= pair[0].time) {
        return wrong(
            "the times do not rise from point to point",
            "give the points in the order in which they were read, each time once",
        );
    }
    let largest = readings.iter().map(|r| r.inside.abs()).fold(0.0, f64::max);
    if largest == 0.0 {
        return wrong(
            "there is no pressure to lose",
            "fill the space first, and read the gauge against the air around",
        );
    }
    if readings.first().is_some_and(|first| first.inside == 0.0) {
        return wrong(
            "the first shows no pressure",
            "begin with the reading taken as the supply was shut",
        );
    }
    if readings
        .windows(2)
        .any(|pair| pair[0].inside == 0.0 && pair[1].inside != 0.0)
    {
        return wrong(
            "pressure comes back after it was gone",
            "with the supply shut it cannot; leave out what was read with the supply on",
        );
    }
    if readings.iter().any(|r| r.inside > 0.0) && readings.iter().any(|r| r.inside < 0.0) {
        return wrong(
            "some are above the barometer and some below",
            "a leak stops at the barometer; check the gauge's zero",
        );
    }
    Ok(())
}

/// The closed space as the values say.
pub(super) fn space(given: &Given, shifts: &Shifts) -> Result<Space, CalcError> {
    let word = given.word("gas", "air");
    Ok(Space {
        gas: Gas::named(word).ok_or_else(|| {
            CalcError::new(
                "gas",
                format!("\"{word}\" is not known here"),
                "see the help",
            )
        })?,
        barometer: positive("barometer", given.number_or("barometer", ATMOSPHERE), "Pa")?,
        temperature: positive("temperature", given.number_or("temperature", ROOM), "K")?,
        coefficient: given.coefficient("coefficient")?,
        deviations: shifts.get("coefficient"),
    })
}

/// The points as readings; where no temperature was read it rises by `drift` over the test.
pub(super) fn readings(given: &Given, input: &str, drift: f64) -> Result<Vec<Reading>, CalcError> {
    let rows = given.points(input)?;
    if rows.len() < 2 {
        return Err(CalcError::new(
            input,
            "one pressure shows no decay",
            "read at least two, at known times",
        ));
    }
    let read = has_temperatures(rows);
    if !read && rows.iter().any(|row| matches!(row.get(2), Some(Some(_)))) {
        return Err(CalcError::new(
            input,
            "some have a temperature and some have not",
            "give it with every point or with none",
        ));
    }
    let steady = positive("temperature", given.number_or("temperature", ROOM), "K")?;
    let barometer = given.number_or("barometer", ATMOSPHERE);
    let ends = (time(rows.first()), time(rows.last()));
    rows.iter()
        .map(|row| {
            let [Some(at), Some(inside), temperature] = row[..] else {
                return Err(CalcError::new(
                    input,
                    "a point lacks its time or its pressure",
                    "write it as \"20 s = 10.9 inH2O\"",
                ));
            };
            if barometer + inside < 0.0 {
                return Err(CalcError::new(
                    input,
                    "a pressure would be below a perfect vacuum",
                    "read the gauge and its unit again",
                ));
            }
            // Two points at one time are refused later, by a name of their own.
            let share = (at - ends.0) / (ends.1 - ends.0);
            let drifted = steady + drift * if share.is_finite() { share } else { 0.0 };
            Ok(Reading {
                time: at,
                inside,
                temperature: positive(input, temperature.unwrap_or(drifted), "K")?,
            })
        })
        .collect()
}

fn time(row: Option<&Vec<Option<f64>>>) -> f64 {
    row.and_then(|row| row.first().copied().flatten())
        .unwrap_or(0.0)
}

pub(super) fn has_temperatures(rows: &[Vec<Option<f64>>]) -> bool {
    rows.iter().all(|row| matches!(row.get(2), Some(Some(_))))
}

/// The fit of timed pressures; the reference temperature of the space is that of the first one.
pub(super) fn fitted(input: &str, space: &Space, readings: &[Reading]) -> Result<Fit, CalcError> {
    fit(space, readings)
        .filter(|fit| fit.area_per_volume.is_finite())
        .ok_or_else(|| {
            CalcError::new(
                input,
                "these readings settle no leak",
                "read the pressure at two or more times, well apart",
            )
        })
}

/// The space at the temperature that its gas starts from.
pub(super) fn started(
    given: &Given,
    shifts: &Shifts,
    readings: &[Reading],
) -> Result<Space, CalcError> {
    let mut space = space(given, shifts)?;
    space.temperature = readings
        .first()
        .map_or(space.temperature, |r| r.temperature);
    Ok(space)
}
