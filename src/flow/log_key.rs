//! What a reading takes from a log of scan data: the words after the key `log`.
//!
//! An owner writes `log: idle airflow` beside a reading, and a log that has a steady idle fills it.
//! This module owns the words and what each measures; how a log is read is no business of a flow.

use crate::units::Dimension;

/// A stretch of a log in which the engine runs steadily.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LogWindow {
    /// Warm idle.
    Idle,
    /// A steady 2500 rpm without load.
    Fast,
}

/// A value whose mean over such a stretch is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LogValue {
    /// Airflow that the meter reports.
    Airflow,
    /// Manifold pressure, absolute.
    Manifold,
    /// Short-term trim of bank 1.
    ShortTrim1,
    /// Long-term trim of bank 1.
    LongTrim1,
    /// Short-term trim of bank 2.
    ShortTrim2,
    /// Long-term trim of bank 2.
    LongTrim2,
    /// Engine speed.
    Speed,
    /// Throttle angle or idle-air command.
    Throttle,
    /// Load.
    Load,
}

/// What a reading takes from a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LogKey {
    /// The mean of a value over a steady stretch of a log.
    Mean(LogWindow, LogValue),
    /// Pairs of pressure and signal held during a sweep of a sensor.
    Sweep,
    /// Pairs of time and signal: a trace as a scope shows it.
    Trace,
}

const SWEEP: &str = "sweep";
const TRACE: &str = "trace";

impl LogWindow {
    /// Both, in the order in which they are tested.
    pub const ALL: [Self; 2] = [Self::Idle, Self::Fast];

    /// As it is written in a flow.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Idle => "idle",
            Self::Fast => "2500 rpm",
        }
    }

    /// As it is called on screen.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Idle => "warm idle",
            Self::Fast => "steady 2500 rpm",
        }
    }
}

impl LogValue {
    /// All of them.
    pub const ALL: [Self; 9] = [
        Self::Airflow,
        Self::Manifold,
        Self::ShortTrim1,
        Self::LongTrim1,
        Self::ShortTrim2,
        Self::LongTrim2,
        Self::Speed,
        Self::Throttle,
        Self::Load,
    ];

    /// As it is written in a flow.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Airflow => "airflow",
            Self::Manifold => "manifold pressure",
            Self::ShortTrim1 => "short trim 1",
            Self::LongTrim1 => "long trim 1",
            Self::ShortTrim2 => "short trim 2",
            Self::LongTrim2 => "long trim 2",
            Self::Speed => "engine speed",
            Self::Throttle => "throttle",
            Self::Load => "load",
        }
    }

    /// What it measures.
    pub const fn dimension(self) -> Dimension {
        match self {
            Self::Airflow => Dimension::MassFlow,
            Self::Manifold => Dimension::Pressure,
            Self::Speed => Dimension::Speed,
            _ => Dimension::Ratio,
        }
    }
}

impl LogKey {
    /// Every key, each with its words.
    pub fn all() -> impl Iterator<Item = Self> {
        LogWindow::ALL
            .into_iter()
            .flat_map(|window| LogValue::ALL.map(|value| Self::Mean(window, value)))
            .chain([Self::Sweep, Self::Trace])
    }

    /// The key that these words name.
    pub fn parse(words: &str) -> Option<Self> {
        Self::all().find(|key| key.words() == words)
    }

    /// Its words in a flow.
    pub fn words(self) -> String {
        match self {
            Self::Mean(window, value) => format!("{} {}", window.word(), value.word()),
            Self::Sweep => SWEEP.to_owned(),
            Self::Trace => TRACE.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_key_is_found_by_its_own_words_and_no_two_share_them() {
        let words: Vec<String> = LogKey::all().map(LogKey::words).collect();
        for (key, words) in LogKey::all().zip(&words) {
            assert_eq!(LogKey::parse(words), Some(key), "{words}");
        }
        let distinct: std::collections::BTreeSet<_> = words.iter().collect();
        assert_eq!(distinct.len(), words.len());
        assert_eq!(LogKey::parse("idle"), None);
        assert_eq!(LogKey::parse("Idle airflow"), None);
    }
}
