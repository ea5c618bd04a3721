//! The question on screen: the first that is asked on this car and not answered yet.

use super::{Entry, Model, Offered};
use crate::engine::judge;
use crate::engine::standing::Standing;
use crate::flow::answer::Answer;
use crate::flow::model::Prompt;

/// The question on screen.
#[derive(Clone, Debug)]
pub struct Asked<'m> {
    /// What is asked.
    pub prompt: &'m Prompt,
    /// A fact about the vehicle, rather than a reading of the step.
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
        match self.standing() {
            Standing::Facts(facts) => {
                let count = facts.len();
                let prompt = facts.into_iter().next()?;
                Some(Asked {
                    prompt,
                    fact: true,
                    key: (visit, prompt.id.clone()),
                    number: (1, count),
                })
            }
            Standing::Step(_) => {
                let prompts = open.job.prompts_now();
                let count = prompts.len();
                let next = prompts
                    .into_iter()
                    .enumerate()
                    .find_map(|(n, (prompt, taken))| {
                        let key = (visit, prompt.id.clone());
                        let due = !taken && !open.left_out.contains(&key);
                        due.then_some(Asked {
                            prompt,
                            fact: false,
                            key,
                            number: (n + 1, count),
                        })
                    })?;
                // What is read already may decide that the rest is not worth reading.
                (!judge::ends_early(&open.job)).then_some(next)
            }
            _ => None,
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
                let offer = if asked.fact {
                    None
                } else {
                    self.offer(asked.prompt, asked.key.0)
                };
                Entry::new(asked.key.clone(), offer, asked.prompt)
            }
            None => Entry::default(),
        };
        if let Some(open) = &mut self.open {
            open.entry = fresh;
        }
    }

    /// The latest reading of the same id in this test, if it was taken elsewhere.
    fn offer(&self, prompt: &Prompt, visit: u64) -> Option<Offered> {
        let job = &self.open.as_ref()?.job;
        let taken = job.latest(&prompt.id, job.test_number())?;
        let told = !matches!(taken.value, Answer::CouldNotTell(_));
        (told && taken.visit != visit).then(|| Offered {
            seq: taken.seq,
            value: taken.value.clone(),
        })
    }
}
