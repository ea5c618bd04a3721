//! Tests of the screens, from typed keys to what is shown.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

mod answers;
pub mod bench;
mod board;
mod evidence;
mod files;
mod flows;
mod hold;
mod hold_by_other;
mod keys;
mod mouse;
mod off_again;
mod pictures;
mod plain;
mod practice;
mod questions;
mod repair;
mod settings;
mod steps;
mod walk;
mod who;
mod windows;
