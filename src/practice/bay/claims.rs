//! What somebody says of how the car stands, held against the car: whether an opening is shut, whether codes are saved,
//! whether everything is done.

use std::collections::BTreeMap;

use super::shown::{is_saved, saved_word};
use super::{Answers, Bay, is_yours};
use crate::flow::answer::Answer;
use crate::flow::condition::{Check, Truth};
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Phase, Prompt, PromptKind, Step};
use crate::flow::values::Value;
use crate::plant::usual::checks;
use crate::practice::log::{How, Stood, Written, Wrong};
use crate::practice::traps::{needs_supply, runs_engine};

/// The word with which somebody says that something they are asked about is not done.
const NOT_YET: &str = "not yet";
/// Words that say of an opening that it is open.
const OPEN: [&str; 2] = ["open", "not shut"];

/// How a word ends that says that an opening is shut without anything being done to it, as `shut at rest` does.
const AT_REST: &str = " at rest";

/// What somebody says at a step who says that everything is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Done {
    /// All that the steps close is closed.
    Closed,
    /// All that was closed, covered or connected is off again, and what was opened is shut.
    Off,
    /// All is off that must be off at this step.
    OffForThis,
}

/// What was said at a step of how the car stands.
#[derive(Clone, Debug)]
pub(super) struct Claim {
    /// The number of the event.
    seq: u64,
    /// The reading.
    reading: String,
    /// The word.
    word: String,
    /// What the car belied as it was said: each word, with how the car stood.
    said: BTreeMap<String, String>,
    /// A figure was read at this step before it was said.
    late: bool,
    /// What the car belied as something was read that hangs on it.
    held: Option<BTreeMap<String, String>>,
    /// It was put right before that was read again.
    righted: bool,
}

impl Claim {
    /// Whether something was read with the car otherwise.
    fn is_belied(&self) -> bool {
        let held = self.held.as_ref();
        held.is_some_and(|held| held.contains_key(&self.word))
    }
}

/// Whether a reading is a figure, or places that are looked at.
fn is_figure(prompt: &Prompt) -> bool {
    !matches!(prompt.kind, PromptKind::Choice(_) | PromptKind::Text)
}

impl<'p> Bay<'p> {
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

