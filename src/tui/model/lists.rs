//! Numbered lists that lie over the screen: what is in them, and what each item does.

use super::columns::{self, AboutFile};
use super::{Model, Over};
use crate::engine::fitted::Fitted;
use crate::engine::practised::Practised;
use crate::flow::shelf::Shelved;
use crate::flow::target::Target;
use crate::report::edition::Edition;
use crate::rules::offer;
use crate::tui::keys;
use crate::tui::message::Act;
use crate::tui::update::flows::warning;

mod of_job;

pub use of_job::still_fitted;
use of_job::{answers, fitted, gear, hand_on, outcomes, skips, take_down};

/// The lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ListKind {
    /// Everything that can be done here.
    More,
    /// Flows to begin.
    Flows,
    /// Outcomes of the step.
    Outcomes,
    /// Where the walk can go on without the step.
    Skip,
    /// Answers that can be corrected.
    Answers,
    /// Units that a column of a file can be in.
    Units,
    /// How a file is written and what its columns hold.
    Columns,
    /// What stands between cells.
    Separators,
    /// What stands before decimals.
    Decimals,
    /// Mappings that were kept.
    Mappings,
    /// What a column can hold.
    Holds,
    /// Whether the engine was warm while a log was taken.
    Warm,
    /// Practice: what hands do.
    Hands,
    /// Practice: openings to close or open.
    Openings,
    /// Practice: places to look at.
    LookAt,
    /// Practice: how long to look.
    LookLong,
    /// Practice: places to cover.
    CoverAt,
    /// Practice: gauges to set.
    Gauges,
    /// Practice: flows to practise.
    Exercises,
    /// Practice: levels.
    Levels,
    /// Practice: whether it is to end.
    EndOrNot,
    /// Gear that is here, or not.
    Gear,
    /// What is to be taken down before the walk goes elsewhere.
    TakeDown,
    /// What set-ups left on the car, to be confirmed off before it is handed over.
    Fitted,
    /// The same, as the walk comes to the proof: before the engine runs and the car is driven.
    FittedBeforeProof,
    /// Flows to hand the car on to.
    HandOn,
    /// Pages to print.
    Paper,
}

impl ListKind {
    /// Whether it is about the file in the picker.
    pub fn is_of_a_file(self) -> bool {
        matches!(
            self,
            Self::Columns | Self::Separators | Self::Decimals | Self::Mappings | Self::Holds
        )
    }

    /// Its title.
    pub fn title(self) -> &'static str {
        match self {
            Self::More => "What can be done here",
            Self::Flows => "Begin another flow",
            Self::Outcomes => "Take another outcome",
            Self::Skip => "Skip the step: where does it go on?",
            Self::Answers => "Correct an answer",
            Self::Units => "In which unit is this column?",
            Self::Columns => "What do the columns of this file hold?",
            Self::Separators => "What stands between its cells?",
            Self::Decimals => "What stands before decimals?",
            Self::Mappings => "Which mapping?",
            Self::Holds => "What does this column hold?",
            Self::Warm => "Was the engine warm while this was logged?",
            Self::Hands => "Your hands",
            Self::Openings => "Close or open by hand",
            Self::LookAt => "Which place?",
            Self::LookLong => "For how long?",
            Self::CoverAt => "Cover a place",
            Self::Gauges => "Set which gauge to the range that fits?",
            Self::Exercises => "Practise which test?",
            Self::Levels => "At which level?",
            Self::EndOrNot => "End the exercise?",
            Self::Gear => "What gear is not here?",
            Self::TakeDown => "Take down first",
            Self::Fitted => "Before the car goes: look at each of these",
            Self::FittedBeforeProof => "Before it runs or drives: look at each of these",
            Self::HandOn => "Hand the car on: which flow goes on?",
            Self::Paper => "Which page?",
        }
    }

    /// What to know before picking.
    pub fn lead(self) -> &'static str {
        match self {
            Self::More | Self::Gauges | Self::Levels => "",
            Self::Flows => {
                "The flow walked now is closed as left. Its readings stay and carry over."
            }
            Self::Outcomes => {
                "The record keeps what the flow suggests, what you take instead, and why."
            }
            Self::Skip => "What comes next hangs on this step; without it you say where to go on.",
            Self::Answers => {
                "The old answer stays in the record; steps that rest on it are judged again."
            }
            Self::Units => "The file does not say it, and a wrong one spoils everything.",
            Self::Columns => "Pick what is not right. Esc goes back to what it would fill in.",
            Self::Separators | Self::Decimals => "Numbers are misread where this is wrong.",
            Self::Mappings => "It says what columns of these names hold, and in which units.",
            Self::Holds => "A quantity is in one column only; the last word counts.",
            Self::Warm => "The log has no coolant temperature. Trims count on a warm engine only.",
            Self::Hands => "What is forgotten here shows in the readings, and nowhere else.",
            Self::Openings => "Each that you pick changes sides. Esc when all is as the step says.",
            Self::LookAt => "What is faint comes and goes: how long you look is up to you.",
            Self::LookLong => "It adds up at one place. A draught hides smoke that is faint.",
            Self::CoverAt => "What is covered before stays covered.",
            Self::Exercises => "The car is not there; its readings are.",
            Self::EndOrNot => "What was not done counts as not done. Esc goes on.",
            Self::Gear => {
                "Steps that need it are not suggested any more, on any job, until you mark it again."
            }
            Self::TakeDown => "What stands in place is not wanted where you are going.",
            Self::Fitted | Self::FittedBeforeProof => {
                "Pick what you have seen on the car to be so. The record keeps who confirmed it. Esc: not yet."
            }
            Self::Paper => "It is saved as a file, to be opened in a browser and printed.",
            Self::HandOn => {
                "The cause is likely none of those that the flows of this job list. Readings carry over."
            }
        }
    }
}

