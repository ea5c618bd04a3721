//! Which way every result goes with every number that its calculation takes.
//!
//! Each line says one thing about a leak, a gauge or an engine that follows from its equation without a figure: more
//! flow at the same pressure is a larger hole, a larger space that loses as much in a minute has a larger hole. A number
//! of a calculation that no line speaks of fails the test, and so does a result that a line leaves out.

use crate::worked::work;
use ruleout::physics::calculation::{Answer, Calculation, Kind};
use ruleout::physics::{all, find};
use std::collections::BTreeSet;

/// A calculation; its inputs, parted at `|`, with `{}` for the number that goes from the first to the second figure in
/// even steps; and each numeric result with its way: `+` never falls and ends higher, `-` the reverse, `=` stays,
/// `~` has no one way.
type Line = (&'static str, &'static str, (f64, f64), &'static str);

const STEPS: u32 = 12;

#[rustfmt::skip] // One line a row: a table is read down its columns.
const LINES: &[Line] = &[
    ("hole", "flow: {} L/min | pressure: 14 inH2O", (0.1, 8.0), "diameter+ area+"),
    ("hole", "flow: 2 L/min | pressure: {} inH2O", (1.0, 40.0), "diameter- area-"),
    ("hole", "flow: 2 L/min | upstream: {} kPa | downstream: 101 kPa", (102.0, 500.0), "diameter- area-"),
    // What lies downstream takes from the drop, until the flow chokes.
    ("hole", "flow: 2 L/min | upstream: 105 kPa | downstream: {} kPa", (20.0, 104.0), "diameter+ area+"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | temperature: {} C", (-20.0, 60.0), "diameter+ area+"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | barometer: {} kPa", (70.0, 105.0), "diameter- area-"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | coefficient: {}", (0.4, 1.0), "diameter- area-"),
    // The same volume is less gas where it is told for warmer or thinner gas.
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | reference: {} C", (0.0, 40.0), "diameter- area-"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | reference-pressure: {} kPa", (80.0, 110.0), "diameter+ area+"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | test-hole: {} mm | test-flow: 1 L/min | test-pressure: 14 inH2O", (0.55, 0.8), "diameter+ area+"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | test-hole: 0.7 mm | test-flow: {} L/min | test-pressure: 14 inH2O", (0.7, 1.8), "diameter- area-"),
    ("hole", "flow: 2 L/min | pressure: 14 inH2O | test-hole: 0.7 mm | test-flow: 1 L/min | test-pressure: {} inH2O", (9.0, 20.0), "diameter+ area+"),

    ("flow", "hole: {} mm | pressure: 14 inH2O", (0.1, 5.0), "mass-flow+ volume-flow+"),
    ("flow", "hole: 1 mm | pressure: {} inH2O", (0.5, 40.0), "mass-flow+ volume-flow+"),
    ("flow", "hole: 1 mm | upstream: {} kPa | downstream: 101 kPa", (102.0, 500.0), "mass-flow+ volume-flow+"),
    ("flow", "hole: 1 mm | upstream: 105 kPa | downstream: {} kPa", (20.0, 104.0), "mass-flow- volume-flow-"),
    ("flow", "hole: 1 mm | pressure: 14 inH2O | temperature: {} C", (-20.0, 60.0), "mass-flow- volume-flow-"),
    ("flow", "hole: 1 mm | pressure: 14 inH2O | barometer: {} kPa", (70.0, 105.0), "mass-flow+ volume-flow+"),
    ("flow", "hole: 1 mm | pressure: 14 inH2O | coefficient: {}", (0.4, 1.0), "mass-flow+ volume-flow+"),
    ("flow", "hole: 1 mm | pressure: 14 inH2O | reference: {} C", (0.0, 40.0), "mass-flow= volume-flow+"),
    ("flow", "hole: 1 mm | pressure: 14 inH2O | reference-pressure: {} kPa", (80.0, 110.0), "mass-flow= volume-flow-"),

    ("found", "open-flow: {} L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O", (1.4, 8.0), "diameter+ area+"),
    ("found", "open-flow: 2.3 L/min | open-pressure: {} inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O", (8.0, 20.0), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: {} L/min | covered-pressure: 14 inH2O", (0.0, 2.2), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: {} inH2O", (10.0, 20.0), "diameter+ area+"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | temperature: {} C", (-20.0, 60.0), "diameter+ area+"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | barometer: {} kPa", (70.0, 105.0), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | coefficient: {}", (0.4, 1.0), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | reference: {} C", (0.0, 40.0), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | reference-pressure: {} kPa", (80.0, 110.0), "diameter+ area+"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | test-hole: {} mm | test-flow: 1 L/min | test-pressure: 14 inH2O", (0.55, 0.8), "diameter+ area+"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | test-hole: 0.7 mm | test-flow: {} L/min | test-pressure: 14 inH2O", (0.7, 1.8), "diameter- area-"),
    ("found", "open-flow: 2.3 L/min | open-pressure: 14 inH2O | covered-flow: 1.3 L/min | covered-pressure: 14 inH2O | test-hole: 0.7 mm | test-flow: 1 L/min | test-pressure: {} inH2O", (9.0, 20.0), "diameter+ area+"),

    ("decay", "volume: {} L | at: 0 s = 14 inH2O; 60 s = 11 inH2O; 120 s = 8 inH2O", (5.0, 90.0), "diameter+ leak-rate+ leak-pressure= end-pressure="),
    // The same fall in more time is a smaller leak, and more is left after the criterion's time.
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; {} s = 9 inH2O", (30.0, 300.0), "diameter- leak-rate- leak-pressure= end-pressure+"),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 100 s = {} inH2O", (3.0, 13.0), "diameter- leak-rate- leak-pressure+ end-pressure+"),
    // Cooling takes pressure that no hole lost.
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O @ 20 C; 120 s = 9 inH2O @ {} C", (18.0, 22.0), "diameter+ leak-rate+ leak-pressure= end-pressure= drift+"),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O @ 20 C; 120 s = 9 inH2O @ 21 C | fuel: liquid | reid-pressure: {} psi", (5.0, 12.0), "diameter+ leak-rate+ leak-pressure- end-pressure= drift="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | temperature: {} C", (-10.0, 50.0), "diameter- leak-rate- leak-pressure= end-pressure="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | coefficient: {}", (0.4, 1.0), "diameter- leak-rate= leak-pressure= end-pressure="),
    // As much gas is lost in all; how it is spread over the fall bends a little with the pressure ratio.
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | barometer: {} kPa", (70.0, 105.0), "diameter- leak-rate- leak-pressure= end-pressure="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | reference: {} C", (0.0, 40.0), "diameter= leak-rate+ leak-pressure= end-pressure="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | reference-pressure: {} kPa", (80.0, 110.0), "diameter= leak-rate- leak-pressure= end-pressure="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | criterion: own | from: {} inH2O | to: 8 inH2O | within: 100 s", (10.0, 14.0), "diameter= leak-rate= leak-pressure= end-pressure+"),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | criterion: own | from: 14 inH2O | to: {} inH2O | within: 100 s", (4.0, 12.0), "diameter= leak-rate= leak-pressure= end-pressure="),
    ("decay", "volume: 30 L | at: 0 s = 14 inH2O; 120 s = 9 inH2O | criterion: own | from: 14 inH2O | to: 8 inH2O | within: {} s", (20.0, 110.0), "diameter= leak-rate= leak-pressure= end-pressure-"),

    // A larger test hole that makes the same difference has emptied a larger space.
    ("volume", "test-hole: {} mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O", (0.3, 1.0), "volume+ leak+"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; {} s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O", (20.0, 90.0), "volume+ leak+"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = {} inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O", (5.0, 11.0), "volume+ leak+"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; {} s = 13 inH2O", (30.0, 300.0), "volume- leak-"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = {} inH2O", (11.0, 13.9), "volume- leak-"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O @ 20 C; 60 s = 9 inH2O @ {} C | at: 0 s = 14 inH2O @ 20 C; 60 s = 13 inH2O @ 20 C", (19.7, 20.3), "volume- leak-"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O @ 20 C; 60 s = 9 inH2O @ 20 C | at: 0 s = 14 inH2O @ 20 C; 60 s = 13 inH2O @ {} C", (19.9, 20.1), "volume+ leak+"),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O | temperature: {} C", (-10.0, 50.0), "volume+ leak="),
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O | barometer: {} kPa", (70.0, 105.0), "volume+ leak+"),
    // How much the own leak is of the test hole's size does not hang on their common coefficient.
    ("volume", "test-hole: 0.5 mm | open-at: 0 s = 14 inH2O; 60 s = 9 inH2O | at: 0 s = 14 inH2O; 60 s = 13 inH2O | coefficient: {}", (0.4, 1.0), "volume+ leak="),

    ("gauge", "reading: {} L/min", (0.1, 10.0), "flow+ factor="),
    ("gauge", "reading: 2 L/min | pressure: {} kPa", (0.0, 300.0), "flow+ factor+"),
    ("gauge", "reading: 2 L/min | temperature: {} C", (-10.0, 60.0), "flow- factor-"),
    // The scale was made at the barometer, too.
    ("gauge", "reading: 2 L/min | barometer: {} kPa", (70.0, 105.0), "flow= factor="),
    ("gauge", "reading: 2 L/min | scale-pressure: {} kPa", (0.0, 300.0), "flow- factor-"),
    ("gauge", "reading: 2 L/min | scale-temperature: {} C", (-10.0, 60.0), "flow+ factor+"),
    ("gauge", "height: {} % | points: 0 % = 0 mm; 35 % = 0.5 mm; 78 % = 1 mm | set-pressure: 14 inH2O", (0.0, 78.0), "flow+"),
    // The higher a known hole holds the float, the less a given height is.
    ("gauge", "height: 50 % | points: 0 % = 0 mm; {} % = 0.5 mm; 78 % = 1 mm | set-pressure: 14 inH2O", (10.0, 48.0), "flow-"),
    ("gauge", "height: 50 % | points: 0 % = 0 mm; 35 % = {} mm; 78 % = 1 mm | set-pressure: 14 inH2O", (0.2, 0.8), "flow+"),
    ("gauge", "height: 50 % | points: 0 % = 0 mm; 35 % = 0.5 mm; 78 % = 1 mm | set-pressure: {} inH2O", (4.0, 40.0), "flow+"),
    ("gauge", "height: 50 % | points: 0 % = 0 mm; 35 % = 0.5 mm; 78 % = 1 mm | set-pressure: 14 inH2O | coefficient: {}", (0.4, 1.0), "flow+"),

    ("equilibrium", "set-pressure: {} inH2O | open-flow: 10 L/min | hole: 1 mm", (4.0, 40.0), "pressure+ flow+"),
    ("equilibrium", "set-pressure: 14 inH2O | open-flow: {} L/min | hole: 1 mm", (1.0, 20.0), "pressure+ flow+"),
    ("equilibrium", "set-pressure: 14 inH2O | open-flow: 10 L/min | hole: {} mm", (0.1, 5.0), "pressure- flow+"),
    // What the supply gives with its end open is as much gas, warm or thin; the hole passes less of it, or more.
    ("equilibrium", "set-pressure: 14 inH2O | open-flow: 10 L/min | hole: 1 mm | temperature: {} C", (-20.0, 60.0), "pressure+ flow-"),
    ("equilibrium", "set-pressure: 14 inH2O | open-flow: 10 L/min | hole: 1 mm | barometer: {} kPa", (70.0, 105.0), "pressure- flow+"),
    ("equilibrium", "set-pressure: 14 inH2O | open-flow: 10 L/min | hole: 1 mm | coefficient: {}", (0.4, 1.0), "pressure- flow+"),

    ("fill", "set-pressure: {} inH2O | open-flow: 10 L/min | target: 10 inH2O | volume: 30 L", (11.0, 40.0), "time- volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: {} L/min | volume: 30 L", (2.0, 20.0), "time- volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | target: {} inH2O | volume: 30 L", (2.0, 13.5), "time+ volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | volume: {} L", (5.0, 90.0), "time+ volume+"),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | tank: {} L | fuel-level: 40 %", (30.0, 90.0), "time+ volume+"),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | tank: 60 L | fuel-level: {} %", (15.0, 90.0), "time- volume-"),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | target: 10 inH2O | volume: 30 L | hole: {} mm", (0.1, 1.2), "time+ volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | volume: 30 L | temperature: {} C", (-20.0, 60.0), "time- volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | volume: 30 L | barometer: {} kPa", (70.0, 105.0), "time+ volume="),
    ("fill", "set-pressure: 14 inH2O | open-flow: 10 L/min | target: 10 inH2O | volume: 30 L | hole: 1 mm | coefficient: {}", (0.4, 1.0), "time+ volume="),

    ("vapour", "from: {} C | to: 25 C | fresh: 50 %", (5.0, 30.0), "gas-change- saturated-change- vapour-pressure= fresh-rise+"),
    ("vapour", "from: 20 C | to: {} C | fresh: 50 %", (5.0, 30.0), "gas-change+ saturated-change+ vapour-pressure+ fresh-rise+"),
    ("vapour", "from: 20 C | to: 22 C | fresh: 50 % | pressure: {} inH2O", (-14.0, 20.0), "gas-change+ saturated-change+ vapour-pressure= fresh-rise="),
    ("vapour", "from: 20 C | to: 22 C | fresh: 50 % | barometer: {} kPa", (80.0, 105.0), "gas-change+ saturated-change+ vapour-pressure= fresh-rise="),
    ("vapour", "from: 20 C | to: 22 C | fresh: 50 % | reid-pressure: {} psi", (6.0, 14.0), "gas-change= saturated-change+ vapour-pressure+ fresh-rise+"),
    ("vapour", "from: 20 C | to: 22 C | fresh: {} %", (0.0, 100.0), "gas-change= saturated-change= vapour-pressure= fresh-rise+"),

    ("regulatory", "flow: {} L/min | pressure: 3 kPa", (0.05, 5.0), "diameter+"),
    ("regulatory", "flow: 0.5 L/min | pressure: {} kPa", (0.5, 6.0), "diameter-"),
    ("regulatory", "flow: 0.5 L/min | pressure: 3 kPa | barometer: {} kPa", (80.0, 105.0), "diameter-"),
    ("regulatory", "flow: 0.5 L/min | pressure: 3 kPa | temperature: {} C", (-10.0, 40.0), "diameter+"),

    ("trim-total", "short: {} % | long: 12 %", (-20.0, 20.0), "total+"),
    ("trim-total", "short: 5 % | long: {} %", (-20.0, 20.0), "total+"),

    ("trims", "points: {} g/s = 20 %; 20 g/s = 4 %", (3.0, 8.0), "offset- leak+ area+ diameter+"),
    ("trims", "points: 4 g/s = {} %; 20 g/s = 4 %", (5.0, 24.0), "offset- leak+ area+ diameter+"),
    // The less the manifold draws, the larger the hole behind the same trim.
    ("trims", "points: 4 g/s = 20 % @ {} kPa; 20 g/s = 4 % @ 60 kPa", (25.0, 55.0), "offset- leak+ area+ diameter+"),
    ("trims", "points: 4 g/s = 20 %; 20 g/s = 4 % | banks: {}", (1.0, 2.0), "offset= leak- area- diameter-"),
    ("trims", "points: 4 g/s = 20 % @ 60 kPa; 20 g/s = 4 % @ 60 kPa | barometer: {} kPa", (80.0, 105.0), "offset= leak= area- diameter-"),
    ("trims", "points: 4 g/s = 20 %; 20 g/s = 4 % | temperature: {} C", (-20.0, 40.0), "offset= leak= area+ diameter+"),
    ("trims", "points: 4 g/s = 20 %; 20 g/s = 4 % | coefficient: {}", (0.4, 1.0), "offset= leak= area- diameter-"),
    ("trims", "points: 4 g/s = 20 %; 20 g/s = 4 % | stop: {} %", (22.0, 40.0), "offset= leak= area= diameter="),

    ("needed", "leak: {} g/s", (0.05, 3.0), "diameter+ area+"),
    ("needed", "trim: {} % | airflow: 4 g/s", (1.0, 30.0), "diameter+ area+"),
    ("needed", "trim: 20 % | airflow: {} g/s", (1.0, 30.0), "diameter+ area+"),
    ("needed", "trim: 20 % | airflow: 4 g/s | banks: {}", (1.0, 2.0), "diameter- area-"),
    ("needed", "trim: 20 % | airflow: 4 g/s | manifold: {} kPa", (60.0, 95.0), "diameter+ area+"),
    ("needed", "trim: 20 % | airflow: 4 g/s | manifold: 60 kPa | barometer: {} kPa", (75.0, 105.0), "diameter- area-"),
    ("needed", "trim: 20 % | airflow: 4 g/s | temperature: {} C", (-20.0, 40.0), "diameter+ area+"),
    ("needed", "trim: 20 % | airflow: 4 g/s | coefficient: {}", (0.4, 1.0), "diameter- area-"),

    ("share", "hole: {} mm | needed: 2 mm", (0.1, 3.0), "share+"),
    ("share", "hole: 1 mm | needed: {} mm", (0.5, 3.0), "share-"),
    ("share", "hole-area: {} mm2 | needed-area: 3 mm2", (0.1, 5.0), "share+"),
    ("share", "hole-area: 1 mm2 | needed-area: {} mm2", (0.5, 5.0), "share-"),

    // The idle vacuum falls by a straight line (a rule of thumb), the barometer by a curve: what is left has no one way.
    ("air", "altitude: {} m", (-200.0, 4000.0), "barometer- temperature- key-on- idle-vacuum- idle-manifold~"),
    ("air", "altitude: 500 m | setting: {} kPa", (97.0, 105.0), "barometer+ temperature= key-on+ idle-vacuum= idle-manifold+"),
    ("air", "station: {} kPa", (75.0, 105.0), "barometer+ temperature+ key-on+ idle-vacuum+ idle-manifold~"),
    ("air", "altitude: 500 m | sea-vacuum: {} inHg", (16.0, 22.0), "barometer= temperature= key-on= idle-vacuum+ idle-manifold-"),

    ("key-on", "reading: {} kPa | barometer: 100 kPa", (80.0, 110.0), "difference+"),
    ("key-on", "reading: 100 kPa | barometer: {} kPa", (80.0, 105.0), "difference-"),
    ("key-on", "reading: 100 kPa | barometer: 99 kPa | tolerance: {} kPa", (1.0, 5.0), "difference="),

    // At 20 kPa the three are on one line.
    ("sensor", "points: {} kPa = 1 V; 60 kPa = 2.5 V; 100 kPa = 4 V | expected-gain: 0.0375 V/kPa | expected-offset: 0.25 V", (10.0, 40.0), "gain+ offset- offset-error- low-end-error- high-end-error+ linearity~"),
    ("sensor", "points: 20 kPa = 1 V; 60 kPa = 2.5 V; 100 kPa = {} V | expected-gain: 0.0375 V/kPa | expected-offset: 0.25 V", (3.5, 4.5), "gain+ offset- offset-error+ low-end-error- high-end-error+ linearity~"),
    ("sensor", "points: 20 kPa = 1 V; 60 kPa = 2.5 V; 100 kPa = 4 V | expected-gain: {} V/kPa | expected-offset: 0.25 V", (0.03, 0.05), "gain= offset= offset-error- low-end-error- high-end-error- linearity="),
    ("sensor", "points: 20 kPa = 1 V; 60 kPa = 2.5 V; 100 kPa = 4 V | expected-gain: 0.0375 V/kPa | expected-offset: {} V", (0.0, 0.5), "gain= offset= offset-error- low-end-error- high-end-error- linearity="),
    ("sensor", "points: 20 kPa = 1 V; 60 kPa = 2.5 V; 100 kPa = 4 V | expected-gain: 0.0375 V/kPa | expected-offset: 0.25 V | tolerance: {} kPa", (1.0, 6.0), "gain= offset= offset-error= low-end-error= high-end-error= linearity="),
    ("sensor-line", "gain: {} V/kPa | signal: 2 V", (0.02, 0.08), "pressure-"),
    ("sensor-line", "gain: 0.05 V/kPa | signal: {} V", (0.5, 4.5), "pressure+"),
    ("sensor-line", "gain: 0.05 V/kPa | offset: {} V | signal: 2 V", (0.0, 1.0), "pressure-"),
    ("sensor-line", "gain: 0.05 V/kPa | offset: 0.2 V | pressure: {} kPa", (10.0, 110.0), "signal+"),

    ("idle-air", "displacement: {} L | speed: 800 rpm | manifold: 35 kPa", (0.8, 6.0), "airflow+"),
    ("idle-air", "displacement: 2 L | speed: {} rpm | manifold: 35 kPa", (500.0, 3000.0), "airflow+"),
    ("idle-air", "displacement: 2 L | speed: 800 rpm | manifold: {} kPa", (20.0, 100.0), "airflow+"),
    ("idle-air", "displacement: 2 L | speed: 800 rpm | manifold: 35 kPa | temperature: {} C", (-20.0, 60.0), "airflow-"),
    ("idle-air", "displacement: 2 L | speed: 800 rpm | manifold: 35 kPa | efficiency: {} %", (50.0, 100.0), "airflow+"),

    ("coil", "resistance: {} ohm | nominal: 26 ohm", (5.0, 100.0), "corrected+ current-"),
    ("coil", "resistance: 30 ohm | nominal: {} ohm", (10.0, 60.0), "corrected= current="),
    ("coil", "resistance: 30 ohm | nominal: 26 ohm | temperature: {} C", (-20.0, 120.0), "corrected- current="),
    ("coil", "resistance: 30 ohm | nominal: 26 ohm | nominal-temperature: {} C", (0.0, 60.0), "corrected+ current="),
    ("coil", "resistance: 30 ohm | nominal: 26 ohm | tolerance: {} %", (5.0, 30.0), "corrected= current="),
    ("coil", "resistance: 30 ohm | nominal: 26 ohm | voltage: {} V", (9.0, 15.0), "corrected= current+"),
    // A hole of 2 mm at an idle of 800 rpm and 35 kPa in 2 L: the control closes, and has room.
    ("raised-idle", "reading: {} % | baseline: 30 %", (5.0, 40.0), "closed-by- left+"),
    ("raised-idle", "reading: 12 % | baseline: {} %", (15.0, 40.0), "closed-by+ left="),
    ("raised-idle", "reading: 12 % | baseline: 30 % | stop: {} %", (0.0, 11.0), "closed-by= left-"),
    ("raised-idle", "angle: {} deg | baseline-angle: 9 deg", (2.0, 12.0), "closed-by- left+"),
    ("raised-idle", "angle: 4 deg | baseline-angle: {} deg", (5.0, 12.0), "closed-by+ left="),
    ("raised-idle", "angle: 4 deg | baseline-angle: 9 deg | stop-angle: {} deg", (0.0, 3.0), "closed-by= left-"),
    ("raised-idle", "angle: 4 deg | baseline-angle: 9 deg | open-angle: {} deg", (70.0, 95.0), "closed-by- left-"),
    ("raised-idle", "reading: 12 % | baseline: 30 % | tolerance: {} %", (1.0, 10.0), "closed-by= left="),
    ("raised-idle", "baseline: 30 % | hole: {} mm | displacement: 2 L", (0.5, 4.0), "command- leak-share+ speed= manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: {} L", (1.2, 6.0), "command+ leak-share- speed= manifold="),
    ("raised-idle", "baseline: {} % | hole: 2 mm | displacement: 2 L", (20.0, 60.0), "command+ leak-share= speed= manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | speed: {} rpm", (600.0, 1200.0), "command+ leak-share- speed+ manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | manifold: {} kPa", (25.0, 55.0), "command+ leak-share- speed= manifold+"),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | efficiency: {} %", (60.0, 95.0), "command+ leak-share- speed= manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | barometer: {} kPa", (75.0, 105.0), "command- leak-share+ speed= manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | temperature: {} C", (-20.0, 40.0), "command- leak-share+ speed= manifold="),
    ("raised-idle", "baseline: 30 % | hole: 2 mm | displacement: 2 L | coefficient: {}", (0.4, 1.0), "command- leak-share+ speed= manifold="),
    // At its stop it can close no further: the idle rises with what leaks, of which the share is told of the idle
    // wanted, and with what the stop lets pass.
    ("raised-idle", "baseline: 30 % | hole: {} mm | displacement: 2 L", (7.0, 12.0), "command= leak-share+ speed+ manifold+"),
    ("raised-idle", "baseline: 30 % | hole: 8 mm | displacement: 2 L | rest: {} %", (0.0, 60.0), "command= leak-share= speed+ manifold+"),

    ("sum", "values: {} mm2; 2 mm2", (0.1, 5.0), "sum+"),
    ("difference", "values: {} C; 20 C", (10.0, 40.0), "difference+"),
    ("difference", "values: 30 C; {} C", (10.0, 40.0), "difference-"),
    ("ratio", "values: {} inH2O; 14 inH2O", (1.0, 20.0), "ratio+"),
    ("ratio", "values: 8 inH2O; {} inH2O", (1.0, 20.0), "ratio-"),
];

