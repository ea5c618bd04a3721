//! `ruleout rank` and `ruleout learned`, as the real program runs them.

use std::path::Path;
use std::process::Command;

use serde_json::Value;

fn run(data: &Path, args: &[&str]) -> (i32, String, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_ruleout"))
        .arg("--data")
        .arg(data)
        .args(args)
        .output()
        .unwrap();
    (
        output.status.code().unwrap(),
        String::from_utf8(output.stdout).unwrap(),
        String::from_utf8(output.stderr).unwrap(),
    )
}

/// Few cars, since an unoptimised program is slow at drawing them.
fn rank(args: &[&str]) -> (i32, String, String) {
    let nowhere = tempfile::tempdir().unwrap();
    let few: &[&str] = if args.contains(&"--by-words") {
        &[]
    } else {
        &["--cars", "20"]
    };
    let args: Vec<&str> = std::iter::once("rank")
        .chain(args.iter().copied())
        .chain(few.iter().copied())
        .collect();
    run(&nowhere.path().join("none"), &args)
}

fn object(args: &[&str]) -> Value {
    let args: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
    let (code, out, err) = rank(&args);
    assert_eq!((code, err.as_str()), (0, ""));
    serde_json::from_str(&out).unwrap()
}

fn figure(object: &Value, cause: &str, what: &str) -> f64 {
    let causes = object["causes"].as_array().unwrap();
    let cause = causes.iter().find(|c| c["id"] == cause).unwrap();
    cause[what].as_f64().unwrap()
}

const CAR: [&str; 6] = [
    "--facts",
    "metering=air mass",
    "--facts",
    "banks=1",
    "--facts",
    "altitude=200 m",
];
const FOUND: [&str; 14] = [
    "--have",
    "seen-at=vacuum hose = heavy",
    "--have",
    "float-steady=steady",
    "--have",
    "smoke-flow=9 L/min",
    "--have",
    "smoke-pressure=3.3 kPa",
    "--have",
    "blocked-flow=0 L/min",
    "--have",
    "blocked-pressure=3.4 kPa",
    "--have",
    "shaft-smoke=none",
];

#[test]
fn the_object_holds_the_causes_the_next_step_and_why() {
    let args: Vec<&str> = ["intake-leak"]
        .into_iter()
        .chain(CAR)
        .chain(FOUND)
        .collect();
    let object = object(&args);
    assert_eq!(object["causes"][0]["id"], "vacuum-hose");
    let (present, explains) = (
        figure(&object, "vacuum-hose", "present"),
        figure(&object, "vacuum-hose", "explains"),
    );
    assert!(present > 0.8 && explains > 0.7, "{present} {explains}");
    let next = &object["next"];
    assert!(["step", "repair", "hand-on"].contains(&next["kind"].as_str().unwrap()));
    assert!(!next["id"].as_str().unwrap().is_empty() && next["minutes"].as_f64().unwrap() > 0.0);
    let why = object["why"].as_array().unwrap();
    assert!(why.len() >= 3, "{why:?}");
    for cause in object["causes"].as_array().unwrap() {
        let moved = |reading: &Value| {
            let all = reading["moved"].as_array().unwrap();
            all.iter().find(|m| m["cause"] == cause["id"]).unwrap()["log_odds"]
                .as_f64()
                .unwrap()
        };
        let sum: f64 = why.iter().map(moved).sum();
        let whole =
            cause["log_odds"].as_f64().unwrap() - cause["log_odds_before"].as_f64().unwrap();
        assert!((sum - whole).abs() < 1e-12, "{sum} is not {whole}");
    }
}

#[test]
fn the_text_fits_on_80_columns_for_every_shipped_flow() {
    for shelved in ruleout::flow::shelf::Shelf::shipped().iter() {
        // With simulated cars the lines are the same but for their figures; one flow shows that they are.
        let by: &[&str] = match shelved.flow.id.as_str() {
            "exhaust-leak" => &[],
            _ => &["--by-words"],
        };
        let args: Vec<&str> = [shelved.flow.id.as_str()]
            .into_iter()
            .chain(by.iter().copied())
            .collect();
        let (code, out, err) = rank(&args);
        assert_eq!((code, err.as_str()), (0, ""), "{}", shelved.flow.id);
        let widest = out.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= 80, "{widest} in {}:\n{out}", shelved.flow.id);
        assert!(out.contains("Next: ") && out.contains("Why: "), "{out}");
        assert!(!out.contains('\u{1b}'));
    }
}

