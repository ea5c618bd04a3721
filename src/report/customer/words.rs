//! Words of the trade that stand on the page, each in a sentence for somebody who never heard it.

use crate::report::chart::Figure;
use crate::report::page::{Block, Item, Section, Set};
use crate::report::text::sentence;

/// The test smoke.
const SMOKE: &str = "Smoke";

/// A word, what gives it away on the page, and what it means.
const WORDS: [(&str, &[&str], &str); 17] = [
    (
        SMOKE,
        &["smoke"],
        "a thin white test smoke of our own. Where we use it, we let it in at very low pressure and look where it \
         comes out. It does not come from your engine.",
    ),
    (
        "Trouble code",
        &["code"],
        "a fault that the car's computer has noticed and written down.",
    ),
    (
        "Trim",
        &["trim"],
        "by how much the car's computer changes the fuel it gives, because the mixture would not be \
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
        "how strongly it showed at a place where we looked, from hardly to very plainly.",
    ),
    (
        "Intake, manifold",
        &["intake", "manifold"],
        "the duct and the branched pipe through which the engine draws its air.",
    ),
    (
        "Exhaust manifold",
        &[EXHAUST_MANIFOLD],
        "the branched pipe through which the exhaust leaves the engine.",
    ),
    (
        "Unmetered air",
        &["unmetered"],
        "air that gets into the engine past the sensor that measures it, so that its fuel is not reckoned right.",
    ),
    (
        "Throttle shaft",
        &["throttle shaft"],
        "the axle of the flap that the accelerator pedal opens.",
    ),
    (
        "Brake booster",
        &["brake booster"],
        "what makes the brake pedal light; it works by the engine's suction, through a hose.",
    ),
    (
        "Crankcase breather",
        &["breather"],
        "the hose that leads gases from inside the engine back into its intake.",
    ),
    (
        "Recirculation valve",
        &["recirculation valve"],
        "a valve that leads a little exhaust gas back into the engine.",
    ),
    (
        "Baseline, aim",
        &["baseline", "above its aim"],
        "how the engine ran, or is meant to run, when all is well.",
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

/// The other manifold of an engine: where it is named, the bare word may mean either.
const EXHAUST_MANIFOLD: &str = "exhaust manifold";

/// The words that stand in these sections. Where no smoke of the workshop's was used, what is called so is none of it.
pub fn section(sections: &[Section], smoke_was_used: bool) -> Option<Section> {
    let all: Vec<String> = sections
        .iter()
        .flat_map(|section| &section.blocks)
        .flat_map(texts)
        .map(str::to_lowercase)
        .collect();
    let either = all.iter().any(|text| text.contains(EXHAUST_MANIFOLD));
    let items: Vec<Item> = WORDS
        .iter()
        .filter(|(word, marks, _)| {
            if *word == SMOKE && !smoke_was_used {
                return false;
            }
            let stands = |mark: &&str| all.iter().any(|text| text.contains(*mark));
            marks
                .iter()
                .filter(|mark| !(either && **mark == "manifold"))
                .any(stands)
        })
        .map(|(word, _, meaning)| Item {
            head: if either && *word == "Intake, manifold" {
                "Intake, intake manifold".to_owned()
            } else {
                (*word).to_owned()
            },
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
        // What there is to see stands in the picture of a curve; its title and how it is read stand beside it.
        Block::Charts(figures) => figures
            .iter()
            .flat_map(|figure| match figure {
                Figure::Bars(_) => vec![figure.title(), figure.reading(), figure.about()],
                Figure::Plot(_) => vec![figure.title(), figure.reading()],
            })
            .collect(),
    }
}
