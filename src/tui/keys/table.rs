//! The key table itself: nothing but rows; those of practice and of the evidence stand in files of their own. A digit that picks and a letter that is typed are not
//! rows; [`super::meaning`] gives them their sense.

use super::super::input::{Key, Press};
use super::super::message::Act;
use super::super::model::Model;
use super::{Context, Row};
use Context::{
    Board, Brief, Caution, Choice, Evidence, Field, Files, Judged, List, Pairs, Places, Plain,
    Record, Search, Text, Value, Ways, Words,
};

pub(super) const EVERYWHERE: &[Context] = &Context::ALL;
pub(super) const WALK: &[Context] = &[Ways, Caution, Brief, Value, Choice, Places, Pairs, Judged];
/// Where a step is walked and nothing else waits.
const STEP: &[Context] = &[Brief, Value, Choice, Places, Pairs, Judged];
/// Where an answer is given.
pub(super) const ANSWERS: &[Context] = &[Value, Choice, Places, Pairs];

pub(super) const fn plain(key: Key) -> Press {
    Press::plain(key)
}

pub(super) const fn letter(c: char) -> Press {
    Press::plain(Key::Char(c))
}

pub(super) fn always(_: &Model) -> bool {
    true
}

fn not_stopped(model: &Model) -> bool {
    !model.is_stopped()
}

