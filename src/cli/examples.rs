//! An example or two of every command, shown at the end of its help and of its manual page.
//!
//! A test asserts that every command has some and that each is understood as it stands.

use std::fmt::Write;

use clap::Command;

mod calc;

/// A command line, and what it is for.
type Example = (&'static str, &'static str);

/// The examples of each command, by its words.
static COMMANDS: &[(&str, &[Example])] = &[
    (
        "",
        &[
            ("ruleout", "the board of jobs"),
            ("ruleout --job 4", "go on with job 4 at once"),
            (
                "ruleout --plain",
                "the same line by line, for screen readers and pipes",
            ),
            ("ruleout demo", "try it on invented jobs"),
        ],
    ),
    (
        "demo",
        &[
            (
                "ruleout demo",
                "the board, on invented jobs that are gone afterwards",
            ),
            ("ruleout demo --plain --job 1", "one of them, line by line"),
        ],
    ),
    (
        "check",
        &[
            ("ruleout check my-flows", "every flow file in a folder"),
            (
                "ruleout check my-flows/roof-drain.yaml --watch",
                "again whenever it is saved",
            ),
            (
                "ruleout check --explain gap",
                "what a kind of finding means",
            ),
        ],
    ),
    (
        "jobs",
        &[
            ("ruleout jobs", "all of them"),
            ("ruleout jobs P0171 whistle", "those with both words"),
            ("ruleout jobs --json", "for other programs"),
        ],
    ),
    (
        "draw",
        &[
            ("ruleout draw intake-leak", "on the terminal"),
            (
                "ruleout draw my-flows/roof-drain.yaml --as svg",
                "as a picture",
            ),
        ],
    ),
    (
        "export",
        &[
            ("ruleout export 4", "on the screen"),
            (
                "ruleout export 'KT-204' -o job.yaml",
                "the car with this plate, as a file",
            ),
        ],
    ),
    (
        "import",
        &[
            ("ruleout import job.yaml", "a job from another workshop"),
            (
                "ruleout import jobs/one.yaml jobs/two.yaml --json",
                "several, for other programs",
            ),
            ("ruleout import -", "from standard input"),
        ],
    ),
    (
        "learned",
        &[
            ("ruleout learned", "every flow with counted jobs"),
            (
                "ruleout learned intake-leak --complaint P0171",
                "one flow, jobs with this code",
            ),
        ],
    ),
    (
        "new-flow",
        &[
            (
                "ruleout new-flow roof-drain -o my-flows/roof-drain.yaml",
                "a flow to begin with",
            ),
            (
                "ruleout new-flow --schema -o my-flows/flow.schema.json",
                "what an editor needs",
            ),
            ("ruleout new-flow --guide", "what every key can be"),
        ],
    ),
    (
        "rank",
        &[
            ("ruleout rank intake-leak", "before anything is read"),
            (
                "ruleout rank intake-leak --facts \"metering=air mass\" --have \"idle-short-1=8 %\" --have \"idle-long-1=12 %\"",
                "with two readings",
            ),
            (
                "ruleout rank intake-leak --why throttle-shaft",
                "why a cause stands where it does",
            ),
        ],
    ),
    (
        "read",
        &[
            ("ruleout read idle.csv", "what a log holds"),
            (
                "ruleout read idle.csv --job 4",
                "fill the readings of the flow that job 4 is in",
            ),
            (
                "ruleout read scope.csv --cylinders 4 --speed \"800 rpm\"",
                "the lobes of a capture",
            ),
            (
                "ruleout read idle.csv --column \"N=engine speed\" --save-mapping our-tool",
                "say what a column is, and keep it",
            ),
        ],
    ),
    (
        "replay",
        &[
            ("ruleout replay job.yaml", "one job file, step by step"),
            (
                "ruleout replay jobs/one.yaml jobs/two.yaml --json",
                "several, for other programs",
            ),
        ],
    ),
    (
        "report",
        &[
            ("ruleout report 4", "read it on the screen"),
            (
                "ruleout report 4 -o report.html",
                "a page or two to print, for the customer",
            ),
            (
                "ruleout report 4 --for workshop -o file.html",
                "every reading, event and reason",
            ),
            (
                "ruleout report 4 --for parts -o order.html",
                "the work order for parts",
            ),
            (
                "ruleout report 4 --for label -o label.html",
                "a label of 62 by 100 mm",
            ),
            (
                "ruleout report 4 --for workshop --as json",
                "for other programs",
            ),
            (
                "ruleout report --file job.yaml --paper letter -o r.html",
                "from a job file, on Letter",
            ),
        ],
    ),
    (
        "practise",
        &[
            ("ruleout practise", "the exercises done so far"),
            (
                "ruleout practise intake-leak",
                "begin one on a car that is not there",
            ),
            (
                "ruleout practise intake-leak --by-line",
                "the same, read from standard input",
            ),
            (
                "ruleout practise intake-leak --level 3 --save tuesday.yaml",
                "an exercise to hand on: everybody gets the same car",
            ),
            (
                "ruleout practise --who",
                "who has practised what, and how the marks went",
            ),
            (
                "ruleout practise --results marks.csv",
                "all marks, for a spreadsheet",
            ),
        ],
    ),
    (
        "trial",
        &[
            (
                "ruleout trial intake-leak",
                "20 cars for each cause, by both ways",
            ),
            (
                "ruleout trial intake-leak --runs 100 --seed 7",
                "more, and others",
            ),
        ],
    ),
    (
        "completions",
        &[
            ("ruleout completions bash", "print it"),
            (
                "ruleout completions fish > ~/.config/fish/completions/ruleout.fish",
                "where fish looks for it",
            ),
        ],
    ),
    (
        "man",
        &[
            ("ruleout man | man -l -", "read all pages"),
            (
                "ruleout man -o ~/.local/share/man/man1",
                "write each where `man` looks for it",
            ),
        ],
    ),
    (
        "calc",
        &[
            (
                "ruleout calc hole --flow \"2.3 L/min\" --pressure \"14 inH2O\"",
                "the hole behind a flow",
            ),
            (
                "ruleout calc hole --help",
                "what a calculation takes and gives",
            ),
        ],
    ),
];

