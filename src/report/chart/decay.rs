//! A hold: pressure over time, the decay of the hole that was worked out, and the criterion.

use super::inputs::OfFlow;
use super::{
    Axis, Figure, LOOKS, Mark, Plot, Series, Stroke, as_drawn, listed, scaled, titled, unit_in,
};
use crate::physics::calculations::curves;
use crate::report::text::sentence;
use crate::units::{Dimension, Unit};

/// From this ratio of their starts on two holds are drawn each as a share of its own (an assumption of ours): one begun at a
/// twentieth of the other would lie flat on the axis and look as tight.
const APART: f64 = 1.25;

/// How pressures are drawn.
#[derive(Clone, Copy)]
struct Scale {
    time: Unit,
    pressure: Unit,
    /// As a share of the pressure at which each hold began.
    share: bool,
}

impl Scale {
    /// Points of a hold that began at this pressure, in the units of the axes.
    fn of(self, points: &[(f64, f64)], start: f64) -> Vec<(f64, f64)> {
        if self.share && start > 0.0 {
            let in_units = |(t, p): &(f64, f64)| (self.time.from_si(*t), 100.0 * p / start);
            return points.iter().map(in_units).collect();
        }
        scaled(points, self.time, self.pressure)
    }
}

/// Where a hold began.
fn start(hold: &curves::Hold) -> f64 {
    hold.drawn.points.first().map_or(0.0, |(_, p)| *p)
}

/// Whether holds began so far apart that one pressure axis would mislead.
fn begin_apart(of: &OfFlow) -> bool {
    let holds = of
        .tests
        .iter()
        .filter_map(|(_, given)| curves::hold(given).ok());
    let starts: Vec<f64> = holds
        .map(|hold| start(&hold))
        .filter(|p| *p > 0.0)
        .collect();
    let most = starts.iter().copied().fold(0.0, f64::max);
    starts.iter().any(|p| most > APART * p)
}

/// The chart of a hold.
pub fn figure(of: &OfFlow) -> Option<Figure> {
    let (time, pressure) = (
        Unit::default_for(Dimension::Time),
        unit_in(of.flow, Dimension::Pressure),
    );
    let share = begin_apart(of);
    let scale = Scale {
        time,
        pressure,
        share,
    };
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
            points: scale.of(&hold.drawn.points, start(&hold)),
            stroke,
            line: scale.of(&hold.drawn.curve, start(&hold)),
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
                points: scale.of(watched, start(&hold)),
                stroke,
                line: Vec::new(),
            });
            about.extend(off_the_curve(watched, &hold.drawn.curve, pressure));
        }
        limit = limit.or(hold.criterion);
    }
    if let Some([from, to, within]) = limit {
        series.push(criterion([from, to, within], scale));
    }
    (!about.is_empty()).then(|| {
        Figure::Plot(Plot {
            title: titled("Pressure held", &of.name),
            reading: reading(share),
            about: format!("Pressure over time. {}.", about.join(". ")),
            x: Axis {
                name: "time since the supply was shut".to_owned(),
                unit: time.name().to_owned(),
                zero: true,
            },
            y: if share {
                Axis {
                    name: "share of the pressure at the start".to_owned(),
                    unit: "%".to_owned(),
                    zero: true,
                }
            } else {
                Axis {
                    name: "pressure above the air around".to_owned(),
                    unit: pressure.name().to_owned(),
                    zero: true,
                }
            },
            series,
        })
    })
}

/// How the chart is read.
fn reading(share: bool) -> String {
    let how = if share {
        " The tests began at different pressures, so each is drawn as a share of its own start."
    } else {
        ""
    };
    format!(
        "The closed system loses pressure with time. The flatter the line, the tighter the system.{how}"
    )
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

fn criterion([from, to, within]: [f64; 3], scale: Scale) -> Series {
    let (time, pressure) = (scale.time, scale.pressure);
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
        line: scale.of(&[(0.0, to), (within, to)], from),
    }
}

/// A limit as it was set, without digits that nobody wrote.
fn short(unit: Unit, si: f64) -> String {
    let hundredths = (unit.from_si(si) * 100.0).round();
    format!("{} {}", hundredths / 100.0, unit.name())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_a_share_every_hold_begins_at_the_top_however_low_it_began() {
        let scale = |share| Scale {
            time: Unit::default_for(Dimension::Time),
            pressure: Unit::named("kPa").unwrap(),
            share,
        };
        let open = [(0.0, 3_000.0), (60.0, 0.0)];
        assert_eq!(scale(true).of(&open, 3_000.0), [(0.0, 100.0), (60.0, 0.0)]);
        assert_eq!(scale(false).of(&open, 3_000.0), [(0.0, 3.0), (60.0, 0.0)]);
        // A criterion is a share of the start that it was set for.
        assert_eq!(
            scale(true).of(&[(120.0, 1_200.0)], 2_400.0),
            [(120.0, 50.0)]
        );
    }
}
