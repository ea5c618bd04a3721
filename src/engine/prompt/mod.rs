//! Answers to prompts: are they of the right kind, plausible, and below the limit?

mod typed;

pub use typed::parse;

use super::carry::{self, Earlier};
use super::event::{FromFile, What};
use super::hold;
use super::job::{Job, Run};
use super::refusal::Refusal;
use super::shown;
use crate::flow::answer::Answer;
use crate::flow::model::{Limit, PairsPrompt, Prompt, PromptKind, QuantityPrompt, Range};
use crate::units::{Dimension, Quantity, Unit, preferred};

/// Where a reading comes from, when it was not typed here and now.
#[derive(Debug, Default)]
pub(super) struct Origin {
    /// An earlier reading.
    pub(super) carried_from: Option<u64>,
    /// A file.
    pub(super) from_file: Option<FromFile>,
}

impl Origin {
    /// Out of a file.
    pub(super) fn file(from: FromFile) -> Self {
        Self {
            carried_from: None,
            from_file: Some(from),
        }
    }
}

/// The events of taking a reading at the current step.
pub(super) fn read(
    job: &Job,
    reading: &str,
    value: Answer,
    confirmed: bool,
    origin: Origin,
) -> Result<Vec<What>, Refusal> {
    let Some(run) = job.run() else {
        return Err(Refusal::NotNow("no flow was begun yet".to_owned()));
    };
    // A file holds what later steps ask for as well; there it is offered, to be taken over.
    let asked = origin.from_file.is_some()
        || run
            .step()
            .is_some_and(|step| step.record.iter().any(|id| id == reading));
    let Some(prompt) = run.flow.reading(reading).filter(|_| asked) else {
        return Err(Refusal::NotNow(format!(
            "this step does not ask for `{reading}`"
        )));
    };
    check_kind(prompt, &value)?;
    if let (PromptKind::Quantity(q), Answer::Quantity(typed)) = (&prompt.kind, &value)
        && let Some(limit) = passed(job, q, *typed)?
    {
        let reading = reading.to_owned();
        return Ok(vec![What::LimitPassed {
            reading,
            value: *typed,
            limit,
        }]);
    }
    let here = job.visit().filter(|_| origin.from_file.is_none());
    let rises = || hold::rises(job, here?.since_seq, reading, &value);
    let odd = unusual(prompt, &value).or_else(rises);
    if let (Some(odd), false) = (&odd, confirmed) {
        return Err(ask_again(odd));
    }
    taken_over(job, prompt, &value, origin.carried_from)?;
    let confirmed = odd.is_some();
    Ok(vec![What::ReadingTaken {
        reading: reading.to_owned(),
        value,
        confirmed,
        carried_from: origin.carried_from,
        from_file: origin.from_file,
    }])
}

/// The events of correcting a reading.
pub(super) fn correct(
    job: &Job,
    taken: u64,
    value: Answer,
    why: String,
) -> Result<Vec<What>, Refusal> {
    let Some(reading) = job.readings.iter().find(|t| t.seq == taken) else {
        return Err(Refusal::NotNow(format!("event {taken} took no reading")));
    };
    if why.trim().is_empty() {
        return Err(Refusal::NeedsReason("write why it is corrected".to_owned()));
    }
    let prompt = job
        .runs
        .iter()
        .find_map(|run| run.flow.reading(&reading.reading));
    if let Some(prompt) = prompt {
        check_kind(prompt, &value)?;
    }
    if reading.value == value {
        return Err(Refusal::NotNow(
            "nothing was changed: that is what stands there".to_owned(),
        ));
    }
    let mut events = Vec::new();
    if let (Some(PromptKind::Quantity(q)), Answer::Quantity(typed)) =
        (prompt.map(|p| &p.kind), &value)
        && let Some(limit) = passed(job, q, *typed)?
    {
        // The true value belongs into the record, and it stops the step all the same.
        let (reading, value) = (reading.reading.clone(), *typed);
        events.push(What::LimitPassed {
            reading,
            value,
            limit,
        });
    }
    events.insert(0, What::ReadingCorrected { taken, value, why });
    Ok(events)
}

