//! Opening forms: their fields, and what stands in them from the start.

use crate::engine::{shown, skip, words as words_of};
use crate::flow::model::{Prompt, PromptKind};
use crate::flow::target::Target;
use crate::rules::offer;
use crate::tui::effect::Effect;
use crate::tui::model::{FieldKind, Form, FormKind, Model, Over};

/// The labels of fields, by which their texts are asked for.
pub mod label {
    pub const PLATE: &str = "Plate";
    pub const MODEL: &str = "Make, model, year";
    pub const VIN: &str = "Vehicle number";
    pub const ODOMETER: &str = "Odometer";
    pub const COMPLAINT: &str = "Complaint";
    pub const SYMPTOMS: &str = "Symptoms";
    pub const CODES: &str = "Codes";
    pub const BAY: &str = "Bay";
    pub const WHO: &str = "Technician";
    pub const STORED: &str = "Stored codes";
    pub const PENDING: &str = "Pending codes";
    pub const FREEZE: &str = "Freeze frame";
    pub const READINESS: &str = "Readiness";
    pub const PLACE: &str = "Where";
    pub const NOTE: &str = "What";
    pub const TEXT: &str = "Remark";
    pub const WHY: &str = "Why";
    pub const VALUE: &str = "New value";
    pub const BY: &str = "Who, and how";
    pub const BY_WHY: &str = "Who, and why";
    pub const WORK: &str = "What was done";
    pub const PART: &str = "The part was";
    pub const TOLD: &str = "Customer is told";
    pub const STRENGTH: &str = "How strongly";
}

/// Lays a form over the screen: the draft that was left, or a fresh one.
pub fn open(model: &mut Model, kind: FormKind) -> Vec<Effect> {
    let draft = model.drafts.iter().position(|draft| draft.kind == kind);
    let form = match draft {
        Some(at) => model.drafts.remove(at),
        None => fresh(model, kind),
    };
    model.overs.push(Over::Form(Box::new(form)));
    Vec::new()
}

fn fresh(model: &Model, kind: FormKind) -> Form {
    use FieldKind::Needed;
    match kind {
        FormKind::NewJob => new_job(model),
        FormKind::Codes => codes(model),
        FormKind::Note => Form::new(
            kind,
            "Note a finding",
            "Something found that nobody asked for.",
        )
        .field_of(label::PLACE, Needed, "the place on the car")
        .field_of(label::NOTE, Needed, "what is there"),
        FormKind::Remark => Form::new(kind, "Add a remark", "It goes into the record.").field_of(
            label::TEXT,
            Needed,
            "",
        ),
        FormKind::Skip(ref to) => {
            let lead = skip_leads(model, to.as_ref());
            Form::new(kind, "Skip the step", lead).field_of(
                label::WHY,
                Needed,
                "why it is left out; the report says so",
            )
        }
        FormKind::Take(ref id) => {
            let lead = outcome_words(model, id);
            Form::new(kind, "Take another outcome", lead).field_of(
                label::WHY,
                Needed,
                "why, against what the flow suggests",
            )
        }
        FormKind::Correct(seq) => correct(model, seq),
        FormKind::Fact(ref id) => fact(model, id),
        FormKind::Approve => Form::new(kind, "The customer agrees", "No repair begins without it.")
            .field_of(label::BY, Needed, "a name, and in person or by telephone"),
        FormKind::Decline => Form::new(
            kind,
            "The customer declines",
            "The cause stays noted as not repaired.",
        )
        .field_of(label::BY_WHY, Needed, "a name, and the reason given"),
        FormKind::Repaired => repaired(),
        FormKind::HandOver => Form::new(
            kind,
            "Hand the car over",
            "This ends the job. By mistake? It can be opened again.",
        )
        .field_of(label::TOLD, Needed, "what the customer is told"),
        FormKind::Reopen => Form::new(
            kind,
            "Open the job again",
            "It goes on where it was; the handover stays in the record.",
        )
        .field_of(label::WHY, Needed, "a mistake, or the car came back"),
        FormKind::Place => Form::new(kind, "Another place", "")
            .field_of(label::PLACE, Needed, "where it shows")
            .field_of(
                label::STRENGTH,
                words(&["wisp", "steady", "heavy"]),
                "a digit picks",
            ),
    }
}

/// Where the walk goes on without the step.
fn skip_leads(model: &Model, to: Option<&Target>) -> String {
    let Some(run) = model.open.as_ref().and_then(|open| open.job.run()) else {
        return String::new();
    };
    let own = match run.step().map(skip::ways) {
        Some(skip::Ways::To(go)) => Some(go),
        _ => None,
    };
    to.or(own.as_ref())
        .map(|go| format!("The walk goes {}.", words_of::target(Some(run), go)))
        .unwrap_or_default()
}

fn words(words: &[&str]) -> FieldKind {
    FieldKind::Words {
        words: words.iter().map(|w| (*w).to_owned()).collect(),
        at: None,
    }
}

