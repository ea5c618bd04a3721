//! A trouble code: its structure, and what the generic ones that concern this trade mean.
//!
//! Two bytes: the top two bits are the letter (P, C, B, U), the next two the first digit, then three
//! hexadecimal digits; 0135 is P0135 and 96A1 is B16A1. The first digit says whose meaning it is:
//! 0 (and P2, U3, P34 to P39) the standard's, B3 and C3 kept by the standard for later, the others the maker's. Source: SAE J2012, ISO 15031-6; structure
//! read in reprints, meanings in our own words from memory. Left out: the failure-type byte that
//! some makers add. Worked example: 0442 is P0442, fuel vapour system, small leak.

/// A code, by its two bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Code(pub u16);

const LETTERS: [char; 4] = ['P', 'C', 'B', 'U'];

impl Code {
    /// Reads "P0442", "p0442" or the bytes "0442" or "04 42".
    pub fn parse(text: &str) -> Option<Self> {
        let text: String = text
            .chars()
            .filter(|c| !c.is_whitespace())
            .map(|c| c.to_ascii_uppercase())
            .collect();
        let mut rest = text.chars();
        let first = rest.next()?;
        let Some(letter) = LETTERS.iter().position(|l| *l == first) else {
            return bytes(&text);
        };
        // "B123" is four characters of hexadecimal too, and "B1234" a code: the length decides.
        if text.len() == 4 {
            return bytes(&text);
        }
        let digits = rest.as_str();
        let value = bytes(digits)?;
        (value.0 < 0x4000).then_some(Self(u16::try_from(letter).ok()? << 14 | value.0))
    }

    /// The letter.
    pub fn letter(self) -> char {
        LETTERS[usize::from(self.0 >> 14)]
    }

    /// The four digits after the letter.
    pub fn digits(self) -> String {
        format!("{:04X}", self.0 & 0x3FFF)
    }

    /// As it is written.
    pub fn name(self) -> String {
        format!("{}{}", self.letter(), self.digits())
    }

    /// Whether the standard, not the maker, says what it means.
    pub fn generic(self) -> bool {
        match (self.letter(), (self.0 >> 12) & 3, (self.0 >> 8) & 0xF) {
            (_, 0, _) | ('P', 2, _) | ('U', 3, _) => true,
            ('P', 3, third) => third >= 4,
            _ => false,
        }
    }

    /// Whether the standard keeps it for later: nobody may give it a meaning yet.
    pub fn kept(self) -> bool {
        matches!(self.letter(), 'B' | 'C') && (self.0 >> 12) & 3 == 3
    }

    /// The system by the letter.
    pub fn system(self) -> &'static str {
        match self.letter() {
            'P' => "powertrain",
            'C' => "chassis",
            'B' => "body",
            _ => "network",
        }
    }

    /// The part of the powertrain by the third character, for the codes whose third character says.
    pub fn area(self) -> Option<&'static str> {
        if self.letter() != 'P' || (self.0 >> 12) & 3 > 2 {
            return None;
        }
        Some(match (self.0 >> 8) & 0xF {
            0 => "fuel and air metering, and added emission controls",
            1 => "fuel and air metering",
            2 => "fuel and air metering: injectors, boost",
            3 => "ignition and misfire",
            4 => "added emission controls",
            5 => "speed, idle and inputs",
            6 => "control unit and outputs",
            7..=9 => "transmission",
            _ => "hybrid drive, or kept for later",
        })
    }

    /// What it means, for the generic codes of this trade.
    pub fn meaning(self) -> Option<&'static str> {
        let name = self.name();
        MEANINGS
            .iter()
            .find(|(code, _)| *code == name)
            .map(|(_, meaning)| *meaning)
    }
}

fn bytes(digits: &str) -> Option<Code> {
    let hexadecimal = digits.len() == 4 && digits.chars().all(|c| c.is_ascii_hexdigit());
    hexadecimal
        .then(|| u16::from_str_radix(digits, 16).ok().map(Code))
        .flatten()
}

