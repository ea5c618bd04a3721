//! A look at a file before it is read: its dialect, its columns and what each is taken to hold.
//!
//! What is not said is guessed, what is guessed is shown, and whoever asked can correct it: first
//! counts what was told for this reading, then the mapping, then the guess. Units come from the
//! same places and from the header; where none says it, it is asked and never assumed.

use super::channel::Channel;
use super::dialect::{Decimal, Dialect, Separator};
use super::error::{ImportError, Unasked};
use super::guess::guess;
use super::header::{self, Column};
use super::mapping::{Entry, Mapping};
use super::sniff::Sniffed;
use crate::units::Unit;

/// What is known about a file beforehand.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Options {
    /// The separator, where it shall not be looked for.
    pub separator: Option<Separator>,
    /// The decimal mark, where it shall not be looked for.
    pub decimal: Option<Decimal>,
    /// What columns hold, as saved.
    pub mapping: Mapping,
    /// What columns hold, as told for this file; counts before the mapping.
    pub columns: Vec<(String, Option<Channel>)>,
    /// Units of columns, as told for this file; count before everything else.
    pub units: Vec<(String, Unit)>,
}

/// Where it is known from what a column holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Known {
    /// It was told.
    Told,
    /// The mapping says it.
    Mapping,
    /// These words of the header speak for it.
    Guessed(&'static [&'static str]),
    /// Nothing speaks for anything.
    Not,
    /// The header speaks for what another column is taken for already.
    Double(&'static str),
}

/// A column and what it is taken to hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapped {
    /// The column.
    pub column: Column,
    /// What it holds; `None` for nothing that is used.
    pub holds: Option<Channel>,
    /// Its unit; `None` where none is needed or none is known yet.
    pub unit: Option<Unit>,
    /// Its cells are clock times, which need no unit.
    pub clock: bool,
    /// Where that is known from.
    pub known: Known,
}

/// What a file is read for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// Scan data: the steady stretches are looked for.
    Log,
    /// A trace of a signal: its points are taken.
    Capture,
}

/// A file, looked at.
#[derive(Clone, Debug)]
pub struct Look {
    /// How it is written.
    pub dialect: Dialect,
    /// Its columns.
    pub columns: Vec<Mapped>,
    /// A mapping was given that speaks of none of its columns.
    pub mapping_fits_none: bool,
    /// Columns that hold something by the mapping, and which the file does not have.
    pub mapping_lacks: Vec<String>,
}

impl Look {
    /// The column that holds a quantity.
    pub fn column(&self, channel: Channel) -> Option<&Mapped> {
        self.columns
            .iter()
            .find(|column| column.holds == Some(channel))
    }

    /// What the file seems to be: a trace has a signal and no engine speed.
    pub fn purpose(&self) -> Purpose {
        if self.column(Channel::Speed).is_none() && self.column(Channel::Signal).is_some() {
            Purpose::Capture
        } else {
            Purpose::Log
        }
    }

    /// The columns' names.
    pub fn names(&self) -> Vec<String> {
        self.columns
            .iter()
            .map(|mapped| mapped.column.name.clone())
            .collect()
    }

    /// The columns whose unit must be asked before the file can be read for this.
    pub fn unasked(&self, purpose: Purpose) -> Vec<Unasked> {
        self.columns
            .iter()
            .filter(|mapped| mapped.unit.is_none() && !mapped.clock)
            .filter_map(|mapped| {
                let channel = mapped.holds.filter(|channel| purpose.uses(*channel))?;
                let choices = Unit::of(channel.dimension()?).collect();
                Some(Unasked {
                    column: mapped.column.name.clone(),
                    channel,
                    choices,
                })
            })
            .collect()
    }

    /// What was found, told and guessed, as a mapping that can be saved.
    pub fn mapping(&self) -> Mapping {
        let entries = self.columns.iter().map(|mapped| Entry {
            column: mapped.column.name.clone(),
            holds: mapped.holds,
            unit: mapped.unit.filter(|_| mapped.holds.is_some()),
        });
        Mapping {
            entries: entries.collect(),
        }
    }
}

impl Purpose {
    /// Whether a quantity is of interest.
    pub const fn uses(self, channel: Channel) -> bool {
        let of_capture = matches!(
            channel,
            Channel::Signal | Channel::Trigger | Channel::Pressure
        );
        match self {
            Self::Log => !of_capture,
            Self::Capture => of_capture || matches!(channel, Channel::Time),
        }
    }
}

