//! A session in lines: each line that is typed becomes messages for the same update that the keys
//! drive, and what has changed is said. Nothing here decides anything about a job.

use std::collections::BTreeSet;
use std::thread;
use std::time::{Duration, Instant};

use uuid::Uuid;

use super::command::{self, Command};
use super::page::{self, Page};
use super::screen;
use crate::check::shelf::Found;
use crate::flow::model::PromptKind;
use crate::flow::shelf::Shelf;
use crate::tui::clean::clean;
use crate::tui::driver::{Driver, Left};
use crate::tui::input::Input;
use crate::tui::keys::Context;
use crate::tui::message::{Act, Edit, Message};
use crate::tui::model::{Model, Over, Screen};
use crate::tui::theme::Role;
use crate::tui::view::help;

/// Commands that are hinted at when a kind of question comes for the first time.
const HINTS: usize = 6;

/// How long the evidence is waited for, and how often it is looked for meanwhile.
const PATIENCE: Duration = Duration::from_secs(5);
const LOOK: Duration = Duration::from_millis(10);

/// A session.
pub struct Session {
    pub(super) driver: Driver,
    /// What was said last.
    last: Page,
    /// Where the walk stood when that was said last: a form that was closed does not repeat it.
    stood: Vec<String>,
    /// Kinds of questions whose commands were hinted at.
    hinted: BTreeSet<Context>,
    lines: Vec<String>,
    refused: Option<String>,
    /// What was asked about and waits to be typed once more.
    asked_again: Option<String>,
    /// The line before read a page out, which is closed by now.
    page_read: bool,
    left: bool,
    bell: bool,
}

/// What a session says.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Said {
    /// Lines.
    pub lines: Vec<String>,
    /// What stands before what is typed next; no line end.
    pub prompt: String,
    /// Why the line was not taken, if it was not.
    pub refused: Option<String>,
    /// What was asked about: Enter alone keeps it; nothing is recorded until then.
    pub asked_again: Option<String>,
    /// The session is over.
    pub left: bool,
    /// The bell is to be rung.
    pub bell: bool,
}

impl Session {
    /// A session; with a job, it is opened at once.
    pub fn begin(mut driver: Driver, job: Option<Uuid>) -> (Self, Said) {
        // Without a screen nothing has to fit on one.
        driver.take(Input::Resize(0, 0));
        driver.model.has_clock = false;
        let mut session = Self {
            driver,
            last: Page::default(),
            stood: Vec::new(),
            hinted: BTreeSet::new(),
            lines: Vec::new(),
            refused: None,
            asked_again: None,
            page_read: false,
            left: false,
            bell: false,
        };
        session.say("ruleout, line by line: type a number or an answer, then Enter.");
        session.say("A command is a word or two, such as back; where text is typed, begin it with a slash: /back. `help` lists them.");
        let left = session.driver.start();
        session.note(left);
        if let Some(job) = job {
            let left = session.driver.open_job(job);
            session.note(left);
        }
        session.notice();
        session.refused = None;
        let said = session.said();
        (session, said)
    }

    /// What is shown, for the line on leaving and for tests.
    pub fn model(&self) -> &Model {
        &self.driver.model
    }

    /// The driver, which renews the claim and takes flows that have changed.
    pub fn driver_mut(&mut self) -> &mut Driver {
        &mut self.driver
    }

    /// Takes a line in.
    pub fn line(&mut self, line: &str) -> Said {
        self.take(line.trim());
        self.said()
    }

    /// Time has passed; says what that comes to, which is nothing most of the time.
    pub fn tick(&mut self) -> Said {
        let left = self.driver.take(Input::Tick);
        self.heard(left)
    }

    /// Flows were read anew, or could not be.
    pub fn flows(&mut self, read: Result<Shelf, String>) -> Said {
        let left = self.driver.flows(read);
        self.heard(left)
    }

    /// The checker has looked at the owner's flows.
    pub fn checked(&mut self, found: Vec<Found>) -> Said {
        let left = self.driver.checked(found);
        self.heard(left)
    }

    /// What came from outside is said, and is no refusal of anything.
    fn heard(&mut self, left: Vec<Left>) -> Said {
        self.note(left);
        self.notice();
        self.refused = None;
        self.said()
    }

    pub(super) fn say(&mut self, text: &str) {
        self.lines.push(clean(text));
    }

    pub(super) fn refuse(&mut self, why: &str) {
        self.say(&format!("! {why}"));
        self.refused.get_or_insert_with(|| clean(why));
    }

