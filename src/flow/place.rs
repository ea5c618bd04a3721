//! Places in a file.

/// Where a value stands in its file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// Line, from 1; 0 where the place is unknown.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// First byte of the value in the text.
    pub start: usize,
    /// The byte after the value.
    pub end: usize,
}
