//! What things look like, by their meaning. Owns the roles and the looks; knows no screen.
//!
//! In the look of the terminal its own foreground and background stay: a literal white vanishes on
//! a light screen. The dark and the light look bring their own ground, so that they are what they
//! say on any terminal. Colour is never the only signal; whatever has a role also has a word or a
//! mark beside it.

use ratatui::style::{Color, Modifier, Style};

use crate::settings::{Drawing, Look};

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

impl Role {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::Plain,
        Self::Strong,
        Self::Pass,
        Self::Fail,
        Self::Caution,
        Self::Focus,
        Self::Muted,
        Self::Key,
    ];
}

/// What the terminal can do, as far as its surroundings say.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Able {
    /// Nobody has asked for no colour.
    pub colour: bool,
    /// It takes characters beyond ASCII.
    pub blocks: bool,
}

impl Able {
    /// As the variables of the surroundings say: anything in `NO_COLOR` but nothing at all means no
    /// colour (no-color.org); the first of `LC_ALL`, `LC_CTYPE` and `LANG` that says anything says
    /// which characters there are (POSIX.1-2017, 8.2), and where none does, most likely all.
    pub fn by(variable: impl Fn(&str) -> Option<String>) -> Self {
        let said = |name: &str| variable(name).filter(|value| !value.is_empty());
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(said);
        let utf8 = |locale: String| {
            let folded = locale.to_lowercase();
            folded.contains("utf-8") || folded.contains("utf8")
        };
        Self {
            colour: said("NO_COLOR").is_none(),
            blocks: cfg!(windows) || locale.is_none_or(utf8),
        }
    }
}

/// Styles of the roles.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Theme {
    look: Look,
    /// Only ASCII characters may be drawn.
    pub ascii: bool,
}

/// Text and ground of a look, and the colours of its roles, by their numbers in the palette of 256
/// that xterm brought in.
struct Palette {
    text: u8,
    ground: u8,
    strong: u8,
    pass: u8,
    fail: u8,
    caution: u8,
    muted: u8,
    key: u8,
}

const DARK: Palette = Palette {
    text: 252,
    ground: 16,
    strong: 231,
    pass: 120,
    fail: 217,
    caution: 221,
    muted: 248,
    key: 123,
};

/// In the sun only what is nearly black on white can be read.
const LIGHT: Palette = Palette {
    text: 16,
    ground: 231,
    strong: 16,
    pass: 22,
    fail: 88,
    caution: 54,
    muted: 237,
    key: 18,
};

/// Colours that are as far from white as from black, by their numbers in the palette of 256.
const GREEN: u8 = 28;
const TEAL: u8 = 30;

impl Theme {
    /// The terminal's own colours, or weight and reversal alone.
    pub const fn new(colour: bool) -> Self {
        let look = if colour {
            Look::Terminal
        } else {
            Look::Monochrome
        };
        Self { look, ascii: false }
    }

    /// The look that was asked for, as far as the terminal is able.
    pub fn of(look: Look, drawing: Drawing, able: Able) -> Self {
        let look = if able.colour { look } else { Look::Monochrome };
        let ascii = match drawing {
            Drawing::Auto => !able.blocks,
            Drawing::Blocks => false,
            Drawing::Ascii => true,
        };
        Self { look, ascii }
    }

    fn palette(self) -> Option<&'static Palette> {
        match self.look {
            Look::Dark => Some(&DARK),
            Look::Light => Some(&LIGHT),
            Look::Terminal | Look::Monochrome => None,
        }
    }

    /// The style of cells that nothing is written in.
    pub fn ground(self) -> Style {
        match self.palette() {
            Some(palette) => Style::new()
                .fg(Color::Indexed(palette.text))
                .bg(Color::Indexed(palette.ground)),
            None => Style::new(),
        }
    }

    /// The style of a role.
    pub fn style(self, role: Role) -> Style {
        let modifier = match role {
            Role::Strong | Role::Pass | Role::Fail | Role::Caution | Role::Key => Modifier::BOLD,
            Role::Focus => Modifier::REVERSED,
            // The terminal's dark grey is the ground itself in some palettes, so it is dimmed
            // instead, and only where colours are wanted at all.
            Role::Muted if self.look == Look::Terminal => Modifier::DIM,
            Role::Plain | Role::Muted => Modifier::empty(),
        };
        let style = Style::new().add_modifier(modifier);
        match self.colour(role) {
            Some(colour) => style.fg(colour),
            None => style,
        }
    }

    fn colour(self, role: Role) -> Option<Color> {
        if let Some(palette) = self.palette() {
            return Some(Color::Indexed(match role {
                Role::Plain | Role::Focus => palette.text,
                Role::Strong => palette.strong,
                Role::Pass => palette.pass,
                Role::Fail => palette.fail,
                Role::Caution => palette.caution,
                Role::Muted => palette.muted,
                Role::Key => palette.key,
            }));
        }
        match (self.look, role) {
            (Look::Monochrome, _) => None,
            // The terminal's own green, cyan and yellow are pale on a light ground; these stand on both.
            (_, Role::Pass) => Some(Color::Indexed(GREEN)),
            (_, Role::Fail) => Some(Color::Red),
            (_, Role::Caution) => Some(Color::Magenta),
            (_, Role::Key) => Some(Color::Indexed(TEAL)),
            _ => None,
        }
    }
}

