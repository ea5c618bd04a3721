//! How the file under the cursor is written and what its columns hold, as lists to pick from.

use super::files::{Files, Preview};
use super::lists::{Item, ListKind, Then};
use super::{Model, Over};
use crate::import::dialect::{Decimal, Separator};
use crate::import::look::{Known, Mapped};
use crate::import::{Channel, Unasked};

/// Something that is told of a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum AboutFile {
    /// What stands between cells; `None`: it is to be found.
    Separator(Option<Separator>),
    /// What stands before decimals; `None`: it is to be found.
    Decimal(Option<Decimal>),
    /// What columns hold is as it was kept under this name; `None`: it is guessed.
    Mapping(Option<String>),
    /// It is about this column.
    Column(String),
    /// The column that it is about holds this; `None`: nothing that is used.
    Holds(Option<Channel>),
    /// What columns hold is to be kept under a name.
    Keep,
}

/// The picker, wherever it lies.
pub fn picker(model: &Model) -> Option<&Files> {
    model.overs.iter().rev().find_map(|over| match over {
        Over::Files(files) => Some(&**files),
        _ => None,
    })
}

/// The items of a list about the file.
pub fn items(model: &Model, kind: ListKind) -> Vec<Item> {
    let Some(files) = picker(model) else {
        return Vec::new();
    };
    match kind {
        ListKind::Columns => whole(files),
        ListKind::Separators => {
            let found = Item::new("as the program finds it", "", separator(None));
            let all = Separator::ALL.map(|s| Item::new(s.word(), "", separator(Some(s))));
            std::iter::once(found).chain(all).collect()
        }
        ListKind::Decimals => {
            let found = Item::new("as the program finds it", "", decimal(None));
            let all = Decimal::ALL.map(|d| Item::new(d.word(), "", decimal(Some(d))));
            std::iter::once(found).chain(all).collect()
        }
        ListKind::Mappings => {
            let none = Item::new("none: by the words of the header", "", mapping(None));
            let all = files.mappings.iter();
            let all = all.map(|name| Item::new(name.clone(), "", mapping(Some(name.clone()))));
            std::iter::once(none).chain(all).collect()
        }
        ListKind::Holds => holds(files),
        _ => Vec::new(),
    }
}

fn separator(told: Option<Separator>) -> Then {
    Then::AboutFile(AboutFile::Separator(told))
}

fn decimal(told: Option<Decimal>) -> Then {
    Then::AboutFile(AboutFile::Decimal(told))
}

fn mapping(told: Option<String>) -> Then {
    Then::AboutFile(AboutFile::Mapping(told))
}

/// The columns first, then how the file is written, then mappings.
fn whole(files: &Files) -> Vec<Item> {
    let mut out = Vec::new();
    let dialect = files.look.as_ref().map(|look| &look.dialect);
    for mapped in files.look.iter().flat_map(|look| &look.columns) {
        let name = mapped.column.name.clone();
        let label = format!("{name}: {}", holds_what(mapped));
        out.push(Item::new(
            label,
            "",
            Then::AboutFile(AboutFile::Column(name)),
        ));
    }
    let said = |told: Option<&'static str>, found: Option<&'static str>| match (told, found) {
        (Some(word), _) => format!("{word}, as told"),
        (None, Some(word)) => format!("{word}, as found"),
        (None, None) => "not found".to_owned(),
    };
    let word = said(
        files.separator.map(Separator::word),
        dialect.map(|dialect| dialect.separator.word()),
    );
    let label = format!("(between cells: {word})");
    out.push(Item::new(label, "", Then::List(ListKind::Separators)));
    let word = said(
        files.decimal.map(Decimal::word),
        dialect.map(|dialect| dialect.decimal.word()),
    );
    let label = format!("(before decimals: {word})");
    out.push(Item::new(label, "", Then::List(ListKind::Decimals)));
    let name = files.mapping.as_ref().map_or("none", |(name, _)| name);
    if !files.mappings.is_empty() {
        let label = format!("(mapping: {name})");
        out.push(Item::new(label, "", Then::List(ListKind::Mappings)));
    }
    if files.look.is_some() {
        out.push(Item::new(
            "(keep what the columns hold under a name)",
            "",
            Then::AboutFile(AboutFile::Keep),
        ));
    }
    out
}

/// What a column holds, in words.
fn holds_what(mapped: &Mapped) -> String {
    let Some(channel) = mapped.holds else {
        return match mapped.known {
            Known::Double(channel) => format!("not used, {channel} is another column"),
            _ => "not used".to_owned(),
        };
    };
    let word = channel.word();
    match mapped.unit {
        _ if mapped.clock => format!("{word}, clock times"),
        Some(unit) if channel.dimension().is_some() => format!("{word}, {}", unit.name()),
        None if channel.dimension().is_some() => format!("{word}, in a unit not said"),
        _ => word.to_owned(),
    }
}

fn holds(files: &Files) -> Vec<Item> {
    let taken = |channel: Channel| {
        let columns = files.look.iter().flat_map(|look| &look.columns);
        let mut others =
            columns.filter(|mapped| Some(&mapped.column.name) != files.column.as_ref());
        let other = others.find(|mapped| mapped.holds == Some(channel));
        other.map_or_else(String::new, |mapped| {
            format!("until now: {}", mapped.column.name)
        })
    };
    let nothing = Item::new(
        "nothing that is used",
        "",
        Then::AboutFile(AboutFile::Holds(None)),
    );
    let all = Channel::ALL.map(|channel| {
        let then = Then::AboutFile(AboutFile::Holds(Some(channel)));
        Item::new(channel.word(), taken(channel), then)
    });
    std::iter::once(nothing).chain(all).collect()
}

/// What a list is about: a column of the file, or a step that is not read to its end.
pub fn subject(model: &Model, kind: ListKind) -> Option<String> {
    if kind == ListKind::Outcomes {
        return model.unread();
    }
    let files = picker(model)?;
    match kind {
        ListKind::Holds => Some(format!("\"{}\"", files.column.as_ref()?)),
        ListKind::Units => {
            let one = asked_unit(files)?;
            Some(format!("\"{}\" ({})", one.column, one.channel.word()))
        }
        _ => None,
    }
}

/// The column whose unit is asked for.
pub fn asked_unit(files: &Files) -> Option<&Unasked> {
    files.asking.as_ref().or(match &files.preview {
        Preview::Unasked(unasked) => unasked.first(),
        _ => None,
    })
}