/// Meanings in our own words; SAE J2012 (from memory).
const MEANINGS: &[(&str, &str)] = &[
    (
        "P0068",
        "manifold pressure or air mass reading disagrees with throttle position",
    ),
    (
        "P0101",
        "air mass sensor: signal out of expected range / plausibility",
    ),
    ("P0102", "air mass sensor: circuit low"),
    ("P0103", "air mass sensor: circuit high"),
    ("P0105", "manifold pressure sensor circuit fault"),
    ("P0106", "manifold pressure sensor: range or plausibility"),
    ("P0107", "manifold pressure sensor: circuit low"),
    ("P0108", "manifold pressure sensor: circuit high"),
    ("P0109", "manifold pressure sensor: intermittent circuit"),
    (
        "P0121",
        "throttle/pedal position sensor a: range or plausibility",
    ),
    ("P0171", "bank 1 fuel system too lean"),
    ("P0172", "bank 1 fuel system too rich"),
    ("P0174", "bank 2 fuel system too lean"),
    ("P0175", "bank 2 fuel system too rich"),
    (
        "P0234",
        "turbo/supercharger a boost above limit (overboost)",
    ),
    (
        "P0299",
        "turbo/supercharger a boost below expected (underboost)",
    ),
    ("P0300", "misfire on random or several cylinders"),
    ("P0301", "misfire cylinder 1"),
    ("P0302", "misfire cylinder 2"),
    ("P0303", "misfire cylinder 3"),
    ("P0304", "misfire cylinder 4"),
    ("P0305", "misfire cylinder 5"),
    ("P0306", "misfire cylinder 6"),
    ("P0307", "misfire cylinder 7"),
    ("P0308", "misfire cylinder 8"),
    ("P0401", "recirculated exhaust a: too little flow"),
    ("P0402", "recirculated exhaust a: too much flow"),
    ("P0403", "recirculated exhaust a: control circuit fault"),
    ("P0404", "recirculated exhaust a: control range/performance"),
    (
        "P0405",
        "recirculated exhaust position/feedback sensor a: circuit low",
    ),
    (
        "P0406",
        "recirculated exhaust position/feedback sensor a: circuit high",
    ),
    ("P0440", "fuel vapour system: general fault"),
    ("P0441", "fuel vapour system: purge flow incorrect"),
    ("P0442", "fuel vapour system: small leak"),
    ("P0443", "fuel vapour purge valve: control circuit"),
    ("P0444", "fuel vapour purge valve: control circuit open"),
    ("P0445", "fuel vapour purge valve: control circuit shorted"),
    ("P0446", "fuel vapour vent control: circuit"),
    ("P0447", "fuel vapour vent control: circuit open"),
    ("P0448", "fuel vapour vent control: circuit shorted"),
    ("P0449", "fuel vapour vent valve/solenoid: circuit"),
    ("P0450", "fuel vapour pressure sensor/switch: circuit"),
    (
        "P0451",
        "fuel vapour pressure sensor/switch: range/performance",
    ),
    ("P0452", "fuel vapour pressure sensor/switch: circuit low"),
    ("P0453", "fuel vapour pressure sensor/switch: circuit high"),
    ("P0454", "fuel vapour pressure sensor/switch: intermittent"),
    ("P0455", "fuel vapour system: large (gross) leak"),
    ("P0456", "fuel vapour system: very small leak"),
    (
        "P0457",
        "fuel vapour system: leak associated with loose/missing fuel cap",
    ),
    (
        "P0496",
        "fuel vapour system: flow present when purge not commanded (high purge flow)",
    ),
    ("P0497", "fuel vapour system: purge flow low"),
    ("P0498", "fuel vapour vent valve: control circuit low"),
    ("P0499", "fuel vapour vent valve: control circuit high"),
    ("P0505", "idle air control system fault"),
    ("P0506", "idle speed lower than target"),
    ("P0507", "idle speed higher than target"),
    ("P2187", "bank 1 too lean at idle"),
    ("P2189", "bank 2 too lean at idle"),
    (
        "P2195",
        "bank 1 sensor 1 oxygen/air-fuel signal biased or stuck lean",
    ),
    ("P2279", "intake air system leak"),
];
