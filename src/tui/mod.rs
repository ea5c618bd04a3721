//! The screens that a technician follows beside the car.
//!
//! One way through: a terminal event becomes an [`input::Input`], the key table ([`keys`]) makes a
//! [`message::Message`] of it, a pure [`update::update`] changes the [`model::Model`] and says what
//! is to be done outside ([`effect::Effect`]), the [`driver`] does that and feeds the result back,
//! and [`view`] draws from the model alone. Only [`terminal`], [`signals`], [`input`] and this file know the
//! terminal; only the driver knows the store; update and view read no clock. Nothing depends on
//! this module but the program's entry.

pub mod claimed;
pub mod clean;
pub mod driver;
pub mod effect;
pub mod files;
pub mod input;
pub mod keys;
pub mod message;
pub mod model;
pub mod signals;
pub mod terminal;
pub mod theme;
pub mod update;
pub mod view;

#[cfg(test)]
mod tests;

use std::io::{self, Write};
use std::path::PathBuf;
use std::time::Duration;

use chrono::{Local, Utc};
use crossterm::event;
use uuid::Uuid;

use crate::flow::shelf::Shelf;
use crate::job::store::Store;
use driver::{Driver, Left, Outside};
use input::Input;
use model::Model;
use terminal::Screen;
use theme::Theme;

pub use model::session_of;
pub use terminal::has_terminal;

/// How often a running timer is drawn.
const TICK: Duration = Duration::from_secs(1);

/// Looks whether flow files have changed; the flows as they are then, or why they cannot be read.
pub type Flows = Box<dyn FnMut() -> Option<Result<Shelf, String>>>;

/// What the screens need.
pub struct Options {
    /// Where jobs are kept.
    pub store: Box<dyn Store>,
    /// The flows at hand.
    pub shelf: Shelf,
    /// Says when flow files have changed, where any can.
    pub flows: Option<Flows>,
    /// Who is at the keyboard.
    pub who: String,
    /// The folder of jobs, where small things are noted too; none for a store that is thrown away.
    pub kept: Option<PathBuf>,
    /// Where the jobs are kept and how to go on, for the line that is printed on leaving:
    /// "kept in FILE; `ruleout` goes on".
    pub data_note: String,
    /// Opens the store of exercises.
    pub practice: Option<driver::OpensStore>,
    /// Begin among the exercises, and with this one if any.
    pub exercise: Option<Option<crate::practice::exercise::Exercise>>,
}

/// Why the screens could not go on. Everything accepted before is kept.
#[derive(Debug, thiserror::Error)]
pub enum TuiError {
    /// The terminal refused.
    #[error("the terminal cannot be used: {0}; everything accepted is saved")]
    Terminal(#[from] io::Error),
}

/// Shows the screens until the user leaves.
///
/// # Errors
/// If the terminal refuses; it is given back first.
pub fn run(options: Options) -> Result<(), TuiError> {
    let zone = *Local::now().offset();
    // Anything in NO_COLOR but nothing at all means no colour (no-color.org).
    let colour = std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
    let model = Model::new(
        Utc::now(),
        zone,
        options.who,
        options.shelf,
        Theme::new(colour),
    );
    let outside = Outside {
        store: options.store,
        clock: Box::new(Utc::now),
        names: Box::new(Uuid::now_v7),
        places: files::Places::of_this_computer(options.kept.as_deref()),
    };
    let mut driver = Driver::new(outside, model);
    if let Some(opens) = options.practice {
        driver.set_practice(opens);
    }
    let exercise = options.exercise;
    let mut screen = Screen::take()?;
    let mut flows = options.flows;
    let result = drive(&mut driver, &mut screen, &mut flows, exercise.as_ref());
    drop(screen);
    farewell(&driver.model, &options.data_note)?;
    result
}

fn drive(
    driver: &mut Driver,
    screen: &mut Screen,
    flows: &mut Option<Flows>,
    exercise: Option<&Option<crate::practice::exercise::Exercise>>,
) -> Result<(), TuiError> {
    let (columns, rows) = crossterm::terminal::size()?;
    driver.take(Input::Resize(columns, rows));
    driver.drew(screen.draw(&driver.model)?);
    let mut left = driver.start();
    if let Some(exercise) = exercise {
        left.extend(driver.practise(exercise.as_ref()));
    }
    loop {
        for what in left {
            match what {
                Left::Quit => return Ok(()),
                Left::Bell => screen.bell()?,
                Left::Mouse(on) => screen.mouse(on)?,
                Left::Redraw => screen.clear()?,
            }
        }
        driver.drew(screen.draw(&driver.model)?);
        left = match next(wait(driver), flows)? {
            Next::Input(input) => {
                if matches!(input, Input::Resize(..)) {
                    screen.clear()?;
                }
                driver.take(input)
            }
            Next::Flows(read) => driver.flows(read),
        };
    }
}

/// What comes next.
enum Next {
    Input(Input),
    Flows(Result<Shelf, String>),
}

/// How long to wait for an input at most: a running timer is drawn, a claim is renewed.
fn wait(driver: &Driver) -> Option<Duration> {
    if driver.model.is_ticking() {
        Some(TICK)
    } else {
        driver
            .holds()
            .then(|| claimed::RENEW.to_std().unwrap_or(TICK))
    }
}

/// Waits for the next input, or for so long. Where flow files can change, they are looked at once a
/// second, and nothing is drawn while they do not.
fn next(wait: Option<Duration>, flows: &mut Option<Flows>) -> io::Result<Next> {
    let mut waited = Duration::ZERO;
    loop {
        let step = if flows.is_some() { Some(TICK) } else { wait };
        if let Some(step) = step
            && !event::poll(step)?
        {
            if let Some(read) = flows.as_mut().and_then(|look| look()) {
                return Ok(Next::Flows(read));
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
fn farewell(model: &Model, data_note: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    let note = clean::clean(data_note);
    let opening = model
        .open
        .as_ref()
        .and_then(|open| Some((open.number, open.job.opening.as_ref()?)));
    match opening {
        Some((number, opening)) => {
            let plate = clean::clean(&opening.vehicle.plate);
            writeln!(out, "ruleout: job {number} ({plate}): {note}")
        }
        None => writeln!(out, "ruleout: {note}"),
    }
}
