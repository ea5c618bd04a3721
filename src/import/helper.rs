//! Work that needs nothing of the reading itself, done by a thread of its own beside it.
//!
//! A bounded number of blocks is on the way at any time, and they are used again and again, so that
//! memory does not grow with the file.

use std::sync::mpsc::{Receiver, SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

/// Blocks on the way at most; with these, neither side waits for the other's slowest moment.
const BLOCKS: usize = 4;

/// A worker, what it works on, and the ways to it and back.
pub(super) struct Helper<Block, Worker> {
    full: SyncSender<Block>,
    empty: Receiver<Block>,
    thread: JoinHandle<Worker>,
}

impl<Block: Default + Send + 'static, Worker: Send + 'static> Helper<Block, Worker> {
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

    /// Fills a block that is free, and hands it over; says whether it could.
    ///
    /// Neither way breaks off before [`Self::join`], unless the worker has panicked; that shows there.
    pub(super) fn hand_over(&self, fill: impl FnOnce(&mut Block)) -> bool {
        let Ok(mut block) = self.empty.recv() else {
            return false;
        };
        fill(&mut block);
        self.full.send(block).is_ok()
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    #[should_panic(expected = "the worker's own words")]
    fn a_panic_of_the_worker_is_that_of_whoever_waits_for_it() {
        let beside = Helper::start("test", 0, |_: &mut u8, block: &mut u8| {
            assert_eq!(*block, 0, "the worker's own words");
            *block += 1;
        });
        let beside = beside.expect("a thread");
        // Four blocks are free at first; the first of them that comes back stops the worker.
        while beside.hand_over(|_| ()) {}
        beside.join();
    }
}
