//! The stretches of a log in which the engine runs steadily: warm idle, and 2500 rpm without load.
//!
//! The log is cut into blocks of about a second. A block counts when the engine is warm, in closed
//! loop and standing, the purge valve is not told to open (what it lets in is not metered), its speed lies in the band and hardly moves. Blocks in a row whose means stay
//! together in speed and in load make a stretch; its beginning is left out while the trims settle.
//! One pass, and the memory does not grow with the log: a block, the stretch being made, and the
//! longest ones of each kind.
//!
//! The limits below have no printed source; each says what it rests on.

use super::channel::Channel;
use super::moments::{Moments, Summary};
use super::slot::Row;
use crate::flow::log_key::LogWindow;

/// Length of a block, s: as long as one turn of the values of a slow scan tool.
pub const BLOCK: f64 = 1.0;
/// Left out at the beginning of a stretch, s: short-term trims settle within some seconds.
pub const SETTLE: f64 = 5.0;
/// The shortest stretch that counts after that, s: the flows ask to hold 2500 rpm for half a
/// minute, and a third of that must be held well.
pub const SHORTEST: f64 = 10.0;
/// A longer silence of the log ends a stretch, s: what happened meanwhile is not known.
pub const SILENCE: f64 = 5.0;
/// Coolant from which an engine counts as warm, K (75 C): thermostats open above it, and fuelling
/// and idle control have left their warm-up below it. Common practice, no source.
pub const WARM: f64 = 273.15 + 75.0;
/// Idle, 1/s (500 to 1100 rpm): below it the engine stalls, above it idle control is not in charge.
pub const IDLE: (f64, f64) = (500.0 / 60.0, 1100.0 / 60.0);
/// Held at 2500 rpm, 1/s (2300 to 2700 rpm): as well as a foot holds it.
pub const FAST: (f64, f64) = (2300.0 / 60.0, 2700.0 / 60.0);
/// Speed within a block may move by this, 1/s (200 rpm): a rough idle does, a blip does more.
pub const SPEED_IN_BLOCK: f64 = 200.0 / 60.0;
/// A block's mean speed may lie so far from the stretch's, 1/s (75 rpm): a leaking engine hunts.
pub const SPEED: f64 = 75.0 / 60.0;
/// A block's mean manifold pressure may lie so far from the stretch's, Pa (3 kPa): twice the error
/// that the flows give a reading of it; a consumer switched on moves it more.
pub const PRESSURE: f64 = 3000.0;
/// The same for load or throttle, where there is no pressure: 4 points of a hundred.
pub const LOAD: f64 = 0.04;
/// The same for airflow, where there is neither: a tenth of it.
pub const AIRFLOW: f64 = 0.10;
/// Road speed below this is standing, in any unit: sensors creep.
pub const STANDING: f64 = 1.0;
/// A purge valve that is told less than this, in any unit, is shut: 0.05 %, or 5 % where it is written as a share.
pub const SHUT: f64 = 0.05;
/// The most stretches of a kind that are kept; the longest ones are.
pub const KEPT: usize = 8;

/// What is summed up over a stretch.
const SUMMED: [Channel; 10] = [
    Channel::Speed,
    Channel::Airflow,
    Channel::Manifold,
    Channel::ShortTrim1,
    Channel::LongTrim1,
    Channel::ShortTrim2,
    Channel::LongTrim2,
    Channel::Throttle,
    Channel::Load,
    Channel::Coolant,
];
const SPEED_AT: usize = 0;

/// A steady stretch. Times in s from the log's own zero, values in SI units.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// Idle, or 2500 rpm.
    pub kind: LogWindow,
    /// First and last line that count.
    pub rows: (u64, u64),
    /// When they begin and end.
    pub time: (f64, f64),
    /// Each quantity that the log has here.
    pub values: Vec<(Channel, Summary)>,
    /// The log has no coolant temperature: whether the engine was warm is not known.
    pub warmth_unknown: bool,
    /// The log does not say whether fuelling was in closed loop.
    pub loop_unknown: bool,
    /// What showed that the load was steady; `None` if nothing could.
    pub load_by: Option<Channel>,
}

impl Window {
    /// What it is called: a warm idle only where the log shows that it was warm.
    pub fn name(&self) -> &'static str {
        match self.kind {
            LogWindow::Idle if self.warmth_unknown => "idle, not known to be warm",
            kind => kind.name(),
        }
    }

    /// How long it is, s.
    pub fn length(&self) -> f64 {
        self.time.1 - self.time.0
    }

    /// What the log shows as 0 throughout, and cannot be so while the engine runs: nothing is behind that column.
    pub fn dead(&self) -> impl Iterator<Item = Channel> {
        let never_zero = [Channel::Airflow, Channel::Manifold].into_iter();
        never_zero.filter(|channel| {
            let value = self.value(*channel);
            value.is_some_and(|value| value.lowest == 0.0 && value.highest == 0.0)
        })
    }

    /// What a quantity comes to.
    pub fn value(&self, channel: Channel) -> Option<&Summary> {
        self.values
            .iter()
            .find(|(other, _)| *other == channel)
            .map(|(_, summary)| summary)
    }
}

