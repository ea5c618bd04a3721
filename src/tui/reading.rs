//! A file that is read beside the screens: a long log takes a while, and meanwhile keys are taken and the part that is
//! read is shown.

use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::thread;

use super::files::{self, Held};
use super::message::Message;
use crate::import::{Look, Options};

/// From this size on, in bytes, a file is read aside: a smaller one is there before anybody has looked up.
pub const ASIDE: u64 = 4 << 20;

/// A file that is being read.
pub struct Reading {
    path: PathBuf,
    size: u64,
    done: Arc<AtomicU64>,
    /// The part that was shown last, in percent.
    shown: u64,
    answer: Receiver<(Option<Arc<Look>>, Held)>,
}

impl Reading {
    /// Begins to read a file of this size; nothing where there is no thread to spare.
    pub fn begin(path: &Path, options: &Options, size: u64) -> Option<Self> {
        let (tell, answer) = channel();
        let done = Arc::new(AtomicU64::new(0));
        let (own, counted, options) = (path.to_owned(), Arc::clone(&done), options.clone());
        let read = move || {
            // Nobody listens any more where somebody has turned to another file.
            let _ = tell.send(files::read_counted(&own, &options, &counted));
        };
        thread::Builder::new()
            .name("reads a file".to_owned())
            .spawn(read)
            .ok()?;
        Some(Self {
            path: path.to_owned(),
            size,
            done,
            shown: 0,
            answer,
        })
    }

    /// What is new: the file, or how much of it is read, where that has changed.
    pub fn news(&mut self) -> Option<Message> {
        let path = self.path.clone();
        match self.answer.try_recv() {
            Ok((look, result)) => Some(Message::FileRead { path, look, result }),
            Err(TryRecvError::Empty) => {
                let done = self.done.load(Ordering::Relaxed);
                let percent = done.saturating_mul(100) / self.size.max(1);
                let percent = percent.min(99);
                if percent == self.shown {
                    return None;
                }
                self.shown = percent;
                Some(Message::FileReading {
                    path,
                    percent: u8::try_from(percent).unwrap_or(99),
                })
            }
            Err(TryRecvError::Disconnected) => Some(Message::Failed(
                "the file could not be read to its end: try it again".to_owned(),
            )),
        }
    }
}

/// Counts what is read through it.
pub struct Counted<'c, R> {
    inner: R,
    count: &'c AtomicU64,
}

impl<'c, R> Counted<'c, R> {
    /// Counts into this.
    pub fn new(inner: R, count: &'c AtomicU64) -> Self {
        Self { inner, count }
    }
}

impl<R: Read> Read for Counted<'_, R> {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = self.inner.read(into)?;
        self.count.fetch_add(read as u64, Ordering::Relaxed);
        Ok(read)
    }
}
