//! Ids: what one may be, and what was meant by one that cannot be.

use super::super::finding::code;
use super::super::node::Place;
use super::super::values::TEST_NUMBER;
use super::fields::Findings;

/// Checks an id: lower-case words with hyphens, so that it can be read aloud and typed anywhere.
pub fn check_id(id: &str, place: Place, out: &mut Findings) {
    let fits = !id.is_empty()
        && id.len() <= 60
        && id.starts_with(|c: char| c.is_ascii_lowercase())
        && id
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
    if !fits {
        out.error(
            code::BAD_ID,
            place,
            format!("`{id}` cannot be an id"),
            format!(
                "use small letters, digits and hyphens, a letter first, such as {}",
                like_id(id)
            ),
        );
    }
}

/// Checks an id of something that conditions can name: one is taken in every flow.
pub fn check_free(id: &str, place: Place, out: &mut Findings) {
    if id == TEST_NUMBER {
        out.error(
            code::SAME_ID,
            place,
            format!("`{TEST_NUMBER}` is the number of the test, which every flow has by itself"),
            "give this one another id, here and where it is named",
        );
    }
}

/// Ids as they are written, and those that were meant by what cannot be one: what names these is not
/// reported beside the id itself.
pub fn with_those_meant<'i>(ids: impl Iterator<Item = &'i str>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for id in ids {
        for id in [id.to_owned(), like_id(id)] {
            if !all.contains(&id) {
                all.push(id);
            }
        }
    }
    all
}

/// Of ids as [`with_those_meant`] gives them, those that somebody wrote: to offer one that stands nowhere
/// helps nobody.
pub fn as_written(ids: &[String]) -> impl Iterator<Item = &str> {
    let is_meant = |id: &String| {
        let mut others = ids.iter().filter(|other| *other != id);
        others.any(|other| like_id(other) == *id)
    };
    ids.iter()
        .filter(move |id| !is_meant(id))
        .map(String::as_str)
}

/// Letters with marks on them as they are written without.
fn in_plain_letters(text: &str) -> String {
    const PLAIN: [(&str, &str); 9] = [
        ("ä", "ae"),
        ("ö", "oe"),
        ("ü", "ue"),
        ("ß", "ss"),
        ("é", "e"),
        ("è", "e"),
        ("ñ", "n"),
        ("ç", "c"),
        ("å", "a"),
    ];
    let plain = |text: String, (marked, plain): &(&str, &str)| text.replace(marked, plain);
    PLAIN.iter().fold(text.to_owned(), plain)
}

/// The id that was probably meant.
fn like_id(text: &str) -> String {
    let lower = in_plain_letters(&text.to_lowercase());
    let words: Vec<&str> = lower
        .split(|c: char| !c.is_ascii_lowercase() && !c.is_ascii_digit())
        .filter(|word| !word.is_empty())
        .collect();
    let id: String = words.join("-").chars().take(60).collect();
    if id.starts_with(|c: char| c.is_ascii_lowercase()) {
        id
    } else {
        "smoke-flow".to_owned()
    }
}
