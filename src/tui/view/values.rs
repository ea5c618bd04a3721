//! Values beside a question: in the unit that is asked for, so that they can be compared at a
//! glance. That is the flow's, or the one that people want to read instead of it.

use crate::units::preferred::{self, in_unit as number};
use crate::units::{Dimension, Quantity, Unit};

/// The name of the unit that a value is asked for in; a number of things has no unit that people
/// would say.
pub fn unit_name(unit: Unit) -> &'static str {
    let unit = preferred::shown_unit(unit);
    if unit.dimension() == Dimension::Count {
        ""
    } else {
        unit.name()
    }
}

/// A value in a unit; as it was written where that is its own, else with four digits.
fn exactly_in(value: Quantity, unit: Unit) -> String {
    let name = if unit.dimension() == Dimension::Count {
        ""
    } else {
        unit.name()
    };
    let text = format!("{} {name}", number(value, unit));
    text.trim_end().to_owned()
}

/// The same in the unit in which somebody typed, and in brackets in the one that was asked for.
pub fn in_both(value: Quantity, typed: Unit, asked: Unit) -> String {
    let asked = preferred::shown_unit(asked);
    if typed == asked {
        exactly_in(value, asked)
    } else {
        format!(
            "{} ({})",
            exactly_in(value, typed),
            exactly_in(value, asked)
        )
    }
}

/// A limit in the unit asked for, and in brackets as its author wrote it.
pub fn limit(value: Quantity, asked: Unit) -> String {
    let asked = preferred::shown_unit(asked);
    if value.unit() == asked {
        value.to_string()
    } else {
        format!("{} ({value})", exactly_in(value, asked))
    }
}

/// A range with its unit once, in the unit asked for.
pub fn range(from: Quantity, to: Quantity, unit: Unit) -> String {
    preferred::range_in(from, to, preferred::shown_unit(unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn q(text: &str) -> Quantity {
        text.parse().unwrap()
    }

    #[test]
    fn a_value_and_its_limit_are_said_in_one_unit() {
        let (kpa, psi) = (q("1 kPa").unit(), q("1 psi").unit());
        assert_eq!(exactly_in(q("7 kPa"), kpa), "7 kPa");
        assert_eq!(in_both(q("1.2 psi"), psi, kpa), "1.2 psi (8.274 kPa)");
        assert_eq!(in_both(q("7 kPa"), psi, kpa), "1.015 psi (7 kPa)");
        assert_eq!(
            limit(q("1 psi"), q("1 inH2O").unit()),
            "27.68 inH2O (1 psi)"
        );
        assert_eq!(range(q("0 psi"), q("1 psi"), kpa), "0 to 6.89 kPa");
        assert_eq!(
            range(q("1 count"), q("2 count"), q("1 count").unit()),
            "1 to 2"
        );
    }
}
