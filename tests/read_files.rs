//! Files of every kind through the reader: the same table in three ways of writing it, files with
//! everything that loggers do to them, and bytes of no kind at all.

#![allow(
    clippy::format_collect,
    clippy::format_push_string,
    clippy::uninlined_format_args,
    clippy::unwrap_used,
    missing_docs,
    reason = "tests build small texts, and stop where something is not as expected"
)]

use crate::logs;
use std::collections::BTreeMap;

use proptest::prelude::*;
use ruleout::flow::answer::Answer;
use ruleout::flow::log_key::LogWindow;
use ruleout::flow::shelf::Shelf;
use ruleout::flow::working::{Known, picture};
use ruleout::import::encoding::Encoding;
use ruleout::import::fill::from_capture;
use ruleout::import::{Channel, Import, Log, Options, look_at, read, read_capture, read_log};

fn log(text: &str) -> Log {
    read_log(text.as_bytes(), &Options::default()).unwrap_or_else(|error| panic!("{error}"))
}

fn refused(bytes: &[u8]) -> String {
    read_log(bytes, &Options::default())
        .err()
        .map(|error| error.to_string())
        .unwrap()
}

/// The means of both stretches, by channel.
fn means(log: &Log) -> Vec<(Channel, f64)> {
    LogWindow::ALL
        .into_iter()
        .flat_map(|kind| &log.best(kind).unwrap().values)
        .map(|(channel, summary)| (*channel, summary.mean))
        .collect()
}

#[test]
fn the_committed_examples_are_those_that_the_generator_makes() {
    for (name, text) in logs::all() {
        let path = format!("{}/tests/fixtures/logs/{name}", env!("CARGO_MANIFEST_DIR"));
        if std::env::var_os("RULEOUT_WRITE_LOGS").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        // Not `assert_eq`, which would print both.
        assert!(std::fs::read_to_string(&path).unwrap() == text, "{name}");
    }
}

#[test]
fn a_table_reads_the_same_in_three_dialects() {
    let point = log(&logs::idle_and_fast(logs::POINT));
    let wanted = means(&point);
    assert_eq!(wanted.len(), 12);
    for dialect in [logs::COMMA, logs::TAB] {
        let other = log(&logs::idle_and_fast(dialect));
        assert_eq!(means(&other), wanted);
        assert_eq!(other.windows.len(), point.windows.len());
    }
    // A byte order mark, quotes around everything, blank lines and a line of units change nothing.
    let text = logs::idle_and_fast(logs::POINT);
    let quoted: String = text
        .lines()
        .map(|line| format!("\"{}\"\r\n\r\n", line.replace(',', "\",\"")))
        .collect();
    assert_eq!(means(&log(&format!("\u{feff}{quoted}"))), wanted);
    let (names, values) = text.split_once('\n').unwrap();
    let bare: Vec<&str> = names
        .split(',')
        .map(|name| name.split(" [").next().unwrap())
        .collect();
    let units = "s,rpm,g/s,kPa,%,%,°C,km/h,";
    assert_eq!(
        means(&log(&format!("{}\n{units}\n{values}", bare.join(",")))),
        wanted
    );
}

/// A cell that cannot be read is named with its line, however lines end, and in files longer than the buffer.
#[test]
fn lines_are_counted_however_they_end() {
    let rows: String = (0..40_000).map(|n| format!("{n},800,90\n")).collect();
    let text = format!("Time (s),RPM,Coolant (C)\n{rows}40001,fast,90\n40002,800,90\n");
    let wanted = log(&text);
    let named = "line 40002, column 2 (RPM)";
    assert!(wanted.flaws.remarks()[0].contains(named));
    for end in ["\r", "\r\n", "\r\r"] {
        let other = log(&text.replace('\n', end));
        assert_eq!((other.rows, other.flaws.cut), (wanted.rows, None));
        let line = if end == "\r\r" { 80_003 } else { 40_002 };
        let remark = &other.flaws.remarks()[0];
        assert!(
            remark.contains(&format!("line {line},")),
            "{end:?}: {remark}"
        );
    }
}

