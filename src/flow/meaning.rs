//! What a reading is on the car: the words after the key `is`.
//!
//! An owner writes `is: smoke flow` beside a reading, and the simulated car knows what to show for it: practice
//! runs, trials and the reasoning over causes rest on that. A reading with `log` needs no `is`. This module owns
//! the words and what kind of answer each gives; what a car shows for them is no business of a flow.

use super::log_key::{LogKey, LogValue};
use crate::units::Dimension;

/// What a reading is, and how it is taken.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Meaning {
    /// What is read.
    pub what: What,
    /// In which state it is read.
    pub state: State,
}

/// The state in which something is read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum State {
    /// As the steps have left it.
    AsItStands,
    /// With the tip of the smoke unit blocked.
    TipBlocked,
    /// With its tip open.
    TipOpen,
    /// With a test hole open (on the tip, or besides the system's own leak).
    TestHole,
    /// With the place that shows most covered, and those covered before.
    PlaceCovered,
    /// Through a valve that is off the car.
    Through(String),
}

/// What is read.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum What {
    /// A plain thing of the table below.
    Plain(Plain),
    /// The mean of a value over a steady stretch of scan data, or a sweep of the sensor.
    Log(LogKey),
    /// How strongly smoke shows at one place.
    SmokeAt(String),
    /// Whether anything passes a valve.
    Passage(String, How),
    /// Whether a sound valve stands open or shut without power.
    Rest(String),
}

/// What a valve is told while one looks whether anything passes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum How {
    /// Nothing: no power.
    AtRest,
    /// To shut.
    ToldShut,
    /// To open.
    ToldOpen,
    /// To leave its rest.
    ToldToMove,
    /// To leave its rest, with power from outside.
    WithPower,
    /// The same with its outlet pinched, so that only what goes past it can show.
    OutletPinched,
}

impl How {
    const ALL: [(Self, &'static str); 6] = [
        (Self::AtRest, "at rest"),
        (Self::ToldShut, "told shut"),
        (Self::ToldOpen, "told open"),
        (Self::ToldToMove, "told to move"),
        (Self::WithPower, "with power"),
        (Self::OutletPinched, "with outlet pinched"),
    ];

    fn words(self) -> &'static str {
        Self::ALL
            .iter()
            .find(|(how, _)| *how == self)
            .map_or("", |(_, words)| words)
    }
}

/// What kind of answer it takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// A quantity of this dimension.
    Quantity(Dimension),
    /// One of some words.
    Choice,
    /// Places.
    Places,
    /// Pairs of two values.
    Pairs,
}

