//! Answers to prompts: are they of the right kind, plausible, and below the limit?

use super::carry::{self, Earlier};
use super::event::{FromFile, What};
use super::job::{Job, Run};
use super::refusal::Refusal;
use crate::flow::answer::{Answer, Strength};
use crate::flow::model::{Limit, PairsPrompt, Prompt, PromptKind, QuantityPrompt};
use crate::units::Quantity;

/// Where a reading comes from, when it was not typed here and now.
#[derive(Debug, Default)]
pub(super) struct Origin {
    /// An earlier reading.
    pub(super) carried_from: Option<u64>,
    /// A file.
    pub(super) from_file: Option<FromFile>,
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
    let asked = run
        .step()
        .is_some_and(|step| step.record.iter().any(|id| id == reading));
    let Some(prompt) = run.flow.reading(reading).filter(|_| asked) else {
        return Err(Refusal::NotNow(format!(
            "this step does not ask for `{reading}`"
        )));
    };
    check_kind(prompt, &value)?;
    if let (PromptKind::Quantity(q), Answer::Quantity(typed)) = (&prompt.kind, &value) {
        if let Some(limit) = passed(job, q, *typed)? {
            let reading = reading.to_owned();
            return Ok(vec![What::LimitPassed {
                reading,
                value: *typed,
                limit,
            }]);
        }
        plausible(q, *typed, confirmed)?;
    }
    if let (PromptKind::Pairs(asked), Answer::Pairs(pairs)) = (&prompt.kind, &value)
        && !confirmed
        && let Some(why) = pairs.iter().find_map(|pair| odd_pair(asked, *pair))
    {
        return Err(Refusal::Implausible(why));
    }
    if let Some(from) = origin.carried_from
        && !may_be_taken_over(job, prompt, from, &value)
    {
        return Err(Refusal::NotNow(
            "this is read anew at this step: an earlier reading cannot be taken over".to_owned(),
        ));
    }
    let confirmed = confirmed && is_odd(prompt, &value);
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

/// The limit that a value has passed, if any.
///
/// # Errors
/// Where the limit is a vehicle fact that nobody knows: no limit is not a high limit.
fn passed(
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

/// A value as it was typed, with the range's unit in brackets where that is another.
pub fn beside_range(typed: Quantity, range: Quantity) -> String {
    if typed.unit() == range.unit() {
        return typed.to_string();
    }
    let four_digits = format!("{:.3e}", range.unit().from_si(typed.si()));
    match four_digits.parse::<f64>() {
        Ok(number) => format!("{typed} ({number} {})", range.unit().name()),
        Err(_) => typed.to_string(),
    }
}

fn plausible(prompt: &QuantityPrompt, typed: Quantity, confirmed: bool) -> Result<(), Refusal> {
    let Some((from, to)) = prompt.plausible else {
        return Ok(());
    };
    let inside = (from.si()..=to.si()).contains(&typed.si());
    if inside || confirmed {
        return Ok(());
    }
    Err(Refusal::Implausible(format!(
        "{} is unusual here ({from} to {to}): read it again; Enter once more keeps it",
        beside_range(typed, to)
    )))
}

fn may_be_taken_over(job: &Job, prompt: &Prompt, from: u64, value: &Answer) -> bool {
    matches!(carry::earlier(job, prompt), Some(Earlier::MayBeTakenOver(taken, _))
        if taken.seq == from && taken.value == *value)
}

/// Why a pair is unusual, if one of its two values lies outside its column's plausible range.
pub fn odd_pair(asked: &PairsPrompt, pair: (Quantity, Quantity)) -> Option<String> {
    let columns = [
        (&asked.first.0, asked.plausible.0, pair.0),
        (&asked.second.0, asked.plausible.1, pair.1),
    ];
    columns.into_iter().find_map(|(name, range, typed)| {
        let (from, to) = range?;
        let inside = (from.si()..=to.si()).contains(&typed.si());
        (!inside).then(|| {
            format!(
                "{name} {} is unusual here ({from} to {to}): read it again; Enter once more keeps it",
                beside_range(typed, to)
            )
        })
    })
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

fn is_odd(prompt: &Prompt, value: &Answer) -> bool {
    match (&prompt.kind, value) {
        (PromptKind::Pairs(asked), Answer::Pairs(pairs)) => {
            pairs.iter().any(|pair| odd_pair(asked, *pair).is_some())
        }
        (PromptKind::Quantity(q), Answer::Quantity(typed)) => plausible(q, *typed, false).is_err(),
        _ => false,
    }
}

/// Whether an answer is of the kind that the prompt asks for.
///
/// # Errors
/// Says what is asked for.
pub fn check_kind(prompt: &Prompt, value: &Answer) -> Result<(), Refusal> {
    let wrong = |what: String| Err(Refusal::WrongAnswer(what));
    match (&prompt.kind, value) {
        // A place that the flow does not list may be added: smoke shows where it shows.
        (_, Answer::CouldNotTell(_))
        | (PromptKind::Text, Answer::Text(_))
        | (PromptKind::Places(_), Answer::Places(_)) => Ok(()),
        (PromptKind::Quantity(q), Answer::Quantity(typed)) => {
            let (is, wanted) = (typed.dimension(), q.unit.dimension());
            if is == wanted {
                return Ok(());
            }
            wrong(format!(
                "{typed} is a {is}; here a {wanted} is asked for, in {}",
                q.unit.name()
            ))
        }
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
        (PromptKind::Quantity(q), _) => wrong(format!("a value in {} is asked for", q.unit.name())),
        (PromptKind::Choice(words), _) => wrong(format!("choose one of: {}", words.join(", "))),
        (PromptKind::Places(_), _) => wrong("places are asked for".to_owned()),
        (PromptKind::Pairs(_), _) => wrong("pairs of values are asked for".to_owned()),
        (PromptKind::Text, _) => wrong("words are asked for".to_owned()),
    }
}

/// Reads a typed text as an answer to a prompt. A bare number is taken in the prompt's unit.
///
/// # Errors
/// Says what is asked for and how to write it.
pub fn parse(prompt: &Prompt, text: &str) -> Result<Answer, Refusal> {
    let text = text.trim();
    let wrong = |what: String| Err(Refusal::WrongAnswer(what));
    if text.is_empty() {
        return wrong("nothing was typed".to_owned());
    }
    if text == "?" {
        return Ok(Answer::CouldNotTell(String::new()));
    }
    match &prompt.kind {
        PromptKind::Quantity(q) => quantity(text, q.unit).map(Answer::Quantity),
        PromptKind::Text => Ok(Answer::Text(text.to_owned())),
        PromptKind::Choice(words) => match one_of(text, words) {
            Some(word) => Ok(Answer::Choice(word)),
            None => wrong(format!("choose one of: {}", words.join(", "))),
        },
        PromptKind::Places(places) => parse_places(text, places),
        PromptKind::Pairs(asked) => {
            let mut pairs = Vec::new();
            for part in text
                .split([';', '\n'])
                .map(str::trim)
                .filter(|p| !p.is_empty())
            {
                let Some((a, b)) = part.split_once('=') else {
                    return wrong(format!(
                        "write each pair as {} = {}",
                        asked.first.0, asked.second.0
                    ));
                };
                pairs.push((
                    quantity(a.trim(), asked.first.1)?,
                    quantity(b.trim(), asked.second.1)?,
                ));
            }
            Ok(Answer::Pairs(pairs))
        }
    }
}

fn quantity(text: &str, unit: crate::units::Unit) -> Result<Quantity, Refusal> {
    let bare = text.parse::<f64>().ok().filter(|n| n.is_finite());
    if let Some(quantity) = bare.and_then(|n| Quantity::new(n, unit).ok()) {
        return Ok(quantity);
    }
    text.parse::<Quantity>().map_err(|error| {
        Refusal::WrongAnswer(format!(
            "{error}; write a number, in {} if no unit follows",
            unit.name()
        ))
    })
}

/// A word by its number in the list, or itself, or an unambiguous beginning.
fn one_of(text: &str, words: &[String]) -> Option<String> {
    if let Ok(n) = text.parse::<usize>() {
        return words.get(n.checked_sub(1)?).cloned();
    }
    let lower = text.to_lowercase();
    if let Some(word) = words.iter().find(|w| w.to_lowercase() == lower) {
        return Some(word.clone());
    }
    let mut starts = words
        .iter()
        .filter(|w| w.to_lowercase().starts_with(&lower));
    match (starts.next(), starts.next()) {
        (Some(word), None) => Some(word.clone()),
        _ => None,
    }
}

/// `nowhere`, or `throttle shaft = wisp; 3 = heavy`; without a strength, steady.
fn parse_places(text: &str, places: &[String]) -> Result<Answer, Refusal> {
    if text == crate::flow::condition::NOWHERE || text == "0" {
        return Ok(Answer::Places(std::collections::BTreeMap::new()));
    }
    let mut shown = std::collections::BTreeMap::new();
    for part in text
        .split([';', ','])
        .map(str::trim)
        .filter(|p| !p.is_empty())
    {
        let (place, strength) = part.split_once('=').unwrap_or((part, "steady"));
        let strength = match strength.trim() {
            "wisp" => Strength::Wisp,
            "steady" => Strength::Steady,
            "heavy" => Strength::Heavy,
            other => {
                return Err(Refusal::WrongAnswer(format!(
                    "`{other}`: write wisp, steady or heavy"
                )));
            }
        };
        let place = one_of(place.trim(), places).unwrap_or_else(|| place.trim().to_owned());
        shown.insert(place, strength);
    }
    Ok(Answer::Places(shown))
}

impl Run {
    /// The prompt, in this run's flow, of a reading or fact.
    pub fn prompt(&self, id: &str) -> Option<&Prompt> {
        self.flow.prompt(id)
    }
}
