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
//! A lobe's depth is crest to trough of the cycles averaged, between the troughs of the firing
//! order, or between its crests, whichever parts the lobes more: a weak crest is hidden between
//! crests that are sound, a weak trough between troughs. Samples far out (three interquartile
//! ranges beyond the quartiles, Tukey 1977) are drop-outs of the signal, counted and left out.

use std::f64::consts::TAU;

/// Bins that a lobe's average is kept in.
const BINS: usize = 16;
/// Share of the range of nearly all samples below which the middle half of them counts as level.
const LEVEL: f64 = 0.02;
/// How far the true speed is looked for around the stated one, at most.
const SEARCH: f64 = 0.12;
/// The same as a share of a lobe, since even lobes look alike a whole lobe later.
const SEARCH_OF_LOBE: f64 = 0.45;
/// Mean square of the difference to what comes a cycle later, over twice the variance (0 for a signal that repeats, 1 for
/// one that does not), above which it does not repeat: an assumption of ours, no source.
const UNLIKE: f64 = 0.35;
/// Cycles that a capture must hold.
pub const CYCLES: f64 = 2.0;
/// Samples that it must hold for each lobe.
pub const SAMPLES: f64 = 8.0;

/// What a capture shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Ripple {
    /// Turns a second, found near the stated speed.
    pub turns: f64,
    /// The strongest order: lobes a cycle.
    pub lobes: usize,
    /// Whether one cycle looks like the next at that speed.
    pub repeats: bool,
    /// Turns a second at which the lobes would come as they do, where the signal repeats otherwise than by
    /// whole cycles.
    pub rather: Option<f64>,
    /// Amplitude of the half order over that of the firing order.
    pub half_order: f64,
    /// Crest to trough of each lobe, V, in the order in which they come.
    pub depths: Vec<f64>,
    /// Runs of samples far out.
    pub drop_outs: usize,
    /// What the orders up to twice the firing order do not explain, V (root mean square).
    pub noise: f64,
}

