//! What somebody writes down, held against the car: what it showed, or would have shown to whoever had asked; where
//! nobody looked; and what is said of how the car stands though it stands otherwise.

use super::shown::is_saved;
use super::{Answers, Bay, Taken, is_yours};
use crate::flow::answer::Answer;
use crate::flow::condition::{Check, Truth};
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::flow::values::Value;
use crate::plant::usual::checks;
use crate::practice::log::{How, Stood, Written};
use crate::practice::traps::{needs_supply, reads_running, runs_engine};

/// The word with which somebody says that something they are asked about is not done.
const NOT_YET: &str = "not yet";
/// Words that say of an opening that it is open.
const OPEN: [&str; 2] = ["open", "not shut"];

impl<'p> Bay<'p> {
    /// What somebody wrote down for a reading; covering a place may go with it. `seq` is the number of the event.
    pub fn said(&mut self, seq: u64, reading: &str, value: &Answer, earlier: &Answers) {
        let Some(prompt) = self.plan.flow.reading(reading) else {
            return;
        };
        // A figure comes from a gauge that was read again; a word may be a slip of the pen put right.
        if self.at.outdated && matches!(value, Answer::Quantity(_) | Answer::Pairs(_)) {
            self.pay_anew();
        }
        self.at.answered = true;
        let covered = Some(&What::Plain(Plain::CoveredPlace));
        if self.plan.meaning(reading).map(|m| &m.what) == covered {
            if let Answer::Choice(word) = value
                && !self.is_covered_as(prompt, word, earlier)
            {
                self.cover(word, earlier);
                self.at.answered = true;
            }
            return;
        }
        if is_yours(self.plan, prompt) {
            self.at.claims.retain(|(_, claimed, _)| claimed != reading);
            if let Answer::Choice(word) = value {
                let claim = (seq, reading.to_owned(), word.clone());
                self.at.claims.push(claim);
            }
            return;
        }
        if matches!(prompt.kind, PromptKind::Pairs(_)) {
            return;
        }
        // Typed or taken, the car was driven.
        if let Some(step) = self.here.filter(|_| self.at.shown.is_none())
            && let Some(wrong) = self.left_on(step)
        {
            let test = self.test();
            self.log.slip(&step.id, test, wrong);
        }
        if !matches!(value, Answer::CouldNotTell(_)) {
            self.hold_against(seq, prompt, value, earlier);
        }
    }

    /// Holds what was written against what the car showed, or would have shown if it had been asked.
    fn hold_against(&mut self, seq: u64, prompt: &Prompt, value: &Answer, earlier: &Answers) {
        let Some(step) = self.here else {
            return;
        };
        let (stood, how) = self.beside(step, prompt, value, earlier);
        let differs = match (&stood, &how) {
            (None, _) => return,
            (Some(Stood::Was(_)), _) => true,
            (_, How::NotLooked(places)) if !places.is_empty() => true,
            // Where nothing is fed nothing shows, whoever looks.
            (_, How::NotLooked(_)) if needs_supply(self.plan, step) && self.fed.is_none() => false,
            (Some(Stood::Showed(stood)), _) => !agrees(self.plan.flow, prompt, stood, value),
        };
        let written = Written {
            seq,
            reading: prompt.id.clone(),
            step: step.id.clone(),
            test: self.test(),
            said: value.clone(),
            stood: stood.unwrap_or_else(|| Stood::Was(String::new())),
            how,
            differs,
            put_right: false,
        };
        self.log.write(written);
    }

    /// What there was on the car beside what was written, and how that came to be written; nothing where the car has
    /// nothing to say.
    fn beside(
        &self,
        step: &Step,
        prompt: &Prompt,
        value: &Answer,
        earlier: &Answers,
    ) -> (Option<Stood>, How) {
        let (stood, how) = if let Answer::Places(said) = value {
            let unseen = |place: &&String| self.looked(place) == 0;
            let unseen: Vec<String> = said.keys().filter(unseen).cloned().collect();
            if unseen.is_empty() && !(said.is_empty() && self.at.looked.is_empty()) {
                (self.read_off(prompt, earlier), How::Read)
            } else {
                (self.would_show(prompt, earlier), How::NotLooked(unseen))
            }
        } else if reads_running(self.plan, step) && self.drive.chokes() {
            let dies = "the engine gets no air and does not run".to_owned();
            return (Some(Stood::Was(dies)), How::NotAsked);
        } else if self.at.asked.contains(&prompt.id)
            && self.taken(prompt, earlier) != Taken::NotTried
        {
            (self.read_off(prompt, earlier), How::Read)
        } else {
            (self.would_show(prompt, earlier), How::NotAsked)
        };
        (stood.map(Stood::Showed), how)
    }

    /// What stands before whoever asked the car for it.
    fn read_off(&self, prompt: &Prompt, earlier: &Answers) -> Option<Answer> {
        match self.taken(prompt, earlier) {
            Taken::Reads(stood) => Some(stood),
            _ => None,
        }
    }

    /// What would have shown; to write something down is no reading of the car.
    fn would_show(&self, prompt: &Prompt, earlier: &Answers) -> Option<Answer> {
        let mut there = self.clone();
        there.read(earlier);
        there.at.shown.as_ref()?.get(&prompt.id).cloned()
    }

    /// Whether a place is covered that this reading calls so.
    fn is_covered_as(&self, prompt: &Prompt, word: &str, earlier: &Answers) -> bool {
        self.drive.covered().any(|place| {
            let said = self.drive.word_of_place(prompt, place, earlier);
            said.as_deref() == Some(word)
        })
    }

