//! Who works the evidence out beside the screens, so that no key press waits for it.
//!
//! A question is a copy of the job; the answer comes back as a message, with the key by which an
//! answer to an older state is known and dropped. Of questions that pile up only the last is
//! answered. Simulated cars take seconds to make: they are made by a thread of their own, and until
//! they are there the words of the flows answer.

use std::sync::mpsc::{Receiver, Sender, TryRecvError, channel};
use std::sync::{Arc, Mutex, PoisonError};
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
    /// Whether the words of the flows count alone, without simulated cars.
    pub by_words: bool,
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
    /// The simulated cars on which it rests; none where it rests on words.
    pub cars: Option<Simulated>,
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

/// Works it out: the own jobs are read once for each job that is asked about, the cars of the last
/// flows and facts are kept.
pub struct Desk {
    own_jobs: Option<OwnJobs>,
    read: Option<(Uuid, Closed)>,
    cars: Option<(String, Option<Simulated>)>,
}

impl Desk {
    /// A desk; without `own_jobs` it knows the authors' odds alone.
    pub fn new(own_jobs: Option<OwnJobs>) -> Self {
        Self {
            own_jobs,
            read: None,
            cars: None,
        }
    }

    /// What cars for a question are known by; nothing where no cars are wanted.
    fn cars_of(asked: &Asked) -> Option<String> {
        let key = |inquired: &Inquired| {
            let facts = facts(inquired.flows, inquired.rounds);
            Simulated::key(inquired.flows, &facts, inquired.together, 0, 0)
        };
        (!asked.by_words).then(|| with_flows(&asked.job, key))
    }

    /// The cars that are still to be made for a question.
    fn lacks(&self, asked: &Asked) -> Option<String> {
        let wanted = Self::cars_of(asked)?;
        let known = self.cars.as_ref().is_some_and(|(made, _)| *made == wanted);
        (!known).then_some(wanted)
    }

