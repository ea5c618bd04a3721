//! The check digit of a vehicle identification number.
//!
//! Letters stand for digits (A to H 1 to 8, J to N 1 to 5, P 7, R 9, S to Z 2 to 9), each place has a
//! weight (8 7 6 5 4 3 2 10 0 9 8 7 6 5 4 3 2), and the sum of the products leaves a remainder of 11
//! that stands in place 9, X for 10. I, O and Q are never used. Source: 49 CFR 565.15, table V; the
//! same in ISO 3779. Left out: who made it and when, which the number says by the maker's own rules.
//! Numbers of cars not sold in North America need not have a check digit. Worked example:
//! 1M8GDM9AXKP042788 has the sum 351, which leaves 10: X.

/// Characters of a number.
pub const LENGTH: usize = 17;
/// Place of the check digit, from 1.
pub const CHECK_PLACE: usize = 9;

const WEIGHTS: [u32; LENGTH] = [8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2];

/// What a number is found to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Found {
    /// Not 17 characters but so many.
    Length(usize),
    /// Characters that no number holds, each with its place from 1; at least one.
    Impossible(Vec<(usize, char)>),
    /// All places are possible.
    Summed {
        /// Sum of digits times weights.
        sum: u32,
        /// The check digit that it asks for.
        check: char,
        /// The character in the check digit's place.
        stands: char,
    },
}

/// The digit that a character stands for.
fn digit(character: char) -> Option<u32> {
    match character {
        '0'..='9' => character.to_digit(10),
        'A'..='H' => Some(u32::from(character) - u32::from('A') + 1),
        'J'..='N' => Some(u32::from(character) - u32::from('J') + 1),
        'P' => Some(7),
        'R' => Some(9),
        'S'..='Z' => Some(u32::from(character) - u32::from('S') + 2),
        _ => None,
    }
}

/// Looks at a number; spaces and dashes are left out, small letters are taken as capitals.
pub fn look(text: &str) -> Found {
    let characters: Vec<char> = text
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .map(|c| c.to_ascii_uppercase())
        .collect();
    let impossible: Vec<_> = (1..)
        .zip(&characters)
        .take(LENGTH)
        .filter(|(_, c)| digit(**c).is_none())
        .map(|(place, c)| (place, *c))
        .collect();
    if !impossible.is_empty() {
        return Found::Impossible(impossible);
    }
    if characters.len() != LENGTH {
        return Found::Length(characters.len());
    }
    let sum = characters
        .iter()
        .zip(WEIGHTS)
        .filter_map(|(c, weight)| digit(*c).map(|d| d * weight))
        .sum();
    Found::Summed {
        sum,
        check: char::from_digit(sum % 11, 10).unwrap_or('X'),
        stands: characters[CHECK_PLACE - 1],
    }
}
