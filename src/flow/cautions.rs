//! The cautions that flows name.
//!
//! General guidance, each with its source. The vehicle maker's procedure, local codes and licensed
//! practice come first; every screen and page that shows a caution says so.

/// A caution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Its id in a flow file.
    pub id: &'static str,
    /// Its title.
    pub title: &'static str,
    /// What to do and to leave.
    pub text: &'static str,
    /// Where it comes from.
    pub source: &'static str,
}

/// Said with every caution.
pub const FIRST: &str = "General guidance. The vehicle maker's procedure, local codes and licensed practice come first.";

/// The caution with this id.
pub fn find(id: &str) -> Option<&'static Caution> {
    CAUTIONS.iter().find(|caution| caution.id == id)
}

/// All cautions.
pub fn all() -> &'static [Caution] {
    CAUTIONS
}

const PRACTICE: &str = "common practice, no published source";

static CAUTIONS: &[Caution] = &[
    Caution {
        id: "running-engine",
        title: "Running engine",
        text: "Keep hands, hair, sleeves and leads clear of belts, fans and hot parts; a fan can start by itself. \
               Brake on, out of gear. Lead the exhaust gas outside: carbon monoxide cannot be smelt.",
        source: "carbon monoxide: 50 ppm over 8 hours, 29 CFR 1910.1000 table Z-1 (from memory)",
    },
    Caution {
        id: "hot-parts",
        title: "Hot parts",
        text: "Let exhaust and coolant parts cool before reaching past them. Never open a hot cooling system.",
        source: PRACTICE,
    },
    Caution {
        id: "no-self-start",
        title: "The engine must not start",
        text: "Key off and kept away from the car. Where the engine can start by itself (stop-start, hybrid), make it \
               unable to by the maker's procedure. Never start the engine with smoke connected.",
        source: PRACTICE,
    },
    Caution {
        id: "high-voltage",
        title: "High-voltage vehicle",
        text: "On a hybrid or electric drive, keep off orange cables and covers. Isolation is for people who are \
               trained and authorised for it, by the maker's procedure.",
        source: PRACTICE,
    },
    Caution {
        id: "smoke-into-intake",
        title: "Smoke into the intake",
        text: "Pinch or plug the purge line first, or smoke and air go into the fuel-vapour space. Set the limit at \
               the supply: low pressure only, 1 psi (7 kPa) at the very most, and less where a seal's maker says so. A reading \
               typed afterwards cannot stop an over-pressure.",
        source: "about 0.5 psi and never above 1 psi: common practice, no published source",
    },
    Caution {
        id: "no-ignition",
        title: "No ignition source",
        text: "Fuel vapour may be near. No flame, no sparks, no smoking, no hot lamp; ventilate; extinguisher at \
               hand. Do not make or break electrical contacts in the vapour.",
        source: "gasoline vapour burns from about 1.4 to 7.6 % in air, NFPA 325 (from memory)",
    },
    Caution {
        id: "eye-protection",
        title: "Eye protection",
        text: "Wear eye protection: caps, plugs and hoses under pressure can fly off. Let the pressure down before \
               taking anything off. Avoid breathing the smoke; ventilate.",
        source: PRACTICE,
    },
    Caution {
        id: "hand-vacuum-pump",
        title: "Hand pump on the sensor",
        text: "Draw vacuum or press only as far as the sensor's maker allows. Probe connectors from behind with the \
               proper tips: a spread terminal is a new fault.",
        source: PRACTICE,
    },
    Caution {
        id: "supported-vehicle",
        title: "Raised vehicle",
        text: "Work under a car only on a lift that is locked or on stands on firm ground, never on a jack alone.",
        source: PRACTICE,
    },
];
