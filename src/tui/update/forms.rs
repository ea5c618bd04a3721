//! Opening forms: their fields, and what stands in them from the start.

use tui_input::Input;

use crate::engine::event::{Opening, PartWas, What};
use crate::engine::standing::Standing;
use crate::engine::{shown, skip, words as words_of};
use crate::flow::facts::about;
use crate::flow::model::{Prompt, PromptKind};
use crate::flow::target::Target;
use crate::rules::offer;
use crate::tui::clean::clean;
use crate::tui::effect::Effect;
use crate::tui::model::{Demo, FieldKind, Form, FormKind, Model, OpenJob, Over, odometer_unit};
use crate::units::preferred::shown_unit;

/// The labels of fields, by which their texts are asked for.
pub mod label {
    pub const PLATE: &str = "Plate";
    pub const MODEL: &str = "Make, model, year";
    pub const VIN: &str = "VIN";
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
    pub const WORKSHOP: &str = "Workshop";
    pub const TELEPHONE: &str = "Telephone";
    pub const HOURS: &str = "Hours";
    pub const RATE: &str = "Labour rate";
    pub const UNITS: &str = "Units";
    pub const OWN_UNITS: &str = "Except";
    pub const BAYS: &str = "Bays";
    pub const PEOPLE: &str = "People";
    pub const LOOK: &str = "Look";
    pub const DRAWING: &str = "Drawn with";
    pub const MOUSE: &str = "Mouse at start";
    pub const CARS: &str = "Simulated cars";
    pub const GEAR: &str = "Gear not at hand";
    pub const GAS: &str = "Gas";
    pub const PRESSURE: &str = "Pressure";
    pub const NAME: &str = "Name";
}

/// Lays a form over the screen: the draft that was left, or a fresh one.
pub fn open(model: &mut Model, kind: FormKind) -> Vec<Effect> {
    let about = model.about(&kind);
    let draft = model.drafts.iter().position(|draft| draft.is(&kind, about));
    let mut form = match draft {
        Some(at) => model.drafts.remove(at),
        None => fresh(model, kind),
    };
    // In practice there is no customer whose name could be asked for, and nobody reads what was fitted.
    let known = match (&form.kind, model.standing()) {
        (FormKind::Approve | FormKind::Decline, _) => Some("the customer".to_owned()),
        (FormKind::Repaired, Standing::Repair { cause, .. }) => Some(cause.repair.clone()),
        _ => None,
    };
    if model.practice
        && let Some(known) = known
        && let Some(field) = form
            .field_mut()
            .filter(|field| field.text.value().is_empty())
    {
        field.text = Input::from(known);
        field.proposed = true;
    }
    form.about = about;
    model.overs.push(Over::Form(Box::new(form)));
    Vec::new()
}

/// Asks who goes on with the job that was opened: who said so elsewhere stands there, else whoever wrote on it last.
pub fn who_goes_on(model: &mut Model, last: &str) -> Vec<Effect> {
    let effects = open(model, FormKind::Who);
    let proposed = if model.who_is_guessed {
        last.to_owned()
    } else {
        model.who.clone()
    };
    if let Some(Over::Form(form)) = model.overs.last_mut() {
        form.lead = format!(
            "{} worked on this job last. Cautions, answers and repairs are recorded under the name that stands here.",
            clean(last)
        );
        if let Some(field) = form.field_mut() {
            field.text = Input::from(proposed.as_str());
            field.proposed = true;
        }
    }
    effects
}

/// Asks why the question on screen cannot be told; what was typed there is the reason's beginning.
pub fn could_not_tell(model: &mut Model, typed: &str) -> Vec<Effect> {
    let Some((kind, lead)) = model.asked().map(|asked| {
        let (visit, id) = asked.key;
        (FormKind::CouldNotTell(visit, id), asked.prompt.ask.clone())
    }) else {
        return Vec::new();
    };
    let effects = open(model, kind.clone());
    if let Some(Over::Form(form)) = model.overs.last_mut() {
        form.lead = lead;
        if let Some(field) = form.field_mut().filter(|_| !typed.is_empty()) {
            field.text = Input::from(typed);
        }
    }
    effects
}

/// Whether anything stands in a form that did not stand there as it was first opened.
pub fn is_written_in(model: &Model, form: &Form) -> bool {
    let fresh = fresh(model, form.kind.clone());
    form.is_touched() && form.differs(&fresh)
}

