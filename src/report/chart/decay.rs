//! A hold: pressure over time, the decay of the hole that was worked out, and the criterion.

use super::inputs::OfFlow;
use super::{
    Axis, Figure, LOOKS, Mark, Plot, Series, Stroke, as_drawn, listed, scaled, titled, unit_in,
};
use crate::physics::calculations::curves;
use crate::report::text::sentence;
use crate::units::{Dimension, Unit};

/// The chart of a hold.
pub fn figure(of: &OfFlow) -> Option<Figure> {
    let (time, pressure) = (
        Unit::default_for(Dimension::Time),
        unit_in(of.flow, Dimension::Pressure),
    );
    let mut series = Vec::new();
    let mut about = Vec::new();
    let mut limit = None;
    for (((test, given), watched), (mark, stroke)) in of.tests.iter().zip(&of.watched).zip(LOOKS) {
        let Ok(hold) = curves::hold(given) else {
            continue;
        };
        series.push(Series {
            name: as_drawn(
                &hold.drawn,
                format!("gauge, and the decay of the hole worked out from it, {test}"),
                &format!("gauge, and the decay that leads from start to end, {test}"),
            ),
            mark,
            points: scaled(&hold.drawn.points, time, pressure),
            stroke,
            line: scaled(&hold.drawn.curve, time, pressure),
        });
        about.push(format!(
            "{}: {}",
            sentence(test),
            listed(&hold.drawn.points, time, pressure)
        ));
        if !watched.is_empty() {
            series.push(Series {
                name: format!("gauge on the way, {test}: not in the fit"),
                mark: Mark::Cross,
                points: scaled(watched, time, pressure),
                stroke,
                line: Vec::new(),
            });
            about.extend(off_the_curve(watched, &hold.drawn.curve, pressure));
        }
        limit = limit.or(hold.criterion);
    }
    if let Some([from, to, within]) = limit {
        series.push(criterion(from, to, within, time, pressure));
    }
    (!about.is_empty()).then(|| {
        Figure::Plot(Plot {
            title: titled("Pressure held", &of.name),
            reading:
                "The closed system loses pressure with time. The flatter the line, the tighter \
                      the system."
                    .to_owned(),
            about: format!("Pressure over time. {}.", about.join(". ")),
            x: Axis {
                name: "time since the supply was shut".to_owned(),
                unit: time.name().to_owned(),
                zero: true,
            },
            y: Axis {
                name: "pressure above the air around".to_owned(),
                unit: pressure.name().to_owned(),
                zero: true,
            },
            series,
        })
    })
}

/// What the samples say of the curve that start and end settle between them.
fn off_the_curve(watched: &[(f64, f64)], curve: &[(f64, f64)], pressure: Unit) -> Option<String> {
    let off = curves::farthest(watched, curve)?;
    let (count, lie) = match watched.len() {
        1 => ("1 value".to_owned(), "lies"),
        many => (format!("{many} values"), "lie"),
    };
    Some(format!(
        "{count} read on the way {lie} within {} of that curve; nothing is judged by them",
        pressure.show_step(off)
    ))
}

fn criterion(from: f64, to: f64, within: f64, time: Unit, pressure: Unit) -> Series {
    Series {
        name: format!(
            "criterion: of {}, {} must be left after {}",
            short(pressure, from),
            short(pressure, to),
            short(time, within)
        ),
        mark: Mark::None,
        points: Vec::new(),
        stroke: Stroke::Dotted,
        line: scaled(&[(0.0, to), (within, to)], time, pressure),
    }
}

/// A limit as it was set, without digits that nobody wrote.
fn short(unit: Unit, si: f64) -> String {
    let hundredths = (unit.from_si(si) * 100.0).round();
    format!("{} {}", hundredths / 100.0, unit.name())
}