/// So wide is a row of help at the most.
const ROW: usize = 80;

/// Adds the examples to the help of every command.
pub fn add(command: Command) -> Command {
    below(command, "")
}

fn below(command: Command, path: &str) -> Command {
    let names: Vec<String> = command
        .get_subcommands()
        .map(|one| one.get_name().to_owned())
        .collect();
    let command = match of(path) {
        Some(examples) => with(command, examples),
        None => command,
    };
    names.into_iter().fold(command, |command, name| {
        let path = format!("{path} {name}");
        command.mut_subcommand(name, |one| below(one, path.trim()))
    })
}

fn of(path: &str) -> Option<&'static [Example]> {
    let mut all = COMMANDS.iter().chain(calc::CALCULATIONS);
    all.find(|(words, _)| *words == path)
        .map(|(_, examples)| *examples)
}

/// A command with examples after what its help says already.
fn with(command: Command, examples: &[Example]) -> Command {
    let mut text = command
        .get_after_help()
        .map(|before| format!("{before}\n\n"))
        .unwrap_or_default();
    text.push_str("Examples:");
    // What an example is for stands beside it where there is room, else above it.
    let width = examples.iter().map(|(line, _)| line.len()).max();
    let remarks = examples.iter().map(|(_, remark)| remark.len()).max();
    let row = |width: usize| 2 + width + 5 + remarks.unwrap_or_default();
    let beside = width.filter(|width| row(*width) <= ROW);
    for (line, remark) in examples {
        // Writing to a String cannot fail. The number sign keeps a shell from reading the remark, whatever is pasted.
        let _ = match beside {
            Some(width) => write!(text, "\n  {line:width$}   # {remark}"),
            None => write!(text, "\n  {}\n      # {remark}", broken(line)),
        };
    }
    command.after_help(text)
}

/// A long command line over several rows, at its options, as a shell takes it.
fn broken(line: &str) -> String {
    const ROOM: usize = 72;
    let mut rows: Vec<String> = Vec::new();
    for (n, piece) in line.split(" --").enumerate() {
        let piece = if n == 0 {
            piece.to_owned()
        } else {
            format!("--{piece}")
        };
        match rows.last_mut() {
            Some(row) if row.len() + 1 + piece.len() <= ROOM => {
                row.push(' ');
                row.push_str(&piece);
            }
            _ => rows.push(piece),
        }
    }
    rows.join(" \\\n      ")
}

#[cfg(test)]
mod tests {
    use super::super::line;
    use super::*;

