//! The checker at work beside the screens: it takes a moment, and nobody waits for it.

use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

use crate::check::shelf::{Found, owners};
use crate::flow::shelf::{Shelf, Shelved};

/// Checks the owner's flows in the background.
#[derive(Default)]
pub struct Checker {
    results: Option<Receiver<Vec<Found>>>,
}

impl Checker {
    /// Begins to look at the flows on a shelf. What an earlier look has not said yet is forgotten.
    pub fn look_at(&mut self, shelf: &Shelf) {
        self.results = None;
        if !shelf.iter().any(Shelved::is_owners) {
            return;
        }
        let (say, results) = channel();
        let shelf = shelf.clone();
        let work = move || {
            // Nobody listens any more where the flows have changed again.
            let _ = say.send(owners(&shelf));
        };
        // Without a thread to spare the flows stay unchecked, as they would without this.
        if thread::Builder::new().spawn(work).is_ok() {
            self.results = Some(results);
        }
    }

    /// Whether a look is still going on.
    pub fn is_looking(&self) -> bool {
        self.results.is_some()
    }

    /// What was found, once.
    pub fn found(&mut self) -> Option<Vec<Found>> {
        match self.results.as_ref()?.try_recv() {
            Ok(found) => {
                self.results = None;
                Some(found)
            }
            Err(TryRecvError::Empty) => None,
            Err(TryRecvError::Disconnected) => {
                self.results = None;
                None
            }
        }
    }
}