/// Whether an answer passes the limit of what is asked: that stops at once, whatever else is to be asked about it.
pub fn passes_its_limit(job: &Job, prompt: &Prompt, value: &Answer) -> bool {
    match (&prompt.kind, value) {
        (PromptKind::Quantity(asked), Answer::Quantity(typed)) => {
            matches!(passed(job, asked, *typed), Ok(Some(_)))
        }
        _ => false,
    }
}

/// The limit that a value has passed, if any.
///
/// # Errors
/// Where the limit is a vehicle fact that nobody knows: no limit is not a high limit.
pub(super) fn passed(
    job: &Job,
    prompt: &QuantityPrompt,
    typed: Quantity,
) -> Result<Option<Quantity>, Refusal> {
    let limit = match &prompt.never_above {
        None => return Ok(None),
        Some(Limit::Constant(limit)) => *limit,
        Some(Limit::Fact(fact)) => match job.facts.get(fact) {
            Some(Answer::Quantity(limit)) => *limit,
            _ => {
                return Err(Refusal::NotNow(format!(
                    "the limit ({}) is not known: let the pressure down, find it in the maker's data and correct the fact first",
                    fact.replace('-', " ")
                )));
            }
        },
    };
    Ok((typed.si() > limit.si()).then_some(limit))
}

/// Whether a reading that is said to be taken over stands there, with this value, and may be.
fn taken_over(
    job: &Job,
    prompt: &Prompt,
    value: &Answer,
    from: Option<u64>,
) -> Result<(), Refusal> {
    let Some(from) = from else {
        return Ok(());
    };
    let may = matches!(carry::earlier(job, prompt), Some(Earlier::MayBeTakenOver(taken, _))
        if taken.seq == from && taken.value == *value);
    if may {
        return Ok(());
    }
    let name = prompt.id.replace('-', " ");
    Err(Refusal::NotNow(format!(
        "event {from} did not read this for {name}, or it is read anew here: it cannot be taken over"
    )))
}

/// What is asked when an answer is unusual.
pub(super) fn ask_again(odd: &str) -> Refusal {
    Refusal::Implausible(format!("{odd}: read it again; Enter once more keeps it"))
}

/// Why an answer is outside its usual range, if it is: "2 kPa is unusual here (5 to 120 kPa)".
pub fn unusual(prompt: &Prompt, value: &Answer) -> Option<String> {
    match (&prompt.kind, value) {
        (PromptKind::Quantity(q), Answer::Quantity(typed)) => outside(q.plausible, *typed),
        (PromptKind::Pairs(asked), Answer::Pairs(pairs)) => {
            pairs.iter().find_map(|pair| odd_pair(asked, *pair))
        }
        _ => None,
    }
}

fn outside(range: Option<Range>, typed: Quantity) -> Option<String> {
    let (from, to) = range.filter(|(from, _)| from.dimension() == typed.dimension())?;
    let inside = (from.si()..=to.si()).contains(&typed.si());
    (!inside).then(|| {
        format!(
            "{} is unusual here ({})",
            beside_range(typed, to),
            shown::range(from, to)
        )
    })
}

/// A value as it was typed, with the range's unit in brackets where that is another.
fn beside_range(typed: Quantity, range: Quantity) -> String {
    let (text, unit) = (
        preferred::written(typed),
        preferred::shown_unit(range.unit()),
    );
    if typed.unit() == unit {
        return text;
    }
    format!(
        "{text} ({} {})",
        preferred::in_unit(typed, unit),
        unit.name()
    )
}

/// Why a pair is unusual, if one of its two values lies outside its column's plausible range.
pub fn odd_pair(asked: &PairsPrompt, pair: (Quantity, Quantity)) -> Option<String> {
    let first = outside(asked.plausible.0, pair.0).map(|odd| format!("{} {odd}", asked.first.0));
    let second =
        || outside(asked.plausible.1, pair.1).map(|odd| format!("{} {odd}", asked.second.0));
    first.or_else(second)
}

