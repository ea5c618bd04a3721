//! Which outcome of a step applies, and how sure that is.

use super::condition::{Check, Condition, Truth};
use super::model::{Detour, Flow, Outcome, Step};
use super::target::Target;
use super::unsettled::{Unsettled, unsettled};
use super::values::{Value, Values};
use super::working::{Picture, applies};
use crate::units::{Unit, preferred};

/// What the flow's own rules say about a step.
#[derive(Clone, Debug)]
pub enum Choice<'f> {
    /// This outcome applies.
    Matches(&'f Outcome),
    /// The readings are not valid, so that none may be drawn from them.
    NotValid {
        /// Why.
        why: String,
        /// What the author says to do.
        detour: Option<&'f Detour>,
    },
    /// A value's interval straddles a limit, or something could not be told.
    Unsure {
        /// Each limit that is straddled, and each value that is not known, in English.
        straddled: Vec<String>,
        /// Outcomes that could be meant.
        could_be: Vec<&'f Outcome>,
        /// What the author says to do.
        detour: Option<&'f Detour>,
    },
    /// Readings are missing.
    Incomplete {
        /// Their ids.
        missing: Vec<String>,
        /// Where they are read, if not at this step: they are taken first, and judged then.
        read_at: Option<Target>,
    },
    /// Everything was read, and no outcome applies.
    NoMatch,
}

impl Choice<'_> {
    /// Where it leads, if it leads anywhere by itself.
    pub fn target(&self) -> Option<&Target> {
        match self {
            Self::Matches(outcome) => Some(&outcome.go),
            Self::NotValid { detour, .. } | Self::Unsure { detour, .. } => detour.map(|d| &d.go),
            Self::Incomplete { read_at, .. } => read_at.as_ref(),
            Self::NoMatch => None,
        }
    }
}

/// Judges a step by what is known.
pub fn choose<'f>(flow: &'f Flow, step: &'f Step, picture: &Picture) -> Choice<'f> {
    let values = &picture.values;
    if let Some(decided) = decided_early(flow, step, picture) {
        return decided;
    }
    let missing = missing_readings(flow, step, values);
    if !missing.is_empty() {
        return Choice::Incomplete {
            missing,
            read_at: None,
        };
    }
    if let Some(decided) =
        unsettled_validity(flow, step, picture).or_else(|| straddling_validity(flow, step, values))
    {
        return decided;
    }
    let mut could_be = Vec::new();
    for outcome in &step.outcomes {
        match outcome.when.truth(values) {
            Truth::No => {}
            Truth::Yes if could_be.is_empty() => return Choice::Matches(outcome),
            Truth::Yes | Truth::Straddles => could_be.push(outcome),
            Truth::Unknown => match unsettled(flow, step, &outcome.when, picture) {
                Unsettled::InDoubt(_) => could_be.push(outcome),
                settled => return unjudged(flow, step, settled),
            },
        }
    }
    if could_be.is_empty() {
        return Choice::NoMatch;
    }
    Choice::Unsure {
        straddled: doubts(flow, step, &could_be, picture),
        could_be,
        detour: step.unsure.as_ref(),
    }
}

/// What is decided whatever else is read: nothing may be drawn from the step, because it is not
/// valid, or because what its validity hangs on could not be told.
pub fn decided_early<'f>(flow: &Flow, step: &'f Step, picture: &Picture) -> Option<Choice<'f>> {
    let values = &picture.values;
    let can_hold = step.valid_when.as_ref()?.can_hold(values);
    not_valid(flow, step, picture)
        .or_else(|| untold_validity(flow, step, values).filter(|_| !can_hold))
}

/// Readings of the step that are asked on this car and not taken yet.
pub fn missing_readings(flow: &Flow, step: &Step, values: &Values) -> Vec<String> {
    step.record
        .iter()
        .filter_map(|id| flow.reading(id))
        .filter(|prompt| {
            !prompt.optional
                && applies(prompt, values)
                && is_missing(prompt.id.as_str(), flow, values)
        })
        .map(|prompt| prompt.id.clone())
        .collect()
}

