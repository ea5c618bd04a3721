//! A job as the page looks at it, and the questions that several sections ask of it.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use chrono::{DateTime, Utc};

use super::text::named;
use super::{Made, RestsOn};
use crate::engine::event::{Event, OutcomeTaken, Suggested, Verdict};
use crate::engine::job::{How, Job, Run, Station, Visit};
use crate::engine::judge;
use crate::flow::model::{Detour, Outcome, Step};
use crate::flow::working::Picture;

/// A job with its events and what the page says about itself.
#[derive(Clone, Copy)]
pub struct Case<'j> {
    /// The job.
    pub job: &'j Job,
    /// Its events.
    pub events: &'j [Event],
    /// When and for whom the page is made.
    pub made: &'j Made,
    /// What followed from the readings at each visit, by the event that opened it: several sections
    /// ask, and working it out is by far the longest part of making a page.
    pub pictures: &'j Pictures,
    /// What the evidence rests on beside the authors' words and odds.
    pub rests_on: RestsOn<'j>,
}

/// Pictures that were worked out already.
#[derive(Debug, Default)]
pub struct Pictures(RefCell<BTreeMap<u64, Rc<Picture>>>);

/// A step that was walked.
pub struct Walked<'j> {
    /// The flow's run.
    pub run: &'j Run,
    /// The step.
    pub step: &'j Step,
    /// The visit.
    pub visit: &'j Visit,
}

impl<'j> Case<'j> {
    /// A moment, in the page's own zone.
    pub fn when(&self, at: DateTime<Utc>) -> String {
        let at = at.with_timezone(self.made.at.offset());
        at.format("%Y-%m-%d %H:%M").to_string()
    }

    /// Whether the car was made up for an exercise.
    pub fn is_practice(&self) -> bool {
        self.job.practised
    }

    /// The line at the foot of the page.
    pub fn foot(&self) -> String {
        format!(
            "Made with ruleout {} on {} (all times UTC{}) from a record of {} entries, the last of {}.",
            env!("CARGO_PKG_VERSION"),
            self.made.at.format("%Y-%m-%d %H:%M"),
            self.made.at.format("%:z"),
            self.events.len(),
            self.job
                .last
                .map_or_else(|| "never".to_owned(), |at| self.when(at)),
        )
    }

    /// Whether a flow was begun and left again at its first step with nothing read: by mistake, as far as the record shows.
    pub fn is_begun_only(&self, run: &Run) -> bool {
        let first = run.path.first().map_or(0, |visit| visit.since_seq);
        run.verdict == Some(Verdict::Left)
            && run.path.len() == 1
            && self.job.taken_in(first).next().is_none()
    }

    /// What follows from the readings that count at a visit, corrections included.
    pub fn picture(&self, run: &Run, visit: &Visit) -> Rc<Picture> {
        let known = self.pictures.0.borrow().get(&visit.since_seq).cloned();
        known.unwrap_or_else(|| {
            let made = Rc::new(judge::picture_at(self.job, run, visit));
            let mut pictures = self.pictures.0.borrow_mut();
            pictures.insert(visit.since_seq, Rc::clone(&made));
            made
        })
    }

    /// The steps walked, along the way that counts, in order.
    pub fn walked(&self) -> impl Iterator<Item = Walked<'j>> + use<'j> {
        self.job.runs.iter().flat_map(|run| {
            run.walked().iter().filter_map(move |visit| {
                let Station::Step(id) = &visit.station else {
                    return None;
                };
                let step = run.flow.step(id)?;
                Some(Walked { run, step, visit })
            })
        })
    }

    /// The highest number of a test.
    pub fn tests(&self) -> u32 {
        let visits = self.job.runs.iter().flat_map(Run::walked);
        visits.map(|visit| visit.test).max().unwrap_or(1)
    }

    /// What a test is called: "test 2, after: Hose renewed".
    pub fn test_name(&self, test: u32) -> String {
        let before = test.saturating_sub(1);
        let repaired: Vec<String> = self
            .job
            .repairs
            .iter()
            .filter(|r| r.done.is_some() && r.test == before)
            .map(|r| named(&r.cause, &r.name))
            .collect();
        match (test, repaired.is_empty()) {
            (1, _) if self.tests() > 1 => "Test 1, before any repair".to_owned(),
            (_, true) => format!("Test {test}"),
            (_, false) => format!("Test {test}, after the repair of: {}", repaired.join("; ")),
        }
    }
}

impl<'j> Walked<'j> {
    /// How it was ended, if with an outcome.
    pub fn taken(&self) -> Option<&'j OutcomeTaken> {
        match &self.visit.left.as_ref()?.how {
            How::Outcome(taken) => Some(taken),
            _ => None,
        }
    }

    /// What the author says where the readings did not count, or could not tell. Where only the other
    /// way was written, the walk took that.
    fn detour(&self) -> Option<&'j Detour> {
        let (unsure, invalid) = (self.step.unsure.as_ref(), self.step.invalid.as_ref());
        let taken = self.taken()?;
        if !taken.unread.is_empty() {
            // Nothing was judged: what it hangs on was read first.
            return None;
        }
        match taken.suggested {
            Suggested::Outcome(_) => None,
            Suggested::NotValid => invalid.or(unsure),
            Suggested::Unsure | Suggested::NoMatch => unsure.or(invalid),
        }
    }

    /// What the author says of the readings where no outcome was taken: the step was left by another
    /// way than the flow's, or they did not settle it.
    pub fn of_the_readings(&self) -> Option<&'j str> {
        let taken = self.taken()?;
        match &taken.suggested {
            Suggested::Outcome(id) => {
                let mut outcomes = self.step.outcomes.iter();
                let matched = outcomes.find(|outcome| outcome.id == *id)?;
                Some(matched.because.as_str())
            }
            _ => self.detour().map(|detour| detour.because.as_str()),
        }
    }

    /// The flow's outcome that was taken.
    pub fn outcome(&self) -> Option<&'j Outcome> {
        crate::engine::job::outcome_of(self.run, self.taken()?)
    }

    /// What followed from the readings when it was left, corrections included.
    pub fn picture(&self, case: &Case) -> Rc<Picture> {
        case.picture(self.run, self.visit)
    }
}
