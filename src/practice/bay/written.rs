//! What somebody writes down, held against the car: what it showed, or would have shown to whoever had asked; and where
//! nobody looked.

use std::collections::BTreeMap;

use super::{Answers, Bay, Taken, is_yours};
use crate::flow::answer::{Answer, Strength};
use crate::flow::meaning::{Plain, What};
use crate::flow::model::{Flow, Prompt, PromptKind, Step};
use crate::practice::log::{How, Stood, Unlooked, Written};
use crate::practice::traps::{is_read_running, runs_engine};
use crate::units::Dimension;

/// What words say of an engine that does not run: an assumption of ours, from the words of the trade.
const DOES_NOT_RUN: [&str; 6] = [
    "does not run",
    "does not start",
    "no start",
    "will not start",
    "stalls",
    "dies",
];

impl Bay<'_> {
    /// What somebody wrote down for a reading. `seq` is the number of the event.
    pub fn said(&mut self, seq: u64, reading: &str, value: &Answer, earlier: &Answers) {
        let Some(prompt) = self.plan.flow.reading(reading) else {
            return;
        };
        // A figure comes from a gauge that was read again; a word may be a slip of the pen put right.
        if self.at.outdated && matches!(value, Answer::Quantity(_) | Answer::Pairs(_)) {
            self.pay_anew();
        }
        self.at.answered = true;
        self.log.anything_written = true;
        if is_yours(self.plan, prompt) {
            if let (Answer::Choice(word), Some(step)) = (value, self.here) {
                self.claim(step, seq, reading, word);
            }
            return;
        }
        let told = !matches!(value, Answer::CouldNotTell(_));
        if let Some(step) = self.here.filter(|_| told) {
            self.hold_to_claims(step, prompt);
        }
        if matches!(prompt.kind, PromptKind::Pairs(_)) {
            return;
        }
        // Typed or taken, the car was driven.
        let runs = |step: &&Step| !runs_engine(self.plan, step) || self.runs_for(prompt);
        let unread = self.here.filter(|_| self.at.shown.is_none());
        if let Some(step) = unread.filter(runs) {
            let test = self.test();
            let wrong = [self.left_on(step), self.stands_wrongly(step)];
            for wrong in wrong.into_iter().flatten() {
                self.log.slip(&step.id, test, wrong);
            }
        }
        if told {
            self.hold_against(seq, prompt, value, earlier);
        }
    }

    /// Holds what was written against what the car showed, or would have shown if it had been asked.
    fn hold_against(&mut self, seq: u64, prompt: &Prompt, value: &Answer, earlier: &Answers) {
        let Some(step) = self.here else {
            return;
        };
        let (Some(stood), how) = self.beside(step, prompt, value, earlier) else {
            return;
        };
        let differs = match (&stood, &how) {
            (Stood::Was(_), _) => true,
            (_, How::NotLooked(places)) if !places.is_empty() => true,
            // Where nothing is fed nothing shows, whoever looks.
            (_, How::NotLooked(_)) => self.can_show(step),
            (Stood::Showed(stood), _) => !agrees(self.plan.flow, prompt, stood, value),
        };
        let written = Written {
            seq,
            reading: prompt.id.clone(),
            step: step.id.clone(),
            test: self.test(),
            said: value.clone(),
            stood,
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
            let unseen = self.not_looked_at(step, prompt, said);
            if unseen.is_empty() && !(said.is_empty() && self.looked_nowhere()) {
                (self.read_off(prompt, earlier), How::Read)
            } else {
                (self.would_show(prompt, earlier), How::NotLooked(unseen))
            }
        } else if (is_read_running(self.plan, step) || self.is_complaint(prompt))
            && self.runs_for(prompt)
            && self.drive.chokes()
        {
            if self.says_it_does_not_run(prompt, value) {
                return (None, How::NotAsked);
            }
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

    /// Places of which something was said and at which nobody looked while anything could show: those where something is
    /// said to show, and those that were left empty, which says that nothing does. Where nothing is fed nothing shows,
    /// whoever looks.
    fn not_looked_at(
        &self,
        step: &Step,
        prompt: &Prompt,
        said: &BTreeMap<String, Strength>,
    ) -> Vec<Unlooked> {
        if said.is_empty() && self.looked_nowhere() {
            // Nowhere at all: no place is to be named.
            return Vec::new();
        }
        let listed: &[String] = match &prompt.kind {
            PromptKind::Places(listed) if self.can_show(step) => listed,
            _ => &[],
        };
        let empty = listed.iter().filter(|place| !said.contains_key(*place));
        let all = said.keys().chain(empty);
        all.filter(|place| self.looked_fed(place) == 0)
            .map(|place| Unlooked {
                place: place.clone(),
                unfed: self.at.looked_unfed.contains_key(place),
            })
            .collect()
    }

    /// Whether nobody looked at any place of this step.
    fn looked_nowhere(&self) -> bool {
        self.at.looked.is_empty() && self.at.looked_unfed.is_empty()
    }

    /// Whether a reading asks whether the complaint, or a code, is there.
    pub(super) fn is_complaint(&self, prompt: &Prompt) -> bool {
        let complaint = Some(&What::Plain(Plain::Complaint));
        self.plan.meaning(&prompt.id).map(|m| &m.what) == complaint
    }

    /// Whether a word says that the engine does not run, or that the complaint is there still.
    fn says_it_does_not_run(&self, prompt: &Prompt, value: &Answer) -> bool {
        let Answer::Choice(word) = value else {
            return false;
        };
        self.is_complaint(prompt) && !self.plan.shows_on_sound_car(&prompt.id, word)
            || DOES_NOT_RUN.iter().any(|says| word.contains(says))
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

    /// A reading was corrected later: what was wrong is put right by it, or what was right is wrong now.
    pub fn corrected(&mut self, seq: u64, value: &Answer) {
        if self.correct_claim(seq, value) {
            return;
        }
        let flow = self.plan.flow;
        let Some(written) = self.log.written.iter_mut().find(|w| w.seq == seq) else {
            return;
        };
        // To take back what was made up is to put it right.
        let untold = matches!(value, Answer::CouldNotTell(_));
        let belied = match (&written.stood, &written.how, value) {
            (_, How::Claimed(belied), Answer::Choice(word)) => {
                belied.get(word).cloned().map(Stood::Was)
            }
            (Stood::Showed(stood), ..) => {
                let agrees = flow
                    .reading(&written.reading)
                    .is_some_and(|prompt| agrees(flow, prompt, stood, value));
                (!agrees && !untold).then(|| written.stood.clone())
            }
            (Stood::Was(_), ..) => (!untold).then(|| written.stood.clone()),
        };
        if written.differs {
            written.put_right = belied.is_none();
        } else if let Some(stood) = belied {
            written.differs = true;
            written.stood = stood;
            written.said = value.clone();
        }
    }
}

/// How finely a thermometer is read of which a flow says nothing, K: an assumption of ours, no source.
const THERMOMETER: f64 = 0.5;

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
    // Where neither gauge nor error says how finely: as it is told with three digits. A share of a temperature means
    // nothing; its least is taken only where nothing else is said.
    let within = errors.fold(step, |sum, error| sum + error);
    let within = match stood.unit().dimension() {
        Dimension::Temperature if within > 0.0 => within,
        Dimension::Temperature => THERMOMETER,
        _ => within.max(si.abs() / 100.0),
    };
    (stood.si() - said.si()).abs() <= within * (1.0 + 1e-9)
}
