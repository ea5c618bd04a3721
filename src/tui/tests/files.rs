//! The picker of files: from the keys to the readings in the record.

use std::fs;
use std::path::Path;

use super::bench::Bench;
use crate::engine::event::What;
use crate::tui::files::Places;
use crate::tui::input::Input;

fn example(name: &str) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/logs");
    fs::read_to_string(folder.join(name)).unwrap()
}

/// A bench whose picker begins in a folder with some files in it, at the step of the intake flow
/// that asks for the readings at warm idle.
fn bench(folder: &Path) -> Bench {
    fs::create_dir(folder.join("old")).unwrap();
    fs::write(folder.join("bay 2.csv"), example("idle-and-2500-comma.csv")).unwrap();
    fs::write(folder.join("note.txt"), "remember the purge line").unwrap();
    let mut bench = Bench::at_warm_idle();
    let places = Places::new(Some(folder.join("last.note")), vec![folder.to_owned()]);
    bench.driver.set_places(places);
    bench
}

/// Readings that came from a file.
fn filled(bench: &Bench) -> Vec<(String, (u64, u64))> {
    let from_file = |what| match what {
        What::ReadingTaken {
            reading,
            from_file: Some(from),
            ..
        } => Some((reading, from.rows)),
        _ => None,
    };
    bench.record().into_iter().filter_map(from_file).collect()
}

#[test]
fn the_picker_as_a_picture() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let changed = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_hours(492_441);
    for name in ["old", "bay 2.csv", "note.txt"] {
        let file = fs::File::open(folder.path().join(name)).unwrap();
        file.set_modified(changed).unwrap();
    }
    bench.keys("<C-r><Down><Down>");
    for (columns, rows) in [(80, 24), (140, 40)] {
        bench.resize(columns, rows);
        let path = folder.path().display().to_string();
        let screen = bench.screen().replace(&path, "FOLDER");
        insta::assert_snapshot!(format!("files-{columns}x{rows}"), screen);
    }
}

#[test]
fn a_long_name_is_worth_more_than_the_day_of_its_change() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    fs::write(folder.path().join("second idle, purge shut.csv"), "").unwrap();
    bench.keys("<C-r>").sees("second idle, purge shut.csv");
}

#[test]
fn a_log_is_found_looked_at_and_filled_in() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    bench.keys("<C-r>").sees("old/").sees("note.txt");
    bench.typed("bay").sees_not("note.txt");
    bench.sees("A log of 270 rows").sees("lines 40 to 181");
    bench
        .sees("idle airflow 2.7")
        .sees("cruise airflow 10.6")
        .sees("and for a later step");
    bench.keys("<Enter>").sees("Filled from bay 2.csv: 8.");
    let filled = filled(&bench);
    assert_eq!(filled.len(), 8);
    assert_eq!(filled[0], ("idle-airflow".to_owned(), (40, 181)));
    assert_eq!(filled[7], ("cruise-long-1".to_owned(), (192, 245)));
    // The folder is remembered.
    let note = fs::read_to_string(folder.path().join("last.note")).unwrap();
    assert_eq!(Path::new(&note), folder.path());
}

#[test]
fn what_cannot_be_read_is_said_beside_it_and_escape_goes_back_bit_by_bit() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    bench
        .keys("<C-r>")
        .typed("note")
        .sees("No rows of numbers are found in");
    bench.keys("<Enter>").sees("Fill readings from a log");
    bench.keys("<Esc>").sees("bay 2.csv").keys("<Esc>");
    bench.sees_not("Fill readings from a log");
    assert!(filled(&bench).is_empty());
}

#[test]
fn units_that_the_file_does_not_say_are_asked_for() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let text = example("idle-and-2500.csv").replacen("Mass air flow [g/s]", "Mass air flow", 1);
    fs::write(folder.path().join("bare.csv"), text).unwrap();
    bench
        .keys("<C-r>")
        .typed("bare")
        .sees("Some units are not known");
    bench
        .keys("<Enter>")
        .sees("In which unit is this column?")
        .sees("\"Mass air flow\" (airflow)");
    bench.keys("1<Enter>").sees("idle airflow 2.7");
    bench.keys("<Enter>").sees("Filled from bare.csv: 8.");
}

