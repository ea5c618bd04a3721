//! The key table against the screens: what is shown can be done, what can be done is shown.

use std::sync::{Mutex, OnceLock};

use super::bench::{Bench, words};
use super::practice;
use crate::tui::input::{Input, Press};
use crate::tui::keys;
use crate::tui::message::{Act, Message};
use crate::tui::model::{Model, Over};
use crate::tui::update::update;

/// A kind of screen: its name, a bench to begin from, and the keys that lead to it.
type Way = (&'static str, fn() -> Bench, &'static str);

/// Every kind of screen.
pub const SCREENS: [Way; 49] = [
    ("empty board", Bench::new, ""),
    ("board", Bench::at_hold, "<F12>"),
    ("search", Bench::at_hold, "<F12>/xk"),
    ("new job", Bench::new, "n"),
    ("choice of a flow", opened, ""),
    ("codes", opened, "<Enter>"),
    ("fact", Bench::at_first_question, ""),
    ("value", Bench::at_first_step, ""),
    ("caution", Bench::at_first_step, "18<Enter><Enter><Enter>"),
    (
        "step without questions",
        Bench::at_first_step,
        "18<Enter><Enter>",
    ),
    ("hold", Bench::at_hold, ""),
    ("hold that runs", super::hold::running, ""),
    ("hold that is over", super::hold::over, ""),
    ("implausible", Bench::at_hold, "130<Enter>"),
    ("stop", Bench::at_hold, "150<Enter>"),
    ("places", places, "13"),
    ("another place", places, "a"),
    ("pairs", places, "1<Enter>50=2<Enter>"),
    ("words", places, "1<Enter><Enter>"),
    ("judged", judged, ""),
    ("why", judged, "w"),
    ("judged beside the evidence", weighed, ""),
    ("evidence", weighed, "x"),
    ("evidence next step", weighed, "x<Tab>"),
    ("evidence map", weighed, "x<Tab><Tab>"),
    ("evidence gear", weighed, "xn"),
    ("more", judged, "m"),
    ("outcomes", judged, "o"),
    ("answers", judged, "e"),
    ("flows", judged, "f"),
    ("help", judged, "?"),
    ("record", judged, "r"),
    ("ask the customer", judged, "<Enter>"),
    (
        "judged again",
        judged,
        "<Enter>e1<Enter>2<Enter>misread<Enter>",
    ),
    ("repair form", agreed, "<Enter>clamp<Enter>"),
    ("retest", agreed, "<Enter>clamp<Enter>1<Enter>"),
    ("second test", agreed, "<Enter>clamp<Enter>1<Enter><Enter>1"),
    ("led on", places, "3<Enter><Enter><Enter><Enter>"),
    (
        "ended",
        Bench::at_hold,
        "40<Enter>40<Enter><Enter><Enter><Enter><Enter><Enter>",
    ),
    ("handed over", opened, "<C-e>fine<Enter>"),
    ("paper", opened, "<C-e>fine<Enter>p"),
    ("settings", Bench::new, "s"),
    ("plain text", judged, "<C-p>"),
    ("exercises", practice::board, "p"),
    ("judged otherwise", super::evidence::judged_otherwise, ""),
    ("exercise", practice::reading, ""),
    ("debrief", practice::ended, ""),
    ("exercises that ended", practice::ended, "<Esc><F12>"),
    ("who has practised", practice::ended, "<Esc><F12>w"),
];

