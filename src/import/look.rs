//! A look at a file before it is read: its dialect, its columns and what each is taken to hold.
//!
//! What is not said is guessed, what is guessed is shown, and whoever asked can correct it: first
//! counts what was told for this reading, then the mapping, then the guess. Units come from the
//! same places and from the header; where none says it, it is asked and never assumed.

use super::channel::Channel;
use super::dialect::{Decimal, Dialect, Separator};
use super::error::{ImportError, Unasked};
use super::guess::{self, guess};
use super::header::{self, Column};
use super::mapping::{Entry, Mapping};
use super::sniff::Sniffed;
use crate::units::{Dimension, Unit};

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
    /// What the file is to be read as, where it is not a log.
    pub purpose: Option<Purpose>,
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
        self.purpose_or(None)
    }

    /// The same where somebody reads it as this; what has an engine speed is no capture.
    pub(super) fn purpose_or(&self, wanted: Option<Purpose>) -> Purpose {
        let signal = self.column(Channel::Signal).is_some() || wanted == Some(Purpose::Capture);
        if self.column(Channel::Speed).is_none() && signal {
            Purpose::Capture
        } else {
            Purpose::Log
        }
    }

    /// Whether its signal is scaled: a pressure, in Pa, in place of volts.
    pub fn signal_is_pressure(&self) -> bool {
        let signal = self.column(Channel::Signal);
        let unit = signal.and_then(|mapped| mapped.unit);
        unit.is_some_and(|unit| scaled(Channel::Signal, unit))
    }

    /// The one column that may hold a quantity, of those that hold nothing or what this purpose does not use.
    pub(super) fn likely(&self, channel: Channel, purpose: Purpose) -> Option<String> {
        let fits =
            |unit: Unit| channel.dimension() == Some(unit.dimension()) || scaled(channel, unit);
        let free = |mapped: &&Mapped| mapped.holds.is_none_or(|holds| !purpose.uses(holds));
        let mut likely = self.columns.iter().filter(free).filter(|mapped| {
            // An engine speed without a unit would be any column.
            let unit = mapped.unit.map_or(channel != Channel::Speed, fits);
            let absolute = channel != Channel::Pressure || !guess::is_relative(&mapped.column.bare);
            unit && absolute && !mapped.clock
        });
        let first = likely.next()?;
        likely.next().is_none().then(|| first.column.name.clone())
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
    let mut told = vec![None; columns.len()];
    for (name, unit) in &options.units {
        told[find(&columns, name)?] = Some(*unit);
    }
    guess_rest(&mut columns, &told);
    if options.purpose == Some(Purpose::Capture) {
        take_a_pressure_for_the_signal(&mut columns);
    }
    for mapped in &mut columns {
        settle_unit(mapped, &options.mapping);
    }
    for (mapped, unit) in columns.iter_mut().zip(told) {
        mapped.unit = unit.or(mapped.unit);
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

/// `told` are the units that were told, of which volts speak for a signal whatever the header says.
fn guess_rest(columns: &mut [Mapped], told: &[Option<Unit>]) {
    for at in 0..columns.len() {
        if columns[at].known != Known::Not {
            continue;
        }
        let column = &columns[at].column;
        let volts = told[at].filter(|unit| unit.dimension() == Dimension::Voltage);
        let by_volts = volts.and_then(|unit| guess(&column.bare, Some(unit)));
        let Some(guess) = by_volts.or_else(|| guess(&column.bare, column.unit)) else {
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

/// A capture without any other signal may be one of a pressure, scaled by whoever recorded it.
fn take_a_pressure_for_the_signal(columns: &mut [Mapped]) {
    let holds = |channel| columns.iter().any(|mapped| mapped.holds == Some(channel));
    let open = |mapped: &Mapped| mapped.holds.is_none() && mapped.known == Known::Not;
    if holds(Channel::Signal) || holds(Channel::Speed) || columns.iter().any(open) {
        return;
    }
    let guessed = columns.iter_mut().filter(|mapped| {
        let pressure = matches!(mapped.holds, Some(Channel::Manifold | Channel::Pressure));
        pressure && matches!(mapped.known, Known::Guessed(_))
    });
    let mut guessed: Vec<&mut Mapped> = guessed.collect();
    if let [only] = &mut guessed[..] {
        only.holds = Some(Channel::Signal);
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

/// Whether it is a signal that was recorded as the pressure that it stands for.
fn scaled(channel: Channel, unit: Unit) -> bool {
    channel == Channel::Signal && unit.dimension() == Dimension::Pressure
}

fn check_unit(mapped: &Mapped) -> Result<(), ImportError> {
    let (Some(channel), Some(unit)) = (mapped.holds, mapped.unit) else {
        return Ok(());
    };
    match channel.dimension() {
        Some(wanted) if wanted != unit.dimension() && !scaled(channel, unit) => {
            Err(ImportError::WrongUnit {
                column: mapped.column.name.clone(),
                channel: channel.word(),
                unit: unit.name(),
                is: unit.dimension(),
                wanted,
            })
        }
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
