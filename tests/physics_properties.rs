//! What must hold of the calculations for any values, not only for those in a table.

use proptest::prelude::*;
use ruleout::physics::calculation::{Answer, Calculation, Kind, Shifts};
use ruleout::physics::given::read_value;
use ruleout::physics::{Given, Value, all, find};

fn run(name: &str, given: &Given) -> Vec<Answer> {
    find(name)
        .expect("registered")
        .work(given, &Shifts::none())
        .expect("worked")
        .results
}

fn first(name: &str, given: &Given) -> f64 {
    run(name, given)[0].number().expect("a number")
}

/// A hole between two absolute pressures.
fn passing(hole: f64, upstream: f64, downstream: f64) -> Given {
    Given::new()
        .with_number("hole", hole)
        .with_number("upstream", upstream)
        .with_number("downstream", downstream)
}

fn word(text: &str) -> Value {
    Value::Word(text.to_owned())
}

fn coefficient() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(word("sharp")),
        Just(word("rounded")),
        (0.05..1.0).prop_map(Value::Number)
    ]
}

fn gas() -> impl Strategy<Value = Value> {
    prop_oneof![
        Just(word("air")),
        Just(word("nitrogen")),
        Just(word("carbon-dioxide"))
    ]
}

prop_compose! {
    /// Conditions with a drop between 1 Pa and a full vacuum or six bar, choked or not.
    fn conditions()(
        up in 20_000.0..600_000.0_f64,
        share in 0.0..0.9999_f64,
        kelvin in 230.0..400.0_f64,
        coefficient in coefficient(),
        gas in gas(),
    ) -> Given {
        Given::new()
            .with_number("upstream", up)
            .with_number("downstream", up * share)
            .with_number("temperature", kelvin)
            .with("coefficient", coefficient)
            .with("gas", gas)
    }
}

