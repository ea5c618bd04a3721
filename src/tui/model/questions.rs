//! Questions about the model that the key table asks: when a key can be used.

use super::{FieldKind, Model, Over, Screen, Timer};
use crate::engine::event::What;
use crate::engine::facts;
use crate::engine::refusal::Refusal;
use crate::engine::saving;
use crate::engine::standing::Standing;
use crate::flow::answer::Answer;
use crate::rules::suggest::{self, Kind};
use crate::tui::keys::Context;

impl Model {
    /// Whether a passed limit stops everything else.
    pub fn is_stopped(&self) -> bool {
        self.overs.is_empty()
            && self.screen == Screen::Walk
            && matches!(self.standing(), Standing::Stopped(_))
    }

    /// Whether there is something that Enter would accept.
    pub fn can_accept(&self) -> bool {
        match self.context() {
            Context::Board | Context::Search => !self.board.shown().is_empty(),
            Context::List => matches!(self.overs.last(), Some(Over::List { at: Some(_), .. })),
            Context::Files => match self.overs.last() {
                Some(Over::Files(files)) => files.picked().is_some(),
                _ => false,
            },
            Context::Ways => self.open.as_ref().is_some_and(|open| open.at.is_some()),
            // What may be left out is left out by Enter on nothing.
            Context::Choice => {
                let optional = self.asked().is_some_and(|asked| asked.prompt.optional);
                let open = self.open.as_ref();
                optional || open.is_some_and(|o| o.entry.at.is_some() || o.entry.given.is_some())
            }
            Context::Judged => self.leads_on(),
            Context::Evidence => self.can_take_way(),
            _ => true,
        }
    }

    /// Whether the suggestion leads anywhere by itself.
    pub fn leads_on(&self) -> bool {
        let suggestion = self
            .open
            .as_ref()
            .and_then(|open| suggest::suggest(&open.job));
        suggestion.is_some_and(|s| s.kind == Kind::Clear || !s.leads_to.is_empty())
    }

    /// Whether the field that has the focus is empty; true where there is none.
    pub fn field_is_empty(&self) -> bool {
        match self.overs.last() {
            Some(Over::Form(form)) => form.field().is_none_or(|field| match &field.kind {
                FieldKind::Words { .. } => true,
                _ => field.text.value().is_empty(),
            }),
            Some(Over::Files(files)) => files.filter.value().is_empty(),
            Some(_) => true,
            None => match (self.screen, &self.open) {
                (Screen::Board, _) => self.board.query.value().is_empty(),
                (Screen::Walk, Some(open)) => open.entry.text.value().is_empty(),
                _ => true,
            },
        }
    }

    /// Whether something was entered for the question on screen and not accepted yet.
    pub fn is_touched(&self) -> bool {
        self.open
            .as_ref()
            .is_some_and(|open| open.entry.is_touched())
    }

    /// What is not read yet of the step that is walked, where that is why the flow suggests nothing.
    pub fn unread(&self) -> Option<String> {
        let suggestion = suggest::suggest(&self.open.as_ref()?.job)?;
        (suggestion.kind == Kind::Incomplete)
            .then(|| format!("Not all is read here: {}.", suggestion.because))
    }

    /// Whether the job can only be read here, because somebody else has it open.
    pub fn is_held(&self) -> bool {
        self.open.as_ref().is_some_and(|open| open.held.is_some())
    }

    /// Whether the step is shown by itself first, before its question.
    pub fn is_brief(&self) -> bool {
        self.open.as_ref().is_some_and(|open| open.brief)
    }

    /// Whether set-ups have left something on the car that nobody confirmed to be off again.
    pub fn has_fitted(&self) -> bool {
        let open = self.open.as_ref();
        open.is_some_and(|open| !open.job.fitted.is_empty())
    }

    /// Whether the question on screen can stay untold: no key is offered that would be refused.
    pub fn may_stay_untold(&self) -> bool {
        // Whether something was written down is never a thing that cannot be told.
        !self.asks_for_codes() && self.untold_serves().is_ok()
    }

