//! Forms: some fields under each other, each with its own error beside it.

use tui_input::Input;
use uuid::Uuid;

use crate::flow::target::Target;
use crate::physics::vin::{self, Found};
use crate::settings::Rate;
use crate::units::Unit;
use crate::units::preferred::Measure;

/// A form.
#[derive(Clone, Debug)]
pub struct Form {
    /// What it is for.
    pub kind: FormKind,
    /// Its title.
    pub title: String,
    /// What to know before filling it in.
    pub lead: String,
    /// The job that it is about, so that what was typed for one car never shows at another.
    pub about: Option<Uuid>,
    /// Its fields.
    pub fields: Vec<Field>,
    /// The field that has the focus.
    pub at: usize,
}

/// What a form is for. Two forms of one kind about one job are the same form, so that a draft is found again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormKind {
    /// A new job.
    NewJob,
    /// Codes, freeze frame, readiness.
    Codes,
    /// A finding.
    Note,
    /// A remark.
    Remark,
    /// Skipping a step, to where the technician says that it goes on.
    Skip(Option<Target>),
    /// Taking an outcome against the suggestion.
    Take(String),
    /// Correcting the reading that this event took.
    Correct(u64),
    /// Correcting a fact about the vehicle.
    Fact(String),
    /// The customer agrees.
    Approve,
    /// The customer declines.
    Decline,
    /// The repair is done.
    Repaired,
    /// Handing over.
    HandOver,
    /// Opening a job again that was handed over.
    Reopen,
    /// A place that the list does not have.
    Place,
    /// Why the question on screen cannot be told: the visit and the question.
    CouldNotTell(u64, String),
    /// Correcting what the job was opened with.
    Opening,
    /// Who is at the keys.
    Who,
    /// The settings of the workshop.
    Settings,
    /// Practice: gas and pressure of the supply.
    Supply,
    /// The name under which a mapping is kept.
    Mapping,
}

/// A field.
#[derive(Clone, Debug)]
pub struct Field {
    /// What it is called.
    pub label: &'static str,
    /// How to fill it in, shown while it has the focus.
    pub hint: String,
    /// How it is filled in.
    pub kind: FieldKind,
    /// What is typed.
    pub text: Input,
    /// What is wrong with it.
    pub error: Option<String>,
    /// The text is a proposal that the first character typed takes the place of.
    pub proposed: bool,
    /// The text that was warned of and may be kept.
    pub warned: Option<String>,
}

/// How a field is filled in.
#[derive(Clone, Debug)]
pub enum FieldKind {
    /// Anything may be typed, or nothing.
    Free,
    /// Something must be typed.
    Needed,
    /// Trouble codes.
    Codes,
    /// Words from a list, by number or typed.
    Listed(Vec<String>),
    /// One word of a list, by its number, or any other; whether something must be typed.
    OneOf(Vec<String>, bool),
    /// Units of single measures.
    Units,
    /// What an hour of work costs, or nothing.
    Rate,
    /// A vehicle identification number, or nothing; what speaks against it is said, and the same once more is kept.
    VehicleNumber,
    /// A distance in km or mi, or nothing.
    Odometer,
    /// One of some words.
    Words {
        /// The words.
        words: Vec<String>,
        /// The one picked.
        at: Option<usize>,
    },
}

impl Form {
    /// Whether it is the draft of this kind about this job.
    pub fn is(&self, kind: &FormKind, about: Option<Uuid>) -> bool {
        self.kind == *kind && self.about == about
    }

    /// A form without fields yet.
    pub fn new(kind: FormKind, title: impl Into<String>, lead: impl Into<String>) -> Self {
        Self {
            kind,
            title: title.into(),
            lead: lead.into(),
            about: None,
            fields: Vec::new(),
            at: 0,
        }
    }

    /// Adds a field.
    #[must_use]
    pub fn field_of(
        mut self,
        label: &'static str,
        kind: FieldKind,
        hint: impl Into<String>,
    ) -> Self {
        let (hint, text) = (hint.into(), Input::default());
        self.fields.push(Field {
            label,
            hint,
            kind,
            text,
            error: None,
            proposed: false,
            warned: None,
        });
        self
    }

