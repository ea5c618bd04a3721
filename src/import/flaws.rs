//! What is wrong with a few rows of a file that is read nonetheless, so that whoever reads it is told.

use super::error::ImportError;

/// Cells that hold no number may be this share of the rows, one in so many: more, and it is the column that is not
/// what it was taken for. Chosen here, no source.
const ONE_IN: u64 = 20;
/// So many of them are waited for before a long file is given up in the middle.
const ENOUGH: u64 = 100;

/// What was left out of a file.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Flaws {
    /// Rows with fewer cells than columns: how many, and the line of the first.
    pub short: Option<(u64, u64)>,
    /// A last line that was cut off and left out.
    pub cut: Option<u64>,
    /// Cells that hold something else than a number, or than a time: how many, and what the first is.
    pub unreadable: Option<(u64, String)>,
}

impl Flaws {
    /// What is to be said of them, one sentence each; empty where nothing was left out.
    pub fn remarks(&self) -> Vec<String> {
        let short = self.short.map(|(rows, first)| {
            format!(
                "{rows} rows have fewer cells than there are columns, the first on line {first}; what is missing counts as empty"
            )
        });
        let unreadable = self.unreadable.as_ref().map(|(cells, first)| match cells {
            1 => format!("one cell was left out: {first}"),
            _ => format!("{cells} cells were left out, the first: {first}"),
        });
        let cut = self
            .cut
            .map(|line| format!("line {line}, the last, is cut off and was left out"));
        short.into_iter().chain(unreadable).chain(cut).collect()
    }
}

/// Counts the cells that cannot be read.
#[derive(Debug, Default)]
pub(super) struct Unreadable {
    cells: u64,
    first: Option<ImportError>,
}

impl Unreadable {
    /// One more, after so many rows.
    ///
    /// # Errors
    /// The first of them, once there are too many to be accidents.
    pub(super) fn add(&mut self, error: ImportError, rows: u64) -> Result<(), ImportError> {
        self.cells += 1;
        self.first.get_or_insert(error);
        if self.cells > ENOUGH {
            self.refused(rows)?;
        }
        Ok(())
    }

    /// How many there are, and what the first is.
    ///
    /// # Errors
    /// The first of them, where too many of the rows have one.
    pub(super) fn finish(mut self, rows: u64) -> Result<Option<(u64, String)>, ImportError> {
        self.refused(rows)?;
        let cells = self.cells;
        Ok(self.first.map(|first| (cells, first.what())))
    }

    fn refused(&mut self, rows: u64) -> Result<(), ImportError> {
        match self.first.take_if(|_| self.cells * ONE_IN > rows) {
            Some(first) => Err(first),
            None => Ok(()),
        }
    }
}
