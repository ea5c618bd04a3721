//! Which quantity a header's words speak for.
//!
//! Generic words of the trade only, and the abbreviations of SAE J1930 (from memory): a guess is
//! shown, and can be corrected. It is better to guess nothing than wrongly, so a word that gives
//! another meaning (`target`, `temperature`, `volts`) puts the guess out.

use super::channel::Channel;
use crate::units::{Dimension, Unit};

/// Words that speak for a channel, and words that put it out.
struct Rule {
    channel: Channel,
    /// Each is a set of words that must all be there; one set is enough.
    any: &'static [&'static [&'static str]],
    not: &'static [&'static str],
}

/// What is wanted or commanded is not what is.
const AIM: [&str; 8] = [
    "target",
    "desired",
    "commanded",
    "requested",
    "setpoint",
    "limit",
    "max",
    "min",
];

const RULES: [Rule; 14] = [
    Rule {
        channel: Channel::Purge,
        any: &[&["purge"]],
        not: &[
            "pressure",
            "flow",
            "temperature",
            "temp",
            "volts",
            "voltage",
            "time",
            "count",
        ],
    },
    Rule {
        channel: Channel::Loop,
        any: &[
            &["loop"],
            &["fuel", "system", "status"],
            &["fuel", "status"],
            &["fuelling", "status"],
        ],
        not: &["2", "b", "idle"],
    },
    Rule {
        channel: Channel::ShortTrim1,
        any: &[&["short", "trim"], &["stft"], &["shrtft"]],
        not: &["sensor", "o2", "oxygen", "secondary"],
    },
    Rule {
        channel: Channel::LongTrim1,
        any: &[&["long", "trim"], &["ltft"], &["longft"]],
        not: &["sensor", "o2", "oxygen", "secondary"],
    },
    Rule {
        channel: Channel::Time,
        any: &[
            &["time"],
            &["timestamp"],
            &["elapsed"],
            &["seconds"],
            &["t"],
        ],
        not: &[
            "trim",
            "injection",
            "injector",
            "run",
            "since",
            "pulse",
            "fill",
            "dwell",
            "open",
        ],
    },
    Rule {
        channel: Channel::Speed,
        any: &[&["rpm"], &["engine", "speed"], &["crankshaft", "speed"]],
        not: &[
            "turbine", "input", "output", "fan", "vehicle", "idle", "turbo",
        ],
    },
    Rule {
        channel: Channel::RoadSpeed,
        any: &[&["vehicle", "speed"], &["road", "speed"], &["vss"]],
        not: &["engine"],
    },
    Rule {
        channel: Channel::Airflow,
        any: &[&["maf"], &["airflow"], &["air", "flow"], &["mass", "air"]],
        not: &[
            "temperature",
            "temp",
            "volts",
            "voltage",
            "frequency",
            "exhaust",
            "idle",
            "bypass",
        ],
    },
    Rule {
        channel: Channel::Manifold,
        any: &[
            &["map"],
            &["manifold", "pressure"],
            &["manifold", "press"],
            &["intake", "pressure"],
            &["intake", "press"],
        ],
        not: &[
            "vacuum",
            "gauge",
            "relative",
            "boost",
            "exhaust",
            "temperature",
            "volts",
            "voltage",
            "ambient",
            "barometric",
        ],
    },
    Rule {
        channel: Channel::Coolant,
        any: &[
            &["coolant"],
            &["ect"],
            &["engine", "temperature"],
            &["engine", "temp"],
        ],
        not: &[
            "oil", "volts", "voltage", "level", "flow", "pressure", "fan", "start", "pump",
        ],
    },
    Rule {
        channel: Channel::Load,
        any: &[&["load"]],
        not: &["absolute", "alternator", "generator", "battery", "axle"],
    },
    Rule {
        channel: Channel::Throttle,
        any: &[
            &["throttle"],
            &["tps"],
            &["tp"],
            &["iac"],
            &["idle", "air"],
            &["idle", "command"],
        ],
        not: &[
            "volts",
            "voltage",
            "temperature",
            "pedal",
            "relative",
            "b",
            "pressure",
        ],
    },
    Rule {
        channel: Channel::Trigger,
        any: &[&["trigger"], &["trig"], &["sync"], &["cylinder", "1"]],
        not: &[],
    },
    Rule {
        channel: Channel::Pressure,
        any: &[&["pressure"], &["press"], &["p"]],
        not: &[
            "fuel",
            "oil",
            "rail",
            "vapour",
            "vapor",
            "barometric",
            "exhaust",
            "tyre",
            "tire",
            "gauge",
            "vacuum",
            "boost",
            "relative",
        ],
    },
];

