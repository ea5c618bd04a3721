//! A flow as it is once loaded: every id resolved, every unit checked.
//!
//! Plain data. The loader makes it, the engine walks it, the report quotes it.
//! [`asked`] is what it asks, [`work`] what it works out, [`step`] how it goes.

mod asked;
mod step;
mod work;

pub use asked::{Gauge, Limit, PairsPrompt, Prompt, PromptKind, QuantityPrompt, Range, Tolerance};
pub use step::{Detour, Outcome, Phase, Retest, RulesOutIf, SetUp, Step};
pub use work::{Arg, Work, Written};

use super::condition::ANOTHER_PLACE;
use super::node::Place;
use super::signature::{Effect, Shown, Shows};

/// A test procedure, written by a senior technician or the workshop's owner.
#[derive(Clone, Debug)]
pub struct Flow {
    /// Its id, such as `intake-leak`.
    pub id: String,
    /// Its name on screen.
    pub title: String,
    /// Counted up by its author at every change.
    pub revision: u32,
    /// What it finds out, in a sentence or two.
    pub summary: String,
    /// What the driver must know while the complaint is not settled; empty where it is nothing.
    pub until_settled: String,
    /// Trouble codes and symptoms that it answers.
    pub answers: Answers,
    /// The system that it tests, in the trade's words.
    pub system: String,
    /// Cautions to accept before the first step.
    pub cautions: Vec<String>,
    /// Gear to have at hand.
    pub gear: Vec<String>,
    /// Facts about the vehicle that it needs, asked first where they are not known.
    pub facts: Vec<Prompt>,
    /// Gauges and their errors.
    pub gauges: Vec<Gauge>,
    /// Readings that its steps record.
    pub readings: Vec<Prompt>,
    /// Values worked out from readings and facts, in an order in which each needs only those before.
    pub worked: Vec<Work>,
    /// What readings show on a sound car.
    pub healthy: Vec<Shows>,
    /// Causes that it can find.
    pub causes: Vec<Cause>,
    /// Its steps, in the order of the file. The first is where it begins.
    pub steps: Vec<Step>,
    /// Where the retest begins, after a repair.
    pub retest: Option<Retest>,
}

/// What a flow answers.
#[derive(Clone, Debug, Default)]
pub struct Answers {
    /// Trouble codes, in capitals.
    pub codes: Vec<String>,
    /// Symptoms, in words.
    pub symptoms: Vec<String>,
}

/// Something that can be wrong with the car.
#[derive(Clone, Debug)]
pub struct Cause {
    /// Its id, shared between flows that mean the same part.
    pub id: String,
    /// Its name.
    pub name: String,
    /// How probable it is, given the complaint.
    pub odds: f64,
    /// What the repair is.
    pub repair: String,
    /// The parts of the repair in words, each to be ordered by itself; empty where it is one part, or the author does not
    /// say them apart.
    pub parts: Vec<String>,
    /// Minutes of the repair; of handing the car on, for the cause that is not listed.
    pub minutes: f64,
    /// What the driver must know while it is not repaired; empty where it is nothing.
    pub until_repaired: String,
    /// What readings show if it is the cause.
    pub shows: Vec<Shows>,
    /// What is wrong physically.
    pub effects: Vec<Effect>,
    /// Where each of them is written, in the same order.
    pub effects_at: Vec<Place>,
    /// Where it is declared.
    pub place: Place,
}

impl Cause {
    /// How likely it shows this word or place of a reading; zero where nothing is said of it.
    pub fn shows_word(&self, reading: &str, word: &str) -> f64 {
        let odds = self.shows.iter().filter(|shows| shows.id == reading);
        let odds = odds.filter_map(|shows| match &shows.what {
            Shown::Words(words) => words.iter().find(|(known, _)| known == word),
            Shown::Range(..) | Shown::EitherWay(..) => None,
        });
        odds.map(|(_, odds)| *odds).sum()
    }
}

impl Flow {
    /// The step with this id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|step| step.id == id)
    }
    /// The reading with this id.
    pub fn reading(&self, id: &str) -> Option<&Prompt> {
        self.readings.iter().find(|reading| reading.id == id)
    }
    /// The vehicle fact with this id.
    pub fn fact(&self, id: &str) -> Option<&Prompt> {
        self.facts.iter().find(|fact| fact.id == id)
    }
    /// The reading or vehicle fact with this id.
    pub fn prompt(&self, id: &str) -> Option<&Prompt> {
        self.reading(id).or_else(|| self.fact(id))
    }
    /// The worked value with this id.
    pub fn work(&self, id: &str) -> Option<&Work> {
        self.worked.iter().find(|work| work.id == id)
    }
    /// Whether a worked value is a share of the complaint.
    pub fn is_share(&self, id: &str) -> bool {
        self.work(id)
            .is_some_and(|work| work.calculation.name == "share" && work.take == 0)
    }
    /// The cause with this id.
    pub fn cause(&self, id: &str) -> Option<&Cause> {
        self.causes.iter().find(|cause| cause.id == id)
    }
    /// The cause for which a place speaks, where something shows there: the only one that is likelier to show there
    /// than not. `listed` are the reading's places; any other counts as another place.
    pub fn cause_at(&self, reading: &str, place: &str, listed: &[String]) -> Option<&Cause> {
        let known = listed.iter().any(|own| own == place);
        let place = if known { place } else { ANOTHER_PLACE };
        let mut likely = self
            .causes
            .iter()
            .filter(|cause| cause.shows_word(reading, place) > 0.5);
        likely.next().filter(|_| likely.next().is_none())
    }
    /// The gauge with this id.
    pub fn gauge(&self, id: &str) -> Option<&Gauge> {
        self.gauges.iter().find(|gauge| gauge.id == id)
    }
}
