//! How a job stands: the answer in a few words, for the workshop and for the customer.

use super::case::{Case, Walked};
use super::codes_back;
use super::page::{Block, Section, Tone};
use super::road;
use super::text::{named, stopped};
use super::unmended::{self, Named};
use crate::engine::event::{PartWas, Verdict};
use crate::engine::job::{Job, Proof, Rejudged, Repair, Station};

/// How a job stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Standing {
    /// No flow was begun.
    NothingTested,
    /// A repair was declined, of a cause that was named so; what else was repaired.
    Declined(Named, Vec<String>, Vec<String>),
    /// Repaired, and no test was repeated from the start after it.
    NoRetest(Vec<String>),
    /// Repaired, and the test after it was not walked to its end.
    RetestLeft(Vec<String>),
    /// Found, repaired and proved; with the steps that found it and were not walked again.
    Proved(Vec<String>, Vec<String>),
    /// Found, repaired and passed in the workshop; whether the complaint stays away on the road is still to be tried. With
    /// the steps that found it and were not walked again.
    ProvedInBay(Vec<String>, Vec<String>),
    /// Repaired, and the test after it passed; but every part taken out looked good, so what caused it is not known.
    PartsWereGood(Vec<String>),
    /// The complaint did not show any more, and nothing was repaired.
    Gone,
    /// What was tested was ruled out.
    NotFound(Vec<String>),
    /// Repaired; the test after it found nothing more, and proved nothing.
    NothingMore(Vec<String>),
    /// Repaired; the test after it found nothing more, and trouble codes came back in it.
    CodesCameBack(Vec<String>),
    /// It had come to an end, was taken up again for this reason, and no test has ended since.
    TakenUp(String),
    /// Repaired, and the test after it led on to another: the complaint has a cause besides.
    NotCured(Vec<String>, Option<String>),
    /// Another test is due.
    LedOn(Option<String>),
    /// The test was left before its end.
    Left,
    /// So was the last test, after others that ended.
    LastLeft,
    /// A cause was named, how, and the customer's answer to its repair is awaited; what was repaired before.
    Awaits(Named, Vec<String>, Vec<String>),
    /// The test is under way.
    UnderWay,
}

impl Standing {
    /// How a job stands.
    pub fn of(job: &Job) -> Self {
        let standing = Self::by_tests(job);
        match (taken_up(job), standing.tone()) {
            (Some(why), Tone::Proved | Tone::Plain) => Self::TakenUp(why.to_owned()),
            _ => standing,
        }
    }

    /// How it stands by its tests, whatever was said after them.
    fn by_tests(job: &Job) -> Self {
        let all = |which: fn(&Repair) -> bool| -> Vec<String> {
            let which = job.repairs.iter().filter(|r| which(r));
            which.map(|r| named(&r.cause, &r.name)).collect()
        };
        let done = all(|r| r.done.is_some());
        let Some(run) = job.runs.last() else {
            return Self::NothingTested;
        };
        if let [first, ..] = unmended::waiting(job)[..] {
            let waiting = unmended::waiting(job);
            let names = waiting.iter().map(|c| named(&c.id, &c.name)).collect();
            return Self::Awaits(Named::of(job, first), names, done);
        }
        if let Some((how, declined)) = declined(job) {
            return Self::Declined(how, declined, done);
        }
        match (run.verdict, done.is_empty()) {
            (Some(Verdict::Proved | Verdict::LedOn), false) if job.repaired_in_this_test() => {
                Self::NoRetest(done)
            }
            (Some(Verdict::Proved), false) if job.proof(run) == Proof::NotTheCause => {
                Self::PartsWereGood(done)
            }
            (Some(Verdict::Proved), false) if road::is_to_be_driven(job) => {
                Self::ProvedInBay(all(was_not_good), not_again(job))
            }
            (Some(Verdict::Proved), false) => Self::Proved(all(was_not_good), not_again(job)),
            (Some(Verdict::Proved), true) => Self::Gone,
            (Some(Verdict::RuledOut), true) => Self::NotFound(titles(job)),
            (Some(Verdict::RuledOut), false) if codes_back::at_last(job) => {
                Self::CodesCameBack(done)
            }
            (Some(Verdict::RuledOut), false) => Self::NothingMore(done),
            (Some(Verdict::LedOn), false) => Self::NotCured(done, led_on(job)),
            (Some(Verdict::LedOn), true) => Self::LedOn(led_on(job)),
            (Some(Verdict::Left), true) if ended_before(job) => Self::LastLeft,
            (Some(Verdict::Left), true) => Self::Left,
            (Some(Verdict::Left) | None, false) => Self::RetestLeft(done),
            (None, true) => Self::UnderWay,
        }
    }

