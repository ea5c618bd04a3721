//! One simulated car for a flow: what is wrong with it, and everything that no reading tells.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::log_key::LogWindow;
use crate::flow::model::Limit;
use crate::flow::signature::ValveFault;
use crate::physics::decay::Space;
use crate::physics::gas::Gas;
use crate::physics::orifice::{Coefficient, area};
use crate::physics::sensor::Transfer;

use super::charger::Charger;
use super::dice::Dice;
use super::engine::{Engine, Leak, Metering};
use super::fault::Fault;
use super::instrument::Sensor;
use super::plan::Plan;
use super::spread::Spread;
use super::vehicle;

/// The id of the cause that stands for none of those listed.
pub const NOT_LISTED: &str = "not-listed";

/// A car is drawn again so often where nothing that it has makes a complaint.
const TRIES: u64 = 64;

/// A cause that is present on a car.
#[derive(Clone, Debug, PartialEq)]
pub struct Present {
    /// Its id.
    pub cause: String,
    /// What is physically wrong; empty where the flow says it in words alone.
    pub faults: Vec<Fault>,
    /// Whether it is big enough to make the complaint by itself.
    pub explains: bool,
}

impl Present {
    /// How large it is, in SI units of its kind, where that can be said in one number.
    pub fn size(&self) -> Option<f64> {
        self.faults.iter().find_map(Fault::size)
    }
}

/// A simulated car.
#[derive(Clone, Debug, PartialEq)]
pub struct Car {
    /// What is wrong with it.
    pub causes: Vec<Present>,
    /// Its facts: those that were given, and the rest as drawn.
    pub facts: BTreeMap<String, Answer>,
    /// Its engine.
    pub engine: Engine,
    /// Its charger.
    pub charger: Charger,
    /// The line of its manifold pressure sensor as it should be.
    pub sensor_line: Transfer,
    /// How far its holes are off the model of the coefficient, in standard deviations.
    pub deviations: f64,
    /// The space under test over what is told of it.
    pub volume_factor: f64,
    /// The space under test where nothing tells it, m3.
    pub own_volume: f64,
    /// What always passes some, m2.
    pub natural: f64,
    /// Temperature of the air in the bay, K.
    pub bay: f64,
    /// How widely it was drawn.
    pub spread: Spread,
    /// From which share of the diameter that the rule names on its own check of the fuel-vapour system finds a hole.
    pub check: f64,
    /// Chance for everything that is read of it.
    pub(super) dice: Dice,
}

/// The rule says which hole a car's check has to find at the latest; so as not to miss it, it finds smaller ones as well,
/// from 0.6 of the diameter on in the keenest cars (an assumption of ours, no source).
const KEENEST: f64 = 0.6;

impl Car {
    /// Draws a car on which these causes are present. `facts` are what is known of the vehicle; what the flow asks
    /// besides is drawn. Since a car comes in with a complaint, sizes that make none are drawn again.
    pub fn draw(
        plan: &Plan,
        facts: &BTreeMap<String, Answer>,
        present: &[&str],
        spread: &Spread,
        dice: &mut Dice,
    ) -> Self {
        let seed = dice.bits();
        Self::until(true, |attempt| {
            Self::drawn(plan, facts, present, spread, Dice::new(seed), attempt)
        })
    }

    /// Draws a car on which these causes are present, and none of them big enough for a complaint: what may be left
    /// behind a repair. Where every size makes one, so does this car.
    pub fn draw_quiet(
        plan: &Plan,
        facts: &BTreeMap<String, Answer>,
        present: &[&str],
        spread: &Spread,
        dice: &mut Dice,
    ) -> Self {
        let seed = dice.bits();
        Self::until(false, |attempt| {
            Self::drawn(plan, facts, present, spread, Dice::new(seed), attempt)
        })
    }

    /// The first car that has the complaint, or has none; or the last that is tried.
    fn until(complains: bool, draw: impl Fn(u64) -> Self) -> Self {
        let mut car = draw(0);
        for attempt in 1..TRIES {
            if car.complains(|_| true) == complains {
                break;
            }
            car = draw(attempt);
        }
        car
    }

