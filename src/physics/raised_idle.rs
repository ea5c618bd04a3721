//! What extra air does to the idle of an engine that is metered by manifold pressure.
//!
//! Such an engine does not go lean with a leak: the extra air is counted like any other. The idle
//! control closes by what the leak brings, and only at its stop is there more air than the idle
//! needs:
//!
//! ```text
//! m_need = speed-density at the target idle          m_leak = A G(barometer -> manifold)
//! u = stop + (u0 - stop) (1 - m_leak / m_need)       while u > stop
//! m = m_need_at_stop + m_leak > m_need               at the stop
//! N = N0 m / m_need  (pressure holds)   ..   p / p0 = (m / m_need) G(p) / G(p0)  (speed holds)
//! ```
//!
//! | symbol | meaning | unit |
//! | --- | --- | --- |
//! | `u`, `u0` | idle-air command or throttle angle: with the leak, and without | 1 |
//! | `N0`, `p0` | target speed and manifold pressure at idle | 1/s, Pa |
//! | `A`, `G` | area of the leak; mass flux (`orifice`) | m2, kg/(s m2) |
//!
//! Assumptions: the control's air goes in a straight line with its command, from none at the stop
//! (or `rest` of the air at the stop) to the idle's whole need at the baseline; the manifold stays at
//! `p0` while the control has room; load and spark as before. As the pressure rises, less comes in through
//! leak and stop alike, so that it never gets to the barometer. At the stop the control unit may hold
//! the speed with the spark, and then the pressure rises, or not, and then the speed does: an engine
//! lies between the two. Source: mass balance and speed-density; our derivation, no printed source.
//! Left out: late timing, back pressure and a weak cylinder, which raise the pressure too.
//!
//! Worked example: 2.0 L at 800 rpm, 35 kPa and 80 % needs 4.44 g/s; a hole of 2.0 mm brings 0.60 g/s,
//! 13.6 % of it: a command of 30 % with its stop at 0 % closes to 25.9 %.

/// An idle, and the extra air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Idle {
    /// Air that the target idle needs, kg/s.
    pub need: f64,
    /// Air through the leak, kg/s.
    pub leak: f64,
    /// Command without the leak.
    pub baseline: f64,
    /// The least that the command can go to.
    pub stop: f64,
    /// Share of the need that still passes at the stop.
    pub rest: f64,
}

/// Where the idle control ends up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Answered {
    /// The command.
    pub command: f64,
    /// All the air over what the idle needs: 1 while the control has room.
    pub air: f64,
}

impl Answered {
    /// By what factor speed and pressure rise where an engine lies midway between "pressure holds" and "speed holds":
    /// both by the same, so that their product is the rise of the air. That it is midway is an assumption of ours, no
    /// source.
    pub fn midway(&self) -> f64 {
        self.air.sqrt()
    }
}

impl Idle {
    /// By what factor the manifold pressure rises where the speed is held, at most: at the stop there is more air than
    /// the target idle needs, and what the engine draws grows with the pressure until it takes what still comes in.
    /// `flux` is the mass flux into the manifold at so many times the target's pressure, over that at the target's.
    pub fn held(&self, flux: impl Fn(f64) -> f64) -> f64 {
        let air = self.answer().air;
        let (mut low, mut high) = (1.0, air);
        // Each round halves the range: 60 are the last digit of any range.
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            if middle < air * flux(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        f64::midpoint(low, high)
    }

    /// What the control does about the leak.
    pub fn answer(&self) -> Answered {
        let share = self.leak / self.need;
        // What the control itself still has to pass, from 1 at the baseline to 0 at the stop.
        let open = (1.0 - self.rest - share) / (1.0 - self.rest);
        if open > 0.0 {
            return Answered {
                command: self.stop + (self.baseline - self.stop) * open,
                air: 1.0,
            };
        }
        Answered {
            command: self.stop,
            air: (self.rest + share).max(1.0),
        }
    }
}