/// An item of a numbered list.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is.
    pub label: String,
    /// More about it.
    pub detail: String,
    /// What picking and accepting it does.
    pub then: Then,
}

/// What an item does.
#[derive(Clone, Debug, PartialEq)]
pub enum Then {
    /// An act of the key table.
    Do(Act),
    /// Begins this flow.
    Begin(String),
    /// Takes this outcome, after a reason.
    Outcome(String),
    /// Skips the step, after a reason, and goes on there.
    Skip(Target),
    /// Corrects the reading that this event took.
    Correct(u64),
    /// Corrects what this event noted of a repair.
    CorrectRepair(u64),
    /// Corrects this fact about the vehicle.
    Fact(String),
    /// Corrects what the job was opened with.
    Opening,
    /// The pressure is let down.
    ClearLimit,
    /// The value above the limit was mistyped.
    Mistyped,
    /// The customer agrees.
    Approve,
    /// The customer declines.
    Decline,
    /// The repair is done.
    Repaired,
    /// Repeats the test from the start.
    Retest,
    /// Opens a job again that was handed over.
    Reopen,
    /// This column of the file is in this unit.
    Unit(String, String),
    /// The engine was warm, or not.
    Warm(bool),
    /// Something is told of the file in the picker.
    AboutFile(AboutFile),
    /// Goes on in the flow that this one leads to.
    Onward(String),
    /// Practice: this is done on the car.
    Hand(Practised),
    /// Lays another list over the screen.
    List(ListKind),
    /// Practice: this place is searched.
    LookAt(String),
    /// Practice: gas and pressure are asked for.
    Supply,
    /// Practice: this flow, at a level that is asked for next.
    Exercise(String),
    /// Practice: at this level.
    Level(u8),
    /// Practice: the same exercise once more.
    Again,
    /// Practice: says again what came with the car.
    CameWith,
    /// Practice: what is seen round the bay is said.
    Glance,
    /// Practice: it ends.
    EndExercise,
    /// Marks a piece of gear as not here, or as here again.
    Gear(String),
    /// It is taken down.
    TakenDown,
    /// This is off the car again.
    TakenOff(Fitted),
    /// Writes this page.
    Paper(Edition),
    /// Closes the list.
    Close,
    /// Hands the car on to this flow.
    HandOn(String),
}

impl Item {
    /// An item.
    pub fn new(label: impl Into<String>, detail: impl Into<String>, then: Then) -> Self {
        Self {
            label: label.into(),
            detail: detail.into(),
            then,
        }
    }
}

