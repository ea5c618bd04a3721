//! A figure and its unit on one line: nobody reads "12" at the end of one and "inH2O" at the
//! beginning of the next as one value.

use super::Unit;

/// A blank at which no line is broken.
pub const NO_BREAK: char = '\u{a0}';

/// The text with a no-break space between each figure and the unit behind it, and within hours and minutes.
pub fn together(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 8);
    let (mut figure, mut hours) = (false, false);
    let mut words = text.split(' ').peekable();
    let mut first = true;
    while let Some(word) = words.next() {
        let is = is_figure(word);
        let minutes = is && words.peek().is_some_and(|next| bare_unit(next) == "min");
        if !first {
            let stays = (figure && begins_with_unit(word)) || (hours && minutes);
            out.push(if stays { NO_BREAK } else { ' ' });
        }
        out.push_str(word);
        hours = figure && word == "h";
        (figure, first) = (is, false);
    }
    out
}

/// Whether a word ends in a figure: "12", "(0.5", "-1.5", "5..12"; "P0171" and "bank-1" are names.
fn is_figure(word: &str) -> bool {
    let bare = word.trim_start_matches(['(', '[', '"', '+', '-', '\u{2212}', '<', '>', '~']);
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '/');
    bare.ends_with(|c: char| c.is_ascii_digit())
        && bare.starts_with(|c: char| c.is_ascii_digit())
        && bare.chars().all(digits)
}

/// Whether a word is a unit, whatever marks stand behind it.
fn begins_with_unit(word: &str) -> bool {
    let bare = bare_unit(word);
    !bare.is_empty() && Unit::named(bare).is_some()
}

/// A word to the end of its line, without the marks behind it.
fn bare_unit(word: &str) -> &str {
    let line = word.split('\n').next().unwrap_or_default();
    line.trim_end_matches(['.', ',', ';', ':', ')', ']', '"', '?', '!'])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn glued(text: &str) -> String {
        together(text).replace(NO_BREAK, "_")
    }

    #[test]
    fn a_figure_stays_with_its_unit_and_with_nothing_else() {
        assert_eq!(
            glued("begin at 14 inH2O, read 120 s later; (10 to 12 inH2O)."),
            "begin at 14_inH2O, read 120_s later; (10 to 12_inH2O)."
        );
        assert_eq!(
            glued("8.5 % (5 to 12 %): -1.5 kPa"),
            "8.5_% (5 to 12_%): -1.5_kPa"
        );
        assert_eq!(
            glued("in 2 h 49 min, then 3 h; 5 h 2 of 3"),
            "in 2_h_49_min, then 3_h; 5_h 2 of 3"
        );
        assert_eq!(glued("step 2 of 14, P0171 s"), "step 2 of 14, P0171 s");
        assert_eq!(glued("  12  kPa 3\ns"), "  12  kPa 3\ns");
    }
}
