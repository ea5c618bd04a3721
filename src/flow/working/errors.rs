//! The independent sources of error of a job, and the graph with one of them shifted.

use super::graph::{Base, Graph, evaluate};
use crate::flow::model::{Flow, Prompt, PromptKind, Tolerance};
use crate::physics::calculation::Shifts;
use crate::physics::evaluate::shifted_value;

/// 97.5 % point of the normal distribution: both ends of a 95 % range in standard deviations.
pub(super) const Z95: f64 = 1.959_963_985;

/// A step of the scale is a uniform error of one step's width: its standard deviation is 1/sqrt(12).
pub(super) const STEP_TO_95: f64 = Z95 * 0.288_675_135;

/// A reading's own 95 % half-width: its stated error and the resolution of its gauge.
pub(super) fn own_error(flow: &Flow, prompt: &Prompt, si: f64) -> f64 {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return 0.0;
    };
    let stated = q.error.map_or(0.0, |error| error.half_width(si));
    let resolution = q
        .gauge
        .as_deref()
        .and_then(|id| flow.gauge(id))
        .and_then(|gauge| gauge.resolution)
        .map_or(0.0, |r| r.unit().step_to_si(r.value()) * STEP_TO_95);
    stated.hypot(resolution)
}

/// The 95 % half-width of the bias that all readings of the gauge share.
pub(super) fn gauge_error(flow: &Flow, prompt: &Prompt, si: f64) -> f64 {
    let PromptKind::Quantity(q) = &prompt.kind else {
        return 0.0;
    };
    q.gauge
        .as_deref()
        .and_then(|id| flow.gauge(id))
        .and_then(|gauge| gauge.accuracy)
        .map_or(0.0, |accuracy| accuracy.half_width(si))
}

pub(super) fn cell_error(flow: &Flow, id: &str, column: usize) -> Option<Tolerance> {
    match &flow.reading(id)?.kind {
        PromptKind::Pairs(pairs) if column == 0 => pairs.errors.0,
        PromptKind::Pairs(pairs) => pairs.errors.1,
        _ => None,
    }
}

/// One independent source of error.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Source {
    /// A reading's own error.
    Own(String),
    /// The bias of a gauge.
    Gauge(String),
    /// A model's spread.
    Nuisance(&'static str),
    /// One value of a pair: reading, row, column.
    Cell(String, usize, usize),
}

pub(super) fn sources(flow: &Flow, base: &Base) -> Vec<Source> {
    let mut sources = Vec::new();
    for prompt in flow.facts.iter().chain(&flow.readings) {
        if let Some(si) = base.numbers.get(&prompt.id)
            && own_error(flow, prompt, *si) > 0.0
        {
            sources.push(Source::Own(prompt.id.clone()));
        }
        for row in 0..base.pairs.get(&prompt.id).map_or(0, Vec::len) {
            sources.push(Source::Cell(prompt.id.clone(), row, 0));
            sources.push(Source::Cell(prompt.id.clone(), row, 1));
        }
    }
    sources.extend(
        flow.gauges
            .iter()
            .filter(|g| g.accuracy.is_some())
            .map(|g| Source::Gauge(g.id.clone())),
    );
    for work in &flow.worked {
        for nuisance in work.calculation.nuisances {
            let source = Source::Nuisance(nuisance.name);
            if !sources.contains(&source) {
                sources.push(source);
            }
        }
    }
    sources
}

/// The graph with one source shifted to the upper (`sign` 1) or lower (-1) end of its 95 % range.
pub(super) fn shift(flow: &Flow, base: &Base, source: &Source, sign: f64) -> Graph {
    let mut moved = base.clone();
    match source {
        Source::Nuisance(name) => {
            return evaluate(flow, base, &Shifts::one(name, sign * Z95), false);
        }
        Source::Own(id) => {
            if let (Some(prompt), Some(si)) = (flow.prompt(id), moved.numbers.get_mut(id)) {
                *si = moved_by(prompt, *si, sign * own_error(flow, prompt, *si));
            }
        }
        Source::Gauge(gauge) => {
            for prompt in &flow.readings {
                let PromptKind::Quantity(q) = &prompt.kind else {
                    continue;
                };
                if q.gauge.as_deref() != Some(gauge) {
                    continue;
                }
                if let Some(si) = moved.numbers.get_mut(&prompt.id) {
                    *si = moved_by(prompt, *si, sign * gauge_error(flow, prompt, *si));
                }
            }
        }
        Source::Cell(id, row, column) => {
            let error = cell_error(flow, id, *column);
            if let Some(cell) = moved.pairs.get_mut(id).and_then(|rows| rows.get_mut(*row)) {
                let si = cell[*column];
                cell[*column] += sign * error.map_or(0.0, |e| e.half_width(si));
            }
        }
    }
    evaluate(flow, &moved, &Shifts::none(), false)
}

pub(super) fn moved_by(prompt: &Prompt, si: f64, step: f64) -> f64 {
    let dimension = match &prompt.kind {
        PromptKind::Quantity(q) => Some(q.unit.dimension()),
        _ => None,
    };
    shifted_value(si, step, dimension)
}
