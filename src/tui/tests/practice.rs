//! Exercises on the screens: the mark, hands on a car that is not there, the stop, the debrief.

use super::bench::{Bench, shipped};
use crate::engine::practised::is_practice;
use crate::job::sqlite::SqliteStore;
use crate::job::store::Store;
use crate::practice::exercise::Exercise;
use crate::tui::driver::OpensStore;
use crate::tui::plain::session::Session;

fn opens() -> OpensStore {
    Box::new(|| {
        let store = SqliteStore::in_memory()?;
        Ok(Box::new(store) as Box<dyn Store>)
    })
}

/// The board of the workshop, with a place to keep exercises.
pub fn board() -> Bench {
    let mut bench = Bench::with(SqliteStore::in_memory().unwrap(), shipped().clone());
    bench.driver.set_practice(opens());
    bench
}

/// At the beginning of an exercise on the intake.
fn intake(seed: u64, level: u8) -> Bench {
    let mut bench = board();
    bench.driver.practise(Some(&Exercise {
        exercise: "Tuesday".to_owned(),
        flow: "intake-leak".to_owned(),
        seed,
        level,
        note: String::new(),
    }));
    bench.resize(80, 24);
    bench
}

/// Before the first reading of an exercise on the intake.
pub fn reading() -> Bench {
    let mut bench = intake(30, 1);
    until(&mut bench, "Airflow at warm idle");
    bench
}

/// An exercise on the intake that was ended before anything was read.
pub fn ended() -> Bench {
    let mut bench = intake(30, 1);
    until(&mut bench, "are saved?");
    bench.keys("<C-d>1<Enter>");
    bench
}

/// Enters until a text is on screen; cautions are accepted, readings taken.
fn until(bench: &mut Bench, text: &str) {
    for _ in 0..120 {
        let screen = bench.screen();
        if screen.contains(text) {
            return;
        }
        if let Some(at) = screen.find("> Press ") {
            let number = screen[at + 8..].chars().next().unwrap();
            bench.keys(&number.to_string());
        } else if ["are saved?", "purge shut", "closed loop?"]
            .iter()
            .any(|asked| screen.contains(asked))
        {
            bench.keys("1<Enter>");
        } else if screen.contains("Ctrl-N take it") {
            bench.keys("<C-n><Enter>");
        } else {
            bench.keys("<Enter>");
        }
    }
    panic!("\"{text}\" was not reached:\n{}", bench.screen());
}

#[test]
fn every_screen_of_practice_has_the_word_on_it() {
    let mut bench = board();
    bench.sees("practise").keys("p");
    bench
        .sees("PRACTICE · ruleout · exercises")
        .sees("nothing here is a real car");
    bench
        .keys("n")
        .sees("PRACTICE")
        .sees("Practise which test?");
    bench.keys("<Esc>");
    let mut bench = intake(30, 1);
    bench
        .sees("PRACTICE 1 · 0 min")
        .sees("The car comes with: rough idle")
        .sees("Ctrl-N takes a");
    for key in ["<F1>", "<Esc><F5>", "<Esc><C-y>"] {
        bench.keys(key).sees("PRACTICE 1");
    }
}

#[test]
fn the_complaint_stays_to_be_read_in_an_exercise_and_on_a_job() {
    let mut bench = intake(30, 1);
    bench.sees("The car comes with: rough idle").keys("<Up>");
    bench
        .sees_not("The car comes with")
        .sees("\"rough idle\" P0171");
    until(&mut bench, "Airflow at warm idle");
    bench.sees("\"rough idle\" P0171");
    for keys in ["<C-a>", "<Esc><C-y>14<Enter>"] {
        bench
            .keys(keys)
            .sees("What the car came with")
            .sees("Complaint: rough idle")
            .sees("Came with: P0171")
            .sees("Known of it");
    }
    bench.keys("<Esc>").sees("Airflow at warm idle");
}

#[test]
fn a_reading_is_taken_of_the_car_and_costs_its_minutes() {
    let mut bench = intake(30, 1);
    until(&mut bench, "Airflow at warm idle");
    bench.sees("PRACTICE 1 · 5 min").sees("Ctrl-N take it");
    bench
        .keys("<C-n>")
        .sees("As it stands on the car")
        .sees("PRACTICE 1 · 13 min");
    let field = bench
        .driver
        .model
        .open
        .as_ref()
        .unwrap()
        .entry
        .text
        .value()
        .to_owned();
    assert!(field.parse::<f64>().is_ok(), "{field}");
    bench.sees("] g/s");
    bench.keys("<Enter>").sees("Manifold pressure at warm idle");
}

