//! The mouse and the paste: the one does what keys do, the other only fills fields.

use super::bench::Bench;
use crate::engine::event::What;
use crate::flow::answer::Answer;
use crate::tui::driver::Left;
use crate::tui::input::Input;
use crate::tui::model::{Over, Screen};

#[test]
fn a_click_picks_a_choice_and_a_second_one_accepts_it() {
    let mut b = Bench::at_first_question();
    let before = b.record().len();
    b.click("manifold pressure").sees("> 2  manifold pressure");
    assert_eq!(b.record().len(), before);
    b.click("manifold pressure");
    let What::FactNoted { value, .. } = b.last() else {
        panic!("{:?}", b.last());
    };
    assert_eq!(value, Answer::Choice("manifold pressure".to_owned()));
}

#[test]
fn keys_in_the_bottom_row_rows_of_the_board_fields_and_buttons_can_be_clicked() {
    let mut b = Bench::new();
    b.click("new job")
        .sees("Plate")
        .click("Complaint")
        .typed("no pull")
        .click("Plate")
        .typed("T 1");
    b.click("Symptoms").click("whistle").sees("[whistle");
    b.click("[ Save ]").sees("Job 1").sees("no pull");
    b.keys("<F12>")
        .click("T 1")
        .sees("Which test answers this?");
    b.resize(100, 30)
        .click("F5 record")
        .sees("Record: 1 events")
        .click("Esc back")
        .sees("Which test");
    b.click("? help").sees("Help");
}

#[test]
fn the_pages_of_the_evidence_are_turned_by_click() {
    let mut b = Bench::at_hold().weighing();
    b.keys("<C-x>").sees("[causes]");
    b.click("next step").sees("[next step]");
    b.click(" map ")
        .sees("[map]")
        .click("causes")
        .sees("[causes]");
}

#[test]
fn places_go_round_by_click() {
    let mut b = Bench::at_hold();
    b.typed("40").keys("<Enter>").typed("39").keys("<Enter>");
    b.click("end tank")
        .click("end tank")
        .sees("steady  ] end tank");
}

#[test]
fn the_wheel_scrolls_texts_and_lists_but_leaves_forms_alone() {
    let mut b = Bench::at_hold();
    b.remark(&"long ".repeat(100))
        .keys("<F5>")
        .resize(80, 20)
        .keys("<Home>")
        .input(Input::Wheel { down: true });
    assert_eq!(b.driver.model.screen, Screen::Record(3));
    b.keys("<Esc><F9>").input(Input::Wheel { down: true });
    assert!(matches!(
        b.driver.model.overs.last(),
        Some(Over::List { at: Some(1), .. })
    ));
    b.keys("<Esc><F3>").input(Input::Wheel { down: true });
    assert!(matches!(b.driver.model.overs.last(), Some(Over::Form(form)) if form.at == 0));
}

#[test]
fn the_mouse_can_be_switched_off_and_on() {
    let mut b = Bench::new();
    b.left.clear();
    b.keys("<C-o>")
        .sees("The mouse is off")
        .keys("<C-o>")
        .sees("The mouse works again");
    assert_eq!(b.left, [Left::Mouse(false), Left::Mouse(true)]);
}

#[test]
fn a_paste_only_ever_fills_a_field() {
    let mut b = Bench::new();
    b.left.clear();
    b.paste("n\nq\n\u{3}");
    assert!(b.driver.model.overs.is_empty() && b.left.is_empty());
    b.keys("n")
        .paste("XK 42\r\nTRY\u{1b}[2J\u{202e}")
        .sees("XK 42 TRY [2J");
    assert!(matches!(b.driver.model.overs.last(), Some(Over::Form(form)) if form.at == 0));
    let mut b = Bench::at_first_question();
    let before = b.record().len();
    b.paste("1\n\n2\n");
    assert_eq!(b.record().len(), before);
    b.sees("How is the air metered?");
}

#[test]
fn a_table_of_pairs_can_be_pasted() {
    let mut b = Bench::at_hold();
    b.typed("40")
        .keys("<Enter>")
        .typed("39")
        .keys("<Enter>1<Enter>");
    b.paste("50 = 2.05\n60 = 2.40\n")
        .sees("[50 = 2.05; 60 = 2.40")
        .keys("<Enter>")
        .sees("60 kPa = 2.4 V");
}

#[test]
fn a_paste_without_end_does_not_fill_the_memory() {
    let mut b = Bench::new();
    b.keys("n").paste(&"x".repeat(100_000));
    let Some(Over::Form(form)) = b.driver.model.overs.last() else {
        panic!("no form");
    };
    assert!(form.fields[0].text.value().len() <= 2_000);
}

#[test]
fn one_click_picks_a_word_of_a_form_wherever_the_focus_is() {
    let mut b = Bench::at_hold();
    b.joint();
    b.keys("<Enter>1<Enter>")
        .typed("Ms Finch")
        .keys("<Enter><Enter>");
    b.sees("> What was done").click("3 could not tell");
    b.sees("[3 could not tell]").sees("> The part was");
}
