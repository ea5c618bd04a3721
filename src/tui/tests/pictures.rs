//! The screens as pictures at the sizes that count, and at sizes that nobody should have.

use std::collections::BTreeMap;
use std::fmt::Write;

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;

use super::bench::Bench;
use super::keys::{names, shown};
use crate::settings::{Drawing, Look};
use crate::tui::theme::Able;
use crate::tui::theme::Theme;
use crate::tui::view;

fn picture(name: &str, columns: u16, rows: u16) {
    let mut bench = shown(name);
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
    for name in ["board", "judged", "record"] {
        picture(name, 200, 60);
    }
}

#[test]
fn the_smallest_screen_has_what_is_needed() {
    for name in [
        "board",
        "hold",
        "judged",
        "caution",
        "stop",
        "judged beside the evidence",
        "evidence",
        "evidence next step",
        "evidence map",
    ] {
        picture(name, 60, 20);
    }
}

/// The map of styles: for each row the stretches in one style, a letter for each style, and a key
/// of the letters at the end. Short, and it differs wherever a colour or a weight does.
fn styles(bench: &mut Bench) -> String {
    let buffer = bench.buffer();
    let mut known: Vec<ratatui::style::Style> = Vec::new();
    let mut lines: Vec<(String, usize)> = Vec::new();
    let columns = usize::from(buffer.area.width);
    for row in buffer.content.chunks(columns) {
        let mut line: Vec<(char, usize)> = Vec::new();
        for cell in row {
            let style = cell.style();
            let at = known.iter().position(|s| *s == style).unwrap_or_else(|| {
                known.push(style);
                known.len() - 1
            });
            let letter = char::from(b'a' + u8::try_from(at).unwrap());
            match line.last_mut() {
                Some((last, n)) if *last == letter => *n += 1,
                _ => line.push((letter, 1)),
            }
        }
        let line: Vec<String> = line.iter().map(|(c, n)| format!("{c}{n}")).collect();
        let line = line.join(" ");
        match lines.last_mut() {
            Some((last, n)) if *last == line => *n += 1,
            _ => lines.push((line, 1)),
        }
    }
    let mut out = String::new();
    for (line, n) in lines {
        let times = if n > 1 {
            format!(" x{n}")
        } else {
            String::new()
        };
        let _ = writeln!(out, "{line}{times}");
    }
    for (n, style) in known.iter().enumerate() {
        let letter = char::from(b'a' + u8::try_from(n).unwrap());
        let weight = style.add_modifier;
        let _ = writeln!(out, "{letter}: {:?} on {:?} {weight:?}", style.fg, style.bg);
    }
    out
}

const ABLE: Able = Able {
    colour: true,
    blocks: true,
};

#[test]
fn every_screen_in_every_look() {
    let mut all = BTreeMap::new();
    for name in names() {
        let mut bench = shown(name);
        for (columns, rows) in [(80, 24), (140, 40)] {
            bench.resize(columns, rows);
            for look in Look::ALL {
                bench.driver.model.theme = Theme::of(look, Drawing::Blocks, ABLE);
                let file = format!("look-{}-{columns}x{rows}", look.word());
                let map: &mut String = all.entry(file).or_default();
                let _ = write!(map, "== {name}\n{}", styles(&mut bench));
            }
        }
    }
    for (file, map) in all {
        insta::assert_snapshot!(file, map);
    }
}

#[test]
fn every_screen_at_140_by_40() {
    for name in names() {
        picture(name, 140, 40);
    }
}

#[test]
fn where_only_ascii_is_to_be_had_nothing_else_is_drawn() {
    for name in names() {
        let mut bench = shown(name);
        bench.driver.model.theme = Theme::of(Look::Terminal, Drawing::Ascii, ABLE);
        for (columns, rows) in [(60, 20), (140, 40)] {
            bench.resize(columns, rows);
            let screen = bench.screen();
            assert!(screen.is_ascii(), "{name}:\n{screen}");
        }
    }
    let mut bench = shown("hold");
    bench.driver.model.theme = Theme::of(Look::Terminal, Drawing::Ascii, ABLE);
    insta::assert_snapshot!("hold-ascii-80x24", bench.screen());
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
        let mut bench = shown(name);
        for (columns, rows) in [(60, 20), (80, 24)] {
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
        let mut bench = shown(name);
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

#[test]
fn behind_the_notice_that_there_is_no_room_no_key_does_anything() {
    for name in names() {
        let mut bench = shown(name);
        bench.resize(59, 19);
        let recorded = |bench: &Bench| {
            bench
                .driver
                .model
                .open
                .is_some()
                .then(|| bench.record().len())
        };
        let before = recorded(&bench);
        bench.keys("1<Enter>y <F6><Esc>").paste("99");
        assert_eq!(recorded(&bench), before, "{name}");
        bench.resize(80, 24);
        let mut fresh = shown(name);
        fresh.resize(80, 24);
        assert_eq!(bench.screen(), fresh.screen(), "{name}");
        assert!(bench.left.is_empty(), "{name}");
    }
}

#[test]
fn the_plain_text_of_any_screen_is_no_longer_than_what_it_says() {
    for name in ["hold", "hold that runs", "evidence", "evidence map"] {
        let mut bench = shown(name);
        bench.keys("<C-p>");
        let Some(crate::tui::model::Over::Plain(text, _)) = bench.driver.model.overs.last() else {
            panic!("{name} has no plain text");
        };
        assert!(text.lines().count() < 120, "{name}:\n{text}");
        assert!(text.contains("Job 1"), "{name}:\n{text}");
    }
}
