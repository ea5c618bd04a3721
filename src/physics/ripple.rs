//! Ripple of the manifold pressure over an engine cycle: one lobe a cylinder.
//!
//! ```text
//! c_k = (2/T) integral of v(t) exp(-2 pi i k f t) dt,   f = speed / 2 (four-stroke)
//! ```
//!
//! over whole cycles, trapezoid between samples, so that they need not be evenly spaced. `|c_k|` is
//! the amplitude of order `k` (so many a cycle). With `n` sound cylinders only the orders `n, 2n, ..`
//! are there; one cylinder weaker by a share `e` brings in all others, and the half order (`k` = 1,
//! half a turn's frequency) over the firing order is `(e/n) / (1 - e/n)` for narrow lobes: four
//! cylinders and `e` of 0.1, 0.5, 1: 0.0256, 0.143, 0.333. Source: Fourier series; impulse model, our
//! derivation, no printed source; one lobe a cylinder is common practice. Left out: uneven firing
//! intervals, resonance of the manifold, and a long hose to the sensor, which smooths.
//!
//! Before that the slow swing of the signal is taken off ([`level`]), and where the speed wanders the
//! cycles are made even by the phase of the firing order ([`follow`]).
//!
//! A lobe's depth is crest to trough of the cycles averaged, between the troughs of the firing
//! order, or between its crests, whichever parts the lobes more: a weak crest is hidden between
//! crests that are sound, a weak trough between troughs. Samples far out (three interquartile
//! ranges beyond the quartiles, Tukey 1977) are drop-outs of the signal, counted and left out.

mod follow;
mod level;
mod lobes;
mod marks;
mod speed;

use std::f64::consts::TAU;

use follow::{Even, follow};
use level::{level, smooth};
pub use lobes::odd_ones;
use lobes::{BINS, Lobes, lobes};
use marks::Marks;
use speed::{UNLIKE, lobe, search, true_speed, unlike, variance};

/// Share of the range of nearly all samples below which the middle half of them counts as level.
const LEVEL: f64 = 0.02;
/// Speed and likeness are looked at through a mean over this share of a lobe, which takes quick noise off and leaves
/// the lobe.
const SMOOTH: f64 = 0.125;
/// The cycles are made even where that leaves less than this share of their unlikeness: less is noise that was followed.
const BETTER: f64 = 0.9;
/// Cycles that a capture must hold.
pub const CYCLES: f64 = 2.0;
/// Samples that it must hold for each lobe.
pub const SAMPLES: f64 = 8.0;

/// What a capture shows. The signal is in V, or in Pa where the capture holds pressures.
#[derive(Debug, Clone, PartialEq)]
pub struct Ripple {
    /// Turns a second, found near the stated speed; the mean where it wanders.
    pub turns: f64,
    /// Lowest and highest turns a second over a cycle, where the speed wanders and was followed.
    pub wander: Option<(f64, f64)>,
    /// The strongest order: lobes a cycle.
    pub lobes: usize,
    /// Whether one cycle looks like the next at that speed.
    pub repeats: bool,
    /// Turns a second at which the lobes would come as they do, where the signal repeats otherwise than by
    /// whole cycles.
    pub rather: Option<f64>,
    /// Amplitude of the half order over that of the firing order.
    pub half_order: f64,
    /// Crest to trough of each lobe, in the order in which they come.
    pub depths: Vec<f64>,
    /// The numbers that each of these lobes can have, counted from where the trigger rises in a cycle; all are empty
    /// without a trigger.
    pub numbers: Vec<Vec<usize>>,
    /// Runs of samples far out.
    pub drop_outs: usize,
    /// What the orders up to twice the firing order do not explain (root mean square).
    pub noise: f64,
    /// How far a depth can be wrong by what differs from cycle to cycle: three standard errors of a difference of two
    /// means.
    pub blur: f64,
    /// What unlike cycles owe to quick noise, as a share: 1 where noise explains all of it.
    pub hiss: f64,
    /// How far the signal goes up and down within the cycles, noise with it: that of a sine as strong.
    pub swing: f64,
    /// How far it goes up and down more slowly than the cycles; this is taken off before the rest is looked at.
    pub slow: f64,
}

/// Samples that are level and in even time.
struct Cycles {
    samples: Vec<(f64, f64)>,
    /// The same without quick noise.
    smoothed: Vec<(f64, f64)>,
    slow: f64,
    turns: f64,
    wander: Option<(f64, f64)>,
    even: Option<Even>,
    unlike: f64,
}

