//! Loading causes and their odds.

use super::super::finding::code;
use super::super::model::Cause;
use super::super::node::Node;
use super::fields::{Fields, Findings, nearest};
use super::prompts::entries;

/// The cause that is always there: none of those listed.
pub const NOT_LISTED: &str = "not-listed";

/// The seven words of ICD 203 (2015) with the middle of their ranges.
const WORDS: [(&str, f64); 7] = [
    ("almost no chance", 0.03),
    ("very unlikely", 0.125),
    ("unlikely", 0.325),
    ("roughly even chance", 0.50),
    ("likely", 0.675),
    ("very likely", 0.875),
    ("almost certain", 0.97),
];

/// Loads causes.
pub fn causes(node: &Node, out: &mut Findings) -> Vec<Cause> {
    entries(node, "causes", out)
        .into_iter()
        .filter_map(|(id, key, value)| {
            let fields = Fields::of(
                value,
                "a cause",
                &["name", "odds", "repair", "minutes"],
                out,
            )?;
            let odds = odds(&fields, out);
            let name = fields
                .text("name", out)
                .unwrap_or_else(|| id.replace('-', " "));
            let listed = id != NOT_LISTED;
            let repair = if listed {
                fields.need_text("repair", out)
            } else {
                Some(String::new())
            };
            let minutes = fields.number("minutes", 0.0..=10_000.0, out).unwrap_or(0.0);
            Some(Cause {
                id,
                name,
                odds: odds?,
                repair: repair?,
                minutes,
                place: key.place,
            })
        })
        .collect()
}

fn odds(fields: &Fields, out: &mut Findings) -> Option<f64> {
    let node = fields.need("odds", out)?;
    let text = node.text().unwrap_or_default().trim();
    if let Some((_, middle)) = WORDS.iter().find(|(word, _)| *word == text) {
        return Some(*middle);
    }
    let share = match text.strip_suffix('%') {
        Some(percent) => percent.trim().parse::<f64>().map(|p| p / 100.0),
        None => text.parse::<f64>(),
    };
    match share {
        Ok(share) if share > 0.0 && share < 1.0 => Some(share),
        _ => {
            out.error(
                code::UNKNOWN_WORD,
                node.place,
                format!("`{text}` says no odds"),
                match nearest(text, &WORDS.map(|(word, _)| word)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => format!(
                        "write one of: {}; or a share such as 15 %",
                        WORDS.map(|(word, _)| word).join(", ")
                    ),
                },
            );
            None
        }
    }
}
