//! Flows that were read before. A job carries the text of each of its flows, a board of jobs the same few texts
//! again and again, and to read one takes longer than all that a job does with it.

use std::sync::{Arc, Mutex, PoisonError};

use super::finding::Finding;
use super::load::load;
use super::model::Flow;

/// So many are kept, those that were wanted last.
const MOST: usize = 40;

/// Flows that were read, those that were wanted last at the end.
#[derive(Default)]
struct Kept(Mutex<Vec<(String, Arc<Flow>)>>);

/// The flow of a text, read anew only where it was not read before.
///
/// # Errors
/// What [`load`] has found, where the text is no flow.
pub fn kept(text: &str) -> Result<Arc<Flow>, Vec<Finding>> {
    static KEPT: Kept = Kept(Mutex::new(Vec::new()));
    KEPT.get(text)
}

impl Kept {
    fn get(&self, text: &str) -> Result<Arc<Flow>, Vec<Finding>> {
        let all = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let known = {
            let mut all = all();
            let place = all.iter().position(|(other, _)| other == text);
            place.map(|place| {
                // The last wanted stands last.
                all[place..].rotate_left(1);
                all[all.len() - 1].1.clone()
            })
        };
        if let Some(flow) = known {
            return Ok(flow);
        }
        // Nobody waits for a text that somebody else reads.
        let loaded = load(text);
        let flow = Arc::new(loaded.flow.ok_or(loaded.findings)?);
        let mut all = all();
        if all.len() >= MOST {
            all.remove(0);
        }
        all.push((text.to_owned(), Arc::clone(&flow)));
        Ok(flow)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_text_is_read_once_and_another_anew() {
        let text = |n: usize| {
            let own = crate::flow::shelf::shipped_texts().next().unwrap().1;
            format!("{own}\n# {n}\n")
        };
        // Its own, which no test beside it fills.
        let own = Kept::default();
        let first = own.get(&text(0)).unwrap();
        assert!(Arc::ptr_eq(&first, &own.get(&text(0)).unwrap()));
        assert!(!Arc::ptr_eq(&first, &own.get(&text(1)).unwrap()));
        assert!(!own.get("no flow").unwrap_err().is_empty());
    }
}