    /// A reading was corrected later: what was wrong is put right by it, or what was right is wrong now.
    pub fn corrected(&mut self, seq: u64, value: &Answer) {
        let flow = self.plan.flow;
        let Some(written) = self.log.written.iter_mut().find(|w| w.seq == seq) else {
            return;
        };
        let (Some(prompt), Stood::Showed(stood)) = (flow.reading(&written.reading), &written.stood)
        else {
            return;
        };
        let agrees = agrees(flow, prompt, stood, value);
        if written.differs {
            written.put_right = agrees;
        } else if !agrees && !matches!(value, Answer::CouldNotTell(_)) {
            written.differs = true;
            written.said = value.clone();
        }
    }

    /// Openings that must be shut for what is read at a step, because somebody has to say there that they are: a reading
    /// by the name of an opening, that counts only with a word other than open.
    pub fn said_shut(&self, step: &Step) -> Vec<&'p str> {
        let readings = step.record.iter();
        let shut = readings.filter_map(|id| {
            let opening = self.opening_of(id)?;
            let checks = checks(Some(step), id);
            let counts_open = OPEN.iter().any(|word| counts(&checks, word));
            (!checks.is_empty() && !counts_open).then_some(opening)
        });
        shut.collect()
    }

    /// The opening of which a reading asks how it stands, by the reading's own name: `purge-line`, or `vent-shut-by`.
    fn opening_of(&self, reading: &str) -> Option<&'p str> {
        let prompt = self.plan.flow.reading(reading)?;
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        let says_open = words.iter().any(|word| OPEN.contains(&word.as_str()));
        if !is_yours(self.plan, prompt) || !says_open {
            return None;
        }
        let first = reading.split('-').next();
        let mut openings = self.plan.openings().iter().copied();
        openings.find(|opening| opening.split(' ').next() == first)
    }

    /// Holds what was said of how the car stands against the car, as the step is left.
    pub(super) fn hold_to_claims(&mut self, step: &Step) {
        for (seq, reading, word) in std::mem::take(&mut self.at.claims) {
            let stood = self.belies(step, &reading, &word);
            let written = Written {
                seq,
                reading,
                step: step.id.clone(),
                test: self.test(),
                said: Answer::Choice(word),
                differs: stood.is_some(),
                stood: Stood::Was(stood.unwrap_or_default()),
                how: How::Claimed,
                put_right: false,
            };
            self.log.write(written);
        }
    }

    /// How the car stands, where that belies what was said of it.
    fn belies(&self, step: &Step, reading: &str, word: &str) -> Option<String> {
        let prompt = self.plan.flow.reading(reading)?;
        if is_saved(self.plan, prompt) {
            let unsaved = word == "yes" && self.saved_in != self.test();
            return unsaved.then(|| "nothing had been read out and saved in this test".to_owned());
        }
        if let Some(opening) = self.opening_of(reading) {
            let (closed, said_open) = (self.drive.is_closed(opening), OPEN.contains(&word));
            let is = if closed { "closed" } else { "open" };
            return (closed == said_open).then(|| format!("{opening} was {is}"));
        }
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        if word == NOT_YET || !words.iter().any(|word| word == NOT_YET) {
            return None;
        }
        let belied = self.still_to_do(step);
        (!belied.is_empty()).then(|| belied.join("; "))
    }

    /// What is not as somebody says who says that everything is done: on the running engine everything is to be off, else
    /// everything is to be closed.
    fn still_to_do(&self, step: &Step) -> Vec<String> {
        let mut left = Vec::new();
        if runs_engine(self.plan, step) {
            if self.fed.is_some() {
                left.push("the supply was still connected".to_owned());
            }
            left.extend(self.left_on(step).map(|wrong| wrong.words(self.plan.flow)));
            return left;
        }
        let open = self.wanted.iter().filter(|o| !self.drive.is_closed(o));
        left.extend(open.map(|opening| format!("{opening} was open")));
        left
    }
}

/// Whether a word passes all checks.
fn counts(checks: &[&Check], word: &str) -> bool {
    let value = Value::Word(word.to_owned());
    let mut checks = checks.iter();
    checks.all(|check| check.truth(&value) != Truth::No)
}

/// Whether what was written is what stood there: a figure within the error of the reading and a step of its gauge, since
/// it may have been read off and typed; anything else exactly.
fn agrees(flow: &Flow, prompt: &Prompt, stood: &Answer, said: &Answer) -> bool {
    let (Answer::Quantity(stood), Answer::Quantity(said), PromptKind::Quantity(asked)) =
        (stood, said, &prompt.kind)
    else {
        return stood == said;
    };
    let gauge = asked.gauge.as_deref().and_then(|id| flow.gauge(id));
    let si = stood.si();
    let errors = [asked.error, gauge.and_then(|gauge| gauge.accuracy)];
    let errors = errors.iter().flatten().map(|error| error.half_width(si));
    let step = gauge.and_then(|gauge| gauge.resolution);
    let step = step.map_or(0.0, |step| step.unit().step_to_si(step.value()).abs());
    // Told with three digits where neither gauge nor error says how finely.
    let within = errors
        .fold(step, |sum, error| sum + error)
        .max(si.abs() / 100.0);
    (stood.si() - said.si()).abs() <= within * (1.0 + 1e-9)
}
