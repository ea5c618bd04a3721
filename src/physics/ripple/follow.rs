//! A speed that wanders, followed by the phase of the firing order.
//!
//! ```text
//! z(t) = (1/T) integral of v(u) exp(-i w u) du over T around t,   w = 2 pi n / T
//! even time: t + (arg z(t) - arg z(first)) / w
//! ```
//!
//! `T` is a cycle at the mean speed and `n` the cylinders. Over a whole cycle the other orders go
//! out of `z`, so that its phase runs ahead of or behind an even firing as the engine does. In even
//! time one cycle is as long as the next; what the wander leaves in the first pass the next ones
//! take out. Source: complex demodulation (Bingham, Godfrey, Tukey 1967; from memory). Left out:
//! what changes within a cycle, which is what the lobes are told by.

use std::f64::consts::{PI, TAU};

use super::level::Integral;
use super::speed::SEARCH;

/// Places in a lobe at which the phase is looked at.
const PLACES: usize = 4;
/// Passes; each leaves some hundredths of what was there before.
const PASSES: usize = 4;

/// Even time against time: the places that it is known at, straight between them.
#[derive(Debug, Clone)]
pub(super) struct Even {
    /// Time and even time, s.
    places: Vec<(f64, f64)>,
}

impl Even {
    /// Even time, s.
    pub(super) fn of(&self, time: f64) -> f64 {
        let Some(last) = self.places.len().checked_sub(1).filter(|last| *last > 0) else {
            return time;
        };
        let after = self.places.partition_point(|place| place.0 <= time);
        let after = after.clamp(1, last);
        let (from, to) = (self.places[after - 1], self.places[after]);
        from.1 + (to.1 - from.1) * (time - from.0) / (to.0 - from.0)
    }

    /// The same, slower by a factor.
    pub(super) fn at_rate(mut self, rate: f64) -> Self {
        self.places.iter_mut().for_each(|place| place.1 /= rate);
        self
    }

    /// Samples in even time.
    pub(super) fn samples(&self, samples: &[(f64, f64)]) -> Vec<(f64, f64)> {
        let even = |(time, value): &(f64, f64)| (self.of(*time), *value);
        samples.iter().map(even).collect()
    }

    /// Mean, lowest and highest rate at which even time goes; the latter over whole cycles.
    pub(super) fn rates(&self, cycle: f64) -> Option<(f64, f64, f64)> {
        let (first, last) = (self.places.first()?.0, self.places.last()?.0);
        let rate = |from: f64, to: f64| (self.of(to) - self.of(from)) / (to - from);
        let cycles = self.places.iter().map(|place| place.0);
        let cycles = cycles.take_while(|from| from + cycle <= last);
        let (low, high) = cycles
            .map(|from| rate(from, from + cycle))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), rate| {
                (low.min(rate), high.max(rate))
            });
        (low <= high).then(|| (rate(first, last), low, high))
    }
}

/// Follows the firing order of level samples. `None` where it runs away further than a speed that
/// is held does, so that it is something else that was followed.
pub(super) fn follow(samples: &[(f64, f64)], cycle: f64, cylinders: usize) -> Option<Even> {
    let (first, last) = (samples.first()?.0, samples.last()?.0);
    let step = cycle / (cylinders * PLACES) as f64;
    let mut places = Vec::new();
    let mut time = first;
    while time < last {
        places.push((time, time));
        time += step;
    }
    places.push((last, last));
    let mut even = Even { places };
    for _ in 0..PASSES {
        let now = even.samples(samples);
        if now.windows(2).any(|pair| pair[1].0 <= pair[0].0) {
            return None;
        }
        let ahead = ahead(&now, &even, cycle, cylinders)?;
        for (place, ahead) in even.places.iter_mut().zip(ahead) {
            place.1 += ahead;
        }
    }
    let (mean, low, high) = even.rates(cycle)?;
    let held = |rate: f64| (rate / mean - 1.0).abs() <= SEARCH;
    (mean > 0.0 && held(low) && held(high)).then_some(even)
}

/// How far the firing is ahead of even time at each place, s, from the first place on.
fn ahead(now: &[(f64, f64)], even: &Even, cycle: f64, cylinders: usize) -> Option<Vec<f64>> {
    let turn = TAU * cylinders as f64 / cycle;
    let part = |of: fn(f64) -> f64| -> Vec<(f64, f64)> {
        let product = |(time, value): &(f64, f64)| (*time, value * of(turn * time));
        now.iter().map(product).collect()
    };
    let (cosine, sine) = (part(f64::cos), part(f64::sin));
    let (cosine, sine) = (Integral::of(&cosine)?, Integral::of(&sine)?);
    let mut known: Vec<(f64, f64)> = Vec::new();
    for (_, time) in &even.places {
        let ((c, middle), (s, _)) = (cosine.mean(*time, cycle), sine.mean(*time, cycle));
        if known.last().is_some_and(|last| middle <= last.0) {
            continue;
        }
        let phase = (-s).atan2(c);
        let before = known.last().map_or(phase, |last| last.1);
        // The nearest of those that are whole turns apart.
        known.push((middle, before + (phase - before + PI).rem_euclid(TAU) - PI));
    }
    // Between them, and straight on beyond the first and the last over as long as a lobe shows it.
    let reach = PLACES.min(known.len().checked_sub(1)?);
    let line = |from: (f64, f64), to: (f64, f64), time: f64| {
        from.1 + (to.1 - from.1) * (time - from.0) / (to.0 - from.0)
    };
    let (begin, end) = (known[0], known[known.len() - 1]);
    let at = |time: f64| {
        if reach == 0 {
            begin.1
        } else if time <= begin.0 {
            line(begin, known[reach], time)
        } else if time >= end.0 {
            line(known[known.len() - 1 - reach], end, time)
        } else {
            let after = known.partition_point(|known| known.0 <= time);
            line(known[after - 1], known[after], time)
        }
    };
    let start = at(even.places.first()?.1);
    let places = even.places.iter();
    Some(places.map(|(_, time)| (at(*time) - start) / turn).collect())
}
