//! What things look like, by their meaning. Owns the roles; knows no screen.
//!
//! The terminal's own foreground and background stay: a literal white vanishes on a light screen.
//! Colour is never the only signal; whatever has a role also has a word or a mark beside it.

use ratatui::style::{Color, Modifier, Style};

/// The meaning of a piece of text.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Role {
    /// Ordinary text.
    #[default]
    Plain,
    /// What matters most on the screen: the instruction, titles.
    Strong,
    /// Good.
    Pass,
    /// Bad.
    Fail,
    /// Care is needed.
    Caution,
    /// Where typing goes, or what is picked.
    Focus,
    /// Less important.
    Muted,
    /// A key that can be pressed.
    Key,
}

/// Styles of the roles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Theme {
    colour: bool,
}

impl Theme {
    /// With colours, or with weight and reversal alone.
    pub const fn new(colour: bool) -> Self {
        Self { colour }
    }

    /// The style of a role.
    pub fn style(self, role: Role) -> Style {
        let (colour, modifier) = match role {
            Role::Strong => (None, Modifier::BOLD),
            Role::Pass => (Some(Color::Green), Modifier::BOLD),
            Role::Fail => (Some(Color::Red), Modifier::BOLD),
            // Yellow vanishes on a light background, magenta stands on both.
            Role::Caution => (Some(Color::Magenta), Modifier::BOLD),
            Role::Focus => (None, Modifier::REVERSED),
            // The palette's dark grey is the background itself in some palettes, so it is dimmed
            // instead, and only where colours are wanted at all.
            Role::Muted if self.colour => (None, Modifier::DIM),
            Role::Plain | Role::Muted => (None, Modifier::empty()),
            Role::Key => (Some(Color::Cyan), Modifier::BOLD),
        };
        let style = Style::new().add_modifier(modifier);
        match colour {
            Some(colour) if self.colour => style.fg(colour),
            _ => style,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_colour_the_mark_still_stands_out() {
        let plain = Theme::new(false);
        for role in [
            Role::Pass,
            Role::Fail,
            Role::Caution,
            Role::Focus,
            Role::Key,
        ] {
            let style = plain.style(role);
            assert_eq!(style.fg, None);
            assert!(!style.add_modifier.is_empty(), "{role:?}");
        }
    }
}
