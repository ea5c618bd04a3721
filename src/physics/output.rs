//! What a result of a calculation *is*: what it holds, how its interval comes about, and how a verdict
//! follows from the interval of another result.

use super::calculation::Answer;
use super::given::Given;
use super::uncertainty::{Estimate, combine, combine_in_proportion};
use crate::units::{Dimension, Unit};

/// What a result holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OutputKind {
    /// A number of this dimension, shown in the unit of this name unless somebody chose another.
    Quantity(Dimension, &'static str),
    /// Words, such as a verdict.
    Text,
    /// A number of the same dimension as the inputs of kind [`super::calculation::Kind::ListAny`].
    SameAsInput,
    /// A difference of two such numbers; shown without a temperature's offset.
    StepOfInput,
    /// A number whose dimension follows from the inputs; the answer brings its unit.
    OwnUnit(UnitBy),
}

/// How the unit of a result follows from an input that is a text.
#[derive(Debug, Clone, Copy)]
pub struct UnitBy {
    /// The input's name.
    pub input: &'static str,
    /// The unit; none where the text is not one that the calculation takes.
    pub unit: fn(&str) -> Option<Unit>,
    /// The texts that it takes, for a remedy.
    pub known: fn() -> String,
}

impl PartialEq for UnitBy {
    /// Two rules cannot be compared; what they rest on can.
    fn eq(&self, other: &Self) -> bool {
        self.input == other.input
    }
}

impl Eq for UnitBy {}

impl OutputKind {
    /// The least value that has a meaning: a diameter or a space is never below zero, whatever the spread.
    pub fn floor(self) -> f64 {
        match self {
            Self::Quantity(Dimension::Length | Dimension::Volume, _) => 0.0,
            _ => f64::NEG_INFINITY,
        }
    }
}

/// On which side of zero a result can be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sign {
    /// On either.
    Either,
    /// It does not turn its sign: the interval of what is not below zero ends at nothing.
    OneWay,
    /// Less than nothing of it has no meaning, whatever it is worked from: neither it nor its interval goes below zero.
    FromZero,
}

/// One result of a calculation.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Output {
    /// Name of the result.
    pub id: &'static str,
    /// What it holds.
    pub kind: OutputKind,
    /// For a text, everything that it can say: a flow's conditions are checked against these.
    /// None for free text, which no condition can be about.
    pub words: &'static [&'static str],
    /// One line on what it is.
    pub help: &'static str,
    /// For what can be said only once the interval of another result is known.
    pub judge: Option<Judge>,
    /// A ratio or a product by its formula: errors add up on a logarithmic scale.
    pub in_proportion: bool,
    /// Whether it can be on either side of zero.
    pub sign: Sign,
    /// A verdict on several numbers, which says [`CANNOT_TELL`] where errors within their range would turn it.
    pub gives_way: bool,
}

/// How a result follows from the interval of another: a verdict that says "cannot tell" while the
/// interval straddles its limit.
#[derive(Debug, Clone, Copy)]
pub struct Judge {
    /// The result whose interval it rests on.
    pub of: &'static str,
    /// Another result whose interval it looks at, where it is more than one verdict's matter.
    pub also: Option<&'static str>,
    /// Gives the answer.
    pub rule: fn(&Seen) -> Answer,
}

impl PartialEq for Judge {
    /// Two rules cannot be compared; what they rest on can.
    fn eq(&self, other: &Self) -> bool {
        self.of == other.of
    }
}

impl Eq for Judge {}

/// What a verdict says while its interval straddles the limit.
pub const CANNOT_TELL: &str = "cannot tell";

/// What a [`Judge`] sees.
#[derive(Debug, Clone, Copy)]
pub struct Seen<'a> {
    /// The values as read.
    pub given: &'a Given,
    /// The result that it rests on, with its interval.
    pub estimate: Estimate,
    /// Half the width that each source by itself gives that result: name of the input or of the
    /// nuisance. Empty where only the whole interval is known.
    pub effects: &'a [(String, f64)],
    /// The other result that the judgement looks at, with its interval, where it is known.
    pub also: Option<Estimate>,
}

impl<'a> Seen<'a> {
    /// Of a value that nothing makes uncertain.
    pub const fn exact(given: &'a Given, value: f64) -> Self {
        Self {
            given,
            estimate: Estimate::exact(value),
            effects: &[],
            also: None,
        }
    }

