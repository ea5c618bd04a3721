//! The page as Markdown that also reads well as plain text.

use super::chart::Figure;
use super::page::{Block, Item, Page, Section, Table, Tone};
use super::text::{line, lines};

/// Writes the page as Markdown.
pub fn markdown(page: &Page) -> String {
    let mut out = format!("# {}\n", text(&page.title));
    let firm = [page.workshop.as_str()].into_iter();
    let reached = page.reached.iter().map(String::as_str);
    for words in firm.chain(reached).chain([page.edition.name()]) {
        if !words.trim().is_empty() {
            put!(out, "\n{}\n", text(words));
        }
    }
    out.push('\n');
    facts(&mut out, &page.head);
    for section in page.sections.iter().filter(|s| !only_drawn(s)) {
        if !section.title.is_empty() {
            put!(out, "\n## {}\n", text(&section.title));
        }
        for block in &section.blocks {
            out.push('\n');
            self::block(&mut out, block);
        }
    }
    out.push_str("\n---\n\n");
    if let Some(words) = page.edition.signed_for().filter(|_| !page.sign.is_empty()) {
        put!(out, "{}\n\n", text(words));
    }
    for who in &page.sign {
        put!(
            out,
            "{}: ______________________ Date: __________\n\n",
            text(who)
        );
    }
    out.push_str(&text(&page.foot));
    out.push('\n');
    out
}

/// Whether a section has nothing but curves, which a text cannot show.
fn only_drawn(section: &Section) -> bool {
    let drawn = |figure: &Figure| matches!(figure, Figure::Plot(_));
    section
        .blocks
        .iter()
        .all(|block| matches!(block, Block::Charts(figures) if figures.iter().all(drawn)))
}

fn block(out: &mut String, block: &Block) {
    match block {
        Block::Result { tone, words, more } => {
            let mark = match tone {
                Tone::Proved => "PROVED",
                Tone::Plain => "TESTED",
                Tone::Open => "OPEN",
            };
            put!(out, "**{mark}: {}**\n", text(words));
            for words in more {
                put!(out, "\n{}\n", paragraph(words));
            }
        }
        Block::Heading(words) => put!(out, "### {}\n", text(words)),
        Block::Text(words) => put!(out, "{}\n", paragraph(words)),
        Block::Point(item) => {
            put!(out, "{}\n", headed(item));
            for more in &item.more {
                put!(out, "\n{}\n", paragraph(more));
            }
        }
        Block::Quote(words) => {
            for line in lines(words) {
                let line = opening(&escape(&line));
                put!(out, "{}\n", format!("> {line}").trim_end());
            }
        }
        Block::List(items) => {
            for one in items {
                item(out, one);
            }
        }
        Block::Facts(pairs) => facts(out, pairs),
        Block::Table(table) => self::table(out, table),
        Block::Charts(figures) => charts(out, figures),
        Block::Warning(items) => {
            for one in items {
                put!(out, "- **IMPORTANT** {}\n", headed(one));
                for more in &one.more {
                    put!(out, "  - {}\n", opening(&text(more)));
                }
            }
        }
    }
}

fn facts(out: &mut String, pairs: &[(String, String)]) {
    for (name, value) in pairs {
        let name = text(name);
        let mark = if name.ends_with(['?', ':']) { "" } else { ":" };
        put!(out, "- **{name}{mark}** {}\n", text(value));
    }
}

/// A text has no pictures: values beside each other, in words. Curves are left out: a row of raw
/// points tells nobody anything, and what was worked out from them stands in its own place.
fn charts(out: &mut String, figures: &[Figure]) {
    let mut said: Vec<&str> = Vec::new();
    for figure in figures {
        if let Figure::Plot(_) = figure {
            continue;
        }
        let title = text(figure.title());
        let mark = if title.ends_with(['?', '!']) { "" } else { ":" };
        put!(out, "- **{title}{mark}** {}\n", text(figure.about()));
        // How to read a kind of chart is said once, as on paper.
        if !figure.reading().is_empty() && !said.contains(&figure.reading()) {
            put!(out, "  - {}\n", opening(&text(figure.reading())));
            said.push(figure.reading());
        }
    }
}

/// A head in bold and what it says, on one line.
fn headed(item: &Item) -> String {
    let (head, body) = (text(&item.head), text(&item.text));
    let mark = if head.ends_with(['?', '!', '.', ':']) {
        ""
    } else {
        ":"
    };
    match (head.is_empty(), body.is_empty()) {
        (true, _) => opening(&body),
        (false, true) => format!("**{head}**"),
        (false, false) => format!("**{head}{mark}** {body}"),
    }
}

