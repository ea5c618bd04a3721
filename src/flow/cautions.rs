//! The cautions that flows name.
//!
//! General guidance, each with its source. The vehicle maker's procedure, local codes and licensed
//! practice come first; every screen and page that shows a caution says so.

use std::collections::BTreeMap;

use super::answer::Answer;
use super::condition::Truth;
use super::model::{Flow, Step};
use super::working::{Known, plain_values};
use crate::units::Dimension;

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

/// Cautions that a fact of the car can make pointless: the caution, the fact's id, and the word that does.
const POINTLESS: [(&str, &str, &str); 1] = [("sealed-tank", "sealed-tank", "no")];

impl Caution {
    /// Whether it concerns a car of which these facts are known. What is not known leaves it standing.
    pub fn concerns(&self, facts: &BTreeMap<String, Answer>) -> bool {
        let mut pointless = POINTLESS.iter().filter(|(id, ..)| *id == self.id);
        !pointless.any(|(_, fact, word)| {
            matches!(facts.get(*fact), Some(Answer::Choice(known)) if known == word)
        })
    }
}

/// The cautions of a step by their ids, as far as they concern a car of which these facts are known: those that the step
/// has for certain cars only, where it may be one.
pub fn of_step<'s>(
    flow: &Flow,
    step: &'s Step,
    facts: &BTreeMap<String, Answer>,
) -> impl Iterator<Item = &'s String> {
    let known = Known {
        answers: facts,
        test_number: 1,
    };
    let condition = step.cautions_only_if.as_ref();
    // What is not known leaves them standing.
    let all = condition.is_none_or(|only| only.truth(&plain_values(flow, known)) != Truth::No);
    let facts = facts.clone();
    let own = step.cautions.iter().filter(move |_| all);
    own.filter(move |id| find(id).is_none_or(|caution| caution.concerns(&facts)))
}

/// Said with every caution.
pub const FIRST: &str = "General guidance. The vehicle maker's procedure, local codes and licensed practice come first.";

/// The caution with this id.
pub fn find(id: &str) -> Option<&'static Caution> {
    CAUTIONS.iter().find(|caution| caution.id == id)
}

/// The cautions that speak of what happens beyond a limit of this kind: they are shown where one
/// was passed, and no others.
pub fn about_limit_of(dimension: Dimension) -> &'static [&'static str] {
    match dimension {
        Dimension::Pressure => &[
            "smoke-into-intake",
            "eye-protection",
            "fuel-vapour",
            "sealed-tank",
            "gas-cylinder",
            "hand-vacuum-pump",
            "hoses-restrained",
            "seal-limits",
            "hot-cooling-system",
        ],
        Dimension::Temperature => &["hot-parts", "hot-cooling-system", "exhaust-gas"],
        Dimension::Voltage => &["ignition-voltage", "high-voltage", "direct-power"],
        _ => &[],
    }
}

