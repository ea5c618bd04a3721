//! A clock in large digits, to be read from two metres away. Knows seconds and cells.

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

/// Columns of a clock in large digits.
pub const COLUMNS: u16 = 20;
/// Its rows, with half-height dots.
pub const ROWS: u16 = 3;

/// Minutes and seconds as text; hours become minutes.
pub fn text(seconds: i64) -> String {
    let seconds = seconds.max(0);
    format!("{:02}:{:02}", seconds / 60, seconds % 60)
}

/// Draws seconds in large digits at the top left of an area: two dots a cell where there is little
/// room, a cell and a half a dot where there is more.
pub fn draw(canvas: &mut Canvas, area: Rect, seconds: i64, role: Role) {
    let text = text(seconds);
    let mut column = 0;
    for c in text.chars() {
        let dots = match c.to_digit(10) {
            Some(digit) => DIGITS[digit as usize],
            None => COLON,
        };
        for row in 0..ROWS {
            let upper = dots[usize::from(row) * 2];
            let lower = dots.get(usize::from(row) * 2 + 1).copied().unwrap_or(0);
            let cells: String = (0..3)
                .rev()
                .map(|bit| half(upper >> bit & 1, lower >> bit & 1))
                .collect();
            canvas.put(area, column, row, &cells, role);
        }
        column += 4;
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