/// Sums over some rows.
#[derive(Clone, Debug)]
struct Sums {
    rows: (u64, u64),
    time: (f64, f64),
    values: [Moments; SUMMED.len()],
}

impl Sums {
    fn at(line: u64, time: f64) -> Self {
        Self {
            rows: (line, line),
            time: (time, time),
            values: [Moments::default(); SUMMED.len()],
        }
    }

    fn append(&mut self, other: &Self) {
        self.rows.1 = other.rows.1;
        self.time.1 = other.time.1;
        for (mine, others) in self.values.iter_mut().zip(&other.values) {
            mine.append(others);
        }
    }

    fn mean(&self, at: usize) -> Option<f64> {
        self.values[at].mean()
    }
}

/// The stretch being made.
#[derive(Clone, Debug)]
struct Run {
    kind: LogWindow,
    began: f64,
    /// When a speed was last seen.
    seen: f64,
    /// All of it: what the next block is compared with.
    whole: Sums,
    /// What counts.
    settled: Option<Sums>,
}

/// Finds the stretches as the rows come by.
#[derive(Clone, Debug)]
pub struct Finder {
    block: Option<Sums>,
    run: Option<Run>,
    found: Vec<Window>,
    load: Option<(usize, f64, bool)>,
    has_coolant: bool,
    has_loop: bool,
    last: f64,
    /// The last that was heard of each: they come seldom, and change slowly.
    coolant: f64,
    closed: Option<bool>,
    road: f64,
    purge: f64,
    tally: Tally,
}

/// How many rows did not count, and why; a row has one reason, the first that applies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    /// The engine was cold, or it was not known yet whether it was warm.
    pub cold: u64,
    /// Fuelling was in open loop, or it was not known yet.
    pub open: u64,
    /// The car moved.
    pub moving: u64,
    /// The purge valve was told to open.
    pub purging: u64,
    /// The speed was neither that of idle nor near 2500 rpm.
    pub elsewhere: u64,
    /// With an engine speed, an airflow or an absolute manifold pressure below zero.
    pub impossible: u64,
    /// Without a time.
    pub timeless: u64,
    /// With a time before that of the row above; these do count, in a stretch of their own.
    pub back_in_time: u64,
}

impl Finder {
    /// A finder for a log with these quantities.
    pub fn new(has: impl Fn(Channel) -> bool) -> Self {
        let by = [
            (Channel::Manifold, PRESSURE, false),
            (Channel::Load, LOAD, false),
            (Channel::Throttle, LOAD, false),
            (Channel::Airflow, AIRFLOW, true),
        ];
        let load = by.into_iter().find(|(channel, ..)| has(*channel));
        let place = |channel| SUMMED.iter().position(|c| *c == channel);
        Self {
            block: None,
            run: None,
            found: Vec::new(),
            load: load.and_then(|(channel, by, relative)| Some((place(channel)?, by, relative))),
            has_coolant: has(Channel::Coolant),
            has_loop: has(Channel::Loop),
            last: f64::NAN,
            coolant: f64::NAN,
            closed: None,
            road: f64::NAN,
            purge: f64::NAN,
            tally: Tally::default(),
        }
    }

    /// Takes a row.
    pub(super) fn row(&mut self, row: &Row) {
        let time = row.value(Channel::Time);
        // A row without a time belongs to no moment.
        if time.is_nan() {
            self.tally.timeless += 1;
            return;
        }
        let back = time < self.last;
        self.tally.back_in_time += u64::from(back);
        if row.anew || back || time - self.last > SILENCE {
            self.stop();
            // After a silence nothing is known any more.
            (self.coolant, self.closed) = (f64::NAN, None);
            (self.road, self.purge) = (f64::NAN, f64::NAN);
        }
        self.last = time;
        self.hear(row);
        let out = self.why_not(row);
        if let Some(count) = out {
            *count += 1;
            self.stop();
            return;
        }
        match &self.block {
            Some(block) if time - block.time.0 >= BLOCK => {
                self.close_block();
                self.block = Some(Sums::at(row.line, time));
            }
            Some(_) => {}
            None => self.block = Some(Sums::at(row.line, time)),
        }
        if let Some(block) = &mut self.block {
            block.rows.1 = row.line;
            block.time.1 = time;
            for (sums, channel) in block.values.iter_mut().zip(&SUMMED) {
                sums.add(row.value(*channel));
            }
        }
    }

    /// Remembers what comes seldom.
    fn hear(&mut self, row: &Row) {
        let coolant = row.value(Channel::Coolant);
        if !coolant.is_nan() {
            self.coolant = coolant;
        }
        let road = row.value(Channel::RoadSpeed);
        if !road.is_nan() {
            self.road = road;
        }
        let purge = row.value(Channel::Purge);
        if !purge.is_nan() {
            self.purge = purge;
        }
        self.closed = row.closed.or(self.closed);
    }

