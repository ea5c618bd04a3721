//! Who is at the keys: said by somebody, or guessed until then.

use uuid::Uuid;

use super::{Demo, Model};

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

    /// Somebody has said who goes on with the job on screen.
    pub fn is_here(&mut self, who: String) {
        if let Some(open) = &self.open {
            self.said_at.push((open.id, who.clone()));
        }
        self.is(who);
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

    /// Whether it must be asked who goes on with a job on which this person wrote last. Nobody is taken for that person
    /// unasked, nor for whoever said so at another car: cautions that they have read count for them alone. A pipe is asked
    /// nothing, and of exercises and demo jobs only once.
    pub fn asks_who(&self, job: Uuid, last: &str) -> bool {
        let of_the_workshop = !self.practice && self.demo == Demo::No;
        let is_said = self
            .said_at
            .iter()
            .any(|(at, who)| *at == job && *who == self.who);
        (self.who_is_guessed || of_the_workshop && !is_said)
            && self.asks_to_wait
            && last != self.who
    }
}
