//! The supply, line by line: gas and pressure, of a hand pump the pressure alone.

use super::{Line, Said, refused};
use crate::engine::practised::Practised;
use crate::units::preferred::said;
use crate::units::{Dimension, Quantity};

/// The gases by the words for them, the longer before those that they begin with.
const GASES: [&str; 4] = ["carbon dioxide", "carbon-dioxide", "nitrogen", "air"];

const OF_A_SUPPLY: &str = "supply GAS PRESSURE, such as: supply nitrogen 3.4 kPa; or: supply off";
const OF_A_PUMP: &str = "this is a hand pump, of which no gas is asked: supply PRESSURE, such as: supply 100 kPa; or: supply off";

impl Line<'_> {
    pub(super) fn supply(&mut self, rest: &str) -> Result<String, Said> {
        if rest == "off" {
            return self.hand(&Practised::SupplyOff);
        }
        let mut gases = GASES.iter();
        let found = gases.find_map(|gas| Some((*gas, rest.strip_prefix(gas)?)));
        let set = match (self.session.bay.is_pumped(), found) {
            // What a pump presses in is not chosen; the record has air for it.
            (true, None) => Some(("air", rest)),
            (true, Some(_)) => return refused(OF_A_PUMP),
            (false, found) => found,
        };
        let Some((gas, pressure)) = set else {
            return refused(OF_A_SUPPLY);
        };
        let pressure: Quantity = match pressure.trim().parse() {
            Ok(pressure) => pressure,
            Err(error) => return refused(error),
        };
        // Warned of once, as a reading above the limit can be taken back: whoever says the same once more means it.
        let again = self.warned.take().is_some_and(|before| before == rest);
        let bay = &self.session.bay;
        let above =
            pressure.dimension() == Dimension::Pressure && bay.is_above_limit(pressure.si());
        if let Some(limit) = bay.limit().filter(|_| above && !again) {
            self.warned = Some(rest.to_owned());
            return refused(format!(
                "that is above {}. Nothing is connected yet: say it right if it is a slip; the same once more connects it",
                said(limit)
            ));
        }
        self.hand(&Practised::Fed {
            gas: gas.replace(' ', "-"),
            pressure,
        })
    }
}