/// Calculations that take no number which has a way: words, bytes and captures, each with tests of its own.
const NONE: [&str; 6] = ["valve", "code", "vin", "pid", "convert", "ripple"];

fn parted(base: &str) -> Vec<(&str, &str)> {
    base.split('|')
        .map(|part| part.split_once(':').expect("a name before a colon"))
        .map(|(name, text)| (name.trim(), text.trim()))
        .collect()
}

/// The numeric results at every step, by id; those that are none at any step are left out.
fn results((name, base, (from, to), _): &Line) -> Vec<(&'static str, Vec<Option<f64>>)> {
    let calculation = find(name).expect("registered");
    let mut all: Vec<(&str, Vec<Option<f64>>)> = calculation
        .outputs
        .iter()
        .map(|output| (output.id, Vec::new()))
        .collect();
    let whole = calculation
        .input(&moved(calculation, base))
        .is_some_and(|input| input.kind == Kind::Count);
    for step in 0..=STEPS {
        let value = from + (to - from) * f64::from(step) / f64::from(STEPS);
        let value = if whole { value.round() } else { value };
        let base = base.replace("{}", &value.to_string());
        let worked =
            work(name, &parted(&base)).unwrap_or_else(|why| panic!("{name}, {base}: {why}"));
        for ((_, values), answer) in all.iter_mut().zip(&worked.results) {
            values.push(match answer {
                Answer::Text(_) => None,
                number => number.number(),
            });
        }
    }
    all.retain(|(_, values)| values.iter().any(Option::is_some));
    all
}

