//! What was tested, and why, a few sentences a flow.

use crate::report::case::Case;
use crate::report::page::{Block, Item, Section};
use crate::report::text::{joined, sentence, stopped};
use crate::report::walked::{Begun, begun};

/// One paragraph for each flow.
pub fn section(case: &Case) -> Option<Section> {
    let mut blocks = Vec::new();
    let mut said: Vec<&str> = Vec::new();
    for (n, run) in case.job.runs.iter().enumerate() {
        if said.contains(&run.flow.title.as_str()) {
            continue;
        }
        said.push(&run.flow.title);
        let mut words = vec![stopped(&run.flow.summary)];
        words.push(match begun(case, n, run) {
            Begun::Led(because) => format!(
                "The test before it ended with: \u{201c}{}\u{201d} So we went on to this one.",
                stopped(&sentence(&because))
            ),
            Begun::Answers(all) => format!("We began it because of: {}.", joined(&all)),
            Begun::Own => "We chose it from experience.".to_owned(),
        });
        words.retain(|w| !w.trim().is_empty());
        blocks.push(Block::Point(Item {
            head: run.flow.title.clone(),
            text: words.join(" "),
            more: Vec::new(),
        }));
    }
    blocks.extend(codes(case));
    Section::of("What we tested, and why", blocks)
}

/// What the control unit had stored when the car came.
fn codes(case: &Case) -> Option<Block> {
    let codes = case.job.codes.as_ref()?;
    let stored: Vec<&str> = codes.stored.iter().map(String::as_str).collect();
    let words = match stored.as_slice() {
        [] => "Before we changed anything we saved what the car's computer had stored: no trouble \
               code."
            .to_owned(),
        all => format!(
            "Before we changed anything we saved what the car's computer had stored: {}.",
            joined(all)
        ),
    };
    Some(Block::Text(words))
}