    /// Found, repaired and proved, or something less.
    pub fn tone(&self) -> Tone {
        match self {
            Self::Proved(..) => Tone::Proved,
            Self::ProvedInBay(..)
            | Self::PartsWereGood(_)
            | Self::Gone
            | Self::NotFound(_)
            | Self::NothingMore(_) => Tone::Plain,
            _ => Tone::Open,
        }
    }

    /// Whether a test repeated from the start after the repair has passed.
    pub fn passed(&self) -> bool {
        matches!(self, Self::Proved(..) | Self::ProvedInBay(..))
    }

    /// The word for it in the JSON form.
    pub fn word(&self) -> &'static str {
        match self {
            Self::NothingTested => "nothing-tested",
            Self::Declined(..) => "declined",
            Self::NoRetest(_) | Self::RetestLeft(_) => "repaired-not-proved",
            Self::Proved(..) => "proved",
            Self::ProvedInBay(..) => "proved-in-the-workshop",
            Self::NotCured(..) => "repaired-not-cured",
            Self::PartsWereGood(_) => "passed-cause-not-proved",
            Self::Gone => "complaint-gone",
            Self::NotFound(_) => "not-found",
            Self::NothingMore(_) => "repaired-nothing-more-found",
            Self::CodesCameBack(_) => "repaired-codes-came-back",
            Self::TakenUp(_) => "taken-up-again",
            Self::LedOn(_) => "next-test-due",
            Self::Left | Self::LastLeft => "left",
            Self::Awaits(..) => "answer-awaited",
            Self::UnderWay => "under-way",
        }
    }

    /// In the workshop's words: the answer, and what goes with it.
    pub fn words(&self) -> (String, String) {
        let names = |names: &[String]| names.join("; ");
        let (words, more) = match self {
            Self::NothingTested => ("Nothing was tested yet".to_owned(), String::new()),
            Self::Declined(how, all, done) => declined_words(*how, all, done),
            Self::NoRetest(all) => (
                format!("Repaired, but not proved: {}", names(all)),
                "The test was not repeated from the start after the repair.".to_owned(),
            ),
            Self::RetestLeft(all) => (
                format!("Repaired, but not proved: {}", names(all)),
                "The test after the repair was not walked to its end.".to_owned(),
            ),
            Self::Proved(all, not_again) => (
                format!("Found, repaired and proved: {}", names(all)),
                format!("{}.", passed(not_again)),
            ),
            Self::ProvedInBay(all, not_again) => (
                format!("Found, repaired, and passed in the workshop: {}", names(all)),
                format!("{}; the drive on the road is still to come.", passed(not_again)),
            ),
            Self::PartsWereGood(all) => (
                format!("Repaired, and the test passed; the cause is not proved: {}", names(all)),
                "What was taken out looked good. Something moved, cleaned or refitted along with it may have cured it, or \
                 the complaint may come back."
                    .to_owned(),
            ),
            Self::Gone => (
                "The complaint did not show any more".to_owned(),
                "Nothing was repaired in this job.".to_owned(),
            ),
            Self::NotFound(all) => (
                "Not found here".to_owned(),
                format!(
                    "Tested: {}. What was ruled out stands below. The complaint has another cause, \
                     or one that did not show while it was tested.",
                    names(all)
                ),
            ),
            Self::NothingMore(all) => (
                format!("Repaired: {}", names(all)),
                "The test that followed found nothing more; that the complaint is cured was not \
                 shown by it."
                    .to_owned(),
            ),
            Self::CodesCameBack(all) => (
                format!("Repaired, and codes came back: {}", names(all)),
                "The test that followed found nothing more, but trouble codes came back in it: the complaint is not cured, or \
                 it has another cause besides."
                    .to_owned(),
            ),
            Self::TakenUp(why) => (
                "Taken up again: what was shown before is open".to_owned(),
                format!("Taken up because: {}", stopped(why)),
            ),
            Self::NotCured(all, next) => (
                format!("Repaired, and not cured by it: {}", names(all)),
                format!(
                    "The test repeated after the repair did not pass.{}",
                    leads_on(next.as_ref(), " It leads on to")
                ),
            ),
            Self::LedOn(next) => (
                "The next test is due".to_owned(),
                leads_on(next.as_ref(), "It leads on to"),
            ),
            Self::Left => (
                "The test was left before its end".to_owned(),
                "It has no result.".to_owned(),
            ),
            Self::LastLeft => (
                "The last test was left before its end".to_owned(),
                "It has no result; what the tests before it came to stands below.".to_owned(),
            ),
            Self::Awaits(how, all, done) => (
                format!("{}, and the customer's answer is awaited: {}", how.words(), names(all)),
                format!("Nothing is repaired before that.{}", repaired_before(done)),
            ),
            Self::UnderWay => ("The test is not finished".to_owned(), String::new()),
        };
        (words, more)
    }

    /// In words for the car's owner.
    pub fn plainly(&self) -> (String, String) {
        let (words, more) = match self {
            Self::NothingTested => (
                "Your car has not been tested yet",
                "There is nothing to report so far.".to_owned(),
            ),
            Self::Declined(how, all, done) => declined_plainly(*how, all, done),
            Self::NoRetest(all) | Self::RetestLeft(all) => (
                "Repaired, but we have not proved yet that it is cured",
                format!(
                    "Repaired: {}. The test that would prove it was not repeated from start to end.",
                    all.join("; ")
                ),
            ),
            Self::Proved(all, not_again) => (
                "Found, repaired, and proved by testing again",
                format!("{} {}", causes(all), passed_plainly(not_again)),
            ),
            Self::ProvedInBay(all, not_again) => (
                "Repaired, and passed in the workshop; the drive on the road is still to come",
                format!("{} {}", causes(all), passed_in_bay(not_again)),
            ),
            Self::PartsWereGood(all) => (
                "The trouble did not show after the repair; what caused it is not proved",
                format!(
                    "Repaired: {}. After it the car passed the whole test, but the part that was taken out looked good. \
                     Tell us if the trouble comes back.",
                    all.join("; ")
                ),
            ),
            Self::Gone => (
                "The trouble did not show any more",
                "Nothing was repaired, so it may come back. Tell us when it does.".to_owned(),
            ),
            Self::NotFound(all) => (
                "We did not find the cause in what we tested",
                format!(
                    "Tested: {}. The trouble has another cause, or one that did not show while we \
                     tested. Ask us which test we suggest next.",
                    all.join("; ")
                ),
            ),
            Self::NothingMore(all) => (
                "Repaired; the test that followed found nothing more",
                format!(
                    "Repaired: {}. That the trouble itself is cured was not shown by that test.",
                    all.join("; ")
                ),
            ),
            Self::CodesCameBack(all) => (
                "Repaired, but the car's computer has noticed a fault again",
                format!(
                    "Repaired: {}. The test that followed found no other cause, but trouble codes came back in it: the trouble \
                     is not cured, or it has another cause besides.",
                    all.join("; ")
                ),
            ),
            Self::TakenUp(_) => (
                "We have taken this up again",
                "What an earlier test showed counts no longer until we have tested again."
                    .to_owned(),
            ),
            Self::NotCured(all, next) => (
                "Repaired, but the trouble is not cured yet: another test is needed",
                format!(
                    "Repaired: {}. We began the whole test again after it, and the car did not pass: there is another \
                     cause besides, or it was not this one.{}",
                    all.join("; "),
                    leads_on(next.as_ref(), " Next we would test")
                ),
            ),
            Self::LedOn(next) => (
                "Not finished: another test is needed",
                leads_on(next.as_ref(), "Next we would test"),
            ),
            Self::Left => (
                "The test was stopped before its end",
                "So it has no result.".to_owned(),
            ),
            Self::LastLeft => (
                "The last test was stopped before its end",
                "So that one has no result. What the tests before it showed stands below."
                    .to_owned(),
            ),
            Self::Awaits(how, all, done) => awaits_plainly(*how, all, done),
            Self::UnderWay => (
                "The test is not finished yet",
                "What stands here is what we know so far.".to_owned(),
            ),
        };
        (words.to_owned(), more)
    }
}

