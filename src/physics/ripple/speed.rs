//! The speed at which a signal repeats from cycle to cycle.

/// How far the true speed is looked for around the stated one, at most.
pub(super) const SEARCH: f64 = 0.12;
/// The same as a share of a lobe, since even lobes look alike a whole lobe later.
const SEARCH_OF_LOBE: f64 = 0.45;
/// Mean square of the difference to what comes a cycle later, over twice the variance (0 for a signal that repeats, 1 for
/// one that does not), above which it does not repeat: an assumption of ours, no source.
pub(super) const UNLIKE: f64 = 0.35;

/// How far the speed may lie from the stated one, as a share of it.
pub(super) fn search(cylinders: usize) -> f64 {
    SEARCH.min(SEARCH_OF_LOBE / cylinders as f64)
}

/// The speed near the stated one at which one cycle looks most like the next.
///
/// Not the one at which the firing order is strongest: over a few cycles the orders leak into one
/// another, and that peak lies beside the true speed.
pub(super) fn true_speed(samples: &[(f64, f64)], stated: f64, cylinders: usize) -> f64 {
    let mut best = (stated, unlike(samples, 2.0 / stated));
    let mut width = search(cylinders) * stated;
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

pub(super) fn variance(samples: &[(f64, f64)]) -> f64 {
    let count = samples.len() as f64;
    let mean = samples.iter().map(|(_, v)| v).sum::<f64>() / count;
    samples.iter().map(|(_, v)| (v - mean).powi(2)).sum::<f64>() / count
}

/// The shortest time after which the signal repeats, if it does within a cycle as stated and a half: a lobe.
pub(super) fn lobe(samples: &[(f64, f64)], cycle: f64) -> Option<f64> {
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
pub(super) fn unlike(samples: &[(f64, f64)], cycle: f64) -> f64 {
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
