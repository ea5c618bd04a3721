//! Clock times as cells hold them, and a clock that goes on over midnight.

use super::dialect::Decimal;

/// Seconds since midnight of a clock time: `12:03:04.5`, `03:04`, with a date before it if any.
///
/// Two parts are minutes and seconds, as a log's own clock shows them; with AM or PM behind them they are hours and
/// minutes.
pub(super) fn clock(cell: &[u8], decimal: Decimal) -> Option<f64> {
    let text = std::str::from_utf8(cell).ok()?.trim();
    let (text, half) = half_of_day(text);
    let text = text.rsplit([' ', 'T']).next()?.trim_end_matches('Z');
    let parts: Vec<&str> = text.split(':').collect();
    let (hours, minutes, seconds) = match parts[..] {
        [hours, minutes] if half.is_some() => (hours, minutes, "0"),
        [minutes, seconds] => ("0", minutes, seconds),
        [hours, minutes, seconds] => (hours, minutes, seconds),
        _ => return None,
    };
    let whole = |part: &str, below: u32| {
        let digits = !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
        let value = digits.then(|| part.parse::<u32>().ok()).flatten()?;
        (value < below).then(|| f64::from(value))
    };
    // A clock time of either decimal mark cannot be mistaken for anything else.
    let seconds = seconds.replace(char::from(decimal.byte()), ".");
    let (second, rest) = seconds.split_once('.').unwrap_or((&seconds, "0"));
    let fraction = if rest.is_empty() { "0" } else { rest };
    let fraction = fraction
        .bytes()
        .all(|byte| byte.is_ascii_digit())
        .then(|| format!("0.{fraction}").parse::<f64>().ok())
        .flatten()?;
    let hours = match half {
        None => whole(hours, 24)?,
        // Twelve is the first hour of either half.
        Some(begins) => whole(hours, 13).filter(|hours| *hours > 0.0)? % 12.0 + begins,
    };
    // Sixty occurs as a leap second.
    Some(hours * 3600.0 + whole(minutes, 60)? * 60.0 + whole(second, 61)? + fraction)
}

/// The text before AM or PM, and the hour that begins that half of the day.
fn half_of_day(text: &str) -> (&str, Option<f64>) {
    let Some((before, half)) = text.split_at_checked(text.len().saturating_sub(2)) else {
        return (text, None);
    };
    let begins = match half {
        "AM" | "am" => 0.0,
        "PM" | "pm" => 12.0,
        _ => return (text, None),
    };
    (before.trim_end(), Some(begins))
}

/// Keeps a clock going over midnight.
#[derive(Default)]
pub(super) struct Days {
    last: f64,
    before: f64,
}

impl Days {
    pub(super) fn seconds(&mut self, clock: f64) -> f64 {
        const DAY: f64 = 86_400.0;
        // Half a day back is not a row out of order: midnight has passed.
        if clock < self.last - DAY / 2.0 {
            self.before += DAY;
        }
        self.last = clock;
        self.before + clock
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn clock_times_are_seconds() {
        let read = |text: &str| clock(text.as_bytes(), Decimal::Point);
        assert_eq!(read("00:00:01.5"), Some(1.5));
        assert_eq!(read("2026-03-02T12:00:00.250Z"), Some(43_200.25));
        assert_eq!(read("02.03.2026 01:00:00"), Some(3600.0));
        assert_eq!(read("03:04.5"), Some(184.5));
        assert_eq!(clock(b"00:00:01,5", Decimal::Comma), Some(1.5));
        assert_eq!(read("11/28/2026 12:00:01 PM"), Some(43_201.0));
        assert_eq!(read("12:00:01 am"), Some(1.0));
        assert_eq!(read("1:02:03.5PM"), Some(46_923.5));
        assert_eq!(read("11:30 PM"), Some(84_600.0));
        for text in [
            "",
            ":",
            "1:2:3:4",
            "25:00:00",
            "00:61:00",
            "12",
            "aa:bb",
            "00:00:-1",
            "13:00:00 PM",
            "0:10:00 AM",
            "PM",
        ] {
            assert_eq!(read(text), None, "{text}");
        }
    }

    #[test]
    fn a_clock_goes_on_over_midnight() {
        let mut days = Days::default();
        let times: Vec<f64> = [86_398.0, 86_399.5, 1.0, 2.0]
            .map(|t| days.seconds(t))
            .into();
        assert_eq!(times, [86_398.0, 86_399.5, 86_401.0, 86_402.0]);
    }

    proptest! {
        #[test]
        fn no_bytes_make_it_panic(cell in proptest::collection::vec(any::<u8>(), 0..24)) {
            let _ = clock(&cell, Decimal::Point);
        }
    }
}
