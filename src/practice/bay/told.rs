//! How the car stands, in words: what is seen at a glance, and what hands have done.

use super::{Bay, Believed};
use crate::practice::traps::runs_engine;

impl Bay<'_> {
    /// What somebody sees who glances round the bay, without looking at anything further.
    pub fn glance(&self) -> String {
        let door = if self.draught {
            "door open"
        } else {
            "no draught"
        };
        let mut words = Vec::new();
        if self.has_engine() {
            let runs = self.step().is_some_and(|step| runs_engine(self.plan, step));
            let warmth = if runs {
                self.heat.words()
            } else {
                self.heat.at_rest()
            };
            words.push(warmth.to_owned());
        }
        words.extend([door.to_owned(), self.set_up()]);
        words.join("; ")
    }

    /// How the car is set up, as the apprentice believes it to be: what hands have done, and nothing that is to be found
    /// out.
    pub fn set_up(&self) -> String {
        let supply = match self.fed {
            Some(fed) if self.is_pumped() => {
                format!("hand pump on, at {:.1} kPa", fed.pressure / 1000.0)
            }
            Some(fed) => format!(
                "{} connected at {:.1} kPa",
                fed.gas_word(),
                fed.pressure / 1000.0
            ),
            None if self.is_pumped() => "hand pump not on".to_owned(),
            None => "no supply connected".to_owned(),
        };
        let mut words = vec![supply];
        let openings = self.openings();
        let are = |state| {
            let these = openings.iter().filter(move |(_, is)| *is == state);
            these.map(|(name, _)| *name).collect::<Vec<_>>()
        };
        let (closed, said) = (are(Believed::Closed), are(Believed::Said));
        if !closed.is_empty() {
            words.push(format!("closed: {}", closed.join(", ")));
        }
        if !said.is_empty() {
            words.push(format!("said to be closed: {}", said.join(", ")));
        }
        let covered = self.covered();
        if !covered.is_empty() {
            words.push(format!("covered: {}", covered.join(", ")));
        }
        words.join("; ")
    }
}