/// Forms, lists, dialogs and texts that lie over these screens.
const OVER: [Way; 28] = [
    ("note", judged, "n"),
    ("remark", judged, "k"),
    ("skip", judged, "<F7>"),
    ("could not tell", Bench::at_hold, "<F2>"),
    ("correct a reading", judged, "e1<Enter>"),
    ("correct a fact", judged, "e6<Enter>"),
    ("why another outcome", judged, "o2<Enter>"),
    ("who agrees", judged, "<Enter>1<Enter>"),
    ("who declines", judged, "<Enter>2<Enter>"),
    ("declined", judged, "<Enter>2<Enter>Ms Finch<Enter>"),
    ("what comes off before the car goes", judged, "<C-e>"),
    ("what the customer is told", opened, "<C-e>"),
    ("open again", opened, "<C-e>fine<Enter>3<Enter>"),
    ("complaint", judged, "<C-a>"),
    ("more at a hold that runs", super::hold::running, "<F9>"),
    ("help of a form", judged, "n<F1>"),
    ("help of a list", judged, "m<F1>"),
    ("help of the evidence", weighed, "x<F1>"),
    ("take down first", taken_down, ""),
    ("hands", practice::reading, "<C-y>"),
    ("openings by hand", practice::reading, "<C-y>2<Enter>"),
    ("supply by hand", practice::reading, "<C-y>4<Enter>"),
    ("levels", practice::board, "pn1<Enter>"),
    ("end the exercise", practice::reading, "<C-e>"),
    ("more in an exercise", practice::reading, "<F9>"),
    (
        "places to cover by hand",
        practice::reading,
        "<C-y>6<Enter>",
    ),
    ("gauges by hand", practice::reading, "<C-y>12<Enter>"),
    ("who works", judged, "i"),
];

fn taken_down() -> Bench {
    super::evidence::to_be_taken_down()
}

/// Benches on all kinds of screen, with their names.
fn everywhere() -> impl Iterator<Item = (&'static str, Bench)> {
    names().map(|name| (name, shown(name)))
}

fn opened() -> Bench {
    let mut b = Bench::new();
    b.new_job();
    b
}

fn places() -> Bench {
    let mut b = Bench::at_hold();
    b.keys("40<Enter>39<Enter>");
    b
}

fn judged() -> Bench {
    let mut b = Bench::at_hold();
    b.joint();
    b
}

/// As [`judged`], with the evidence worked out.
fn weighed() -> Bench {
    let mut b = judged().weighing();
    b.keys("<C-l>");
    b
}

fn agreed() -> Bench {
    let mut b = judged();
    b.keys("<Enter>1<Enter>Ms Finch<Enter>");
    b
}

/// A bench on one kind of screen.
pub fn screen(name: &str) -> Bench {
    let mut all = SCREENS.into_iter().chain(OVER);
    let (_, from, keys) = all.find(|(known, ..)| *known == name).unwrap();
    let mut bench = from();
    bench.keys(keys);
    bench
}

/// A bench that shows one kind of screen, for tests that only look at it: its jobs are in no store. It is walked to
/// once for all tests.
pub fn shown(name: &str) -> Bench {
    static WALKED: [OnceLock<Mutex<Model>>; SCREENS.len() + OVER.len()] =
        [const { OnceLock::new() }; SCREENS.len() + OVER.len()];
    let at = names().position(|known| known == name).unwrap();
    let model = WALKED[at].get_or_init(|| Mutex::new(screen(name).driver.model));
    Bench::showing(model.lock().unwrap().clone())
}

/// The names of all kinds of screen.
pub fn names() -> impl Iterator<Item = &'static str> {
    SCREENS.into_iter().chain(OVER).map(|(name, ..)| name)
}

#[test]
fn the_list_of_screens_is_what_it_says() {
    let marks = [
        ("choice of a flow", "Which test answers this?"),
        ("caution", "CAUTION: Smoke into the intake"),
        ("stop", "STOP: a limit was passed"),
        ("pairs", "50 kPa = 2 V"),
        ("words", "What else did you see?"),
        ("judged", "The readings say:"),
        ("judged again", "no longer says"),
        ("retest", "the whole test again from the start"),
        ("second test", "before the repair: 18 %"),
        ("led on", "This leads on to"),
        ("ended", "Ruled out:"),
        ("handed over", "Handed over."),
    ];
    for (name, text) in marks {
        shown(name).sees(text);
    }
}

/// Whether an act changes anything that can be seen, or has an effect outside.
fn does_something(model: &Model, message: Message) -> bool {
    let mut after = model.clone();
    after.notice = None;
    let effects = update(&mut after, model.now, message);
    let state = |m: &Model| {
        let open = m.open.as_ref();
        let open = open.map(|o| {
            format!(
                "{:?} {:?} {:?} {} {}",
                o.entry, o.again, o.at, o.scroll, o.brief
            )
        });
        format!("{:?} {:?} {open:?} {:?}", m.overs, m.screen, m.board)
    };
    let before = Model {
        notice: None,
        ..model.clone()
    };
    state(&after) != state(&before) || after.notice.is_some() || !effects.is_empty()
}

