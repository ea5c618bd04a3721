//! The real program in a pseudo-terminal: a whole job typed as a technician would type it, killed
//! half-way without warning, resumed, and handed over.
//!
//! What to type next is not scripted key by key: the test reads the record from the disk (as any
//! second program could), asks the engine what is next, and types the answer of the demo story.
//! So the test holds as long as the screens ask for what the engine asks for.

use crate::jobs;
use std::collections::{BTreeMap, VecDeque};
use std::path::Path;
use std::process::Command;
use std::thread;
use std::time::{Duration, Instant};

use crate::pty::{BY_ITSELF, PATIENCE, Terminal, beginning};
use ruleout::engine::event::{Event, What};
use ruleout::engine::fitted::due_off;
use ruleout::engine::fold::fold;
use ruleout::engine::job::Job;
use ruleout::engine::standing::{Desk, RepairStage, Standing};
use ruleout::flow::answer::{Answer, Strength};
use ruleout::flow::model::{Prompt, PromptKind};
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Store;

const WHO: &str = "Ines Harrow";

/// The events on the disk, as another program sees them.
fn record(data: &Path) -> Vec<Event> {
    let store = SqliteStore::open(data).unwrap();
    let jobs = store.search("").unwrap();
    jobs.first()
        .map(|job| store.read(job.id).unwrap())
        .unwrap_or_default()
}

/// What the story answers, by test and reading, in order.
fn answers(events: &[Event]) -> BTreeMap<(u32, String), VecDeque<Answer>> {
    let mut all: BTreeMap<(u32, String), VecDeque<Answer>> = BTreeMap::new();
    for taken in &fold(events).readings {
        all.entry((taken.test, taken.reading.clone()))
            .or_default()
            .push_back(taken.value.clone());
    }
    all
}

fn typed(answer: &Answer, prompt: &Prompt) -> String {
    match (answer, &prompt.kind) {
        (Answer::Quantity(q), _) => format!("{q}"),
        (Answer::Choice(word), PromptKind::Choice(words)) => {
            (words.iter().position(|w| w == word).unwrap() + 1).to_string()
        }
        (Answer::Places(shown), PromptKind::Places(places)) => shown
            .iter()
            .map(|(place, strength)| {
                let digit = places.iter().position(|p| p == place).unwrap() + 1;
                let times = match strength {
                    Strength::Wisp => 1,
                    Strength::Steady => 2,
                    Strength::Heavy => 3,
                };
                if places.len() < 10 {
                    digit.to_string().repeat(times)
                } else {
                    // In a long list the number goes there, and Space marks.
                    format!("{digit}{}", " ".repeat(times))
                }
            })
            .collect(),
        other => panic!("{other:?} is not typed in this test"),
    }
}

/// Types whatever the engine asks for next; false once the flow has ended.
fn do_next(
    terminal: &mut Terminal,
    job: &Job,
    facts: &BTreeMap<String, Answer>,
    answers: &mut BTreeMap<(u32, String), VecDeque<Answer>>,
) -> bool {
    let day = chrono::Utc::now().date_naive();
    match job.standing(Desk { who: WHO, day }) {
        Standing::Facts(due) => {
            let text = typed(&facts[&due[0].id], due[0]);
            terminal.press(&text);
            terminal.press("\r");
        }
        Standing::Cautions(due) => {
            terminal.wait_for(due[0].title);
            // Each caution has its own number; Enter accepts none.
            let number = terminal.after("> Press ");
            terminal.press(&number);
        }
        Standing::Step(step) => {
            let open = job
                .prompts_now()
                .into_iter()
                .find(|(_, taken)| !taken)
                .map(|(p, _)| p);
            if let Some(prompt) = open {
                terminal.read_step(beginning(&prompt.ask));
                let key = (job.test_number(), prompt.id.clone());
                let queue = answers
                    .get_mut(&key)
                    .unwrap_or_else(|| panic!("no answer for {key:?}"));
                let answer = queue.pop_front().unwrap();
                let text = typed(&answer, prompt);
                terminal.press(&text);
                terminal.press("\r");
                if text.is_empty() {
                    // "Nothing shows anywhere" is asked back once.
                    terminal.wait_for("Enter once more");
                    terminal.press("\r");
                }
            } else {
                terminal.read_step(beginning(&step.title));
                terminal.press("\r");
            }
        }
        Standing::Repair { stage, .. } => match stage {
            RepairStage::Ask => {
                terminal.wait_for("The customer agrees");
                terminal.press("1\r");
                terminal.wait_for("Save");
                terminal.enter("owner, by telephone");
            }
            RepairStage::Work(_) => {
                terminal.wait_for("The work is done");
                terminal.press("1\r");
                terminal.wait_for("What was done");
                terminal.enter("renewed");
                terminal.press("1\r");
            }
            RepairStage::Retest(_) => {
                terminal.wait_for("Begin the test again from the start");
                terminal.press("1\r");
            }
            RepairStage::Declined(_) => panic!("nobody declined"),
        },
        Standing::Ended => return false,
        other => panic!("{other:?} was not expected"),
    }
    true
}

/// Confirms each thing that set-ups left on the car; what is confirmed keeps its number.
fn confirm_all_off(data: &Path, terminal: &mut Terminal) {
    for number in 1..=fold(&record(data)).fitted.len() {
        let before = record(data).len();
        terminal.press(&number.to_string());
        grown(data, terminal, before);
    }
}