#[test]
fn a_warm_engine_is_asked_for_where_the_log_does_not_show_it() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let text = example("idle-and-2500.csv").replacen("Coolant temp [°C]", "Note", 1);
    fs::write(folder.path().join("no-coolant.csv"), text).unwrap();
    bench
        .keys("<C-r>")
        .typed("no-c")
        .keys("<Enter>")
        .sees("Was the engine warm");
    bench.keys("2<Enter>").sees("Nothing can be filled in now");
    bench
        .keys("<Enter>1<Enter>")
        .sees("Filled from no-coolant.csv: 8.");
}

#[test]
fn the_mouse_and_the_folders_work_too() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    fs::write(
        folder.path().join("old/before.csv"),
        example("idle-and-2500.csv"),
    )
    .unwrap();
    // The newest is the folder; the cursor stands there, and a click on it opens it.
    bench.keys("<C-r>").sees("Enter opens the folder");
    bench
        .click("old/")
        .sees("before.csv")
        .sees("A log of 270 rows");
    bench.keys("<Back>").sees("bay 2.csv");
    bench.click("bay 2.csv").sees("A log of 270 rows");
    bench.input(Input::Wheel { down: false });
    bench
        .click("bay 2.csv")
        .click("bay 2.csv")
        .sees("Filled from bay 2.csv: 8.");
    bench.keys("<C-r><Tab>").sees("bay 2.csv");
}

#[test]
fn a_files_name_is_foreign_text() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let name = "ev\u{1b}[31mil\u{202e}\u{7}.csv";
    fs::write(folder.path().join(name), example("idle-and-2500.csv")).unwrap();
    let screen = bench.keys("<C-r>").typed("il").screen();
    assert!(screen.contains("ev [31mil .csv"), "{screen}");
    assert!(
        !screen.contains(['\u{1b}', '\u{202e}', '\u{7}']),
        "{screen}"
    );
    bench.keys("<Enter>").sees("ev [31mil .csv: 8.");
}

#[test]
fn it_draws_at_any_size_and_an_empty_folder_is_no_trouble() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    bench.keys("<C-r>");
    for (columns, rows) in [(1, 1), (60, 20), (80, 24), (200, 60)] {
        bench.resize(columns, rows).screen();
    }
    bench
        .typed("nothing of the kind")
        .sees("Nothing of this name here");
    bench.keys("<Enter><Down><PgDn><Up>");
    let mut lost = Bench::at_warm_idle();
    lost.driver
        .set_places(Places::new(None, vec![folder.path().join("gone")]));
    lost.keys("<C-r>").screen();
    lost.keys("<Tab><Back><Enter><Esc>");
}

#[test]
fn what_the_columns_hold_is_told_and_kept_by_name() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let foreign = |text: String| {
        text.replacen("Engine speed [rpm]", "Drehzahl", 1).replacen(
            "Mass air flow [g/s]",
            "Luftmasse",
            1,
        )
    };
    let text = foreign(example("idle-and-2500.csv"));
    fs::write(folder.path().join("foreign.csv"), &text).unwrap();
    fs::write(folder.path().join("foreign 2.csv"), &text).unwrap();
    bench
        .keys("<C-r>")
        .typed("foreign.c")
        .sees("No column is known to hold engine speed")
        .sees("say which under \"columns\"");
    bench
        .keys("<F2>")
        .sees("Drehzahl: not used")
        .sees("Time [s]: time, s");
    // The columns come in the order of the file: the second is the speed, the third the airflow.
    bench
        .keys("2<Enter>")
        .sees("What does this column hold?")
        .sees("until now: Time [s]");
    bench.keys("3<Enter>").sees("In which unit is this column?");
    bench.keys("1<Enter>").sees("Drehzahl: engine speed, rpm");
    bench
        .keys("3<Enter>4<Enter>")
        .sees("\"Luftmasse\" (airflow)");
    bench.keys("1<Enter>").sees("Luftmasse: airflow, g/s");
    bench
        .click("(keep what the columns hold under a name)")
        .click("(keep what the columns hold under a name)")
        .sees("such as the tool that writes these files");
    bench
        .typed("a/b")
        .keys("<Enter>")
        .sees("cannot be a mapping's name");
    bench
        .keys("<C-u>")
        .typed("Bay tool")
        .keys("<Enter>")
        .sees("Kept as \"Bay tool\"");
    bench.keys("<Esc>").sees("idle airflow 2.7");
    assert!(folder.path().join("mappings/Bay tool.yaml").is_file());
    // The next file of this kind needs none of it; what was told of the first alone is not told of it.
    bench
        .keys("<Esc><Esc><C-r>")
        .typed("foreign 2")
        .sees("columns as in the mapping \"Bay tool\"");
    // Without the mapping nothing is known of it, and one pick brings it back.
    bench
        .keys("<F2>")
        .click("(mapping: Bay tool)")
        .click("(mapping: Bay tool)");
    bench
        .click("none: by the words of the header")
        .click("none: by the words of the header")
        .keys("<Esc>")
        .sees("No column is known");
    bench
        .keys("<F2>")
        .click("(mapping: none)")
        .click("(mapping: none)");
    bench
        .click("Bay tool")
        .click("Bay tool")
        .sees("Drehzahl: engine speed, rpm");
    bench
        .keys("<Esc>")
        .sees("columns as in the mapping \"Bay tool\"");
    bench.keys("<Enter>").sees("Filled from foreign 2.csv: 8.");
}