#[test]
fn the_other_screens_are_what_they_say() {
    let marks = [
        ("note", "Note"),
        ("skip", "Skip"),
        ("could not tell", "Why"),
        ("correct a reading", "New value"),
        ("correct a fact", "Correct a fact about the vehicle"),
        ("why another outcome", "Why"),
        ("who agrees", "Who, and how"),
        ("who declines", "Who, and why"),
        ("declined", "Declined by"),
        ("what comes off before the car goes", "Before the car goes"),
        ("what the customer is told", "Customer is told"),
        ("open again", "Why"),
        ("complaint", "Complaint"),
        ("more at a hold that runs", "What can be done here"),
        ("help of a form", "Help"),
        ("take down first", "Take down first"),
        ("hands", "Your hands"),
        ("openings by hand", "Close or open by hand"),
        ("supply by hand", "Gas"),
        ("levels", "At which level?"),
        ("end the exercise", "End the exercise?"),
        ("more in an exercise", "What can be done here"),
        ("places to cover by hand", "Cover"),
        ("gauges by hand", "gauge"),
        ("who works", "Who"),
    ];
    for (name, text) in marks {
        shown(name).sees(text);
    }
}

/// Acts that only move the cursor or the text: at an end there is nowhere to go.
fn only_moves(act: Act) -> bool {
    matches!(
        act,
        Act::Up | Act::Down | Act::PageUp | Act::PageDown | Act::First | Act::Last
    )
}

#[test]
fn no_key_that_counts_on_a_screen_does_nothing() {
    let mut idle = Vec::new();
    for (name, bench) in everywhere() {
        let model = &bench.driver.model;
        for row in keys::available(model).filter(|row| !only_moves(row.act)) {
            if !does_something(model, Message::Do(row.act_in(model))) {
                idle.push(format!("{:?} on {name}", row.act));
            }
        }
    }
    assert_eq!(idle, [""; 0]);
}

#[test]
fn every_item_of_every_list_does_something() {
    for (name, bench) in everywhere() {
        let model = &bench.driver.model;
        let Some(Over::List { kind, .. }) = model.overs.last() else {
            continue;
        };
        let (kind, items) = (*kind, crate::tui::model::items(model, *kind));
        assert!(!items.is_empty(), "nothing to pick on {name}");
        for (n, item) in items.iter().enumerate() {
            let mut picked = model.clone();
            if let Some(Over::List { at, .. }) = picked.overs.last_mut() {
                *at = Some(n);
            }
            let done = does_something(&picked, Message::Do(Act::Accept));
            assert!(done, "{} of {kind:?} does nothing on {name}", item.label);
        }
    }
}

#[test]
fn help_names_every_key_of_the_screen_below_it() {
    for (name, mut bench) in everywhere() {
        let context = bench.driver.model.context();
        if !keys::rows(context).any(|row| row.act == Act::Help) {
            continue;
        }
        bench.resize(120, 60).keys("<F1>");
        let help = bench.words();
        let has = |text: &str| assert!(help.contains(&words(text)), "`{text}`, {name}:\n{help}");
        // Beside a real car the keys of exercises are not spoken of.
        let practice = bench.driver.model.practice;
        let told = |row: &&keys::Row| practice || !keys::is_of_exercises(row.act);
        for row in keys::rows(context).filter(told) {
            for key in row.keys_in(context) {
                has(&keys::name(key));
            }
            has(row.help_in(&bench.driver.model));
        }
        has("Help");
    }
}

#[test]
fn every_act_of_the_list_of_more_closes_the_list() {
    let bench = shown("judged");
    let items = crate::tui::model::items(&bench.driver.model, crate::tui::model::ListKind::More);
    assert!(items.len() > 8, "{items:?}");
    for n in 0..items.len() {
        let mut bench = screen("more");
        for _ in 0..n {
            bench.keys("<Down>");
        }
        bench.keys("<Enter>").sees_not("What can be done here");
    }
}

