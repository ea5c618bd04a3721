//! What stands open on a car that somebody will drive, and what its driver must know.
//!
//! Found by words in the names of causes, places and systems, since flows are written by many
//! hands. A word too many only warns once too often. All advice is common practice, no source.

/// Advice for a part or a system.
struct Hazard {
    /// Words in the name of a cause, a place or a complaint.
    words: &'static [&'static str],
    /// Systems, as flows name them.
    systems: &'static [&'static str],
    /// What the driver must know.
    advice: &'static str,
}

static HAZARDS: &[Hazard] = &[
    Hazard {
        words: &["brake"],
        systems: &["brakes"],
        advice: "This touches the brakes: the help of the brake booster can be lost and the pedal \
                 become hard. Have the brakes checked before the car is driven on.",
    },
    Hazard {
        words: &["steering"],
        systems: &["steering"],
        advice: "This touches the steering. Have it checked before the car is driven on.",
    },
    Hazard {
        words: &[
            "fuel cap",
            "fuel line",
            "fuel leak",
            "filler",
            "tank top",
            "smell of fuel",
            "smells of fuel",
        ],
        systems: &["fuel vapour", "fuel"],
        advice: "Fuel vapour can escape, and it burns: no flame or cigarette near the car, do not \
                 leave it in a closed room, and do not drive it where it smells of fuel.",
    },
    Hazard {
        words: &["exhaust"],
        systems: &["exhaust"],
        advice: "Exhaust gas can reach the cabin and cannot be noticed: keep a window open, do not \
                 let the engine run where the car stands, and have it mended soon.",
    },
    Hazard {
        words: &["coolant", "head gasket", "radiator", "water pump"],
        systems: &["cooling"],
        advice: "Coolant can be lost: watch the temperature, stop at once if it rises, and never \
                 open the system while it is hot.",
    },
    Hazard {
        words: &["stall", "cuts out"],
        systems: &[],
        advice: "The engine can stop by itself; brakes and steering then need more force. Do not \
                 drive on fast roads until this is settled.",
    },
    Hazard {
        words: &["misfire"],
        systems: &[],
        advice: "An engine that misfires can overheat its catalyst: drive gently and no further than \
                 needed.",
    },
];

/// What the driver must know about something of this name in this system, if anything.
pub fn advice(name: &str, system: &str) -> Option<&'static str> {
    let (name, system) = (name.to_lowercase(), system.to_lowercase());
    let hazard = HAZARDS.iter().find(|hazard| {
        hazard.words.iter().any(|word| name.contains(word))
            || hazard.systems.iter().any(|own| *own == system)
    });
    hazard.map(|hazard| hazard.advice)
}

#[cfg(test)]
mod tests {
    #[test]
    fn brakes_come_before_the_system_that_they_hang_on() {
        let advice = |name, system| super::advice(name, system).unwrap_or_default();
        assert!(advice("Brake booster or its hose leaking", "intake").contains("brakes"));
        assert!(advice("Cap loose, wrong, or its seal cracked", "fuel vapour").contains("burns"));
        assert_eq!(advice("Vacuum hose split or off", "intake"), "");
    }
}
