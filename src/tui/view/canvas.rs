//! Where drawing goes: cells, the areas that can be clicked, the cursor. Owns the last steps that
//! keep foreign text harmless and drawing inside its area.

use ratatui::buffer::{Buffer, Cell};
use ratatui::layout::{Position, Rect};
use ratatui::text::Span;

use crate::tui::clean::clean;
use crate::tui::message::Message;
use crate::tui::theme::{Role, Theme, ascii};
use crate::units::together::{NO_BREAK, together};

/// What drawing found out.
#[derive(Clone, Debug, Default)]
pub struct Drawn {
    /// Areas that can be clicked, and what that means.
    pub hits: Vec<(Rect, Message)>,
    /// Where the cursor stands, if anywhere.
    pub cursor: Option<Position>,
    /// How far the text on screen can be scrolled.
    pub furthest: u16,
    /// How far the column beside it can be.
    pub furthest_beside: u16,
}

impl Drawn {
    /// What a click at a column and row means. What was drawn later lies on top.
    pub fn hit(&self, column: u16, row: u16) -> Option<Message> {
        let at = Position::new(column, row);
        self.hits
            .iter()
            .rev()
            .find(|(area, _)| area.contains(at))
            .map(|(_, message)| message.clone())
    }
}

/// Where drawing goes.
pub struct Canvas<'b> {
    /// The cells.
    pub buffer: &'b mut Buffer,
    /// The look.
    pub theme: Theme,
    /// What drawing found out.
    pub drawn: Drawn,
}

impl<'b> Canvas<'b> {
    /// A canvas over some cells.
    pub fn new(buffer: &'b mut Buffer, theme: Theme) -> Self {
        Self {
            buffer,
            theme,
            drawn: Drawn::default(),
        }
    }

    /// Writes on one row from a column on, as far as the area reaches. Returns the next column.
    pub fn put(&mut self, area: Rect, column: u16, row: u16, text: &str, role: Role) -> u16 {
        let area = area.intersection(self.buffer.area);
        let x = area.x.saturating_add(column);
        let y = area.y.saturating_add(row);
        if y >= area.bottom() || x >= area.right() {
            return column;
        }
        let room = usize::from(area.right() - x);
        let text = cut(&clean(text), room);
        let (end, _) = self
            .buffer
            .set_stringn(x, y, &text, room, self.theme.style(role));
        end - area.x
    }

    /// Fills the rest of a row with a role's style.
    pub fn tint(&mut self, area: Rect, row: u16, role: Role) {
        let area = area.intersection(self.buffer.area);
        let y = area.y.saturating_add(row);
        if y < area.bottom() {
            let line = Rect::new(area.x, y, area.width, 1);
            self.buffer.set_style(line, self.theme.style(role));
        }
    }

    /// Empties an area of what was drawn there before.
    pub fn clear(&mut self, area: Rect) {
        let area = area.intersection(self.buffer.area);
        for position in area.positions() {
            if let Some(cell) = self.buffer.cell_mut(position) {
                cell.reset();
                cell.set_style(self.theme.ground());
            }
        }
        self.drawn.hits.push((area, Message::Tick));
    }

    /// Whether nothing is written in an area.
    pub fn is_empty(&self, area: Rect) -> bool {
        let blank = |cell: &Cell| cell.symbol().trim().is_empty();
        let mut cells = area.positions();
        cells.all(|at| self.buffer.cell(at).is_some_and(blank))
    }

    /// Makes an area mean something when it is clicked.
    pub fn hit(&mut self, area: Rect, message: Message) {
        let area = area.intersection(self.buffer.area);
        if !area.is_empty() {
            self.drawn.hits.push((area, message));
        }
    }
}

/// Puts a sign of ASCII in the place of every other one. A wide one takes two.
pub fn spell_in_ascii(buffer: &mut Buffer) {
    let mut gap = false;
    for cell in &mut buffer.content {
        if std::mem::take(&mut gap) && !cell.symbol().is_ascii() {
            cell.set_symbol(" ");
        }
        let symbol = cell.symbol();
        if !symbol.is_ascii() {
            let is_wide = width(symbol) > 1;
            cell.set_symbol(ascii(symbol));
            gap = is_wide;
        }
    }
}