/// That the owner's answer to a repair is awaited, in words for the owner.
fn awaits_plainly(how: Named, all: &[String], done: &[String]) -> (&'static str, String) {
    let words = match how {
        Named::Found => "We found something, and need your answer before we repair it",
        _ => "We suspect something, and need your answer before we go on",
    };
    let more = format!(
        "{}: {}. Please tell us whether we may repair it.{}",
        how.words(),
        all.join("; "),
        repaired_before(done)
    );
    (words, more)
}

/// Repairs that were declined, and how their causes were named: found, where one of them was; the others say beside their
/// names that they were not.
fn declined(job: &Job) -> Option<(Named, Vec<String>)> {
    let declined = |repair: &&Repair| repair.done.is_none() && repair.declined.is_some();
    let all: Vec<(Named, String)> = job
        .repairs
        .iter()
        .filter(declined)
        .map(|r| (Named::of_repair(job, r), named(&r.cause, &r.name)))
        .collect();
    let found = all.iter().find(|(how, _)| *how == Named::Found);
    let (how, _) = *found.or(all.first()).as_ref()?;
    let how = *how;
    let beside = |(own, name): &(Named, String)| {
        if *own == how {
            name.clone()
        } else {
            format!("{name} ({})", own.words().to_lowercase())
        }
    };
    Some((how, all.iter().map(beside).collect()))
}

