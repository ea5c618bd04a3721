//! The owner's flows on a shelf, each as the checker sees it.
//!
//! The flows that come with the program are clean, which a test asserts, and are not looked at.

use super::{Source, check};
use crate::flow::finding::Finding;
use crate::flow::shelf::Shelf;

/// What was found in a text, which is named by its hash.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// The text's hash.
    pub hash: String,
    /// Everything that was found in it.
    pub findings: Vec<Finding>,
}

/// Checks the owner's flows, each by itself and all together with the others on the shelf.
pub fn owners(shelf: &Shelf) -> Vec<Found> {
    let own = shelf.iter().filter(|flow| flow.is_owners());
    let (hashes, sources): (Vec<&String>, Vec<Source>) = own
        .map(|flow| {
            let (name, text) = (flow.origin.clone(), flow.text.clone());
            (&flow.hash, Source { name, text })
        })
        .unzip();
    let checked = check(&sources, shelf).into_iter();
    hashes
        .into_iter()
        .zip(checked)
        .map(|(hash, checked)| Found {
            hash: hash.clone(),
            findings: checked.findings,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flow::finding::{Severity, code};

    const RING: &str = "flow: ring\ntitle: Ring\nsteps:\n  \
        - {id: a, phase: symptom, do: Look., outcomes: [{when: always, go: a}]}\n";

    #[test]
    fn only_the_owners_flows_are_looked_at_and_what_is_found_is_noted_beside_them() {
        let mut shelf = Shelf::shipped();
        assert_eq!(owners(&shelf), []);
        shelf.put("my-flows/ring.yaml", RING);
        let found = owners(&shelf);
        assert_eq!(found.len(), 1);
        for found in found {
            shelf.note(&found.hash, found.findings);
        }
        let ring = shelf.find("ring").expect("it loads");
        assert!(ring.has_mistakes());
        assert_eq!(ring.findings[0].code, code::NO_WAY_OUT);
        assert_eq!(ring.count(Severity::Warning), 0);
        assert!(shelf.iter().filter(|flow| flow.has_mistakes()).count() == 1);
    }

    #[test]
    fn what_was_found_in_an_older_text_is_not_noted_beside_a_newer_one() {
        let mut shelf = Shelf::default();
        shelf.put("ring.yaml", RING);
        let found = owners(&shelf);
        shelf.put("ring.yaml", &RING.replace("go: a}", "go: done}"));
        shelf.note(&found[0].hash, found[0].findings.clone());
        assert!(!shelf.find("ring").expect("it loads").has_mistakes());
    }
}