#[test]
fn a_table_reads_the_same_in_every_encoding() {
    let text = logs::idle_and_fast(logs::COMMA);
    let wanted = log(&text);
    let means_of = |bytes: &[u8]| {
        let log = read_log(bytes, &Options::default()).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(log.rows, wanted.rows);
        // The hash is that of the file as it lies on the disk.
        assert_eq!(log.hash, blake3::hash(bytes).to_hex().to_string());
        (means(&log), log.look.names(), log.look.dialect.to_string())
    };
    let with_mark = format!("\u{feff}{text}");
    let low: Vec<u8> = with_mark
        .encode_utf16()
        .flat_map(u16::to_le_bytes)
        .collect();
    let high: Vec<u8> = with_mark
        .encode_utf16()
        .flat_map(u16::to_be_bytes)
        .collect();
    for bytes in [&low, &high, &low[2..].to_vec(), &high[2..].to_vec()] {
        let (means_here, names, dialect) = means_of(bytes);
        assert_eq!((means_here, names), (means(&wanted), wanted.look.names()));
        assert!(dialect.contains("decimal comma, UTF-16"), "{dialect}");
    }
    // The degree sign is one byte in Windows-1252. The header comes again further down.
    let (names_line, values) = text.split_once('\n').unwrap();
    let again = format!("{text}{names_line}\n{values}");
    let single: Vec<u8> = again
        .chars()
        .map(|c| u8::try_from(u32::from(c)).unwrap())
        .collect();
    let log = read_log(&single[..], &Options::default()).unwrap();
    assert_eq!(log.look.names(), wanted.look.names());
    assert_eq!((means(&log), log.rows), (means(&wanted), 2 * wanted.rows));
    assert_eq!(log.look.dialect.encoding, Encoding::Windows1252);
    // Cut in the middle of a character, the line that it stood on is left out, and that is said.
    let names = wanted.look.dialect.first_line - 1;
    // The lines end with CR and LF, of two bytes each.
    let log = read_log(&low[..low.len() - 5], &Options::default()).unwrap();
    assert_eq!(
        (log.rows, log.flaws.cut),
        (wanted.rows - 1, Some(names + wanted.rows))
    );
    let log = read_log(&[&low[..], b"7"].concat()[..], &Options::default()).unwrap();
    assert_eq!(
        (log.rows, log.flaws.cut),
        (wanted.rows, Some(names + wanted.rows + 1))
    );
}

#[test]
fn the_stretches_of_the_example_are_where_the_generator_put_them() {
    let log = log(&logs::idle_and_fast(logs::POINT));
    let idle = log.best(LogWindow::Idle).unwrap();
    let mean = |channel| {
        log.best(LogWindow::Idle)
            .unwrap()
            .value(channel)
            .unwrap()
            .mean
    };
    assert!((mean(Channel::Airflow) - 2.70e-3).abs() < 0.02e-3);
    assert!((mean(Channel::ShortTrim1) - 0.06).abs() < 0.004);
    assert!((mean(Channel::Manifold) - 35_000.0).abs() < 200.0);
    // Warm at 75 C is 15 s after the start, and five more settle.
    assert!((40..=46).contains(&idle.rows.0), "{:?}", idle.rows);
    assert!((178..=182).contains(&idle.rows.1), "{:?}", idle.rows);
    let fast = log.best(LogWindow::Fast).unwrap();
    let speed = fast.value(Channel::Speed).unwrap().mean * 60.0;
    assert!((speed - 2490.0).abs() < 5.0, "{speed}");
}

