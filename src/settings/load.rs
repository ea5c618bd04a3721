//! From the text of the settings to [`Settings`], with every mistake placed.

use super::{Drawing, KeyEntry, Look, Rate, Settings, broken};
use crate::flow::finding::{Finding, code};
use crate::flow::load::fields::{Fields, Findings, text_of, words_of};
use crate::flow::node::{self, LARGEST_FILE, Node, Tree};
use crate::flow::place::Place;
use crate::units::preferred::{Measure, System};
use crate::units::{Quantity, Unit};

/// The keys of the file, in the order of the standard one.
pub const KEYS: [&str; 17] = [
    "workshop",
    "telephone",
    "hours",
    "labour-rate",
    "altitude",
    "units",
    "unit-of",
    "bays",
    "people",
    "theme",
    "drawing",
    "mouse",
    "simulated-cars",
    "missing-gear",
    "flows",
    "gauges",
    "keys",
];

/// Loads settings. What has a mistake is as if it were not there; the findings say where and why.
pub fn load(text: &str) -> (Settings, Vec<Finding>) {
    let mut settings = Settings::default();
    let mut out = Findings::default();
    if text.len() > LARGEST_FILE {
        out.error(
            code::TOO_LARGE,
            Place::default(),
            "the file is too large to be settings",
            "look whether another file has taken its name",
        );
        return (settings, out.0);
    }
    match node::parse(text) {
        // A file with nothing but comments is one with every setting left out.
        Ok(tree) if tree.tree == Tree::Empty => {}
        Ok(tree) => read(&tree, &mut settings, &mut out),
        Err(finding) => match broken::readable(text, &finding) {
            Some(kept) => {
                read(&kept.tree, &mut settings, &mut out);
                let wrong = kept.wrong.into_iter();
                out.0.extend(wrong.map(|(_, finding)| finding));
            }
            None => out.0.push(Finding {
                help: format!("{}; until then nothing in this file counts", finding.help),
                ..finding
            }),
        },
    }
    let mut findings = out.0;
    findings.sort_by_key(|f| (f.place.line, f.place.column, f.code));
    findings.dedup();
    (settings, findings)
}

fn read(tree: &Node, settings: &mut Settings, out: &mut Findings) {
    let Some(fields) = Fields::with_keys(tree, "the settings file", &KEYS, out) else {
        return;
    };
    if let Some(name) = fields.text("workshop", out) {
        settings.workshop = name;
    }
    if let Some(number) = fields.text("telephone", out) {
        number.trim().clone_into(&mut settings.telephone);
    }
    if let Some(hours) = fields.text("hours", out) {
        hours.trim().clone_into(&mut settings.hours);
    }
    if let Some(node) = fields.get("labour-rate") {
        settings.labour_rate = rate(node, out);
    }
    if let Some(node) = fields.get("altitude") {
        settings.altitude = altitude(node, out);
    }
    if let Some(system) = word(&fields, "units", &System::ALL, System::word, out) {
        settings.units.system = system;
    }
    if let Some(node) = fields.get("unit-of") {
        own_units(node, settings, out);
    }
    settings.bays = names(&fields, "bays", out);
    settings.people = names(&fields, "people", out);
    settings.missing_gear = names(&fields, "missing-gear", out);
    settings.flows = fields
        .get("flows")
        .and_then(|node| Some((text_of(node, "flows", out)?.trim().to_owned(), node.place)));
    settings.gauges = fields.words("gauges", out);
    if let Some(look) = word(&fields, "theme", &Look::ALL, Look::word, out) {
        settings.theme = look;
    }
    if let Some(drawing) = word(&fields, "drawing", &Drawing::ALL, Drawing::word, out) {
        settings.drawing = drawing;
    }
    let on_off = |on: bool| if on { "on" } else { "off" };
    if let Some(mouse) = word(&fields, "mouse", &[true, false], on_off, out) {
        settings.mouse = mouse;
    }
    if let Some(cars) = word(&fields, "simulated-cars", &[true, false], on_off, out) {
        settings.simulated_cars = cars;
    }
    if let Some(node) = fields.get("keys") {
        settings.keys = keys(node, out);
    }
}