#[test]
fn what_does_not_fit_is_refused_with_what_to_write_instead() {
    for (args, wanted) in [
        (&["intake-leek"][..], "did you mean `intake-leak`?"),
        (
            &["intake-leak", "--have", "smok-flow=3 L/min"],
            "did you mean `smoke-flow`?",
        ),
        (
            &["intake-leak", "--have", "smoke-flow"],
            "--have `smoke-flow` needs a name and a value with `=` between them, such as --have \"smoke-flow=2.3 L/min\"",
        ),
        (
            &["intake-leak", "--have", "=3 L/min"],
            "--have `=3 L/min` needs a name",
        ),
        (
            &["intake-leak", "--have", "seen-at=throttle shaft:big"],
            "seen-at: `big`: write wisp, steady or heavy",
        ),
        (
            &["intake-leak", "--have", "smoke-flow=3 kPa"],
            "a volume flow is asked for",
        ),
        (
            &["intake-leak", "--have", "shaft-smoke=wips"],
            "did you mean `wisp`?",
        ),
        (
            &["intake-leak", "--have", "smoke-pressure=9 kPa"],
            "let the pressure down",
        ),
        (
            &["intake-leak", "--have", "idle-total-1=3 %"],
            "give idle-long-1, idle-short-1",
        ),
        (
            &["intake-leak", "--have", "metering=air mass"],
            "give it with --facts",
        ),
        (
            &["intake-leak", "--facts", "smoke-flow=3 L/min"],
            "give it with --have",
        ),
        (
            &["intake-leak", "--facts", "metring=air mass"],
            "did you mean `metering`?",
        ),
        (
            &[
                "intake-leak",
                "--have",
                "smoke-flow=3 L/min",
                "--have",
                "smoke-flow=4 L/min",
            ],
            "given twice",
        ),
        (
            &["intake-leak", "--not-available", "lampe"],
            "did you mean `lamp`?",
        ),
        (
            &["intake-leak", "--repaired", "spilt-hose"],
            "did you mean `split-hose`?",
        ),
        (
            &["intake-leak", "--repaired", "split-hose=so-so"],
            "write bad, good or not-told",
        ),
        (
            &["intake-leak", "--why", "split-hoes"],
            "did you mean `split-hose`?",
        ),
        (&["intake-leak", "--most", "4"], "not in 1..=3"),
    ] {
        let (code, out, err) = rank(args);
        assert_eq!((code, out.as_str()), (2, ""), "{args:?}");
        assert!(err.contains(wanted), "{args:?}: {err}");
    }
}

#[test]
fn a_place_is_given_with_its_strength_and_a_mistyped_one_is_remarked() {
    let with = |place: &str| object(&[&["intake-leak", "--have", place][..], &CAR].concat());
    let (colon, equals) = (
        with("seen-at=throttle shaft:wisp"),
        with("seen-at=throttle shaft=wisp"),
    );
    assert_eq!(colon["causes"], equals["causes"]);
    let (_, out, _) = rank(&["intake-leak", "--have", "seen-at=throttel shaft:wisp"]);
    assert!(out.contains("did you mean `throttle shaft`?"), "{out}");
}

#[test]
fn what_could_not_be_told_counts_for_nothing_and_a_repair_in_vain_points_elsewhere() {
    let none = object(&["intake-leak"]);
    let untold = object(&["intake-leak", "--have", "shaft-smoke=?"]);
    assert_eq!(none["causes"], untold["causes"]);
    let vain = object(&["intake-leak", "--repaired", "split-hose=good"]);
    assert!(figure(&vain, "split-hose", "present") < 0.05);
    assert!(figure(&vain, "vacuum-hose", "present") > figure(&none, "vacuum-hose", "present"));
    let three = object(&["intake-leak", "--most", "3"]);
    assert!(figure(&three, "split-hose", "present") > figure(&none, "split-hose", "present"));
}

#[test]
fn a_step_whose_gear_is_not_there_is_not_suggested() {
    let smoke = ["pressurise", "search", "shaft", "cover"];
    let with = object(&["intake-leak"]);
    let without = object(&["intake-leak", "--not-available", "smoke unit"]);
    assert!(
        smoke.contains(&with["next"]["id"].as_str().unwrap()),
        "{}",
        with["next"]
    );
    assert!(
        !smoke.contains(&without["next"]["id"].as_str().unwrap()),
        "{}",
        without["next"]
    );
}