/// Looks at samples (s, V) in the order of time. `rises` are the times at which the trigger rises; the lobes of a cycle
/// are counted from the first of them, else from the first sample.
/// `None` when the samples are too few, or hold fewer than [`CYCLES`] cycles.
pub fn look(samples: &[(f64, f64)], rises: &[f64], cylinders: usize, turns: f64) -> Option<Ripple> {
    let (kept, drop_outs) = without_far_out(samples);
    let first = kept.first()?.0;
    let length = kept.last()?.0 - first;
    let cycles = length * turns / 2.0;
    if cylinders == 0
        || !cycles.is_finite()
        || cycles < CYCLES
        || (kept.len() as f64) < SAMPLES * cycles * cylinders as f64
    {
        return None;
    }
    let found = best(&kept, cylinders, turns);
    let cycle = 2.0 / found.turns;
    let first = found.samples.first()?.0;
    let length = found.samples.last()?.0 - first;
    let whole = within(
        &found.samples,
        first,
        (length / cycle + 1e-9).floor() * cycle,
    );
    let orders = 2 * cylinders;
    let terms: Vec<(f64, f64)> = (1..=orders)
        .map(|k| term(&whole, k as f64 / cycle))
        .collect();
    let size = |k: usize| terms[k - 1].0.hypot(terms[k - 1].1);
    let strongest = (1..=orders).max_by(|a, b| size(*a).total_cmp(&size(*b)))?;
    // Two crests a lobe leave the firing order strong; twice as many lobes, by a speed that is stated at half, do not.
    let strongest = if strongest == orders && size(cylinders) > size(orders) / 2.0 {
        cylinders
    } else {
        strongest
    };
    let even = |time: f64| found.even.as_ref().map_or(time, |even| even.of(time));
    let marks = Marks::of(rises.iter().map(|rise| even(*rise) / cycle));
    let start = marks.start().map_or(first, |start| start * cycle);
    let Lobes { depths, middle } = lobes(&whole, &terms, start, cylinders, cycle);
    let repeats = found.unlike < UNLIKE * 2.0 * variance(&found.smoothed);
    let scatter = (unlike(&found.samples, cycle) / 2.0).sqrt();
    let in_a_bin = whole.len() as f64 / (cylinders * BINS) as f64;
    Some(Ripple {
        turns: found.turns,
        wander: found.wander,
        lobes: strongest,
        repeats,
        rather: (!repeats || strongest != cylinders)
            .then(|| lobe(&found.smoothed, 2.0 / turns))
            .flatten()
            .map(|lobe| 2.0 / (lobe * cylinders as f64)),
        half_order: size(1) / size(cylinders),
        numbers: marks.numbers((middle - start) / cycle, cylinders),
        depths,
        drop_outs,
        noise: unexplained(&whole, &terms, cycle),
        blur: 3.0 * (2.0 / in_a_bin).sqrt() * scatter,
        hiss: hiss(&found, cycle, cylinders),
        swing: (8.0 * variance(&found.samples)).sqrt(),
        slow: found.slow,
    })
}

/// The cycles at one speed, or, where it makes them more alike, at one that is followed.
fn best(kept: &[(f64, f64)], cylinders: usize, stated: f64) -> Cycles {
    let width = |cycle: f64| SMOOTH * cycle / cylinders as f64;
    let rough = smooth(&level(kept, 2.0 / stated).0, width(2.0 / stated));
    let turns = true_speed(&rough, stated, cylinders);
    let of = |samples: &[(f64, f64)], cycle: f64| {
        let (samples, slow) = level(samples, cycle);
        let smoothed = smooth(&samples, width(cycle));
        (samples, smoothed, slow)
    };
    let cycle = 2.0 / turns;
    let (samples, smoothed, slow) = of(kept, cycle);
    let mut best = Cycles {
        unlike: unlike(&smoothed, cycle),
        samples,
        smoothed,
        slow,
        turns,
        wander: None,
        even: None,
    };
    // Where it wanders, the speed that fits best may lie anywhere near the stated one.
    for turns in [turns, stated] {
        let cycle = 2.0 / turns;
        let Some(even) = follow(&best.smoothed, cycle, cylinders) else {
            continue;
        };
        let Some((mean, low, high)) = even.rates(cycle) else {
            continue;
        };
        let (samples, smoothed, slow) = of(&even.samples(kept), cycle);
        let apart = unlike(&smoothed, cycle);
        let near = (turns * mean / stated - 1.0).abs() <= search(cylinders);
        if near && apart < BETTER * best.unlike {
            // Even time runs at the mean speed.
            let even = even.at_rate(mean);
            let at_rate = |samples: Vec<(f64, f64)>| -> Vec<(f64, f64)> {
                samples.into_iter().map(|(t, v)| (t / mean, v)).collect()
            };
            best = Cycles {
                samples: at_rate(samples),
                smoothed: at_rate(smoothed),
                slow,
                turns: turns * mean,
                wander: Some((turns * low, turns * high)),
                even: Some(even),
                unlike: apart,
            };
            break;
        }
    }
    best
}

