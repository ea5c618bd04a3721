//! The question on screen: the first that is asked on this car and not answered yet, or one that
//! somebody went back to.

use super::{Entry, Model, Offered, OpenJob};
use crate::engine::carry::{self, Earlier};
use crate::engine::event::What;
use crate::engine::hold;
use crate::engine::job::Taken;
use crate::engine::judge;
use crate::engine::standing::Standing;
use crate::flow::answer::Answer;
use crate::flow::facts::is_of_workshop;
use crate::flow::model::Prompt;

/// The question on screen.
#[derive(Clone, Debug)]
pub struct Asked<'m> {
    /// What is asked.
    pub prompt: &'m Prompt,
    /// A fact, rather than a reading of the step.
    pub fact: bool,
    /// The visit's opening event and the prompt's id.
    pub key: (u64, String),
    /// Which question of how many.
    pub number: (usize, usize),
}

impl Model {
    /// The question on screen, if one is asked.
    pub fn asked(&self) -> Option<Asked<'_>> {
        let open = self.open.as_ref()?;
        let visit = open.job.visit()?.since_seq;
        let (questions, fact) = self.questions()?;
        let at = self.at_question(open, &questions)?;
        // What is read already may decide that the rest is not worth reading.
        if !fact && open.again.is_none() && judge::ends_early(&open.job) {
            return None;
        }
        let count = questions.len();
        let prompt = questions.into_iter().nth(at)?.0;
        Some(Asked {
            prompt,
            fact,
            key: (visit, prompt.id.clone()),
            number: (at + 1, count),
        })
    }

    /// The questions of this station, each with whether it is dealt with, and whether they are
    /// facts. Facts are those that were given since the walk came here, then those still missing.
    fn questions(&self) -> Option<(Vec<(&Prompt, bool)>, bool)> {
        let open = self.open.as_ref()?;
        match self.standing() {
            Standing::Facts(missing) => {
                let given = open.facts_given().into_iter().map(|prompt| (prompt, true));
                let missing = missing.into_iter().map(|prompt| (prompt, false));
                Some((given.chain(missing).collect(), true))
            }
            Standing::Step(_) => Some((open.job.prompts_now(), false)),
            _ => None,
        }
    }

    /// The question before the one on screen, if there is one at this station.
    pub fn question_before(&self) -> Option<String> {
        let open = self.open.as_ref()?;
        let (questions, _) = self.questions()?;
        let at = match self.asked() {
            Some(_) => self.at_question(open, &questions)?,
            None => questions.len(),
        };
        let dealt = questions
            .get(..at)?
            .iter()
            .rev()
            .find(|(_, dealt)| *dealt)?;
        Some(dealt.0.id.clone())
    }

    /// After the question that was asked again: the next one, asked again as well if it has an
    /// answer, so that somebody who went back several questions comes forward one at a time.
    pub fn go_to_next_question(&mut self) {
        let next = self.questions().and_then(|(questions, _)| {
            let open = self.open.as_ref()?;
            let at = self.at_question(open, &questions)?;
            let (prompt, done) = questions.get(at + 1)?;
            done.then(|| prompt.id.clone())
        });
        if let Some(open) = &mut self.open {
            open.again = next;
        }
    }

    /// Begins a new entry where the question has changed.
    pub fn sync(&mut self) {
        let fresh = match self.asked() {
            Some(asked) => {
                let same = self
                    .open
                    .as_ref()
                    .is_some_and(|open| open.entry.key.as_ref() == Some(&asked.key));
                if same {
                    return;
                }
                let mut entry = Entry::new(asked.key.clone(), asked.prompt, self.given(&asked));
                if asked.fact {
                    entry.by_settings = self.by_settings(asked.prompt);
                } else {
                    self.add_earlier(&mut entry, asked.prompt);
                }
                entry
            }
            None => Entry::default(),
        };
        if let Some(open) = &mut self.open {
            open.entry = fresh;
        }
    }

    /// The answer that was given to this question since the walk came here.
    fn given(&self, asked: &Asked) -> Option<Answer> {
        let open = self.open.as_ref()?;
        if open.again.is_none() && !self.begins_anew(asked.prompt) {
            return None;
        }
        if asked.fact {
            return open.job.facts.get(&asked.prompt.id).cloned();
        }
        let run = open.job.run()?;
        let void = |taken: &Taken| {
            let step = run.step();
            step.is_some_and(|step| hold::is_void(&open.job, &run.flow, step, taken))
        };
        let here = open.job.taken_in(asked.key.0);
        here.filter(|taken| taken.reading == asked.prompt.id)
            .last()
            .filter(|taken| !void(taken))
            .map(|taken| taken.value.clone())
    }

    /// What the workshop's settings say to a question about the workshop itself.
    fn by_settings(&self, prompt: &Prompt) -> Option<Answer> {
        let altitude = self
            .settings
            .altitude
            .filter(|_| is_of_workshop(&prompt.id));
        altitude.map(Answer::Quantity)
    }

    fn add_earlier(&self, entry: &mut Entry, prompt: &Prompt) {
        let earlier = self
            .open
            .as_ref()
            .and_then(|open| carry::earlier(&open.job, prompt));
        match earlier {
            Some(Earlier::MayBeTakenOver(taken, flow)) => {
                entry.offer = Some(Offered {
                    seq: taken.seq,
                    value: taken.value.clone(),
                    flow: flow.to_owned(),
                });
            }
            Some(Earlier::ReadAnew(taken)) => entry.earlier = Some(taken.value.clone()),
            None => {}
        }
    }

    /// Whether this is the start of a hold that was left before its end: read anew, since the clock
    /// begins with it.
    pub fn begins_anew(&self, prompt: &Prompt) -> bool {
        self.hold_left()
            .is_some_and(|hold| hold.start.id == prompt.id)
    }

    /// Which of the questions is on screen: the one asked again, else the start of a hold that was
    /// left, else the first not dealt with.
    fn at_question(&self, open: &OpenJob, questions: &[(&Prompt, bool)]) -> Option<usize> {
        let place = |id: &str| questions.iter().position(|(prompt, _)| prompt.id == id);
        let again = open.again.as_deref().and_then(place);
        let left = || self.hold_left().and_then(|hold| place(&hold.start.id));
        again
            .or_else(left)
            .or_else(|| questions.iter().position(|(_, done)| !done))
    }
}

impl OpenJob {
    /// The facts that were given since the walk came to this station, in order.
    fn facts_given(&self) -> Vec<&Prompt> {
        let Some((run, visit)) = self.job.run().zip(self.job.visit()) else {
            return Vec::new();
        };
        let mut given: Vec<&Prompt> = Vec::new();
        for event in self.events.iter().filter(|e| e.seq > visit.since_seq) {
            if let What::FactNoted { fact, .. } = &event.what
                && let Some(prompt) = run.flow.fact(fact)
                && !given.iter().any(|known| known.id == prompt.id)
            {
                given.push(prompt);
            }
        }
        given
    }
}