#[test]
fn the_workshops_own_jobs_move_the_odds_and_can_be_left_out() {
    let home = tempfile::tempdir().unwrap();
    let data = home.path().join("data");
    let jobs = Path::new(env!("CARGO_MANIFEST_DIR")).join("demo-jobs");
    let mut files: Vec<String> = std::fs::read_dir(jobs)
        .unwrap()
        .map(|entry| entry.unwrap().path().display().to_string())
        .collect();
    files.sort();
    for file in &files {
        assert_eq!(run(&data, &["import", file]).0, 0, "{file}");
    }
    let (code, out, _) = run(&data, &["learned", "intake-leak", "--json"]);
    assert_eq!(code, 0);
    let learned: Value = serde_json::from_str(&out).unwrap();
    let causes = learned[0]["causes"].as_array().unwrap();
    let counted = causes[0]["jobs"].as_u64().unwrap();
    assert!(counted > 0 && counted < files.len() as u64, "{out}");
    for cause in causes {
        let of = |key: &str| cause[key].as_f64().unwrap();
        let wanted = (10.0 * of("author") + of("found")) / (10.0 + of("jobs"));
        assert!((of("learned") - wanted).abs() < 1e-12, "{cause}");
    }
    let odds = |args: &[&str]| -> Value {
        let args: Vec<&str> = ["rank", "intake-leak", "--json", "--cars", "20"]
            .into_iter()
            .chain(args.iter().copied())
            .collect();
        serde_json::from_str(&run(&data, &args).1).unwrap()
    };
    let (counted, author) = (odds(&[]), odds(&["--ignore-history"]));
    assert!(
        counted["causes"][0]["learned"].is_object() && author["causes"][0]["learned"].is_null()
    );
    for row in learned[0]["rows"].as_array().unwrap() {
        let jobs = row["jobs"].as_f64().unwrap();
        let outcomes = row["outcomes"].as_array().unwrap();
        let of = |outcome: &Value, key: &str| outcome[key].as_f64().unwrap();
        for outcome in outcomes {
            let wanted = (20.0 * of(outcome, "author") + of(outcome, "found")) / (20.0 + jobs);
            assert!((of(outcome, "learned") - wanted).abs() < 1e-12, "{row}");
        }
        for key in ["author", "learned"] {
            let total: f64 = outcomes.iter().map(|outcome| of(outcome, key)).sum();
            assert!(
                (total - 1.0).abs() < 1e-9,
                "{key} of {row} adds up to {total}"
            );
        }
    }
    assert!(!learned[0]["rows"].as_array().unwrap().is_empty(), "{out}");
    let several = &learned[0]["several"];
    let of = |key: &str| several[key].as_f64().unwrap();
    let wanted = (1.0 + of("found")) / (12.0 + of("jobs"));
    assert!((of("learned") - wanted).abs() < 1e-12, "{several}");
    let booster = |object: &Value| figure(object, "brake-booster", "present");
    assert!((booster(&counted) - booster(&author)).abs() > 0.01);
    let (_, text, _) = run(&data, &["rank", "intake-leak", "--cars", "20"]);
    assert!(
        text.contains("--ignore-history") && text.contains("by its author"),
        "{text}"
    );
    // The paper of an open job counts them as the screens do, and leaves them out where those do.
    let half_way = files.iter().find(|file| file.ends_with("half-way.yaml"));
    let paper = || {
        run(
            &data,
            &["report", "--file", half_way.unwrap(), "--for", "workshop"],
        )
        .1
    };
    assert!(paper().contains("of this workshop"), "{}", paper());
    std::fs::write(data.join("evidence.yaml"), "ignore-own-jobs: true\n").unwrap();
    assert!(!paper().contains("of this workshop"), "{}", paper());
    let (code, text, _) = run(&data, &["learned"]);
    assert!(
        code == 0 && text.contains("intake-leak") && text.contains("author"),
        "{text}"
    );
}

#[test]
fn nothing_learned_yet_is_said_and_no_store_is_made() {
    let home = tempfile::tempdir().unwrap();
    let data = home.path().join("data");
    let (code, out, _) = run(&data, &["learned"]);
    assert!(code == 0 && out.contains("no job was closed yet"), "{out}");
    assert_eq!(run(&data, &["rank", "intake-leak", "--cars", "20"]).0, 0);
    assert!(!data.exists());
}

