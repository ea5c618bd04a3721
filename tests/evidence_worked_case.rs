//! A worked case with three causes and two tests, met to nine digits.
//!
//! Posteriors by enumeration, expected minutes without and with one test of look-ahead: computed
//! by an independent program whose posteriors agree with exact inference by pgmpy to 4e-16.

use ruleout::rules::evidence::belief::Belief;
use ruleout::rules::evidence::case::{Case, Suspect};
use ruleout::rules::evidence::cost::repairs_only;
use ruleout::rules::evidence::next::{Plan, SetUp, Step};
use ruleout::rules::evidence::table::{Bits, Test, yes_no};
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
            open: open.clone(),
            ..Plan::all(&case, &tests)
        };
        let best_test = open
            .iter()
            .map(|t| plan.one_test(*t, &masses))
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
    let plan = Plan::all(&case, &tests);
    assert_eq!(plan.best(&masses).unwrap().step, Step::HandOn);
}

fn set_up(minutes: f64, take_down: f64) -> SetUp {
    SetUp {
        id: String::new(),
        minutes,
        take_down,
    }
}

#[test]
fn a_set_up_that_is_in_place_costs_nothing_the_second_time_and_another_takes_it_down() {
    let case = case();
    let mut tests = tests(&case);
    tests[0].needs = Bits::of([0]);
    tests[1].needs = Bits::of([0, 1]);
    let plan = Plan {
        set_ups: &[set_up(25.0, 10.0), set_up(8.0, 0.0)],
        ..Plan::all(&case, &tests)
    };
    let minutes = |test, in_place: &[usize]| plan.minutes(test, Bits::of(in_place.iter().copied()));
    assert!((minutes(0, &[]) - 30.0).abs() < 1e-12);
    assert!((minutes(1, &[0]) - 23.0).abs() < 1e-12);
    assert!((minutes(1, &[0, 1]) - 15.0).abs() < 1e-12);
    let mut tests = plan.tests.to_vec();
    tests[0].needs = Bits::default();
    let plan = Plan {
        tests: &tests,
        ..plan.clone()
    };
    // Without the set-up: it is taken down first. What needs no taking down stays.
    assert!((plan.minutes(0, Bits::of([0, 1])) - 15.0).abs() < 1e-12);
    assert_eq!(plan.in_place_after(0, Bits::of([0, 1])), Bits::of([1]));
}

#[test]
fn a_set_up_that_pays_only_over_several_tests_is_found() {
    let suspect = |id: &str| Suspect {
        id: id.to_owned(),
        odds: 0.25,
        repair: 60.0,
        verification: 10.0,
        success: 1.0,
        repairable: true,
    };
    let suspects = ["A", "B", "C", "D"].map(suspect).to_vec();
    let case = Case::new(suspects, None, 1).unwrap();
    let one = |n: usize| {
        let mut sensitivity = vec![0.0; 4];
        sensitivity[n] = 0.98;
        let mut test = yes_no(&format!("T{n}"), 1.0, &case.sets, 0.02, &sensitivity);
        test.needs = Bits::of([0]);
        test
    };
    let tests = vec![one(0), one(1), one(2)];
    let masses = Belief::prior(&case).probabilities();
    for (minutes, pays) in [(20.0, true), (120.0, false)] {
        let plan = Plan {
            set_ups: &[set_up(minutes, 0.0)],
            ..Plan::all(&case, &tests)
        };
        let best = plan.best(&masses).unwrap();
        assert_eq!(
            matches!(best.step, Step::SetUp(_) | Step::Test(_)),
            pays,
            "{best:?}"
        );
        let together = plan
            .candidates(&masses)
            .into_iter()
            .find(|c| matches!(c.step, Step::SetUp(_)))
            .unwrap();
        assert_eq!(together.tests.len(), 3);
        assert!((together.minutes - minutes - 1.0).abs() < 1e-12);
    }
}

#[test]
fn a_test_that_must_follow_another_waits_for_its_turn() {
    let case = case();
    let mut tests = tests(&case);
    tests[1].after = Bits::of([0]);
    let plan = Plan::all(&case, &tests);
    assert_eq!(plan.now(), [0]);
    assert_eq!(plan.after(0).now(), [1]);
}