/// The items of a list.
pub fn items(model: &Model, kind: ListKind) -> Vec<Item> {
    match kind {
        ListKind::More => more(model),
        ListKind::Flows => flows(model),
        ListKind::Outcomes => outcomes(model),
        ListKind::Skip => skips(model),
        ListKind::Answers => answers(model),
        ListKind::Units => units(model),
        ListKind::Columns
        | ListKind::Separators
        | ListKind::Decimals
        | ListKind::Mappings
        | ListKind::Holds => columns::items(model, kind),
        ListKind::Hands
        | ListKind::Openings
        | ListKind::LookAt
        | ListKind::LookLong
        | ListKind::CoverAt
        | ListKind::Gauges
        | ListKind::Exercises
        | ListKind::Levels
        | ListKind::EndOrNot => super::practice::items(model, kind),
        ListKind::Gear => gear(model),
        ListKind::TakeDown => take_down(model),
        ListKind::Fitted => fitted(model, false),
        ListKind::FittedBeforeProof => fitted(model, true),
        ListKind::HandOn => hand_on(model),
        ListKind::Paper => paper(),
        ListKind::Warm => vec![
            Item::new("It was warm", "", Then::Warm(true)),
            Item::new(
                "It was not, or nobody knows",
                "nothing is filled in",
                Then::Warm(false),
            ),
        ],
    }
}

/// The pages, with whom each is for.
fn paper() -> Vec<Item> {
    let page = |label, detail, edition| Item::new(label, detail, Then::Paper(edition));
    vec![
        page(
            "For the customer",
            "a page or two in plain words",
            Edition::Customer,
        ),
        page(
            "For the workshop",
            "every reading, event, choice and reason",
            Edition::Workshop,
        ),
        page(
            "Work order for parts",
            "for whoever orders and fits them",
            Edition::Parts,
        ),
        page("Label", "62 by 100 mm, for the key", Edition::Label),
    ]
}

/// Units for the first column of the file in the picker whose unit is not known.
fn units(model: &Model) -> Vec<Item> {
    let Some(one) = columns::picker(model).and_then(columns::asked_unit) else {
        return Vec::new();
    };
    let item = |unit: &crate::units::Unit| {
        let then = Then::Unit(one.column.clone(), unit.name().to_owned());
        Item::new(unit.name(), "", then)
    };
    one.choices.iter().map(item).collect()
}

/// Acts that only move about, or that are on screen anyway, are left out of the list.
fn more(model: &Model) -> Vec<Item> {
    let context = model.context_below();
    let mut out: Vec<Item> = Vec::new();
    for row in keys::available_in(model, context) {
        let then = Then::Do(row.act);
        if !only_moves(row.act) && !out.iter().any(|item| item.then == then) {
            let own = model.keys.in_context(row, context);
            let key = own.first().copied().map(keys::name).unwrap_or_default();
            out.push(Item::new(
                format!("{} ({key})", row.words_in(model)),
                row.help_in(model),
                then,
            ));
        }
    }
    out
}

fn only_moves(act: Act) -> bool {
    act.moves() || matches!(act, Act::Accept | Act::Back | Act::More | Act::Redraw)
}

impl Model {
    /// Whether the list of everything that can be done here is open.
    pub fn shows_more(&self) -> bool {
        let more = ListKind::More;
        matches!(self.overs.last(), Some(Over::List { kind, .. }) if *kind == more)
    }

    /// Whether an act stands in that list.
    pub fn lists_in_more(&self, act: Act) -> bool {
        !only_moves(act) && more(self).iter().any(|item| item.then == Then::Do(act))
    }
}

/// Flows to begin: those that answer the complaint first, without the one that is walked.
pub(super) fn flows(model: &Model) -> Vec<Item> {
    let Some(open) = &model.open else {
        return Vec::new();
    };
    let walked = open
        .job
        .run()
        .filter(|run| run.verdict.is_none())
        .map(|run| run.flow.id.clone());
    offer::offers(&open.job, &model.shelf)
        .into_iter()
        .filter(|offer| Some(&offer.shelved.flow.id) != walked.as_ref())
        .map(|offer| {
            let flow = &offer.shelved.flow;
            let detail = format!("{}. {}", offer.because(), flow.summary);
            let detail = with_warning(offer.shelved, &detail);
            let title = model.shelf.title_of(flow);
            Item::new(title, detail, Then::Begin(flow.id.clone()))
        })
        .collect()
}

/// What is said of a flow, with what the checker has found in it before everything else.
pub(super) fn with_warning(shelved: &Shelved, said: &str) -> String {
    match warning(shelved) {
        Some(warning) => format!("{warning}\n{said}"),
        None => said.to_owned(),
    }
}
