//! The state of the screens: what is shown, what is typed, what is picked. The job itself is the
//! fold of its events and nothing else; everything here beside it may be lost without harm. Reads
//! no clock: the time comes in with the messages.

mod ask;
mod columns;
mod count;
mod elsewhere;
mod entry;
mod evidence;
mod files;
mod form;
mod lists;
mod open;
mod practice;
mod questions;
mod settings;
mod typed;
mod ways;
mod who;

use std::sync::Arc;

use chrono::{DateTime, FixedOffset, Utc};

use super::keys::Context;
use super::keys::own::Own;
use super::theme::{Able, Role, Theme};
use crate::engine::standing::{Desk, Standing};
use crate::engine::waits::Stand;
use crate::flow::model::PromptKind;
use crate::flow::shelf::Shelf;
use crate::import::mapping::Mapping;
use crate::job::store::{JobLine, JobState};
use crate::settings::Settings;

pub use ask::Asked;
pub use columns::{AboutFile, picker, subject};
pub use elsewhere::RunsElsewhere;
pub use entry::{Entry, Offered, parse_pairs};
pub use evidence::{Evidence, Key as EvidenceKey, Looked, Page};
pub use files::{AT_ONCE, Entry as FileEntry, Files, Folder, Preview};
use uuid::Uuid;

pub use form::{Field, FieldKind, Form, FormKind};
pub use lists::{Item, ListKind, Then, items, still_fitted};
pub use open::{OpenJob, Timer};
pub use practice::AtBay;
pub use settings::SettingsFile;
pub use typed::{codes, listed, odometer_unit, one_of, units, with_unit};

/// Everything that the screens show.
#[expect(
    clippy::struct_excessive_bools,
    reason = "each says one thing about the surroundings, and no two go together"
)]
#[derive(Clone, Debug)]
pub struct Model {
    /// Now, as of the last message.
    pub now: DateTime<Utc>,
    /// The local time's distance from UTC, for times that people read.
    pub zone: FixedOffset,
    /// Who is at the keyboard.
    pub who: String,
    /// Nobody has said who that is: it was taken from the settings or from the computer.
    pub who_is_guessed: bool,
    /// The flows at hand.
    pub shelf: Shelf,
    /// Columns and rows.
    pub size: (u16, u16),
    /// Whether mouse events are taken.
    pub mouse: bool,
    /// The settings of the workshop.
    pub settings: Settings,
    /// The file that they are kept in, and what is wrong in it.
    pub settings_file: SettingsFile,
    /// Keys that the workshop wants instead of the usual ones.
    pub keys: Own,
    /// What the terminal can do.
    pub able: Able,
    /// The look.
    pub theme: Theme,
    /// What is shown.
    pub screen: Screen,
    /// How far the text that was drawn last can be scrolled.
    pub furthest: u16,
    /// How far the column beside it can be.
    pub furthest_beside: u16,
    /// What lies over it, the topmost last.
    pub overs: Vec<Over>,
    /// The board.
    pub board: Board,
    /// The job that is open.
    pub open: Option<OpenJob>,
    /// The number that is being typed, where a list is longer than nine.
    pub number: Option<Typed>,
    /// One line about what just happened.
    pub notice: Option<Notice>,
    /// Forms that were closed unsaved, with what was typed.
    pub drafts: Vec<Form>,
    /// The form whose events are being stored.
    pub saving: Option<FormKind>,
    /// Exercises are shown, and not the workshop's jobs.
    pub practice: bool,
    /// The mapping of columns that was in use last, by its name: the next file is often of the same tool.
    pub mapping: Option<(String, Mapping)>,
    /// There is a place to keep exercises.
    pub can_practise: bool,
    /// The flow that is to be practised, while its level is asked for.
    pub to_practise: Option<String>,
    /// What came of all exercises that have ended, the oldest first.
    pub history: Vec<crate::practice::people::Exercised>,
    /// The evidence.
    pub evidence: Evidence,
    /// A clock is on screen while time counts; not so in the walk by lines.
    pub has_clock: bool,
    /// Whether somebody is there who can be asked to wait, or to save first; of a script it is only recorded that it did
    /// not.
    pub asks_to_wait: bool,
    /// Demo jobs can be looked at from here.
    pub offers_demo: bool,
    /// Whether these are the demo jobs, and whether the workshop's own wait behind them.
    pub demo: Demo,
    /// At which job somebody said who goes on there, and who that is.
    pub said_at: Vec<(Uuid, String)>,
    /// Plates of cars that were entered among the demo jobs, and are thrown away with them.
    pub among_demo: Vec<String>,
    /// To leave was asked for while there are such; once more leaves.
    pub leaves: bool,
    /// Timers of jobs that are not in sight.
    pub elsewhere: Vec<RunsElsewhere>,
}