    /// Whether the flow can live with it if the question on screen is a fact that cannot be told.
    ///
    /// # Errors
    /// Says why it must be known.
    pub fn untold_serves(&self) -> Result<(), Refusal> {
        let run = self.open.as_ref().and_then(|open| open.job.run());
        match (self.asked().filter(|asked| asked.fact), run) {
            (Some(asked), Some(run)) => {
                let untold = Answer::CouldNotTell(String::new());
                facts::serves(&run.flow, asked.prompt, &untold, false)
            }
            _ => Ok(()),
        }
    }

    /// Whether the question on screen asks for the codes to be saved.
    pub fn asks_for_codes(&self) -> bool {
        self.asked()
            .is_some_and(|asked| saving::asks_for_codes(asked.prompt))
    }

    /// Whether remarks and findings can be added.
    pub fn may_add(&self) -> bool {
        !self.is_stopped() && !self.is_held()
    }

    /// The number that accepts the caution on screen: another for each of those that follow one
    /// another at a station, so that no key held down accepts two.
    pub fn caution_number(&self) -> usize {
        let accepted = self.open.as_ref().map_or(0, |open| {
            let since = open.job.visit().map_or(0, |visit| visit.since_seq);
            open.events
                .iter()
                .filter(|event| event.seq > since)
                .filter(|event| matches!(event.what, What::CautionAccepted { .. }))
                .count()
        });
        accepted % 9 + 1
    }

    /// Whether the way walked can be gone along: nothing is half entered, nothing stops it.
    pub fn may_go_along(&self) -> bool {
        !self.is_held()
            && !self.is_touched()
            && !matches!(
                self.standing(),
                Standing::Stopped(_) | Standing::HandedOver(_)
            )
    }

    /// Whether the job can still be added to.
    pub fn job_is_open(&self) -> bool {
        !self.is_held()
            && !matches!(
                self.standing(),
                Standing::Stopped(_) | Standing::HandedOver(_) | Standing::NotOpened
            )
    }

    /// Whether a step is being walked.
    pub fn is_on_step(&self) -> bool {
        !self.is_held() && matches!(self.standing(), Standing::Step(_))
    }

    /// Whether the step has a timer.
    pub fn has_timer(&self) -> bool {
        let on_step = matches!(self.standing(), Standing::Step(_));
        on_step && (self.clock_waits() || self.timer().is_some_and(|timer| !timer.waits))
    }

    /// Whether there is a job that a page can be made of.
    pub fn may_print(&self) -> bool {
        !self.practice && !self.is_stopped() && self.open.is_some()
    }

    /// Whether there is another field, or page, to go to.
    pub fn has_next_field(&self) -> bool {
        match self.overs.last() {
            Some(Over::Form(form)) => form.fields.len() > 1,
            _ => true,
        }
    }

    /// Whether there is another open job to go to.
    pub fn has_other_job(&self) -> bool {
        let open = self.open.as_ref();
        open.is_some_and(|open| self.board.after(open.id).is_some())
    }

    /// Whether a job is on screen, from which one may go to another.
    pub fn has_open_job(&self) -> bool {
        self.open.is_some()
    }

    /// Whether the board is empty, and demo jobs can be looked at instead.
    pub fn may_show_demo(&self) -> bool {
        self.offers_demo && !self.practice && self.board.asked && self.board.lines.is_empty()
    }

    /// Whether a timer runs that somebody may have timed otherwise.
    pub fn timer_runs(&self) -> bool {
        let on_step = matches!(self.standing(), Standing::Step(_));
        on_step
            && self
                .timer()
                .is_some_and(|timer| !timer.waits && timer.left > 0)
    }

    /// Whether a step was judged otherwise after a correction.
    pub fn has_rejudged(&self) -> bool {
        self.job_is_open()
            && self
                .open
                .as_ref()
                .is_some_and(|open| open.rejudged().is_some())
    }

    /// Whether a clock on screen moves.
    pub fn is_ticking(&self) -> bool {
        let runs = |timer: Timer| timer.left > 0 && !timer.waits;
        match self.screen {
            Screen::Walk => self.timer().is_some_and(runs),
            Screen::Board => self.has_clock && self.board.runs(self.now),
            Screen::Record(_) => false,
        }
    }
}
