//! Finds readings for every end of every step of a flow, and walks them through the engine.

mod distance;
pub mod plan;
pub mod solver;

use ruleout::engine::action::Action;
use ruleout::engine::event::PartWas;
use ruleout::engine::standing::{Desk, RepairStage, Standing};
use ruleout::flow::answer::Answer;
use ruleout::flow::condition::Condition;
use ruleout::flow::model::Flow;
use ruleout::flow::target::Target;
use ruleout::flow::values::Values;

use crate::support::Story;
use plan::{Stop, Want, beforehand, possible, target, ways};
use solver::{Dice, Script, Search};

/// So many ways to a stop are tried, the shortest first, each in so many rounds.
const WAYS: usize = 24;
const ROUNDS: usize = 8;

/// One test from its beginning to a stop, with everything that is answered on it.
#[derive(Clone, Debug)]
pub struct Leg {
    pub way: Vec<Stop>,
    pub script: Script,
}

/// All tests of a job, the last of which ends in the stop that was wanted.
pub type Route = Vec<Leg>;

/// How a stop is named in a message.
pub fn name(flow: &Flow, (step, want): Stop) -> String {
    let step = &flow.steps[step];
    let end = match want {
        Want::Outcome(n) => step.outcomes[n].id.as_str(),
        Want::NotValid => "(not valid)",
        Want::Unsure => "(unsure)",
    };
    format!("{}: {} -> {end}", flow.id, step.id)
}

/// Every end of every step that readings of that step can bring about.
pub fn stops(flow: &Flow) -> Vec<Stop> {
    let mut all = Vec::new();
    for (n, step) in flow.steps.iter().enumerate() {
        all.extend((0..step.outcomes.len()).map(|o| (n, Want::Outcome(o))));
        if step.invalid.is_some() && step.valid_when.is_some() {
            all.push((n, Want::NotValid));
        }
        let decided = |id: &&str| step.record.iter().any(|r| r == id);
        let own = |c: &Condition| *c != Condition::Always && c.subjects().iter().all(decided);
        if step.unsure.is_some() && step.outcomes.iter().all(|o| own(&o.when)) {
            all.push((n, Want::Unsure));
        }
    }
    all
}

/// A flow that is being walked, with the ways that were found so far.
pub struct Walks<'f> {
    flow: &'f Flow,
    /// A job in which the flow was begun.
    begun: Story,
    /// Test number and leg. A new way begins with the answers of the one that it shares most with.
    found: Vec<(u32, Leg)>,
}

impl<'f> Walks<'f> {
    pub fn of(flow: &'f Flow) -> Self {
        let begun =
            Story::new(7, "WLK 001", "Corvane Lisse 1.6, 2014", "as asked", &[]).begin(&flow.id);
        Self {
            flow,
            begun,
            found: Vec::new(),
        }
    }

    /// A route to a stop in the first test.
    pub fn first(&mut self, to: Stop, dice: &mut Dice) -> Option<Route> {
        if let Want::Outcome(n) = to.1
            && !possible(
                &self.flow.steps[to.0].outcomes[n],
                &self.beforehand(1, &Script::new()),
            )
        {
            return None;
        }
        Some(vec![self.leg(0, to, 1, &Script::new(), dice)?])
    }

    /// A route to a stop in the test after a repair. Routes to repairs must have been found.
    pub fn after_repair(&mut self, to: Stop, dice: &mut Dice) -> Option<Route> {
        let from = self.flow.retest.as_ref()?.from.as_str();
        let from = self.flow.steps.iter().position(|s| s.id == from)?;
        if let Some(before) = self.repair_found() {
            let facts = facts_of(&before.script);
            if let Some(last) = self.leg(from, to, 2, &facts, dice) {
                return Some(vec![before, last]);
            }
        }
        // On a car with other facts, then: first the test after the repair, then that before it.
        let last = self.leg(from, to, 2, &Script::new(), dice)?;
        let facts = facts_of(&last.script);
        let repairs = stops(self.flow)
            .into_iter()
            .filter(|stop| self.is_repair(*stop));
        for repair in repairs.collect::<Vec<_>>() {
            if let Some(before) = self.leg(0, repair, 1, &facts, dice) {
                return Some(vec![before, last]);
            }
        }
        None
    }

