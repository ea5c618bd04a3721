//! How long a log of a million rows takes, against a plain pass of the `csv` crate over the same
//! bytes: the ratio of the two, measured in turns in one run, and the memory that reading takes at
//! two sizes.
//!
//! Three ratios are printed, since the hash of the file is worked out by a thread of its own: by the
//! clock (what whoever waits sees, on a machine with a core to spare), by the processor time of the
//! thread that reads (which a busy machine does not spoil), and by that of all threads together.
//!
//! ```text
//! cargo bench --bench read_log
//! ```
//!
//! The plain pass reads every record into one `ByteRecord` that is used again, which is the fastest
//! way that the crate's readme knows; it parses no number, sums up nothing and hashes nothing.

#![allow(clippy::unwrap_used, reason = "a bench that cannot go on has failed")]

use std::hint::black_box;
use std::io::Read;
use std::time::{Duration, Instant};

use ruleout::import::{Options, read_log};

/// Rows of the log.
const ROWS: u64 = 1_000_000;
/// Turns of the ratio.
const TURNS: usize = 15;

fn main() {
    // `cargo test --benches` only asks whether it runs.
    if std::env::args().any(|arg| arg == "--test") {
        let log = read_log(Generated::new(2_000, b','), &Options::default()).unwrap();
        assert_eq!(log.rows, 2_000);
        return;
    }
    memory();
    for separator in [b',', b';'] {
        ratio(separator);
    }
    divan::main();
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn read_a_million_rows(bencher: divan::Bencher) {
    let bytes = text(b',');
    bencher.bench(|| read(&bytes));
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn plain_pass_of_the_csv_crate(bencher: divan::Bencher) {
    let bytes = text(b',');
    bencher.bench(|| plain(&bytes, b','));
}

fn read(bytes: &[u8]) -> u64 {
    let log = read_log(black_box(bytes), &Options::default()).unwrap();
    assert_eq!(log.rows, ROWS);
    assert!(!log.windows.is_empty());
    log.rows
}

fn plain(bytes: &[u8], separator: u8) -> u64 {
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .from_reader(black_box(bytes));
    let mut record = csv::ByteRecord::new();
    let mut rows = 0;
    while reader.read_byte_record(&mut record).unwrap() {
        rows += 1;
    }
    assert_eq!(rows, ROWS);
    rows
}

/// The best of several turns of each, one after the other, so that both meet the same machine; for
/// all threads together the sum of the turns, since the system counts them in coarse steps.
fn ratio(separator: u8) {
    let bytes = text(separator);
    let (mut ours, mut theirs) = (Took::default(), Took::default());
    for _ in 0..TURNS {
        theirs.add(|| plain(&bytes, separator));
        ours.add(|| read(&bytes));
    }
    println!(
        "separator {:?}: {ROWS} rows, {:.1} MB",
        char::from(separator),
        bytes.len() as f64 / 1e6
    );
    println!(
        "  by the clock    plain pass of csv {:.0?}, read_log {:.0?}, ratio {:.2}",
        theirs.clock,
        ours.clock,
        over(ours.clock, theirs.clock)
    );
    match (ours.thread, theirs.thread) {
        (Some(read), Some(plain)) => println!(
            "  one thread      plain pass of csv {plain:.0?}, read_log {read:.0?}, ratio {:.2}",
            over(read, plain)
        ),
        _ => println!("  one thread      this system does not tell"),
    }
    match (ours.all, theirs.all) {
        (Some(read), Some(plain)) => {
            println!("  all threads     ratio {:.2}", read / plain);
        }
        _ => println!("  all threads     this system does not tell"),
    }
}

fn over(ours: Duration, theirs: Duration) -> f64 {
    ours.as_secs_f64() / theirs.as_secs_f64()
}

/// How long several turns took.
#[derive(Default)]
struct Took {
    /// The best by the clock.
    clock: Duration,
    /// The best of this thread on the processor.
    thread: Option<Duration>,
    /// All turns of all threads on the processor, in ticks of the system.
    all: Option<f64>,
}

impl Took {
    fn add(&mut self, work: impl FnOnce() -> u64) {
        let (start, thread, all) = (Instant::now(), on_processor(), ticks());
        black_box(work());
        let clock = start.elapsed();
        self.clock = if self.clock.is_zero() {
            clock
        } else {
            self.clock.min(clock)
        };
        let took = on_processor()
            .zip(thread)
            .map(|(now, before)| now.saturating_sub(before));
        self.thread = took.map(|took| self.thread.map_or(took, |best| best.min(took)));
        let took = ticks().zip(all).map(|(now, before)| now - before);
        self.all = took.map(|took| self.all.unwrap_or(0.0) + took);
    }
}

/// How long this thread was on a processor.
fn on_processor() -> Option<Duration> {
    let status = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    let nanoseconds = status.split_whitespace().next()?.parse().ok()?;
    Some(Duration::from_nanos(nanoseconds))
}

/// How long all threads of this process were on a processor, those that have ended too, in ticks.
fn ticks() -> Option<f64> {
    let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
    // The name, which may hold anything, stands in brackets; user and system time are the
    // fourteenth and fifteenth field.
    let (_, behind) = stat.rsplit_once(')')?;
    let mut fields = behind.split_whitespace().skip(11);
    let user: f64 = fields.next()?.parse().ok()?;
    let system: f64 = fields.next()?.parse().ok()?;
    Some(user + system)
}

/// How far the process grows while it reads a log that is made as it is read: a short one first,
/// then a long one, which adds nothing where memory does not grow with the rows.
fn memory() {
    for rows in [ROWS / 10, ROWS] {
        let before = peak();
        let log = read_log(Generated::new(rows, b','), &Options::default()).unwrap();
        assert_eq!(log.rows, rows);
        match (before, peak()) {
            (Some(before), Some(after)) => {
                println!(
                    "memory: {rows} rows, {} kB more at the peak",
                    after - before
                );
            }
            _ => println!("memory: this system does not tell"),
        }
    }
}

/// The largest size that the process has had, in kB.
fn peak() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn text(separator: u8) -> Vec<u8> {
    let mut bytes = Vec::new();
    Generated::new(ROWS, separator)
        .read_to_end(&mut bytes)
        .unwrap();
    bytes
}

/// A log that is made as it is read: a minute of idle, half a minute at 2500 rpm, a minute of
/// driving, and again; ten rows a second, twelve columns, of which ten are used.
struct Generated {
    rows: u64,
    separator: char,
    row: u64,
    seed: u64,
    line: Vec<u8>,
    at: usize,
}

impl Generated {
    fn new(rows: u64, separator: u8) -> Self {
        let separator = char::from(separator);
        let names = [
            "Time (s)",
            "Engine speed (rpm)",
            "Airflow (g/s)",
            "Manifold pressure (kPa)",
            "Short trim bank 1 (%)",
            "Long trim bank 1 (%)",
            "Short trim bank 2 (%)",
            "Long trim bank 2 (%)",
            "Coolant (C)",
            "Load (%)",
            "Intake air (C)",
            "Battery (V)",
        ];
        let mut line = names.join(&separator.to_string());
        line.push('\n');
        Self {
            rows,
            separator,
            row: 0,
            seed: 7,
            line: line.into_bytes(),
            at: 0,
        }
    }

    /// A number between -1 and 1; a small generator of linear congruences is even enough here.
    fn noise(&mut self) -> f64 {
        self.seed = self
            .seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from((self.seed >> 40) as u32) / f64::from(1 << 23) - 1.0
    }

    fn next_line(&mut self) {
        let second = self.row / 10 % 150;
        let (speed, air, pressure, trim) = match second {
            0..60 => (780.0, 3.1, 36.0, 9.0),
            60..90 => (2500.0, 11.0, 31.0, 2.5),
            _ => (
                1700.0 + 20.0 * f64::from(second as u32 - 90),
                18.0,
                60.0,
                1.0,
            ),
        };
        let cells = [
            format!("{:.1}", self.row as f64 / 10.0),
            format!("{:.0}", speed + 12.0 * self.noise()),
            format!("{:.2}", air + 0.05 * self.noise()),
            format!("{:.0}", pressure + 0.6 * self.noise()),
            format!("{:.2}", trim + 0.8 * self.noise()),
            format!("{:.2}", 10.94 + 0.3 * self.noise()),
            format!("{:.2}", trim + 0.8 * self.noise()),
            format!("{:.2}", 9.38 + 0.3 * self.noise()),
            "89".to_owned(),
            format!("{:.1}", 21.0 + self.noise()),
            "34".to_owned(),
            format!("{:.2}", 14.1 + 0.1 * self.noise()),
        ];
        let mut line = cells.join(&self.separator.to_string());
        if self.separator == ';' {
            line = line.replace('.', ",");
        }
        line.push('\n');
        self.line = line.into_bytes();
        self.at = 0;
        self.row += 1;
    }
}

impl Read for Generated {
    fn read(&mut self, out: &mut [u8]) -> std::io::Result<usize> {
        let mut written = 0;
        while written < out.len() {
            if self.at == self.line.len() {
                if self.row == self.rows {
                    break;
                }
                self.next_line();
            }
            let part = (out.len() - written).min(self.line.len() - self.at);
            out[written..written + part].copy_from_slice(&self.line[self.at..self.at + part]);
            self.at += part;
            written += part;
        }
        Ok(written)
    }
}
