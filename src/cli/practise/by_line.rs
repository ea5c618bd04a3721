//! An exercise line by line: for pipes and tests, and whoever has no screen.

mod supply;
mod told;

use std::io::{self, BufRead};

use chrono::Utc;
use uuid::Uuid;

use super::PractiseError;
use crate::cli::{CliError, Common, Outcome, clean, print};
use crate::engine::act::act;
use crate::engine::action::Action;
use crate::engine::event::{Event, PartWas, What};
use crate::engine::practised::Practised;
use crate::engine::prompt;
use crate::engine::shown;
use crate::engine::standing::{Desk, Standing};
use crate::flow::answer::Answer;
use crate::job::sqlite::SqliteStore;
use crate::job::store::Store;
use crate::plant::plan::Plan;
use crate::practice::begin::begin;
use crate::practice::exercise::Exercise;
use crate::practice::session::{Session, exercise as begun};
use crate::practice::start::came_with;
use crate::practice::wish::{besides, end, is_nowhere, wish};

const HELP: &str = "\
accept                    accept the caution that stands before the step
take READING              take a reading of the car and write it down
say READING = ANSWER      write down what you saw, did or conclude
glance                    what you see round the bay: whether the engine is
                          cold or warm, the door, and what your hands did
came-with                 what came with the car, once more
look PLACE for SECONDS    search a place, by lamp, ear or what the step says;
                          it adds up
close X, open X           an opening, by hand
round                     go round every plug, cap and clamp
supply GAS PRESSURE       connect it: supply nitrogen 3.4 kPa; supply off
supply PRESSURE           the same of a hand pump: supply 110 kPa
cover PLACE, uncover      for readings with a place covered
warm                      run the engine until it is warm: 10 min
cool                      let it cool: 30 min
door                      shut the door of the bay: 1 min
gauges, range GAUGE       look at the ranges; set one, by its name
codes                     clear the codes; trims and readiness go with them
let-down, mistyped        after a limit was passed: it is let down and the
                          supply set lower; or the gauge never showed it
follow                    go where the readings lead
outcome ID because WHY    go elsewhere
skip because WHY          leave the step
agree, decline            what the customer says to a repair
part                      begin the repair: take its part off and look at it
repaired, retest          the repair is done, the test again
back                      one station back
where                     say where it stands
end                       end the exercise: the debrief
";

struct Line<'p> {
    session: Session<'p>,
    events: Vec<Event>,
    store: SqliteStore,
    job: Uuid,
    who: String,
    /// The visit whose step was told in full.
    told: Option<u64>,
    /// A supply above the limit that was warned of, as it was typed.
    warned: Option<String>,
}

/// Practises line by line.
pub(super) fn run(
    exercise: &Exercise,
    who: &str,
    store: SqliteStore,
    common: &Common,
) -> Result<Outcome, CliError> {
    let shelf = common.shelf()?;
    let what = begin(&shelf, exercise).map_err(PractiseError::because)?;
    let Some(shelved) = shelf.find(&exercise.flow) else {
        return Err(CliError::no_flow(&exercise.flow, &shelf));
    };
    let plan = Plan::of(&shelved.flow);
    let mut line = Line::begin(&plan, what, store, who)?;
    print(&clean(&format!(
        "PRACTICE: there is no such car. `help` lists the words.\n{}\n{}",
        came_with(&line.session.job),
        line.stands()
    )))?;
    let mut refused = false;
    for text in io::stdin().lock().lines() {
        let text = text.map_err(CliError::Print)?;
        if text.trim().is_empty() || text.trim_start().starts_with('#') {
            continue;
        }
        let said = match line.does(text.trim()) {
            Ok(said) => said,
            Err(Said::Refused(why)) => {
                refused = true;
                format!("! {why}\n")
            }
            Err(Said::Store(error)) => return Err(error),
        };
        print(&clean(&said))?;
        if line.session.job.handed_over.is_some() {
            let text = super::told(&line.events, false, common).unwrap_or_default();
            print(&text)?;
            return Ok(ended(refused));
        }
    }
    eprintln!(
        "ruleout: the exercise is not ended; it is kept, and `ruleout practise` goes on with it on the screens"
    );
    Ok(ended(refused))
}

/// Whether every line was taken, as the answer of the command.
fn ended(refused: bool) -> Outcome {
    if refused {
        Outcome::Misused
    } else {
        Outcome::Fine
    }
}

enum Said {
    Refused(String),
    Store(CliError),
}

impl<T: Into<CliError>> From<T> for Said {
    fn from(error: T) -> Self {
        Self::Store(error.into())
    }
}

fn refused<T>(why: impl std::fmt::Display) -> Result<T, Said> {
    Err(Said::Refused(format!("{why}")))
}

