//! The page as data: sections of a few kinds of block. All texts are as they were recorded; whoever
//! writes them out cleans and escapes them.

use super::chart::Figure;
use super::edition::Edition;

/// A page.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Page {
    /// Whom it is for.
    pub edition: Edition,
    /// Its title.
    pub title: String,
    /// The workshop's name; empty where none is known.
    pub workshop: String,
    /// How it is reached, below its name: a line each.
    pub reached: Vec<String>,
    /// Name and value: the car, the job, when and who.
    pub head: Vec<(String, String)>,
    /// Its sections, in the order in which they are read.
    pub sections: Vec<Section>,
    /// Who signs.
    pub sign: Vec<String>,
    /// What stands at the foot.
    pub foot: String,
}

/// A section.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// Its heading.
    pub title: String,
    /// What it says.
    pub blocks: Vec<Block>,
    /// How it is set.
    pub set: Set,
}

/// How a section is set on paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Set {
    /// As text.
    #[default]
    Text,
    /// In small print.
    Small,
    /// As a close table with narrow columns before a wide one.
    Log,
    /// As a table to write in.
    Form,
}

impl Set {
    /// The word for it in the page.
    pub fn word(self) -> &'static str {
        match self {
            Self::Text => "text",
            Self::Small => "small",
            Self::Log => "log",
            Self::Form => "form",
        }
    }
}

impl Section {
    /// The same, set in another way.
    #[must_use]
    pub fn set(mut self, set: Set) -> Self {
        self.set = set;
        self
    }

    /// A section, unless it has nothing to say.
    pub fn of(title: &str, blocks: Vec<Block>) -> Option<Self> {
        (!blocks.is_empty()).then(|| Self {
            title: title.to_owned(),
            blocks,
            set: Set::Text,
        })
    }
}

/// A piece of a section.
#[derive(Clone, Debug, PartialEq)]
pub enum Block {
    /// The answer, set apart from everything else.
    Result {
        /// How the job stands.
        tone: Tone,
        /// In a few words.
        words: String,
        /// In a sentence or two.
        more: Vec<String>,
    },
    /// A smaller heading.
    Heading(String),
    /// A paragraph.
    Text(String),
    /// A paragraph that begins with what it is about.
    Point(Item),
    /// Somebody's own words.
    Quote(String),
    /// A list.
    List(Vec<Item>),
    /// Names and values.
    Facts(Vec<(String, String)>),
    /// A table.
    Table(Table),
    /// Charts, side by side where there is room.
    Charts(Vec<Figure>),
    /// What must not be overlooked, set apart from everything else.
    Warning(Vec<Item>),
}

/// An item of a list.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Item {
    /// What it is about; may be empty.
    pub head: String,
    /// What it says.
    pub text: String,
    /// Further remarks, each in a line of its own.
    pub more: Vec<String>,
}

/// A table.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    /// What it shows; may be empty.
    pub title: String,
    /// Heads of the columns.
    pub head: Vec<String>,
    /// Rows, each as wide as the head.
    pub rows: Vec<Vec<String>>,
    /// Notes below it.
    pub notes: Vec<String>,
}

/// How a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tone {
    /// Found, repaired and proved.
    Proved,
    /// An answer, but no proven repair.
    Plain,
    /// Something is left undone.
    Open,
}