    /// The words of a command line as a shell splits them: quotes hold words together, and what
    /// follows a pipe or goes into a file is not ruleout's.
    fn words(line: &str) -> Vec<String> {
        let mut out = Vec::new();
        let (mut word, mut quote, mut begun) = (String::new(), None, false);
        for c in line.chars() {
            match (quote, c) {
                (None, '\'' | '"') => (quote, begun) = (Some(c), true),
                (Some(open), c) if open == c => quote = None,
                (None, ' ') if begun => {
                    out.push(std::mem::take(&mut word));
                    begun = false;
                }
                (None, ' ') => {}
                (None, '|' | '>') => break,
                (None, '#') if !begun => break,
                (_, c) => {
                    word.push(c);
                    begun = true;
                }
            }
        }
        assert_eq!(quote, None, "{line}");
        if begun {
            out.push(word);
        }
        out
    }

    fn each(command: &Command, path: &str, see: &mut dyn FnMut(&Command, &str)) {
        see(command, path);
        for below in command
            .get_subcommands()
            .filter(|one| one.get_name() != "help")
        {
            let path = format!("{path} {}", below.get_name());
            each(below, path.trim(), see);
        }
    }

    #[test]
    fn every_command_has_examples_in_its_help_and_each_is_understood() {
        let mut count = 0;
        each(&line::command(), "", &mut |command, path| {
            let mut command = command.clone();
            let help = command.render_long_help().to_string();
            assert!(
                help.contains("Examples:\n  ruleout"),
                "`ruleout {path} --help` has no examples: add some to the table\n{help}"
            );
            for (example, _) in of(path).expect("examples in the table") {
                let words = words(example);
                let asked: Vec<&str> = path.split(' ').filter(|word| !word.is_empty()).collect();
                assert_eq!(
                    words[1..][..asked.len().min(words.len() - 1)],
                    asked[..],
                    "{example}"
                );
                let parsed = line::command().try_get_matches_from(&words);
                let fits = parsed.as_ref().map_or_else(
                    |error| error.kind() == clap::error::ErrorKind::DisplayHelp,
                    |_| true,
                );
                assert!(fits, "{example}: {parsed:?}");
                count += 1;
            }
        });
        assert!(count > 60, "only {count} examples");
    }

    #[test]
    fn every_row_of_the_examples_can_be_pasted_whole() {
        each(&line::command(), "", &mut |command, path| {
            let help = command.clone().render_long_help().to_string();
            let (_, rows) = help.split_once("Examples:\n").expect("examples");
            for row in rows.replace("\\\n", " ").lines() {
                let words = words(row.trim());
                if words.is_empty() {
                    continue;
                }
                let parsed = line::command().try_get_matches_from(&words);
                let fits = parsed.as_ref().map_or_else(
                    |error| error.kind() == clap::error::ErrorKind::DisplayHelp,
                    |_| true,
                );
                assert!(fits, "`ruleout {path} --help`: {row}: {parsed:?}");
                let wanted = of(path).expect("examples in the table").iter();
                let known = wanted
                    .map(|(line, _)| self::words(line))
                    .any(|w| w == words);
                assert!(known, "`ruleout {path} --help`: {row}: {words:?}");
            }
        });
    }

    #[test]
    fn a_long_example_is_broken_where_a_shell_goes_on() {
        let (line, _) = of("calc found").expect("examples")[0];
        let rows = broken(line);
        assert!(
            rows.lines().count() > 1 && rows.lines().all(|row| row.len() <= 80),
            "{rows}"
        );
        assert_eq!(words(&rows.replace("\\\n", " ")), words(line));
    }

    #[test]
    fn no_example_is_of_a_command_that_there_is_not() {
        let mut known = Vec::new();
        each(&line::command(), "", &mut |_, path| {
            known.push(path.to_owned());
        });
        for (path, examples) in COMMANDS.iter().chain(calc::CALCULATIONS) {
            assert!(known.iter().any(|one| one == path), "{path}");
            assert!(!examples.is_empty(), "{path}");
        }
    }

    #[test]
    fn every_example_of_a_calculation_gives_a_result() {
        for (_, examples) in calc::CALCULATIONS {
            for (example, _) in examples.iter().filter(|(line, _)| !line.contains("--file")) {
                let matches = line::command()
                    .try_get_matches_from(words(example))
                    .unwrap_or_else(|error| panic!("{example}: {error}"));
                let calc = matches.subcommand_matches("calc").expect("a calculation");
                let done = super::super::calc::run(calc);
                assert!(done.is_ok(), "{example}: {:?}", done.err());
            }
        }
    }
}