    /// Answers a question, by words where cars are wanted and are not made; `more` where they will
    /// be.
    fn answer(&mut self, asked: &Asked, more: bool) -> Answer {
        let cars = match &self.cars {
            Some((made, cars)) if Self::cars_of(asked).as_ref() == Some(made) => cars.clone(),
            _ => None,
        };
        self.advice(asked, cars.as_ref(), more)
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
            cars: cars.cloned(),
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

/// What the desk hears.
enum Heard {
    Asked(Box<Asked>),
    /// Cars, by what they are known by.
    Made(String, Option<Simulated>),
    /// The screens are gone.
    Over,
}

/// A desk in a thread of its own, with another that makes the cars.
pub struct Threaded {
    to: Sender<Heard>,
    from: Receiver<Answer>,
    waiting: Option<Key>,
}

impl Threaded {
    /// Begins the thread; it ends with this. Without `makes_cars` the flows' words count alone.
    pub fn new(own_jobs: Option<OwnJobs>, makes_cars: Option<MakesCars>) -> Self {
        let (to, heard) = channel::<Heard>();
        let (answers, from) = channel();
        let mut maker = makes_cars.map(|makes| Maker {
            makes: Arc::new(Mutex::new(makes)),
            making: None,
            done: to.clone(),
        });
        thread::spawn(move || {
            let mut desk = Desk::new(own_jobs);
            let mut last: Option<Box<Asked>> = None;
            while let Ok(first) = heard.recv() {
                for heard in std::iter::once(first).chain(heard.try_iter()) {
                    match heard {
                        Heard::Asked(asked) => last = Some(asked),
                        Heard::Made(key, cars) => {
                            desk.cars = Some((key, cars));
                            if let Some(maker) = &mut maker {
                                maker.making = None;
                            }
                        }
                        Heard::Over => return,
                    }
                }
                let Some(asked) = &last else { continue };
                let lacks = desk.lacks(asked).filter(|_| maker.is_some());
                drop(answers.send(desk.answer(asked, lacks.is_some())));
                if let (Some(lacks), Some(maker)) = (lacks, &mut maker) {
                    maker.make(lacks, asked);
                }
            }
        });
        Self {
            to,
            from,
            waiting: None,
        }
    }
}

/// Makes cars, one kind at a time.
struct Maker {
    makes: Arc<Mutex<MakesCars>>,
    making: Option<String>,
    done: Sender<Heard>,
}

impl Maker {
    /// Begins to make the cars of a question, unless others are being made: then it is asked again
    /// when those are done.
    fn make(&mut self, key: String, asked: &Asked) {
        if self.making.is_some() {
            return;
        }
        self.making = Some(key.clone());
        let (makes, done, job) = (
            Arc::clone(&self.makes),
            self.done.clone(),
            asked.job.clone(),
        );
        thread::spawn(move || {
            // Said even if the making fails: without cars the words go on counting.
            let mut made = Made {
                key,
                cars: None,
                done,
            };
            let mut makes = makes.lock().unwrap_or_else(PoisonError::into_inner);
            made.cars = with_flows(&job, |inquired| makes(inquired));
        });
    }
}

/// Cars that are said to be made when this is dropped.
struct Made {
    key: String,
    cars: Option<Simulated>,
    done: Sender<Heard>,
}

impl Drop for Made {
    fn drop(&mut self) {
        let made = Heard::Made(std::mem::take(&mut self.key), self.cars.take());
        drop(self.done.send(made));
    }
}

impl Drop for Threaded {
    fn drop(&mut self) {
        // A thread that is gone needs no word.
        drop(self.to.send(Heard::Over));
    }
}

impl Weigher for Threaded {
    fn ask(&mut self, asked: Asked) {
        self.waiting = Some(asked.key);
        // If the thread is gone, `answer` says so.
        let _ = self.to.send(Heard::Asked(Box::new(asked)));
    }

    fn answer(&mut self) -> Option<Answer> {
        let waiting = self.waiting?;
        let answer = match self.from.try_recv() {
            Ok(answer) => answer,
            Err(TryRecvError::Empty) => return None,
            Err(TryRecvError::Disconnected) => Answer {
                key: waiting,
                more: false,
                cars: None,
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
            desk: Desk::new(own_jobs),
            answer: None,
        }
    }
}

#[cfg(test)]
impl Weigher for AtOnce {
    fn ask(&mut self, asked: Asked) {
        self.answer = Some(self.desk.answer(&asked, false));
    }
    fn answer(&mut self) -> Option<Answer> {
        self.answer.take()
    }
    fn is_busy(&self) -> bool {
        self.answer.is_some()
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicBool, Ordering};

    use super::*;
    use crate::tui::tests::bench::Bench;

    /// The next answer.
    fn answer(desk: &mut Threaded) -> Answer {
        for _ in 0..3000 {
            if let Some(answer) = desk.answer() {
                return answer;
            }
            thread::sleep(std::time::Duration::from_millis(10));
        }
        panic!("no answer comes");
    }

    #[test]
    fn words_answer_every_question_until_the_cars_are_made() {
        let (made, wait) = channel::<()>();
        let makes: MakesCars = Box::new(move |_| {
            wait.recv().ok();
            None
        });
        let mut desk = Threaded::new(None, Some(makes));
        let mut asked = Bench::at_first_step().asked();
        for seq in [7, 8] {
            asked.key.seq = seq;
            desk.ask(asked.clone());
            let answer = answer(&mut desk);
            assert_eq!((answer.key.seq, answer.more), (seq, true));
            assert!(desk.is_busy());
        }
        made.send(()).unwrap();
        let last = answer(&mut desk);
        assert_eq!((last.key.seq, last.more), (8, false));
        assert!(!desk.is_busy());
    }

    #[test]
    fn no_cars_are_made_where_the_words_count_alone() {
        let made = Arc::new(AtomicBool::new(false));
        let seen = Arc::clone(&made);
        let makes: MakesCars = Box::new(move |_| {
            seen.store(true, Ordering::SeqCst);
            None
        });
        let mut desk = Threaded::new(None, Some(makes));
        let mut asked = Bench::at_first_step().asked();
        asked.by_words = true;
        desk.ask(asked.clone());
        assert!(!answer(&mut desk).more);
        assert!(!made.load(Ordering::SeqCst));
        // The same with cars makes them.
        asked.by_words = false;
        desk.ask(asked);
        assert!(answer(&mut desk).more && !answer(&mut desk).more);
        assert!(made.load(Ordering::SeqCst));
    }

    #[test]
    fn where_the_making_fails_the_words_go_on_counting() {
        let makes: MakesCars = Box::new(|_| panic!("the making fails, as this test wants it to"));
        let mut desk = Threaded::new(None, Some(makes));
        desk.ask(Bench::at_first_step().asked());
        assert!(answer(&mut desk).more && !answer(&mut desk).more);
        assert!(!desk.is_busy());
    }
}
