//! Where an exercise stands, in a few lines of text.

use std::fmt::Write as _;

use super::Line;
use crate::engine::job::Job;
use crate::engine::shown;
use crate::engine::standing::{RepairStage, Standing};
use crate::flow::model::{Limit, PromptKind, QuantityPrompt, Step};
use crate::rules::suggest;
use crate::units::preferred::said;

impl Line<'_> {
    /// Where it stands, in a few lines.
    pub(super) fn stands(&mut self) -> String {
        let mut out = format!(
            "[PRACTICE {}; {}] ",
            shown::minutes(self.session.bay.log.minutes()),
            self.session.bay.set_up()
        );
        let visit = self.session.job.visit().map(|visit| visit.since_seq);
        let job = &self.session.job;
        let mut told = None;
        let words = match job.standing(self.desk()) {
            Standing::Cautions(due) => due.first().map_or_else(String::new, |caution| {
                let (title, text, source) = (caution.title, caution.text, caution.source);
                format!("caution: {title}\n  {text}\n  Source: {source}")
            }),
            Standing::Step(step) => {
                if visit != self.told {
                    told = visit;
                    out = in_full(step, job) + &out;
                }
                let open: Vec<String> = job
                    .prompts_now()
                    .into_iter()
                    .filter(|(_, done)| !done)
                    .map(|(prompt, _)| prompt.id.clone())
                    .collect();
                let mut words = format!("step: {}", step.title);
                if open.is_empty() {
                    if let Some(suggestion) = suggest::suggest(job) {
                        let because = suggestion.because.trim_end_matches('.');
                        if !because.is_empty() {
                            let _ = write!(words, "; the readings say: {because}");
                        }
                        if !suggestion.leads_to.is_empty() {
                            let _ = write!(words, "; `follow` goes {}", suggestion.leads_to);
                        }
                    }
                } else {
                    let _ = write!(words, "; to read: {}", open.join(", "));
                }
                words
            }
            Standing::Repair { cause, stage } => {
                let first = before_repair(job, &stage);
                let stage = match stage {
                    RepairStage::Ask => "agree?",
                    RepairStage::Work(_) if self.session.bay.is_part_open(&cause.id) => "repaired?",
                    RepairStage::Work(_) => "agreed to; part?",
                    RepairStage::Retest(_) => "retest?",
                    RepairStage::Declined(_) => "declined",
                };
                format!("{first}repair: {} ({}): {stage}", cause.name, cause.repair)
            }
            Standing::Facts(due) => {
                let due: Vec<&str> = due.iter().map(|fact| fact.ask.as_str()).collect();
                format!("not known of the vehicle: {}", due.join(" "))
            }
            Standing::Stopped(stop) => format!(
                "STOP, a limit was passed: {} {}, never above {}. Let the pressure down. Then `let-down` where it is let down \
                 and the supply set lower, or `mistyped` where the gauge never showed that",
                stop.reading,
                said(stop.value),
                said(stop.limit)
            ),
            Standing::LedTo(flow) => format!("on to the flow {flow}; the exercise ends here: end"),
            Standing::Ended => "the flow has ended: end".to_owned(),
            Standing::NotOpened | Standing::NoFlow | Standing::HandedOver(_) => String::new(),
        };
        out.push_str(&words);
        out.push('\n');
        self.told = told.or(self.told);
        out
    }
}

/// What is said before a part is undone, and before the test is begun again, as on the screens.
fn before_repair(job: &Job, stage: &RepairStage) -> String {
    let supplies: Vec<&str> = job.supplies_on().collect();
    let retest = job.run().and_then(|run| run.flow.retest.as_ref());
    match stage {
        RepairStage::Ask | RepairStage::Work(_) if !supplies.is_empty() => format!(
            "! Shut off first, and let the pressure down: {}. Nothing is undone before.\n",
            supplies.join(", ")
        ),
        RepairStage::Retest(_) => retest.map_or_else(String::new, |retest| {
            format!("Before the test again: {}\n", retest.first.trim())
        }),
        _ => String::new(),
    }
}

/// A step as the screens show it: what is to be done, what fools people, and what is asked.
fn in_full(step: &Step, job: &Job) -> String {
    let mut out = format!("{}\n  {}\n", step.title, step.text);
    if !step.beware.is_empty() {
        let _ = writeln!(out, "  What fools people: {}", step.beware);
    }
    set_up(step, &mut out);
    for (prompt, _) in job.prompts_now() {
        let words = match &prompt.kind {
            PromptKind::Choice(words) | PromptKind::Places(words) => {
                format!(" ({})", words.join(" / "))
            }
            PromptKind::Quantity(asked) => {
                let never = never_above(asked, job).map(|limit| format!(", never above {limit}"));
                format!(" ({}{})", asked.unit, never.unwrap_or_default())
            }
            PromptKind::Pairs(_) | PromptKind::Text => String::new(),
        };
        let _ = writeln!(out, "  {}: {}{words}", prompt.id, prompt.ask);
    }
    out
}

/// What a step sets up, and what is put back before the car goes.
fn set_up(step: &Step, out: &mut String) {
    if let Some(set_up) = step
        .set_up
        .as_ref()
        .filter(|set_up| !set_up.names_nothing())
    {
        let listed = |what: &str, names: &[String]| {
            (!names.is_empty()).then(|| format!("{what}: {}", names.join(", ")))
        };
        let supply = set_up
            .supply
            .iter()
            .map(|supply| format!("supply: {supply}"));
        let all = listed("close off", &set_up.seal).into_iter();
        let all = all.chain(listed("open", &set_up.open)).chain(supply);
        let all: Vec<String> = all.collect();
        let minutes = if set_up.minutes > 0.0 {
            format!(" ({})", shown::minutes(set_up.minutes))
        } else {
            String::new()
        };
        let _ = writeln!(out, "  Set up{minutes}: {}", all.join("; "));
    }
    if !step.put_back.is_empty() {
        let _ = writeln!(out, "  Before the car goes: {}", step.put_back.join(", "));
    }
}

/// The limit of a reading, in words.
fn never_above(asked: &QuantityPrompt, job: &Job) -> Option<String> {
    match asked.never_above.as_ref()? {
        Limit::Constant(limit) => Some(said(*limit)),
        Limit::Fact(fact) => Some(shown::answer(job.facts.get(fact)?)),
    }
}