/// That a repair was declined, in the workshop's words.
fn declined_words(how: Named, all: &[String], done: &[String]) -> (String, String) {
    let names = all.join("; ");
    let (words, stays) = match how {
        Named::Found => (
            format!("Found, but not repaired: {names}"),
            "the fault stays",
        ),
        _ => (
            format!("{}, and not repaired: {names}", how.words()),
            NOT_SHOWN,
        ),
    };
    let as_well = repaired_as_well(done);
    let more = format!("The repair was declined, so {stays}.{as_well}");
    (words, more)
}

/// The same for the customer.
fn declined_plainly(how: Named, all: &[String], done: &[String]) -> (&'static str, String) {
    let (words, stays) = match how {
        Named::Found => (
            "We found a fault, and it has not been repaired",
            "the fault is still there",
        ),
        _ => (
            "We suspect a fault, and it has not been repaired",
            NOT_SHOWN,
        ),
    };
    let (how, names, as_well) = (how.words(), all.join("; "), repaired_as_well(done));
    let more = format!("{how}: {names}. The repair was declined, so {stays}.{as_well}");
    (words, more)
}

/// What is known of a cause that nobody has seen and that is not repaired.
const NOT_SHOWN: &str = "whether it is the cause is not shown";

/// The steps that found what was repaired and were not walked again since.
fn not_again(job: &Job) -> Vec<String> {
    job.not_walked_again()
        .into_iter()
        .map(|step| step.title.clone())
        .collect()
}

/// That the test passed after the repair, and no more than was walked of it.
fn passed(not_again: &[String]) -> String {
    if not_again.is_empty() {
        return "After the repair the test was repeated from the start, and it passed".to_owned();
    }
    let titles: Vec<String> = not_again
        .iter()
        .map(|title| format!("\"{title}\""))
        .collect();
    format!(
        "After the repair the test was begun again from the start, and it passed without what had found the cause: {} was not \
         walked again",
        titles.join(", ")
    )
}

/// The same for the customer.
fn passed_plainly(not_again: &[String]) -> String {
    if not_again.is_empty() {
        return "After the repair we repeated the whole test from the start, because one fault can hide another, and the car \
                passed."
            .to_owned();
    }
    format!(
        "After the repair we began the test again from the start, because one fault can hide another, and the car passed. \
         What had found it was not done again: {}",
        stopped(&not_again.join("; "))
    )
}

/// The same where the drive on the road is still to come.
fn passed_in_bay(not_again: &[String]) -> String {
    let how = if not_again.is_empty() {
        "repeated"
    } else {
        "begun again"
    };
    format!(
        "After the repair the car passed the test in the workshop, {how} from the start. Whether the trouble stays away on \
         the road was not tried yet: see below."
    )
}

/// Whether a repair was done and no good part came out of it.
fn was_not_good(repair: &Repair) -> bool {
    repair
        .done
        .as_ref()
        .is_some_and(|(_, part)| *part != PartWas::Good)
}

/// The answer, and what the customer was told, for the workshop.
pub fn section(case: &Case) -> Option<Section> {
    let standing = Standing::of(case.job);
    let (words, more) = standing.words();
    block(case, standing.tone(), words, more, "The result")
}

