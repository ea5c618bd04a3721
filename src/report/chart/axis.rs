//! Where an axis begins and ends, and which numbers stand on it.

/// An axis with its numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// Its lower end.
    pub from: f64,
    /// Its upper end.
    pub to: f64,
    /// Numbers on it, with their texts.
    pub ticks: Vec<(f64, String)>,
}

impl Scale {
    /// An axis that holds all values, with at most about so many steps of 1, 2 or 5 times a power
    /// of ten. Values that are no numbers are passed over.
    pub fn around(values: impl IntoIterator<Item = f64>, zero: bool, steps: u32) -> Self {
        let (mut low, mut high) = if zero {
            (0.0_f64, 0.0_f64)
        } else {
            (f64::INFINITY, f64::NEG_INFINITY)
        };
        for value in values.into_iter().filter(|v| v.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        if !low.is_finite() {
            (low, high) = (0.0, 1.0);
        }
        if high - low <= 1e-9 * low.abs().max(high.abs()).max(1e-9) {
            // One value, or many alike: a little room on both sides.
            let room = if low == 0.0 { 1.0 } else { low.abs() * 0.1 };
            (low, high) = if zero {
                (low.min(0.0), high.max(0.0).max(room))
            } else {
                (low - room, high + room)
            };
        }
        let step = step((high - low) / f64::from(steps.max(1)));
        let (first, last) = ((low / step).floor(), (high / step + 1e-9).ceil());
        let decimals = decimals(step);
        let mut ticks = Vec::new();
        let mut n = first;
        while n <= last + 0.5 && ticks.len() < 40 {
            let value = n * step;
            // No minus sign before a zero.
            let value = if value == 0.0 { 0.0 } else { value };
            ticks.push((value, format!("{value:.decimals$}")));
            n += 1.0;
        }
        Self {
            from: first * step,
            to: last * step,
            ticks,
        }
    }

    /// Where a value stands between the ends, 0 to 1; values outside are held at the end.
    pub fn place(&self, value: f64) -> f64 {
        ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0)
    }
}

/// The next larger of 1, 2 and 5 times a power of ten.
fn step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    let times = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .find(|times| times * power >= least * (1.0 - 1e-9));
    times.unwrap_or(10.0) * power
}

/// As many decimals as tell the steps apart.
fn decimals(step: f64) -> usize {
    (0..9)
        .find(|n: &u8| {
            let scaled = step * 10_f64.powi(i32::from(*n));
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1.0)
        })
        .map_or(9, usize::from)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn the_numbers_on_an_axis_are_round() {
        let texts = |scale: &Scale| -> Vec<String> {
            scale.ticks.iter().map(|(_, text)| text.clone()).collect()
        };
        let axis = Scale::around([20.4, 1.6], true, 4);
        assert_eq!(texts(&axis), ["0", "10", "20", "30"]);
        let axis = Scale::around([0.031, 0.059], false, 3);
        assert_eq!(texts(&axis), ["0.03", "0.04", "0.05", "0.06"]);
        let axis = Scale::around([-5.9, 0.1], true, 4);
        assert_eq!(texts(&axis), ["-6", "-4", "-2", "0", "2"]);
        assert_eq!(
            texts(&Scale::around([], true, 4))
                .first()
                .map(String::as_str),
            Some("0.0")
        );
    }

    proptest! {
        #[test]
        fn an_axis_holds_its_values_and_few_numbers(
            values in prop::collection::vec(-1e6..1e6_f64, 0..6),
            zero: bool,
        ) {
            let axis = Scale::around(values.iter().copied(), zero, 5);
            prop_assert!(axis.from < axis.to && axis.ticks.len() >= 2 && axis.ticks.len() <= 8, "{axis:?}");
            let room = (axis.to - axis.from) * 1e-6;
            for value in values {
                prop_assert!(axis.from - room <= value && value <= axis.to + room, "{axis:?} {value}");
            }
            prop_assert!(!zero || (axis.from <= 0.0 && axis.to >= 0.0));
        }
    }
}
