//! The driver: turns inputs into messages, and carries out what the model wants done. The only
//! part of the screens that touches the store; it stamps events and shows them on screen only once
//! they are on the disk.

use std::sync::Arc;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::claimed::Claimed;
use super::effect::Effect;
use super::files::Places;
use super::habits::Kept;
use super::input::Input;
use super::keys;
use super::message::{Act, Message};
use super::model::{EvidenceKey, Model};
use super::reading::Reading;
use super::theme::Role;
use super::update::update;
use super::view;
use super::view::canvas::Drawn;
use super::weigher::{self, MakesCars, Nobody, OwnJobs, Weigher};
use crate::check::shelf::Found;
use crate::flow::shelf::Shelf;
use crate::job::store::{Claim, Store, StoreError};
use crate::practice::exercise::Exercise;
use crate::rules::evidence::of_job;

mod carried;

/// What the driver takes from outside, so that tests can give it other things.
pub struct Outside {
    /// The store.
    pub store: Box<dyn Store>,
    /// The clock.
    pub clock: Box<dyn FnMut() -> DateTime<Utc>>,
    /// Where the picker of files begins.
    pub places: Places,
    /// New names for events and jobs.
    pub names: Box<dyn FnMut() -> Uuid>,
}

/// What is left for the terminal to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Left {
    /// Ring the bell.
    Bell,
    /// Take mouse events, or not.
    Mouse(bool),
    /// Draw every cell anew.
    Redraw,
    /// Put this text into the clipboard.
    Copy(String),
    /// Sleep until the program is called up again.
    Suspend,
    /// Leave for the demo jobs, or back from them.
    Demo,
    /// Leave.
    Quit,
}

/// The driver.
pub struct Driver {
    outside: Outside,
    /// What is shown.
    pub model: Model,
    /// What the last drawing found out.
    pub drawn: Drawn,
    claimed: Claimed,
    /// The store that is not in use: of exercises, or of the workshop's jobs.
    other: Option<Box<dyn Store>>,
    /// Opens the store of exercises, the first time that it is wanted.
    practice: Option<OpensStore>,
    /// Makes the cars that a printed page rests on, or takes those that were kept.
    cars_on_paper: Option<MakesCars>,
    /// Reads the own jobs that a printed page rests on.
    own_jobs_on_paper: Option<OwnJobs>,
    weigher: Box<dyn Weigher>,
    habits: Kept,
    /// Large files are read while the screens go on.
    pub reads_aside: bool,
    reading: Option<Reading>,
}

/// Opens a store.
pub type OpensStore = Box<dyn FnMut() -> Result<Box<dyn Store>, StoreError>>;

impl Driver {
    /// A driver for a model.
    pub fn new(outside: Outside, model: Model) -> Self {
        Self {
            outside,
            model,
            drawn: Drawn::default(),
            claimed: Claimed::default(),
            other: None,
            practice: None,
            cars_on_paper: None,
            own_jobs_on_paper: None,
            weigher: Box::new(Nobody),
            habits: Kept::default(),
            reads_aside: false,
            reading: None,
        }
    }

    /// Says where exercises are kept.
    pub fn set_practice(&mut self, opens: OpensStore) {
        self.practice = Some(opens);
        self.model.can_practise = true;
    }

    /// Says how the cars are made that the evidence on a printed page rests on.
    pub fn set_cars_on_paper(&mut self, makes: MakesCars) {
        self.cars_on_paper = Some(makes);
    }

    /// Says how the own jobs are read that the evidence on a printed page rests on.
    pub fn set_own_jobs_on_paper(&mut self, own_jobs: OwnJobs) {
        self.own_jobs_on_paper = Some(own_jobs);
    }

    /// Turns to the exercises and begins one.
    pub fn practise(&mut self, exercise: Option<&Exercise>) -> Vec<Left> {
        let mut effects = vec![Effect::Swap];
        effects.extend(exercise.map(|exercise| Effect::Exercise {
            flow: exercise.flow.clone(),
            level: exercise.level,
            seed: Some(exercise.seed),
            name: exercise.exercise.clone(),
        }));
        self.carry_out(effects)
    }

    /// Lets somebody work the evidence out, and keeps what the workshop says about it.
    pub fn weigh_with(&mut self, weigher: Box<dyn Weigher>, habits: Kept) {
        match habits.read() {
            Ok(said) => self.model.evidence.habits = said,
            Err(why) => self.model.say(Role::Caution, why),
        }
        (self.weigher, self.habits) = (weigher, habits);
        self.model.evidence.asked = None;
    }

    /// Whether a file is being read.
    pub fn is_reading(&self) -> bool {
        self.reading.is_some()
    }

    /// Takes in what is new of the file that is being read.
    pub fn file_came(&mut self) -> Option<Vec<Left>> {
        let news = self.reading.as_mut()?.news()?;
        if !matches!(news, Message::FileReading { .. }) {
            self.reading = None;
        }
        let now = (self.outside.clock)();
        let effects = update(&mut self.model, now, news);
        Some(self.carry_out(effects))
    }

    /// Whether the evidence is being worked out.
    pub fn is_weighing(&self) -> bool {
        self.weigher.is_busy()
    }

    /// Takes the evidence in, if it is worked out by now.
    pub fn weighed(&mut self) -> Option<Vec<Left>> {
        let answer = self.weigher.answer()?;
        let now = (self.outside.clock)();
        let effects = update(&mut self.model, now, Message::Weighed(Box::new(answer)));
        Some(self.carry_out(effects))
    }

