//! A sheet: rows of text under each other, some of which can be clicked, drawn into an area and
//! scrolled. Every screen is made of sheets. Knows rows, not what they mean.

use ratatui::layout::{Position, Rect};
use tui_input::Input;

use super::canvas::{Canvas, width, wrap};
use crate::tui::clean::clean;
use crate::tui::message::Message;
use crate::tui::theme::Role;

/// Rows under each other.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    room: usize,
    rows: Vec<Row>,
    /// A row that must be seen.
    focus: Option<usize>,
}

/// One row.
#[derive(Clone, Debug, Default)]
struct Row {
    parts: Vec<Part>,
    /// The whole row means this when it is clicked.
    hit: Option<Message>,
    /// Column of the cursor.
    cursor: Option<usize>,
    /// The row is filled with the first part's style.
    tinted: bool,
    kind: Kind,
}

/// What a row is, where that makes a difference to whoever has it read out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Kind {
    /// Text, whatever its pieces.
    #[default]
    Text,
    /// A name and its value.
    Pair,
    /// The first row of a numbered item.
    Item(usize),
    /// A field that is typed in.
    Field,
}

/// A piece of a row.
#[derive(Clone, Debug)]
pub struct Part {
    text: String,
    role: Role,
    hit: Option<Message>,
}

impl Part {
    /// A piece of text.
    pub fn new(role: Role, text: impl Into<String>) -> Self {
        Self {
            text: text.into(),
            role,
            hit: None,
        }
    }

    /// A piece that can be clicked.
    #[must_use]
    pub fn hit(mut self, message: Message) -> Self {
        self.hit = Some(message);
        self
    }
}

impl Sheet {
    /// An empty sheet for so many columns.
    pub fn new(columns: u16) -> Self {
        Self {
            room: usize::from(columns).max(1),
            ..Self::default()
        }
    }

    /// How many columns it has.
    pub fn columns(&self) -> usize {
        self.room
    }

    /// How many rows it has.
    pub fn height(&self) -> u16 {
        u16::try_from(self.rows.len()).unwrap_or(u16::MAX)
    }

    /// An empty row, unless there is one already.
    pub fn blank(&mut self) {
        if self.rows.last().is_some_and(|row| !row.parts.is_empty()) {
            self.rows.push(Row::default());
        }
    }

    /// A row of pieces.
    pub fn row(&mut self, parts: Vec<Part>) {
        self.rows.push(Row {
            parts,
            ..Row::default()
        });
    }

    /// One more piece at the end of the last row.
    pub fn append(&mut self, part: Part) {
        if let Some(row) = self.rows.last_mut() {
            row.parts.push(part);
        }
    }

    /// Text over as many rows as it takes.
    pub fn text(&mut self, role: Role, text: &str) {
        self.hanging("", "", role, text);
    }

    /// Text with a mark before the first row and another before those that follow.
    pub fn hanging(&mut self, first: &str, then: &str, role: Role, text: &str) {
        let room = self.room.saturating_sub(width(first).max(width(then)));
        for (n, line) in wrap(text, room).into_iter().enumerate() {
            let mark = if n == 0 { first } else { then };
            self.row(vec![Part::new(role, mark), Part::new(role, line)]);
        }
    }

    /// Text with a bold word before it.
    pub fn labelled(&mut self, role: Role, label: &str, text: &str) {
        let lines = wrap(&format!("{label} {text}"), self.room);
        for (n, line) in lines.into_iter().enumerate() {
            match line.strip_prefix(label) {
                Some(rest) if n == 0 => {
                    self.row(vec![Part::new(role, label), Part::new(Role::Plain, rest)]);
                }
                _ => self.row(vec![Part::new(Role::Plain, line)]),
            }
        }
    }

    /// A name with its value beside it, in columns.
    pub fn pair(&mut self, name: &str, value: &str, names: usize) {
        let names = names.min(self.room / 2);
        let values = wrap(value, self.room.saturating_sub(names + 2));
        let names_broken = wrap(name, names);
        for n in 0..values.len().max(names_broken.len()) {
            let name = names_broken.get(n).map_or("", String::as_str);
            let value = values.get(n).map_or("", String::as_str);
            let pad = names.saturating_sub(width(name)) + 2;
            self.row(vec![
                Part::new(Role::Muted, format!("{name}{}", " ".repeat(pad))),
                Part::new(Role::Strong, value),
            ]);
            self.is(Kind::Pair);
        }
    }

