//! Drawing what physics does not give from the flow's signatures.
//!
//! Words and places: every cause that is present pushes to some word with the likelihood that it states, and the
//! sound car's own baseline does so as well; the one furthest from healthy is seen (noisy-MAX; Diez 1993, from
//! memory), and places show together (noisy-OR; Pearl 1988, from memory). A range is a normal distribution whose
//! 5th and 95th percentiles are its ends; of two causes that both move a reading, the one further from healthy wins.
//! What a cause looks like stays as it is for one car, however often it is looked at; and what it shows either way is
//! too high in all readings of a car, or too low in all of them.

use std::collections::BTreeSet;

use crate::flow::condition::NOWHERE;
use crate::flow::model::{Flow, Prompt, PromptKind};
use crate::flow::signature::Shown;

use super::car::Present;
use super::dice::Dice;
use super::fault::{Fault, Wrong};
use super::plan::shown;

/// 95 % point of the normal distribution.
const Z90: f64 = 1.644_853_627;

/// A cause that is present, for drawing: its id, and chance of its own.
pub(super) struct Pusher<'c> {
    pub(super) cause: &'c str,
    pub(super) dice: Dice,
    /// On this car it shows below zero what it shows either way.
    pub(super) below: bool,
}

impl<'c> Pusher<'c> {
    /// What is present on a car: a sensor that is off leans as its offset does, the rest by a toss for the whole car.
    pub(super) fn of(present: &'c Present, dice: Dice) -> Self {
        let offset = present.faults.iter().find_map(|fault| match fault {
            Fault::Sensor {
                wrong: Wrong::Offset(by),
                ..
            } => Some(*by < 0.0),
            _ => None,
        });
        Self {
            cause: &present.cause,
            below: offset.unwrap_or_else(|| tossed(&dice)),
            dice,
        }
    }
}

fn tossed(dice: &Dice) -> bool {
    dice.fork("below zero", 0).happens(0.5)
}

/// What is pushed to, the chance of that reading, and whether it leans below zero.
type Push<'f> = (&'f Shown, Dice, bool);

/// What is drawn.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Drawn {
    /// A number, SI.
    Number(f64),
    /// A word.
    Word(String),
}

fn pushes<'f>(flow: &'f Flow, id: &str, pusher: &Pusher) -> Option<Push<'f>> {
    let cause = flow.cause(pusher.cause)?;
    let what = shown(&cause.shows, id)?;
    Some((what, pusher.dice.fork(id, 0), pusher.below))
}

fn healthy<'f>(flow: &'f Flow, id: &str) -> Option<&'f Shown> {
    shown(&flow.healthy, id)
}

/// A number or a word of a reading or worked value; `words`: everything that it can say.
pub(super) fn draw(
    flow: &Flow,
    id: &str,
    words: &[&str],
    pushers: &[Pusher],
    background: &Dice,
) -> Option<Drawn> {
    let pushed: Vec<_> = pushers.iter().filter_map(|p| pushes(flow, id, p)).collect();
    let sound = healthy(flow, id);
    let numeric = pushed
        .iter()
        .map(|(what, ..)| *what)
        .chain(sound)
        .any(|what| matches!(what, Shown::Range(..) | Shown::EitherWay(..)));
    if numeric {
        return number(sound, pushed, background).map(Drawn::Number);
    }
    if pushed.is_empty() && sound.is_none() {
        return None;
    }
    word(sound, words, pushed, background).map(Drawn::Word)
}

fn in_range(from: f64, to: f64, dice: &mut Dice) -> f64 {
    f64::midpoint(from, to) + dice.normal() * (to - from) / 2.0 / Z90
}

fn number(sound: Option<&Shown>, pushed: Vec<Push>, background: &Dice) -> Option<f64> {
    let ends = |what: &Shown| match what {
        Shown::Range(from, to) | Shown::EitherWay(from, to) => Some((from.si(), to.si())),
        Shown::Words(_) => None,
    };
    let one = |what: &Shown, dice: &mut Dice, below: bool| {
        let (from, to) = ends(what)?;
        let drawn = in_range(from, to, dice);
        let mirrored = matches!(what, Shown::EitherWay(..)) && below;
        Some(if mirrored { -drawn } else { drawn })
    };
    let middle = sound
        .and_then(ends)
        .map(|(from, to)| f64::midpoint(from, to));
    let mut drawn: Vec<f64> = pushed
        .into_iter()
        .filter_map(|(what, mut dice, below)| one(what, &mut dice, below))
        .collect();
    if drawn.is_empty() {
        let below = tossed(background);
        drawn.push(one(sound?, &mut background.clone(), below)?);
    }
    let far = |x: &f64| middle.map_or(0.0, |middle| (x - middle).abs());
    drawn
        .into_iter()
        .reduce(|a, b| if far(&b) > far(&a) { b } else { a })
}

