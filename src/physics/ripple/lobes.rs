//! The depth of each lobe of the average cycle, and which of them stand out.

use std::f64::consts::TAU;

/// Bins that a lobe's average is kept in.
pub(super) const BINS: usize = 16;

/// Crest to trough of each lobe of the average cycle, and the time of the first lobe's middle.
pub(super) struct Lobes {
    pub(super) depths: Vec<f64>,
    pub(super) middle: f64,
}

/// The lobes of samples that cover whole cycles, counted from a start. `terms` are the amplitudes of the orders.
pub(super) fn lobes(
    samples: &[(f64, f64)],
    terms: &[(f64, f64)],
    start: f64,
    cylinders: usize,
    cycle: f64,
) -> Lobes {
    let lobe = cycle / cylinders as f64;
    let (cosine, sine) = terms[cylinders - 1];
    // The firing order is at its crest here, and at its trough half a lobe before.
    let crest = sine.atan2(cosine) / TAU * lobe;
    let around = |middle: f64| {
        // The first middle at or after the start is lobe one.
        let first = middle + ((start - middle) / lobe - 1e-9).ceil() * lobe;
        Lobes {
            depths: ranges(samples, first - lobe / 2.0, cylinders, cycle),
            middle: first,
        }
    };
    let (crests, troughs) = (around(crest), around(crest + lobe / 2.0));
    let apart = |lobes: &Lobes| {
        let off = odd_ones(&lobes.depths, 0.0).into_iter();
        let off = off.map(|(_, off)| off.abs());
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