    /// The opening of which a reading asks how it stands, by the reading's own name: `purge-line`, or `vent-shut-by`. Where
    /// names begin alike, the one of which it has the most words; nothing where several have as many.
    fn opening_of(&self, reading: &str) -> Option<&'p str> {
        let prompt = self.plan.flow.reading(reading)?;
        let PromptKind::Choice(words) = &prompt.kind else {
            return None;
        };
        let says_open = words.iter().any(|word| OPEN.contains(&word.as_str()));
        if !is_yours(self.plan, prompt) || !says_open {
            return None;
        }
        let alike = |opening: &str| {
            let words = opening.split(' ').zip(reading.split('-'));
            words.take_while(|(word, other)| word == other).count()
        };
        let openings = self.plan.openings().iter().copied();
        let most = openings.clone().map(alike).max().filter(|most| *most > 0)?;
        let mut most = openings.filter(|opening| alike(opening) == most);
        most.next().filter(|_| most.next().is_none())
    }

    /// Somebody says how the car stands. What they said of it before at this step is forgotten, unless something was read
    /// with the car otherwise.
    pub(super) fn claim(&mut self, step: &Step, seq: u64, reading: &str, word: &str) {
        let claims = std::mem::take(&mut self.at.claims).into_iter();
        let (before, kept): (Vec<Claim>, _) = claims.partition(|claim| claim.reading == reading);
        self.at.claims = kept;
        for claim in before.into_iter().filter(Claim::is_belied) {
            self.write_claim(step, claim);
        }
        self.at.claims.push(Claim {
            seq,
            reading: reading.to_owned(),
            word: word.to_owned(),
            said: self.belied(step, reading),
            late: self.at.figures,
            held: None,
            righted: false,
        });
    }

    /// Something was read at a step, or written down: what was said there before must be so now, if that hangs on it.
    pub(super) fn hold_to_claims(&mut self, step: &Step, read: &Prompt) {
        self.at.figures |= is_figure(read);
        let mut claims = std::mem::take(&mut self.at.claims);
        for claim in &mut claims {
            if !self.hangs_on(read, &claim.reading) {
                continue;
            }
            let now = self.belied(step, &claim.reading);
            let was_belied = claim.is_belied();
            let is_belied = now.contains_key(&claim.word);
            if is_belied || !was_belied {
                claim.held = Some(now);
            }
            claim.righted = was_belied && !is_belied;
        }
        self.at.claims = claims;
    }

    /// Whether what is read hangs on what was said: every figure on an opening, anything on whether all is done.
    fn hangs_on(&self, read: &Prompt, claimed: &str) -> bool {
        let claimed = self.plan.flow.reading(claimed);
        claimed.is_some_and(|claimed| {
            !is_saved(self.plan, claimed)
                && (is_figure(read) || self.opening_of(&claimed.id).is_none())
        })
    }

    /// The step is left: what was said there stands in the log.
    pub(super) fn log_claims(&mut self, step: &Step) {
        for claim in std::mem::take(&mut self.at.claims) {
            self.write_claim(step, claim);
        }
    }

    /// What counts is how the car stood as something was read that hangs on what was said. Where nothing was read after
    /// it, it must have been so as it was said, or, where nothing was read before it either, by now.
    fn write_claim(&mut self, step: &Step, claim: Claim) {
        let now = || self.belied(step, &claim.reading);
        let belied = match claim.held {
            Some(held) => held,
            None if claim.late => claim.said,
            None => {
                let mut now = now();
                now.retain(|word, _| claim.said.contains_key(word));
                now
            }
        };
        let stood = belied.get(&claim.word).cloned();
        let written = Written {
            seq: claim.seq,
            reading: claim.reading,
            step: step.id.clone(),
            test: self.test(),
            said: Answer::Choice(claim.word),
            differs: stood.is_some(),
            stood: Stood::Was(stood.unwrap_or_default()),
            how: How::Claimed(belied),
            put_right: claim.righted,
        };
        self.log.write(written);
    }

    /// What was said of how the car stands is corrected before its step is left; false where it is in the log by now. Where
    /// nothing was read yet that hangs on it, it is as if it had not been said.
    pub(super) fn correct_claim(&mut self, seq: u64, value: &Answer) -> bool {
        let visits = std::iter::once(&mut self.at).chain(self.before.values_mut());
        let mut claims = visits.flat_map(|at| &mut at.claims);
        let Some(claim) = claims.find(|claim| claim.seq == seq) else {
            return false;
        };
        if let Answer::Choice(word) = value {
            let so = !claim.held.as_ref().is_some_and(|h| h.contains_key(word));
            if claim.is_belied() && so {
                claim.righted = true;
            } else {
                claim.word.clone_from(word);
            }
        }
        true
    }

    /// Each word of a reading that the car belies as it stands, with how it stands.
    fn belied(&self, step: &Step, reading: &str) -> BTreeMap<String, String> {
        let prompt = self.plan.flow.reading(reading);
        let Some(PromptKind::Choice(words)) = prompt.map(|prompt| &prompt.kind) else {
            return BTreeMap::new();
        };
        let belies = |word: &String| Some((word.clone(), self.belies(step, reading, word)?));
        words.iter().filter_map(belies).collect()
    }

    /// How the car stands, where that belies what was said of it.
    fn belies(&self, step: &Step, reading: &str, word: &str) -> Option<String> {
        let prompt = self.plan.flow.reading(reading)?;
        if is_saved(self.plan, prompt) {
            let unsaved = saved_word(prompt) == Some(word) && !self.are_codes_saved();
            return unsaved.then(|| "nothing had been read out and saved in this test".to_owned());
        }
        let covered = Some(&What::Plain(Plain::CoveredPlace));
        if self.plan.meaning(reading).map(|m| &m.what) == covered {
            return (!self.is_covered_as(prompt, word)).then(|| self.cover_words());
        }
        if let Some(opening) = self.opening_of(reading) {
            // A valve that shuts by itself is shut by nobody's hands.
            if word.ends_with(AT_REST) {
                return None;
            }
            let (closed, said_open) = (self.drive.is_closed(opening), OPEN.contains(&word));
            let is = if closed { "closed" } else { "open" };
            return (closed == said_open).then(|| format!("{opening} was {is}"));
        }
        if word == NOT_YET || !says_all_done(prompt) {
            return None;
        }
        let belied = self.still_to_do(step);
        (!belied.is_empty()).then(|| belied.join("; "))
    }

    /// Whether a place is covered that this reading calls so.
    fn is_covered_as(&self, prompt: &Prompt, word: &str) -> bool {
        self.drive.covered().any(|place| {
            // What is behind a cover is known without what was answered.
            let said = self.drive.word_of_place(prompt, place, &Answers::new());
            place == word || said.as_deref() == Some(word)
        })
    }

    fn cover_words(&self) -> String {
        let covered = self.covered();
        if covered.is_empty() {
            return "nothing was covered".to_owned();
        }
        format!("covered was: {}", covered.join(", "))
    }

    /// What it means at a step that everything is done. By the step's phase: under pressure, where something is looked at
    /// or closed off, everything is closed; on the running engine and from the judgement on, everything is off.
    fn all_done(&self, step: &Step) -> Done {
        let plan = self.plan;
        match step.phase {
            _ if runs_engine(plan, step) => Done::Off,
            Phase::BlockOff | Phase::Pressurise | Phase::Inspect => Done::Closed,
            _ if needs_supply(plan, step) || self.reads_system(step) => Done::Closed,
            Phase::Judge | Phase::Repair | Phase::Retest => Done::Off,
            Phase::Symptom | Phase::Isolate => Done::OffForThis,
        }
    }

    /// What is not as somebody says who says that everything is done.
    fn still_to_do(&self, step: &Step) -> Vec<String> {
        let flow = self.plan.flow;
        let mut left = Vec::new();
        match self.all_done(step) {
            Done::Closed => {
                let open = self.wanted.iter().filter(|o| !self.drive.is_closed(o));
                left.extend(open.map(|opening| was_open(opening)));
            }
            Done::OffForThis => left.extend(self.left_on(step).map(|wrong| wrong.words(flow))),
            Done::Off => {
                if self.fed.is_some() {
                    left.push("the supply was still connected".to_owned());
                }
                left.extend(self.left_on_as_said(step).map(|wrong| wrong.words(flow)));
                left.extend(self.ports_open().into_iter().map(was_open));
            }
        }
        left
    }

    /// What is still on the car where somebody says that everything is off.
    fn left_on_as_said(&self, step: &Step) -> Option<Wrong> {
        if runs_engine(self.plan, step) {
            return self.left_on(step);
        }
        let mut what = self.closed_by_hand();
        what.extend(self.covered());
        (!what.is_empty()).then_some(Wrong::LeftOn(what))
    }

    /// What is closed of all that a step closes. A purge line may stay shut until the car is driven.
    fn closed_by_hand(&self) -> Vec<String> {
        let openings = self.plan.openings().iter();
        let closed = openings.filter(|o| self.drive.is_closed(o) && !o.starts_with("purge"));
        closed.map(|opening| (*opening).to_owned()).collect()
    }

    /// What is still on the car, or open on it, that no car leaves with.
    pub fn left_behind(&self) -> Vec<String> {
        let openings = self.plan.openings().iter();
        let closed = openings.filter(|opening| self.drive.is_closed(opening));
        let mut left: Vec<String> = closed.map(|o| format!("still closed: {o}")).collect();
        let covered = self.covered();
        if !covered.is_empty() {
            left.push(format!("still covered: {}", covered.join(", ")));
        }
        if self.fed.is_some() {
            left.push("the supply was still connected".to_owned());
        }
        left.extend(self.ports_open().into_iter().map(was_open));
        left
    }

    /// Whether anything is still closed or covered that hands closed or covered.
    pub fn is_any_shut(&self) -> bool {
        let mut openings = self.plan.openings().iter();
        openings.any(|opening| self.drive.is_closed(opening))
            || self.drive.covered().next().is_some()
    }

    /// What has to be opened again for a step, and whether covers have to come off for it.
    pub fn to_take_off(&self, step: &Step) -> (Vec<String>, bool) {
        if self.says_all_off(step) && !runs_engine(self.plan, step) {
            return (self.closed_by_hand(), true);
        }
        (self.still_closed(step), self.still_covered(step))
    }

    /// What the steps so far opened, and has to be shut for a step: where everything is off, and where the car is driven.
    pub fn to_shut(&self, step: &Step) -> Vec<&'p str> {
        if self.says_all_off(step) || self.is_driven(step) {
            return self.ports_open();
        }
        Vec::new()
    }

    /// Whether somebody has to say at a step that everything is off.
    pub fn says_all_off(&self, step: &Step) -> bool {
        let plan = self.plan;
        let mut prompts = step.record.iter().filter_map(|id| plan.flow.reading(id));
        prompts.any(|prompt| says_all_done(prompt) && is_yours(plan, prompt))
            && self.all_done(step) == Done::Off
    }
}

/// Whether a reading asks whether everything is done.
fn says_all_done(prompt: &Prompt) -> bool {
    matches!(&prompt.kind, PromptKind::Choice(words) if words.iter().any(|word| word == NOT_YET))
}

fn was_open(opening: &str) -> String {
    format!("{opening} was open")
}

/// Whether a word passes all checks.
fn counts(checks: &[&Check], word: &str) -> bool {
    let value = Value::Word(word.to_owned());
    let mut checks = checks.iter();
    checks.all(|check| check.truth(&value) != Truth::No)
}
