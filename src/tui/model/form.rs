//! Forms: some fields under each other, each with its own error beside it.

use tui_input::Input;
use uuid::Uuid;

use super::typed::{codes, guessed, listed, odometer, one_of, units, unlisted, vehicle_number};
use crate::flow::target::Target;
use crate::settings::Rate;

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
    /// Correcting what this event noted of a repair.
    CorrectRepair(u64),
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
    /// One word of a list, by its number, or any other; where it is a person, a name must be typed.
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
        // What is proposed and was not touched is nobody's writing.
        pairs
            .into_iter()
            .filter(|(one, _)| !one.proposed)
            .any(|(one, other)| {
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
            FieldKind::OneOf(words, person) => match one_of(text, words) {
                Ok(name) if *person && !name.chars().any(char::is_alphabetic) => {
                    Some("a name has letters in it: it stands for who did this".to_owned())
                }
                taken => taken.err(),
            },
            FieldKind::Units => units(text).err(),
            FieldKind::Rate if text.trim().is_empty() => None,
            FieldKind::Rate => Rate::parse(text).err().map(str::to_owned),
            FieldKind::Odometer => odometer(text).err(),
            FieldKind::VehicleNumber => vehicle_number(text).err(),
            _ => None,
        }
    }

    /// That something typed in part was taken for a word of the list, so that a wrong guess is seen.
    pub fn guess(&self) -> Option<String> {
        let FieldKind::Listed(words) = &self.kind else {
            return None;
        };
        let all = guessed(self.text.value(), words).into_iter();
        let all: Vec<String> = all
            .map(|(typed, word)| format!("\"{typed}\" was taken for \"{word}\""))
            .collect();
        (!all.is_empty()).then(|| all.join("; "))
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vehicle_number_is_warned_of_once_and_kept_if_it_is_sent_again() {
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
}