/// The share of what makes the cycles unlike, through the mean that takes quick noise off, that such noise leaves in it:
/// noise of samples that know nothing of one another.
fn hiss(found: &Cycles, cycle: f64, cylinders: usize) -> f64 {
    let count = found.samples.len() as f64;
    let quick = found.samples.iter().zip(&found.smoothed);
    let quick = quick.map(|(a, b)| (a.1 - b.1).powi(2)).sum::<f64>() / count;
    let length = found.samples.last().map_or(0.0, |last| last.0)
        - found.samples.first().map_or(0.0, |first| first.0);
    let in_a_mean = (SMOOTH * cycle / cylinders as f64 * count / length).max(1.0);
    (quick / in_a_mean / (found.unlike / 2.0)).min(1.0)
}

/// The samples without those far out, and how many runs of the latter there are.
fn without_far_out(samples: &[(f64, f64)]) -> (Vec<(f64, f64)>, usize) {
    let mut sorted: Vec<f64> = samples.iter().map(|s| s.1).collect();
    sorted.sort_by(f64::total_cmp);
    if sorted.is_empty() {
        return (Vec::new(), 0);
    }
    let at = |percent: usize| sorted[(sorted.len() - 1) * percent / 100];
    let (low, high) = (at(25), at(75));
    // Lobes so narrow that half the samples lie level have no quartiles to go by.
    let spread = if high - low > LEVEL * (at(98) - at(2)) {
        high - low
    } else {
        at(98) - at(2)
    };
    let reach = 3.0 * spread;
    let far = |v: f64| v < low - reach || v > high + reach;
    let runs = samples
        .iter()
        .scan(false, |before, (_, v)| {
            let now = far(*v);
            let begins = now && !*before;
            *before = now;
            Some(begins)
        })
        .filter(|begins| *begins)
        .count();
    let kept = samples.iter().filter(|(_, v)| !far(*v)).copied().collect();
    (kept, runs)
}

/// The samples of a stretch of time, its ends interpolated so that it is exactly that long.
fn within(samples: &[(f64, f64)], from: f64, length: f64) -> Vec<(f64, f64)> {
    let to = from + length;
    let mut inside: Vec<_> = samples.iter().filter(|s| s.0 <= to).copied().collect();
    let next = samples.get(inside.len());
    if let (Some(last), Some(next)) = (inside.last().copied(), next)
        && last.0 < to
    {
        let share = (to - last.0) / (next.0 - last.0);
        inside.push((to, last.1 + share * (next.1 - last.1)));
    }
    inside
}

/// Cosine and sine amplitude at a frequency, of samples that cover whole periods of it.
fn term(samples: &[(f64, f64)], frequency: f64) -> (f64, f64) {
    let (Some(first), Some(last)) = (samples.first(), samples.last()) else {
        return (0.0, 0.0);
    };
    // Around the mean, so that a stretch that is not quite whole does not leak it in.
    let mean = samples.iter().map(|s| s.1).sum::<f64>() / samples.len() as f64;
    let at = |(t, v): (f64, f64)| {
        let (sine, cosine) = (TAU * frequency * t).sin_cos();
        ((v - mean) * cosine, (v - mean) * sine)
    };
    let (mut cosine, mut sine) = (0.0, 0.0);
    for pair in samples.windows(2) {
        let width = pair[1].0 - pair[0].0;
        let (a, b) = (at(pair[0]), at(pair[1]));
        cosine += f64::midpoint(a.0, b.0) * width;
        sine += f64::midpoint(a.1, b.1) * width;
    }
    let scale = 2.0 / (last.0 - first.0);
    (cosine * scale, sine * scale)
}

/// Root mean square of what the orders leave.
fn unexplained(samples: &[(f64, f64)], terms: &[(f64, f64)], cycle: f64) -> f64 {
    let count = samples.len() as f64;
    let rest: Vec<f64> = samples
        .iter()
        .map(|(t, v)| {
            let model: f64 = terms
                .iter()
                .enumerate()
                .map(|(k, (cosine, sine))| {
                    let (s, c) = (TAU * (k + 1) as f64 * t / cycle).sin_cos();
                    cosine * c + sine * s
                })
                .sum();
            v - model
        })
        .collect();
    let mean = rest.iter().sum::<f64>() / count;
    (rest.iter().map(|r| (r - mean).powi(2)).sum::<f64>() / count).sqrt()
}
