//! The walk in lines: the same job as by keys, event for event; what is said; what is refused.

use super::bench::{Bench, shelf};
use crate::engine::event::What;
use crate::job::sqlite::SqliteStore;
use crate::tui::plain::session::{Said, Session};

/// Lines on a bench, with everything that is said.
struct Lines {
    session: Session,
    text: String,
    last: Said,
}

impl Lines {
    fn new() -> Self {
        let bench = Bench::with(SqliteStore::in_memory().unwrap(), shelf());
        let (session, said) = Session::begin(bench.driver, None);
        let mut lines = Self {
            session,
            text: String::new(),
            last: Said::default(),
        };
        lines.heard(said);
        lines
    }

    fn heard(&mut self, said: Said) {
        for line in &said.lines {
            self.text.push_str(line);
            self.text.push('\n');
        }
        self.text.push_str(&said.prompt);
        self.last = said;
    }

    fn types(&mut self, lines: &[&str]) -> &mut Self {
        for line in lines {
            self.text.push_str(line);
            self.text.push('\n');
            let said = self.session.line(line);
            self.heard(said);
        }
        self
    }

    /// What the last line was answered with.
    fn hears(&mut self, text: &str) -> &mut Self {
        let said = self.last.lines.join("\n");
        assert!(said.contains(text), "`{text}` was not said:\n{said}");
        self
    }

    fn record(&self) -> Vec<What> {
        let open = self.session.model().open.as_ref().unwrap();
        open.events.iter().map(|event| event.what.clone()).collect()
    }

    /// As [`Bench::at_first_question`].
    fn at_first_question() -> Self {
        let mut lines = Self::new();
        lines
            .types(STAGES[0].1)
            .types(STAGES[1].1)
            .types(STAGES[2].1);
        lines
    }

    /// As [`Bench::at_hold`].
    fn at_hold() -> Self {
        let mut lines = Self::at_first_question();
        lines.types(&[
            "1",
            "140",
            "eye protection",
            "18",
            "",
            "",
            "smoke into the intake",
        ]);
        lines
    }
}

/// A whole job, by keys and by lines.
const STAGES: &[(&str, &[&str])] = &[
    (
        "nXK 42 TRY<Tab>Corvid 1.8, 2014<Tab><Tab>120400 km<Tab>idles rough when cold<Tab>2<Tab>p0171<Tab>2<Enter><Enter>",
        &[
            "new job",
            "XK 42 TRY",
            "Corvid 1.8, 2014",
            "",
            "120400 km",
            "idles rough when cold",
            "2",
            "p0171",
            "2",
            "",
        ],
    ),
    ("<Enter><F6>", &["", "/save"]),
    ("2<Enter>", &["2"]),
    ("2<Enter>", &["manifold pressure"]),
    // Above its plausible range, and confirmed.
    ("400<Enter><Enter>", &["400", ""]),
    ("1", &["Eye protection"]),
    ("18<Enter>", &["18 %"]),
    ("<Enter>", &[""]),
    ("<Left><Right>", &["step back", "step forward"]),
    ("<Enter>", &[""]),
    ("1", &["smoke into the intake"]),
    // Above the limit: everything stops until the pressure is let down.
    ("150<Enter>1<Enter>", &["150", "1"]),
    // Too low to judge, which turns out to be misread.
    ("15<Enter>", &["15"]),
    (
        "e1<Enter>40<Enter>misread the scale<Enter>",
        &["correct", "1", "40", "misread the scale"],
    ),
    (
        "<F2>the glass is dirty<Enter>",
        &["/could not tell the glass is dirty"],
    ),
    (
        "11aair box<Enter>3<Enter><Enter>",
        &["1 steady", "another place", "air box", "3", "", ""],
    ),
    (
        "50 = 2.05<Enter>60=3<Enter><Back><C-u>60 = 2.4<Enter><Enter>",
        &["50 = 2.05", "60=3", "take back", "60 = 2.4", ""],
    ),
    ("a slow hiss<Enter>", &["a slow hiss"]),
    ("w<Esc>", &["why"]),
    (
        "o2<Enter>the joint was wet from outside<Enter>",
        &["/other outcome 2", "the joint was wet from outside"],
    ),
    (
        "1<Enter>Ms Finch, by telephone<Enter>",
        &["1", "Ms Finch, by telephone"],
    ),
    (
        "<Enter>new cooler<Enter>1<Enter>",
        &["", "new cooler", "bad"],
    ),
    ("<Enter>1", &["", "eye protection"]),
    (
        "2<Enter><Enter><Enter>1",
        &["2", "", "", "smoke into the intake"],
    ),
    (
        "<F3>air box<Enter>lid cracked<Enter>",
        &["/note a finding air box", "lid cracked"],
    ),
    (
        "<C-k>lift 3 is broken<Enter>",
        &["/remark lift 3 is broken"],
    ),
    (
        "<F7>2<Enter>the gauge is lent out<Enter>",
        &["skip the step", "2", "the gauge is lent out"],
    ),
    ("<Enter>", &[""]),
    ("<C-f>1<Enter>", &["other flow", "1"]),
    ("<Enter>", &[""]),
    (
        "10 = 1<Enter>20 = 1.5<Enter><Enter>",
        &["10 = 1", "20 = 1.5", ""],
    ),
    ("1<Enter>", &["steady"]),
    ("<Enter>", &[""]),
    (
        "1<Enter>1<Enter>2<Enter>3<Enter>the sensor is good<Enter>",
        &["1", "1", "2", "3", "the sensor is good"],
    ),
    (
        "3<Enter>the car came back<Enter>",
        &["3", "the car came back"],
    ),
];

