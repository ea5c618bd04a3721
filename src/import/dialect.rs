//! How a file of rows is written: its separator, its decimal mark and where its names stand.
//!
//! Plain data with its words. [`super::sniff`] finds it out.

use std::fmt;

use super::encoding::Encoding;

/// What stands between two cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Separator {
    /// A comma.
    Comma,
    /// A semicolon.
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Comma, Self::Semicolon, Self::Tab];

    /// The character, which is one byte.
    pub const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Comma => "comma",
            Self::Semicolon => "semicolon",
            Self::Tab => "tab",
        }
    }
}

/// What stands before the decimals of a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Decimal {
    /// A point.
    Point,
    /// A comma.
    Comma,
}

impl Decimal {
    /// Both, the usual one first.
    pub const ALL: [Self; 2] = [Self::Point, Self::Comma];

    /// The character, which is one byte.
    pub const fn byte(self) -> u8 {
        match self {
            Self::Point => b'.',
            Self::Comma => b',',
        }
    }

    /// Its name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Point => "point",
            Self::Comma => "comma",
        }
    }
}

/// How a file is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Dialect {
    /// Between cells.
    pub separator: Separator,
    /// Before decimals.
    pub decimal: Decimal,
    /// How its characters are written.
    pub encoding: Encoding,
    /// It begins with a byte order mark.
    pub byte_order_mark: bool,
    /// Lines end with carriage return and line feed.
    pub carriage_return: bool,
    /// The line with the columns' names; `None` where there is none.
    pub names_line: Option<u64>,
    /// A second header line, with units only.
    pub units_line: Option<u64>,
    /// The first line with values.
    pub first_line: u64,
    /// Why it is read so.
    pub why: String,
}

impl fmt::Display for Dialect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "separator {}, decimal {}",
            self.separator.word(),
            self.decimal.word()
        )?;
        if self.encoding != Encoding::Utf8 {
            write!(f, ", {}", self.encoding)?;
        }
        if self.byte_order_mark {
            f.write_str(", byte order mark")?;
        }
        if self.carriage_return {
            f.write_str(", lines end with CR LF")?;
        }
        match (self.names_line, self.units_line) {
            (Some(names), Some(units)) => {
                write!(f, "; names on line {names}, units on line {units}")
            }
            (Some(names), None) => write!(f, "; names on line {names}"),
            (None, _) => f.write_str("; no names"),
        }?;
        write!(f, ", values from line {}", self.first_line)
    }
}
