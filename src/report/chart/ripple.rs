//! The lobes of a capture of the manifold pressure: one bar a cylinder.

use super::inputs::OfFlow;
use super::{Bar, Bars, Figure};
use crate::physics::calculations::curves;
use crate::units::Unit;
use crate::units::preferred::shown_unit;

/// The chart of a ripple: the last capture, lobe by lobe.
pub fn figure(of: &OfFlow) -> Option<Figure> {
    let (test, given) = of.tests.last()?;
    let pressure = given.points("pressure-points").is_ok();
    let unit = shown_unit(Unit::parse(if pressure { "kPa" } else { "mV" }).ok()?);
    let depths = curves::lobes(given)
        .ok()
        .filter(|depths| !depths.is_empty())?;
    let bars: Vec<Bar> = depths
        .iter()
        .enumerate()
        .map(|(n, depth)| Bar {
            name: format!("lobe {}", n + 1),
            value: unit.from_si(*depth),
            interval: None,
            shown: unit.show(*depth),
        })
        .collect();
    let said: Vec<&str> = bars.iter().map(|bar| bar.shown.as_str()).collect();
    Some(Figure::Bars(Bars {
        title: format!("Pressure lobes of the cylinders, {test}"),
        reading:
            "One lobe for each cylinder, in the order in which they come. A cylinder that works \
                  less has a lobe of another depth."
                .to_owned(),
        about: format!("Depth of each lobe in its order: {}.", said.join(", ")),
        unit: unit.name().to_owned(),
        bars,
    }))
}
