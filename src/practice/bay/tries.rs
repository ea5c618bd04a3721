//! Places tried one after the other on the running engine: each is covered, watched and freed again by the apprentice's
//! own hands, and what changes is seen then. Nobody else does it for them.

use std::collections::BTreeSet;

use super::{Answers, Bay};
use crate::flow::answer::Answer;
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Prompt, PromptKind, Step};
use crate::plant::plan::Plan;
use crate::practice::harm::Harm;
use crate::practice::traps::runs_engine;

/// So many of a reading's words must be places for it to be one of places that are tried: an assumption of ours, so that a
/// word that happens to name a place makes no search of a question.
const PLACES: usize = 3;

/// The words of a reading that stand for places to be tried at a step, in their order, and the word that says that none
/// of them changes anything: the first of the choices.
pub fn tried_at<'p>(
    plan: &Plan<'p>,
    step: &Step,
    prompt: &'p Prompt,
) -> Option<(&'p str, &'p [String])> {
    let PromptKind::Choice(words) = &prompt.kind else {
        return None;
    };
    if plan.meaning(&prompt.id).is_some() || !runs_engine(plan, step) {
        return None;
    }
    let listed: BTreeSet<&str> = listed(plan).collect();
    let (none, places) = words.split_first()?;
    let known = places.iter().filter(|word| listed.contains(word.as_str()));
    (known.count() >= PLACES && !listed.contains(none.as_str())).then_some((none, places))
}

/// Every place that some reading lists.
fn listed<'p>(plan: &Plan<'p>) -> impl Iterator<Item = &'p str> {
    let places = plan.flow.readings.iter();
    let places = places.filter_map(|prompt| match &prompt.kind {
        PromptKind::Places(places) => Some(places),
        _ => None,
    });
    places.flatten().map(String::as_str)
}

impl<'p> Bay<'p> {
    /// The reading of the present step for which places are tried, with its word for none of them and the places.
    pub fn tries(&self) -> Option<(&'p Prompt, &'p str, &'p [String])> {
        let step = self.here?;
        self.tries_at(step)
    }

    /// The same of any step.
    pub(super) fn tries_at(&self, step: &Step) -> Option<(&'p Prompt, &'p str, &'p [String])> {
        let plan = self.plan;
        let mut prompts = step.record.iter().filter_map(|id| plan.flow.reading(id));
        prompts.find_map(|prompt| {
            let (none, places) = tried_at(plan, step, prompt)?;
            Some((prompt, none, places))
        })
    }

    /// The places tried at this step so far.
    pub fn tried(&self) -> &BTreeSet<String> {
        &self.at.tried
    }

    /// Tries one place: covers it, waits, watches and frees it again. Each takes its share of the step's minutes. Whether
    /// anything changes; nothing where no place is tried here.
    pub fn try_place(&mut self, place: &str, earlier: &Answers) -> Option<bool> {
        let (prompt, _, places) = self.tries()?;
        let step = self.here?;
        if !places.iter().any(|known| known == place) {
            return None;
        }
        self.read(earlier);
        self.hold_to_claims(step, prompt);
        #[expect(clippy::cast_precision_loss, reason = "there are few places")]
        self.spend(step.minutes / places.len() as f64);
        self.at.tried.insert(place.to_owned());
        let shown = self.at.shown.as_ref()?.get(&prompt.id);
        Some(matches!(shown, Some(Answer::Choice(word)) if word == place))
    }

    /// Whether the engine cannot run at this step, since what it breathes by is shut.
    pub fn stays_still(&self) -> bool {
        self.drive.chokes()
    }

    /// What trying a place on the running engine does while the supply is connected.
    pub fn tries_with_supply(&self) -> Option<Harm> {
        let (prompt, ..) = self.tries()?;
        self.ran_with_supply(&prompt.id)
    }

    /// Whether a reading of the present step shows by trying place after place.
    pub fn is_tried(&self, prompt: &Prompt) -> bool {
        self.tries()
            .is_some_and(|(asked, ..)| asked.id == prompt.id)
    }

    /// What the places tried so far show: the one that changes something, or none once all were tried.
    pub(super) fn by_tries(&self, prompt: &Prompt, shown: &Answer) -> Option<Answer> {
        let (asked, none, places) = self.tries()?;
        let Answer::Choice(word) = shown else {
            return None;
        };
        if asked.id != prompt.id {
            return None;
        }
        if self.at.tried.contains(word) {
            return Some(shown.clone());
        }
        let all = places.iter().all(|place| self.at.tried.contains(place));
        all.then(|| Answer::Choice(none.to_owned()))
    }

    /// The places that can be covered: every place that some reading lists, in the order of the flow, as they are looked
    /// at; none where nothing is read with a place covered. Where places are tried, those.
    pub fn to_cover(&self) -> Vec<&'p str> {
        if let Some((_, _, places)) = self.tries() {
            return places.iter().map(String::as_str).collect();
        }
        let readings = &self.plan.flow.readings;
        let covers = readings.iter().filter_map(Prompt::meaning).any(|meaning| {
            meaning.what == What::Plain(Plain::CoveredPlace) || meaning.state == State::PlaceCovered
        });
        let mut places: Vec<&str> = Vec::new();
        for place in listed(self.plan).filter(|_| covers) {
            if !places.contains(&place) {
                places.push(place);
            }
        }
        places
    }
}
