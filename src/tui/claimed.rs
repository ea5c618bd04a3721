//! The claim on the job that is open here: one writer a job. Taken when the job is opened, renewed
//! while it is open, given back when it is left; the store does the rest (a window that was killed
//! holds nothing any more).

use chrono::{DateTime, TimeDelta, Utc};
use uuid::Uuid;

use crate::job::store::{Claim, Store, StoreError};

/// A claim is renewed after this long; the store lets it lapse after two minutes.
pub const RENEW: TimeDelta = TimeDelta::seconds(30);

/// The claim that is held here, if any.
#[derive(Debug, Default)]
pub struct Claimed {
    held: Option<(Uuid, DateTime<Utc>)>,
}

impl Claimed {
    /// Whether a job is held.
    pub fn holds(&self) -> bool {
        self.held.is_some()
    }

    /// Claims a job and gives any other back; why it can only be read, if that is so.
    pub fn take(
        &mut self,
        store: &mut dyn Store,
        job: Uuid,
        who: &str,
        how: Claim,
        now: DateTime<Utc>,
    ) -> Option<String> {
        if self.held.is_some_and(|(other, _)| other != job) {
            self.release(store);
        }
        match store.claim(job, who, how) {
            Ok(()) => {
                self.held = Some((job, now));
                None
            }
            Err(error) => {
                self.held = None;
                Some(why(&error))
            }
        }
    }

    /// Renews the claim when it is time; the job and why it is lost, if somebody has it now.
    pub fn renew(
        &mut self,
        store: &mut dyn Store,
        who: &str,
        now: DateTime<Utc>,
    ) -> Option<(Uuid, String)> {
        let (job, renewed) = self.held?;
        // A clock that was set back must not put the renewal off.
        if (now - renewed).abs() < RENEW {
            return None;
        }
        if let Err(error @ StoreError::Held { .. }) = store.claim(job, who, Claim::Politely) {
            self.held = None;
            return Some((job, why(&error)));
        }
        // Any other trouble is met again next time; each append checks the claim by itself.
        self.held = Some((job, now));
        None
    }

    /// Another writer was met: the claim is looked at anew with the next input.
    pub fn doubt(&mut self) {
        if let Some((_, renewed)) = &mut self.held {
            *renewed = DateTime::UNIX_EPOCH;
        }
    }

    /// Gives the claim back. If that fails it lapses by itself.
    pub fn release(&mut self, store: &mut dyn Store) {
        if let Some((job, _)) = self.held.take() {
            let _ = store.release(job);
        }
    }
}

/// Why a job can only be read, for people.
fn why(error: &StoreError) -> String {
    match error {
        StoreError::Held { number, by } => format!("job {number} is open elsewhere: {by}"),
        other => other.to_string(),
    }
}
