//! The screens that a technician follows beside the car.
//!
//! One way through: a terminal event becomes an [`input::Input`], the key table ([`keys`]) makes a
//! [`message::Message`] of it, a pure [`update::update`] changes the [`model::Model`] and says what
//! is to be done outside ([`effect::Effect`]), the [`driver`] does that and feeds the result back,
//! and [`view`] draws from the model alone; [`plain`] walks by the same update in lines. Only
//! [`terminal`] with its backend, [`signals`], [`input`] and this file know the terminal; only the driver knows the
//! store; update and view read no clock. Nothing depends on this module but the program's entry.

mod backend;
pub mod checker;
pub mod claimed;
pub mod clean;
pub mod driver;
pub mod effect;
pub mod files;
pub mod habits;
pub mod input;
pub mod keys;
pub mod message;
pub mod model;
pub mod plain;
pub mod reading;
pub mod signals;
pub mod terminal;
pub mod theme;
pub mod update;
pub mod view;
pub mod weigher;

#[cfg(test)]
mod tests;

use std::io::{self, Write};
use std::path::PathBuf;
use std::time::Duration;

use chrono::{Local, Utc};
use crossterm::event;
use uuid::Uuid;

use crate::check::shelf::Found;
use crate::flow::shelf::Shelf;
use crate::job::store::Store;
use crate::practice::exercise::Exercise;
use crate::settings::file::{self as file, Read};
use checker::Checker;
use driver::{Driver, Left, Outside};
use habits::Kept;
use input::Input;
pub use model::Demo;
use model::Model;
use terminal::Screen;
use theme::{Able, Theme};

pub use terminal::has_terminal;
pub use weigher::{MakesCars, OwnJobs};

/// How often it is looked whether the evidence is worked out, while it is.
const LOOK: Duration = Duration::from_millis(40);
/// How often a running timer is drawn.
const TICK: Duration = Duration::from_secs(1);

/// Looks whether flow files have changed; the flows as they are then, or why they cannot be read.
pub type Flows = Box<dyn FnMut() -> Option<Result<Shelf, String>>>;

/// What the screens need.
pub struct Options {
    /// Where jobs are kept.
    pub store: Box<dyn Store>,
    /// Reads the flows at hand, once the first screen is drawn.
    pub shelf: Box<dyn FnOnce() -> Result<Shelf, String>>,
    /// The settings of the workshop.
    pub settings: Read,
    /// Says when flow files have changed, where any can.
    pub flows: Option<Flows>,
    /// Who is at the keyboard.
    pub who: String,
    /// Nobody has said so: the name is the first of the settings, or the computer's.
    pub who_is_guessed: bool,
    /// The folder of jobs, where small things are noted too; none for a store that is thrown away.
    pub kept: Option<PathBuf>,
    /// Reads the workshop's own closed jobs, where there are any.
    pub own_jobs: Option<OwnJobs>,
    /// Makes simulated cars, or takes those that were kept.
    pub makes_cars: Option<MakesCars>,
    /// The same for pages that are printed.
    pub cars_on_paper: Option<MakesCars>,
    /// Reads the workshop's own closed jobs for them.
    pub own_jobs_on_paper: Option<OwnJobs>,
    /// Whether demo jobs can be looked at from here.
    pub offers_demo: bool,
    /// Whether these are the demo jobs.
    pub demo: Demo,
    /// What is printed on leaving.
    pub notes: Notes,
    /// Opens the store of exercises.
    pub practice: Option<driver::OpensStore>,
    /// Where to begin.
    pub begin: Begin,
}

/// The line that is printed on leaving: where the work is kept and how to go on.
#[derive(Clone, Debug)]
pub struct Notes {
    /// Of jobs: "kept in FILE; `ruleout` goes on".
    pub jobs: String,
    /// Of exercises, which are kept elsewhere.
    pub exercises: String,
}

/// Where to begin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Begin {
    /// At the workshop's jobs.
    Jobs,
    /// Among the exercises.
    Exercises,
    /// In this exercise.
    Exercise(Exercise),
}

/// Where somebody goes from the screens.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Onward {
    /// Away.
    Away,
    /// To the demo jobs, or back from them.
    Demo,
}

