//! Posteriors against exact inference on a Bayesian network by pgmpy: twelve random cases, before
//! and after a repair that did not cure. The table and the script that makes it with a pinned
//! version lie in `tests/reference`.

use ruleout::rules::evidence::belief::Belief;
use ruleout::rules::evidence::case::{Case, Suspect};
use ruleout::rules::evidence::table::noisy_max;

/// One line of the table: what it is, its number, its values.
type Line = (String, usize, Vec<f64>);

fn cases() -> Vec<Vec<Line>> {
    let text = include_str!("reference/evidence_reference.csv");
    let mut cases: Vec<Vec<Line>> = Vec::new();
    for line in text.lines().filter(|l| !l.starts_with('#')).skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let case: usize = fields[0].parse().unwrap();
        cases.resize_with(cases.len().max(case + 1), Vec::new);
        let values = fields[3].split(' ').map(|v| v.parse().unwrap()).collect();
        cases[case].push((fields[1].to_owned(), fields[2].parse().unwrap(), values));
    }
    cases
}

fn line<'l>(lines: &'l [Line], what: &str, number: usize) -> Option<&'l [f64]> {
    lines
        .iter()
        .find(|(name, n, _)| name == what && *n == number)
        .map(|(_, _, values)| values.as_slice())
}

fn whole(value: f64) -> usize {
    format!("{value:.0}").parse().unwrap()
}

/// What a reading says about every set: the likelihood of what was seen.
fn likelihood(lines: &[Line], case: &Case, reading: usize) -> Option<Vec<f64>> {
    let background = line(lines, "background", reading)?;
    let causes = case.suspects.len();
    let effects: Vec<Vec<f64>> = (0..causes)
        .map(|c| line(lines, "effect", reading * 100 + c).unwrap().to_vec())
        .collect();
    let chance = noisy_max(&case.sets, background, &effects);
    let weights = match (
        line(lines, "said", reading),
        line(lines, "weights", reading),
    ) {
        (Some(said), _) => {
            let said = whole(said[0]);
            (0..background.len())
                .map(|o| f64::from(u8::from(o == said)))
                .collect()
        }
        (None, weights) => weights.unwrap().to_vec(),
    };
    Some(
        (0..case.sets.len())
            .map(|set| {
                chance
                    .iter()
                    .zip(&weights)
                    .map(|(row, w)| row[set] * w)
                    .sum()
            })
            .collect(),
    )
}

fn agree(case: usize, what: &str, got: &[f64], wanted: &[f64]) {
    for (cause, (got, wanted)) in got.iter().zip(wanted).enumerate() {
        assert!(
            (got - wanted).abs() < 2e-12,
            "case {case}, {what} the repair, cause {cause}: {got} is not {wanted}"
        );
    }
}

#[test]
fn twelve_random_cases_agree_with_exact_inference_before_and_after_a_repair() {
    let cases = cases();
    assert_eq!(cases.len(), 12);
    let mut sizes = std::collections::BTreeSet::new();
    for (n, lines) in cases.iter().enumerate() {
        let repair = line(lines, "repaired", 0).unwrap();
        let repaired = whole(repair[0]);
        let odds = line(lines, "odds", 0).unwrap();
        let suspects = odds.iter().enumerate().map(|(c, odds)| Suspect {
            id: format!("C{c}"),
            odds: *odds,
            repair: 1.0,
            verification: 0.0,
            success: if c == repaired { repair[1] } else { 1.0 },
            repairable: true,
        });
        let together = whole(line(lines, "together", 0).unwrap()[0]);
        sizes.insert((odds.len(), together));
        let case = Case::new(suspects.collect(), None, together).unwrap();
        let readings: Vec<Vec<f64>> = (0..)
            .map_while(|reading| likelihood(lines, &case, reading))
            .collect();
        let (last, first) = readings.split_last().unwrap();
        let belief = first
            .iter()
            .fold(Belief::prior(&case), |belief, likelihood| {
                belief.after("a reading", likelihood).unwrap()
            });
        agree(
            n,
            "before",
            &belief.marginals(&case),
            line(lines, "before", 0).unwrap(),
        );
        let after = belief
            .after_failed_repair(&case, repaired)
            .after("the last reading", last)
            .unwrap();
        agree(
            n,
            "after",
            &after.marginals(&case),
            line(lines, "after", 0).unwrap(),
        );
    }
    assert!(sizes.len() > 5, "the cases are too much alike: {sizes:?}");
}
