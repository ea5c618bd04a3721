//! What hands do on the car: openings, supply, covers, the search of places, the engine.

use super::{Answers, Bay, is_yours, ports};
use crate::flow::answer::{Answer, Strength};
use crate::flow::cautions::{LET_DOWN, about_limit_of};
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::physics::gas::Gas;
use crate::plant::hands::Fed;
use crate::practice::harm::Harm;
use crate::practice::log::{Wrong, costs};
use crate::practice::look::{self, There};
use crate::practice::search::Search;
use crate::practice::traps::{Heat, burns, lets_cool, runs_engine, wants_cold};
use crate::units::Dimension;

/// The caution that speaks of a cooling system that is opened hot.
const SCALDS: &str = "hot-cooling-system";

impl<'p> Bay<'p> {
    /// Closes an opening.
    pub fn close(&mut self, opening: &str) -> Option<Harm> {
        let own = self.is_of_step(opening);
        if !own {
            self.pay_for_hands();
        }
        // Where steps open the filler neck themselves, what is closed opens nothing.
        let scalds = self.plan.kind.liquid && ports(self.plan).next().is_none();
        if self.heat != Heat::Cold && burns(self.plan.flow) && (scalds || !self.plan.kind.liquid) {
            let caution = if scalds { SCALDS } else { "exhaust-gas" };
            return Some(self.harm(Harm::Hot(caution.to_owned())));
        }
        self.said.remove(opening);
        self.drive.close(opening);
        let paid = (self.at.charged, self.at.waited);
        let figures = self.has_read_figures();
        self.changed();
        if own && !figures {
            // In the course of the step: nothing that hangs on it was read yet, and nothing is done twice.
            (self.at.charged, self.at.waited) = paid;
        }
        None
    }

    /// Whether a figure was read at this step.
    fn has_read_figures(&self) -> bool {
        let mut asked = self.at.asked.iter();
        let prompts = |id: &String| self.plan.flow.reading(id);
        asked.any(|id| prompts(id).is_some_and(|p| matches!(p.kind, PromptKind::Quantity(_))))
    }

    /// Whether a step tells to shut an opening before it reads, as part of its own minutes and of no set-up.
    fn is_of_step(&self, opening: &str) -> bool {
        let seals = |step: &Step| {
            let mut set_up = step.set_up.iter().flat_map(|set_up| &set_up.seal);
            set_up.any(|sealed| sealed == opening)
        };
        let Some(step) = self.here.filter(|step| !seals(step)) else {
            return false;
        };
        let put_together = self.to_shut(step).contains(&opening);
        put_together || self.said_shut(step).contains(&opening) && !self.drive.is_closed(opening)
    }

    /// Opens an opening, or opens it again.
    pub fn open(&mut self, opening: &str) -> Option<Harm> {
        self.pay_for_hands();
        let is_neck = ports(self.plan).any(|port| port == opening) && self.drive.is_closed(opening);
        if is_neck && self.plan.kind.liquid && self.heat != Heat::Cold {
            return Some(self.harm(Harm::Hot(SCALDS.to_owned())));
        }
        self.said.remove(opening);
        self.drive.open(opening);
        self.changed();
        None
    }

    /// Why the supply cannot be connected as the car stands: a pump goes on in place of the cap.
    pub fn no_way_in(&self) -> Option<String> {
        let shut = ports(self.plan).find(|port| self.drive.is_closed(port))?;
        self.plan.kind.liquid.then(|| {
            format!(
                "the pump goes on in place of the cap, and the cap is on: first open this: {shut}"
            )
        })
    }

    /// Why something cannot be closed as the car stands: the pump is where the cap goes.
    pub fn no_way_on(&self, opening: &str) -> Option<String> {
        let pumped = self.plan.kind.liquid && self.fed.is_some();
        (pumped && ports(self.plan).any(|port| port == opening)).then(|| {
            "the pump is on there in place of the cap: let the pressure down and take it off first"
                .to_owned()
        })
    }

    /// What undoing this opening would do: nothing where no supply is connected, where it is not closed, or where no
    /// caution of the flow says to let the pressure down first. A purge line is only pinched; what goes through it has a
    /// caution of its own; and the tip of a smoke unit is opened under pressure to try it.
    pub fn not_let_down(&self, opening: &str) -> Option<Harm> {
        let comes_off = self.plan.openings().contains(&opening)
            && !opening.starts_with("purge")
            && self.plan.kind.name != "smoke unit"
            && self.drive.is_closed(opening);
        if !comes_off {
            return None;
        }
        self.under_pressure().map(Harm::NotLetDown)
    }

