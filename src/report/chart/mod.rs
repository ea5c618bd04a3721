//! Charts as data, and the charts that a job has something to show on.
//!
//! A chart is plain numbers in the units that it is drawn in, its texts as they were recorded; the
//! writers escape them. Every chart says in words what it shows, for those who cannot see it and
//! for the editions without pictures. Nothing here fits or works anything out: the lines come from
//! [`crate::physics::calculations::curves`], the intervals from the worked values.

mod axis;
mod before_after;
mod decay;
mod inputs;
mod ripple;
mod sensor;
mod svg;
mod trims;

use super::case::Case;
use crate::flow::model::{Flow, PromptKind};
use crate::physics::calculations::curves::Drawn;
use crate::units::{Dimension, Unit, preferred};

pub use before_after::{AIDS, before_after, read_again};
pub use svg::{key, svg};

/// A chart.
#[derive(Clone, Debug, PartialEq)]
pub enum Figure {
    /// Points and lines over two axes.
    Plot(Plot),
    /// Bars from zero, each with its interval.
    Bars(Bars),
}

/// Points and lines over two axes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plot {
    /// What it shows, in a few words.
    pub title: String,
    /// How to read it, for somebody who never saw such a chart.
    pub reading: String,
    /// What there is to see, in words.
    pub about: String,
    /// The axis to the right.
    pub x: Axis,
    /// The axis upwards.
    pub y: Axis,
    /// What is drawn.
    pub series: Vec<Series>,
}

/// An axis.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Axis {
    /// What stands on it.
    pub name: String,
    /// The unit's name; empty for a plain number.
    pub unit: String,
    /// Zero is on it, because distances from zero are what the eye compares.
    pub zero: bool,
}

/// Points as read, a line, or both.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Its name in the key.
    pub name: String,
    /// How the points are marked.
    pub mark: Mark,
    /// The points.
    pub points: Vec<(f64, f64)>,
    /// How the line is drawn.
    pub stroke: Stroke,
    /// The line, from point to point.
    pub line: Vec<(f64, f64)>,
}

/// How a point is marked: told apart by shape, so that a black and white print reads the same.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Not at all.
    None,
    /// A filled disc.
    Disc,
    /// An open square.
    Square,
    /// A cross: read on the way, and not judged by.
    Cross,
}

/// How a line is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stroke {
    /// A full line.
    Full,
    /// Long dashes.
    Dashed,
    /// Dots: a limit, or what should be.
    Dotted,
}

/// Bars from zero, each with its interval.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bars {
    /// What it shows, in a few words.
    pub title: String,
    /// How to read it.
    pub reading: String,
    /// What there is to see, in words.
    pub about: String,
    /// The unit's name; empty for a plain number.
    pub unit: String,
    /// The bars, from the top.
    pub bars: Vec<Bar>,
}

/// A bar.
#[derive(Clone, Debug, PartialEq)]
pub struct Bar {
    /// What it stands for.
    pub name: String,
    /// Its length.
    pub value: f64,
    /// The 95 % interval, where there is one.
    pub interval: Option<(f64, f64)>,
    /// Value and interval in words.
    pub shown: String,
}

impl Figure {
    /// What it shows, in a few words.
    pub fn title(&self) -> &str {
        match self {
            Self::Plot(plot) => &plot.title,
            Self::Bars(bars) => &bars.title,
        }
    }

    /// Whether it shows more than one test.
    pub fn compares(&self) -> bool {
        match self {
            Self::Plot(plot) => {
                let dashed = |series: &Series| series.stroke == Stroke::Dashed;
                plot.series.iter().any(dashed)
            }
            Self::Bars(bars) => bars.bars.iter().any(|bar| bar.interval.is_some()),
        }
    }

    /// Whether bars are drawn with their ranges.
    pub fn has_ranges(&self) -> bool {
        matches!(self, Self::Bars(bars) if bars.bars.iter().any(|bar| bar.interval.is_some()))
    }

    /// How to read it.
    pub fn reading(&self) -> &str {
        match self {
            Self::Plot(plot) => &plot.reading,
            Self::Bars(bars) => &bars.reading,
        }
    }

    /// What there is to see, in words.
    pub fn about(&self) -> &str {
        match self {
            Self::Plot(plot) => &plot.about,
            Self::Bars(bars) => &bars.about,
        }
    }
}

/// Every curve that the readings of a job give: holds, splits of trims, sweeps and ripples.
pub fn curves(case: &Case) -> Vec<Figure> {
    let found = inputs::all(case);
    let mut out = Vec::new();
    for of_flow in &found {
        out.extend(match of_flow.calculation {
            "decay" => decay::figure(of_flow),
            "trims" => trims::figure(of_flow),
            "sensor" => sensor::figure(of_flow),
            "ripple" => ripple::figure(of_flow),
            _ => None,
        });
    }
    out
}

/// The looks of what was read before and after: shape and line differ, not the colour alone.
const LOOKS: [(Mark, Stroke); 2] = [(Mark::Disc, Stroke::Full), (Mark::Square, Stroke::Dashed)];

/// The name of a curve with its readings. One through two readings leaves nothing over that could show how well it
/// fits, so it is called what it is.
fn as_drawn(drawn: &Drawn, fitted: String, joined: &str) -> String {
    match drawn.points.len() {
        0..=2 => format!("{joined}: {NO_FIT}"),
        _ => fitted,
    }
}

/// What is said of a curve through two readings.
const NO_FIT: &str = "two readings joined, no fit";

/// A title, and what it is about where there are several.
fn titled(title: &str, name: &str) -> String {
    if name.is_empty() {
        title.to_owned()
    } else {
        format!("{title}: {name}")
    }
}

/// The unit in which the readings of a flow show a dimension, or that dimension's own.
fn unit_in(flow: &Flow, dimension: Dimension) -> Unit {
    let asked = flow.readings.iter().find_map(|prompt| match &prompt.kind {
        PromptKind::Quantity(q) if q.unit.dimension() == dimension => Some(q.unit),
        _ => None,
    });
    preferred::shown_unit(asked.unwrap_or_else(|| Unit::default_for(dimension)))
}

/// "4 s: 12.5 inH2O; ..." for the words beside a chart; a long row of points is cut short.
fn listed(points: &[(f64, f64)], x: Unit, y: Unit) -> String {
    const MOST: usize = 6;
    let shown = |(a, b): &(f64, f64)| format!("{}: {}", x.show(*a), y.show(*b));
    let mut out: Vec<String> = points.iter().take(MOST).map(shown).collect();
    if points.len() > MOST {
        out.push(format!("and {} more", points.len() - MOST));
    }
    out.join("; ")
}

/// Points from SI into the units of the axes.
fn scaled(points: &[(f64, f64)], x: Unit, y: Unit) -> Vec<(f64, f64)> {
    let in_units = |(a, b): &(f64, f64)| (x.from_si(*a), y.from_si(*b));
    points.iter().map(in_units).collect()
}