/// An area cut into its first rows and the rest.
pub fn split(area: Rect, rows: u16) -> (Rect, Rect) {
    let rows = rows.min(area.height);
    let top = Rect {
        height: rows,
        ..area
    };
    let rest = Rect {
        y: area.y + rows,
        height: area.height - rows,
        ..area
    };
    (top, rest)
}

/// How many columns a text takes.
pub fn width(text: &str) -> usize {
    Span::raw(text).width()
}

/// A text cut to a number of columns, with a mark where something is missing.
pub fn cut(text: &str, room: usize) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let mut out = String::new();
    let mut used = 0;
    for c in text.chars() {
        let w = width(c.encode_utf8(&mut [0; 4]));
        if used + w + 1 > room {
            break;
        }
        out.push(c);
        used += w;
    }
    if room > 0 {
        out.push('…');
    }
    out
}

/// A text in a number of columns, with a mark in its middle where something is missing: of names that begin
/// alike the end tells which it is, of those that end alike the beginning.
pub fn shortened(text: &str, room: usize) -> String {
    if width(text) <= room {
        return text.to_owned();
    }
    let behind = room.saturating_sub(1) / 2;
    let mut end = text.len();
    let mut used = 0;
    for (at, c) in text.char_indices().rev() {
        used += width(c.encode_utf8(&mut [0; 4]));
        if used > behind {
            break;
        }
        end = at;
    }
    let (start, behind) = text.split_at(end);
    // It begins with a whole word, where there is one in it.
    let behind = match behind.split_once(' ') {
        Some((_, words)) if !start.ends_with(' ') && !words.is_empty() => words,
        _ => behind.trim_start(),
    };
    let before = cut(text, room - width(behind).min(room));
    let before = before.trim_end_matches('…').trim_end();
    format!("{before}…{behind}")
}

/// A text broken into lines of at most so many columns, at blanks where there are any.
pub fn wrap(text: &str, room: usize) -> Vec<String> {
    let room = room.max(1);
    // What fits stays as it is: blanks may be columns.
    if !text.contains('\n') && width(text) <= room {
        return vec![text.replace(NO_BREAK, " ")];
    }
    let mut lines = Vec::new();
    for paragraph in together(text.trim_end()).split('\n') {
        let before = lines.len();
        let mut line = String::new();
        let blank = |c: char| c.is_whitespace() && c != NO_BREAK;
        // A value that is wider than a line is broken after all, and nowhere is the mark drawn.
        let fits = |word: &str| width(word) <= room;
        let words = paragraph.split(blank).flat_map(|word| {
            word.split(move |c| c == NO_BREAK && !fits(word))
                .map(|part| part.replace(NO_BREAK, " "))
        });
        for mut word in words.filter(|word| !word.is_empty()) {
            let gap = usize::from(!line.is_empty());
            if width(&line) + gap + width(&word) > room && !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            while width(&word) > room {
                let (head, tail) = split_at_width(&word, room);
                lines.push(head);
                word = tail;
            }
            if !line.is_empty() && !word.is_empty() {
                line.push(' ');
            }
            line.push_str(&word);
        }
        if !line.is_empty() || lines.len() == before {
            lines.push(line);
        }
    }
    lines
}

/// Splits a word that is too long for a line; at least one character goes to the first part.
fn split_at_width(word: &str, room: usize) -> (String, String) {
    let mut used = 0;
    for (at, c) in word.char_indices() {
        used += width(c.encode_utf8(&mut [0; 4]));
        if used > room && at > 0 {
            return (word[..at].to_owned(), word[at..].to_owned());
        }
    }
    (word.to_owned(), String::new())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_broken_at_blanks_and_long_words_anywhere() {
        assert_eq!(
            wrap("shut the supply and wait", 10),
            ["shut the", "supply and", "wait"]
        );
        assert_eq!(wrap("read 12 inH2O now", 8), ["read", "12 inH2O", "now"]);
        assert_eq!(wrap("abcdefgh", 3), ["abc", "def", "gh"]);
        assert_eq!(wrap("漢字漢字", 3), ["漢", "字", "漢", "字"]);
        assert_eq!(wrap("", 3), [""]);
        assert_eq!(wrap("漢", 1), ["漢"]);
    }

    #[test]
    fn what_is_cut_says_so() {
        assert_eq!(cut("pressure", 8), "pressure");
        assert_eq!(cut("pressure", 5), "pres…");
        assert_eq!(cut("漢字", 3), "漢…");
        assert_eq!(cut("x", 0), "");
    }
}
