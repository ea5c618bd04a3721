//! What was done on a practice car and what it cost: a simulated clock, and what went wrong on the way.

use std::collections::{BTreeMap, BTreeSet};

use super::harm::Harm;
use crate::flow::answer::Answer;
use crate::flow::model::Flow;
use crate::units::Quantity;

/// Minutes of setting up that everybody pays who does it.
pub mod costs {
    /// Running the engine until it is warm.
    pub const WARM: f64 = 10.0;
    /// Letting it cool.
    pub const COOL: f64 = 30.0;
    /// Shutting the door of the bay.
    pub const DOOR: f64 = 1.0;
    /// Looking at the ranges of the gauges.
    pub const GAUGES: f64 = 1.0;
    /// Setting a gauge to another range.
    pub const RANGE: f64 = 1.0;
    /// Going round every plug, cap and clamp.
    pub const ROUND: f64 = 2.0;
    /// Closing or opening something that the step does not speak of, or once more.
    pub const AGAIN: f64 = 1.0;
    /// Clearing the codes.
    pub const CLEAR: f64 = 1.0;
    /// Covering a place, or uncovering all.
    pub const COVER: f64 = 0.5;
    /// Taking a part off and opening it, as a share of the minutes of its repair.
    pub const OPENING: f64 = 0.5;
}

/// The station of what hands do beside the steps' own minutes, by a name that no step and no cause can have, and in words.
pub(super) const BY_HAND: (&str, &str) = ("by hand", "by hand besides: warm, cool, caps, covers");

/// Minutes spent at one station.
#[derive(Clone, Debug, PartialEq)]
pub struct Spent {
    /// The step or the cause, by its id; or what hands do besides.
    pub id: String,
    /// In words.
    pub what: String,
    /// The number of the test.
    pub test: u32,
    /// Minutes.
    pub minutes: f64,
}

/// Something that was not as it should be while a reading was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wrong {
    /// An opening that the steps close was open.
    Open(String),
    /// The engine was cold.
    Cold,
    /// The gauge stood in a range that is too coarse.
    Coarse(String),
    /// The supply was not on, or set to nothing.
    NoSupply,
    /// Places were looked at with nothing fed that could show there.
    NothingFed,
    /// The engine was started, or the car driven, with these closed or covered.
    LeftOn(Vec<String>),
    /// The car was driven with these open that are closed on every car.
    LeftOpen(Vec<String>),
    /// The codes were cleared before they were saved.
    NotSaved,
    /// This was still closed, and what was read is read with it open.
    Shut(String),
}

impl Wrong {
    /// Whether it is the same thing that was forgotten: nothing is fed where the supply is off.
    pub fn is_same(&self, other: &Self) -> bool {
        let unfed = |wrong: &Self| matches!(wrong, Self::NoSupply | Self::NothingFed);
        self == other || unfed(self) && unfed(other)
    }

    /// In words; gauges by the names of this flow.
    pub fn words(&self, flow: &Flow) -> String {
        match self {
            Self::Open(opening) => format!("{opening} was open"),
            Self::Cold => "the engine was cold".to_owned(),
            Self::Coarse(gauge) => format!(
                "the {} stood in a range that is too coarse",
                flow.gauge(gauge)
                    .map_or(gauge.as_str(), |gauge| gauge.name.as_str())
            ),
            Self::NoSupply => "the supply was not on".to_owned(),
            Self::NothingFed => {
                "places were looked at with nothing fed, and nothing could show".to_owned()
            }
            Self::LeftOn(what) => format!("still closed or covered: {}", what.join(", ")),
            Self::LeftOpen(what) => format!("still open on the drive: {}", what.join(", ")),
            Self::NotSaved => "the codes were cleared before they were saved".to_owned(),
            Self::Shut(opening) => format!("{opening} was closed"),
        }
    }

    /// What would have come of it on a car that is there, where that is more than a wrong reading: common practice, no
    /// source.
    pub fn would_have(&self, flow: &Flow) -> Option<&'static str> {
        match self {
            Self::LeftOn(_) => {}
            Self::LeftOpen(_) if flow.system == "cooling" => {
                return Some(
                    "Coolant boils out of the open neck as it gets hot, scalds whoever stands there, and the engine \
                     overheats.",
                );
            }
            Self::NotSaved => {
                return Some(
                    "Freeze frame, readiness and trims are gone with them: nobody can say any more when it came.",
                );
            }
            Self::LeftOpen(_) => {
                return Some(
                    "Air and dirt go in where something is left open, and the car comes back.",
                );
            }
            _ => return None,
        }
        Some(match flow.system.as_str() {
            "fuel vapour" => {
                "On the road a tank that cannot breathe draws in or presses fuel out, nothing is purged, and the code \
                 comes back."
            }
            "intake" | "charge air" | "crankcase" => {
                "The engine starves behind a plug or draws it in, and a closed breather presses oil past its seals."
            }
            "exhaust" => {
                "The gas has no way out: the engine stalls, or it shoots the plug out and fills the bay."
            }
            "cooling" => {
                "Pressure cannot get away as it gets hot: a hose or the radiator gives way."
            }
            "cabin" => "With its way out shut the cabin mists up, and every door is hard to close.",
            _ => {
                "What stays closed cannot do its work: the proof proves nothing, and the car comes back."
            }
        })
    }
}