#[test]
fn what_somebody_did_is_theirs_to_say() {
    let mut bench = intake(30, 1);
    until(&mut bench, "are saved?");
    bench
        .keys("<C-n>")
        .sees("Codes, freeze frame and readiness are saved")
        .sees("Saved: P0171; pending: none");
    until(&mut bench, "purge shut");
    bench
        .keys("<C-n>")
        .sees("only you can say this")
        .sees("engine warm");
}

#[test]
fn a_reading_that_only_the_apprentice_can_say_is_not_offered_to_be_taken() {
    let mut bench = intake(30, 1);
    until(&mut bench, "are saved?");
    bench.sees("Ctrl-N take it");
    until(&mut bench, "purge shut");
    bench.sees_not("Ctrl-N take it").sees("Ctrl-Y hands");
}

#[test]
fn openings_are_closed_by_hand_one_by_one() {
    let mut bench = intake(30, 1);
    until(&mut bench, "purge line");
    until(&mut bench, "close off: purge line");
    bench.keys("<C-y>").sees("Your hands").sees("Close or open");
    bench.keys("2<Enter>").sees("[ open   ] purge line");
    bench
        .keys("1<Enter>")
        .sees("[ closed ] purge line")
        .sees("Closed: purge line");
    // Back is one list back, whether anything was closed or not, and then to the step.
    bench.keys("<Esc>").sees("Your hands");
    bench
        .keys("<Esc>")
        .sees("PRACTICE 1")
        .sees_not("Your hands");
    bench.keys("<C-y>2<Enter><Esc>").sees("Your hands");
}

#[test]
fn the_supply_before_its_cautions_stops_the_exercise() {
    let mut bench = intake(30, 1);
    bench.sees("CAUTION").keys("<C-y>");
    let screen = bench.screen();
    let row = screen
        .lines()
        .find(|line| line.contains("Connect the supply"))
        .unwrap();
    let number = row.trim_start_matches([' ', '>']).chars().next().unwrap();
    bench.keys(&format!("{number}<Enter>")).sees("Gas");
    bench.keys("1<Tab>").typed("3.4 kPa").keys("<Enter>");
    bench.sees("STOP").sees("Score:");
    bench.keys("<End>").sees("Your exercises so far");
    bench
        .keys("<Esc>")
        .sees("Read the debrief")
        .sees("The same exercise once more");
}

#[test]
fn an_exercise_is_kept_apart_from_the_jobs() {
    let mut bench = intake(30, 1);
    let events = bench.driver.model.open.as_ref().unwrap().events.clone();
    assert!(is_practice(&events));
    bench.keys("<F12>").sees("PRACTICE").sees("1 ");
    bench.keys("p").sees("ruleout · jobs");
    assert!(bench.driver.model.board.lines.is_empty());
    assert!(!bench.screen().contains("PRACTICE"));
}

#[test]
fn an_ended_exercise_shows_what_was_hidden() {
    let mut bench = intake(30, 1);
    until(&mut bench, "are saved?");
    bench.keys("<C-d>").sees("End the exercise?");
    let mut bench = ended();
    bench.sees("Score:").sees("nothing was repaired at all");
    bench
        .keys("<PgDn>")
        .sees("What was hidden")
        .sees("NOT FOUND");
    bench.keys("<Home>");
    // The columns of the ways stand below each other, on a small screen too.
    for columns in [60, 80, 140] {
        bench.resize(columns, 100);
        let screen = bench.screen();
        let row = |text: &str| screen.lines().find(|line| line.contains(text)).unwrap();
        let ends = row("by flow").find("by flow").unwrap() + "by flow".len();
        let all = row("in all");
        let minutes: Vec<&str> = all[..ends].split_whitespace().collect();
        assert!(
            minutes[minutes.len() - 1].parse::<f64>().is_ok(),
            "{screen}"
        );
        assert_eq!(all[..ends].trim_end().len(), ends, "{screen}");
    }
}

#[test]
fn the_owner_sees_who_has_practised_what_and_how_the_parts_went() {
    let mut bench = ended();
    bench
        .keys("<Esc><F12>")
        .sees("All exercises")
        .sees("Intake leak, level 1, \"Tuesday\"")
        .sees("of 100 · Kim Archer")
        .sees_not("A car has come in")
        .sees("n new exercise")
        .sees("p back to jobs");
    bench
        .keys("w")
        .sees("Kim Archer: 1 exercise")
        .sees("Intake leak, level 1: 1 done")
        .sees("nothing for nothing")
        .keys("<PgDn>")
        .sees(" 100 |")
        .keys("<End>")
        .sees("2 Mar 2026");
}

