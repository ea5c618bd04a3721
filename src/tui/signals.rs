//! Signals that end the program: the terminal is given back before they do. Everything accepted is
//! on the disk already, and the claim on the open job ends with the process. Called up again after somebody has stopped
//! it from outside, it takes the terminal anew.

use std::io;

/// Watches for signals that end the program, from now on and once for the process.
///
/// # Errors
/// If the system refuses.
#[cfg(unix)]
pub fn watch() -> io::Result<()> {
    use std::sync::atomic::{AtomicBool, Ordering};

    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGWINCH};
    use signal_hook::iterator::Signals;
    use signal_hook::low_level::{emulate_default_handler, raise};

    static WATCHED: AtomicBool = AtomicBool::new(false);
    if WATCHED.swap(true, Ordering::SeqCst) {
        return Ok(());
    }
    let mut signals = Signals::new([SIGTERM, SIGHUP, SIGINT, SIGQUIT, SIGCONT])?;
    std::thread::spawn(move || {
        for signal in signals.forever() {
            if signal == SIGCONT {
                // A terminal that is gone is noticed where it is read; a new size draws everything anew.
                let _ = super::terminal::take_anew();
                let _ = raise(SIGWINCH);
                continue;
            }
            super::terminal::leave_for_good();
            // Ends the process as the signal would have: whoever sent it sees why it ended.
            let _ = emulate_default_handler(signal);
        }
    });
    Ok(())
}

/// Elsewhere the system ends a program without asking.
///
/// # Errors
/// None.
#[cfg(not(unix))]
pub fn watch() -> io::Result<()> {
    Ok(())
}