/// Maps the columns that were found.
pub(super) fn map(sniffed: &Sniffed, options: &Options) -> Result<Look, ImportError> {
    let found = header::columns(&sniffed.names, sniffed.units.as_deref(), sniffed.columns);
    let mut columns: Vec<Mapped> = found
        .into_iter()
        .map(|column| Mapped {
            clock: sniffed.clocks.get(column.index).copied().unwrap_or(false),
            holds: None,
            unit: column.unit,
            known: Known::Not,
            column,
        })
        .collect();
    tell(&mut columns, options)?;
    guess_rest(&mut columns);
    for mapped in &mut columns {
        settle_unit(mapped, &options.mapping);
    }
    for (name, unit) in &options.units {
        let at = find(&columns, name)?;
        columns[at].unit = Some(*unit);
    }
    columns.iter().try_for_each(check_unit)?;
    let has = |name: &str| columns.iter().any(|mapped| mapped.column.name == name);
    let lacks = options
        .mapping
        .entries
        .iter()
        .filter(|entry| entry.holds.is_some() && !has(&entry.column));
    let mapping_lacks = lacks.map(|entry| entry.column.clone()).collect();
    let spoken_of = |mapped: &Mapped| options.mapping.entry(&mapped.column.name).is_some();
    Ok(Look {
        dialect: sniffed.dialect.clone(),
        mapping_lacks,
        mapping_fits_none: !options.mapping.entries.is_empty() && !columns.iter().any(spoken_of),
        columns,
    })
}

/// Puts in what was told and what the mapping says.
fn tell(columns: &mut [Mapped], options: &Options) -> Result<(), ImportError> {
    for mapped in columns.iter_mut() {
        if let Some(entry) = options.mapping.entry(&mapped.column.name) {
            mapped.holds = entry.holds;
            mapped.known = Known::Mapping;
        }
    }
    for (name, holds) in &options.columns {
        let at = find(columns, name)?;
        // What is told of one column counts against a mapping that says it of another.
        for other in columns
            .iter_mut()
            .filter(|other| other.known == Known::Mapping)
        {
            if holds.is_some() && other.holds == *holds {
                other.holds = None;
            }
        }
        columns[at].holds = *holds;
        columns[at].known = Known::Told;
    }
    for (at, mapped) in columns.iter().enumerate() {
        let Some(channel) = mapped.holds else {
            continue;
        };
        if let Some(first) = columns[..at].iter().find(|c| c.holds == Some(channel)) {
            return Err(ImportError::Twice {
                first: first.column.name.clone(),
                second: mapped.column.name.clone(),
                channel: channel.word(),
            });
        }
    }
    Ok(())
}

fn guess_rest(columns: &mut [Mapped]) {
    for at in 0..columns.len() {
        if columns[at].known != Known::Not {
            continue;
        }
        let column = &columns[at].column;
        let Some(guess) = guess(&column.bare, column.unit) else {
            continue;
        };
        let taken = columns.iter().any(|c| c.holds == Some(guess.channel));
        if taken {
            columns[at].known = Known::Double(guess.channel.word());
        } else {
            columns[at].holds = Some(guess.channel);
            columns[at].known = Known::Guessed(guess.because);
        }
    }
}

/// The unit by the mapping, else by the header, else by a word of the header.
fn settle_unit(mapped: &mut Mapped, mapping: &Mapping) {
    let entry = mapping.entry(&mapped.column.name);
    if let Some(unit) = entry.and_then(|entry| entry.unit) {
        mapped.unit = Some(unit);
    }
    let wanted = mapped.holds.and_then(Channel::dimension);
    if mapped.unit.is_none()
        && let Some(wanted) = wanted
    {
        mapped.unit = header::unit_among_words(&mapped.column.bare, wanted);
    }
}

fn check_unit(mapped: &Mapped) -> Result<(), ImportError> {
    let (Some(channel), Some(unit)) = (mapped.holds, mapped.unit) else {
        return Ok(());
    };
    match channel.dimension() {
        Some(wanted) if wanted != unit.dimension() => Err(ImportError::WrongUnit {
            column: mapped.column.name.clone(),
            channel: channel.word(),
            unit: unit.name(),
            is: unit.dimension(),
            wanted,
        }),
        _ => Ok(()),
    }
}

/// The column that a person means: by its header, in any case, or by the header without its unit.
fn find(columns: &[Mapped], asked: &str) -> Result<usize, ImportError> {
    let asked = asked.trim();
    let same = |name: &str| name.to_lowercase() == asked.to_lowercase();
    let by = |fits: &dyn Fn(&Column) -> bool| columns.iter().position(|c| fits(&c.column));
    by(&|column| column.name == asked)
        .or_else(|| by(&|column| same(&column.name)))
        .or_else(|| by(&|column| same(&column.bare)))
        .ok_or_else(|| {
            let names: Vec<String> = columns.iter().map(|c| c.column.name.clone()).collect();
            let nearest = names
                .iter()
                .map(|name| {
                    (
                        strsim::jaro_winkler(&name.to_lowercase(), &asked.to_lowercase()),
                        name,
                    )
                })
                .filter(|(score, _)| *score > 0.75)
                .max_by(|a, b| a.0.total_cmp(&b.0))
                .map(|(_, name)| name.clone());
            ImportError::NoColumn {
                asked: asked.to_owned(),
                nearest,
                columns: names,
            }
        })
}
