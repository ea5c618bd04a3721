//! How many numbered items are on screen, and which of them is picked: what digits are about.

use super::{FieldKind, Model, Over, Page, Screen, items};
use crate::flow::model::PromptKind;
use crate::tui::keys::Context;

impl Model {
    /// How many numbered items are on screen.
    pub fn count(&self) -> usize {
        match self.context() {
            Context::Board | Context::Search => self.board.shown().len(),
            Context::Words => match self.overs.last() {
                Some(Over::Form(form)) => match form.field().map(|field| &field.kind) {
                    Some(FieldKind::Words { words, .. }) => words.len(),
                    _ => 0,
                },
                _ => 0,
            },
            Context::List => match self.overs.last() {
                Some(Over::List { kind, .. }) => items(self, *kind).len(),
                _ => 0,
            },
            Context::Ways => self.ways().len(),
            Context::Evidence => match (self.looked(), self.last_advice()) {
                (Some(looked), Some(advice)) => match looked.page {
                    Page::Causes => advice.causes.len(),
                    Page::Next => advice.ways.len(),
                    Page::Map => 0,
                },
                _ => 0,
            },
            Context::Choice | Context::Places => {
                match (self.asked().map(|asked| &asked.prompt.kind), &self.open) {
                    (Some(PromptKind::Choice(words)), _) => words.len(),
                    (Some(PromptKind::Places(listed)), Some(open)) => {
                        open.entry.places_in_order(listed).len()
                    }
                    _ => 0,
                }
            }
            _ => 0,
        }
    }

    /// The item that is picked, if any.
    pub fn picked(&self) -> Option<usize> {
        match (self.overs.last(), self.screen, &self.open) {
            (Some(Over::Form(form)), ..) => match &form.field()?.kind {
                FieldKind::Words { at, .. } => *at,
                _ => None,
            },
            (Some(Over::List { at, .. }), ..) => *at,
            (Some(Over::Evidence(looked)), ..) => Some(match looked.page {
                Page::Next => looked.way,
                _ => looked.cause,
            }),
            (None, Screen::Board, _) => Some(self.board.at),
            (None, Screen::Walk, Some(open)) if open.entry.key.is_some() => open.entry.at,
            (None, Screen::Walk, Some(open)) => open.at,
            _ => None,
        }
    }

    /// Picks an item, or none where that is possible.
    pub fn set_picked(&mut self, to: Option<usize>) {
        match (self.overs.last_mut(), self.screen, &mut self.open) {
            (Some(Over::Form(form)), ..) => {
                if let Some(field) = form.field_mut()
                    && let FieldKind::Words { at, .. } = &mut field.kind
                {
                    *at = to;
                    field.error = None;
                }
            }
            (Some(Over::List { at, .. }), ..) => *at = to,
            (Some(Over::Evidence(looked)), ..) => match looked.page {
                Page::Next => looked.way = to.unwrap_or(looked.way),
                _ => looked.cause = to.unwrap_or(looked.cause),
            },
            (None, Screen::Board, _) => self.board.at = to.unwrap_or(self.board.at),
            (None, Screen::Walk, Some(open)) if open.entry.key.is_some() => {
                open.entry.at = to;
                open.entry.error = None;
            }
            (None, Screen::Walk, Some(open)) => open.at = to,
            _ => {}
        }
    }
}
