//! The trial: its accounting against sums worked by hand, the same result on any number of threads, and what the
//! evidence reaches on two shipped flows.

use std::process::Command;

use ruleout::cli::trial::all;
use ruleout::flow::load::load;
use ruleout::flow::model::Flow;
use ruleout::flow::shelf::Shelf;
use ruleout::trial::fleet::{Settings, Trial, Tried, World, lean};
use ruleout::trial::sums::{Sums, sums};

const DRAINS: &str = include_str!("fixtures/two_drains.yaml");
/// Minutes of the fixture: the glance that tells nothing, the look, the repair, the proof, and handing on.
const GLANCE: f64 = 20.0;
const LOOK: f64 = 5.0;
const REPAIR: f64 = 100.0;
const PROOF: f64 = 3.0;
const HAND_ON: f64 = 60.0;

fn drains() -> Flow {
    let loaded = load(DRAINS);
    let flow = loaded
        .flow
        .unwrap_or_else(|| panic!("{:?}", loaded.findings));
    lean(&flow)
}

fn settings(runs: u32) -> Settings {
    Settings {
        runs,
        seed: 7,
        together: 2,
        vehicles: 2,
        cars: 0,
        more: false,
    }
}

/// The cars of one cause alone, as the flow expects them.
fn of<'t>(trial: &Trial, tried: &'t [Tried], cause: &str) -> Vec<&'t Tried> {
    let jobs = trial.jobs();
    let own = jobs.iter().zip(tried).filter(|(job, _)| {
        job.world == World::Expected && trial.rows[job.row].causes == [cause.to_owned()]
    });
    own.map(|(_, tried)| tried).collect()
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn the_minutes_are_those_that_one_reckons_by_hand() {
    let flow = drains();
    let trial = Trial::of(&flow, settings(60)).unwrap();
    let tried = all(&trial);
    let mut took = 0;
    for cause in ["left-drain", "right-drain"] {
        for one in of(&trial, &tried, cause) {
            // A repair that does not take costs another look, repair and proof.
            let once = GLANCE + LOOK + REPAIR + PROOF;
            let more = (one.branches.minutes - once) / (LOOK + REPAIR + PROOF);
            assert!(
                same(more, more.round()) && more >= 0.0,
                "{:?}",
                one.branches
            );
            assert!(one.branches.found && one.evidence.found, "{one:?}");
            if more > 0.5 {
                continue;
            }
            took += 1;
            assert_eq!((one.branches.steps, one.branches.wrong), (3, 0));
            // The glance tells nothing about either cause, so the evidence leaves it out.
            assert!(
                same(one.evidence.minutes, LOOK + REPAIR + PROOF),
                "{:?}",
                one.evidence
            );
            assert_eq!((one.evidence.steps, one.evidence.wrong), (2, 0));
            // Without a test the first on the list is repaired first: in vain for the other one.
            let vain = f64::from(u8::from(cause == "right-drain"));
            for untested in one.untested.iter().filter(|ran| ran.found) {
                // As a rule the part looks good when it is opened, and no proof is needed that it was in vain.
                let least = vain * REPAIR + REPAIR + PROOF;
                let minutes = [least, least + vain * PROOF];
                assert!(
                    minutes.iter().any(|m| same(untested.minutes, *m)),
                    "{untested:?}"
                );
                assert!(same(f64::from(untested.wrong), vain), "{untested:?}");
            }
        }
    }
    // A repair takes in 98 of 100 cases.
    assert!((110..120).contains(&took), "{took} of 120");
    for one in of(&trial, &tried, "not-listed") {
        assert!(one.branches.found && same(one.branches.minutes, GLANCE + LOOK + HAND_ON));
        assert!(
            one.evidence.found && same(one.evidence.minutes, LOOK + HAND_ON),
            "{one:?}"
        );
    }
}

#[test]
fn a_car_that_is_let_go_with_its_cause_costs_its_repair_on_top() {
    let text = DRAINS.replace("go: {repair: right-drain}", "go: done");
    let flow = load(&text).flow.unwrap();
    let trial = Trial::of(&flow, settings(8)).unwrap();
    let tried = all(&trial);
    for one in of(&trial, &tried, "right-drain") {
        // Whoever gets it repairs the left drain first, since without a test that is likelier; and it was handed on
        // for nothing.
        let minutes = GLANCE + LOOK + 2.0 * HAND_ON + 2.0 * (REPAIR + PROOF);
        assert!(
            !one.branches.found && same(one.branches.minutes, minutes),
            "{:?}",
            one.branches
        );
        assert!(same(one.branches.spent, GLANCE + LOOK));
    }
}