    /// Where a row is counted that cannot count: impossible, cold, in open loop, moving, with the purge
    /// open, at another speed.
    fn why_not(&mut self, row: &Row) -> Option<&mut u64> {
        let tally = &mut self.tally;
        let speed = row.value(Channel::Speed);
        let never_below_zero = [
            speed,
            row.value(Channel::Airflow),
            row.value(Channel::Manifold),
        ];
        if never_below_zero.into_iter().any(|value| value < 0.0) {
            return Some(&mut tally.impossible);
        }
        // Not known is not warm.
        let warm = self.coolant >= WARM;
        if self.has_coolant && !warm {
            Some(&mut tally.cold)
        } else if self.has_loop && self.closed != Some(true) {
            Some(&mut tally.open)
        } else if self.road.abs() >= STANDING {
            Some(&mut tally.moving)
        } else if self.purge.abs() >= SHUT {
            Some(&mut tally.purging)
        } else if out_of_bands(speed) {
            Some(&mut tally.elsewhere)
        } else {
            None
        }
    }

    /// Ends the block and what it may belong to.
    fn stop(&mut self) {
        self.close_block();
        self.close_run();
    }

    fn close_block(&mut self) {
        let Some(block) = self.block.take() else {
            return;
        };
        let speed = &block.values[SPEED_AT];
        let Some(mean) = speed.mean() else {
            // Nothing was heard of the speed: the values count, if it is not silent for long.
            match &mut self.run {
                Some(run) if block.time.1 - run.seen <= SILENCE => run.take(&block),
                _ => self.close_run(),
            }
            return;
        };
        let Some(kind) = kind_of(mean).filter(|_| speed.range() <= SPEED_IN_BLOCK) else {
            self.close_run();
            return;
        };
        if !self
            .run
            .as_ref()
            .is_some_and(|run| self.belongs(run, kind, &block))
        {
            self.close_run();
        }
        match &mut self.run {
            Some(run) => {
                run.seen = block.time.1;
                run.take(&block);
            }
            None => {
                self.run = Some(Run {
                    kind,
                    began: block.time.0,
                    seen: block.time.1,
                    whole: block,
                    settled: None,
                });
            }
        }
    }

    fn belongs(&self, run: &Run, kind: LogWindow, block: &Sums) -> bool {
        let apart = |at: usize| match (block.mean(at), run.whole.mean(at)) {
            (Some(here), Some(there)) => (here - there).abs(),
            _ => 0.0,
        };
        let load = self.load.is_none_or(|(at, by, relative)| {
            let size = if relative { run.whole.mean(at) } else { None };
            apart(at) <= by * size.map_or(1.0, f64::abs)
        });
        run.kind == kind && apart(SPEED_AT) <= SPEED && load
    }

    fn close_run(&mut self) {
        let Some(run) = self.run.take() else { return };
        let Some(settled) = run.settled else { return };
        if settled.time.1 - settled.time.0 < SHORTEST {
            return;
        }
        let values = SUMMED
            .into_iter()
            .zip(&settled.values)
            .filter_map(|(channel, sums)| Some((channel, sums.summary()?)));
        self.found.push(Window {
            kind: run.kind,
            rows: settled.rows,
            time: settled.time,
            values: values.collect(),
            warmth_unknown: !self.has_coolant,
            loop_unknown: !self.has_loop,
            load_by: self.load.map(|(at, ..)| SUMMED[at]),
        });
        self.drop_shortest(run.kind);
    }

    fn drop_shortest(&mut self, kind: LogWindow) {
        if self.found.iter().filter(|w| w.kind == kind).count() <= KEPT {
            return;
        }
        let of_kind = self
            .found
            .iter()
            .enumerate()
            .filter(|(_, w)| w.kind == kind);
        let shortest = of_kind.min_by(|a, b| a.1.length().total_cmp(&b.1.length()));
        if let Some((at, _)) = shortest {
            self.found.remove(at);
        }
    }

    /// The stretches, in the order of the log, and what did not count.
    pub fn finish(mut self) -> (Vec<Window>, Tally) {
        self.stop();
        (self.found, self.tally)
    }
}

impl Run {
    fn take(&mut self, block: &Sums) {
        self.whole.append(block);
        if block.time.0 - self.began < SETTLE {
            return;
        }
        match &mut self.settled {
            Some(settled) => settled.append(block),
            None => self.settled = Some(block.clone()),
        }
    }
}

fn kind_of(speed: f64) -> Option<LogWindow> {
    let within = |band: (f64, f64)| (band.0..=band.1).contains(&speed);
    if within(IDLE) {
        Some(LogWindow::Idle)
    } else if within(FAST) {
        Some(LogWindow::Fast)
    } else {
        None
    }
}

/// Whether a speed, if there is one, lies so far out that its block cannot count.
fn out_of_bands(speed: f64) -> bool {
    let near =
        |band: (f64, f64)| (band.0 - SPEED_IN_BLOCK..=band.1 + SPEED_IN_BLOCK).contains(&speed);
    !speed.is_nan() && !near(IDLE) && !near(FAST)
}
