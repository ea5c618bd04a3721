//! What is carried out of that which the model wants done: in the store, in files, for the terminal.

use std::collections::VecDeque;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use uuid::Uuid;

use super::{Driver, Left};
use crate::engine::event::{Event, What};
use crate::engine::fold::fold;
use crate::engine::waits::{self, Stand};
use crate::import::Options;
use crate::job::store::{Claim, JobLine, JobState, StoreError};
use crate::practice::begin::begin;
use crate::practice::exercise::Exercise;
use crate::practice::kept::exercised;
use crate::practice::session::begun_by;
use crate::report::edition::Edition;
use crate::report::{self, Made, Reached, RestsOn, Sheet};
use crate::rules::advice::with_flows;
use crate::settings::edit::Change;
use crate::settings::file;
use crate::tui::effect::Effect;
use crate::tui::files;
use crate::tui::message::Message;
use crate::tui::reading::{self, Reading};
use crate::tui::theme::Role;
use crate::tui::update::update;
use crate::units::preferred::showing;

/// Open jobs whose waiting is looked up for the board: more than fit on any screen.
const MOST_LOOKED_UP: usize = 60;

/// What is left for the terminal to do; nothing where it has no part in it.
fn for_the_terminal(effect: &Effect) -> Option<Left> {
    Some(match effect {
        Effect::Bell => Left::Bell,
        Effect::Mouse(on) => Left::Mouse(*on),
        Effect::Redraw => Left::Redraw,
        Effect::Copy(text) => Left::Copy(text.clone()),
        Effect::Demo => Left::Demo,
        Effect::Suspend => Left::Suspend,
        Effect::Quit => Left::Quit,
        _ => return None,
    })
}

impl Driver {
    /// Carries out what is wanted, and what is wanted after that.
    pub(super) fn carry_out(&mut self, effects: Vec<Effect>) -> Vec<Left> {
        let mut left = Vec::new();
        let mut queue = VecDeque::from(effects);
        while let Some(effect) = queue.pop_front() {
            if let Some(for_it) = for_the_terminal(&effect) {
                left.push(for_it);
                continue;
            }
            let Some(message) = self.carried(effect) else {
                continue;
            };
            let message = message.unwrap_or_else(|error| Message::Failed(error.to_string()));
            let now = (self.outside.clock)();
            queue.extend(update(&mut self.model, now, message));
        }
        left
    }

    /// What comes of an effect that is carried out here; nothing where nobody waits for it.
    fn carried(&mut self, effect: Effect) -> Option<Result<Message, StoreError>> {
        let message = match effect {
            Effect::Release => {
                self.claimed.release(&mut *self.outside.store);
                return None;
            }
            Effect::KeepFolder(folder) => {
                self.outside.places.keep(&folder);
                return None;
            }
            Effect::Weigh(key) => {
                self.ask_weigher(key);
                return None;
            }
            Effect::KeepHabits(habits) => {
                if let Err(why) = self.habits.write(&habits) {
                    self.model.say(Role::Caution, why);
                }
                return None;
            }
            Effect::Folder(folder) => self.folder(folder),
            Effect::ReadFile { path, options } => {
                if let Some(begun) = self.read_aside(&path, &options) {
                    return Some(Ok(begun));
                }
                let (look, result) = files::read(&path, &options);
                Message::FileRead { path, look, result }
            }
            Effect::Mappings => Message::Mappings(self.outside.places.mappings()),
            Effect::Mapping(name) => {
                let result = self.outside.places.mapping(&name);
                Message::Mapping { name, result }
            }
            Effect::KeepMapping { name, mapping } => {
                let result = self.outside.places.keep_mapping(&name, *mapping);
                Message::MappingKept { name, result }
            }
            Effect::SaveSettings(changes) => self.save_settings(&changes),
            Effect::SaveText { name, text } => self.save_text(&name, "txt", &text),
            Effect::Paper(edition) => self.paper(edition)?,
            stored => return self.store(stored),
        };
        Some(Ok(message))
    }

    /// Begins to read a large file beside the screens, where they go on meanwhile.
    fn read_aside(&mut self, path: &Path, options: &Options) -> Option<Message> {
        self.reading = None;
        let size = fs::metadata(path).ok()?.len();
        if !self.reads_aside || size < reading::ASIDE {
            return None;
        }
        self.reading = Some(Reading::begin(path, options, size)?);
        Some(Message::FileReading {
            path: path.to_owned(),
            percent: 0,
        })
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
            reached: Reached::of(&model.settings),
        };
        let wanted = edition == Edition::Workshop && model.settings.simulated_cars;
        let cars = self
            .cars_on_paper
            .as_mut()
            .filter(|_| wanted)
            .and_then(|makes| with_flows(&open.job, makes));
        let habits = &model.evidence.habits;
        let counted =
            edition == Edition::Workshop && !habits.ignore_own_jobs && !open.job.practised;
        let read = self.own_jobs_on_paper.as_mut().filter(|_| counted);
        let own_jobs = match read.map(|own_jobs| own_jobs()) {
            None => Vec::new(),
            // A job is no witness in its own case.
            Some(Ok(lessons)) => lessons.into_iter().filter(|l| l.job != open.id).collect(),
            Some(Err(why)) => return Some(Message::Failed(why)),
        };
        let rests_on = RestsOn {
            cars: cars.as_ref(),
            own_jobs: &own_jobs,
        };
        let page = showing(&model.settings.units, || {
            report::page(&open.job, &open.events, &made, edition, rests_on)
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
        let stand = waits::stand(&fold(&events), self.model.desk(), !self.model.practice);
        Ok(Stand {
            begun_by: begun_by(&events).unwrap_or_default().to_owned(),
            ..stand
        })
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
