//! What a technician sees, covers and names.

use std::collections::{BTreeMap, BTreeSet};

use crate::flow::answer::{Answer, Strength};
use crate::flow::condition::{ANOTHER_PLACE, NOWHERE};
use crate::flow::model::{Prompt, PromptKind};
use crate::flow::signature::{Shown, Shows};
use crate::physics::decay::Space;
use crate::physics::gas::{ATMOSPHERE, ROOM};

use super::drive::Drive;
use super::plan::shown;
use super::signature::{self, Pusher};

/// Flow from which smoke is called a steady thread, and from which it pours, m3/s: assumptions of ours, no source.
const STEADY: f64 = 0.7e-3 / 60.0;
const HEAVY: f64 = 4.0e-3 / 60.0;
/// In the cloud of a place that pours, less than this share of it is not seen: an assumption of ours, no source.
const IN_THE_CLOUD: f64 = 1.0 / 50.0;
/// What a signature does not mention is taken to be this unlikely.
const FLOOR: f64 = 0.02;

/// A cause that lets something out of the system under test.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Leaking {
    pub(super) cause: String,
    /// Where it shows on this car; `None` where it hides.
    pub(super) place: Option<String>,
    /// Its opening, m2.
    pub(super) area: f64,
}

/// A place that somebody covered.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Covered {
    pub(super) cause: Option<String>,
    pub(super) place: String,
    pub(super) area: f64,
}

fn strength(flow: f64) -> Strength {
    if flow >= HEAVY {
        Strength::Heavy
    } else if flow >= STEADY {
        Strength::Steady
    } else {
        Strength::Wisp
    }
}

/// The share of the leaks that a flow says to hide which hide in truth, by what leaves: all of those at the least that can
/// be seen, none of those that pour, evenly by the logarithm in between. An assumption of ours, no source. Where the least
/// that can be seen pours already, whatever can be seen hides no more.
fn hides(flow: f64, least: f64) -> f64 {
    if least <= 0.0 || flow <= least {
        return 1.0;
    }
    if least >= HEAVY {
        return 0.0;
    }
    (1.0 - (flow / least).ln() / (HEAVY / least).ln()).clamp(0.0, 1.0)
}

/// What leaves through an opening at a pressure, m3/s at 20 C and 101.325 kPa.
fn leaves(space: &Space, pressure: f64, area: f64) -> f64 {
    area * space.flux(pressure) / space.gas.density(ATMOSPHERE, ROOM)
}

