//! The readings that physics gives, by what a flow says they are.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::log_key::LogKey;
use crate::flow::meaning::{How, Meaning, Plain, State, What};
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::flow::signature::{Shown, ValveFault};

use super::dice::Dice;
use super::drive::Drive;
use super::plan::shown;
use super::supply::{Stand, float_reads};
use super::system::Valve;

/// What a gauge is held to wait where a step has no timer, s.
const WAIT: f64 = 120.0;
/// Absolute pressure at which a hand pump is held, and down to which it sweeps, Pa: as the shipped flow asks.
pub(super) const HELD: f64 = 30_000.0;

impl Drive<'_> {
    /// What a reading shows by physics; `None` where this car or kind of answer has none.
    pub(super) fn physical(
        &mut self,
        prompt: &Prompt,
        meaning: &Meaning,
        step: &Step,
        known: &BTreeMap<String, Answer>,
        dice: &mut Dice,
    ) -> Option<Answer> {
        match &meaning.what {
            What::SmokeAt(place) => self.smoke_at(prompt, place, known),
            What::Passage(valve, how) => self.passage(prompt, valve, *how),
            // A trace is drawn by nobody here; the reading is left out, or drawn from a signature.
            What::Rest(_) | What::Log(LogKey::Trace) => None,
            What::Log(LogKey::Sweep) => self.sweep(prompt, dice),
            What::Log(LogKey::Mean(window, value)) => {
                let covered = meaning.state == State::PlaceCovered;
                let si = self.scan(*window, *value, covered, dice)?;
                self.read(prompt, si, dice)
            }
            What::Plain(plain) => match &prompt.kind {
                PromptKind::Quantity(_) => {
                    let si = self.quantity(*plain, &meaning.state, step, known, dice)?;
                    self.read(prompt, si, dice)
                }
                PromptKind::Places(_) => Some(self.places(prompt, known)),
                PromptKind::Choice(words) => {
                    let word = self.chosen(*plain, prompt, words, known)?;
                    Some(Answer::Choice(word))
                }
                _ => None,
            },
        }
    }

    fn chosen(
        &self,
        plain: Plain,
        prompt: &Prompt,
        words: &[String],
        known: &BTreeMap<String, Answer>,
    ) -> Option<String> {
        match plain {
            Plain::Complaint => self.complaint(&prompt.id, words),
            Plain::CoveredPlace => {
                let covered = self.covered.last();
                let place = covered.map_or("", |c| c.place.as_str());
                self.word_for(prompt, place, covered.and_then(|c| c.cause.as_deref()))
            }
            Plain::LargestPlace => {
                let largest = self.largest();
                let place = largest.map_or("", |c| c.place.as_str());
                self.word_for(prompt, place, largest.and_then(|c| c.cause.as_deref()))
            }
            Plain::OtherPlaces => {
                let others = !self.visible(known).is_empty();
                let word = if others { "yes" } else { "no" };
                words.iter().find(|other| *other == word).cloned()
            }
            Plain::Part => self.part(prompt, known),
            _ => None,
        }
    }

    /// Whether anything passes a valve, in the words of the reading.
    fn passage(&self, prompt: &Prompt, name: &str, how: How) -> Option<Answer> {
        const PASSES: [&str; 3] = ["passes", "draws", "free"];
        const STOPS: [&str; 4] = ["stops", "still", "holds", "blocked"];
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        let fact = self
            .plan
            .rest_of(name)
            .and_then(|fact| self.car.facts.get(&fact.id));
        let rests_open = matches!(fact, Some(Answer::Choice(word)) if word == "open");
        let (fault, rest) = self.car.valve(name, |cause| self.left(cause));
        let valve = Valve {
            told_open: match how {
                How::AtRest => rests_open,
                How::ToldShut => false,
                How::ToldOpen => true,
                How::ToldToMove | How::WithPower | How::OutletPinched => !rests_open,
            },
            fault,
            rest: if rest > 0.0 { 1.0 } else { 0.0 },
        };
        let slow = fault == Some(ValveFault::Slow) && words.iter().any(|word| word == "slow");
        let known: &[&str] = if slow && valve.open() > 0.0 {
            &["slow"]
        } else if how != How::OutletPinched && valve.open() > 0.0 {
            &PASSES
        } else {
            &STOPS
        };
        let word = words.iter().find(|word| known.contains(&word.as_str()));
        word.cloned().map(Answer::Choice)
    }

    /// On a sound car the word that it most likely shows; where the complaint is there, the first that a sound car
    /// never shows.
    fn complaint(&self, id: &str, words: &[String]) -> Option<String> {
        let sound: Vec<&(String, f64)> = match shown(&self.plan.flow.healthy, id) {
            Some(Shown::Words(stated)) => stated.iter().collect(),
            _ => Vec::new(),
        };
        let likeliest = sound.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let gone = likeliest.map(|(word, _)| word).or(words.first());
        if !self.complains() {
            return gone.cloned();
        }
        let shows = |word: &&String| sound.iter().any(|(other, _)| other == *word);
        words
            .iter()
            .find(|word| !shows(word) && Some(*word) != gone)
            .cloned()
    }

    fn quantity(
        &self,
        plain: Plain,
        state: &State,
        step: &Step,
        known: &BTreeMap<String, Answer>,
        dice: &mut Dice,
    ) -> Option<f64> {
        let time = step.timer.unwrap_or(WAIT);
        match plain {
            Plain::SmokeFlow | Plain::SmokePressure => {
                let stand = self.smoke(state, known);
                if plain == Plain::SmokePressure {
                    return Some(stand.pressure);
                }
                let space = self.space(known);
                let float = float_reads(stand.flow, &space, stand.pressure);
                let float = self.sensor("smoke-float").tells(float, dice);
                // A float cannot stand higher than the top of its tube.
                Some(float.min(self.plan.float_top()))
            }
            Plain::SupplyPressure => Some(self.set_pressure()),
            Plain::TestHole => Some(self.test_hole()),
            Plain::HoldStart => Some(self.hold_start(state, known)),
            Plain::HoldEnd => Some(self.hold_end(state, known, time)),
            Plain::VacuumStart | Plain::TankVacuum => Some(self.vacuum()),
            Plain::VacuumEnd => {
                let space = self.car.air_space();
                let left = self.system(false).holds(&space, -self.vacuum(), time);
                Some((-left - self.drift_change(-left)).max(0.0))
            }
            Plain::TankPressure => Some(self.sensor("tank-pressure").tells(-self.vacuum(), dice)),
            Plain::TankAtRest => Some(self.sensor("tank-pressure").tells(0.0, dice)),
            Plain::SoundThrottle => Some(self.car.engine.baseline),
            Plain::WantedSpeed => Some(self.car.engine.idle.speed),
            Plain::Barometer => Some(self.car.engine.barometer),
            Plain::KeyOnPressure => {
                let sensor = self.sensor("manifold-pressure");
                Some(sensor.tells(self.car.engine.barometer, dice))
            }
            Plain::HeldPressure => Some(HELD),
            Plain::HeldShown => Some(self.sensor("manifold-pressure").tells(HELD, dice)),
            Plain::FuelLevel => Some(self.level()),
            Plain::BayTemperature => Some(self.car.bay),
            Plain::OwnTemperature | Plain::StartTemperature => Some(self.own_temperature()),
            Plain::EndTemperature => Some(self.own_temperature() + self.drift()),
            Plain::WantedCharge => Some(self.car.charger.wanted),
            Plain::Charge => {
                let opening = self.system(false);
                let holes: f64 = opening.holes.iter().map(super::system::Hole::passes).sum();
                let gets = self
                    .car
                    .charger
                    .gets(&self.car.air_space(), holes + opening.natural);
                Some(self.sensor("charge-pressure").tells(gets, dice))
            }
            Plain::LoadAirflow => Some(self.car.charger.airflow),
            // Facts, which are answered before any step.
            _ => None,
        }
    }

    pub(super) fn sensor(&self, name: &str) -> super::instrument::Sensor {
        self.car.sensor(name, |cause| self.left(cause))
    }

    /// Where float and gauge stand in a state.
    fn smoke(&self, state: &State, known: &BTreeMap<String, Answer>) -> Stand {
        let (unit, space) = (self.unit(), self.space(known));
        match state {
            State::AsItStands => self.stand(known, false),
            State::PlaceCovered => self.stand(known, true),
            State::TipBlocked => unit.blocked(&space),
            State::TipOpen => unit.open(),
            State::TestHole => unit.on(&space, crate::physics::orifice::area(self.test_hole())),
            State::Through(valve) => {
                let (fault, rest) = self.car.valve(valve, |cause| self.left(cause));
                let seat = self.car.dice.fork(valve, 0).between(0.0, 0.000_7);
                let passes = match fault {
                    Some(ValveFault::StuckOpen) => rest,
                    Some(ValveFault::StuckShut) => 0.0,
                    _ => crate::physics::orifice::area(seat),
                };
                unit.on(&space, passes)
            }
        }
    }
}
