//! The quantities that a column can hold: those that the program does something with.
//!
//! Owns their words, their dimension and how each links to what flows take from a log. Knows
//! nothing of headers: which words of a header speak for which quantity is [`super::guess`].

use crate::flow::log_key::LogValue;
use crate::units::Dimension;

/// What a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Channel {
    /// When the row was taken.
    Time,
    /// Engine speed.
    Speed,
    /// Airflow that the meter reports.
    Airflow,
    /// Manifold pressure, absolute.
    Manifold,
    /// Short-term trim of bank 1.
    ShortTrim1,
    /// Short-term trim of bank 2.
    ShortTrim2,
    /// Long-term trim of bank 1.
    LongTrim1,
    /// Long-term trim of bank 2.
    LongTrim2,
    /// Coolant temperature.
    Coolant,
    /// Load, as the control unit works it out.
    Load,
    /// Throttle angle or idle-air command, as a share.
    Throttle,
    /// Road speed, in whatever unit: only whether the car stands is of interest.
    RoadSpeed,
    /// Whether fuelling is in closed loop.
    Loop,
    /// The signal of a sensor.
    Signal,
    /// The level of a second trace that marks one point of a turn or cycle.
    Trigger,
    /// Absolute pressure at a sensor during a sweep.
    Pressure,
    /// How far the purge valve is told to open, in whatever unit: only whether it is shut is of interest.
    Purge,
}

impl Channel {
    /// All of them, in the order of their numbers.
    pub const ALL: [Self; 17] = [
        Self::Time,
        Self::Speed,
        Self::Airflow,
        Self::Manifold,
        Self::ShortTrim1,
        Self::ShortTrim2,
        Self::LongTrim1,
        Self::LongTrim2,
        Self::Coolant,
        Self::Load,
        Self::Throttle,
        Self::RoadSpeed,
        Self::Loop,
        Self::Signal,
        Self::Trigger,
        Self::Pressure,
        Self::Purge,
    ];
    /// How many there are.
    pub const COUNT: usize = Self::ALL.len();
    /// Places in a row of values: an even number, since values are brought to SI units in pairs.
    pub const PLACES: usize = Self::COUNT.next_multiple_of(2);

    /// Its place in a row of values.
    pub const fn index(self) -> usize {
        self as usize
    }

    /// As it is called on screen, in mappings and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Time => "time",
            Self::Speed => "engine speed",
            Self::Airflow => "airflow",
            Self::Manifold => "manifold pressure",
            Self::ShortTrim1 => "short trim 1",
            Self::ShortTrim2 => "short trim 2",
            Self::LongTrim1 => "long trim 1",
            Self::LongTrim2 => "long trim 2",
            Self::Coolant => "coolant temperature",
            Self::Load => "load",
            Self::Throttle => "throttle",
            Self::RoadSpeed => "road speed",
            Self::Loop => "loop",
            Self::Signal => "signal",
            Self::Trigger => "trigger",
            Self::Pressure => "pressure",
            Self::Purge => "purge",
        }
    }

    /// The channel that these words name, in any case.
    pub fn parse(words: &str) -> Option<Self> {
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        Self::ALL
            .into_iter()
            .find(|channel| channel.word().eq_ignore_ascii_case(&words))
    }

    /// What it measures; `None` where no unit is needed.
    pub const fn dimension(self) -> Option<Dimension> {
        match self {
            Self::Time => Some(Dimension::Time),
            Self::Speed => Some(Dimension::Speed),
            Self::Airflow => Some(Dimension::MassFlow),
            Self::Manifold | Self::Pressure => Some(Dimension::Pressure),
            Self::ShortTrim1
            | Self::ShortTrim2
            | Self::LongTrim1
            | Self::LongTrim2
            | Self::Load
            | Self::Throttle => Some(Dimension::Ratio),
            Self::Coolant => Some(Dimension::Temperature),
            Self::Signal => Some(Dimension::Voltage),
            Self::RoadSpeed | Self::Loop | Self::Trigger | Self::Purge => None,
        }
    }

    /// The channel whose mean a flow asks for.
    pub const fn of(value: LogValue) -> Self {
        match value {
            LogValue::Airflow => Self::Airflow,
            LogValue::Manifold => Self::Manifold,
            LogValue::ShortTrim1 => Self::ShortTrim1,
            LogValue::LongTrim1 => Self::LongTrim1,
            LogValue::ShortTrim2 => Self::ShortTrim2,
            LogValue::LongTrim2 => Self::LongTrim2,
            LogValue::Speed => Self::Speed,
            LogValue::Throttle => Self::Throttle,
            LogValue::Load => Self::Load,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_channel_is_found_by_its_words_and_stands_at_its_own_place() {
        for (place, channel) in Channel::ALL.into_iter().enumerate() {
            assert_eq!(channel.index(), place);
            assert_eq!(
                Channel::parse(&channel.word().to_uppercase()),
                Some(channel)
            );
        }
        assert_eq!(Channel::parse("nothing"), None);
    }

    #[test]
    fn what_a_flow_takes_from_a_log_has_the_same_dimension_here() {
        for value in LogValue::ALL {
            assert_eq!(Channel::of(value).dimension(), Some(value.dimension()));
        }
    }
}
