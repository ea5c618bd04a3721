//! A car on which somebody closes, covers and feeds by hand. What they forget stays as it is, and shows in the
//! readings.

use std::collections::BTreeMap;

use crate::flow::answer::Answer;
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::physics::gas::Gas;
use crate::units::Quantity;

use super::drive::Drive;
use super::seen::Covered;
use super::signature;

/// What a supply is set to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fed {
    /// The gas.
    pub gas: Gas,
    /// Pressure against the barometer, Pa.
    pub pressure: f64,
}

impl Fed {
    /// The gas in a word.
    pub fn gas_word(&self) -> &'static str {
        match self.gas {
            Gas::Air => "air",
            Gas::Nitrogen => "nitrogen",
            Gas::CarbonDioxide => "carbon dioxide",
        }
    }
}

/// What is in somebody's hands instead of the steps'.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Hands {
    /// What the supply feeds; `None` while it is off.
    pub(super) fed: Option<Fed>,
    /// The supply is switched on by itself, at its usual setting, while it is connected to nothing.
    pub(super) unit_alone: bool,
}

impl Drive<'_> {
    /// From now on nothing is closed, opened, covered or fed but by hand.
    #[must_use]
    pub fn by_hand(mut self) -> Self {
        self.hands = Some(Hands::default());
        self
    }

    /// Closes an opening.
    pub fn close(&mut self, opening: &str) {
        self.sealed.insert(opening.to_owned());
    }

    /// Opens an opening again.
    pub fn open(&mut self, opening: &str) {
        self.sealed.remove(opening);
    }

    /// Whether an opening is closed.
    pub fn is_closed(&self, opening: &str) -> bool {
        self.sealed.contains(opening)
    }

    /// Sets the supply, or switches it off.
    pub fn feed(&mut self, fed: Option<Fed>) {
        if let Some(hands) = &mut self.hands {
            hands.fed = fed;
        }
    }

    /// The supply is switched on by itself while it is connected to nothing, or not.
    pub fn try_unit_alone(&mut self, on: bool) {
        if let Some(hands) = &mut self.hands {
            hands.unit_alone = on;
        }
    }

    /// Whether a reading shows what is left of a pressure that another gauge on the supply's line showed before it, as the
    /// second of a hold does: some worked value that a signature describes rests on both.
    pub fn is_what_is_left(&self, prompt: &Prompt) -> bool {
        let gauges = self.plan.gauges_on_supply();
        let mut before = gauges.take_while(|(_, gauge)| gauge.id != prompt.id);
        before.any(|(_, first)| self.plan.are_described_together(&first.id, &prompt.id))
    }

    /// What a gauge of such a pair shows at first: what is fed. What is left of it is worked out of that.
    pub(super) fn stands_at_fed(&self, step: &Step, prompt: &Prompt) -> Option<Answer> {
        let hands = self.hands.as_ref().filter(|hands| !hands.unit_alone)?;
        let fed = hands.fed?;
        let PromptKind::Quantity(asked) = &prompt.kind else {
            return None;
        };
        let plan = self.plan;
        let mut here = plan.gauges_on_supply().filter(|(at, _)| at.id == step.id);
        let mut all = plan.gauges_on_supply();
        let is_one = here.any(|(_, gauge)| gauge.id == prompt.id)
            && all.any(|(_, other)| plan.are_described_together(&other.id, &prompt.id));
        let highest = asked.plausible.map_or(f64::INFINITY, |(_, high)| high.si());
        let shows = asked.unit.from_si(fed.pressure.min(highest));
        let shows = Quantity::new(shows, asked.unit).ok()?;
        is_one.then_some(Answer::Quantity(shows))
    }

    /// How much of its usual flow the supply gives with the tip open: by Bernoulli as the root of its pressure.
    pub(super) fn fed_share(&self) -> f64 {
        if self.hands.is_none() {
            return 1.0;
        }
        let usual = self.usual_pressure();
        (self.set_pressure() / usual).sqrt().min(1.0)
    }

    /// Covers a place, by its own name or by the word that a reading has for it: the largest leak there, whether or not
    /// anything comes out of it at the moment.
    pub fn cover_place(&mut self, place: &str) {
        if self.covered.iter().any(|covered| covered.place == place) {
            return;
        }
        let leaking = self.leaking().into_iter();
        let there = leaking
            .filter(|leak| leak.place.as_deref() == Some(place) && !self.is_covered(&leak.cause));
        let found = there.reduce(|a, b| if b.area > a.area { b } else { a });
        self.covered.push(Covered {
            area: found.as_ref().map_or(0.0, |leak| leak.area),
            cause: found.map(|leak| leak.cause),
            place: place.to_owned(),
        });
    }

    /// A cause is repaired by hand: what is closed or covered elsewhere on the car stays so.
    pub fn mend(&mut self, cause: &str) {
        let sealed = std::mem::take(&mut self.sealed);
        let covered = std::mem::take(&mut self.covered);
        self.repair(cause, true);
        self.sealed = sealed;
        self.covered = covered;
    }

    /// The covered places that lie on the part of a cause.
    pub fn covers_on(&self, cause: &str) -> Vec<String> {
        let mut readings = self.plan.seen();
        let usual = readings
            .next()
            .and_then(|reading| signature::likeliest_place(self.plan.flow, &reading.id, cause));
        let on = |covered: &&Covered| match &covered.cause {
            Some(own) => own == cause,
            None => usual.as_deref() == Some(covered.place.as_str()),
        };
        let there = self.covered.iter().filter(on);
        there.map(|covered| covered.place.clone()).collect()
    }

    /// Takes the cover off at these places.
    pub fn uncover_at(&mut self, places: &[String]) {
        self.covered
            .retain(|covered| !places.contains(&covered.place));
    }

    /// Takes all covers off.
    pub fn uncover(&mut self) {
        self.covered.clear();
    }

    /// The places that are covered, in their order.
    pub fn covered(&self) -> impl Iterator<Item = &str> {
        self.covered.iter().map(|covered| covered.place.as_str())
    }

    /// The place that a technician would cover next: the one that shows most and is not covered yet.
    pub fn shows_most(&self, earlier: &BTreeMap<String, Answer>) -> Option<String> {
        self.next_cover(earlier).map(|covered| covered.place)
    }

    /// What leaves at each place at which it can be seen, m3/s at 20 C and 101.325 kPa. Places that a sound car or
    /// a cause in words shows are not among them: nothing is known of their flow.
    pub fn flows_out(&self, earlier: &BTreeMap<String, Answer>) -> BTreeMap<String, f64> {
        let mut flows: BTreeMap<String, f64> = BTreeMap::new();
        for (leak, flow) in self.visible(earlier) {
            if let Some(place) = leak.place {
                *flows.entry(place).or_default() += flow;
            }
        }
        flows
    }

    /// Whether what leaves by a cause can be seen at some place.
    pub fn is_seen(&self, cause: &str, earlier: &BTreeMap<String, Answer>) -> bool {
        let mut visible = self.visible(earlier).into_iter();
        visible.any(|(leak, _)| leak.cause == cause)
    }

    /// The word of a choice that stands for a place, as a technician would say it who sees what is behind it.
    pub fn word_of_place(
        &self,
        prompt: &Prompt,
        place: &str,
        earlier: &BTreeMap<String, Answer>,
    ) -> Option<String> {
        let visible = self.visible(earlier).into_iter().map(|(leak, _)| leak);
        let mut there = visible.filter(|leak| leak.place.as_deref() == Some(place));
        let cause = there.next().map(|leak| leak.cause);
        let covered = self.covered.iter().find(|covered| covered.place == place);
        let cause = cause.or_else(|| covered.and_then(|covered| covered.cause.clone()));
        self.word_for(prompt, place, cause.as_deref())
    }
}
