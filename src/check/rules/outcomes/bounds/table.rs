//! Which results rise or fall all the way with which inputs.
//!
//! Where the others are held, each input named in a row moves its result up all the way or down all
//! the way (which of the two may depend on the others). Then the largest and the smallest result in
//! a box of inputs stand in its corners: going to one end of each input in turn never makes the
//! result smaller, or never larger. A result in words changes over at one value of such a number, so
//! words that are the same in all corners are the same throughout. A test looks for a
//! counter-example to each row.
//!
//! Not here, because it is not so, but bounded by [`super::formulas`]: `trims`, whose split turns over
//! where a leak would have the same share of the air at both points; decays with a temperature at each
//! point, where the warmth outweighs low pressures; the barometer where it stands on both sides of a
//! difference (`found`, `decay`, `volume`).
//!
//! Bounded by nobody:
//! - results of a whole sweep or capture (`sensor`, `ripple`), and of more than two points of a decay
//!   or of trims, through which a line is fitted;
//! - the words of `share`, in which the model's own spread has a part;
//! - `leak-rate` of a decay, since a higher end lowers the hole and raises the pressure that the leak
//!   works at, and `temperature-verdict`, which compares two sizes without their signs;
//! - the readings of the workshop's own test hole (`hole`, `found`); `set-pressure` and `barometer` for the time of `fill`;
//! - `manifold` as an input of `raised-idle`'s own `manifold`, and `altitude` for `idle-manifold`.

/// Results of a calculation with the inputs of which it holds. Any other input must have one value.
/// `at.pressure` is the column `pressure` of the points `at`, of which there may then be two.
pub(super) struct Row {
    pub(super) calculation: &'static str,
    pub(super) results: &'static [&'static str],
    pub(super) inputs: &'static [&'static str],
}

const fn row(
    calculation: &'static str,
    results: &'static [&'static str],
    inputs: &'static [&'static str],
) -> Row {
    Row {
        calculation,
        results,
        inputs,
    }
}

/// The row of a result.
pub(super) fn find(calculation: &str, result: &str) -> Option<&'static Row> {
    ROWS.iter()
        .find(|row| row.calculation == calculation && row.results.contains(&result))
}

/// Inputs of which it holds on either side of zero alone: at zero flow or slope the result has no
/// value, or the flow turns round.
pub(super) const NOT_THROUGH_ZERO: [&str; 8] = [
    "flow",
    "pressure",
    "open-pressure",
    "covered-pressure",
    "at.pressure",
    "open-at.pressure",
    "gain",
    "upstream",
];

static ROWS: &[Row] = &[
    row(
        "hole",
        &["diameter", "area"],
        &[
            "flow",
            "pressure",
            "upstream",
            "downstream",
            "temperature",
            "barometer",
        ],
    ),
    row(
        "flow",
        &["mass-flow", "volume-flow"],
        &[
            "hole",
            "pressure",
            "upstream",
            "downstream",
            "temperature",
            "barometer",
        ],
    ),
    // A difference of two openings, each with readings of its own.
    row(
        "found",
        &["diameter", "area"],
        &[
            "open-flow",
            "open-pressure",
            "covered-flow",
            "covered-pressure",
        ],
    ),
    row(
        "decay",
        &["diameter", "large-leak", "small-leak"],
        &["volume", "at.time", "at.pressure", "temperature"],
    ),
    row(
        "decay",
        &["end-pressure", "verdict"],
        &["at.time", "at.pressure"],
    ),
    row(
        "decay",
        &["leak-pressure"],
        &["volume", "at.time", "at.pressure", "temperature"],
    ),
    row(
        "decay",
        &["drift"],
        &["volume", "at.pressure", "at.gas-temperature", "barometer"],
    ),
    row(
        "volume",
        &["volume", "leak"],
        &[
            "test-hole",
            "open-at.pressure",
            "open-at.time",
            "at.pressure",
            "at.time",
        ],
    ),
    // The reading times the root of densities, pressures and temperatures.
    row(
        "gauge",
        &["flow", "factor"],
        &[
            "reading",
            "pressure",
            "scale-pressure",
            "temperature",
            "scale-temperature",
            "barometer",
        ],
    ),
    row(
        "equilibrium",
        &["pressure", "flow"],
        &[
            "set-pressure",
            "open-flow",
            "hole",
            "temperature",
            "barometer",
        ],
    ),
    row(
        "fill",
        &["time", "verdict"],
        &[
            "open-flow",
            "target",
            "volume",
            "tank",
            "fuel-level",
            "hole",
            "temperature",
        ],
    ),
    row(
        "fill",
        &["volume"],
        &[
            "set-pressure",
            "open-flow",
            "target",
            "volume",
            "tank",
            "fuel-level",
            "temperature",
            "barometer",
        ],
    ),
    row(
        "vapour",
        &[
            "gas-change",
            "saturated-change",
            "vapour-pressure",
            "fresh-rise",
            "verdict",
        ],
        &[
            "from",
            "to",
            "pressure",
            "barometer",
            "reid-pressure",
            "fresh",
        ],
    ),
    row(
        "regulatory",
        &["diameter", "verdict"],
        &["flow", "pressure", "temperature", "barometer"],
    ),
    row("trim-total", &["total"], &["short", "long"]),
    // A product or quotient of them, and the flux falls all the way as the manifold pressure rises.
    row(
        "needed",
        &["diameter", "area"],
        &[
            "leak",
            "trim",
            "airflow",
            "banks",
            "manifold",
            "barometer",
            "temperature",
        ],
    ),
    row(
        "share",
        &["share"],
        &["hole", "hole-area", "needed", "needed-area"],
    ),
    row(
        "air",
        &["barometer", "temperature", "key-on", "idle-vacuum"],
        &["altitude", "setting", "station", "sea-vacuum"],
    ),
    row(
        "air",
        &["idle-manifold"],
        &["setting", "station", "sea-vacuum"],
    ),
    row(
        "key-on",
        &["difference", "verdict"],
        &["reading", "barometer", "tolerance"],
    ),
    row(
        "sensor-line",
        &["pressure", "signal"],
        &["gain", "offset", "signal", "pressure"],
    ),
    row(
        "idle-air",
        &["airflow"],
        &[
            "displacement",
            "speed",
            "manifold",
            "temperature",
            "efficiency",
        ],
    ),
    row(
        "raised-idle",
        &["closed-by", "left", "verdict"],
        &[
            "reading",
            "baseline",
            "stop",
            "tolerance",
            "angle",
            "baseline-angle",
            "stop-angle",
        ],
    ),
    row(
        "raised-idle",
        &["command", "throttle", "leak-share", "speed"],
        &[
            "baseline",
            "baseline-angle",
            "hole",
            "displacement",
            "speed",
            "manifold",
            "efficiency",
        ],
    ),
    row(
        "raised-idle",
        &["manifold"],
        &[
            "baseline",
            "baseline-angle",
            "hole",
            "displacement",
            "speed",
            "efficiency",
            "temperature",
        ],
    ),
    row(
        "coil",
        &["corrected", "verdict"],
        &[
            "resistance",
            "nominal",
            "temperature",
            "nominal-temperature",
            "tolerance",
        ],
    ),
    row(
        "coil",
        &["current"],
        &["resistance", "voltage", "temperature"],
    ),
];

/// Every calculation and result of which something is known.
#[cfg(test)]
pub(super) fn all() -> impl Iterator<Item = (&'static str, &'static str)> {
    ROWS.iter()
        .flat_map(|row| row.results.iter().map(|result| (row.calculation, *result)))
}