/// What a bench shows and does, as far as a test can see it: what lies over it, what is entered, what is recorded.
fn seen(b: &Bench) -> String {
    let m = &b.driver.model;
    let open = m
        .open
        .as_ref()
        .map(|o| format!("{:?} {:?} {:?} {}", o.entry, o.at, o.again, o.events.len()));
    format!(
        "{:?} {:?} {open:?} {:?} {:?} {:?}",
        m.overs, m.screen, m.board, m.notice, b.left
    )
}

#[test]
fn every_key_that_the_list_of_more_shows_does_there_what_the_list_says() {
    for name in [
        "judged",
        "value",
        "hold",
        "places",
        "choice of a flow",
        "ask the customer",
    ] {
        let model = shown(name).driver.model;
        let context = model.context();
        let listed: Vec<Act> = crate::tui::model::items(&model, crate::tui::model::ListKind::More)
            .into_iter()
            .map(|item| match item.then {
                crate::tui::model::Then::Do(act) => act,
                other => panic!("{other:?}"),
            })
            .collect();
        // What counts in the list itself, such as its help, is about the list.
        let own = |act: &Act| keys::rows(keys::Context::List).any(|row| row.act == *act);
        for act in listed.into_iter().filter(|act| !own(act)) {
            let rows = keys::rows(context).filter(|row| row.act == act);
            let presses: Vec<Press> = rows.flat_map(|row| row.keys_in(context)).collect();
            for press in presses {
                let mut below = screen(name);
                below.input(Input::Key(press));
                let mut within = screen(name);
                within.keys("<F9>").input(Input::Key(press));
                within.sees_not("What can be done here");
                let name_of = keys::name(press);
                assert_eq!(seen(&within), seen(&below), "{name_of} on {name}");
            }
        }
    }
}

#[test]
fn a_question_mark_explains_an_empty_field_and_is_typed_into_a_full_one() {
    let mut b = Bench::new();
    b.keys("n?")
        .sees("Help")
        .keys("<Esc>")
        .typed("T?")
        .sees("[T?");
}

/// The table of the README, made from the table of keys.
fn table() -> String {
    let mut out = "| key | action | what it does |\n| --- | --- | --- |\n".to_owned();
    let mut seen = Vec::new();
    for row in keys::all() {
        let names: Vec<String> = row.keys.iter().copied().map(keys::name).collect();
        let line = format!(
            "| {} | {} | {} |\n",
            names.join(", "),
            keys::own::act_name(row.act),
            row.help
        );
        if !seen.contains(&(row.act, row.help)) {
            seen.push((row.act, row.help));
            out.push_str(&line);
        }
    }
    out
}

#[test]
fn the_readme_has_the_table_of_keys() {
    const FROM: &str = "<!-- keys: made from the table, see DEVELOPERS.md -->\n";
    const TO: &str = "<!-- end of keys -->\n";
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/README.md");
    let readme = std::fs::read_to_string(path).unwrap();
    let (before, rest) = readme.split_once(FROM).unwrap();
    let (now, after) = rest.split_once(TO).unwrap();
    if std::env::var_os("RULEOUT_WRITE_README").is_some() {
        let text = format!("{before}{FROM}{}{TO}{after}", table());
        std::fs::write(path, text).unwrap();
    } else {
        assert_eq!(now, table(), "RULEOUT_WRITE_README=1 writes it anew");
    }
}

#[test]
fn no_action_is_without_a_screen_on_which_its_key_counts() {
    let mut missing: Vec<Act> = keys::all().map(|row| row.act).collect();
    for name in names() {
        let bench = shown(name);
        let model = &bench.driver.model;
        let now: Vec<Act> = keys::available(model).map(|row| row.act).collect();
        missing.retain(|act| !now.contains(act));
    }
    // These need another window, a flow that reads files, another job or the first start; tests of
    // their own bring them about.
    let elsewhere = [
        Act::TryAgain,
        Act::TakeOver,
        Act::ReadFile,
        Act::NextPlace,
        Act::Columns,
        Act::NextJob,
        Act::Demo,
    ];
    missing.retain(|act| !elsewhere.contains(act));
    assert_eq!(missing, []);
}
