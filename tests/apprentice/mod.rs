//! A scripted apprentice: walks a practice job through the engine, event by event, as the screens do.
#![allow(
    clippy::needless_pass_by_value,
    clippy::struct_excessive_bools,
    reason = "a test stops where something is not as expected; each habit is a yes or no of its own"
)]

use chrono::{DateTime, Utc};
use ruleout::engine::act::act;
use ruleout::engine::action::{Action, FlowText};
use ruleout::engine::event::{Event, PartWas, What};
use ruleout::engine::job::Job;
use ruleout::engine::practised::Practised;
use ruleout::engine::standing::{Desk, RepairStage, Standing};
use ruleout::flow::answer::Answer;
use ruleout::flow::model::{Phase, Prompt, PromptKind, Step};
use ruleout::flow::shelf::Shelved;
use ruleout::flow::target::Target;
use ruleout::plant::plan::Plan;
use ruleout::practice::bay::{Taken, is_saved, is_yours};
use ruleout::practice::debrief::Debrief;
use ruleout::practice::drawn::find;
use ruleout::practice::exercise::Exercise;
use ruleout::practice::look::LONG_ENOUGH;
use ruleout::practice::session::Session;
use ruleout::practice::start::start;
use ruleout::practice::way::{Hand, due};
use ruleout::practice::wish::{besides, end, wish};
use ruleout::units::{Quantity, Unit};
use uuid::Uuid;

/// What an apprentice is in the habit of.
#[derive(Clone, Debug, Default)]
pub struct Habits {
    /// Leaves this open, whatever the step says.
    pub leaves_open: Option<String>,
    /// Ends the job as soon as something is repaired.
    pub never_retests: bool,
    /// Renews these parts, one after the other, before anything is tested.
    pub swaps: Vec<String>,
    /// Leaves the engine as cold as it is.
    pub never_warms: bool,
    /// Never connects the supply.
    pub never_feeds: bool,
    /// Leaves every gauge in the range in which it stands.
    pub never_sets_ranges: bool,
    /// Takes no reading any more once something is repaired, and writes down what a sound car would show.
    pub makes_up: bool,
    /// Writes these down once something is repaired, whatever the car shows.
    pub writes: std::collections::BTreeMap<String, Answer>,
    /// Drives with everything on the car that a step closed or covered.
    pub leaves_on: bool,
}

pub struct Apprentice<'p> {
    pub session: Session<'p>,
    pub events: Vec<Event>,
    pub habits: Habits,
    at: DateTime<Utc>,
    /// The visit, and what is still to be read in it: to ask the engine anew after every reading takes long.
    to_read: Option<(u64, Vec<String>)>,
    /// How often each step was come to in this test.
    visits: std::collections::BTreeMap<(u32, String), u32>,
}

/// Where the job stands, without a hold on it.
enum At {
    Over,
    Caution(String),
    Step(String),
    Ask,
    Work(String),
    Retest,
    End,
}

fn at(job: &Job, desk: Desk) -> At {
    match job.standing(desk) {
        Standing::HandedOver(_) => At::Over,
        Standing::Cautions(due) => At::Caution(due[0].id.to_owned()),
        Standing::Step(step) => At::Step(step.id.clone()),
        Standing::Repair { cause, stage } => match stage {
            RepairStage::Ask | RepairStage::Declined(_) => At::Ask,
            RepairStage::Work(_) => At::Work(cause.id.clone()),
            RepairStage::Retest(_) => At::Retest,
        },
        Standing::Ended | Standing::LedTo(_) => At::End,
        other => panic!("{other:?}"),
    }
}

const WHO: &str = "Apprentice";

impl<'p> Apprentice<'p> {
    pub fn begins(plan: &'p Plan<'p>, shelved: &Shelved, seed: u64, level: u8) -> Self {
        let exercise = Exercise {
            exercise: "test".to_owned(),
            flow: plan.flow.id.clone(),
            seed,
            level,
            note: String::new(),
        };
        let (drawn, _) = find(plan, seed, level).unwrap();
        let text = FlowText {
            id: shelved.flow.id.clone(),
            revision: shelved.flow.revision,
            hash: shelved.hash.clone(),
            text: shelved.text.clone(),
        };
        let first = start(plan, &exercise, &drawn, text);
        let recorded = exercise.recorded(drawn.attempt);
        let mut new = Self {
            session: Session::new(plan, recorded, drawn),
            events: Vec::new(),
            habits: Habits::default(),
            at: "2026-11-02T08:00:00Z".parse().unwrap(),
            to_read: None,
            visits: std::collections::BTreeMap::new(),
        };
        new.happens(first);
        new
    }

