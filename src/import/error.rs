//! Why a file cannot be read: each with its place and what to do.

use super::channel::Channel;
use super::dialect::Decimal;
use crate::units::{Dimension, Unit};

/// Why a file cannot be read. Lines count from 1, as an editor numbers them.
#[derive(Debug, thiserror::Error)]
pub enum ImportError {
    /// The system would not give it.
    #[error("the file cannot be read: {0}")]
    System(#[from] std::io::Error),
    /// There is nothing in it.
    #[error("the file is empty; export the log again")]
    Empty,
    /// It is no text.
    #[error(
        "this is not a text file (line {line} holds a zero byte); export the log as CSV, as text"
    )]
    NotText {
        /// The line.
        line: u64,
    },
    /// No separator makes rows of it.
    #[error(
        "no rows of numbers are found {}; export the log as CSV, one row a moment, or say how it is \
         written with --separator and --decimal",
        first(*.lines)
    )]
    NotATable {
        /// How many lines were looked at.
        lines: u64,
    },
    /// Names and values do not match in number.
    #[error(
        "line {line} has {names} names, but the rows below have {cells} cells; if decimals are \
         written with a comma, export with semicolons or tabs between the cells"
    )]
    Header {
        /// The line with the names.
        line: u64,
        /// How many names.
        names: usize,
        /// How many cells.
        cells: usize,
    },
    /// A row has more cells than there are columns.
    #[error(
        "line {line} has {cells} cells, and there are {columns} columns; look whether a comma or a \
         quote is missing or too many on that line"
    )]
    RowTooLong {
        /// The line.
        line: u64,
        /// Its cells.
        cells: usize,
        /// The columns.
        columns: usize,
    },
    /// A line or a quoted cell does not end.
    #[error(
        "line {line} does not end within {limit} bytes; look for a quote that is opened and not closed"
    )]
    LineTooLong {
        /// Where it begins.
        line: u64,
        /// The longest that is read.
        limit: usize,
    },
    /// A cell holds something else than its column.
    #[error(
        "line {line}, column {column} ({name}): \"{text}\" is not {wanted}; {}",
        .remedy.by_option(.name)
    )]
    Cell {
        /// The line.
        line: u64,
        /// The column, from 1.
        column: usize,
        /// The column's name.
        name: String,
        /// What stands there, shortened.
        text: String,
        /// What was expected.
        wanted: &'static str,
        /// What to do.
        remedy: Remedy,
    },
    /// Units are not known. Ask, and read again with the answers among the options.
    #[error("{}", unasked(.0))]
    Unasked(Vec<Unasked>),
    /// A unit does not fit what the column holds.
    #[error(
        "column \"{column}\" holds {channel}, and {unit} is a unit of {is}; give a unit of {wanted}"
    )]
    WrongUnit {
        /// The column.
        column: String,
        /// What it holds.
        channel: &'static str,
        /// The unit.
        unit: &'static str,
        /// What the unit measures.
        is: Dimension,
        /// What is needed.
        wanted: Dimension,
    },
    /// A column is named that is not there.
    #[error("the file has no column \"{asked}\"{}; its columns are: {}", near(.nearest.as_ref()), .columns.join(", "))]
    NoColumn {
        /// The name.
        asked: String,
        /// The nearest that is there.
        nearest: Option<String>,
        /// All of them.
        columns: Vec<String>,
    },
    /// Two columns are said to hold the same.
    #[error("both \"{first}\" and \"{second}\" are said to hold {channel}; say it of one")]
    Twice {
        /// One.
        first: String,
        /// The other.
        second: String,
        /// What both should hold.
        channel: &'static str,
    },
    /// What the work needs is in no column.
    #[error("{}", missing(.channel, .or.as_ref(), .columns))]
    Missing {
        /// What is needed, and the column that may hold it.
        channel: (Channel, Option<String>),
        /// What would do in its place, as where the file is something else than it seems.
        or: Option<(Channel, Option<String>)>,
        /// The columns.
        columns: Vec<String>,
    },
    /// A capture is longer than is kept.
    #[error("the capture has more than {limit} points; cut it to the part that shows the matter")]
    TooManyPoints {
        /// The most that are kept.
        limit: usize,
    },
}

type Likely = (Channel, Option<String>);

fn missing(needed: &Likely, or: Option<&Likely>, columns: &[String]) -> String {
    let option = |(channel, likely): &Likely| {
        let name = likely.as_deref().unwrap_or("NAME");
        format!("--column \"{name}={}\"", channel.word())
    };
    let (nor, instead) = or.map_or_else(Default::default, |or| {
        let nor = format!(", and none {}", alternative(or.0));
        (nor, format!(", or with {}", option(or)))
    });
    format!(
        "no column holds {}{nor}; if one does, say which with {}{instead}. The columns are: {}",
        alternative(needed.0),
        option(needed),
        columns.join(", ")
    )
}

