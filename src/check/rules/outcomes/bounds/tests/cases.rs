//! The worked values that are tried, each with the ranges that a workshop meets.

/// Readings of every kind, by an id that says which.
pub(super) const READINGS: &str = "  p1: {ask: P, unit: kPa}\n  p2: {ask: P, unit: kPa}\n  p3: {ask: P, unit: kPa}\n  p4: {ask: P, unit: kPa}\n  \
     q1: {ask: Q, unit: L/min}\n  q2: {ask: Q, unit: L/min}\n  s1: {ask: S, unit: \"%\"}\n  s2: {ask: S, unit: \"%\"}\n  \
     s3: {ask: S, unit: \"%\"}\n  s4: {ask: S, unit: \"%\"}\n  d1: {ask: D, unit: mm}\n  d2: {ask: D, unit: mm}\n  h: {ask: H, unit: m}\n  w1: {ask: W, unit: deg}\n  w2: {ask: W, unit: deg}\n  w3: {ask: W, unit: deg}\n  \
     a1: {ask: A, unit: mm2}\n  a2: {ask: A, unit: mm2}\n  m1: {ask: M, unit: g/s}\n  v1: {ask: V, unit: L}\n  n1: {ask: N, unit: rpm}\n  \
     p5: {ask: P, unit: kPa}\n  m2: {ask: M, unit: g/s}\n  t1: {ask: T, unit: C}\n  t2: {ask: T, unit: C}\n  z1: {ask: Z, unit: s}\n  z2: {ask: Z, unit: s}\n  o1: {ask: O, unit: ohm}\n  \
     o2: {ask: O, unit: ohm}\n  e1: {ask: E, unit: V}\n  e2: {ask: E, unit: V}\n  g1: {ask: G, unit: V/kPa}\n  c1: {ask: C, unit: count}\n";

/// An input with the ends of its range, in SI units.
pub(super) type Ends = (&'static str, f64, f64);

pub(super) struct Case {
    /// The calculation with its inputs.
    pub(super) work: &'static str,
    /// The results that are looked at.
    pub(super) take: &'static [&'static str],
    /// What a workshop meets.
    pub(super) ends: &'static [Ends],
}