#[test]
fn a_whole_job_in_lines_is_the_same_job_event_for_event() {
    let mut keys = Bench::new();
    let mut lines = Lines::new();
    for (n, (pressed, typed)) in STAGES.iter().enumerate() {
        keys.keys(pressed);
        lines.types(typed);
        assert_eq!(
            lines.record(),
            keys.record(),
            "stage {n}: {typed:?}\n{}",
            lines.text
        );
        assert_eq!(lines.last.refused, None, "stage {n}: {typed:?}");
    }
    let kinds = lines.record();
    let kinds: std::collections::BTreeSet<_> = kinds
        .iter()
        .map(std::mem::discriminant)
        .map(|d| format!("{d:?}"))
        .collect();
    assert!(kinds.len() > 18, "only {} kinds of events", kinds.len());
    insta::assert_snapshot!("plain-whole-job", lines.text);
}

#[test]
fn a_caution_is_accepted_by_its_own_name_alone() {
    let mut l = Lines::at_first_question();
    l.types(&["1", "140"])
        .hears("type its name: eye protection");
    for wrong in ["", "1", "yes", "smoke into the intake"] {
        l.types(&[wrong])
            .hears("Each caution is accepted by its own name.");
        assert!(l.last.refused.is_some());
    }
    l.types(&["eye protection"])
        .hears("Step 1 of 3: The complaint in numbers, about 3 min");
}

#[test]
fn the_names_of_cautions_differ() {
    let mut names: Vec<String> = crate::flow::cautions::all()
        .iter()
        .map(|caution| caution.title.to_lowercase())
        .collect();
    let count = names.len();
    names.sort();
    names.dedup();
    assert_eq!(names.len(), count);
}

#[test]
fn what_is_not_understood_says_how_to_write_it_and_records_nothing() {
    let mut l = Lines::at_hold();
    let before = l.record();
    l.types(&["twelve"]).hears("write a number, in kPa");
    l.types(&["/fly"]).hears("is no command here");
    // Nothing of what was refused is kept for Enter alone.
    l.types(&[""]).hears("type an answer first");
    assert!(l.last.refused.is_some());
    assert_eq!(l.record(), before);
    l.types(&["40", "38", "9 heavy"])
        .hears("there is no place 9");
    l.types(&["1"]).hears("such as 2 heavy");
    l.types(&["1 heavy", "1 nothing"])
        .hears("Nothing is marked.");
    // That nothing shows is asked once more, which is no refusal.
    l.types(&[""])
        .hears("Enter once more if you looked everywhere");
    assert_eq!(l.last.refused, None);
    l.types(&[""]).hears("Pressure and signal");
}

