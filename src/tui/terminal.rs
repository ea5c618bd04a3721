//! The terminal: taken over on the way in, and given back on every way out, exactly once.

use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};
use std::time::Duration;

use crossterm::clipboard::CopyToClipboard;
use crossterm::event::{
    DisableBracketedPaste, DisableMouseCapture, EnableBracketedPaste, EnableMouseCapture,
};
use crossterm::terminal::{self, EnterAlternateScreen, LeaveAlternateScreen};
use crossterm::{cursor, execute};
use ratatui::Terminal;

use super::backend::Steady;
use super::model::Model;
use super::view::{self, canvas::Drawn};

/// Whether the terminal is taken over right now. It belongs to the process, as the terminal does.
static TAKEN: AtomicBool = AtomicBool::new(false);
/// The terminal was taken anew, and nothing of what was drawn stands on it any more.
static ANEW: AtomicBool = AtomicBool::new(false);
static HOOK: Once = Once::new();
/// Held while something is written to the terminal.
static WRITING: Mutex<()> = Mutex::new(());

/// Whether there is a terminal to draw on and to type at.
pub fn has_terminal() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal()
}

/// The terminal while it is taken over.
pub struct Screen {
    terminal: Terminal<Steady>,
}

impl Screen {
    /// Takes the terminal over. From here on it is given back whatever happens: on leaving, on an
    /// error, and on a panic before its message is printed.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn take() -> io::Result<Self> {
        HOOK.call_once(|| {
            let before = std::panic::take_hook();
            std::panic::set_hook(Box::new(move |panic| {
                give_back();
                before(panic);
            }));
        });
        super::signals::watch()?;
        // The guard stands before the first call that can fail half-way.
        let guard = Guard;
        take_over()?;
        let terminal = Terminal::new(Steady::default())?;
        std::mem::forget(guard);
        Ok(Self { terminal })
    }

    /// Draws the model.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn draw(&mut self, model: &Model) -> io::Result<Drawn> {
        let _writing = writing();
        if ANEW.swap(false, Ordering::SeqCst) {
            self.terminal.clear()?;
        }
        let mut drawn = Drawn::default();
        self.terminal.draw(|frame| {
            drawn = view::draw(model, frame.buffer_mut());
            if let Some(at) = drawn.cursor {
                frame.set_cursor_position(at);
            }
        })?;
        Ok(drawn)
    }

    /// Takes mouse events, or leaves them to the terminal.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn mouse(&mut self, on: bool) -> io::Result<()> {
        let _writing = writing();
        if on {
            execute!(io::stdout(), EnableMouseCapture)
        } else {
            execute!(io::stdout(), DisableMouseCapture)
        }
    }

    /// Rings the bell.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn bell(&mut self) -> io::Result<()> {
        let _writing = writing();
        let mut out = io::stdout();
        out.write_all(b"\x07")?;
        out.flush()
    }

    /// Puts a text into the clipboard of whoever looks at the terminal, which may be at the far end
    /// of a remote shell. Whether the terminal lets it, it does not say.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn copy(&mut self, text: &str) -> io::Result<()> {
        let _writing = writing();
        execute!(io::stdout(), CopyToClipboard::to_clipboard_from(text))
    }

    /// Gives the terminal back, sleeps until the program is called up again, and takes it over
    /// anew.
    ///
    /// # Errors
    /// If the terminal refuses.
    #[cfg(unix)]
    pub fn sleep(&mut self, mouse: bool) -> io::Result<()> {
        give_back();
        // A script that has started the program sleeps with it, else its shell gets no prompt.
        rustix::process::kill_current_process_group(rustix::process::Signal::TSTP)?;
        // Another thread may be the one that is stopped first.
        std::thread::sleep(Duration::from_millis(50));
        {
            let _writing = writing();
            take_over()?;
        }
        self.mouse(mouse)?;
        self.clear()
    }

    /// Elsewhere no shell puts programs to sleep.
    ///
    /// # Errors
    /// None.
    #[cfg(not(unix))]
    pub fn sleep(&mut self, _mouse: bool) -> io::Result<()> {
        Ok(())
    }

    /// Forgets what is on screen, so that the next drawing draws every cell.
    ///
    /// # Errors
    /// If the terminal refuses.
    pub fn clear(&mut self) -> io::Result<()> {
        let _writing = writing();
        self.terminal.clear()
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        give_back();
    }
}

fn take_over() -> io::Result<()> {
    TAKEN.store(true, Ordering::SeqCst);
    terminal::enable_raw_mode()?;
    execute!(
        io::stdout(),
        EnterAlternateScreen,
        EnableBracketedPaste,
        EnableMouseCapture,
        cursor::Hide
    )
}

/// Takes the terminal anew after somebody else has stopped the program and called it up again: its modes are those of
/// the shell then.
///
/// # Errors
/// If the terminal refuses.
pub fn take_anew() -> io::Result<()> {
    // A terminal that takes nothing is not waited for: signals that end the program come through here too.
    let Some(_writing) = writing_soon() else {
        return Ok(());
    };
    if TAKEN.load(Ordering::SeqCst) {
        give_back();
        take_over()?;
        ANEW.store(true, Ordering::SeqCst);
    }
    Ok(())
}

/// Gives the terminal back if taking it over fails half-way.
struct Guard;

impl Drop for Guard {
    fn drop(&mut self) {
        give_back();
    }
}

fn writing() -> MutexGuard<'static, ()> {
    WRITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// The right to write, unless somebody keeps it for half a second.
fn writing_soon() -> Option<MutexGuard<'static, ()>> {
    for _ in 0..50 {
        match WRITING.try_lock() {
            Ok(writing) => return Some(writing),
            Err(std::sync::TryLockError::Poisoned(poisoned)) => return Some(poisoned.into_inner()),
            Err(std::sync::TryLockError::WouldBlock) => {
                std::thread::sleep(Duration::from_millis(10));
            }
        }
    }
    None
}

/// Gives the terminal back from another thread, just before the process ends: what is being drawn
/// is drawn to its end, and nothing is drawn any more afterwards. A terminal that takes nothing
/// any more is not waited for.
pub fn leave_for_good() {
    if let Some(writing) = writing_soon() {
        std::mem::forget(writing);
    }
    give_back();
}

/// Gives the terminal back, once. Nobody is left to tell if that fails.
fn give_back() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let _ = execute!(
            io::stdout(),
            DisableMouseCapture,
            DisableBracketedPaste,
            LeaveAlternateScreen,
            cursor::Show
        );
        let _ = terminal::disable_raw_mode();
    }
}
