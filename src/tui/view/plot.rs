//! Points, a curve and levels over two axes, drawn with the signs of a text screen. Knows numbers
//! and cells.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width};
use crate::tui::theme::Role;

/// What is drawn, in any units.
pub struct Plot<'p> {
    /// As read.
    pub points: &'p [(f64, f64)],
    /// What was fitted to them.
    pub curve: &'p [(f64, f64)],
    /// Levels from one place to another.
    pub levels: Vec<[(f64, f64); 2]>,
    /// The end of the axis to the right; it begins at 0.
    pub across: f64,
    /// Where the axis upwards begins.
    pub down: f64,
    /// Where it ends.
    pub up: f64,
    /// Words for the ends of the axis upwards, the higher first, and for that to the right.
    pub names: [String; 4],
}

/// Draws it into an area; into one that is too small, nothing.
pub fn draw(plot: &Plot, canvas: &mut Canvas, area: Rect) {
    let [top, bottom, first, last] = &plot.names;
    let margin = u16::try_from(width(top).max(width(bottom))).unwrap_or(0) + 1;
    if area.width < margin + 12 || area.height < 4 {
        return;
    }
    let field = Rect {
        x: area.x + margin + 1,
        y: area.y,
        width: area.width - margin - 1,
        height: area.height - 2,
    };
    canvas.put(area, 0, 0, top, Role::Muted);
    canvas.put(area, 0, field.height - 1, bottom, Role::Muted);
    for row in 0..field.height {
        canvas.put(area, margin, row, "│", Role::Muted);
    }
    let rule = "─".repeat(usize::from(field.width));
    canvas.put(area, margin, field.height, "└", Role::Muted);
    canvas.put(area, margin + 1, field.height, &rule, Role::Muted);
    canvas.put(area, margin + 1, field.height + 1, first, Role::Muted);
    let end = u16::try_from(width(last)).unwrap_or(0);
    let at = area.width.saturating_sub(end);
    canvas.put(area, at, field.height + 1, last, Role::Muted);
    for [from, to] in &plot.levels {
        level(plot, canvas, field, *from, *to);
    }
    curve(plot, canvas, field);
    for point in plot.points {
        if let Some((column, half)) = place(plot, field, *point) {
            canvas.put(field, column, half / 2, "●", Role::Strong);
        }
    }
}

/// Column and half row of a place, from the top left; none outside of the field.
fn place(plot: &Plot, field: Rect, (x, y): (f64, f64)) -> Option<(u16, u16)> {
    let part = |value: f64, begin: f64, end: f64, cells: u16| {
        let part = (value - begin) / (end - begin);
        let inside = part.is_finite() && (0.0..=1.0).contains(&part);
        inside.then(|| cell(part * f64::from(cells - 1)))
    };
    let column = part(x, 0.0, plot.across, field.width)?;
    let half = part(y, plot.down, plot.up, field.height * 2)?;
    Some((column, field.height * 2 - 1 - half))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a place inside the field, which is no wider than a u16"
)]
fn cell(value: f64) -> u16 {
    value.round() as u16
}

fn level(plot: &Plot, canvas: &mut Canvas, field: Rect, from: (f64, f64), to: (f64, f64)) {
    let (Some((start, half)), Some((end, _))) = (place(plot, field, from), place(plot, field, to))
    else {
        return;
    };
    for column in start..=end {
        canvas.put(field, column, half / 2, "╌", Role::Caution);
    }
}

fn curve(plot: &Plot, canvas: &mut Canvas, field: Rect) {
    for column in 0..field.width {
        let x = plot.across * f64::from(column) / f64::from(field.width.max(2) - 1);
        let Some((_, half)) = at(plot.curve, x).and_then(|y| place(plot, field, (x, y))) else {
            continue;
        };
        let sign = match (canvas.theme.ascii, half % 2) {
            (true, _) => ".",
            (false, 0) => "▀",
            (false, _) => "▄",
        };
        canvas.put(field, column, half / 2, sign, Role::Pass);
    }
}

/// The curve at a place, between its points.
fn at(curve: &[(f64, f64)], x: f64) -> Option<f64> {
    let pair = curve
        .windows(2)
        .find(|pair| pair[0].0 <= x && x <= pair[1].0)?;
    let (from, to) = (pair[0], pair[1]);
    let part = if to.0 > from.0 {
        (x - from.0) / (to.0 - from.0)
    } else {
        0.0
    };
    Some(from.1 + part * (to.1 - from.1))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tui::theme::Theme;
    use ratatui::buffer::{Buffer, Cell};

    #[test]
    fn a_plot_is_drawn_and_stays_in_its_area() {
        let plot = Plot {
            points: &[(0.0, 40.0), (60.0, 20.0), (90.0, 50.0)],
            curve: &[(0.0, 40.0), (60.0, 20.0)],
            levels: vec![[(0.0, 36.0), (60.0, 36.0)]],
            across: 60.0,
            down: 0.0,
            up: 40.0,
            names: ["40 kPa", "0", "0 s", "60 s"].map(str::to_owned),
        };
        for (columns, rows) in [(0, 0), (1, 1), (19, 4), (30, 3), (30, 8)] {
            let area = Rect::new(2, 1, columns, rows);
            let mut buffer = Buffer::empty(Rect::new(0, 0, columns + 4, rows + 2));
            draw(
                &plot,
                &mut Canvas::new(&mut buffer, Theme::new(false)),
                area,
            );
            let drawn = |cell: &Cell| !cell.symbol().trim().is_empty();
            let outside = |at: &ratatui::layout::Position| !area.contains(*at);
            let mut cells = buffer.area.positions().filter(outside);
            assert!(!cells.any(|at| drawn(&buffer[at])));
            if columns == 30 && rows == 8 {
                let text: Vec<String> = (1..9)
                    .map(|y| (2..32).map(|x| buffer[(x, y)].symbol()).collect())
                    .collect();
                assert!(text[0].starts_with("40 kPa │●▀▄"), "{text:#?}");
                assert!(text[0].contains('╌'), "{text:#?}");
                assert!(
                    text[2].ends_with('●') || text[3].ends_with('●'),
                    "{text:#?}"
                );
                assert_eq!(text[7].trim_end(), "        0 s               60 s");
            }
        }
    }
}
