//! Values by id, as conditions and calculations see them.

use std::collections::{BTreeMap, BTreeSet};

use crate::physics::uncertainty::Estimate;

/// A value that is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// A number in SI units with its 95 % interval.
    Number(Estimate),
    /// A word.
    Word(String),
    /// Places where something shows.
    Places(BTreeSet<String>),
    /// It was tried and could not be told.
    Untold,
    /// It is not asked on this car.
    NotApplicable,
    /// It is worked from a reading that may be left out, and was.
    LeftOut,
    /// A calculation refused its inputs, and said why.
    Refused(String),
}

/// What is known, by id: readings, vehicle facts, worked values and the number of the test.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Values(BTreeMap<String, Value>);

impl Values {
    /// The value of an id.
    pub fn get(&self, id: &str) -> Option<&Value> {
        self.0.get(id)
    }
    /// Notes a value.
    pub fn set(&mut self, id: &str, value: Value) {
        self.0.insert(id.to_owned(), value);
    }
    /// All, in the order of their ids.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &Value)> {
        self.0.iter().map(|(id, value)| (id.as_str(), value))
    }
}

/// The id of the number of the test: 1 at first, one more after every repair.
pub const TEST_NUMBER: &str = "test-number";
