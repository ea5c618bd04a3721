//! Large digits, to be read from two metres away: a clock, the value of a gauge. Knows figures and
//! cells.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use crate::tui::theme::Role;

/// Rows of a digit, each three dots wide, the leftmost the highest bit.
const DIGITS: [[u8; 5]; 10] = [
    [7, 5, 5, 5, 7],
    [2, 6, 2, 2, 7],
    [7, 1, 7, 4, 7],
    [7, 1, 7, 1, 7],
    [5, 5, 7, 1, 1],
    [7, 4, 7, 1, 7],
    [7, 4, 7, 5, 7],
    [7, 1, 1, 2, 2],
    [7, 5, 7, 5, 7],
    [7, 5, 7, 1, 7],
];
const COLON: [u8; 5] = [0, 2, 0, 2, 0];
const POINT: [u8; 5] = [0, 0, 0, 0, 2];
const MINUS: [u8; 5] = [0, 0, 7, 0, 0];

/// Columns of a clock in large digits.
pub const COLUMNS: u16 = 20;

/// Rows of large digits: half-height dots, or, where there are only letters, a dot a row.
pub fn rows(ascii: bool) -> u16 {
    if ascii { 5 } else { 3 }
}

/// Minutes and seconds as text; hours become minutes.
pub fn text(seconds: i64) -> String {
    let seconds = seconds.max(0);
    format!("{:02}:{:02}", seconds / 60, seconds % 60)
}

/// Whether a text can be drawn in large digits.
pub fn is_large(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| dots(c).is_some())
}

/// Columns that a text takes in large digits.
pub fn columns(text: &str) -> u16 {
    text.chars().map(step).sum()
}

/// Columns from the beginning of a character to that of the next one.
fn step(c: char) -> u16 {
    match c {
        '.' | ',' => 2,
        _ => 4,
    }
}

fn dots(c: char) -> Option<[u8; 5]> {
    Some(match c {
        ':' => COLON,
        '.' | ',' => POINT,
        '-' | '\u{2212}' => MINUS,
        '+' => [0, 2, 7, 2, 0],
        ' ' => [0; 5],
        _ => DIGITS[c.to_digit(10)? as usize],
    })
}

/// Draws a text of figures in large digits at the top left of an area.
pub fn draw(canvas: &mut Canvas, area: Rect, text: &str, role: Role) {
    let ascii = canvas.theme.ascii;
    let mut column = 0;
    for c in text.chars() {
        let dots = dots(c).unwrap_or_default();
        // A point is drawn from its own dot on.
        let bits = if step(c) == 2 { 0..2 } else { 0..3 };
        for row in 0..rows(ascii) {
            let at = |n: usize| dots.get(n).copied().unwrap_or(0);
            let row_of = usize::from(row);
            let cells: String = bits
                .clone()
                .rev()
                .map(|bit| {
                    if ascii {
                        half(at(row_of) >> bit & 1, at(row_of) >> bit & 1)
                    } else {
                        half(at(row_of * 2) >> bit & 1, at(row_of * 2 + 1) >> bit & 1)
                    }
                })
                .collect();
            canvas.put(area, column, row, &cells, role);
        }
        column += step(c);
    }
}

fn half(upper: u8, lower: u8) -> char {
    match (upper, lower) {
        (0, 0) => ' ',
        (_, 0) => '▀',
        (0, _) => '▄',
        _ => '█',
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::Theme;
    use ratatui::buffer::Buffer;

    fn drawn(text: &str, ascii: bool) -> Vec<String> {
        let area = Rect::new(0, 0, columns(text), rows(ascii));
        let mut buffer = Buffer::empty(area);
        let mut theme = Theme::new(false);
        theme.ascii = ascii;
        draw(
            &mut Canvas::new(&mut buffer, theme),
            area,
            text,
            Role::Plain,
        );
        let width = usize::from(area.width);
        let row = |row: &[ratatui::buffer::Cell]| -> String {
            row.iter().map(ratatui::buffer::Cell::symbol).collect()
        };
        buffer.content.chunks(width).map(row).collect()
    }

    #[test]
    fn figures_are_drawn_large() {
        let large = ["    ▄█    ▀▀█ ", "▀▀▀  █     ▄▀ ", "    ▀▀▀ ▀  ▀  "];
        assert_eq!(drawn("-1.7", false), large);
        assert_eq!(drawn("1", true).len(), 5);
        assert!(is_large("12.5") && !is_large("12 kPa") && !is_large(""));
    }
}
