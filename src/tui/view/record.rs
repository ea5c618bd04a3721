//! The record: everything that happened on the job, in order, in words.

use ratatui::layout::Rect;

use super::canvas::Canvas;
use super::sheet::Sheet;
use super::times;
use crate::engine::event::What;
use crate::engine::words;
use crate::tui::model::Model;
use crate::tui::theme::Role;

/// Draws the record.
pub fn draw(model: &Model, scroll: u16, canvas: &mut Canvas, area: Rect) {
    let Some(open) = &model.open else {
        return;
    };
    let mut head = Sheet::new(area.width);
    head.text(
        Role::Strong,
        &format!(
            "Record: {} events, the latest at the end",
            open.events.len()
        ),
    );
    head.blank();
    let top = Rect {
        height: head.height().min(area.height),
        ..area
    };
    head.draw(canvas, top);
    let mut sheet = Sheet::new(area.width.saturating_sub(2));
    let (mut day, mut who) = (None, None);
    for event in &open.events {
        let local = event.at.with_timezone(&model.zone);
        if day != Some(local.date_naive()) {
            day = Some(local.date_naive());
            sheet.text(Role::Strong, &local.format("%A %d %B %Y").to_string());
        }
        let time = times::at(event.at, event.at, model.zone);
        let head = format!("{time} {:>4}  ", event.seq);
        let mut text = words::event(event, &open.job);
        if who != Some(&event.who) {
            who = Some(&event.who);
            text = format!("[{}] {text}", event.who);
        }
        sheet.hanging(&head, &" ".repeat(head.len()), role(&event.what), &text);
        for misfit in open
            .job
            .misfits
            .iter()
            .filter(|misfit| misfit.seq == event.seq)
        {
            let indent = " ".repeat(head.len());
            sheet.hanging(
                &indent,
                &indent,
                Role::Caution,
                &format!("! changed nothing: {}", misfit.why),
            );
        }
    }
    let rest = Rect {
        y: area.y + top.height,
        height: area.height - top.height,
        ..area
    };
    sheet.draw_scrolled(canvas, rest, scroll);
}

fn role(what: &What) -> Role {
    match what {
        What::LimitPassed { .. } => Role::Fail,
        What::ReadingCorrected { .. } | What::StepSkipped { .. } => Role::Caution,
        What::OutcomeTaken(_) | What::RepairDone { .. } | What::FlowBegun { .. } => Role::Strong,
        What::WentBack | What::WentForward | What::CautionAccepted { .. } => Role::Muted,
        _ => Role::Plain,
    }
}
