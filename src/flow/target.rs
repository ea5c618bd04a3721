//! Where an outcome leads.

use serde::{Deserialize, Serialize};

/// Where an outcome leads.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Target {
    /// To a step of the same flow.
    Step(String),
    /// To the repair of a cause.
    Repair(String),
    /// To another flow, in the same job.
    Flow(String),
    /// The flow is done.
    Done,
}
