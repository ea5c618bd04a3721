//! Numbers that are typed, where a list is longer than nine: the cursor goes to the number typed so
//! far, and nothing happens before Enter. A digit waits a moment for a second one; after that the
//! next digit begins a new number.

use chrono::TimeDelta;

use crate::tui::effect::Effect;
use crate::tui::model::{Model, Typed};
use crate::tui::theme::Role;

/// How long a digit waits for the next one.
const MOMENT: TimeDelta = TimeDelta::milliseconds(1_500);

/// One more digit.
pub fn digit(model: &mut Model, digit: u8) -> Vec<Effect> {
    let count = model.count();
    let at = model.now;
    let begun = model.number.take();
    let (mut digits, before) = begun
        .filter(|typed| (TimeDelta::zero()..=MOMENT).contains(&(at - typed.at)))
        .map_or_else(
            || (String::new(), model.picked()),
            |typed| (typed.digits, typed.before),
        );
    digits.push(char::from(b'0' + digit % 10));
    match digits.parse::<usize>() {
        Ok(n) if (1..=count).contains(&n) => {
            model.set_picked(Some(n - 1));
            model.notice = None;
            model.number = Some(Typed { digits, before, at });
        }
        // A zero at the front is the beginning of nothing, and no number yet.
        _ => {
            // What clears a stop is not left picked by the first digit of something else.
            model.set_picked(before.filter(|_| !model.is_stopped()));
            refuse(model, &digits);
        }
    }
    Vec::new()
}

/// Says that a list has no such number: a key that does nothing says why.
pub fn refuse(model: &mut Model, digits: &str) {
    let text = match model.count() {
        0 => "There is nothing to pick here.".to_owned(),
        1 => "There is 1 to pick here.".to_owned(),
        count => format!("There is no {digits} here: pick 1 to {count}."),
    };
    model.say(Role::Caution, text);
}
