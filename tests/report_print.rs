//! The paper itself: every edition is printed by a real browser on A4 and Letter, and the words are
//! looked up in what came out. Nothing may lie outside the sheet or on top of something else, the
//! customer's pages are two at most, and a label is one label.
//!
//! Needs `chromium` and `pdftotext` (Debian: chromium, poppler-utils), so it does not run with the
//! others: `cargo test --test suite report_print:: -- --ignored`. With `RULEOUT_PAPER_DIR` set, the pages
//! stay there to be looked at. Without the two programs it fails.

use crate::jobs;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::page::{EDITIONS, job_full_of, page_for, stories, with_flows_full_of};
use ruleout::engine::event::Event;
use ruleout::report::edition::Edition;
use ruleout::report::{Sheet, html};

const SHEETS: [(Sheet, &str, (f64, f64)); 2] = [
    (Sheet::A4, "a4", (595.0, 842.0)),
    (Sheet::Letter, "letter", (612.0, 792.0)),
];

/// A word on a page: its box in points, from the top left.
#[derive(Debug)]
struct Word {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
    text: String,
}

struct Sheeted {
    width: f64,
    height: f64,
    words: Vec<Word>,
}

/// Prints a page as the browser prints it and gives back the PDF.
fn print(dir: &Path, name: &str, html: &str) -> PathBuf {
    let (page, pdf) = (
        dir.join(format!("{name}.html")),
        dir.join(format!("{name}.pdf")),
    );
    std::fs::write(&page, html).unwrap();
    let profile = tempfile::tempdir().unwrap();
    let done = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            "--no-pdf-header-footer",
        ])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(format!("--print-to-pdf={}", pdf.display()))
        .arg(format!("file://{}", page.display()))
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .status()
        .expect("chromium runs; install it (Debian: chromium)");
    assert!(done.success() && pdf.is_file(), "{name} was not printed");
    pdf
}

/// The pages of a PDF with their words.
fn words(pdf: &Path) -> Vec<Sheeted> {
    let out = Command::new("pdftotext")
        .arg("-bbox")
        .arg(pdf)
        .arg("-")
        .output()
        .expect("pdftotext runs; install it (Debian: poppler-utils)");
    let text = String::from_utf8(out.stdout).unwrap();
    let number = |line: &str, name: &str| -> f64 {
        let from = line.find(&format!("{name}=\"")).unwrap() + name.len() + 2;
        line[from..].split('"').next().unwrap().parse().unwrap()
    };
    let mut pages: Vec<Sheeted> = Vec::new();
    for line in text.lines().map(str::trim) {
        if line.starts_with("<page ") {
            pages.push(Sheeted {
                width: number(line, "width"),
                height: number(line, "height"),
                words: Vec::new(),
            });
        } else if line.starts_with("<word ") {
            let inner = line.split_once('>').unwrap().1;
            pages.last_mut().unwrap().words.push(Word {
                left: number(line, "xMin"),
                top: number(line, "yMin"),
                right: number(line, "xMax"),
                bottom: number(line, "yMax"),
                text: inner.trim_end_matches("</word>").to_owned(),
            });
        }
    }
    pages
}

/// What is wrong on a page: words that leave it, words that lie on each other, and a value in so narrow a column that
/// its end is torn off.
fn wrong(page: &Sheeted) -> Vec<String> {
    let mut out = Vec::new();
    for (n, a) in page.words.iter().enumerate() {
        if a.left < 0.0 || a.top < 0.0 || a.right > page.width || a.bottom > page.height {
            out.push(format!("outside: {a:?}"));
        }
        if a.text == ")" {
            out.push(format!("torn off its value: {a:?}"));
        }
        for b in &page.words[n + 1..] {
            let across = a.right.min(b.right) - a.left.max(b.left);
            let down = a.bottom.min(b.bottom) - a.top.max(b.top);
            let height = (a.bottom - a.top).min(b.bottom - b.top);
            // The boxes of two lines touch; their letters do not.
            if across > 0.5 && down > 0.35 * height {
                out.push(format!("on each other: {a:?} and {b:?}"));
            }
        }
    }
    out
}

/// The least share of a last sheet that is worth turning to: a dozen rows of the record and the signatures.
const LEAST: f64 = 0.25;
/// The foot of a sheet, where its number stands, in points.
const FOOT: f64 = 45.0;

/// How far down a page goes, as a share of its height.
fn filled(page: &Sheeted) -> f64 {
    let above_foot = |word: &&Word| word.bottom < page.height - FOOT;
    let lowest = page.words.iter().filter(above_foot).map(|w| w.bottom);
    lowest.fold(0.0, f64::max) / page.height
}