/// A guess and what it rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Guess {
    /// The quantity.
    pub(super) channel: Channel,
    /// The words that speak for it.
    pub(super) because: &'static [&'static str],
}

/// The quantity that a header speaks for, if any. A unit of another kind puts a guess out.
pub(super) fn guess(bare: &str, unit: Option<Unit>) -> Option<Guess> {
    let words = words(bare);
    let has = |word: &&str| words.iter().any(|w| w == word);
    // What the purge valve is told is what is asked of it here; and only as a number, not as words.
    let purge = has(&"purge");
    let share = unit.is_some_and(|unit| unit.dimension() == Dimension::Ratio);
    let as_share =
        share || (unit.is_none() && (has(&"duty") || has(&"command") || has(&"commanded")));
    if (purge && !as_share) || (!purge && AIM.iter().any(&has)) {
        return None;
    }
    // The sensor behind the converter watches it, and trims nothing that the flows ask for.
    let behind = words.windows(2).any(|pair| {
        pair[0] == "s" && pair[1] != "1" && pair[1].bytes().all(|b| b.is_ascii_digit())
    });
    let mut found = RULES.iter().find_map(|rule| {
        let because = rule.any.iter().find(|set| set.iter().all(&has))?;
        let out = rule.not.iter().any(&has);
        (!out).then_some(Guess {
            channel: rule.channel,
            because,
        })
    });
    if let Some(guess) = &mut found {
        guess.channel = by_bank(guess.channel, &words).filter(|_| !behind)?;
    }
    let volts = unit.is_some_and(|unit| unit.dimension() == Dimension::Voltage);
    if volts
        && matches!(
            found,
            Some(Guess {
                channel: Channel::Manifold | Channel::Pressure,
                ..
            })
        )
    {
        // A scope names its channel by the sensor: the volts of a pressure sensor are the signal.
        found = None;
    }
    let signal: &[&str] = if has(&"signal") {
        &["signal"]
    } else {
        &["volts"]
    };
    let found = found.or_else(|| {
        let says_so = ["signal", "volts", "voltage", "volt"].iter().any(&has);
        let supply = ["battery", "supply", "module", "system", "o2", "oxygen"]
            .iter()
            .any(has);
        ((volts || says_so) && !supply).then_some(Guess {
            channel: Channel::Signal,
            because: signal,
        })
    })?;
    let fits = match (unit, found.channel.dimension()) {
        (Some(unit), Some(wanted)) => unit.dimension() == wanted,
        _ => true,
    };
    fits.then_some(found)
}

/// Whether a header speaks of a pressure against the air's.
pub(super) fn is_relative(bare: &str) -> bool {
    const AGAINST: [&str; 6] = ["vacuum", "vac", "gauge", "boost", "relative", "rel"];
    words(bare)
        .iter()
        .any(|word| AGAINST.contains(&word.as_str()))
}

/// Puts a trim to its bank: bank 1 unless the words say 2; none for a bank that is not known here.
fn by_bank(channel: Channel, words: &[String]) -> Option<Channel> {
    let (first, second) = match channel {
        Channel::ShortTrim1 => (Channel::ShortTrim1, Channel::ShortTrim2),
        Channel::LongTrim1 => (Channel::LongTrim1, Channel::LongTrim2),
        other => return Some(other),
    };
    let number = words
        .iter()
        .find(|word| word.bytes().all(|byte| byte.is_ascii_digit()));
    match number.map(String::as_str) {
        None | Some("1") => Some(first),
        Some("2") => Some(second),
        Some(_) => None,
    }
}