/// The rows of the list of hands: number and the first words.
fn rows_of_hands(bench: &mut Bench) -> Vec<(String, String)> {
    bench.keys("<C-y>");
    let screen = bench.screen();
    bench.keys("<Esc>");
    let row = |line: &str| {
        let line = line.trim_start_matches([' ', '>']);
        let (number, label) = line.split_once("  ")?;
        number.parse::<u32>().ok()?;
        let label = label.trim().split(" (").next()?;
        Some((number.to_owned(), label.to_owned()))
    };
    screen.lines().filter_map(row).collect()
}

#[test]
fn a_hand_keeps_its_number_at_every_step_whatever_is_done() {
    let mut bench = intake(30, 1);
    let first = rows_of_hands(&mut bench);
    until(&mut bench, "Gauge with the tip blocked");
    let before = rows_of_hands(&mut bench);
    assert_eq!(first, before);
    bench.keys("<C-y>2<Enter>1<Enter>2<Enter>3<Enter><Esc><Esc>");
    let (number, _) = before
        .iter()
        .find(|(_, label)| label == "Connect the supply")
        .unwrap();
    bench.keys(&format!("<C-y>{number}<Enter>"));
    bench
        .keys("1<Tab>")
        .sees("in kPa")
        .typed("3.4")
        .keys("<Enter>");
    bench.sees("The supply is connected");
    assert_eq!(before, rows_of_hands(&mut bench));
    bench
        .keys("<C-y>")
        .sees("Look with the lamp (this step asks for no place)");
    bench.keys("1<Enter>").sees("here no place is asked for");
    bench.keys("<Esc>");
    until(&mut bench, "Where does smoke show");
    assert_eq!(before, rows_of_hands(&mut bench));
    assert!(before.len() > 8, "{before:?}");
}

/// Picks a row of the list that comes with this command, by its number.
fn picks(session: &mut Session, asks: &str, named: &str) -> String {
    let rows = session.line(asks).lines;
    let row = rows.iter().find(|row| row.contains(named)).unwrap();
    let number = row.split('.').next().unwrap().trim().to_owned();
    session.line(&number).lines.join("\n")
}

/// In lines an exercise names its commands, and the engine is warmed up and told of as at the screen.
#[test]
fn in_lines_the_engine_is_warmed_up_and_a_glance_tells_whether_it_is() {
    let (mut session, _) = Session::begin(board().driver, None);
    session.line("practise");
    picks(&mut session, "new exercise", "Intake leak");
    // Level 2 has a cold engine and an open door.
    let begun = session.line("2").lines.join("\n");
    assert!(
        begun.contains(
            "`complaint` shows this again, `take it` takes a reading, `hands` is for your hands."
        ) && !begun.contains("Ctrl-"),
        "{begun}"
    );
    let glance = "Glance round the bay";
    let mut hand = |named: &str| picks(&mut session, "hands", named);
    let cold = hand(glance);
    assert!(
        cold.contains("What you see: engine cold, off; door open"),
        "{cold}"
    );
    hand("Run the engine until it is warm");
    let warm = hand(glance);
    assert!(
        warm.contains("What you see: engine warm, off; door open"),
        "{warm}"
    );
}

#[test]
fn places_are_listed_alike_where_they_are_looked_at_and_where_they_are_covered() {
    let mut bench = intake(30, 1);
    let bay = |bench: &Bench| {
        bench
            .driver
            .model
            .open
            .as_ref()
            .unwrap()
            .bay
            .clone()
            .unwrap()
    };
    let covers: Vec<String> = bay(&bench)
        .covers
        .into_iter()
        .map(|(place, _)| place)
        .collect();
    let flow = bay(&bench).session().bay.plan().flow.clone();
    let listed = flow.readings.iter().find_map(|prompt| match &prompt.kind {
        crate::flow::model::PromptKind::Places(places) => Some(places.clone()),
        _ => None,
    });
    assert_eq!(Some(covers), listed);
    bench.keys("<C-y>").sees("Your hands");
}

#[test]
fn the_hands_fit_a_small_screen_in_one_row_each() {
    let mut bench = intake(30, 1);
    bench
        .keys("<C-y>")
        .sees("Connect the supply (gas and pressure are yours to choose)")
        .sees("Run the engine until it is warm")
        .sees("Set a gauge");
}

