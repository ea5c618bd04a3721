//! The settings on a form, and what is written of it: what was changed and nothing else.

use super::forms;
use super::forms::label;
use crate::settings::edit::{Change, yaml, yaml_list};
use crate::settings::file::Read;
use crate::settings::{Drawing, Look, Rate, Settings};
use crate::tui::effect::Effect;
use crate::tui::model::{FieldKind, Form, FormKind, Model, Over, units};
use crate::tui::theme::Role;
use crate::units::preferred::System;

/// Opens the form with the settings as they are now.
pub fn open(model: &mut Model) -> Vec<Effect> {
    // A draft would show what somebody thought of a while ago as what is.
    model
        .drafts
        .retain(|draft| draft.kind != FormKind::Settings);
    let effects = forms::open(model, FormKind::Settings);
    let wrong = &model.settings_file.wrong;
    if let Some(first) = wrong.first() {
        let more = match wrong.len() - 1 {
            0 => String::new(),
            n => format!(" Then {n} more."),
        };
        let text = format!("In the file, {}{more}", sentence(first));
        model.say(Role::Caution, text);
    }
    effects
}

/// Words with a full stop, where they do not end a sentence by themselves.
pub fn sentence(words: &str) -> String {
    let ends = words.ends_with(['.', '?', '!']);
    format!("{words}{}", if ends { "" } else { "." })
}

/// The form.
pub fn form(model: &Model) -> Form {
    let now = &model.settings;
    let lead = match &model.settings_file.path {
        Some(path) => format!(
            "Kept in {}. Comments in it stay; keys, gauge profiles and the folder of your flows are set there.",
            path.display()
        ),
        None => "There is no folder for them here: start with --settings FILE.".to_owned(),
    };
    // One is said in the line above the keys; where there are more, all of them stand here.
    let wrong = &model.settings_file.wrong;
    let lead = match wrong.len() {
        0 | 1 => lead,
        n => format!(
            "{lead} Wrong in it are {n} things: {}",
            wrong
                .iter()
                .map(|wrong| sentence(wrong))
                .collect::<Vec<_>>()
                .join(" And ")
        ),
    };
    let form = Form::new(FormKind::Settings, "Settings", lead);
    about_the_screen(about_the_workshop(form, now), now)
        .filled(
            label::GEAR,
            FieldKind::Free,
            "in the flows' words, with commas",
            &now.missing_gear.join(", "),
        )
        .filled(
            label::RATE,
            FieldKind::Rate,
            "an hour of work, such as 84.50 EUR",
            &now.labour_rate
                .as_ref()
                .map_or_else(String::new, Rate::written),
        )
}

/// Fields about the workshop: its name and how it is reached, units, bays and people.
fn about_the_workshop(form: Form, now: &Settings) -> Form {
    let own: Vec<String> = now
        .units
        .own
        .iter()
        .map(|(measure, unit)| format!("{} {}", measure.word(), unit.name()))
        .collect();
    form.filled(
        label::WORKSHOP,
        FieldKind::Free,
        "at the head of reports",
        &now.workshop,
    )
    .filled(
        label::TELEPHONE,
        FieldKind::Free,
        "below the name, for the customer",
        &now.telephone,
    )
    .filled(
        label::HOURS,
        FieldKind::Free,
        "such as Monday to Friday 8 to 17",
        &now.hours,
    )
    .field_of(
        label::UNITS,
        words(&System::ALL.map(System::word), |w| {
            w == now.units.system.word()
        }),
        "what is typed stays in the record as it is typed",
    )
    .filled(
        label::OWN_UNITS,
        FieldKind::Units,
        "such as pressure kPa, length mm",
        &own.join(", "),
    )
    .filled(
        label::BAYS,
        FieldKind::Free,
        "in the board's order, with commas",
        &now.bays.join(", "),
    )
    .filled(
        label::PEOPLE,
        FieldKind::Free,
        "who works here, with commas",
        &now.people.join(", "),
    )
}

/// Fields about what is seen and how it is worked with.
fn about_the_screen(form: Form, now: &Settings) -> Form {
    form.field_of(
        label::LOOK,
        words(&Look::ALL.map(Look::word), |w| w == now.theme.word()),
        "light is for the sun",
    )
    .field_of(
        label::DRAWING,
        words(&Drawing::ALL.map(Drawing::word), |w| {
            w == now.drawing.word()
        }),
        "ascii where lines come out as odd letters",
    )
    .field_of(
        label::MOUSE,
        words(&["on", "off"], |w| (w == "on") == now.mouse),
        "off: dragging marks text to copy",
    )
    .field_of(
        label::CARS,
        words(&["on", "off"], |w| (w == "on") == now.simulated_cars),
        "off: evidence by the flows' words",
    )
}

