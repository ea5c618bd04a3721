//! The pressures that a step reads, and which of them a supply makes.

use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::units::Dimension;

/// The pressures that a step records.
pub fn pressures<'f>(flow: &'f Flow, step: &'f Step) -> impl Iterator<Item = &'f Prompt> {
    step.record.iter().filter_map(|id| flow.reading(id)).filter(|prompt| {
        matches!(&prompt.kind, PromptKind::Quantity(q) if q.unit.dimension() == Dimension::Pressure)
    })
}

pub fn is_limited(prompt: &Prompt) -> bool {
    matches!(&prompt.kind, PromptKind::Quantity(q) if q.never_above.is_some())
}

/// Whether a pressure is one that the supply does not make: the engine, the weather or the tank does. Of
/// one that nothing is said of, the worse is taken.
pub fn without_supply(prompt: &Prompt) -> bool {
    prompt.meaning().is_some_and(|is| match is.what {
        What::Plain(plain) => !matches!(
            plain,
            Plain::SmokePressure | Plain::SupplyPressure | Plain::HoldStart | Plain::HoldEnd
        ),
        What::Log(_) => true,
        What::SmokeAt(_) | What::Passage(..) | What::Rest(_) => false,
    })
}