/// What an hour of work costs.
fn rate(node: &Node, out: &mut Findings) -> Option<Rate> {
    let text = text_of(node, "labour-rate", out)?;
    match Rate::parse(&text) {
        Ok(rate) => Some(rate),
        Err(remedy) => {
            out.error(
                code::UNKNOWN_WORD,
                node.place,
                format!("`labour-rate` cannot be `{}`", text.trim()),
                remedy,
            );
            None
        }
    }
}

/// The heights at which cars are repaired, m: the range within which flows ask for it.
const HEIGHTS: std::ops::RangeInclusive<f64> = -400.0..=4500.0;

/// The height of the workshop above sea level.
fn altitude(node: &Node, out: &mut Findings) -> Option<Quantity> {
    let text = text_of(node, "altitude", out)?;
    let height = text.trim().parse::<Quantity>();
    match height {
        Ok(height)
            if Measure::of(height.unit()) == Some(Measure::Height)
                && HEIGHTS.contains(&height.si()) =>
        {
            Some(height)
        }
        _ => {
            out.error(
                code::UNKNOWN_WORD,
                node.place,
                format!("`altitude` cannot be `{}`", text.trim()),
                "write a height above sea level with its unit, from -400 to 4500 m, such as 230 m",
            );
            None
        }
    }
}

/// One of some words.
fn word<T: Copy>(
    fields: &Fields,
    key: &'static str,
    all: &[T],
    name: fn(T) -> &'static str,
    out: &mut Findings,
) -> Option<T> {
    let node = fields.get(key)?;
    let text = text_of(node, key, out)?;
    // "as-written" and "US" are no mistakes.
    let wanted = text.trim().to_lowercase().replace(['-', '_'], " ");
    let found = all.iter().copied().find(|one| name(*one) == wanted);
    if found.is_none() {
        let known: Vec<&str> = all.iter().copied().map(name).collect();
        out.error(
            code::UNKNOWN_WORD,
            node.place,
            format!("`{key}` cannot be `{}`", text.trim()),
            format!("write one of: {}", known.join(", ")),
        );
    }
    found
}

/// Names, each once.
fn names(fields: &Fields, key: &str, out: &mut Findings) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for (name, place) in fields.words(key, out) {
        let name = name.trim().to_owned();
        if name.is_empty() {
            out.error(
                code::NO_VALUE,
                place,
                format!("`{key}` has an empty name"),
                "write the name, or delete the line",
            );
        } else if all.contains(&name) {
            out.error(
                code::SAME_ID,
                place,
                format!("`{name}` stands in `{key}` already"),
                "delete one of the two",
            );
        } else {
            all.push(name);
        }
    }
    all
}

fn own_units(node: &Node, settings: &mut Settings, out: &mut Findings) {
    let known: Vec<&str> = Measure::ALL.into_iter().map(Measure::word).collect();
    let Some(fields) = Fields::with_keys(node, "`unit-of`", &known, out) else {
        return;
    };
    for measure in Measure::ALL {
        let Some(node) = fields.get(measure.word()) else {
            continue;
        };
        let Some(text) = text_of(node, measure.word(), out) else {
            continue;
        };
        let choices = || {
            let units = Unit::of(measure.dimension()).filter(|unit| Measure::of(*unit).is_some());
            let names: Vec<&str> = units.map(Unit::name).collect();
            format!("write one of: {}", names.join(", "))
        };
        match Unit::parse(&text) {
            Ok(unit) if unit.dimension() == measure.dimension() && Measure::of(unit).is_some() => {
                settings.units.own.insert(measure, unit);
            }
            Ok(unit) => out.error(
                code::WRONG_DIMENSION,
                node.place,
                format!("`{}` cannot be shown in {}", measure.word(), unit.name()),
                choices(),
            ),
            Err(error) => out.error(code::BAD_QUANTITY, node.place, error.to_string(), choices()),
        }
    }
}

