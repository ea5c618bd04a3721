//! Places and their strength in one line: "2 heavy, 5 wisp".

use std::collections::BTreeMap;

use crate::flow::answer::Strength;

/// The order in which a place goes round when it is picked.
const ROUND: [Option<Strength>; 4] = [
    None,
    Some(Strength::Wisp),
    Some(Strength::Steady),
    Some(Strength::Heavy),
];

/// The places to be picked, each as often as it takes to come from what is marked to what is said.
///
/// # Errors
/// Names what is no place of the list or no strength, and says how to write it.
pub fn picks(
    text: &str,
    places: &[&String],
    marked: &BTreeMap<String, Strength>,
) -> Result<Vec<usize>, String> {
    let mut all = Vec::new();
    let mut seen = Vec::new();
    let parts = text.split([',', ';']).map(str::trim);
    for part in parts.filter(|part| !part.is_empty()) {
        let (place, strength) = read(part)?;
        let n = number(place, places)?;
        if seen.contains(&n) {
            return Err(format!("{place} is named twice: name it once"));
        }
        seen.push(n);
        let now = places.get(n).and_then(|place| marked.get(*place)).copied();
        let from = ROUND.iter().position(|one| *one == now).unwrap_or(0);
        let to = ROUND.iter().position(|one| *one == strength).unwrap_or(0);
        let times = (to + ROUND.len() - from) % ROUND.len();
        all.extend(std::iter::repeat_n(n, times));
    }
    Ok(all)
}

/// A place as it is called, and its strength.
fn read(part: &str) -> Result<(&str, Option<Strength>), String> {
    let (place, word) = part
        .rsplit_once(char::is_whitespace)
        .ok_or_else(|| how(part))?;
    let strength = match word.to_lowercase().as_str() {
        "wisp" => Some(Strength::Wisp),
        "steady" => Some(Strength::Steady),
        "heavy" => Some(Strength::Heavy),
        "nothing" => None,
        _ => return Err(how(part)),
    };
    Ok((place.trim_end_matches(['=', ' ']), strength))
}

/// How it is written.
fn how(part: &str) -> String {
    format!(
        "`{part}`: write a place's number and how strongly it shows there, such as 2 heavy \
         (wisp, steady, heavy or nothing)"
    )
}

/// The place of this number, name, or beginning of a name that can mean nothing else.
fn number(place: &str, places: &[&String]) -> Result<usize, String> {
    if let Ok(n) = place.parse::<usize>() {
        return n
            .checked_sub(1)
            .filter(|n| *n < places.len())
            .ok_or_else(|| {
                format!(
                    "there is no place {n}: the list goes from 1 to {}",
                    places.len()
                )
            });
    }
    let lower = place.to_lowercase();
    if let Some(n) = places.iter().position(|one| one.to_lowercase() == lower) {
        return Ok(n);
    }
    let mut starts = places
        .iter()
        .enumerate()
        .filter(|(_, one)| one.to_lowercase().starts_with(&lower));
    match (starts.next(), starts.next()) {
        (Some((n, _)), None) => Ok(n),
        _ => Err(format!(
            "`{place}` is not in the list; `another place` adds one"
        )),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picked(text: &str) -> Result<Vec<usize>, String> {
        let names = ["hose joint", "end tank", "throttle shaft"].map(str::to_owned);
        let marked = BTreeMap::from([("end tank".to_owned(), Strength::Steady)]);
        picks(text, &names.iter().collect::<Vec<_>>(), &marked)
    }

    #[test]
    fn a_place_goes_round_as_often_as_it_takes() {
        assert_eq!(picked("1 heavy, 3 wisp"), Ok(vec![0, 0, 0, 2]));
        assert_eq!(picked("2 steady"), Ok(vec![]));
        assert_eq!(picked("2 heavy"), Ok(vec![1]));
        assert_eq!(picked("2 nothing"), Ok(vec![1, 1]));
        assert_eq!(picked("2 wisp"), Ok(vec![1, 1, 1]));
        assert_eq!(
            picked("Throttle shaft = Steady; hose heavy"),
            Ok(vec![2, 2, 0, 0, 0])
        );
    }

    #[test]
    fn what_is_no_place_or_no_strength_is_said() {
        for (text, said) in [
            ("2", "such as 2 heavy"),
            ("2 strong", "wisp, steady, heavy or nothing"),
            ("4 wisp", "there is no place 4: the list goes from 1 to 3"),
            ("0 wisp", "there is no place 0"),
            ("lid wisp", "`another place` adds one"),
            ("1 wisp, hose joint heavy", "named twice"),
        ] {
            let why = picked(text).expect_err(text);
            assert!(why.contains(said), "{text}: {why}");
        }
    }
}