/// The answer, and what the customer was told, for the customer.
pub fn plainly(case: &Case) -> Option<Section> {
    let standing = Standing::of(case.job);
    let (words, more) = standing.plainly();
    block(case, standing.tone(), words, more, "The result in short")
}

/// " Repaired: this."; nothing where nothing was.
fn repaired_as_well(done: &[String]) -> String {
    match done {
        [] => String::new(),
        done => format!(" Repaired: {}.", done.join("; ")),
    }
}

/// What was repaired before another cause was named: by itself it was not enough.
fn repaired_before(done: &[String]) -> String {
    match done {
        [] => String::new(),
        done => format!(
            " Repaired before: {}; the test after it found more.",
            done.join("; ")
        ),
    }
}

/// "It leads on to: that test."; nothing where it is not known.
fn leads_on(next: Option<&String>, words: &str) -> String {
    next.map_or_else(String::new, |flow| format!("{words}: {flow}."))
}

/// "The cause: this.", or "The causes: this; that."
fn causes(all: &[String]) -> String {
    let word = if all.len() > 1 { "causes" } else { "cause" };
    format!("The {word}: {}.", all.join("; "))
}

/// Steps that would be judged otherwise since something on which they stand was changed. What a test
/// proves rests on that test alone: the ones before it only led there.
fn no_longer_follows(case: &Case) -> Option<String> {
    let proved = Standing::by_tests(case.job).passed();
    let last = case.tests();
    let changed = |w: &Walked| w.visit.rejudged.as_ref().is_some_and(Rejudged::changed);
    let titles: Vec<&str> = case
        .walked()
        .filter(|walked| !proved || walked.visit.test == last)
        .filter(changed)
        .map(|w| w.step.title.as_str())
        .collect();
    (!titles.is_empty()).then(|| {
        format!(
            "This rests on steps that were judged before something was changed, and that would be judged otherwise now: {}.",
            titles.join("; ")
        )
    })
}

fn block(case: &Case, tone: Tone, words: String, more: String, title: &str) -> Option<Section> {
    let note = case.job.handed_over.as_deref().unwrap_or_default();
    let changed = no_longer_follows(case).unwrap_or_default();
    // Of a job it is what is said to the customer; an exercise is only ended with it.
    let note = match note {
        "" => String::new(),
        note if case.is_practice() => stopped(&format!("Exercise ended: {note}")),
        note => stopped(note),
    };
    let repeated = repeated_of_several(case).unwrap_or_default();
    let more = [more, repeated, changed, note];
    let more = more.into_iter().filter(|m| !m.is_empty()).collect();
    Section::of(title, vec![Block::Result { tone, words, more }])
}

/// Which of several tests was repeated after the repair, where not all were: what an earlier one found was not looked at
/// again by it.
fn repeated_of_several(case: &Case) -> Option<String> {
    if !Standing::by_tests(case.job).passed() {
        return None;
    }
    let last = case.tests();
    let again = |title: &String| {
        let mut walked = case.walked();
        walked.any(|w| w.visit.test == last && w.run.flow.title == *title)
    };
    let (repeated, not): (Vec<String>, Vec<String>) = titles(case.job).into_iter().partition(again);
    (!not.is_empty() && !repeated.is_empty()).then(|| {
        format!(
            "Repeated: {}. Not repeated: {}.",
            repeated.join("; "),
            not.join("; ")
        )
    })
}

/// Why a job was taken up again, where no test has ended since.
fn taken_up(job: &Job) -> Option<&str> {
    let (seq, why) = job.reopened.as_ref()?;
    let ended = job.runs.last()?.visit()?.since_seq;
    (ended < *seq).then_some(why)
}

/// Whether a test before the last one came to an end.
fn ended_before(job: &Job) -> bool {
    let before = job.runs.iter().rev().skip(1);
    before
        .filter_map(|run| run.verdict)
        .any(|verdict| verdict != Verdict::Left)
}

fn titles(job: &Job) -> Vec<String> {
    let mut titles: Vec<String> = Vec::new();
    for run in &job.runs {
        if !titles.contains(&run.flow.title) {
            titles.push(run.flow.title.clone());
        }
    }
    titles
}

fn led_on(job: &Job) -> Option<String> {
    match &job.runs.last()?.visit()?.station {
        Station::LedTo(flow) => Some(flow.replace('-', " ")),
        _ => None,
    }
}
