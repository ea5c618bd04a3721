//! The record must outlive everything: a closed window, a killed program, a second window, a trip
//! through a file.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod record;
