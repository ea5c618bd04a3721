//! More simulated cars where hardly any of a set shows what was read.
//!
//! Weighted cars wear thin: after some readings a few of them carry all the weight, those of two causes first, since
//! fewer were drawn and more must fit. Weighing anew the few that are left would bring back the same ones; so more are
//! drawn of the sets that matter, until enough of them show what was read or a bound on their number is reached. How
//! many are left then is said ([`super::wary`]). The cars keep what was drawn for the last questions.

use super::belief::Contradiction;
use super::inquiry::{Asked, Inquiry, NoAnswer, inquire_joined};
use super::joined::{Joined, join};
use super::likelihood::Source;
use super::sets::Set;
use super::simulated::Simulated;
use super::told::Round;
use crate::units::whole;

/// Cars of a set that shall be left to count on.
const ENOUGH: f64 = 100.0;
/// Sets less probable than this do not matter, nor do more than so many.
const MATTERS: f64 = 0.02;
const SETS: usize = 8;
/// No more cars of one set, and no more drawn in all, than so many times those with each cause alone.
const OF_A_SET: usize = 8;
const IN_ALL: usize = 16;
/// What matters can change once there are more cars.
const TURNS: usize = 2;

/// Reckons by simulated cars, with more of them where few are left. Follows from the question and the cars alone.
/// Gives the answer with how many cars it rests on.
///
/// # Errors
/// [`NoAnswer`].
pub fn inquire_by_cars<'f>(
    asked: &Asked<'_, 'f>,
    cars: &Simulated,
    source: impl Fn(&Joined, &Simulated) -> Option<Box<dyn Source>>,
) -> Result<(Inquiry<'f>, usize), NoAnswer> {
    let joined = join(asked.flows, asked.odds, asked.together)?;
    Ok(joined_by_cars(
        &joined,
        asked.rounds,
        asked.not_available,
        cars,
        source,
    )?)
}

/// The same where the joint list is at hand.
///
/// # Errors
/// [`Contradiction`].
pub fn joined_by_cars<'f>(
    joined: &Joined<'f>,
    rounds: &[Round],
    not_available: &[String],
    cars: &Simulated,
    source: impl Fn(&Joined, &Simulated) -> Option<Box<dyn Source>>,
) -> Result<(Inquiry<'f>, usize), Contradiction> {
    let with = |cars: &Simulated| {
        inquire_joined(joined.clone(), rounds, not_available, |joined| {
            source(joined, cars)
        })
    };
    let mut inquiry = with(cars)?;
    let mut grown: Option<Simulated> = None;
    let mut room = IN_ALL * cars.count();
    for _ in 0..TURNS {
        let known = grown.as_ref().unwrap_or(cars);
        let wanted = wanted(&inquiry, known, &mut room);
        if wanted.is_empty() {
            break;
        }
        let more = known.with_more(&inquiry.joined, &wanted);
        inquiry = with(&more)?;
        grown = Some(more);
    }
    let total = grown.as_ref().unwrap_or(cars).total();
    Ok((inquiry, total))
}

/// The sets of which more cars are wanted, each with how many in all.
fn wanted(inquiry: &Inquiry, cars: &Simulated, room: &mut usize) -> Vec<(Set, usize)> {
    let thin = |n: &usize| inquiry.sets[*n] >= MATTERS && inquiry.effective[*n] < ENOUGH;
    let mut sets: Vec<usize> = (0..inquiry.effective.len()).filter(thin).collect();
    sets.sort_by(|a, b| inquiry.sets[*b].total_cmp(&inquiry.sets[*a]).then(a.cmp(b)));
    sets.truncate(SETS);
    let mut wanted = Vec::new();
    for n in sets {
        let set = inquiry.joined.case.sets[n];
        let now = cars.cars_of(set);
        let times = ENOUGH / inquiry.effective[n].max(1.0);
        let all = whole(now as f64 * times).min(OF_A_SET * cars.count());
        let all = all.min(now + *room);
        if now > 0 && all > now {
            *room -= all - now;
            wanted.push((set, all));
        }
    }
    wanted
}
