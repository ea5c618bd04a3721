//! Somebody who walks in lines: types what is asked for, and keeps what was typed.

use chrono::{FixedOffset, Utc};
use ruleout::engine::event::{Event, What};
use ruleout::engine::standing::{RepairStage, Standing};
use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::model::{Prompt, PromptKind};
use ruleout::flow::shelf::Shelf;
use ruleout::job::sqlite::SqliteStore;
use ruleout::tui::driver::{Driver, Outside};
use ruleout::tui::files::Places;
use ruleout::tui::model::{ListKind, Model, Over, Then, items};
use ruleout::tui::plain::session::{Said, Session};
use ruleout::tui::theme::Theme;
use uuid::Uuid;

pub const WHO: &str = "Ines Harrow";

pub struct Typist {
    pub session: Session,
    /// Everything that was typed.
    pub lines: Vec<String>,
    /// Everything that was said.
    pub said: String,
}

/// What came of looking for something to type.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Next {
    /// An answer was typed.
    Answered,
    /// A step was followed to where its readings lead.
    Followed,
    /// The test begins again.
    Retest,
    /// The flow leads nowhere by itself any more.
    End,
}

impl Typist {
    pub fn new(shelf: Shelf) -> Self {
        let outside = Outside {
            store: Box::new(SqliteStore::in_memory().unwrap()),
            clock: Box::new(Utc::now),
            places: Places::default(),
            names: Box::new(Uuid::now_v7),
        };
        let zone = FixedOffset::east_opt(0).unwrap();
        let mut model = Model::new(Utc::now(), zone, WHO.to_owned(), shelf, Theme::new(false));
        // What is typed here is a script's, which cannot wait.
        model.asks_to_wait = false;
        let (session, said) = Session::begin(Driver::new(outside, model), None);
        Self {
            session,
            lines: Vec::new(),
            said: said.lines.join("\n"),
        }
    }

    pub fn model(&self) -> &Model {
        self.session.model()
    }

    pub fn events(&self) -> &[Event] {
        &self.model().open.as_ref().unwrap().events
    }

    /// Types a line that must be taken.
    pub fn types(&mut self, line: &str) {
        let said = self.tries(line);
        assert_eq!(said.refused, None, "`{line}`\n{}", self.said);
    }

    pub fn tries(&mut self, line: &str) -> Said {
        self.lines.push(line.to_owned());
        let said = self.session.line(line);
        let lines = said.lines.join("\n");
        for part in [line, &lines, &said.prompt] {
            self.said.push_str(part);
            self.said.push('\n');
        }
        said
    }

    /// A new job with this complaint.
    pub fn new_job(&mut self, plate: &str, complaint: &str, codes: &str) {
        for line in ["new job", plate, "", "", "", complaint, "", codes, "", ""] {
            self.types(line);
        }
    }

    /// Begins a flow from the list.
    pub fn begins(&mut self, flow: &str) {
        let wanted = Then::Begin(flow.to_owned());
        let ways = self.model().ways();
        let at = ways.iter().position(|way| way.then == wanted).unwrap();
        self.types(&(at + 1).to_string());
    }

    /// The number of the first thing that is not confirmed to be off again.
    pub fn next_off(&self, kind: ListKind) -> String {
        let items = items(self.model(), kind);
        let open = items.iter().position(|item| !item.label.starts_with('['));
        (open.unwrap() + 1).to_string()
    }

    /// Types whatever is asked for next. What set-ups left on the car is off before the proof.
    pub fn next(&mut self, answer: &mut dyn FnMut(&Prompt) -> Option<Answer>) -> Next {
        enum Do {
            Type(Vec<String>, Next),
            Answer(Box<Prompt>),
        }
        let off_first = |over: &Over| {
            let kind = ListKind::FittedBeforeProof;
            matches!(over, Over::List { kind: shown, .. } if *shown == kind)
        };
        while self.model().overs.last().is_some_and(off_first) {
            self.types(&self.next_off(ListKind::FittedBeforeProof));
        }
        let typed = |lines: &[&str], next| {
            Do::Type(lines.iter().map(|line| (*line).to_owned()).collect(), next)
        };
        let asked = self.model().asked().map(|asked| asked.prompt.clone());
        let next = match (self.model().standing(), asked) {
            (_, Some(prompt)) => Do::Answer(Box::new(prompt)),
            (Standing::Cautions(due), _) => typed(&[&due[0].title.to_lowercase()], Next::Answered),
            (Standing::Step(_), None) => typed(&[""], Next::Followed),
            (Standing::Repair { stage, .. }, _) => match stage {
                RepairStage::Ask => typed(&["1", "owner, by telephone"], Next::Answered),
                RepairStage::Work(_) => typed(&["", "renewed", "bad"], Next::Answered),
                RepairStage::Retest(_) => typed(&[""], Next::Retest),
                RepairStage::Declined(_) => typed(&[], Next::End),
            },
            _ => typed(&[], Next::End),
        };
        match next {
            Do::Type(lines, next) => {
                for line in &lines {
                    self.types(line);
                }
                next
            }
            Do::Answer(prompt) => {
                let answer = answer(&prompt);
                self.answers(&prompt, answer);
                Next::Answered
            }
        }
    }

    /// Types an answer, and confirms it where it is asked again. Without one it is left out.
    fn answers(&mut self, prompt: &Prompt, answer: Option<Answer>) {
        match (answer, &prompt.kind) {
            (None, _) => self.types(""),
            (Some(Answer::CouldNotTell(why)), _) => {
                self.types(&format!("/could not tell {why}"));
            }
            (Some(Answer::Quantity(value)), _) => self.confirmed(&value.to_string()),
            (Some(Answer::Choice(word)), _) => self.types(&word),
            (Some(Answer::Text(text)), _) => self.types(&text),
            (Some(Answer::Places(shown)), PromptKind::Places(listed)) => {
                let marks: Vec<String> = shown
                    .iter()
                    .map(|(place, strength)| {
                        let n = listed.iter().position(|p| p == place).unwrap() + 1;
                        let word = match strength {
                            Strength::Wisp => "wisp",
                            Strength::Steady => "steady",
                            Strength::Heavy => "heavy",
                        };
                        format!("{n} {word}")
                    })
                    .collect();
                if marks.is_empty() {
                    self.types("");
                } else {
                    self.types(&marks.join(", "));
                }
                self.types("");
            }
            (Some(Answer::Pairs(pairs)), _) => {
                for (a, b) in pairs {
                    self.confirmed(&format!("{a} = {b}"));
                }
                self.confirmed("");
            }
            (Some(other), _) => panic!("{other:?} is no answer to {prompt:?}"),
        }
    }

    fn confirmed(&mut self, line: &str) {
        let before = self.events().len();
        self.types(line);
        if self.events().len() == before {
            self.types("");
        }
    }
}

/// What was recorded, without the times, the ids, and what the evidence said of it: a session
/// without the desk that works the evidence out records none.
pub fn facts_of(events: &[Event]) -> Vec<(u64, String, What)> {
    let what = |event: &Event| match event.what.clone() {
        What::OutcomeTaken(mut taken) => {
            taken.weighed = None;
            What::OutcomeTaken(taken)
        }
        other => other,
    };
    events
        .iter()
        .map(|event| (event.seq, event.who.clone(), what(event)))
        .collect()
}
