//! What is done with the cells of each column, and the row that comes of it.

use super::channel::Channel;
use super::eight::Shape;
use super::look::{Look, Purpose};

/// The place of the time in a row.
pub(super) const TIME: usize = Channel::Time.index();

/// What makes SI values of numbers, by channel; a level in whatever unit stays as it is.
#[derive(Clone, Debug)]
pub(super) struct Scales {
    factors: [f64; Channel::PLACES],
    offsets: [f64; Channel::PLACES],
    /// Channels that are used are among so many first pairs.
    pairs: usize,
}

impl Scales {
    pub(super) fn of(look: &Look) -> Self {
        let unit = |channel| {
            let bare = matches!(
                channel,
                Channel::RoadSpeed | Channel::Trigger | Channel::Purge
            );
            let mapped = look.column(channel).filter(|_| !bare);
            mapped.and_then(|mapped| mapped.unit)
        };
        Self {
            factors: by_place(1.0, |c| unit(c).map(|unit| unit.step_to_si(1.0))),
            offsets: by_place(0.0, |c| unit(c).map(|unit| unit.to_si(0.0))),
            pairs: look
                .columns
                .iter()
                .filter_map(|mapped| mapped.holds)
                .map(|channel| channel.index() / 2 + 1)
                .max()
                .unwrap_or(0),
        }
    }

    /// As [`Self::to_si`] for all channels that are used, each value divided first. Two at a time,
    /// as the processor divides.
    pub(super) fn all_to_si(
        &self,
        values: &mut [f64; Channel::PLACES],
        over: &[f64; Channel::PLACES],
    ) {
        let (values, _) = values.as_chunks_mut::<2>();
        let (over, _) = over.as_chunks::<2>();
        let (factors, _) = self.factors.as_chunks::<2>();
        let (offsets, _) = self.offsets.as_chunks::<2>();
        let all = values.iter_mut().zip(over).zip(factors.iter().zip(offsets));
        for ((value, over), (factor, offset)) in all.take(self.pairs) {
            for n in 0..2 {
                value[n] = value[n] / over[n] * factor[n] + offset[n];
            }
        }
    }

    /// As [`crate::units::Unit::to_si`].
    pub(super) fn to_si(&self, channel: usize, value: f64) -> f64 {
        value * self.factors[channel] + self.offsets[channel]
    }
}

/// A number for each place of a row, where the channel there has one.
fn by_place(else_: f64, of: impl Fn(Channel) -> Option<f64>) -> [f64; Channel::PLACES] {
    let mut places = [else_; Channel::PLACES];
    for (place, channel) in places.iter_mut().zip(Channel::ALL) {
        *place = of(channel).unwrap_or(else_);
    }
    places
}

/// What is done with a column's cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Slot {
    /// Nothing.
    Skip,
    /// A number, and the shape that its cells have had so far.
    Number(usize, Shape),
    /// A clock time.
    Clock,
    /// Words for open and closed loop; whether the header says what a yes means.
    Loop {
        /// A yes means closed loop.
        yes_is_closed: bool,
    },
}

impl Slot {
    /// What is done with each column of a file that is read for this.
    pub(super) fn of(look: &Look, purpose: Purpose) -> Vec<Self> {
        let slots = look.columns.iter().map(|mapped| {
            let Some(channel) = mapped.holds.filter(|channel| purpose.uses(*channel)) else {
                return Self::Skip;
            };
            match channel {
                Channel::Time if mapped.clock => Self::Clock,
                Channel::Loop => Self::Loop {
                    yes_is_closed: mapped.column.bare.to_lowercase().contains("closed"),
                },
                _ => Self::Number(channel.index(), Shape::new(0, look.dialect.decimal.byte())),
            }
        });
        slots.collect()
    }
}

/// One row.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// The line where it begins.
    pub(super) line: u64,
    /// Values by channel, in SI units; NaN where missing.
    pub(super) values: [f64; Channel::PLACES],
    /// Whether fuelling is in closed loop, where the row says it.
    pub(super) closed: Option<bool>,
    /// Something else stood before it: the log was begun anew here.
    pub(super) anew: bool,
}

impl Default for Row {
    fn default() -> Self {
        Self {
            line: 0,
            values: [f64::NAN; Channel::PLACES],
            closed: None,
            anew: false,
        }
    }
}

impl Row {
    pub(super) fn value(&self, channel: Channel) -> f64 {
        self.values[channel.index()]
    }
}
