//! A worked case with three causes and two tests, met to nine digits.
//!
//! Posteriors by enumeration, expected minutes without and with one test of look-ahead: computed
//! by an independent program whose posteriors agree with exact inference by pgmpy to 4e-16.

#![allow(
    clippy::unwrap_used,
    missing_docs,
    reason = "a test stops where something is not as expected"
)]

use ruleout::rules::evidence::belief::Belief;
use ruleout::rules::evidence::case::{Case, Suspect};
use ruleout::rules::evidence::cost::repairs_only;
use ruleout::rules::evidence::next::{Plan, Step};
use ruleout::rules::evidence::table::{Test, yes_no};
use ruleout::rules::evidence::why::{log_odds, moves};

fn case() -> Case {
    let suspect = |id: &str, odds, repair| Suspect {
        id: id.to_owned(),
        odds,
        repair,
        verification: 10.0,
        success: 1.0,
        repairable: true,
    };
    let suspects = vec![
        suspect("A", 0.20, 30.0),
        suspect("B", 0.10, 90.0),
        suspect("C", 0.05, 60.0),
    ];
    Case::new(suspects, None, 2).unwrap()
}

fn tests(case: &Case) -> Vec<Test> {
    vec![
        yes_no("T1", 5.0, &case.sets, 0.05, &[0.90, 0.0, 0.0]),
        yes_no("T2", 15.0, &case.sets, 0.10, &[0.0, 0.80, 0.95]),
    ]
}

