//! The exercise that is open: what of the car that is not there can be seen and done from the screens.

use std::collections::BTreeMap;
use std::sync::Arc;

mod hands;

use hands::hands;

use super::lists::{Item, ListKind, Then};
use super::ways::changed_their_mind;
use super::{Model, Screen};
use crate::engine::event::Event;
use crate::engine::practised::Practised;
use crate::engine::standing::{RepairStage, Standing};
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{Cause, PromptKind};
use crate::practice::bay::{Believed, Taken, is_saved, is_yours};
use crate::practice::debrief::Debrief;
use crate::practice::exercise::LEVELS;
use crate::practice::plans::Exercised;
use crate::practice::search::Search;
use crate::practice::session::Session;
use crate::practice::start::came_with;
use crate::practice::traps::{is_fed, supply_unit};
use crate::tui::message::Act;
use crate::units::Unit;

/// How long one can look, in seconds, with the words for it.
const LONG: [(u32, &str); 5] = [
    (10, "10 seconds"),
    (20, "20 seconds"),
    (40, "40 seconds"),
    (60, "a minute"),
    (180, "three minutes"),
];

/// What can be seen of the car.
#[derive(Clone, Debug)]
pub struct AtBay {
    /// The car as the events have left it. It is kept, since to follow them all anew at every act takes ever longer.
    pub exercised: Arc<Exercised>,
    /// Minutes on the simulated clock.
    pub minutes: f64,
    /// The openings, as they are believed to be.
    pub openings: Vec<(String, Believed)>,
    /// The places that this step asks for, with the seconds of looking so far and what was seen.
    pub places: Vec<(String, u32, Option<Strength>)>,
    /// With what they are searched.
    pub search: Option<Search>,
    /// The places that can be covered, and whether each is.
    pub covers: Vec<(String, bool)>,
    /// The gauges: id and name.
    pub gauges: Vec<(String, String)>,
    /// The test has a supply that is set by hand.
    pub supply: bool,
    /// The unit in which its gauge reads.
    pub supply_unit: Unit,
    /// The supply is connected.
    pub fed: bool,
    /// There is a draught.
    pub draught: bool,
    /// The place that is searched, while the time is asked for.
    pub looking: String,
    /// The debrief, once it was asked for.
    pub debrief: Option<Box<Debrief>>,
    /// What came with the car: the complaint, and notes.
    pub came_with: String,
}

impl AtBay {
    /// From the events of a job.
    pub fn of(events: &[Event]) -> Option<Self> {
        Exercised::of(events).map(Self::seen)
    }

    /// After more events; `all` has them and those before.
    pub fn after(self, events: &[Event], all: &[Event]) -> Option<Self> {
        // Somebody else may look at the same car: then it is made anew.
        let Ok(mut exercised) = Arc::try_unwrap(self.exercised) else {
            return Self::of(all);
        };
        exercised.apply(events);
        Some(Self::seen(exercised))
    }

    /// The job and its car.
    pub fn session(&self) -> &Session<'_> {
        self.exercised.session()
    }

    fn seen(exercised: Exercised) -> Self {
        let session = exercised.session();
        let bay = &session.bay;
        let flow = bay.plan().flow;
        let openings = bay.openings().into_iter();
        let asked = bay.step().and_then(|step| bay.places(step));
        let places = asked.map_or(&[][..], |prompt| match &prompt.kind {
            PromptKind::Places(places) => places,
            _ => &[],
        });
        let seen = match asked.map(|prompt| bay.taken(prompt, &session.earlier())) {
            Some(Taken::Reads(Answer::Places(seen))) => seen,
            _ => BTreeMap::new(),
        };
        let covered = bay.covered();
        Self {
            minutes: bay.log.minutes(),
            openings: openings.map(|(name, is)| (name.to_owned(), is)).collect(),
            places: places
                .iter()
                .map(|place| (place.clone(), bay.looked(place), seen.get(place).copied()))
                .collect(),
            search: asked.map(|prompt| Search::of(prompt, bay.step())),
            covers: bay
                .to_cover()
                .into_iter()
                .map(|place| {
                    let covered = covered.iter().any(|other| other == place);
                    (place.to_owned(), covered || bay.tried().contains(place))
                })
                .collect(),
            gauges: flow
                .gauges
                .iter()
                .map(|gauge| (gauge.id.clone(), gauge.name.clone()))
                .collect(),
            supply: is_fed(flow),
            supply_unit: supply_unit(flow),
            fed: bay.fed().is_some(),
            draught: bay.draught(),
            looking: String::new(),
            debrief: None,
            came_with: came_with(&session.job),
            exercised: Arc::new(exercised),
        }
    }
}

impl Model {
    /// Whether there is a place to keep exercises.
    pub fn may_practise(&self) -> bool {
        self.can_practise
    }

    /// Whether the job that is open is an exercise, and goes on.
    pub fn is_exercise(&self) -> bool {
        self.is_exercised()
            && !self.is_held()
            && !matches!(self.standing(), Standing::HandedOver(_))
    }

    /// Whether the car of an exercise says what is asked for, or does it, where somebody takes it.
    pub fn can_be_taken(&self) -> bool {
        let bay = self.open.as_ref().and_then(|open| open.bay.as_ref());
        let (Some(bay), Some(asked)) = (bay, self.asked()) else {
            return false;
        };
        let plan = bay.session().bay.plan();
        !asked.fact && (!is_yours(plan, asked.prompt) || is_saved(plan, asked.prompt))
    }

    /// Whether the job that is open is an exercise.
    pub fn is_exercised(&self) -> bool {
        self.screen == Screen::Walk && self.open.as_ref().is_some_and(|open| open.bay.is_some())
    }

