//! Numbers that are typed, where a list is longer than nine: the cursor goes to the number typed so
//! far, and nothing happens before Enter.

use crate::tui::effect::Effect;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// One more digit.
pub fn digit(model: &mut Model, digit: u8) -> Vec<Effect> {
    let count = model.count();
    let (mut typed, before) = model
        .number
        .take()
        .unwrap_or_else(|| (String::new(), model.picked()));
    typed.push(char::from(b'0' + digit % 10));
    match typed.parse::<usize>() {
        Ok(n) if (1..=count).contains(&n) => {
            model.set_picked(Some(n - 1));
            model.notice = None;
            model.number = Some((typed, before));
        }
        // A zero at the front is the beginning of nothing, and no number yet.
        _ => {
            model.set_picked(before);
            model.say(
                Role::Caution,
                format!("There is no {typed} here: the list goes from 1 to {count}."),
            );
        }
    }
    Vec::new()
}