    /// A numbered item of a list; `number` from 1. All its rows can be clicked.
    pub fn item(
        &mut self,
        number: usize,
        picked: bool,
        label: &str,
        detail: &str,
        message: &Message,
    ) {
        let mark = if picked { '>' } else { ' ' };
        let head = format!("{mark} {number:<2} ");
        let from = self.rows.len();
        let (key, role) = if picked {
            (Role::Focus, Role::Focus)
        } else {
            (Role::Key, Role::Plain)
        };
        let lines = wrap(label, self.room.saturating_sub(width(&head)));
        for (n, line) in lines.into_iter().enumerate() {
            self.row(if n == 0 {
                vec![Part::new(key, head.clone()), Part::new(role, line)]
            } else {
                vec![Part::new(role, format!("     {line}"))]
            });
            if let Some(row) = self.rows.last_mut() {
                row.tinted = picked;
            }
            if n == 0 {
                self.is(Kind::Item(number));
            }
        }
        if !detail.is_empty() {
            self.hanging("     ", "     ", Role::Muted, detail);
        }
        for row in &mut self.rows[from..] {
            row.hit = Some(message.clone());
        }
        if picked {
            self.focus = Some(self.rows.len() - 1);
        }
    }

    /// A numbered item of one row or more, with figures before its name.
    pub fn item_beside(
        &mut self,
        number: usize,
        picked: bool,
        figures: &str,
        name: &str,
        message: &Message,
    ) {
        let mark = if picked { '>' } else { ' ' };
        let head = format!("{mark} {number:<2} {figures}");
        let from = self.rows.len();
        let (key, role) = if picked {
            (Role::Focus, Role::Focus)
        } else {
            (Role::Plain, Role::Plain)
        };
        let indent = " ".repeat(width(&head));
        let lines = wrap(name, self.room.saturating_sub(width(&head)));
        for (n, line) in lines.into_iter().enumerate() {
            let before = if n == 0 { &head } else { &indent };
            self.row(vec![Part::new(key, before.clone()), Part::new(role, line)]);
        }
        for row in &mut self.rows[from..] {
            row.hit = Some(message.clone());
            row.tinted = picked;
        }
        if picked {
            self.focus = Some(self.rows.len() - 1);
        }
    }

    /// A field that is typed in: pieces before it, the field itself, pieces after it.
    pub fn field(
        &mut self,
        before: Vec<Part>,
        input: &Input,
        columns: usize,
        focused: bool,
        after: Vec<Part>,
    ) {
        let start: usize = before.iter().map(|part| width(&part.text)).sum();
        let columns = columns.min(self.room.saturating_sub(start + 2)).max(1);
        let scroll = input.visual_scroll(columns.saturating_sub(1).max(1));
        // Where nobody types, a text is read from its beginning, and a mark says that it goes on.
        let goes_on = !focused && width(input.value()) > columns;
        let seen = if goes_on {
            format!("{}…", seen(input.value(), 0, columns.saturating_sub(1)))
        } else {
            seen(input.value(), scroll, columns)
        };
        let pad = columns.saturating_sub(width(&seen));
        let (open, close) = if focused { ("[", "]") } else { (" ", " ") };
        let role = if focused { Role::Strong } else { Role::Plain };
        let filler = if focused { "_" } else { "." };
        let mut parts = before;
        parts.push(Part::new(Role::Key, open));
        parts.push(Part::new(role, seen));
        parts.push(Part::new(Role::Muted, filler.repeat(pad)));
        parts.push(Part::new(Role::Key, close));
        parts.extend(after);
        let cursor = focused.then(|| start + 1 + input.visual_cursor().saturating_sub(scroll));
        self.rows.push(Row {
            parts,
            cursor,
            kind: Kind::Field,
            ..Row::default()
        });
        if focused {
            self.focus = Some(self.rows.len() - 1);
        }
    }

    /// Makes all rows from one on mean this when they are clicked.
    pub fn hit_from(&mut self, from: u16, message: &Message) {
        for row in self.rows.iter_mut().skip(usize::from(from)) {
            row.hit.get_or_insert_with(|| message.clone());
        }
    }

    /// Keeps the last row in sight.
    pub fn focus_here(&mut self) {
        self.focus = self.rows.len().checked_sub(1);
    }

    /// Says what the last row is.
    fn is(&mut self, kind: Kind) {
        if let Some(row) = self.rows.last_mut() {
            row.kind = kind;
        }
    }

    /// The sheet as lines to be read out or piped: nothing that only draws, no fields. Made of a
    /// sheet that is wide enough to break nothing.
    pub fn lines(&self) -> Vec<String> {
        self.rows.iter().filter_map(Row::line).collect()
    }

