//! The guide to writing a flow, followed to the letter: what it has its reader type is checked, and
//! what it says that the checker answers must be what the checker answers.

use std::path::Path;

use ruleout::check::{Source, check};
use ruleout::flow::finding::Finding;
use ruleout::flow::shelf::Shelf;

fn guide() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("flows/README.md");
    std::fs::read_to_string(path).expect("the guide")
}

/// The indented blocks of a part of the guide, without their indentation.
fn blocks(part: &str) -> Vec<String> {
    let mut blocks: Vec<String> = Vec::new();
    let mut inside = false;
    for line in part.lines() {
        match line.strip_prefix("    ") {
            Some(text) if inside => {
                if let Some(block) = blocks.last_mut() {
                    block.push_str(text);
                    block.push('\n');
                }
            }
            Some(text) => {
                blocks.push(format!("{text}\n"));
                inside = true;
            }
            None => inside = false,
        }
    }
    blocks
}

fn findings(text: &str) -> Vec<Finding> {
    let source = [Source {
        name: "roof-drain.yaml".to_owned(),
        text: text.to_owned(),
    }];
    check(&source, &Shelf::shipped()).remove(0).findings
}

#[test]
fn the_flow_of_the_guide_has_the_one_gap_that_it_speaks_of() {
    let guide = guide();
    let part = guide.split("\n## ").nth(1).expect("a first part");
    let blocks = blocks(part);
    let is_command = |block: &&String| block.starts_with('$');
    let is_answer = |block: &&String| block.starts_with("error[");
    let answer = blocks.iter().find(is_answer).expect("an answer");
    let typed = blocks.iter().filter(|b| !is_command(b) && !is_answer(b));
    let flow: String = std::iter::once("flow: roof-drain\n".to_owned())
        .chain(typed.cloned())
        .collect();
    let found: Vec<String> = findings(&flow)
        .iter()
        .map(|f| format!("error[{}]: {}\n", f.code, f.message))
        .collect();
    assert_eq!(found, std::slice::from_ref(answer), "{flow}");
    let mended = flow.replace("{below: 30 s}", "{at most: 30 s}");
    assert_ne!(mended, flow);
    assert_eq!(findings(&mended), []);
    assert!(blocks.iter().filter(is_command).count() >= 3, "{blocks:?}");
}

#[test]
fn every_condition_in_the_guide_can_be_loaded() {
    let guide = guide();
    let part = guide.split("**Conditions**").nth(1).expect("conditions");
    let whens: Vec<&str> = part
        .lines()
        .filter_map(|l| l.strip_prefix("    when: "))
        .collect();
    assert_eq!(whens.len(), 4, "{whens:?}");
    for when in whens {
        let flow = format!(
            "flow: one\ntitle: One\nreadings:\n  kept: {{ask: Kept?, unit: \"%\", plausible: 0..100 %}}\n  \
             seen-at: {{ask: Where?, places: [joint, plug]}}\n  noise: {{ask: Noise?, choices: [loud, low]}}\n\
             steps:\n  - id: a\n    phase: symptom\n    do: Look.\n    record: [kept, seen-at, noise]\n    outcomes:\n      \
             - {{id: it-holds, when: {when}, because: So, go: done}}\n      - {{id: rest, when: always, because: So, go: done}}\n    \
             unsure: {{because: Again, go: a}}\n"
        );
        // Behind `always` nothing is ever taken, which is said as well.
        let odd = |f: &Finding| !(when == "always" && f.message.contains("`rest`"));
        let found: Vec<Finding> = findings(&flow).into_iter().filter(odd).collect();
        assert_eq!(found, [], "{when}");
    }
}

#[test]
fn every_part_of_a_flow_is_in_the_guide() {
    use ruleout::flow::load::keys;
    let guide = guide();
    for table in [
        &keys::FLOW,
        &keys::READING,
        &keys::STEP,
        &keys::OUTCOME,
        &keys::GAUGE,
    ] {
        for key in table.names() {
            // A reading's second name is for the report alone.
            let named = guide.contains(&format!("`{key}`")) || guide.contains(&format!("`{key}: "));
            assert!(
                named || guide.contains(&format!("{key}: ")),
                "{}: {key}",
                table.what
            );
        }
    }
}

#[test]
fn the_program_prints_the_guide_and_what_it_writes_names_it() {
    let run = |arguments: &[&str]| {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_ruleout"));
        let output = command.args(arguments).output().expect("the program runs");
        String::from_utf8(output.stdout).expect("text")
    };
    assert_eq!(run(&["new-flow", "--guide"]), guide());
    for arguments in [&["new-flow", "--help"][..], &["new-flow", "own-flow"]] {
        let said = run(arguments);
        assert!(said.contains("--guide"), "{said}");
    }
}
