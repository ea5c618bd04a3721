//! Screens of a terminal, one after the other, as an SVG that plays by itself: no script, nothing
//! fetched, every row that comes up again written once.

use std::collections::HashMap;
use std::fmt::Write;

use vt100::{Cell, Color, Screen};

/// Columns and rows of the terminal, and a cell's size in the picture.
const COLUMNS: u16 = 80;
const ROWS: u16 = 24;
const WIDE: f64 = 8.4;
const HIGH: f64 = 17.0;
const EDGE: f64 = 12.0;

/// A screen, and for how many seconds it stands.
pub struct Frame {
    pub screen: Screen,
    pub seconds: f64,
}

/// How a piece of a row looks, as the class of its text.
fn look(cell: &Cell) -> String {
    let mut look = String::new();
    if cell.bold() {
        look.push('b');
    }
    if cell.dim() {
        look.push('d');
    }
    look.push_str(match cell.fgcolor() {
        Color::Idx(1 | 9) => "r",
        Color::Idx(2 | 10) => "g",
        Color::Idx(3 | 11) => "y",
        Color::Idx(4 | 12) => "u",
        Color::Idx(5 | 13) => "m",
        Color::Idx(6 | 14) => "c",
        Color::Idx(8) => "d",
        _ => "",
    });
    if cell.inverse() {
        look.push('i');
    }
    look
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

/// A row as pieces of one look: the column of each, its look, its text.
fn pieces(screen: &Screen, row: u16) -> Vec<(u16, String, String)> {
    let cursor = (!screen.hide_cursor()).then(|| screen.cursor_position());
    let mut out: Vec<(u16, String, String)> = Vec::new();
    for column in 0..COLUMNS {
        let Some(cell) = screen.cell(row, column) else {
            continue;
        };
        let mut look = look(cell);
        if cursor == Some((row, column)) {
            look.push('i');
        }
        let text = if cell.has_contents() {
            cell.contents()
        } else {
            " "
        };
        match out.last_mut() {
            Some((_, same, piece)) if *same == look => piece.push_str(text),
            _ => out.push((column, look, text.to_owned())),
        }
    }
    out.retain(|(_, look, text)| look.contains('i') || !text.trim().is_empty());
    out
}

/// A row's pieces as SVG, at the top of the picture.
fn drawn(pieces: &[(u16, String, String)]) -> String {
    let mut out = String::new();
    for (column, look, text) in pieces {
        let (mut x, mut text) = (f64::from(*column), text.as_str());
        if look.contains('i') {
            let width = text.chars().count() as f64 * WIDE;
            let left = x * WIDE;
            write!(
                out,
                r#"<rect x="{left:.1}" width="{width:.1}" height="{HIGH}" class="p"/>"#
            )
            .unwrap();
        } else {
            let trimmed = text.trim_start();
            x += (text.chars().count() - trimmed.chars().count()) as f64;
            text = trimmed.trim_end();
        }
        if text.trim().is_empty() {
            continue;
        }
        let left = x * WIDE;
        // The length keeps the columns whatever font is at hand.
        let length = text.chars().count() as f64 * WIDE;
        let class = if look.is_empty() {
            String::new()
        } else {
            let classes: Vec<String> = look.chars().map(String::from).collect();
            format!(r#" class="{}""#, classes.join(" "))
        };
        let text = escaped(text);
        write!(
            out,
            r#"<text x="{left:.1}" y="13" textLength="{length:.1}"{class}>{text}</text>"#
        )
        .unwrap();
    }
    out
}

/// The style: a dark screen, whose colours can be told apart by lightness too.
const STYLE: &str = "\
text{font:14px ui-monospace,'DejaVu Sans Mono',Menlo,Consolas,monospace;fill:#d8dee6;white-space:pre}\
.b{font-weight:bold;fill:#fff}.d{fill:#8b97a5}.r{fill:#ff7b72}.g{fill:#7ee08a}.y{fill:#e3c15c}\
.u{fill:#79b8ff}.m{fill:#f29cf2}.c{fill:#76e0e8}.p{fill:#d8dee6}.i{fill:#14181d}\
.f{visibility:hidden}";

/// The picture.
pub fn svg(frames: &[Frame], title: &str, words: &str) -> String {
    let whole: f64 = frames.iter().map(|frame| frame.seconds).sum();
    let (mut rows, mut known) = (String::new(), HashMap::<String, usize>::new());
    let (mut shown, mut times) = (String::new(), String::new());
    let mut from = 0.0;
    for (n, frame) in frames.iter().enumerate() {
        let to = from + frame.seconds;
        let (a, b) = (from / whole * 100.0, to / whole * 100.0);
        let before = if n == 0 { "" } else { "0%{visibility:hidden}" };
        let after = if n + 1 == frames.len() {
            "100%{visibility:visible}".to_owned()
        } else {
            format!("{b:.3}%,100%{{visibility:hidden}}")
        };
        write!(
            times,
            "@keyframes k{n}{{{before}{a:.3}%{{visibility:visible}}{after}}}"
        )
        .unwrap();
        write!(
            times,
            "#f{n}{{animation:k{n} {whole:.1}s step-end infinite}}"
        )
        .unwrap();
        write!(shown, r#"<g id="f{n}" class="f">"#).unwrap();
        for row in 0..ROWS {
            let text = drawn(&pieces(&frame.screen, row));
            if text.is_empty() {
                continue;
            }
            let next = known.len();
            let id = *known.entry(text.clone()).or_insert_with(|| {
                writeln!(rows, r#"<g id="r{next}">{text}</g>"#).unwrap();
                next
            });
            let y = f64::from(row) * HIGH;
            write!(shown, r##"<use href="#r{id}" y="{y:.0}"/>"##).unwrap();
        }
        shown.push_str("</g>\n");
        from = to;
    }
    let (width, height) = (
        f64::from(COLUMNS) * WIDE + 2.0 * EDGE,
        f64::from(ROWS) * HIGH + 2.0 * EDGE,
    );
    // Whoever wants nothing to move sees the last screen.
    let last = frames.len() - 1;
    let still = format!(
        "@media (prefers-reduced-motion:reduce){{.f{{animation:none!important}}#f{last}{{visibility:visible}}}}"
    );
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" width=\"{width:.0}\" height=\"{height:.0}\" role=\"img\" aria-labelledby=\"t d\">\n\
         <title id=\"t\">{}</title>\n<desc id=\"d\">{}</desc>\n\
         <style>{STYLE}{times}{still}</style>\n\
         <defs>\n{rows}</defs>\n\
         <rect width=\"100%\" height=\"100%\" rx=\"8\" fill=\"#14181d\"/>\n\
         <g transform=\"translate({EDGE},{EDGE})\">\n{shown}</g>\n</svg>\n",
        escaped(title),
        escaped(words)
    )
}