/// Readings that were taken though something was wrong.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// What was wrong.
    pub wrong: Wrong,
    /// The step, by its id.
    pub step: String,
    /// The number of the test.
    pub test: u32,
    /// They were taken again in the same test, with it put right.
    pub put_right: bool,
}

/// A repair that was made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Repair {
    /// The cause that was treated.
    pub cause: String,
    /// It was on the car, and part of the complaint.
    pub needed: bool,
    /// The number of the test that led to it.
    pub test: u32,
}

/// A part that was taken off and opened once its repair was agreed to.
#[derive(Clone, Debug, PartialEq)]
pub struct PartSeen {
    /// The cause that it stands for.
    pub cause: String,
    /// It was on the car, and part of the complaint.
    pub needed: bool,
    /// The number of the test that led to it.
    pub test: u32,
    /// Minutes that it cost to see it.
    pub minutes: f64,
    /// Nothing of the car had been read before.
    pub blind: bool,
}

/// How something came to be written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum How {
    /// The car was asked for it at that step.
    Read,
    /// Nobody had asked the car for it at that step.
    NotAsked,
    /// It is seen by looking; at these places nobody had looked while anything could show. Empty: at none at all.
    NotLooked(Vec<Unlooked>),
    /// It was said of how the car stands. Each word of the reading that the car belied, with how it stood.
    Claimed(BTreeMap<String, String>),
}

/// A place at which nobody looked, or only while nothing could show there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unlooked {
    /// The place.
    pub place: String,
    /// Somebody did look, with nothing fed.
    pub unfed: bool,
}

/// What there was on the car where something was written down.
#[derive(Clone, Debug, PartialEq)]
pub enum Stood {
    /// It showed this, or would have.
    Showed(Answer),
    /// In words, how it stood.
    Was(String),
}

/// Something written down, beside what the car showed or would have shown.
#[derive(Clone, Debug, PartialEq)]
pub struct Written {
    /// The number of the event.
    pub seq: u64,
    /// The reading.
    pub reading: String,
    /// The step, by its id.
    pub step: String,
    /// The number of the test.
    pub test: u32,
    /// What was written down.
    pub said: Answer,
    /// What the car showed, or would have.
    pub stood: Stood,
    /// How it came to be written down.
    pub how: How,
    /// The car does not bear it out.
    pub differs: bool,
    /// It was put right later.
    pub put_right: bool,
}

impl Written {
    /// Whether this is of the same reading, at the same step of the same test.
    pub fn is_of_same(&self, other: &Self) -> bool {
        self.reading == other.reading && self.step == other.step && self.test == other.test
    }
}

/// A repair that the odds on the screen suggested, and to which the apprentice went.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Advised {
    /// The cause.
    pub cause: String,
    /// The number of the test.
    pub test: u32,
    /// Why it was suggested, as it stood on the screen.
    pub because: String,
    /// The number of the event.
    pub seq: u64,
}

/// A value above a limit that was written down.
#[derive(Clone, Debug, PartialEq)]
pub struct Passed {
    /// The reading.
    pub reading: String,
    /// What was written.
    pub value: Quantity,
    /// The limit.
    pub limit: Quantity,
    /// The number of the test.
    pub test: u32,
}

/// Everything that was done.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Log {
    /// Minutes, station by station in their order.
    pub spent: Vec<Spent>,
    /// What went wrong with readings.
    pub slips: Vec<Slip>,
    /// Parts that were opened, whether or not they were repaired afterwards.
    pub opened: Vec<PartSeen>,
    /// Repairs.
    pub repairs: Vec<Repair>,
    /// The numbers of the tests in which something of the car was read.
    pub read_in: BTreeSet<u32>,
    /// What was written down, the last of each reading at a step of a test, and what was not borne out before.
    pub written: Vec<Written>,
    /// Something was written down, whether or not the car has anything to say of it.
    pub anything_written: bool,
    /// Repairs that were suggested.
    pub advised: Vec<Advised>,
    /// Limits that were passed by what was written down, and not taken back as mistyped.
    pub passed: Vec<Passed>,
    /// What stopped the exercise.
    pub harm: Option<Harm>,
}

