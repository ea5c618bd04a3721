//! The independent sources of error of a job, and the graph with one of them shifted.

use super::graph::{Base, Graph, evaluate};
use crate::flow::model::{Arg, Flow, Gauge, PairsPrompt, Prompt, PromptKind};
use crate::physics::calculation::Shifts;
use crate::physics::evaluate::shifted_value;
use crate::units::Quantity;

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
        .map_or(0.0, one_step);
    stated.hypot(resolution)
}

/// The 95 % half-width that a scale's smallest step leaves, in SI.
fn one_step(resolution: Quantity) -> f64 {
    resolution.unit().step_to_si(resolution.value()) * STEP_TO_95
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

/// The own 95 % half-width of one value of a pair, at that value: its stated error and the
/// resolution of its column's gauge.
pub(super) fn cell_error(flow: &Flow, id: &str, column: usize, si: f64) -> f64 {
    let Some(PromptKind::Pairs(pairs)) = flow.reading(id).map(|prompt| &prompt.kind) else {
        return 0.0;
    };
    let stated = [pairs.errors.0, pairs.errors.1][column];
    let resolution = pairs_gauge(flow, pairs)
        .filter(|(_, of)| *of == column)
        .and_then(|(gauge, _)| gauge.resolution);
    let stated = stated.map_or(0.0, |error| error.half_width(si));
    stated.hypot(resolution.map_or(0.0, one_step))
}

fn pairs_gauge<'f>(flow: &'f Flow, pairs: &PairsPrompt) -> Option<(&'f Gauge, usize)> {
    let (id, column) = pairs.gauge.as_ref()?;
    Some((flow.gauge(id)?, *column))
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
        for (row, cells) in base.pairs.get(&prompt.id).into_iter().flatten().enumerate() {
            for (column, si) in cells.iter().enumerate() {
                if cell_error(flow, &prompt.id, column, *si) > 0.0 {
                    sources.push(Source::Cell(prompt.id.clone(), row, column));
                }
            }
        }
    }
    sources.extend(
        flow.gauges
            .iter()
            .filter(|g| g.accuracy.is_some())
            .map(|g| Source::Gauge(g.id.clone())),
    );
    for work in &flow.worked {
        let written = |(input, word): (&str, &str)| {
            let mut inputs = work.inputs.iter();
            inputs.any(|(name, arg)| *name == input && matches!(arg, Arg::Word(is) if is == word))
        };
        let all = work.calculation.nuisances.iter();
        for nuisance in all.filter(|nuisance| nuisance.only_with.is_none_or(written)) {
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
    shift_all(flow, base, [(source, sign)])
}

/// The graph with each of these sources shifted by so large a share of its 95 % range, 1 for its upper end.
pub(super) fn shift_all<'s>(
    flow: &Flow,
    base: &Base,
    sources: impl IntoIterator<Item = (&'s Source, f64)>,
) -> Graph {
    let mut moved = base.clone();
    let mut shifts = Shifts::none();
    for (source, share) in sources {
        if let Source::Nuisance(name) = source {
            shifts = shifts.and(name, share * Z95);
        } else {
            move_values(flow, source, share, &mut moved);
        }
    }
    evaluate(flow, &moved, &shifts, false)
}

/// Moves the values that one source of error moves.
fn move_values(flow: &Flow, source: &Source, share: f64, moved: &mut Base) {
    match source {
        Source::Nuisance(_) => {}
        Source::Own(id) => {
            if let (Some(prompt), Some(si)) = (flow.prompt(id), moved.numbers.get_mut(id)) {
                *si = moved_by(prompt, *si, share * own_error(flow, prompt, *si));
            }
        }
        Source::Gauge(gauge) => {
            for prompt in &flow.readings {
                shift_gauge(flow, prompt, gauge, share, moved);
            }
        }
        Source::Cell(id, row, column) => {
            if let Some(cell) = moved.pairs.get_mut(id).and_then(|rows| rows.get_mut(*row)) {
                let si = cell[*column];
                cell[*column] += share * cell_error(flow, id, *column, si);
            }
        }
    }
}

/// Moves everything that a prompt holds of a gauge's readings by the gauge's bias.
fn shift_gauge(flow: &Flow, prompt: &Prompt, gauge: &str, sign: f64, moved: &mut Base) {
    match &prompt.kind {
        PromptKind::Quantity(q) if q.gauge.as_deref() == Some(gauge) => {
            if let Some(si) = moved.numbers.get_mut(&prompt.id) {
                *si = moved_by(prompt, *si, sign * gauge_error(flow, prompt, *si));
            }
        }
        PromptKind::Pairs(pairs) => {
            let Some((of, column)) = pairs_gauge(flow, pairs).filter(|(of, _)| of.id == gauge)
            else {
                return;
            };
            let Some(accuracy) = of.accuracy else { return };
            for cells in moved.pairs.get_mut(&prompt.id).into_iter().flatten() {
                cells[column] += sign * accuracy.half_width(cells[column]);
            }
        }
        _ => {}
    }
}

pub(super) fn moved_by(prompt: &Prompt, si: f64, step: f64) -> f64 {
    let dimension = match &prompt.kind {
        PromptKind::Quantity(q) => Some(q.unit.dimension()),
        _ => None,
    };
    shifted_value(si, step, dimension)
}
