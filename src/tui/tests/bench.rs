//! A bench for the tests: the screens with a store in memory, a clock that stands still until it
//! is moved, names that are counted, and no terminal.

use std::cell::Cell;
use std::rc::Rc;
use std::sync::LazyLock;

use chrono::{DateTime, FixedOffset, TimeDelta, Utc};
use ratatui::Terminal;
use ratatui::backend::TestBackend;
use uuid::Uuid;

use crate::check::shelf::{Found, owners};
use crate::engine::event::{Event, Opening, Vehicle, What};
use crate::flow::shelf::Shelf;
use crate::job::sqlite::SqliteStore;
use crate::job::store::{Claim, JobLine, Store, StoreError, Writer};
use crate::tui::driver::{Driver, Left, Outside};
use crate::tui::files::Places;
use crate::tui::habits::Kept;
use crate::tui::input::{Input, Key, Press};
use crate::tui::keys::Context;
use crate::tui::model::Model;
use crate::tui::theme::Theme;
use crate::tui::view;
use crate::tui::weigher::{Asked, AtOnce};

/// The screens on a bench.
pub struct Bench {
    pub driver: Driver,
    pub left: Vec<Left>,
    clock: Rc<Cell<DateTime<Utc>>>,
    broken: Rc<Cell<bool>>,
    size: (u16, u16),
    /// What is entered while a hold runs is a sample; else the bench waits until it is over.
    pub samples: bool,
    /// What is accepted before a step's time is over is; else the bench waits until it is.
    pub hurries: bool,
    /// Looks at what is asked about places left empty; else Enter says that they were looked at.
    pub is_asked: bool,
}

/// A store that can be made to fail.
struct Breakable {
    store: SqliteStore,
    broken: Rc<Cell<bool>>,
}

impl Store for Breakable {
    fn append(&mut self, job: Uuid, after: u64, events: &[Event]) -> Result<(), StoreError> {
        if self.broken.get() {
            let file = "ruleout.db".into();
            return Err(StoreError::Full { file });
        }
        self.store.append(job, after, events)
    }
    fn read(&self, job: Uuid) -> Result<Vec<Event>, StoreError> {
        self.store.read(job)
    }
    fn read_after(&self, job: Uuid, after: u64) -> Result<Vec<Event>, StoreError> {
        self.store.read_after(job, after)
    }
    fn search(&self, query: &str) -> Result<Vec<JobLine>, StoreError> {
        self.store.search(query)
    }
    fn claim(&mut self, job: Uuid, who: &str, how: Claim) -> Result<(), StoreError> {
        self.store.claim(job, who, how)
    }
    fn release(&mut self, job: Uuid) -> Result<(), StoreError> {
        self.store.release(job)
    }
    fn writer(&self, job: Uuid) -> Result<Option<Writer>, StoreError> {
        self.store.writer(job)
    }
}

/// The flows that come with the program, read once.
static SHIPPED: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);

/// The flows that come with the program.
pub fn shipped() -> &'static Shelf {
    &SHIPPED
}

/// The flows of the bench, read once.
static BENCH: LazyLock<Shelf> = LazyLock::new(|| {
    let mut shelf = Shelf::default();
    shelf.put(
        "bench-hold.yaml",
        include_str!("../../../tests/fixtures/flows/bench-hold.yaml"),
    );
    shelf.put(
        "bench-signal.yaml",
        include_str!("../../../tests/fixtures/flows/bench-signal.yaml"),
    );
    assert!(shelf.rejected.is_empty(), "{:#?}", shelf.rejected);
    shelf
});

pub fn shelf() -> Shelf {
    BENCH.clone()
}

impl Bench {
    /// An empty board.
    pub fn new() -> Self {
        Self::with(SqliteStore::in_memory().unwrap(), shelf())
    }

    /// The board on a store, with these flows at hand.
    pub fn with(store: SqliteStore, shelf: Shelf) -> Self {
        let zone = FixedOffset::east_opt(3_600).unwrap();
        let who = "Kim Archer".to_owned();
        let model = Model::new(start(), zone, who, shelf, Theme::new(false));
        let mut bench = Self::on(store, model);
        bench.resize(80, 24);
        bench.left = bench.driver.start();
        bench.draw();
        bench
    }

    /// A job of which this has happened, opened from the board; the shipped flows are at hand.
    pub fn on_job(what: Vec<What>) -> Self {
        let events: Vec<Event> = (1..)
            .zip(what)
            .map(|(seq, what)| Event {
                id: Uuid::now_v7(),
                seq,
                at: start(),
                who: "Kim Archer".to_owned(),
                what,
            })
            .collect();
        let mut store = SqliteStore::in_memory().unwrap();
        store.append(Uuid::now_v7(), 0, &events).unwrap();
        let mut bench = Self::with(store, shipped().clone());
        bench.keys("<Enter>");
        assert_eq!(bench.driver.model.open.as_ref().unwrap().job.misfits, []);
        bench
    }