#[test]
fn the_whole_weighs_each_row_by_its_odds() {
    let flow = drains();
    let trial = Trial::of(&flow, settings(10)).unwrap();
    let tried = all(&trial);
    let sums = sums(&trial, &trial.jobs(), &tried);
    // 0.45 x 0.60 x 0.99 for the left one alone, 0.55 x 0.40 x 0.99 for the right one, 0.55 x 0.60 x 0.01 for
    // neither, 0.45 x 0.40 x 0.99 for both.
    let all = 0.2673 + 0.2178 + 0.0033 + 0.1782;
    let weights: Vec<f64> = trial.rows.iter().map(|row| row.weight * all).collect();
    let wanted = [0.2673, 0.2178, 0.0033, 0.1782];
    assert!(
        weights.iter().zip(wanted).all(|(a, b)| same(*a, b)),
        "{weights:?}"
    );
    let rows = trial.rows.iter().zip(&sums[0].rows);
    let whole: f64 = rows
        .map(|(row, ways)| row.weight * ways.evidence.minutes / f64::from(ways.evidence.cars))
        .sum();
    assert!(same(whole, sums[0].whole.evidence.minutes));
    assert_eq!(
        sums[0]
            .calibration
            .bins
            .iter()
            .map(|bin| bin.cars)
            .sum::<u32>(),
        40
    );
}

fn on(threads: usize, trial: &Trial) -> Vec<Tried> {
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    pool.unwrap().install(|| all(trial))
}

#[test]
fn one_thread_and_two_come_to_the_same() {
    let shelf = Shelf::shipped();
    let flow = lean(&shelf.find("manifold-pressure-signal").unwrap().flow);
    let trial = Trial::of(&flow, settings(2)).unwrap();
    let one = on(1, &trial);
    assert_eq!(one, on(2, &trial));
    let other = Trial::of(
        &flow,
        Settings {
            seed: 8,
            ..trial.settings
        },
    )
    .unwrap();
    assert_ne!(one, on(2, &other), "another seed, other cars");
}

/// What the evidence reaches on a shipped flow, with few cars.
fn reached(flow: &str, runs: u32, cars: usize) -> Vec<Sums> {
    let shelf = Shelf::shipped();
    let flow = lean(&shelf.find(flow).unwrap().flow);
    let settings = Settings {
        cars,
        ..settings(runs)
    };
    let trial = Trial::of(&flow, settings).unwrap();
    sums(&trial, &trial.jobs(), &all(&trial))
}

fn holds(flow: &str, runs: u32, cars: usize, found: [f64; 2], ratio: [f64; 2]) {
    let sums = reached(flow, runs, cars);
    for (n, sums) in sums.iter().enumerate() {
        let (evidence, branches) = (&sums.whole.evidence, &sums.whole.branches);
        assert!(evidence.found >= found[n], "{:?}: {evidence:?}", sums.world);
        let measured = evidence.minutes / branches.minutes;
        assert!(measured <= ratio[n], "{:?}: {measured}", sums.world);
    }
}

#[test]
fn the_manifold_pressure_signal_by_the_evidence() {
    holds("manifold-pressure-signal", 20, 0, [0.95, 0.95], [1.0, 1.0]);
}

#[test]
fn crankcase_leaks_by_the_evidence_of_simulated_cars() {
    holds("crankcase-leak", 3, 60, [0.93, 0.90], [0.95, 1.05]);
}

/// After a cap that reads as not holding, the system is tested all the same.
#[test]
fn cooling_leaks_by_the_evidence_of_simulated_cars() {
    holds("cooling-pressure-hold", 4, 60, [0.97, 0.95], [0.95, 1.0]);
}

fn run(args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .args(args)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

#[test]
fn the_command_prints_its_table_and_one_object_and_no_bar_into_a_pipe() {
    let file = "tests/fixtures/two_drains.yaml";
    let (code, out, err) = run(&["trial", file, "--runs", "4"]);
    assert_eq!((code, err.as_str()), (0, ""));
    for words in [
        "left-drain",
        "by the evidence",
        "Brier score",
        "does not expect",
    ] {
        assert!(out.contains(words), "{words} is not in {out}");
    }
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    let (code, out, err) = run(&["trial", file, "--runs", "4", "--json"]);
    assert_eq!((code, err.as_str()), (0, ""));
    let object: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(object["cars"][0]["causes"][0]["evidence"]["found"], 4);
    assert!(
        object["cars"][0]["whole"]["evidence_to_branches"]
            .as_f64()
            .unwrap()
            < 1.0
    );
}

#[test]
fn a_flow_that_is_not_there_is_said() {
    let (code, out, err) = run(&["trial", "no-such-flow"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("no flow `no-such-flow`"), "{err}");
    let (code, _, err) = run(&["trial", "intake-leak", "--runs", "0"]);
    assert_eq!(code, 2, "{err}");
}