/// Whether both values of a pair are of the kind that their columns ask for.
///
/// # Errors
/// Says how a pair is written.
pub fn check_pair(asked: &PairsPrompt, pair: (Quantity, Quantity)) -> Result<(), Refusal> {
    let (a, b) = (asked.first.1, asked.second.1);
    if pair.0.dimension() == a.dimension() && pair.1.dimension() == b.dimension() {
        return Ok(());
    }
    Err(Refusal::WrongAnswer(format!(
        "each pair is {} in {} = {} in {}",
        asked.first.0,
        a.name(),
        asked.second.0,
        b.name()
    )))
}

/// Whether an answer is of the kind that the prompt asks for.
///
/// # Errors
/// Says what is asked for.
pub fn check_kind(prompt: &Prompt, value: &Answer) -> Result<(), Refusal> {
    let wrong = |what: String| Err(Refusal::WrongAnswer(what));
    match (&prompt.kind, value) {
        (_, Answer::CouldNotTell(_)) | (PromptKind::Text, Answer::Text(_)) => Ok(()),
        // A place that the flow does not list may be added: smoke shows where it shows.
        (PromptKind::Places(listed), Answer::Places(shown)) => shown
            .keys()
            .filter(|place| !listed.contains(place))
            .try_for_each(|place| typed::new_place(place)),
        (PromptKind::Quantity(q), Answer::Quantity(typed)) => quantity_fits(*typed, q.unit),
        (PromptKind::Choice(words), Answer::Choice(word)) => {
            if words.contains(word) {
                return Ok(());
            }
            wrong(format!("choose one of: {}", words.join(", ")))
        }
        (PromptKind::Pairs(asked), Answer::Pairs(pairs)) => {
            if pairs.len() < asked.at_least {
                return wrong(format!(
                    "{} pairs are needed at least; here are {}",
                    asked.at_least,
                    pairs.len()
                ));
            }
            pairs.iter().try_for_each(|pair| check_pair(asked, *pair))
        }
        (PromptKind::Quantity(q), _) if q.unit.dimension() == Dimension::Count => {
            wrong("a number is asked for".to_owned())
        }
        (PromptKind::Quantity(q), _) => {
            let unit = preferred::shown_unit(q.unit);
            wrong(format!("a value in {} is asked for", unit.name()))
        }
        (PromptKind::Choice(words), _) => wrong(format!("choose one of: {}", words.join(", "))),
        (PromptKind::Places(_), _) => wrong("places are asked for".to_owned()),
        (PromptKind::Pairs(_), _) => wrong("pairs of values are asked for".to_owned()),
        (PromptKind::Text, _) => wrong("words are asked for".to_owned()),
    }
}

/// Whether nothing of this kind can be below zero; a temperature counts from absolute zero. Heights, pressures against the
/// barometer, trims and flows can.
fn never_below_zero(dimension: Dimension) -> bool {
    matches!(
        dimension,
        Dimension::Volume
            | Dimension::Area
            | Dimension::Resistance
            | Dimension::Temperature
            | Dimension::Speed
            | Dimension::Time
    )
}

fn quantity_fits(typed: Quantity, unit: Unit) -> Result<(), Refusal> {
    let (is, wanted) = (typed.dimension(), unit.dimension());
    let wrong = |what: String| Err(Refusal::WrongAnswer(what));
    if is != wanted {
        return wrong(if wanted == Dimension::Count {
            format!("{typed} is a {is}; here a number is asked for, without a unit")
        } else {
            format!(
                "{typed} is a {is}; here a {wanted} is asked for, in {}",
                preferred::shown_unit(unit).name()
            )
        });
    }
    if typed.si() < 0.0 && never_below_zero(is) {
        return wrong(format!(
            "{}: {} is never below zero; read it again",
            shown::quantity(typed),
            is.with_article()
        ));
    }
    let counted = is != Dimension::Count || (typed.value().fract() == 0.0 && typed.value() >= 0.0);
    if counted {
        return Ok(());
    }
    wrong(format!(
        "{}: they are counted, so a whole number is asked for",
        shown::quantity(typed)
    ))
}

impl Run {
    /// The prompt, in this run's flow, of a reading or fact.
    pub fn prompt(&self, id: &str) -> Option<&Prompt> {
        self.flow.prompt(id)
    }
}
