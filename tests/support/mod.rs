//! Jobs told as stories: a script of answers is walked through the engine as a technician would
//! walk it, with a clock and ids that the script makes itself.

#![allow(
    clippy::needless_pass_by_value,
    reason = "a story is written once and given away"
)]

use std::collections::{BTreeMap, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use chrono::{DateTime, TimeDelta, TimeZone, Utc};
use ruleout::engine::act::act;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::event::{Codes, Event, Opening, PartWas, Vehicle, What};
use ruleout::engine::fold::apply;
use ruleout::engine::job::Job;
use ruleout::engine::prompt;
use ruleout::engine::refusal::Refusal;
use ruleout::engine::standing::{Desk, RepairStage, Standing};
use ruleout::flow::answer::Answer;
use ruleout::flow::model::Cause;
use ruleout::flow::shelf::Shelf;
use uuid::Uuid;

/// The folder of the settings that the tests run the program with, as `XDG_CONFIG_HOME`.
pub fn settings() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/settings")
}

/// The shipped flows, loaded once.
static SHIPPED: LazyLock<Shelf> = LazyLock::new(Shelf::shipped);

/// A scripted job.
#[derive(Clone)]
pub struct Story {
    pub job: Job,
    pub events: Vec<Event>,
    pub shelf: Shelf,
    number: u128,
    who: String,
    now: DateTime<Utc>,
    facts: BTreeMap<String, String>,
    /// Answers by test number and reading; a reading that is asked again takes the next one.
    answers: BTreeMap<(u32, String), VecDeque<String>>,
    /// Outcomes to be taken against the suggestion: step -> outcome, reason.
    choices: BTreeMap<String, (String, String)>,
    part_was: PartWas,
}

/// No two cars have come as far.
fn odometer(number: u128) -> String {
    let thousands = 61 + (number * 37) % 140;
    format!("{thousands},{:03} km", (number * 731) % 1000)
}

/// What was fitted, as a technician writes it: the part, not the fault.
fn fitted(cause: &Cause) -> String {
    let name = cause.name.to_lowercase();
    let parts = [
        ("booster", "brake booster hose"),
        ("gasket", "intake manifold gasket"),
        ("vacuum hose", "vacuum hose"),
        ("hose", "hose and its clamps"),
        ("sensor", "sensor and its seal"),
    ];
    let part = parts.iter().find(|(word, _)| name.contains(word));
    part.map_or_else(
        || "part renewed".to_owned(),
        |(_, part)| format!("{part} renewed"),
    )
}

impl Story {
    /// A car that comes in.
    pub fn new(number: u128, plate: &str, model: &str, complaint: &str, codes: &[&str]) -> Self {
        let opening = Opening {
            vehicle: Vehicle {
                plate: plate.to_owned(),
                model: model.to_owned(),
                odometer: odometer(number),
                ..Vehicle::default()
            },
            complaint: complaint.to_owned(),
            codes: codes.iter().map(|c| (*c).to_owned()).collect(),
            bay: "2".to_owned(),
            ..Opening::default()
        };
        let mut story = Self {
            job: Job::default(),
            events: Vec::new(),
            shelf: SHIPPED.clone(),
            number,
            who: "Ines Harrow".to_owned(),
            now: Utc.with_ymd_and_hms(2026, 3, 2, 8, 15, 0).unwrap()
                + TimeDelta::days(i64::try_from(number).unwrap_or(0)),
            facts: BTreeMap::new(),
            answers: BTreeMap::new(),
            choices: BTreeMap::new(),
            part_was: PartWas::Bad,
        };
        story.does(Action::Open(opening));
        story
    }

    pub fn by(mut self, who: &str) -> Self {
        who.clone_into(&mut self.who);
        self
    }

    pub fn fact(mut self, id: &str, text: &str) -> Self {
        self.facts.insert(id.to_owned(), text.to_owned());
        self
    }

    pub fn saved(mut self, stored: &[&str], pending: &[&str], frame: &str, ready: &str) -> Self {
        let words = |list: &[&str]| list.iter().map(|c| (*c).to_owned()).collect();
        self.does(Action::NoteCodes(Codes {
            stored: words(stored),
            pending: words(pending),
            freeze_frame: frame.to_owned(),
            readiness: ready.to_owned(),
        }));
        self
    }

