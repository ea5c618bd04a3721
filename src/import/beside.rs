//! Work that needs nothing of the reading itself, done by a thread of its own beside it.
//!
//! A bounded number of blocks is on the way at any time, and they are used again and again, so that
//! memory does not grow with the file.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

/// Blocks on the way at most; with these, neither side waits for the other's slowest moment.
const BLOCKS: usize = 4;

/// A worker, what it works on, and the ways to it and back.
pub(super) struct Beside<Block, Worker> {
    full: SyncSender<Block>,
    empty: Receiver<Block>,
    thread: JoinHandle<Worker>,
}

impl<Block: Default + Send + 'static, Worker: Send + 'static> Beside<Block, Worker> {
    /// Lets the worker go on in a thread; nothing where the system gives none. A block that was
    /// worked on comes back as it is left.
    pub(super) fn start(
        name: &str,
        mut worker: Worker,
        work: fn(&mut Worker, &mut Block),
    ) -> Option<Self> {
        let (full, blocks) = sync_channel::<Block>(BLOCKS);
        let (back, empty) = sync_channel(BLOCKS);
        for _ in 0..BLOCKS {
            back.try_send(Block::default()).ok()?;
        }
        let all = move || {
            for mut block in blocks {
                work(&mut worker, &mut block);
                // Nobody wants it back once all was read.
                let _ = back.try_send(block);
            }
            worker
        };
        let thread = thread::Builder::new().name(name.to_owned()).spawn(all);
        Some(Self {
            full,
            empty,
            thread: thread.ok()?,
        })
    }

    /// Fills a block that is free, and hands it over.
    ///
    /// Neither way breaks off before [`Self::join`], unless the worker has panicked; that shows there.
    pub(super) fn hand_over(&self, fill: impl FnOnce(&mut Block)) {
        if let Ok(mut block) = self.empty.recv() {
            fill(&mut block);
            let _ = self.full.send(block);
        }
    }

    /// The worker, once it has done all.
    pub(super) fn join(self) -> Worker {
        drop(self.full);
        match self.thread.join() {
            Ok(worker) => worker,
            Err(panic) => std::panic::resume_unwind(panic),
        }
    }
}