/// No file of past failures: a failing case is printed, and becomes a test of its own.
fn cases(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(cases(256))]

    #[test]
    fn the_hole_of_the_flow_of_a_hole_is_that_hole(given in conditions(), hole in 1e-5..0.05_f64) {
        let flow = run("flow", &given.clone().with_number("hole", hole))[1].number().expect("a number");
        let back = first("hole", &given.with_number("flow", flow));
        prop_assert!((back / hole - 1.0).abs() < 1e-9, "{} for {}", back, hole);
    }

    #[test]
    fn more_hole_more_drop_or_colder_gas_is_more_flow(
        given in conditions(), hole in 1e-5..0.05_f64, more in 1.0001..1.5_f64,
    ) {
        let base = given.with_number("hole", hole);
        let flow = first("flow", &base);
        let at = |name: &str, factor: f64| {
            let value = base.maybe(name).expect("given");
            first("flow", &base.clone().with_number(name, value * factor))
        };
        prop_assert!(at("hole", more) > flow);
        prop_assert!(at("upstream", more) > flow);
        prop_assert!(at("temperature", more) < flow);
        // Choked, the ideal flow no longer follows the downstream pressure.
        prop_assert!(at("downstream", 1.0 / more) >= flow * (1.0 - 1e-12));
    }

    #[test]
    fn flow_does_not_jump_where_it_chokes(
        up in 20_000.0..600_000.0_f64, gas in gas(), coefficient in coefficient(),
    ) {
        let gamma = if gas == word("carbon-dioxide") { 1.296_7 } else { 1.4 };
        let critical = ruleout::physics::orifice::critical_ratio(gamma);
        let at = |ratio: f64| {
            let given = passing(0.001, up, up * ratio)
                .with("gas", gas.clone())
                .with("coefficient", coefficient.clone());
            first("flow", &given)
        };
        prop_assert!((at(critical * (1.0 + 1e-7)) / at(critical * (1.0 - 1e-7)) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_vacuum_inside_flows_like_the_same_pressures_the_other_way(drop in 100.0..90_000.0_f64) {
        let inward = Given::new().with_number("hole", 0.001).with_number("pressure", -drop);
        let absolute = Given::new().with_number("hole", 0.001).with_number("upstream", 101_325.0)
            .with_number("downstream", 101_325.0 - drop);
        let (a, b) = (first("flow", &inward), first("flow", &absolute));
        prop_assert!((a / b - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_leak_is_what_covering_it_takes_away(
        place in 1e-4..0.005_f64, rest in 1e-4..0.005_f64, pressure in 500.0..20_000.0_f64,
    ) {
        let flow = |area: f64| {
            let hole = (4.0 * area / std::f64::consts::PI).sqrt();
            let given = Given::new().with_number("hole", hole).with_number("pressure", pressure);
            run("flow", &given)[1].number().expect("a number")
        };
        let area = |d: f64| std::f64::consts::PI / 4.0 * d * d;
        let given = Given::new()
            .with_number("open-flow", flow(area(place) + area(rest)))
            .with_number("open-pressure", pressure)
            .with_number("covered-flow", flow(area(rest)))
            .with_number("covered-pressure", pressure);
        prop_assert!((first("found", &given) / place - 1.0).abs() < 1e-6);
    }

    #[test]
    fn trims_made_by_a_leak_and_an_offset_give_them_back(
        offset in -0.08..0.08_f64, hole in 0.0005..0.003_f64,
        idle in 0.003..0.006_f64, cruise in 0.012..0.03_f64,
        low in 25_000.0..45_000.0_f64, high in 25_000.0..90_000.0_f64, banks in 1_u8..3,
    ) {
        let flow = |manifold: f64| {
            first("flow", &passing(hole, 101_325.0, manifold))
        };
        let banks = f64::from(banks);
        let trim = |air: f64, manifold: f64| (1.0 + offset) * (1.0 + flow(manifold) / (air / banks)) - 1.0;
        let row = |air: f64, manifold: f64| vec![Some(air), Some(trim(air, manifold)), Some(manifold)];
        let given = Given::new()
            .with("points", Value::Points(vec![row(idle, low), row(cruise, high)]))
            .with_number("banks", banks)
            .with_number("stop", 5.0);
        let results = run("trims", &given);
        let at = |place: usize| results[place].number().expect("a number");
        prop_assert!((at(0) - offset).abs() < 1e-9, "offset {}", at(0));
        prop_assert!((at(1) / flow(low) - 1.0).abs() < 1e-7, "leak {}", at(1));
        prop_assert!((at(3) / hole - 1.0).abs() < 1e-7, "diameter {}", at(3));
    }

    #[test]
    fn more_trim_at_idle_is_more_leak_and_less_offset(
        cruise in -0.05..0.05_f64, over in 0.01..0.2_f64, more in 0.005..0.1_f64,
        slow in 0.003..0.006_f64, fast in 0.012..0.03_f64, low in 25_000.0..60_000.0_f64,
    ) {
        let of = |idle: f64| {
            let rows = vec![vec![Some(slow), Some(idle), Some(low)], vec![Some(fast), Some(cruise), Some(low)]];
            let given = Given::new().with("points", Value::Points(rows)).with_number("stop", 5.0);
            let results = run("trims", &given);
            [0, 1, 3].map(|place| results[place].number().expect("a number"))
        };
        let ([offset, leak, hole], [less, larger, wider]) = (of(cruise + over), of(cruise + over + more));
        prop_assert!(leak > 0.0 && larger > leak && wider > hole && less < offset);
        // More trim wherever the engine runs is an offset: a leak of the same share of the metered air.
        prop_assert!(offset < cruise);
    }

    #[test]
    fn a_steeper_sweep_has_more_gain_and_a_higher_one_more_offset(
        low in 0.2..1.0_f64, swing in 0.5..4.0_f64, more in 0.01..0.5_f64,
    ) {
        let of = |low: f64, swing: f64| {
            let rows = [0.0, 0.5, 1.0].map(|part| vec![Some(20_000.0 + 80_000.0 * part), Some(low + swing * part)]);
            let results = run("sensor", &Given::new().with("points", Value::Points(rows.to_vec())));
            [0, 1].map(|place| results[place].number().expect("a number"))
        };
        let (line, steeper, higher) = (of(low, swing), of(low, swing + more), of(low + more, swing));
        prop_assert!(steeper[0] > line[0] && steeper[1] < line[1]);
        prop_assert!((higher[0] / line[0] - 1.0).abs() < 1e-9);
        prop_assert!((higher[1] - line[1] - more).abs() < 1e-9);
    }

    #[test]
    fn the_hole_needed_passes_the_leak(leak in 1e-5..0.005_f64, manifold in 15_000.0..95_000.0_f64) {
        let hole = first("needed", &Given::new().with_number("leak", leak).with_number("manifold", manifold));
        let flow = first("flow", &passing(hole, 101_325.0, manifold));
        prop_assert!((flow / leak - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_sensor_that_reads_high_by_some_pressure_is_said_to(
        high_by in -20_000.0..20_000.0_f64, gain in 1e-5..1e-4_f64,
    ) {
        let row = |p: f64| vec![Some(p), Some(0.2 + gain * (p + high_by))];
        let rows = [20_000.0, 60_000.0, 100_000.0].map(row).to_vec();
        let given = Given::new().with("points", Value::Points(rows))
            .with_number("expected-gain", gain).with_number("expected-offset", 0.2);
        let results = run("sensor", &given);
        prop_assert!((results[2].number().expect("a number") - high_by).abs() < 1e-3);
        // An offset alone is the same at either end.
        prop_assert!((results[3].number().expect("a number") - high_by).abs() < 1e-3);
        prop_assert!((results[4].number().expect("a number") - high_by).abs() < 1e-3);
        // The default tolerance is 3 kPa; right at it, rounding decides.
        let said = if high_by.abs() > 3000.0 { "reads off by an offset" } else { "within tolerance" };
        prop_assume!((high_by.abs() - 3000.0).abs() > 1e-6);
        prop_assert_eq!(&results[7], &Answer::from(said));
    }
}

/// Any finite number, large and small, with the awkward ones often.
fn anything() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(0.0),
        Just(-0.0),
        Just(f64::MAX),
        Just(f64::MIN),
        Just(f64::MIN_POSITIVE),
        Just(5e-324),
        -1.0..1.0_f64,
        -1e6..1e6_f64,
        prop::num::f64::NORMAL,
    ]
}

fn value_for(kind: Kind) -> BoxedStrategy<Value> {
    match kind {
        Kind::Quantity(_) | Kind::Count => anything().prop_map(Value::Number).boxed(),
        Kind::Text => prop_oneof!["[0-9A-Z ]{0,20}", ".{0,20}"]
            .prop_map(Value::Word)
            .boxed(),
        Kind::Coefficient => prop_oneof![coefficient(), anything().prop_map(Value::Number)].boxed(),
        Kind::Word(words) => prop::sample::select(words.to_vec()).prop_map(word).boxed(),
        Kind::List(_) | Kind::ListAny => prop::collection::vec(anything(), 0..4)
            .prop_map(Value::List)
            .boxed(),
        Kind::Points(fields) => {
            let columns: Vec<_> = fields
                .iter()
                .map(|f| {
                    if f.needed {
                        anything().prop_map(Some).boxed()
                    } else {
                        prop::option::of(anything()).boxed()
                    }
                })
                .collect();
            prop::collection::vec(columns, 0..5)
                .prop_map(Value::Points)
                .boxed()
        }
    }
}

/// Values for some of the inputs of a calculation.
fn any_given(calculation: &'static Calculation) -> impl Strategy<Value = Given> {
    let each: Vec<_> = calculation
        .inputs
        .iter()
        .map(|input| {
            prop::option::weighted(0.8, value_for(input.kind))
                .prop_map(|v| (input.name, v))
                .boxed()
        })
        .collect();
    each.prop_map(|values| {
        values
            .into_iter()
            .fold(Given::new(), |given, (name, value)| match value {
                Some(value) => given.with(name, value),
                None => given,
            })
    })
}

fn any_job() -> impl Strategy<Value = (&'static Calculation, Given)> {
    prop::sample::select(all().to_vec())
        .prop_flat_map(|c| any_given(c).prop_map(move |given| (c, given)))
}

proptest! {
    #![proptest_config(cases(3000))]

    #[test]
    fn no_finite_input_panics_or_gives_a_number_that_is_none(
        (calculation, given) in any_job(), deviations in -3.0..3.0_f64,
    ) {
        let shifts = Shifts::one("coefficient", deviations).and("static-test", deviations);
        // A shifted run may give anything but a panic.
        let _ = (calculation.run)(&given, &shifts);
        if let Ok(worked) = calculation.work(&given, &shifts) {
            prop_assert_eq!(worked.results.len(), calculation.outputs.len());
            for (answer, output) in worked.results.iter().zip(calculation.outputs) {
                match answer {
                    Answer::Number(value) | Answer::AtLeast(value) | Answer::AtMost(value) | Answer::Measured(value, _) => {
                        prop_assert!(value.is_finite());
                    }
                    Answer::Text(text) => {
                        let listed = output.words.is_empty() || output.words.contains(&text.as_str());
                        prop_assert!(listed, "{} is not listed", text);
                    }
                    Answer::Absent => {}
                }
            }
        }
    }
}

/// Inputs by name, each with its texts.
type Sample = Vec<(&'static str, Vec<&'static str>)>;

/// Three cycles of one cylinder at 1200 rpm, ten samples a cycle.
fn ripple_sample() -> Sample {
    let points = (0..=30)
        .map(|i| {
            let volts = 1.2 + 0.1 * (std::f64::consts::TAU * f64::from(i) / 10.0).sin();
            // Samples are made once for the whole run of the tests.
            &*format!("{} ms = {volts} V", 10 * i).leak()
        })
        .collect();
    vec![
        ("points", points),
        ("cylinders", vec!["1"]),
        ("speed", vec!["1200 rpm"]),
    ]
}

/// One sound set of values for each calculation, as text.
#[expect(clippy::too_many_lines, reason = "a flat list")]
fn samples() -> Vec<(&'static str, Sample)> {
    vec![
        (
            "hole",
            vec![("flow", vec!["2.3 L/min"]), ("pressure", vec!["14 inH2O"])],
        ),
        (
            "flow",
            vec![("hole", vec!["1 mm"]), ("pressure", vec!["14 inH2O"])],
        ),
        (
            "found",
            vec![
                ("open-flow", vec!["2.3 L/min"]),
                ("open-pressure", vec!["14 inH2O"]),
                ("covered-flow", vec!["1.3 L/min"]),
                ("covered-pressure", vec!["14 inH2O"]),
            ],
        ),
        (
            "decay",
            vec![
                ("volume", vec!["30 L"]),
                (
                    "at",
                    vec!["0 s = 14 inH2O", "60 s = 11 inH2O", "120 s = 8 inH2O"],
                ),
            ],
        ),
        (
            "volume",
            vec![
                ("test-hole", vec!["0.020 in"]),
                ("open-at", vec!["0 s = 14 inH2O", "60 s = 9 inH2O"]),
                ("at", vec!["0 s = 14 inH2O", "60 s = 13 inH2O"]),
            ],
        ),
        (
            "gauge",
            vec![
                ("height", vec!["50 %"]),
                (
                    "points",
                    vec!["0 % = 0 mm", "35 % = 0.020 in", "78 % = 0.040 in"],
                ),
                ("set-pressure", vec!["14 inH2O"]),
            ],
        ),
        (
            "equilibrium",
            vec![
                ("set-pressure", vec!["14 inH2O"]),
                ("open-flow", vec!["10 L/min"]),
                ("hole", vec!["1 mm", "0.5 mm"]),
            ],
        ),
        (
            "fill",
            vec![
                ("set-pressure", vec!["14 inH2O"]),
                ("open-flow", vec!["10 L/min"]),
                ("tank", vec!["50 L"]),
                ("fuel-level", vec!["40 %"]),
                ("hole", vec!["0.5 mm"]),
            ],
        ),
        ("vapour", vec![("from", vec!["20 C"]), ("to", vec!["22 C"])]),
        (
            "coil",
            vec![("resistance", vec!["30 ohm"]), ("nominal", vec!["26 ohm"])],
        ),
        (
            "valve",
            vec![("at-rest", vec!["shut"]), ("rest", vec!["stops"])],
        ),
        ("code", vec![("code", vec!["P0442"])]),
        ("pid", vec![("pid", vec!["0C"]), ("bytes", vec!["1AF8"])]),
        ("vin", vec![("vin", vec!["1M8GDM9AXKP042788"])]),
        (
            "sensor-line",
            vec![("gain", vec!["50 mV/kPa"]), ("signal", vec!["2 V"])],
        ),
        ("ripple", ripple_sample()),
        (
            "regulatory",
            vec![("flow", vec!["0.5 L/min"]), ("pressure", vec!["3 kPa"])],
        ),
        (
            "trim-total",
            vec![("short", vec!["5 %"]), ("long", vec!["12 %"])],
        ),
        (
            "trims",
            vec![(
                "points",
                vec!["4 g/s = 20 %", "20 g/s = 4 %", "12 g/s = 7 %"],
            )],
        ),
        (
            "needed",
            vec![("trim", vec!["20 %"]), ("airflow", vec!["4 g/s"])],
        ),
        (
            "share",
            vec![("hole", vec!["1 mm"]), ("needed", vec!["2 mm"])],
        ),
        ("air", vec![("altitude", vec!["5000 ft"])]),
        (
            "key-on",
            vec![("reading", vec!["108 kPa"]), ("barometer", vec!["100 kPa"])],
        ),
        (
            "sensor",
            vec![
                (
                    "points",
                    vec!["20 kPa = 1.00 V", "60 kPa = 2.51 V", "100 kPa = 4.00 V"],
                ),
                ("expected-gain", vec!["0.0375 V/kPa"]),
                ("expected-offset", vec!["0.25 V"]),
            ],
        ),
        (
            "idle-air",
            vec![
                ("displacement", vec!["2 L"]),
                ("speed", vec!["800 rpm"]),
                ("manifold", vec!["35 kPa"]),
            ],
        ),
        (
            "raised-idle",
            vec![
                ("reading", vec!["12 %"]),
                ("baseline", vec!["30 %"]),
                ("hole", vec!["2 mm"]),
                ("displacement", vec!["2 L"]),
            ],
        ),
        ("ratio", vec![("values", vec!["8 inH2O", "14 inH2O"])]),
        ("difference", vec![("values", vec!["30 C", "20 C"])]),
        ("sum", vec![("values", vec!["1 mm2", "2 mm2", "3 mm2"])]),
        ("convert", vec![("quantity", vec!["14 inH2O"])]),
    ]
}

fn sample(calculation: &Calculation) -> Given {
    let samples = samples();
    let (_, inputs) = samples
        .iter()
        .find(|(name, _)| *name == calculation.name)
        .unwrap_or_else(|| panic!("{} has no sample here: add one", calculation.name));
    inputs.iter().fold(Given::new(), |given, (name, texts)| {
        let input = calculation.input(name).expect("an input");
        given.with(
            name,
            ruleout::physics::given::read_values(input, texts).expect("sound text"),
        )
    })
}

#[test]
fn writing_the_defaults_out_changes_nothing() {
    for calculation in all() {
        let bare = sample(calculation);
        let full = calculation
            .inputs
            .iter()
            .fold(bare.clone(), |given, input| match input.default {
                Some(text) if given.get(input.name).is_none() => given.with(
                    input.name,
                    read_value(input, text).expect("a sound default"),
                ),
                _ => given,
            });
        let work = |given: &Given| {
            calculation
                .work(given, &Shifts::none())
                .expect("worked")
                .results
        };
        for (bare, full) in work(&bare).iter().zip(&work(&full)) {
            match (bare.number(), full.number()) {
                (Some(a), Some(b)) => assert!(
                    (a - b).abs() <= 1e-12 * a.abs(),
                    "{}: {a} and {b}",
                    calculation.name
                ),
                _ => assert_eq!(bare, full, "{}", calculation.name),
            }
        }
    }
}

#[test]
fn every_nuisance_moves_a_result_of_its_calculation() {
    for calculation in all() {
        let given = sample(calculation);
        let centre = calculation.work(&given, &Shifts::none()).expect("worked");
        for nuisance in calculation.nuisances {
            if let Some((input, word)) = nuisance.only_with {
                // Where the temperature moved between the readings.
                let mut given = given.clone();
                given.set(input, Value::Word(word.to_owned()));
                let row = |t: f64, p: f64, warm: f64| vec![Some(t), Some(p), Some(warm)];
                let rows = vec![row(0.0, 3500.0, 293.15), row(120.0, 2700.0, 293.65)];
                given.set("at", Value::Points(rows));
                let of = |share: f64| {
                    let shifts = Shifts::one(nuisance.name, share);
                    (calculation.run)(&given, &shifts).expect("worked").results
                };
                assert_ne!(
                    of(1.0),
                    of(0.0),
                    "{} ignores {}",
                    calculation.name,
                    nuisance.name
                );
                continue;
            }
            let moved =
                (calculation.run)(&given, &Shifts::one(nuisance.name, 1.0)).expect("worked");
            assert_ne!(
                moved.results, centre.results,
                "{} ignores {}",
                calculation.name, nuisance.name
            );
        }
    }
}

#[test]
fn names_in_the_table_are_unique_and_every_result_is_described() {
    let mut names = std::collections::BTreeSet::new();
    for calculation in all() {
        assert!(
            names.insert(calculation.name),
            "{} is there twice",
            calculation.name
        );
        assert!(!calculation.source.is_empty() && !calculation.outputs.is_empty());
        let mut inner = std::collections::BTreeSet::new();
        assert!(
            calculation
                .inputs
                .iter()
                .all(|i| inner.insert(i.name) && !i.help.is_empty()),
            "{}",
            calculation.name
        );
        assert!(
            calculation.outputs.iter().all(|o| !o.help.is_empty()),
            "{}",
            calculation.name
        );
    }
}