fn fresh(model: &Model, kind: FormKind) -> Form {
    match kind {
        FormKind::NewJob => new_job(model),
        FormKind::Settings => super::settings::form(model),
        FormKind::Mapping => super::columns::form(model),
        FormKind::Opening => opening(model),
        FormKind::Who => {
            let lead = "Cautions, answers and repairs are recorded under this name from now on.";
            let form = Form::new(kind, "Who is at the keys", lead);
            who(model, form, "a name, as it shall stand in the record")
        }
        FormKind::Codes => codes(model),
        FormKind::Skip(ref to) => {
            let lead = skip_leads(model, to.as_ref());
            let hint = "why it is left out; the report says so";
            Form::new(kind, "Skip the step", lead).field_of(label::WHY, FieldKind::Needed, hint)
        }
        FormKind::Take(ref id) => {
            let lead = with_unread(model, outcome_words(model, id));
            let hint = "why, against what the flow suggests";
            Form::new(kind, "Take another outcome", lead).field_of(
                label::WHY,
                FieldKind::Needed,
                hint,
            )
        }
        FormKind::Correct(seq) => correct(model, seq),
        FormKind::CorrectRepair(seq) => correct_repair(model, seq),
        FormKind::Fact(ref id) => fact(model, id),
        FormKind::Repaired => repaired(model),
        FormKind::Supply => super::practice::supply_form(model, kind),
        FormKind::Place => Form::new(kind, "Another place", "")
            .field_of(label::PLACE, FieldKind::Needed, "where it shows")
            .field_of(
                label::STRENGTH,
                words(&["wisp", "steady", "heavy"]),
                "a digit picks",
            ),
        FormKind::Note => Form::new(
            kind,
            "Note a finding",
            "Something found that nobody asked for.",
        )
        .field_of(label::PLACE, FieldKind::Needed, "the place on the car")
        .field_of(label::NOTE, FieldKind::Needed, "what is there"),
        other => one_line(other),
    }
}

/// Forms with one line to be written: title, lead, label, hint.
fn one_line(kind: FormKind) -> Form {
    let [title, lead, label, hint] = match kind {
        FormKind::CouldNotTell(..) => [
            "It could not be told",
            "",
            label::WHY,
            "why it cannot be told",
        ],
        FormKind::Approve => [
            "The customer agrees",
            "No repair begins without it.",
            label::BY,
            "a name, and in person or by telephone",
        ],
        FormKind::Decline => [
            "The customer declines",
            "The cause stays noted as not repaired.",
            label::BY_WHY,
            "a name, and the reason given",
        ],
        FormKind::HandOver => [
            "Hand the car over",
            "This ends the job. By mistake? It can be opened again.",
            label::TOLD,
            "to the customer, word for word: it stands on their page",
        ],
        FormKind::Reopen => [
            "Open the job again",
            "It goes on where it was; the handover stays in the record.",
            label::WHY,
            "a mistake, or the car came back",
        ],
        _ => ["Add a remark", "It goes into the record.", label::TEXT, ""],
    };
    Form::new(kind, title, lead).field_of(label, FieldKind::Needed, hint)
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
    let lead = match model.demo {
        Demo::No => "",
        _ => "Among the demo jobs: what is entered here is thrown away with them as you leave.",
    };
    let form = Form::new(FormKind::NewJob, "New job", lead);
    let form = opening_fields(model, form, &Opening::default());
    who(model, form, "who works on it")
}

/// The field for who is at the keys: the name known by now stands there until another is typed.
fn who(model: &Model, form: Form, otherwise: &str) -> Form {
    let people = model.settings.people.clone();
    let hint = numbered(&people, otherwise);
    let kind = FieldKind::OneOf(people, true);
    let mut form = form.filled(label::WHO, kind, hint, &model.who);
    if let Some(field) = form.fields.last_mut() {
        field.proposed = true;
    }
    form
}

/// What the job was opened with, to be corrected.
fn opening(model: &Model) -> Form {
    let now = model
        .open
        .as_ref()
        .and_then(|open| open.job.opening.clone())
        .unwrap_or_default();
    let form = Form::new(
        FormKind::Opening,
        "Correct what the job was opened with",
        "What stands here now stays in the record. Codes read from the car are corrected under \"save codes\".",
    );
    opening_fields(model, form, &now).field_of(
        label::WHY,
        FieldKind::Free,
        "such as: mistyped; may stay empty",
    )
}

/// Words with their numbers, or what else to know.
fn numbered(words: &[String], otherwise: &str) -> String {
    if words.is_empty() {
        return otherwise.to_owned();
    }
    // A word that is a number is typed as it is.
    let one = |(n, word): (usize, &String)| match word.parse::<usize>() {
        Ok(_) => word.clone(),
        Err(_) => format!("{} {word}", n + 1),
    };
    let all: Vec<String> = words.iter().enumerate().map(one).collect();
    all.join(", ")
}

