//! Example files as loggers and scopes write them: invented, made by a small generator, the same
//! every time. The files under `tests/fixtures/logs` are these; a test holds that they have not
//! parted.

#![allow(
    clippy::cast_possible_truncation,
    reason = "each test uses some of them; the numbers are small"
)]

use std::fmt::Write as _;

/// A way to write the same table.
#[derive(Clone, Copy)]
pub struct Dialect {
    pub separator: char,
    pub decimal: char,
    pub line_end: &'static str,
}

pub const POINT: Dialect = Dialect {
    separator: ',',
    decimal: '.',
    line_end: "\n",
};
pub const COMMA: Dialect = Dialect {
    separator: ';',
    decimal: ',',
    line_end: "\r\n",
};
pub const TAB: Dialect = Dialect {
    separator: '\t',
    decimal: '.',
    line_end: "\n",
};

/// Numbers between -1 and 1 that look like noise; a generator of linear congruences is even enough.
pub struct Noise(u64);

impl Noise {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub fn next(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        f64::from((self.0 >> 40) as u32) / f64::from(1 << 23) - 1.0
    }
}

fn write(cells: &[Vec<String>], dialect: Dialect) -> String {
    let mut out = String::new();
    let separator = dialect.separator.to_string();
    for (n, row) in cells.iter().enumerate() {
        let line = row.join(&separator);
        // A point in a name is no decimal mark.
        let line = if dialect.decimal == '.' || n == 0 {
            line
        } else {
            line.replace('.', &dialect.decimal.to_string())
        };
        let _ = write!(out, "{line}{}", dialect.line_end);
    }
    out
}

/// A minute and a half of warming up and idle, half a minute at 2500 rpm, a little driving; two
/// rows a second. A leak of some 0.5 g/s: the trims are high at idle and small at speed.
pub fn idle_and_fast(dialect: Dialect) -> String {
    let names = [
        "Time [s]",
        "Engine speed [rpm]",
        "Mass air flow [g/s]",
        "Intake press. (abs) [kPa]",
        "STFT B1 [%]",
        "LTFT B1 [%]",
        "Coolant temp [°C]",
        "Vehicle speed [km/h]",
        "Fuel loop",
    ];
    let mut noise = Noise::new(7);
    let mut rows = vec![names.map(str::to_owned).to_vec()];
    for n in 0..270 {
        let t = f64::from(n) / 2.0;
        let (speed, air, pressure, short, long, road) = match t {
            t if t < 90.0 => (790.0, 2.70, 35.0, 6.0, 11.7, 0.0),
            t if t < 122.0 => (2490.0, 10.6, 31.0, 1.5, 2.9, 0.0),
            _ => (1900.0, 16.0, 58.0, 0.5, 2.1, 34.0),
        };
        let cells = [
            format!("{t:.1}"),
            format!("{:.0}", speed + 9.0 * noise.next()),
            format!("{:.2}", air + 0.05 * noise.next()),
            format!("{:.0}", pressure + 0.7 * noise.next()),
            format!("{:.1}", short + 1.2 * noise.next()),
            format!("{:.1}", long + 0.2 * noise.next()),
            format!("{:.0}", (70.0 + t / 3.0).min(88.0)),
            format!("{road:.0}"),
            "closed".to_owned(),
        ];
        rows.push(cells.to_vec());
    }
    write(&rows, dialect)
}

/// A capture of the manifold pressure at 800 rpm, four cylinders, the third lobe after the trigger
/// half as deep; 500 points a second over 0.7 s.
pub fn ripple() -> String {
    let mut noise = Noise::new(3);
    let mut out = String::from("Time (ms),Channel A (V),Trigger (V)\n");
    for n in 0..350 {
        let ms = f64::from(n) * 2.0;
        // A lobe takes a quarter of the two turns of a cycle: 37.5 ms at 800 rpm.
        let place = (ms - 20.0) / 37.5;
        let lobe = place.floor();
        let depth = if (lobe as i64).rem_euclid(4) == 2 {
            0.06
        } else {
            0.12
        };
        let shape = (std::f64::consts::PI * (place - lobe)).sin();
        let trigger = (place.rem_euclid(4.0) < 0.4) && place >= 0.0;
        let volts = 1.42 - depth * shape + 0.001 * noise.next();
        let _ = writeln!(
            out,
            "{ms:.0},{volts:.4},{}",
            if trigger { "4.8" } else { "0.1" }
        );
    }
    out
}

/// A sweep of a pressure sensor with a hand pump, down and up again; each step held for 4 s, four
/// points a second. The sensor reads some 4 kPa too high.
pub fn sweep() -> String {
    let mut noise = Noise::new(5);
    let steps = [100.0, 85.0, 70.0, 55.0, 40.0, 55.0, 70.0, 85.0, 100.0];
    let mut out = String::from("Time, s;Pressure at sensor, kPa;Signal, V\r\n");
    let mut n = 0;
    let mut from = 100.0;
    for step in steps {
        for part in 0..20 {
            let pressure = if part < 4 {
                from + (step - from) * f64::from(part) / 4.0
            } else {
                step
            };
            let volts = 0.25 + 0.0375 * (pressure + 4.0) + 0.001 * noise.next();
            let line = format!("{:.2};{pressure:.1};{volts:.3}", f64::from(n) / 4.0);
            let _ = write!(out, "{}\r\n", line.replace('.', ","));
            n += 1;
        }
        from = step;
    }
    out
}

/// All of them, with the name of their file.
pub fn all() -> Vec<(&'static str, String)> {
    vec![
        ("idle-and-2500.csv", idle_and_fast(POINT)),
        ("idle-and-2500-comma.csv", idle_and_fast(COMMA)),
        ("idle-and-2500.tsv", idle_and_fast(TAB)),
        ("ripple.csv", ripple()),
        ("sweep.csv", sweep()),
    ]
}
