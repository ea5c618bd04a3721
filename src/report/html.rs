//! The page as one self-contained HTML file: no script, nothing fetched, made to be printed.

use super::chart::{Figure, key, svg};
use super::page::{Block, Item, Page, Table, Tone};
use super::sheet::Sheet;
use super::text::{line, lines};
use crate::units::together::together;

const STYLE: &str = include_str!("page.css");
/// Nothing may be loaded or run, even if a text should ever slip through unescaped.
const POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/// What only a picture has: a text says the range in brackets and no more.
const STROKE: &str = "The thin stroke is the range in brackets.";

/// Writes the page as HTML, for a sheet of paper.
pub fn html(page: &Page, sheet: Sheet) -> String {
    let plate = page.head.iter().find(|(name, _)| name == "Plate");
    let plate = plate.map_or("", |(_, plate)| plate.as_str());
    let name = if plate.is_empty() {
        String::new()
    } else {
        format!(": {}", text(plate))
    };
    let mut out = format!(
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n\
         <title>{}{name}</title>\n<style>\n{STYLE}{}</style>\n</head>\n<body class=\"{}\">\n",
        text(&page.title),
        sheet.rules(page.edition, &page.title, plate),
        page.edition.word(),
    );
    put!(out, "<header>\n<div>{}", tag("h1", "", &page.title));
    if !page.edition.name().is_empty() {
        out.push_str(&tag("p", "edition", page.edition.name()));
    }
    out.push_str("</div>\n");
    firm(&mut out, page);
    out.push_str("</header>\n<main>\n");
    facts(&mut out, &page.head, "head");
    let mut charts = 0;
    for section in &page.sections {
        put!(out, "<section class=\"{}\">\n", section.set.word());
        if !section.title.is_empty() {
            out.push_str(&tag("h2", "", &section.title));
        }
        for one in &section.blocks {
            block(&mut out, one, &mut charts);
        }
        out.push_str("</section>\n");
    }
    if !page.sign.is_empty() {
        if let Some(words) = page.edition.signed_for() {
            out.push_str(&tag("p", "signed", words));
        }
        out.push_str("<div class=\"sign\">\n");
        for who in &page.sign {
            out.push_str(&tag("div", "", &format!("{who}, date")));
        }
        out.push_str("</div>\n");
    }
    out.push_str("</main>\n");
    out.push_str(&tag("footer", "", &page.foot));
    out.push_str("</body>\n</html>\n");
    out
}

/// The workshop, and how it is reached.
fn firm(out: &mut String, page: &Page) {
    if page.workshop.trim().is_empty() && page.reached.is_empty() {
        return;
    }
    out.push_str("<div class=\"firm\">\n");
    if !page.workshop.trim().is_empty() {
        out.push_str(&tag("div", "", &page.workshop));
    }
    for words in &page.reached {
        out.push_str(&tag("div", "reached", words));
    }
    out.push_str("</div>\n");
}

/// Charts, each with its title, how to read it and its key; `drawn` counts them on the page.
fn charts(out: &mut String, figures: &[Figure], drawn: &mut usize) {
    out.push_str("<div class=\"charts\">\n");
    let mut said: Vec<&str> = Vec::new();
    for figure in figures {
        *drawn += 1;
        out.push_str("<figure>\n");
        out.push_str(&tag("p", "title", figure.title()));
        out.push_str(&svg(figure, *drawn));
        out.push_str("<figcaption>\n");
        let key = key(figure);
        if !key.is_empty() {
            out.push_str("<ul class=\"key\">\n");
            for (sample, name) in key {
                put!(out, "<li>{sample} {name}</li>\n");
            }
            out.push_str("</ul>\n");
        }
        // How to read a kind of chart is said once.
        if !figure.reading().is_empty() && !said.contains(&figure.reading()) {
            out.push_str(&tag("p", "", figure.reading()));
            said.push(figure.reading());
        }
        if figure.has_ranges() && !said.contains(&STROKE) {
            out.push_str(&tag("p", "", STROKE));
            said.push(STROKE);
        }
        out.push_str("</figcaption>\n</figure>\n");
    }
    out.push_str("</div>\n");
}

fn block(out: &mut String, block: &Block, drawn: &mut usize) {
    match block {
        Block::Result { tone, words, more } => {
            let (class, mark) = match tone {
                Tone::Proved => ("proved", "Proved"),
                Tone::Plain => ("plain", "Tested"),
                Tone::Open => ("open", "Open"),
            };
            put!(out, "<div class=\"result {class}\">\n");
            out.push_str(&tag("p", "mark", mark));
            out.push_str(&tag("p", "words", words));
            for words in more {
                out.push_str(&tag("p", "", words));
            }
            out.push_str("</div>\n");
        }
        Block::Heading(words) => out.push_str(&tag("h3", "", words)),
        Block::Text(words) => out.push_str(&tag("p", "", words)),
        Block::Point(item) => {
            put!(out, "<p class=\"point\">{}</p>\n", headed(item));
            for more in &item.more {
                out.push_str(&tag("p", "", more));
            }
        }
        Block::Quote(words) => {
            out.push_str("<blockquote>\n");
            for line in lines(words) {
                out.push_str(&tag("p", "", &line));
            }
            out.push_str("</blockquote>\n");
        }
        Block::List(items) => {
            out.push_str("<ul>\n");
            for one in items {
                item(out, one);
            }
            out.push_str("</ul>\n");
        }
        Block::Facts(pairs) => facts(out, pairs, "facts"),
        Block::Table(table) => self::table(out, table),
        Block::Charts(figures) => charts(out, figures, drawn),
        Block::Warning(items) => {
            out.push_str("<div class=\"warning\">\n");
            for one in items {
                put!(out, "<p>{}</p>\n", headed(one));
                for more in &one.more {
                    out.push_str(&tag("p", "", more));
                }
            }
            out.push_str("</div>\n");
        }
    }
}

