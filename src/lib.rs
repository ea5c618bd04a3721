//! ruleout walks a workshop technician from a complaint to a proven repair.
//!
//! The modules, in the order in which data flows through them:
//!
//! - [`units`]: quantities as the trade writes them ("14 inH2O"), parsed and printed; SI inside.
//! - [`physics`]: pure calculations over SI numbers, each with its source and its uncertainty.

pub mod flow;
pub mod physics;
pub mod units;