/// One cell in twenty rows may be an accident of the logger; the cell is left out and named, and no row with it.
#[test]
fn a_cell_that_cannot_be_read_is_left_out_and_named() {
    let head = "Time (s),RPM,Coolant (C)\n";
    let rows: String = (0..40).map(|n| format!("{n},800,90\n")).collect();
    let read = |row: &str| log(&format!("{head}{rows}{row}\n"));
    let word = read("41,fast,90");
    assert_eq!((word.rows, word.tally.timeless), (41, 0));
    assert_eq!(
        word.flaws.remarks(),
        ["one cell was left out: line 42, column 2 (RPM): \"fast\" is not a number"]
    );
    // A row whose time is none does not count, and is told as such.
    let time = read("soon,800,90\n42,inf,90");
    assert_eq!((time.rows, time.tally.timeless), (42, 1));
    assert_eq!(
        time.flaws.remarks(),
        [
            "2 cells were left out, the first: line 42, column 1 (Time (s)): \"soon\" is not a number"
        ]
    );
    assert!(read("41,,90").flaws.remarks().is_empty());
    // In a long file the column is given up before the end.
    let many: String = (0..3000).map(|n| format!("{n},fast,90\n")).collect();
    let many = refused(format!("{head}{rows}{many}21,800,90,7\n").as_bytes());
    assert!(many.starts_with("line 42, column 2"), "{many}");
}

/// What a hand pump's sweep came to, written down without times: 0.04 V a kPa from 0.25 V, by hand.
#[test]
fn a_table_of_a_sweep_needs_no_time() {
    let text = "Pressure [kPa],Sensor [V]\n20,1.05\n60,2.65\n100,4.25\n";
    let capture = read_capture(text.as_bytes(), &Options::default()).unwrap();
    let steps: Vec<_> = capture
        .steps()
        .iter()
        .map(|step| (step.time, step.pressure, step.signal))
        .collect();
    assert_eq!(
        steps,
        [
            (None, Some(20e3), 1.05),
            (None, Some(60e3), 2.65),
            (None, Some(100e3), 4.25)
        ]
    );
    let bare = "Sensor [V],Level [%]\n1,20\n2,30\n";
    let why = read_capture(bare.as_bytes(), &Options::default())
        .err()
        .unwrap()
        .to_string();
    assert!(why.contains("time"), "{why}");
}

#[test]
fn what_is_wrong_is_named_with_its_line_and_what_to_do() {
    let head = "Time (s),RPM,Coolant (C)\n";
    let rows: String = (0..20).map(|n| format!("{n},800,90\n")).collect();
    let with = |row: &str| refused(format!("{head}{rows}{row}\n{rows}").as_bytes());
    let words = "21,fast,90\n".repeat(3);
    let word = with(words.trim_end());
    assert!(
        word.starts_with("line 22, column 2 (RPM): \"fast\" is not a number; "),
        "{word}"
    );
    assert!(word.contains("--column \"RPM=nothing\""), "{word}");
    let infinite = with("21,inf,90\n22,inf,90\n23,inf,90");
    assert!(infinite.contains("\"inf\" is not a number"), "{infinite}");
    let long = with("21,800,90,7");
    assert!(
        long.starts_with("line 22 has 4 cells, and there are 3 columns"),
        "{long}"
    );
    let open = with("21,\"800,90");
    assert!(open.contains("line 22") && open.contains("quote"), "{open}");
    assert!(refused(b"").contains("empty"));
    assert!(refused(b"PK\x03\x04\0\0\0").contains("zero byte"));
    let endless = format!("{head}{rows}21,{}", "8".repeat(3 << 20));
    assert!(refused(endless.as_bytes()).contains("does not end within"));
}

#[test]
fn rows_with_cells_missing_are_counted_and_the_first_is_named() {
    let head = "Time (s),RPM,Coolant (C),Load (%)\n";
    let rows: String = (0..40).map(|n| format!("{n},800,90,20\n")).collect();
    let log = log(&format!("{head}{rows}41,800\n42,800,90\n43,800,90,20\n"));
    assert_eq!((log.rows, log.flaws.short), (43, Some((2, 42))));
}

#[test]
fn a_file_is_read_as_what_it_is() {
    let kind = |text: &str| match read(text.as_bytes(), &Options::default()).unwrap() {
        Import::Log(_) => "log",
        Import::Capture(_) => "capture",
    };
    assert_eq!(kind(&logs::idle_and_fast(logs::COMMA)), "log");
    assert_eq!(kind(&logs::ripple()), "capture");
    assert_eq!(kind(&logs::sweep()), "capture");
}

