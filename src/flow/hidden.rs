//! Characters that a reader cannot see but a terminal obeys.
//!
//! Job files spell them out and the command line leaves them away, so that a plate or a remark
//! from a stranger's file can neither move the cursor nor show text in another order.

/// Whether a character has no picture of its own: controls, line separators, marks that turn the
/// direction of writing, invisible tags, and code points that are no characters at all. Newline and
/// tab count as hidden too.
///
/// Joiners (U+200C, U+200D) are not hidden: several scripts cannot be written without them.
pub fn is_hidden(c: char) -> bool {
    let code = u32::from(c);
    c.is_control()
        // No characters (Unicode 16.0, 23.7). YAML does not even allow some of them to stand.
        || code & 0xFFFE == 0xFFFE
        || (0xFDD0..=0xFDEF).contains(&code)
        || matches!(
            c,
            // Direction of writing (Unicode Standard Annex 9, explicit formatting and marks).
            '\u{061C}' | '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}'
            // Line and paragraph separator, zero-width space, word joiner, byte-order mark.
            | '\u{2028}' | '\u{2029}' | '\u{200B}' | '\u{2060}' | '\u{FEFF}'
            // Interlinear annotation and tags.
            | '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E007F}'
        )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn controls_and_direction_marks_are_hidden_and_letters_are_not() {
        for c in [
            '\u{1b}', '\u{7f}', '\u{9b}', '\u{202e}', '\u{2066}', '\u{2028}', '\n', '\0',
        ] {
            assert!(is_hidden(c), "{c:?}");
        }
        for c in ['a', 'ß', '漢', '\u{200d}', '°', ' ', '🔧'] {
            assert!(!is_hidden(c), "{c:?}");
        }
    }
}
