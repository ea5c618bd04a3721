//! The system under test as the steps have left it, and the supply on it.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::meaning::Plain;
use crate::flow::model::PromptKind;
use crate::flow::signature::ValveFault;
use crate::physics::decay::Space;
use crate::physics::gas::Gas;
use crate::physics::orifice::area;

use super::car::Present;
use super::drive::Drive;
use super::fault::Fault;
use super::seen::Leaking;
use super::signature;
use super::signature::Pusher;
use super::supply::{Stand, Unit};
use super::system::{Hole, Opening, System, Valve};
use super::usual::counting;

impl Drive<'_> {
    /// What leaks out of the system under test, covered or not.
    pub(super) fn leaking(&self) -> Vec<Leaking> {
        let reading = self.plan.seen().next().map(|prompt| prompt.id.as_str());
        let mut leaking = Vec::new();
        for present in self.car.causes.iter().filter(|p| self.left(&p.cause)) {
            let area: f64 = present
                .faults
                .iter()
                .map(|fault| self.lets_out(present, fault))
                .sum();
            if area <= 0.0 {
                continue;
            }
            let pusher = self.pusher(&present.cause);
            let place = reading.and_then(|id| signature::place(self.plan.flow, id, &pusher));
            leaking.push(Leaking {
                cause: present.cause.clone(),
                place: place
                    .or_else(|| self.revealed.get(&present.cause).cloned())
                    .or_else(|| self.too_large_to_hide(&pusher, area)),
                area,
            });
        }
        leaking
    }

    /// Chance for where a cause shows on this car.
    pub(super) fn pusher<'c>(&self, cause: &'c str) -> Pusher<'c> {
        Pusher {
            cause,
            dice: self.car.dice.fork(cause, 5),
            // A place has no side of zero.
            below: false,
        }
    }

    /// What a fault lets out of the system under test, m2.
    fn lets_out(&self, present: &Present, fault: &Fault) -> f64 {
        match fault {
            Fault::Hole { diameter, place } if self.plan.tests(place) => area(*diameter),
            Fault::Valve {
                name,
                state: ValveFault::StuckOpen,
                rest,
            } => match self.plan.seals.iter().find(|seal| behind(seal, name)) {
                Some(seal) if *seal != name && self.sealed.contains(*seal) => 0.0,
                Some(_) => area(*rest),
                // A valve that no step closes is a hole of the system, if it shows anywhere there.
                None => {
                    let reading = self.plan.seen().next();
                    let shows = reading.and_then(|prompt| {
                        signature::likeliest_place(self.plan.flow, &prompt.id, &present.cause)
                    });
                    shows.map_or(0.0, |_| area(*rest))
                }
            },
            _ => 0.0,
        }
    }

    /// The system under test as it stands; with what is covered covered, or open.
    pub(super) fn system(&self, covered: bool) -> System {
        let openings = self.plan.seals.iter().map(|seal| self.opening(seal));
        // What passes a valve that no step closes, and every hole, counts as a hole of its area.
        let holes = self.leaking().into_iter().map(|leak| Hole {
            diameter: crate::physics::orifice::diameter(leak.area),
            covered: covered && self.is_covered(&leak.cause),
        });
        System {
            volume: self.volume(),
            openings: openings.collect(),
            holes: holes.collect(),
            natural: self.car.natural,
        }
    }

    fn opening(&self, seal: &str) -> Opening {
        let sealed = self.sealed.contains(seal);
        let valve = self
            .plan
            .valves
            .iter()
            .copied()
            .chain(["purge"])
            .find(|name| behind(seal, name));
        // What passes a stuck valve is among the holes; here are those that nobody closed.
        let valve = valve.map(|name| Valve::obeying(seal == name && !sealed));
        Opening {
            name: seal.to_owned(),
            area: area(self.plan.kind.open),
            sealed,
            valve,
        }
    }

    /// The gas in the space under test, and what it is in.
    pub(super) fn space(&self, known: &BTreeMap<String, Answer>) -> Space {
        if let Some(hands) = &self.hands {
            return self.car.space(hands.fed.map_or(Gas::Air, |fed| fed.gas));
        }
        let word = self
            .plan
            .plain(Plain::SupplyGas)
            .and_then(|prompt| known.get(&prompt.id));
        let gas = match word {
            Some(Answer::Choice(word)) => Gas::named(word).unwrap_or(Gas::Air),
            _ => Gas::Air,
        };
        self.car.space(gas)
    }

    /// The opening that counts for the gas: a liquid leaves a hole by the root of the densities' ratio more slowly.
    pub(super) fn passes(&self, system: &System, space: &Space, set: f64) -> f64 {
        /// Of coolant, kg/m3.
        const LIQUID: f64 = 1050.0;
        let opening = system.opening();
        if self.plan.kind.liquid {
            let density = space.gas.density(space.barometer + set, space.temperature);
            return opening * (density / LIQUID).sqrt();
        }
        opening
    }

    /// The smoke unit, or whatever supplies the pressure.
    pub(super) fn unit(&self) -> Unit {
        let mut own = self.car.dice.fork("smoke unit", 0);
        let own_leak = if self.plan.kind.name == "smoke unit" {
            self.car.natural + self.leaking().iter().map(|leak| leak.area).sum::<f64>()
        } else {
            area(own.between(0.0, 0.000_06))
        };
        Unit {
            set: self.set_pressure(),
            open_flow: self.plan.float_top() * own.between(0.75, 0.85) * self.fed_share(),
            own_leak,
        }
    }

    /// What the supply is set to.
    pub(super) fn set_pressure(&self) -> f64 {
        match &self.hands {
            // Off, it gives next to nothing.
            Some(hands) => {
                let off = if hands.unit_alone {
                    self.usual_pressure()
                } else {
                    1.0
                };
                hands.fed.map_or(off, |fed| fed.pressure.max(1.0))
            }
            None => self.usual_pressure(),
        }
    }

    /// The trade's usual value for the system, Pa; never near its limit.
    pub fn usual_pressure(&self) -> f64 {
        let limit = self.car.limit(self.plan);
        let usual = match (self.plan.kind.name, limit) {
            // 14 inH2O: EPA-AA-RSPD-IM-98-1 (from memory).
            ("fuel vapour", _) => 3_487.2,
            ("charge air", Some(limit)) => 0.5 * limit,
            ("crankcase", Some(limit)) => 0.8 * limit,
            ("cooling", Some(limit)) => 0.93 * limit,
            // About 0.5 psi: common practice, no source.
            ("", limit) => self.as_the_gauge_counts(3_400.0, limit),
            _ => 3_400.0,
        };
        limit.map_or(usual, |limit| usual.min(0.95 * limit))
    }

    /// A pressure as the gauge of a system that is not known here can show it and its step lets it count: where the
    /// trade's usual value does not, the middle of what does, and not near the limit.
    fn as_the_gauge_counts(&self, usual: f64, limit: Option<f64>) -> f64 {
        let Some((step, prompt)) = self.plan.gauges_on_supply().next() else {
            return usual;
        };
        let PromptKind::Quantity(asked) = &prompt.kind else {
            return usual;
        };
        let (low, high) = counting(asked, Some(step), &prompt.id);
        if (low..=high).contains(&usual) {
            return usual;
        }
        let middle = f64::midpoint(low, high);
        limit.map_or(middle, |limit| middle.min(0.8 * limit))
    }

    /// Where float and gauge stand on the system.
    pub(super) fn stand(&self, known: &BTreeMap<String, Answer>, covered: bool) -> Stand {
        let space = self.space(known);
        let unit = self.unit();
        let system = self.system(covered);
        unit.on(&space, self.passes(&system, &space, unit.set))
    }
}

/// Whether an opening is the valve of this name, or a line behind it.
fn behind(seal: &str, valve: &str) -> bool {
    seal == valve
        || seal
            .strip_prefix(valve)
            .is_some_and(|rest| rest.starts_with(' '))
}
