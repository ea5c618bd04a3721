//! Loading a gauge profile: what a workshop's float without numbers showed on known test holes.
//!
//! It owns the YAML form of a profile and places every mistake; it must not know how heights become
//! flows (the calculation `gauge` does). The form stands beside that of the flows because a workshop
//! writes both with the same editor and wants the same help. An example:
//!
//! ```text
//! gauge: bay-two-float
//! title: Float on the supply in bay two
//! pressure: 14 inH2O        # at the test holes
//! gas: nitrogen
//! resolution: 2 %           # of the tube: the smallest step that the eye can tell
//! points:
//!   - {height: 0 %, hole: blocked}
//!   - {height: 35 %, hole: 0.020 in}
//!   - {height: 78 %, hole: 0.040 in}
//! ```

use super::super::finding::{Finding, Severity, code};
use super::super::node::{self, Node, Tree};
use super::fields::{Fields, Findings, text_of};
use super::ids::check_id;
use super::quantities::quantity_of;
use crate::physics::gas::Gas;
use crate::physics::given::{Given, Value, read_value};
use crate::units::{Dimension, Quantity, Unit};

const KEYS: [&str; 10] = [
    "gauge",
    "title",
    "pressure",
    "gas",
    "temperature",
    "barometer",
    "coefficient",
    "resolution",
    "points",
    "calibrated",
];

/// A step of the eye is a uniform error of one step's width; 95 % of it lie within this share of
/// the step (1.96 / sqrt(12)), as for a flow's gauges.
const STEP_TO_95: f64 = 1.96 * 0.288_675_135;

/// A float's profile.
#[derive(Clone, Debug, PartialEq)]
pub struct GaugeProfile {
    /// Its id.
    pub id: String,
    /// Its name for people.
    pub title: String,
    /// When it was calibrated, in the workshop's own words.
    pub calibrated: String,
    /// 95 % error of a height, as a share of the tube.
    pub height_error: f64,
    /// Inputs of the calculation `gauge`, all but the height.
    pub given: Given,
}

/// What came of loading a profile.
#[derive(Debug)]
pub struct LoadedProfile {
    /// The profile, where it has no error.
    pub profile: Option<GaugeProfile>,
    /// Everything that was found, in the order of the text.
    pub findings: Vec<Finding>,
}

/// Loads a profile from its text.
pub fn profile(text: &str) -> LoadedProfile {
    let mut out = Findings::default();
    let profile = match node::parse(text) {
        Ok(tree) => read(&tree, &mut out),
        Err(finding) => {
            out.0.push(finding);
            None
        }
    };
    let mut findings = out.0;
    findings.sort_by_key(|f| (f.place.line, f.place.column, f.code));
    findings.dedup();
    let sound = findings.iter().all(|f| f.severity != Severity::Error);
    LoadedProfile {
        profile: profile.filter(|_| sound),
        findings,
    }
}

fn read(tree: &Node, out: &mut Findings) -> Option<GaugeProfile> {
    let fields = Fields::with_keys(tree, "a gauge profile", &KEYS, out)?;
    let id = fields.need_text("gauge", out);
    if let (Some(id), Some(node)) = (&id, fields.get("gauge")) {
        check_id(id, node.place, out);
    }
    let mut given = Given::new();
    // The loader's keys and the calculation's inputs are the same but for these two.
    for (key, input, dimension) in [
        ("pressure", "set-pressure", Dimension::Pressure),
        ("temperature", "temperature", Dimension::Temperature),
        ("barometer", "barometer", Dimension::Pressure),
    ] {
        let node = if key == "pressure" {
            fields.need(key, out)
        } else {
            fields.get(key)
        };
        if let Some(si) = node.and_then(|node| measured(node, key, dimension, out)) {
            given.set(input, Value::Number(si));
        }
    }
    word(&fields, "gas", &mut given, out);
    word(&fields, "coefficient", &mut given, out);
    let resolution = fields
        .get("resolution")
        .and_then(|node| measured(node, "resolution", Dimension::Ratio, out));
    if let Some(rows) = fields.need("points", out).and_then(|n| points(n, out)) {
        given.set("points", Value::Points(rows));
    }
    Some(GaugeProfile {
        title: fields.text("title", out).unwrap_or_default(),
        calibrated: fields.text("calibrated", out).unwrap_or_default(),
        id: id?,
        height_error: resolution.unwrap_or(0.0).abs() * STEP_TO_95,
        given,
    })
}

/// A quantity of a dimension, in SI.
fn measured(node: &Node, key: &str, dimension: Dimension, out: &mut Findings) -> Option<f64> {
    let quantity: Quantity = quantity_of(node, key, Unit::default_for(dimension).name(), out)?;
    if quantity.dimension() == dimension {
        return Some(quantity.si());
    }
    out.error(
        code::WRONG_DIMENSION,
        node.place,
        format!(
            "`{key}` is {}, but `{quantity}` is {}",
            dimension.with_article(),
            quantity.dimension().with_article()
        ),
        format!(
            "write {}, such as 2 {}",
            dimension.with_article(),
            Unit::default_for(dimension).name()
        ),
    );
    None
}

