//! Words for how likely something is: the seven of ICD 203 (2015), each with its range and the
//! middle that is reckoned with.

/// The seven words, from least to most likely, with their ranges (Intelligence Community
/// Directive 203, 2015) and middles.
pub const WORDS: [(&str, (f64, f64), f64); 7] = [
    ("almost no chance", (0.01, 0.05), 0.03),
    ("very unlikely", (0.05, 0.20), 0.125),
    ("unlikely", (0.20, 0.45), 0.325),
    ("roughly even chance", (0.45, 0.55), 0.50),
    ("likely", (0.55, 0.80), 0.675),
    ("very likely", (0.80, 0.95), 0.875),
    ("almost certain", (0.95, 0.99), 0.97),
];

/// Reads one of the words, or a share such as `15 %` or `0.15`.
pub fn parse(text: &str) -> Option<f64> {
    let text = text.trim();
    if let Some((_, _, middle)) = WORDS.iter().find(|(word, ..)| *word == text) {
        return Some(*middle);
    }
    let share = match text.strip_suffix('%') {
        Some(percent) => percent.trim().parse::<f64>().ok()? / 100.0,
        None => text.parse::<f64>().ok()?,
    };
    (share > 0.0 && share < 1.0).then_some(share)
}

/// The word whose range holds a probability.
pub fn word(probability: f64) -> &'static str {
    WORDS
        .iter()
        .find(|(_, (_, to), _)| probability < *to)
        .map_or("almost certain", |(word, ..)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_and_shares_are_read_and_anything_else_is_not() {
        assert_eq!(parse("very likely"), Some(0.875));
        assert_eq!(parse("15 %"), Some(0.15));
        assert_eq!(parse("0.2"), Some(0.2));
        for nonsense in ["", "maybe", "0", "1", "120 %", "nan", "-1 %"] {
            assert_eq!(parse(nonsense), None, "{nonsense}");
        }
    }

    #[test]
    fn every_middle_lies_in_the_range_of_its_own_word() {
        for (name, _, middle) in WORDS {
            assert_eq!(word(middle), name);
        }
        assert_eq!(word(0.0), "almost no chance");
        assert_eq!(word(1.0), "almost certain");
    }
}