    /// Answers of one test: "id: text" a line.
    pub fn reads(mut self, test: u32, lines: &str) -> Self {
        for line in lines.lines().map(str::trim).filter(|l| !l.is_empty()) {
            let (id, text) = line.split_once(':').expect("id: answer");
            let key = (test, id.trim().to_owned());
            self.answers
                .entry(key)
                .or_default()
                .push_back(text.trim().to_owned());
        }
        self
    }

    pub fn chooses(mut self, step: &str, outcome: &str, reason: &str) -> Self {
        self.choices
            .insert(step.to_owned(), (outcome.to_owned(), reason.to_owned()));
        self
    }

    pub fn begin(mut self, flow: &str) -> Self {
        let text = self.flow_text(flow);
        self.does(Action::Begin(text));
        self
    }

    pub fn flow_text(&self, flow: &str) -> FlowText {
        let shelved = self
            .shelf
            .find(flow)
            .unwrap_or_else(|| panic!("no flow {flow}"));
        FlowText {
            id: shelved.flow.id.clone(),
            revision: shelved.flow.revision,
            hash: shelved.hash.clone(),
            text: shelved.text.clone(),
        }
    }

    pub fn desk(&self) -> (String, chrono::NaiveDate) {
        (self.who.clone(), self.now.date_naive())
    }

    /// Does one thing and panics where it is refused.
    pub fn does(&mut self, action: Action) {
        self.tries(action.clone())
            .unwrap_or_else(|why| panic!("{action:?}: {why}"));
    }

    /// Does one thing, or says why not.
    pub fn tries(&mut self, action: Action) -> Result<(), Refusal> {
        let (who, day) = self.desk();
        let made = act(&self.job, Desk { who: &who, day }, action)?;
        for what in made {
            self.append(what);
        }
        Ok(())
    }

    fn append(&mut self, what: What) {
        self.now += TimeDelta::seconds(47);
        let seq = self.events.len() as u64 + 1;
        let event = Event {
            id: self.id(seq),
            seq,
            at: self.now,
            who: self.who.clone(),
            what,
        };
        apply(&mut self.job, &event);
        self.events.push(event);
    }

    fn id(&self, seq: u64) -> Uuid {
        let millis = u64::try_from(self.now.timestamp_millis()).unwrap();
        let mut bytes = [0; 10];
        bytes[0] = u8::try_from(self.number & 0xff).unwrap();
        bytes[2..].copy_from_slice(&seq.to_be_bytes());
        uuid::Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid()
    }

    /// The job's own name: that of its first event.
    pub fn job_id(&self) -> Uuid {
        self.events[0].id
    }

    /// Walks until the flow ends, the script has no answer, or the car is handed over.
    pub fn walk(mut self) -> Self {
        for _ in 0..400 {
            if !self.step() {
                return self;
            }
        }
        panic!("the walk does not end: {:?}", self.job.visit());
    }

    /// Walks until a step is next, with nothing done at it yet.
    pub fn walk_to(mut self, step: &str) -> Self {
        for _ in 0..400 {
            let here = self.job.run().and_then(|run| run.step());
            if here.is_some_and(|here| here.id == step) {
                return self;
            }
            assert!(
                self.step(),
                "the walk ends before {step}: {:?}",
                self.job.visit()
            );
        }
        panic!("the walk does not come to {step}: {:?}", self.job.visit());
    }

