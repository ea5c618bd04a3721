//! What is typed in the fields of a form: codes, words of a list, units, an odometer, a vehicle identification number.

use crate::physics::vin::{self, Found};
use crate::units::Unit;
use crate::units::preferred::{Measure, System};

/// An odometer's distance: a number, with blanks, commas or points between its thousands, and km or mi; without either it
/// is in the workshop's own unit ([`with_unit`]).
///
/// # Errors
/// Says how it is written.
pub fn odometer(text: &str) -> Result<(), String> {
    let (number, unit) = text.split_at(text.find(char::is_alphabetic).unwrap_or(text.len()));
    let number = number.trim();
    let digits = number.chars().filter(char::is_ascii_digit).count();
    let plain = number
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, ' ' | ',' | '.' | '\''));
    let unit = unit.trim().to_lowercase();
    let known = matches!(unit.as_str(), "" | "km" | "mi" | "mile" | "miles");
    if text.is_empty() || (plain && known && (1..=7).contains(&digits)) {
        Ok(())
    } else {
        Err("a number, with km or mi where it is the other one; or leave it empty".to_owned())
    }
}

/// The unit in which an odometer is written where none is typed.
pub fn odometer_unit(system: System) -> &'static str {
    match system {
        System::Us => "mi",
        System::AsWritten | System::Metric => "km",
    }
}

/// An odometer's distance with its unit.
pub fn with_unit(text: &str, system: System) -> String {
    if text.ends_with(|c: char| c.is_ascii_digit()) {
        format!("{text} {}", odometer_unit(system))
    } else {
        text.to_owned()
    }
}

/// A vehicle identification number by its length, its characters and its check digit.
///
/// # Errors
/// Says what speaks against it; it may be right all the same.
pub fn vehicle_number(text: &str) -> Result<(), String> {
    let why = match vin::look(text) {
        _ if text.is_empty() => return Ok(()),
        Found::Summed { check, stands, .. } if check == stands => return Ok(()),
        Found::Summed { check, stands, .. } => format!(
            "place {} should be {check} and is {stands}, at least on a car sold in North America",
            vin::CHECK_PLACE
        ),
        Found::Length(count) => format!("{} characters are usual; here are {count}", vin::LENGTH),
        Found::Impossible(all) => {
            let odd: Vec<String> = all
                .iter()
                .map(|(at, c)| format!("{c} (place {at})"))
                .collect();
            format!("no such number holds {}", odd.join(", "))
        }
    };
    Err(format!("{why}: look again; sent once more it is kept"))
}

/// Trouble codes from a line, in capitals, each once.
///
/// The shape is that of SAE J2012: a letter for the system, a digit from 0 to 3, three hexadecimal
/// digits (from memory). "None" and what people write for it are no codes. Codes that are typed behind one another with
/// nothing between them, as behind one that stood in the field already, are told apart by that shape.
///
/// # Errors
/// Names the first that is not a code.
pub fn codes(text: &str) -> Result<Vec<String>, String> {
    let mut out: Vec<String> = Vec::new();
    if ["none", "no", "nil", "-", "0"].contains(&text.trim().to_lowercase().as_str()) {
        return Ok(out);
    }
    for word in split(text, true) {
        let upper = word.to_uppercase();
        let each: Vec<&[u8]> = upper.as_bytes().chunks(CODE).collect();
        if !each.iter().all(|code| is_code(code)) {
            return Err(format!("{word}: a code is like P0171"));
        }
        for code in each {
            let code = String::from_utf8_lossy(code).into_owned();
            if !out.contains(&code) {
                out.push(code);
            }
        }
    }
    Ok(out)
}

/// Characters of a code.
const CODE: usize = 5;

fn is_code(bytes: &[u8]) -> bool {
    bytes.len() == CODE
        && b"PCBU".contains(&bytes[0])
        && (b'0'..=b'3').contains(&bytes[1])
        && bytes[2..].iter().all(u8::is_ascii_hexdigit)
}

/// Words from a line, each a number of the list or the word itself.
///
/// # Errors
/// Names a number that the list does not have.
pub fn listed(text: &str, words: &[String]) -> Result<Vec<String>, String> {
    let mut out: Vec<String> = Vec::new();
    for part in split(text, false) {
        let word = match part.parse::<usize>() {
            Ok(n) => match n.checked_sub(1).and_then(|n| words.get(n)) {
                Some(word) => word.clone(),
                None => return Err(format!("the list has no {n}")),
            },
            Err(_) => meant(part, words),
        };
        if !out.contains(&word) {
            out.push(word);
        }
    }
    Ok(out)
}

/// The word of the list that is meant: the same in other letters, or the only one in which it occurs.
fn meant(part: &str, words: &[String]) -> String {
    let typed = part.to_lowercase();
    if let Some(same) = words.iter().find(|word| word.to_lowercase() == typed) {
        return same.clone();
    }
    let mut near = words.iter().filter(|word| has_parts(word, &typed));
    match (near.next(), near.next()) {
        (Some(only), None) => only.clone(),
        _ => part.to_owned(),
    }
}

/// What was typed in part and taken for a word of the list, each with that word.
pub fn guessed(text: &str, words: &[String]) -> Vec<(String, String)> {
    let parts = split(text, false).filter(|part| part.parse::<usize>().is_err());
    let taken = parts.map(|part| (part.to_owned(), meant(part, words)));
    taken
        .filter(|(part, word)| part.to_lowercase() != word.to_lowercase())
        .collect()
}

