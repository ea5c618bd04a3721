//! What is wrong with a flow, where, and what to write instead.
//!
//! A [`Finding`] is data. How it looks on a terminal or in JSON is decided where it is shown.

use serde::Serialize;

use super::place::Place;

/// How bad a finding is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// The flow cannot be walked as written.
    Error,
    /// The flow can be walked, but a careful author would change this.
    Warning,
}

/// One thing that a flow's author should change.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// How bad it is.
    pub severity: Severity,
    /// A short fixed name for this kind of mistake.
    pub code: &'static str,
    /// Where it stands.
    pub place: Place,
    /// What is wrong.
    pub message: String,
    /// What to write instead.
    pub help: String,
}

impl Finding {
    /// An error: the flow cannot be walked.
    pub fn error(
        code: &'static str,
        place: Place,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            severity: Severity::Error,
            code,
            place,
            message: message.into(),
            help: help.into(),
        }
    }

    /// A warning: the flow can be walked.
    pub fn warning(
        code: &'static str,
        place: Place,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Self {
        Self {
            severity: Severity::Warning,
            ..Self::error(code, place, message, help)
        }
    }
}

/// The fixed names of the mistakes.
pub mod code {
    /// The file is larger than is read.
    pub const TOO_LARGE: &str = "too-large";
    /// The file is no text in UTF-8.
    pub const NO_TEXT: &str = "no-text";
    /// The text is not YAML.
    pub const NOT_YAML: &str = "not-yaml";
    /// A key that nothing knows.
    pub const UNKNOWN_KEY: &str = "unknown-key";
    /// A key that must be there is not.
    pub const MISSING_KEY: &str = "missing-key";
    /// A key with nothing after its colon.
    pub const NO_VALUE: &str = "no-value";
    /// A list where a word belongs, a word where a list belongs, and the like.
    pub const WRONG_SHAPE: &str = "wrong-shape";
    /// An identifier with letters that it may not have.
    pub const BAD_ID: &str = "bad-id";
    /// Two things with one identifier.
    pub const SAME_ID: &str = "same-id";
    /// A quantity, number or unit that cannot be read.
    pub const BAD_QUANTITY: &str = "bad-quantity";
    /// A pressure where a length belongs, and the like.
    pub const WRONG_DIMENSION: &str = "wrong-dimension";
    /// A step that does not exist.
    pub const UNKNOWN_STEP: &str = "unknown-step";
    /// A reading, worked value or vehicle fact that is not declared.
    pub const UNKNOWN_ID: &str = "unknown-id";
    /// A calculation that does not exist.
    pub const UNKNOWN_CALCULATION: &str = "unknown-calculation";
    /// An input that the calculation does not take, or lacks.
    pub const WRONG_INPUT: &str = "wrong-input";
    /// A word that is not among the choices.
    pub const UNKNOWN_WORD: &str = "unknown-word";
    /// A caution that is not in the list of cautions.
    pub const UNKNOWN_CAUTION: &str = "unknown-caution";
    /// A system that is nearly one with cautions of its own.
    pub const UNKNOWN_SYSTEM: &str = "unknown-system";
    /// A trouble code that no car gives.
    pub const NO_TROUBLE_CODE: &str = "no-trouble-code";
    /// A cause that is not declared.
    pub const UNKNOWN_CAUSE: &str = "unknown-cause";
    /// A worked value that no reading gives.
    pub const NEVER_WORKED: &str = "never-worked";
    /// Worked values that need each other.
    pub const CIRCULAR: &str = "circular";
    /// An outcome that does not say why.
    pub const NO_BECAUSE: &str = "no-because";
    /// Another flow that is not at hand.
    pub const UNKNOWN_FLOW: &str = "unknown-flow";
    /// Two files with one flow.
    pub const SAME_FLOW: &str = "same-flow";
    /// Words after a number sign, which nobody will see.
    pub const HIDDEN_WORDS: &str = "hidden-words";
    /// A step that nothing leads to.
    pub const UNREACHED: &str = "unreached";
    /// A step with no outcome.
    pub const DEAD_END: &str = "dead-end";
    /// Steps from which the walk never ends.
    pub const NO_WAY_OUT: &str = "no-way-out";
    /// Something is pressurised before its openings are closed.
    pub const NO_BLOCK_OFF: &str = "no-block-off";
    /// A pressure without a limit.
    pub const NO_LIMIT: &str = "no-limit";
    /// Work that can hurt, without its caution.
    pub const NO_CAUTION: &str = "no-caution";
    /// A step is judged by something that nothing reads.
    pub const NOT_READ: &str = "not-read";
    /// The retest leaves out the step that found the fault.
    pub const SHORT_RETEST: &str = "short-retest";
    /// Readings that no outcome fits.
    pub const GAP: &str = "gap";
    /// Readings that two outcomes fit.
    pub const OVERLAP: &str = "overlap";
    /// An outcome that is never taken.
    pub const NEVER_TAKEN: &str = "never-taken";
    /// A `valid when`, `only if` or `rules out if` that nothing can meet.
    pub const NEVER_HOLDS: &str = "never-holds";
    /// Too many combinations to look through.
    pub const TOO_MANY: &str = "too-many";
    /// Nothing is said for a number near its limit.
    pub const NO_UNSURE: &str = "no-unsure";
    /// A step that measures without saying when its readings are valid.
    pub const NO_VALID_WHEN: &str = "no-valid-when";
    /// Gear that the flow does not list.
    pub const UNKNOWN_GEAR: &str = "unknown-gear";
    /// Something that is declared and not used.
    pub const UNUSED: &str = "unused";
    /// A cause that nothing tells from another, or from a sound car.
    pub const TELLS_NOTHING: &str = "tells-nothing";
    /// A repair with no retest after it.
    pub const NO_RETEST: &str = "no-retest";
    /// An end that proves a repair, in a test before any repair.
    pub const PROVED_TOO_SOON: &str = "proved-too-soon";
    /// Repairs, and no end that proves one.
    pub const NEVER_PROVED: &str = "never-proved";
    /// A limit that cannot work, that everything meets, or that leaves no room for the step.
    pub const IDLE_LIMIT: &str = "idle-limit";
    /// A range in another order of magnitude than the unit in which bare numbers are taken.
    pub const FAR_UNIT: &str = "far-unit";
    /// A step says when its readings count, and not what to do otherwise.
    pub const NO_NOT_VALID: &str = "no-not-valid";
    /// An outcome that repairs a cause and rules it out.
    pub const REPAIRS_RULED_OUT: &str = "repairs-ruled-out";
    /// An error so large that every reading is too close to its limits to call.
    pub const WIDE_ERROR: &str = "wide-error";
    /// A size that no car shows, or a time that nobody waits.
    pub const FAR_OFF: &str = "far-off";
    /// An effect on a place, valve or sensor that the simulated car does not have.
    pub const NO_EFFECT: &str = "no-effect";
    /// A supply feeds in, and nothing that is read can stop it.
    pub const UNGUARDED_SUPPLY: &str = "unguarded-supply";
    /// A car that the flow itself describes, and that it leads round for ever.
    pub const GOES_ROUND: &str = "goes-round";
    /// An outcome that asks for what one cause shows and repairs another.
    pub const WRONG_REPAIR: &str = "wrong-repair";
    /// An outcome that rules out the cause whose sign it asks for.
    pub const RULES_OUT_SHOWN: &str = "rules-out-shown";
    /// Odds that add up to more than can be meant.
    pub const ODDS_TOO_HIGH: &str = "odds-too-high";
    /// A step hangs on something of which neither causes nor `healthy` say anything.
    pub const NOTHING_SAID: &str = "nothing-said";
}