#[test]
fn a_long_capture_is_thinned_and_begins_at_the_trigger() {
    let capture = read_capture(logs::ripple().as_bytes(), &Options::default()).unwrap();
    let part = capture.excerpt().unwrap();
    assert!(part.triggered);
    // The trigger rises at 20 ms, the eleventh point, on line 12.
    assert_eq!(part.rows.0, 12);
    assert_eq!(part.points.len(), 340);
    let mut text = String::from("Time (us),Signal (V)\n");
    for n in 0..40_000 {
        text.push_str(&format!(
            "{},{:.3}\n",
            n * 20,
            2.0 + f64::from(n % 25) / 100.0
        ));
    }
    let capture = read_capture(text.as_bytes(), &Options::default()).unwrap();
    let part = capture.excerpt().unwrap();
    assert!(part.points.len() <= ruleout::import::trace::MOST);
    assert!(part.points.windows(2).all(|pair| pair[0].0 < pair[1].0));
    let mean = part.points.iter().map(|point| point.1).sum::<f64>() / part.points.len() as f64;
    assert!((mean - 2.12).abs() < 1e-3, "{mean}");
}

#[test]
fn a_sweep_is_parted_into_the_steps_that_were_held() {
    let capture = read_capture(logs::sweep().as_bytes(), &Options::default()).unwrap();
    let steps: Vec<f64> = capture
        .steps()
        .iter()
        .map(|step| step.pressure.unwrap() / 1e3)
        .collect();
    assert_eq!(steps.len(), 9, "{steps:?}");
    assert!((steps[4] - 40.0).abs() < 0.5, "{steps:?}");
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = (look_at(&bytes[..], &Options::default()), read(&bytes[..], &Options::default()));
    }

    #[test]
    fn nothing_like_a_log_makes_it_panic(
        text in "(Time|RPM|MAF \\(g/s\\)|[0-9.,;\"\t-]{1,6}|[\r\n,;\t\"]|\\PC){0,80}"
    ) {
        let head = "Time (s),RPM,MAF (g/s),Loop\n1,800,3,cl\n2,800,3,cl\n";
        let _ = read(text.as_bytes(), &Options::default());
        let _ = read(format!("{head}{text}").as_bytes(), &Options::default());
    }

    #[test]
    fn a_log_that_is_cut_anywhere_is_read_or_refused_with_words(at in 0_usize..9_000) {
        let text = logs::idle_and_fast(logs::COMMA);
        let cut = &text.as_bytes()[..at.min(text.len())];
        if let Err(error) = read(cut, &Options::default()) {
            prop_assert!(error.to_string().len() > 20);
        }
    }

    /// The fast way through a line and the careful one say the same: quotes send a line the
    /// careful way.
    #[test]
    fn both_ways_through_a_line_read_the_same(
        rows in proptest::collection::vec(
            ("-?[0-9]{1,9}[.]?[0-9]{0,7}", "[0-9]{1,4}|-|n/a| 7[.]5 |", "[0-9]{1,3}[.][0-9]{2}"),
            12..40,
        ),
    ) {
        let written = |quote: &str| {
            let mut text = String::from("Time (s),Volts (V),Trigger\n0,1,1\n");
            for (n, (signal, trigger, _)) in rows.iter().enumerate() {
                text.push_str(&format!("{}.5,{signal},{trigger}{quote}\n", n));
            }
            text
        };
        let plain = read_capture(written("").as_bytes(), &Options::default()).unwrap();
        let text: String = written("")
            .lines()
            .enumerate()
            .map(|(n, line)| match n {
                0 => format!("{line}\n"),
                // A quote inside of quotes, in a cell that is not used, is not plain.
                _ => format!("{line},\"a\"\"b\"\n"),
            })
            .collect();
        let text = text.replacen("Trigger\n", "Trigger,Note\n", 1);
        let careful = read_capture(text.as_bytes(), &Options::default()).unwrap();
        let bits = |capture: &ruleout::import::Capture| -> Vec<(u64, u64, u64)> {
            capture
                .points
                .iter()
                .map(|p| (p.time.to_bits(), p.signal.to_bits(), p.trigger.to_bits()))
                .collect()
        };
        prop_assert_eq!(bits(&plain), bits(&careful));
    }
}