/// What is missing, or would do in its place, in words.
const fn alternative(channel: Channel) -> &'static str {
    match channel {
        Channel::Signal => "the signal of a capture",
        Channel::Pressure => "absolute pressure",
        other => other.word(),
    }
}

fn first(lines: u64) -> String {
    if lines == 1 {
        "in its only line".to_owned()
    } else {
        format!("in the first {lines} lines")
    }
}

/// What to do about a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Remedy {
    /// Its decimals are written otherwise than those before it: with the first of these marks.
    Decimal(Decimal, Decimal),
    /// It or its column is to be left out.
    LeaveOut,
    /// A sign stands between its thousands; or, if this is given, it is a decimal mark and three decimals follow it.
    Thousands(Option<Decimal>),
    /// It goes on over the end of its line, as where a quote is opened and not closed: rows may be lost in it.
    CloseQuote,
}

const CLOSE_QUOTE: &str =
    "it goes on over the end of its line: look for a quote that is opened and not closed";

const THOUSANDS: &str = "a sign seems to stand between its thousands: export the file without one";

impl Remedy {
    fn by_option(self, name: &str) -> String {
        match self {
            Self::CloseQuote => CLOSE_QUOTE.to_owned(),
            Self::Decimal(here, before) => format!(
                "the rows before it have a decimal {}; if this is a decimal {}, say --decimal {}",
                before.word(),
                here.word(),
                here.word()
            ),
            Self::Thousands(None) => THOUSANDS.to_owned(),
            Self::Thousands(Some(mark)) => format!(
                "{THOUSANDS}; only if the sign stands before decimals, say --decimal {}",
                mark.word()
            ),
            Self::LeaveOut => {
                format!(
                    "such cells are left out where few rows have one; take the line out of the file, or leave the column out with --column \"{name}=nothing\" if the file can be read without it"
                )
            }
        }
    }

    fn on_screen(self) -> String {
        match self {
            Self::CloseQuote => CLOSE_QUOTE.to_owned(),
            Self::Decimal(here, before) => format!(
                "the rows before it have a decimal {}; if this is a decimal {}, say so under \"columns\"",
                before.word(),
                here.word()
            ),
            Self::Thousands(None) => THOUSANDS.to_owned(),
            Self::Thousands(Some(mark)) => format!(
                "{THOUSANDS}; only if the sign stands before decimals, say under \"columns\" that it is a decimal {}",
                mark.word()
            ),
            Self::LeaveOut => {
                "such cells are left out where few rows have one; say under \"columns\" that this column holds nothing if the file can be read without it".to_owned()
            }
        }
    }
}

impl ImportError {
    /// What is wrong, without what to do about it where that is said apart.
    pub(super) fn what(&self) -> String {
        match self {
            Self::Cell {
                line,
                column,
                name,
                text,
                wanted,
                ..
            } => format!("line {line}, column {column} ({name}): \"{text}\" is not {wanted}"),
            other => other.to_string(),
        }
    }

    /// What is wrong, for whoever sees the columns on the screens and has no options to give.
    pub fn on_screen(&self) -> String {
        match self {
            Self::Missing { channel, or, .. } => {
                let or = or.as_ref();
                let or = or.map_or_else(String::new, |or| {
                    format!(", and none {}", alternative(or.0))
                });
                format!(
                    "No column is known to hold {}{or}. If one does, say which under \"columns\".",
                    alternative(channel.0)
                )
            }
            Self::NotATable { lines } => format!(
                "No rows of numbers are found {}. Export it as CSV, one row a moment, or say under \
                 \"columns\" how it is written.",
                first(*lines)
            ),
            Self::Cell { remedy, .. } => format!("{}; {}", self.what(), remedy.on_screen()),
            other => other.to_string(),
        }
    }
}

/// A column whose unit neither the file nor anybody has said.
#[derive(Clone, Debug, PartialEq)]
pub struct Unasked {
    /// The column's name.
    pub column: String,
    /// What it holds.
    pub channel: Channel,
    /// Units that it can be in, the usual one first.
    pub choices: Vec<Unit>,
}

fn near(nearest: Option<&String>) -> String {
    nearest.map_or_else(String::new, |name| format!(" (did you mean \"{name}\"?)"))
}

fn unasked(columns: &[Unasked]) -> String {
    let each: Vec<String> = columns
        .iter()
        .map(|one| {
            let names: Vec<&str> = one.choices.iter().map(|unit| unit.name()).collect();
            let (first, others) = names.split_first().unwrap_or((&"UNIT", &[]));
            let or = if others.is_empty() {
                String::new()
            } else {
                format!(" or {}", others.join(", "))
            };
            format!(
                "--unit \"{}={first}\" ({}; it may be {first}{or})",
                one.column,
                one.channel.word()
            )
        })
        .collect();
    format!(
        "the file does not say the unit of every column; say it, for example: {}",
        each.join("; ")
    )
}
