//! The keys of practice, and what others are called there.

use super::super::input::Press;
use super::super::message::Act;
use super::super::model::Model;
use super::table::{ANSWERS, WALK, letter};
use super::{Context, Row};
use Context::Board;

fn is_practice(model: &Model) -> bool {
    model.practice
}

/// What acts are called among the exercises, where that is something else than beside a real car: the act, a word or
/// two for the footer, a line for the help.
pub static OF_EXERCISES: &[(Act, &str, &str)] = &[
    (
        Act::NewJob,
        "new exercise",
        "choose a test and a level; the car is not there",
    ),
    (
        Act::Search,
        "search",
        "search all exercises: complaint, code, cause, any word",
    ),
    (
        Act::Closed,
        "all",
        "show the exercises that have ended as well, or only the open ones",
    ),
    (Act::Practice, "back to jobs", "back to the workshop's jobs"),
    (
        Act::Board,
        "all exercises",
        "to the board of exercises; this one stays where it is",
    ),
    (
        Act::NextJob,
        "next exercise",
        "to the next open exercise; this one stays where it is",
    ),
    (
        Act::HandOver,
        "end it",
        "end the exercise and read what came of it",
    ),
];

/// The keys of practice.
pub static PRACTICE: &[Row] = &[
    Row {
        act: Act::Practice,
        keys: &[letter('p')],
        words: "practise",
        help: "to the exercises on cars that are not there, and back to the jobs",
        contexts: &[Board],
        when: Model::may_practise,
        foot: 5,
    },
    Row {
        act: Act::People,
        keys: &[letter('w')],
        words: "people",
        help: "practice: who has practised what, and how their marks went",
        contexts: &[Board],
        when: is_practice,
        foot: 6,
    },
    Row {
        act: Act::TakeReading,
        keys: &[Press::ctrl('n'), letter('p')],
        words: "take it",
        help: "practice: take the reading of the car as it stands",
        contexts: ANSWERS,
        when: Model::is_exercise,
        foot: 1,
    },
    Row {
        act: Act::Hands,
        keys: &[Press::ctrl('y'), letter('h')],
        words: "hands",
        help: "practice: close, connect, look, cover, warm up: what you do on the car",
        contexts: WALK,
        when: Model::is_exercise,
        foot: 1,
    },
    Row {
        act: Act::Debrief,
        // No single letter ends an exercise either.
        keys: &[Press::ctrl('d')],
        words: "debrief",
        help: "practice: end the exercise and read what came of it",
        contexts: WALK,
        when: Model::is_exercised,
        foot: 6,
    },
];
