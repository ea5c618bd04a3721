//! Texts that lie over the screen: the help, made from the key table, and the "why".

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::sheet::Sheet;
use crate::rules::suggest;
use crate::tui::keys::{self, Context};
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// Draws the help for a context.
pub fn draw(model: &Model, context: Context, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width.saturating_sub(2));
    sheet.text(Role::Strong, "Help");
    sheet.text(Role::Plain, explain(context, model.practice));
    sheet.blank();
    if context.picks() {
        sheet.pair("digits", picks(context), 16);
    }
    if context.types() {
        sheet.pair(
            "letters, digits",
            "are typed into the field; Ctrl-U empties it",
            16,
        );
    }
    let practice = model.practice;
    for row in keys::rows(context) {
        if keys::is_of_exercises(row.act) && !practice {
            continue;
        }
        let own = model.keys.in_context(row, context);
        let names: Vec<String> = own.into_iter().map(keys::name).collect();
        let now = if (row.when)(model) { "" } else { " (not now)" };
        sheet.pair(
            &names.join(", "),
            &format!("{}{now}", row.help_in(model)),
            16,
        );
    }
    sheet.blank();
    sheet.text(Role::Muted, "The mouse does the same: click a number, a key in the bottom row, a field; the wheel scrolls. With the mouse on, hold Shift while dragging to mark text. Whatever is accepted is on the disk before the screen moves on.");
    sheet.draw_scrolled(canvas, area, scroll);
}

fn picks(context: Context) -> &'static str {
    match context {
        Context::Places => {
            "go round for that place: wisp, steady, heavy, nothing; in a list of ten or more, type its number, then Space"
        }
        Context::Words => "pick the word",
        Context::Caution => "the number shown accepts the caution; each has its own",
        _ => {
            "pick; in a list of ten or more, type the whole number; Enter accepts what is picked. Letters are short cuts here; where something is typed they are letters"
        }
    }
}

/// What a screen is for.
pub fn explain(context: Context, practice: bool) -> &'static str {
    match context {
        Context::Board if practice => {
            "Exercises on cars that are not there. Pick one to go on with it, or to read its debrief."
        }
        Context::Board => {
            "Every car that is being worked on. Pick one to go on exactly where it stopped."
        }
        Context::Search => {
            "Every word must occur somewhere in the job: plate, model, complaint, codes, causes, findings, remarks."
        }
        Context::Field | Context::Words => {
            "A form. Mistakes are said beside the field. Leaving it keeps what you typed."
        }
        Context::List => "A numbered list. Nothing happens until you accept.",
        Context::Text => "A text to read.",
        Context::Files => {
            "Pick a log or a capture; what it would fill in is shown beside it. Type a part of the name to list only those. Backspace goes to the folder above. What its columns hold and how it is written can be told under \"columns\", and kept by name for the next file."
        }
        Context::Plain => "The screen below as plain text, to copy, to save or to have read aloud.",
        Context::Record => {
            "Everything that happened on this job. Nothing here is ever changed; a correction is added and the old answer stays."
        }
        Context::Ways => "The walk waits for your decision: pick a way and accept it.",
        Context::Brief => {
            "The step by itself, since it and its question do not fit on one screen together. Read it, then go on to the question."
        }
        Context::Caution => {
            "Read the caution, do what it says, then accept it. It is asked once a day, a person and a flow, and again after a repair."
        }
        Context::Value => {
            "Type what you read. A bare number is taken in the unit shown; another unit may follow it, such as 14 inH2O."
        }
        Context::Choice => "Pick what you see.",
        Context::Places => {
            "Mark each place where it shows and how strongly. Nothing marked means: looked everywhere, nothing shows."
        }
        Context::Pairs => {
            "Type one pair a line, such as 50 = 2.05, and Enter: it is saved at once. Enter alone ends the list; Backspace takes the last pair back."
        }
        Context::Evidence => {
            "What the readings say about the causes, over all flows of this job. Explains: it is there and big enough for the complaint. Minutes are what is expected to a proven repair, with what stays uncertain priced in; they rank, they are no promise."
        }
        Context::Judged => {
            "Everything is read. You see what the readings come to by the flow's own rules; you decide, and the record says who chose."
        }
    }
}

/// Draws why the rules suggest what they do.
pub fn why(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let mut sheet = Sheet::new(area.width.saturating_sub(2));
    sheet.text(
        Role::Strong,
        "Why: each outcome of this step, when it applies, and what that comes to",
    );
    sheet.blank();
    if let Some(suggestion) = model
        .open
        .as_ref()
        .and_then(|open| suggest::suggest(&open.job))
    {
        for (n, line) in suggestion.why.iter().enumerate() {
            sheet.hanging(&format!("{:>2}  ", n + 1), "    ", Role::Plain, line);
            sheet.blank();
        }
        for (name, value) in &suggestion.values {
            sheet.pair(name, value, 28);
        }
    }
    sheet.draw_scrolled(canvas, area, scroll);
}