#[test]
fn a_long_answer_of_the_car_hides_nothing_that_can_be_picked() {
    let mut bench = intake(30, 1);
    until(&mut bench, "purge shut");
    bench
        .keys("<C-n>")
        .sees("only you can say this. The car comes with: rough idle")
        .sees("2  open");
}

#[test]
fn what_was_read_before_something_was_changed_does_not_stay_in_the_field() {
    let field = |bench: &Bench| {
        let open = bench.driver.model.open.as_ref().unwrap();
        open.entry.text.value().to_owned()
    };
    let mut bench = reading();
    bench.keys("<C-n>");
    let read = field(&bench);
    assert!(!read.is_empty());
    // To look round changes nothing on the car.
    bench
        .keys("<C-y>")
        .sees("3  Go round every plug")
        .keys("3<Enter>");
    assert_eq!(field(&bench), read);
    let close = |bench: &mut Bench| {
        bench.keys("<C-y>").sees("2  Close or open");
        bench.keys("2<Enter>1<Enter>");
    };
    close(&mut bench);
    bench.sees("taken out of the field");
    assert_eq!(field(&bench), "");
    // What somebody typed is theirs.
    bench.keys("<Esc><Esc>7");
    close(&mut bench);
    assert_eq!(field(&bench), "7");
}

#[test]
fn a_word_that_the_car_showed_is_not_left_picked_once_something_was_changed() {
    let mut bench = intake(30, 1);
    until(&mut bench, "closed loop?");
    let picked = |bench: &Bench| bench.driver.model.open.as_ref().unwrap().entry.at;
    bench.keys("<C-n>");
    assert!(picked(&bench).is_some());
    // The air inlet: with it shut the engine dies, and shows nothing.
    bench
        .keys("<C-y>2<Enter>2<Enter>")
        .sees("taken out of the field");
    assert_eq!(picked(&bench), None);
    bench.keys("<Esc><Esc><C-n>").sees("dies at once");
    assert_eq!(picked(&bench), None);
}

#[test]
fn what_is_proposed_in_a_field_gives_way_to_the_first_character() {
    use crate::tui::model::{FieldKind, Form, FormKind, Over};
    let mut bench = intake(30, 1);
    let proposal = |bench: &mut Bench| {
        let form = Form::new(FormKind::Approve, "Ask the customer", "");
        let mut form = form.filled("Who, and how", FieldKind::Needed, "", "the customer");
        form.fields[0].proposed = true;
        let model = &mut bench.driver.model;
        model.overs.clear();
        model.overs.push(Over::Form(Box::new(form)));
    };
    proposal(&mut bench);
    bench.keys("own").sees("[own_").sees_not("the customero");
    // Who moves into it keeps it.
    proposal(&mut bench);
    bench.keys("<End>s").sees("the customers");
}

#[test]
fn who_began_an_exercise_stands_in_the_list_and_is_named_to_another_who_goes_on() {
    let mut bench = intake(30, 1);
    until(&mut bench, "Airflow at warm idle");
    let began = bench.driver.model.who.clone();
    bench.keys("<F12>").sees(&format!("{began} · "));
    bench.keys("<Enter>").sees_not("began this exercise");
    bench.keys("<F12>");
    "Bert".clone_into(&mut bench.driver.model.who);
    bench
        .keys("<Enter>")
        .sees(&format!("{began} began this exercise"));
}

#[test]
fn a_supply_above_the_limit_is_warned_of_once_and_its_form_shows_the_limit() {
    let mut bench = board();
    bench.driver.practise(Some(&Exercise {
        exercise: "Tuesday".to_owned(),
        flow: "cooling-pressure-hold".to_owned(),
        seed: 3,
        level: 1,
        note: String::new(),
    }));
    bench.resize(80, 24);
    let rows = |bench: &mut Bench, label: &str| {
        let row = rows_of_hands(bench)
            .into_iter()
            .find(|(_, row)| row.contains(label));
        row.unwrap().0
    };
    let neck = rows(&mut bench, "Close or open");
    bench.keys("<C-y>").keys(&format!("{neck}<Enter>"));
    bench
        .sees("[ closed ] filler neck")
        .keys("2<Enter>")
        .sees("[ open   ] filler neck");
    bench.keys("<Esc>").keys("<Esc>");
    let pump = rows(&mut bench, "Fit the hand pump");
    bench.keys("<C-y>").keys(&format!("{pump}<Enter>"));
    bench
        .sees("in place of the cap")
        .sees("never above")
        .sees_not("Gas");
    bench.typed("215 kPa").keys("<Enter>");
    bench.sees("Nothing is connected yet").sees_not("Score:");
    bench.keys("<Enter>").sees("STOP").sees("Score:");
}
