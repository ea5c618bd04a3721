//! `ruleout rank FLOW --have READING=VALUE`: which causes the readings speak for, and what to do next.

use std::collections::{BTreeMap, BTreeSet};

use clap::Args;

use super::learned::{History, history};
use super::{CliError, Common, Outcome, draw, print};
use crate::flow::model::Flow;
use crate::rules::advice::source;
use crate::rules::evidence::inquiry::{Asked, NoAnswer, inquire_with};
use crate::rules::evidence::joined::Joined;
use crate::rules::evidence::learned::{Learned, learned, odds};
use crate::rules::evidence::more::inquire_by_cars;
use crate::rules::evidence::simulated::Simulated;
use crate::rules::evidence::told::Round;

pub(super) mod cars;
mod given;
mod json;
mod text;

#[allow(
    clippy::struct_excessive_bools,
    reason = "switches of a command line are what they are"
)]
/// Rank a flow's causes by what was read, and say which step, repair or hand-over is next, and why
#[derive(Args, Clone, Debug)]
pub struct RankArgs {
    /// A flow's id, or a flow file
    flow: String,
    /// A reading, such as --have "smoke-flow=2.3 L/min", or --have "seen-at=throttle shaft:wisp"
    /// (wisp, steady or heavy) for a place; `?` for one that could not be told
    #[arg(long, value_name = "READING=VALUE", allow_hyphen_values = true)]
    have: Vec<String>,
    /// A fact about the vehicle, such as --facts "metering=air mass"
    #[arg(long, value_name = "FACT=VALUE", allow_hyphen_values = true)]
    facts: Vec<String>,
    /// A cause that was repaired in vain; the part was bad, good or not-told when it was opened
    #[arg(long, value_name = "CAUSE[=PART]")]
    repaired: Vec<String>,
    /// Gear of the flow that is not at hand
    #[arg(long, value_name = "GEAR")]
    not_available: Vec<String>,
    /// How many causes may be present together
    #[arg(long, value_name = "N", default_value = "2", value_parser = clap::value_parser!(u8).range(1..=3))]
    most: u8,
    /// Explain these causes; without it, the most likely two
    #[arg(long, value_name = "CAUSE")]
    why: Vec<String>,
    /// A code or symptom that the car came with: the workshop's jobs with it count
    #[arg(long, value_name = "WORD")]
    complaint: Vec<String>,
    /// Leave the workshop's own jobs out: the author's odds alone
    #[arg(long)]
    ignore_history: bool,
    /// Reckon by what the flow says in words alone, without simulated cars
    #[arg(long)]
    by_words: bool,
    /// How many cars are simulated for every set of causes
    #[arg(long, value_name = "N", default_value = "500", conflicts_with = "by_words", value_parser = clap::value_parser!(u16).range(20..=5000))]
    cars: u16,
    /// Suggest a dear repair though it is not sure enough
    #[arg(long)]
    dear_too: bool,
    /// Print one object
    #[arg(long)]
    json: bool,
}

/// What was given on the command line does not fit the flow.
#[derive(Debug, thiserror::Error)]
pub enum RankError {
    /// An option without its sign of equality, or with nothing before it.
    #[error("--{1} `{0}` needs a name and a value with `=` between them, such as --{1} \"{2}\"")]
    NoValue(String, &'static str, &'static str),
    /// A name that the flow does not have.
    #[error("{flow} has no {what} `{name}`; {remedy}")]
    Unknown {
        /// The flow.
        flow: String,
        /// What was meant.
        what: &'static str,
        /// What was written.
        name: String,
        /// What to write instead.
        remedy: String,
    },
    /// Something that is given twice.
    #[error("`{0}` is given twice; give it once")]
    Twice(String),
    /// A value that does not fit.
    #[error("{name}: {problem}")]
    Value {
        /// The reading or fact.
        name: String,
        /// What is wrong, and what to write.
        problem: String,
    },
    /// There is no answer.
    #[error(transparent)]
    Answer(#[from] NoAnswer),
}

/// Everything that the printers need beside the answer.
struct Context<'a> {
    flow: &'a Flow,
    /// The cars that it rests on; without any, on the author's words.
    cars: Option<&'a Simulated>,
    /// How many cars it rests on in all.
    rests_on: usize,
    history: Vec<Learned>,
    /// Remarks about what was given.
    notes: Vec<String>,
    dear_too: bool,
    /// The causes to explain, by their place.
    why: Vec<usize>,
}

/// Ranks the causes.
///
/// # Errors
/// For a flow that is not there, and for readings that do not fit it.
pub fn run(args: &RankArgs, common: &Common) -> Result<Outcome, CliError> {
    let settings = common.settings_or_say();
    let shelf = common.shelf()?;
    let flow = draw::named(&shelf, &args.flow)?;
    draw::say_mistakes(&shelf, &args.flow);
    let flow: &Flow = &flow;
    let mut notes = Vec::new();
    let mut round = Round::default();
    given::facts(flow, &args.facts, &mut round)?;
    given::readings(flow, &args.have, &mut round, &mut notes)?;
    round.repaired = given::repaired(flow, &args.repaired)?;
    let mut missing = given::gear(flow, &args.not_available, &mut notes)?;
    notes.extend(settings.of_no_flow(shelf.iter().map(|shelved| &*shelved.flow).chain([flow])));
    for gear in settings.missing(flow) {
        if !missing.contains(&gear) {
            notes.push(format!("not at hand by the settings: {gear}"));
            missing.push(gear);
        }
    }
    let closed = if args.ignore_history {
        History::default()
    } else {
        history(common)?
    };
    let history = {
        let words = args
            .complaint
            .iter()
            .flat_map(|w| [w.to_uppercase(), w.to_lowercase()]);
        let complaint: BTreeSet<String> = words.collect();
        learned(flow, &complaint, &closed.proved)
    };
    // Jobs that nobody had yet change nothing.
    let history: Vec<Learned> = history.into_iter().filter(|l| l.jobs > 0).collect();
    let odds: BTreeMap<String, f64> = odds(&history);
    let rounds = given::rounds(round);
    let flows = [flow];
    let asked = Asked {
        flows: &flows,
        rounds: &rounds,
        together: usize::from(args.most),
        not_available: &missing,
        odds: &odds,
    };
    let cars = if args.by_words {
        None
    } else {
        let made = cars::made(&asked, usize::from(args.cars), common);
        let made = made.map_err(NoAnswer::from).map_err(RankError::from)?;
        Some(made).filter(Simulated::knows_any)
    };
    let with = |joined: &Joined, cars: Option<&Simulated>| source(joined, cars, &closed.witnesses);
    let answer = match &cars {
        Some(cars) => inquire_by_cars(&asked, cars, |joined, cars| with(joined, Some(cars))),
        None => inquire_with(&asked, |joined| with(joined, None)).map(|inquiry| (inquiry, 0)),
    };
    let (inquiry, rests_on) = answer.map_err(RankError::from)?;
    let why = given::causes(flow, &inquiry, &args.why)?;
    notes.extend(given::unused(&inquiry, flow, &rounds));
    let context = Context {
        flow,
        cars: cars.as_ref(),
        rests_on,
        history,
        notes,
        dear_too: args.dear_too,
        why,
    };
    let printed = if args.json {
        json::print(&inquiry, &context)
    } else {
        text::print(&inquiry, &context)
    };
    print(&printed)?;
    Ok(Outcome::Fine)
}