/// Waits until the record on the disk has grown.
fn grown(data: &Path, terminal: &mut Terminal, before: usize) -> Vec<Event> {
    let until = Instant::now() + PATIENCE;
    let (mut hurried, mut refused, mut read_only) = (false, false, false);
    loop {
        let events = record(data);
        if events.len() > before {
            return events;
        }
        // Nobody waits here: what comes before the time of its step is accepted all the same, once.
        let asked = [
            "of the wait are left",
            "the clock was not started",
            "Left empty: ",
            "nothing is saved since the repair",
        ];
        let asked = asked.iter().any(|words| terminal.text().contains(words));
        if !hurried && asked {
            hurried = true;
            terminal.press("\r");
        }
        // The screen may have been half drawn when it was looked at: the number was that of the caution before.
        if !refused && terminal.text().contains("Read it, then press ") {
            refused = true;
            let number = terminal.after("Read it, then press ");
            terminal.press(number.trim_end_matches('.'));
        }
        if terminal.text().contains(BY_ITSELF) {
            terminal.press("\r");
        }
        // The step was drawn by itself after it was looked at: what was pressed has only been reading it.
        let late = Instant::now() + PATIENCE / 2 > until;
        if !read_only && late && terminal.text().contains("When it is done:") {
            read_only = true;
            terminal.press("\r");
        }
        assert!(
            Instant::now() < until,
            "nothing more was recorded after {before} events:\n{}",
            terminal.text()
        );
        thread::sleep(Duration::from_millis(20));
    }
}

fn open_new_job(terminal: &mut Terminal, data: &Path) {
    terminal.wait_for("new job");
    terminal.press("n");
    terminal.wait_for("Plate");
    terminal.enter("BRK 214");
    terminal.enter("Corvane Lisse 1.6, 2014");
    terminal.press("\t"); // the vehicle number may stay empty
    terminal.enter("118,400 km");
    terminal.enter("Rough idle and a hissing noise");
    terminal.press("\t");
    terminal.enter("p0171");
    terminal.enter("2");
    terminal.press("\r");
    grown(data, terminal, 0);
    terminal.wait_for("Save stored and pending codes");
    terminal.press("1\r");
    terminal.wait_for("Stored codes");
    // The code that came with the car is offered.
    terminal.wait_for("P0171");
    terminal.press("\r\t");
    terminal.enter("820 rpm");
    terminal.enter("catalyst not ready");
    grown(data, terminal, 1);
    terminal.wait_for("[saved]");
    // What is picked now is the flow that answers the code, and not the saving once more.
    terminal.press("\r");
    grown(data, terminal, 2);
}

#[test]
fn a_whole_job_by_keyboard_killed_half_way_and_resumed() {
    let story = jobs::split_hose_then_gasket();
    let mut answers = answers(&story.events);
    let facts = story.job.facts.clone();
    let folder = tempfile::tempdir().unwrap();
    let data = folder.path();

    let mut terminal = Terminal::start(data, WHO);
    open_new_job(&mut terminal, data);
    let mut events = record(data);
    let mut killed = false;
    while do_next(&mut terminal, &fold(&events), &facts, &mut answers) {
        events = grown(data, &mut terminal, events.len());
        let half_way = matches!(&events.last().unwrap().what,
            What::ReadingTaken { reading, .. } if reading == "covered-flow");
        if half_way && !killed {
            terminal.kill();
            killed = true;
            assert_eq!(record(data), events, "what was accepted is on the disk");
            terminal = Terminal::start(data, WHO);
            terminal.wait_for("BRK 214");
            terminal.press("\r");
            terminal.wait_for("Gauge with the place covered");
        }
        if due_off(&fold(&events), &events.last().unwrap().what) {
            terminal.wait_for("Before it runs or drives");
            confirm_all_off(data, &mut terminal);
            events = record(data);
        }
    }
    assert!(killed);
    let job = fold(&events);
    assert_eq!(job.misfits, []);
    assert_eq!(job.test_number(), 3, "two repairs, and a retest after each");

    terminal.press("\x05"); // Ctrl-E
    // What the set-ups had left on the car was looked at before the proof, thing by thing.
    assert!(job.fitted.is_empty() && !job.taken_off.is_empty());
    terminal.wait_for("Hand the car over");
    terminal.enter("Hose and gasket renewed");
    let until = Instant::now() + PATIENCE;
    while fold(&record(data)).handed_over.is_none() {
        assert!(
            Instant::now() < until,
            "not handed over:\n{}",
            terminal.text()
        );
        thread::sleep(Duration::from_millis(20));
    }
    terminal.wait_for("Handed over");
    terminal.press("\x03"); // Ctrl-C
    let status = terminal.child.wait().unwrap();
    assert!(status.success());
    check_handover(data);
}

fn check_handover(data: &Path) {
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_ruleout"));
        let out = command
            .args(["--data", &data.display().to_string()])
            .args(args)
            .output()
            .unwrap();
        assert!(
            out.status.success(),
            "{}",
            String::from_utf8_lossy(&out.stderr)
        );
        String::from_utf8(out.stdout).unwrap()
    };
    let page = run(&["report", "1"]);
    for part in [
        "Rough idle and a hissing noise",
        "Inlet duct or hose split or loose",
        "Intake manifold or throttle body gasket leaking",
        "Test 3",
        "Hose and gasket renewed",
    ] {
        assert!(page.contains(part), "{part:?} is not on the page:\n{page}");
    }
    let file = data.join("job.yaml").display().to_string();
    run(&["export", "1", "-o", &file]);
    run(&["replay", &file]);
}