/// Why the screens could not go on. Everything accepted before is kept.
#[derive(Debug, thiserror::Error)]
pub enum TuiError {
    /// The terminal refused.
    #[error("the terminal cannot be used: {0}; everything accepted is saved")]
    Terminal(#[from] io::Error),
    /// The flows cannot be read.
    #[error("{0}")]
    Flows(String),
}

/// Shows the screens until the user leaves; with a job, that one is opened first.
///
/// # Errors
/// If the terminal refuses; it is given back first.
pub fn run(options: Options, job: Option<Uuid>) -> Result<Onward, TuiError> {
    let begins = options.begin.clone();
    let (mut begun, notes) = begun(options);
    let mut screen = Screen::take()?;
    let driver = &mut begun.driver;
    driver.reads_aside = true;
    let result = begin(driver, &mut screen, begun.shelf, job).and_then(|mut left| {
        match &begins {
            Begin::Jobs => {}
            Begin::Exercises => left.extend(driver.practise(None)),
            Begin::Exercise(exercise) => left.extend(driver.practise(Some(exercise))),
        }
        drive(driver, &mut screen, &mut begun.flows, left)
    });
    drop(screen);
    if !matches!(result, Ok(Onward::Demo)) {
        farewell(&begun.driver.model, &notes)?;
    }
    result
}

/// What the screens and the walk in lines begin with: the flows are not read yet.
struct Begun {
    driver: Driver,
    shelf: Box<dyn FnOnce() -> Result<Shelf, String>>,
    flows: Option<Flows>,
}

/// A driver on this computer, and what is printed on leaving.
fn begun(options: Options) -> (Begun, Notes) {
    let zone = *Local::now().offset();
    let able = Able::by(|name| std::env::var(name).ok());
    let mut model = Model::new(
        Utc::now(),
        zone,
        options.who,
        Shelf::default(),
        Theme::new(able.colour),
    );
    model.able = able;
    model.who_is_guessed = options.who_is_guessed;
    model.offers_demo = options.offers_demo;
    model.demo = options.demo;
    model.mouse = options.settings.settings.mouse;
    let (_, wrong) = file::gauges(&options.settings);
    model.take_settings(options.settings, wrong);
    let outside = Outside {
        store: options.store,
        clock: Box::new(Utc::now),
        names: Box::new(Uuid::now_v7),
        places: files::Places::of_this_computer(options.kept.as_deref()),
    };
    let mut driver = Driver::new(outside, model);
    driver.weigh_with(
        Box::new(weigher::Threaded::new(options.own_jobs, options.makes_cars)),
        Kept::in_folder(options.kept.as_deref()),
    );
    if let Some(makes) = options.cars_on_paper {
        driver.set_cars_on_paper(makes);
    }
    if let Some(own_jobs) = options.own_jobs_on_paper {
        driver.set_own_jobs_on_paper(own_jobs);
    }
    if let Some(opens) = options.practice {
        driver.set_practice(opens);
    }
    let begun = Begun {
        driver,
        shelf: options.shelf,
        flows: options.flows,
    };
    (begun, options.notes)
}

/// Draws the first screen before anything is read, then reads the flows and the jobs.
fn begin(
    driver: &mut Driver,
    screen: &mut Screen,
    shelf: Box<dyn FnOnce() -> Result<Shelf, String>>,
    job: Option<Uuid>,
) -> Result<Vec<Left>, TuiError> {
    let (columns, rows) = crossterm::terminal::size()?;
    driver.take(Input::Resize(columns, rows));
    screen.mouse(driver.model.mouse)?;
    driver.drew(screen.draw(&driver.model)?);
    driver.model.put_shelf(shelf().map_err(TuiError::Flows)?);
    let mut left = driver.start();
    if let Some(job) = job {
        left.extend(driver.open_job(job));
    }
    Ok(left)
}

fn drive(
    driver: &mut Driver,
    screen: &mut Screen,
    flows: &mut Option<Flows>,
    mut left: Vec<Left>,
) -> Result<Onward, TuiError> {
    let mut checker = Checker::default();
    checker.look_at(&driver.model.shelf);
    loop {
        for what in left {
            match what {
                Left::Quit => return Ok(Onward::Away),
                Left::Demo => return Ok(Onward::Demo),
                Left::Bell => screen.bell()?,
                Left::Mouse(on) => screen.mouse(on)?,
                Left::Redraw => screen.clear()?,
                Left::Copy(text) => screen.copy(&text)?,
                Left::Suspend => screen.sleep(driver.model.mouse)?,
            }
        }
        driver.drew(screen.draw(&driver.model)?);
        left = match next(wait(driver), flows, &mut checker, driver)? {
            Next::Came(left) => left,
            Next::Input(input) => {
                if matches!(input, Input::Resize(..)) {
                    // Whoever called the program up again may have left the mouse on.
                    screen.mouse(driver.model.mouse)?;
                    screen.clear()?;
                }
                driver.take(input)
            }
            Next::Flows(read) => {
                let left = driver.flows(read);
                checker.look_at(&driver.model.shelf);
                left
            }
            Next::Found(found) => driver.checked(found),
        };
    }
}

/// What comes next.
enum Next {
    Input(Input),
    Flows(Result<Shelf, String>),
    Found(Vec<Found>),
    Came(Vec<Left>),
}

/// How long to wait for an input at most: a running timer is drawn, the end of another is said, a claim is renewed.
fn wait(driver: &Driver) -> Option<Duration> {
    if driver.model.is_ticking() {
        return Some(TICK);
    }
    let renew = driver
        .holds()
        .then(|| claimed::RENEW.to_std().unwrap_or(TICK));
    // Nothing moves on screen until a timer out of sight is over.
    let end = driver.model.next_end().map(|end| {
        let left = end - driver.model.now;
        left.to_std().unwrap_or(TICK).max(TICK)
    });
    renew.into_iter().chain(end).min()
}

/// Waits for the next input, or for so long. Where flow files can change, they are looked at once a
/// second, and nothing is drawn while they do not; while the checker looks at some, it is asked as often.
fn next(
    wait: Option<Duration>,
    flows: &mut Option<Flows>,
    checker: &mut Checker,
    driver: &mut Driver,
) -> io::Result<Next> {
    let mut waited = Duration::ZERO;
    loop {
        if let Some(left) = driver.weighed() {
            return Ok(Next::Came(left));
        }
        if let Some(left) = driver.file_came() {
            return Ok(Next::Came(left));
        }
        if let Some(left) = driver.followed() {
            return Ok(Next::Came(left));
        }
        let step = if driver.is_weighing() || driver.is_reading() {
            Some(LOOK)
        } else if flows.is_some() || checker.is_looking() || driver.follows() {
            Some(TICK)
        } else {
            wait
        };
        if let Some(step) = step
            && !event::poll(step)?
        {
            if let Some(read) = flows.as_mut().and_then(|look| look()) {
                return Ok(Next::Flows(read));
            }
            if let Some(found) = checker.found() {
                return Ok(Next::Found(found));
            }
            waited += step;
            if wait.is_some_and(|wait| waited >= wait) {
                return Ok(Next::Input(Input::Tick));
            }
            continue;
        }
        if let Some(input) = input::of(event::read()?) {
            return Ok(Next::Input(input));
        }
    }
}

/// One line on the ordinary screen: where the work is, and how to go on with it.
fn farewell(model: &Model, notes: &Notes) -> io::Result<()> {
    writeln!(io::stdout().lock(), "ruleout: {}", parting(model, notes))
}

/// What that line says; exercises are not kept where jobs are.
fn parting(model: &Model, notes: &Notes) -> String {
    let (note, what) = if model.practice {
        (&notes.exercises, "exercise")
    } else {
        (&notes.jobs, "job")
    };
    let note = clean::clean(note);
    let opening = model
        .open
        .as_ref()
        .and_then(|open| Some((open.number, open.job.opening.as_ref()?)));
    match opening {
        Some((number, _)) if model.practice => format!("{what} {number}: {note}"),
        Some((number, opening)) => {
            let plate = clean::clean(&opening.vehicle.plate);
            format!("{what} {number} ({plate}): {note}")
        }
        None => note,
    }
}

#[cfg(test)]
mod leaving {
    use super::tests::bench::Bench;
    use super::{Notes, parting};

    #[test]
    fn the_line_on_leaving_names_where_that_is_kept_which_was_worked_on() {
        let notes = Notes {
            jobs: "kept in jobs.db".to_owned(),
            exercises: "exercises are kept in practice".to_owned(),
        };
        let mut b = Bench::at_hold();
        assert_eq!(
            parting(&b.driver.model, &notes),
            "job 1 (XK 42 TRY): kept in jobs.db"
        );
        b.driver.model.practice = true;
        assert_eq!(
            parting(&b.driver.model, &notes),
            "exercise 1: exercises are kept in practice"
        );
    }
}