    fn ask_weigher(&mut self, key: EvidenceKey) {
        let Some(open) = self.model.open.as_ref().filter(|open| open.id == key.job) else {
            return;
        };
        let habits = &self.model.evidence.habits;
        let flows = of_job::flows(&open.job);
        let by_settings = flows.iter().flat_map(|f| self.model.settings.missing(f));
        self.weigher.ask(weigher::Asked {
            key,
            job: open.job.clone(),
            not_here: habits.not_here.iter().cloned().chain(by_settings).collect(),
            // An exercise is the same for everybody, whatever the workshop has seen.
            ignore_own_jobs: habits.ignore_own_jobs || self.model.practice,
            by_words: !self.model.settings.simulated_cars,
        });
        if !self.weigher.is_busy() {
            // Nobody is there to answer.
            self.model.evidence.asked = None;
        }
    }

    /// Lets the picker of files begin elsewhere.
    #[cfg(test)]
    pub fn set_places(&mut self, places: Places) {
        self.outside.places = places;
    }

    /// Reads the board for the first time.
    pub fn start(&mut self) -> Vec<Left> {
        self.carry_out(vec![Effect::Find(String::new())])
    }

    /// Takes what the last drawing found out.
    pub fn drew(&mut self, drawn: Drawn) {
        self.model.settle(drawn.furthest, drawn.furthest_beside);
        self.drawn = drawn;
    }

    /// Takes an input in; returns what is left for the terminal to do.
    pub fn take(&mut self, input: Input) -> Vec<Left> {
        self.renewed(|driver| driver.message(input))
    }

    /// Takes a message in that no key stands for, as [`Self::take`] takes an input.
    pub fn send(&mut self, message: Message) -> Vec<Left> {
        self.renewed(|_| Some(message))
    }

    /// Opens a job, as picking it on the board does.
    pub fn open_job(&mut self, job: Uuid) -> Vec<Left> {
        let how = Claim::Politely;
        self.carry_out(vec![Effect::Load { job, how }])
    }

    /// Renews the claim where it is time, then takes in what came.
    fn renewed(&mut self, message: impl FnOnce(&Self) -> Option<Message>) -> Vec<Left> {
        let now = (self.outside.clock)();
        let mut effects = Vec::new();
        if let Some((job, held)) =
            self.claimed
                .renew(&mut *self.outside.store, &self.model.who, now)
        {
            effects = update(&mut self.model, now, Message::Lost { job, held });
        }
        if let Some(message) = message(self) {
            effects.extend(update(&mut self.model, now, message));
        }
        self.carry_out(effects)
    }

    /// Whether a job is held here for writing, so that its claim must be renewed now and then.
    pub fn holds(&self) -> bool {
        self.claimed.holds()
    }

    /// Whether a job is open that can only be read here, so that it must be looked at again now and then.
    pub fn follows(&self) -> bool {
        self.model.is_held()
    }

    /// Takes in what was done elsewhere on a job that can only be read here; nothing where nothing was.
    pub fn followed(&mut self) -> Option<Vec<Left>> {
        let open = self.model.open.as_ref().filter(|_| self.follows())?;
        let store = &self.outside.store;
        // What cannot be read now may be with the next look.
        let news = store.read_after(open.id, open.job.seq).ok()?;
        let left = open.written_elsewhere && matches!(store.writer(open.id), Ok(None));
        if news.is_empty() && !left {
            return None;
        }
        let message = Message::Followed {
            job: open.id,
            events: Arc::from(news),
            left,
        };
        let now = (self.outside.clock)();
        let effects = update(&mut self.model, now, message);
        Some(self.carry_out(effects))
    }

    /// Takes flows that were read anew.
    pub fn flows(&mut self, read: Result<Shelf, String>) -> Vec<Left> {
        let now = (self.outside.clock)();
        let effects = update(&mut self.model, now, Message::Flows(Box::new(read)));
        self.carry_out(effects)
    }

    /// Takes what the checker has found in the owner's flows.
    pub fn checked(&mut self, found: Vec<Found>) -> Vec<Left> {
        let now = (self.outside.clock)();
        let effects = update(&mut self.model, now, Message::Checked(found));
        self.carry_out(effects)
    }

    /// Leaving, sleeping, another size and the time are all that counts where nothing is seen.
    fn may_act_unseen(&self, input: &Input) -> bool {
        match input {
            Input::Key(press) => matches!(
                keys::meaning(&self.model, *press),
                Some(Message::Do(Act::Quit | Act::Suspend))
            ),
            Input::Resize(..) | Input::Tick => true,
            Input::Paste(_) | Input::Click(..) | Input::Wheel { .. } => false,
        }
    }

    fn message(&self, input: Input) -> Option<Message> {
        // Behind the notice that there is no room nobody sees what a key would do.
        if !view::has_room(self.model.size) && !self.may_act_unseen(&input) {
            return None;
        }
        match input {
            Input::Key(press) => keys::meaning(&self.model, press),
            Input::Paste(text) => Some(Message::Paste(text)),
            Input::Click(column, row) => self.drawn.hit(column, row),
            Input::Wheel { down } => Some(Message::Wheel { down }),
            Input::Resize(columns, rows) => Some(Message::Resize(columns, rows)),
            Input::Tick => Some(Message::Tick),
        }
    }
}