    /// Adds a field with text in it.
    #[must_use]
    pub fn filled(
        mut self,
        label: &'static str,
        kind: FieldKind,
        hint: impl Into<String>,
        text: &str,
    ) -> Self {
        self = self.field_of(label, kind, hint);
        if let Some(field) = self.fields.last_mut() {
            field.text = Input::from(text);
        }
        self
    }

    /// The field that has the focus.
    pub fn field(&self) -> Option<&Field> {
        self.fields.get(self.at)
    }

    /// The field that has the focus.
    pub fn field_mut(&mut self) -> Option<&mut Field> {
        self.fields.get_mut(self.at)
    }

    /// What is typed in the field with this label, trimmed.
    pub fn text(&self, label: &str) -> String {
        let field = self.fields.iter().find(|field| field.label == label);
        field
            .map(|field| field.text.value().trim().to_owned())
            .unwrap_or_default()
    }

    /// The word picked in the field with this label.
    pub fn word(&self, label: &str) -> Option<usize> {
        match self.fields.iter().find(|field| field.label == label)?.kind {
            FieldKind::Words { at, .. } => at,
            _ => None,
        }
    }

    /// Whether anything is filled in.
    pub fn is_touched(&self) -> bool {
        self.fields.iter().any(|field| {
            !field.text.value().trim().is_empty()
                || matches!(field.kind, FieldKind::Words { at: Some(_), .. })
        })
    }

    /// Whether another form of the same fields is filled in otherwise.
    pub fn differs(&self, other: &Self) -> bool {
        let pairs = self.fields.iter().zip(&other.fields);
        pairs.into_iter().any(|(one, other)| {
            let words = |field: &Field| match field.kind {
                FieldKind::Words { at, .. } => at,
                _ => None,
            };
            one.text.value() != other.text.value() || words(one) != words(other)
        })
    }

    /// Checks every field and notes what is wrong beside it; the focus goes to the first that is.
    pub fn check(&mut self) -> bool {
        for field in &mut self.fields {
            field.error = field.mistake();
            if field.is_kept() {
                field.error = None;
            }
            field.note_warned();
        }
        match self.fields.iter().position(|field| field.error.is_some()) {
            Some(at) => {
                self.at = at;
                false
            }
            None => true,
        }
    }

    /// Notes what is wrong with the field with this label.
    pub fn refuse(&mut self, label: &str, error: impl Into<String>) {
        if let Some(at) = self.fields.iter().position(|field| field.label == label) {
            self.at = at;
            self.fields[at].error = Some(error.into());
        }
    }
}

impl Field {
    /// What is wrong with what is filled in.
    pub fn mistake(&self) -> Option<String> {
        let text = self.text.value().trim();
        match &self.kind {
            FieldKind::Needed | FieldKind::OneOf(_, true) if text.is_empty() => {
                Some("write something here".to_owned())
            }
            FieldKind::Words { at: None, .. } => Some("pick one".to_owned()),
            FieldKind::Codes => codes(text).err(),
            FieldKind::Listed(words) => match listed(text, words) {
                Ok(taken) => unlisted(&taken, words),
                Err(why) => Some(why),
            },
            FieldKind::OneOf(words, _) => one_of(text, words).err(),
            FieldKind::Units => units(text).err(),
            FieldKind::Rate if text.trim().is_empty() => None,
            FieldKind::Rate => Rate::parse(text).err().map(str::to_owned),
            FieldKind::Odometer => odometer(text).err(),
            FieldKind::VehicleNumber => vehicle_number(text).err(),
            _ => None,
        }
    }

    /// Whether what is filled in was warned of, and is sent once more as it is.
    pub fn is_kept(&self) -> bool {
        self.warned.as_deref() == Some(self.text.value().trim())
    }

    /// Remembers what was warned of, where that is no more than a warning.
    pub fn note_warned(&mut self) {
        let may_stay = match &self.kind {
            FieldKind::VehicleNumber => true,
            FieldKind::Listed(words) => listed(self.text.value(), words).is_ok(),
            _ => false,
        };
        if may_stay && self.error.is_some() {
            self.warned = Some(self.text.value().trim().to_owned());
        }
    }
}

