//! What a column's header says: its words and its unit.
//!
//! A unit stands in brackets (`RPM (rpm)`, `MAF [g/s]`), after a comma or a slash with blanks
//! (`MAF, g/s`), or on a line of its own. Which quantity the words mean is [`super::guess`].

use crate::units::{Dimension, Unit};

/// A column as its file names it.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its place, from 0.
    pub index: usize,
    /// Its header as written; it is called so in mappings. Where two are the same, the second has
    /// ` #2` after it; where there is none, `column 3`.
    pub name: String,
    /// The header without its unit.
    pub bare: String,
    /// The unit that the file gives.
    pub unit: Option<Unit>,
}

/// Spellings of units that files use and people would not type.
const SPELLINGS: [(&str, &str); 14] = [
    ("u/min", "rpm"),
    ("min-1", "rpm"),
    ("/min", "rpm"),
    ("r.p.m.", "rpm"),
    ("g/sec", "g/s"),
    ("gm/s", "g/s"),
    ("gps", "g/s"),
    ("kg/hr", "kg/h"),
    ("msec", "ms"),
    ("secs", "s"),
    ("usec", "us"),
    ("pct", "%"),
    ("celsius", "C"),
    ("fahrenheit", "F"),
];

/// The unit that a piece of a header names.
pub fn unit(text: &str) -> Option<Unit> {
    let text = text.trim();
    // A bare number is a unit of counting elsewhere; in a header it is a number.
    if !text.contains(|c: char| c.is_alphabetic() || c == '%' || c == '°') {
        return None;
    }
    let lower = text.to_lowercase();
    let known = SPELLINGS.iter().find(|(spelling, _)| *spelling == lower);
    Unit::parse(known.map_or(text, |(_, name)| name)).ok()
}

/// The columns of a file, from its line of names and its line of units.
pub(super) fn columns(names: &[String], units: Option<&[String]>, count: usize) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::with_capacity(count);
    for index in 0..count {
        let written = names.get(index).map_or("", |name| name.trim());
        let (bare, mut unit_here) = split(written);
        if let Some(below) = units.and_then(|units| units.get(index)) {
            unit_here = unit(inside_brackets(below).unwrap_or(below)).or(unit_here);
        }
        let name = free_name(written, index, &columns);
        let bare = if bare.is_empty() {
            name.clone()
        } else {
            bare.to_owned()
        };
        columns.push(Column {
            index,
            name,
            bare,
            unit: unit_here,
        });
    }
    columns
}

/// A name that no column before has.
fn free_name(written: &str, index: usize, before: &[Column]) -> String {
    let base = if written.is_empty() {
        format!("column {}", index + 1)
    } else {
        written.to_owned()
    };
    let taken = |name: &str| before.iter().any(|column| column.name == name);
    let mut name = base.clone();
    let mut number = 2;
    while taken(&name) {
        name = format!("{base} #{number}");
        number += 1;
    }
    name
}

/// A header's words and its unit.
pub(super) fn split(header: &str) -> (&str, Option<Unit>) {
    let header = header.trim();
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        if let Some(body) = header.strip_suffix(close)
            && let Some((words, inside)) = body.rsplit_once(open)
            && let Some(unit) = unit(inside)
        {
            return (words.trim_end(), Some(unit));
        }
    }
    for between in [", ", " / ", " in "] {
        if let Some((words, last)) = header.rsplit_once(between)
            && let Some(unit) = unit(last)
        {
            return (words.trim_end(), Some(unit));
        }
    }
    (header, None)
}

/// The unit of a kind that a header's own words name, such as `RPM` or `coolant C`.
pub(super) fn unit_among_words(bare: &str, wanted: Dimension) -> Option<Unit> {
    let of_kind = |text: &str| unit(text).filter(|unit| unit.dimension() == wanted);
    bare.split([' ', '_'])
        .rev()
        .find_map(of_kind)
        .or_else(|| of_kind(bare))
}

/// What stands in the brackets that enclose a text.
pub(super) fn inside_brackets(text: &str) -> Option<&str> {
    let text = text.trim();
    [('(', ')'), ('[', ']'), ('{', '}')]
        .into_iter()
        .find_map(|(open, close)| text.strip_prefix(open)?.strip_suffix(close))
        .map(str::trim)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(header: &str) -> (&str, Option<&'static str>) {
        let (words, unit) = split(header);
        (words, unit.map(Unit::name))
    }

    #[test]
    fn a_unit_is_found_where_files_put_it() {
        assert_eq!(read("RPM (rpm)"), ("RPM", Some("rpm")));
        assert_eq!(read("MAF [g/s]"), ("MAF", Some("g/s")));
        assert_eq!(read("Engine speed, 1/min"), ("Engine speed", Some("rpm")));
        assert_eq!(read("Coolant / °C"), ("Coolant", Some("C")));
        assert_eq!(read("Time(ms)"), ("Time", Some("ms")));
        assert_eq!(read("Airflow (g/sec)"), ("Airflow", Some("g/s")));
        assert_eq!(read("Trim (bank 1)"), ("Trim (bank 1)", None));
        assert_eq!(read("Trim (bank 1) [%]"), ("Trim (bank 1)", Some("%")));
        assert_eq!(read("Lambda (1)"), ("Lambda (1)", None));
        assert_eq!(read(""), ("", None));
        assert_eq!(read(")("), (")(", None));
    }

    #[test]
    fn words_that_are_units_of_the_wanted_kind_count() {
        let name = |bare, wanted| unit_among_words(bare, wanted).map(Unit::name);
        assert_eq!(name("RPM", Dimension::Speed), Some("rpm"));
        assert_eq!(name("coolant temp C", Dimension::Temperature), Some("C"));
        assert_eq!(name("bank 1 L", Dimension::Ratio), None);
        assert_eq!(name("maf_g/s", Dimension::MassFlow), Some("g/s"));
    }

    #[test]
    fn columns_have_names_of_their_own() {
        let names = ["Trim", "Trim", "", "Time [s]"].map(str::to_owned);
        let units = ["%", "(%)", "", "ms"].map(str::to_owned);
        let columns = columns(&names, Some(&units), 5);
        let all: Vec<&str> = columns.iter().map(|column| column.name.as_str()).collect();
        assert_eq!(all, ["Trim", "Trim #2", "column 3", "Time [s]", "column 5"]);
        // The line of units speaks of values; a bracket above it may be left over.
        let units: Vec<_> = columns.iter().map(|c| c.unit.map(Unit::name)).collect();
        assert_eq!(units, [Some("%"), Some("%"), None, Some("ms"), None]);
    }
}
