//! A range in square brackets with its unit behind them: `[20, 45] kPa`.

use super::{Slip, Spot};

pub(super) fn bracketed_range(spot: &Spot) -> Option<Slip> {
    spot.line
        .match_indices('[')
        .find_map(|(at, _)| of_bracket(spot, at))
}

fn of_bracket(spot: &Spot, at: usize) -> Option<Slip> {
    let (within, behind) = spot.line.get(at + 1..)?.split_once(']')?;
    let (from, to) = within.split_once(',')?;
    let (from, to) = (from.trim(), to.trim());
    let unit = behind.trim_start();
    // The unit ends where the next key begins, or the braces do.
    let unit = unit.split([',', '}', '#']).next()?.trim_end();
    let begins = unit.starts_with(|c: char| c.is_alphabetic() || c == '%' || c == '°');
    let number = |text: &str| text.parse::<f64>().is_ok();
    if !number(from) || !number(to) || !begins || unit.contains(':') {
        return None;
    }
    let blanks = behind.len() - behind.trim_start().len();
    let start = spot.line_start + at;
    let end = start + 1 + within.len() + 1 + blanks + unit.len();
    // Another range of the line may be right, and the slip elsewhere.
    (start..=end).contains(&spot.at).then(|| Slip {
        start,
        end,
        message: "a range stands without square brackets".to_owned(),
        help: format!("write its two ends with two points between them: {from}..{to} {unit}"),
    })
}