/// An odometer's distance: a number, with blanks, commas or points between its thousands, and km or mi.
///
/// # Errors
/// Says how it is written.
pub fn odometer(text: &str) -> Result<(), String> {
    let (number, unit) = text.split_at(text.find(char::is_alphabetic).unwrap_or(text.len()));
    let number = number.trim();
    let digits = number.chars().filter(char::is_ascii_digit).count();
    let plain = number
        .chars()
        .all(|c| c.is_ascii_digit() || matches!(c, ' ' | ',' | '.' | '\''));
    let unit = unit.trim().to_lowercase();
    let known = matches!(unit.as_str(), "km" | "mi" | "mile" | "miles");
    if text.is_empty() || (plain && known && (1..=7).contains(&digits)) {
        Ok(())
    } else {
        Err("a number with km or mi, like 120400 km; or leave it empty".to_owned())
    }
}

/// A vehicle identification number by its length, its characters and its check digit.
///
/// # Errors
/// Says what speaks against it; it may be right all the same.
pub fn vehicle_number(text: &str) -> Result<(), String> {
    let why = match vin::look(text) {
        _ if text.is_empty() => return Ok(()),
        Found::Summed { check, stands, .. } if check == stands => return Ok(()),
        Found::Summed { check, stands, .. } => format!(
            "place {} should be {check} and is {stands}, at least on a car sold in North America",
            vin::CHECK_PLACE
        ),
        Found::Length(count) => format!("{} characters are usual; here are {count}", vin::LENGTH),
        Found::Impossible(all) => {
            let odd: Vec<String> = all
                .iter()
                .map(|(at, c)| format!("{c} (place {at})"))
                .collect();
            format!("no such number holds {}", odd.join(", "))
        }
    };
    Err(format!("{why}: look again; sent once more it is kept"))
}

/// Trouble codes from a line, in capitals, each once.
///
/// The shape is that of SAE J2012: a letter for the system, a digit from 0 to 3, three hexadecimal
/// digits (from memory). "None" and what people write for it are no codes.
///
/// # Errors
/// Names the first that is not a code.
pub fn codes(text: &str) -> Result<Vec<String>, String> {
    let mut out: Vec<String> = Vec::new();
    if ["none", "no", "nil", "-", "0"].contains(&text.trim().to_lowercase().as_str()) {
        return Ok(out);
    }
    for word in split(text, true) {
        let code = word.to_uppercase();
        let bytes = code.as_bytes();
        let fits = bytes.len() == 5
            && b"PCBU".contains(&bytes[0])
            && (b'0'..=b'3').contains(&bytes[1])
            && bytes[2..].iter().all(u8::is_ascii_hexdigit);
        if !fits {
            return Err(format!("{word}: a code is like P0171"));
        }
        if !out.contains(&code) {
            out.push(code);
        }
    }
    Ok(out)
}

/// Words from a line, each a number of the list or the word itself.
///
/// # Errors
/// Names a number that the list does not have.
pub fn listed(text: &str, words: &[String]) -> Result<Vec<String>, String> {
    let mut out: Vec<String> = Vec::new();
    for part in split(text, false) {
        let word = match part.parse::<usize>() {
            Ok(n) => match n.checked_sub(1).and_then(|n| words.get(n)) {
                Some(word) => word.clone(),
                None => return Err(format!("the list has no {n}")),
            },
            Err(_) => meant(part, words),
        };
        if !out.contains(&word) {
            out.push(word);
        }
    }
    Ok(out)
}

/// The word of the list that is meant: the same in other letters, or the only one in which it occurs.
fn meant(part: &str, words: &[String]) -> String {
    let typed = part.to_lowercase();
    if let Some(same) = words.iter().find(|word| word.to_lowercase() == typed) {
        return same.clone();
    }
    let mut near = words
        .iter()
        .filter(|word| word.to_lowercase().contains(&typed));
    match (near.next(), near.next()) {
        (Some(only), None) => only.clone(),
        _ => part.to_owned(),
    }
}

/// What is to be known of words that are not in the list: no test is offered because of them.
fn unlisted(taken: &[String], words: &[String]) -> Option<String> {
    let word = taken.iter().find(|word| !words.contains(word))?;
    let typed = word.to_lowercase();
    let near: Vec<String> = words
        .iter()
        .enumerate()
        .filter(|(_, known)| known.to_lowercase().contains(&typed))
        .map(|(n, known)| format!("{} {known}", n + 1))
        .collect();
    Some(if near.is_empty() {
        format!("{word}: no test looks for it; sent once more it is kept")
    } else {
        format!(
            "{word}: {}? Sent once more it is kept as it is",
            near.join(" or ")
        )
    })
}