    /// Whether something is blown out of an opening that is open, where a caution says to let the pressure down first.
    pub fn blows_out(&self, opening: &str) -> bool {
        let is_end = self.plan.openings().contains(&opening) && !opening.starts_with("purge");
        is_end && !self.drive.is_closed(opening) && self.under_pressure().is_some()
    }

    /// What taking a part off to repair it would do; nothing where [`Self::not_let_down`] says so of any opening.
    pub fn part_under_pressure(&self) -> Option<Harm> {
        self.under_pressure().map(Harm::PartUnderPressure)
    }

    /// The caution that says to let the pressure down first, where a supply is connected.
    fn under_pressure(&self) -> Option<String> {
        self.fed?;
        let caution = LET_DOWN.iter().find(|id| self.is_warned_of(id))?;
        Some((*caution).to_owned())
    }

    /// Whether the flow, or a step of it, has this caution.
    fn is_warned_of(&self, id: &str) -> bool {
        let flow = self.plan.flow;
        let of_steps = flow.steps.iter().flat_map(|step| &step.cautions);
        flow.cautions.iter().chain(of_steps).any(|c| c == id)
    }

    /// Sets the supply and connects it. `missing` is a caution that nobody has accepted yet.
    pub fn feed(&mut self, fed: Fed, missing: Option<&str>) -> Option<Harm> {
        if let Some(caution) = missing {
            return Some(self.harm(Harm::NotAccepted(caution.to_owned())));
        }
        if self.is_above_limit(fed.pressure) {
            return Some(self.harm(Harm::AboveLimit(self.of_pressure())));
        }
        if self.plan.kind.name == "fuel vapour" && fed.gas == Gas::Air {
            return Some(self.harm(Harm::AirIntoVapour));
        }
        self.fed = Some(fed);
        self.drive.feed(Some(fed));
        self.changed();
        None
    }

    /// What reading this at the step does where the engine runs for it and the supply is connected. What somebody says
    /// of their own doing there, or sees on the standing engine, needs no running engine.
    pub fn ran_with_supply(&self, reading: &str) -> Option<Harm> {
        let harm = if self.fed.is_some() {
            Harm::RanWithSupply(self.of_running())
        } else if self.is_open_neck() && self.here.is_some_and(|step| self.is_driven(step)) {
            Harm::RanOpen(SCALDS.to_owned())
        } else {
            return None;
        };
        let step = self.here.filter(|step| runs_engine(self.plan, step))?;
        let asked = step.record.iter().find(|id| *id == reading)?;
        let prompt = self.plan.flow.reading(asked)?;
        self.runs_for(prompt).then_some(harm)
    }

    /// Whether the neck of a cooling system stands open.
    fn is_open_neck(&self) -> bool {
        self.plan.kind.liquid && !self.ports_open().is_empty()
    }

    /// Whether the engine runs for a reading of a step at which it does: not for what somebody says, nor for what anybody
    /// sees who looks, such as whether a place can be reached.
    pub(super) fn runs_for(&self, prompt: &Prompt) -> bool {
        let look = Some(&What::Plain(Plain::VisualCheck));
        let looks = self.plan.meaning(&prompt.id).map(|m| &m.what) == look;
        !looks && !is_yours(self.plan, prompt)
    }

    /// The caution of this flow that speaks of a supply on a running engine.
    fn of_running(&self) -> String {
        if self.plan.kind.liquid && self.is_warned_of(SCALDS) {
            return SCALDS.to_owned();
        }
        let about = ["smoke-off", "no-self-start", "gas-cylinder"];
        let caution = about.iter().find(|id| self.is_warned_of(id));
        (*caution.unwrap_or(&"smoke-off")).to_owned()
    }

    /// The caution of this flow that speaks of too high a pressure.
    fn of_pressure(&self) -> String {
        let about = about_limit_of(Dimension::Pressure);
        // One that speaks of the limit goes before the one about what flies off.
        let general = "eye-protection";
        let mut own = about.iter().filter(|id| **id != general);
        let caution = own.find(|id| self.is_warned_of(id));
        (*caution.unwrap_or(&general)).to_owned()
    }

    /// Takes the supply off.
    pub fn supply_off(&mut self) {
        if self.fed.is_none() {
            return;
        }
        self.fed = None;
        self.drive.feed(None);
        self.changed();
    }

    /// Covers a place; where places are tried on the running engine it is freed again.
    pub fn cover(&mut self, place: &str, earlier: &Answers) {
        if self.tries().is_some() {
            self.try_place(place, earlier);
            return;
        }
        if self.drive.covered().any(|covered| covered == place) {
            return;
        }
        self.spend_by_hand(costs::COVER);
        self.drive.cover_place(place);
        self.changed();
    }