/// The likelihoods of all words, those that are not stated sharing what is left.
fn spread_out(what: &Shown, words: &[&str], usual: Option<&str>) -> Vec<(String, f64)> {
    let Shown::Words(stated) = what else {
        return Vec::new();
    };
    let total: f64 = stated.iter().map(|(_, p)| p).sum();
    let mut all = stated.clone();
    if total > 1.0 {
        for (_, p) in &mut all {
            *p /= total;
        }
        return all;
    }
    let rest = 1.0 - total;
    if let Some(usual) = usual {
        // What a cause does not push to another word stays as it is on a sound car.
        match all.iter_mut().find(|(word, _)| word == usual) {
            Some((_, p)) => *p += rest,
            None => all.push((usual.to_owned(), rest)),
        }
    } else {
        let left: Vec<&&str> = words
            .iter()
            .filter(|word| stated.iter().all(|(other, _)| other != **word))
            .collect();
        let share = rest / left.len().max(1) as f64;
        all.extend(left.into_iter().map(|word| ((*word).to_owned(), share)));
    }
    all
}

/// The words from healthy to worst: those that a sound car shows first, by how likely, then as they are declared.
fn order<'w>(sound: Option<&'w Shown>, words: &[&'w str]) -> Vec<&'w str> {
    let mut order: Vec<&str> = match sound {
        Some(Shown::Words(stated)) => {
            let mut stated: Vec<_> = stated.iter().collect();
            stated.sort_by(|a, b| b.1.total_cmp(&a.1));
            stated.into_iter().map(|(word, _)| word.as_str()).collect()
        }
        _ => Vec::new(),
    };
    for word in words {
        if !order.contains(word) {
            order.push(word);
        }
    }
    order
}

fn word(
    sound: Option<&Shown>,
    words: &[&str],
    pushed: Vec<Push>,
    background: &Dice,
) -> Option<String> {
    let order = order(sound, words);
    let usual = order.first().copied();
    let pick = |likely: &[(String, f64)], dice: &mut Dice| {
        dice.weighed(likely.iter().map(|(_, p)| *p))
            .map(|place| likely[place].0.clone())
    };
    let mut seen: Vec<String> = Vec::new();
    for (what, mut dice, _) in pushed {
        let likely = spread_out(what, words, usual);
        seen.extend(pick(&likely, &mut dice));
    }
    match sound {
        Some(what) => {
            let likely = spread_out(what, words, None);
            seen.extend(pick(&likely, &mut background.clone()));
        }
        None => seen.extend(usual.map(str::to_owned)),
    }
    let rank = |word: &String| order.iter().position(|other| other == word);
    seen.into_iter().max_by_key(rank)
}

/// The place at which a cause shows on one car; `None` where it hides.
pub(super) fn place(flow: &Flow, reading: &str, pusher: &Pusher) -> Option<String> {
    let (what, mut dice, _) = pushes(flow, reading, pusher)?;
    let Shown::Words(stated) = what else {
        return None;
    };
    let picked = dice.weighed(stated.iter().map(|(_, p)| *p))?;
    Some(stated[picked].0.clone()).filter(|place| place != NOWHERE)
}

/// The place at which a cause mostly shows.
pub(super) fn likeliest_place(flow: &Flow, reading: &str, cause: &str) -> Option<String> {
    let Shown::Words(stated) = shown(&flow.cause(cause)?.shows, reading)? else {
        return None;
    };
    stated
        .iter()
        .filter(|(place, _)| place != NOWHERE)
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(place, _)| place.clone())
}

/// Whether a cause shows nowhere more often than at any one place.
pub(super) fn mostly_hides(flow: &Flow, reading: &str, cause: &str) -> bool {
    let what = flow
        .cause(cause)
        .and_then(|cause| shown(&cause.shows, reading));
    let Some(Shown::Words(stated)) = what else {
        return false;
    };
    let most = stated.iter().max_by(|a, b| a.1.total_cmp(&b.1));
    most.is_some_and(|(place, _)| place == NOWHERE)
}

/// Places that show on a sound car too.
pub(super) fn background_places(
    flow: &Flow,
    prompt: &Prompt,
    background: &Dice,
) -> BTreeSet<String> {
    let (PromptKind::Places(places), Some(what)) = (&prompt.kind, healthy(flow, &prompt.id)) else {
        return BTreeSet::new();
    };
    let words: Vec<&str> = std::iter::once(NOWHERE)
        .chain(places.iter().map(String::as_str))
        .collect();
    let likely = spread_out(what, &words, None);
    let mut dice = background.fork(&prompt.id, 1);
    dice.weighed(likely.iter().map(|(_, p)| *p))
        .map(|place| likely[place].0.clone())
        .filter(|place| place != NOWHERE)
        .into_iter()
        .collect()
}