#[test]
fn of_two_tests_that_are_as_good_the_shorter_one_is_taken_and_then_the_first() {
    let case = case();
    let twin = |id: &str| yes_no(id, 5.0, &case.sets, 0.10, &[0.0, 0.80, 0.95]);
    let masses = Belief::prior(&case).probabilities();
    let after: Vec<f64> = masses
        .iter()
        .zip(&tests(&case)[1].chance[1])
        .map(|(mass, p)| mass * p)
        .collect();
    let helps = |id: &str| yes_no(id, 5.0, &case.sets, 0.05, &[0.90, 0.0, 0.0]);
    let tests = vec![helps("first"), helps("second"), twin("third")];
    let best = Plan::all(&case, &tests).best(&after).unwrap();
    assert_eq!(best.step, Step::Test(0));
}

#[test]
fn what_is_cured_is_kept_in_mind_until_the_retest_speaks() {
    let case = case().with_cured();
    let belief = Belief::prior(&case).after_repair(&case, 0);
    let last = case.sets.len() - 1;
    let p = belief.probabilities();
    let alone = Belief::prior(&case).probabilities()[0];
    assert!((p[last] - alone).abs() < 1e-12 && p[0] == 0.0, "{p:?}");
    assert!((p.iter().sum::<f64>() - 1.0).abs() < 1e-12);
    let failed = Belief::prior(&case).after_failed_repair(&case, 0);
    assert!(failed.probabilities()[last] == 0.0);
}

#[test]
fn handing_on_what_is_listed_after_all_costs_the_way_back() {
    let mut case = case();
    case.suspects[2].repairable = false;
    case.hand_on = Some(20.0);
    case.come_back = 300.0;
    let set = |causes: &[usize]| ruleout::rules::evidence::sets::Set::of(causes);
    assert_eq!(case.hand_on_of(set(&[0])), Some(320.0));
    assert_eq!(case.hand_on_of(set(&[0, 2])), Some(20.0));
    // Known: what is listed is repaired, what is not is handed on at once.
    assert!((case.minutes_of(set(&[0, 1])) - 140.0).abs() < 1e-12);
    assert!((case.minutes_of(set(&[0, 2])) - 20.0).abs() < 1e-12);
    // By hand: repair A (40) for all, then hand on; or hand on at once.
    let masses: Vec<f64> = case
        .sets
        .iter()
        .map(|s| f64::from(u8::from(*s == set(&[0]))))
        .collect();
    assert!((repairs_only(&case, &masses) - 40.0).abs() < 1e-12);
}

#[test]
fn a_search_that_waits_for_the_smoke_counts_before_the_smoke_is_in() {
    let suspect = |id: &str| Suspect {
        id: id.to_owned(),
        odds: 0.5,
        repair: 100.0,
        verification: 10.0,
        success: 1.0,
        repairable: true,
    };
    let case = Case::new(vec![suspect("A"), suspect("B")], None, 1).unwrap();
    // Smoke and a look at the trims tell nothing; the search, once the smoke is in, tells all.
    let mut tests = vec![
        yes_no("trims", 5.0, &case.sets, 0.5, &[0.0, 0.0]),
        yes_no("smoke", 10.0, &case.sets, 0.5, &[0.0, 0.0]),
        yes_no("search", 10.0, &case.sets, 0.0, &[1.0, 0.0]),
    ];
    tests[2].after = Bits::of([1]);
    let plan = Plan::all(&case, &tests);
    let masses = [0.5, 0.5];
    let expected = |test| plan.expected(Step::Test(test), &masses).unwrap();
    // By hand: smoke 10, search 10, then the right repair, 110. The trims come on top, and nothing else: by the tests
    // whose turn it is alone they would have ended in 165 min of repairs.
    assert!((repairs_only(&case, &masses) - 165.0).abs() < 1e-9);
    assert!((expected(1) - 130.0).abs() < 1e-9, "{}", expected(1));
    assert!((expected(0) - 135.0).abs() < 1e-9, "{}", expected(0));
    assert_eq!(plan.best(&masses).unwrap().step, Step::Test(1));
}