    /// Says what is asked about and may be kept as it is.
    pub(super) fn ask_again(&mut self, why: &str) {
        self.say(&format!("! {why}"));
        self.asked_again = Some(clean(why));
    }

    pub(super) fn send(&mut self, message: Message) {
        let left = self.driver.send(message);
        self.note(left);
        self.notice();
    }

    pub(super) fn act(&mut self, act: Act) {
        self.send(Message::Do(act));
    }

    fn note(&mut self, left: Vec<Left>) {
        for what in left {
            match what {
                Left::Quit => self.left = true,
                Left::Bell => self.bell = true,
                Left::Mouse(_) | Left::Redraw | Left::Copy(_) | Left::Suspend | Left::Demo => {}
            }
        }
    }

    /// Says the line about what just happened.
    fn notice(&mut self) {
        if let Some(notice) = self.driver.model.notice.take() {
            match notice.role {
                Role::Fail | Role::Caution => self.refuse(&notice.text),
                _ => self.say(&notice.text),
            }
        }
    }

    /// Takes in what the evidence says of where the walk stands. Nothing is said twice here, so the
    /// first answer is waited for, which rests on words and comes at once; a better one is taken in
    /// when the next line comes.
    fn weigh(&mut self) {
        let until = Instant::now() + PATIENCE;
        while let Some(left) = self.driver.weighed() {
            self.note(left);
        }
        while self.driver.model.is_weighing() && Instant::now() < until {
            match self.driver.weighed() {
                Some(left) => self.note(left),
                None => thread::sleep(LOOK),
            }
        }
    }

    /// What is to be said by now.
    fn said(&mut self) -> Said {
        self.weigh();
        let page = page::page(&self.driver.model);
        if !self.left {
            self.changed(&page);
        }
        let moved = page.place != self.last.place || page.head != self.last.head;
        self.last = page;
        Said {
            lines: std::mem::take(&mut self.lines),
            prompt: self.last.prompt.clone(),
            // Where the walk has moved on, what was said is a remark and no refusal.
            refused: self.refused.take().filter(|_| !moved),
            asked_again: self.asked_again.take(),
            left: self.left,
            bell: std::mem::take(&mut self.bell),
        }
    }

    fn changed(&mut self, page: &Page) {
        if page.head != self.last.head && !page.head.is_empty() {
            self.lines.push(page.head.clone());
        }
        let moved = page.place != self.last.place;
        if moved && page.place != self.stood {
            self.lines.extend(page.place.iter().cloned());
        }
        if self.driver.model.overs.is_empty() {
            self.stood.clone_from(&page.place);
        }
        if moved || page.asks != self.last.asks {
            self.lines.extend(page.asks.iter().cloned());
        }
        self.hint();
    }

    /// The commands of a kind of question, once.
    fn hint(&mut self) {
        let model = &self.driver.model;
        let context = model.context();
        if !self.hinted.insert(context) {
            return;
        }
        let mut named = command::available(model);
        named.retain(|named| named.rank > 0);
        named.sort_by_key(|named| named.rank);
        let slash = if typed_as_text(model) { "/" } else { "" };
        let mut words: Vec<String> = named
            .iter()
            .take(HINTS)
            .map(|named| format!("{slash}{}", named.words))
            .collect();
        words.push(format!("{slash}help"));
        self.say(&format!("(or: {})", words.join(", ")));
    }

    fn take(&mut self, text: &str) {
        let page_read = std::mem::take(&mut self.page_read);
        if let Some(text) = text.strip_prefix("//") {
            self.answer(&format!("/{text}"));
            return;
        }
        if let Some(named) = text.strip_prefix('/') {
            match command::read(&self.driver.model, named) {
                Some((command, rest)) => {
                    self.page_read = page_read;
                    self.command(command, rest);
                }
                None if self.driver.model.context() == Context::Files => self.answer(text),
                None => self.refuse(&format!(
                    "`{text}` is no command here; `/help` lists them. A text that begins with a slash is typed with two."
                )),
            }
            return;
        }
        // Where words are answers, an answer goes before a command of the same name.
        if !typed_as_text(&self.driver.model)
            && !self.is_choice(text)
            && let Some(command) = command::bare(&self.driver.model, text)
        {
            self.page_read = page_read;
            self.command(command, "");
            return;
        }
        self.answer(text);
    }

