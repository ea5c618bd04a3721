//! The evidence on the screens: what was worked out, for which state of the job, and what of it is
//! looked at.

use std::sync::Arc;

use uuid::Uuid;

use super::{Model, Over, Screen};
use crate::engine::saving;
use crate::engine::standing::Standing;
use crate::engine::weighed::Weighed;
use crate::flow::target::Target;
use crate::rules::advice::{Advice, Here, Way};
use crate::rules::evidence::simulated::Simulated;
use crate::tui::habits::Habits;

/// A state of a job and of what the workshop has said: what an answer is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Key {
    /// The job.
    pub job: Uuid,
    /// The number of its last event.
    pub seq: u64,
    /// Counted up with every change of [`Evidence::habits`].
    pub said: u64,
}

/// What is known of the evidence.
#[derive(Clone, Debug, Default)]
pub struct Evidence {
    /// What the workshop has said once and for all.
    pub habits: Habits,
    /// How often that has changed.
    pub said: u64,
    /// The last question.
    pub asked: Option<Key>,
    /// The last answer.
    pub known: Option<(Key, Result<Arc<Advice>, String>)>,
    /// A better answer follows.
    pub more: bool,
    /// The simulated cars on which the last answer rests; none where it rests on words.
    pub cars: Option<Simulated>,
    /// A way that was taken and waits until something is taken down: where to, what the evidence
    /// said, and what is to be taken down.
    pub pending: Option<(Target, Box<Weighed>, Vec<String>)>,
}

/// What of the evidence is on screen.
#[derive(Clone, Debug, Default)]
pub struct Looked {
    /// Which page.
    pub page: Page,
    /// The cause picked.
    pub cause: usize,
    /// The way picked.
    pub way: usize,
    /// How far the page is scrolled; the map begins where the walk stands.
    pub scroll: u16,
}

/// The pages of the evidence.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Page {
    /// The causes, and what moved one of them.
    #[default]
    Causes,
    /// What can be done next.
    Next,
    /// The flow as a map.
    Map,
}

impl Page {
    /// All pages, in their order.
    pub const ALL: [Self; 3] = [Self::Causes, Self::Next, Self::Map];

    /// Its word on the ribbon.
    pub fn word(self) -> &'static str {
        match self {
            Self::Causes => "causes",
            Self::Next => "next step",
            Self::Map => "map",
        }
    }
}

impl Model {
    /// The key of what the evidence rests on now; nothing where no flow was begun.
    pub fn evidence_key(&self) -> Option<Key> {
        let open = self.open.as_ref()?;
        open.job.run()?;
        Some(Key {
            job: open.id,
            seq: open.job.seq,
            said: self.evidence.said,
        })
    }

    /// The evidence for where the job stands now; nothing while it is worked out, or where it
    /// cannot be.
    pub fn advice(&self) -> Option<&Advice> {
        match &self.evidence.known {
            Some((key, Ok(advice))) if Some(*key) == self.evidence_key() => Some(advice),
            _ => None,
        }
    }

    /// Whether the evidence for where the job stands is still being worked out.
    pub fn is_weighing(&self) -> bool {
        let now = self.evidence_key();
        let known = self.evidence.known.as_ref().map(|(key, _)| *key);
        now.is_some() && self.evidence.asked == now && known != now
    }

    /// The last evidence that was worked out for the job on screen, be it for an earlier state.
    pub fn last_advice(&self) -> Option<&Advice> {
        let now = self.evidence_key()?;
        match &self.evidence.known {
            Some((key, Ok(advice))) if key.job == now.job => Some(advice),
            _ => None,
        }
    }

    /// Why the evidence for where the job stands cannot be worked out.
    pub fn no_advice(&self) -> Option<&str> {
        match &self.evidence.known {
            Some((key, Err(why))) if Some(*key) == self.evidence_key() => Some(why),
            _ => None,
        }
    }

    /// The evidence, where it would do something else at this step, which is read in whole.
    pub fn other_way(&self) -> Option<(&Advice, &Way)> {
        if !matches!(self.standing(), Standing::Step(_)) {
            return None;
        }
        let advice = self.advice()?;
        let stuck = advice.beside.flow.is_none() && !advice.retest_first;
        let judged = advice.beside.here == Here::Judged && (stuck || advice.differs());
        judged.then_some((advice, advice.best()?))
    }

    /// What of the evidence is on screen.
    pub fn looked(&self) -> Option<&Looked> {
        match self.overs.last() {
            Some(Over::Evidence(looked)) => Some(looked),
            _ => None,
        }
    }

    /// Whether a flow was begun, so that there is evidence to look at.
    pub fn has_evidence(&self) -> bool {
        self.evidence_key().is_some() && !self.is_stopped()
    }

    /// Whether the step on screen can be left for where the evidence says.
    pub fn can_go_by(&self) -> bool {
        !self.is_held() && self.screen == Screen::Walk && self.other_way().is_some()
    }

    /// Whether a way of the evidence waits until what the control unit knows is saved. A script is not asked: its record
    /// says that nothing was.
    pub fn must_save_first(&self) -> bool {
        let open = self.open.as_ref().filter(|_| self.asks_to_wait);
        open.is_some_and(|open| saving::is_due(&open.job))
    }

    /// Whether Enter goes anywhere from the page of the evidence on screen.
    pub fn can_take_way(&self) -> bool {
        let picked = self.looked().filter(|looked| looked.page == Page::Next);
        let ways = self.last_advice().map_or(0, |advice| advice.ways.len());
        let retest = self.last_advice().is_some_and(|advice| advice.retest_first);
        !self.is_held() && !retest && picked.is_some_and(|looked| looked.way < ways)
    }
}
