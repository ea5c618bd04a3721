//! The rows of the key table that move about or are the same on every screen.

use super::super::input::{Key, Press};
use super::super::message::Act;
use super::super::model::Model;
use super::table::{EVERYWHERE, always, letter, plain};
use super::{Context, Row};
use Context::{
    Board, Brief, Caution, Choice, Evidence, Field, Files, Judged, List, Pairs, Places, Plain,
    Record, Search, Text, Value, Ways, Words,
};

/// The keys.
pub static MOVES: &[Row] = &[
    Row {
        act: Act::Next,
        keys: &[plain(Key::Tab)],
        words: "next",
        help: "to the next field, or the next page",
        contexts: &[Field, Words, Evidence],
        when: Model::has_next_field,
        foot: 3,
    },
    Row {
        act: Act::Previous,
        keys: &[plain(Key::BackTab)],
        words: "before",
        help: "to the field before, or the page before",
        contexts: &[Field, Words, Evidence],
        when: Model::has_next_field,
        foot: 0,
    },
    Row {
        act: Act::Up,
        keys: &[plain(Key::Up)],
        words: "up",
        help: "one up in a list, a text or a form",
        contexts: &[
            Files, Board, Search, Field, Words, List, Text, Record, Ways, Choice, Places, Caution,
            Brief, Value, Pairs, Judged, Plain, Evidence,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Down,
        keys: &[plain(Key::Down)],
        words: "down",
        help: "one down in a list, a text or a form",
        contexts: &[
            Files, Board, Search, Field, Words, List, Text, Record, Ways, Choice, Places, Caution,
            Brief, Value, Pairs, Judged, Plain, Evidence,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::WordBefore,
        keys: &[plain(Key::Left)],
        words: "word before",
        help: "pick the word before, in a row of words",
        contexts: &[Words],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::WordAfter,
        keys: &[plain(Key::Right)],
        words: "next word",
        help: "pick the next word, in a row of words",
        contexts: &[Words],
        when: always,
        foot: 3,
    },
    Row {
        act: Act::PageUp,
        keys: &[plain(Key::PageUp)],
        words: "page up",
        help: "scroll a page up",
        contexts: &[
            Files, Board, List, Text, Record, Ways, Caution, Brief, Value, Choice, Places, Pairs,
            Judged, Plain, Evidence,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::PageDown,
        keys: &[plain(Key::PageDown)],
        words: "page down",
        help: "scroll a page down",
        contexts: &[
            Files, Board, List, Text, Record, Ways, Caution, Brief, Value, Choice, Places, Pairs,
            Judged, Plain, Evidence,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::First,
        keys: &[plain(Key::Home)],
        words: "beginning",
        help: "to the beginning",
        contexts: &[Board, List, Ways, Text, Record, Plain, Evidence],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Last,
        keys: &[plain(Key::End)],
        words: "end",
        help: "to the end",
        contexts: &[Board, List, Ways, Text, Record, Plain, Evidence],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Mouse,
        keys: &[Press::ctrl('o')],
        words: "mouse",
        help: "switch the mouse off, so that dragging marks text to copy, or on again",
        contexts: EVERYWHERE,
        when: always,
        foot: 12,
    },
    Row {
        act: Act::Plain,
        keys: &[Press::ctrl('p')],
        words: "plain text",
        help: "this screen as plain text: to copy, to save, to have it read aloud",
        contexts: &[
            Files, Board, Search, Field, Words, List, Text, Record, Ways, Caution, Brief, Value,
            Choice, Places, Pairs, Judged, Evidence,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Copy,
        keys: &[letter('c'), plain(Key::Enter)],
        words: "copy",
        help: "copy this text to the clipboard, over a remote shell too",
        contexts: &[Plain],
        when: always,
        foot: 1,
    },
    Row {
        act: Act::SaveText,
        keys: &[letter('s')],
        words: "save",
        help: "save this text as a file",
        contexts: &[Plain],
        when: always,
        foot: 2,
    },
    Row {
        act: Act::Suspend,
        keys: &[Press::ctrl('z')],
        words: "sleep",
        help: "put the program to sleep; `fg` in the shell calls it up again",
        contexts: EVERYWHERE,
        when: can_sleep,
        foot: 0,
    },
    Row {
        act: Act::Redraw,
        keys: &[Press::ctrl('l')],
        words: "redraw",
        help: "draw the screen anew",
        contexts: EVERYWHERE,
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Quit,
        keys: &[Press::ctrl('c')],
        words: "leave",
        help: "leave the program at once; everything accepted is saved",
        contexts: EVERYWHERE,
        when: always,
        foot: 0,
    },
    // Many programs leave by it: whoever types it here by habit loses no hold.
    Row {
        act: Act::Quit,
        keys: &[Press::ctrl('q')],
        words: "leave",
        help: "leave the program at once; everything accepted is saved",
        contexts: EVERYWHERE,
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Quit,
        keys: &[letter('q')],
        words: "leave",
        help: "leave the program; everything accepted is saved",
        contexts: &[Board],
        when: always,
        foot: 6,
    },
];

/// A shell that puts programs to sleep is a thing of Unix.
fn can_sleep(_: &Model) -> bool {
    cfg!(unix)
}
