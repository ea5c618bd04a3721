//! The systems that a flow can test, as the rules about safety and the simulated cars know them.
//!
//! A flow names its system in its own words; where these are one of the systems below but for
//! capitals and hyphens, they are kept as the system is written here, so that no caution hangs on a
//! hyphen. Any other word is a system too: it only has no cautions of its own.

/// The systems with cautions of their own or a simulated car, as they are written.
pub const KNOWN: [&str; 15] = [
    "cabin",
    "charge air",
    "boost",
    "coolant",
    "cooling",
    "cooling system",
    "crankcase",
    "engine",
    "exhaust",
    "exhaust gas recirculation",
    "fuel",
    "fuel tank",
    "fuel vapour",
    "intake",
    "smoke unit",
];

/// Shorter names are too near to other words, such as `boot` to `boost`.
const LONG_ENOUGH: usize = 6;

/// A system's name in small letters, with a blank for each hyphen: `Charge-air` is `charge air`.
pub fn plain(text: &str) -> String {
    let lower = text.to_lowercase().replace(['-', '_'], " ");
    let words: Vec<&str> = lower.split_whitespace().collect();
    words.join(" ").replace("vapor", "vapour")
}

/// The system, or a place that begins with one, as it is written where the text names a known one;
/// the text as it stands otherwise.
pub fn written(text: &str) -> String {
    let plain = plain(text);
    let begins = |name: &str| {
        let rest = plain.strip_prefix(name);
        rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
    };
    if KNOWN.iter().any(|name| begins(name)) {
        plain
    } else {
        text.to_owned()
    }
}

/// The known system that a mistyped one was meant to be, if any is close. A longer name that holds
/// a known one (`cooling fan`) is no slip.
pub fn meant(text: &str) -> Option<&'static str> {
    let plain = plain(text);
    let letters = |text: &str| text.replace(' ', "");
    let holds = |name: &&str| format!(" {plain} ").contains(&format!(" {name} "));
    // `fuel` by itself has no cautions of its own: `fuel vapur` is a slip although it holds it.
    let holds = |name: &&str| plain.as_str() == *name || *name != "fuel" && holds(name);
    if KNOWN.iter().any(holds) {
        return None;
    }
    KNOWN
        .iter()
        .filter(|name| name.len() >= LONG_ENOUGH)
        .map(|name| {
            let distance = strsim::damerau_levenshtein(&letters(&plain), &letters(name));
            (distance, *name)
        })
        .filter(|(distance, name)| *distance <= name.len().div_ceil(5))
        .min_by_key(|(distance, _)| *distance)
        .map(|(_, name)| name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn capitals_and_hyphens_make_no_other_system() {
        for text in ["charge air", "Charge-air", "CHARGE  AIR", "charge_air"] {
            assert_eq!(written(text), "charge air", "{text}");
            assert_eq!(meant(text), None, "{text}");
        }
        assert_eq!(written("Fuel vapor"), "fuel vapour");
        assert_eq!(written("Charge-air cooler"), "charge air cooler");
        assert_eq!(written("Coolbox"), "Coolbox");
    }

    #[test]
    fn slips_are_told_from_other_systems() {
        for (text, name) in [
            ("fuel vapur", Some("fuel vapour")),
            ("charg air", Some("charge air")),
            ("chargeair", Some("charge air")),
            ("exhuast", Some("exhaust")),
            ("coling", Some("cooling")),
            ("crank case", Some("crankcase")),
            ("heater", None),
            ("cooling fan", None),
            ("boot", None),
            ("body", None),
            ("sensor signal", None),
            ("brakes", None),
        ] {
            assert_eq!(meant(text), name, "{text}");
        }
    }
}
