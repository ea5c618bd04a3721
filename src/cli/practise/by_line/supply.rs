//! The supply, line by line: gas and pressure, of a hand pump the pressure alone.

use super::{Line, Said, refused};
use crate::engine::practised::Practised;
use crate::units::preferred::said;
use crate::units::{Dimension, Quantity};

/// The gases by the words for them, the longer before those that they begin with.
const GASES: [&str; 4] = ["carbon dioxide", "carbon-dioxide", "nitrogen", "air"];

impl Line<'_> {
    pub(super) fn supply(&mut self, rest: &str) -> Result<String, Said> {
        if rest == "off" {
            return self.hand(&Practised::SupplyOff);
        }
        let mut gases = GASES.iter();
        let found = gases.find_map(|gas| Some((*gas, rest.strip_prefix(gas)?)));
        let pumped = self.session.bay.is_pumped();
        let Some((gas, pressure)) = found.or(pumped.then_some(("air", rest))) else {
            return refused(
                "supply GAS PRESSURE, such as: supply nitrogen 3.4 kPa; or: supply off",
            );
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