    /// Does a command; what follows it is the first line of what it opens.
    fn command(&mut self, command: Command, rest: &str) {
        let before = self.driver.model.context();
        let page_read = std::mem::take(&mut self.page_read);
        match command {
            // Whoever leaves a page that was read out must not undo a step of the job with it.
            Command::Act(Act::Back) if page_read => {
                self.say("The page is closed; the job stands where it stood. `back` once more goes back.");
                return;
            }
            Command::Help => self.help(),
            Command::Again => {
                self.last = Page::default();
                self.stood.clear();
                let timer = self.driver.model.timer();
                if let Some(timer) = timer.filter(|timer| !timer.waits) {
                    let left = timer.left.max(0);
                    self.say(&format!(
                        "The timer has {left} s left of {} s.",
                        timer.whole
                    ));
                }
            }
            Command::Empty => self.empty(),
            Command::TakeBack => {
                self.send(Message::Edit(Edit::Clear));
                self.send(Message::Edit(Edit::Backspace));
            }
            Command::Act(Act::Search) => {
                self.act(Act::Search);
                self.send(Message::Edit(Edit::Clear));
            }
            Command::Act(act) => self.act(act),
        }
        self.read_out();
        if rest.is_empty() || self.left {
            return;
        }
        if self.driver.model.context() == before {
            self.refuse(&format!(
                "`{rest}` was not taken: nothing was opened for it"
            ));
        } else {
            self.answer(rest);
        }
    }

    /// Says a text that lies over the walk, and closes it: there is nothing to scroll.
    pub(super) fn read_out(&mut self) {
        loop {
            let over = match self.driver.model.overs.last() {
                Some(Over::Form(_) | Over::List { .. } | Over::Files(_)) => return,
                Some(_) => true,
                None => false,
            };
            let screen = self.driver.model.screen;
            if !over && matches!(screen, Screen::Board | Screen::Walk) {
                return;
            }
            let lines = screen::lines(&self.driver.model);
            self.lines.extend(lines);
            self.page_read = true;
            self.act(Act::Back);
            // Whatever cannot be closed is left alone.
            let model = &self.driver.model;
            if model.screen == screen && !over {
                return;
            }
        }
    }

    fn help(&mut self) {
        let model = &self.driver.model;
        let context = model.context();
        let mut lines = vec![explain(context, model.practice).to_owned()];
        lines.push("Enter alone accepts or keeps what stands there.".to_owned());
        lines.push("Commands; in full, or after a slash as much as is needed:".to_owned());
        for named in command::available(model) {
            lines.push(format!("  {}: {}", named.words, named.help));
        }
        for line in lines {
            self.say(&line);
        }
    }

    /// Empties what is typed or marked.
    fn empty(&mut self) {
        match self.driver.model.context() {
            Context::Places => {
                if let Some(Ok(picks)) = self.picks_to_nothing() {
                    self.pick_all(&picks);
                }
            }
            _ => self.send(Message::Edit(Edit::Clear)),
        }
    }

    fn picks_to_nothing(&self) -> Option<Result<Vec<usize>, String>> {
        let open = self.driver.model.open.as_ref()?;
        let words: Vec<String> = open
            .entry
            .places
            .keys()
            .map(|place| format!("{place} nothing"))
            .collect();
        Some(self.picks(&words.join("; ")))
    }
}

/// Whether any line could be an answer here, so that a command needs its slash.
fn typed_as_text(model: &Model) -> bool {
    match model.context() {
        Context::Field | Context::Search => true,
        Context::Value => matches!(
            model.asked().map(|asked| &asked.prompt.kind),
            Some(PromptKind::Text)
        ),
        _ => false,
    }
}

/// What is asked here and how it is typed.
fn explain(context: Context, practice: bool) -> &'static str {
    match context {
        Context::Places => {
            "Type each place's number and how strongly it shows there, such as 2 heavy, 3 wisp; several lines or one. Enter alone ends it. Nothing marked means: looked everywhere, nothing shows."
        }
        Context::Pairs => {
            "Type one pair a line, such as 50 = 2.05: it is saved at once. Enter alone ends the list."
        }
        Context::Files => {
            "Type the number of a file or a folder, or a path. What a file would fill is said; Enter alone fills it in. `columns` tells what its columns hold and how it is written, and keeps that by name."
        }
        Context::Caution => {
            "Read the caution, do what it says, then type its name. It is asked once a day, a person and a flow, and again after a repair."
        }
        Context::Search => {
            "Type words: every one must occur somewhere in the job. Then the number of a job opens it."
        }
        Context::Field | Context::Words => {
            "A form, field by field. Enter alone keeps what stands in a field; the last field saves. Leaving it keeps what you typed."
        }
        Context::Board => {
            "Every car that is being worked on. Type a number to go on exactly where it stopped."
        }
        other => help::explain(other, practice),
    }
}
