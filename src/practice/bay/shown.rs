//! What the car shows at a step, as it is set up; and what only the apprentice can say.

use super::{Answers, Bay};
use crate::flow::answer::Answer;
use crate::flow::log_key::{LogKey, LogValue, LogWindow};
use crate::flow::meaning::{Plain, State, What};
use crate::flow::model::{Phase, Prompt, PromptKind, Step};
use crate::physics::gas::Gas;
use crate::plant::engine::STOP;
use crate::plant::plan::Plan;
use crate::practice::digits;
use crate::practice::harm::Harm;
use crate::practice::traps::{
    Heat, engine_warmth, is_engine_warmth, is_read_running, needs_supply, reads_running,
    reads_under_load, reads_unit_alone,
};
use crate::units::{Dimension, Quantity};

/// How much fuel a full canister makes the trim take away at idle, and how far idle control closes for its air: as shares.
const RICHER: f64 = 0.18;
const CLOSES: f64 = 0.04;

/// What taking a reading gives.
#[derive(Clone, Debug, PartialEq)]
pub enum Taken {
    /// The car shows this.
    Reads(Answer),
    /// The car does not say it: it is what the apprentice did, covered or concludes.
    Yours,
    /// Nothing shows.
    Nothing,
    /// It shows by trying place after place, and none of those tried so far changes anything.
    NotTried,
    /// What the control unit knows was read out and saved; the word that says so.
    Saved(Answer),
    /// The engine is to run for it, and dies: what it breathes by is shut.
    Dies,
}

/// Whether a reading is what the apprentice did or concludes, and not what the car shows.
///
/// These are the judgements (which place was covered, which is the largest, which part it is), and choices that
/// neither physics nor a signature knows: whether everything is off, whether something was saved.
pub fn is_yours(plan: &Plan, prompt: &Prompt) -> bool {
    if !matches!(prompt.kind, PromptKind::Choice(_) | PromptKind::Text) {
        return false;
    }
    match plan.meaning(&prompt.id).map(|meaning| &meaning.what) {
        Some(What::Plain(Plain::CoveredPlace | Plain::LargestPlace | Plain::Part)) => true,
        Some(_) => false,
        None => {
            let flow = plan.flow;
            let causes = flow.causes.iter().flat_map(|cause| &cause.shows);
            !flow
                .healthy
                .iter()
                .chain(causes)
                .any(|shows| shows.id == prompt.id)
        }
    }
}

/// Whether a reading asks whether what the control unit knows is saved: to take it is to save it. By its name, as the
/// shipped flows have it.
pub fn is_saved(plan: &Plan, prompt: &Prompt) -> bool {
    prompt.id == "data-saved" && is_yours(plan, prompt)
}

/// First words with which an answer denies.
const DENIES: [&str; 6] = ["no", "not", "none", "nothing", "nobody", "never"];

/// The word that says that what the control unit knows is saved: `yes`, or else the first that does not begin with a no.
pub(super) fn saved_word(prompt: &Prompt) -> Option<&str> {
    let PromptKind::Choice(words) = &prompt.kind else {
        return None;
    };
    let denies = |word: &str| word.split(' ').next().is_some_and(|w| DENIES.contains(&w));
    let yes = words.iter().find(|word| *word == "yes");
    let word = yes.or_else(|| words.iter().find(|word| !denies(word)));
    word.map(String::as_str)
}

/// Whether a reading is taken on a gauge.
pub(super) fn is_on(prompt: &Prompt, gauge: &str) -> bool {
    matches!(&prompt.kind, PromptKind::Quantity(asked) if asked.gauge.as_deref() == Some(gauge))
}