fn opening_fields(model: &Model, form: Form, now: &Opening) -> Form {
    use FieldKind::{Codes, Free, Listed, Needed, Odometer, OneOf, VehicleNumber};
    let bays = model.settings.bays.clone();
    let hint = numbered(&bays, "may stay empty");
    let (car, symptoms) = (&now.vehicle, offer::symptoms(&model.shelf));
    form.filled(label::PLATE, Needed, "as it stands on the car", &car.plate)
        .filled(label::MODEL, Free, "in one line", &car.model)
        .filled(
            label::VIN,
            VehicleNumber,
            "17 characters; may stay empty",
            &car.vin,
        )
        .filled(
            label::ODOMETER,
            Odometer,
            match odometer_unit(model.settings.units.system) {
                "mi" => "in mi, unless km is written behind it",
                _ => "in km, unless mi is written behind it",
            },
            &car.odometer,
        )
        .filled(
            label::COMPLAINT,
            Needed,
            "in the customer's own words",
            &now.complaint,
        )
        .filled(
            label::SYMPTOMS,
            Listed(symptoms),
            "numbers, or letters to narrow the list; with commas",
            &now.symptoms.join(", "),
        )
        .filled(
            label::CODES,
            Codes,
            "like P0171, P0174",
            &now.codes.join(", "),
        )
        .filled(label::BAY, OneOf(bays, false), hint, &now.bay)
}

/// Whether something was repaired since codes were saved: what stood before it says nothing of the car now.
pub fn to_be_read_again(open: &OpenJob) -> bool {
    let last = |is: fn(&What) -> bool| open.events.iter().rposition(|event| is(&event.what));
    let repaired = last(|what| matches!(what, What::RepairDone { .. }));
    repaired > last(|what| matches!(what, What::CodesNoted(_))) && repaired.is_some()
}

fn codes(model: &Model) -> Form {
    use FieldKind::{Codes, Free};
    let job = model.open.as_ref().map(|open| &open.job);
    let again = model.open.as_ref().is_some_and(to_be_read_again);
    let noted = job.and_then(|job| job.codes.clone()).filter(|_| !again);
    let came_with = job
        .and_then(|job| job.opening.as_ref())
        .map(|opening| opening.codes.join(", "));
    let (stored, hint) = match &noted {
        Some(noted) => (
            noted.stored.join(", "),
            "as saved before; correct what has changed",
        ),
        None if again => (
            String::new(),
            "as the car shows them now; empty if none came back",
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

/// The work in the flow's own words for this cause, as an example of how it is noted.
fn repaired(model: &Model) -> Form {
    let work = match model.standing() {
        Standing::Repair { cause, .. } => cause.repair.trim_end_matches('.').to_owned(),
        _ => String::new(),
    };
    let hint = if work.is_empty() {
        "what was done, and to which one exactly: which hose, which joint, which side".to_owned()
    } else {
        format!("such as: {work}; and which one exactly: which hose, which joint, which side")
    };
    Form::new(
        FormKind::Repaired,
        "The repair is done",
        "Whether the part proved bad is the strongest reading there is.",
    )
    .field_of(label::WORK, FieldKind::Needed, hint)
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

/// What is said of an outcome that is taken before all of its step was read.
fn with_unread(model: &Model, words: String) -> String {
    match model.unread() {
        Some(unread) => {
            let words = shown::capital(&words);
            format!("{words}. {unread} The record says that it was taken without.")
        }
        None => words,
    }
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

/// What was noted of a repair, to be written anew over what stands there.
fn correct_repair(model: &Model, seq: u64) -> Form {
    let open = model.open.as_ref();
    let repair = open.and_then(|open| open.job.repairs.iter().find(|r| r.noted_by(seq)));
    let lead = repair.map(|repair| repair.name.clone()).unwrap_or_default();
    let (words_now, part) = repair.and_then(|r| r.noted(seq)).unwrap_or_default();
    let form = Form::new(
        FormKind::CorrectRepair(seq),
        "Correct what was noted of the repair",
        lead,
    );
    let form = match part {
        None => form.filled(
            label::BY,
            FieldKind::Needed,
            "a name, and in person or by telephone",
            words_now,
        ),
        Some(part) => {
            let mut parts = words(&["bad", "good", "could not tell"]);
            if let FieldKind::Words { at, .. } = &mut parts {
                *at = Some(match part {
                    PartWas::Bad => 0,
                    PartWas::Good => 1,
                    PartWas::CouldNotTell => 2,
                });
            }
            form.filled(label::WORK, FieldKind::Needed, "what was done", words_now)
                .field_of(label::PART, parts, "once it was off and opened")
        }
    };
    form.field_of(label::WHY, FieldKind::Needed, "such as: mistyped")
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
        format!("Correct a fact {}", about(id)),
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
        PromptKind::Quantity(q) => format!("in {}", shown_unit(q.unit).name()),
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