/// Whether the jobs on the board are invented ones in a store that is thrown away.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Demo {
    /// The workshop's own jobs.
    #[default]
    No,
    /// Invented ones, asked for by a command.
    ByItself,
    /// Invented ones, come to from the board of the workshop's own.
    BesideOwn,
}

/// A number that is being typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    /// Its digits.
    pub digits: String,
    /// The item that was picked before it.
    pub before: Option<usize>,
    /// When its last digit was typed.
    pub at: DateTime<Utc>,
}

/// The screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// The board of jobs.
    Board,
    /// A job is walked.
    Walk,
    /// Its record, scrolled this far.
    Record(u16),
}

/// Something that lies over the screen.
#[derive(Clone, Debug)]
pub enum Over {
    /// A form.
    Form(Box<Form>),
    /// A numbered list.
    List {
        /// Which.
        kind: ListKind,
        /// The item picked.
        at: Option<usize>,
    },
    /// The help for this context, scrolled this far.
    Help(Context, u16),
    /// The picker of files.
    Files(Box<Files>),
    /// Why the rules suggest what they do, scrolled this far.
    Why(u16),
    /// The screen below as plain text, scrolled this far.
    Plain(Arc<str>, u16),
    /// The debrief of an exercise, scrolled this far.
    Debrief(u16),
    /// Who has practised what, scrolled this far.
    People(u16),
    /// What the car came with, scrolled this far.
    Complaint(u16),
    /// The evidence.
    Evidence(Box<Looked>),
}

/// The board of jobs.
#[derive(Clone, Debug, Default)]
pub struct Board {
    /// The jobs found, newest activity first.
    pub lines: Vec<JobLine>,
    /// The job picked, among those shown.
    pub at: usize,
    /// The search line.
    pub query: tui_input::Input,
    /// Whether the search line is being typed in.
    pub searching: bool,
    /// Whether jobs that were handed over are shown.
    pub closed: bool,
    /// Whether the store has answered yet.
    pub asked: bool,
    /// Where each open job stands, as far as that was looked up.
    pub stands: Vec<(Uuid, Stand)>,
    /// The bays in the order of the settings.
    pub bays: Vec<String>,
}

impl Board {
    /// Whether the clock of a job that is shown runs.
    pub fn runs(&self, now: DateTime<Utc>) -> bool {
        let mut stands = self.stands.iter();
        stands.any(|(_, stand)| stand.ends.is_some_and(|ends| ends > now))
    }

    /// The jobs that are shown: by bay, those of the settings first, then the newest activity; in a
    /// search, and where jobs that were handed over are shown too, by the newest activity alone.
    pub fn shown(&self) -> Vec<&JobLine> {
        let all = self.shows_all();
        let lines = self.lines.iter();
        let mut shown: Vec<&JobLine> = lines
            .filter(|line| all || line.state == JobState::Open)
            .collect();
        if !all {
            shown.sort_by_key(|line| self.bay_rank(&line.bay));
        }
        shown
    }