/// Looks at samples (s, V) in the order of time. `start` is where a cycle's lobes are counted from.
/// `None` when they are too few, or hold fewer than [`CYCLES`] cycles.
pub fn look(
    samples: &[(f64, f64)],
    start: Option<f64>,
    cylinders: usize,
    turns: f64,
) -> Option<Ripple> {
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
    let stated = turns;
    let turns = true_speed(&kept, turns, cylinders);
    let cycle = 2.0 / turns;
    let whole = within(&kept, first, (length / cycle + 1e-9).floor() * cycle);
    let orders = 2 * cylinders;
    let terms: Vec<(f64, f64)> = (1..=orders)
        .map(|k| term(&whole, k as f64 / cycle))
        .collect();
    let size = |k: usize| terms[k - 1].0.hypot(terms[k - 1].1);
    let lobes = (1..=orders).max_by(|a, b| size(*a).total_cmp(&size(*b)))?;
    // Two crests a lobe leave the firing order strong; twice as many lobes, by a speed that is stated at half, do not.
    let lobes = if lobes == orders && size(cylinders) > size(orders) / 2.0 {
        cylinders
    } else {
        lobes
    };
    let repeats = unlike(&kept, cycle) < UNLIKE * 2.0 * variance(&kept);
    Some(Ripple {
        turns,
        lobes,
        repeats,
        rather: (!repeats || lobes != cylinders)
            .then(|| lobe(&kept, 2.0 / stated))
            .flatten()
            .map(|lobe| 2.0 / (lobe * cylinders as f64)),
        half_order: size(1) / size(cylinders),
        depths: depths(&whole, &terms, start.unwrap_or(first), cylinders, cycle),
        drop_outs,
        noise: unexplained(&whole, &terms, cycle),
    })
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

/// The speed near the stated one at which one cycle looks most like the next.
///
/// Not the one at which the firing order is strongest: over a few cycles the orders leak into one
/// another, and that peak lies beside the true speed.
fn true_speed(samples: &[(f64, f64)], stated: f64, cylinders: usize) -> f64 {
    let mut best = (stated, unlike(samples, 2.0 / stated));
    let mut width = SEARCH.min(SEARCH_OF_LOBE / cylinders as f64) * stated;
    // From coarse to fine, around the best so far.
    for _ in 0..5 {
        let centre = best.0;
        for step in -8_i32..=8 {
            let turns = centre + width * f64::from(step) / 8.0;
            let here = unlike(samples, 2.0 / turns);
            if here < best.1 {
                best = (turns, here);
            }
        }
        width /= 6.0;
    }
    best.0
}

fn variance(samples: &[(f64, f64)]) -> f64 {
    let count = samples.len() as f64;
    let mean = samples.iter().map(|(_, v)| v).sum::<f64>() / count;
    samples.iter().map(|(_, v)| (v - mean).powi(2)).sum::<f64>() / count
}

/// The shortest time after which the signal repeats, if it does within a cycle as stated and a half: a lobe.
fn lobe(samples: &[(f64, f64)], cycle: f64) -> Option<f64> {
    /// Steps in a cycle: some dozen in the shortest lobe of an engine of eight whose speed is stated at half.
    const STEPS: i32 = 200;
    let over = 2.0 * variance(samples);
    let at = |step: i32| unlike(samples, cycle * f64::from(step) / f64::from(STEPS)) / over;
    let found = (2..=STEPS * 3 / 2)
        .map(|step| (step, at(step)))
        // What lies next to itself is alike by being the same.
        .skip_while(|(_, apart)| *apart < 2.0 * UNLIKE)
        .skip_while(|(_, apart)| *apart > UNLIKE)
        .take_while(|(_, apart)| *apart <= UNLIKE)
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    Some(cycle * f64::from(found.0) / f64::from(STEPS))
}

/// Mean square of the difference between the signal and itself a cycle later.
fn unlike(samples: &[(f64, f64)], cycle: f64) -> f64 {
    let (mut sum, mut count, mut place) = (0.0, 0.0, 0);
    for (t, v) in samples {
        let later = t + cycle;
        while samples.get(place + 1).is_some_and(|next| next.0 < later) {
            place += 1;
        }
        let (Some(from), Some(to)) = (samples.get(place), samples.get(place + 1)) else {
            break;
        };
        let then = from.1 + (to.1 - from.1) * (later - from.0) / (to.0 - from.0);
        sum += (v - then).powi(2);
        count += 1.0;
    }
    if count > 0.0 {
        sum / count
    } else {
        f64::INFINITY
    }
}

/// Crest to trough of each lobe of the average cycle.
fn depths(
    samples: &[(f64, f64)],
    terms: &[(f64, f64)],
    start: f64,
    cylinders: usize,
    cycle: f64,
) -> Vec<f64> {
    let lobe = cycle / cylinders as f64;
    let (cosine, sine) = terms[cylinders - 1];
    // The firing order is at its crest here, and at its trough half a lobe before.
    let crest = sine.atan2(cosine) / TAU * lobe;
    let around = |middle: f64| {
        // The first middle at or after the start is lobe one.
        let first = middle + ((start - middle) / lobe - 1e-9).ceil() * lobe;
        ranges(samples, first - lobe / 2.0, cylinders, cycle)
    };
    let (crests, troughs) = (around(crest), around(crest + lobe / 2.0));
    let apart = |depths: &[f64]| {
        let off = odd_ones(depths, 0.0).into_iter().map(|(_, off)| off.abs());
        off.filter(|off| off.is_finite()).fold(0.0, f64::max)
    };
    if apart(&troughs) > apart(&crests) {
        troughs
    } else {
        crests
    }
}

/// Highest less lowest of the average cycle in each of its parts, the first of which begins at a
/// time.
fn ranges(samples: &[(f64, f64)], begins: f64, cylinders: usize, cycle: f64) -> Vec<f64> {
    let mut sums = vec![(0.0, 0_u32); cylinders * BINS];
    for (t, v) in samples {
        let place = ((t - begins) / cycle).rem_euclid(1.0) * (cylinders * BINS) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "from 0 to the number of bins"
        )]
        let bin = (place as usize).min(cylinders * BINS - 1);
        sums[bin].0 += v;
        sums[bin].1 += 1;
    }
    sums.chunks(BINS)
        .map(|bins| {
            let means = bins
                .iter()
                .filter(|(_, count)| *count > 0)
                .map(|(sum, count)| sum / f64::from(*count));
            let (low, high) = means.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
                (l.min(v), h.max(v))
            });
            (high - low).max(0.0)
        })
        .collect()
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

/// Depths against their median: which lobe stands out, and by which share.
pub fn odd_ones(depths: &[f64], share: f64) -> Vec<(usize, f64)> {
    let mut sorted = depths.to_vec();
    sorted.sort_by(f64::total_cmp);
    let median = match sorted.len() {
        0 => return Vec::new(),
        n if n % 2 == 1 => sorted[n / 2],
        n => f64::midpoint(sorted[n / 2 - 1], sorted[n / 2]),
    };
    depths
        .iter()
        .enumerate()
        .map(|(place, depth)| (place, depth / median - 1.0))
        .filter(|(_, off)| off.abs() > share)
        .collect()
}
