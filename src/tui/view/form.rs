//! A form: labels, fields, and beside each what is wrong with it.

use ratatui::layout::Rect;

use super::canvas::{Canvas, width};
use super::sheet::{Part, Sheet};
use crate::tui::message::{Act, Message};
use crate::tui::model::{Field, FieldKind, Form};
use crate::tui::theme::Role;

const LABELS: usize = 18;
/// The words of a list need the room more than the eye needs the column.
const LIST_INDENT: usize = 2;
/// What stands between the words of a list.
const GAP: &str = "  ";

/// Draws a form.
pub fn draw(form: &Form, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width);
    sheet.text(Role::Strong, &form.title);
    if !form.lead.is_empty() {
        sheet.text(Role::Muted, &form.lead);
    }
    sheet.blank();
    for (n, field) in form.fields.iter().enumerate() {
        let from = sheet.height();
        draw_field(&mut sheet, (n, field), n == form.at, area.width);
        sheet.hit_from(from, &Message::Focus(n));
    }
    sheet.blank();
    let mut buttons = vec![
        Part::new(Role::Plain, " ".repeat(LABELS + 1)),
        Part::new(Role::Key, "[ Save ]").hit(Message::Do(Act::Save)),
        Part::new(Role::Plain, "   "),
        Part::new(Role::Key, "[ Back ]").hit(Message::Do(Act::Back)),
    ];
    let hint = "   Enter in the last field saves too";
    if LABELS + 20 + width(hint) <= usize::from(area.width) {
        buttons.push(Part::new(Role::Muted, hint));
    }
    sheet.row(buttons);
    sheet.draw(canvas, area);
}

fn draw_field(sheet: &mut Sheet, (n, field): (usize, &Field), focused: bool, columns: u16) {
    let mark = if focused { "> " } else { "  " };
    let label = format!("{mark}{:<w$}", field.label, w = LABELS - 1);
    let role = if focused { Role::Strong } else { Role::Plain };
    let before = vec![Part::new(role, label)];
    if let FieldKind::Words { words, at } = &field.kind {
        words_to_pick(sheet, before, (n, words), *at, focused);
        let (words, role) = remark(field, focused);
        below(sheet, &words, role);
        return;
    }
    let room = usize::from(columns).saturating_sub(LABELS + 4);
    let long = matches!(field.kind, FieldKind::Free | FieldKind::Needed) && room > 60;
    let wanted = if long { 56 } else { 30 };
    let beside = room.saturating_sub(wanted + 1);
    let (words, role) = remark(field, focused);
    if words.is_empty() || width(&words) > beside {
        // A long text is typed in words: give it the row, and put the remark below.
        let columns = if words.is_empty() {
            wanted.max(room.min(56))
        } else {
            room.min(56)
        };
        sheet.field(before, &field.text, columns, focused, Vec::new());
        below(sheet, &words, role);
    } else {
        let after = vec![Part::new(role, format!(" {words}"))];
        sheet.field(
            before,
            &field.text,
            wanted.max(room.saturating_sub(width(&words) + 2).min(56)),
            focused,
            after,
        );
    }
    if let (true, FieldKind::Listed(list)) = (focused, &field.kind) {
        listed(sheet, list, field.text.value());
    }
}

fn remark(field: &Field, focused: bool) -> (String, Role) {
    match &field.error {
        Some(error) => (format!("! {error}"), Role::Fail),
        None if focused => (field.hint.clone(), Role::Muted),
        None => (String::new(), Role::Muted),
    }
}

fn below(sheet: &mut Sheet, words: &str, role: Role) {
    if !words.is_empty() {
        let indent = " ".repeat(LABELS + 2);
        sheet.hanging(&indent, &indent, role, words);
    }
}

fn words_to_pick(
    sheet: &mut Sheet,
    before: Vec<Part>,
    (field, words): (usize, &[String]),
    at: Option<usize>,
    focused: bool,
) {
    let mut parts = before;
    let mut used = LABELS + 1;
    for (n, word) in words.iter().enumerate() {
        let picked = at == Some(n);
        let text = if picked {
            format!("[{} {word}]", n + 1)
        } else {
            format!(" {} {word} ", n + 1)
        };
        let role = if picked { Role::Focus } else { Role::Plain };
        if used + width(&text) > sheet.columns() {
            let indent = Part::new(Role::Plain, " ".repeat(LABELS + 1));
            sheet.row(std::mem::replace(&mut parts, vec![indent]));
            used = LABELS + 1;
        }
        used += width(&text);
        parts.push(Part::new(role, text).hit(Message::Word(field, n)));
    }
    sheet.row(parts);
    if focused {
        sheet.focus_here();
    }
}

/// The words of a list, several a row, each with its number: those in which the word that is being
/// typed occurs, or all.
fn listed(sheet: &mut Sheet, words: &[String], typed: &str) {
    let last = typed.rsplit([',', ';']).next().unwrap_or_default();
    let last = last.trim().to_lowercase();
    let wanted = |word: &str| last.parse::<usize>().is_ok() || word.to_lowercase().contains(&last);
    let indent = " ".repeat(LIST_INDENT);
    let mut parts = vec![Part::new(Role::Plain, indent.clone())];
    let mut used = LIST_INDENT;
    for (n, word) in words.iter().enumerate().filter(|(_, word)| wanted(word)) {
        let text = format!("{} {word}", n + 1);
        let gap = if parts.len() > 1 { GAP } else { "" };
        if used + gap.len() + width(&text) > sheet.columns() && parts.len() > 1 {
            sheet.row(std::mem::replace(
                &mut parts,
                vec![Part::new(Role::Plain, indent.clone())],
            ));
            used = LIST_INDENT;
        } else {
            used += gap.len();
            parts.push(Part::new(Role::Plain, gap));
        }
        used += width(&text);
        parts.push(Part::new(Role::Plain, text).hit(Message::Pick(n)));
    }
    if parts.len() > 1 {
        sheet.row(parts);
    }
}
