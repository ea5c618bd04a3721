//! The screens as pictures at the sizes that count, and at sizes that nobody should have.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::bench::Bench;
use super::keys::{names, screen};
use crate::tui::theme::Theme;
use crate::tui::view;

fn picture(name: &str, columns: u16, rows: u16) {
    let mut bench = screen(name);
    bench.resize(columns, rows);
    let file = format!("{}-{columns}x{rows}", name.replace(' ', "-"));
    insta::assert_snapshot!(file, bench.screen());
}

#[test]
fn every_screen_at_80_by_24() {
    for name in names() {
        picture(name, 80, 24);
    }
}

#[test]
fn wide_screens_use_the_room() {
    for name in [
        "board",
        "new job",
        "hold",
        "judged",
        "second test",
        "stop",
        "record",
    ] {
        picture(name, 140, 40);
    }
    picture("judged", 200, 60);
}

#[test]
fn the_smallest_screen_has_what_is_needed() {
    for name in ["board", "hold", "judged", "caution", "stop"] {
        picture(name, 60, 20);
    }
}

/// Rows below the head that end in the mark of something cut off.
pub fn cut_rows(screen: &str) -> Vec<String> {
    let rows = screen.lines().skip(1);
    rows.filter(|row| row.contains('…'))
        .map(str::to_owned)
        .collect()
}

#[test]
fn nothing_is_cut_off_at_the_smallest_size_nor_at_the_usual_one() {
    for name in names() {
        for (columns, rows) in [(60, 20), (80, 24)] {
            let mut bench = screen(name);
            bench.resize(columns, rows);
            let screen = bench.screen();
            assert_eq!(cut_rows(&screen), [""; 0], "{name} at {columns}:\n{screen}");
            let foot = screen.lines().last().unwrap_or_default();
            assert!(
                name == "text"
                    || foot.ends_with("help")
                    || foot.contains("Esc")
                    || foot.contains("? help"),
                "{name} at {columns}:\n{screen}"
            );
        }
    }
}

#[test]
fn no_size_makes_any_screen_fail() {
    let sizes = [
        (0, 0),
        (1, 1),
        (1, 50),
        (80, 1),
        (59, 19),
        (60, 20),
        (61, 21),
        (80, 24),
        (300, 20),
        (60, 100),
    ];
    for name in names() {
        let mut bench = screen(name);
        for (columns, rows) in sizes {
            bench.resize(columns, rows);
            let screen = bench.screen();
            if columns == 59 {
                assert!(screen.contains("needs more room"), "{name}: {screen}");
            }
        }
        bench.resize(60, 20);
        assert!(!bench.screen().contains("needs more room"), "{name}");
    }
}

#[test]
fn drawing_stays_inside_an_area_that_does_not_begin_at_zero() {
    let bench = Bench::at_hold();
    for theme in [Theme::new(true), Theme::new(false)] {
        let mut model = bench.driver.model.clone();
        model.theme = theme;
        let mut buffer = Buffer::empty(Rect::new(3, 2, 80, 24));
        let drawn = view::draw(&model, &mut buffer);
        assert!(
            drawn
                .hits
                .iter()
                .all(|(area, _)| buffer.area.intersection(*area) == *area)
        );
    }
}

#[test]
fn text_from_files_cannot_turn_or_hide_anything() {
    let mut b = Bench::new();
    b.keys("n")
        .typed("T\u{202e}1")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("a\u{7}b")
        .keys("<F6>");
    let hidden = |c: char| c != '\n' && crate::job::hidden::is_hidden(c);
    assert!(!b.screen().chars().any(hidden));
    b.keys("<F5>");
    assert!(!b.screen().chars().any(hidden));
    b.keys("<F12>");
    assert!(!b.screen().chars().any(hidden));
}
