//! The real program with its input from a pipe: a whole job, ended half-way by the end of the
//! input, gone on with, and handed over; and a line that is not taken.

use crate::jobs;
use std::collections::{BTreeMap, VecDeque};
use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use crate::typist::{Next, Typist, WHO, facts_of};
use ruleout::engine::event::Event;
use ruleout::engine::fold::fold;
use ruleout::flow::answer::Answer;
use ruleout::flow::shelf::Shelf;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;
use ruleout::tui::model::ListKind;

fn piped(data: &Path, more: &[&str], lines: &[String]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["--plain", "--data", &data.display().to_string()])
        .args(["--who", WHO])
        .env("XDG_CONFIG_HOME", crate::support::settings())
        .args(more)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    // A program that has stopped reading is no failure of the test.
    let _ = input.write_all((lines.join("\n") + "\n").as_bytes());
    drop(input);
    child.wait_with_output().unwrap()
}

fn record(data: &Path) -> Vec<Event> {
    let store = SqliteStore::open(data).unwrap();
    let jobs = store.search("").unwrap();
    store.read(jobs.first().unwrap().id).unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A whole demo job, typed: the lines, and what they recorded.
fn typed() -> Typist {
    let story = jobs::split_hose_then_gasket();
    let facts = story.job.facts.clone();
    let mut answers: BTreeMap<(u32, String), VecDeque<Answer>> = BTreeMap::new();
    for taken in &fold(&story.events).readings {
        let key = (taken.test, taken.reading.clone());
        answers
            .entry(key)
            .or_default()
            .push_back(taken.value.clone());
    }
    let mut typist = Typist::new(Shelf::shipped());
    typist.new_job("BRK 214", "Rough idle and a hissing noise", "p0171");
    // The codes that came with the car are read from it.
    for line in ["", "", "", "820 rpm", "catalyst not ready"] {
        typist.types(line);
    }
    typist.begins("intake-leak");
    loop {
        let test = typist.model().open.as_ref().unwrap().job.test_number();
        let next = typist.next(&mut |prompt| {
            let fact = facts.get(&prompt.id).cloned();
            let reading = answers.get_mut(&(test, prompt.id.clone()));
            fact.or_else(|| reading.and_then(VecDeque::pop_front))
        });
        if next == Next::End {
            break;
        }
    }
    typist.types("1");
    // Everything that the set-ups left on the car, the first of those that are left each time.
    let job = fold(typist.events());
    let fitted = job.fitted.len();
    assert!(!job.taken_off.is_empty(), "some were off before the proof");
    for _ in 0..fitted {
        typist.types(&typist.next_off(ListKind::Fitted));
    }
    typist.types("Hose and gasket renewed");
    let job = fold(typist.events());
    assert_eq!(job.test_number(), 3, "two repairs, and a retest after each");
    assert_eq!(job.handed_over.as_deref(), Some("Hose and gasket renewed"));
    let values = |events: &[Event]| -> Vec<(String, Answer)> {
        let readings = fold(events).readings.into_iter();
        readings.map(|taken| (taken.reading, taken.value)).collect()
    };
    assert_eq!(values(typist.events()), values(&story.events));
    typist
}

#[test]
fn a_whole_job_from_a_pipe_that_ends_half_way_and_is_gone_on_with() {
    let typist = typed();
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    // In the middle of the walk, where a line is an answer.
    let half = typist.lines.len() / 2;
    let (first, rest) = typist.lines.split_at(half);
    let out = piped(data, &[], first);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    let said = text(&out.stdout);
    assert!(said.contains("job 1 (BRK 214): kept in"), "{said}");
    assert!(said.contains("--plain` goes on"), "{said}");
    let kept = facts_of(&record(data));
    assert_eq!(kept, facts_of(typist.events())[..kept.len()]);
    assert!(!kept.is_empty() && kept.len() < typist.events().len());
    let out = piped(data, &["--job", "brk214"], rest);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stdout));
    assert_eq!(facts_of(&record(data)), facts_of(typist.events()));
    assert!(text(&out.stdout).contains("Handed over."));
    // Nothing but text and line ends, so that a screen reader and a file can take it.
    let controls = said.chars().find(|c| c.is_control() && *c != '\n');
    assert_eq!(controls, None, "{said}");
}

#[test]
fn a_piped_line_that_is_not_taken_ends_it_and_nothing_after_it_is_read() {
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();
    let lines = [
        "new job", "BRK 214", "", "", "", "whistles", "", "p0171", "", "", "99", "1",
    ];
    let out = piped(data, &[], &lines.map(str::to_owned));
    assert_eq!(out.status.code(), Some(2), "{}", text(&out.stdout));
    let why = text(&out.stderr);
    assert!(why.contains("line 11 of the input was not taken"), "{why}");
    assert!(why.contains("the list goes from 1 to"), "{why}");
    assert_eq!(record(data).len(), 1, "the job was opened, and no more");
    let out = piped(data, &["--job", "BRK 999"], &[]);
    assert_eq!(out.status.code(), Some(2));
    assert!(text(&out.stderr).contains("no job is called"));
}

#[test]
fn the_demo_jobs_can_be_walked_in_lines() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(["demo", "--plain", "--job", "1"])
        .env("XDG_CONFIG_HOME", crate::support::settings())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    child
        .stdin
        .take()
        .unwrap()
        .write_all(b"record\nrunning engine\nleave\n")
        .unwrap();
    let out = child.wait_with_output().unwrap();
    let said = text(&out.stdout);
    assert!(out.status.success(), "{said}");
    assert!(said.contains("smoke flow: 9.8 L/min"), "{said}");
    assert!(
        said.contains("CAUTION: The engine must not start, 2 more to read"),
        "{said}"
    );
}

#[test]
fn a_piped_value_that_is_asked_about_is_confirmed_by_the_next_line_or_ends_it() {
    let typist = typed();
    let airflow = |line: &String| line.ends_with("g/s");
    let at = typist.lines.iter().position(airflow).expect("it is read");
    let mut lines = typist.lines[..at].to_vec();
    lines.push("99 g/s".to_owned());
    let airflows = |data: &Path| -> Vec<String> {
        let read = fold(&record(data)).readings.into_iter();
        let read = read.filter(|taken| taken.reading.ends_with("airflow"));
        read.map(|taken| ruleout::engine::shown::answer(&taken.value))
            .collect()
    };
    // Another line was meant for something else; so would an answer to the next question be.
    for after in [
        None,
        Some(typist.lines[at].clone()),
        Some("99 g/s".to_owned()),
    ] {
        let folder = tempfile::tempdir().unwrap();
        let lines: Vec<String> = lines.iter().cloned().chain(after).collect();
        let out = piped(folder.path(), &[], &lines);
        assert_eq!(out.status.code(), Some(2), "{}", text(&out.stdout));
        let why = text(&out.stderr);
        let named = format!("line {} of the input was not taken", at + 1);
        assert!(why.contains(&named) && why.contains("99 g/s"), "{why}");
        assert!(airflows(folder.path()).is_empty());
    }
    let folder = tempfile::tempdir().unwrap();
    lines.push(String::new());
    let out = piped(folder.path(), &[], &lines);
    assert_eq!(out.status.code(), Some(0), "{}", text(&out.stderr));
    assert_eq!(airflows(folder.path()), ["99 g/s"]);
}