fn new_job(model: &Model) -> Form {
    use FieldKind::{Codes, Free, Listed, Needed};
    let symptoms = offer::symptoms(&model.shelf);
    Form::new(FormKind::NewJob, "New job", "")
        .field_of(label::PLATE, Needed, "as it stands on the car")
        .field_of(label::MODEL, Free, "in one line")
        .field_of(label::VIN, Free, "may stay empty")
        .field_of(label::ODOMETER, Free, "with its unit")
        .field_of(label::COMPLAINT, Needed, "in the customer's own words")
        .field_of(
            label::SYMPTOMS,
            Listed(symptoms),
            "numbers or words, with commas",
        )
        .field_of(label::CODES, Codes, "like P0171, P0174")
        .field_of(label::BAY, Free, "may stay empty")
        .filled(label::WHO, Needed, "who works on it", &model.who)
}

fn codes(model: &Model) -> Form {
    use FieldKind::{Codes, Free};
    let job = model.open.as_ref().map(|open| &open.job);
    let noted = job.and_then(|job| job.codes.clone());
    let came_with = job
        .and_then(|job| job.opening.as_ref())
        .map(|opening| opening.codes.join(", "));
    let (stored, hint) = match &noted {
        Some(noted) => (
            noted.stored.join(", "),
            "as saved before; correct what has changed",
        ),
        None => (
            came_with.unwrap_or_default(),
            "from the job sheet: check each against the car",
        ),
    };
    let noted = noted.unwrap_or_default();
    Form::new(FormKind::Codes, "Save codes", "Read them from the car before anything is cleared or unplugged. None is an answer too: leave it empty.")
        .filled(label::STORED, Codes, hint, &stored)
        .filled(label::PENDING, Codes, "like P0171; empty if none", &noted.pending.join(", "))
        .filled(label::FREEZE, Free, "speed, load, temperature, trims...", &noted.freeze_frame)
        .filled(label::READINESS, Free, "which monitors are not ready", &noted.readiness)
}

fn repaired() -> Form {
    Form::new(
        FormKind::Repaired,
        "The repair is done",
        "Whether the part proved bad is the strongest reading there is.",
    )
    .field_of(
        label::WORK,
        FieldKind::Needed,
        "what was done, with the part's name",
    )
    .field_of(
        label::PART,
        words(&["bad", "good", "could not tell"]),
        "once it was off and opened",
    )
}

fn outcome_words(model: &Model, id: &str) -> String {
    let items = crate::tui::model::items(model, crate::tui::model::ListKind::Outcomes);
    let wanted = crate::tui::model::Then::Outcome(id.to_owned());
    items
        .into_iter()
        .find(|item| item.then == wanted)
        .map(|item| item.label)
        .unwrap_or_default()
}

fn correct(model: &Model, seq: u64) -> Form {
    let taken = model
        .open
        .as_ref()
        .and_then(|open| open.job.readings.iter().find(|taken| taken.seq == seq));
    let lead = taken.map(|taken| {
        format!(
            "{}: {} until now.",
            taken.reading.replace('-', " "),
            shown::answer(&taken.value)
        )
    });
    let hint = taken
        .and_then(|taken| prompt_of(model, &taken.reading))
        .map(how_to_write)
        .unwrap_or_default();
    Form::new(
        FormKind::Correct(seq),
        "Correct an answer",
        lead.unwrap_or_default(),
    )
    .field_of(label::VALUE, FieldKind::Needed, hint)
    .field_of(label::WHY, FieldKind::Needed, "such as: misread the scale")
}

fn fact(model: &Model, id: &str) -> Form {
    let now = model
        .open
        .as_ref()
        .and_then(|open| open.job.facts.get(id))
        .map(shown::answer);
    let lead = format!(
        "{}: {} until now.",
        id.replace('-', " "),
        now.unwrap_or_default()
    );
    let hint = prompt_of(model, id).map(how_to_write).unwrap_or_default();
    Form::new(
        FormKind::Fact(id.to_owned()),
        "Correct a fact about the vehicle",
        lead,
    )
    .field_of(label::VALUE, FieldKind::Needed, hint)
}

/// The prompt of a reading or fact, in any flow of the job.
pub fn prompt_of<'m>(model: &'m Model, id: &str) -> Option<&'m Prompt> {
    model
        .open
        .as_ref()?
        .job
        .runs
        .iter()
        .find_map(|run| run.flow.prompt(id))
}

fn how_to_write(prompt: &Prompt) -> String {
    match &prompt.kind {
        PromptKind::Quantity(q) => format!("in {}", q.unit.name()),
        PromptKind::Choice(words) => {
            let numbered: Vec<String> = words
                .iter()
                .enumerate()
                .map(|(n, w)| format!("{} {w}", n + 1))
                .collect();
            numbered.join(", ")
        }
        PromptKind::Places(_) => "nowhere, or place = wisp / steady / heavy; ...".to_owned(),
        PromptKind::Pairs(p) => format!("{} = {}; next pair; ...", p.first.0, p.second.0),
        PromptKind::Text => "in words".to_owned(),
    }
}
