//! What a file does not show, or shows wrongly, and what is said of it: purges that are open, columns that are dead,
//! sensors behind the converter, signs between thousands.

#![allow(
    clippy::format_collect,
    clippy::unwrap_used,
    missing_docs,
    reason = "tests build small texts, and stop where something is not as expected"
)]

use ruleout::flow::log_key::LogWindow;
use ruleout::import::look::Purpose;
use ruleout::import::{Channel, Import, Log, Options, look_at, read, read_capture, read_log};
use ruleout::units::Unit;

/// Half a minute of warm idle, five rows a second, with one more column.
fn idle(more: &str, value: impl Fn(usize) -> String) -> String {
    let rows: String = (0..300)
        .map(|n| {
            format!(
                "{}.{},780,90,35.0,3.2,6.0,{}\n",
                n / 5,
                2 * (n % 5),
                value(n)
            )
        })
        .collect();
    format!("Time (s),RPM (rpm),Coolant (C),MAP (kPa),MAF (g/s),STFT B1S1 (%),{more}\n{rows}")
}

fn log(text: &str) -> Log {
    read_log(text.as_bytes(), &Options::default()).unwrap_or_else(|error| panic!("{error}"))
}

fn why(text: &str, options: &Options) -> String {
    read(text.as_bytes(), options).err().unwrap().to_string()
}

fn holds(text: &str, name: &str) -> Option<Channel> {
    let look = look_at(text.as_bytes(), &Options::default()).unwrap();
    let column = look
        .columns
        .iter()
        .find(|mapped| mapped.column.name == name);
    column.unwrap().holds
}

#[test]
fn rows_with_the_purge_open_do_not_count() {
    let open = log(&idle("EVAP Purge Command (%)", |_| "45.0".to_owned()));
    assert_eq!((open.windows.len(), open.tally.purging), (0, 300));
    let shut = log(&idle("Commanded evaporative purge [%]", |_| {
        "0.0".to_owned()
    }));
    assert_eq!((shut.windows.len(), shut.tally.purging), (1, 0));
    // Shut in the second half only: that half counts.
    let value = |n: usize| if n < 150 { "12.5" } else { "0.0" }.to_owned();
    let half = log(&idle("Purge duty", value));
    let window = half.best(LogWindow::Idle).unwrap();
    assert!(window.rows.0 > 151, "{:?}", window.rows);
    // It is read beside the other columns, and moves none of them.
    let mean = |channel| window.value(channel).unwrap().mean;
    assert!((mean(Channel::Manifold) - 35_000.0).abs() < 1e-6);
    assert!((mean(Channel::Airflow) - 0.0032).abs() < 1e-12);
}

#[test]
fn the_sensor_behind_the_converter_is_not_taken_for_the_banks_trim() {
    let text = "Time (s),RPM,STFT B1S2 (%),STFT B1S1 (%),STFT B2S1 (%),LTFT B2S2 (%)\n0,800,99,6,2,1\n1,800,99,6,2,1\n";
    assert_eq!(holds(text, "STFT B1S2 (%)"), None);
    assert_eq!(holds(text, "STFT B1S1 (%)"), Some(Channel::ShortTrim1));
    assert_eq!(holds(text, "STFT B2S1 (%)"), Some(Channel::ShortTrim2));
    assert_eq!(holds(text, "LTFT B2S2 (%)"), None);
}

#[test]
fn a_column_of_nothing_but_zeros_is_called_dead() {
    let text = idle("Note", |_| "x".to_owned());
    let dead = |from: &str, to: &str| {
        let log = log(&text.replace(from, to));
        let window = log.best(LogWindow::Idle).unwrap().clone();
        window.dead().collect::<Vec<_>>()
    };
    assert_eq!(dead("", ""), []);
    assert_eq!(dead(",3.2,", ",0.00,"), [Channel::Airflow]);
    assert_eq!(dead(",35.0,", ",0.00,"), [Channel::Manifold]);
}

#[test]
fn times_of_a_twelve_hour_clock_are_read() {
    let row = |n: u32| {
        let (hour, half) = if n < 30 { (11, "AM") } else { (12, "PM") };
        let (minute, second) = if n < 30 { (59, 30 + n) } else { (0, n - 30) };
        format!("11/28/2026 {hour}:{minute:02}:{second:02} {half},780,90\n")
    };
    let rows: String = (0..60).map(row).collect();
    let log = log(&format!("Timestamp,Engine RPM (rpm),Coolant (C)\n{rows}"));
    let window = log.best(LogWindow::Idle).unwrap();
    assert!((window.time.1 - 43_229.0).abs() < 1e-9, "{:?}", window.time);
    assert!((window.length() - 54.0).abs() < 1.5, "{}", window.length());
    assert_eq!(log.tally.back_in_time, 0);
}