fn facts(out: &mut String, pairs: &[(String, String)], class: &str) {
    put!(out, "<dl class=\"{class}\">\n");
    for (name, value) in pairs {
        put!(
            out,
            "<div><dt>{}</dt><dd>{}</dd></div>\n",
            text(name),
            text(value)
        );
    }
    out.push_str("</dl>\n");
}

/// A head in bold and what it says.
fn headed(item: &Item) -> String {
    let (head, body) = (text(&item.head), text(&item.text));
    if head.is_empty() {
        return body;
    }
    let ended = body.is_empty() || head.ends_with(['?', '!', '.', ':']);
    let mark = if ended { "" } else { ":" };
    format!("<strong>{head}{mark}</strong> {body}")
}

fn item(out: &mut String, item: &Item) {
    put!(out, "<li>{}", headed(item));
    if !item.more.is_empty() {
        out.push_str("\n<ul>\n");
        for more in &item.more {
            out.push_str(&tag("li", "", more));
        }
        out.push_str("</ul>\n");
    }
    out.push_str("</li>\n");
}

/// So many rows at most are a short table.
const SHORT: usize = 7;

fn table(out: &mut String, table: &Table) {
    // A short table stays on one page; a long one may go on, with its head again, and leaves no half page empty.
    let class = match (table.rows.len() <= SHORT, table.head.len() > 3) {
        (true, false) => "short",
        (true, true) => "short wide",
        (false, false) => "long",
        (false, true) => "long wide",
    };
    put!(out, "<table class=\"{class}\">\n");
    if !table.title.is_empty() {
        out.push_str(&tag("caption", "", &table.title));
    }
    out.push_str("<thead><tr>");
    for cell in &table.head {
        put!(out, "<th scope=\"col\">{}</th>", text(cell));
    }
    out.push_str("</tr></thead>\n<tbody>\n");
    for row in &table.rows {
        out.push_str("<tr>");
        for cell in row {
            put!(out, "<td>{}</td>", text(&unbroken(cell)));
        }
        out.push_str("</tr>\n");
    }
    out.push_str("</tbody>\n</table>\n");
    for note in &table.notes {
        out.push_str(&tag("p", "note", note));
    }
}

/// An element with a text in it; `class` may be empty. Both names are our own, the text is not.
fn tag(name: &str, class: &str, words: &str) -> String {
    let class = if class.is_empty() {
        String::new()
    } else {
        format!(" class=\"{class}\"")
    };
    format!("<{name}{class}>{}</{name}>\n", text(words))
}

pub(super) fn text(words: &str) -> String {
    escape(&raised(&together(&line(words))))
}

/// A value whose number and unit stay together; a line may end before its interval only.
fn unbroken(cell: &str) -> String {
    const LONGEST: usize = 48;
    let cell = line(cell);
    let number = cell
        .trim_start_matches('-')
        .starts_with(|c: char| c.is_ascii_digit());
    if !number || cell.chars().count() > LONGEST {
        return cell;
    }
    let parts: Vec<String> = cell
        .split(" (")
        .map(|part| {
            // An interval stays in one line, words in brackets need not.
            if part.starts_with(|c: char| c.is_ascii_digit() || c == '-') {
                part.replace(' ', "\u{a0}")
            } else {
                part.to_owned()
            }
        })
        .collect();
    parts.join(" (")
}

/// Areas and volumes with a raised figure, as on paper.
fn raised(words: &str) -> String {
    let raise = |word: &str| {
        let bare = word.trim_end_matches([')', ',', ';', '.']);
        let (unit, end) = word.split_at(bare.len());
        let unit = match unit {
            "mm2" => "mm\u{b2}",
            "cm2" => "cm\u{b2}",
            "in2" => "in\u{b2}",
            "m2" => "m\u{b2}",
            "m3" => "m\u{b3}",
            "ft3" => "ft\u{b3}",
            other => other,
        };
        format!("{unit}{end}")
    };
    let blanks = [' ', '\u{a0}'];
    let mut out = String::with_capacity(words.len());
    for part in words.split_inclusive(blanks) {
        let word = part.trim_end_matches(blanks);
        out.push_str(&raise(word));
        out.push_str(&part[word.len()..]);
    }
    out
}

fn escape(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_and_hidden_characters_are_only_text() {
        assert_eq!(
            text("<script>alert(\"x\")</script> & 'y'\u{202e}\u{1b}"),
            "&lt;script&gt;alert(&quot;x&quot;)&lt;/script&gt; &amp; &#39;y&#39;"
        );
    }

    #[test]
    fn a_value_and_its_interval_stay_together_and_words_do_not() {
        assert_eq!(
            unbroken("1.68 mm (1.59 to 1.79 mm) (covered: inlet duct)"),
            "1.68\u{a0}mm (1.59\u{a0}to\u{a0}1.79\u{a0}mm) (covered: inlet duct)"
        );
        assert_eq!(unbroken("none seen (yet)"), "none seen (yet)");
    }

    #[test]
    fn areas_have_a_raised_figure() {
        assert_eq!(
            text("3.2 mm2 (2.7 to 3.7 mm2); 14 inH2O"),
            "3.2\u{a0}mm\u{b2} (2.7 to 3.7\u{a0}mm\u{b2}); 14\u{a0}inH2O"
        );
    }

    #[test]
    fn the_style_fetches_nothing_and_cannot_end_its_element() {
        for bad in ["url(", "@import", "</", "http"] {
            assert!(!STYLE.contains(bad), "{bad}");
        }
    }
}