    fn bay_rank(&self, bay: &str) -> (usize, String) {
        let set = self.bays.iter().position(|known| known == bay);
        let none = if bay.is_empty() { 2 } else { 1 };
        (set.unwrap_or(self.bays.len() + none), bay.to_owned())
    }

    /// The open job after another one, in the order of the board; round at the end.
    pub fn after(&self, job: Uuid) -> Option<Uuid> {
        let mut open: Vec<&JobLine> = self
            .lines
            .iter()
            .filter(|line| line.state == JobState::Open)
            .collect();
        open.sort_by_key(|line| self.bay_rank(&line.bay));
        let at = open.iter().position(|line| line.id == job);
        let next = at.map_or(0, |at| (at + 1) % open.len().max(1));
        open.get(next)
            .map(|line| line.id)
            .filter(|next| *next != job)
    }

    /// Whether jobs that were handed over are shown too: on request, in a search, which looks
    /// through all jobs ever, and where there are no others.
    pub fn shows_all(&self) -> bool {
        self.closed
            || !self.query.value().trim().is_empty()
            || !self.lines.iter().any(|line| line.state == JobState::Open)
    }
}

/// A line about what just happened.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Its weight.
    pub role: Role,
    /// The words.
    pub text: String,
}

impl Model {
    /// The job that a form of this kind is about: none for a new one.
    pub fn about(&self, kind: &FormKind) -> Option<Uuid> {
        match kind {
            FormKind::NewJob | FormKind::Settings | FormKind::Who => None,
            _ => self.open.as_ref().map(|open| open.id),
        }
    }

    /// A model that shows an empty board.
    pub fn new(
        now: DateTime<Utc>,
        zone: FixedOffset,
        who: String,
        shelf: Shelf,
        theme: Theme,
    ) -> Self {
        let mut model = Self {
            now,
            zone,
            who,
            who_is_guessed: false,
            shelf,
            size: (80, 24),
            mouse: true,
            settings: Settings::default(),
            settings_file: SettingsFile::default(),
            keys: Own::default(),
            able: Able {
                colour: true,
                blocks: true,
            },
            theme,
            screen: Screen::Board,
            furthest: 0,
            furthest_beside: 0,
            overs: Vec::new(),
            board: Board::default(),
            open: None,
            number: None,
            notice: None,
            drafts: Vec::new(),
            saving: None,
            practice: false,
            mapping: None,
            can_practise: false,
            to_practise: None,
            history: Vec::new(),
            evidence: Evidence::default(),
            has_clock: true,
            asks_to_wait: true,
            offers_demo: false,
            demo: Demo::default(),
            said_at: Vec::new(),
            among_demo: Vec::new(),
            leaves: false,
            elsewhere: Vec::new(),
        };
        model.say_what_is_broken();
        model
    }

    /// Takes the flows over, which were read after the first screen was drawn.
    pub fn put_shelf(&mut self, shelf: Shelf) {
        self.shelf = shelf;
        self.say_what_is_broken();
        if let Some(text) = self.idle_gear() {
            let before = self.notice.take().map(|notice| notice.text + ". ");
            self.say(Role::Caution, before.unwrap_or_default() + &text);
        }
    }

    /// What is said of missing gear in the settings that no flow names.
    pub fn idle_gear(&self) -> Option<String> {
        let flows = self.shelf.iter().map(|shelved| &*shelved.flow);
        let said = self.settings.of_no_flow(flows);
        (!said.is_empty()).then(|| format!("Settings, {}", said.join("; ")))
    }

    fn say_what_is_broken(&mut self) {
        if let Some(text) = super::update::flows::in_place_of_shipped(&self.shelf)
            && self.notice.is_none()
        {
            self.say(Role::Plain, text);
        }
        if let Some(text) = super::update::flows::broken(&self.shelf.rejected) {
            // What is wrong in the settings was said before and stays.
            let before = self.notice.take().map(|notice| notice.text + ". ");
            self.say(Role::Caution, before.unwrap_or_default() + &text);
        }
    }

