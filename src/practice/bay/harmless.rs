//! When what is harmless on a practice car can be seen at all.

use super::{Answers, Bay};
use crate::physics::gas::Gas;
use crate::plant::drive::Drive;
use crate::plant::hands::Fed;

/// When a harmless leak shows, on a car that is closed and fed at its usual pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Faint {
    /// As the car came, beside what was hidden.
    Beside,
    /// Only once what was hidden is mended: more leaves there than the supply can hold against, or it is lost in that.
    Alone,
    /// At no place that is searched.
    Never,
}

impl Bay<'_> {
    /// When a harmless cause shows. By the car as it came, whatever was done since.
    pub fn shows_harmless(&self, cause: &str) -> Faint {
        let mut car = Drive::new(self.plan, self.drawn.car.clone()).by_hand();
        for opening in self.plan.openings() {
            car.close(opening);
        }
        let gas = if self.plan.kind.name == "fuel vapour" {
            Gas::Nitrogen
        } else {
            Gas::Air
        };
        let pressure = self.usual_pressure();
        car.feed(Some(Fed { gas, pressure }));
        let earlier = Answers::new();
        if car.is_seen(cause, &earlier) {
            return Faint::Beside;
        }
        for hidden in &self.drawn.hidden {
            car.mend(hidden);
        }
        if car.is_seen(cause, &earlier) {
            Faint::Alone
        } else {
            Faint::Never
        }
    }
}
