//! The settings on the screens: what they change, how they are changed, what is said about a
//! mistake.

use std::fs;

use super::bench::Bench;
use crate::engine::event::What;
use crate::flow::answer::Answer;
use crate::settings::file::read;
use crate::tui::driver::Left;

/// A bench whose settings lie in a file of this text; the folder must live as long as the test.
pub fn with_settings(bench: Bench, text: &str) -> (Bench, tempfile::TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("settings.yaml");
    fs::write(&path, text).unwrap();
    let mut bench = bench;
    bench
        .driver
        .model
        .take_settings(read(Some(path)), Vec::new());
    (bench, folder)
}

fn text(folder: &tempfile::TempDir) -> String {
    fs::read_to_string(folder.path().join("settings.yaml")).unwrap()
}

#[test]
fn settings_are_changed_on_their_form_and_comments_stay() {
    let (mut b, folder) = with_settings(Bench::new(), "# ours\nunits: metric # the boss\n");
    b.keys("s")
        .sees("Settings")
        .sees("[2 us]".replace("2 us", "3 metric").as_str());
    b.typed("Alder Lane")
        .keys("<Tab>")
        .typed("0555 0142")
        .keys("<Tab>")
        .typed("Monday to Friday: 8 to 17")
        .keys("<Tab>2<F6>")
        .sees("Saved in");
    assert_eq!(
        text(&folder),
        "# ours\nunits: us # the boss\nworkshop: Alder Lane\ntelephone: 0555 0142\n\
         hours: \"Monday to Friday: 8 to 17\"\n"
    );
    b.keys("s")
        .sees("[Alder Lane")
        .sees("[2 us]")
        .keys("<F6>")
        .sees("Nothing was changed");
}

#[test]
fn a_mistake_in_the_file_is_said_with_its_place_and_the_rest_counts() {
    let (mut b, folder) = with_settings(
        Bench::new(),
        "units: uss\ntheme: dark\nkeys: {record: F4}\n",
    );
    b.sees("line 1, column 8").sees("1 more: see the settings");
    assert_eq!(b.driver.model.settings.theme, crate::settings::Look::Dark);
    b.keys("s").sees("In the file, line 1, column 8");
    // A mistake elsewhere does not keep anybody from changing something.
    b.keys("<Tab><Tab><Tab><Tab><Tab>")
        .typed("1, lift")
        .keys("<F6>");
    assert_eq!(
        text(&folder),
        "units: uss\ntheme: dark\nkeys: {record: F4}\nbays: [1, lift]\n"
    );
    fs::write(folder.path().join("settings.yaml"), "bays: [1\n").unwrap();
    b.keys("s")
        .typed("Alder")
        .keys("<F6>")
        .sees("mend that in the file first")
        .sees("[Alder");
    assert_eq!(text(&folder), "bays: [1\n");
}

#[test]
fn values_are_shown_and_asked_for_in_the_units_of_the_workshop() {
    let (mut b, _folder) = with_settings(Bench::at_hold(), "units: us\n");
    b.sees("> [________________] psi")
        .sees("Never above 20.31 psi (140 kPa)");
    b.typed("5.8")
        .keys("<Enter>")
        .sees("Gauge after the hold")
        .sees("set pressure: 5.8 psi");
    let What::ReadingTaken {
        value: Answer::Quantity(q),
        ..
    } = b.last()
    else {
        panic!("{:?}", b.last());
    };
    assert_eq!(q.to_string(), "5.8 psi", "what was typed is what is kept");
    b.typed("39 kPa").keys("<Enter>").sees("5.656 psi");
    b.keys("<C-p>").sees_not("kPa").keys("<Esc>");
    b.keys("r").sees("39 kPa (5.656 psi)").sees(": 5.8 psi");
}

#[test]
fn bays_and_people_are_picked_by_number_or_typed() {
    let (mut b, _folder) = with_settings(Bench::new(), "bays: [lift, pit]\npeople: [Ines, Kim]\n");
    b.keys("n")
        .typed("T 1")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("no pull");
    b.keys("<Tab><Tab><Tab>").sees("1 lift, 2 pit").typed("2");
    b.keys("<Tab>")
        .sees("[Kim Archer")
        .sees("1 Ines, 2 Kim")
        .keys("<C-u>")
        .typed("1<Enter>".trim_end_matches("<Enter>"));
    b.keys("<Enter>").sees("bay pit");
    assert_eq!(b.driver.model.who, "Ines");
    b.keys("<F12>n")
        .typed("T 2")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("x");
    b.keys("<Tab><Tab><Tab>")
        .typed("7")
        .keys("<F6>")
        .sees("the list has no 7");
}

#[test]
fn own_keys_count_and_are_shown_wherever_keys_are() {
    let (mut b, _folder) = with_settings(
        Bench::at_hold(),
        "keys: {record: Ctrl-A, complaint: F5, more: [F8], codes: [F9, c]}\n",
    );
    b.resize(200, 40).sees("Ctrl-A record").sees("F8 more");
    b.keys("<F5>")
        .sees("What the car came with")
        .keys("<Esc>")
        .sees("Gauge before")
        .keys("<F8>")
        .sees("record (Ctrl-A)")
        .keys("<Esc><F1>");
    b.sees("Ctrl-A").sees_not("F5, r");
    b.keys("<Esc><C-a>").sees("Record:");
}

#[test]
fn the_mouse_of_the_settings_counts_at_once() {
    let (mut b, _folder) = with_settings(Bench::new(), "");
    b.left.clear();
    b.keys("s<Tab><Tab><Tab><Tab><Tab><Tab><Tab><Tab><Tab>2<F6>")
        .sees("Saved in");
    assert_eq!(b.left, [Left::Mouse(false), Left::Redraw]);
}

#[test]
fn any_screen_can_be_had_as_plain_text_copied_and_saved() {
    let mut b = Bench::at_hold();
    b.remark(&"long ".repeat(400)).keys("<F5>");
    b.left.clear();
    b.keys("<C-p>").sees("Plain text").keys("c");
    let Some(Left::Copy(copied)) = b.left.last() else {
        panic!("{:?}", b.left);
    };
    assert!(copied.contains("job opened: XK 42 TRY"), "{copied}");
    assert!(copied.lines().count() > 30, "{copied}");
    assert!(!copied.contains("F12"), "{copied}");
    let folder = tempfile::tempdir().unwrap();
    let places = crate::tui::files::Places::new(None, vec![folder.path().to_owned()]);
    b.driver.set_places(places);
    b.keys("ss").sees("Saved as");
    let mut names: Vec<String> = fs::read_dir(folder.path())
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(
        names,
        [
            "ruleout-job-1-20260302-1000-2.txt",
            "ruleout-job-1-20260302-1000.txt"
        ]
    );
    b.left.clear();
    b.keys("<Esc>").sees("Record:");
    assert_eq!(b.left, [Left::Mouse(true)]);
    b.keys("<C-z>");
    assert_eq!(b.left.last(), Some(&Left::Suspend));
}

#[test]
fn settings_that_are_left_unsaved_are_said_to_be_so_and_nothing_is_promised() {
    let mut b = Bench::new();
    b.keys("s<Esc>")
        .sees_not("not saved")
        .sees_not("is kept until");
    b.keys("s").typed("Alder Lane").keys("<Esc>");
    b.sees("What you changed in the settings is not saved.")
        .sees_not("is kept until");
    b.keys("s").sees_not("Alder Lane");
}