    /// The word for the class of the value, or "cannot tell" where its interval reaches over more than one.
    pub fn class(&self, of: impl Fn(f64) -> &'static str) -> Answer {
        let (low, high) = (of(self.estimate.low), of(self.estimate.high));
        if low == high { low } else { CANNOT_TELL }.into()
    }
}

impl Output {
    /// A number of a dimension, shown in the unit of this name.
    pub const fn quantity(
        id: &'static str,
        dimension: Dimension,
        unit: &'static str,
        help: &'static str,
    ) -> Self {
        Self {
            id,
            kind: OutputKind::Quantity(dimension, unit),
            words: &[],
            help,
            judge: None,
            in_proportion: false,
            sign: Sign::Either,
            gives_way: false,
        }
    }

    /// One of these texts.
    pub const fn text(
        id: &'static str,
        words: &'static [&'static str],
        help: &'static str,
    ) -> Self {
        Self {
            id,
            kind: OutputKind::Text,
            words,
            help,
            judge: None,
            in_proportion: false,
            sign: Sign::Either,
            gives_way: false,
        }
    }

    /// The same, of a result that is a ratio or a product by its formula.
    #[must_use]
    pub const fn proportional(mut self) -> Self {
        self.in_proportion = true;
        self
    }

    /// The same, of what does not turn its sign, such as the flow of a supply.
    #[must_use]
    pub const fn one_way(mut self) -> Self {
        self.sign = Sign::OneWay;
        self
    }

    /// The same, of what is never below zero, such as the share of a trouble.
    #[must_use]
    pub const fn from_zero(mut self) -> Self {
        self.sign = Sign::FromZero;
        self
    }

    /// The least value that has a meaning.
    pub fn floor(&self) -> f64 {
        if self.sign == Sign::FromZero {
            0.0
        } else {
            self.kind.floor()
        }
    }

    /// The same, of a verdict that says "cannot tell" where errors within their range would turn it. That has to be
    /// among its words.
    #[must_use]
    pub const fn or_cannot_tell(mut self) -> Self {
        self.gives_way = true;
        self
    }

    /// What a verdict says, given what it would say with errors within their range.
    pub fn in_doubt<'w>(
        &self,
        words: &'w str,
        mut others: impl Iterator<Item = &'w str>,
    ) -> &'w str {
        if self.gives_way && others.any(|other| other != words) {
            CANNOT_TELL
        } else {
            words
        }
    }

    /// The value with its interval, from its shifted values ([`super::uncertainty`]).
    ///
    /// The interval of an opening ends at nothing. One that comes out below zero says that there is none, and by how
    /// much the readings speak against it.
    pub fn combine(&self, centre: f64, shifted: impl IntoIterator<Item = (f64, f64)>) -> Estimate {
        let mut estimate = if self.in_proportion {
            combine_in_proportion(centre, shifted)
        } else {
            combine(centre, shifted)
        };
        let opening = matches!(self.kind, OutputKind::Quantity(Dimension::Area, _));
        if (opening || self.sign == Sign::OneWay) && centre >= 0.0 {
            estimate.low = estimate.low.max(0.0);
        }
        estimate
    }

    /// The same, given by a rule from the interval of the result `of`.
    #[must_use]
    pub const fn judged(mut self, of: &'static str, rule: fn(&Seen) -> Answer) -> Self {
        self.judge = Some(Judge {
            of,
            also: None,
            rule,
        });
        self
    }

    /// The same, with a look at the interval of another result.
    #[must_use]
    pub const fn beside(mut self, also: &'static str) -> Self {
        if let Some(judge) = &mut self.judge {
            judge.also = Some(also);
        }
        self
    }

    /// A number that brings its own unit, as a text among the inputs has it.
    pub const fn own_unit(id: &'static str, by: UnitBy, help: &'static str) -> Self {
        Self {
            id,
            kind: OutputKind::OwnUnit(by),
            words: &[],
            help,
            judge: None,
            in_proportion: false,
            sign: Sign::Either,
            gives_way: false,
        }
    }

    /// A number of the inputs' own dimension.
    pub const fn like_inputs(id: &'static str, kind: OutputKind, help: &'static str) -> Self {
        Self {
            id,
            kind,
            words: &[],
            help,
            judge: None,
            in_proportion: false,
            sign: Sign::Either,
            gives_way: false,
        }
    }
}