/// Samples of a millisecond, in a flow that has its times in seconds: none falls onto another.
#[test]
fn a_trace_keeps_its_times_in_any_unit() {
    let text = "flow: lobes\ntitle: Lobes\nreadings:\n  \
                trace: {ask: Trace, pairs: {time: s, signal: V}, log: trace}\nsteps:\n  \
                - {id: look, phase: inspect, do: Look., record: [trace], outcomes: [{when: always, go: done}]}\n";
    let loaded = ruleout::flow::load::load(text);
    let flow = loaded
        .flow
        .unwrap_or_else(|| panic!("{:?}", loaded.findings));
    let rows: Vec<String> = (0..400)
        .map(|n| format!("{},{}\n", f64::from(n) / 1000.0, n % 7))
        .collect();
    let file = format!("time (s),signal (V)\n{}", rows.concat());
    let capture = read_capture(file.as_bytes(), &Options::default()).unwrap();
    let fill = from_capture(&flow, &capture);
    let Some(Answer::Pairs(pairs)) = fill.filled.first().map(|filled| &filled.value) else {
        panic!("{fill:?}")
    };
    assert!(
        pairs.windows(2).all(|two| two[0].0.si() < two[1].0.si()),
        "{pairs:?}"
    );
}

/// A negative absolute pressure is no stretch's, and a mapping says what of it a file does not have.
#[test]
fn what_cannot_be_and_what_a_mapping_lacks_is_said() {
    let rows: Vec<String> = (0..300)
        .map(|n| format!("{},800,3,{},90\n", f64::from(n) / 5.0, -60))
        .collect();
    let text = format!(
        "Time (s),RPM,MAF (g/s),MAP (kPa),Coolant (C)\n{}",
        rows.concat()
    );
    let log = read_log(text.as_bytes(), &Options::default()).unwrap();
    assert_eq!((log.tally.impossible, log.windows.len()), (300, 0));
    let other = text.replace("MAF", "Air");
    let options = Options {
        mapping: log.look.mapping(),
        ..Options::default()
    };
    let look = read_log(other.as_bytes(), &options).unwrap().look;
    assert_eq!(look.mapping_lacks, ["MAF (g/s)"]);
    assert!(!look.mapping_fits_none);
    let strange = "Zeit;Drehzahl\n1;2\n3;4\n";
    let look = ruleout::import::look_at(strange.as_bytes(), &options).unwrap();
    assert!(look.mapping_fits_none);
}

#[test]
fn a_capture_fills_a_flows_trace_and_its_lobes_are_counted() {
    let shelf = Shelf::shipped();
    let flow = &shelf.find("idle-misfire").unwrap().flow;
    let capture = read_capture(logs::ripple().as_bytes(), &Options::default()).unwrap();
    let fill = from_capture(flow, &capture);
    assert_eq!(fill.left_out, []);
    let mut answers: BTreeMap<String, Answer> = fill
        .filled
        .into_iter()
        .map(|filled| (filled.reading, filled.value))
        .collect();
    let quantity = |text: &str| Answer::Quantity(text.parse().unwrap());
    answers.insert("capture-speed".to_owned(), quantity("800 rpm"));
    answers.insert("cylinders".to_owned(), quantity("4 count"));
    let known = Known {
        answers: &answers,
        test_number: 1,
    };
    let picture = picture(flow, known);
    let shown = |id: &str| format!("{:?}", picture.values.get(id));
    assert!(
        shown("lobes-verdict").contains("one lobe differs"),
        "{}",
        shown("lobes-verdict")
    );
    assert!(
        shown("lobes-odd").contains("value: 3.0"),
        "{}",
        shown("lobes-odd")
    );
}
