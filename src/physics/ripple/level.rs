//! Running means of unevenly spaced samples: the slow swing of a signal, and its quick noise.
//!
//! A mean over a whole cycle holds none of the orders of the cycle, so what it leaves of a signal is
//! what the lobes do not make: a drift, or the pressure that goes up and down with a hunting idle.

/// Integral of samples (s, V) from the first of them on, trapezoid between samples.
pub(super) struct Integral<'s> {
    samples: &'s [(f64, f64)],
    sums: Vec<f64>,
    first: f64,
    last: f64,
}

impl<'s> Integral<'s> {
    /// Of samples whose times rise; `None` of fewer than two.
    pub(super) fn of(samples: &'s [(f64, f64)]) -> Option<Self> {
        let (first, last) = (samples.first()?.0, samples.last()?.0);
        let mut sum = 0.0;
        let mut sums = vec![0.0];
        for pair in samples.windows(2) {
            sum += f64::midpoint(pair[0].1, pair[1].1) * (pair[1].0 - pair[0].0);
            sums.push(sum);
        }
        (last > first).then_some(Self {
            samples,
            sums,
            first,
            last,
        })
    }

    fn at(&self, time: f64) -> f64 {
        let after = self.samples.partition_point(|sample| sample.0 <= time);
        let after = after.clamp(1, self.samples.len() - 1);
        let (from, to) = (self.samples[after - 1], self.samples[after]);
        let gone = time - from.0;
        let value = from.1 + (to.1 - from.1) * gone / (to.0 - from.0);
        self.sums[after - 1] + f64::midpoint(from.1, value) * gone
    }

    /// Mean around a time, over a width that is moved inside the samples where it reaches out of
    /// them; and the middle of what it was taken over.
    pub(super) fn mean(&self, time: f64, width: f64) -> (f64, f64) {
        let width = width.min(self.last - self.first);
        let from = (time - width / 2.0).clamp(self.first, self.last - width);
        let mean = (self.at(from + width) - self.at(from)) / width;
        (mean, from + width / 2.0)
    }

    /// The slow course of the signal: the mean over a width, and towards both ends its straight
    /// continuation.
    fn slow(&self, time: f64, width: f64) -> f64 {
        let (mean, middle) = self.mean(time, width);
        let inward = if time < middle { width } else { -width };
        let (beside, there) = self.mean(middle + inward, width);
        let away = time - middle;
        if away.abs() < 1e-9 * width || (there - middle).abs() < 1e-9 * width {
            return mean;
        }
        mean + (beside - mean) / (there - middle) * away
    }
}

/// The samples without their slow course, and how far that went up and down, V.
pub(super) fn level(samples: &[(f64, f64)], cycle: f64) -> (Vec<(f64, f64)>, f64) {
    let Some(integral) = Integral::of(samples) else {
        return (samples.to_vec(), 0.0);
    };
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    let level = samples.iter().map(|(time, value)| {
        let slow = integral.slow(*time, cycle);
        (low, high) = (low.min(slow), high.max(slow));
        (*time, value - slow)
    });
    let level = level.collect();
    (level, high - low)
}

/// Each sample as the mean of those around it.
pub(super) fn smooth(samples: &[(f64, f64)], width: f64) -> Vec<(f64, f64)> {
    let Some(integral) = Integral::of(samples) else {
        return samples.to_vec();
    };
    let mean = |(time, _): &(f64, f64)| (*time, integral.mean(*time, width).0);
    samples.iter().map(mean).collect()
}
