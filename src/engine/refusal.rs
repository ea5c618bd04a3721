//! Why something that the technician wants cannot be done now, and what to do first.

/// Why an action cannot be done.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum Refusal {
    /// Something else comes first.
    #[error("{0}")]
    NotNow(String),
    /// The answer is not of the kind that is asked for.
    #[error("{0}")]
    WrongAnswer(String),
    /// Outside the plausible range; the same answer again confirms it.
    #[error("{0}")]
    Implausible(String),
    /// The rules suggest something else, so a reason is needed.
    #[error("{0}")]
    NeedsReason(String),
}
