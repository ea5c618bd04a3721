//! `ruleout trial FLOW`: simulated cars led through a flow by its branches and by the evidence.

use std::time::Instant;

use clap::Args;
use rayon::prelude::*;

use super::progress::Progress;
use super::{CliError, Common, Outcome, draw, print};
use crate::flow::model::Flow;
use crate::rules::evidence::case::BadCase;
use crate::trial::fleet::{Settings, Trial, Tried, lean};
use crate::trial::sums::sums;

mod json;
mod text;

/// Vehicles with known facts that the cars are of.
const VEHICLES: u32 = 4;

/// Lead simulated cars through a flow, by its own branches and by the evidence, and say what comes of it
#[derive(Args, Clone, Debug)]
pub struct TrialArgs {
    /// A flow's id, or a flow file
    flow: String,
    /// Cars for each cause and each likely pair, of each kind
    #[arg(long, value_name = "N", default_value = "20", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    runs: u32,
    /// The same seed gives the same cars, on any machine
    #[arg(long, value_name = "S", default_value = "1")]
    seed: u64,
    /// How many causes may be present together, as the reasoning sees it
    #[arg(long, value_name = "N", default_value = "2", value_parser = clap::value_parser!(u8).range(1..=3))]
    most: u8,
    /// Simulated cars of each set of causes for the reasoning; 0: words alone
    #[arg(long, value_name = "N", default_value = "200", value_parser = clap::value_parser!(u16).range(0..=5000))]
    cars: u16,
    /// Draw more of them where few of a likely set show what was read, as the screens do; takes longer
    #[arg(long)]
    more: bool,
    /// Say how the cars ended whose cause was not found
    #[arg(long)]
    lost: bool,
    /// Print one object
    #[arg(long)]
    json: bool,
}

/// The flow cannot be tried.
#[derive(Debug, thiserror::Error)]
#[error("{flow} cannot be tried: {problem}")]
pub struct TrialError {
    flow: String,
    problem: BadCase,
}

/// Tries a flow.
///
/// # Errors
/// For a flow that is not there, or has no causes.
pub fn run(args: &TrialArgs, common: &Common) -> Result<Outcome, CliError> {
    common.settings_or_say();
    let shelf = common.shelf()?;
    let flow = draw::named(&shelf, &args.flow)?;
    draw::say_mistakes(&shelf, &args.flow);
    let flow: &Flow = &flow;
    let settings = Settings {
        runs: args.runs,
        seed: args.seed,
        together: usize::from(args.most),
        vehicles: VEHICLES,
        cars: usize::from(args.cars),
        more: args.more,
    };
    let begun = Instant::now();
    let lean = lean(flow);
    let trial = Trial::of(&lean, settings).map_err(|problem| TrialError {
        flow: flow.id.clone(),
        problem,
    })?;
    let made = begun.elapsed();
    let tried = all(&trial);
    let took = begun.elapsed();
    let sums = sums(&trial, &trial.jobs(), &tried);
    let printed = if args.json {
        json::print(&trial, &sums)
    } else {
        let threads = rayon::current_num_threads();
        let took = format!(
            "{:.1} s on {threads} threads, {:.1} s of it for the simulated cars of the reasoning",
            took.as_secs_f64(),
            made.as_secs_f64()
        );
        text::print(&trial, &sums, args.lost, &took)
    };
    print(&printed)?;
    Ok(Outcome::Fine)
}

/// Runs all cars on the threads of the present pool. The result does not depend on how many there are: each car
/// follows from its job alone, and they come back in the jobs' order.
pub fn all(trial: &Trial) -> Vec<Tried> {
    let jobs = trial.jobs();
    let progress = Progress::over(jobs.len(), "simulated cars");
    jobs.par_iter()
        .map(|job| {
            let tried = trial.run(*job);
            progress.inc();
            tried
        })
        .collect()
}