    /// Whether the part of this cause was not taken off and seen yet, in an exercise.
    pub(super) fn is_part_to_open(&self, cause: &Cause) -> bool {
        let bay = self.open.as_ref().and_then(|open| open.bay.as_ref());
        bay.is_some_and(|bay| !bay.session().bay.is_part_open(&cause.id))
    }

    /// The ways to go on in an exercise, where they are others than on a job.
    pub(super) fn ways_of_exercise(&self) -> Option<Vec<Item>> {
        self.open.as_ref()?.bay.as_ref()?;
        let end = Item::new(
            "End the exercise",
            "the debrief says what was hidden, and what your way came to",
            Then::EndExercise,
        );
        Some(match self.standing() {
            Standing::Ended
            | Standing::Repair {
                stage: RepairStage::Declined(_),
                ..
            } => vec![end],
            Standing::Repair {
                cause,
                stage: RepairStage::Work(_),
            } if self.is_part_to_open(cause) => vec![
                Item::new(
                    format!("Begin the repair: {}", cause.repair),
                    "the part is taken off and opened, and you see how it looks",
                    Then::Hand(Practised::part_opened(&cause.id)),
                ),
                changed_their_mind(),
            ],
            Standing::LedTo(_) => vec![Item {
                detail: "the exercise is this one test: what comes after it is another".to_owned(),
                ..end
            }],
            Standing::HandedOver(_) => vec![
                Item::new("Read the debrief", "", Then::Do(Act::Debrief)),
                Item::new(
                    "The same exercise once more",
                    "the same car, from the start",
                    Then::Again,
                ),
                Item::new("Back to the exercises", "", Then::Do(Act::Board)),
                Item::new("Read the record", "", Then::Do(Act::Record)),
            ],
            _ => return None,
        })
    }
}

/// The items of a list of practice.
pub fn items(model: &Model, kind: ListKind) -> Vec<Item> {
    match kind {
        ListKind::Exercises => return exercises(model),
        ListKind::Levels => {
            let levels = LEVELS.iter();
            return levels
                .map(|(level, words)| {
                    Item::new(format!("Level {level}"), *words, Then::Level(*level))
                })
                .collect();
        }
        ListKind::EndOrNot => {
            let detail = "the debrief says what was hidden, and what your way came to";
            return vec![Item::new("End it", detail, Then::EndExercise)];
        }
        _ => {}
    }
    let Some(bay) = model.open.as_ref().and_then(|open| open.bay.as_ref()) else {
        return Vec::new();
    };
    match kind {
        ListKind::Hands => hands(bay),
        ListKind::Openings => bay.openings.iter().map(opening).collect(),
        ListKind::LookAt => {
            let names = bay.places.iter().map(|(name, ..)| name.chars().count());
            let column = names.max().unwrap_or(0) + 2;
            let search = bay.search.unwrap_or(Search::Smoke);
            let rows = bay.places.iter();
            rows.map(|row| place(row, search, column)).collect()
        }
        ListKind::LookLong => LONG
            .iter()
            .map(|(seconds, words)| {
                let place = bay.looking.clone();
                let seconds = *seconds;
                Item::new(*words, "", Then::Hand(Practised::Looked { place, seconds }))
            })
            .collect(),
        ListKind::CoverAt => {
            // Covered on the running engine, and freed again.
            let tries = bay.session().bay.tries().is_some();
            bay.covers.iter().map(|row| cover(row, tries)).collect()
        }
        ListKind::Gauges => bay
            .gauges
            .iter()
            .map(|(gauge, name)| {
                let gauge = gauge.clone();
                Item::new(name.clone(), "", Then::Hand(Practised::RangeSet { gauge }))
            })
            .collect(),
        _ => Vec::new(),
    }
}

fn exercises(model: &Model) -> Vec<Item> {
    let mut all: Vec<Item> = model
        .shelf
        .iter()
        .map(|shelved| {
            let flow = &shelved.flow;
            Item::new(
                model.shelf.title_of(flow),
                flow.summary.clone(),
                Then::Exercise(flow.id.clone()),
            )
        })
        .collect();
    all.sort_by(|a, b| a.label.cmp(&b.label));
    all
}

fn opening((name, is): &(String, Believed)) -> Item {
    let opening = name.clone();
    let (mark, detail, done) = match is {
        Believed::Open => (
            "[ open   ]",
            "picking it closes it",
            Practised::Closed { opening },
        ),
        Believed::Closed => (
            "[ closed ]",
            "picking it opens it",
            Practised::Opened { opening },
        ),
        Believed::Said => (
            "[ closed?]",
            "so the colleague's note says; picking it closes it with your own hands",
            Practised::Closed { opening },
        ),
    };
    Item::new(format!("{mark} {name}"), detail, Then::Hand(done))
}

/// One place; what was seen there stands in a column of its own.
fn place(
    (name, seconds, seen): &(String, u32, Option<Strength>),
    search: Search,
    column: usize,
) -> Item {
    let looked = match (seen, seconds) {
        (_, 0) => String::new(),
        (Some(strength), _) => search.strength(*strength).to_owned(),
        (None, _) => format!("{} in {seconds} s", search.nothing()),
    };
    // What was seen stands in the same row, so that all places stay on a small screen.
    let label = format!("{name:<column$}{looked}");
    Item::new(label.trim_end(), "", Then::LookAt(name.clone()))
}

fn cover((place, covered): &(String, bool), tries: bool) -> Item {
    let detail = match (covered, tries) {
        (true, true) => "tried",
        (true, false) => "covered",
        (false, _) => "",
    };
    let place = place.clone();
    Item::new(
        place.clone(),
        detail,
        Then::Hand(Practised::Covered { place }),
    )
}