/// `+`, `-`, `=`, or `~` where it is none of them.
fn way(values: &[Option<f64>]) -> char {
    let Some(values) = values.iter().copied().collect::<Option<Vec<f64>>>() else {
        return '~';
    };
    let size = values
        .iter()
        .fold(0.0, |size: f64, value| size.max(value.abs()));
    let same = 1e-9 * size;
    let goes = |sign: f64| {
        values
            .windows(2)
            .all(|pair| sign * (pair[1] - pair[0]) >= -same)
            && sign * (values[values.len() - 1] - values[0]) > 1e3 * same
    };
    if values.iter().all(|value| (value - values[0]).abs() <= same) {
        '='
    } else if goes(1.0) {
        '+'
    } else if goes(-1.0) {
        '-'
    } else {
        '~'
    }
}

#[test]
fn every_result_goes_its_way_with_every_number() {
    let mut wrong = Vec::new();
    for line @ (name, base, _, said) in LINES {
        let seen: Vec<String> = results(line)
            .iter()
            .map(|(id, values)| format!("{id}{}", way(values)))
            .collect();
        let said: BTreeSet<&str> = said.split(' ').collect();
        let seen_set: BTreeSet<&str> = seen.iter().map(String::as_str).collect();
        if said != seen_set {
            wrong.push(format!("{name}, {base}: {}", seen.join(" ")));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The numbers of a calculation: an input by its name, a column of points by both names.
fn numbers(calculation: &Calculation) -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for input in calculation.inputs {
        match input.kind {
            Kind::Points(fields) => {
                all.extend(
                    fields
                        .iter()
                        .map(|field| format!("{} {}", input.name, field.name)),
                );
            }
            Kind::Word(_) | Kind::Text => {}
            Kind::Quantity(_) | Kind::Count | Kind::Coefficient | Kind::List(_) | Kind::ListAny => {
                all.insert(input.name.to_owned());
            }
        }
    }
    all
}

/// Which number a line moves: the column is told by the marks before it in its point.
fn moved(calculation: &Calculation, base: &str) -> String {
    let (name, text) = parted(base)
        .into_iter()
        .find(|(_, text)| text.contains("{}"))
        .expect("a number that moves");
    let input = calculation.input(name).expect("an input");
    let Kind::Points(fields) = input.kind else {
        return name.to_owned();
    };
    let point = text
        .split(';')
        .find(|point| point.contains("{}"))
        .expect("a point");
    let before = point.split("{}").next().unwrap_or_default();
    let column = usize::from(before.contains('=')) + usize::from(before.contains('@'));
    format!("{name} {}", fields[column].name)
}

#[test]
fn every_number_of_every_calculation_has_a_line() {
    let mut without = Vec::new();
    for calculation in all()
        .iter()
        .filter(|calculation| !NONE.contains(&calculation.name))
    {
        let moved: BTreeSet<String> = LINES
            .iter()
            .filter(|(name, ..)| *name == calculation.name)
            .map(|(_, base, ..)| moved(calculation, base))
            .collect();
        let lacking = numbers(calculation);
        without.extend(
            lacking
                .difference(&moved)
                .map(|number| format!("{}: {number}", calculation.name)),
        );
    }
    assert!(without.is_empty(), "{}", without.join("\n"));
}
