//! Parts that are opened and repaired in the bay, and what that costs.

use super::{Bay, ports};
use crate::practice::log::{PartSeen, Repair, costs};

impl<'p> Bay<'p> {
    /// Whether a cause is on the car and makes the complaint.
    fn is_needed(&self, cause: &str) -> bool {
        self.drawn.hidden.iter().any(|hidden| hidden == cause) && self.drive.left(cause)
    }

    /// The part of a cause is taken off and opened: that takes a share of the repair's minutes, once in a test, and
    /// stays spent where it is put back.
    pub fn open_part(&mut self, cause: &str) {
        let test = self.test();
        if self.is_part_open(cause) {
            return;
        }
        let minutes = self.work_on(cause, costs::OPENING);
        let advised = self.log.is_advised(cause, test);
        self.log.opened.push(PartSeen {
            cause: cause.to_owned(),
            needed: self.is_needed(cause),
            test,
            minutes,
            blind: self.log.read_in.is_empty() && !advised,
        });
        let covers = self.drive.covers_on(cause);
        if self.fed.is_some() || !covers.is_empty() {
            self.drive.uncover_at(&covers);
            self.fed = None;
            self.drive.feed(None);
            self.changed();
        }
    }

    /// What must be off before the part of a cause can be, in words: the cover at its place, and the supply.
    pub fn comes_off_with(&self, cause: &str) -> Vec<String> {
        if self.is_part_open(cause) {
            return Vec::new();
        }
        let covers = self.drive.covers_on(cause).into_iter();
        let mut off: Vec<String> = covers
            .map(|place| format!("the cover at {place}"))
            .collect();
        if self.fed.is_some() {
            off.push("the supply".to_owned());
        }
        off
    }

    /// What a step opened that no step closes again: it is shut as the car is put together after a repair.
    pub fn ports_open(&self) -> Vec<&'p str> {
        ports(self.plan)
            .filter(|port| !self.drive.is_closed(port))
            .collect()
    }

    /// Whether the part of a cause was taken off and seen in this test.
    pub fn is_part_open(&self, cause: &str) -> bool {
        let test = self.test();
        let mut opened = self.log.opened.iter();
        opened.any(|part| part.cause == cause && part.test == test)
    }

    /// Spends a share of a repair's minutes; how many those are.
    fn work_on(&mut self, cause: &str, share: f64) -> f64 {
        let known = self.plan.flow.cause(cause);
        let (name, minutes) =
            known.map_or((cause, 0.0), |cause| (cause.name.as_str(), cause.minutes));
        let (test, minutes) = (self.test(), share * minutes);
        self.log
            .spend(cause, &format!("repair: {name}"), test, minutes);
        minutes
    }

    /// A cause is repaired, and the next test begins. What was closed or covered by hand elsewhere stays so: to open it
    /// again is for the hands that closed it.
    pub fn repair(&mut self, cause: &str) {
        self.open_part(cause);
        self.work_on(cause, 1.0 - costs::OPENING);
        self.log.repairs.push(Repair {
            cause: cause.to_owned(),
            needed: self.is_needed(cause),
            test: self.test(),
        });
        self.drive.mend(cause);
        for port in ports(self.plan) {
            self.drive.close(port);
        }
        self.in_place.clear();
        self.wanted.clear();
        self.wanted_open.clear();
        self.state += 1;
        self.stale();
    }

    /// Whether what is bad about a part is too small to explain the complaint.
    pub fn part_is_harmless(&self, cause: &str) -> bool {
        self.part_is_bad(cause) && !self.is_needed(cause)
    }

    /// Whether a part that is opened looks bad: it is on the car and was not repaired.
    pub fn part_is_bad(&self, cause: &str) -> bool {
        let mut present = self.drawn.car.causes.iter();
        present.any(|present| present.cause == cause) && self.drive.left(cause)
    }
}