impl Bay<'_> {
    /// Takes a reading of the car.
    pub fn take(&mut self, reading: &str, earlier: &Answers) -> Result<Taken, Harm> {
        let Some(prompt) = self.plan.flow.reading(reading) else {
            return Ok(Taken::Nothing);
        };
        if is_saved(self.plan, prompt) {
            return Ok(self.save(prompt));
        }
        if is_yours(self.plan, prompt) {
            return Ok(Taken::Yours);
        }
        if let Some(step) = self.here {
            if let Some(harm) = self.ran_with_supply(reading) {
                return Err(self.harm(harm));
            }
            if self.goes_through_purge(step) {
                return Err(self.harm(Harm::ThroughPurge));
            }
            let runs = is_read_running(self.plan, step)
                || self.is_driven(step) && self.is_complaint(prompt);
            if runs && self.drive.chokes() {
                let wrong = self.wrong(step);
                self.log.read(&step.id, self.test(), wrong);
                return Ok(Taken::Dies);
            }
        }
        self.read(earlier);
        self.at.asked.insert(reading.to_owned());
        if let Some(step) = self.here {
            let test = self.test();
            for wrong in self.wrong_with(step, prompt) {
                self.log.slip(&step.id, test, wrong);
            }
            self.hold_to_claims(step, prompt);
        }
        if let Some(step) = self.here
            && self.waits(step).is_some_and(|(id, _)| id == prompt.id)
        {
            self.wait(step);
        }
        Ok(self.taken(prompt, earlier))
    }

    /// What the control unit knows is read out and saved in this test.
    pub fn codes_are_saved(&mut self) {
        self.saved_in = self.test();
    }

    /// Whether what the control unit knows was read out and saved in this test.
    pub fn are_codes_saved(&self) -> bool {
        self.saved_in == self.test()
    }

    /// Reads out and saves what the control unit knows.
    fn save(&mut self, prompt: &Prompt) -> Taken {
        self.codes_are_saved();
        self.at.answered = true;
        if let Some(step) = self.here {
            self.charge(step);
        }
        saved_word(prompt).map_or(Taken::Yours, |word| {
            Taken::Saved(Answer::Choice(word.to_owned()))
        })
    }

    /// What a reading shows, where the car was read at this step.
    pub fn taken(&self, prompt: &Prompt, earlier: &Answers) -> Taken {
        let Some(answer) = self
            .at
            .shown
            .as_ref()
            .and_then(|shown| shown.get(&prompt.id))
        else {
            return Taken::Nothing;
        };
        match answer {
            Answer::Places(places) => {
                let seen = places.keys().filter_map(|place| {
                    self.seen(place, earlier)
                        .map(|strength| (place.clone(), strength))
                });
                Taken::Reads(Answer::Places(seen.collect()))
            }
            other if self.is_tried(prompt) => self
                .by_tries(prompt, other)
                .map_or(Taken::NotTried, Taken::Reads),
            other => Taken::Reads(other.clone()),
        }
    }

    /// What a technician would say of a reading that is theirs to say: for a scripted apprentice, and the way.
    pub fn would_say(&mut self, reading: &str, earlier: &Answers) -> Option<Answer> {
        self.read(earlier);
        self.at.shown.as_ref()?.get(reading).cloned()
    }

    /// Reads the car at this step, if it was not read as it stands now.
    pub(super) fn read(&mut self, earlier: &Answers) {
        let Some(step) = self.here.filter(|_| self.at.shown.is_none()) else {
            return;
        };
        if self.at.outdated {
            self.pay_anew();
        }
        self.charge(step);
        let wrong = self.wrong(step);
        let test = self.test();
        self.log.read(&step.id, test, wrong);
        self.drive.try_unit_alone(reads_unit_alone(self.plan, step));
        let mut shown = self.drive.at(step, earlier);
        if reads_under_load(self.plan, step) {
            self.heat = Heat::Hot;
        }
        if self.is_driven(step) {
            self.was_driven();
        } else if reads_running(self.plan, step) {
            self.ran();
        }
        self.unlearn(&mut shown);
        for (reading, answer) in &mut shown {
            if let Some(prompt) = self.plan.flow.reading(reading) {
                self.twist(prompt, answer);
                digits::read(self.plan.flow, prompt, answer);
            }
        }
        self.at.shown = Some(shown);
        self.at.state = self.state;
    }

    /// What a cold engine, a hot exhaust, a coarse gauge and the supply as it is make of an answer. How a cold engine runs is an
    /// assumption of ours, no source.
    fn twist(&self, prompt: &Prompt, answer: &mut Answer) {
        let meaning = self.plan.meaning(&prompt.id);
        if self.heat == Heat::Cold
            && let Some(What::Log(LogKey::Mean(_, value))) = meaning.map(|m| &m.what)
        {
            change(prompt, answer, |si| match value {
                LogValue::ShortTrim1 | LogValue::ShortTrim2 => 0.0,
                LogValue::Airflow => si * 1.4,
                LogValue::Manifold => si + 5000.0,
                LogValue::Speed => si * 1.35,
                LogValue::Throttle => si * 1.5,
                _ => si,
            });
        }
        self.purge(prompt, answer);
        if self
            .here
            .is_some_and(|step| is_engine_warmth(self.plan, step, prompt))
        {
            let (flow, cold) = (self.plan.flow, self.drive.cold());
            change(prompt, answer, |_| match self.heat {
                Heat::Cold => cold,
                heat => engine_warmth(flow, heat),
            });
        }
        if meaning.map(|m| &m.what) == Some(&What::Plain(Plain::FuellingLoop))
            && self.heat == Heat::Cold
            && let PromptKind::Choice(words) = &prompt.kind
            && let Some(open) = words.iter().find(|word| *word == "open")
        {
            *answer = Answer::Choice(open.clone());
        }
        if let Some(step) = self.here.filter(|step| needs_supply(self.plan, step)) {
            self.fed_or_not(step, prompt, answer);
        }
        if self
            .coarse
            .as_deref()
            .is_some_and(|gauge| is_on(prompt, gauge))
        {
            coarsen(prompt, answer);
        }
        let supply = meaning.is_some_and(|m| {
            m.what == What::Plain(Plain::SupplyGas) && m.state == State::AsItStands
        });
        if supply
            && let (PromptKind::Choice(words), Some(fed)) = (&prompt.kind, self.fed)
            && let Some(word) = words.iter().find(|word| gas(word) == Some(fed.gas))
        {
            *answer = Answer::Choice(word.clone());
        }
    }

    /// What an open purge line makes of the trims and of idle control on the warm engine: a canister that holds fuel feeds
    /// vapour, and fuel is taken away for it. How much it holds is the car's own; how far that goes is an assumption of
    /// ours, no source.
    fn purge(&self, prompt: &Prompt, answer: &mut Answer) {
        let Some(What::Log(LogKey::Mean(window, value))) =
            self.plan.meaning(&prompt.id).map(|m| &m.what)
        else {
            return;
        };
        let mut openings = self.plan.openings().iter();
        let open = openings.any(|o| o.starts_with("purge") && !self.drive.is_closed(o));
        if !open || self.heat == Heat::Cold {
            return;
        }
        // The same vapour in more air at 2500 rpm.
        let thinned = match window {
            LogWindow::Idle => 1.0,
            LogWindow::Fast => 0.4,
        };
        let vapour = self.drawn.vapour() * thinned;
        change(prompt, answer, |si| match value {
            LogValue::ShortTrim1 | LogValue::ShortTrim2 => (si - RICHER * vapour).max(-STOP),
            LogValue::Throttle => (si - CLOSES * vapour).max(0.0),
            _ => si,
        });
    }

    /// What the supply as it is makes of an answer that physics does not know: a gauge that stands on it, and what is
    /// seen where nothing is fed.
    fn fed_or_not(&self, step: &Step, prompt: &Prompt, answer: &mut Answer) {
        let meaning = self.plan.meaning(&prompt.id);
        match &prompt.kind {
            PromptKind::Quantity(asked)
                if step.phase == Phase::Pressurise
                    && meaning.is_none()
                    && asked.gauge.is_some()
                    && asked.unit.dimension() == Dimension::Pressure =>
            {
                if self.fed.is_some() && self.drive.is_what_is_left(prompt) {
                    return;
                }
                let stands = self.fed.map_or(0.0, |fed| fed.pressure);
                change(prompt, answer, |_| stands);
            }
            // Where nothing comes no float is lifted.
            PromptKind::Quantity(asked)
                if self.fed.is_none()
                    && asked.gauge.is_some()
                    && asked.unit.dimension() == Dimension::VolumeFlow =>
            {
                change(prompt, answer, |_| 0.0);
            }
            PromptKind::Choice(words) if self.fed.is_none() => {
                let is = |known: &&&str| words.iter().any(|word| word == **known);
                let nothing = NOTHING_FED.iter().find(is);
                let seen = meaning.is_none_or(|m| {
                    matches!(m.what, What::Passage(..) | What::Plain(Plain::VisualCheck))
                });
                if let Some(word) = nothing.filter(|_| seen) {
                    *answer = Answer::Choice((*word).to_owned());
                }
            }
            _ => {}
        }
    }

    /// Whether reading a step puts air through a purge line that this flow closes first.
    fn goes_through_purge(&self, step: &Step) -> bool {
        self.plan.flow.system == "intake"
            && self.fed.is_some()
            && needs_supply(self.plan, step)
            && self.reads_system(step)
            && self
                .plan
                .openings()
                .iter()
                .any(|o| o.starts_with("purge") && !self.drive.is_closed(o))
    }
}

