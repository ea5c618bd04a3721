//! Readings from files: logs of scan data and captures of a scope, as rows of text.
//!
//! Owns everything between a file's bytes and readings of a flow: how the file is written
//! ([`dialect`]), what its columns hold ([`look`], [`mapping`]), where the engine runs steadily
//! ([`steady`]), which readings that fills ([`fill`]) and which of them a job can take ([`put`]).
//! It takes a reader of bytes and opens no file itself, but for saved mappings ([`saved`]). It
//! knows no screen and asks nobody: where something must be asked, it returns
//! [`ImportError::Unasked`] and is called again.

pub mod capture;
pub mod channel;
pub mod dialect;
pub mod encoding;
pub mod fill;
pub mod flaws;
pub mod header;
pub mod log;
pub mod look;
pub mod mapping;
pub mod moments;
pub mod put;
pub mod saved;
pub mod steady;
pub mod trace;

mod clock;
mod eight;
mod ends;
mod error;
mod guess;
mod hashing;
mod helper;
mod loop_words;
mod number;
mod plain;
mod rows;
mod slot;
mod sniff;
mod source;
mod split;

use std::io::Read;

pub use capture::{Capture, read_capture};
pub use channel::Channel;
pub use error::{ImportError, Unasked};
pub use flaws::Flaws;
pub use log::{Log, read_log};
pub use look::{Look, Options, Purpose};

use source::Source;

/// The part of a file that its dialect is found from, in bytes.
const HEAD: usize = 1 << 16;

/// What a file turned out to be.
#[derive(Clone, Debug)]
pub enum Import {
    /// Scan data.
    Log(Log),
    /// A trace of a signal.
    Capture(Capture),
}

/// Looks at a file without reading it to its end: its dialect, its columns and what they hold.
///
/// # Errors
/// [`ImportError`] if it is no table or an option names what is not there.
pub fn look_at(reader: impl Read, options: &Options) -> Result<Look, ImportError> {
    open(reader, options).map(|(_, look)| look)
}

/// Reads a file as what it seems to be.
///
/// # Errors
/// As [`read_log`] and [`read_capture`].
pub fn read(reader: impl Read, options: &Options) -> Result<Import, ImportError> {
    let (source, look) = open(reader, options)?;
    match look.purpose_or(options.purpose) {
        Purpose::Log => log::log_from(source, look).map(Import::Log),
        Purpose::Capture => capture::capture_from(source, look).map(Import::Capture),
    }
}

/// A source that stands at the first row of values, and what its beginning says.
fn open<R: Read>(reader: R, options: &Options) -> Result<(Source<R>, Look), ImportError> {
    let mut source = Source::open(reader)?;
    let there = source.rest();
    let whole = source.ended() && there.len() <= HEAD;
    let head = &there[..there.len().min(HEAD)];
    let sniffed = sniff::sniff(head, whole, options.separator, options.decimal)?;
    source.take(sniffed.start);
    let mut look = look::map(&sniffed, options)?;
    look.dialect.encoding = source.encoding();
    Ok((source, look))
}

/// A quantity is in no column: what it could be in, or what would do in its place.
fn missing(look: &Look, purpose: Purpose, channel: Channel) -> ImportError {
    // A file without engine speed may be a capture whose signal is not known as one.
    let or = (channel == Channel::Speed).then_some(Channel::Signal);
    let or = or.or_else(|| (channel == Channel::Pressure).then_some(Channel::Time));
    let likely = |channel: Channel| {
        let purpose = if channel == Channel::Signal {
            Purpose::Capture
        } else {
            purpose
        };
        (channel, look.likely(channel, purpose))
    };
    ImportError::Missing {
        channel: likely(channel),
        or: or.map(likely),
        columns: look.names(),
    }
}

/// Whether what a purpose needs is there, with its units.
fn require(look: &Look, purpose: Purpose, needed: &[Channel]) -> Result<(), ImportError> {
    if let Some(channel) = needed
        .iter()
        .find(|channel| look.column(**channel).is_none())
    {
        return Err(missing(look, purpose, *channel));
    }
    let unasked = look.unasked(purpose);
    if unasked.is_empty() {
        Ok(())
    } else {
        Err(ImportError::Unasked(unasked))
    }
}
