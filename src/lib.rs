//! ruleout walks a workshop technician from a complaint to a proven repair.
//!
//! The modules, in the order in which data flows through them; each knows only those above it:
//!
//! - [`units`]: quantities as the trade writes them ("14 inH2O"), parsed and printed; SI inside.
//! - [`physics`]: pure calculations over SI numbers, each with its source and its uncertainty.
//! - [`flow`]: test procedures in YAML: loaded with every mistake placed, judged by three-valued conditions.
//! - [`engine`]: a job's events folded into where it stands.
//! - [`plant`]: the simulated car, and what every reading of a flow shows on it.
//! - [`rules`]: what to do next, and why.
//! - [`trial`]: simulated cars led through a flow by both ways, and what comes of it.
//! - [`check`]: what is wrong with flow files, across them too.
//! - [`job`]: the record: events on the disk, search, job files.
//! - [`settings`]: the workshop's settings, in one commented file.
//! - [`import`]: readings from logs of scan data and captures of a scope.
//! - [`practice`]: exercises on a car that is not there, and what they taught.
//! - [`tui`]: the screens that a technician follows beside the car.
//! - [`report`]: the handover page, as Markdown and HTML.
//! - [`cli`]: the sub-commands, as text and as JSON.

pub mod check;
pub mod cli;
pub mod engine;
pub mod flow;
pub mod import;
pub mod job;
pub mod physics;
pub mod plant;
pub mod practice;
pub mod report;
pub mod rules;
pub mod settings;
pub mod trial;
pub mod tui;
pub mod units;