    /// Draws a car on which these causes are present, of any size: whether they make a complaint or not.
    pub fn draw_any(
        plan: &Plan,
        facts: &BTreeMap<String, Answer>,
        present: &[&str],
        spread: &Spread,
        dice: &mut Dice,
    ) -> Self {
        Self::drawn(plan, facts, present, spread, Dice::new(dice.bits()), 0)
    }

    /// Whether a cause is there and big enough to make the complaint by itself.
    pub fn explains(&self, cause: &str) -> bool {
        let mut causes = self.causes.iter();
        causes.any(|present| present.cause == cause && present.explains)
    }

    /// Whether anything that is left makes the complaint.
    pub fn complains(&self, left: impl Fn(&str) -> bool) -> bool {
        let mut causes = self.causes.iter();
        causes.any(|present| present.explains && left(&present.cause))
    }

    fn drawn(
        plan: &Plan,
        given: &BTreeMap<String, Answer>,
        present: &[&str],
        spread: &Spread,
        dice: Dice,
        attempt: u64,
    ) -> Self {
        // Most often the size is drawn again; now and then it was the wrong kind of car for the complaint.
        let round = attempt / 4;
        let mut own = dice.fork("vehicle", round);
        let facts = vehicle::fitting_facts(plan, given, present, &dice.fork("facts", round));
        let mut engine = vehicle::engine(plan, &facts, &mut own);
        engine.offset *= spread.noise.min(1.0);
        let charger = Charger {
            wanted: own.between(0.4, 0.9) * limit(plan, &facts).unwrap_or(120_000.0),
            airflow: own.between(0.04, 0.12),
            margin: own.between(0.01, 0.03),
        };
        let kind = plan.kind;
        let mut car = Self {
            causes: Vec::new(),
            engine,
            charger,
            sensor_line: vehicle::sensor_line(plan, &facts),
            deviations: spread.deviations(&mut own),
            volume_factor: spread.volume(&mut own),
            own_volume: own.between(kind.volume.0, kind.volume.1),
            natural: area(own.between(kind.natural.0, kind.natural.1)),
            bay: own.between(288.15, 297.15),
            spread: *spread,
            facts,
            check: dice.fork("check", 0).between(KEENEST, 1.0),
            dice,
        };
        car.add(plan, present, attempt);
        car
    }

    fn add(&mut self, plan: &Plan, present: &[&str], attempt: u64) {
        for id in present {
            let mut dice = self.dice.fork(id, attempt);
            let effects = plan.flow.cause(id).map_or(&[][..], |cause| &cause.effects);
            let mut faults: Vec<Fault> = effects
                .iter()
                .map(|effect| Fault::draw(effect, plan.holes, &mut dice))
                .collect();
            if *id == NOT_LISTED {
                let strength = dice.share();
                faults.push(Fault::Elsewhere { strength });
                // As wide as the flows' authors say of the causes that they list: 11 to 36 % (an assumption of ours).
                self.engine.offset = 0.11 + 0.25 * strength;
                // An engine that counts all its air has the trims too, and closes its idle control besides.
                if self.engine.metering == Metering::ManifoldPressure {
                    self.engine.closes = 0.05 + 0.20 * strength;
                }
                self.charger.margin = -0.12 - 0.2 * strength;
            }
            let explains =
                faults.is_empty() || faults.iter().any(|fault| self.is_enough(plan, fault));
            self.causes.push(Present {
                cause: (*id).to_owned(),
                faults,
                explains,
            });
        }
    }

    /// Whether a fault makes the complaint by itself. Limits: trims beyond 10 % are not normal (common practice, no
    /// source); thresholds of fuel-vapour leaks by 13 CCR 1968.2 (e)(4.2.2); the rest as the shipped flows judge.
    fn is_enough(&self, plan: &Plan, fault: &Fault) -> bool {
        let (diameter, place) = match fault {
            Fault::Hole { diameter, place } => (*diameter, place.as_str()),
            Fault::Valve { name, rest, .. } if name == "charge-relief" => (*rest, "charge air"),
            Fault::Valve {
                name,
                rest,
                state: ValveFault::StuckOpen,
            } if name == "vent" => (*rest, "fuel vapour"),
            _ => return true,
        };
        match place
            .split_once(" bank")
            .map_or(place, |(system, _)| system)
        {
            "intake" => self.idle_shows(diameter, bank(place)),
            "fuel vapour" => diameter >= self.check * threshold(&plan.flow.answers.codes),
            "charge air" => {
                let gets = self.charger.gets(&self.air_space(), area(diameter));
                self.charger.wanted - gets >= 10_000.0
            }
            "cooling" => diameter >= 0.000_15,
            _ => true,
        }
    }