    pub fn with(mut self, habits: Habits) -> Self {
        self.habits = habits;
        self
    }

    pub fn desk(&self) -> Desk<'static> {
        Desk {
            who: WHO,
            day: self.at.date_naive(),
        }
    }

    pub fn happens(&mut self, what: Vec<What>) {
        for what in what {
            let seq = self.session.job.seq + 1;
            let event = Event {
                id: Uuid::from_u128(u128::from(seq)),
                seq,
                at: self.at,
                who: WHO.to_owned(),
                what,
            };
            self.session.apply(&event);
            self.events.push(event);
        }
        let misfits = &self.session.job.misfits;
        assert!(misfits.is_empty(), "{misfits:?}");
    }

    pub fn does(&mut self, action: Action) {
        let what = match besides(&self.session, self.desk(), &action) {
            Some(did) => did.what,
            None => act(&self.session.job, self.desk(), action.clone())
                .unwrap_or_else(|why| panic!("{action:?}: {why}")),
        };
        self.happens(what);
    }

    /// Something on the car; what is seen.
    pub fn hand(&mut self, done: Practised) -> String {
        let did =
            wish(&self.session, self.desk(), &done).unwrap_or_else(|why| panic!("{done:?}: {why}"));
        self.happens(did.what);
        did.sees
    }

    /// Walks until the exercise is over.
    pub fn walks(mut self) -> Self {
        for _ in 0..600 {
            if !self.goes_on() {
                return self;
            }
        }
        panic!(
            "it goes round at {:?}",
            self.session.bay.step().map(|s| &s.id)
        );
    }

    /// Does what comes next; false once the exercise is over.
    pub fn goes_on(&mut self) -> bool {
        let desk = self.desk();
        let job = std::mem::take(&mut self.session.job);
        let standing = at(&job, desk);
        self.session.job = job;
        let repaired = !self.session.bay.log.repairs.is_empty();
        match standing {
            At::Over => return false,
            _ if repaired && self.habits.never_retests => self.ends(),
            At::Caution(id) => self.does(Action::Accept(id)),
            At::Step(id) => {
                let step = self.session.bay.plan().flow.step(&id).unwrap();
                self.step(step);
            }
            At::Ask => self.agrees(),
            At::Work(_) => {
                self.lets_down();
                self.opens_part();
                self.repairs();
            }
            At::Retest => self.does(Action::Retest),
            At::End => self.ends(),
        }
        true
    }

    /// The customer agrees to the repair that waits.
    pub fn agrees(&mut self) {
        self.does(Action::Approve {
            by: "owner".to_owned(),
        });
    }

    /// Takes the supply off where it is connected: nothing is taken off under pressure.
    pub fn lets_down(&mut self) {
        if self.session.bay.fed().is_some() {
            self.hand(Practised::SupplyOff);
        }
    }

    /// Begins the repair that was agreed to: takes the part off and looks at it.
    pub fn opens_part(&mut self) -> String {
        self.hand(Practised::part_opened(""))
    }

    /// Does the repair that was agreed to.
    pub fn repairs(&mut self) {
        let At::Work(cause) = at(&self.session.job, self.desk()) else {
            panic!("no repair was agreed to");
        };
        let bad = self.session.bay.part_is_bad(&cause);
        self.does(Action::Repaired {
            work: "renewed".to_owned(),
            part_was: if bad { PartWas::Bad } else { PartWas::Good },
        });
    }

    /// Walks until a repair waits for the customer.
    pub fn until_asked(&mut self) {
        for _ in 0..200 {
            if matches!(at(&self.session.job, self.desk()), At::Ask) {
                return;
            }
            assert!(self.goes_on(), "the exercise ended before a repair");
        }
        panic!("no repair was reached");
    }

    /// Goes to a step by outcomes alone, the shortest way, with nothing done on it.
    pub fn goes_to(&mut self, step: &str) {
        let flow = self.session.bay.plan().flow;
        let mut ways: Vec<Vec<String>> = vec![vec![flow.steps[0].id.clone()]];
        let mut seen = vec![flow.steps[0].id.clone()];
        let way = loop {
            let way = ways.remove(0);
            let last = way.last().unwrap();
            if last == step {
                break way;
            }
            for outcome in &flow.step(last).unwrap().outcomes {
                if let Target::Step(next) = &outcome.go
                    && !seen.contains(next)
                {
                    seen.push(next.clone());
                    ways.push(way.iter().chain([next]).cloned().collect());
                }
            }
        };
        for next in &way[1..] {
            self.goes_on_to(&Target::Step(next.clone()));
        }
        self.until(step);
    }

    /// Takes the outcome that leads there from the step where the apprentice is, whatever was read.
    pub fn goes_on_to(&mut self, to: &Target) {
        let flow = self.session.bay.plan().flow;
        let here = self.session.bay.step().unwrap().id.clone();
        self.until(&here);
        let outcomes = &flow.step(&here).unwrap().outcomes;
        let outcome = outcomes.iter().find(|outcome| outcome.go == *to).unwrap();
        self.does(Action::Take {
            outcome: outcome.id.clone(),
            reason: "it is always that".to_owned(),
        });
    }

    /// Walks until this step stands before the apprentice, its cautions accepted, and nothing is done there.
    pub fn until(&mut self, step: &str) {
        for _ in 0..200 {
            if matches!(at(&self.session.job, self.desk()), At::Step(id) if id == step) {
                return;
            }
            assert!(self.goes_on(), "the exercise ended before {step}");
        }
        panic!("{step} was not reached");
    }

    /// Walks until a repair that was agreed to waits to be done.
    pub fn until_repair(&mut self) {
        for _ in 0..200 {
            if matches!(at(&self.session.job, self.desk()), At::Work(_)) {
                return;
            }
            assert!(self.goes_on(), "the exercise ended before a repair");
        }
        panic!("no repair was reached");
    }

    pub fn ends(&mut self) {
        let what = end(&self.session, self.desk(), "practised");
        self.happens(what);
    }

    fn step(&mut self, step: &'p Step) {
        let visit = self.session.job.visit().map_or(0, |v| v.since_seq);
        let comes = self
            .to_read
            .as_ref()
            .is_none_or(|(known, _)| *known != visit);
        if comes {
            let test = self.session.bay.test();
            let visits = self.visits.entry((test, step.id.clone())).or_default();
            *visits += 1;
            if *visits > 5 {
                return self.ends();
            }
            // Done by hand before anything is read; what is left undone is left so.
            let earlier = self.session.earlier();
            for hand in due(&self.session.bay, step, &earlier) {
                self.by_hand(hand);
                if self.session.bay.log.harm.is_some() {
                    return;
                }
            }
            self.to_read = Some((visit, self.open_prompts()));
        }
        let next = self
            .to_read
            .as_ref()
            .and_then(|(_, left)| left.first().cloned());
        let Some(id) = next else {
            if !self.swaps(step) {
                self.does(Action::Follow);
            }
            return;
        };
        self.reads(self.session.bay.plan().flow.reading(&id).unwrap());
        let flow = self.session.bay.plan().flow;
        let decides = step
            .record
            .iter()
            .filter_map(|other| flow.reading(other))
            .any(|other| {
                other
                    .only_if
                    .as_ref()
                    .is_some_and(|c| c.subjects().contains(&id.as_str()))
            });
        let left = if decides {
            self.open_prompts()
        } else {
            let (_, left) = self.to_read.take().unwrap();
            left.into_iter().filter(|other| *other != id).collect()
        };
        self.to_read = Some((visit, left));
    }

    fn open_prompts(&self) -> Vec<String> {
        let prompts = self.session.job.prompts_now().into_iter();
        prompts
            .filter(|(_, done)| !done)
            .map(|(prompt, _)| prompt.id.clone())
            .collect()
    }

    /// Takes the step's outcome that repairs the part that it always is, whatever was read.
    fn swaps(&mut self, step: &Step) -> bool {
        let Some(part) = self.habits.swaps.first() else {
            return false;
        };
        let to = Target::Repair(part.clone());
        let Some(outcome) = step.outcomes.iter().find(|o| o.go == to) else {
            return false;
        };
        self.habits.swaps.remove(0);
        self.does(Action::Take {
            outcome: outcome.id.clone(),
            reason: "it is always that".to_owned(),
        });
        true
    }

    pub fn by_hand(&mut self, hand: Hand) {
        let done = match hand {
            Hand::Close(opening) if self.habits.leaves_open.as_ref() == Some(&opening) => return,
            Hand::Warm if self.habits.never_warms => return,
            Hand::Feed(_) if self.habits.never_feeds => return,
            Hand::Range(_) if self.habits.never_sets_ranges => return,
            Hand::Open(_) | Hand::Uncover if self.habits.leaves_on && self.proves() => return,
            Hand::Cool => Practised::Cooled,
            Hand::Warm => Practised::Warmed,
            Hand::SupplyOff => Practised::SupplyOff,
            Hand::Door => Practised::DoorShut,
            Hand::Range(gauge) => Practised::RangeSet { gauge },
            Hand::Open(opening) => Practised::Opened { opening },
            Hand::Close(opening) => Practised::Closed { opening },
            Hand::Feed(fed) => Practised::Fed {
                gas: fed.gas_word().replace(' ', "-"),
                pressure: Quantity::new(fed.pressure, Unit::parse("Pa").unwrap()).unwrap(),
            },
            Hand::Uncover => Practised::Uncovered,
            Hand::Cover(place) => Practised::Covered { place },
        };
        self.hand(done);
    }

    /// Whether the last step of the retest is before the apprentice.
    fn proves(&self) -> bool {
        let step = self.session.bay.step();
        step.is_some_and(|step| step.phase == Phase::Retest)
    }

    fn reads(&mut self, prompt: &Prompt) {
        let reading = prompt.id.clone();
        let repaired = !self.session.bay.log.repairs.is_empty();
        if let Some(answer) = self.habits.writes.get(&reading).filter(|_| repaired) {
            let answer = answer.clone();
            return self.writes(reading, answer);
        }
        if is_saved(self.session.bay.plan(), prompt) {
            self.hand(Practised::Took {
                reading: reading.clone(),
            });
        }
        if is_yours(self.session.bay.plan(), prompt) {
            let earlier = self.session.earlier();
            let answer = self
                .session
                .bay
                .clone()
                .would_say(&reading, &earlier)
                .unwrap();
            return self.writes(reading, answer);
        }
        let makes_up = self.habits.makes_up && repaired;
        if let PromptKind::Places(places) = &prompt.kind
            && !makes_up
        {
            for place in places {
                self.hand(Practised::Looked {
                    place: place.clone(),
                    seconds: LONG_ENOUGH,
                });
            }
        }
        if self.session.bay.is_tried(prompt) && !makes_up {
            self.tries(&reading);
        }
        let earlier = self.session.earlier();
        let mut bay = self.session.bay.clone();
        let taken = bay.take(&reading, &earlier);
        if matches!(taken, Ok(Taken::Nothing)) {
            let action = if prompt.optional {
                Action::LeaveOut { reading }
            } else {
                return self.writes(reading, Answer::CouldNotTell("no way".to_owned()));
            };
            return self.does(action);
        }
        if !makes_up {
            self.hand(Practised::Took {
                reading: reading.clone(),
            });
        }
        match taken {
            Ok(Taken::Reads(answer)) => self.writes(reading, answer),
            // Nothing can be said of an engine that does not run.
            Ok(Taken::Dies) => self.writes(reading, Answer::CouldNotTell("it dies".to_owned())),
            _ => {}
        }
    }

    /// Tries place after place until one changes something.
    fn tries(&mut self, reading: &str) {
        for place in self.session.bay.to_cover() {
            self.hand(Practised::Covered {
                place: place.to_owned(),
            });
            let earlier = self.session.earlier();
            let taken = self.session.bay.clone().take(reading, &earlier);
            if matches!(taken, Ok(Taken::Reads(_))) {
                return;
            }
        }
    }

    fn writes(&mut self, reading: String, value: Answer) {
        self.does(Action::Read {
            reading,
            value,
            confirmed: true,
            carried_from: None,
        });
    }

    pub fn debrief(&self) -> Debrief {
        Debrief::of(&self.session, None)
    }
}
