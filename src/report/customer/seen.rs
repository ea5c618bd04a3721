//! Places where something showed when they were last looked at.

use crate::flow::answer::{Answer, Strength};
use crate::flow::condition::Truth;
use crate::flow::model::Flow;
use crate::flow::values::Value;
use crate::report::case::{Case, Walked};
use crate::report::page::Item;
use crate::report::result::Standing;
use crate::report::searched;
use crate::report::text::sentence;

/// Places where something showed when they were last looked at.
pub struct Seen<'j> {
    /// The flow in which they were looked at.
    pub flow: &'j Flow,
    /// The reading that names them.
    pub reading: &'j str,
    ask: &'j str,
    /// What its step has done.
    instruction: &'j str,
    /// The places.
    pub places: Vec<&'j str>,
    /// None of them showed more than a wisp.
    wisp: bool,
}

impl Seen<'_> {
    /// Whether it was smoke that showed: neither the question nor the step takes anything else.
    pub fn is_smoke(&self) -> bool {
        searched::asks_for_smoke(self.ask) && !searched::names_another_way(self.instruction)
    }

    /// As an item of what is left open.
    pub fn item(&self) -> Item {
        let places = self.places.join(", ");
        let (head, text) = if self.wisp {
            (
                "Seen faintly, and left as it is",
                format!("{places}: a wisp when it was last looked at."),
            )
        } else {
            ("Seen, and not looked at again since", format!("{places}."))
        };
        Item {
            head: head.to_owned(),
            text: sentence(&text),
            more: Vec::new(),
        }
    }
}

/// Places where something showed when they were last looked at, and that no repair with a test after
/// it speaks for: seldom all of them are mended.
pub fn last_seen<'j>(case: &Case<'j>) -> Vec<Seen<'j>> {
    if matches!(Standing::of(case.job), Standing::UnderWay) {
        return Vec::new();
    }
    seen_so_far(case)
}

/// The same in a test that has not ended too.
pub fn seen_so_far<'j>(case: &Case<'j>) -> Vec<Seen<'j>> {
    let mended = |flow: &str, test: u32| {
        let mut repairs = case.job.repairs.iter();
        repairs.any(|r| r.done.is_some() && r.flow == flow && r.test >= test)
    };
    let mut last: Vec<(Seen, bool)> = Vec::new();
    for walked in case.walked() {
        for taken in case.job.taken_in(walked.visit.since_seq) {
            let prompt = walked.run.flow.reading(&taken.reading);
            if let (Answer::Places(places), Some(prompt)) = (&taken.value, prompt) {
                let clear = mended(&walked.run.flow.id, walked.visit.test)
                    || places.is_empty()
                    || counts_as_nothing(case, &walked, &prompt.id);
                last.retain(|(seen, _)| seen.ask != prompt.ask);
                let seen = Seen {
                    flow: &walked.run.flow,
                    reading: &prompt.id,
                    ask: &prompt.ask,
                    instruction: &walked.step.text,
                    places: places.keys().map(String::as_str).collect(),
                    wisp: places.values().all(|strength| *strength == Strength::Wisp),
                };
                last.push((seen, clear));
            }
        }
    }
    let open = last.into_iter().filter(|(_, clear)| !clear);
    open.map(|(seen, _)| seen).collect()
}

/// Whether the flow went on as it would have with nothing seen: then what showed is no leak to its
/// author, as smoke at the tailpipe is none of the intake.
fn counts_as_nothing(case: &Case, walked: &Walked, reading: &str) -> bool {
    let Some(outcome) = walked.outcome() else {
        return false;
    };
    if !outcome.when.subjects().contains(&reading) {
        return false;
    }
    let mut values = case.picture(walked.run, walked.visit).values.clone();
    values.set(reading, Value::Places(std::collections::BTreeSet::new()));
    outcome.when.truth(&values) == Truth::Yes
}
