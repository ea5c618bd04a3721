//! Tests of the screens, from typed keys to what is shown.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

mod bench;
mod stories;