    fn beforehand(&self, test: u32, facts: &Script) -> Values {
        let facts = facts
            .iter()
            .map(|((_, id), answer)| (id.clone(), answer.clone()));
        beforehand(self.flow, test, &facts.collect())
    }

    fn is_repair(&self, stop: Stop) -> bool {
        matches!(target(self.flow, stop), Some(Target::Repair(_)))
    }

    /// The latest way found to a repair in the first test.
    fn repair_found(&self) -> Option<Leg> {
        let found = self.found.iter().rev();
        let mut repairs = found
            .filter(|(test, leg)| *test == 1 && leg.way.last().is_some_and(|s| self.is_repair(*s)));
        repairs.next().map(|(_, leg)| leg.clone())
    }

    fn leg(
        &mut self,
        from: usize,
        to: Stop,
        test: u32,
        facts: &Script,
        dice: &mut Dice,
    ) -> Option<Leg> {
        if let Some(leg) = self.passed(to, test, facts) {
            return Some(leg);
        }
        let ways = ways(self.flow, from, to, &self.beforehand(test, facts), WAYS);
        let searches: Vec<(Search, Script)> = ways
            .iter()
            .map(|way| {
                (
                    Search::new(self.flow, way, test, facts),
                    self.near(way, test),
                )
            })
            .collect();
        // One round on every way before the next round on any: some ways cannot be walked at all.
        for round in 0..ROUNDS {
            for (way, (search, near)) in ways.iter().zip(&searches) {
                let nothing = Script::new();
                let near = if round % 2 == 0 { near } else { &nothing };
                if let Some(script) = search.solve(facts, near, dice) {
                    let way = way.clone();
                    let leg = Leg { way, script };
                    self.found.push((test, leg.clone()));
                    return Some(leg);
                }
            }
        }
        None
    }

    /// The beginning of a way found before that already passes this stop.
    fn passed(&self, to: Stop, test: u32, facts: &Script) -> Option<Leg> {
        self.found.iter().find_map(|(t, leg)| {
            let at = leg.way.iter().position(|stop| *stop == to)?;
            let fits = facts.is_empty() || *facts == facts_of(&leg.script);
            (*t == test && fits).then(|| Leg {
                way: leg.way[..=at].to_vec(),
                script: leg.script.clone(),
            })
        })
    }

    /// Answers of the way found before that shares most with this one.
    fn near(&self, way: &[Stop], test: u32) -> Script {
        let shared = |leg: &Leg| {
            way.iter()
                .zip(&leg.way)
                .take_while(|(a, b)| a.0 == b.0)
                .count()
        };
        let same = |leg: &Leg| way.iter().zip(&leg.way).take_while(|(a, b)| a == b).count();
        let best = self
            .found
            .iter()
            .max_by_key(|(t, leg)| (shared(leg), *t == test, same(leg)));
        let Some((_, leg)) = best else {
            return Script::new();
        };
        let shared = shared(leg);
        let answers = leg
            .script
            .iter()
            .filter(|((at, _), _)| at.is_none_or(|at| at < shared));
        answers
            .map(|(slot, answer)| (slot.clone(), answer.clone()))
            .collect()
    }
}

fn facts_of(script: &Script) -> Script {
    let facts = script.iter().filter(|((at, _), _)| at.is_none());
    facts
        .map(|(slot, answer)| (slot.clone(), answer.clone()))
        .collect()
}

