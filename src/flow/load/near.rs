//! The known word that is nearest to one that was written.

/// Words in a row, and how many more there are where they would fill the screen.
pub fn listed(words: &[&str]) -> String {
    const MOST: usize = 12;
    let row = words.iter().take(MOST).copied().collect::<Vec<_>>();
    let more = words.len().saturating_sub(MOST);
    match more {
        0 => row.join(", "),
        _ => format!("{} and {more} more", row.join(", ")),
    }
}

/// The known word that is closest to a mistyped one, if any is close at all.
pub fn nearest<'k>(word: &str, known: &[&'k str]) -> Option<&'k str> {
    let lower = word.to_lowercase().replace(['_', ' '], "-");
    known
        .iter()
        .map(|k| {
            (
                strsim::damerau_levenshtein(&lower, &k.to_lowercase().replace(['_', ' '], "-")),
                *k,
            )
        })
        .filter(|(distance, k)| *distance <= 1 + k.chars().count() / 4)
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, k)| k)
        .or_else(|| the_one_within(&lower, known))
        .or_else(|| the_one_that_begins(&lower, known))
}

/// A letter or two in a long word, which is a slip of the finger.
pub(super) fn is_a_slip(word: &str, near: &str) -> bool {
    let distance = strsim::damerau_levenshtein(&word.to_lowercase(), &near.to_lowercase());
    distance * 4 <= near.chars().count()
}

/// The only known word that stands as a whole within the one that was written, as `bearing` does in
/// `Fan bearing worn`.
fn the_one_within<'k>(lower: &str, known: &[&'k str]) -> Option<&'k str> {
    let padded = format!("-{lower}-");
    let mut within = known.iter().filter(|k| {
        let k = k.to_lowercase().replace(['_', ' '], "-");
        k.chars().count() > 2 && padded.contains(&format!("-{k}-"))
    });
    let only = within.next()?;
    within.next().is_none().then_some(*only)
}

/// The only known word that goes on where the one that was written ends, as `end-pressure` does after `end`.
fn the_one_that_begins<'k>(lower: &str, known: &[&'k str]) -> Option<&'k str> {
    let begins = format!("{lower}-");
    let mut longer = known.iter().filter(|k| {
        lower.chars().count() > 2
            && k.to_lowercase()
                .replace(['_', ' '], "-")
                .starts_with(&begins)
    });
    let only = longer.next()?;
    longer.next().is_none().then_some(*only)
}
