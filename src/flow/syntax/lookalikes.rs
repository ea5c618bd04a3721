//! Letters that look like others: what was copied from a page or typed on another keyboard.

use super::{Slip, Spot};

/// The colon of full width, as some keyboards give it.
const WIDE_COLON: char = '\u{ff1a}';

/// A blank that is none to the library, where a line is indented. It stumbles over the line itself or
/// over the next one.
pub(super) fn blank(spot: &Spot) -> Option<Slip> {
    let above = spot.text.get(..spot.line_start)?.trim_end_matches('\n');
    let above = above.rfind('\n').map_or(0, |at| at + 1);
    [spot.line_start, above].into_iter().find_map(|start| {
        let line = spot.text.get(start..)?.split('\n').next()?;
        let indent = line.get(..line.len() - line.trim_start().len())?;
        let (at, c) = indent
            .char_indices()
            .find(|(_, c)| !matches!(c, ' ' | '\t' | '\r'))?;
        Some(Slip {
            start: start + at,
            end: start + at + c.len_utf8(),
            message: "this line is indented with a blank of another kind (such as a no-break space)"
                .to_owned(),
            help: "delete everything before its first letter and type plain spaces, as many as in the lines beside it"
                .to_owned(),
        })
    })
}

/// A blank that is none to the library, behind the colon of a key. It stumbles over the line itself or over the next.
pub(super) fn behind_colon(spot: &Spot) -> Option<Slip> {
    let above = spot.text.get(..spot.line_start)?.trim_end_matches('\n');
    let above = above.rfind('\n').map_or(0, |at| at + 1);
    [spot.line_start, above].into_iter().find_map(|start| {
        let line = spot.text.get(start..)?.split('\n').next()?;
        let (key, value) = line.split_once(':')?;
        let c = value.chars().next()?;
        let is_wide = c.is_whitespace() && !matches!(c, ' ' | '\t' | '\r');
        let key = key.trim().trim_start_matches("- ");
        (is_wide && !key.contains(' ')).then(|| {
            let at = start + line.len() - value.len();
            Slip {
                start: at,
                end: at + c.len_utf8(),
                message: format!(
                    "the blank after the colon of `{key}` is no plain one but of another kind (such as a no-break space)"
                ),
                help: "delete it and type a plain one with the space bar".to_owned(),
            }
        })
    })
}

/// A colon of full width where a plain one is meant.
pub(super) fn colon(spot: &Spot) -> Option<Slip> {
    if !spot.says(&["simple key expected"]) {
        return None;
    }
    let at = spot.line.find(WIDE_COLON)?;
    let (key, value) = (
        spot.line.get(..at)?.trim(),
        spot.line.get(at + WIDE_COLON.len_utf8()..)?.trim(),
    );
    let start = spot.line_start + at;
    Some(Slip {
        start,
        end: start + WIDE_COLON.len_utf8(),
        message: "this colon is a wide one, of another kind of letters".to_owned(),
        help: format!("write {key}: {value}"),
    })
}
