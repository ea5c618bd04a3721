//! What must hold of quantities for any text and any number.

use proptest::prelude::*;
use ruleout::units::{Quantity, Unit};

fn unit() -> impl Strategy<Value = Unit> {
    prop::sample::select(Unit::all().collect::<Vec<_>>())
}

fn quiet() -> ProptestConfig {
    ProptestConfig {
        cases: 2000,
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

proptest! {
    #![proptest_config(quiet())]

    #[test]
    fn no_text_panics_and_none_gives_an_infinite_quantity(text in "\\PC{0,24}") {
        if let Ok(quantity) = text.parse::<Quantity>() {
            prop_assert!(quantity.si().is_finite());
        }
    }

    #[test]
    fn nearly_sound_text_does_not_panic(text in "[-+ ]{0,2}[0-9.,/eE ]{0,12}[-+]?[a-zA-Z0-9/%°\" ]{0,8}") {
        if let Ok(quantity) = text.parse::<Quantity>() {
            prop_assert!(quantity.si().is_finite());
        }
    }

    #[test]
    fn a_quantity_written_is_the_quantity_read(
        value in prop::num::f64::NORMAL | prop::num::f64::ZERO, unit in unit(),
    ) {
        if let Ok(quantity) = Quantity::new(value, unit) {
            prop_assert_eq!(quantity.to_string().parse::<Quantity>(), Ok(quantity));
        }
    }

    #[test]
    fn there_and_back_is_where_it_was(value in -1e6..1e6_f64, unit in unit()) {
        let back = unit.from_si(unit.to_si(value));
        // An offset of hundreds of kelvin costs the last digits of a small value.
        prop_assert!((back - value).abs() <= 1e-9 * value.abs().max(1.0), "{} {}", back, unit);
    }

    #[test]
    fn a_shown_value_reads_back_to_within_its_last_digit(value in -1e5..1e5_f64, unit in unit()) {
        let shown = unit.show(unit.to_si(value));
        let digits = shown.split(' ').next().expect("a number");
        let read: f64 = digits.parse().expect("a plain number");
        let half = 0.5 * 10_f64.powi(-i32::try_from(unit.decimals()).expect("few"));
        prop_assert!((read - value).abs() <= half * 1.000_001 + 1e-9, "{} for {}", shown, value);
        prop_assert!(!shown.starts_with("-0 ") && !shown.starts_with("-0.0 "));
    }
}

/// `units_pint.csv`: the factors of every unit that Pint has too, by its own definitions.
#[test]
fn every_factor_is_that_of_an_independent_library() {
    let path = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/tests/reference/units_pint.csv"
    );
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(path)
        .expect("the table is there");
    let mut largest: f64 = 0.0;
    let mut rows = 0;
    for row in reader.deserialize() {
        let (name, factor): (String, f64) = row.expect("a sound row");
        let unit = Unit::parse(&name).expect("a known unit");
        let off = (unit.step_to_si(1.0) / factor - 1.0).abs();
        assert!(off < 1e-9, "{name}: {off:e}");
        largest = largest.max(off);
        rows += 1;
    }
    crate::worked::stated("Pint, 39 units", 0, largest);
    assert_eq!(rows, 39);
}

/// What a value in one unit is in another, where it has so few digits there that somebody could have
/// written it: six, of the fifteen that the arithmetic of this test is good for.
fn written_in(other: Unit, value: f64, unit: Unit) -> Option<f64> {
    let shift = other.step_from_si(unit.to_si(0.0) - other.to_si(0.0));
    let there = value * (unit.step_to_si(1.0) / other.step_to_si(1.0)) + shift;
    let written: f64 = format!("{there:.5e}").parse().expect("a number");
    // A scale with an offset loses digits in the difference of the two.
    let good_for = 2e-15 * there.abs().max(shift.abs());
    ((there - written).abs() <= good_for).then_some(written)
}

#[test]
fn a_value_written_in_two_units_is_one_number() {
    let (mut pairs, mut apart) = (0, Vec::new());
    for unit in Unit::all() {
        for other in Unit::of(unit.dimension()).filter(|other| *other != unit) {
            for whole in 1..=400 {
                for over in [1.0, 10.0, 100.0, 1000.0] {
                    let value = f64::from(whole) / over;
                    let Some(there) = written_in(other, value, unit) else {
                        continue;
                    };
                    pairs += 1;
                    let si =
                        |value: f64, unit: Unit| Quantity::new(value, unit).expect("finite").si();
                    if si(value, unit).to_bits() != si(there, other).to_bits() {
                        apart.push(format!("{value} {unit} and {there} {other}"));
                    }
                }
            }
        }
    }
    assert!(pairs > 50_000, "{pairs}");
    // What goes on for ever in fours (ninths, such as 0.025 L/h in m3/s) stands near where it is cut off.
    assert!(
        apart.len() * 200 < pairs,
        "{} of {pairs}: {apart:?}",
        apart.len()
    );
}
