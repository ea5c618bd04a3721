//! Reading what was typed as an answer to a prompt.

use std::collections::BTreeMap;

use crate::engine::refusal::Refusal;
use crate::flow::answer::{Answer, Strength};
use crate::flow::condition::NOWHERE;
use crate::flow::model::{Prompt, PromptKind};
use crate::units::{Dimension, Quantity, Unit, preferred};

/// Reads a typed text as an answer to a prompt. A bare number is taken in the prompt's unit, or in
/// the one in which it is shown just now.
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
        PromptKind::Places(listed) => places(text, listed),
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

fn quantity(text: &str, unit: Unit) -> Result<Quantity, Refusal> {
    let unit = preferred::shown_unit(unit);
    let bare = text.parse::<f64>().ok().filter(|n| n.is_finite());
    if let Some(quantity) = bare.and_then(|n| Quantity::new(n, unit).ok()) {
        return Ok(quantity);
    }
    text.parse::<Quantity>().map_err(|error| {
        Refusal::WrongAnswer(if unit.dimension() == Dimension::Count {
            format!("`{text}`: write the number in figures, such as 2")
        } else {
            format!(
                "{error}; write a number, in {} if no unit follows",
                unit.name()
            )
        })
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

/// `nowhere`, or `throttle shaft = wisp; 3: heavy`, or `3 heavy`; without a strength, steady.
fn places(text: &str, listed: &[String]) -> Result<Answer, Refusal> {
    if text.eq_ignore_ascii_case(NOWHERE) || text == "0" {
        return Ok(Answer::Places(BTreeMap::new()));
    }
    let mut shown = BTreeMap::new();
    for part in text
        .split([';', ','])
        .map(str::trim)
        .filter(|p| !p.is_empty())
    {
        let (name, strength) = place_and_strength(part, listed);
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
        let place = place(name.trim(), listed)?;
        if shown.insert(place.clone(), strength).is_some() {
            return Err(Refusal::WrongAnswer(format!(
                "`{place}` is named twice: write it once, with what shows most"
            )));
        }
    }
    Ok(Answer::Places(shown))
}

/// Before and after the sign of equality, or the last colon; a place of the list may hold either.
fn place_and_strength<'t>(part: &'t str, listed: &[String]) -> (&'t str, &'t str) {
    let lower = part.to_lowercase();
    if listed.iter().any(|place| place.to_lowercase() == lower) {
        return (part, "steady");
    }
    let signed = part.split_once('=').or_else(|| part.rsplit_once(':'));
    signed
        .or_else(|| strength_behind(part, listed))
        .unwrap_or((part, "steady"))
}

/// A place of the list with a strength right behind it: no other place is called so.
fn strength_behind<'t>(part: &'t str, listed: &[String]) -> Option<(&'t str, &'t str)> {
    let (name, strength) = part.rsplit_once(' ')?;
    let name = name.trim();
    let known = |place: &String| place.to_lowercase() == name.to_lowercase();
    let is = name.parse::<usize>().is_ok() || listed.iter().any(known);
    (is && ["wisp", "steady", "heavy"].contains(&strength)).then_some((name, strength))
}

/// A place of the list by its number, its name or an unambiguous beginning of that; or a new one.
fn place(name: &str, listed: &[String]) -> Result<String, Refusal> {
    let lower = name.to_lowercase();
    if let Some(place) = listed.iter().find(|place| place.to_lowercase() == lower) {
        return Ok(place.clone());
    }
    if let Ok(number) = name.parse::<usize>() {
        let place = number.checked_sub(1).and_then(|n| listed.get(n));
        return place.cloned().ok_or_else(|| {
            Refusal::WrongAnswer(format!(
                "there is no place {number}: the list goes from 1 to {}; 0 is nowhere",
                listed.len()
            ))
        });
    }
    new_place(name)?;
    let starts: Vec<&str> = listed
        .iter()
        .filter(|place| place.to_lowercase().starts_with(&lower))
        .map(String::as_str)
        .collect();
    match starts.as_slice() {
        [] => Ok(name.to_owned()),
        [only] => Ok((*only).to_owned()),
        several => Err(Refusal::WrongAnswer(format!(
            "`{name}` could be {}: write more of it",
            several.join(", or ")
        ))),
    }
}

/// Words that people write where nothing shows. None of them is a place.
const NOTHING: [&str; 9] = [
    "none", "no", "nothing", "nil", "not", "never", "clean", "ok", "n/a",
];

/// Whether a place that the flow does not list can be one.
///
/// # Errors
/// It is a number, or a word for "nothing shows".
pub(super) fn new_place(name: &str) -> Result<(), Refusal> {
    let lower = name.trim().to_lowercase();
    let wrong = |what: String| Err(Refusal::WrongAnswer(what));
    if lower == NOWHERE {
        return wrong("`nowhere` stands alone: leave it out, or leave out the places".to_owned());
    }
    if NOTHING.contains(&lower.as_str()) {
        return wrong(format!(
            "`{name}` is no place: write nowhere if you looked everywhere and nothing shows"
        ));
    }
    if !lower.chars().any(char::is_alphabetic) {
        return wrong(format!("`{name}` is no place: write its name in words"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn listed() -> Vec<String> {
        ["inlet duct", "intake gasket", "throttle shaft"]
            .map(str::to_owned)
            .to_vec()
    }

    fn read(text: &str) -> Result<Vec<String>, String> {
        match places(text, &listed()) {
            Ok(Answer::Places(places)) => Ok(places.into_keys().collect()),
            Ok(other) => panic!("{other:?}"),
            Err(why) => Err(why.to_string()),
        }
    }

    #[test]
    fn a_strength_stands_behind_a_sign_of_equality_or_a_colon_or_right_behind_a_place_of_the_list()
    {
        let listed = ["throttle shaft", "plug: ours"].map(str::to_owned);
        for (text, place, strength) in [
            ("throttle shaft:wisp", "throttle shaft", Strength::Wisp),
            ("throttle shaft = heavy", "throttle shaft", Strength::Heavy),
            ("1: heavy", "throttle shaft", Strength::Heavy),
            ("throttle shaft heavy", "throttle shaft", Strength::Heavy),
            ("2 wisp", "plug: ours", Strength::Wisp),
            ("brake hose heavy", "brake hose heavy", Strength::Steady),
            ("plug: ours", "plug: ours", Strength::Steady),
            ("plug: ours: wisp", "plug: ours", Strength::Wisp),
            ("plug: ours = wisp", "plug: ours", Strength::Wisp),
        ] {
            let shown = BTreeMap::from([(place.to_owned(), strength)]);
            assert_eq!(places(text, &listed), Ok(Answer::Places(shown)), "{text}");
        }
        let wrong = places("throttle shaft:big", &listed).expect_err("no strength");
        assert!(
            wrong
                .to_string()
                .contains("`big`: write wisp, steady or heavy")
        );
    }

    #[test]
    fn nowhere_is_read_in_any_case() {
        for text in ["nowhere", "Nowhere", "NOWHERE", "0"] {
            assert_eq!(read(text), Ok(Vec::new()), "{text}");
        }
    }

    #[test]
    fn words_for_nothing_and_numbers_off_the_list_are_no_places() {
        for (text, said) in [
            ("none", "write nowhere"),
            ("No", "write nowhere"),
            ("nothing", "write nowhere"),
            ("9", "no place 9: the list goes from 1 to 3"),
            ("2.5", "write its name in words"),
            ("throttle shaft; nowhere", "stands alone"),
            ("in", "could be inlet duct, or intake gasket"),
            ("1; inlet duct = wisp", "named twice"),
        ] {
            let why = read(text).expect_err(text);
            assert!(why.contains(said), "{text}: {why}");
        }
    }

    #[test]
    fn a_place_is_named_by_number_name_or_beginning_and_may_be_new() {
        assert_eq!(
            read("2; Throttle = wisp; air box"),
            Ok(vec![
                "air box".to_owned(),
                "intake gasket".to_owned(),
                "throttle shaft".to_owned()
            ])
        );
    }
}
