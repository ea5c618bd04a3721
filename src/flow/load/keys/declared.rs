//! The keys of what a flow declares: itself, what it is for, what is read and worked, and what can be wrong.

use super::walked::{RETEST, STEP};
use super::{Holds, Table, always, free, sometimes};

/// A flow: the whole file.
pub static FLOW: Table = Table {
    what: "a flow",
    keys: &[
        always(
            "flow",
            Holds::Id,
            "The id of the flow. The file of an owner with the id of a shipped flow takes its place.",
        ),
        always(
            "title",
            Holds::Text,
            "What the technician sees in lists and at the top of the screen.",
        ),
        free(
            "revision",
            Holds::Number(1.0, 1_000_000.0),
            "Count it up when you change the flow. A job that runs keeps the text with which it began.",
        ),
        free(
            "summary",
            Holds::Text,
            "What the flow finds out, in a sentence or two.",
        ),
        free(
            "until settled",
            Holds::Text,
            "What the driver must know while the complaint is not settled. It stands first on the customer's page.",
        ),
        free(
            "for",
            Holds::Keys(&FOR),
            "When the flow is offered: trouble codes and symptoms.",
        ),
        free(
            "system",
            Holds::Text,
            "The system that is tested, such as charge air, cooling, crankcase, exhaust or fuel vapour: these want their caution. Other words are taken too.",
        ),
        free(
            "cautions",
            Holds::Cautions,
            "Cautions that are read and accepted before the first step.",
        ),
        free("gear", Holds::Words, "Gear to lay out beforehand."),
        free(
            "vehicle",
            Holds::ById(&READING),
            "Facts about the car, by id. They are asked once and known to every flow of the job.",
        ),
        free(
            "gauges",
            Holds::ById(&GAUGE),
            "Gauges and their errors, by id. They decide how near a limit is too near.",
        ),
        free(
            "readings",
            Holds::ById(&READING),
            "What is read, by id: the question and the kind of answer.",
        ),
        free(
            "worked",
            Holds::Worked,
            "What follows from readings and facts, by id: a calculation with its inputs.",
        ),
        free(
            "healthy",
            Holds::Shows,
            "What a sound car shows, reading by reading.",
        ),
        free(
            "causes",
            Holds::ById(&CAUSE),
            "What can be wrong, by id: odds, repair, and what readings show if it is so.",
        ),
        always(
            "steps",
            Holds::List(&STEP),
            "The steps, in the order in which they are usually walked. The flow begins with the first.",
        ),
        free(
            "retest",
            Holds::Keys(&RETEST),
            "Where the test begins again after a repair. A flow that leads to a repair needs it.",
        ),
    ],
};

/// `for`.
pub static FOR: Table = Table {
    what: "`for`",
    keys: &[
        free("codes", Holds::Words, "Trouble codes, such as P0171."),
        free(
            "symptoms",
            Holds::Words,
            "Symptoms, in the words in which a customer or technician puts them.",
        ),
    ],
};

/// A reading or a fact about the vehicle.
pub static READING: Table = Table {
    what: "a reading or fact",
    keys: &[
        always("ask", Holds::Text, "The question."),
        free(
            "help",
            Holds::Text,
            "More words on how to read it, shown when asked for.",
        ),
        free(
            "unit",
            Holds::Unit,
            "For a value: the unit in which a bare number is taken. Others of its kind may be typed.",
        ),
        free(
            "choices",
            Holds::Words,
            "For one of several words: these words.",
        ),
        free(
            "places",
            Holds::Words,
            "For where something shows: the places. Several may be noted, another may be added, or nowhere.",
        ),
        free(
            "pairs",
            Holds::Columns,
            "For a sweep: two columns with their units, such as {pressure: kPa, signal: V}.",
        ),
        free("words", Holds::Yes, "For free words: yes."),
        free(
            "plausible",
            Holds::Range("0.5..7 kPa"),
            "The range that makes sense. What lies outside is asked again.",
        ),
        free(
            "never above",
            Holds::Quantity("7 kPa"),
            "A value, or a vehicle fact by its id. Above it the step stops and the caution is shown.",
        ),
        free(
            "gauge",
            Holds::Id,
            "The gauge that it is read on, out of `gauges`; for pairs, that of the column that it fits.",
        ),
        free(
            "error",
            Holds::Quantity("5 % at least 0.1 L/min"),
            "The error of this one reading, at 95 %.",
        ),
        free(
            "only if",
            Holds::Condition,
            "It is asked only where this holds; facts and earlier readings may be named.",
        ),
        free("optional", Holds::Yes, "yes: it may be left out."),
        free("log", Holds::Log, "What a log of scan data fills it with."),
        free(
            "is",
            Holds::Meaning,
            "What it is on the car, such as smoke flow: simulated cars show it by physics then.",
        ),
        free(
            "at least",
            Holds::Number(1.0, 100.0),
            "For pairs: how many there must be.",
        ),
        free(
            "errors",
            Holds::Words,
            "For pairs: the 95 % errors of the two columns, as a list.",
        ),
        free("name", Holds::Text, "A name beside the question."),
    ],
};

/// A gauge.
pub static GAUGE: Table = Table {
    what: "a gauge",
    keys: &[
        free(
            "name",
            Holds::Text,
            "Its name; the id in words where it is left out.",
        ),
        free(
            "accuracy",
            Holds::Quantity("2 %"),
            "The error that all readings on it share, at 95 %: it cancels in a ratio or a difference of two of them.",
        ),
        free(
            "resolution",
            Holds::Quantity("1 kPa"),
            "The smallest step that can be told apart.",
        ),
    ],
};

/// A worked value, beside its calculation.
pub static WORKED: Table = Table {
    what: "a worked value",
    keys: &[
        free(
            "name",
            Holds::Text,
            "Its name on screen; the id in words where it is left out.",
        ),
        free(
            "take",
            Holds::Text,
            "Which result of the calculation; the first where it is left out. `ruleout calc NAME --help` lists them.",
        ),
        free("unit", Holds::Unit, "The unit that it is shown in."),
    ],
};

/// A cause.
pub static CAUSE: Table = Table {
    what: "a cause",
    keys: &[
        free(
            "name",
            Holds::Text,
            "What is wrong, in words; the id in words where it is left out.",
        ),
        always(
            "odds",
            Holds::Odds,
            "How likely it is after the complaint, before any test.",
        ),
        sometimes(
            "repair",
            Holds::Text,
            "What the repair is. Only `not-listed` does without.",
        ),
        free(
            "parts",
            Holds::Listed,
            "The parts that it takes, such as [hose, clamp] or [valve, or its diaphragm]: each stands on a line of its own \
             on the order.",
        ),
        free(
            "minutes",
            Holds::Number(0.0, 10_000.0),
            "Minutes of the repair.",
        ),
        free(
            "until repaired",
            Holds::Text,
            "What the driver must know while it is not repaired, or declined. It stands first on the customer's page.",
        ),
        free(
            "shows",
            Holds::Shows,
            "What readings and worked values show if it is the cause.",
        ),
        free(
            "effect",
            Holds::Effect,
            "What is wrong physically, such as {hole: 1..6 mm at intake}: behind `at` stands the system of the flow, or intake.",
        ),
        free(
            "hand-on",
            Holds::Quantity("60 min"),
            "For `not-listed`: what it costs to hand the car on.",
        ),
    ],
};