    fn idle_shows(&self, diameter: f64, bank: Option<u32>) -> bool {
        let leak = Leak {
            area: area(diameter),
            bank,
        };
        let sound = Engine {
            offset: 0.0,
            closes: 0.0,
            ..self.engine
        };
        let runs = sound.runs(LogWindow::Idle, &[leak], self.deviations, |p| p);
        match sound.metering {
            Metering::AirMass => runs.trims.iter().any(|trim| *trim > 0.10),
            Metering::ManifoldPressure => {
                sound.baseline - runs.command >= 0.05
                    || runs.speed - sound.idle.speed >= 100.0 / 60.0
            }
        }
    }

    /// Air at the workshop's barometer.
    pub fn air_space(&self) -> Space {
        self.space(Gas::Air)
    }

    /// A gas in the space under test.
    pub fn space(&self, gas: Gas) -> Space {
        Space {
            gas,
            barometer: self.engine.barometer,
            temperature: self.bay,
            coefficient: Coefficient::Sharp,
            deviations: self.deviations,
        }
    }

    /// A sensor by its name, with what is wrong with it as far as that is left.
    pub fn sensor(&self, name: &str, left: impl Fn(&str) -> bool) -> Sensor {
        let present = self.causes.iter().filter(|present| left(&present.cause));
        let wrong = present
            .flat_map(|present| &present.faults)
            .filter_map(|fault| match fault {
                Fault::Sensor { name: other, wrong } if other == name => Some(*wrong),
                _ => None,
            });
        Sensor {
            wrong: wrong.collect(),
        }
    }

    /// What is wrong with a valve, as far as it is left, and what it lets through at rest, m2.
    pub fn valve(&self, name: &str, left: impl Fn(&str) -> bool) -> (Option<ValveFault>, f64) {
        let present = self.causes.iter().filter(|present| left(&present.cause));
        let mut faults =
            present
                .flat_map(|present| &present.faults)
                .filter_map(|fault| match fault {
                    Fault::Valve {
                        name: other,
                        state,
                        rest,
                    } if other == name => Some((Some(*state), area(*rest))),
                    _ => None,
                });
        faults.next().unwrap_or((None, 0.0))
    }

    /// Holes into the manifold that are left, but for those of covered causes.
    pub fn intake_leaks(&self, left: impl Fn(&str) -> bool) -> Vec<Leak> {
        let present = self.causes.iter().filter(|present| left(&present.cause));
        present
            .flat_map(|present| &present.faults)
            .filter_map(|fault| match fault {
                Fault::Hole { diameter, place }
                    if place == "intake" || place.starts_with("intake ") =>
                {
                    Some(Leak {
                        area: area(*diameter),
                        bank: bank(place),
                    })
                }
                _ => None,
            })
            .collect()
    }

    /// A fact in SI units.
    pub fn fact(&self, id: &str) -> Option<f64> {
        match self.facts.get(id)? {
            Answer::Quantity(q) => Some(q.si()),
            _ => None,
        }
    }

    /// The limit of the supply, Pa, where the flow has one.
    pub fn limit(&self, plan: &Plan) -> Option<f64> {
        limit(plan, &self.facts)
    }
}

/// `intake bank 2` feeds the second bank alone.
fn bank(place: &str) -> Option<u32> {
    let (_, number) = place.split_once(" bank ")?;
    number.trim().parse::<u32>().ok()?.checked_sub(1)
}

/// The threshold of the codes that a flow answers: 0.020 in where it answers that of a very small leak.
fn threshold(codes: &[String]) -> f64 {
    if codes.iter().any(|code| code == "P0456") && codes.iter().all(|code| code != "P0455") {
        0.000_508
    } else {
        0.001_016
    }
}

fn limit(plan: &Plan, facts: &BTreeMap<String, Answer>) -> Option<f64> {
    match plan.limit()? {
        Limit::Constant(q) => Some(q.si()),
        Limit::Fact(id) => match facts.get(id)? {
            Answer::Quantity(q) => Some(q.si()),
            _ => None,
        },
    }
}