/// T1 and T2 (1 shows, 0 clear), posterior of A, B, C, minutes without more tests, expected
/// minutes with one look-ahead, and what is next.
type Row = (&'static [(usize, usize)], [f64; 3], f64, f64, Step);

const ROWS: [Row; 7] = [
    (
        &[],
        [0.631_746_032, 0.314_285_714, 0.155_555_556],
        96.603_175,
        96.603_175,
        Step::Repair(0),
    ),
    (
        &[(0, 1)],
        [0.968_799_591, 0.114_015_977, 0.054_573_819],
        60.571_559,
        60.571_559,
        Step::Repair(0),
    ),
    (
        &[(0, 0)],
        [0.146_431_199, 0.602_649_007, 0.300_956_586],
        136.710_817,
        136.710_817,
        Step::Repair(1),
    ),
    (
        &[(1, 1)],
        [0.290_793_933, 0.576_754_803, 0.330_698_399],
        151.101_459,
        131.827_229,
        Step::Test(0),
    ),
    (
        &[(0, 0), (1, 1)],
        [0.039_387_737, 0.647_399_837, 0.374_109_541],
        129.946_179,
        129.946_179,
        Step::Repair(1),
    ),
    (
        &[(0, 1), (1, 1)],
        [0.881_256_256, 0.410_835_143, 0.228_741_309],
        119.501_941,
        119.501_941,
        Step::Repair(0),
    ),
    (
        &[(0, 0), (1, 0)],
        [0.507_015_767, 0.451_902_213, 0.054_534_934],
        94.345_436,
        94.345_436,
        Step::Repair(0),
    ),
];

fn belief(case: &Case, tests: &[Test], seen: &[(usize, usize)]) -> Belief {
    seen.iter()
        .fold(Belief::prior(case), |belief, (test, outcome)| {
            belief
                .after(&tests[*test].id, &tests[*test].chance[*outcome])
                .unwrap()
        })
}

#[test]
fn posteriors_and_minutes_of_the_worked_case_are_met() {
    let case = case();
    let tests = tests(&case);
    for (seen, posterior, minutes, ahead, next) in ROWS {
        let belief = belief(&case, &tests, seen);
        for (got, wanted) in belief.marginals(&case).iter().zip(posterior) {
            assert!(
                (got - wanted).abs() < 1e-9,
                "{seen:?}: {got} is not {wanted}"
            );
        }
        let masses = belief.probabilities();
        let without = repairs_only(&case, &masses);
        assert!(
            (without - minutes).abs() < 1e-6,
            "{seen:?}: {without} is not {minutes}"
        );
        let open: Vec<usize> = (0..2)
            .filter(|t| !seen.iter().any(|(done, _)| done == t))
            .collect();
        let plan = Plan {
            case: &case,
            tests: &tests,
            open: open.clone(),
            set_ups: Vec::new(),
            in_place: None,
        };
        let best_test = open
            .iter()
            .map(|t| without - plan.saving(*t, &masses))
            .fold(f64::INFINITY, f64::min);
        assert!(
            (best_test.min(without) - ahead).abs() < 1e-6,
            "{seen:?}: {best_test}"
        );
        let by_one_look = if best_test < without - 1e-9 {
            "test"
        } else {
            "repair"
        };
        assert_eq!(
            by_one_look == "test",
            matches!(next, Step::Test(_)),
            "{seen:?}"
        );
    }
}

#[test]
fn what_each_reading_did_adds_up_to_the_whole_change() {
    let case = case();
    let tests = tests(&case);
    let readings: Vec<(String, Vec<f64>)> = [(0, 0), (1, 1)]
        .iter()
        .map(|(t, o)| (tests[*t].id.clone(), tests[*t].chance[*o].clone()))
        .collect();
    let (posterior, moved) = moves(&case, &readings).unwrap();
    let prior = Belief::prior(&case).marginals(&case);
    for (cause, after) in posterior.marginals(&case).into_iter().enumerate() {
        let total: f64 = moved.iter().map(|m| m.by[cause]).sum();
        assert!((total - (log_odds(after) - log_odds(prior[cause]))).abs() < 1e-12);
    }
    assert!(moved[0].by[0] < 0.0, "T1 clear speaks against A");
    assert!(moved[1].by[1] > 0.0, "T2 shows speaks for B");
}

#[test]
fn evidence_that_no_cause_can_make_is_named_and_never_a_number_that_is_none() {
    let case = case();
    let impossible = vec![0.0; case.sets.len()];
    let said = Belief::prior(&case).after("T9", &impossible).unwrap_err();
    assert!(said.to_string().contains("`T9`"), "{said}");
}

#[test]
fn a_hundred_readings_do_not_run_out_of_numbers() {
    let case = case();
    let faint: Vec<f64> = (0..case.sets.len())
        .map(|n| 1e-12 * (n as f64 + 1.0))
        .collect();
    let mut belief = Belief::prior(&case);
    for _ in 0..100 {
        belief = belief.after("faint", &faint).unwrap();
    }
    let total: f64 = belief.probabilities().iter().sum();
    assert!((total - 1.0).abs() < 1e-12);
}

#[test]
fn a_failed_retest_speaks_for_another_cause_and_keeps_a_repair_that_did_not_take_in_mind() {
    let mut case = case();
    for suspect in &mut case.suspects {
        suspect.success = 0.98;
    }
    let belief = belief(&case, &tests(&case), &[(0, 1)]);
    let before = belief.marginals(&case);
    let after = belief.after_failed_repair(&case, 0).marginals(&case);
    assert!(after[0] < 0.25 && after[0] > 0.0, "{after:?}");
    assert!(after[1] > before[1] && after[2] > before[2], "{after:?}");
}

#[test]
fn handing_on_is_taken_where_it_is_cheaper_than_any_repair() {
    let mut case = case();
    case.hand_on = Some(20.0);
    let masses = Belief::prior(&case).probabilities();
    assert!((repairs_only(&case, &masses) - 20.0).abs() < 1e-12);
    let tests = tests(&case);
    let plan = Plan {
        case: &case,
        tests: &tests,
        open: vec![0, 1],
        set_ups: Vec::new(),
        in_place: None,
    };
    assert_eq!(plan.best(&masses).unwrap().step, Step::HandOn);
}

#[test]
fn a_set_up_that_is_in_place_costs_nothing_the_second_time() {
    let case = case();
    let mut tests = tests(&case);
    for test in &mut tests {
        test.set_up = Some(0);
    }
    let plan = Plan {
        case: &case,
        tests: &tests,
        open: vec![0, 1],
        set_ups: vec![25.0],
        in_place: None,
    };
    assert!((plan.minutes(0, None) - 30.0).abs() < 1e-12);
    assert!((plan.minutes(1, Some(0)) - 15.0).abs() < 1e-12);
}
