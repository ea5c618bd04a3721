//! What comes in: terminal events as one closed list. The only place, with the terminal itself,
//! that knows the terminal library's events.

use crossterm::event::{Event, KeyCode, KeyEventKind, KeyModifiers, MouseButton, MouseEventKind};

/// Something that the person at the keyboard did, or that time did.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Input {
    /// A key was pressed.
    Key(Press),
    /// Text was pasted.
    Paste(String),
    /// The left button was pressed at this column and row.
    Click(u16, u16),
    /// The wheel was turned.
    Wheel {
        /// Towards the end of the text.
        down: bool,
    },
    /// The terminal has this many columns and rows now.
    Resize(u16, u16),
    /// A second has passed while a timer runs.
    Tick,
}

/// A key with its modifiers. Shift is part of the character.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Press {
    /// The key.
    pub key: Key,
    /// With the control key.
    pub ctrl: bool,
}

/// A key.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Key {
    Char(char),
    F(u8),
    Enter,
    Esc,
    Tab,
    BackTab,
    Backspace,
    Delete,
    Left,
    Right,
    Up,
    Down,
    PageUp,
    PageDown,
    Home,
    End,
}

impl Press {
    /// A key without modifiers.
    pub const fn plain(key: Key) -> Self {
        Self { key, ctrl: false }
    }

    /// Whether it stands for a character where text is typed.
    pub const fn is_typed(self) -> bool {
        matches!(self.key, Key::Char(_)) && !self.ctrl
    }

    /// A letter with the control key.
    pub const fn ctrl(letter: char) -> Self {
        Self {
            key: Key::Char(letter),
            ctrl: true,
        }
    }
}

/// The input that a terminal event stands for; nothing for those that mean nothing here.
pub fn of(event: Event) -> Option<Input> {
    match event {
        // Some consoles send releases too: only presses and their repeats count, or every key
        // would act twice.
        Event::Key(key) if key.kind != KeyEventKind::Release => {
            let code = key_of(key.code)?;
            // Alt with a letter is a letter on some layouts; nothing here is bound to it.
            Some(Input::Key(Press {
                key: code,
                ctrl: key.modifiers.contains(KeyModifiers::CONTROL),
            }))
        }
        Event::Paste(text) => Some(Input::Paste(text)),
        Event::Mouse(mouse) => match mouse.kind {
            MouseEventKind::Down(MouseButton::Left) => Some(Input::Click(mouse.column, mouse.row)),
            MouseEventKind::ScrollDown => Some(Input::Wheel { down: true }),
            MouseEventKind::ScrollUp => Some(Input::Wheel { down: false }),
            _ => None,
        },
        Event::Resize(columns, rows) => Some(Input::Resize(columns, rows)),
        _ => None,
    }
}

fn key_of(code: KeyCode) -> Option<Key> {
    Some(match code {
        KeyCode::Char(c) => Key::Char(c),
        KeyCode::F(n) => Key::F(n),
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Esc,
        KeyCode::Tab => Key::Tab,
        KeyCode::BackTab => Key::BackTab,
        KeyCode::Backspace => Key::Backspace,
        KeyCode::Delete => Key::Delete,
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::PageUp => Key::PageUp,
        KeyCode::PageDown => Key::PageDown,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crossterm::event::KeyEvent;

    fn event(kind: KeyEventKind) -> Event {
        Event::Key(KeyEvent::new_with_kind(
            KeyCode::Enter,
            KeyModifiers::NONE,
            kind,
        ))
    }

    #[test]
    fn a_release_is_no_second_press() {
        assert_eq!(
            of(event(KeyEventKind::Press)),
            Some(Input::Key(Press::plain(Key::Enter)))
        );
        assert_eq!(
            of(event(KeyEventKind::Repeat)),
            Some(Input::Key(Press::plain(Key::Enter)))
        );
        assert_eq!(of(event(KeyEventKind::Release)), None);
    }
}
