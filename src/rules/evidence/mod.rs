//! Reasoning over causes: which are likely, and which test is worth its minutes.
//!
//! From flows to numbers: [`joined`] makes one list of causes and of findings, [`finding`] says what
//! a reading shows with which causes, [`steps`] which step reads what and what must come before it,
//! [`told`] what was read and repaired ([`of_job`] takes it from a job). [`likelihood`] is where the
//! likelihoods come from: the flow's words (`side` where they go either way), or simulated [`cars`],
//! which [`simulated`] draws, and [`more`] of where few are left; what a repair leaves of them is in
//! `mended`. [`parts`] is what of a set is big enough for the complaint. [`inquiry`] is the whole,
//! [`reasons`] says why, [`guards`] where it is not minutes alone that decide, and [`wary`] what to be
//! wary of.
//!
//! Numbers alone: a hypothesis is a set of causes that are present together ([`sets`]); what a test
//! shows under each is a table ([`table`]); what was read turns prior into posterior ([`belief`]);
//! the next step is the one with the least expected minutes to a proven repair ([`next`], [`cost`]);
//! and every reading's share in the result can be told ([`why`]). [`learned`] counts what closed
//! jobs proved, [`rows`] what their first readings showed.

mod again;
pub mod belief;
pub mod cars;
pub mod case;
mod columns;
pub mod cost;
pub mod finding;
mod group;
pub mod guards;
mod half;
mod hidden;
pub mod inquiry;
pub mod joined;
mod joint;
mod kept;
mod kinds;
pub mod learned;
pub mod likelihood;
mod look;
mod mended;
mod mending;
pub mod more;
pub mod next;
pub mod of_job;
mod outcomes;
mod outlook;
pub mod parts;
pub mod reasons;
pub mod rows;
mod said;
pub mod sets;
mod share;
mod side;
mod sighting;
pub mod simulated;
pub mod steps;
pub mod suspected;
pub mod table;
pub mod told;
mod valid;
pub mod wary;
mod weights;
pub mod why;