#[test]
fn a_sign_between_thousands_is_named_and_never_taken_for_decimals() {
    let rows = |speed: &str| -> String {
        (0..40)
            .map(|n| format!("{n}\t780\t90\n"))
            .collect::<String>()
            + &format!("40\t{speed}\t90\n")
    };
    let refused = |speed: &str| {
        why(
            &format!("Time (s)\tRPM\tCoolant (C)\n{}", rows(speed)),
            &Options::default(),
        )
    };
    let both = refused("1,004.72");
    assert!(
        both.contains("\"1,004.72\" is not a number; a sign seems to stand between"),
        "{both}"
    );
    assert!(!both.contains("--decimal"), "{both}");
    let one = refused("1,040");
    assert!(
        one.contains("a sign seems to stand between its thousands: export"),
        "{one}"
    );
    assert!(
        one.contains("only if the sign stands before decimals"),
        "{one}"
    );
    // Two decimals are no thousands.
    assert!(refused("1,04").contains("if this is a decimal comma"));
}

#[test]
fn a_capture_without_words_is_asked_for_its_signal() {
    let rows: String = (0..40).map(|n| format!("{n},{}\n", n % 7)).collect();
    let text = format!("Time,Channel A\n{rows}");
    let plain = why(&text, &Options::default());
    assert!(plain.contains("--column \"Channel A=signal\""), "{plain}");
    assert!(!plain.contains("Channel A=engine speed"), "{plain}");
    let capture = Options {
        purpose: Some(Purpose::Capture),
        ..Options::default()
    };
    let asked = why(&text, &capture);
    assert!(asked.contains("--column \"Channel A=signal\""), "{asked}");
    assert!(!asked.contains("engine speed"), "{asked}");
    // Volts speak for themselves.
    let unit = |name: &str, unit: &str| (name.to_owned(), Unit::parse(unit).unwrap());
    let told = Options {
        units: vec![unit("Channel A", "V"), unit("Time", "s")],
        ..Options::default()
    };
    assert!(matches!(
        read(text.as_bytes(), &told),
        Ok(Import::Capture(_))
    ));
    // A unit that does not fit what the header says is still refused as such.
    let wrong = Options {
        units: vec![unit("RPM", "V")],
        ..Options::default()
    };
    let speed = why(&text.replace("Channel A", "RPM"), &wrong);
    assert!(
        speed.contains("holds engine speed, and V is a unit of"),
        "{speed}"
    );
}

#[test]
fn a_capture_that_is_scaled_as_a_pressure_is_a_capture() {
    let rows: String = (0..40).map(|n| format!("{n},{}\n", 30 + n % 7)).collect();
    let text = format!("Time (s),MAP (kPa)\n{rows}");
    let capture = Options {
        purpose: Some(Purpose::Capture),
        ..Options::default()
    };
    let Ok(Import::Capture(read_as)) = read(text.as_bytes(), &capture) else {
        panic!("no capture");
    };
    assert!(read_as.look.signal_is_pressure());
    assert!((read_as.points[3].signal - 33_000.0).abs() < 1e-9);
    assert!(why(&text, &Options::default()).contains("--column \"MAP (kPa)=signal\""));
    let name = "MAP (kPa)".to_owned();
    let told = Options {
        columns: vec![(name, Some(Channel::Signal))],
        ..Options::default()
    };
    assert!(
        read_capture(text.as_bytes(), &told)
            .unwrap()
            .look
            .signal_is_pressure()
    );
}

#[test]
fn a_sweep_says_which_column_is_missing_and_which_line_is_wrong() {
    let capture = Options {
        purpose: Some(Purpose::Capture),
        ..Options::default()
    };
    let table = "P (kPa);U (V)\n20;0,8\n40;1,7\n60;2,6\n80;3,5\n";
    let Ok(Import::Capture(sweep)) = read(table.as_bytes(), &capture) else {
        panic!("no capture");
    };
    assert_eq!(sweep.steps()[1].pressure, Some(40_000.0));
    let bare = why("X;U (V)\n20;0,8\n40;1,7\n60;2,6\n80;3,5\n", &capture);
    assert!(
        bare.contains("no column holds absolute pressure")
            && bare.contains("--column \"X=pressure\""),
        "{bare}"
    );
    // What stands against the air's pressure is not offered as an absolute one.
    let vacuum = why(
        "Vacuum (inHg),Signal (V)\n0,4.4\n10,2.8\n20,1.2\n",
        &capture,
    );
    assert!(vacuum.contains("--column \"NAME=pressure\""), "{vacuum}");
    let open = "Pressure (kPa),Signal (V)\n20,0.8\n40,1.7\n60,OL\n80,3.5\n100,4.4\n";
    let line = why(open, &capture);
    assert!(
        line.starts_with("line 4, column 2 (Signal (V)): \"OL\" is not a number; "),
        "{line}"
    );
    assert!(line.contains("take the line out of the file"), "{line}");
}
