//! What came of an exercise: what was hidden and what was found, what it cost beside the ways that the program would
//! have gone, which reading should have changed the apprentice's mind, and the marks.

mod beside;
mod led;
mod proof;
mod score;
mod swayed;
mod text;
mod written;

use serde::Serialize;

use super::bay::{Believed, Faint};
use super::harm::Harm;
use super::session::Session;
use super::traps::{Heat, burns};
use crate::engine::job::Station;
use crate::engine::practised::{Exercise, Mark, Marks};
use crate::plant::car::Present;
use crate::plant::fault::Fault;
use crate::rules::evidence::simulated::Simulated;
use crate::settings::Rate;

use beside::Kind;
pub use beside::{Beside, Cost, Row, beside};
pub use score::{Lost, Part, rule};
pub use swayed::{Swayed, Turn};

/// A debrief.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Debrief {
    /// The exercise.
    pub exercise: Exercise,
    /// The flow's title.
    pub title: String,
    /// What was hidden.
    pub hidden: Vec<Hidden>,
    /// Harmless places that show all the same.
    pub decoys: Vec<String>,
    /// The same in words: when it shows, if at all.
    pub harmless: Vec<String>,
    /// What else was not as it should be.
    pub traps: Vec<String>,
    /// What was still on the car, or open on it, as the exercise ended.
    pub left_behind: Vec<String>,
    /// The customer declined the last repair and drives the car off as it is.
    pub driven_off: bool,
    /// What would come of that on the road, where the flow had called the car proved or it is driven off; empty where
    /// nothing would.
    pub would_have: String,
    /// Parts that were repaired, or opened, for nothing.
    pub needless: Vec<Needless>,
    /// Minutes of the repairs that were needed.
    pub needed_minutes: f64,
    /// Minutes on the simulated clock.
    pub minutes: f64,
    /// Minutes that are no slower than the program's own ways.
    pub par: f64,
    /// The ways side by side.
    pub beside: Beside,
    /// What an hour costs in the workshop, where its settings say so.
    pub rate: Option<Rate>,
    /// How the evidence-led way ends; empty where it was not asked for.
    pub led: String,
    /// Readings that should have changed the apprentice's mind, or did.
    pub swayed: Vec<Swayed>,
    /// How many simulated cars their odds rest on, as on the screens; 0: on the flow's words alone.
    pub cars: usize,
    /// Something unsafe that stopped the exercise.
    pub harm: Option<Harmed>,
    /// The test was begun again from the start after the last repair.
    pub retested: bool,
    /// The flow's own outcome proved the complaint cured, on a car as it goes out.
    pub proved: bool,
    /// Why a proof to which the flow came is none, in words: what was on the car as it was made, or as the car was handed
    /// over. Empty where it stands, and where there is none.
    pub proof_void: Vec<String>,
    /// Readings that were taken though something was wrong, in words.
    pub slips: Vec<String>,
    /// What was read and written down otherwise than the car showed it, in words.
    pub misread: Vec<String>,
    /// What was written down without being read, or looked at, or so, in words.
    pub made_up: Vec<String>,
    /// The parts of the score by the rules of today.
    pub parts: Vec<Part>,
    /// The marks in the record, where the rules were others when it was ended: these count.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub recorded: Option<Marks>,
}

/// A cause that was hidden.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Hidden {
    /// Its id.
    pub id: String,
    /// Its name.
    pub name: String,
    /// How large it was, where that can be said.
    pub size: String,
    /// The way that stands leads to it: its repair was asked for, or it was repaired.
    pub found: bool,
    /// It was repaired.
    pub repaired: bool,
}

/// A repair for nothing.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Needless {
    /// The cause that was treated.
    pub id: String,
    /// Its name.
    pub name: String,
    /// Minutes that it cost.
    pub minutes: f64,
    /// It was opened, found sound and put back.
    pub only_opened: bool,
    /// It was bad, but too small to explain the complaint.
    pub small: bool,
}

/// Something unsafe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct Harmed {
    /// What was done.
    pub done: String,
    /// What would have happened.
    pub would_have: String,
    /// The caution's title.
    pub caution: String,
    /// Where the caution comes from.
    pub source: String,
}

impl Debrief {
    /// The debrief of a session as it stands; its odds rest on these simulated cars, where there are any that know
    /// the flow.
    pub fn of(session: &Session, cars: Option<&Simulated>) -> Self {
        let cars = cars.filter(|cars| cars.knows_any());
        let mut debrief = Self::without_evidence(session);
        debrief.swayed = swayed::swayed(session, cars);
        debrief.cars = cars.map_or(0, Simulated::total);
        debrief
    }

