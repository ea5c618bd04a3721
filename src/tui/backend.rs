//! What is drawn through: crossterm, but for one question that is never put to the terminal.
//!
//! Clearing and resizing ask where the cursor stands, and a terminal at the far end of a slow link may answer too late or
//! not at all; the program would end for it. Here the cursor stands where it was put last, which is all that is needed.

use std::io::{self, Stdout};

use ratatui::backend::{Backend, ClearType, CrosstermBackend, WindowSize};
use ratatui::buffer::Cell;
use ratatui::layout::{Position, Size};

/// The terminal that is drawn on.
pub struct Steady {
    inner: CrosstermBackend<Stdout>,
    cursor: Position,
}

impl Default for Steady {
    /// Draws on the standard output.
    fn default() -> Self {
        Self {
            inner: CrosstermBackend::new(io::stdout()),
            cursor: Position::ORIGIN,
        }
    }
}

impl Backend for Steady {
    type Error = io::Error;

    fn draw<'a, I>(&mut self, content: I) -> io::Result<()>
    where
        I: Iterator<Item = (u16, u16, &'a Cell)>,
    {
        self.inner.draw(content)
    }

    fn hide_cursor(&mut self) -> io::Result<()> {
        self.inner.hide_cursor()
    }

    fn show_cursor(&mut self) -> io::Result<()> {
        self.inner.show_cursor()
    }

    fn get_cursor_position(&mut self) -> io::Result<Position> {
        Ok(self.cursor)
    }

    fn set_cursor_position<P: Into<Position>>(&mut self, position: P) -> io::Result<()> {
        self.cursor = position.into();
        self.inner.set_cursor_position(self.cursor)
    }

    fn clear(&mut self) -> io::Result<()> {
        self.inner.clear()
    }

    fn clear_region(&mut self, clear_type: ClearType) -> io::Result<()> {
        self.inner.clear_region(clear_type)
    }

    fn size(&self) -> io::Result<Size> {
        self.inner.size()
    }

    fn window_size(&mut self) -> io::Result<WindowSize> {
        self.inner.window_size()
    }

    fn flush(&mut self) -> io::Result<()> {
        Backend::flush(&mut self.inner)
    }
}
