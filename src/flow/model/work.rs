//! What a flow works out of what it asked.

use std::fmt;

use crate::flow::node::Place;
use crate::physics::calculation::Calculation;
use crate::units::{Quantity, Unit};

/// A value worked out by a named calculation.
#[derive(Clone)]
pub struct Work {
    /// Its id.
    pub id: String,
    /// What it is, in words for the screen.
    pub name: String,
    /// The calculation.
    pub calculation: &'static Calculation,
    /// Which of its results (an index into its outputs).
    pub take: usize,
    /// Its inputs.
    pub inputs: Vec<(&'static str, Arg)>,
    /// The unit that it is shown in; absent for words.
    pub unit: Option<Unit>,
    /// Where it is declared.
    pub place: Place,
    /// Where what it is made of is written.
    pub written: Written,
}

impl Work {
    /// Whether another is worked by the same calculation from the same inputs, whichever results are taken.
    pub fn is_worked_as(&self, other: &Self) -> bool {
        std::ptr::eq(self.calculation, other.calculation) && self.inputs == other.inputs
    }
}

/// Where the parts of a worked value are written.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// The name of the calculation.
    pub calculation: Place,
    /// The result that is taken, where it is said.
    pub take: Option<Place>,
    /// The inputs by their names.
    pub inputs: Vec<(String, Place)>,
}

impl Written {
    /// Where an input stands; the calculation's name where it is not given.
    pub fn input(&self, name: &str) -> Place {
        let found = self.inputs.iter().find(|(known, _)| known == name);
        found.map_or(self.calculation, |(_, place)| *place)
    }
}

impl fmt::Debug for Work {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Work")
            .field("id", &self.id)
            .field("by", &self.calculation.name)
            .finish_non_exhaustive()
    }
}

/// What an input of a calculation is taken from.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// A constant.
    Constant(Quantity),
    /// A word, or a plain number.
    Word(String),
    /// A reading, fact or earlier worked value.
    Of(String),
    /// Several values.
    List(Vec<Arg>),
    /// Rows of points; each row in the order of the input's fields, absent where not given.
    Rows(Vec<Vec<Option<Arg>>>),
    /// The pairs of one reading as points.
    PairsOf(String),
}