/// The keys.
pub static TABLE: &[Row] = &[
    Row {
        act: Act::Accept,
        keys: &[plain(Key::Enter)],
        words: "accept",
        help: "accept what is shown, typed or picked",
        contexts: &[
            Files, Board, Search, Field, Words, List, Text, Ways, Brief, Value, Choice, Places,
            Pairs, Judged, Evidence,
        ],
        when: Model::can_accept,
        foot: 1,
    },
    Row {
        act: Act::Back,
        keys: &[plain(Key::Esc)],
        words: "back",
        help: "back: empty the field, the question before, or one station back",
        contexts: &[
            Files, Search, Field, Words, List, Text, Record, Ways, Caution, Brief, Value, Choice,
            Places, Pairs, Judged, Plain, Evidence,
        ],
        when: not_stopped,
        foot: 2,
    },
    Row {
        act: Act::NewJob,
        keys: &[letter('n')],
        words: "new job",
        help: "open a job for a car that has come in",
        contexts: &[Board],
        when: always,
        foot: 2,
    },
    Row {
        act: Act::Search,
        keys: &[letter('/')],
        words: "search",
        help: "search all jobs: plate, complaint, code, cause, any word",
        contexts: &[Board],
        when: always,
        foot: 8,
    },
    Row {
        act: Act::Closed,
        keys: &[letter('a')],
        words: "all jobs",
        help: "show the jobs that were handed over as well, or only the open ones",
        contexts: &[Board],
        when: always,
        foot: 9,
    },
    Row {
        act: Act::Save,
        keys: &[plain(Key::F(6)), Press::ctrl('s')],
        words: "save",
        help: "save the form from whichever field you are in",
        contexts: &[Field, Words],
        when: always,
        foot: 2,
    },
    Row {
        act: Act::Why,
        keys: &[letter('w')],
        words: "why",
        help: "every outcome of the step, when it applies, and what that comes to",
        contexts: &[Judged],
        when: always,
        foot: 3,
    },
    Row {
        act: Act::CouldNotTell,
        keys: &[plain(Key::F(2)), letter('t')],
        words: "could not tell",
        help: "it was tried and cannot be told; the reason is asked for",
        contexts: ANSWERS,
        when: Model::may_stay_untold,
        foot: 3,
    },
    Row {
        act: Act::AddPlace,
        keys: &[letter('a')],
        words: "another place",
        help: "note a place that the list does not have",
        contexts: &[Places],
        when: always,
        foot: 4,
    },
    Row {
        act: Act::Mark,
        keys: &[letter(' ')],
        words: "mark",
        help: "the place under the cursor goes round: wisp, steady, heavy, nothing",
        contexts: &[Places],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Note,
        keys: &[plain(Key::F(3)), letter('n')],
        words: "note a finding",
        help: "note something found that nobody asked for: where, and what",
        contexts: WALK,
        when: Model::job_is_open,
        foot: 7,
    },
    Row {
        act: Act::Correct,
        keys: &[plain(Key::F(4)), letter('e')],
        words: "correct",
        help: "correct an earlier answer; the old one stays in the record",
        contexts: WALK,
        when: Model::job_is_open,
        foot: 5,
    },
    Row {
        act: Act::Record,
        keys: &[plain(Key::F(5)), letter('r')],
        words: "record",
        help: "everything that happened on this job, in order",
        contexts: WALK,
        when: always,
        foot: 8,
    },
    Row {
        act: Act::Other,
        keys: &[plain(Key::F(6)), letter('o')],
        words: "other outcome",
        help: "take another outcome than the suggested one, and say why",
        contexts: STEP,
        when: Model::is_on_step,
        foot: 4,
    },
    Row {
        act: Act::Skip,
        // No letter leaves a step: one typed into a question by mistake must not.
        keys: &[plain(Key::F(7))],
        words: "skip the step",
        help: "leave the step without an outcome, and say why",
        contexts: STEP,
        when: Model::is_on_step,
        foot: 0,
    },
    Row {
        act: Act::ReadFile,
        keys: &[Press::ctrl('r'), letter('l')],
        words: "read a file",
        help: "fill readings from a log of scan data or a capture of a scope",
        contexts: STEP,
        when: Model::can_read_a_file,
        foot: 9,
    },
    Row {
        act: Act::NextPlace,
        keys: &[plain(Key::Tab)],
        words: "next place",
        help: "last folder used, then where downloads land, then the current folder",
        contexts: &[Files],
        when: always,
        foot: 3,
    },
    Row {
        act: Act::Columns,
        keys: &[plain(Key::F(2)), Press::ctrl('k')],
        words: "columns",
        help: "what the columns of the file hold, in which units; kept by a name",
        contexts: &[Files],
        when: always,
        foot: 4,
    },
    Row {
        act: Act::Codes,
        keys: &[plain(Key::F(8)), letter('c')],
        words: "save codes",
        help: "save stored and pending codes, freeze frame and readiness",
        contexts: WALK,
        when: Model::job_is_open,
        foot: 0,
    },
    Row {
        act: Act::Timer,
        keys: &[Press::ctrl('t')],
        words: "restart timer",
        help: "start this step's timer, or begin it again, from now",
        contexts: STEP,
        when: Model::has_timer,
        foot: 6,
    },
    Row {
        act: Act::TimeUp,
        keys: &[Press::ctrl('w')],
        words: "time is up",
        help: "it was timed by another clock, and the time is over now",
        contexts: STEP,
        when: Model::timer_runs,
        foot: 7,
    },
    Row {
        act: Act::Rejudged,
        keys: &[Press::ctrl('g')],
        words: "go there",
        help: "go back to the step whose judgement a correction has changed",
        contexts: WALK,
        when: Model::has_rejudged,
        foot: 3,
    },
    Row {
        act: Act::PathBack,
        keys: &[plain(Key::Left)],
        words: "step back",
        help: "one station back along the way walked; nothing is lost",
        contexts: WALK,
        when: Model::may_go_along,
        foot: 0,
    },
    Row {
        act: Act::PathForward,
        keys: &[plain(Key::Right)],
        words: "step forward",
        help: "one station forward again along the way walked before",
        contexts: WALK,
        when: Model::may_go_along,
        foot: 0,
    },
    Row {
        act: Act::Flows,
        keys: &[Press::ctrl('f'), letter('f')],
        words: "other flow",
        help: "leave this flow and begin another",
        contexts: WALK,
        when: Model::job_is_open,
        foot: 0,
    },
    Row {
        act: Act::Remark,
        keys: &[Press::ctrl('k'), letter('k')],
        words: "remark",
        help: "add a remark to the record",
        contexts: WALK,
        when: Model::may_add,
        foot: 0,
    },
    Row {
        act: Act::HandOver,
        // No single letter ends a job: one typed by mistake must not.
        keys: &[Press::ctrl('e')],
        words: "hand over",
        help: "end the job: the car goes back to the customer",
        contexts: WALK,
        when: Model::job_is_open,
        foot: 0,
    },
    Row {
        act: Act::More,
        keys: &[plain(Key::F(9)), letter('m')],
        words: "more",
        help: "everything that can be done here, numbered",
        contexts: &[
            Board, Ways, Caution, Brief, Value, Choice, Places, Pairs, Judged,
        ],
        when: not_stopped,
        foot: 10,
    },
    Row {
        act: Act::Who,
        keys: &[letter('i')],
        words: "who works",
        help: "say who is at the keys: what is done is recorded under that name",
        contexts: &[Board, Ways, Caution, Brief, Choice, Judged],
        when: Model::may_say_who,
        foot: 0,
    },
    Row {
        act: Act::Board,
        keys: &[plain(Key::F(12)), Press::ctrl('b')],
        words: "all jobs",
        help: "to the board of jobs; this one stays where it is",
        contexts: &[
            Ways, Caution, Brief, Value, Choice, Places, Pairs, Judged, Record,
        ],
        when: always,
        foot: 0,
    },
    Row {
        act: Act::Demo,
        keys: &[letter('d')],
        words: "demo jobs",
        help: "look at invented jobs, in a store that is thrown away",
        contexts: &[Board],
        when: Model::may_show_demo,
        foot: 4,
    },
    Row {
        act: Act::NextJob,
        keys: &[plain(Key::F(11)), Press::ctrl('v')],
        words: "next job",
        help: "to the next open job in the board's order; this one stays where it is",
        contexts: WALK,
        when: Model::has_open_job,
        foot: 9,
    },
    Row {
        act: Act::Paper,
        keys: &[letter('p')],
        words: "paper",
        help: "write a page to print: the customer's, the workshop's, parts, a label",
        contexts: &[Record, Ways],
        when: Model::may_print,
        foot: 10,
    },
    Row {
        act: Act::Settings,
        keys: &[letter('s'), plain(Key::F(10))],
        words: "settings",
        help: "units, bays, people, look, mouse: what stands in the settings file",
        contexts: &[Board],
        when: always,
        foot: 10,
    },
    Row {
        act: Act::Settings,
        keys: &[plain(Key::F(10))],
        words: "settings",
        help: "units, bays, people, look, mouse: what stands in the settings file",
        contexts: WALK,
        when: not_stopped,
        foot: 0,
    },
    Row {
        act: Act::Help,
        keys: &[letter('?'), plain(Key::F(1))],
        words: "help",
        help: "explain this screen and its keys",
        contexts: &[
            Files, Board, Search, Field, Words, List, Record, Ways, Caution, Brief, Value, Choice,
            Places, Pairs, Judged, Plain, Evidence,
        ],
        when: always,
        foot: 11,
    },
    Row {
        act: Act::Complaint,
        keys: &[Press::ctrl('a')],
        words: "complaint",
        help: "what the car came with: complaint, codes, and what is known of it",
        contexts: WALK,
        when: always,
        foot: 12,
    },
    Row {
        act: Act::TryAgain,
        keys: &[letter('t')],
        words: "try again",
        help: "read the job anew, to write in it if nobody else does any more",
        contexts: &[Ways],
        when: Model::is_held,
        foot: 3,
    },
    Row {
        act: Act::TakeOver,
        keys: &[Press::ctrl('w')],
        words: "take it over",
        help: "write here; what is entered in the other window is refused from now on",
        contexts: &[Ways],
        when: Model::is_held,
        foot: 4,
    },
];