    /// What a model shows; there are no jobs in the store.
    pub fn showing(model: Model) -> Self {
        Self::on(SqliteStore::in_memory().unwrap(), model)
    }

    fn on(store: SqliteStore, model: Model) -> Self {
        let clock = Rc::new(Cell::new(model.now));
        let broken = Rc::new(Cell::new(false));
        let mut next = 0_u128;
        let outside = Outside {
            store: Box::new(Breakable {
                store,
                broken: Rc::clone(&broken),
            }),
            clock: {
                let clock = Rc::clone(&clock);
                Box::new(move || clock.get())
            },
            places: Places::default(),
            names: Box::new(move || {
                next += 1;
                Uuid::from_u128(0x0190_0000_0000_7000_8000_0000_0000_0000 + next)
            }),
        };
        Self {
            driver: Driver::new(outside, model),
            left: Vec::new(),
            clock,
            broken,
            size: (80, 24),
            samples: false,
            hurries: false,
            is_asked: false,
        }
    }

    /// A job whose codes are saved and whose flow was begun, standing at its first question.
    pub fn at_first_question() -> Self {
        let mut bench = Self::new();
        bench.new_job();
        bench.keys("<Enter><F6>");
        // The saving of the codes keeps its number, and the flow has its own.
        bench.keys("2<Enter>");
        bench
    }

    /// As [`Self::at_hold`], on the bench's flow with one of its texts changed.
    pub fn at_hold_with(from: &str, to: &str) -> Self {
        let flow = include_str!("../../../tests/fixtures/flows/bench-hold.yaml");
        let changed = flow.replace(from, to);
        assert_ne!(changed, flow, "{from}");
        let mut shelf = Shelf::default();
        shelf.put("bench-hold.yaml", &changed);
        assert!(shelf.rejected.is_empty(), "{:#?}", shelf.rejected);
        let mut bench = Self::with(SqliteStore::in_memory().unwrap(), shelf);
        bench.new_job();
        bench.keys("<Enter><F6>2<Enter>1<Enter>140<Enter>118<Enter><Enter><Enter>1");
        bench
    }

    /// As [`Self::at_first_question`], at the first step: facts given, the caution accepted.
    pub fn at_first_step() -> Self {
        let mut bench = Self::at_first_question();
        bench.keys("1<Enter>").typed("140").keys("<Enter>1");
        bench
    }

    /// On the shipped intake flow, at the step that asks for the readings at warm idle.
    pub fn at_warm_idle() -> Self {
        let mut bench = Self::new();
        bench.driver.model.shelf = shipped().clone();
        bench
            .keys("n")
            .typed("XK 42 TRY")
            .keys("<Tab><Tab><Tab><Tab>");
        bench.typed("rough idle").keys("<Tab><Tab>").typed("p0171");
        bench.keys("<F6>").sees("2 Intake leak");
        bench.keys("2<Enter>1<Enter>1<Enter>200<Enter>");
        for _ in 0..12 {
            let screen = bench.screen();
            if screen.contains("Is fuelling in closed loop?") {
                return bench;
            }
            bench.keys(if screen.contains("are saved?") {
                "1<Enter>"
            } else if screen.contains("CAUTION") {
                "1"
            } else {
                "<Enter>"
            });
        }
        panic!("the step was not reached:\n{}", bench.screen());
    }

    /// At the step with the hold, its caution accepted.
    pub fn at_hold() -> Self {
        let mut bench = Self::at_first_step();
        bench.typed("18").keys("<Enter><Enter><Enter>1");
        bench
    }

    /// From the hold: everything read, smoke seen at the hose joint.
    pub fn joint(&mut self) -> &mut Self {
        self.keys("40<Enter>38<Enter>1<Enter><Enter><Enter>")
    }

    /// Lets the evidence be worked out from now on, at once.
    pub fn weighing(mut self) -> Self {
        let desk = Box::new(AtOnce::new(None));
        self.driver.weigh_with(desk, Kept::default());
        self
    }

    /// The question about the evidence of the job on screen.
    pub fn asked(&self) -> Asked {
        let model = &self.driver.model;
        Asked {
            key: model.evidence_key().unwrap(),
            job: model.open.as_ref().unwrap().job.clone(),
            not_here: Vec::new(),
            ignore_own_jobs: true,
            by_words: false,
        }
    }