    /// Draws the sheet, scrolled so that its focus is seen.
    pub fn draw(&self, canvas: &mut Canvas, area: Rect) {
        let scroll = match self.focus {
            Some(focus) => (focus + 1).saturating_sub(usize::from(area.height)),
            None => 0,
        };
        self.draw_from(canvas, area, scroll);
        let below = self.rows.len().saturating_sub(scroll) > usize::from(area.height);
        marks(canvas, area, scroll > 0, below);
    }

    /// Draws the sheet from a row on, with a bar at the right that shows where in the text this
    /// is. Notes how far it could be scrolled.
    pub fn draw_scrolled(&self, canvas: &mut Canvas, area: Rect, scroll: u16) {
        let furthest = self.height().saturating_sub(area.height);
        canvas.drawn.furthest = furthest;
        let scroll = scroll.min(furthest);
        self.draw_from(canvas, area, usize::from(scroll));
        marks(canvas, area, scroll > 0, scroll < furthest);
    }

    /// Draws the sheet of the column beside the text from a row on, and notes how far it could be scrolled.
    pub fn draw_beside(&self, canvas: &mut Canvas, area: Rect, scroll: u16) {
        let furthest = self.height().saturating_sub(area.height);
        canvas.drawn.furthest_beside = furthest;
        let scroll = scroll.min(furthest);
        self.draw_from(canvas, area, usize::from(scroll));
        marks(canvas, area, scroll > 0, scroll < furthest);
    }

    fn draw_from(&self, canvas: &mut Canvas, area: Rect, scroll: usize) {
        for (y, row) in (0..area.height).zip(self.rows.iter().skip(scroll)) {
            row.draw(canvas, area, y);
        }
    }
}

/// Marks at the right edge that there is more above or below.
fn marks(canvas: &mut Canvas, area: Rect, above: bool, below: bool) {
    if area.width < 2 || area.height == 0 {
        return;
    }
    // In the margin, where it covers no letter.
    let area = Rect {
        width: area.width + 1,
        ..area
    };
    if above {
        canvas.put(area, area.width - 1, 0, "↑", Role::Key);
    }
    if below {
        canvas.put(area, area.width - 1, area.height - 1, "↓", Role::Key);
    }
}

impl Row {
    /// The row as a line of text; nothing where it only draws.
    fn line(&self) -> Option<String> {
        let text = |parts: &[Part]| -> String {
            let parts = parts.iter().map(|part| part.text.as_str());
            clean(parts.collect::<String>().trim_end())
        };
        let line = match (self.kind, self.parts.as_slice()) {
            (Kind::Field, _) => return None,
            (Kind::Pair, [name, rest @ ..]) if !name.text.trim().is_empty() => {
                format!("{}: {}", text(std::slice::from_ref(name)), text(rest))
            }
            (Kind::Item(number), [_, rest @ ..]) => format!("{number}. {}", text(rest)),
            (_, parts) => text(parts),
        };
        let bar_only = !line.is_empty() && line.chars().all(|c| c == '█');
        (!bar_only).then(|| line.trim_start_matches("┃ ").to_owned())
    }

    fn draw(&self, canvas: &mut Canvas, area: Rect, y: u16) {
        if let (true, Some(part)) = (self.tinted, self.parts.first()) {
            canvas.tint(area, y, part.role);
        }
        if let Some(message) = &self.hit {
            canvas.hit(
                Rect::new(area.x, area.y + y, area.width, 1),
                message.clone(),
            );
        }
        let mut x = 0;
        for part in &self.parts {
            let from = x;
            x = canvas.put(area, x, y, &part.text, part.role);
            if let Some(message) = &part.hit {
                canvas.hit(
                    Rect::new(area.x + from, area.y + y, x.saturating_sub(from), 1),
                    message.clone(),
                );
            }
        }
        if let Some(column) = self.cursor {
            let column = u16::try_from(column).unwrap_or(u16::MAX);
            let at = Position::new(area.x.saturating_add(column), area.y + y);
            if area.contains(at) {
                canvas.drawn.cursor = Some(at);
            }
        }
    }
}

/// The part of a typed text that fits into its field.
fn seen(text: &str, scroll: usize, columns: usize) -> String {
    let mut out = String::new();
    let (mut at, mut used) = (0, 0);
    for c in text.chars() {
        let w = width(c.encode_utf8(&mut [0; 4]));
        if at >= scroll && used + w <= columns {
            out.push(c);
            used += w;
        }
        at += w;
    }
    out
}