/// Words of readings that say that nothing comes, moves or holds: what is seen where nothing is fed, the first that a
/// reading has.
const NOTHING_FED: [&str; 7] = [
    "nothing comes",
    "hardly moves",
    "stops",
    "none",
    "still thin",
    "free",
    "passes",
];

/// A gas by its word in a flow.
pub(super) fn gas(word: &str) -> Option<Gas> {
    Gas::named(&word.replace(' ', "-"))
}

/// Changes a value, as it would be written down: no more than what is plausible, and down to nothing.
pub(super) fn change(prompt: &Prompt, answer: &mut Answer, to: impl Fn(f64) -> f64) {
    let (Answer::Quantity(q), PromptKind::Quantity(asked)) = (&*answer, &prompt.kind) else {
        return;
    };
    let mut si = to(q.si());
    if let Some((low, high)) = asked.plausible {
        si = si.clamp(low.si().min(0.0), high.si());
    }
    let value = format!("{:.2e}", asked.unit.from_si(si)).parse();
    if let Ok(changed) = Quantity::new(value.unwrap_or_default(), asked.unit) {
        *answer = Answer::Quantity(changed);
    }
}

/// As a gauge shows it whose range is far too large: in eighths of the scale.
fn coarsen(prompt: &Prompt, answer: &mut Answer) {
    let PromptKind::Quantity(asked) = &prompt.kind else {
        return;
    };
    let Some((low, high)) = asked.plausible.map(|(a, b)| (a.si(), b.si())) else {
        return;
    };
    let step = (high - low) / 8.0;
    change(prompt, answer, |si| (si / step).round() * step);
}