/// A header's words in lower case, parted at blanks, signs, digits and the humps of `MassAirFlow`.
fn words(text: &str) -> Vec<String> {
    #[derive(PartialEq, Clone, Copy)]
    enum Kind {
        Lower,
        Upper,
        Digit,
        Other,
    }
    let kind = |c: char| {
        if c.is_ascii_digit() {
            Kind::Digit
        } else if c.is_uppercase() {
            Kind::Upper
        } else if c.is_alphabetic() {
            Kind::Lower
        } else {
            Kind::Other
        }
    };
    let mut words = Vec::new();
    let mut word = String::new();
    let mut last = Kind::Other;
    for c in text.chars() {
        let now = kind(c);
        let new = match (last, now) {
            // `O2` is one word.
            (Kind::Upper, Kind::Digit) if word == "o" => false,
            (Kind::Digit, Kind::Digit) => false,
            (Kind::Lower, Kind::Upper) | (_, Kind::Digit | Kind::Other) | (Kind::Digit, _) => true,
            _ => false,
        };
        if new && !word.is_empty() {
            words.push(std::mem::take(&mut word));
        }
        if now != Kind::Other {
            word.extend(c.to_lowercase());
        }
        last = now;
    }
    if !word.is_empty() {
        words.push(word);
    }
    words
}

#[cfg(test)]
mod tests {
    use super::super::header::split;
    use super::*;

    fn channel(header: &str) -> Option<Channel> {
        let (bare, unit) = split(header);
        guess(bare, unit).map(|guess| guess.channel)
    }

    #[test]
    fn words_of_the_trade_are_understood_however_they_are_run_together() {
        use Channel as C;
        for (header, wanted) in [
            ("Time (s)", C::Time),
            ("timestamp", C::Time),
            ("RPM", C::Speed),
            ("Engine speed [1/min]", C::Speed),
            ("EngineSpeed", C::Speed),
            ("Engine RPM", C::Speed),
            ("MAF (g/s)", C::Airflow),
            ("Mass air flow rate", C::Airflow),
            ("MAP [kPa]", C::Manifold),
            ("Intake press. (abs) [kPa]", C::Manifold),
            ("Intake manifold absolute pressure", C::Manifold),
            ("STFT B1 (%)", C::ShortTrim1),
            ("stft2", C::ShortTrim2),
            ("Short term fuel trim - Bank 2", C::ShortTrim2),
            ("Long-term trim, bank 1", C::LongTrim1),
            ("LTFT", C::LongTrim1),
            ("ECT", C::Coolant),
            ("Coolant temperature (°C)", C::Coolant),
            ("Calculated load", C::Load),
            ("Throttle position [%]", C::Throttle),
            ("Vehicle speed", C::RoadSpeed),
            ("Fuel system status", C::Loop),
            ("Closed loop", C::Loop),
            ("Channel A (V)", C::Signal),
            ("Signal (mV)", C::Signal),
            ("MAP (V)", C::Signal),
            ("Manifold pressure (V)", C::Signal),
            ("Trigger", C::Trigger),
            ("Pressure (kPa)", C::Pressure),
            ("P (kPa)", C::Pressure),
            ("STFT B1S1 (%)", C::ShortTrim1),
            ("STFT B2S1 (%)", C::ShortTrim2),
            ("EVAP Purge Command (%)", C::Purge),
            ("Commanded evaporative purge [%]", C::Purge),
            ("Purge duty", C::Purge),
        ] {
            assert_eq!(channel(header), Some(wanted), "{header}");
        }
    }

    #[test]
    fn what_only_looks_alike_is_left_alone() {
        for header in [
            "",
            "Target idle speed",
            "Desired manifold pressure",
            "Manifold vacuum (inHg)",
            "Intake air temperature",
            "Exhaust mass air temperature",
            "Time since start (min)",
            "Injection time (ms)",
            "STFT B1 sensor 2",
            "STFT B1S2 (%)",
            "Purge pressure (Pa)",
            "Purge valve",
            "Trim bank 3 short",
            "Fuel rail pressure (kPa)",
            "Battery voltage (V)",
            "Oil temperature (C)",
            "Comment",
            "Engine speed (kPa)",
        ] {
            assert_eq!(channel(header), None, "{header}");
        }
    }
}
