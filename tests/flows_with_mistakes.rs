//! Every flow in `flows_with_mistakes/` says in its head what must be found in it, and where:
//! `# expect: LINE:COLUMN CODE`, one line a finding, in order. Nothing else may be found. Where what to
//! write instead is the point, `# help: WORDS` says what a finding must say; `# message: WORDS` does so of what is wrong.

use std::path::{Path, PathBuf};

use proptest::prelude::*;
use ruleout::check::{Source, check, unabridged};
use ruleout::flow::finding::{Finding, Severity, code};
use ruleout::flow::load::load;
use ruleout::flow::shelf::Shelf;

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(name)
}

fn files(name: &str) -> Vec<(String, String)> {
    let mut files: Vec<(String, String)> = std::fs::read_dir(folder(name))
        .expect("the folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
        .map(|path| {
            let text = std::fs::read_to_string(&path).expect("a text");
            (
                path.file_name()
                    .expect("a name")
                    .to_string_lossy()
                    .into_owned(),
                text,
            )
        })
        .collect();
    files.sort();
    files
}

fn expected(text: &str) -> Vec<String> {
    text.lines()
        .filter_map(|line| line.strip_prefix("# expect: "))
        .map(str::to_owned)
        .collect()
}

fn found(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .map(|f| format!("{}:{} {}", f.place.line, f.place.column, f.code))
        .collect()
}

#[test]
fn every_planted_mistake_is_found_at_its_place_and_nothing_else_is() {
    let files = files("flows_with_mistakes");
    assert!(files.len() > 40, "{}", files.len());
    for (name, text) in files {
        let source = [Source {
            name: name.clone(),
            text: text.clone(),
        }];
        let checked = check(&source, &Shelf::default());
        assert_eq!(found(&checked[0].findings), expected(&text), "{name}");
        for help in text
            .lines()
            .filter_map(|line| line.strip_prefix("# help: "))
        {
            let helps: Vec<&str> = checked[0]
                .findings
                .iter()
                .map(|f| f.help.as_str())
                .collect();
            assert!(helps.contains(&help), "{name}: {help}: {helps:?}");
        }
        for message in text
            .lines()
            .filter_map(|line| line.strip_prefix("# message: "))
        {
            let findings = &checked[0].findings;
            assert!(
                findings.iter().any(|f| f.message == message),
                "{name}: {message}: {findings:?}"
            );
        }
    }
}

/// What must hold for any flow: what is withheld from its author, since it follows from something else, never leaves a
/// flow with an error without one.
pub fn an_error_is_told(text: &str) -> Result<(), String> {
    let is_error = |finding: &Finding| finding.severity == Severity::Error;
    let source = [Source {
        name: "flow.yaml".to_owned(),
        text: text.to_owned(),
    }];
    let told = check(&source, &Shelf::default());
    if told[0].findings.iter().any(is_error) {
        return Ok(());
    }
    match unabridged(text).into_iter().find(is_error) {
        Some(error) => Err(format!("withheld: {error:?}; told: {:?}", told[0].findings)),
        None => Ok(()),
    }
}

#[test]
fn no_flow_with_an_error_is_told_to_have_none() {
    for (name, text) in files("flows_with_mistakes") {
        assert_eq!(an_error_is_told(&text), Ok(()), "{name}");
    }
}

#[test]
fn ten_mistakes_of_ten_kinds_are_found_in_one_run() {
    let text = std::fs::read_to_string(folder("flows_with_mistakes/ten_mistakes.yaml")).unwrap();
    let findings = load(&text).findings;
    assert_eq!(
        findings
            .iter()
            .filter(|f| f.severity == Severity::Error)
            .count(),
        10
    );
}

#[test]
fn every_finding_covers_the_words_that_are_at_fault() {
    let at = |name: &str| {
        let text = std::fs::read_to_string(folder("flows_with_mistakes").join(name)).unwrap();
        let place = load(&text).findings[0].place;
        text[place.start..place.end].to_owned()
    };
    assert_eq!(at("millimetres_for_kilopascals.yaml"), "5..120 mm");
    assert_eq!(at("misspelt_step.yaml"), "hodl");
    assert_eq!(at("decimal_comma.yaml"), "90,5 %");
    assert_eq!(at("number_sign_in_text.yaml"), "#3 at both ends.");
    assert_eq!(at("tab.yaml"), "\t");
    assert!(at("no_because.yaml").starts_with("{id: loose"));
    assert!(at("no_because.yaml").ends_with("{repair: joint}}"));
}

/// What must hold for any text: no panic (by getting here), and a place within the text for
/// everything but a file that is too large to be read.
fn placed(text: &str) -> Result<(), TestCaseError> {
    for finding in load(text).findings {
        let place = finding.place;
        prop_assert!(
            finding.code == code::TOO_LARGE || place.line >= 1,
            "{finding:?}"
        );
        prop_assert!(place.column >= 1, "{finding:?}");
        prop_assert!(
            place.start <= place.end && place.end <= text.len(),
            "{finding:?}"
        );
        prop_assert!(text.get(place.start..place.end).is_some(), "{finding:?}");
        // YAML takes a carriage return by itself for the end of a line, too.
        let lines = 1 + text.matches(['\n', '\r']).count();
        prop_assert!(place.line <= lines + 1, "{finding:?}");
        prop_assert!(!finding.message.is_empty() && !finding.help.is_empty());
    }
    Ok(())
}

fn whole_flows() -> Vec<String> {
    let fixtures = files("fixtures").into_iter();
    let shipped = ruleout::flow::shelf::shipped_texts().map(|(_, text)| text.to_owned());
    fixtures.map(|(_, text)| text).chain(shipped).collect()
}

/// A piece to be written into a flow: what people mistype, and what nobody should.
fn piece() -> impl Strategy<Value = String> {
    prop_oneof![
        prop::sample::select(vec![
            "",
            "\t",
            ":",
            ": ",
            "- ",
            "{",
            "}",
            "[",
            "]",
            "\"",
            "'",
            "#",
            " #x",
            "&a ",
            "*a",
            "!",
            "%",
            "|\n",
            ">\n",
            "---\n",
            "? ",
            "\n",
            "  ",
            "\u{feff}",
            "\u{0}",
            "\u{1b}[31m",
            "\u{202e}",
            "0..",
            "1,5 kPa",
            "nan kPa",
            "1e999 kPa",
            "-5..",
            "always",
            "{flow: x}",
            "{repair: x}",
            "done",
            "test-number",
            "ü",
            "漢",
        ])
        .prop_map(str::to_owned),
        ".{0,12}",
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_loaded_without_a_panic(text in "(\\PC|[\\x00-\\x1f]|[:\\-{}\\[\\]\"'#&*|>%!\n ]){0,200}") {
        placed(&text)?;
    }

    #[test]
    fn a_flow_with_a_piece_changed_is_loaded_without_a_panic(
        which in any::<prop::sample::Index>(),
        at in any::<prop::sample::Index>(),
        cut in 0usize..40,
        piece in piece(),
    ) {
        let flows = whole_flows();
        let flow = which.get(&flows);
        let letters: Vec<char> = flow.chars().collect();
        let at = at.index(letters.len() + 1);
        let after = (at + cut).min(letters.len());
        let text: String = letters[..at].iter().chain(&piece.chars().collect::<Vec<_>>()).chain(&letters[after..]).collect();
        placed(&text)?;
    }

    #[test]
    fn a_flow_with_two_words_exchanged_is_loaded_without_a_panic(
        which in any::<prop::sample::Index>(),
        one in any::<prop::sample::Index>(),
        other in any::<prop::sample::Index>(),
    ) {
        let flows = whole_flows();
        let mut words: Vec<&str> = which.get(&flows).split_inclusive([' ', '\n', ',', '{', '}', '[', ']']).collect();
        let (one, other) = (one.index(words.len()), other.index(words.len()));
        words.swap(one, other);
        placed(&words.concat())?;
    }
}