/// A word of a list by its number, or the text itself. What stands in the list as it is typed is
/// meant as that: a bay may be called 3 and be the first.
///
/// # Errors
/// Names a number that the list does not have.
pub fn one_of(text: &str, words: &[String]) -> Result<String, String> {
    if words.is_empty() || words.iter().any(|word| word == text) {
        return Ok(text.to_owned());
    }
    match text.parse::<usize>() {
        Ok(n) => match n.checked_sub(1).and_then(|n| words.get(n)) {
            Some(word) => Ok(word.clone()),
            None => Err(format!("the list has no {n}")),
        },
        Err(_) => Ok(text.to_owned()),
    }
}

/// Units of single measures from a line, "pressure kPa, length mm".
///
/// # Errors
/// Names the first that is none.
pub fn units(text: &str) -> Result<Vec<(Measure, Unit)>, String> {
    let mut out = Vec::new();
    for part in split(text, false) {
        let (word, unit) = part
            .split_once([' ', ':'])
            .ok_or_else(|| format!("{part}: write the measure and its unit, like pressure kPa"))?;
        let word = word.trim().to_lowercase();
        let measure = Measure::ALL.into_iter().find(|m| m.word() == word);
        let measure = measure.ok_or_else(|| {
            let words: Vec<&str> = Measure::ALL.into_iter().map(Measure::word).collect();
            format!("there is no measure {word}; there are {}", words.join(", "))
        })?;
        let unit = Unit::parse(unit.trim_matches([' ', ':'])).map_err(|error| error.to_string())?;
        if unit.dimension() != measure.dimension() || Measure::of(unit).is_none() {
            return Err(format!("{word} cannot be shown in {}", unit.name()));
        }
        out.push((measure, unit));
    }
    Ok(out)
}

fn split(text: &str, at_blanks: bool) -> impl Iterator<Item = &str> {
    text.split(move |c: char| c == ',' || c == ';' || (at_blanks && c.is_whitespace()))
        .map(str::trim)
        .filter(|part| !part.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_read_with_commas_or_blanks_and_in_any_case() {
        assert_eq!(
            codes("p0171, P0174 u0100 P0171"),
            Ok(vec!["P0171".into(), "P0174".into(), "U0100".into()])
        );
        for none in ["", "none", "None", " - ", "0"] {
            assert_eq!(codes(none), Ok(Vec::new()), "{none}");
        }
        for wrong in ["P017", "P01711", "X0171", "P4171", "P01G1", "Pö17"] {
            assert!(codes(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn an_odometer_is_a_number_with_its_unit() {
        for right in [
            "",
            "120400 km",
            "118,400 km",
            "88 000 mi",
            "120400km",
            "75.000 Miles",
        ] {
            assert_eq!(odometer(right), Ok(()), "{right}");
        }
        for wrong in ["120400", "lots", "km", "12 apples", "-5 km", "12345678 km"] {
            assert!(odometer(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_vehicle_number_is_warned_of_once_and_kept_if_it_is_sent_again() {
        assert_eq!(vehicle_number("1M8GDM9AXKP042788"), Ok(()));
        assert!(vehicle_number("1M8GDM9A1KP042788").is_err_and(|why| why.contains("should be X")));
        assert!(vehicle_number("1M8GDM9A").is_err_and(|why| why.contains("here are 8")));
        let mut form = Form::new(FormKind::Opening, "", "").filled(
            "VIN",
            FieldKind::VehicleNumber,
            "",
            "1M8GDM9A1KP042788",
        );
        assert!(!form.check());
        assert!(form.check());
        form.fields[0].text = Input::from("1M8GDM9A2KP042788");
        assert!(!form.check(), "another text is warned of anew");
    }

    #[test]
    fn symptoms_are_numbers_of_the_list_or_words() {
        let words = vec!["rough idle".to_owned(), "whistle".to_owned()];
        assert_eq!(
            listed("2, hesitates; 1", &words),
            Ok(vec![
                "whistle".into(),
                "hesitates".into(),
                "rough idle".into()
            ])
        );
        assert!(listed("3", &words).is_err());
        assert!(listed("0", &words).is_err());
    }
}
