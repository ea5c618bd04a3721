//! Who works the evidence out beside the screens, so that no key press waits for it.
//!
//! A question is a copy of the job; the answer comes back as a message, with the key by which an
//! answer to an older state is known and dropped. Of questions that pile up only the last is
//! answered.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::thread;

use uuid::Uuid;

use super::model::EvidenceKey as Key;
use crate::engine::job::Job;
use crate::rules::advice::{Advice, Lesson, Question, advise, with_flows};
use crate::rules::evidence::inquiry::Asked as Inquired;
use crate::rules::evidence::simulated::{Simulated, facts};

/// What the workshop's own closed jobs teach, or why they cannot be read.
pub type Closed = Result<Vec<Lesson>, String>;
/// Reads them.
pub type OwnJobs = Box<dyn FnMut() -> Closed + Send>;
/// Makes simulated cars for what is asked, or takes those that were kept; nothing where physics
/// knows none of the readings.
pub type MakesCars = Box<dyn FnMut(&Inquired) -> Option<Simulated> + Send>;

/// What is asked.
#[derive(Clone, Debug)]
pub struct Asked {
    /// Which state of which job.
    pub key: Key,
    /// The job.
    pub job: Job,
    /// Gear that is not at hand.
    pub not_here: Vec<String>,
    /// Whether the workshop's own jobs are left out.
    pub ignore_own_jobs: bool,
}

/// What came of it.
#[derive(Clone, Debug)]
pub struct Answer {
    /// Which state of which job.
    pub key: Key,
    /// The advice, or why there is none.
    pub advice: Result<Arc<Advice>, String>,
    /// A better one follows: this one rests on words, and the cars are being made.
    pub more: bool,
}

/// Somebody who works the evidence out.
pub trait Weigher {
    /// Asks; an answer to an earlier question is not waited for any more.
    fn ask(&mut self, asked: Asked);
    /// The answer, once it is there.
    fn answer(&mut self) -> Option<Answer>;
    /// Whether an answer is waited for.
    fn is_busy(&self) -> bool;
}

/// Nobody: the screens show no evidence.
#[derive(Debug, Default)]
pub struct Nobody;

impl Weigher for Nobody {
    fn ask(&mut self, _: Asked) {}
    fn answer(&mut self) -> Option<Answer> {
        None
    }
    fn is_busy(&self) -> bool {
        false
    }
}

/// Works it out: the own jobs are read once for each job that is asked about, cars are made once for
/// each set of flows and facts.
pub struct Desk {
    own_jobs: Option<OwnJobs>,
    makes_cars: Option<MakesCars>,
    read: Option<(Uuid, Closed)>,
    cars: Option<(String, Option<Simulated>)>,
}

impl Desk {
    /// A desk; without `own_jobs` it knows the authors' odds alone, without `makes_cars` their words.
    pub fn new(own_jobs: Option<OwnJobs>, makes_cars: Option<MakesCars>) -> Self {
        Self {
            own_jobs,
            makes_cars,
            read: None,
            cars: None,
        }
    }

    /// Answers a question, by words first where cars are still to be made.
    pub fn answer(&mut self, asked: &Asked, mut say: impl FnMut(Answer)) {
        let key = with_flows(&asked.job, |inquired| {
            let facts = facts(inquired.flows, inquired.rounds);
            Simulated::key(inquired.flows, &facts, inquired.together, 0, 0)
        });
        let known = self.cars.as_ref().is_some_and(|(made, _)| *made == key);
        if !known && self.makes_cars.is_some() {
            say(self.advice(asked, None, true));
            let made = with_flows(&asked.job, |inquired| self.makes_cars.as_mut()?(inquired));
            self.cars = Some((key, made));
        }
        let cars = self.cars.as_ref().and_then(|(_, cars)| cars.clone());
        say(self.advice(asked, cars.as_ref(), false));
    }

    fn advice(&mut self, asked: &Asked, cars: Option<&Simulated>, more: bool) -> Answer {
        let job = asked.key.job;
        let known = self.read.as_ref().is_some_and(|(read, _)| *read == job);
        if !known && let Some(own_jobs) = &mut self.own_jobs {
            self.read = Some((job, own_jobs()));
        }
        let (own, trouble) = match &self.read {
            Some((_, Ok(lessons))) if !asked.ignore_own_jobs => {
                // A job is no witness in its own case.
                let others = lessons.iter().filter(|lesson| lesson.job != job);
                (others.cloned().collect(), None)
            }
            Some((_, Err(why))) if !asked.ignore_own_jobs => (Vec::new(), Some(why.clone())),
            _ => (Vec::new(), None),
        };
        let question = Question {
            not_here: &asked.not_here,
            own_jobs: &own,
            cars,
        };
        let advice = advise(&asked.job, question);
        Answer {
            key: asked.key,
            more,
            advice: advice
                .map(|mut advice| {
                    let note = |why| format!("the workshop's own jobs are not counted: {why}");
                    advice.warnings.extend(trouble.map(note));
                    Arc::new(advice)
                })
                .map_err(|error| error.to_string()),
        }
    }
}

/// A desk in a thread of its own.
pub struct Beside {
    to: Sender<Asked>,
    from: Receiver<Answer>,
    waiting: Option<Key>,
}

impl Beside {
    /// Begins the thread; it ends with this.
    pub fn new(own_jobs: Option<OwnJobs>, makes_cars: Option<MakesCars>) -> Self {
        let (to, questions) = channel::<Asked>();
        let (answers, from) = channel();
        thread::spawn(move || {
            let mut desk = Desk::new(own_jobs, makes_cars);
            while let Ok(mut asked) = questions.recv() {
                while let Ok(newer) = questions.try_recv() {
                    asked = newer;
                }
                // Once the screens are gone, so is the other end of `questions`.
                desk.answer(&asked, |answer| drop(answers.send(answer)));
            }
        });
        Self {
            to,
            from,
            waiting: None,
        }
    }
}

impl Weigher for Beside {
    fn ask(&mut self, asked: Asked) {
        self.waiting = Some(asked.key);
        // If the thread is gone, `answer` says so.
        let _ = self.to.send(asked);
    }

    fn answer(&mut self) -> Option<Answer> {
        let waiting = self.waiting?;
        let answer = match self.from.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Answer {
                key: waiting,
                more: false,
                advice: Err("it cannot be worked out any more; start the program again".to_owned()),
            },
        };
        if answer.key == waiting && !answer.more {
            self.waiting = None;
        }
        Some(answer)
    }

    fn is_busy(&self) -> bool {
        self.waiting.is_some()
    }
}

/// A desk that answers at once, for tests.
#[cfg(test)]
pub struct AtOnce {
    desk: Desk,
    answer: Option<Answer>,
}

#[cfg(test)]
impl AtOnce {
    /// With these own jobs.
    pub fn new(own_jobs: Option<OwnJobs>) -> Self {
        Self {
            desk: Desk::new(own_jobs, None),
            answer: None,
        }
    }
}

#[cfg(test)]
impl Weigher for AtOnce {
    fn ask(&mut self, asked: Asked) {
        let mut last = None;
        self.desk.answer(&asked, |answer| last = Some(answer));
        self.answer = last;
    }
    fn answer(&mut self) -> Option<Answer> {
        self.answer.take()
    }
    fn is_busy(&self) -> bool {
        self.answer.is_some()
    }
}
