//! The record must outlive everything: a closed window, a killed program, a second window, a trip
//! through a file. Jobs told as short stories, and the tests of the record that they are for.

mod arbitrary;
mod files;
mod foreign;
mod kept;
mod killed;
mod search;
mod writers;

use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use ruleout::engine::event::{Event, Opening, Vehicle, What};
use ruleout::job::sqlite::{FILE, SqliteStore};
use ruleout::units::Quantity;
use uuid::Uuid;

/// A job being told, event by event.
pub struct Story {
    pub job: Uuid,
    pub events: Vec<Event>,
}

/// A car comes in.
pub fn job(plate: &str, complaint: &str) -> Story {
    let opening = Opening {
        vehicle: Vehicle {
            plate: plate.into(),
            model: "Brenta Sella 1.6 (2014)".into(),
            ..Vehicle::default()
        },
        complaint: complaint.into(),
        symptoms: vec!["rough idle".into()],
        codes: vec!["P0171".into()],
        bay: "2".into(),
        ..Opening::default()
    };
    Story {
        job: Uuid::now_v7(),
        events: Vec::new(),
    }
    .then(What::JobOpened(opening))
}

impl Story {
    pub fn then(mut self, what: What) -> Self {
        let seq = self.events.len() as u64 + 1;
        self.events.push(Event {
            id: Uuid::now_v7(),
            seq,
            at: noon() + TimeDelta::minutes(seq.cast_signed()),
            who: "Ina".into(),
            what,
        });
        self
    }

    pub fn remark(self, text: &str) -> Self {
        self.then(What::Remark { text: text.into() })
    }

    /// Moves every event in time.
    pub fn later(mut self, by: TimeDelta) -> Self {
        for event in &mut self.events {
            event.at += by;
        }
        self
    }
}

pub fn noon() -> DateTime<Utc> {
    "2026-03-02T12:00:00Z".parse().expect("a time")
}

pub fn quantity(text: &str) -> Quantity {
    text.parse().expect("a quantity")
}

fn memory() -> SqliteStore {
    SqliteStore::in_memory().unwrap()
}

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().unwrap()
}

fn raw(dir: &Path) -> rusqlite::Connection {
    rusqlite::Connection::open(dir.join(FILE)).unwrap()
}
