//! A space that is held under pressure or vacuum: what it starts with, what is left, how warm it is.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, State};
use crate::flow::signature::ValveFault;
use crate::physics::fuel_vapour::gas_change;
use crate::physics::given::{Given, Value};
use crate::physics::{Shifts, find};

use super::drive::Drive;

/// Diameter of the purge valve's way when it is open, m: an assumption of ours, no source.
const PURGE: f64 = 0.003;
/// 0.020 in: 13 CCR 1968.2 (e)(4.2.2)(C).
const SMALL_TEST_HOLE: f64 = 0.000_508;
/// 0.040 in: 13 CCR 1968.2 (e)(4.2.2)(B).
const TEST_HOLE: f64 = 0.001_016;

impl Drive<'_> {
    /// The workshop's test hole: the smaller one beside a leak that is held, the larger one on a float.
    pub(super) fn test_hole(&self) -> f64 {
        if self
            .plan
            .with(Plain::HoldStart, &State::TestHole)
            .is_empty()
        {
            TEST_HOLE
        } else {
            SMALL_TEST_HOLE
        }
    }

    pub(super) fn opening_for(&self, state: &State, known: &BTreeMap<String, Answer>) -> f64 {
        let (space, system) = (
            self.space(known),
            self.system(*state == State::PlaceCovered),
        );
        let more = match state {
            State::TestHole => crate::physics::orifice::area(self.test_hole()),
            _ => 0.0,
        };
        self.passes(&system, &space, self.set_pressure()) + more
    }

    /// What the supply reaches before it is shut.
    pub(super) fn hold_start(&self, state: &State, known: &BTreeMap<String, Answer>) -> f64 {
        self.unit()
            .on(&self.space(known), self.opening_for(state, known))
            .pressure
    }

    pub(super) fn hold_end(
        &self,
        state: &State,
        known: &BTreeMap<String, Answer>,
        time: f64,
    ) -> f64 {
        let space = self.space(known);
        let start = self.hold_start(state, known);
        let volume = self.volume();
        let left = space.pressure_after(start, self.opening_for(state, known), volume, time);
        (left + self.drift_change(left)).max(0.0)
    }

    /// What the gas gains as it warms over a hold, Pa.
    pub(super) fn drift_change(&self, inside: f64) -> f64 {
        let from = self.own_temperature();
        gas_change(
            self.car.engine.barometer + inside,
            from,
            from + self.drift(),
        )
    }

    /// How warm it is once it has cooled, K.
    pub fn cold(&self) -> f64 {
        self.own_temperature()
    }

    pub(super) fn own_temperature(&self) -> f64 {
        let mut own = self.car.dice.fork("temperature", 0);
        self.car.bay + own.between(-1.5, 1.5)
    }

    /// By how much it warms or cools over a hold, K.
    pub(super) fn drift(&self) -> f64 {
        0.08 * self.car.spread.noise * self.car.dice.fork("drift", 0).normal()
    }

    /// Share of the tank that is full.
    pub(super) fn level(&self) -> f64 {
        self.car.dice.fork("fuel level", 0).between(0.3, 0.75)
    }

    /// The space under test, m3: as told, by tank and fuel level, or of this kind.
    pub(super) fn volume(&self) -> f64 {
        *self.volume.get_or_init(|| self.true_volume())
    }

    fn true_volume(&self) -> f64 {
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
        let worked = (fill.run)(&given, &Shifts::none()).ok()?;
        worked.results.get(place)?.number()
    }

    /// The vacuum that the purge draws the tank to before it is shut again, Pa above zero.
    pub(super) fn vacuum(&self) -> f64 {
        let (fault, _) = self.car.valve("purge", |cause| self.left(cause));
        if fault == Some(ValveFault::StuckShut) {
            return 0.0;
        }
        let space = self.car.air_space();
        let engine = &self.car.engine;
        let draws = crate::physics::orifice::area(PURGE) * engine.flux(engine.idle.pressure, 0.0);
        let opening = self.system(false).opening();
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
}
