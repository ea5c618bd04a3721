//! The demo jobs: invented cars in an invented workshop.

use crate::support::Story;

pub fn all() -> Vec<Story> {
    vec![split_hose_then_gasket()]
}

/// A split hose explains the trims; the retest finds a second leak that it had hidden.
pub fn split_hose_then_gasket() -> Story {
    Story::new(
        1,
        "BRK 214",
        "Corvane Lisse 1.6, 2014",
        "Rough idle and a hissing noise; the engine lamp is on",
        &["P0171"],
    )
    .fact("metering", "air mass")
    .fact("banks", "1")
    .fact("altitude", "180 m")
    .saved(
        &["P0171"],
        &[],
        "820 rpm, coolant 88 C, short +9 %, long +14 %",
        "all ready but the catalyst monitor",
    )
    .reads(
        1,
        "data-saved: yes
         fuelling-loop: closed
         purge-line: shut
         idle-airflow: 2.9 g/s
         idle-manifold: 36 kPa
         idle-short-1: 9.4
         idle-long-1: 13.3
         cruise-airflow: 10.8 g/s
         cruise-manifold: 31 kPa
         cruise-short-1: 2.3
         cruise-long-1: 3.9
         blocked-flow: 0
         blocked-pressure: 3.4 kPa
         float-steady: steady
         smoke-flow: 12.6
         smoke-pressure: 3.1 kPa
         seen-at: inlet duct or hose = heavy
         shaft-smoke: none
         covered-place: inlet duct or hose
         covered-flow: 4.2
         covered-pressure: 3.35 kPa
         places-left: no
         proof-possible: possible
         proof-short-1: -1.6
         proof-long-1: 7.8",
    )
    .reads(
        2,
        "data-saved: yes
         fuelling-loop: closed
         purge-line: shut
         idle-airflow: 3.3 g/s
         idle-manifold: 35 kPa
         idle-short-1: 7.0
         idle-long-1: 5.5
         cruise-airflow: 11.1 g/s
         cruise-manifold: 30 kPa
         cruise-short-1: 1.6
         cruise-long-1: 2.3
         blocked-flow: 0
         blocked-pressure: 3.4 kPa
         float-steady: steady
         smoke-flow: 4.6
         smoke-pressure: 3.35 kPa
         seen-at: intake gasket = steady
         shaft-smoke: none
         covered-place: intake gasket
         covered-flow: 1.4
         covered-pressure: 3.4 kPa
         places-left: no
         proof-possible: not possible",
    )
    .reads(
        3,
        "data-saved: yes
         fuelling-loop: closed
         purge-line: shut
         idle-airflow: 3.5 g/s
         idle-manifold: 34 kPa
         idle-short-1: 1.6
         idle-long-1: 0.8
         cruise-airflow: 11.2 g/s
         cruise-manifold: 30 kPa
         cruise-short-1: 0.8
         cruise-long-1: 0.8
         blocked-flow: 0
         blocked-pressure: 3.4 kPa
         float-steady: steady
         smoke-flow: 1.4
         smoke-pressure: 3.4 kPa
         seen-at: nowhere
         shaft-smoke: none",
    )
    .begin("intake-leak")
    .walk()
    .hand_over("Hose and gasket renewed; trims normal, idle smooth. Fuel trims will settle over the next drives.")
}