    /// Who asks, and when.
    pub fn desk(&self) -> Desk<'_> {
        Desk {
            who: &self.who,
            day: self.now.date_naive(),
        }
    }

    /// What is next on the open job.
    pub fn standing(&self) -> Standing<'_> {
        self.open
            .as_ref()
            .map_or(Standing::NotOpened, |open| open.job.standing(self.desk()))
    }

    /// What keys are about now.
    pub fn context(&self) -> Context {
        match self.overs.last() {
            Some(Over::Form(form)) => match form.field().map(|f| &f.kind) {
                Some(FieldKind::Words { .. }) => Context::Words,
                _ => Context::Field,
            },
            Some(Over::List { .. }) => Context::List,
            Some(Over::Files(_)) => Context::Files,
            Some(
                Over::Help(..)
                | Over::Why(_)
                | Over::Debrief(_)
                | Over::People(_)
                | Over::Complaint(_),
            ) => Context::Text,
            Some(Over::Plain(..)) => Context::Plain,
            Some(Over::Evidence(_)) => Context::Evidence,
            None => self.context_below(),
        }
    }

    /// What keys are about once nothing lies over the screen.
    pub fn context_below(&self) -> Context {
        match self.screen {
            Screen::Board if self.board.searching => Context::Search,
            Screen::Board => Context::Board,
            Screen::Record(_) => Context::Record,
            Screen::Walk => self.walk_context(),
        }
    }

    fn walk_context(&self) -> Context {
        if self.is_held() {
            return Context::Ways;
        }
        match self.standing() {
            Standing::Cautions(_) => Context::Caution,
            Standing::Step(_) if self.is_brief() => Context::Brief,
            Standing::Facts(_) | Standing::Step(_) => {
                match self.asked().map(|asked| &asked.prompt.kind) {
                    Some(PromptKind::Quantity(_) | PromptKind::Text) => Context::Value,
                    Some(PromptKind::Choice(_)) => Context::Choice,
                    Some(PromptKind::Places(_)) => Context::Places,
                    Some(PromptKind::Pairs(_)) => Context::Pairs,
                    None => Context::Judged,
                }
            }
            _ => Context::Ways,
        }
    }

    /// Says something in the line above the keys.
    pub fn say(&mut self, role: Role, text: impl Into<String>) {
        self.notice = Some(Notice {
            role,
            text: text.into(),
        });
    }

    /// Takes over what drawing has found out: how far the text on screen can be scrolled.
    pub fn settle(&mut self, furthest: u16, beside: u16) {
        self.furthest = furthest;
        self.furthest_beside = beside;
        if let Some(open) = &mut self.open {
            open.beside = open.beside.min(beside);
        }
        if self.scrolls_beside() {
            return;
        }
        if let Some(scroll) = self.scroll_mut() {
            *scroll = (*scroll).min(furthest);
        }
    }

    /// Whether pages turn the column beside the step: the step itself is seen whole.
    fn scrolls_beside(&self) -> bool {
        let walks = self.overs.is_empty() && self.screen == Screen::Walk;
        walks && self.furthest == 0 && self.furthest_beside > 0
    }

    /// How far the text on screen is scrolled, where it can be.
    pub fn scroll_mut(&mut self) -> Option<&mut u16> {
        let beside = self.scrolls_beside();
        match self.overs.last_mut() {
            Some(
                Over::Help(_, scroll)
                | Over::Why(scroll)
                | Over::Plain(_, scroll)
                | Over::Debrief(scroll)
                | Over::People(scroll)
                | Over::Complaint(scroll),
            ) => Some(scroll),
            Some(Over::Evidence(looked)) => Some(&mut looked.scroll),
            Some(_) => None,
            None => match &mut self.screen {
                Screen::Board => None,
                Screen::Record(scroll) => Some(scroll),
                Screen::Walk if beside => self.open.as_mut().map(|open| &mut open.beside),
                Screen::Walk => self.open.as_mut().map(|open| &mut open.scroll),
            },
        }
    }
}