const fn case(work: &'static str, take: &'static [&'static str], ends: &'static [Ends]) -> Case {
    Case { work, take, ends }
}

const WARM: (f64, f64) = (255.0, 330.0);

pub(super) static CASES: &[Case] = &[
    case(
        "found: {open-flow: q1, open-pressure: p1, covered-flow: q2, covered-pressure: p2, barometer: p3, temperature: t1}",
        &["diameter", "area"],
        &[
            ("q1", 0.0, 2e-3),
            ("p1", 100.0, 2e5),
            ("q2", 0.0, 2e-3),
            ("p2", 100.0, 2e5),
            ("p3", 6e4, 1.08e5),
            ("t1", WARM.0, WARM.1),
        ],
    ),
    case(
        "decay: {volume: v1, barometer: p3, gas: nitrogen, at: [{time: 0 s, pressure: p1, gas-temperature: t1}, {time: z1, pressure: p2, gas-temperature: t2}]}",
        &[
            "diameter",
            "large-leak",
            "small-leak",
            "end-pressure",
            "verdict",
        ],
        &[
            ("v1", 1e-3, 0.1),
            ("p1", 1500.0, 5e3),
            ("t1", 290.0, 292.0),
            ("z1", 60.0, 240.0),
            ("p2", 0.0, 5e3),
            ("t2", 290.0, 292.0),
            ("p3", 6e4, 1.08e5),
        ],
    ),
    case(
        "decay: {volume: v1, barometer: p3, at: [{time: 0 s, pressure: p1, gas-temperature: t1}, {time: z1, pressure: p2, gas-temperature: t2}], criterion: none}",
        &["diameter", "small-leak"],
        &[
            ("v1", 1e-3, 0.1),
            ("p1", -5e3, -1500.0),
            ("t1", 290.0, 292.0),
            ("z1", 60.0, 240.0),
            ("p2", -5e3, 0.0),
            ("t2", 290.0, 292.0),
            ("p3", 6e4, 1.08e5),
        ],
    ),
    case(
        "decay: {volume: 20 L, barometer: p3, temperature: t1, at: [{time: 0 s, pressure: p1}, {time: 120 s, pressure: p2}]}",
        &["diameter", "end-pressure", "verdict"],
        &[
            ("p1", 500.0, 5e3),
            ("p2", 0.0, 5e3),
            ("t1", WARM.0, WARM.1),
            ("p3", 6e4, 1.08e5),
        ],
    ),
    case(
        "volume: {test-hole: d1, barometer: p5, open-at: [{time: 0 s, pressure: p1}, {time: 120 s, pressure: p2}], at: [{time: 0 s, pressure: p3}, {time: 120 s, pressure: p4}]}",
        &["volume", "leak"],
        &[
            ("d1", 2e-4, 2e-3),
            ("p1", 3e3, 5e3),
            ("p2", 100.0, 2e3),
            ("p3", 3e3, 3.5e3),
            ("p4", 2.5e3, 3e3),
            ("p5", 6e4, 1.08e5),
        ],
    ),
    case(
        "trims: {points: [{airflow: m1, trim: s1, manifold: p1}, {airflow: m2, trim: s2, manifold: p2}], banks: c1, barometer: p3, stop: 95 %}",
        &["offset", "leak", "area", "diameter"],
        &[
            ("m1", 2e-3, 6e-3),
            ("s1", -0.3, 0.5),
            ("p1", 2e4, 4.5e4),
            ("m2", 8e-3, 0.03),
            ("s2", -0.3, 0.5),
            ("p2", 2e4, 4.5e4),
            ("c1", 1.0, 2.0),
            ("p3", 7e4, 1.08e5),
        ],
    ),
    case(
        "trims: {points: [{airflow: m1, trim: s1}, {airflow: m2, trim: s2}], stop: 95 %}",
        &["offset", "leak", "area", "diameter"],
        &[
            ("m1", 2e-3, 6e-3),
            ("s1", -0.3, 0.5),
            ("m2", 5e-3, 0.03),
            ("s2", -0.3, 0.5),
        ],
    ),
    case(
        "ratio: [p1, p2]",
        &["ratio"],
        &[("p1", -1e5, 1e5), ("p2", 10.0, 1e5)],
    ),
    case(
        "difference: [p1, p2]",
        &["difference"],
        &[("p1", -1e5, 1e5), ("p2", -1e5, 1e5)],
    ),
    case(
        "sum: [p1, p2, 2 kPa]",
        &["sum"],
        &[("p1", -1e5, 1e5), ("p2", -1e5, 1e5)],
    ),
    case(
        "hole: {flow: q1, pressure: p1, temperature: t1, barometer: p2}",
        &["diameter", "area"],
        &[
            ("q1", 0.0, 2e-3),
            ("p1", 50.0, 2e5),
            ("t1", WARM.0, WARM.1),
            ("p2", 6e4, 1.08e5),
        ],
    ),
    case(
        "hole: {flow: q1, pressure: p1, barometer: p2, gas: nitrogen, coefficient: rounded}",
        &["diameter", "area"],
        &[("q1", 0.0, 2e-3), ("p1", -4e4, -50.0), ("p2", 6e4, 1.08e5)],
    ),
    case(
        "hole: {flow: q1, upstream: p1, downstream: p2}",
        &["diameter", "area"],
        &[("q1", 0.0, 2e-3), ("p1", 1e5, 3e5), ("p2", 2e4, 1e5)],
    ),
    case(
        "flow: {hole: [d1, d2], pressure: p1, temperature: t1, barometer: p2}",
        &["mass-flow", "volume-flow"],
        &[
            ("d1", 0.0, 0.01),
            ("d2", 0.0, 0.01),
            ("p1", 0.0, 2e5),
            ("t1", WARM.0, WARM.1),
            ("p2", 6e4, 1.08e5),
        ],
    ),
    case(
        "flow: {hole: [d1], upstream: p1, downstream: p2}",
        &["mass-flow", "volume-flow"],
        &[("d1", 0.0, 0.01), ("p1", 1e5, 3e5), ("p2", 2e4, 1e5)],
    ),
    case(
        "found: {open-flow: q1, open-pressure: p1, covered-flow: q2, covered-pressure: p2}",
        &["diameter", "area"],
        &[
            ("q1", 0.0, 2e-3),
            ("p1", 100.0, 2e5),
            ("q2", 0.0, 2e-3),
            ("p2", 100.0, 2e5),
        ],
    ),
    case(
        "found: {open-flow: q1, open-pressure: p1, covered-flow: q2, covered-pressure: p2, gas: nitrogen}",
        &["diameter", "area"],
        &[
            ("q1", 0.0, 2e-3),
            ("p1", -8e3, -100.0),
            ("q2", 0.0, 2e-3),
            ("p2", -8e3, -100.0),
        ],
    ),
    case(
        "decay: {volume: v1, temperature: t1, at: [{time: z1, pressure: p1}, {time: z2, pressure: p2}]}",
        &["diameter", "large-leak", "small-leak", "leak-pressure"],
        &[
            ("v1", 1e-3, 0.1),
            ("t1", WARM.0, WARM.1),
            ("z1", 0.0, 20.0),
            ("p1", 20.0, 1.5e5),
            ("z2", 60.0, 600.0),
            ("p2", 0.0, 1.5e5),
        ],
    ),
    case(
        "decay: {volume: 20 L, at: [{time: z1, pressure: p1}, {time: z2, pressure: p2}]}",
        &["end-pressure", "verdict"],
        &[
            ("z1", 0.0, 20.0),
            ("p1", 500.0, 5e3),
            ("z2", 60.0, 600.0),
            ("p2", 0.0, 5e3),
        ],
    ),
    case(
        "decay: {volume: 20 L, at: [{time: 0 s, pressure: p1}, {time: 120 s, pressure: p2}]}",
        &["diameter", "small-leak"],
        &[("p1", -5e3, -100.0), ("p2", -5e3, 0.0)],
    ),
    case(
        "decay: {volume: 20 L, barometer: p3, at: [{time: 0 s, pressure: p1, gas-temperature: t1}, {time: 120 s, pressure: p2, gas-temperature: t2}]}",
        &["drift"],
        &[
            ("p1", 100.0, 5e3),
            ("t1", WARM.0, WARM.1),
            ("p2", 0.0, 5e3),
            ("t2", WARM.0, WARM.1),
            ("p3", 6e4, 1.08e5),
        ],
    ),
    case(
        "volume: {test-hole: d1, open-at: [{time: 0 s, pressure: p1}, {time: z1, pressure: p2}], at: [{time: 0 s, pressure: p3}, {time: z2, pressure: p4}]}",
        &["volume", "leak"],
        &[
            ("d1", 2e-4, 2e-3),
            ("p1", 3e3, 5e3),
            ("p2", 100.0, 2e3),
            ("z1", 60.0, 120.0),
            ("p3", 3e3, 3.5e3),
            ("p4", 2.5e3, 3e3),
            ("z2", 100.0, 240.0),
        ],
    ),
    case(
        "gauge: {reading: q1, pressure: p1, scale-pressure: p2, temperature: t1, scale-temperature: t2, barometer: p3, gas: carbon-dioxide}",
        &["flow", "factor"],
        &[
            ("q1", 0.0, 2e-3),
            ("p1", 0.0, 2e5),
            ("p2", 0.0, 2e5),
            ("t1", WARM.0, WARM.1),
            ("t2", WARM.0, WARM.1),
            ("p3", 6e4, 1.08e5),
        ],
    ),
    case(
        "equilibrium: {set-pressure: p1, open-flow: q1, hole: [d1], temperature: t1, barometer: p2}",
        &["pressure", "flow"],
        &[
            ("p1", 500.0, 5e4),
            ("q1", 1e-5, 1e-3),
            ("d1", 0.0, 5e-3),
            ("t1", WARM.0, WARM.1),
            ("p2", 6e4, 1.08e5),
        ],
    ),
    case(
        "fill: {set-pressure: 14 inH2O, open-flow: q1, target: p1, tank: v1, fuel-level: s1, hole: [d1], temperature: t1}",
        &["time", "verdict"],
        &[
            ("q1", 1e-4, 1e-3),
            ("p1", 100.0, 3.4e3),
            ("v1", 0.02, 0.1),
            ("s1", 0.0, 0.9),
            ("d1", 0.0, 2e-3),
            ("t1", WARM.0, WARM.1),
        ],
    ),
    case(
        "fill: {set-pressure: p1, open-flow: q1, volume: v1, barometer: p2}",
        &["volume"],
        &[
            ("p1", 500.0, 5e3),
            ("q1", 1e-4, 1e-3),
            ("v1", 0.0, 0.1),
            ("p2", 6e4, 1.08e5),
        ],
    ),
    case(
        "vapour: {from: t1, to: t2, pressure: p1, barometer: p2, reid-pressure: p3, fresh: s1}",
        &[
            "gas-change",
            "saturated-change",
            "vapour-pressure",
            "fresh-rise",
            "verdict",
        ],
        &[
            ("t1", WARM.0, 310.0),
            ("t2", WARM.0, WARM.1),
            ("p1", -4e3, 5e3),
            ("p2", 8e4, 1.08e5),
            ("p3", 4e4, 1.05e5),
            ("s1", 0.0, 1.0),
        ],
    ),
    case(
        "regulatory: {flow: q1, pressure: p1, temperature: t1, barometer: p2}",
        &["diameter", "verdict"],
        &[
            ("q1", 0.0, 1e-4),
            ("p1", 50.0, 7e3),
            ("t1", WARM.0, WARM.1),
            ("p2", 6e4, 1.08e5),
        ],
    ),
    case(
        "trim-total: {short: s1, long: s2}",
        &["total"],
        &[("s1", -0.3, 0.3), ("s2", -0.3, 0.3)],
    ),
    case(
        "needed: {trim: s1, airflow: m1, banks: c1, manifold: p1, barometer: p2, temperature: t1}",
        &["diameter", "area"],
        &[
            ("s1", 0.0, 0.5),
            ("m1", 1e-3, 0.1),
            ("c1", 1.0, 2.0),
            ("p1", 2e4, 7e4),
            ("p2", 7e4, 1.08e5),
            ("t1", WARM.0, WARM.1),
        ],
    ),
    case(
        "needed: {leak: m1, manifold: p1, temperature: t1}",
        &["diameter", "area"],
        &[("m1", 1e-5, 0.01), ("p1", 2e4, 1e5), ("t1", WARM.0, WARM.1)],
    ),
    case(
        "share: {hole: d1, needed: d2}",
        &["share"],
        &[("d1", 0.0, 0.01), ("d2", 1e-4, 0.01)],
    ),
    case(
        "share: {hole-area: a1, needed-area: a2}",
        &["share"],
        &[("a1", -1e-6, 1e-4), ("a2", 1e-8, 1e-4)],
    ),
    case(
        "air: {altitude: h, sea-vacuum: p1}",
        &["barometer", "temperature", "key-on", "idle-vacuum"],
        &[("h", -400.0, 4000.0), ("p1", 5e4, 8e4)],
    ),
    case(
        "air: {altitude: h, setting: p2}",
        &["barometer", "key-on", "idle-vacuum"],
        &[("h", -400.0, 4000.0), ("p2", 8.1e4, 1.09e5)],
    ),
    case(
        "air: {altitude: 300 m, station: p2, sea-vacuum: p1}",
        &["idle-manifold", "idle-vacuum"],
        &[("p1", 5e4, 8e4), ("p2", 9.2e4, 1.03e5)],
    ),
    case(
        "key-on: {reading: p1, barometer: p2, tolerance: p3}",
        &["difference", "verdict"],
        &[("p1", 6e4, 1.1e5), ("p2", 6e4, 1.1e5), ("p3", 0.0, 5e3)],
    ),
    case(
        "sensor-line: {gain: g1, offset: e1, signal: e2, pressure: p1}",
        &["pressure", "signal"],
        &[
            ("g1", 1e-5, 1e-4),
            ("e1", -1.0, 1.0),
            ("e2", 0.0, 5.0),
            ("p1", 0.0, 2e5),
        ],
    ),
    case(
        "idle-air: {displacement: v1, speed: n1, manifold: p1, temperature: t1, efficiency: s1}",
        &["airflow"],
        &[
            ("v1", 5e-4, 8e-3),
            ("n1", 5.0, 100.0),
            ("p1", 2e4, 1e5),
            ("t1", WARM.0, WARM.1),
            ("s1", 0.3, 1.0),
        ],
    ),
    case(
        "raised-idle: {reading: s1, baseline: s2, stop: s3, tolerance: s4}",
        &["closed-by", "left", "verdict"],
        &[
            ("s1", 0.0, 0.6),
            ("s2", 0.2, 0.6),
            ("s3", 0.0, 0.1),
            ("s4", 0.0, 0.1),
        ],
    ),
    case(
        "raised-idle: {angle: w1, baseline-angle: w2, stop-angle: w3, tolerance: s4}",
        &["closed-by", "left", "verdict"],
        &[
            ("w1", 0.0, 0.3),
            ("w2", 0.1, 0.3),
            ("w3", 0.0, 0.05),
            ("s4", 0.0, 0.1),
        ],
    ),
    case(
        "raised-idle: {baseline-angle: w2, hole: [d1], displacement: v1, speed: n1, manifold: p1, efficiency: s1}",
        &["command", "throttle"],
        &[
            ("w2", 0.1, 0.3),
            ("d1", 0.0, 0.01),
            ("v1", 1e-3, 4e-3),
            ("n1", 8.0, 20.0),
            ("p1", 2e4, 8e4),
            ("s1", 0.4, 1.0),
        ],
    ),
    case(
        "raised-idle: {baseline: s2, hole: [d1], displacement: v1, speed: n1, manifold: p1, efficiency: s1}",
        &["command", "leak-share", "speed"],
        &[
            ("s2", 0.2, 0.6),
            ("d1", 0.0, 0.01),
            ("v1", 1e-3, 4e-3),
            ("n1", 8.0, 20.0),
            ("p1", 2e4, 8e4),
            ("s1", 0.4, 1.0),
        ],
    ),
    case(
        "raised-idle: {baseline: s2, hole: [d1], displacement: v1, speed: n1, efficiency: s1, temperature: t1}",
        &["manifold"],
        &[
            ("s2", 0.2, 0.6),
            ("d1", 0.0, 0.01),
            ("v1", 1e-3, 4e-3),
            ("n1", 8.0, 20.0),
            ("s1", 0.4, 1.0),
            ("t1", WARM.0, WARM.1),
        ],
    ),
    case(
        "coil: {resistance: o1, nominal: o2, temperature: t1, nominal-temperature: t2, tolerance: s1}",
        &["corrected", "verdict"],
        &[
            ("o1", 1.0, 200.0),
            ("o2", 5.0, 60.0),
            ("t1", 230.0, 420.0),
            ("t2", 280.0, 310.0),
            ("s1", 0.02, 0.4),
        ],
    ),
    case(
        "coil: {resistance: o1, nominal: 26 ohm, voltage: e1, temperature: t1}",
        &["current"],
        &[("o1", 1.0, 200.0), ("e1", 9.0, 15.0), ("t1", 230.0, 420.0)],
    ),
];