    /// Takes all covers off.
    pub fn uncover(&mut self) {
        if self.drive.covered().next().is_none() {
            return;
        }
        self.spend_by_hand(costs::COVER);
        self.drive.uncover();
        self.changed();
    }

    /// Searches a place with what the step searches with; what shows there by now.
    pub fn look(&mut self, place: &str, seconds: u32, earlier: &Answers) -> Option<Strength> {
        self.read(earlier);
        if let Some(step) = self.here {
            if let Some(prompt) = self.places(step) {
                self.hold_to_claims(step, prompt);
            }
            if !self.can_show(step) {
                let test = self.test();
                self.log.slip(&step.id, test, Wrong::NothingFed);
            }
        }
        self.spend(f64::from(seconds) / 60.0);
        let can_show = self.here.is_none_or(|step| self.can_show(step));
        let looked = if can_show {
            &mut self.at.looked
        } else {
            &mut self.at.looked_unfed
        };
        *looked.entry(place.to_owned()).or_default() += seconds;
        self.seen(place, earlier)
    }

    /// What is seen at a place after the looking so far.
    pub(super) fn seen(&self, place: &str, earlier: &Answers) -> Option<Strength> {
        let step = self.here?;
        if !self.can_show(step) {
            return None;
        }
        let shown = self.at.shown.as_ref()?;
        let mut all = shown.values();
        let strength = all.find_map(|answer| match answer {
            Answer::Places(places) => places.get(place).copied(),
            _ => None,
        })?;
        let flows = self.drive.flows_out(earlier);
        let flow = flows
            .get(place)
            .map(|flow| (*flow, self.plan.kind.seen_from));
        let own = self.drawn.dice.fork(place, 100 + u64::from(self.test()));
        let hidden = self.draught && self.is_hidden_by_draught(step);
        let takes = look::takes(There { strength, flow }, hidden, &own);
        (f64::from(self.looked_fed(place)) >= takes).then_some(strength)
    }

    /// Whether a draught hides what shows at a step's places.
    pub fn is_hidden_by_draught(&self, step: &Step) -> bool {
        let prompt = self.places(step);
        prompt.is_some_and(|prompt| Search::of(prompt, Some(step)).is_hidden_by_draught())
    }

    /// Goes round every plug, cap and clamp: each opening, and whether it is closed.
    pub fn go_round(&mut self) -> Vec<(&'p str, bool)> {
        self.spend_by_hand(costs::ROUND);
        self.said.clear();
        let openings = self.plan.openings().iter();
        openings
            .map(|opening| (*opening, self.drive.is_closed(opening)))
            .collect()
    }

    /// Runs the engine until it is warm.
    pub fn warm(&mut self) -> Option<Harm> {
        if self.fed.is_some() {
            let harm = Harm::RanWithSupply(self.of_running());
            return Some(self.harm(harm));
        }
        if self.is_open_neck() {
            return Some(self.harm(Harm::RanOpen(SCALDS.to_owned())));
        }
        if self.heat == Heat::Cold {
            self.spend_by_hand(costs::WARM);
            self.heat = Heat::Warm;
            self.ran();
            self.changed();
        }
        None
    }

    /// Lets the engine cool. Where the step itself says to let cool what is reached for, and nothing has to be cold, that is
    /// part of its minutes, and the engine stays warm.
    pub fn cool(&mut self) {
        if self.heat != Heat::Cold && !self.cools_within_step() {
            self.spend_by_hand(costs::COOL);
            self.heat = Heat::Cold;
            self.changed();
        }
    }

    /// Whether what is reached for cools within the minutes of the step.
    pub fn cools_within_step(&self) -> bool {
        let (plan, step) = (self.plan, self.here);
        step.is_some_and(|step| lets_cool(step) && !wants_cold(plan, step)) && !burns(plan.flow)
    }

    /// Shuts the door of the bay.
    pub fn shut_door(&mut self) {
        if self.draught {
            self.spend_by_hand(costs::DOOR);
            self.draught = false;
        }
    }

    /// Looks at the ranges of the gauges: each, and whether it fits.
    pub fn see_gauges(&mut self) -> Vec<(String, bool)> {
        self.spend_by_hand(costs::GAUGES);
        let gauges = self.plan.flow.gauges.iter();
        gauges
            .map(|gauge| {
                let fits = self.coarse.as_deref() != Some(gauge.id.as_str());
                (gauge.name.clone(), fits)
            })
            .collect()
    }

    /// Sets a gauge to the range that fits.
    pub fn set_range(&mut self, gauge: &str) {
        self.spend_by_hand(costs::RANGE);
        if self.coarse.as_deref() == Some(gauge) {
            self.coarse = None;
            self.changed();
        }
    }
}
