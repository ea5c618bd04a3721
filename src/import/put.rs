//! From what a file fills to the events of a job: the readings that the job can take now.
//!
//! The readings of the step where the job stands count there. Those that a later step asks for are
//! recorded as well, and that step offers them to be taken over, so that one log of idle and
//! 2500 rpm is read once. What cannot be taken is left out with a reason.

use super::fill::{Fill, Filled, LeftOut};
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::{FromFile, What};
use crate::engine::job::Job;
use crate::engine::judge;
use crate::engine::standing::{Desk, Standing};
use crate::flow::log_key::{LogKey, LogValue};
use crate::flow::model::Prompt;
use crate::flow::values::Values;
use crate::flow::working::applies;

/// The file that readings come from.
#[derive(Clone, Copy, Debug)]
pub struct File<'f> {
    /// Its name, without the folders above it.
    pub name: &'f str,
    /// Its hash.
    pub hash: &'f str,
}

/// When a reading is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Asked {
    /// At the step where the job stands.
    Now,
    /// At a later step, which offers it.
    Later,
}

/// What putting readings into a job comes to; the job itself is unchanged.
#[derive(Clone, Debug, Default)]
pub struct Put {
    /// The events to be recorded.
    pub events: Vec<What>,
    /// What they fill, in the same order.
    pub filled: Vec<(Filled, Asked)>,
    /// What was left out and why. What this car is not asked is no loss and is not named.
    pub left_out: Vec<LeftOut>,
    /// What somebody should know of those that were filled, one sentence each.
    pub notes: Vec<String>,
    /// Some were left out only because the log does not show whether the engine was warm.
    pub warmth_is_missing: bool,
}

/// Puts readings into the job, as far as its flow asks for them on this car. `warm` says that
/// somebody vouches for a warm engine where the log does not show it.
///
/// # Errors
/// Says what to do first where the job cannot take any reading now.
pub fn put(job: &Job, desk: Desk, fill: &Fill, file: File, warm: bool) -> Result<Put, String> {
    stands_at_a_step(job, desk)?;
    let case = Case::new(job);
    let mut put = Put::default();
    for filled in &fill.filled {
        let Some(asked) = case.asked(&filled.reading) else {
            continue;
        };
        put.warmth_is_missing |= filled.warmth_unknown && !warm;
        match one(job, desk, filled, file, warm, asked) {
            Ok(mut events) => {
                put.events.append(&mut events);
                put.filled.push((filled.clone(), asked));
            }
            Err(why) => put.left_out.push(LeftOut {
                reading: filled.reading.clone(),
                why,
            }),
        }
    }
    if case.knows_one_bank(fill) {
        put.notes.push(
            "the log also has trims of bank 2, and this job is about a car with one bank: correct the number of banks \
             if the car has two"
                .to_owned(),
        );
    }
    let asked = |left: &&LeftOut| case.asked(&left.reading).is_some();
    put.left_out
        .extend(fill.left_out.iter().filter(asked).cloned());
    Ok(put)
}

fn stands_at_a_step(job: &Job, desk: Desk) -> Result<(), String> {
    let first = match job.standing(desk) {
        Standing::Step(_) => return Ok(()),
        Standing::Facts(_) => "answer the questions about the vehicle first",
        Standing::Cautions(_) => "read and accept the cautions of this step first",
        Standing::Stopped(_) => "let the pressure down and clear the limit first",
        Standing::HandedOver(_) => "the car was handed over; open the job again first",
        Standing::Repair { .. } => "a repair is under way; finish it and begin the test again",
        Standing::NotOpened | Standing::NoFlow | Standing::LedTo(_) | Standing::Ended => {
            "begin a flow first"
        }
    };
    Err(first.to_owned())
}

/// What the job asks for.
struct Case<'j> {
    job: &'j Job,
    now: Vec<(&'j Prompt, bool)>,
    values: Values,
}

impl<'j> Case<'j> {
    fn new(job: &'j Job) -> Self {
        Self {
            job,
            now: job.prompts_now(),
            values: judge::picture_now(job)
                .map(|picture| picture.values)
                .unwrap_or_default(),
        }
    }

    /// Whether the file has trims of a second bank that this car is not asked for, beside some that it is.
    fn knows_one_bank(&self, fill: &Fill) -> bool {
        let Some(run) = self.job.run() else {
            return false;
        };
        let trims = |prompt: &Prompt| match prompt.log {
            Some(LogKey::Mean(_, LogValue::ShortTrim1 | LogValue::LongTrim1)) => Some(1),
            Some(LogKey::Mean(_, LogValue::ShortTrim2 | LogValue::LongTrim2)) => Some(2),
            _ => None,
        };
        let prompts = fill
            .filled
            .iter()
            .filter_map(|filled| run.flow.reading(&filled.reading));
        let any = |bank: i32, asked: bool| {
            prompts
                .clone()
                .any(|prompt| trims(prompt) == Some(bank) && applies(prompt, &self.values) == asked)
        };
        any(1, true) && any(2, false)
    }

    /// When a reading is asked for on this car; `None` if never, or if it was read before in this
    /// test at another step.
    fn asked(&self, reading: &str) -> Option<Asked> {
        if self.now.iter().any(|(prompt, _)| prompt.id == reading) {
            return Some(Asked::Now);
        }
        let flow = &self.job.run()?.flow;
        let prompt = flow.reading(reading)?;
        let somewhere = flow
            .steps
            .iter()
            .any(|step| step.record.iter().any(|id| id == reading));
        let read = self.job.latest(reading, self.job.test_number()).is_some();
        (somewhere && !read && applies(prompt, &self.values)).then_some(Asked::Later)
    }
}

fn one(
    job: &Job,
    desk: Desk,
    filled: &Filled,
    file: File,
    warm: bool,
    asked: Asked,
) -> Result<Vec<What>, String> {
    let now = job.prompts_now();
    let taken = |(prompt, taken): &(&Prompt, bool)| prompt.id == filled.reading && *taken;
    if asked == Asked::Now && now.iter().any(taken) {
        return Err("it was read at this step already; correct it there if it is wrong".to_owned());
    }
    if filled.warmth_unknown && !warm {
        return Err("the log does not show that the engine was warm".to_owned());
    }
    let test = job.test_number();
    let used = job.readings.iter().find(|taken| {
        let from = taken.from_file.as_ref();
        taken.test != test && from.is_some_and(|from| from.hash == file.hash)
    });
    if let Some(used) = used {
        return Err(format!(
            "this same file was read in test {}; log the engine anew after the repair",
            used.test
        ));
    }
    let action = Action::ReadFromFile {
        reading: filled.reading.clone(),
        value: filled.value.clone(),
        from: FromFile {
            name: file.name.to_owned(),
            rows: filled.rows,
            hash: file.hash.to_owned(),
        },
    };
    let events = act(job, desk, action).map_err(|refusal| refusal.to_string())?;
    // A limit that was passed in the past is no reason to stop now.
    let passed = |event: &What| matches!(event, What::LimitPassed { .. });
    if events.iter().any(passed) {
        return Err("it lies above the limit of this reading; look at the log".to_owned());
    }
    Ok(events)
}