#[test]
fn what_it_rests_on_is_said_and_cars_that_were_kept_give_the_same_answer() {
    let args: Vec<&str> = ["intake-leak"]
        .into_iter()
        .chain(CAR)
        .chain(FOUND)
        .collect();
    let words: Vec<&str> = args.iter().copied().chain(["--by-words"]).collect();
    let (cars, by_words) = (object(&args), object(&words));
    assert_eq!(cars["rests_on"]["cars"], 20);
    assert_eq!(by_words["rests_on"]["cars"], 0);
    assert_ne!(cars["causes"], by_words["causes"]);
    let (_, text, _) = rank(&args);
    assert!(text.contains("simulated cars"), "{text}");
    let (_, text, _) = rank(&words);
    assert!(text.contains("author's words alone"), "{text}");

    let home = tempfile::tempdir().unwrap();
    let again = |wanted: &str| {
        let args: Vec<&str> = ["rank", "--json", "--cars", "20"]
            .into_iter()
            .chain(args.iter().copied())
            .collect();
        let (code, out, err) = run(home.path(), &args);
        assert_eq!((code, err.as_str()), (0, ""), "{wanted}");
        let object: Value = serde_json::from_str(&out).unwrap();
        assert_eq!(object, cars, "{wanted}");
    };
    again("drawn");
    let kept: Vec<_> = std::fs::read_dir(home.path().join("cars"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    assert_eq!(kept.len(), 1, "{kept:?}");
    again("kept");
    let whole = std::fs::read(&kept[0]).unwrap();
    for broken in [&b"{}"[..], &whole[..whole.len() / 2], b"\xff\xfe"] {
        std::fs::write(&kept[0], broken).unwrap();
        again("broken");
        assert_eq!(std::fs::read(&kept[0]).unwrap(), whole, "written anew");
    }
}

#[test]
fn in_every_shipped_flow_gear_that_is_not_there_is_known_to_some_step() {
    // What is laid out for comfort, or taken from the car's own: no step is left out for it.
    const COMFORT: [&str; 12] = [
        "lamp",
        "mirror",
        "thermometer",
        "contact or infrared thermometer",
        "plugs for further tailpipes",
        "hose clamp pliers",
        "plugs and caps",
        "plugs and caps for the lines",
        "tool for valve cores",
        "smoke fluid",
        "smoke unit",
        "hand vacuum pump for a valve moved by vacuum",
    ];
    const SOMETIMES: [&str; 5] = [
        "the day's barometer (station pressure, not reduced to sea level)",
        "mirror or borescope",
        "multimeter",
        "scan data display",
        "scan data display with commands",
    ];
    let mut needed = 0;
    for shelved in ruleout::flow::shelf::Shelf::shipped().iter() {
        for gear in &shelved.flow.gear {
            let known = shelved.flow.steps.iter().any(|step| {
                let supply = step
                    .set_up
                    .as_ref()
                    .and_then(|set_up| set_up.supply.as_ref());
                step.gear.contains(gear) || supply.is_some_and(|supply| gear.contains(supply))
            });
            let spared = COMFORT.contains(&gear.as_str()) || SOMETIMES.contains(&gear.as_str());
            assert!(known || spared, "{}: no step needs {gear}", shelved.flow.id);
            needed += u32::from(known);
        }
    }
    assert!(needed >= 40, "{needed}");
}

#[test]
fn the_cautions_before_the_next_step_are_those_that_concern_the_car() {
    let cautions = |sealed: &str| {
        let sealed = format!("sealed-tank={sealed}");
        let car = ["--facts", &sealed, "--facts", "tank-volume=50 L"];
        let rest = ["--facts", "altitude=200 m", "--by-words"];
        let args = [&["vapour-self-vacuum"][..], &car, &rest].concat();
        let found = object(&args)["next"]["cautions"].clone();
        let found = found.as_array().unwrap().clone();
        move |id: &str| found.iter().any(|caution| caution == id)
    };
    let (sealed, open) = (cautions("yes"), cautions("no"));
    assert!(sealed("fuel-vapour") && open("fuel-vapour"));
    assert!(sealed("sealed-tank") && sealed("no-self-start"));
    assert!(!open("sealed-tank") && !open("no-self-start"));
}