fn item(out: &mut String, item: &Item) {
    put!(out, "- {}\n", headed(item));
    for more in &item.more {
        put!(out, "  - {}\n", opening(&text(more)));
    }
}

fn table(out: &mut String, table: &Table) {
    if !table.title.is_empty() {
        put!(out, "**{}**\n\n", text(&table.title));
    }
    let rows: Vec<Vec<String>> = std::iter::once(&table.head)
        .chain(&table.rows)
        .map(|row| row.iter().map(|cell| text(cell)).collect())
        .collect();
    let widths: Vec<usize> = (0..table.head.len())
        .map(|n| {
            let cells = rows.iter().filter_map(|row| row.get(n));
            cells
                .map(|cell| cell.chars().count())
                .max()
                .unwrap_or(0)
                .max(3)
        })
        .collect();
    for (n, row) in rows.iter().enumerate() {
        let cells: Vec<String> = widths
            .iter()
            .enumerate()
            .map(|(c, width)| format!("{:width$}", row.get(c).map_or("", String::as_str)))
            .collect();
        put!(out, "| {} |\n", cells.join(" | "));
        if n == 0 {
            let rule: Vec<String> = widths.iter().map(|width| "-".repeat(*width)).collect();
            put!(out, "| {} |\n", rule.join(" | "));
        }
    }
    for note in &table.notes {
        put!(out, "\n{}\n", paragraph(note));
    }
}

/// A text inside a line.
fn text(words: &str) -> String {
    escape(&line(words))
}

/// A text that begins a line.
fn paragraph(words: &str) -> String {
    opening(&text(words))
}

/// Takes the meaning out of what Markdown would read as markup.
fn escape(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    let mut before = ' ';
    let mut rest = words.chars().peekable();
    while let Some(c) = rest.next() {
        let after = rest.peek().copied().unwrap_or(' ');
        let inside_a_word = before.is_alphanumeric() && after.is_alphanumeric();
        match c {
            '\\' | '`' | '*' | '[' | ']' | '|' | '~' => out.push('\\'),
            '_' if !inside_a_word => out.push('\\'),
            '!' if after == '[' => out.push('\\'),
            _ => {}
        }
        match c {
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '&' if after.is_alphanumeric() || after == '#' => out.push_str("&amp;"),
            _ => out.push(c),
        }
        before = c;
    }
    out
}

/// Takes the meaning out of what would begin a heading, a list or a rule at the start of a line.
fn opening(words: &str) -> String {
    let digits = words.len() - words.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let after = words.get(digits..).unwrap_or_default();
    let blank =
        |rest: Option<&str>| rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '));
    let item = blank(words.strip_prefix(['-', '+']));
    let rule = !words.is_empty() && words.chars().all(|c| matches!(c, '-' | '=' | ' '));
    if words.starts_with('#') || item || rule {
        format!("\\{words}")
    } else if digits > 0 && blank(after.strip_prefix(['.', ')'])) {
        format!("{}\\{after}", &words[..digits])
    } else {
        words.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markup_in_a_text_is_only_text() {
        assert_eq!(
            text("a *b* `c` [d](e) <script> x|y"),
            "a \\*b\\* \\`c\\` \\[d\\](e) &lt;script&gt; x\\|y"
        );
        assert_eq!(
            text("snake_case _x_ AT&T &amp;"),
            "snake_case \\_x\\_ AT&amp;T &amp;amp;"
        );
        assert_eq!(paragraph("# no heading"), "\\# no heading");
        assert_eq!(paragraph("- no list"), "\\- no list");
        assert_eq!(paragraph("1. no list"), "1\\. no list");
        assert_eq!(paragraph("2.5 mm"), "2.5 mm");
        assert_eq!(paragraph("-5 kPa"), "-5 kPa");
        assert_eq!(paragraph("---"), "\\---");
        assert_eq!(text("two\nlines\u{1b}[31m"), "two lines\\[31m");
    }

    #[test]
    fn a_quote_stays_a_quote_over_all_its_lines() {
        let mut out = String::new();
        block(
            &mut out,
            &Block::Quote("it hums\n\n# and stalls".to_owned()),
        );
        assert_eq!(out, "> it hums\n>\n> \\# and stalls\n");
    }
}
