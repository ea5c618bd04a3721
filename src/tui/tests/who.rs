//! Who is at the keys: said, or taken from the job that is opened until somebody says so.

use super::bench::Bench;

/// A bench at which nobody has said who he is, on the board beside a job of Tia's.
fn unnamed() -> Bench {
    let mut b = Bench::new();
    b.keys("n")
        .typed("TT 1")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("idles rough")
        .keys("<Tab><Tab><Tab><Tab>")
        .typed("Tia Marlow")
        .keys("<F6><F12>");
    b.driver.model.who = "workshop".to_owned();
    b.driver.model.who_is_guessed = true;
    b
}

#[test]
fn a_name_typed_takes_the_place_of_the_one_that_is_proposed() {
    let mut b = unnamed();
    b.keys("<Enter>");
    assert!(
        b.screen().contains("[Tia Marlow__"),
        "the form asks:\n{}",
        b.screen()
    );
}

#[test]
fn who_goes_on_with_a_job_is_asked_once_and_no_caution_is_taken_for_read_before() {
    let mut b = unnamed();
    b.keys("<Enter>")
        .sees("Tia Marlow worked on this job last")
        .keys("<Esc>");
    assert_eq!(b.driver.model.who, "workshop", "nothing is taken for said");
    b.keys("<F12><Enter>").sees("worked on this job last");
    b.keys("<Enter>");
    assert_eq!(b.driver.model.who, "Tia Marlow");
    b.keys("<F12><Enter>").sees_not("worked on this job last");
    b.keys("i").typed("Marek Dorn").keys("<Enter>");
    assert_eq!(b.driver.model.who, "Marek Dorn");
    b.keys("<F12><Enter>").sees_not("worked on this job last");
}

#[test]
fn the_people_of_the_settings_are_who_works_as_soon_as_they_are_known() {
    let mut b = unnamed();
    b.driver.model.settings.people = vec!["Ines".to_owned(), "Marek".to_owned()];
    b.driver.model.guess_from_people();
    assert_eq!(b.driver.model.who, "Ines");
    b.keys("i").typed("2").keys("<Enter>");
    assert_eq!(b.driver.model.who, "Marek");
    b.driver.model.settings.people = vec!["Ines".to_owned()];
    b.driver.model.guess_from_people();
    assert_eq!(b.driver.model.who, "Marek", "it was said");
}

#[test]
fn whoever_said_their_name_at_one_car_is_asked_at_the_car_of_somebody_else() {
    let mut b = unnamed();
    b.keys("n")
        .typed("GR 1")
        .keys("<Down><Down><Down><Down>")
        .typed("no pull");
    b.keys("<Up><Up><Up><Up><Up><C-u>")
        .typed("Greta Holm")
        .keys("<F6>");
    assert_eq!(b.driver.model.who, "Greta Holm");
    b.keys("<F12>/").typed("TT 1").keys("<Enter>");
    b.sees("Tia Marlow worked on this job last");
    // Who is at the keys was said: an Enter in haste takes nobody for the other one.
    b.sees("[Greta Holm__").keys("<Enter>");
    assert_eq!(b.driver.model.who, "Greta Holm");
}
