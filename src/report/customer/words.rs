//! Words of the trade that stand on the page, each in a sentence for somebody who never heard it.

use crate::report::chart::Figure;
use crate::report::page::{Block, Item, Section, Set};
use crate::report::text::sentence;

/// A word, what gives it away on the page, and what it means.
const WORDS: [(&str, &[&str], &str); 7] = [
    (
        "Trim",
        &["trim"],
        "by how much the engine's computer changes the fuel it gives, because the mixture would not be \
         right otherwise.",
    ),
    (
        "Bank 1, bank 2",
        &["bank 1", "bank 2"],
        "the rows of cylinders of the engine. An engine with one row has bank 1 alone.",
    ),
    (
        "Too lean, too rich",
        &["too lean", "too rich"],
        "too much air for the fuel, or too little.",
    ),
    (
        "Wisp, steady, heavy",
        &["wisp", "(steady)", "(heavy)"],
        "how strongly smoke came out at a place, from hardly to thickly.",
    ),
    (
        "Idle control",
        &["idle control"],
        "what lets air into the engine while nobody presses the pedal.",
    ),
    (
        "Mid-sweep, low end",
        &["mid-sweep", "low end"],
        "in the middle, and at the lowest pressure, of the range over which a sensor was compared with \
         a gauge.",
    ),
    (
        "kPa",
        &["kpa"],
        "a pressure; the air around us has about 100 kPa.",
    ),
];

/// The words that stand in these sections.
pub fn section(sections: &[Section]) -> Option<Section> {
    let all: Vec<String> = sections
        .iter()
        .flat_map(|section| &section.blocks)
        .flat_map(texts)
        .map(str::to_lowercase)
        .collect();
    let items: Vec<Item> = WORDS
        .iter()
        .filter(|(_, marks, _)| {
            let stands = |mark: &&str| all.iter().any(|text| text.contains(*mark));
            marks.iter().any(stands)
        })
        .map(|(word, _, meaning)| Item {
            head: (*word).to_owned(),
            text: sentence(meaning),
            more: Vec::new(),
        })
        .collect();
    let blocks = if items.is_empty() {
        Vec::new()
    } else {
        vec![Block::List(items)]
    };
    Section::of("Words on this page", blocks).map(|section| section.set(Set::Small))
}

/// What the workshop says in a block; what the customer said is left out.
fn texts(block: &Block) -> Vec<&str> {
    match block {
        Block::Quote(_) | Block::Table(_) => Vec::new(),
        Block::Heading(words) | Block::Text(words) => vec![words],
        Block::Result { words, more, .. } => {
            let more = more.iter().map(String::as_str);
            std::iter::once(words.as_str()).chain(more).collect()
        }
        Block::Point(item) => vec![&item.head, &item.text],
        Block::List(items) | Block::Warning(items) => items
            .iter()
            .flat_map(|item| [item.head.as_str(), item.text.as_str()])
            .collect(),
        Block::Facts(pairs) => pairs
            .iter()
            .flat_map(|(name, value)| [name.as_str(), value.as_str()])
            .collect(),
        // A curve says itself how it is read, and a text has none.
        Block::Charts(figures) => figures
            .iter()
            .filter(|figure| matches!(figure, Figure::Bars(_)))
            .flat_map(|figure: &Figure| [figure.title(), figure.reading(), figure.about()])
            .collect(),
    }
}
