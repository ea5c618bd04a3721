//! What must not be done, what would have happened, and the caution that speaks of it. A practice car shows it
//! without hurting anybody, once, and the exercise is over.

use crate::flow::cautions::{self, Caution};

/// Something unsafe that was done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Harm {
    /// Pressure was put in before this caution was read and accepted.
    NotAccepted(String),
    /// Air went into a fuel-vapour space.
    AirIntoVapour,
    /// Air or smoke went through an open purge line into the canister and the tank.
    ThroughPurge,
    /// The supply was set above the limit; this caution speaks of it.
    AboveLimit(String),
    /// Something hot was touched or opened; this caution speaks of it.
    Hot(String),
    /// The engine ran with the supply connected; this caution speaks of it.
    RanWithSupply(String),
    /// The engine ran warm with the cooling system open; this caution speaks of it.
    RanOpen(String),
    /// Something was undone under pressure; this caution speaks of it.
    NotLetDown(String),
    /// A part was taken off, or worked on, under pressure; this caution speaks of it.
    PartUnderPressure(String),
}

impl Harm {
    /// Its name in the record.
    pub fn id(&self) -> &'static str {
        match self {
            Self::NotAccepted(_) => "caution-not-accepted",
            Self::AirIntoVapour => "air-into-fuel-vapour",
            Self::ThroughPurge => "purge-line-open",
            Self::AboveLimit(_) => "above-the-limit",
            Self::Hot(_) => "too-hot",
            Self::RanWithSupply(_) => "engine-run-with-supply",
            Self::RanOpen(_) => "engine-run-open",
            Self::NotLetDown(_) => "not-let-down",
            Self::PartUnderPressure(_) => "part-under-pressure",
        }
    }

    /// The id of the caution that speaks of it.
    pub fn caution_id(&self) -> &str {
        match self {
            Self::NotAccepted(id)
            | Self::AboveLimit(id)
            | Self::Hot(id)
            | Self::RanWithSupply(id)
            | Self::RanOpen(id)
            | Self::NotLetDown(id)
            | Self::PartUnderPressure(id) => id,
            Self::AirIntoVapour => "fuel-vapour",
            Self::ThroughPurge => "smoke-into-intake",
        }
    }

    /// The caution that speaks of it.
    pub fn caution(&self) -> Option<&'static Caution> {
        cautions::find(self.caution_id())
    }

    /// From its name and caution in the record.
    pub fn named(id: &str, caution: &str) -> Option<Self> {
        let caution = caution.to_owned();
        Some(match id {
            "caution-not-accepted" => Self::NotAccepted(caution),
            "air-into-fuel-vapour" => Self::AirIntoVapour,
            "purge-line-open" => Self::ThroughPurge,
            "above-the-limit" => Self::AboveLimit(caution),
            "too-hot" => Self::Hot(caution),
            "engine-run-with-supply" => Self::RanWithSupply(caution),
            "engine-run-open" => Self::RanOpen(caution),
            "not-let-down" => Self::NotLetDown(caution),
            "part-under-pressure" => Self::PartUnderPressure(caution),
            _ => return None,
        })
    }

    /// What was done.
    pub fn done(&self) -> &'static str {
        match self {
            Self::NotAccepted(_) => {
                "You connected the supply before its cautions were read and accepted."
            }
            Self::AirIntoVapour => "You fed air into a fuel-vapour space.",
            Self::ThroughPurge => "You put pressure into the intake with the purge line open.",
            Self::AboveLimit(_) => "You set the supply above the limit and connected it.",
            Self::Hot(caution) if caution == "hot-cooling-system" => {
                "You opened the cooling system while it was hot."
            }
            Self::Hot(_) => "You reached for exhaust parts that were hot.",
            Self::RanWithSupply(caution) if caution == "hot-cooling-system" => {
                "You ran the engine with the cooling system pumped up."
            }
            Self::RanWithSupply(_) => "You ran the engine with the supply connected.",
            Self::RanOpen(_) => "You ran the engine warm with the filler neck open.",
            Self::NotLetDown(_) => {
                "You undid something under pressure: the supply was still connected."
            }
            Self::PartUnderPressure(_) => {
                "You took off the part to be repaired under pressure: the supply was still connected."
            }
        }
    }

    /// What would have happened on a car that is there.
    pub fn would_have(&self) -> &'static str {
        match self {
            Self::NotAccepted(_) => {
                "Whoever has not read what can happen does not see it coming: a plug flies, or gas goes where it \
                 burns. Read each caution, do what it says, then connect."
            }
            Self::AirIntoVapour => {
                "Air makes a mixture in the tank that one spark sets off. Nitrogen or carbon dioxide keeps it from \
                 burning."
            }
            Self::ThroughPurge => {
                "Smoke and air go through the purge line into the canister and the tank, where air and fuel vapour \
                 burn. Close the purge line first."
            }
            Self::AboveLimit(_) => {
                "Seals, tanks and plugs give way above the limit: a part is broken that was sound, or a plug hits \
                 somebody. Set the limit at the supply, before it is connected."
            }
            Self::Hot(caution) if caution == "hot-cooling-system" => {
                "Coolant boils over the moment the pressure falls, and scalds face and hands. Wait until the upper \
                 hose is cold and soft."
            }
            Self::Hot(_) => {
                "Hot exhaust burns skin at a touch, and lights vapour. Let it cool first."
            }
            Self::RanWithSupply(caution) if caution == "hot-cooling-system" => {
                "The pump is on in place of the cap that would let the pressure off: as the coolant warms it climbs past what \
                 hoses and radiator hold, and what gives way scalds. Let it down with the pump's valve first. A pump that is \
                 not pumped up may stay on as a gauge for the first minute of a cold start."
            }
            Self::RanWithSupply(_) => {
                "What is fed goes on flowing while everything shakes, moves and gets hot: an engine draws smoke and \
                 plugs in, and fire comes back through the intake; a tank is pressed full of gas; on the road the \
                 line tears off and the cylinder comes after it. Take the supply off and every plug out before the \
                 key is turned."
            }
            Self::RanOpen(_) => {
                "Coolant boils out of the open neck as it gets hot and scalds whoever stands there, and the engine \
                 overheats. The cap goes on before the engine gets warm."
            }
            Self::NotLetDown(_) | Self::PartUnderPressure(_) => {
                "What is undone under pressure leaves its seat: a plug, a hose end or a clamp hits whoever stands there, and \
                 what is inside comes after it. Take the supply off and let the pressure down first."
            }
        }
    }
}