fn keys(node: &Node, out: &mut Findings) -> Vec<KeyEntry> {
    let Tree::Map(pairs) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "`keys` names actions with their keys, but here is {}",
                node.kind()
            ),
            "write one action a line, such as record: [F5, r]",
        );
        return Vec::new();
    };
    pairs
        .iter()
        .filter_map(|(action, keys)| {
            let name = action.text()?.trim().to_owned();
            let keys = words_of(keys, &name, out);
            if keys.is_empty() {
                out.error(
                    code::NO_VALUE,
                    action.place,
                    format!("`{name}` has no key"),
                    "write a key after the colon, or delete the line to have the usual one",
                );
                return None;
            }
            Some(KeyEntry {
                action: name,
                place: action.place,
                keys,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mistakes(text: &str) -> Vec<(usize, usize, String)> {
        let place = |f: Finding| (f.place.line, f.place.column, f.message);
        load(text).1.into_iter().map(place).collect()
    }

    #[test]
    fn every_setting_is_read() {
        let (settings, findings) = load(
            "workshop: Alder Lane\ntelephone: 0555 0142\nhours: Monday to Friday 8 to 17\nlabour-rate: 84.50 EUR\nunits: US\nunit-of: {pressure: inHg, length: mm}\n\
             bays: [1, 2, lift]\npeople:\n  - Kim Archer\n  - Ines Harrow\ntheme: light\n\
             drawing: ascii\nmouse: off\nsimulated-cars: off\nmissing-gear: [lamp]\nflows: my-flows\ngauges: [float.yaml]\n\
             keys:\n  record: [F5, r]\n  hand-over: Ctrl-E\n",
        );
        assert_eq!(findings, []);
        assert_eq!(settings.workshop, "Alder Lane");
        assert_eq!(settings.telephone, "0555 0142");
        assert_eq!(settings.hours, "Monday to Friday 8 to 17");
        assert_eq!(settings.labour_rate, Rate::parse("84.50 EUR").ok());
        assert_eq!(settings.units.system, System::Us);
        assert_eq!(settings.units.own.len(), 2);
        assert_eq!(settings.bays, ["1", "2", "lift"]);
        assert_eq!(settings.people, ["Kim Archer", "Ines Harrow"]);
        assert_eq!(
            (settings.theme, settings.drawing, settings.mouse),
            (Look::Light, Drawing::Ascii, false)
        );
        assert_eq!(settings.missing_gear, ["lamp"]);
        let flows = settings.flows.map(|(folder, _)| folder);
        assert_eq!(flows.as_deref(), Some("my-flows"));
        assert_eq!(settings.gauges[0].0, "float.yaml");
        assert_eq!(settings.keys[1].keys[0].0, "Ctrl-E");
    }

    #[test]
    fn an_empty_file_and_one_of_comments_are_fine() {
        for text in ["", "# nothing yet\n", "\u{feff}"] {
            assert_eq!(load(text), (Settings::default(), Vec::new()), "{text:?}");
        }
    }

    #[test]
    fn a_mistake_costs_its_own_entry_and_is_placed() {
        let text = "workshop: Alder Lane\nunits: uss\ntheme: dark\nbays: {a: 1}\nthem: light\n\
                    unit-of:\n  pressure: mm\n  length: furlong\nkeys: F5\n";
        let (settings, _) = load(text);
        assert_eq!(settings.workshop, "Alder Lane");
        assert_eq!(settings.theme, Look::Dark);
        assert_eq!(
            settings.units,
            crate::units::preferred::Preferred::default()
        );
        let found = mistakes(text);
        let places: Vec<(usize, usize)> = found.iter().map(|(l, c, _)| (*l, *c)).collect();
        assert_eq!(
            places,
            [(2, 8), (4, 7), (5, 1), (7, 13), (8, 11), (9, 7)],
            "{found:#?}"
        );
    }

    #[test]
    fn what_is_no_yaml_leaves_the_defaults_and_says_where() {
        let (settings, findings) = load("[1, 2\n");
        assert_eq!(settings, Settings::default());
        assert_eq!(findings.len(), 1);
        assert_eq!(findings[0].place.line, 1);
    }

    #[test]
    fn an_altitude_is_a_height_with_its_unit() {
        for (text, right) in [
            ("230 m", true),
            ("755 ft", true),
            ("230", false),
            ("9000 m", false),
            ("2 bar", false),
        ] {
            let (settings, findings) = load(&format!("altitude: {text}\n"));
            assert_eq!(settings.altitude.is_some(), right, "{text}");
            assert_eq!(findings.is_empty(), right, "{text}");
        }
    }

    #[test]
    fn a_labour_rate_that_is_none_is_named_and_nothing_is_invented() {
        let text = "labour-rate: dear\n";
        assert_eq!(load(text).0.labour_rate, None);
        assert_eq!(mistakes(text)[0].0, 1);
    }
}