    /// Adds a remark.
    pub fn remark(&mut self, text: &str) -> &mut Self {
        self.keys("<C-k>").paste(text).keys("<Enter>")
    }

    /// Opens a job by typing.
    pub fn new_job(&mut self) {
        self.keys("n")
            .typed("XK 42 TRY")
            .keys("<Tab>")
            .typed("Corvid 1.8, 2014")
            .keys("<Tab><Tab>");
        self.typed("120400 km")
            .keys("<Tab>")
            .typed("idles rough when cold")
            .keys("<Tab>")
            .typed("2");
        self.keys("<Tab>")
            .typed("p0171")
            .keys("<Tab>")
            .typed("2")
            .keys("<Enter><Enter>");
    }

    pub fn resize(&mut self, columns: u16, rows: u16) -> &mut Self {
        self.size = (columns, rows);
        self.input(Input::Resize(columns, rows))
    }

    pub fn input(&mut self, input: Input) -> &mut Self {
        let enter = input == Input::Key(Press::plain(Key::Enter));
        let typed = !self.driver.model.field_is_empty();
        if enter && typed && !self.samples && self.driver.model.takes_samples() {
            self.wait(61);
        }
        if enter && !self.hurries && self.accepts() {
            self.waits_for_the_step();
        }
        let left = self.driver.take(input);
        self.left.extend(left);
        if enter && !self.is_asked && self.is_asked_of_places() {
            let left = self.driver.take(Input::Key(Press::plain(Key::Enter)));
            self.left.extend(left);
        }
        while let Some(left) = self.driver.weighed() {
            self.left.extend(left);
        }
        // Drawing settles how far a text is scrolled; elsewhere it waits until somebody looks.
        if matches!(self.driver.model.context(), Context::Text | Context::Record) {
            self.draw();
        }
        self
    }

    /// Whether some places are marked, and it is asked whether the others were looked at.
    fn is_asked_of_places(&self) -> bool {
        let open = self.driver.model.open.as_ref();
        open.is_some_and(|open| open.entry.nowhere && !open.entry.places.is_empty())
    }

    /// Whether Enter gives an answer or accepts a judgement now.
    fn accepts(&self) -> bool {
        matches!(
            self.driver.model.context(),
            Context::Value | Context::Choice | Context::Places | Context::Pairs | Context::Judged
        )
    }

    /// Waits until the time of the step is over, if it has one.
    fn waits_for_the_step(&mut self) {
        if self.driver.model.clock_waits() {
            self.input(Input::Key(Press::ctrl('t')));
        }
        if let Some(left) = self.driver.model.early() {
            self.wait(left + 1);
        }
    }

    /// Presses keys: characters, and names in angle brackets.
    pub fn keys(&mut self, keys: &str) -> &mut Self {
        let mut rest = keys;
        while let Some(c) = rest.chars().next() {
            let (press, length) = match rest.strip_prefix('<').and_then(|r| r.split_once('>')) {
                Some((name, _)) => (named(name), name.len() + 2),
                None => (Press::plain(Key::Char(c)), c.len_utf8()),
            };
            self.input(Input::Key(press));
            rest = &rest[length..];
        }
        self
    }