    /// The debrief without what the readings said: all that the marks need.
    pub fn without_evidence(session: &Session) -> Self {
        let bay = &session.bay;
        let (plan, drawn, log) = (bay.plan(), bay.drawn(), &bay.log);
        let flow = plan.flow;
        let name = |id: &str| name(session, id);
        let own = drawn.way(plan);
        let par = own.minutes();
        let needed = |id: &str| log.repairs.iter().any(|r| r.needed && r.cause == id);
        let hidden: Vec<Hidden> = drawn
            .hidden
            .iter()
            .map(|id| Hidden {
                id: id.clone(),
                name: name(id),
                size: size(drawn.car.causes.iter().find(|p| p.cause == *id)),
                found: needed(id) || came_to(session, id),
                repaired: needed(id),
            })
            .collect();
        let minutes_of = |id: &str| flow.cause(id).map_or(0.0, |cause| cause.minutes);
        let needless = log.repairs.iter().filter(|r| !r.needed).map(|r| Needless {
            id: r.cause.clone(),
            name: name(&r.cause),
            minutes: minutes_of(&r.cause),
            only_opened: false,
            small: drawn.decoys.contains(&r.cause),
        });
        let needless = needless.chain(log.opened_for_nothing().map(|part| Needless {
            id: part.cause.clone(),
            name: name(&part.cause),
            minutes: part.minutes,
            only_opened: true,
            small: drawn.decoys.contains(&part.cause),
        }));
        let proof = proof::of(session);
        let last = log.repairs.last();
        let mut debrief = Self {
            exercise: session.exercise.clone(),
            title: flow.title.clone(),
            decoys: drawn.decoys.iter().map(|id| name(id)).collect(),
            harmless: drawn
                .decoys
                .iter()
                .map(|id| format!("{}: {}", name(id), harmless(bay.shows_harmless(id))))
                .collect(),
            traps: traps(session),
            left_behind: bay.left_behind(),
            driven_off: proof::is_driven_off(session),
            would_have: proof::would_have(session).unwrap_or_default().to_owned(),
            needless: needless.collect(),
            needed_minutes: log
                .repairs
                .iter()
                .filter(|r| r.needed)
                .map(|r| minutes_of(&r.cause))
                // A sum over nothing is minus nothing.
                .sum::<f64>()
                + 0.0,
            minutes: log.minutes(),
            par,
            beside: beside(
                &[("you", &log.spent), ("by flow", &own.spent)],
                &kinds(session),
            ),
            rate: None,
            led: String::new(),
            swayed: Vec::new(),
            cars: 0,
            harm: log.harm.as_ref().map(harmed),
            retested: last.is_some_and(|last| log.read_in.iter().any(|test| *test > last.test)),
            proved: proof.as_ref().is_some_and(Vec::is_empty),
            proof_void: proof.unwrap_or_default(),
            slips: slips(session),
            misread: written::misread(session),
            made_up: written::made_up(session),
            hidden,
            parts: Vec::new(),
            recorded: None,
        };
        debrief.parts = score::parts(&debrief, log, flow);
        let today = debrief.marks();
        let recorded = session.marked.as_ref();
        debrief.recorded = recorded.filter(|then| then.parts != today.parts).cloned();
        debrief
    }

    /// With the cost of its minutes, where the workshop says what an hour costs.
    #[must_use]
    pub fn at(self, rate: Option<Rate>) -> Self {
        Self { rate, ..self }
    }

    /// The marks by the rules of today, as they are kept.
    pub fn marks(&self) -> Marks {
        let tenth = |minutes: f64| (minutes * 10.0).round() / 10.0;
        Marks {
            parts: self
                .parts
                .iter()
                .map(|part| Mark {
                    part: part.name.to_owned(),
                    got: part.got,
                    of: part.of,
                })
                .collect(),
            minutes: tenth(self.minutes),
            par: tenth(self.par),
        }
    }

    /// The marks that count: those in the record, or by the rules of today.
    pub fn counts(&self) -> Marks {
        self.recorded.clone().unwrap_or_else(|| self.marks())
    }

    /// Reached in all.
    pub fn got(&self) -> u32 {
        self.counts().got()
    }

    /// Of so many in all.
    pub fn of_all(&self) -> u32 {
        self.counts().of()
    }

    /// A part by the rules of today, where it was marked the same when the exercise was ended: what it was lost for is
    /// told only then.
    pub(super) fn as_marked(&self, name: &str) -> Option<&Part> {
        let part = self.parts.iter().find(|part| part.name == name)?;
        let then = self.recorded.as_ref();
        let same = |mark: &Mark| mark.part == name && (mark.got, mark.of) == (part.got, part.of);
        then.is_none_or(|then| then.parts.iter().any(same))
            .then_some(part)
    }
}