impl<'p> Line<'p> {
    fn begin(
        plan: &'p Plan<'p>,
        what: Vec<What>,
        store: SqliteStore,
        who: &str,
    ) -> Result<Self, CliError> {
        let events = stamped(0, who, what);
        let none = || PractiseError::because("the exercise could not be begun");
        let exercise = begun(&events).ok_or_else(none)?;
        let drawn = crate::practice::drawn::Drawn::of(
            plan,
            exercise.seed,
            exercise.level,
            exercise.attempt,
        );
        let mut line = Self {
            session: Session::new(plan, exercise.clone(), drawn),
            events: Vec::new(),
            store,
            job: Uuid::now_v7(),
            who: who.to_owned(),
            told: None,
            warned: None,
        };
        line.keep(events)?;
        Ok(line)
    }

    fn keep(&mut self, events: Vec<Event>) -> Result<(), CliError> {
        self.store.append(self.job, self.session.job.seq, &events)?;
        for event in events {
            self.session.apply(&event);
            self.events.push(event);
        }
        Ok(())
    }

    fn desk(&self) -> Desk<'_> {
        Desk {
            who: &self.who,
            day: Utc::now().date_naive(),
        }
    }

    fn happens(&mut self, what: Vec<What>) -> Result<(), Said> {
        let events = stamped(self.session.job.seq, &self.who, what);
        Ok(self.keep(events)?)
    }

    fn acts(&mut self, action: Action) -> Result<String, Said> {
        if let Some(did) = besides(&self.session, self.desk(), &action) {
            self.happens(did.what)?;
            return Ok(format!("{}\n{}", did.sees, self.stands()));
        }
        match act(&self.session.job, self.desk(), action) {
            Ok(what) => self.happens(what)?,
            Err(refusal) => return refused(refusal),
        }
        Ok(self.stands())
    }

    fn hand(&mut self, done: &Practised) -> Result<String, Said> {
        match wish(&self.session, self.desk(), done) {
            Ok(did) => {
                self.happens(did.what)?;
                Ok(format!("{}\n", did.sees))
            }
            Err(why) => refused(why),
        }
    }

    fn does(&mut self, text: &str) -> Result<String, Said> {
        let (word, rest) = text.split_once(' ').unwrap_or((text, ""));
        let rest = rest.trim().to_owned();
        match word {
            "help" => Ok(HELP.to_owned()),
            "where" => Ok(self.stands()),
            "glance" => Ok(format!("What you see: {}\n", self.session.bay.glance())),
            "came-with" => Ok(came_with(&self.session.job) + "\n"),
            "accept" => self.accept(),
            "take" => self.take(&rest),
            "say" => self.say(&rest),
            "look" => self.look(&rest),
            "close" => self.hand(&Practised::Closed { opening: rest }),
            "open" => self.hand(&Practised::Opened { opening: rest }),
            "round" => self.hand(&Practised::WentRound),
            "supply" => self.supply(&rest),
            "cover" => self.hand(&Practised::Covered { place: rest }),
            "uncover" => self.hand(&Practised::Uncovered),
            "warm" => self.hand(&Practised::Warmed),
            "cool" => self.hand(&Practised::Cooled),
            "door" => self.hand(&Practised::DoorShut),
            "codes" => self.hand(&Practised::CodesCleared),
            "let-down" => self.acts(Action::ClearLimit),
            "mistyped" => self.acts(Action::Mistyped),
            "gauges" => self.hand(&Practised::GaugesSeen),
            "range" => self.range(&rest),
            "follow" => self.acts(Action::Follow),
            "outcome" => {
                let (id, why) = because(&rest);
                self.outcome(id, why.to_owned())
            }
            "skip" => {
                let (_, why) = because(&rest);
                let reason = why.to_owned();
                self.acts(Action::Skip { reason, to: None })
            }
            "agree" => self.acts(Action::Approve {
                by: "the customer".to_owned(),
            }),
            "decline" => self.acts(Action::Decline {
                by: "the customer".to_owned(),
            }),
            "back" => self.acts(Action::Back),
            "part" => self.part(),
            "repaired" => self.repaired(),
            "retest" => self.acts(Action::Retest),
            "end" => {
                let what = end(&self.session, self.desk(), "for its debrief");
                self.happens(what)?;
                Ok(String::new())
            }
            other => refused(format!(
                "`{other}` is no word of practice; `help` lists them"
            )),
        }
    }

    fn accept(&mut self) -> Result<String, Said> {
        let due = match self.session.job.standing(self.desk()) {
            Standing::Cautions(due) => due.first().map(|caution| caution.id.to_owned()),
            _ => None,
        };
        match due {
            Some(id) => self.acts(Action::Accept(id)),
            None => refused("no caution waits to be accepted"),
        }
    }

    fn take(&mut self, reading: &str) -> Result<String, Said> {
        let reading = reading.to_owned();
        let did = match wish(
            &self.session,
            self.desk(),
            &Practised::Took {
                reading: reading.clone(),
            },
        ) {
            Ok(did) => did,
            Err(why) => return refused(why),
        };
        let stopped = did.harm.is_some();
        self.happens(did.what)?;
        match did.reads {
            Some(value) if !stopped && !is_nowhere(&value) => {
                let said = format!("{reading}: {}\n", shown::answer(&value));
                self.read(reading, value)?;
                Ok(said + &self.stands())
            }
            _ => Ok(format!("{}\n", did.sees)),
        }
    }

    fn read(&mut self, reading: String, value: Answer) -> Result<(), Said> {
        let action = Action::Read {
            reading,
            value,
            // What the car shows is looked at twice already; what is typed here was meant.
            confirmed: true,
            carried_from: None,
        };
        if let Some(did) = besides(&self.session, self.desk(), &action) {
            return self.happens(did.what);
        }
        match act(&self.session.job, self.desk(), action) {
            Ok(what) => self.happens(what),
            Err(refusal) => refused(refusal),
        }
    }

    fn say(&mut self, rest: &str) -> Result<String, Said> {
        let Some((reading, answer)) = rest.split_once('=') else {
            return refused("say READING = ANSWER");
        };
        let flow = self.session.bay.plan().flow;
        let Some(prompt) = flow.reading(reading.trim()) else {
            return refused(format!("there is no reading `{}`", reading.trim()));
        };
        let value = match prompt::parse(prompt, answer.trim()) {
            Ok(value) => value,
            Err(refusal) => return refused(refusal),
        };
        self.read(prompt.id.clone(), value)?;
        Ok(self.stands())
    }

    /// Sets a gauge, by the name that is shown or by the one in the flow.
    fn range(&mut self, named: &str) -> Result<String, Said> {
        let gauges = &self.session.bay.plan().flow.gauges;
        let known = gauges.iter().find(|g| g.name == named || g.id == named);
        let Some(gauge) = known.map(|gauge| gauge.id.clone()) else {
            let names: Vec<&str> = gauges.iter().map(|gauge| gauge.name.as_str()).collect();
            return refused(if names.is_empty() {
                "this test has no gauge to set".to_owned()
            } else {
                format!("no gauge `{named}` here; there are: {}", names.join("; "))
            });
        };
        self.hand(&Practised::RangeSet { gauge })
    }

    fn look(&mut self, rest: &str) -> Result<String, Said> {
        let (place, seconds) = rest.rsplit_once(" for ").unwrap_or((rest, "30"));
        match seconds.trim().trim_end_matches('s').trim().parse() {
            Ok(seconds) => self.hand(&Practised::Looked {
                place: place.trim().to_owned(),
                seconds,
            }),
            Err(_) => refused("look PLACE for SECONDS, such as: look intake gasket for 40"),
        }
    }

    /// Takes an outcome of the step by its name; where there is none of that name, it says which there are.
    fn outcome(&mut self, named: &str, reason: String) -> Result<String, Said> {
        let step = self.session.bay.step();
        let outcomes = step.map_or(&[][..], |step| &step.outcomes);
        if !outcomes.is_empty() && !outcomes.iter().any(|outcome| outcome.id == named) {
            let there: Vec<String> = outcomes
                .iter()
                .map(|outcome| format!("{} ({})", outcome.id, outcome.because))
                .collect();
            let there = there.join("; ");
            return refused(format!("no outcome `{named}` here; there are: {there}"));
        }
        let outcome = named.to_owned();
        self.acts(Action::Take { outcome, reason })
    }

    fn repaired(&mut self) -> Result<String, Said> {
        let cause = match self.session.job.standing(self.desk()) {
            Standing::Repair { cause, .. } => cause.id.clone(),
            _ => return refused("no repair waits to be done"),
        };
        let seen = if self.session.bay.is_part_open(&cause) {
            String::new()
        } else {
            self.part()?
        };
        if self.session.job.handed_over.is_some() {
            return Ok(seen);
        }
        let bad = self.session.bay.part_is_bad(&cause);
        let done = self.acts(Action::Repaired {
            work: "as the flow says".to_owned(),
            part_was: if bad { PartWas::Bad } else { PartWas::Good },
        })?;
        Ok(seen + &done)
    }

    /// Begins the repair that was agreed to.
    fn part(&mut self) -> Result<String, Said> {
        self.hand(&Practised::part_opened(""))
    }
}

fn because(rest: &str) -> (&str, &str) {
    rest.split_once("because ")
        .map_or((rest, ""), |(id, why)| (id.trim(), why.trim()))
}

fn stamped(after: u64, who: &str, what: Vec<What>) -> Vec<Event> {
    let at = Utc::now();
    (after + 1..)
        .zip(what)
        .map(|(seq, what)| Event {
            id: Uuid::now_v7(),
            seq,
            at,
            who: who.to_owned(),
            what,
        })
        .collect()
}
