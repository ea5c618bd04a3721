//! Clock times as cells hold them, and a clock that goes on over midnight.

use super::dialect::Decimal;

/// Seconds since midnight of a clock time: `12:03:04.5`, `03:04`, with a date before it if any.
///
/// Two parts are minutes and seconds, as a log's own clock shows them.
pub(super) fn clock(cell: &[u8], decimal: Decimal) -> Option<f64> {
    let text = std::str::from_utf8(cell).ok()?.trim();
    let text = text.rsplit([' ', 'T']).next()?.trim_end_matches('Z');
    let parts: Vec<&str> = text.split(':').collect();
    let (hours, minutes, seconds) = match parts[..] {
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
    // Sixty occurs as a leap second.
    Some(whole(hours, 24)? * 3600.0 + whole(minutes, 60)? * 60.0 + whole(second, 61)? + fraction)
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
        for text in [
            "", ":", "1:2:3:4", "25:00:00", "00:61:00", "12", "aa:bb", "00:00:-1",
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