#[test]
fn an_unusual_correction_is_kept_by_enter_alone() {
    let mut l = Lines::at_hold();
    l.types(&["40", "correct", "1", "3", "misread"])
        .hears("Enter once more keeps it");
    assert_eq!(l.last.refused, None);
    l.types(&["", ""]).hears("Corrected");
    assert!(matches!(
        l.record().last(),
        Some(What::ReadingCorrected { .. })
    ));
}

#[test]
fn a_form_that_was_closed_does_not_say_the_step_again() {
    let mut l = Lines::at_hold();
    l.types(&["/remark lift 3 is broken"])
        .hears("The remark is in the record.");
    let said = l.last.lines.join("\n");
    assert!(!said.contains("Bring it up slowly"), "{said}");
    assert_eq!(l.last.prompt, "kPa> ");
    l.types(&["again"])
        .hears("Bring it up slowly")
        .hears("A clock of 60 s begins as the gauge is read here");
    l.types(&["40", "again"]).hears("60 s left of 60 s");
}

#[test]
fn words_typed_as_an_answer_are_no_command() {
    let mut l = Lines::at_hold();
    l.types(&["40", "38", "1 wisp", "", "", "", "back"]);
    assert!(
        matches!(l.record().last(), Some(What::ReadingTaken { reading, .. }) if reading == "remark")
    );
    let mut l = Lines::at_hold();
    l.types(&["40", "38", "1 wisp", "", "", "", "/back"])
        .hears("Pressure and signal");
}

#[test]
fn help_and_the_record_are_said_and_the_walk_goes_on() {
    let mut l = Lines::at_hold();
    l.types(&["help"])
        .hears("could not tell: ")
        .hears("leave: ");
    l.types(&["record"]).hears("Record:").hears("trim");
    l.types(&["?"])
        .hears("A bare number is taken in the unit shown");
    l.types(&["40"]).hears("Gauge after the hold");
}

#[test]
fn jobs_are_found_and_opened_by_number() {
    let mut l = Lines::at_hold();
    l.types(&["all jobs"])
        .hears("Open jobs: 1")
        .hears("1. Job 1, XK 42 TRY");
    l.types(&["/search whistle", "nothing like it"])
        .hears("No job has all of these words");
    l.types(&["xk idles"]).hears("Jobs with `xk idles`: 1");
    l.types(&["1"])
        .hears("--- Job 1")
        .hears("Gauge before the supply is shut");
    l.types(&["all jobs", "/back", "2"])
        .hears("there is no 2 here");
    l.types(&["leave"]);
    assert!(l.last.left);
}

#[test]
fn a_file_is_named_by_its_path() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures/logs");
    let file = folder.join("idle-and-2500-comma.csv");
    let bench = Bench::at_warm_idle();
    let (session, said) = Session::begin(bench.driver, None);
    let mut l = Lines {
        session,
        text: String::new(),
        last: said,
    };
    l.types(&["read a file"])
        .hears("Fill readings from a log or a capture");
    l.types(&[&folder.join("gone.csv").display().to_string()])
        .hears("there is no file");
    l.types(&[&folder.display().to_string()]).hears("1. ../");
    l.types(&[&file.display().to_string()])
        .hears("A log of 270 rows")
        .hears("Enter fills in");
    l.types(&[""]).hears("Filled from idle-and-2500-comma.csv");
}

#[test]
fn a_page_that_was_read_out_is_left_without_a_step_back() {
    let mut lines = Lines::at_hold();
    let before = lines.record().len();
    lines.types(&["evidence"]);
    assert!(!lines.text.contains("Tab turns"), "{}", lines.text);
    lines
        .types(&["back"])
        .hears("The page is closed; the job stands where it stood");
    assert_eq!(lines.record().len(), before);
    lines.types(&["back", "back", "back"]);
    assert!(lines.record().len() > before);
}