impl Log {
    /// Minutes in all.
    pub fn minutes(&self) -> f64 {
        // A sum over nothing is minus nothing.
        self.spent.iter().map(|spent| spent.minutes).sum::<f64>() + 0.0
    }

    /// Whether something of the car was read before any part was opened or repaired, or the first part was what the
    /// odds suggested.
    pub fn tested(&self) -> bool {
        match self.opened.first() {
            Some(part) => !part.blind,
            None => !self.read_in.is_empty(),
        }
    }

    /// Whether a repair was what the odds suggested in a test, by what the car showed: odds that rest on what was made up
    /// excuse nothing.
    pub fn is_advised(&self, cause: &str, test: u32) -> bool {
        let advice = self.advice(cause, test);
        advice.is_some_and(|advised| self.rested_on(advised).next().is_none())
    }

    /// A repair as it was suggested in a test.
    pub fn advice(&self, cause: &str, test: u32) -> Option<&Advised> {
        let mut advised = self.advised.iter().rev();
        advised.find(|a| a.cause == cause && a.test == test)
    }

    /// What the odds of a suggestion rested on that the car does not bear out. What is only said of how the car stands
    /// moves no odds, and what was put right moves none any more.
    pub fn rested_on<'l>(&'l self, advised: &'l Advised) -> impl Iterator<Item = &'l Written> {
        self.not_borne_out().filter(|written| {
            let moves = !matches!(written.how, How::Claimed(_)) && !written.put_right;
            moves && written.test <= advised.test && written.seq < advised.seq
        })
    }

    /// Parts that were opened and found sound, and put back.
    pub fn opened_for_nothing(&self) -> impl Iterator<Item = &PartSeen> {
        let repaired = |part: &PartSeen| {
            let mut repairs = self.repairs.iter();
            repairs.any(|r| r.cause == part.cause && r.test == part.test)
        };
        self.opened
            .iter()
            .filter(move |part| !part.needed && !repaired(part))
    }

    /// Spends minutes at a station.
    pub(super) fn spend(&mut self, id: &str, what: &str, test: u32, minutes: f64) {
        match self.spent.last_mut() {
            Some(last) if last.id == id && last.test == test => last.minutes += minutes,
            _ => self.spent.push(Spent {
                id: id.to_owned(),
                what: what.to_owned(),
                test,
                minutes,
            }),
        }
    }

    /// Spends minutes on what hands do beside a step's own. What of it is needed hangs on how the car stood before, so it
    /// stands by itself: a step has the same minutes on every way.
    pub(super) fn spend_by_hand(&mut self, test: u32, minutes: f64) {
        let (id, what) = BY_HAND;
        self.spend(id, what, test, minutes);
    }

    /// Readings were taken at a step, with so much wrong.
    pub(super) fn read(&mut self, step: &str, test: u32, wrong: Vec<Wrong>) {
        self.read_in.insert(test);
        for slip in &mut self.slips {
            let still = wrong.iter().any(|wrong| wrong.is_same(&slip.wrong));
            if slip.step == step && slip.test == test && !still {
                slip.put_right = true;
            }
        }
        for wrong in wrong {
            self.slip(step, test, wrong);
        }
    }

    /// Something was written down: what was written there before it is put right, or stays wrong.
    pub(super) fn write(&mut self, new: Written) {
        let again = |known: &Written| known.is_of_same(&new);
        if new.differs {
            self.written.retain(|known| !again(known));
        } else {
            self.written.retain(|known| !again(known) || known.differs);
            for known in self.written.iter_mut().filter(|known| again(known)) {
                known.put_right = true;
            }
        }
        self.written.push(new);
    }

    /// What was written down and the car does not bear out.
    pub fn not_borne_out(&self) -> impl Iterator<Item = &Written> {
        self.written.iter().filter(|written| written.differs)
    }

    /// Something was wrong at a step.
    pub(super) fn slip(&mut self, step: &str, test: u32, wrong: Wrong) {
        let mut known = self.slips.iter_mut();
        let same = |s: &&mut Slip| s.step == step && s.test == test && s.wrong.is_same(&wrong);
        if let Some(slip) = known.find(same) {
            slip.put_right = false;
            // What was done in vain says more than what was missing.
            if wrong == Wrong::NothingFed {
                slip.wrong = wrong;
            }
            return;
        }
        self.slips.push(Slip {
            wrong,
            step: step.to_owned(),
            test,
            put_right: false,
        });
    }
}