/// What a station of this exercise is, by its id.
fn kinds<'s>(session: &'s Session) -> impl Fn(&str) -> Kind + 's {
    let flow = session.bay.plan().flow;
    let hidden = &session.bay.drawn().hidden;
    move |id| {
        if flow.step(id).is_some() || flow.cause(id).is_none() {
            Kind::Test
        } else if hidden.iter().any(|hidden| hidden == id) {
            Kind::Needed
        } else {
            Kind::NotNeeded
        }
    }
}

/// Whether the way that stands has come to the repair of a cause: what was gone back from is no part of it.
pub(super) fn came_to(session: &Session, cause: &str) -> bool {
    let mut runs = session.job.runs.iter();
    runs.any(|run| {
        let mut way = run.path.iter().take(run.at + 1);
        way.any(|visit| matches!(&visit.station, Station::Repair(to) if to == cause))
    })
}

/// A cause's name.
fn name(session: &Session, id: &str) -> String {
    let cause = session.bay.plan().flow.cause(id);
    cause.map_or_else(|| id.to_owned(), |cause| cause.name.clone())
}

fn harmed(harm: &Harm) -> Harmed {
    let caution = harm.caution();
    Harmed {
        done: harm.done().to_owned(),
        would_have: harm.would_have().to_owned(),
        caution: caution.map_or_else(String::new, |c| c.title.to_owned()),
        source: caution.map_or_else(String::new, |c| c.source.to_owned()),
    }
}

/// That a bad part is harmless, and when it shows.
fn harmless(shows: Faint) -> &'static str {
    match shows {
        Faint::Beside => {
            "far too small to matter; it shows faintly at the usual pressure, with all else closed"
        }
        Faint::Alone => {
            "far too small to matter; it shows faintly at the usual pressure, but not before what leaks more is mended"
        }
        Faint::Never => "far too small to matter; it lies where a search does not find it",
    }
}

/// How large a cause is, in words.
fn size(present: Option<&Present>) -> String {
    let hole = |diameter: f64| format!("as wide as a hole of {:.2} mm", diameter * 1000.0);
    let faults = present.map_or(&[][..], |present| &present.faults);
    let words = faults.iter().find_map(|fault| match fault {
        Fault::Hole { diameter, .. } => Some(hole(*diameter)),
        Fault::Valve { rest, .. } if *rest > 0.0 => Some(hole(*rest)),
        _ => None,
    });
    words.unwrap_or_default()
}

fn traps(session: &Session) -> Vec<String> {
    let (bay, plan) = (&session.bay, session.bay.plan());
    let traps = &bay.drawn().traps;
    let mut words = Vec::new();
    let mut say = |what: String, mended: bool, how: &str| {
        words.push(if mended {
            format!("{what} You {how}.")
        } else {
            what
        });
    };
    match traps.heat {
        Heat::Hot => say(
            "The car came straight from the road: what you close was hot.".to_owned(),
            bay.heat() != Heat::Hot,
            "let it cool",
        ),
        Heat::Cold if !burns(plan.flow) => say(
            "The engine was cold: until it is warm its trims say nothing.".to_owned(),
            bay.heat() != Heat::Cold,
            "ran it warm",
        ),
        _ => {}
    }
    if traps.draught {
        say(
            "The door of the bay was open: a draught hides a wisp for a long time.".to_owned(),
            !bay.draught(),
            "shut the door",
        );
    }
    if let Some(gauge) = traps.coarse.as_ref().and_then(|id| plan.flow.gauge(id)) {
        let what = format!(
            "The {} stood in a range that is far too coarse.",
            gauge.name
        );
        say(what, bay.coarse().is_none(), "set it to the one that fits");
    }
    if let Some(forgotten) = &traps.forgotten {
        let what =
            format!("A colleague had said that everything was closed; open was: {forgotten}.");
        let mut openings = bay.openings().into_iter();
        let is_said = openings.any(|(name, is)| name == forgotten && is == Believed::Said);
        say(what, !is_said, "saw to it");
    }
    if let Some(blamed) = traps.blamed.as_ref().and_then(|id| plan.flow.cause(id)) {
        let what = format!("The history spoke of \"{}\", which was sound.", blamed.name);
        say(what, false, "");
    }
    words
}

fn slips(session: &Session) -> Vec<String> {
    let flow = session.bay.plan().flow;
    let slips = session.bay.log.slips.iter();
    slips
        .map(|slip| {
            let step = flow
                .step(&slip.step)
                .map_or(slip.step.as_str(), |s| &s.title);
            let after = if slip.put_right {
                "; you found it and read again"
            } else {
                ""
            };
            let would_have = slip.wrong.would_have(flow);
            let would_have = would_have.map_or_else(String::new, |words| format!(". {words}"));
            format!(
                "\"{step}\", test {}: {}{after}{would_have}",
                slip.test,
                slip.wrong.words(flow)
            )
        })
        .collect()
}