/// The gas or the coefficient, in the words of the calculation.
fn word(fields: &Fields, key: &str, given: &mut Given, out: &mut Findings) {
    let Some(node) = fields.get(key) else { return };
    let Some(text) = text_of(node, key, out) else {
        return;
    };
    let input = crate::physics::find("gauge").and_then(|gauge| gauge.input(key));
    match input.map(|input| read_value(input, &text)) {
        Some(Ok(value)) => given.set(key, value),
        _ if key == "gas" => {
            let known = Gas::WORDS.iter().copied();
            out.unknown(code::UNKNOWN_WORD, node.place, "gas", &text, known);
        }
        _ => out.error(
            code::UNKNOWN_WORD,
            node.place,
            format!("`{text}` is not a coefficient"),
            "write sharp, rounded, or a number above 0 and up to 1",
        ),
    }
}

fn points(node: &Node, out: &mut Findings) -> Option<Vec<Vec<Option<f64>>>> {
    let Tree::List(items) = &node.tree else {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!("`points` is a list of heights, but here is {}", node.kind()),
            "write one a line: - {height: 35 %, hole: 0.020 in}",
        );
        return None;
    };
    let mut rows: Vec<Vec<Option<f64>>> = Vec::new();
    let mut sound = true;
    for item in items {
        let Some((height, hole)) = point(item, out) else {
            sound = false;
            continue;
        };
        if let Some([Some(before), Some(smaller)]) = rows.last().map(Vec::as_slice)
            && (height <= *before || hole <= *smaller)
        {
            out.error(
                code::BAD_QUANTITY,
                item.place,
                "this point does not lie above the one before it, by height and by hole",
                "list them from the blocked tip upwards; a larger hole lifts the float higher",
            );
            sound = false;
        }
        rows.push(vec![Some(height), Some(hole)]);
    }
    if sound && rows.len() < 3 {
        out.error(
            code::WRONG_SHAPE,
            node.place,
            format!(
                "a profile needs three points or more, and here are {}",
                rows.len()
            ),
            "read a blocked tip and two test holes, for example 0.020 in and 0.040 in",
        );
        return None;
    }
    sound.then_some(rows)
}

fn point(node: &Node, out: &mut Findings) -> Option<(f64, f64)> {
    let fields = Fields::with_keys(node, "a point", &["height", "hole"], out)?;
    let height = fields
        .need("height", out)
        .and_then(|node| measured(node, "height", Dimension::Ratio, out));
    let hole = fields.need("hole", out).and_then(|node| {
        if node.text().is_some_and(|text| text.trim() == "blocked") {
            return Some(0.0);
        }
        measured(node, "hole", Dimension::Length, out)
    });
    if let Some(height) = height.filter(|h| !(0.0..=1.0).contains(h)) {
        out.error(
            code::BAD_QUANTITY,
            node.place,
            format!("a height of {:.0} % is not in the tube", height * 100.0),
            "measure it from the bottom of the tube, 0 % to 100 %",
        );
        return None;
    }
    Some((height?, hole?))
}

#[cfg(test)]
mod tests {
    use super::*;

    const SOUND: &str = "gauge: bay-two-float\ntitle: Float in bay two\npressure: 14 inH2O\n\
        gas: nitrogen\nresolution: 2 %\npoints:\n  - {height: 0 %, hole: blocked}\n  \
        - {height: 35 %, hole: 0.020 in}\n  - {height: 78 %, hole: 0.040 in}\n";

    fn mistakes(text: &str) -> Vec<(usize, &'static str)> {
        let loaded = profile(text);
        assert!(loaded.profile.is_none(), "{text}");
        loaded
            .findings
            .iter()
            .map(|f| (f.place.line, f.code))
            .collect()
    }

    #[test]
    fn a_profile_becomes_the_inputs_of_the_calculation() {
        let loaded = profile(SOUND);
        assert_eq!(loaded.findings, []);
        let read = loaded.profile.expect("a profile");
        assert_eq!(read.id, "bay-two-float");
        assert!((read.height_error - 0.0113).abs() < 1e-4);
        let rows = read.given.points("points").expect("points");
        assert_eq!(rows[0], vec![Some(0.0), Some(0.0)]);
        assert!((rows[2][1].expect("a hole") - 0.001_016).abs() < 1e-12);
        assert!((read.given.number("set-pressure").expect("a pressure") - 3487.24).abs() < 0.01);
        assert_eq!(read.given.word("gas", ""), "nitrogen");
    }

    #[test]
    fn every_mistake_is_placed_on_its_line() {
        let text = SOUND
            .replace("14 inH2O", "14 mm")
            .replace("nitrogen", "nitrogin")
            .replace("resolution", "resolutoin")
            .replace("35 %", "135 %");
        assert_eq!(
            mistakes(&text),
            [
                (3, code::WRONG_DIMENSION),
                (4, code::UNKNOWN_WORD),
                (5, code::UNKNOWN_KEY),
                (8, code::BAD_QUANTITY),
            ]
        );
    }

    #[test]
    fn a_scale_that_does_not_rise_or_is_too_short_is_refused() {
        let falling = SOUND.replace("0.040 in", "0.010 in");
        assert_eq!(mistakes(&falling), [(9, code::BAD_QUANTITY)]);
        let short = SOUND.replace("  - {height: 78 %, hole: 0.040 in}\n", "");
        assert_eq!(mistakes(&short), [(7, code::WRONG_SHAPE)]);
        assert_eq!(mistakes("gauge: a\npoints: 3\n").len(), 2);
        assert_eq!(mistakes("[").len(), 1);
    }
}
