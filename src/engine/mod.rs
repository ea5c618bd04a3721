//! The step engine: a job's events in, where it stands out.
//!
//! Pure: it reads no clock, no file and no random source. Whoever drives it stamps the events.

pub mod event;