fn folder() -> (Option<tempfile::TempDir>, PathBuf) {
    if let Some(dir) = std::env::var_os("RULEOUT_PAPER_DIR") {
        std::fs::create_dir_all(&dir).unwrap();
        (None, PathBuf::from(dir).canonicalize().unwrap())
    } else {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().to_owned();
        (Some(dir), path)
    }
}

/// Prints a job in an edition on both sheets and says what is wrong.
fn look_at(dir: &Path, name: &str, events: &[Event], edition: Edition) -> Vec<usize> {
    let page = page_for(events, edition);
    let mut counts = Vec::new();
    for (sheet, called, size) in SHEETS {
        let name = format!("{name}-{}-{called}", edition.word());
        let pages = words(&print(dir, &name, &html(&page, sheet)));
        assert!(!pages.is_empty(), "{name}");
        for (n, page) in pages.iter().enumerate() {
            assert_eq!(wrong(page), Vec::<String>::new(), "{name}, page {}", n + 1);
            assert!(!page.words.is_empty(), "{name}, page {} is empty", n + 1);
            // A label has a size of its own: 62 by 100 mm.
            let (width, height) = if edition == Edition::Label {
                (175.7, 283.5)
            } else {
                size
            };
            assert!(
                (page.width - width).abs() < 1.5 && (page.height - height).abs() < 1.5,
                "{name}: {} by {}",
                page.width,
                page.height
            );
        }
        if let (Edition::Workshop, [_, .., last]) = (edition, &pages[..]) {
            let filled = filled(last);
            assert!(
                filled > LEAST,
                "{name}: its last sheet is filled to {filled:.2}"
            );
        }
        counts.push(pages.len());
    }
    counts
}

#[test]
#[ignore = "needs chromium and pdftotext"]
fn every_demo_job_prints_well_on_both_sheets() {
    let (_guard, dir) = folder();
    for (name, story) in jobs::all() {
        for edition in EDITIONS {
            let pages = look_at(&dir, name, &story.events, edition);
            let most = match edition {
                Edition::Customer => 2,
                Edition::Parts | Edition::Label => 1,
                Edition::Workshop => usize::MAX,
            };
            assert!(
                pages.iter().all(|n| *n <= most),
                "{name}, {edition:?}: {pages:?}"
            );
        }
    }
}

#[test]
#[ignore = "needs chromium and pdftotext"]
fn a_hold_and_a_ripple_print_well() {
    let (_guard, dir) = folder();
    for (name, story) in [
        ("hold", stories::small_leak()),
        ("lobes", stories::odd_lobe()),
    ] {
        for edition in [Edition::Customer, Edition::Workshop] {
            look_at(&dir, name, &story.events, edition);
        }
    }
}

#[test]
#[ignore = "needs chromium and pdftotext"]
fn long_and_odd_texts_stay_on_the_sheet() {
    let (_guard, dir) = folder();
    let long = "Donaudampfschifffahrtsgesellschaftskapitaenswitwenrentenauszahlungsstelle and a great \
                many words after it, so that it goes on for ever and then some more, \
                \u{6f22}\u{5b57}\u{6f22}\u{5b57}\u{6f22}\u{5b57}\u{6f22}\u{5b57}\u{6f22}\u{5b57} WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW";
    let named = with_flows_full_of(jobs::split_hose_then_gasket().events, long);
    let typed = job_full_of(long);
    for edition in EDITIONS {
        for (name, events) in [("long-names", &named), ("long-texts", &typed)] {
            let pages = look_at(&dir, name, events, edition);
            if edition == Edition::Label {
                assert_eq!(pages, [1, 1], "{name}");
            }
        }
    }
}

#[test]
fn words_on_each_other_are_noticed() {
    let word = |left: f64, top: f64| Word {
        left,
        top,
        right: left + 30.0,
        bottom: top + 10.0,
        text: "word".to_owned(),
    };
    let page = |words| Sheeted {
        width: 100.0,
        height: 100.0,
        words,
    };
    assert_eq!(wrong(&page(vec![word(0.0, 0.0), word(31.0, 0.0)])).len(), 0);
    assert_eq!(wrong(&page(vec![word(0.0, 0.0), word(20.0, 4.0)])).len(), 1);
    assert_eq!(wrong(&page(vec![word(80.0, 0.0)])).len(), 1);
    assert_eq!(word(0.0, 0.0).text, "word");
}