impl Drive<'_> {
    /// What can be seen, the strongest first, with its flow; what is covered is not.
    pub(super) fn visible(&self, earlier: &BTreeMap<String, Answer>) -> Vec<(Leaking, f64)> {
        let space = self.space(earlier);
        let pressure = self.stand(earlier, true).pressure;
        let mut seen: Vec<(Leaking, f64)> = self
            .leaking()
            .into_iter()
            .filter(|leak| leak.place.is_some() && !self.is_covered(&leak.cause))
            .map(|leak| {
                let flow = leaves(&space, pressure, leak.area);
                (leak, flow)
            })
            .filter(|(_, flow)| *flow > self.plan.kind.seen_from)
            .collect();
        seen.sort_by(|a, b| b.1.total_cmp(&a.1));
        let strongest = seen.first().map_or(0.0, |(_, flow)| *flow);
        if strongest >= HEAVY && !self.plan.kind.liquid {
            seen.retain(|(_, flow)| *flow >= IN_THE_CLOUD * strongest);
        }
        seen
    }

    /// Where a leak shows after all that hides by the flow's words, because more leaves than can be overlooked. Only where
    /// somebody works by hand: the trial's cars and the reasoning over causes keep to the words. A cause that mostly shows
    /// nowhere sits where nobody can look.
    pub(super) fn too_large_to_hide(&self, pusher: &Pusher, area: f64) -> Option<String> {
        if self.hands.is_none() || self.plan.kind.liquid {
            return None;
        }
        let reading = self.plan.seen().next()?;
        let place = signature::likeliest_place(self.plan.flow, &reading.id, pusher.cause)?;
        let nowhere = signature::mostly_hides(self.plan.flow, &reading.id, pusher.cause);
        let flow = leaves(&self.car.air_space(), self.usual_pressure(), area);
        let share = hides(flow, self.plan.kind.seen_from);
        let hides = pusher.dice.fork("overlooked", 0).between(0.0, 1.0) < share;
        (!nowhere && !hides).then_some(place)
    }

    pub(super) fn is_covered(&self, cause: &str) -> bool {
        let mut covered = self.covered.iter();
        covered.any(|covered| covered.cause.as_deref() == Some(cause))
    }

    /// Where it shows: what leaks, what shows on a sound car too, and what causes without physics show.
    pub(super) fn places(&mut self, prompt: &Prompt, earlier: &BTreeMap<String, Answer>) -> Answer {
        self.reveal(prompt);
        let mut places: BTreeMap<String, Strength> = BTreeMap::new();
        let background = self.background(&prompt.id);
        for place in signature::background_places(self.plan.flow, prompt, &background) {
            places.insert(place, Strength::Wisp);
        }
        for pusher in self.pushers(|present| present.faults.is_empty()) {
            if let Some(place) = signature::place(self.plan.flow, &prompt.id, &pusher) {
                places.insert(place, Strength::Steady);
            }
        }
        for (leak, flow) in self.visible(earlier) {
            if let Some(place) = leak.place {
                let strength = strength(flow);
                let known = places.entry(place).or_insert(strength);
                *known = (*known).max(strength);
            }
        }
        if let PromptKind::Places(asked) = &prompt.kind {
            places.retain(|place, _| asked.contains(place) || place == ANOTHER_PLACE);
        }
        Answer::Places(places)
    }

    /// What hid from one search need not hide from another, as the flow says of it.
    fn reveal(&mut self, prompt: &Prompt) {
        let hidden = self.leaking().into_iter();
        let hidden = hidden.filter(|leak| leak.place.is_none() && !self.is_covered(&leak.cause));
        let found: Vec<(String, String)> = hidden
            .filter_map(|leak| {
                let pusher = self.pusher(&leak.cause);
                let place = signature::place(self.plan.flow, &prompt.id, &pusher)?;
                Some((leak.cause, place))
            })
            .collect();
        self.revealed.extend(found);
    }

    /// How strongly smoke shows at one place when it is worked: what hid there comes out.
    pub(super) fn smoke_at(
        &mut self,
        prompt: &Prompt,
        place: &str,
        earlier: &BTreeMap<String, Answer>,
    ) -> Option<Answer> {
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        let space = self.space(earlier);
        let pressure = self.stand(earlier, true).pressure;
        let reading = self.plan.seen().next()?.id.clone();
        let there: Vec<Leaking> = self
            .leaking()
            .into_iter()
            .filter(|leak| !self.is_covered(&leak.cause))
            .filter(|leak| {
                let likeliest = signature::likeliest_place(self.plan.flow, &reading, &leak.cause);
                leak.place.as_deref() == Some(place) || likeliest.as_deref() == Some(place)
            })
            .collect();
        let area: f64 = there.iter().map(|leak| leak.area).sum();
        let flow = leaves(&space, pressure, area);
        if flow <= self.plan.kind.seen_from {
            return None;
        }
        self.revealed
            .extend(there.into_iter().map(|leak| (leak.cause, place.to_owned())));
        let word = match strength(flow) {
            Strength::Wisp => "wisp",
            Strength::Steady => "steady",
            Strength::Heavy => "heavy",
        };
        words
            .iter()
            .find(|other| *other == word)
            .or(words.last())
            .cloned()
            .map(Answer::Choice)
    }

    /// Covers the place that shows most and is not covered yet.
    pub(super) fn cover(&mut self, earlier: &BTreeMap<String, Answer>) {
        let next = self.next_cover(earlier);
        self.covered.extend(next);
    }

    /// The place that shows most and is not covered yet.
    pub(super) fn next_cover(&self, earlier: &BTreeMap<String, Answer>) -> Option<Covered> {
        let next = self.visible(earlier).into_iter().next();
        if let Some((leak, _)) = next {
            return Some(Covered {
                place: leak.place.unwrap_or_default(),
                cause: Some(leak.cause),
                area: leak.area,
            });
        }
        // Nothing of a size shows: then the wisp that was seen is covered, and nothing changes.
        let known: BTreeSet<&str> = self.covered.iter().map(|c| c.place.as_str()).collect();
        let mut wisps = self.wisps(earlier).into_iter();
        let place = wisps.find(|p| !known.contains(p.as_str()))?;
        Some(Covered {
            cause: None,
            place,
            area: 0.0,
        })
    }

    /// Places that were noted or worked, whatever is behind them.
    fn wisps(&self, earlier: &BTreeMap<String, Answer>) -> Vec<String> {
        let mut wisps = Vec::new();
        for prompt in &self.plan.flow.readings {
            let meaning = self.plan.meaning(&prompt.id).map(|m| &m.what);
            match (meaning, earlier.get(&prompt.id)) {
                (Some(crate::flow::meaning::What::SmokeAt(place)), Some(Answer::Choice(word)))
                    if word != "none" =>
                {
                    wisps.push(place.clone());
                }
                (_, Some(Answer::Places(places))) => wisps.extend(places.keys().cloned()),
                _ => {}
            }
        }
        wisps
    }

    /// The word of a choice that stands for a place or the part behind it.
    pub(super) fn word_for(
        &self,
        prompt: &Prompt,
        place: &str,
        cause: Option<&str>,
    ) -> Option<String> {
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        if let Some(word) = cause.and_then(|cause| self.plan.name(&prompt.id, cause)) {
            return Some(word.to_owned());
        }
        let by_place = words.iter().find(|word| *word == place);
        by_place.or(words.last()).cloned()
    }

    /// Which of the covered places made the float fall most.
    pub(super) fn largest(&self) -> Option<&Covered> {
        let covered = self.covered.iter();
        covered.reduce(|a, b| if b.area > a.area { b } else { a })
    }

    /// The part that a technician names: what leaks at the place that shows most; else the cause that fits best what
    /// was found in words.
    pub(super) fn part(
        &self,
        prompt: &Prompt,
        earlier: &BTreeMap<String, Answer>,
    ) -> Option<String> {
        let just_covered = self
            .covered
            .last()
            .and_then(|covered| covered.cause.clone());
        let visible = || {
            self.visible(earlier)
                .into_iter()
                .next()
                .map(|(leak, _)| leak.cause)
        };
        if let Some(cause) = just_covered.or_else(visible) {
            return self.word_for(prompt, "", Some(&cause));
        }
        let named = |cause: &str| self.plan.name(&prompt.id, cause);
        let causes = self.plan.flow.causes.iter();
        let fits =
            causes.filter_map(|cause| Some((named(&cause.id)?, self.fit(&cause.shows, earlier))));
        let best = fits.reduce(|a, b| if b.1 > a.1 { b } else { a });
        best.map(|(word, _)| word.to_owned())
            .or_else(|| self.word_for(prompt, "", None))
    }

    /// How well a cause fits the words that were found, against a sound car: a sum of logarithms.
    fn fit(&self, shows: &[Shows], earlier: &BTreeMap<String, Answer>) -> f64 {
        let chance = |shows: &[Shows], id: &str, word: &str| match shown(shows, id) {
            Some(Shown::Words(stated)) => stated
                .iter()
                .find(|(other, _)| other == word)
                .map_or(Some(FLOOR), |(_, p)| Some(*p)),
            _ => None,
        };
        let mut sum = 0.0;
        for (id, answer) in earlier {
            let words: Vec<&str> = match answer {
                Answer::Choice(word) => vec![word],
                Answer::Places(places) if places.is_empty() => vec![NOWHERE],
                Answer::Places(places) => places.keys().map(String::as_str).collect(),
                _ => continue,
            };
            for word in words {
                let sound = chance(&self.plan.flow.healthy, id, word).unwrap_or(FLOOR);
                if let Some(here) = chance(shows, id, word) {
                    sum += (here.max(FLOOR) / sound.max(FLOOR)).ln();
                }
            }
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_can_be_seen_hides_less_the_more_of_it_leaves_wherever_seeing_begins() {
        for least in [0.01 * HEAVY, 0.9 * HEAVY, HEAVY, 3.0 * HEAVY] {
            let shares = [0.5, 1.0, 1.01, 5.0, 1000.0].map(|times| hides(times * least, least));
            assert!(shares.is_sorted_by(|a, b| a >= b), "{least}: {shares:?}");
            assert!(shares[0] >= 1.0 && shares[4] <= 0.0, "{least}: {shares:?}");
        }
    }
}