fn is_missing(id: &str, flow: &Flow, values: &Values) -> bool {
    use super::model::PromptKind;
    // Pairs are no value of their own; whether they are there shows in what is worked from them.
    let pairs = matches!(
        flow.reading(id).map(|p| &p.kind),
        Some(PromptKind::Pairs(_))
    );
    !pairs && values.get(id).is_none()
}

/// The longest condition, in bytes of English, that is told where readings are not valid.
const LONGEST_WHY: usize = 120;

/// What to look at first: of several things that must all hold, the first that does not.
fn failing<'c>(condition: &'c Condition, values: &Values) -> &'c Condition {
    match condition {
        Condition::All(parts) => {
            let mut parts = parts.iter();
            let first = parts.find(|part| part.truth(values) == Truth::No);
            first.map_or(condition, |part| failing(part, values))
        }
        _ => condition,
    }
}

fn not_valid<'f>(flow: &Flow, step: &'f Step, picture: &Picture) -> Option<Choice<'f>> {
    let condition = step.valid_when.as_ref()?;
    if condition.truth(&picture.values) != Truth::No {
        return None;
    }
    let only_when = failing(condition, &picture.values).english(&|id| name(flow, id));
    // A list of everything that may go together is read by nobody beside a car; what the author
    // says to do is.
    let why = match &step.invalid {
        Some(_) if only_when.len() > LONGEST_WHY => "the answers do not go together".to_owned(),
        _ => format!("valid only when {only_when}"),
    };
    Some(Choice::NotValid {
        why,
        detour: step.invalid.as_ref(),
    })
}

/// Where something that decides about validity was tried and could not be told, nothing may be
/// drawn from the step: could not tell is never read as normal.
fn untold_validity<'f>(flow: &Flow, step: &'f Step, values: &Values) -> Option<Choice<'f>> {
    let condition = step.valid_when.as_ref()?;
    if condition.truth(values) != Truth::Unknown {
        return None;
    }
    let untold: Vec<String> = condition
        .subjects()
        .into_iter()
        .filter(|id| matches!(values.get(id), Some(Value::Untold)))
        .map(|id| {
            format!(
                "{} could not be told, and the readings count only with it",
                name(flow, id)
            )
        })
        .collect();
    (!untold.is_empty()).then(|| Choice::Unsure {
        straddled: once(untold),
        could_be: Vec::new(),
        detour: step.unsure.as_ref().or(step.invalid.as_ref()),
    })
}

/// Where what the validity hangs on is not there, for whatever reason, nothing may be drawn from the
/// step either.
fn unsettled_validity<'f>(flow: &Flow, step: &'f Step, picture: &Picture) -> Option<Choice<'f>> {
    let condition = step.valid_when.as_ref()?;
    if condition.truth(&picture.values) != Truth::Unknown {
        return None;
    }
    let why = match unsettled(flow, step, condition, picture) {
        Unsettled::InDoubt(words) => Unsettled::InDoubt(
            words
                .into_iter()
                .map(|words| format!("{words}, and the readings count only with it"))
                .collect(),
        ),
        other => other,
    };
    Some(unjudged(flow, step, why))
}

/// Where a value is too near the limit above or below which the readings count, nothing may be
/// drawn from them either.
fn straddling_validity<'f>(flow: &Flow, step: &'f Step, values: &Values) -> Option<Choice<'f>> {
    let condition = step.valid_when.as_ref()?;
    if condition.truth(values) != Truth::Straddles {
        return None;
    }
    let doubts = in_doubt(flow, condition.straddled(values), values);
    let doubts = doubts.into_iter();
    Some(Choice::Unsure {
        straddled: doubts
            .map(|doubt| format!("{doubt}, and the readings count only then"))
            .collect(),
        could_be: Vec::new(),
        detour: step.unsure.as_ref().or(step.invalid.as_ref()),
    })
}