fn words(all: &[&'static str], now: impl Fn(&str) -> bool) -> FieldKind {
    FieldKind::Words {
        at: all.iter().position(|word| now(word)),
        words: all.iter().map(|word| (*word).to_owned()).collect(),
    }
}

/// Writes what was changed.
pub fn save(model: &mut Model, form: &Form) -> Vec<Effect> {
    let changes = changes(&model.settings, form);
    if changes.is_empty() {
        model.overs.pop();
        model.say(Role::Plain, "Nothing was changed.");
        return Vec::new();
    }
    vec![Effect::SaveSettings(changes)]
}

fn changes(now: &Settings, form: &Form) -> Vec<Change> {
    let mut out = Vec::new();
    let mut put = |key: &'static str, changed: bool, value: Option<String>| {
        if changed {
            out.push(Change { key, value });
        }
    };
    let text = |label| form.text(label);
    for (key, label, before) in [
        ("workshop", label::WORKSHOP, &now.workshop),
        ("telephone", label::TELEPHONE, &now.telephone),
        ("hours", label::HOURS, &now.hours),
    ] {
        let written = text(label);
        let value = (!written.is_empty()).then(|| yaml(&written));
        put(key, written != *before, value);
    }
    let rate = text(label::RATE);
    let value = (!rate.is_empty()).then(|| yaml(&rate));
    put(
        "labour-rate",
        Rate::parse(&rate).ok() != now.labour_rate,
        value,
    );
    let picked = |label, all: &[&'static str]| form.word(label).map_or(all[0], |at| all[at]);
    let system = picked(label::UNITS, &System::ALL.map(System::word));
    put(
        "units",
        system != now.units.system.word(),
        Some(system.to_owned()),
    );
    let own = units(&text(label::OWN_UNITS)).unwrap_or_default();
    let pairs: Vec<String> = own
        .iter()
        .map(|(measure, unit)| format!("{}: {}", measure.word(), yaml(unit.name())))
        .collect();
    let value = (!pairs.is_empty()).then(|| format!("{{{}}}", pairs.join(", ")));
    put(
        "unit-of",
        own.into_iter()
            .collect::<std::collections::BTreeMap<_, _>>()
            != now.units.own,
        value,
    );
    for (key, label, before) in [
        ("bays", label::BAYS, &now.bays),
        ("people", label::PEOPLE, &now.people),
        ("missing-gear", label::GEAR, &now.missing_gear),
    ] {
        let names = names(&text(label));
        put(key, names != *before, yaml_list(&names));
    }
    let look = picked(label::LOOK, &Look::ALL.map(Look::word));
    put("theme", look != now.theme.word(), Some(look.to_owned()));
    let drawing = picked(label::DRAWING, &Drawing::ALL.map(Drawing::word));
    put(
        "drawing",
        drawing != now.drawing.word(),
        Some(drawing.to_owned()),
    );
    let mouse = picked(label::MOUSE, &["on", "off"]);
    put(
        "mouse",
        (mouse == "on") != now.mouse,
        Some(mouse.to_owned()),
    );
    let cars = picked(label::CARS, &["on", "off"]);
    put(
        "simulated-cars",
        (cars == "on") != now.simulated_cars,
        Some(cars.to_owned()),
    );
    out
}

/// Names with commas between them, each once.
fn names(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    let parts = text.split([',', ';']).map(str::trim);
    for name in parts.filter(|name| !name.is_empty()) {
        if !out.iter().any(|known| known == name) {
            out.push(name.to_owned());
        }
    }
    out
}

/// The settings are written: they count from now on.
pub fn written(model: &mut Model, read: Read) -> Vec<Effect> {
    if matches!(model.overs.last(), Some(Over::Form(form)) if form.kind == FormKind::Settings) {
        model.overs.pop();
    }
    model.saving = None;
    let mouse = read.settings.mouse;
    let place = read.path.as_ref().map(|path| path.display().to_string());
    let gauges = std::mem::take(&mut model.settings_file.gauges);
    model.take_settings(read, gauges);
    // Gear at hand and simulated cars are asked about with the evidence.
    model.evidence.said += 1;
    let saved = format!("Saved in {}", place.unwrap_or_default());
    match (
        model.settings_file.wrong.first().cloned(),
        model.idle_gear(),
    ) {
        (None, None) => model.say(Role::Plain, saved),
        (None, Some(idle)) => model.say(Role::Caution, format!("{saved}. {idle}")),
        (Some(first), _) => model.say(
            Role::Caution,
            format!("{saved}. Still wrong in it, {first}"),
        ),
    }
    if model.mouse == mouse {
        return vec![Effect::Redraw];
    }
    model.mouse = mouse;
    vec![Effect::Mouse(mouse), Effect::Redraw]
}
