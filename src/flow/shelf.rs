//! The flows at hand: those that come with the program, and the owner's own.
//!
//! An owner's flow with the id of a shipped one takes its place. Reading files is done elsewhere;
//! here come texts.

use std::sync::Arc;

use include_dir::{Dir, include_dir};

use super::finding::{Finding, Severity};
use super::load::load;
use super::model::Flow;

static SHIPPED: Dir<'static> = include_dir!("$CARGO_MANIFEST_DIR/flows");

/// How the origin of a shipped flow begins.
const SHIPPED_ORIGIN: &str = "shipped: ";

/// A flow on the shelf.
#[derive(Clone, Debug)]
pub struct Shelved {
    /// The flow.
    pub flow: Arc<Flow>,
    /// Its text.
    pub text: String,
    /// Hash of the text (BLAKE3, hexadecimal).
    pub hash: String,
    /// Where it comes from: a file's path, or "shipped".
    pub origin: String,
    /// What the checker has found in it; nothing where it has not looked yet.
    pub findings: Vec<Finding>,
}

impl Shelved {
    /// Whether it is the owner's own, and did not come with the program.
    pub fn is_owners(&self) -> bool {
        !self.origin.starts_with(SHIPPED_ORIGIN)
    }

    /// How many findings of a severity the checker has.
    pub fn count(&self, severity: Severity) -> usize {
        let of = |finding: &&Finding| finding.severity == severity;
        self.findings.iter().filter(of).count()
    }

    /// Whether the checker has found errors: such a flow can be walked, but may leave somebody
    /// standing, or lead where it should not.
    pub fn has_mistakes(&self) -> bool {
        self.count(Severity::Error) > 0
    }
}

/// A flow that could not be put on the shelf.
#[derive(Clone, Debug)]
pub struct Rejected {
    /// Where it comes from.
    pub origin: String,
    /// What is wrong with it.
    pub findings: Vec<Finding>,
}

/// The flows at hand.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    flows: Vec<Shelved>,
    /// Flows that have errors, so that the screen can say so.
    pub rejected: Vec<Rejected>,
    /// Flows that gave way to another of the same id, so that the screen can say so.
    pub replaced: Vec<Replaced>,
    /// Files beside the flows that are not read for their ending, such as `hose.yaml.txt`.
    pub unread: Vec<String>,
}

/// A flow that gave way to another of the same id.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Replaced {
    /// The id.
    pub id: String,
    /// Where the one comes from that is not offered.
    pub gone: String,
    /// Where the one comes from that is.
    pub by: String,
}

impl Replaced {
    /// Whether it came with the program: an owner who changes a shipped flow means it so.
    pub fn was_shipped(&self) -> bool {
        self.gone.starts_with(SHIPPED_ORIGIN)
    }
}

impl Shelf {
    /// The flows that come with the program.
    pub fn shipped() -> Self {
        let mut shelf = Self::default();
        for (name, text) in shipped_texts() {
            shelf.put(&format!("{SHIPPED_ORIGIN}{name}"), text);
        }
        shelf
    }

    /// Puts a flow on the shelf; one with the same id gives way.
    pub fn put(&mut self, origin: &str, text: &str) {
        let loaded = load(text);
        let origin = origin.to_owned();
        let Some(flow) = loaded.flow else {
            self.rejected.push(Rejected {
                origin,
                findings: loaded.findings,
            });
            return;
        };
        if let Some(gone) = self.find(&flow.id).filter(|gone| gone.origin != origin) {
            let replaced = Replaced {
                id: flow.id.clone(),
                gone: gone.origin.clone(),
                by: origin.clone(),
            };
            self.replaced.push(replaced);
        }
        self.flows.retain(|other| other.flow.id != flow.id);
        let hash = hash(text);
        self.flows.push(Shelved {
            flow: Arc::new(flow),
            text: text.to_owned(),
            hash,
            origin,
            findings: Vec::new(),
        });
        self.flows.sort_by(|a, b| a.flow.id.cmp(&b.flow.id));
    }

    /// Takes over from an earlier shelf the flows of files that are broken now: what was good stays
    /// at hand until it is mended. A flow of that id from another file comes first.
    pub fn keep_from(&mut self, before: &Self) {
        let broken = self.rejected.iter().map(|rejected| &rejected.origin);
        let good = |origin: &String| before.flows.iter().find(|flow| flow.origin == *origin);
        for kept in broken.filter_map(good) {
            let id = &kept.flow.id;
            if self.find(id).is_some_and(Shelved::is_owners) {
                continue;
            }
            self.flows.retain(|other| other.flow.id != *id);
            self.flows.push(kept.clone());
        }
        self.flows.sort_by(|a, b| a.flow.id.cmp(&b.flow.id));
    }

    /// Notes what the checker has found in the text with this hash. Another text that took its place
    /// meanwhile is another matter.
    pub fn note(&mut self, hash: &str, findings: Vec<Finding>) {
        if let Some(checked) = self.flows.iter_mut().find(|flow| flow.hash == hash) {
            checked.findings = findings;
        }
    }

    /// The flow with this id.
    pub fn find(&self, id: &str) -> Option<&Shelved> {
        self.flows.iter().find(|shelved| shelved.flow.id == id)
    }

    /// What a flow is called in a list: its title, and its id as well where another one has the same title.
    pub fn title_of(&self, flow: &Flow) -> String {
        let same = |other: &Shelved| {
            other.flow.id != flow.id && other.flow.title.to_lowercase() == flow.title.to_lowercase()
        };
        if self.flows.iter().any(same) {
            format!("{} ({})", flow.title, flow.id)
        } else {
            flow.title.clone()
        }
    }

    /// All flows, by id.
    pub fn iter(&self) -> impl Iterator<Item = &Shelved> {
        self.flows.iter()
    }
}

/// Name and text of the flows that come with the program.
pub fn shipped_texts() -> impl Iterator<Item = (&'static str, &'static str)> {
    SHIPPED
        .files()
        .filter(|file| file.path().extension().is_some_and(|e| e == "yaml"))
        .filter_map(|file| Some((file.path().file_name()?.to_str()?, file.contents_utf8()?)))
}

/// The name under which a job keeps a flow's text.
pub fn hash(text: &str) -> String {
    blake3::hash(text.as_bytes()).to_hex().to_string()
}
