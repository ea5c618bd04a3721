//! A worked value of constants alone is worked or not whatever is read: the checker must say the same of it as
//! the calculation itself does.

use proptest::prelude::*;
use ruleout::check::{Source, check};
use ruleout::flow::finding::{Severity, code};
use ruleout::flow::shelf::{Shelf, shipped_texts};
use ruleout::physics::calculation::{Answer, Calculation, Input, Kind, OutputKind, Shifts};
use ruleout::physics::given::{Given, read_value};
use ruleout::units::Unit;

/// Constants that may be written for an input; nothing where it takes more than one value.
fn constants(input: &Input) -> Vec<String> {
    let of = |unit: Unit| {
        let sizes = ["-2", "0", "0.3", "2", "40", "90", "5000"];
        sizes.map(|size| format!("{size} {}", unit.name())).to_vec()
    };
    match input.kind {
        Kind::Quantity(dimension) | Kind::List(dimension) => of(Unit::default_for(dimension)),
        Kind::Word(words) => words.iter().map(|word| (*word).to_owned()).collect(),
        Kind::Coefficient => vec!["sharp".to_owned(), "rounded".to_owned()],
        Kind::Count | Kind::Text | Kind::Points(_) | Kind::ListAny => Vec::new(),
    }
}

fn is_of_constants(calculation: &Calculation) -> bool {
    let mut needed = calculation.inputs.iter().filter(|input| input.needed);
    needed.all(|input| !constants(input).is_empty())
}

fn flow(calculation: &Calculation, take: &str, chosen: &[(&Input, String)]) -> String {
    let inputs: Vec<String> = chosen
        .iter()
        .map(|(input, text)| format!("{}: \"{text}\"", input.name))
        .collect();
    format!(
        "flow: one\ntitle: One\nworked:\n  value: {{take: {take}, {}: {{{}}}}}\nsteps:\n  - {{id: look, phase: \
         symptom, do: Look., show: [value], outcomes: [{{when: always, because: So, go: done}}]}}\n",
        calculation.name,
        inputs.join(", ")
    )
}

fn is_never_worked(text: &str) -> bool {
    let source = [Source {
        name: "one.yaml".to_owned(),
        text: text.to_owned(),
    }];
    let checked = check(&source, &Shelf::default());
    let errors: Vec<_> = checked[0]
        .findings
        .iter()
        .filter(|f| f.severity == Severity::Error)
        .collect();
    assert!(
        errors.iter().all(|f| f.code == code::NEVER_WORKED),
        "{text}\n{errors:?}"
    );
    // The place is one of the worked value, and a remedy stands there.
    for error in &errors {
        assert!(error.place.line == 4 && !error.help.is_empty(), "{error:?}");
    }
    !errors.is_empty()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, ..ProptestConfig::default() })]

    #[test]
    fn constants_that_a_calculation_refuses_are_found_and_no_others(
        which in any::<prop::sample::Index>(),
        out in any::<prop::sample::Index>(),
        picks in prop::collection::vec((any::<bool>(), any::<prop::sample::Index>()), 24),
    ) {
        let all: Vec<&Calculation> = ruleout::physics::all().iter().copied().filter(|c| is_of_constants(c)).collect();
        prop_assert!(all.len() > 8, "{}", all.len());
        let calculation = *which.get(&all);
        let outputs: Vec<_> = calculation
            .outputs
            .iter()
            .filter(|o| o.kind != OutputKind::Text || !o.words.is_empty())
            .filter(|o| !matches!(o.kind, OutputKind::OwnUnit(_)))
            .collect();
        prop_assume!(!outputs.is_empty());
        let take = out.get(&outputs).id;
        let mut given = Given::new();
        let mut chosen = Vec::new();
        for (input, (wanted, pick)) in calculation.inputs.iter().zip(picks) {
            let texts = constants(input);
            if texts.is_empty() || !(input.needed || wanted) {
                continue;
            }
            let text = pick.get(&texts).clone();
            given.set(input.name, read_value(input, &text).expect("it is written rightly"));
            chosen.push((input, text));
        }
        prop_assume!(!chosen.is_empty());
        let (place, _) = calculation.output(take).expect("its own");
        let worked = calculation.work(&given, &Shifts::none());
        let never = worked.map_or(true, |worked| worked.results[place] == Answer::Absent);
        let text = flow(calculation, take, &chosen);
        prop_assert_eq!(is_never_worked(&text), never, "{}", text);
    }
}

#[test]
fn no_shipped_flow_has_a_value_that_is_never_worked() {
    for (name, text) in shipped_texts() {
        let source = [Source {
            name: name.to_owned(),
            text: text.to_owned(),
        }];
        let checked = check(&source, &Shelf::shipped());
        let never = checked[0]
            .findings
            .iter()
            .filter(|f| f.code == code::NEVER_WORKED);
        assert_eq!(never.count(), 0, "{name}");
    }
}
