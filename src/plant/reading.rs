//! The readings that physics gives, by what a flow says they are.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::log_key::{LogKey, LogValue, LogWindow};
use crate::flow::meaning::{How, Meaning, Plain, State, What};
use crate::flow::model::{Prompt, PromptKind, QuantityPrompt, Step};
use crate::flow::signature::{Shown, ValveFault};
use crate::physics::fuel_vapour::gas_change;
use crate::physics::given::{Given, Value};
use crate::physics::{Answer as Result1, Shifts, find};
use crate::units::{Dimension, Quantity, Unit};

use super::dice::Dice;
use super::drive::Drive;
use super::engine::{Running, split_trim};
use super::instrument::{Gauge, displayed};
use super::plan::shown;
use super::supply::{Stand, float_reads};
use super::system::Valve;

/// What a gauge is held to wait where a step has no timer, s.
const WAIT: f64 = 120.0;
/// Diameter of the purge valve's way when it is open, m: an assumption of ours, no source.
const PURGE: f64 = 0.003;
/// 0.020 in: 13 CCR 1968.2 (e)(4.2.2)(C).
const SMALL_TEST_HOLE: f64 = 0.000_508;
/// 0.040 in: 13 CCR 1968.2 (e)(4.2.2)(B).
const TEST_HOLE: f64 = 0.001_016;

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
            What::Rest(_) => None,
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
        let fact = self.plan.rest_of(name).and_then(|fact| self.car.facts.get(&fact.id));
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

    /// On a sound car the word that it most likely shows; where the complaint is there, the first other word.
    fn complaint(&self, id: &str, words: &[String]) -> Option<String> {
        let sound = match shown(&self.plan.flow.healthy, id) {
            Some(Shown::Words(stated)) => stated
                .iter()
                .max_by(|a, b| a.1.total_cmp(&b.1))
                .map(|(word, _)| word),
            _ => words.first(),
        };
        if self.complains() {
            return words.iter().find(|word| Some(*word) != sound).cloned();
        }
        sound.cloned()
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
            Plain::VacuumStart | Plain::TankVacuum => Some(self.vacuum(known)),
            Plain::VacuumEnd => {
                let space = self.car.air_space();
                let left = self
                    .system(known, false)
                    .holds(&space, -self.vacuum(known), time);
                Some((-left - self.drift_change(-left)).max(0.0))
            }
            Plain::TankPressure => Some(
                self.sensor("tank-pressure")
                    .tells(-self.vacuum(known), dice),
            ),
            Plain::TankAtRest => Some(self.sensor("tank-pressure").tells(0.0, dice)),
            Plain::SoundThrottle => Some(self.car.engine.baseline),
            Plain::WantedSpeed => Some(self.car.engine.idle.speed),
            Plain::Barometer => Some(self.car.engine.barometer),
            Plain::KeyOnPressure => {
                let sensor = self.sensor("manifold-pressure");
                Some(sensor.tells(self.car.engine.barometer, dice))
            }
            Plain::FuelLevel => Some(self.level()),
            Plain::BayTemperature => Some(self.car.bay),
            Plain::OwnTemperature | Plain::StartTemperature => Some(self.own_temperature()),
            Plain::EndTemperature => Some(self.own_temperature() + self.drift()),
            Plain::WantedCharge => Some(self.car.charger.wanted),
            Plain::Charge => {
                let opening = self.system(known, false);
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

    /// The workshop's test hole: the smaller one beside a leak that is held, the larger one on a float.
    fn test_hole(&self) -> f64 {
        if self.plan.with(Plain::HoldStart, &State::TestHole).is_empty() {
            TEST_HOLE
        } else {
            SMALL_TEST_HOLE
        }
    }

    fn sensor(&self, name: &str) -> super::instrument::Sensor {
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

    fn opening_for(&self, state: &State, known: &BTreeMap<String, Answer>) -> f64 {
        let (space, system) = (
            self.space(known),
            self.system(known, *state == State::PlaceCovered),
        );
        let more = match state {
            State::TestHole => crate::physics::orifice::area(self.test_hole()),
            _ => 0.0,
        };
        self.passes(&system, &space, self.set_pressure()) + more
    }

    /// What the supply reaches before it is shut.
    fn hold_start(&self, state: &State, known: &BTreeMap<String, Answer>) -> f64 {
        self.unit()
            .on(&self.space(known), self.opening_for(state, known))
            .pressure
    }

    fn hold_end(&self, state: &State, known: &BTreeMap<String, Answer>, time: f64) -> f64 {
        let space = self.space(known);
        let start = self.hold_start(state, known);
        let volume = self.volume(known);
        let left = space.pressure_after(start, self.opening_for(state, known), volume, time);
        (left + self.drift_change(left)).max(0.0)
    }

    /// What the gas gains as it warms over a hold, Pa.
    fn drift_change(&self, inside: f64) -> f64 {
        let from = self.own_temperature();
        gas_change(
            self.car.engine.barometer + inside,
            from,
            from + self.drift(),
        )
    }

    fn own_temperature(&self) -> f64 {
        let mut own = self.car.dice.fork("temperature", 0);
        self.car.bay + own.between(-1.5, 1.5)
    }

    /// By how much it warms or cools over a hold, K.
    fn drift(&self) -> f64 {
        0.08 * self.car.spread.noise * self.car.dice.fork("drift", 0).normal()
    }

    /// Share of the tank that is full.
    fn level(&self) -> f64 {
        self.car.dice.fork("fuel level", 0).between(0.3, 0.75)
    }

    /// The space under test, m3: as told, by tank and fuel level, or of this kind.
    pub(super) fn volume(&self, _known: &BTreeMap<String, Answer>) -> f64 {
        let fact = |plain: Plain| self.plan.plain(plain).and_then(|p| self.car.fact(&p.id));
        let told = match (fact(Plain::TestSpace), fact(Plain::TankSize)) {
            (Some(space), _) => Some(space),
            (None, Some(tank)) => self.vapour_space(tank),
            (None, None) => None,
        };
        told.map_or(self.car.own_volume, |told| told * self.car.volume_factor)
    }

    /// The space above the fuel, as the calculation `fill` has it.
    fn vapour_space(&self, tank: f64) -> Option<f64> {
        let fill = find("fill")?;
        let given = Given::new()
            .with("set-pressure", Value::Number(1.0))
            .with("open-flow", Value::Number(1.0))
            .with("tank", Value::Number(tank))
            .with("fuel-level", Value::Number(self.level()));
        let (place, _) = fill.output("volume")?;
        match (fill.run)(&given, &Shifts::none())
            .ok()?
            .results
            .get(place)?
        {
            Result1::Number(si) | Result1::Measured(si, _) => Some(*si),
            _ => None,
        }
    }

    /// The vacuum that the purge draws the tank to before it is shut again, Pa above zero.
    fn vacuum(&self, known: &BTreeMap<String, Answer>) -> f64 {
        let (fault, _) = self.car.valve("purge", |cause| self.left(cause));
        if fault == Some(ValveFault::StuckShut) {
            return 0.0;
        }
        let space = self.car.air_space();
        let engine = &self.car.engine;
        let draws = crate::physics::orifice::area(PURGE) * engine.flux(engine.idle.pressure, 0.0);
        let opening = self.system(known, false).opening();
        let limit = self.car.limit(self.plan).unwrap_or(2_500.0);
        let goal = (0.92 * limit).min(self.car.dice.fork("vacuum", 0).between(1_400.0, 2_200.0));
        let lets_in = |vacuum: f64| opening * space.flux(-vacuum);
        if lets_in(goal) <= draws {
            return goal;
        }
        let (mut low, mut high) = (0.0, goal);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if lets_in(middle) <= draws {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }

    fn running(&self, window: LogWindow, covered: bool, dice: &mut Dice) -> Running {
        let leaks = self
            .car
            .intake_leaks(|cause| self.left(cause) && !(covered && self.is_covered(cause)));
        let sensor = self.sensor("manifold-pressure");
        let mut engine = self.car.engine;
        if !self.left(super::car::NOT_LISTED) {
            engine.offset = 0.0;
        }
        let noise = dice.clone();
        engine.runs(window, &leaks, self.car.deviations, |p| {
            sensor.tells(p, &mut noise.clone())
        })
    }

    fn scan(
        &self,
        window: LogWindow,
        value: LogValue,
        covered: bool,
        dice: &mut Dice,
    ) -> Option<f64> {
        let running = self.running(window, covered, dice);
        let trim = |bank: usize| running.trims.get(bank).map(|total| split_trim(*total));
        match value {
            LogValue::Airflow => Some(self.sensor("air-mass").tells(running.metered, dice)),
            LogValue::Manifold => Some(
                self.sensor("manifold-pressure")
                    .tells(running.pressure, dice),
            ),
            LogValue::ShortTrim1 => trim(0).map(|(short, _)| short),
            LogValue::LongTrim1 => trim(0).map(|(_, long)| long),
            LogValue::ShortTrim2 => trim(1).map(|(short, _)| short),
            LogValue::LongTrim2 => trim(1).map(|(_, long)| long),
            LogValue::Speed => Some(running.speed),
            LogValue::Throttle => Some(running.command),
            LogValue::Load => None,
        }
    }

    /// The sweep of the sensor: from the barometer down to 30 kPa and up again.
    fn sweep(&self, prompt: &Prompt, dice: &mut Dice) -> Option<Answer> {
        let PromptKind::Pairs(asked) = &prompt.kind else {
            return None;
        };
        let (top, low) = (self.car.engine.barometer, 30_000.0);
        let sensor = self.sensor("manifold-pressure");
        let noise = self.car.spread.noise;
        let error = |tolerance: Option<crate::flow::model::Tolerance>, si: f64| {
            tolerance.map_or(0.0, |t| t.half_width(si)) * noise / super::instrument::Z95
        };
        let mut pairs = Vec::new();
        for place in [0, 1, 2, 3, 4, 5, 4, 3, 2, 1, 0] {
            let pressure = top + (low - top) * f64::from(place) / 5.0;
            let signal = self.car.sensor_line.signal(sensor.tells(pressure, dice));
            let read = pressure + dice.normal() * error(asked.errors.0, pressure);
            let seen = signal + dice.normal() * error(asked.errors.1, signal);
            let shown =
                |si: f64, unit: Unit| Quantity::new(rounded(unit.from_si(si), unit), unit).ok();
            pairs.push((shown(read, asked.first.1)?, shown(seen, asked.second.1)?));
        }
        Some(Answer::Pairs(pairs))
    }

    /// A true value as it is read on the reading's gauge or display.
    pub(super) fn read(&self, prompt: &Prompt, si: f64, dice: &mut Dice) -> Option<Answer> {
        let PromptKind::Quantity(asked) = &prompt.kind else {
            return None;
        };
        let error = asked.error.map_or(0.0, |e| e.half_width(si)) * self.car.spread.noise;
        let bias = asked.gauge.as_deref().map_or(0.0, |gauge| self.bias(gauge));
        self.on_scale(asked, si, (bias, error), dice)
    }

    /// A value on the scale of a reading, with so much bias and error.
    fn on_scale(
        &self,
        asked: &QuantityPrompt,
        si: f64,
        (bias, error): (f64, f64),
        dice: &mut Dice,
    ) -> Option<Answer> {
        let gauge = asked
            .gauge
            .as_deref()
            .and_then(|id| self.plan.flow.gauge(id));
        let resolution = gauge.and_then(|gauge| gauge.resolution);
        let step = resolution.map_or(0.0, |r| r.unit().step_to_si(r.value()));
        let ends = |(low, high): (Quantity, Quantity)| (low.si(), high.si());
        let scale = asked
            .plausible
            .map_or((f64::NEG_INFINITY, f64::INFINITY), ends);
        let shown = Gauge {
            accuracy: gauge.and_then(|gauge| gauge.accuracy),
            bias,
            step,
            scale,
        }
        .read(si, error, dice);
        let shown = if step > 0.0 {
            shown
        } else {
            displayed(shown, error)
        };
        let value = rounded(
            asked.unit.from_si(shown.clamp(scale.0, scale.1)),
            asked.unit,
        );
        Quantity::new(value, asked.unit).ok().map(Answer::Quantity)
    }

    /// How far a gauge's bias is off, in standard deviations of its accuracy.
    fn bias(&self, gauge: &str) -> f64 {
        let spread = &self.car.spread;
        let mut own = self.car.dice.fork(gauge, 6);
        if spread.even {
            return spread.bias * own.between(-2.0, 2.0);
        }
        spread.bias * own.normal()
    }

    /// An answer that was worked out, as it would be read: rounded, and within its scale.
    pub(super) fn shown(&self, reading: &str, answer: Answer) -> Answer {
        let prompt = self.plan.flow.reading(reading).map(|prompt| &prompt.kind);
        match (&answer, prompt) {
            (Answer::Quantity(q), Some(PromptKind::Quantity(asked))) => self
                .on_scale(asked, q.si(), (0.0, 0.0), &mut Dice::new(0))
                .unwrap_or(answer),
            _ => answer,
        }
    }
}

/// A number as it is written down: whole where things are counted, else six digits.
pub(super) fn rounded(value: f64, unit: Unit) -> f64 {
    if unit.dimension() == Dimension::Count {
        return value.round();
    }
    format!("{value:.5e}").parse().unwrap_or(value)
}
