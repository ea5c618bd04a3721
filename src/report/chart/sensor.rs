//! A sensor's sweep with its line, and the line that it should have.

use super::inputs::OfFlow;
use super::{Axis, Figure, LOOKS, Mark, Plot, Series, Stroke, as_drawn, listed, scaled};
use crate::flow::model::{Arg, PromptKind};
use crate::physics::calculations::curves;
use crate::report::text::sentence;
use crate::units::{Dimension, Unit, preferred};

/// The chart of a sweep.
pub fn figure(of: &OfFlow) -> Option<Figure> {
    let (pressure, signal) = units(of);
    let mut series = Vec::new();
    let mut about = Vec::new();
    let mut expected = Vec::new();
    for ((test, given), (mark, stroke)) in of.tests.iter().zip(LOOKS) {
        let Ok(sweep) = curves::sweep(given) else {
            continue;
        };
        series.push(Series {
            name: as_drawn(
                &sweep.drawn,
                format!("signal, and its line, {test}"),
                &format!("signal, {test}"),
            ),
            mark,
            points: scaled(&sweep.drawn.points, pressure, signal),
            stroke,
            line: scaled(&sweep.drawn.curve, pressure, signal),
        });
        about.push(format!(
            "{}: {}",
            sentence(test),
            listed(&sweep.drawn.points, pressure, signal)
        ));
        if expected.is_empty() {
            expected = scaled(&sweep.expected, pressure, signal);
        }
    }
    let compared = !expected.is_empty();
    if compared {
        series.push(Series {
            name: "the line that it should have".to_owned(),
            mark: Mark::None,
            points: Vec::new(),
            stroke: Stroke::Dotted,
            line: expected,
        });
    }
    (!about.is_empty()).then(|| {
        Figure::Plot(Plot {
            title: "The sensor over its range".to_owned(),
            reading: if compared {
                "A sensor that tells the truth lies on the dotted line, and hides it."
            } else {
                "A sound sensor gives points on one straight line. What line it should have was \
                 not known."
            }
            .to_owned(),
            about: format!("Signal at each pressure. {}.", about.join(". ")),
            x: Axis {
                name: "absolute pressure at the sensor".to_owned(),
                unit: pressure.name().to_owned(),
                zero: false,
            },
            y: Axis {
                name: "signal".to_owned(),
                unit: signal.name().to_owned(),
                zero: false,
            },
            series,
        })
    })
}

/// The units of the sweep's two columns.
fn units(of: &OfFlow) -> (Unit, Unit) {
    let pairs = of.work.inputs.iter().find_map(|(_, arg)| match arg {
        Arg::PairsOf(id) => of.flow.reading(id),
        _ => None,
    });
    let (pressure, signal) = match pairs.map(|prompt| &prompt.kind) {
        Some(PromptKind::Pairs(pairs)) => (pairs.first.1, pairs.second.1),
        _ => (
            Unit::default_for(Dimension::Pressure),
            Unit::default_for(Dimension::Voltage),
        ),
    };
    (preferred::shown_unit(pressure), signal)
}