    /// One thing; false where there is nothing more to do.
    fn step(&mut self) -> bool {
        enum Next {
            Fact(String),
            Accept(String),
            Read(String),
            Finish(String),
            Act(Action),
            Flow(String),
            Stop,
        }
        let (who, day) = self.desk();
        let next = match self.job.standing(Desk { who: &who, day }) {
            Standing::Facts(facts) => Next::Fact(facts[0].id.clone()),
            Standing::Cautions(due) => Next::Accept(due[0].id.to_owned()),
            Standing::Step(step) => {
                let open = self
                    .job
                    .prompts_now()
                    .into_iter()
                    .find(|(p, taken)| !taken && (!p.optional || self.scripted(&p.id)));
                match open {
                    Some((prompt, _)) => Next::Read(prompt.id.clone()),
                    None => Next::Finish(step.id.clone()),
                }
            }
            Standing::Repair { stage, cause } => Next::Act(match stage {
                RepairStage::Ask => Action::Approve {
                    by: "owner, by telephone".to_owned(),
                },
                RepairStage::Work(_) => Action::Repaired {
                    work: fitted(cause),
                    part_was: self.part_was,
                },
                RepairStage::Retest(_) => Action::Retest,
                RepairStage::Declined(_) => return false,
            }),
            Standing::LedTo(flow) => Next::Flow(flow.to_owned()),
            _ => Next::Stop,
        };
        // A part takes its time.
        if let Next::Act(Action::Repaired { .. }) = &next
            && let Standing::Repair { cause, .. } = self.job.standing(Desk { who: &who, day })
        {
            let work = std::time::Duration::from_secs_f64(cause.minutes * 60.0);
            self.now += TimeDelta::from_std(work).unwrap_or_default();
        }
        match next {
            Next::Fact(id) => {
                let text = self
                    .facts
                    .get(&id)
                    .unwrap_or_else(|| panic!("no fact {id}"))
                    .clone();
                let prompt = self.job.run().unwrap().flow.fact(&id).unwrap().clone();
                let value = prompt::parse(&prompt, &text).unwrap();
                self.does(Action::SetFact {
                    fact: id,
                    value,
                    confirmed: false,
                });
            }
            Next::Accept(id) => self.does(Action::Accept(id)),
            Next::Read(id) => {
                let test = self.job.test_number();
                let Some(text) = self.next_answer(test, &id) else {
                    return false;
                };
                let value = self.parse(&id, &text);
                let reading = id;
                self.does(Action::Read {
                    reading,
                    value,
                    confirmed: false,
                    carried_from: None,
                });
            }
            Next::Finish(step) => match self.choices.remove(&step) {
                Some((outcome, reason)) => self.does(Action::Take { outcome, reason }),
                None => self.does(Action::Follow),
            },
            Next::Act(action) => self.does(action),
            Next::Flow(flow) => {
                let text = self.flow_text(&flow);
                self.does(Action::Begin(text));
            }
            Next::Stop => return false,
        }
        true
    }

    pub fn parse(&self, id: &str, text: &str) -> Answer {
        let prompt = self.job.run().unwrap().flow.reading(id).unwrap();
        prompt::parse(prompt, text).unwrap_or_else(|why| panic!("{id} = {text}: {why}"))
    }

    fn scripted(&self, id: &str) -> bool {
        self.answers
            .get(&(self.job.test_number(), id.to_owned()))
            .is_some_and(|q| !q.is_empty())
    }

    fn next_answer(&mut self, test: u32, id: &str) -> Option<String> {
        let queue = self.answers.get_mut(&(test, id.to_owned()))?;
        // The last answer serves for ever.
        if queue.len() > 1 {
            queue.pop_front()
        } else {
            queue.front().cloned()
        }
    }

    pub fn hand_over(mut self, note: &str) -> Self {
        while let Some(stands) = self.job.fitted.first() {
            let what = stands.what.clone();
            self.does(Action::TakeOff(what));
        }
        self.does(Action::HandOver {
            note: note.to_owned(),
        });
        self
    }

    /// The steps walked, in order, as "step" or "step -> outcome".
    pub fn trail(&self) -> Vec<String> {
        self.events
            .iter()
            .filter_map(|event| match &event.what {
                What::OutcomeTaken(taken) => Some(format!(
                    "{} -> {}",
                    taken.step,
                    taken.outcome.as_deref().unwrap_or(match taken.suggested {
                        ruleout::engine::event::Suggested::NotValid => "(not valid)",
                        _ => "(unsure)",
                    })
                )),
                What::FlowBegun { flow, .. } => Some(format!("flow {flow}")),
                What::RepairDone { cause, .. } => Some(format!("repair {cause}")),
                What::RetestBegun { .. } => Some("retest".to_owned()),
                What::FlowClosed { result, .. } => Some(format!("{result:?}")),
                What::Handover { .. } => Some("handover".to_owned()),
                _ => None,
            })
            .collect()
    }
}
