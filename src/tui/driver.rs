//! The driver: turns inputs into messages, and carries out what the model wants done. The only
//! part of the screens that touches the store; it stamps events and shows them on screen only once
//! they are on the disk.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::claimed::Claimed;
use super::effect::Effect;
use super::files::{self, Places};
use super::habits::Kept;
use super::input::Input;
use super::keys;
use super::message::Message;
use super::model::{EvidenceKey, Model};
use super::theme::Role;
use super::update::update;
use super::view::canvas::Drawn;
use super::weigher::{self, Nobody, Weigher};
use crate::check::shelf::Found;
use crate::engine::event::{Event, What};
use crate::engine::fold::fold;
use crate::engine::waits::{self, Stand};
use crate::flow::shelf::Shelf;
use crate::job::store::{Claim, JobLine, JobState, Store, StoreError};
use crate::practice::begin::begin;
use crate::practice::exercise::Exercise;
use crate::practice::kept::exercised;
use crate::report::edition::Edition;
use crate::report::{self, Made, Sheet};
use crate::rules::evidence::of_job;
use crate::settings::edit::Change;
use crate::settings::file;
use crate::units::preferred::showing;

/// Open jobs whose waiting is looked up for the board: more than fit on any screen.
const MOST_LOOKED_UP: usize = 60;

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
    /// Leave for the demo jobs.
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
    weigher: Box<dyn Weigher>,
    habits: Kept,
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
            weigher: Box::new(Nobody),
            habits: Kept::default(),
        }
    }

    /// Says where exercises are kept.
    pub fn set_practice(&mut self, opens: OpensStore) {
        self.practice = Some(opens);
        self.model.can_practise = true;
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
        self.model.settle(drawn.furthest);
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

    fn message(&self, input: Input) -> Option<Message> {
        match input {
            Input::Key(press) => keys::meaning(&self.model, press),
            Input::Paste(text) => Some(Message::Paste(text)),
            Input::Click(column, row) => self.drawn.hit(column, row),
            Input::Wheel { down } => Some(Message::Wheel { down }),
            Input::Resize(columns, rows) => Some(Message::Resize(columns, rows)),
            Input::Tick => Some(Message::Tick),
        }
    }

    fn carry_out(&mut self, effects: Vec<Effect>) -> Vec<Left> {
        let mut left = Vec::new();
        let mut queue = VecDeque::from(effects);
        while let Some(effect) = queue.pop_front() {
            let message = match effect {
                Effect::Bell => {
                    left.push(Left::Bell);
                    continue;
                }
                Effect::Mouse(on) => {
                    left.push(Left::Mouse(on));
                    continue;
                }
                Effect::Redraw => {
                    left.push(Left::Redraw);
                    continue;
                }
                Effect::Copy(text) => {
                    left.push(Left::Copy(text));
                    continue;
                }
                Effect::Demo => {
                    left.push(Left::Demo);
                    continue;
                }
                Effect::Suspend => {
                    left.push(Left::Suspend);
                    continue;
                }
                Effect::Quit => {
                    left.push(Left::Quit);
                    continue;
                }
                Effect::Release => {
                    self.claimed.release(&mut *self.outside.store);
                    continue;
                }
                Effect::KeepFolder(folder) => {
                    self.outside.places.keep(&folder);
                    continue;
                }
                Effect::Weigh(key) => {
                    self.ask_weigher(key);
                    continue;
                }
                Effect::KeepHabits(habits) => {
                    if let Err(why) = self.habits.write(&habits) {
                        self.model.say(Role::Caution, why);
                    }
                    continue;
                }
                Effect::Folder(folder) => Some(Ok(self.folder(folder))),
                Effect::ReadFile { path, options } => {
                    let (look, result) = files::read(&path, &options);
                    Some(Ok(Message::FileRead { path, look, result }))
                }
                Effect::Mappings => Some(Ok(Message::Mappings(self.outside.places.mappings()))),
                Effect::Mapping(name) => {
                    let result = self.outside.places.mapping(&name);
                    Some(Ok(Message::Mapping { name, result }))
                }
                Effect::KeepMapping { name, mapping } => {
                    let result = self.outside.places.keep_mapping(&name, *mapping);
                    Some(Ok(Message::MappingKept { name, result }))
                }
                Effect::SaveSettings(changes) => Some(Ok(self.save_settings(&changes))),
                Effect::SaveText { name, text } => Some(Ok(self.save_text(&name, "txt", &text))),
                Effect::Paper(edition) => self.paper(edition).map(Ok),
                stored => self.store(stored),
            };
            let Some(message) = message else {
                continue;
            };
            let message = message.unwrap_or_else(|error| Message::Failed(error.to_string()));
            let now = (self.outside.clock)();
            queue.extend(update(&mut self.model, now, message));
        }
        left
    }

    /// What the store answers to an effect; nothing where it has no part in it.
    fn store(&mut self, effect: Effect) -> Option<Result<Message, StoreError>> {
        Some(match effect {
            Effect::Swap => self.swap(),
            Effect::Exercise {
                flow,
                level,
                seed,
                name,
            } => self.exercise(&flow, level, seed, name),
            Effect::History => self.history(),
            Effect::Find(query) => self.find(query),
            Effect::Load { job, how } => self.load(job, how),
            Effect::Open { who, what } => self.open(&who, what),
            Effect::Append {
                job,
                after,
                who,
                what,
            } => self.append(job, after, &who, what),
            _ => return None,
        })
    }

    fn save_settings(&self, changes: &[Change]) -> Message {
        let path = self.model.settings_file.path.as_deref();
        match file::write(path, changes) {
            Ok(read) => Message::Settings(Box::new(read)),
            Err(error) => Message::Failed(error.to_string()),
        }
    }

    /// Makes a page of the open job, as it stands, and saves it.
    fn paper(&mut self, edition: Edition) -> Option<Message> {
        let now = (self.outside.clock)();
        let model = &self.model;
        let open = model.open.as_ref()?;
        let workshop = &model.settings.workshop;
        let made = Made {
            at: now.with_timezone(&model.zone),
            job: format!("job {}", open.number),
            workshop: (!workshop.is_empty()).then(|| workshop.clone()),
        };
        let page = showing(&model.settings.units, || {
            report::page(&open.job, &open.events, &made, edition)
        });
        let name = format!("ruleout-job-{}-{}", open.number, edition.word());
        let text = report::html(&page, Sheet::Printer);
        Some(self.save_text(&name, "html", &text))
    }

    fn save_text(&self, name: &str, ending: &str, text: &str) -> Message {
        let folder = self.outside.places.all().into_iter().next();
        match files::save(folder.as_deref(), name, ending, text) {
            Ok(path) => Message::TextSaved(path),
            Err(why) => Message::Failed(why),
        }
    }

    /// Turns to the other store.
    fn swap(&mut self) -> Result<Message, StoreError> {
        self.claimed.release(&mut *self.outside.store);
        let other = match (self.other.take(), &mut self.practice) {
            (Some(other), _) => other,
            (None, Some(opens)) => opens()?,
            (None, None) => {
                return Ok(Message::Failed(
                    "there is no place to keep exercises".to_owned(),
                ));
            }
        };
        self.other = Some(std::mem::replace(&mut self.outside.store, other));
        let practice = !self.model.practice;
        Ok(Message::Swapped { practice })
    }

    /// Begins an exercise. An ordinary seed is short, so that it can be told to others.
    fn exercise(
        &mut self,
        flow: &str,
        level: u8,
        seed: Option<u64>,
        name: String,
    ) -> Result<Message, StoreError> {
        if !self.model.practice {
            return Ok(Message::Failed(
                "exercises are begun among the exercises".to_owned(),
            ));
        }
        let seed = seed.unwrap_or_else(|| {
            let name = (self.outside.names)().as_u128();
            u64::try_from(name % 100_000).unwrap_or_default()
        });
        let exercise = Exercise {
            exercise: name,
            flow: flow.to_owned(),
            seed,
            level,
            note: String::new(),
        };
        match begin(&self.model.shelf, &exercise) {
            Ok(what) => {
                let who = self.model.who.clone();
                self.open(&who, what)
            }
            Err(why) => Ok(Message::Failed(why)),
        }
    }

    /// What came of all exercises.
    fn history(&self) -> Result<Message, StoreError> {
        Ok(Message::History(exercised(&*self.outside.store)?))
    }

    fn folder(&self, asked: Option<PathBuf>) -> Message {
        let places = self.outside.places.all();
        let path = asked.or_else(|| places.first().cloned());
        let folder = path.map(|path| files::folder(&path)).unwrap_or_default();
        Message::Folder(Box::new(folder), places)
    }

    fn find(&self, query: String) -> Result<Message, StoreError> {
        let lines = self.outside.store.search(&query)?;
        // In a search it does not show, and it must keep up with the typing.
        let stands = if query.trim().is_empty() {
            let open = lines.iter().filter(|line| line.state == JobState::Open);
            let stand = |line: &JobLine| Ok((line.id, self.stand(line.id)?));
            let stands: Result<_, StoreError> = open.take(MOST_LOOKED_UP).map(stand).collect();
            Some(stands?)
        } else {
            None
        };
        Ok(Message::Found {
            query,
            lines,
            stands,
        })
    }

    /// Where a job stands; nothing where its events cannot be read, which opening it will say.
    fn stand(&self, job: Uuid) -> Result<Stand, StoreError> {
        let events = match self.outside.store.read(job) {
            Ok(events) => events,
            Err(StoreError::Unreadable { .. }) => return Ok(Stand::default()),
            Err(error) => return Err(error),
        };
        Ok(waits::stand(&fold(&events), self.model.desk()))
    }

    fn load(&mut self, job: Uuid, how: Claim) -> Result<Message, StoreError> {
        let now = (self.outside.clock)();
        let store = &mut *self.outside.store;
        // Claimed first: nobody else can write between the reading and the claim.
        let held = self.claimed.take(store, job, &self.model.who, how, now);
        let events = self.outside.store.read(job)?;
        let line = self.line(job)?.ok_or(StoreError::NoSuchJob { job })?;
        Ok(Message::Loaded {
            line: Box::new(line),
            events: Arc::from(events),
            held,
        })
    }

    fn line(&self, job: Uuid) -> Result<Option<JobLine>, StoreError> {
        Ok(self
            .outside
            .store
            .search("")?
            .into_iter()
            .find(|line| line.id == job))
    }

    fn open(&mut self, who: &str, what: Vec<What>) -> Result<Message, StoreError> {
        let job = (self.outside.names)();
        let events = self.stamp(0, who, what);
        self.outside.store.append(job, 0, &events)?;
        self.load(job, Claim::Politely)
    }

    fn append(
        &mut self,
        job: Uuid,
        after: u64,
        who: &str,
        what: Vec<What>,
    ) -> Result<Message, StoreError> {
        let events = self.stamp(after, who, what);
        if let Err(error) = self.outside.store.append(job, after, &events) {
            if matches!(error, StoreError::OtherWriter { .. }) {
                self.claimed.doubt();
            }
            return Err(error);
        }
        Ok(Message::Stored {
            job,
            events: Arc::from(events),
        })
    }

    fn stamp(&mut self, after: u64, who: &str, what: Vec<What>) -> Vec<Event> {
        let at = (self.outside.clock)();
        (after + 1..)
            .zip(what)
            .map(|(seq, what)| Event {
                id: (self.outside.names)(),
                seq,
                at,
                who: who.to_owned(),
                what,
            })
            .collect()
    }
}