#[test]
fn how_a_file_is_written_can_be_told() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let rows: Vec<String> = (0..300).map(|n| format!("{};800;3;90\n", n / 2)).collect();
    // Every number is whole until the last row: nothing tells the decimal mark.
    let text = format!(
        "Time (s);RPM;MAF (g/s);Coolant (C)\n{}150,5;800;3,1;90\n",
        rows.concat()
    );
    fs::write(folder.path().join("late.csv"), text).unwrap();
    bench
        .keys("<C-r>")
        .typed("late")
        .sees("if this is a decimal comma");
    bench
        .keys("<F2>")
        .click("(before decimals: point, as found)")
        .click("(before decimals: point, as found)")
        .sees("What stands before decimals?");
    bench
        .keys("3<Enter>")
        .sees("(before decimals: comma, as told)");
    bench
        .keys("<Esc>")
        .sees("A log of 301 rows")
        .sees("3 g/s +-");
    // A separator that makes no table of it can be taken back.
    bench
        .keys("<F2>")
        .click("(between cells: semicolon, as found)")
        .click("(between cells: semicolon, as found)");
    bench.keys("4<Enter>").sees("(between cells: tab, as told)");
    bench.keys("<Esc>").sees("No rows of numbers are found");
    bench
        .keys("<F2>")
        .click("(between cells: tab, as told)")
        .click("(between cells: tab, as told)");
    bench.keys("1<Enter><Esc>").sees("A log of 301 rows");
    // A unit in the header that fits nothing of the kind is asked for anew.
    bench
        .keys("<F2>3<Enter>3<Enter>")
        .sees("In which unit is this column?");
}

#[test]
fn a_large_log_is_read_beside_the_screens_and_how_far_is_shown() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = bench(folder.path());
    let mut log = example("idle-and-2500-comma.csv");
    // Long enough to be read aside; it goes on from where the example ends.
    let mut half_seconds = 270;
    while log.len() as u64 <= crate::tui::reading::ASIDE {
        let (whole, part) = (half_seconds / 2, 5 * (half_seconds % 2));
        let row = format!("{whole},{part};2500;10,60;45;0,8;3,1;90;0;closed\n");
        log.push_str(&row);
        half_seconds += 1;
    }
    fs::write(folder.path().join("long.csv"), log).unwrap();
    bench.driver.reads_aside = true;
    bench
        .keys("<C-r>")
        .typed("long")
        .sees("Reading it")
        .sees(" %");
    // Enter waits for it, and does not fill half of it in.
    bench.keys("<Enter>").sees("It is being read");
    while bench.driver.is_reading() {
        if bench.driver.file_came().is_none() {
            std::thread::yield_now();
        }
    }
    bench.sees_not("Reading it").sees("A log of");
}
