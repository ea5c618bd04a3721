//! What can be wrong with a written quantity, and what to write instead.

use thiserror::Error;

/// Why a text is not a quantity or not a unit.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum UnitError {
    /// Nothing was written.
    #[error("nothing is written here; write a number and its unit")]
    Empty,
    /// The text does not begin with a number.
    #[error("\"{text}\" does not begin with a number; write a number and its unit")]
    NotANumber {
        /// What was written.
        text: String,
    },
    /// What a meter shows where its range ends.
    #[error(
        "\"{text}\" says that the meter's range ends; write the range's top, such as 20 Mohm across an open winding"
    )]
    OffScale {
        /// What was written.
        text: String,
    },
    /// The number is infinite or too large to work with.
    #[error("\"{text}\" is too large to work with; check the number")]
    NotFinite {
        /// What was written.
        text: String,
    },
    /// A comma stands where a decimal point belongs, or parts the thousands.
    #[error("\"{text}\" has a comma; write a point for decimals and nothing between thousands")]
    DecimalComma {
        /// What was written.
        text: String,
    },
    /// A number without a unit.
    #[error("\"{text}\" has no unit; write it behind the number")]
    NoUnit {
        /// What was written.
        text: String,
    },
    /// The unit is not in the table.
    #[error("\"{text}\" is not a unit known here{}", hint(.nearest.as_ref()))]
    UnknownUnit {
        /// What was written.
        text: String,
        /// The closest name in the table, when one is close.
        nearest: Option<&'static str>,
    },
}

fn hint(nearest: Option<&&'static str>) -> String {
    nearest.map_or_else(String::new, |name| format!("; did you mean {name}?"))
}
