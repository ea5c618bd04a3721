//! A killed program loses nothing that it had acknowledged, and holds nothing up.

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Command, Stdio};

use ruleout::engine::event::What;
use ruleout::job::sqlite::SqliteStore;
use ruleout::job::store::Claim;
use ruleout::job::store::{Store, StoreError};
use uuid::Uuid;

use super::{folder, job};

const CHILD: &str = "RULEOUT_TEST_CHILD_FOLDER";

/// Not a test: the program that is killed below. It appends for ever and says after each append
/// what is now safe.
#[test]
#[ignore = "is started, and killed, by `what_was_acknowledged_survives_a_kill`"]
fn child_that_appends_until_it_is_killed() {
    let dir = std::env::var_os(CHILD).expect("started by the test that kills it");
    let mut store = SqliteStore::open(Path::new(&dir)).unwrap();
    let mut story = job("KT-204", "rough idle");
    store.append(story.job, 0, &story.events).unwrap();
    store.claim(story.job, "Ina", Claim::Politely).unwrap();
    println!("\njob {}", story.job);
    for after in 1.. {
        story = story.remark(&format!("entry {after}"));
        store
            .append(story.job, after, &story.events[story.events.len() - 1..])
            .unwrap();
        println!("\nsafe {}", after + 1);
        // No person types without a pause; without one, nobody else would get at the file.
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
}

#[test]
fn what_was_acknowledged_survives_a_kill_and_the_job_is_free_at_once() {
    for wait_for in [1, 7, 40] {
        let dir = folder();
        let mut child = Command::new(std::env::current_exe().unwrap())
            .args([
                "--exact",
                "store::killed::child_that_appends_until_it_is_killed",
                "--ignored",
                "--nocapture",
            ])
            .env(CHILD, dir.path())
            .stdout(Stdio::piped())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap())
            .lines()
            .map_while(Result::ok);
        let id: Uuid = lines
            .find_map(|line| line.strip_prefix("job ")?.parse().ok())
            .expect("the job's name");
        let mut safe = lines
            .by_ref()
            .filter_map(|line| line.strip_prefix("safe ")?.parse::<usize>().ok());
        let mut last_safe = safe.nth(wait_for).expect("the child goes on");
        let mut store = SqliteStore::open(dir.path()).unwrap();
        let held = store.claim(id, "Kim", Claim::Politely).unwrap_err();
        assert!(
            matches!(&held, StoreError::Held { by, .. } if by.who == "Ina"),
            "{held}"
        );

        child.kill().unwrap();
        child.wait().unwrap();
        last_safe = safe.last().unwrap_or(last_safe).max(last_safe);
        let events = store.read(id).unwrap();
        assert!(
            events.len() >= last_safe,
            "{} events, {last_safe} acknowledged",
            events.len()
        );
        for (event, n) in events.iter().zip(0..).skip(1) {
            assert_eq!(
                event.what,
                What::Remark {
                    text: format!("entry {n}")
                }
            );
        }
        store.claim(id, "Kim", Claim::Politely).unwrap();
    }
}