/// Walks a route through the engine to its last stop, and through the repair and into the
/// retest where it ends in one.
pub fn walk(walks: &Walks, route: &Route) {
    let (flow, mut story) = (walks.flow, walks.begun.clone());
    for (n, leg) in route.iter().enumerate() {
        for (at, stop) in leg.way.iter().enumerate() {
            take(flow, &mut story, leg, at, *stop);
        }
        let last = *leg.way.last().unwrap();
        let end = target(flow, last).unwrap();
        let (who, day) = story.desk();
        let standing = story.job.standing(Desk { who: &who, day });
        let arrived = match (end, &standing) {
            (Target::Step(id), Standing::Step(step)) => *id == step.id,
            (Target::Step(_), Standing::Cautions(_)) | (Target::Done, Standing::Ended) => true,
            (Target::Flow(id), Standing::LedTo(flow)) => id == flow,
            (
                Target::Repair(id),
                Standing::Repair {
                    cause,
                    stage: RepairStage::Ask,
                },
            ) => *id == cause.id,
            _ => false,
        };
        assert!(arrived, "{}: {standing:?}", name(flow, last));
        if matches!(end, Target::Repair(_)) {
            repair(flow, &mut story);
        }
        assert!(n + 1 == route.len() || story.job.test_number() == 2);
    }
    assert_eq!(story.job.misfits, []);
}

/// Answers everything that is asked at a stop, and follows the rules.
fn take(flow: &Flow, story: &mut Story, leg: &Leg, at: usize, stop: Stop) {
    loop {
        let (who, day) = story.desk();
        let next = match story.job.standing(Desk { who: &who, day }) {
            Standing::Facts(facts) => {
                let id = facts[0].id.clone();
                let value = leg.script[&(None, id.clone())].clone();
                Action::SetFact {
                    fact: id,
                    value,
                    confirmed: false,
                }
            }
            Standing::Cautions(due) => Action::Accept(due[0].id.to_owned()),
            Standing::Step(step) => {
                assert_eq!(step.id, flow.steps[stop.0].id, "{}", name(flow, stop));
                break;
            }
            other => panic!("{}: {other:?}", name(flow, stop)),
        };
        story.does(next);
    }
    loop {
        let asked = story.job.prompts_now().into_iter();
        let asked: Vec<String> = asked
            .filter(|(prompt, taken)| !taken && !prompt.optional)
            .map(|(prompt, _)| prompt.id.clone())
            .collect();
        if asked.is_empty() {
            break;
        }
        // One after the other: an answer can take away a later question.
        for id in asked {
            let still = story.job.prompts_now();
            if !still.iter().any(|(prompt, _)| prompt.id == id) {
                continue;
            }
            let value = match stop.1 {
                Want::Unsure => Answer::CouldNotTell("too dark to see".to_owned()),
                _ => leg.script[&(Some(at), id.clone())].clone(),
            };
            story.does(Action::Read {
                reading: id,
                value,
                confirmed: true,
                carried_from: None,
            });
        }
    }
    story.does(Action::Follow);
    let expected = match stop.1 {
        Want::Outcome(n) => Some(flow.steps[stop.0].outcomes[n].id.clone()),
        _ => None,
    };
    let taken = story
        .events
        .iter()
        .rev()
        .find_map(|event| match &event.what {
            ruleout::engine::event::What::OutcomeTaken(taken) => Some(taken.outcome.clone()),
            _ => None,
        });
    assert_eq!(taken, Some(expected), "{}", name(flow, stop));
}

fn repair(flow: &Flow, story: &mut Story) {
    story.does(Action::Approve {
        by: "owner, by telephone".to_owned(),
    });
    story.does(Action::Repaired {
        work: "renewed".to_owned(),
        part_was: PartWas::Bad,
    });
    story.does(Action::Retest);
    let from = &flow.retest.as_ref().unwrap().from;
    let here = story.job.run().unwrap().step().map(|step| step.id.clone());
    assert_eq!(here.as_ref(), Some(from), "{}", flow.id);
}
