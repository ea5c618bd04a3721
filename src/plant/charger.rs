//! A charger, and what a leak in its run costs under load.
//!
//! Air through the leak is [`crate::physics::orifice`]; the engine draws air in proportion to its absolute charge
//! pressure; the charger can give a little more than the engine draws at the wanted pressure, its margin, and no
//! more: so a small leak is made good, and a large one costs pressure (a straight-line assumption of ours, no source).

use crate::physics::decay::Space;

/// A charger under full load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charger {
    /// Pressure that is asked for, above the barometer, Pa.
    pub wanted: f64,
    /// Air that the engine draws at that pressure, kg/s.
    pub airflow: f64,
    /// What it can give over that, as a share.
    pub margin: f64,
}

impl Charger {
    /// The pressure that it gets above the barometer with an opening of this area in its run, Pa.
    pub fn gets(&self, space: &Space, opening: f64) -> f64 {
        let asks = |inside: f64| {
            let drawn = self.airflow * (space.barometer + inside) / (space.barometer + self.wanted);
            drawn + opening * space.flux(inside)
        };
        let most = self.airflow * (1.0 + self.margin);
        if asks(self.wanted) <= most {
            return self.wanted;
        }
        let (mut low, mut high) = (0.0, self.wanted);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if asks(middle) <= most {
                low = middle;
            } else {
                high = middle;
            }
        }
        low
    }
}