/// Whether every part of what is typed occurs in a word of the list: "exh sm" in "exhaust smell".
fn has_parts(word: &str, typed: &str) -> bool {
    let word = word.to_lowercase();
    typed.split_whitespace().all(|part| word.contains(part))
}

/// What is to be known of words that are not in the list: no test is offered because of them.
pub fn unlisted(taken: &[String], words: &[String]) -> Option<String> {
    let word = taken.iter().find(|word| !words.contains(word))?;
    let typed = word.to_lowercase();
    let near: Vec<String> = words
        .iter()
        .enumerate()
        .filter(|(_, known)| has_parts(known, &typed))
        .map(|(n, known)| format!("{} {known}", n + 1))
        .collect();
    Some(if near.is_empty() {
        format!("{word}: no test looks for it; sent once more it is kept")
    } else {
        format!(
            "{word}: {}? Sent once more it is kept as it is",
            near.join(" or ")
        )
    })
}

/// A word of a list by its number, or the text itself. What stands in the list as it is typed is
/// meant as that: a bay may be called 3 and be the first.
///
/// # Errors
/// Names a number that the list does not have.
pub fn one_of(text: &str, words: &[String]) -> Result<String, String> {
    if words.is_empty() || words.iter().any(|word| word == text) {
        return Ok(text.to_owned());
    }
    match text.parse::<usize>() {
        Ok(n) => match n.checked_sub(1).and_then(|n| words.get(n)) {
            Some(word) => Ok(word.clone()),
            None => Err(format!("the list has no {n}")),
        },
        Err(_) => Ok(text.to_owned()),
    }
}

/// Units of single measures from a line, "pressure kPa, length mm".
///
/// # Errors
/// Names the first that is none.
pub fn units(text: &str) -> Result<Vec<(Measure, Unit)>, String> {
    let mut out = Vec::new();
    for part in split(text, false) {
        let (word, unit) = part
            .split_once([' ', ':'])
            .ok_or_else(|| format!("{part}: write the measure and its unit, like pressure kPa"))?;
        let word = word.trim().to_lowercase();
        let measure = Measure::ALL.into_iter().find(|m| m.word() == word);
        let measure = measure.ok_or_else(|| {
            let words: Vec<&str> = Measure::ALL.into_iter().map(Measure::word).collect();
            format!("there is no measure {word}; there are {}", words.join(", "))
        })?;
        let unit = Unit::parse(unit.trim_matches([' ', ':'])).map_err(|error| error.to_string())?;
        if unit.dimension() != measure.dimension() || Measure::of(unit).is_none() {
            return Err(format!("{word} cannot be shown in {}", unit.name()));
        }
        out.push((measure, unit));
    }
    Ok(out)
}

fn split(text: &str, at_blanks: bool) -> impl Iterator<Item = &str> {
    text.split(move |c: char| c == ',' || c == ';' || (at_blanks && c.is_whitespace()))
        .map(str::trim)
        .filter(|part| !part.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vehicle_number_is_judged_by_length_characters_and_check_digit() {
        assert_eq!(vehicle_number("1M8GDM9AXKP042788"), Ok(()));
        assert!(vehicle_number("1M8GDM9A1KP042788").is_err_and(|why| why.contains("should be X")));
        assert!(vehicle_number("1M8GDM9A").is_err_and(|why| why.contains("here are 8")));
    }

    #[test]
    fn codes_are_read_with_commas_or_blanks_and_in_any_case() {
        assert_eq!(
            codes("p0171, P0174 u0100 P0171"),
            Ok(vec!["P0171".into(), "P0174".into(), "U0100".into()])
        );
        assert_eq!(
            codes("P0171P0300"),
            Ok(vec!["P0171".into(), "P0300".into()])
        );
        for none in ["", "none", "None", " - ", "0"] {
            assert_eq!(codes(none), Ok(Vec::new()), "{none}");
        }
        for wrong in [
            "P017", "P01711", "X0171", "P4171", "P01G1", "Pö17", "P0171P03",
        ] {
            assert!(codes(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_odometer_is_a_number_with_its_unit() {
        for right in [
            "",
            "120400 km",
            "118,400 km",
            "88 000 mi",
            "120400km",
            "75.000 Miles",
            "120400",
        ] {
            assert_eq!(odometer(right), Ok(()), "{right}");
        }
        assert_eq!(with_unit("120400", System::AsWritten), "120400 km");
        assert_eq!(with_unit("75,000", System::Us), "75,000 mi");
        assert_eq!(with_unit("120400 km", System::Us), "120400 km");
        assert_eq!(with_unit("", System::Us), "");
        for wrong in ["lots", "km", "12 apples", "-5 km", "12345678 km"] {
            assert!(odometer(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn symptoms_are_numbers_of_the_list_or_words() {
        let words = vec!["rough idle".to_owned(), "whistle".to_owned()];
        assert_eq!(
            listed("2, hesitates; 1", &words),
            Ok(vec![
                "whistle".into(),
                "hesitates".into(),
                "rough idle".into()
            ])
        );
        assert!(listed("3", &words).is_err());
        assert!(listed("0", &words).is_err());
    }
}
