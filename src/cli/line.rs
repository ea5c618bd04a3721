//! The command line as a whole: which sub-commands there are, and which one is meant.

use clap::{CommandFactory, FromArgMatches, Parser, Subcommand};

use super::{
    CliError, Common, Outcome, board, calc, check, completions, draw, examples, export, import,
    jobs, learned, man, new_flow, practise, print, rank, read, replay, report, trial,
};

/// Leak tests beside the car: the steps, the sums and the record.
///
/// Without a command it opens the board of jobs.
#[derive(Debug, Parser)]
#[command(name = "ruleout", version)]
struct Line {
    #[command(flatten)]
    common: Common,
    #[command(flatten)]
    board: board::BoardArgs,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    Demo(board::DemoArgs),
    Check(check::CheckArgs),
    Jobs(jobs::JobsArgs),
    Draw(draw::DrawArgs),
    Export(export::ExportArgs),
    Import(import::ImportArgs),
    Learned(learned::LearnedArgs),
    NewFlow(new_flow::NewFlowArgs),
    Practise(practise::PractiseArgs),
    Rank(rank::RankArgs),
    Read(read::ReadArgs),
    Replay(replay::ReplayArgs),
    Report(report::ReportArgs),
    Trial(trial::TrialArgs),
    Completions(completions::CompletionsArgs),
    Man(man::ManArgs),
}

/// The whole command line, for parsing, completions and tests.
pub fn command() -> clap::Command {
    // The calculations bring their own options, made from their table.
    examples::add(Line::command().subcommand(calc::command()))
}

/// Does what the command line asks for.
///
/// # Errors
/// What the command says; the caller words it on stderr and ends with 2.
pub fn run() -> Result<Outcome, CliError> {
    let matches = command().get_matches();
    if let Some(("calc", asked)) = matches.subcommand() {
        let (text, outcome) = calc::run(asked)?;
        print(&text)?;
        return Ok(outcome);
    }
    let line = Line::from_arg_matches(&matches).unwrap_or_else(|error| error.exit());
    let common = &line.common;
    let makes_it = matches!(line.command, None | Some(Command::Demo(_)));
    common.settings_are_there(makes_it)?;
    match &line.command {
        None => board::run(&line.board, common),
        Some(Command::Demo(args)) => board::demo(args, common),
        Some(Command::Check(args)) => check::run(args, common),
        Some(Command::Jobs(args)) => jobs::run(args, common),
        Some(Command::Draw(args)) => draw::run(args, common),
        Some(Command::Export(args)) => export::run(args, common),
        Some(Command::Import(args)) => import::run(args, common),
        Some(Command::Learned(args)) => learned::run(args, common),
        Some(Command::Practise(args)) => practise::run(args, &line.board, common),
        Some(Command::Rank(args)) => rank::run(args, common),
        Some(Command::NewFlow(args)) => new_flow::run(args, common),
        Some(Command::Read(args)) => read::run(args, line.board.who.as_deref(), common),
        Some(Command::Replay(args)) => replay::run(args, common),
        Some(Command::Report(args)) => report::run(args, common),
        Some(Command::Trial(args)) => trial::run(args, common),
        Some(Command::Completions(args)) => completions::run(args),
        Some(Command::Man(args)) => man::run(args),
    }
}