/// The character of ASCII that stands for one that is drawn; a question mark where none does.
pub fn ascii(symbol: &str) -> &'static str {
    match symbol {
        "─" | "—" | "–" | "━" | "╌" | "┄" => "-",
        "│" | "┃" | "║" | "▏" | "┆" | "┊" => "|",
        "┌" | "┐" | "└" | "┘" | "├" | "┤" | "┬" | "┴" | "┼" | "╭" | "╮" | "╯" | "╰" | "✓" | "✔"
        | "±" => "+",
        "█" | "▓" | "▉" | "▊" | "▋" | "■" => "#",
        "▒" | "▌" | "▍" | "▎" | "▐" => "=",
        "▀" | "▔" | "„" | "“" | "”" => "\"",
        "▄" | "▁" | "▂" | "▃" | "▅" | "▆" | "▇" => "_",
        "░" | "·" | "•" | "∙" => ".",
        "…" => "~",
        "↑" | "▲" => "^",
        "↓" | "▼" => "v",
        "→" | "▶" | "►" => ">",
        "←" | "◀" | "◄" => "<",
        "×" | "✗" | "✕" => "x",
        "○" | "◯" => "o",
        "●" | "◆" | "✱" => "*",
        "µ" | "μ" => "u",
        "°" | "‘" | "’" => "'",
        "\u{a0}" => " ",
        _ => "?",
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

    #[test]
    fn no_colour_goes_before_any_look() {
        let able = Able {
            colour: false,
            blocks: true,
        };
        for look in Look::ALL {
            let theme = Theme::of(look, Drawing::Auto, able);
            assert_eq!(theme, Theme::new(false));
            assert_eq!(theme.ground(), Style::new());
        }
    }

    #[test]
    fn the_surroundings_say_what_the_terminal_can_do() {
        let with = |pairs: &'static [(&str, &str)]| {
            Able::by(move |name| {
                let found = pairs.iter().find(|(known, _)| *known == name);
                found.map(|(_, value)| (*value).to_owned())
            })
        };
        let both = |able: Able| (able.colour, able.blocks);
        assert_eq!(both(with(&[])), (true, true));
        assert_eq!(both(with(&[("NO_COLOR", "")])), (true, true));
        assert_eq!(both(with(&[("NO_COLOR", "0")])), (false, true));
        assert_eq!(both(with(&[("LANG", "de_DE.UTF-8")])), (true, true));
        if !cfg!(windows) {
            assert_eq!(
                both(with(&[("LC_ALL", "C"), ("LANG", "C.utf8")])),
                (true, false)
            );
            assert_eq!(both(with(&[("LANG", "de_DE.ISO-8859-1")])), (true, false));
        }
    }

    /// Relative luminance of a colour of the palette (WCAG 2.1), its cube and its greys by xterm's
    /// table (from memory).
    fn luminance(index: u8) -> f64 {
        let steps = [0.0, 95.0, 135.0, 175.0, 215.0, 255.0];
        let rgb = if index >= 232 {
            [8.0 + 10.0 * f64::from(index - 232); 3]
        } else {
            let n = usize::from(index - 16);
            [steps[n / 36], steps[n / 6 % 6], steps[n % 6]]
        };
        let linear = rgb.map(|c: f64| {
            let c = c / 255.0;
            if c <= 0.03928 {
                c / 12.92
            } else {
                ((c + 0.055) / 1.055).powf(2.4)
            }
        });
        0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    }

    #[test]
    fn on_a_ground_that_is_not_known_colours_stand_on_white_and_on_black() {
        let theme = Theme::new(true);
        let own: Vec<u8> = Role::ALL
            .into_iter()
            .filter_map(|role| match theme.style(role).fg {
                Some(Color::Indexed(colour)) => Some(colour),
                _ => None,
            })
            .collect();
        assert!(own.contains(&GREEN) && own.contains(&TEAL), "{own:?}");
        for colour in own {
            let luminance = luminance(colour);
            let (white, black) = (1.05 / (luminance + 0.05), (luminance + 0.05) / 0.05);
            // For bold text 3.0 is enough (WCAG 2.1, 1.4.3).
            assert!(
                white > 4.0 && black > 4.0,
                "{colour}: {white:.1} {black:.1}"
            );
        }
    }

    #[test]
    fn every_role_stands_out_from_its_ground() {
        for (look, least) in [(Look::Dark, 7.0), (Look::Light, 7.0)] {
            let theme = Theme { look, ascii: false };
            let Some(Color::Indexed(ground)) = theme.ground().bg else {
                panic!("{look:?} has no ground");
            };
            for role in Role::ALL {
                let Some(Color::Indexed(colour)) = theme.style(role).fg else {
                    panic!("{role:?} has no colour");
                };
                let (a, b) = (luminance(ground), luminance(colour));
                let contrast = (a.max(b) + 0.05) / (a.min(b) + 0.05);
                assert!(contrast >= least, "{look:?} {role:?}: {contrast:.1}");
            }
        }
    }
}
