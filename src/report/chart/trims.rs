//! Fuel trims against airflow, with the split that was fitted to them.

use super::inputs::OfFlow;
use super::{Axis, Figure, LOOKS, Plot, Series, as_drawn, listed, scaled, titled, unit_in};
use crate::engine::shown;
use crate::physics::calculations::curves;
use crate::report::text::sentence;
use crate::units::{Dimension, Unit};

/// Which bank it is about, of a name such as "trim of bank 1 without leak"; the whole name where it says none.
fn bank(name: &str) -> &str {
    let at = name.find("bank ");
    let part = at.and_then(|at| name.get(at..at + "bank 1".len()));
    part.unwrap_or(name)
}

/// The chart of a split.
pub fn figure(of: &OfFlow) -> Option<Figure> {
    let air = unit_in(of.flow, Dimension::MassFlow);
    let percent = Unit::default_for(Dimension::Ratio);
    let mut series = Vec::new();
    let mut about = Vec::new();
    for ((test, given), (mark, stroke)) in of.tests.iter().zip(LOOKS) {
        let Ok(trims) = curves::trims(given) else {
            continue;
        };
        series.push(Series {
            name: as_drawn(
                &trims.drawn,
                format!("trims, {test}, and the curve fitted to them"),
                &format!("trims, {test}"),
            ),
            mark,
            points: scaled(&trims.drawn.points, air, percent),
            stroke,
            line: scaled(&trims.drawn.curve, air, percent),
        });
        about.push(format!(
            "{}: {}; without the leak {} %",
            sentence(&as_drawn(&trims.drawn, test.clone(), test)),
            listed(&trims.drawn.points, air, percent),
            shown::number(percent.from_si(trims.offset), 1)
        ));
    }
    (!about.is_empty()).then(|| {
        Figure::Plot(Plot {
            title: titled("Fuel trims over airflow", bank(&of.name)),
            reading: "How much fuel the car's computer adds (above 0) or takes away (below 0). Air \
                      through a leak weighs most at idle, where the engine draws little: a line \
                      that falls to the right can come from a leak, a level one does not; the search and the \
                      running engine tell which."
                .to_owned(),
            about: format!("Total trim at each airflow. {}.", about.join(". ")),
            x: Axis {
                name: "metered airflow".to_owned(),
                unit: air.name().to_owned(),
                zero: true,
            },
            y: Axis {
                name: "total fuel trim".to_owned(),
                unit: percent.name().to_owned(),
                zero: true,
            },
            series,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_points_make_no_chart() {
        let flow = crate::flow::shelf::Shelf::shipped();
        let flow = flow.find("intake-leak").expect("it is shipped");
        let work = flow.flow.work("offset-1").expect("a value");
        let of = OfFlow {
            calculation: "trims",
            flow: &flow.flow,
            name: String::new(),
            work,
            tests: vec![("as read".to_owned(), crate::physics::given::Given::new())],
            watched: vec![Vec::new()],
        };
        assert_eq!(figure(&of), None);
    }
}
