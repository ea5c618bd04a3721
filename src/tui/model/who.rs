//! Who is at the keys: said by somebody, or guessed until then.

use super::Model;
use crate::tui::clean::clean;
use crate::tui::keys::{self, Context};
use crate::tui::message::Act;
use crate::tui::theme::Role;

impl Model {
    /// Whether who is at the keys may be said: in a job of somebody else's window there is nothing to write.
    pub fn may_say_who(&self) -> bool {
        !self.is_held() && !self.is_stopped()
    }

    /// Somebody has said who is at the keys.
    pub fn is(&mut self, who: String) {
        self.who = who;
        self.who_is_guessed = false;
    }

    /// As long as nobody has said who is at the keys, it is one of the people of the settings: the first.
    pub fn guess_from_people(&mut self) {
        let people = &self.settings.people;
        if let Some(first) = people.first()
            && self.who_is_guessed
            && !people.contains(&self.who)
        {
            self.who.clone_from(first);
        }
    }

    /// As long as nobody has said who is at the keys, it is whoever wrote last on the job that is opened: after a
    /// crash the same person goes on, and no caution is asked about again under another name.
    pub fn guess_who(&mut self, last: &str) {
        if !self.who_is_guessed || last == self.who {
            return;
        }
        last.clone_into(&mut self.who);
        let key = keys::shown(self, Act::Who, Context::Ways);
        let text = format!(
            "Going on as {}, who worked on it last. Somebody else? \"who works\" ({key}) says so.",
            clean(last)
        );
        self.say(Role::Plain, text);
    }
}
