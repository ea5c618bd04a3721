//! An exercise that the owner hands on: a flow, a seed and a level under a name, in a small YAML file.

use std::fmt::Write as _;

use serde::{Deserialize, Serialize};

use crate::engine::practised;

/// The levels.
pub const LEVELS: [(u8, &str); 4] = [
    (1, "one fault, everything else as it should be"),
    (
        2,
        "and something harmless beside it, a draught, an engine too cold or too hot",
    ),
    (3, "and a history that misleads, a gauge in the wrong range"),
    (
        4,
        "and a second fault, and an opening that a colleague forgot",
    ),
];

/// What a level has, in words that stand by themselves: each has what those before it have.
pub fn in_words(level: u8) -> String {
    let own = |level: u8| LEVELS.iter().find(|(known, _)| *known == level);
    match own(level) {
        None => String::new(),
        Some((1, words)) => (*words).to_owned(),
        Some((2, words)) => format!("one fault, {words}"),
        Some((_, words)) => {
            let more = words.strip_prefix("and ").unwrap_or(words);
            format!("as level {}, and besides: {more}", level - 1)
        }
    }
}

/// An exercise as a file holds it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Exercise {
    /// Its name.
    pub exercise: String,
    /// The flow's id.
    pub flow: String,
    /// The seed.
    pub seed: u64,
    /// The level, 1 to 4.
    pub level: u8,
    /// What the owner wants to say beforehand.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: String,
}

/// Why a file is no exercise.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ExerciseError {
    /// It does not parse.
    #[error("{0}; an exercise has the keys exercise, flow, seed, level and, if wanted, note")]
    Form(String),
    /// There is no such level.
    #[error("there is no level {0}; write 1, 2, 3 or 4")]
    Level(u8),
    /// It has no name.
    #[error("the exercise has no name; write one behind `exercise:`")]
    NoName,
}

impl Exercise {
    /// Reads the text of a file.
    ///
    /// # Errors
    /// [`ExerciseError`], with line and column where the text is at fault.
    pub fn parse(text: &str) -> Result<Self, ExerciseError> {
        let parsed: Self = serde_yaml::from_str(text).map_err(|error| {
            let text = error.to_string();
            let first = text.lines().next().unwrap_or_default();
            let first = first
                .trim_start_matches("error: ")
                .replace("invalid u8", "a level is 1, 2, 3 or 4")
                .replace("invalid u64", "a seed is a whole number");
            ExerciseError::Form(first)
        })?;
        if parsed.exercise.trim().is_empty() {
            return Err(ExerciseError::NoName);
        }
        check_level(parsed.level)?;
        Ok(parsed)
    }

    /// The text of a file.
    pub fn text(&self) -> String {
        let quoted = |text: &str| serde_json::to_string(text).unwrap_or_default();
        let mut out = String::from("# An exercise: ruleout practise FILE\n");
        let _ = writeln!(out, "exercise: {}", quoted(&self.exercise));
        let _ = writeln!(out, "flow: {}", quoted(&self.flow));
        let _ = writeln!(out, "seed: {}\nlevel: {}", self.seed, self.level);
        if !self.note.is_empty() {
            let _ = writeln!(out, "note: {}", quoted(&self.note));
        }
        out
    }

    /// As the record of a practice job has it.
    pub fn recorded(&self, attempt: u32) -> practised::Exercise {
        practised::Exercise {
            flow: self.flow.clone(),
            seed: self.seed,
            level: self.level,
            attempt,
            name: self.exercise.clone(),
        }
    }
}

/// Whether there is such a level.
///
/// # Errors
/// [`ExerciseError::Level`].
pub fn check_level(level: u8) -> Result<(), ExerciseError> {
    if LEVELS.iter().any(|(known, _)| *known == level) {
        Ok(())
    } else {
        Err(ExerciseError::Level(level))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exercise() -> Exercise {
        Exercise {
            exercise: "Tuesday: \"two leaks\"".to_owned(),
            flow: "intake-leak".to_owned(),
            seed: u64::MAX,
            level: 3,
            note: "look twice: yes".to_owned(),
        }
    }

    #[test]
    fn the_words_of_a_level_stand_by_themselves() {
        for (level, _) in LEVELS {
            let words = in_words(level);
            assert!(!words.is_empty() && !words.starts_with("and "), "{words}");
        }
        assert_eq!(
            in_words(3),
            "as level 2, and besides: a history that misleads, a gauge in the wrong range"
        );
        assert_eq!(in_words(5), "");
    }

    #[test]
    fn what_is_written_is_read_back() {
        assert_eq!(Exercise::parse(&exercise().text()), Ok(exercise()));
    }

    #[test]
    fn a_wrong_file_says_what_an_exercise_has() {
        let wrong = Exercise::parse("exercise: a\nflow: b\nseed: x\nlevel: 1\n").unwrap_err();
        assert!(wrong.to_string().contains("seed"), "{wrong}");
        let level = Exercise::parse("exercise: a\nflow: b\nseed: 1\nlevel: 9\n").unwrap_err();
        assert_eq!(level, ExerciseError::Level(9));
        let name = Exercise::parse("exercise: ' '\nflow: b\nseed: 1\nlevel: 1\n").unwrap_err();
        assert_eq!(name, ExerciseError::NoName);
    }
}
