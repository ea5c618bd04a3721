//! Further invented jobs for paper: a hold before and after, and a capture of the ripple.

use std::f64::consts::TAU;

use crate::support::Story;

/// A leak of the fuel-vapour system: the hold fails, a hose is mended, the hold passes.
pub fn small_leak() -> Story {
    let same = "data-saved: yes
         fuel-level: 50
         tank-warmth: 19
         bay-warmth: 20
         cap-result: less than the hole
         connected-at: service port
         port-core: taken out
         vent-shut-by: command
         purge-shut-by: pinched
         supply-gas: nitrogen
         blocked-flow: 0
         blocked-pressure: 14
         open-flow: 12
         far-end: gas comes
         settled: stands
         hold-start: 14
         warmth-start: 19
         warmth-end: 19
         hole-size: 0.5
         open-start: 14
         small-part: hose or joint
         covered-start: 14
         covered-warmth-start: 19
         covered-warmth-end: 19
         far-end-falls: falls at once
         monitor-result: passed
         smell-after: none";
    Story::new(
        13,
        "TWR 381",
        "Corvane Lisse 1.6, 2014",
        "Engine lamp on, smells of fuel after filling up",
        &["P0456"],
    )
    .fact("sealed-tank", "no")
    .fact("tank-volume", "60 L")
    .fact("altitude", "180 m")
    .saved(&["P0456"], &[], "idle, coolant 88 C", "all ready")
    .reads(1, same)
    .reads(
        1,
        "hold-end: 3.5
         open-end: 1
         small-seen-at: hose or its joint = wisp
         covered-end: 13.4",
    )
    .reads(2, same)
    .reads(
        2,
        "hold-end: 13.5
         open-end: 3",
    )
    .begin("vapour-small-leak")
    .walk()
    .hand_over("Vapour hose renewed; the system holds.")
}

/// A capture in which one of four lobes is shallower; the test stops there.
pub fn odd_lobe() -> Story {
    let turns = 800.0 / 60.0;
    let pairs: Vec<String> = (0..84)
        .map(|n| {
            let time = f64::from(n) * 4.0;
            let cycle = time / 1000.0 * turns / 2.0;
            let firing = -0.05 * (TAU * cycle * 4.0).cos();
            // The third lobe of each cycle is half as deep.
            let weak = ((cycle.fract() * 4.0) - 2.5).abs() < 0.5;
            let signal = 1.4 + firing * if weak { 0.5 } else { 1.0 };
            format!("{time:.1} = {signal:.4}")
        })
        .collect();
    Story::new(
        14,
        "RMD 662",
        "Pellar Tansy 1.2, 2009",
        "Misfires at idle",
        &["P0303"],
    )
    .fact("cylinders", "4")
    .saved(&["P0303"], &[], "", "")
    .reads(
        1,
        &format!(
            "data-saved: yes
             misfire-now: misses
             misfire-spread: one cylinder
             leak-tested: ruled out
             intake-was-off: no
             ripple-seen: one lobe differs
             ripple-capture: {}
             capture-speed: 800",
            pairs.join("; ")
        ),
    )
    .begin("idle-misfire")
    .walk()
}