/// What is to be done where a condition cannot be judged: a calculation refused, or readings are
/// missing that another step takes.
fn unjudged<'f>(flow: &Flow, step: &'f Step, why: Unsettled) -> Choice<'f> {
    match why {
        // Where the author names no way for readings that do not count, the one for what cannot
        // be told serves: nobody is left standing.
        Unsettled::Refused(why) => Choice::NotValid {
            why,
            detour: step.invalid.as_ref().or(step.unsure.as_ref()),
        },
        Unsettled::Missing(missing) => Choice::Incomplete {
            read_at: read_at(flow, step, &missing),
            missing,
        },
        Unsettled::InDoubt(straddled) => Choice::Unsure {
            straddled,
            could_be: Vec::new(),
            detour: step.unsure.as_ref().or(step.invalid.as_ref()),
        },
    }
}

/// The step that takes the first of some readings: the last before this one in the flow, else the first behind it.
fn read_at(flow: &Flow, step: &Step, missing: &[String]) -> Option<Target> {
    let here = flow.steps.iter().position(|other| other.id == step.id)?;
    let (before, behind) = flow.steps.split_at(here);
    let takes = |other: &&Step| missing.first().is_some_and(|id| other.record.contains(id));
    let taken = before.iter().rev().find(takes);
    let taken = taken.or_else(|| behind.iter().skip(1).find(takes));
    taken.map(|other| Target::Step(other.id.clone()))
}

/// One sentence for each value that is not known, and one for each that straddles a limit, with all
/// the limits that it straddles.
fn doubts(flow: &Flow, step: &Step, outcomes: &[&Outcome], picture: &Picture) -> Vec<String> {
    let values = &picture.values;
    let open = outcomes
        .iter()
        .filter(|o| o.when.truth(values) == Truth::Unknown);
    let unknown = open.flat_map(|o| match unsettled(flow, step, &o.when, picture) {
        Unsettled::InDoubt(words) => words,
        _ => Vec::new(),
    });
    let checks = outcomes.iter().flat_map(|o| o.when.straddled(values));
    let straddled = in_doubt(flow, checks, values);
    once(unknown.chain(straddled).collect())
}

fn in_doubt<'c>(
    flow: &Flow,
    checks: impl IntoIterator<Item = (&'c str, &'c Check)>,
    values: &Values,
) -> Vec<String> {
    let mut by_id: Vec<(&str, Vec<String>)> = Vec::new();
    for (id, check) in checks {
        let english = check.english();
        match by_id.iter_mut().find(|(known, _)| *known == id) {
            Some((_, limits)) if limits.contains(&english) => {}
            Some((_, limits)) => limits.push(english),
            None => by_id.push((id, vec![english])),
        }
    }
    by_id
        .into_iter()
        .map(|(id, limits)| {
            let between = match (values.get(id), unit_of(flow, id)) {
                (Some(Value::Number(e)), Some(unit)) => {
                    lies(preferred::shown_unit(unit), e.low, e.high)
                }
                _ => String::new(),
            };
            format!(
                "cannot tell whether {}{between} {}",
                name(flow, id),
                limits.join(" or ")
            )
        })
        .collect()
}

/// Where a value lies, as an aside; nothing that bounds it on neither side is said as that.
fn lies(unit: Unit, low: f64, high: f64) -> String {
    match (low.is_finite(), high.is_finite()) {
        (true, true) => format!(
            ", which lies between {} and {},",
            unit.show(low),
            unit.show(high)
        ),
        (true, false) => format!(
            ", of which is known only that it is at least {},",
            unit.show(low)
        ),
        (false, true) => format!(
            ", of which is known only that it is at most {},",
            unit.show(high)
        ),
        (false, false) => ", which may be anything by these readings,".to_owned(),
    }
}

pub(super) fn once(mut words: Vec<String>) -> Vec<String> {
    let mut seen = std::collections::BTreeSet::new();
    words.retain(|word| seen.insert(word.clone()));
    words
}

/// The words for an id: a worked value's name, a reading's id in words.
pub fn name(flow: &Flow, id: &str) -> String {
    flow.work(id)
        .map_or_else(|| id.replace('-', " "), |work| work.name.clone())
}

/// The unit that an id's value is shown in.
pub fn unit_of(flow: &Flow, id: &str) -> Option<Unit> {
    use super::model::PromptKind;
    if let Some(work) = flow.work(id) {
        return work.unit;
    }
    match &flow.prompt(id)?.kind {
        PromptKind::Quantity(q) => Some(q.unit),
        _ => None,
    }
}