    /// Types a text, every character a press of its own.
    pub fn typed(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            self.input(Input::Key(Press::plain(Key::Char(c))));
        }
        self
    }

    pub fn paste(&mut self, text: &str) -> &mut Self {
        self.input(Input::Paste(text.to_owned()))
    }

    /// Moves the clock and lets a second tick.
    pub fn wait(&mut self, seconds: i64) -> &mut Self {
        self.clock
            .set(self.clock.get() + TimeDelta::seconds(seconds));
        self.input(Input::Tick)
    }

    /// Makes the store fail, or work again.
    pub fn break_store(&mut self, broken: bool) -> &mut Self {
        self.broken.set(broken);
        self
    }

    /// Clicks on the first place where a text stands.
    pub fn click(&mut self, text: &str) -> &mut Self {
        let screen = self.screen();
        let found = screen.lines().enumerate().find_map(|(row, line)| {
            let at = line.find(text)?;
            Some((line[..at].chars().count(), row))
        });
        let Some((column, row)) = found else {
            panic!("`{text}` is not on screen:\n{screen}");
        };
        self.input(Input::Click(
            u16::try_from(column).unwrap(),
            u16::try_from(row).unwrap(),
        ))
    }

    fn draw(&mut self) -> String {
        let buffer = self.buffer();
        let columns = usize::from(buffer.area.width).max(1);
        let rows = buffer.content.chunks(columns);
        let lines = rows.map(|row| {
            row.iter()
                .map(ratatui::buffer::Cell::symbol)
                .collect::<String>()
                .trim_end()
                .to_owned()
        });
        lines.collect::<Vec<_>>().join("\n")
    }

    /// Every cell of the screen.
    pub fn buffer(&mut self) -> ratatui::buffer::Buffer {
        let mut terminal = Terminal::new(TestBackend::new(self.size.0, self.size.1)).unwrap();
        let mut drawn = None;
        terminal
            .draw(|frame| drawn = Some(view::draw(&self.driver.model, frame.buffer_mut())))
            .unwrap();
        self.driver.drew(drawn.unwrap());
        terminal.backend().buffer().clone()
    }

    /// Flow files have changed.
    pub fn flows(&mut self, read: Result<Shelf, String>) {
        self.left = self.driver.flows(read);
        self.draw();
    }

    /// Lets the checker look at the flows at hand, and the screens take of what it finds what is kept.
    pub fn checked(&mut self, keep: impl Fn(Found, &Shelf) -> Option<Found>) {
        let shelf = self.driver.model.shelf.clone();
        let found = owners(&shelf).into_iter();
        let kept = found.filter_map(|found| keep(found, &shelf)).collect();
        self.left = self.driver.checked(kept);
        self.draw();
    }

    /// What is on screen.
    pub fn screen(&mut self) -> String {
        self.draw()
    }

    /// The words on screen, whatever rows they are broken over.
    pub fn words(&mut self) -> String {
        words(&self.screen())
    }

    /// Confirms each thing that a set-up left on the car; one Enter too many confirms nothing.
    pub fn confirms_all_off(&mut self) -> &mut Self {
        self.sees("Before the car goes: look at each of these");
        let count = self.driver.model.open.as_ref().unwrap().job.fitted.len();
        // What is confirmed keeps its number.
        for number in 1..=count {
            self.keys(&number.to_string());
            assert!(
                matches!(self.last(), What::TakenOff(_)),
                "{:?}",
                self.last()
            );
        }
        self.sees("Hand the car over")
    }

    /// Stops the test unless a text is on screen.
    pub fn sees(&mut self, text: &str) -> &mut Self {
        let screen = self.screen();
        assert!(
            words(&screen).contains(&words(text)),
            "`{text}` is not on screen:\n{screen}"
        );
        self
    }

    /// Stops the test if a text is on screen.
    pub fn sees_not(&mut self, text: &str) -> &mut Self {
        let screen = self.screen();
        assert!(!screen.contains(text), "`{text}` is on screen:\n{screen}");
        self
    }

    /// What the job's record says, the events that only set the scene left out.
    pub fn record(&self) -> Vec<What> {
        let open = self.driver.model.open.as_ref().unwrap();
        open.events.iter().map(|event| event.what.clone()).collect()
    }

    pub fn last(&self) -> What {
        self.record().pop().unwrap()
    }
}

/// A job that was opened for a complaint, with a flow begun on it.
pub fn begun(complaint: &str, text: &str) -> Vec<What> {
    let mut shelf = Shelf::default();
    shelf.put("begun.yaml", text);
    let shelved = shelf.iter().next().expect("a flow that loads");
    vec![
        What::JobOpened(Opening {
            vehicle: Vehicle {
                plate: "KT 7".to_owned(),
                ..Vehicle::default()
            },
            complaint: complaint.to_owned(),
            bay: "2".to_owned(),
            ..Opening::default()
        }),
        What::FlowBegun {
            flow: shelved.flow.id.clone(),
            revision: shelved.flow.revision,
            hash: shelved.hash.clone(),
            text: shelved.text.clone(),
        },
    ]
}

/// The words of a text that may be broken over rows.
pub fn words(text: &str) -> String {
    let words = text.split_whitespace().filter(|word| *word != "┃");
    words.collect::<Vec<_>>().join(" ")
}

/// When every test begins.
fn start() -> DateTime<Utc> {
    "2026-03-02T09:00:00Z".parse().unwrap()
}

fn named(name: &str) -> Press {
    let key = match name {
        "Enter" => Key::Enter,
        "Esc" => Key::Esc,
        "Tab" => Key::Tab,
        "Back" => Key::Backspace,
        "Left" => Key::Left,
        "Right" => Key::Right,
        "Up" => Key::Up,
        "Down" => Key::Down,
        "PgUp" => Key::PageUp,
        "PgDn" => Key::PageDown,
        "Home" => Key::Home,
        "End" => Key::End,
        _ => match name.strip_prefix('F').and_then(|n| n.parse().ok()) {
            Some(n) => Key::F(n),
            None => return Press::ctrl(name.strip_prefix("C-").unwrap().chars().next().unwrap()),
        },
    };
    Press::plain(key)
}