macro_rules! plain {
    ($($(#[$doc:meta])* $name:ident = $words:literal, $asked:expr;)*) => {
        /// What is read, where plain words name it.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Plain { $($(#[$doc])* $name,)* }

        impl Plain {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// As it is written in a flow.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$name => $words,)* }
            }

            /// What kind of answer it takes.
            pub const fn asked(self) -> Asked {
                match self { $(Self::$name => $asked,)* }
            }
        }
    };
}

plain! {
    /// Flow that the float of the smoke unit shows.
    SmokeFlow = "smoke flow", Asked::Quantity(Dimension::VolumeFlow);
    /// Pressure that the gauge of the smoke unit shows.
    SmokePressure = "smoke pressure", Asked::Quantity(Dimension::Pressure);
    /// Pressure that the supply is set to before anything is connected.
    SupplyPressure = "supply pressure", Asked::Quantity(Dimension::Pressure);
    /// Gas of the supply.
    SupplyGas = "supply gas", Asked::Choice;
    /// Size of the test hole.
    TestHole = "test hole", Asked::Quantity(Dimension::Length);
    /// What anybody sees who looks: whether a float stands still, what a display says.
    VisualCheck = "visual check", Asked::Choice;
    /// Whether the fuelling is in closed loop.
    FuellingLoop = "fuelling loop", Asked::Choice;
    /// Pressure as the supply is shut.
    HoldStart = "hold start", Asked::Quantity(Dimension::Pressure);
    /// Pressure after the step's waiting time.
    HoldEnd = "hold end", Asked::Quantity(Dimension::Pressure);
    /// Vacuum, above zero, as the purge is shut.
    VacuumStart = "vacuum start", Asked::Quantity(Dimension::Pressure);
    /// Vacuum, above zero, after the step's waiting time.
    VacuumEnd = "vacuum end", Asked::Quantity(Dimension::Pressure);
    /// Where smoke, bubbles or drops show.
    SmokeSeen = "smoke seen", Asked::Places;
    /// Which place was covered.
    CoveredPlace = "covered place", Asked::Choice;
    /// Whether other places still show with this one covered.
    OtherPlaces = "other places", Asked::Choice;
    /// Which of the covered places mattered most.
    LargestPlace = "largest place", Asked::Choice;
    /// Which part the finding belongs to.
    Part = "part", Asked::Choice;
    /// Whether the complaint, or the car's own check, is there.
    Complaint = "complaint", Asked::Choice;
    /// How the engine meters its air.
    Metering = "metering", Asked::Choice;
    /// Banks with a fuel trim of their own.
    Banks = "banks", Asked::Quantity(Dimension::Count);
    /// Idle-air command or throttle angle of a sound engine of this kind.
    SoundThrottle = "idle throttle of a sound engine", Asked::Quantity(Dimension::Ratio);
    /// Idle speed that the control aims at.
    WantedSpeed = "idle speed wanted", Asked::Quantity(Dimension::Speed);
    /// Barometer here and now.
    Barometer = "barometer", Asked::Quantity(Dimension::Pressure);
    /// Height above the sea.
    Height = "height", Asked::Quantity(Dimension::Length);
    /// Manifold pressure by the control unit, key on, engine off.
    KeyOnPressure = "key-on manifold pressure", Asked::Quantity(Dimension::Pressure);
    /// Absolute pressure at the manifold pressure sensor, on a hand pump that is held, by its gauge.
    HeldPressure = "held pressure", Asked::Quantity(Dimension::Pressure);
    /// What the control unit makes of it.
    HeldShown = "manifold pressure while held", Asked::Quantity(Dimension::Pressure);
    /// Slope of the sound sensor's line.
    SensorSlope = "sensor slope", Asked::Quantity(Dimension::VoltagePerPressure);
    /// Signal of the sound sensor's line at no pressure.
    SensorZero = "sensor zero", Asked::Quantity(Dimension::Voltage);
    /// Size of the empty fuel tank.
    TankSize = "tank size", Asked::Quantity(Dimension::Volume);
    /// Share of the tank that is full of fuel.
    FuelLevel = "fuel level", Asked::Quantity(Dimension::Ratio);
    /// Space that is put under pressure.
    TestSpace = "space under test", Asked::Quantity(Dimension::Volume);
    /// Temperature of the air in the bay.
    BayTemperature = "bay temperature", Asked::Quantity(Dimension::Temperature);
    /// Temperature of what is tested, at rest.
    OwnTemperature = "temperature at rest", Asked::Quantity(Dimension::Temperature);
    /// The same as a hold begins.
    StartTemperature = "temperature at hold start", Asked::Quantity(Dimension::Temperature);
    /// The same as a hold ends.
    EndTemperature = "temperature at hold end", Asked::Quantity(Dimension::Temperature);
    /// Vacuum of the tank, above zero, by a gauge, while the purge draws.
    TankVacuum = "tank vacuum", Asked::Quantity(Dimension::Pressure);
    /// Pressure of the tank by the control unit, while the purge draws; below zero is vacuum.
    TankPressure = "tank pressure", Asked::Quantity(Dimension::Pressure);
    /// Pressure of the tank by the control unit, open to the air.
    TankAtRest = "tank pressure at rest", Asked::Quantity(Dimension::Pressure);
    /// Charge pressure that the control unit asks for, above the barometer.
    WantedCharge = "charge pressure wanted", Asked::Quantity(Dimension::Pressure);
    /// Charge pressure that it gets, above the barometer.
    Charge = "charge pressure", Asked::Quantity(Dimension::Pressure);
    /// Airflow under full load.
    LoadAirflow = "load airflow", Asked::Quantity(Dimension::MassFlow);
}

const COVERED: &str = " with place covered";
const SMOKE_AT: &str = "smoke at ";
const PASSAGE: &str = "passage through ";
const REST: &str = "rest of ";

impl Meaning {
    /// What these words name.
    pub fn parse(words: &str) -> Option<Self> {
        if let Some(what) = named(words) {
            return Some(Self {
                what,
                state: State::AsItStands,
            });
        }
        let (what, state) = split(words);
        let what = Plain::ALL
            .iter()
            .find(|plain| plain.words() == what)
            .map(|plain| What::Plain(*plain))
            .or_else(|| LogKey::parse(what).map(What::Log))?;
        let meaning = Self { what, state };
        meaning.goes_together().then_some(meaning)
    }

    /// What a key of a log means.
    pub fn of_log(key: LogKey) -> Self {
        Self {
            what: What::Log(key),
            state: State::AsItStands,
        }
    }

    /// Everything that can be written, but for names of places and valves.
    pub fn all_words() -> Vec<String> {
        let mut all = Vec::new();
        for plain in Plain::ALL {
            for state in [
                "",
                " with tip blocked",
                " with tip open",
                " with test hole",
                COVERED,
            ] {
                all.push(format!("{}{state}", plain.words()));
            }
        }
        for key in LogKey::all() {
            all.push(key.words());
            all.push(format!("{}{COVERED}", key.words()));
        }
        all.retain(|words| Self::parse(words).is_some());
        all.push("smoke at PLACE".to_owned());
        all.push("rest of NAME valve".to_owned());
        all.extend(How::ALL.map(|(_, how)| format!("passage through NAME valve {how}")));
        all.push("smoke flow through NAME valve".to_owned());
        all.push("smoke pressure through NAME valve".to_owned());
        all
    }

    /// What kind of answer it takes.
    pub fn asked(&self) -> Asked {
        match &self.what {
            What::Plain(plain) => plain.asked(),
            What::Log(LogKey::Mean(_, value)) => Asked::Quantity(value.dimension()),
            What::Log(LogKey::Sweep | LogKey::Trace) => Asked::Pairs,
            What::SmokeAt(_) | What::Passage(..) | What::Rest(_) => Asked::Choice,
        }
    }

    /// Its words in a flow.
    pub fn words(&self) -> String {
        let what = match &self.what {
            What::Plain(plain) => plain.words().to_owned(),
            What::Log(key) => key.words(),
            What::SmokeAt(place) => format!("{SMOKE_AT}{place}"),
            What::Passage(valve, how) => format!("{PASSAGE}{valve} valve {}", how.words()),
            What::Rest(valve) => format!("{REST}{valve} valve"),
        };
        match &self.state {
            State::AsItStands => what,
            State::TipBlocked => format!("{what} with tip blocked"),
            State::TipOpen => format!("{what} with tip open"),
            State::TestHole => format!("{what} with test hole"),
            State::PlaceCovered => format!("{what}{COVERED}"),
            State::Through(valve) => format!("{what} through {valve} valve"),
        }
    }

    /// Whether the thing can be read in this state at all.
    fn goes_together(&self) -> bool {
        use Plain::{HoldEnd, HoldStart, SmokeFlow, SmokePressure};
        let what = match &self.what {
            What::Plain(plain) => Some(*plain),
            _ => None,
        };
        match &self.state {
            State::AsItStands => true,
            State::TipBlocked | State::TipOpen | State::Through(_) => {
                matches!(what, Some(SmokeFlow | SmokePressure))
            }
            State::TestHole => {
                matches!(what, Some(SmokeFlow | SmokePressure | HoldStart | HoldEnd))
            }
            State::PlaceCovered => {
                matches!(what, Some(SmokeFlow | SmokePressure | HoldStart | HoldEnd))
                    || matches!(&self.what, What::Log(LogKey::Mean(_, value)) if *value != LogValue::Load)
            }
        }
    }
}

/// What has a place or a valve in its name.
fn named(words: &str) -> Option<What> {
    let name = |text: &str| Some(text.trim().to_owned()).filter(|text| !text.is_empty());
    if let Some(place) = words.strip_prefix(SMOKE_AT) {
        return name(place).map(What::SmokeAt);
    }
    if let Some(valve) = words.strip_prefix(REST) {
        return name(valve.strip_suffix(" valve")?).map(What::Rest);
    }
    let (valve, told) = words.strip_prefix(PASSAGE)?.split_once(" valve ")?;
    let (how, _) = How::ALL.iter().find(|(_, how)| *how == told)?;
    name(valve).map(|valve| What::Passage(valve, *how))
}

fn split(words: &str) -> (&str, State) {
    let plain = [
        (" with tip blocked", State::TipBlocked),
        (" with tip open", State::TipOpen),
        (" with test hole", State::TestHole),
        (COVERED, State::PlaceCovered),
    ];
    for (end, state) in plain {
        if let Some(what) = words.strip_suffix(end) {
            return (what, state);
        }
    }
    if let Some((what, valve)) = words
        .strip_suffix(" valve")
        .and_then(|w| w.split_once(" through "))
    {
        return (what, State::Through(valve.to_owned()));
    }
    (words, State::AsItStands)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_meaning_is_found_by_its_own_words_and_no_two_share_them() {
        let all: Vec<String> = Meaning::all_words()
            .into_iter()
            .filter(|words| !words.contains("NAME") && !words.contains("PLACE"))
            .collect();
        for words in &all {
            let meaning = Meaning::parse(words);
            assert_eq!(meaning.map(|m| m.words()).as_ref(), Some(words));
        }
        let distinct: std::collections::BTreeSet<_> = all.iter().collect();
        assert_eq!(distinct.len(), all.len());
    }

    #[test]
    fn names_of_places_and_valves_are_kept() {
        let through = Meaning::parse("smoke flow through recirculation valve");
        assert_eq!(
            through.map(|m| m.state),
            Some(State::Through("recirculation".to_owned()))
        );
        let at = Meaning::parse("smoke at throttle shaft");
        assert_eq!(
            at.map(|m| m.what),
            Some(What::SmokeAt("throttle shaft".to_owned()))
        );
        for words in [
            "passage through purge valve told to move",
            "rest of vent valve",
        ] {
            assert_eq!(
                Meaning::parse(words).map(|m| m.words()).as_deref(),
                Some(words)
            );
        }
    }

    #[test]
    fn what_cannot_be_read_in_a_state_is_no_meaning() {
        for words in [
            "smoke seen with tip blocked",
            "height with place covered",
            "hold start with tip open",
            "smoke",
            "smoke at ",
            "passage through purge valve",
            "rest of valve",
            "",
        ] {
            assert_eq!(Meaning::parse(words), None, "{words}");
        }
    }
}