/// The cautions that say to let the pressure down before anything is undone or taken off, those first that speak of
/// higher pressures.
pub const LET_DOWN: [&str; 3] = ["hot-cooling-system", "hoses-restrained", "eye-protection"];

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
        source: "carbon monoxide: 50 ppm over 8 hours, 29 CFR 1910.1000 table Z-1 (quoted from memory)",
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
        text: "Where the engine can start by itself (stop-start, hybrid), make it unable to by the maker's procedure. Key \
               off and kept away from the car; where a step asks for the key on, only then and with the engine made \
               unable to start, and away again after it. Never start the engine with smoke connected.",
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
        id: "smoke-off",
        title: "Before the key is turned",
        text: "Shut the supply off and let the pressure down first, then take the smoke line off. Take out every plug and clamp and put the intake together; a purge line \
               that the step wants shut stays shut until it is read. Count them back into the box. Never start the engine with smoke connected.",
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
        id: "breathing-smoke",
        title: "Smoke is not to be breathed",
        text: "It is a mist of oil. Use no more than the search needs, keep your face out of it, and where the door must stay \
               shut for a search, open it and air the bay in between. Whoever coughs or is short of breath goes outside, \
               and stays there. Only the fluid that the unit's maker names.",
        source: PRACTICE,
    },
    Caution {
        id: "no-ignition",
        title: "No ignition source",
        text: "Fuel vapour may be near. No flame, no sparks, no smoking, no hot lamp; ventilate; extinguisher at \
               hand. Do not make or break electrical contacts in the vapour.",
        source: "gasoline vapour burns from about 1.4 to 7.6 % in air, NFPA 325 (quoted from memory)",
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
        id: "road-drive",
        title: "Driving for a reading",
        text: "Only on a road that allows it, at lawful speeds, or on a roller bench that holds the car: whoever drives \
               looks at the road, and somebody else reads. Hoses, leads and tools clear of wheels, pedals and hot parts, \
               bonnet shut. Nothing that was fitted for a test is left on the car.",
        source: PRACTICE,
    },
    Caution {
        id: "supported-vehicle",
        title: "Raised vehicle",
        text: "Work under a car only on a lift that is locked or on stands on firm ground, never on a jack alone.",
        source: PRACTICE,
    },
    Caution {
        id: "fuel-under-pressure",
        title: "Fuel under pressure",
        text: "A rail holds its pressure with the engine off. Let it down by the maker's procedure before a line is opened, \
               catch the fuel in a rag, keep sparks and flames away. With direct injection or diesel the rail holds enough \
               to drive fuel through skin and glove: do not open or loosen anything of it; a wound by a fuel jet is an \
               emergency even if it looks small.",
        source: "common practice; injection through skin is a known injury of high-pressure lines, no source",
    },
    Caution {
        id: "fuel-vapour",
        title: "Fuel vapour",
        text: "Fuel vapour lies low and travels. No flame, spark, hot lamp or running motor near; ventilate, extinguisher at \
               hand. Feed a fuel-vapour space with inert gas, never with air, and set the limit at the supply: \
               1 psi (7 kPa) at the very most. A reading typed afterwards cannot stop an over-pressure.",
        source: "gasoline vapour burns from about 1.4 to 7.6 % in air, NFPA 325 (quoted from memory); inert gas at 14 inH2O: \
                 US EPA evaporative test guidance EPA-AA-RSPD-IM-98-1 (quoted from memory); 1 psi: common practice",
    },
    Caution {
        id: "sealed-tank",
        title: "Sealed tank",
        text: "The tank of many hybrids stands under pressure or vacuum. Let it down by command, wait until the display says \
               that it is down, and only then touch the cap or open a line. Never crack the cap to let it down.",
        source: PRACTICE,
    },
    Caution {
        id: "inert-gas",
        title: "Inert gas displaces air",
        text: "Nitrogen and carbon dioxide cannot be smelt and take the place of the air you breathe; carbon dioxide \
               lies in pits. Ventilate, never work alone in a pit or closed room with gas flowing, and shut the cylinder when you leave.",
        source: "an atmosphere under 19.5 % oxygen is oxygen-deficient, 29 CFR 1910.146(b) (quoted from memory)",
    },
    Caution {
        id: "gas-cylinder",
        title: "Gas cylinder",
        text: "Chain the cylinder. Use a regulator and a relief valve made for the gas and set for low pressure, and open the \
               valve slowly with the outlet away from you. A cylinder straight on a tank or a radiator bursts it.",
        source: "cylinders are used with a regulator, 29 CFR 1910.253(b)(5) for welding gases (quoted from memory); the rest common practice",
    },
    Caution {
        id: "hot-cooling-system",
        title: "Hot cooling system",
        text: "Never open a cooling system that is hot or under pressure: it boils over and scalds. Wait until the upper hose is \
               cold and soft. Let the pump's pressure down before you take it off. Coolant is poisonous; catch and wipe it up.",
        source: PRACTICE,
    },
    Caution {
        id: "exhaust-gas",
        title: "Exhaust gas indoors",
        text: "Exhaust gas kills indoors. Run the engine only with the gas led outside and the doors open. For smoke in the exhaust \
               the engine is off and cold: hot exhaust parts burn skin and light vapour.",
        source: "carbon monoxide: 50 ppm over 8 hours, 29 CFR 1910.1000 table Z-1 (quoted from memory)",
    },
    Caution {
        id: "hoses-restrained",
        title: "Plugs and hoses held back",
        text: "A plug that lets go is a shot. Clamp or strap every plug and hose end so that it cannot leave its seat, \
               stand beside the line of flight, bring the pressure up slowly and let it down before you undo anything.",
        source: "air for cleaning is limited to 30 psi for the same reason, 29 CFR 1910.242(b) (quoted from memory); the rest common practice",
    },
    Caution {
        id: "seal-limits",
        title: "What the seals bear",
        text: "Shaft seals, gaskets of the sump and diaphragms of breather valves bear very little. Set the limit at the supply \
               before it is connected, below what the maker of the seals allows, and stop at the first hiss that grows.",
        source: PRACTICE,
    },
    Caution {
        id: "ignition-voltage",
        title: "Ignition voltage",
        text: "Ignition voltage can kill, above all a person with a pacemaker. Switch off before a lead or coil is touched, \
               give every lead a path to ground, and never let a spark jump where there may be fuel vapour.",
        source: PRACTICE,
    },
    Caution {
        id: "direct-power",
        title: "Power from outside",
        text: "Power a valve directly only with its plug off, through a fuse, the right way round, and no longer than its maker \
               allows; never feed a control unit's wire. Make and break the contact away from any fuel vapour.",
        source: PRACTICE,
    },
    Caution {
        id: "closed-hoses",
        title: "Pinching hoses",
        text: "Pinch soft rubber hoses only, with smooth jaws, and for as short as you can; hard plastic lines are plugged at a \
               joint instead. Count the clamps on and off: one left on is a new fault.",
        source: PRACTICE,
    },
    Caution {
        id: "emission-controls",
        title: "Emission controls stay in place",
        text: "Nothing that controls emissions is removed, plugged for good or switched off: what was opened for the test goes back \
               as it was, or is renewed.",
        source: "tampering with emission controls, Clean Air Act section 203(a)(3) (quoted from memory)",
    },
    Caution {
        id: "water-and-electrics",
        title: "Water and electrics in the cabin",
        text: "Keep water and smoke away from control units, plugs and airbag parts; unplug nothing of an airbag. Do not breathe the \
               smoke: nobody sits in a car that is filled with it. Air it out before the car goes back.",
        source: PRACTICE,
    },
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_known_fact_makes_pointless_does_not_concern_the_car_and_what_is_not_known_does() {
        let sealed = |word: &str| {
            let fact = Answer::Choice(word.to_owned());
            BTreeMap::from([("sealed-tank".to_owned(), fact)])
        };
        let concerns = |id: &str, facts: &BTreeMap<String, Answer>| {
            find(id).is_some_and(|caution| caution.concerns(facts))
        };
        assert!(!concerns("sealed-tank", &sealed("no")));
        assert!(concerns("sealed-tank", &sealed("yes")));
        assert!(concerns("sealed-tank", &BTreeMap::new()));
        assert!(concerns("high-voltage", &sealed("no")));
        assert!(concerns("fuel-vapour", &sealed("no")));
        for (caution, ..) in POINTLESS {
            assert!(find(caution).is_some(), "{caution}");
        }
    }
}
