//! The explanations, from what is wrong with the text of the file to what a whole flow must hold.

mod text;
mod whole;

use super::Explanation;

/// All of them.
pub(super) fn explanations() -> impl Iterator<Item = &'static Explanation> {
    text::EXPLANATIONS.iter().chain(whole::EXPLANATIONS)
}
