//! The keys of what is walked: steps, their set-ups and outcomes, and the retest.

use super::{Holds, Table, always, free, sometimes};

/// A step.
pub static STEP: Table = Table {
    what: "a step",
    keys: &[
        always("id", Holds::Id, "The id, which a `go` names."),
        free(
            "title",
            Holds::Text,
            "The name on screen; the id in words where it is left out.",
        ),
        always("phase", Holds::Phase, "Which part of the test it is."),
        always(
            "do",
            Holds::Text,
            "What to do, as you would tell a colleague.",
        ),
        free("beware", Holds::Text, "What fools people here."),
        free(
            "cautions",
            Holds::Cautions,
            "Cautions that are read and accepted before this step.",
        ),
        free(
            "cautions only if",
            Holds::Condition,
            "On which cars those cautions are read, by facts about the vehicle; on all where it is left out.",
        ),
        free(
            "minutes",
            Holds::Number(0.0, 10_000.0),
            "Minutes of the step itself, without its set-up.",
        ),
        free(
            "timer",
            Holds::Quantity("60 s"),
            "A clock to start: how long to wait.",
        ),
        free(
            "timer by hand",
            Holds::Yes,
            "yes: the clock waits until it is started, since something is done here first.",
        ),
        free(
            "set-up",
            Holds::Keys(&SET_UP),
            "What is put in place here and stays for the steps after it.",
        ),
        free(
            "record",
            Holds::Words,
            "The readings that are taken here, by id, in order.",
        ),
        free(
            "show",
            Holds::Words,
            "The worked values that are shown here, by id.",
        ),
        free(
            "valid when",
            Holds::Condition,
            "When the readings count. Where it does not hold, no outcome is looked at.",
        ),
        free(
            "not valid",
            Holds::Keys(&WAY_OUT),
            "What to do where the readings do not count.",
        ),
        always(
            "outcomes",
            Holds::List(&OUTCOME),
            "The ways in which the step can end; the first that fits is taken.",
        ),
        free(
            "unsure",
            Holds::Keys(&WAY_OUT),
            "What to do where a value is too close to a limit, or something could not be told.",
        ),
        free(
            "gear",
            Holds::Words,
            "Gear that this step needs, out of the flow's list.",
        ),
        free(
            "put back",
            Holds::Words,
            "What else is to be put back before the car goes, each as it is then: core back in, cap on.",
        ),
        free(
            "skip to",
            Holds::Target,
            "Where skipping this step leads: a step that can be done without it, or {flow: another-flow}.",
        ),
    ],
};

/// A set-up.
pub static SET_UP: Table = Table {
    what: "a set-up",
    keys: &[
        free("seal", Holds::Words, "Openings that are closed off."),
        free("open", Holds::Words, "Openings that are opened again."),
        free(
            "supply",
            Holds::Text,
            "The supply that is connected, if any.",
        ),
        free(
            "minutes",
            Holds::Number(0.0, 10_000.0),
            "Minutes of setting up, counted once for all steps that share it.",
        ),
    ],
};

/// An outcome.
pub static OUTCOME: Table = Table {
    what: "an outcome",
    keys: &[
        free("id", Holds::Id, "The id, unique within the step."),
        always(
            "when",
            Holds::Condition,
            "When it applies: always, or checks by id, which hold together.",
        ),
        sometimes(
            "because",
            Holds::Text,
            "Why it leads where it does, for the technician to read. Only `when: always` does without.",
        ),
        always(
            "go",
            Holds::Target,
            "Where it leads: a step, done, {repair: a-cause} or {flow: another-flow}.",
        ),
        free(
            "rules out",
            Holds::Words,
            "Causes that it rules out, by id.",
        ),
        free(
            "rules out if",
            Holds::Conditions,
            "Causes that it rules out only where a condition holds, by id, each with its own: a cap that was not in the test is not ruled out by it.",
        ),
        free(
            "proved",
            Holds::Yes,
            "yes: the flow ends here with the complaint proved cured.",
        ),
    ],
};

/// `not valid` and `unsure`.
pub static WAY_OUT: Table = Table {
    what: "a way out",
    keys: &[
        always("because", Holds::Text, "Why, for the technician to read."),
        always(
            "go",
            Holds::Target,
            "Where it leads: a step, done, {repair: a-cause} or {flow: another-flow}.",
        ),
    ],
};

/// `retest`.
pub static RETEST: Table = Table {
    what: "the retest",
    keys: &[
        always("from", Holds::Id, "The step where it begins."),
        free(
            "first",
            Holds::Text,
            "What to do before, such as resetting the trims.",
        ),
    ],
};
